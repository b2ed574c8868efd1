//! Cabinets side by side against the wall they fill, and on one another against the
//! height they reach. Only where the job file names the run or stack.

use super::{Check, Desk, Topic, Verdict};
use crate::cabinet::{Measured, MeasuredCabinet, Span};
use crate::construction::{Origin, Stated};
use crate::length::Length;

pub(super) fn check(facts: &Desk<'_>, found: &mut Vec<Check>) {
    for run in &facts.rules.runs {
        let sum = Sum {
            topic: Topic::Run,
            name: &run.name,
            cabinets: &run.cabinets,
            whole: run.wall.as_ref(),
            between: run.between.as_ref(),
            line: run.line,
            of: |cabinet| &cabinet.overall.width,
            words: ("wide", "wall", "fill"),
        };
        sum.check(facts, found);
        neighbours(facts, run, found);
    }
    for stack in &facts.rules.stacks {
        let sum = Sum {
            topic: Topic::Stack,
            name: &stack.name,
            cabinets: &stack.cabinets,
            whole: stack.height.as_ref(),
            between: stack.between.as_ref(),
            line: stack.line,
            of: |cabinet| &cabinet.overall.height,
            words: ("high", "height", "reach"),
        };
        sum.check(facts, found);
    }
}

/// Sizes that add up to a whole.
struct Sum<'a> {
    topic: Topic,
    name: &'a str,
    cabinets: &'a [String],
    whole: Option<&'a Stated>,
    between: Option<&'a Stated>,
    line: usize,
    of: fn(&MeasuredCabinet) -> &Measured,
    words: (&'static str, &'static str, &'static str),
}

impl Sum<'_> {
    fn check(&self, facts: &Desk<'_>, found: &mut Vec<Check>) {
        let (direction, whole_word, fill) = self.words;
        let Some(whole) = self.whole.and_then(|stated| facts.free(stated)) else {
            return;
        };
        let base = |verdict, sentence| {
            Check::new(self.topic, verdict, sentence)
                .of(self.cabinets.iter().map(String::as_str))
                .resting_on(Origin::JobFile { line: self.line })
        };
        let mut total = Length::ZERO;
        let mut terms: Vec<String> = Vec::new();
        let mut spans: Vec<Span> = Vec::new();
        for name in self.cabinets {
            let Some(cabinet) = facts.cabinet(name) else {
                found.push(base(
                    Verdict::Unchecked,
                    format!("{}: no drawing shows {name}; add its drawing", self.name),
                ));
                return;
            };
            match (self.of)(cabinet) {
                Measured::Known(measure) => {
                    total += measure.span.length();
                    terms.push(facts.show(measure.span.length()));
                    spans.push(measure.span.clone());
                }
                Measured::Unknown { reason } => {
                    found.push(base(
                        Verdict::Unchecked,
                        format!(
                            "{}: how {direction} {name} is was not measured: {reason}",
                            self.name
                        ),
                    ));
                    return;
                }
            }
        }
        let between = self.between.and_then(|stated| facts.free(stated));
        if let Some(between) = between {
            total += between;
            terms.push(facts.show(between));
        }
        let tolerance = facts.tolerance(whole);
        let difference = total - whole;
        let sum = format!("{} = {}", terms.join(" + "), facts.show(total));
        let (verdict, end) = if difference.abs() <= tolerance {
            (
                Verdict::Agrees,
                format!("as the {whole_word} of {}", facts.show(whole)),
            )
        } else if difference < Length::ZERO && between.is_none() {
            // Fillers and gaps may well make up the rest.
            (
                Verdict::Unchecked,
                format!(
                    "{} short of the {whole_word} of {}; state what {fill}s the rest as `between`",
                    facts.show(-difference),
                    facts.show(whole)
                ),
            )
        } else {
            let how = if difference > Length::ZERO {
                "more"
            } else {
                "less"
            };
            (
                Verdict::Disagrees,
                format!(
                    "{} {how} than the {whole_word} of {}",
                    facts.show(difference.abs()),
                    facts.show(whole)
                ),
            )
        };
        let mut check =
            base(verdict, format!("{}: {sum}, {end}", self.name)).sizes(whole, total, tolerance);
        check.drawn = spans;
        found.push(check);
    }
}

/// What neighbours are stated to share.
fn neighbours(facts: &Desk<'_>, run: &crate::construction::job::Run, found: &mut Vec<Check>) {
    for shared in &run.share {
        let size = |cabinet| match *shared {
            "height" => facts.size(cabinet, "overall.height"),
            "depth" => facts.size(cabinet, "overall.depth"),
            _ => facts.size(cabinet, "toe.height"),
        };
        let known: Vec<(&str, Length)> = run
            .cabinets
            .iter()
            .filter_map(|name| {
                let (size, _) = size(facts.cabinet(name)?)?;
                Some((name.as_str(), size))
            })
            .collect();
        for pair in known.windows(2) {
            let [(left, a), (right, b)] = pair else {
                continue;
            };
            let word = if *shared == "toe" {
                "toe space"
            } else {
                shared
            };
            let tolerance = facts.tolerance(*a);
            let same = (*a - *b).abs() <= tolerance;
            let sentence = if same {
                format!(
                    "{left} and {right} share their {word} of {}",
                    facts.show(*a)
                )
            } else {
                format!(
                    "{left} has a {word} of {} and its neighbour {right} of {}",
                    facts.show(*a),
                    facts.show(*b)
                )
            };
            let verdict = Verdict::of(same);
            found.push(
                Check::new(Topic::Neighbours, verdict, sentence)
                    .of([*left, *right])
                    .resting_on(Origin::JobFile { line: run.line })
                    .sizes(*a, *b, tolerance),
            );
        }
        for name in &run.cabinets {
            let missing = facts
                .cabinet(name)
                .is_some_and(|cabinet| size(cabinet).is_none());
            if missing {
                let word = if *shared == "toe" {
                    "toe space"
                } else {
                    shared
                };
                found.push(
                    Check::new(
                        Topic::Neighbours,
                        Verdict::Unchecked,
                        format!("{name}: its {word} was not measured, so it is not held against its neighbours"),
                    )
                    .of([name.as_str()])
                    .resting_on(Origin::JobFile { line: run.line }),
                );
            }
        }
    }
}
