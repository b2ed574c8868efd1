//! Cabinets side by side against the wall they fill, and on one another against the
//! height they reach: where the job file names the run or stack, and where cabinets are
//! drawn between walls.

use super::walls::{self, Dimensioned, Fill, Standing, keys};
use super::{Cell, Check, Desk, Topic, Verdict, stacked};
use crate::cabinet::{Measured, MeasuredCabinet, Span};
use crate::construction::Origin;
use crate::construction::job::Run;
use crate::length::Length;
use std::collections::BTreeSet;

pub(super) fn check(facts: &Desk<'_>, found: &mut Vec<Check>) {
    let standing = walls::standing(facts);
    let dimensioned = walls::dimensioned(facts);
    // Whoever names one of them says what the run is.
    let unnamed = |cabinets: &[String]| {
        let drawn = keys(cabinets);
        let mut stated = facts.rules.runs.iter();
        stated.all(|run| keys(&run.cabinets).is_disjoint(&drawn))
    };
    let alone: Vec<&Standing> = standing
        .iter()
        .filter(|drawn| unnamed(&drawn.cabinets))
        .collect();
    let under: Vec<&Dimensioned> = dimensioned
        .iter()
        .filter(|drawn| {
            let own = keys(&drawn.cabinets);
            let walled = |run: &Standing| !keys(&run.cabinets).is_disjoint(&own);
            unnamed(&drawn.cabinets) && !standing.iter().any(walled)
        })
        .collect();
    let sets: BTreeSet<BTreeSet<String>> = alone
        .iter()
        .map(|run| keys(&run.cabinets))
        .chain(under.iter().map(|run| keys(&run.cabinets)))
        .collect();
    let only_run = facts.rules.runs.len() + sets.len() == 1;
    for run in &facts.rules.runs {
        let wanted = keys(&run.cabinets);
        let of_run = |drawn: &&Standing| keys(&drawn.cabinets) == wanted;
        let walls: Vec<&Standing> = standing.iter().filter(of_run).collect();
        let dimensions = dimensioned.iter().flat_map(|drawn| &drawn.walls);
        let dimensions: Vec<&Standing> = dimensions.filter(of_run).collect();
        named(facts, run, (&walls, &dimensions), only_run, found);
        neighbours(facts, run, found);
    }
    for run in alone {
        // What stands on others may have its fillers in one piece with theirs.
        let fill = Fill::of(facts, &run.cabinets, only_run);
        if fill.any || !stacked::stand_on_others(facts, &run.cabinets) {
            drawn(facts, "between the drawn walls", run, fill, found);
        }
    }
    for run in under {
        dimension(facts, run, only_run, found);
    }
    for stack in &facts.rules.stacks {
        let sum = Sum {
            topic: Topic::Stack,
            name: &stack.name,
            cabinets: &stack.cabinets,
            whole: stack.height.as_ref().and_then(|stated| facts.free(stated)),
            origin: Origin::JobFile { line: stack.line },
            between: stack.between.as_ref().and_then(|stated| facts.free(stated)),
            fill: None,
            open: Length::ZERO,
            blamed: Vec::new(),
            of: |cabinet| &cabinet.overall.height,
            words: ("high", "height", "reaches"),
        };
        sum.check(facts, found);
    }
    stacked::check(facts, found);
}

/// A run the job file names, with the walls and the dimensions drawn over just its
/// cabinets.
fn named(
    facts: &Desk<'_>,
    run: &Run,
    (walls, dimensions): (&[&Standing], &[&Standing]),
    only_run: bool,
    found: &mut Vec<Check>,
) {
    let mut stated = run.wall.as_ref().and_then(|stated| facts.free(stated));
    if let Some(says) = stated {
        for drawn in walls {
            if let Some(check) = stated_against_drawn(facts, run, says, drawn.wall) {
                found.push(check);
                // What is drawn is the witness.
                stated = None;
            }
        }
    }
    let drawn = walls.first().map(|drawn| drawn.wall);
    let drawn = drawn.or_else(|| walls::dimension_over(facts, &run.cabinets));
    let whole = stated.or(drawn);
    let between = run.between.as_ref().and_then(|stated| facts.free(stated));
    let mut fill = Fill::of(facts, &run.cabinets, only_run);
    let shown = walls
        .iter()
        .chain(dimensions)
        .find(|drawn| Some(drawn.wall) == whole);
    if let Some(shown) = shown {
        fill.clear(shown, facts.tolerance(shown.wall));
    }
    let sum = Sum {
        topic: Topic::Run,
        name: &run.name,
        cabinets: &run.cabinets,
        whole,
        origin: match stated {
            Some(_) => Origin::JobFile { line: run.line },
            None => Origin::Drawn,
        },
        between,
        // Whoever states what is between states all of it.
        fill: between.is_none().then_some(fill),
        open: walls
            .first()
            .filter(|_| between.is_none())
            .map_or(Length::ZERO, |drawn| drawn.open),
        blamed: Vec::new(),
        of: |cabinet| &cabinet.overall.width,
        words: ("wide", "wall", "fills"),
    };
    sum.check(facts, found);
}

/// A run as it is drawn, whether or not a job file names it.
fn drawn(facts: &Desk<'_>, name: &str, run: &Standing, mut fill: Fill<'_>, found: &mut Vec<Check>) {
    fill.clear(run, facts.tolerance(run.wall));
    let sum = Sum {
        topic: Topic::Run,
        name,
        cabinets: &run.cabinets,
        whole: Some(run.wall),
        origin: Origin::Drawn,
        between: None,
        fill: Some(fill),
        open: run.open,
        blamed: Vec::new(),
        of: |cabinet| &cabinet.overall.width,
        words: ("wide", "wall", "fills"),
    };
    sum.check(facts, found);
}

/// Cabinets under a dimension that reaches past them at both ends. Where nothing is
/// listed beside a single cabinet, it may be of anything.
fn dimension(facts: &Desk<'_>, run: &Dimensioned, only_run: bool, found: &mut Vec<Check>) {
    let fill = Fill::of(facts, &run.cabinets, only_run);
    if !fill.any && run.cabinets.len() < 2 {
        return;
    }
    if let [wall] = run.walls.as_slice() {
        let name = format!("under the dimension past {}", run.cabinets.join(", "));
        drawn(facts, &name, wall, fill, found);
        return;
    }
    let lengths: Vec<String> = run.walls.iter().map(|run| facts.show(run.wall)).collect();
    let sentence = format!(
        "{}: dimensions of {} are drawn past both ends, and which of them is the wall is not told; \
         state it as `wall` of a `[[run]]`",
        run.cabinets.join(", "),
        lengths.join(", ")
    );
    let cabinets = run.cabinets.iter().map(String::as_str);
    found.push(
        Check::new(Topic::Run, Verdict::Unchecked, sentence)
            .of(cabinets)
            .at_rows(fill.cells()),
    );
}

/// The wall the job file states against the distance of the drawn walls.
fn stated_against_drawn(
    facts: &Desk<'_>,
    run: &Run,
    stated: Length,
    drawn: Length,
) -> Option<Check> {
    let tolerance = facts.tolerance(drawn);
    ((stated - drawn).abs() > tolerance).then(|| {
        let sentence = format!(
            "{}: the job file states a wall of {}; the walls are drawn {} apart",
            run.name,
            facts.show(stated),
            facts.show(drawn)
        );
        Check::new(Topic::Run, Verdict::Disagrees, sentence)
            .of(run.cabinets.iter().map(String::as_str))
            .resting_on(Origin::JobFile { line: run.line })
            .sizes(drawn, stated, tolerance)
    })
}

/// Sizes that add up to a whole.
pub(super) struct Sum<'a> {
    pub topic: Topic,
    pub name: &'a str,
    pub cabinets: &'a [String],
    pub whole: Option<Length>,
    /// Where the whole is known from.
    pub origin: Origin,
    /// Fillers, end panels and gaps as stated, all together.
    pub between: Option<Length>,
    /// Fillers and end panels as drawn and listed, where nothing is stated.
    pub fill: Option<Fill<'a>>,
    /// Room drawn open between neighbours.
    pub open: Length,
    /// Listed figures that `between` is made of.
    pub blamed: Vec<Cell>,
    pub of: fn(&MeasuredCabinet) -> &Measured,
    pub words: (&'static str, &'static str, &'static str),
}

impl Sum<'_> {
    pub fn check(&self, facts: &Desk<'_>, found: &mut Vec<Check>) {
        let (direction, whole_word, fill_word) = self.words;
        let Some(whole) = self.whole else {
            return;
        };
        let base = |verdict, sentence| {
            Check::new(self.topic, verdict, sentence)
                .of(self.cabinets.iter().map(String::as_str))
                .resting_on(self.origin.clone())
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
        let fill = self.fill.as_ref();
        let between = self
            .between
            .or_else(|| fill.filter(|fill| fill.any).map(|fill| fill.total));
        if let Some(between) = between {
            total += between;
            terms.push(facts.show(between));
        }
        if self.open > Length::ZERO {
            total += self.open;
            terms.push(format!("{} left open", facts.show(self.open)));
        }
        let tolerance = facts.tolerance(whole);
        let difference = total - whole;
        let sum = match terms.as_slice() {
            [only] => only.clone(),
            _ => format!("{} = {}", terms.join(" + "), facts.show(total)),
        };
        let (verdict, end) = if difference.abs() <= tolerance {
            (
                Verdict::Agrees,
                format!("as the {whole_word} of {}", facts.show(whole)),
            )
        } else if difference < Length::ZERO
            && (between.is_none()
                || fill.is_some_and(|fill| fill.rows(difference, tolerance).is_empty()))
        {
            // Fillers and gaps may well make up the rest; no listed figure is at fault.
            (
                Verdict::Unchecked,
                format!(
                    "{} short of the {whole_word} of {}; state what {fill_word} the rest as `between` of a `[[{}]]`",
                    facts.show(-difference),
                    facts.show(whole),
                    self.topic.word()
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
        if let Some(fill) = fill {
            check.rows = fill.rows(difference, tolerance);
        }
        check.rows.extend(self.blamed.iter().cloned());
        found.push(check);
    }
}

/// What neighbours are stated to share.
fn neighbours(facts: &Desk<'_>, run: &Run, found: &mut Vec<Check>) {
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
