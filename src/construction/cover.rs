//! What lies beside an opening: the outside of the case, or a member shared
//! with the next opening. Needed for full-overlay fronts.

use super::scope::Scope;
use crate::cabinet::{Opening, Span};
use crate::length::Length;
use crate::trade::Axis;

/// Panel or frame member between an opening and what lies beyond it.
pub(super) struct Member {
    pub width: Length,
    /// With the next opening; else it ends at the outside of the case.
    pub shared: bool,
}

/// Edges this near are the same edge, millimetres.
const NEAR: f64 = 0.1;

impl Scope<'_> {
    pub(super) fn member(&self, opening: usize, side: &str) -> Result<Member, String> {
        let openings = &self.cabinet.openings;
        let this = openings.get(opening).ok_or_else(String::new)?;
        let (axis, towards_high) = match side {
            "cover.left" => (Axis::Across, false),
            "cover.right" => (Axis::Across, true),
            "cover.below" => (Axis::High, false),
            _ => (Axis::High, true),
        };
        let along = |opening: &Opening| -> Option<Span> { span(opening, axis).cloned() };
        let undrawn = || format!("the {} is not drawn that way", this.name);
        let own = along(this).ok_or_else(undrawn)?;
        if own.is_lower_bound() {
            return Err(undrawn());
        }
        let own_edge = if towards_high { own.hi.at } else { own.lo.at };
        let across = if axis == Axis::Across {
            Axis::High
        } else {
            Axis::Across
        };
        let mut nearest: Option<f64> = None;
        for (index, other) in openings.iter().enumerate() {
            if index == opening || !beside(this, other, across) {
                continue;
            }
            let Some(theirs) = along(other) else { continue };
            let distance = if towards_high {
                theirs.lo.at - own_edge
            } else {
                own_edge - theirs.hi.at
            };
            if distance > -NEAR && nearest.is_none_or(|found| distance < found) {
                nearest = Some(distance);
            }
        }
        if let Some(distance) = nearest {
            return Length::from_mm(distance)
                .map(|width| Member {
                    width,
                    shared: true,
                })
                .ok_or_else(undrawn);
        }
        let overall = if axis == Axis::Across {
            &self.cabinet.overall.width
        } else {
            &self.cabinet.overall.height
        };
        let overall = overall
            .known()
            .ok_or_else(|| "the outside of the case is not measured".to_owned())?;
        let mut outside = if towards_high {
            overall.span.hi.at
        } else {
            overall.span.lo.at
        };
        if axis == Axis::High && !towards_high {
            // Fronts end above the toe space, or above a separate base.
            for name in ["toe.height", "base.height"] {
                if let Ok(known) = self.look_up(name)
                    && let Some(height) = known.value.value.to_length()
                {
                    outside += height.mm();
                    break;
                }
            }
        }
        let distance = if towards_high {
            outside - own_edge
        } else {
            own_edge - outside
        };
        if distance < -NEAR {
            return Err("the opening is drawn outside of the case".to_owned());
        }
        Length::from_mm(distance)
            .map(|width| Member {
                width,
                shared: false,
            })
            .ok_or_else(undrawn)
    }
}

fn span(opening: &Opening, axis: Axis) -> Option<&Span> {
    match axis {
        Axis::Across => opening.across.as_ref(),
        Axis::High => opening.high.as_ref(),
        Axis::Deep => None,
    }
}

/// True when the two openings share some range along `axis`.
fn beside(a: &Opening, b: &Opening, axis: Axis) -> bool {
    match (span(a, axis), span(b, axis)) {
        (Some(a), Some(b)) => a.lo.at.max(b.lo.at) + NEAR < a.hi.at.min(b.hi.at),
        _ => false,
    }
}
