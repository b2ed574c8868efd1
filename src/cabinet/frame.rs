//! The face frame in a front: stiles run its full height, rails lie between.

use super::ends::{self, EndLine, any_near};
use super::front::Known;
use super::grid::{Dir, GAP, Grid};
use super::reading::{Place, Range, ViewPart, near};
use super::strips::{self, Want};
use crate::trade::Role;

/// Narrowest and widest stile.
const STILE: Range = (18.0, 160.0);
/// A level strip narrower than this is a board behind the frame, not a rail,
/// unless another view shows it crossing the frame.
pub(super) const NARROW: f64 = 26.5;
/// Deepest joint a board is let into a side.
const JOINT: f64 = 14.0;
/// Widest rail.
const RAIL: f64 = 320.0;

#[derive(Clone, Debug)]
pub(super) struct Lattice {
    pub left: Range,
    pub right: Range,
    /// Rails from the lowest up; empty when they could not be told apart.
    pub rails: Vec<Range>,
    /// Mid-stiles: across and height.
    pub mids: Vec<(Range, Range)>,
    /// Clear openings: across and height.
    pub openings: Vec<(Range, Range)>,
}

/// Reads the frame, if there is one whose members can be told.
pub(super) fn read(
    grid: &Grid,
    outline: Range,
    height: Range,
    floor: f64,
    known: &Known,
    leaves: &[ViewPart],
) -> Option<Lattice> {
    if known.frame == Some(false) {
        return None;
    }
    let lines: Vec<EndLine> = ends::mirrored(grid, outline, height)
        .into_iter()
        .filter(|line| {
            !is_leaf(leaves, line.at) && !near(line.at, height.0) && !near(line.at, height.1)
        })
        .collect();
    let crossing: Vec<f64> = known
        .frame_lines
        .iter()
        .map(|z| z + floor)
        .filter(|z| *z > height.0 + GAP && *z < height.1 - GAP)
        .collect();
    let s = stile(grid, outline, height, floor, &lines, &crossing, known)?;
    let wide = s - outline.0;
    let (left, right) = ((outline.0, s), (outline.1 - wide, outline.1));
    let inner = (left.1, right.0);
    let rails = rails(&lines, inner, height, &crossing, known, floor);
    let mut lattice = Lattice {
        left,
        right,
        rails,
        mids: Vec::new(),
        openings: Vec::new(),
    };
    openings(grid, &mut lattice, inner);
    Some(lattice)
}

fn is_leaf(leaves: &[ViewPart], z: f64) -> bool {
    leaves
        .iter()
        .filter_map(|leaf| leaf.v)
        .any(|v| near(v.0, z) || near(v.1, z))
}

/// Inner edge of the left stile: rails end on it.
fn stile(
    grid: &Grid,
    outline: Range,
    height: Range,
    floor: f64,
    lines: &[EndLine],
    crossing: &[f64],
    known: &Known,
) -> Option<f64> {
    let zone = (
        outline.0 + STILE.0,
        outline.0 + STILE.1.min(0.3 * (outline.1 - outline.0)),
    );
    let tall = ends::tall(grid, zone, height, 0.0);
    let symmetric: Vec<f64> = tall
        .into_iter()
        .filter(|s| {
            let mirror = outline.1 - (s - outline.0);
            !ends::tall(grid, (mirror - GAP, mirror + GAP), height, 0.0).is_empty()
        })
        .collect();
    let rail_line = |line: &&EndLine| {
        !known.is_board(line.at - floor) && (crossing.is_empty() || any_near(crossing, line.at))
    };
    let ends_on = |s: f64| {
        lines.iter().filter(rail_line).any(|line| {
            near(line.left, s) || (grid.cue && line.seen.is_some_and(|seen| near(seen.0, s)))
        })
    };
    // The stile covers the edge of the side, so of two posts the inner one is it.
    let s = match symmetric.iter().copied().rfind(|s| ends_on(*s)) {
        Some(s) => s,
        // Every edge of a rail lies level with a board's: then the only long line
        // farther in than the boards' ends is the stile's.
        None if known.frame == Some(true) && !crossing.is_empty() => {
            let shared = lines.iter().filter(|line| any_near(crossing, line.at));
            let end = shared
                .map(|line| line.left)
                .fold(f64::NEG_INFINITY, f64::max);
            let inside: Vec<f64> = symmetric.into_iter().filter(|s| *s > end + JOINT).collect();
            match inside.as_slice() {
                [one] => *one,
                _ => return None,
            }
        }
        None => return None,
    };
    // Without another view a narrow post may as well be the side of a frameless case.
    (known.frame.is_some() || s - outline.0 >= NARROW).then_some(s)
}

/// Rails by their edges, lowest first. Empty when the edges do not pair up.
fn rails(
    lines: &[EndLine],
    inner: Range,
    height: Range,
    crossing: &[f64],
    known: &Known,
    floor: f64,
) -> Vec<Range> {
    if !crossing.is_empty() {
        return paired(crossing.to_vec(), height).unwrap_or_default();
    }
    // Mid rails are made alike: others hint at a board's edge taken for a rail's.
    let alike = |rails: &Vec<Range>| {
        let mids = rails.get(1..rails.len() - 1).unwrap_or_default();
        let wide = |r: &Range| r.1 - r.0;
        mids.windows(2)
            .all(|pair| near(wide(&pair[0]), wide(&pair[1])))
    };
    let whole: Vec<&EndLine> = lines
        .iter()
        .filter(|line| line.left <= inner.0 + GAP && line.right >= inner.1 - GAP)
        .collect();
    let mut ending: Vec<f64> = whole
        .iter()
        .filter(|line| {
            near(line.left, inner.0) || line.seen.is_some_and(|seen| near(seen.0, inner.0))
        })
        .map(|line| line.at)
        .collect();
    let without: Vec<f64> = ending
        .iter()
        .copied()
        .filter(|z| !known.is_board(z - floor))
        .collect();
    for edges in [&without, &ending] {
        let rails = paired(without_boards(edges.clone(), height), height);
        if let Some(rails) = rails.filter(alike) {
            return rails;
        }
    }
    // The edge of a rail that lies level with a board is drawn as one line with
    // it. It is found by the rail being as wide as its fellows.
    ending.retain(|z| !known.is_board(z - floor));
    let mut found: Vec<Vec<Range>> = Vec::new();
    let others: Vec<f64> = whole.iter().map(|line| line.at).collect();
    for low in others.iter().map(|z| Some(*z)).chain([None]) {
        for high in others.iter().map(|z| Some(*z)).chain([None]) {
            let mut edges = ending.clone();
            edges.extend(low.into_iter().chain(high));
            edges.sort_by(f64::total_cmp);
            edges.dedup();
            let Some(rails) = paired(without_boards(edges, height), height) else {
                continue;
            };
            let wide = |r: &Range| r.1 - r.0;
            let alike = rails
                .windows(2)
                .all(|pair| near(wide(&pair[0]), wide(&pair[1])));
            if alike && rails.iter().all(|r| wide(r) >= NARROW) && !found.contains(&rails) {
                found.push(rails);
            }
        }
    }
    match found.as_slice() {
        [one] => one.clone(),
        _ => Vec::new(),
    }
}

/// Edges between the ends of the frame, taken two by two.
fn paired(mut edges: Vec<f64>, height: Range) -> Option<Vec<Range>> {
    edges.insert(0, height.0);
    edges.push(height.1);
    if !edges.len().is_multiple_of(2) {
        return None;
    }
    let rails: Vec<Range> = edges.chunks(2).map(|pair| (pair[0], pair[1])).collect();
    let sound = rails.len() >= 2
        && rails.iter().all(|r| r.1 - r.0 >= 15.0 && r.1 - r.0 <= RAIL)
        && rails.windows(2).all(|pair| pair[1].0 - pair[0].1 >= 40.0);
    sound.then_some(rails)
}

/// Takes out thin strips between the ends of the frame: boards seen through the
/// openings.
fn without_boards(edges: Vec<f64>, height: Range) -> Vec<f64> {
    let mut out: Vec<f64> = Vec::with_capacity(edges.len());
    let first = edges.first().copied();
    for z in edges {
        let thin = out.last().is_some_and(|before| {
            z - before < NARROW && Some(*before) != first && height.1 - z > 2.0 * NARROW
        });
        if thin {
            out.pop();
        } else {
            out.push(z);
        }
    }
    out
}

/// Openings between the rails, divided by mid-stiles.
fn openings(grid: &Grid, lattice: &mut Lattice, inner: Range) {
    let rails = lattice.rails.clone();
    for pair in rails.windows(2) {
        let clear = (pair[0].1, pair[1].0);
        let window = grid.window(inner, clear);
        let want = Want {
            dir: Dir::Upright,
            thick: (NARROW, 160.0),
            long: clear.1 - clear.0,
            slack: 0.0,
            crosses: 0,
            bridge: true,
        };
        let mut mids: Vec<Range> = Vec::new();
        for strip in strips::find(&window, want) {
            let alone = strip.t0 > inner.0 + 40.0 && strip.t1 < inner.1 - 40.0;
            // A member ends at the rails; an edge behind runs past them.
            let ends = |at: f64| {
                grid.at(Dir::Upright, at)
                    .is_some_and(|i| grid.up[i].ends_at(clear.0) && grid.up[i].ends_at(clear.1))
            };
            if alone && ends(strip.t0) && ends(strip.t1) {
                mids.push((strip.t0, strip.t1));
            }
        }
        mids.dedup_by(|b, a| b.0 < a.1);
        let mut from = inner.0;
        for mid in &mids {
            lattice.openings.push(((from, mid.0), clear));
            lattice.mids.push((*mid, clear));
            from = mid.1;
        }
        lattice.openings.push(((from, inner.1), clear));
    }
}

/// The members as parts. `covered` tells that joints may be unseen.
pub(super) fn parts(lattice: &Lattice, height: Range, covered: bool) -> Vec<ViewPart> {
    let why = "member of the face frame";
    let mut out = vec![
        ViewPart::new(Role::Stile, lattice.left, height, why).placed(Place::Left),
        ViewPart::new(Role::Stile, lattice.right, height, why).placed(Place::Right),
    ];
    let inner = (lattice.left.1, lattice.right.0);
    for rail in &lattice.rails {
        let mut part = ViewPart::new(Role::Rail, inner, *rail, why);
        part.covered = [covered, covered, false, false];
        out.push(part);
    }
    for (h, v) in &lattice.mids {
        let mut part = ViewPart::new(Role::MidStile, *h, *v, why);
        part.covered = [false, false, covered, covered];
        out.push(part);
    }
    out
}
