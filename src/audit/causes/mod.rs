//! Why a figure is wrong. Every kind of cause says which wrong figures it would
//! have led to; the one at hand is compared with them. What counts is how
//! unlikely a chance match would have been: a kind that could have explained
//! half of all figures explains none.

mod cabinets;
mod digits;
mod distance;
mod offset;
mod text;
mod unit;
mod whole;

use super::bench::Bench;
use super::checks::Check;
use super::fit::cell_at;
use super::group::{Group, Root};
use super::knowns::{KnownsByCase, axis_noun};
use super::types::{Cause, CauseKind, MeasuredBetween};
use crate::cabinet::Span;
use crate::length::Length;
use crate::trade::{Axis, Role};
use std::collections::BTreeMap;

pub(super) use whole::quantity;

/// Everything causes are looked for in.
pub(super) struct Ground<'a> {
    pub bench: &'a Bench<'a>,
    pub checks: &'a [Check<'a>],
    pub knowns: &'a KnownsByCase<'a>,
    pub elsewhere: cabinets::Elsewhere,
}

impl<'a> Ground<'a> {
    pub fn new(
        bench: &'a Bench<'a>,
        checks: &'a [Check<'a>],
        knowns: &'a KnownsByCase<'a>,
    ) -> Self {
        Ground {
            bench,
            checks,
            knowns,
            elsewhere: cabinets::Elsewhere::new(bench, checks),
        }
    }
}

/// A wrong figure and what it should have been.
#[derive(Clone, Debug)]
struct Figure<'a> {
    listed: Length,
    wanted: Length,
    /// What is put on the figure as written before it is compared: edge band.
    band: Length,
    case: usize,
    axis: Axis,
    /// "the height of the left side".
    what: String,
    /// The row size, unless the figure is a size of the cabinet that follows from one.
    check: Option<&'a Check<'a>>,
    role: Option<Role>,
    /// The right distance, where it is drawn.
    span: Option<&'a Span>,
    /// How far rounding goes in its list.
    slack: Length,
    /// Where the mistake shows most directly: the principal row, or the overall
    /// size a case is built to. What follows from it is weaker evidence.
    main: bool,
}

impl Figure<'_> {
    fn off(&self) -> Length {
        self.listed - self.wanted
    }

    /// The listed and the wanted figure as a hand would write them.
    fn written(&self) -> (Length, Length) {
        (self.listed - self.band, self.wanted - self.band)
    }

    fn is_imperial(&self, bench: &Bench<'_>) -> bool {
        self.check
            .and_then(|check| cell_at(bench.rows.get(check.row)?, check.size))
            .map_or(bench.show.unit.is_imperial(), |cell| {
                cell.unit.is_imperial()
            })
    }

    /// The chance that some figure wrong by about as much would be within
    /// rounding of one of so many candidates that lie as near.
    fn chance(&self, candidates: usize) -> f64 {
        let width = 2.0 * self.slack.mm() * candidates.max(1) as f64;
        let room = 4.0 * self.off().abs().mm();
        if room <= 0.0 {
            1.0
        } else {
            (width / room).clamp(1e-4, 1.0)
        }
    }

    /// True when a value lies as near to the right one that it competes.
    fn competes(&self, value: Length) -> bool {
        (value - self.wanted).abs() <= self.off().abs() * 2
            && (value - self.wanted).abs() > self.slack
    }

    /// Bits a match loses for being off by rounding.
    fn blur(&self, value: Length) -> f64 {
        let slack = self.slack.mm();
        if slack <= 0.0 {
            0.0
        } else {
            1.5 * (self.listed - value).abs().mm() / slack
        }
    }

    fn matches(&self, value: Length) -> bool {
        (self.listed - value).abs() <= self.slack
    }
}

/// A cause with its weight of evidence, in bits.
#[derive(Clone, Debug)]
struct Found {
    kind: CauseKind,
    sentence: String,
    evidence: Vec<String>,
    taken: Option<MeasuredBetween>,
    bits: f64,
    /// Looks at the difference alone, which is one for all figures of a group.
    by_difference: bool,
}

impl Found {
    fn new(kind: CauseKind, prior: f64, chance: f64, sentence: String) -> Self {
        Found {
            kind,
            sentence,
            evidence: Vec::new(),
            taken: None,
            bits: prior - chance.log2(),
            by_difference: false,
        }
    }

    fn because(mut self, evidence: String) -> Self {
        self.evidence.push(evidence);
        self
    }
}

/// Below this a match may well be chance and is not shown.
const LEAST_BITS: f64 = 2.5;
/// Rivals this much weaker than the best are not within reach of it.
const REACH_BITS: f64 = 4.0;
const MOST_CAUSES: usize = 4;
/// Members of a group that are looked at one by one.
const MOST_MEMBERS: usize = 24;

/// Likely causes of a group, most likely first.
pub(super) fn find(ground: &Ground<'_>, group: &Group) -> Vec<Cause> {
    let mut best: BTreeMap<CauseKind, (usize, Found)> = BTreeMap::new();
    let mut fired: BTreeMap<CauseKind, usize> = BTreeMap::new();
    let members: Vec<&Check<'_>> = group
        .members
        .iter()
        .take(MOST_MEMBERS)
        .filter_map(|index| ground.checks.get(*index))
        .collect();
    let figures = figures(ground, group, &members);
    let from_rows = members.len();
    let all = shares_one_figure(&group.root);
    // More figures tried, more chance matches.
    let cost = if all {
        (figures.len().max(1) as f64).log2()
    } else {
        0.0
    };
    for (place, figure) in figures.iter().enumerate() {
        let mut kinds: Vec<CauseKind> = Vec::new();
        for mut found in test(ground, figure, figure.main || !all) {
            if !found.by_difference {
                found.bits -= cost;
            }
            if !figure.main && all {
                found.bits -= 3.0;
            }
            if found.bits < LEAST_BITS {
                continue;
            }
            kinds.push(found.kind);
            match best.get(&found.kind) {
                Some((_, held)) if held.bits >= found.bits => {}
                _ => {
                    best.insert(found.kind, (place, found));
                }
            }
        }
        kinds.sort_unstable();
        kinds.dedup();
        for kind in kinds.into_iter().filter(|_| place < from_rows) {
            *fired.entry(kind).or_default() += 1;
        }
    }
    for found in whole::test(ground, group) {
        fired.insert(found.kind, group.members.len());
        match best.get(&found.kind) {
            Some((_, held)) if held.bits >= found.bits => {}
            _ => {
                best.insert(found.kind, (0, found));
            }
        }
    }
    let mut ranked: Vec<(usize, Found)> = best
        .into_values()
        .map(|(_, found)| {
            let explains = if all {
                group.members.len()
            } else {
                fired.get(&found.kind).copied().unwrap_or(1).max(1)
            };
            (explains, found)
        })
        .collect();
    ranked.sort_by(|(explains_a, a), (explains_b, b)| {
        explains_b
            .cmp(explains_a)
            .then_with(|| b.bits.total_cmp(&a.bits))
            .then_with(|| a.kind.cmp(&b.kind))
    });
    let Some((most, strongest)) = ranked.first().map(|(n, found)| (*n, found.bits)) else {
        return Vec::new();
    };
    ranked
        .into_iter()
        .filter(|(explains, found)| *explains == most && found.bits >= strongest - REACH_BITS)
        .take(MOST_CAUSES)
        .map(|(explains, found)| Cause {
            kind: found.kind,
            sentence: found.sentence,
            evidence: found.evidence,
            explains,
            taken: found.taken,
        })
        .collect()
}

/// Whether one wrong figure of the cabinet stands behind all members, so that
/// what explains one explains all.
fn shares_one_figure(root: &Root) -> bool {
    matches!(
        root,
        Root::Measure { .. } | Root::Toe { .. } | Root::Alone { .. }
    )
}

/// The members' figures, then the cabinet's own sizes that follow from them.
fn figures<'a>(ground: &Ground<'a>, group: &Group, members: &[&'a Check<'a>]) -> Vec<Figure<'a>> {
    let mut out: Vec<Figure<'a>> = members
        .iter()
        .filter_map(|check| of_check(ground, check))
        .collect();
    if let Some(first) = out.first_mut() {
        first.main = true;
    }
    if let (Root::Measure { case, axis, off }, true) = (&group.root, group.members.len() > 1) {
        let slack = out.first().map(|figure| figure.slack).unwrap_or_default();
        let at = &ground.bench.cases[*case];
        let mut add = |span: Option<&'a Span>, what: String, main: bool| {
            if let Some(span) = span {
                let wanted = span.length();
                if out.iter().any(|held| (held.wanted - wanted).abs() <= slack) {
                    return;
                }
                out.push(Figure {
                    listed: wanted + *off,
                    wanted,
                    band: Length::ZERO,
                    case: *case,
                    axis: *axis,
                    what,
                    check: None,
                    role: None,
                    span: Some(span),
                    slack,
                    main,
                });
            }
        };
        add(
            at.overall(*axis),
            format!("the overall {}", axis_noun(*axis)),
            true,
        );
        add(
            at.interior(*axis),
            format!("the interior {}", axis_noun(*axis)),
            false,
        );
    }
    out
}

fn of_check<'a>(ground: &Ground<'a>, check: &'a Check<'a>) -> Option<Figure<'a>> {
    let want = check.want?;
    let (case, axis) = (check.case?, check.axis?);
    let row = ground.bench.rows.get(check.row)?;
    let what = match check.part {
        Some(part) => format!("the {} of the {}", axis_noun(axis), part.name),
        None => format!("the {} of the {}", axis_noun(axis), row.part),
    };
    Some(Figure {
        listed: check.listed,
        wanted: want.value,
        band: cell_at(row, check.size).map_or(Length::ZERO, |cell| check.listed - cell.value),
        case,
        axis,
        what,
        check: Some(check),
        role: check.role,
        span: check.span(),
        slack: ground
            .bench
            .half_step(check.row, check.size)
            .min(check.tolerance),
        main: false,
    })
}

/// Every kind of cause tried on one figure; what only looks at the difference is
/// the same for all figures of a group and tried on one of them.
fn test(ground: &Ground<'_>, figure: &Figure<'_>, offsets: bool) -> Vec<Found> {
    let mut out = Vec::new();
    distance::test(ground, figure, &mut out);
    if offsets {
        let from = out.len();
        offset::test(ground, figure, &mut out);
        for found in out.iter_mut().skip(from) {
            found.by_difference = true;
        }
    }
    cabinets::test(ground, figure, &mut out);
    digits::test(ground, figure, &mut out);
    text::test(ground, figure, &mut out);
    unit::test(ground, figure, &mut out);
    out
}
