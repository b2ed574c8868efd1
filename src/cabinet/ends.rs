//! Where the level lines of a front end, at the left and at the right: boards
//! end in or on the sides, rails end on the stiles, doors end where they end.

use super::grid::{GAP, Grid};
use super::reading::{Range, near};

/// A level line that ends alike at the left and at the right.
#[derive(Clone, Copy, Debug)]
pub(super) struct EndLine {
    pub at: f64,
    /// Left and right end.
    pub left: f64,
    pub right: f64,
    /// Where its visible part begins and ends, when it has one.
    pub seen: Option<Range>,
}

/// Lines of the front whose ends mirror each other about its middle.
pub(super) fn mirrored(grid: &Grid, outline: Range, height: Range) -> Vec<EndLine> {
    let (x0, x1) = outline;
    let reach = 0.35 * (x1 - x0);
    let mut out = Vec::new();
    for index in grid.range(super::grid::Dir::Level, height.0, height.1) {
        let track = &grid.lv[index];
        let left = track
            .runs
            .iter()
            .find(|run| run.lo >= x0 - GAP && run.lo <= x0 + reach && run.hi > run.lo + 20.0);
        let right = track
            .runs
            .iter()
            .rev()
            .find(|run| run.hi <= x1 + GAP && run.hi >= x1 - reach && run.hi > run.lo + 20.0);
        let (Some(left), Some(right)) = (left, right) else {
            continue;
        };
        if (left.lo - x0 - (x1 - right.hi)).abs() > 2.0 * GAP {
            continue;
        }
        let seen = match (track.seen.first(), track.seen.last()) {
            (Some(a), Some(b)) => Some((a.lo, b.hi)),
            _ => None,
        };
        out.push(EndLine {
            at: track.at,
            left: left.lo,
            right: right.hi,
            seen,
        });
    }
    out
}

/// True when one of the lines lies at this height.
pub(super) fn any_near(list: &[f64], z: f64) -> bool {
    list.iter().any(|p| near(*p, z))
}

/// Uprights drawn over the whole height of the front, by position; `bridged`
/// joins the mouths of grooves. `slack` is how much may miss at each end.
pub(super) fn tall(grid: &Grid, zone: Range, height: Range, slack: f64) -> Vec<f64> {
    grid.range(super::grid::Dir::Upright, zone.0, zone.1)
        .map(|index| &grid.up[index])
        .filter(|track| {
            track
                .bridged
                .iter()
                .any(|run| run.lo <= height.0 + slack + GAP && run.hi >= height.1 - slack - GAP)
        })
        .map(|track| track.at)
        .collect()
}
