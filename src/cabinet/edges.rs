//! Every drawn edge position by axis, named where it could be: the pool in
//! which another distance of the cabinet is looked for.

use super::grid::{Dir, Track};
use super::placed::Placed;
use super::{DrawnPart, Edge};
use crate::linework::SNAP_MM;
use crate::trade::Axis;
use crate::view::ViewId;

/// Shortest line that counts as an edge, millimetres.
const SHORTEST: f64 = 5.0;

/// All edge positions, by view, axis and position.
pub(super) fn pool(views: &[Placed], parts: &[DrawnPart]) -> Vec<(ViewId, Axis, Edge)> {
    let mut out = Vec::new();
    for placed in views {
        for (dir, axis, origin) in [
            (Dir::Upright, placed.axes.0, placed.origin.0),
            (Dir::Level, placed.axes.1, placed.origin.1),
        ] {
            let named = known(parts, placed.id, axis);
            for track in placed.grid.tracks(dir) {
                if longest(track) < SHORTEST {
                    continue;
                }
                let at = track.at - origin;
                let names: Vec<&str> = named
                    .iter()
                    .filter(|edge| (edge.at - at).abs() <= SNAP_MM)
                    .map(|edge| edge.name.as_str())
                    .collect();
                let mut edge = placed.edge(axis, track.at, String::new(), false);
                edge.name = joined(&names);
                out.push((placed.id, axis, edge));
            }
        }
    }
    out
}

fn longest(track: &Track) -> f64 {
    track.runs.iter().map(|run| run.len()).fold(0.0, f64::max)
}

/// Named edges of the parts along an axis, in part order.
fn known(parts: &[DrawnPart], view: ViewId, axis: Axis) -> Vec<&Edge> {
    parts
        .iter()
        .filter_map(|part| part.span(axis))
        .filter(|span| span.view == view)
        .flat_map(|span| [&span.lo, &span.hi])
        .collect()
}

/// At most two names: the rest would not help a person.
fn joined(names: &[&str]) -> String {
    let mut distinct: Vec<&str> = Vec::new();
    for name in names {
        if !distinct.contains(name) {
            distinct.push(name);
        }
    }
    distinct.truncate(2);
    distinct.join(", ")
}
