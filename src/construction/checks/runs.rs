//! Cabinets side by side against the wall they fill, and on one another against the
//! height they reach. Only where the job file names the run or stack.

use super::{Cell, Check, Desk, Topic, Verdict};
use crate::cabinet::{Measured, MeasuredCabinet, Span};
use crate::construction::{Origin, cabinet_key};
use crate::length::Length;
use crate::trade::{Dimension, Role};
use crate::view::ViewKind;
use std::collections::BTreeSet;

pub(super) fn check(facts: &Desk<'_>, found: &mut Vec<Check>) {
    for run in &facts.rules.runs {
        let stated = run.wall.as_ref().and_then(|stated| facts.free(stated));
        let drawn = || drawn_wall(facts, &run.cabinets);
        let between = run.between.as_ref().and_then(|stated| facts.free(stated));
        let (fillers, rows) = match between {
            Some(_) => (None, Vec::new()),
            None => fillers(facts, &run.cabinets),
        };
        let sum = Sum {
            topic: Topic::Run,
            name: &run.name,
            cabinets: &run.cabinets,
            whole: stated.or_else(drawn),
            drawn: stated.is_none(),
            between: between.or(fillers),
            rows,
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
            whole: stack.height.as_ref().and_then(|stated| facts.free(stated)),
            drawn: false,
            between: stack.between.as_ref().and_then(|stated| facts.free(stated)),
            rows: Vec::new(),
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
    whole: Option<Length>,
    /// The whole is a drawn dimension.
    drawn: bool,
    /// Fillers, end panels and gaps.
    between: Option<Length>,
    /// Listed figures that `between` is made of.
    rows: Vec<Cell>,
    line: usize,
    of: fn(&MeasuredCabinet) -> &Measured,
    words: (&'static str, &'static str, &'static str),
}

impl Sum<'_> {
    fn check(&self, facts: &Desk<'_>, found: &mut Vec<Check>) {
        let (direction, whole_word, fill) = self.words;
        let Some(whole) = self.whole else {
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
        let between = self.between;
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
        check.rows.clone_from(&self.rows);
        if self.drawn {
            check.origin = Origin::Drawn;
        }
        found.push(check);
    }
}

/// The longest level dimension drawn over a run of just these cabinets that is longer
/// than they are: from wall to wall.
fn drawn_wall(facts: &Desk<'_>, cabinets: &[String]) -> Option<Length> {
    /// A dimension of the cabinets alone is no longer than this much more than they are.
    const MORE_MM: f64 = 1.0;
    let wanted: BTreeSet<String> = cabinets.iter().map(|name| cabinet_key(name)).collect();
    facts
        .views
        .runs
        .iter()
        .filter(|run| run.kind == ViewKind::Front)
        .filter(|run| {
            let shown: BTreeSet<String> = run
                .views
                .iter()
                .filter_map(|view| facts.views.views.get(*view))
                .flat_map(|view| &view.cabinets)
                .map(|name| cabinet_key(name))
                .collect();
            shown == wanted
        })
        .flat_map(|run| {
            let (left, right) = (run.extents.min().x, run.extents.max().x);
            run.dimensions.iter().filter(move |dimension| {
                let ends = [dimension.from.x, dimension.to.x];
                let low = ends.iter().copied().fold(f64::INFINITY, f64::min);
                let high = ends.iter().copied().fold(f64::NEG_INFINITY, f64::max);
                low <= left + MORE_MM
                    && high >= right - MORE_MM
                    && dimension.measured_mm > right - left + MORE_MM
            })
        })
        .filter_map(|dimension| Length::from_mm(dimension.measured_mm))
        .max()
}

/// The widths of the fillers and the thicknesses of the end panels listed for a run, by
/// its cabinets or by none; `None` without any.
fn fillers(facts: &Desk<'_>, cabinets: &[String]) -> (Option<Length>, Vec<Cell>) {
    let wanted: BTreeSet<String> = cabinets.iter().map(|name| cabinet_key(name)).collect();
    let only_run = facts.rules.runs.len() == 1;
    let mut total = Length::ZERO;
    let mut cells = Vec::new();
    for row in facts.rows() {
        let dimension = match row.role() {
            Some(Role::Filler) => Dimension::Width,
            Some(Role::EndPanel) => Dimension::Thickness,
            _ => continue,
        };
        let here = if row.cabinets.is_empty() {
            only_run
        } else {
            row.cabinets
                .iter()
                .any(|name| wanted.contains(&cabinet_key(name)))
        };
        let Some(cell) = row.size(dimension).filter(|_| here) else {
            continue;
        };
        // What is scribed off does not stand between cabinet and wall.
        let scribe = facts
            .cabinets
            .first()
            .filter(|_| row.role() == Some(Role::Filler))
            .and_then(|cabinet| facts.size(cabinet, "filler.scribe"))
            .map_or(Length::ZERO, |(scribe, _)| scribe);
        total += (cell.value - scribe) * i64::from(row.quantity.count);
        if row.role() == Some(Role::Filler) {
            cells.push(super::of_cell(row, cell));
        }
    }
    cells.sort();
    ((total > Length::ZERO).then_some(total), cells)
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
