//! What a part's size should be: the drawn distance where it is seen whole, else
//! what the shop's rules give, else the least it can be.

use super::bench::Case;
use crate::cabinet::{DrawnPart, Span};
use crate::construction::{Expected, Origin, Rules};
use crate::length::Length;
use crate::trade::{Axis, Role};

/// Deepest joint that hides a part's end, for one end: 1/2 in. Common practice
/// (grooves and rabbets are 1/4 to 3/8 in deep), no source.
const DEEPEST_JOINT_MM: f64 = 12.7;
/// How far a part may run on behind a back that stands in from the rear.
const DEEPEST_BACK_MM: f64 = 40.0;
/// Longer than any part of a cabinet.
const FARTHEST_MM: f64 = 10_000.0;
/// Edges this near are one edge (0.01 in: corners of drawings miss by as much).
const SAME_EDGE_MM: f64 = 0.254;

/// What decides about a size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Want<'a> {
    /// The size it should have, or the least it can have.
    pub value: Length,
    pub certainty: Certainty,
    /// The drawn distance, where the part is drawn along this axis.
    pub span: Option<&'a Span>,
    /// The shop rule used, or the one that says the same as the drawn distance.
    pub rule: Option<&'a Expected<'a>>,
    /// A rule of the job file that the drawn distance contradicts.
    pub contradicted: Option<&'a Expected<'a>>,
    /// Largest difference that passes, inclusive.
    pub tolerance: Length,
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

/// Which opening a part belongs to, and with how many others it shares it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Place {
    pub opening: Option<usize>,
    pub bay: Option<usize>,
    pub count: Option<u32>,
}

impl Place {
    /// Where a drawn part stands.
    pub fn of(case: &Case<'_>, part: &DrawnPart) -> Place {
        let sharing = |opening: usize| {
            case.parts
                .iter()
                .filter(|other| other.role == part.role && other.opening == Some(opening))
                .count() as u32
        };
        Place {
            opening: part.opening,
            bay: None,
            count: part.opening.map(sharing).filter(|n| *n > 0),
        }
    }

    /// Places a part that is not drawn may have, by the rules for its role.
    pub fn possible(case: &Case<'_>, role: Role) -> Vec<Place> {
        let mut places: Vec<Place> = Axis::ALL
            .iter()
            .flat_map(|&axis| case.expected(role, axis))
            .map(|rule| Place {
                opening: rule.opening,
                bay: rule.bay,
                count: rule.count,
            })
            .collect();
        places.sort_unstable();
        places.dedup();
        // What holds for the whole cabinet holds in each of its places as well.
        if places.iter().any(|place| *place != Place::default()) {
            places.retain(|place| *place != Place::default());
        }
        if places.is_empty() {
            places.push(Place::default());
        }
        places
    }

    fn admits(self, rule: &Expected) -> bool {
        (rule.opening.is_none() || self.opening.is_none() || rule.opening == self.opening)
            && (rule.bay.is_none() || self.bay.is_none() || rule.bay == self.bay)
            && (rule.count.is_none() || self.count.is_none() || rule.count == self.count)
    }
}

/// What decides about a size of a part along an axis of its cabinet. The place
/// matters for parts that are not drawn.
pub(super) fn want<'a>(
    rules: &Rules,
    case: &'a Case<'_>,
    role: Role,
    part: Option<&'a DrawnPart>,
    place: Place,
    axis: Axis,
) -> Option<Want<'a>> {
    let role = part.map_or(role, |part| part.role);
    let place = part.map_or(place, |part| Place::of(case, part));
    let span = part.and_then(|part| part.span(axis));
    let said = applicable(case.expected(role, axis), place);
    let decisive = said
        .iter()
        .copied()
        .find(|rule| !matches!(rule.origin, Origin::Inferred { .. }));
    let tolerance = |value: Length| rules.tolerance_at(Some(role), value).value.abs();
    let of_job_file = |rule: &&Expected| matches!(rule.origin, Origin::JobFile { .. });
    match span {
        Some(span) if !span.is_lower_bound() => {
            let value = span.length();
            let tolerance = tolerance(value);
            let same = |rule: &&Expected| (rule.value - value).abs() <= tolerance;
            // Drawn by a relation with boards by their name: built with those on hand.
            let by_name = said.iter().copied().find(|rule| {
                !matches!(rule.origin, Origin::Inferred { .. })
                    && rule
                        .as_drawn
                        .is_some_and(|drawn| (drawn - value).abs() <= tolerance)
            });
            if let Some(rule) = by_name {
                return Some(Want {
                    value: rule.value,
                    certainty: Certainty::Exact,
                    span: Some(span),
                    rule: Some(rule),
                    contradicted: None,
                    tolerance,
                });
            }
            Some(Want {
                value,
                certainty: Certainty::Exact,
                span: Some(span),
                rule: said.iter().copied().find(same),
                // Of several that may be meant, one that agrees is enough.
                contradicted: said
                    .iter()
                    .copied()
                    .find(of_job_file)
                    .filter(|_| !said.iter().any(|rule| of_job_file(rule) && same(rule))),
                tolerance,
            })
        }
        Some(span) => {
            let least = span.length();
            Some(match decisive {
                Some(rule) if rule.value >= least - tolerance(least) => Want {
                    value: rule.value,
                    certainty: Certainty::Exact,
                    span: Some(span),
                    rule: Some(rule),
                    contradicted: None,
                    tolerance: tolerance(rule.value),
                },
                other => Want {
                    value: least,
                    certainty: Certainty::AtLeast {
                        reach: part.map_or(Length::ZERO, |part| reach(case, part, span)),
                    },
                    span: Some(span),
                    rule: None,
                    contradicted: other.filter(of_job_file),
                    tolerance: tolerance(least),
                },
            })
        }
        None => decisive.or(said.first().copied()).map(|rule| Want {
            value: rule.value,
            certainty: if decisive.is_some() {
                Certainty::Exact
            } else {
                Certainty::Hearsay
            },
            span: None,
            rule: Some(rule),
            contradicted: None,
            tolerance: tolerance(rule.value),
        }),
    }
}

/// Rules for this place, strongest first. Where rules for several places differ
/// and the part's own is not known, only those for any place are left.
fn applicable<'a>(rules: &'a [Expected<'a>], place: Place) -> Vec<&'a Expected<'a>> {
    let mut found: Vec<&Expected> = rules.iter().filter(|rule| place.admits(rule)).collect();
    let bound =
        |rule: &&Expected| rule.opening.is_some() || rule.bay.is_some() || rule.count.is_some();
    let mut values = found.iter().copied().filter(bound).map(|rule| rule.value);
    if let Some(first) = values.next()
        && values.any(|value| value != first)
    {
        let strongest = found.iter().map(|rule| &rule.origin).min().cloned();
        let of_strongest = |rule: &&Expected| Some(&rule.origin) == strongest.as_ref();
        let mut values = found.iter().copied().filter(of_strongest).map(|r| r.value);
        let first = values.next();
        // Weaker rules may differ; rules of one strength may not.
        if values.any(|value| Some(value) != first) {
            found.retain(|rule| !bound(rule));
        }
    }
    found.sort_by(|a, b| a.origin.cmp(&b.origin));
    found
}

/// How much longer than drawn a part may be whose ends are hidden. Where it runs
/// against a panel of the case, a joint may hide the rest; where something stands
/// before it, it may go on as far as the case does.
fn reach(case: &Case<'_>, part: &DrawnPart, span: &Span) -> Length {
    let outside = case.overall(span.axis);
    let mut total = 0.0;
    for (edge, upper) in [(&span.lo, false), (&span.hi, true)] {
        if !edge.occluded {
            continue;
        }
        let room = match (outside, upper) {
            (Some(outer), false) => edge.at - outer.lo.at,
            (Some(outer), true) => outer.hi.at - edge.at,
            (None, _) => FARTHEST_MM,
        };
        let deepest = if runs_against_panel(case, part, span.axis, edge.at, upper) {
            match span.axis {
                Axis::Deep => DEEPEST_BACK_MM,
                _ => DEEPEST_JOINT_MM,
            }
        } else {
            FARTHEST_MM
        };
        total += room.clamp(0.0, deepest);
    }
    Length::from_mm(total).unwrap_or_default()
}

/// True when a panel that takes joints begins where this end of a part stops.
fn runs_against_panel(case: &Case<'_>, part: &DrawnPart, axis: Axis, at: f64, upper: bool) -> bool {
    case.parts.iter().any(|other| {
        let takes_joints = matches!(
            other.role,
            Role::Side
                | Role::Divider
                | Role::Back
                | Role::Bottom
                | Role::Top
                | Role::FixedShelf
                | Role::Post
                | Role::EndPanel
        );
        takes_joints
            && !std::ptr::eq::<DrawnPart>(*other, part)
            && other.span(axis).is_some_and(|face| {
                let face = if upper { face.lo.at } else { face.hi.at };
                (face - at).abs() <= SAME_EDGE_MM
            })
    })
}
