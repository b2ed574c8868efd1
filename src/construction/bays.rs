//! The clear widths between sides and dividers.

use super::scope::Known;
use super::seen::from_span;
use crate::cabinet::{MeasuredCabinet, Span};
use crate::trade::{Axis, Role};

/// Nothing that stands in a bay narrower than this (3 in) is a shelf.
const NARROWEST_MM: f64 = 76.2;
/// More than this are something else, and would take long.
const MOST_DIVIDERS: usize = 60;
/// Heights this near are one, millimetres.
const NEAR_MM: f64 = 1.0;

/// Every clear width there is, each once, narrow ones left out: `[None]` (the whole
/// interior) without dividers; empty when dividers are drawn but not across.
pub(super) fn bays(cabinet: &MeasuredCabinet) -> Vec<Option<Known>> {
    let mut dividers: Vec<Upright<'_>> = Vec::new();
    for part in &cabinet.parts {
        if part.role != Role::Divider || part.flat {
            continue;
        }
        let Some(across) = part.across.as_ref() else {
            return Vec::new();
        };
        dividers.push(Upright {
            across,
            high: part.high.as_ref(),
        });
    }
    if dividers.is_empty() {
        return vec![None];
    }
    if dividers.len() > MOST_DIVIDERS {
        return Vec::new();
    }
    let Some(interior) = cabinet.interior.width.known() else {
        return Vec::new();
    };
    dividers.sort_by(|a, b| a.across.lo.at.total_cmp(&b.across.lo.at));
    // Dividers need not reach all the way: at each height those that stand there count.
    let mut found: Vec<Option<Known>> = Vec::new();
    for level in levels(cabinet, &dividers) {
        let standing = dividers.iter().filter(|divider| divider.stands_at(level));
        let mut left = &interior.span.lo;
        let mut plain = true;
        let ends = standing
            .map(|divider| (&divider.across.lo, Some(&divider.across.hi)))
            .chain([(&interior.span.hi, None)]);
        for (end, next) in ends {
            let bay = Span {
                axis: Axis::Across,
                lo: left.clone(),
                hi: end.clone(),
                view: interior.span.view,
            };
            plain &= next.is_none();
            let known = if plain {
                // No divider at this height: the whole interior.
                Some(None)
            } else if bay.mm() >= NARROWEST_MM {
                from_span(&bay).ok().map(Some)
            } else {
                None
            };
            if let Some(known) = known
                && !found.contains(&known)
            {
                found.push(known);
            }
            left = next.unwrap_or(end);
        }
    }
    found
}

struct Upright<'a> {
    across: &'a Span,
    high: Option<&'a Span>,
}

impl Upright<'_> {
    fn stands_at(&self, level: f64) -> bool {
        self.high
            .is_none_or(|high| high.lo.at < level && level < high.hi.at)
    }
}

/// One height for each stretch between ends of dividers.
fn levels(cabinet: &MeasuredCabinet, dividers: &[Upright<'_>]) -> Vec<f64> {
    let interior = cabinet
        .interior
        .height
        .known()
        .map(|measure| (measure.span.lo.at, measure.span.hi.at));
    let mut ends: Vec<f64> = dividers
        .iter()
        .filter_map(|divider| divider.high)
        .flat_map(|high| [high.lo.at, high.hi.at])
        .chain(interior.into_iter().flat_map(|(low, high)| [low, high]))
        .filter(|end| {
            interior.is_none_or(|(low, high)| low - NEAR_MM < *end && *end < high + NEAR_MM)
        })
        .collect();
    ends.sort_by(f64::total_cmp);
    ends.dedup_by(|a, b| (*a - *b).abs() < NEAR_MM);
    let levels: Vec<f64> = ends
        .windows(2)
        .filter_map(|pair| match pair {
            [low, high] => Some(f64::midpoint(*low, *high)),
            _ => None,
        })
        .collect();
    if levels.is_empty() { vec![0.0] } else { levels }
}
