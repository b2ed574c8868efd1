//! Backs put together from boards: the joints between them cross the strip the
//! back is seen as, straight or lapped.

use super::grid::{Dir, GAP, Grid};
use super::reading::{Range, ViewPart, near};
use super::strips::Strip;

/// Narrowest board.
const NARROWEST: f64 = 30.0;
/// Deepest lap.
const LAP: f64 = 30.0;

/// The strip's part once for each board of the back, from the lowest up (or from the
/// left): the part itself for a back of one piece, and without a size along the
/// strip where the joints cannot be told.
pub(super) fn boards(grid: &Grid, strip: &Strip, part: ViewPart) -> Vec<ViewPart> {
    let joints = joints(grid, strip);
    let ranges = ranges(strip, &joints);
    match (ranges.len(), joints.len()) {
        (0, 0 | 1) => vec![part],
        (0, _) => vec![ViewPart { v: None, ..part }],
        _ => ranges
            .into_iter()
            .map(|range| ViewPart {
                v: Some(range),
                ..part.clone()
            })
            .collect(),
    }
}

/// Where each board begins and ends; empty when they are not alike.
fn ranges(strip: &Strip, joints: &[Range]) -> Vec<Range> {
    if joints.is_empty() {
        return Vec::new();
    }
    let mut from = strip.a;
    let mut out = Vec::with_capacity(joints.len() + 1);
    for joint in joints {
        out.push((from, joint.1));
        from = joint.0;
    }
    out.push((from, strip.b));
    let wide = |r: &Range| r.1 - r.0;
    // Boards are alike; the first and the last may have been ripped to fit.
    let inner = out.get(1..out.len() - 1).unwrap_or_default();
    let like = inner.first().map_or_else(|| wide(&out[0]), wide);
    let ends = [out.first(), out.last()];
    let alike = inner.iter().all(|r| near(wide(r), like))
        && ends.iter().flatten().all(|r| wide(r) <= like + GAP);
    if alike && out.iter().all(|r| wide(r) >= NARROWEST) {
        out
    } else {
        Vec::new()
    }
}

/// Each joint from where the next board begins to where this one ends: the same
/// for boards that butt.
fn joints(grid: &Grid, strip: &Strip) -> Vec<Range> {
    let (front, rear) = (strip.t0, strip.t1);
    let mut out = Vec::new();
    // The first half of a lap: its height and whether it lies at the front.
    let mut half: Option<(f64, bool)> = None;
    for index in grid.range(Dir::Level, strip.a + GAP + 1.0, strip.b - GAP - 1.0) {
        let track = &grid.lv[index];
        // The edge of a shelf may lie in one line with a joint.
        let own = track
            .runs
            .iter()
            .find(|run| run.hi > front + 1.0 && run.lo < rear - 1.0 && run.hi <= rear + GAP);
        let Some(own) = own else { continue };
        let step = match (own.lo <= front + GAP, near(own.hi, rear)) {
            (true, true) => {
                if near(own.lo, front) {
                    out.push((track.at, track.at));
                }
                continue;
            }
            (true, false) => own.hi,
            (false, true) => own.lo,
            (false, false) => continue,
        };
        let at_front = step == own.hi;
        match half.take() {
            Some((z, other))
                if other != at_front
                    && track.at - z <= LAP
                    && grid.drawn(Dir::Upright, step, z, track.at) =>
            {
                out.push((z, track.at));
            }
            _ => half = Some((track.at, at_front)),
        }
    }
    out
}
