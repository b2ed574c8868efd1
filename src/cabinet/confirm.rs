//! Whether the strips at the ends of a plan are the sides of the case. Seen from above, a
//! closed top hides their inner faces, and what looks like a side may be narrowed by as
//! much as the top is let into it. Another view tells: a front that draws the faces of the
//! strips behind what stands before them or at their feet, an end or a section with
//! stretchers and no top.

use super::front;
use super::grid::{Dir, GAP, Grid, Track};
use super::placed::{Placed, Reading};
use super::reading::{Range, near};
use super::side::SideReading;
use crate::trade::Role;
use crate::view::ViewId;

/// Least and most that a foot shows under what stands before the case.
const FOOT: Range = (50.0, 250.0);
/// Least that a front goes on beside a foot, past either face of the side.
const PAST: f64 = 2.0;
/// Play of an inset front, and the deepest joint a board is let into a side.
const JOINT: Range = (2.9, 20.0);
/// Share of the height that the inner face of a side is drawn over, at least, and that
/// another line beside it may be.
const FACE: f64 = 0.75;
const OTHER: f64 = 0.4;

/// Takes the strips of the plans for the sides where another view shows that they are.
pub(super) fn plans(placed: &mut [Placed], fronts: &[(ViewId, Grid)]) {
    let open = placed.iter().filter_map(Placed::side).any(open_above);
    for placed in placed {
        let Reading::Plan(plan) = &mut placed.reading else {
            continue;
        };
        let (from, to) = plan.outline;
        let off = |r: Range| (r.0 - from, r.1 - from);
        let strips = (off(plan.strips.0), off(plan.strips.1));
        if open
            || fronts
                .iter()
                .any(|(_, front)| draws(front, to - from, strips))
        {
            plan.take_sides();
        }
    }
}

/// True when an end or a section shows stretchers at the front and at the rear, and no
/// top: from above the sides are seen between them.
pub(super) fn open_above(side: &SideReading) -> bool {
    let of = |role: Role| side.parts.iter().filter(move |part| part.role == role);
    of(Role::Stretcher).count() >= 2 && of(Role::Top).next().is_none()
}

/// Inner and outer face of a strip in a front, and which way is out.
type End = (f64, f64, f64);

/// True when a front as wide draws both faces of the strips (from its left outline).
pub(super) fn draws(front: &Grid, wide: f64, strips: (Range, Range)) -> bool {
    let Ok((left, right)) = front::outline(front) else {
        return false;
    };
    if !near(right.at - left.at, wide) || (!front.cue && front.is_crossed(6)) {
        return false;
    }
    let (l, r) = strips;
    let ends: [End; 2] = [
        (left.at + l.1, left.at + l.0, -1.0),
        (left.at + r.0, left.at + r.1, 1.0),
    ];
    let (low, high) = left.extent();
    let foot = |end: &End| stands(front, *end, high);
    let face = |end: &End| is_behind(front, *end, (low, high));
    ends.iter().all(foot) || (front.cue && ends.iter().all(face))
}

/// True when the strip stands on the floor under what is before the case: its inner face
/// is seen there and ends under a line that goes on past the strip.
fn stands(front: &Grid, (inner, outer, out): End, high: f64) -> bool {
    let floor = floor(front);
    let foot = |x: f64| {
        let track = &front.up[front.drawn_at(Dir::Upright, x)?];
        super::grid::run_at(&track.seen, floor)
    };
    let (Some(face), Some(edge)) = (foot(inner), foot(outer)) else {
        return false;
    };
    let long = face.len();
    if !(FOOT.0..=FOOT.1).contains(&long) || long > OTHER * (high - floor) {
        return false;
    }
    let past = |x: f64| {
        let mut levels = front.range(Dir::Level, face.hi - GAP, face.hi + GAP);
        levels.any(|index| {
            let run = front.lv[index].run_at(x);
            run.is_some_and(|run| run.lo <= x - PAST && run.hi >= x + PAST)
        })
    };
    let alone = |track: &Track| {
        near(track.at, inner) || near(track.at, outer) || !track.covers_seen(floor, face.hi)
    };
    let beyond = inner - out * JOINT.1;
    let (from, to) = (beyond.min(outer), beyond.max(outer));
    edge.hi >= face.hi - GAP
        && past(inner)
        && front
            .range(Dir::Upright, from - GAP, to + GAP)
            .all(|index| alone(&front.up[index]))
}

/// True when the inner face is drawn over the height of the case, hidden edges being told
/// apart, and no line a joint's depth further in could be the face in its place. Below a
/// frame only a side goes on to the floor, and what is seen further in may be the frame's.
fn is_behind(front: &Grid, (inner, _, out): End, (low, high): Range) -> bool {
    let longest = |track: &Track| {
        let runs = track.bridged.iter().copied();
        runs.max_by(|a, b| a.len().total_cmp(&b.len()))
    };
    let whole = high - low;
    let face = front
        .drawn_at(Dir::Upright, inner)
        .and_then(|index| longest(&front.up[index]))
        .filter(|run| run.len() >= FACE * whole);
    let Some(face) = face else {
        return false;
    };
    let foot = low - face.lo > FOOT.0 && near(face.lo, floor(front));
    let (near, far) = (inner - out * JOINT.0, inner - out * JOINT.1);
    let rival = |track: &Track| {
        let long = longest(track).is_some_and(|run| run.len() >= OTHER * whole);
        long && !(foot && track.seen_share(low, high) >= 1.0 - OTHER)
    };
    !front
        .range(Dir::Upright, near.min(far), near.max(far))
        .any(|index| rival(&front.up[index]))
}

/// The lowest that anything is seen.
fn floor(front: &Grid) -> f64 {
    let seen = front.up.iter().filter_map(|track| track.seen.first());
    seen.map(|run| run.lo).fold(f64::INFINITY, f64::min)
}
