//! The sides in a front: every long upright near an end has to be explained,
//! and what cannot be told apart stays unknown.

use super::ends::{self, EndLine};
use super::front::{FrontReading, Known};
use super::grid::{Dir, GAP, Grid};
use super::plan::SIDE;
use super::reading::{Range, ViewPart, near};

/// Deepest joint a board is let into a side.
const JOINT: f64 = 20.0;
/// Most play of an inset front at its side.
const INSET: f64 = 4.0;
/// Shallowest joint.
const SHALLOWEST: f64 = 3.0;
/// A side's inner edge may stop short of the case by a board let in there.
const SLACK: f64 = 50.0;

pub(super) fn find(
    grid: &Grid,
    all: &Grid,
    reading: &FrontReading,
    known: &Known,
    leaves: &[ViewPart],
) -> Result<(Range, Range), String> {
    let width = reading.right - reading.left;
    let reach = 130.0_f64.min(0.3 * width);
    let height = (reading.low, reading.top);
    let tall: Vec<f64> = ends::tall(grid, (reading.left, reading.left + reach), height, SLACK)
        .into_iter()
        // Among visible edges alone a face ends where something closes it; the
        // edge of a door does not.
        .filter(|x| reading.seen_through || near(*x, reading.left) || closed(grid, reading, *x))
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
    if let Some((l, _)) = known.sides {
        // Both faces, known from a plan, must be drawn here as well.
        let has = |x: f64| {
            let at = reading.left + x;
            !ends::tall(all, (at - GAP, at + GAP), height, SLACK).is_empty()
        };
        if has(l.0) && has(l.1) {
            return Ok(offset(l));
        }
    }
    let framed = known.frame == Some(true) || reading.lattice.is_some();
    let stile = reading.lattice.as_ref().map(|l| l.left.1 - reading.left);
    // A line that goes on past the doors, to the top or the foot of the case, is
    // more than the edge of a door.
    let beyond = |x: f64| {
        grid.at(Dir::Upright, reading.left + x)
            .is_some_and(|index| {
                let runs = &grid.up[index].bridged;
                runs.iter().any(|run| {
                    near(run.lo, height.0) || run.lo < height.0 || near(run.hi, height.1)
                })
            })
    };
    let leaf_edge = |x: f64| {
        leaves
            .iter()
            .filter_map(|leaf| leaf.h)
            .any(|h| near(h.0, reading.left + x))
            && !beyond(x)
    };
    let boards = if reading.shows_inside(known, leaves) {
        fixed_ends(grid, reading, known, leaves)
    } else {
        None
    };
    let Some(end) = boards else {
        return feet(grid, reading, known)
            .map(|s| offset((s.0 - reading.left, s.1 - reading.left)))
            .ok_or_else(|| unseen(framed));
    };
    let is_stile = |x: f64| stile.is_some_and(|s| near(s, x));
    // Every pair of long lines that could be a side: boards end on its inner face
    // or are let in a little, its outer face is the outline or lies behind a frame.
    let mut pairs: Vec<Range> = Vec::new();
    for inner in tall.iter().copied() {
        let joint = inner - end;
        // The play of an inset front is too shallow to be a joint.
        let reached = (-GAP..=JOINT).contains(&joint) && (joint <= GAP || joint >= SHALLOWEST);
        if !reached || (leaf_edge(inner) && !near(inner, end)) {
            continue;
        }
        for outer in tall.iter().copied() {
            let outline = near(outer, 0.0);
            let thick = inner - outer;
            // Without the stiles told apart, the strip at the end may be one.
            let stile_like = match (stile, known.bottom) {
                (Some(_), _) => is_stile(inner),
                (None, Some(board)) => !near(thick, board.1 - board.0),
                (None, None) => true,
            };
            let placed = if framed {
                !(outline && stile_like)
            } else {
                outline
            };
            if thick >= SIDE.0 && thick <= SIDE.1 && placed && (outline || !leaf_edge(outer)) {
                pairs.push((outer, inner));
            }
        }
    }
    if pairs.is_empty() {
        return Err(unseen(framed));
    }
    let stands = reading.floor < reading.low - 20.0 && known.base != Some(true);
    if stands {
        keep(&mut pairs, |p| reaches_floor(grid, reading, p.0));
    }
    pairs.retain(|p| !narrower_feet(grid, reading, *p));
    if pairs.is_empty() {
        return Err(unseen(true));
    }
    if let (true, Some(board)) = (pairs.len() > 1, known.bottom) {
        // Sides and bottom are of one stock.
        keep(&mut pairs, |p| near(p.1 - p.0, board.1 - board.0));
    }
    if pairs.len() > 1 && !framed {
        // What is let into a side ends inside it: the innermost line is its face,
        // unless it stands off by no more than the play of an inset front.
        let most = pairs.iter().map(|p| p.1).fold(0.0, f64::max);
        if !pairs
            .iter()
            .any(|p| most - p.1 > GAP && most - p.1 <= INSET)
        {
            pairs.retain(|p| near(p.1, most));
        }
    }
    // A lone line that far from the inner edge of the stile or the end of the
    // boards may be the front's.
    let stock = known.bottom.map(|board| board.1 - board.0);
    pairs.retain(|p| {
        let off = |x: f64| p.1 - x > GAP && p.1 - x <= INSET;
        let inset = stile.is_some_and(off);
        !inset || stock.is_some_and(|t| near(p.1 - p.0, t))
    });
    match pairs.as_slice() {
        [one] => Ok(offset(*one)),
        _ => Err(unclear()),
    }
}

/// Least that a stile is wider than the side behind it.
const WIDER: f64 = 3.0;

/// True when a strip at the left end (from the left outline) ends above the floor, and the
/// foot of a thinner board is seen below it: that is the side, and the strip the stile
/// before it.
pub(super) fn narrower_feet(grid: &Grid, reading: &FrontReading, (outer, inner): Range) -> bool {
    if reading.low - reading.floor < 20.0 || reaches_floor(grid, reading, inner) {
        return false;
    }
    let (from, to) = (reading.left + outer - GAP, reading.left + inner + GAP);
    let lines = grid.range(Dir::Upright, from, to).map(|i| &grid.up[i]);
    let feet: Vec<f64> = lines
        .filter(|track| track.covers_seen(reading.floor, reading.low))
        .map(|track| track.at)
        .collect();
    feet.windows(2).any(|pair| {
        let thick = pair[1] - pair[0];
        thick >= SIDE.0 && thick <= inner - outer - WIDER
    })
}

/// Keeps what passes, unless nothing does.
fn keep(pairs: &mut Vec<Range>, passes: impl Fn(&Range) -> bool) {
    if pairs.iter().any(&passes) {
        pairs.retain(passes);
    }
}

/// Both ends of the upright lie on lines that come from the outline or from
/// inside the side. The edge of a door ends in corners of its own.
fn closed(grid: &Grid, reading: &FrontReading, x: f64) -> bool {
    let Some(index) = grid.at(Dir::Upright, x) else {
        return false;
    };
    let runs = &grid.up[index].bridged;
    let (Some(first), Some(last)) = (runs.first(), runs.last()) else {
        return false;
    };
    // The underside of a countertop comes from beyond the case.
    let from = |z: f64| {
        if near(z, reading.top) {
            f64::NEG_INFINITY
        } else {
            reading.left - GAP
        }
    };
    let passes = |z: f64| {
        grid.range(Dir::Level, z - GAP, z + GAP).any(|index| {
            let run = grid.lv[index].run_at(x);
            run.is_some_and(|run| run.lo < x - 2.0 && run.lo >= from(z))
        })
    };
    [first.lo, last.hi].into_iter().all(passes)
}

fn unclear() -> String {
    "several lines could be the faces of the sides; a plan would tell".to_owned()
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
