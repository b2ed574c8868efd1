//! What one cabinet's listed sizes say of a hypothesis.

use super::hypotheses::{Hypothesis, Most, own_axis};
use crate::cabinet::MeasuredCabinet;
use crate::construction::Rules;
use crate::construction::expression::Expr;
use crate::construction::number::Ratio;
use crate::construction::rows::{Rows, sizes_along};
use crate::construction::scope::{Scope, length};
use crate::construction::standing::{Each, Read};
use crate::length::Length;
use crate::trade::{Axis, Role};

/// Two readings of a size this near are one: what rounding to 1/16 in leaves.
const NEAR: Length = Length::from_ticks(Length::TICKS_PER_INCH / 32);
/// A parameter below this is none at all.
const LEAST: Length = Length::from_ticks(Length::TICKS_PER_MM / 4);

/// What one cabinet says of one hypothesis.
#[derive(Clone, Debug, Default)]
pub(super) struct Say {
    /// Sets of values, one a listed size: each needs the parameter to be one of them.
    pub needs: Vec<Vec<Length>>,
    /// Some listed size cannot be explained whatever the parameter.
    pub refuted: bool,
    /// Some listed size speaks of it at all.
    pub heard: bool,
}

impl Say {
    /// True when every listed size can be had with this value.
    pub fn allows(&self, value: Length) -> bool {
        !self.needs.is_empty()
            && self
                .needs
                .iter()
                .all(|values| values.iter().any(|own| (*own - value).abs() <= NEAR))
    }
}

/// Asks one cabinet, by one of its keys.
pub(super) fn ask(
    rules: &Rules,
    hypothesis: &Hypothesis,
    sizes: &[(Role, Axis, Vec<&'static Read>)],
    cabinet: &MeasuredCabinet,
    key: &str,
    rows: &Rows<'_>,
) -> Say {
    let mut say = Say::default();
    for (role, axis, reads) in sizes {
        let rows = rows.of_part(key, *role);
        if rows.is_empty() || own_axis(hypothesis.choice).is_some_and(|own| own != *axis) {
            continue;
        }
        // Relations for one size that differ in choices still open are alternatives.
        let trials: Vec<Trial<'_>> = reads
            .iter()
            .filter(|read| open_to(rules, cabinet, hypothesis, read))
            .flat_map(|read| {
                trial_scopes(rules, cabinet, read.standing.each, hypothesis)
                    .into_iter()
                    .filter_map(|scope| Trial::of(scope, &read.expr, hypothesis.parameter))
            })
            .collect();
        // A relation that several answers share speaks against the others, but for
        // none of its own.
        let telling = reads.iter().any(|read| {
            let shared =
                |(key, answers): &(&str, &[&str])| *key == hypothesis.choice && answers.len() > 1;
            !read.standing.when.iter().any(shared)
        });
        for row in rows {
            let heard = hear(&trials, hypothesis, &sizes_along(row, *role, *axis));
            if !heard.worked {
                continue;
            }
            say.heard |= telling;
            if heard.met {
                continue;
            }
            if heard.values.is_empty() {
                say.refuted = true;
            } else {
                say.needs.push(heard.values);
            }
        }
    }
    // A parameter nobody needed is not shown by anyone.
    if hypothesis.parameter.is_some() && say.needs.is_empty() {
        say.heard &= say.refuted;
    }
    say
}

/// What one row says.
#[derive(Default)]
struct Heard {
    /// Some relation could be worked out.
    worked: bool,
    /// One gives the listed size without the parameter.
    met: bool,
    /// What the parameter would have to be.
    values: Vec<Length>,
}

fn hear(trials: &[Trial<'_>], hypothesis: &Hypothesis, listed: &[Length]) -> Heard {
    let mut heard = Heard::default();
    for trial in trials {
        for size in listed {
            match trial.solve(*size) {
                None => {}
                Some(Solved::Plain(value)) => {
                    heard.worked = true;
                    heard.met |= (value - *size).abs() <= NEAR;
                }
                Some(Solved::Needs(value)) => {
                    heard.worked = true;
                    if sensible(&trial.scope, hypothesis, value) && !heard.values.contains(&value) {
                        heard.values.push(value);
                    }
                }
            }
        }
    }
    heard
}

/// Whether no other answer given speaks against a relation.
fn open_to(rules: &Rules, cabinet: &MeasuredCabinet, hypothesis: &Hypothesis, read: &Read) -> bool {
    let fits = |toe: bool| {
        let scope = Scope::new(rules, cabinet);
        if toe {
            scope.has_toe()
        } else {
            scope.has_no_toe()
        }
    };
    if read.standing.toe.is_some_and(|toe| !fits(toe)) {
        return false;
    }
    read.standing.when.iter().all(|(key, answers)| {
        *key == hypothesis.choice
            || rules
                .answer(cabinet, key)
                .is_none_or(|answer| answers.contains(&answer.word))
    })
}

fn trial_scopes<'a>(
    rules: &'a Rules,
    cabinet: &'a MeasuredCabinet,
    each: Each,
    hypothesis: &Hypothesis,
) -> Vec<Scope<'a>> {
    rules
        .scopes(cabinet, each)
        .into_iter()
        .map(|(mut scope, _)| {
            for name in hypothesis.nothing {
                scope.assume(name, length(Length::ZERO));
            }
            scope
        })
        .collect()
}

fn sensible(scope: &Scope<'_>, hypothesis: &Hypothesis, value: Length) -> bool {
    let Some((_, most)) = hypothesis.parameter else {
        return true;
    };
    let most = match most {
        Most::Inches(over, under) => Length::from_ticks(Length::TICKS_PER_INCH * over / under),
        Most::Below(name) => match scope.look_up(name) {
            Ok(known) => match known.value.value.to_length() {
                Some(most) => most - LEAST,
                None => return false,
            },
            // Unknown board: no joint is deeper than 3/4 in.
            Err(_) => Length::from_ticks(Length::TICKS_PER_INCH * 3 / 4),
        },
    };
    value >= LEAST && value <= most
}

enum Solved {
    /// The relation does not use the parameter; its value.
    Plain(Length),
    /// What the parameter must be for the relation to give the listed size.
    Needs(Length),
}

/// A relation in one scope, which uses the parameter in proportion.
struct Trial<'a> {
    scope: Scope<'a>,
    /// What it gives without the parameter.
    nothing: Ratio,
    /// What an inch of the parameter adds.
    slope: Ratio,
}

impl<'a> Trial<'a> {
    /// `None` where the relation cannot be worked out.
    fn of(scope: Scope<'a>, expr: &Expr, parameter: Option<(&'static str, Most)>) -> Option<Self> {
        let at = |ticks: i64| -> Option<Ratio> {
            if let Some((name, _)) = parameter {
                scope.reassume(name, length(Length::from_ticks(ticks)));
            }
            let known = scope.value(expr);
            if let Some((name, _)) = parameter {
                scope.forget(name);
            }
            let known = known.ok()?;
            known.value.is_length.then_some(known.value.value)
        };
        let nothing = at(0)?;
        let slope = match parameter {
            Some(_) => at(Length::TICKS_PER_INCH)?.minus(nothing)?,
            None => Ratio::whole(0),
        };
        Some(Self {
            scope,
            nothing,
            slope,
        })
    }

    /// `None` where the figures leave the range of lengths.
    fn solve(&self, listed: Length) -> Option<Solved> {
        if self.slope.is_zero() {
            return Some(Solved::Plain(self.nothing.to_length()?));
        }
        let value = Ratio::ticks(listed)
            .minus(self.nothing)?
            .divided_by(self.slope)?
            .times(Ratio::whole(i128::from(Length::TICKS_PER_INCH)))?
            .to_length()?;
        Some(Solved::Needs(value))
    }
}
