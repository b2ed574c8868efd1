//! The sides in a front: every long upright near an end has to be explained,
//! and what cannot be told apart stays unknown.

use super::ends::{self, EndLine};
use super::front::{FrontReading, Known};
use super::grid::{Dir, GAP, Grid};
use super::plan::SIDE;
use super::reading::{Range, ViewPart, near};

/// Deepest joint a board is let into a side.
const JOINT: f64 = 20.0;
/// A side's inner edge may stop short of the case by a board let in there.
const SLACK: f64 = 50.0;

pub(super) fn find(
    grid: &Grid,
    reading: &FrontReading,
    known: &Known,
    leaves: &[ViewPart],
) -> Result<(Range, Range), String> {
    let width = reading.right - reading.left;
    let reach = 130.0_f64.min(0.3 * width);
    let height = (reading.low, reading.top);
    let tall: Vec<f64> = ends::tall(grid, (reading.left, reading.left + reach), height, SLACK)
        .into_iter()
        .filter(|x| {
            let mirror = reading.right - (x - reading.left);
            !ends::tall(grid, (mirror - GAP, mirror + GAP), height, SLACK).is_empty()
        })
        .map(|x| x - reading.left)
        .collect();
    let offset = |(a, b): Range| {
        (
            (reading.left + a, reading.left + b),
            (reading.right - b, reading.right - a),
        )
    };
    let has = |x: f64| tall.iter().any(|p| near(*p, x));
    if let Some((l, _)) = known.sides {
        // Both faces, known from a plan, must be drawn here as well.
        if has(l.0) && has(l.1) {
            return Ok(offset(l));
        }
    }
    let framed = known.frame == Some(true) || reading.lattice.is_some();
    let stile = reading.lattice.as_ref().map(|l| l.left.1 - reading.left);
    let leaf_edge = |x: f64| {
        leaves
            .iter()
            .filter_map(|leaf| leaf.h)
            .any(|h| near(h.0, reading.left + x))
    };
    let boards = fixed_ends(grid, reading, known, leaves);
    let Some(end) = boards else {
        return feet(grid, reading, known)
            .map(|s| offset((s.0 - reading.left, s.1 - reading.left)))
            .ok_or_else(|| unseen(framed));
    };
    let is_stile = |x: f64| stile.is_some_and(|s| near(s, x));
    // Inner face: boards end on it or are let in a little.
    let mut inner: Vec<f64> = tall
        .iter()
        .copied()
        .filter(|x| *x >= end - GAP && *x <= end + JOINT)
        .filter(|x| !is_stile(*x) && (!leaf_edge(*x) || near(*x, end)))
        .collect();
    if inner.is_empty() {
        inner = tall
            .iter()
            .copied()
            .filter(|x| *x >= end - GAP && *x <= end + JOINT)
            .collect();
    }
    let Some(&inner) = inner.last() else {
        return Err(unseen(framed));
    };
    // Outer face: the case's own outline, or the first long line behind a frame.
    let mut outer: Vec<f64> = tall
        .iter()
        .copied()
        .filter(|x| inner - x >= SIDE.0 && inner - x <= SIDE.1)
        .filter(|x| !leaf_edge(*x) || near(*x, 0.0))
        .collect();
    if !framed {
        outer.retain(|x| near(*x, 0.0));
    } else if is_stile(inner) {
        outer.retain(|x| !near(*x, 0.0));
    }
    let board = known.bottom.map(|b| b.1 - b.0);
    if outer.len() > 1 {
        let down: Vec<f64> = outer
            .iter()
            .copied()
            .filter(|x| reaches_floor(grid, reading, *x))
            .collect();
        if reading.floor < reading.low - 20.0 && known.base != Some(true) && !down.is_empty() {
            outer = down;
        }
    }
    if outer.len() > 1 {
        // Boards of one stock: the one that makes the side as thick as the bottom.
        let same: Vec<f64> = outer
            .iter()
            .copied()
            .filter(|x| board.is_some_and(|t| near(inner - x, t)))
            .collect();
        if same.len() == 1 {
            outer = same;
        }
    }
    match outer.as_slice() {
        [one] => Ok(offset((*one, inner))),
        [] => Err(unseen(framed)),
        _ => Err(
            "several lines could be the outer face of the sides; a plan or a section would tell"
                .to_owned(),
        ),
    }
}

fn unseen(framed: bool) -> String {
    let before = if framed {
        "the face frame"
    } else {
        "other parts"
    };
    format!(
        "the inner faces of the sides are not drawn, they lie behind {before}; draw hidden edges, a plan or a section across the width"
    )
}

fn reaches_floor(grid: &Grid, reading: &FrontReading, x: f64) -> bool {
    grid.drawn(Dir::Upright, reading.left + x, reading.floor, reading.low)
}

/// Left end of the boards between the sides, measured from the outline: the
/// innermost of those that are fixed.
fn fixed_ends(
    grid: &Grid,
    reading: &FrontReading,
    known: &Known,
    leaves: &[ViewPart],
) -> Option<f64> {
    let lines = ends::mirrored(
        grid,
        (reading.left, reading.right),
        (reading.floor, reading.top),
    );
    let stile = reading.lattice.as_ref().map(|l| l.left.1);
    let rail = |z: f64| {
        reading
            .lattice
            .as_ref()
            .is_some_and(|l| l.rails.iter().any(|r| near(r.0, z) || near(r.1, z)))
    };
    let leaf = |z: f64| {
        leaves
            .iter()
            .filter_map(|l| l.v)
            .any(|v| near(v.0, z) || near(v.1, z))
    };
    let outline = |line: &EndLine| near(line.left, reading.left);
    let candidates = lines.iter().filter(|line| {
        let inside = line.at > reading.low - GAP && line.at < reading.top - GAP;
        // A line seen only between the stiles ends there because they cover it.
        let on_stile = stile.is_some_and(|s| near(s, line.left));
        let covered = on_stile && (!reading.seen_through || rail(line.at));
        inside && !outline(line) && !leaf(line.at) && !covered
    });
    let fixed = |line: &&EndLine| {
        let z = line.at - reading.floor;
        let is = |r: Range| near(r.0, z) || near(r.1, z);
        known.bottom.is_some_and(is) || known.head.is_some_and(|(_, r)| is(r))
    };
    let known_boards = known.bottom.is_some() || known.head.is_some();
    let mut ends: Vec<f64> = candidates
        .filter(|line| !known_boards || fixed(line))
        .map(|line| line.left - reading.left)
        .collect();
    ends.sort_by(f64::total_cmp);
    // Let in a little or butted: the largest end of a fixed board is on or
    // nearest to the inner face.
    ends.last().copied()
}

/// Feet of notched sides below a frame: the sides show there.
fn feet(grid: &Grid, reading: &FrontReading, known: &Known) -> Option<Range> {
    if known.base != Some(false) || reading.low - reading.floor < 20.0 {
        return None;
    }
    let from = reading.left - GAP;
    let lines: Vec<f64> = grid
        .range(Dir::Upright, from, reading.left + 130.0)
        .map(|index| &grid.up[index])
        .filter(|track| track.covers_seen(reading.floor, reading.low))
        .map(|track| track.at)
        .collect();
    match lines.as_slice() {
        [a, b] if b - a >= SIDE.0 && b - a <= SIDE.1 => {
            let closed = grid.drawn(Dir::Level, reading.floor, *a, *b);
            closed.then_some((*a, *b))
        }
        _ => None,
    }
}
