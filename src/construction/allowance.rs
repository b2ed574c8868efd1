//! From cut to finished sizes: what edge band puts on and what planing takes off.

use super::scope::Scope;
use super::{Origin, Rules};
use crate::cabinet::MeasuredCabinet;
use crate::cutlist::{Row, SizeKind};
use crate::length::Length;
use crate::trade::{Axis, Dimension, Family, Role};

/// What stands between a listed cut size and the finished size.
#[derive(Clone, Debug, PartialEq)]
pub struct Allowance {
    /// Finished size less listed size.
    pub add: Length,
    /// "edge band 1 mm on the front edge".
    pub by: String,
    pub origin: Origin,
}

impl Rules {
    /// The allowance the job file states for a size of a row: what is scribed off, or,
    /// for a cut size of a row that does not say itself which edges are banded, band
    /// and saw-out. `None` when there is none to make.
    pub fn allowance(
        &self,
        cabinet: &MeasuredCabinet,
        row: &Row,
        dimension: Dimension,
        axis: Axis,
    ) -> Option<Allowance> {
        let role = row.role()?;
        let scope = Scope::new(self, cabinet);
        let stated = |name: &str| {
            self.stated(cabinet, name)?;
            let known = scope.look_up(name).ok()?;
            Some((known.value.value.to_length()?, known.origin))
        };
        // Scribed parts are listed wider, whatever else their sizes are.
        if let Some((extra, origin)) = scribed(role, axis).and_then(stated) {
            return Some(Allowance {
                add: -extra,
                by: format!(
                    "{} to be scribed",
                    self.print(super::number::Ratio::ticks(extra))
                ),
                origin,
            });
        }
        // A panel may cover the edges of the opening that is drawn.
        let lapped = role == Role::AccessPanel && matches!(axis, Axis::Across | Axis::High);
        if lapped && let Some((lap, origin)) = stated("access-panel.lap") {
            return Some(Allowance {
                add: -(lap * 2),
                by: format!(
                    "{} past its opening at each edge",
                    self.print(super::number::Ratio::ticks(lap))
                ),
                origin,
            });
        }
        if row.size_kind != SizeKind::Cut {
            return None;
        }
        if row.band.is_none()
            && let Some((name, edges)) = banded(role, axis)
        {
            let (band, origin) = stated(name)?;
            let which = if edges == 1 {
                "the front edge"
            } else {
                "both edges"
            };
            return Some(Allowance {
                add: band * edges,
                by: format!(
                    "edge band {} on {which}",
                    self.print(super::number::Ratio::ticks(band))
                ),
                origin,
            });
        }
        let sawn = match dimension {
            Dimension::Length => "saw-out.length",
            Dimension::Width => "saw-out.width",
            _ => return None,
        };
        if !is_solid(role) {
            return None;
        }
        let (extra, origin) = stated(sawn)?;
        Some(Allowance {
            add: -extra,
            by: format!(
                "{} of saw-out",
                self.print(super::number::Ratio::ticks(extra))
            ),
            origin,
        })
    }
}

/// The size by which a part is listed wider, to be scribed to a wall.
const fn scribed(role: Role, axis: Axis) -> Option<&'static str> {
    match (role, axis) {
        (Role::Filler, Axis::Across) => Some("filler.scribe"),
        (Role::EndPanel, Axis::Deep) => Some("end-panel.scribe"),
        _ => None,
    }
}

/// The band a part carries along an axis, and on how many edges.
const fn banded(role: Role, axis: Axis) -> Option<(&'static str, i64)> {
    match (role, axis) {
        (Role::Side | Role::Bottom | Role::Top | Role::Divider | Role::FixedShelf, Axis::Deep) => {
            Some(("band.front", 1))
        }
        (Role::AdjustableShelf, Axis::Deep) => Some(("band.shelf", 1)),
        (Role::Door | Role::DrawerFront, Axis::Across | Axis::High) => Some(("band.door", 2)),
        _ => None,
    }
}

/// Parts that are usually sawn from boards rather than sheets.
fn is_solid(role: Role) -> bool {
    role.family() == Family::FaceFrame
        || matches!(
            role,
            Role::DoorStile
                | Role::DoorRail
                | Role::Post
                | Role::SideRail
                | Role::EndRail
                | Role::Cleat
        )
}
