//! What the job itself shows of the shop's way of building: for each choice and
//! each unstated size, the answer most cabinets agree on, with those that do not.
//!
//! What is inferred from a list never excuses that list: everything that rests on
//! it carries [`Origin::Inferred`].

use super::choices;
use super::expression::Expr;
use super::names::PartName;
use super::number::Ratio;
use super::scope::{Scope, length};
use super::standing::{self, Each, Ground};
use super::{Origin, Rules, cabinet_key};
use crate::cabinet::MeasuredCabinet;
use crate::cutlist::{CutList, Row};
use crate::length::Length;
use crate::trade::{Axis, Dimension, Role};
use std::collections::BTreeMap;

/// A parameter's value as the job itself shows it.
#[derive(Clone, Debug, PartialEq)]
pub struct Inference {
    pub value: Length,
    /// Cabinets that show it.
    pub support: Vec<String>,
    /// Cabinets that show something else, and what where one figure stands for it.
    pub against: Vec<(String, Option<Length>)>,
}

/// An answer to a choice as the job itself shows it.
#[derive(Clone, Debug, PartialEq)]
pub struct InferredAnswer {
    pub word: &'static str,
    pub support: Vec<String>,
    pub against: Vec<String>,
}

/// One way the listed sizes may have come about.
struct Hypothesis {
    /// Choice and answer; empty for a parameter that belongs to no choice.
    choice: &'static str,
    answer: &'static str,
    /// The size it brings, and the largest it may be.
    parameter: Option<(&'static str, Most)>,
    /// Sizes taken as nothing while it is tried.
    nothing: &'static [&'static str],
}

/// The largest value a parameter may sensibly have.
#[derive(Clone, Copy)]
enum Most {
    Inches(i64, i64),
    /// Less than this size of the cabinet.
    Below(&'static str),
}

const fn plain(choice: &'static str, answer: &'static str) -> Hypothesis {
    Hypothesis {
        choice,
        answer,
        parameter: None,
        nothing: &[],
    }
}

const fn with(
    choice: &'static str,
    answer: &'static str,
    parameter: &'static str,
    most: Most,
    nothing: &'static [&'static str],
) -> Hypothesis {
    Hypothesis {
        choice,
        answer,
        parameter: Some((parameter, most)),
        nothing,
    }
}

const SIDE: Most = Most::Below("side.thickness");

/// In this order, so that later ones may build on earlier ones.
const HYPOTHESES: &[Hypothesis] = &[
    plain("bottom", "between"),
    with("bottom", "grooved", "groove.depth", SIDE, &[]),
    plain("bottom", "under"),
    plain("top", "between"),
    with("top", "grooved", "groove.depth", SIDE, &[]),
    plain("top", "over"),
    plain("stretcher", "between"),
    with("stretcher", "grooved", "groove.depth", SIDE, &[]),
    plain("stretcher", "over"),
    plain("fixed-shelf", "between"),
    with("fixed-shelf", "grooved", "groove.depth", SIDE, &[]),
    plain("divider", "between"),
    with("divider", "grooved", "groove.depth", SIDE, &[]),
    with("back", "rabbet", "rabbet.width", SIDE, &[]),
    with("back", "captured", "back.groove", SIDE, &["back.play"]),
    plain("back", "applied"),
    plain("toe-kick", "across"),
    plain("toe-kick", "between"),
    plain("frame", "butted"),
    with("frame", "tenoned", "rail.tenon", Most::Inches(2, 1), &[]),
    with("front", "overlay", "overlay", Most::Inches(3, 2), &[]),
    with("front", "inset", "reveal", Most::Inches(1, 4), &[]),
    with("front", "full-overlay", "reveal", Most::Inches(1, 2), &[]),
    with("front", "overlay", "gap", Most::Inches(1, 2), &[]),
    with("front", "inset", "gap", Most::Inches(1, 2), &[]),
    with("front", "full-overlay", "gap", Most::Inches(1, 2), &[]),
    with("", "", "shelf.clearance", Most::Inches(1, 4), &[]),
    with(
        "drawer-box",
        "side-mount",
        "slide.clearance",
        Most::Inches(1, 1),
        &[],
    ),
    with(
        "drawer-box",
        "undermount",
        "slide.inside-allowance",
        Most::Inches(3, 1),
        &[],
    ),
    with("", "", "box.height-clearance", Most::Inches(3, 1), &[]),
];

/// Two readings of a size this near are one: what rounding to 1/16 in leaves.
const NEAR: Length = Length::from_ticks(Length::TICKS_PER_INCH / 32);
/// A parameter below this is none at all.
const LEAST: Length = Length::from_ticks(Length::TICKS_PER_MM / 4);

/// What one cabinet says of one hypothesis.
#[derive(Clone, Debug, Default)]
struct Say {
    /// Sets of values, one a listed size: each needs the parameter to be one of them.
    needs: Vec<Vec<Length>>,
    /// Some listed size cannot be explained whatever the parameter.
    refuted: bool,
    /// Some listed size speaks of it at all.
    heard: bool,
}

impl Rules {
    /// Looks through the listed sizes for what the job itself shows. Only choices
    /// and sizes that are neither stated nor drawn are filled in.
    pub fn infer(&mut self, cabinets: &[MeasuredCabinet], lists: &[CutList]) {
        let rows = Rows::of(lists);
        let mut votes: BTreeMap<&'static str, Vec<Vote>> = BTreeMap::new();
        let mut gaps: Vec<(&'static str, Vote)> = Vec::new();
        for hypothesis in HYPOTHESES {
            let second = hypothesis.parameter.is_some_and(|(name, _)| name == "gap");
            if second {
                // The gap of a pair is looked for once the way of the fronts is known.
                self.settle(&mut votes, &["front"]);
                let other = |word: &'static str| word != hypothesis.answer;
                if self
                    .inferred_answers
                    .get("front")
                    .is_some_and(|front| other(front.word))
                {
                    continue;
                }
            }
            let Some(vote) = self.poll(hypothesis, cabinets, &rows) else {
                continue;
            };
            if second || hypothesis.choice.is_empty() {
                if let Some((name, _)) = hypothesis.parameter {
                    gaps.push((name, vote));
                }
            } else {
                votes.entry(hypothesis.choice).or_default().push(vote);
            }
        }
        let choices: Vec<&'static str> = votes.keys().copied().collect();
        self.settle(&mut votes, &choices);
        for (name, vote) in gaps {
            self.take_parameter(name, &vote);
        }
    }

    /// Settles these choices on the hypothesis with most cabinets behind it. A draw
    /// settles nothing.
    fn settle(&mut self, votes: &mut BTreeMap<&'static str, Vec<Vote>>, choices: &[&'static str]) {
        for choice in choices {
            let Some(mut votes) = votes.remove(choice) else {
                continue;
            };
            votes.sort_by_key(|vote| std::cmp::Reverse(vote.support.len()));
            let best = match votes.as_slice() {
                [best, next, ..] if best.support.len() > next.support.len() => best,
                [best] => best,
                _ => continue,
            };
            if best.support.is_empty() {
                continue;
            }
            let stated = self.job.answers.contains_key(choice) || self.job.preset.is_some();
            if !stated
                && let Some(word) = choices::choice(choice).and_then(|c| c.answer(best.answer))
            {
                self.inferred_answers.insert(
                    choice,
                    InferredAnswer {
                        word,
                        support: best.support.clone(),
                        against: best.against.iter().map(|(name, _)| name.clone()).collect(),
                    },
                );
            }
            if let Some(parameter) = best.parameter {
                let best = best.clone();
                self.take_parameter(parameter, &best);
            }
        }
    }

    fn take_parameter(&mut self, name: &'static str, vote: &Vote) {
        let Some(value) = vote.value else { return };
        if vote.support.is_empty() || self.job.parameters.contains_key(name) {
            return;
        }
        let inference = Inference {
            value,
            support: vote.support.clone(),
            against: vote.against.clone(),
        };
        // Several choices may use one size (grooves): the one most cabinets show stays.
        let stronger = self
            .inferences
            .get(name)
            .is_none_or(|known| known.support.len() < inference.support.len());
        if stronger {
            self.inferences.insert(name.to_owned(), inference);
        }
    }

    /// Asks every cabinet about a hypothesis.
    fn poll(
        &self,
        hypothesis: &Hypothesis,
        cabinets: &[MeasuredCabinet],
        rows: &Rows<'_>,
    ) -> Option<Vote> {
        let mut says: Vec<(String, Say)> = Vec::new();
        for cabinet in cabinets {
            for name in std::iter::once(&cabinet.id).chain(&cabinet.same_as) {
                let say = self.ask(hypothesis, cabinet, name, rows);
                if say.heard {
                    says.push((name.clone(), say));
                }
            }
        }
        if says.is_empty() {
            return None;
        }
        says.sort_by(|a, b| a.0.cmp(&b.0));
        let value = hypothesis.parameter.and_then(|_| favourite(&says));
        let mut vote = Vote {
            answer: hypothesis.answer,
            parameter: hypothesis.parameter.map(|(name, _)| name),
            value,
            support: Vec::new(),
            against: Vec::new(),
        };
        for (name, say) in says {
            let supports = !say.refuted
                && match value {
                    Some(value) => say.allows(value),
                    None => hypothesis.parameter.is_none(),
                };
            if supports {
                vote.support.push(name);
            } else {
                let own = match say.needs.as_slice() {
                    [first, ..] => first.first().copied(),
                    [] => None,
                };
                vote.against.push((name, own));
            }
        }
        Some(vote)
    }

    /// What one cabinet's listed sizes say of a hypothesis.
    fn ask(
        &self,
        hypothesis: &Hypothesis,
        cabinet: &MeasuredCabinet,
        name: &str,
        rows: &Rows<'_>,
    ) -> Say {
        let mut say = Say::default();
        // Relations for one size that differ in choices still open are alternatives.
        let mut by_size: BTreeMap<(Role, Axis), Vec<&standing::Read>> = BTreeMap::new();
        for read in standing::standing() {
            if let PartName::Size(role, axis) = read.part
                && read.standing.ground == Ground::Answer
                && self.bears_on(hypothesis, cabinet, read)
            {
                by_size.entry((role, axis)).or_default().push(read);
            }
        }
        for ((role, axis), reads) in by_size {
            let trials: Vec<(Scope<'_>, &Expr)> = reads
                .iter()
                .flat_map(|read| {
                    self.trial_scopes(cabinet, read.standing.each, hypothesis)
                        .into_iter()
                        .map(|scope| (scope, &read.expr))
                })
                .collect();
            // A relation that several answers share speaks against the others, but
            // for none of its own.
            let telling = reads.iter().any(|read| {
                let shared = |(key, answers): &(&str, &[&str])| {
                    *key == hypothesis.choice && answers.len() > 1
                };
                !read.standing.when.iter().any(shared)
            });
            for row in rows.of_role(name, role) {
                let listed = sizes_along(row, role, axis);
                let mut values: Vec<Length> = Vec::new();
                let mut worked = false;
                let mut met = false;
                for (scope, expr) in &trials {
                    for size in &listed {
                        match solve(scope, expr, hypothesis.parameter, *size) {
                            Solved::Unworkable => {}
                            Solved::Plain(value) => {
                                worked = true;
                                met |= (value - *size).abs() <= NEAR;
                            }
                            Solved::Needs(value) => {
                                worked = true;
                                if self.sensible(scope, hypothesis, value)
                                    && !values.contains(&value)
                                {
                                    values.push(value);
                                }
                            }
                        }
                    }
                }
                if !worked {
                    continue;
                }
                say.heard |= telling;
                if met {
                    continue;
                }
                if values.is_empty() {
                    say.refuted = true;
                } else {
                    say.needs.push(values);
                }
            }
        }
        // A parameter nobody needed is not shown by anyone.
        if hypothesis.parameter.is_some() && say.needs.is_empty() {
            say.heard &= say.refuted;
        }
        say
    }

    /// Whether a relation belongs to the hypothesis and nothing stated or drawn
    /// speaks against it.
    fn bears_on(
        &self,
        hypothesis: &Hypothesis,
        cabinet: &MeasuredCabinet,
        read: &standing::Read,
    ) -> bool {
        let names = read.expr.names();
        let uses = |name: &str| names.iter().any(|(used, _)| *used == name);
        let choice_met = read.standing.when.iter().any(|(key, answers)| {
            *key == hypothesis.choice && answers.contains(&hypothesis.answer)
        });
        let own = match read.part {
            PartName::Size(role, _) => own_roles(hypothesis.choice).contains(&role),
            PartName::Count(_) => false,
        };
        if !own && !hypothesis.choice.is_empty() {
            return false;
        }
        let belongs = if hypothesis.choice.is_empty() {
            hypothesis.parameter.is_some_and(|(name, _)| uses(name))
        } else {
            choice_met
        };
        if !belongs || (hypothesis.parameter.is_some_and(|(name, _)| name == "gap") && !uses("gap"))
        {
            return false;
        }
        // A pair's width is left to the gap; heights and single fronts show the rest.
        if uses("gap") && hypothesis.parameter.is_some_and(|(name, _)| name != "gap") {
            return false;
        }
        read.standing.when.iter().all(|(key, answers)| {
            if *key == hypothesis.choice {
                return answers.contains(&hypothesis.answer);
            }
            self.answer(cabinet, key)
                .is_none_or(|answer| answers.contains(&answer.word))
        })
    }

    fn trial_scopes<'a>(
        &'a self,
        cabinet: &'a MeasuredCabinet,
        each: Each,
        hypothesis: &Hypothesis,
    ) -> Vec<Scope<'a>> {
        self.scopes(cabinet, each)
            .into_iter()
            .map(|(mut scope, _)| {
                for name in hypothesis.nothing {
                    scope.assume(name, length(Length::ZERO));
                }
                scope
            })
            .collect()
    }

    fn sensible(&self, scope: &Scope<'_>, hypothesis: &Hypothesis, value: Length) -> bool {
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
}

impl Say {
    /// True when every listed size can be had with this value.
    fn allows(&self, value: Length) -> bool {
        !self.needs.is_empty()
            && self
                .needs
                .iter()
                .all(|values| values.iter().any(|own| (*own - value).abs() <= NEAR))
    }
}

/// The parts a choice is about; other parts feel it only through them.
const fn own_roles(choice: &str) -> &'static [Role] {
    match choice.as_bytes() {
        b"bottom" => &[Role::Bottom],
        b"top" => &[Role::Top],
        b"stretcher" => &[Role::Stretcher],
        b"divider" => &[Role::Divider],
        b"fixed-shelf" => &[Role::FixedShelf],
        b"back" => &[Role::Back],
        b"toe-kick" => &[Role::ToeKick],
        b"frame" => &[Role::Rail],
        b"front" => &[Role::Door, Role::DrawerFront],
        b"drawer-box" => &[Role::DrawerBox],
        _ => &[],
    }
}

/// What the cabinets made of a hypothesis.
#[derive(Clone, Debug)]
struct Vote {
    answer: &'static str,
    parameter: Option<&'static str>,
    value: Option<Length>,
    support: Vec<String>,
    against: Vec<(String, Option<Length>)>,
}

/// The value most cabinets allow; of several, the one shown most often, then the
/// smallest.
fn favourite(says: &[(String, Say)]) -> Option<Length> {
    let mut count: BTreeMap<Length, usize> = BTreeMap::new();
    for (_, say) in says {
        for value in say.needs.iter().flatten() {
            *count.entry(*value).or_default() += 1;
        }
    }
    count
        .iter()
        .map(|(value, times)| {
            let behind = says
                .iter()
                .filter(|(_, say)| !say.refuted && say.allows(*value))
                .count();
            (behind, *times, *value)
        })
        .max_by(|a, b| (a.0, a.1).cmp(&(b.0, b.1)).then(b.2.cmp(&a.2)))
        .filter(|(behind, _, _)| *behind > 0)
        .map(|(_, _, value)| ruled(value))
}

/// The figure of a rule that a drawn size with a drawing's noise stands for.
fn ruled(value: Length) -> Length {
    let noise = Length::from_ticks(Length::TICKS_PER_MM / 16);
    let steps = [
        Length::TICKS_PER_INCH / 16,
        Length::TICKS_PER_MM,
        Length::TICKS_PER_INCH / 32,
        Length::TICKS_PER_MM / 2,
        Length::TICKS_PER_INCH / 64,
        Length::TICKS_PER_MM / 10,
    ];
    steps
        .into_iter()
        .map(|step| {
            let count = (value.ticks() + step / 2).div_euclid(step);
            Length::from_ticks(count * step)
        })
        .find(|ruled| (*ruled - value).abs() <= noise)
        .unwrap_or(value)
}

enum Solved {
    Unworkable,
    /// The relation does not use the parameter; its value.
    Plain(Length),
    /// What the parameter must be for the relation to give the listed size.
    Needs(Length),
}

/// Solves a relation for the parameter, which it uses in proportion.
fn solve(
    scope: &Scope<'_>,
    expr: &Expr,
    parameter: Option<(&'static str, Most)>,
    listed: Length,
) -> Solved {
    let at = |ticks: i64| -> Option<Ratio> {
        let mut used = Vec::new();
        if let Some((name, _)) = parameter {
            scope.reassume(name, length(Length::from_ticks(ticks)));
        }
        let worked = scope.work_out(expr, &mut used);
        if let Some((name, _)) = parameter {
            scope.forget(name);
        }
        let (worked, _) = worked.ok()?;
        worked.is_length.then_some(worked.value)
    };
    let inch = Length::TICKS_PER_INCH;
    let solved = || -> Option<Solved> {
        let nothing = at(0)?;
        let one = at(inch)?;
        let slope = one.minus(nothing)?;
        if slope.is_zero() {
            return Some(Solved::Plain(nothing.to_length()?));
        }
        let value = Ratio::ticks(listed)
            .minus(nothing)?
            .divided_by(slope)?
            .times(Ratio::whole(i128::from(inch)))?
            .to_length()?;
        Some(Solved::Needs(value))
    };
    solved().unwrap_or(Solved::Unworkable)
}

/// Rows of the lists by cabinet.
struct Rows<'a> {
    by_cabinet: BTreeMap<String, Vec<&'a Row>>,
}

impl<'a> Rows<'a> {
    fn of(lists: &'a [CutList]) -> Self {
        let mut by_cabinet: BTreeMap<String, Vec<&Row>> = BTreeMap::new();
        for row in lists.iter().flat_map(|list| &list.rows) {
            for name in &row.cabinets {
                by_cabinet.entry(cabinet_key(name)).or_default().push(row);
            }
        }
        // Whatever the order of files and rows.
        for rows in by_cabinet.values_mut() {
            rows.sort_by(|a, b| a.source.cmp(&b.source));
        }
        Rows { by_cabinet }
    }

    fn of_role(&self, name: &str, role: Role) -> impl Iterator<Item = &'a Row> {
        self.by_cabinet
            .get(&cabinet_key(name))
            .into_iter()
            .flatten()
            .copied()
            .filter(move |row| row.role() == Some(role))
    }
}

/// The listed sizes that may lie along an axis: the one its heading says, else the
/// usual way the part lies and the other way round.
fn sizes_along(row: &Row, role: Role, axis: Axis) -> Vec<Length> {
    let by_heading = match axis {
        Axis::High => row.size(Dimension::Height),
        Axis::Deep => row.size(Dimension::Depth),
        Axis::Across => None,
    };
    if let Some(cell) = by_heading {
        return vec![cell.value];
    }
    let Some([along, beside, thick]) = role.lie() else {
        return Vec::new();
    };
    let length = row.size(Dimension::Length);
    let width = row.size(Dimension::Width);
    let cells = if axis == thick {
        [row.size(Dimension::Thickness), None]
    } else if axis == along {
        [length, width]
    } else if axis == beside {
        [width, length]
    } else {
        [None, None]
    };
    cells.into_iter().flatten().map(|cell| cell.value).collect()
}

impl Inference {
    pub fn origin(&self) -> Origin {
        Origin::Inferred {
            support: self.support.len(),
            against: self.against.len(),
        }
    }
}

impl InferredAnswer {
    pub fn origin(&self) -> Origin {
        Origin::Inferred {
            support: self.support.len(),
            against: self.against.len(),
        }
    }
}
