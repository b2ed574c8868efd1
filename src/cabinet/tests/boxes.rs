//! Views of a few rectangles, for tests of what reads them.

use crate::cabinet::grid::Grid;
use crate::linework::{RawSegment, SNAP_MM, clean};
use geo::Coord;

/// Left, right, low, high.
pub(super) type Box = (f64, f64, f64, f64);

/// A view of seen rectangles and hidden ones; `cue` where the two are told apart.
pub(super) fn grid(seen: &[Box], hidden: &[Box], cue: bool) -> Grid {
    Grid::new(&clean(&segments(seen, hidden), SNAP_MM), cue)
}

/// The edges of seen rectangles and of hidden ones.
pub(super) fn segments(seen: &[Box], hidden: &[Box]) -> Vec<RawSegment> {
    let mut segments = Vec::new();
    let all = seen.iter().map(|b| (b, false));
    for ((x0, x1, y0, y1), hidden) in all.chain(hidden.iter().map(|b| (b, true))) {
        let corners = [(*x0, *y0), (*x1, *y0), (*x1, *y1), (*x0, *y1)];
        for (n, a) in corners.iter().enumerate() {
            let b = corners[(n + 1) % 4];
            segments.push(RawSegment {
                a: Coord { x: a.0, y: a.1 },
                b: Coord { x: b.0, y: b.1 },
                hidden,
                source: 0,
            });
        }
    }
    segments
}
