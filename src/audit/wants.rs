//! What a part's size should be: the drawn distance where it is seen whole, else
//! what the shop's rules give, else the least it can be.

use super::bench::Case;
use crate::cabinet::{DrawnPart, Span};
use crate::construction::{Expected, Origin};
use crate::length::Length;
use crate::trade::{Axis, Role};

/// Deepest joint that hides a part's end, for one end: 1/2 in. Common practice
/// (grooves and rabbets are 1/4 to 3/8 in deep), no source.
const DEEPEST_JOINT_MM: f64 = 12.7;
/// How far a part may run on behind a back that stands in from the rear.
const DEEPEST_BACK_MM: f64 = 40.0;

/// What decides about a size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Want<'a> {
    /// The size it should have, or the least it can have.
    pub value: Length,
    pub certainty: Certainty,
    /// The drawn distance, where the part is drawn along this axis.
    pub span: Option<&'a Span>,
    /// The shop rule used, or the one that says the same as the drawn distance.
    pub rule: Option<&'a Expected>,
    /// A rule of the job file that the drawn distance contradicts.
    pub contradicted: Option<&'a Expected>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Certainty {
    Exact,
    /// May be longer by as much: the rest would be hidden.
    AtLeast {
        reach: Length,
    },
    /// Only inferred from the job itself; decides nothing.
    Hearsay,
}

impl Want<'_> {
    /// How far a listed size misses: zero when it is what is wanted, or hidden
    /// ends may explain it.
    pub fn miss(&self, listed: Length) -> Length {
        let difference = listed - self.value;
        match self.certainty {
            Certainty::AtLeast { reach } if difference > Length::ZERO => {
                (difference - reach).max(Length::ZERO)
            }
            _ => difference.abs(),
        }
    }
}

/// What decides about a size of a part along an axis of its cabinet.
pub(super) fn want<'a>(
    case: &'a Case<'_>,
    role: Role,
    part: Option<&'a DrawnPart>,
    axis: Axis,
    tolerance: Length,
) -> Option<Want<'a>> {
    let role = part.map_or(role, |part| part.role);
    let opening = part.and_then(|part| part.opening);
    let span = part.and_then(|part| part.span(axis));
    let rules = applicable(case.expected(role, axis), opening);
    let decisive = rules
        .iter()
        .copied()
        .find(|rule| !matches!(rule.origin, Origin::Inferred { .. }));
    match span {
        Some(span) if !span.is_lower_bound() => {
            let value = span.length();
            let job_file = rules
                .iter()
                .copied()
                .find(|rule| matches!(rule.origin, Origin::JobFile { .. }));
            let same = rules
                .iter()
                .copied()
                .find(|rule| (rule.value - value).abs() <= tolerance);
            Some(Want {
                value,
                certainty: Certainty::Exact,
                span: Some(span),
                rule: same,
                contradicted: job_file.filter(|rule| (rule.value - value).abs() > tolerance),
            })
        }
        Some(span) => Some(match decisive {
            Some(rule) if rule.value >= span.length() - tolerance => Want {
                value: rule.value,
                certainty: Certainty::Exact,
                span: Some(span),
                rule: Some(rule),
                contradicted: None,
            },
            other => Want {
                value: span.length(),
                certainty: Certainty::AtLeast {
                    reach: reach(case, span),
                },
                span: Some(span),
                rule: None,
                contradicted: other.filter(|rule| matches!(rule.origin, Origin::JobFile { .. })),
            },
        }),
        None => decisive.or(rules.first().copied()).map(|rule| Want {
            value: rule.value,
            certainty: if decisive.is_some() {
                Certainty::Exact
            } else {
                Certainty::Hearsay
            },
            span: None,
            rule: Some(rule),
            contradicted: None,
        }),
    }
}

/// Rules for this opening, or for none. Where rules of several openings differ
/// and the part's opening is not known, none of them applies.
fn applicable(rules: &[Expected], opening: Option<usize>) -> Vec<&Expected> {
    let mut found: Vec<&Expected> = rules
        .iter()
        .filter(|rule| rule.opening.is_none() || opening.is_none() || rule.opening == opening)
        .collect();
    if opening.is_none() {
        let mut by_opening = found.iter().filter(|rule| rule.opening.is_some());
        let first = by_opening.next().map(|rule| rule.value);
        if by_opening.any(|rule| Some(rule.value) != first) {
            found.retain(|rule| rule.opening.is_none());
        }
    }
    found.sort_by(|a, b| a.origin.cmp(&b.origin));
    found
}

/// How much longer than drawn a part may be whose ends run against another
/// part's face: never out of the case, never deeper than a joint is cut.
fn reach(case: &Case<'_>, span: &Span) -> Length {
    let deepest = if span.axis == Axis::Deep {
        DEEPEST_BACK_MM
    } else {
        DEEPEST_JOINT_MM
    };
    let outside = case.overall(span.axis);
    let mut total = 0.0;
    if span.lo.occluded {
        let room = outside.map_or(deepest, |outer| span.lo.at - outer.lo.at);
        total += room.clamp(0.0, deepest);
    }
    if span.hi.occluded {
        let room = outside.map_or(deepest, |outer| outer.hi.at - span.hi.at);
        total += room.clamp(0.0, deepest);
    }
    Length::from_mm(total).unwrap_or_default()
}
