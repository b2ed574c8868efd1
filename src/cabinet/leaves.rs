//! Doors and drawer fronts in a front: rectangles with corners of their own,
//! in front of everything else.

use super::front::Known;
use super::grid::{Dir, GAP, Grid};
use super::reading::{Range, ViewPart, near};
use crate::trade::Role;

/// Smallest leaf, millimetres.
const SMALLEST: f64 = 60.0;

/// Finds the leaves inside the outline.
pub(super) fn find(grid: &Grid, outline: Range, height: Range, known: &Known) -> Vec<ViewPart> {
    if known.fronts == Some(false) {
        return Vec::new();
    }
    let seen = grid.seen_only();
    let mut rects = own_corners(&seen, outline, height);
    if !grid.cue {
        rects.extend(pairs(grid, outline));
    }
    for leaf in &known.leaves {
        rects.extend(at_heights(grid, outline, *leaf));
    }
    sort(&mut rects);
    // A panel or a pull inside a leaf is part of it.
    let outer: Vec<Rect2> = rects
        .iter()
        .filter(|r| !rects.iter().any(|o| holds(o, r)))
        .copied()
        .collect();
    let kept: Vec<Rect2> = if !known.leaves.is_empty() {
        let shown = |r: &Rect2| {
            known.leaves.iter().any(|leaf| {
                let same = near(leaf.0, r.1.0) && near(leaf.1, r.1.1);
                same || (grid.cue && leaf.0 <= r.1.0 + GAP && leaf.1 >= r.1.1 - GAP)
            })
        };
        outer.into_iter().filter(shown).collect()
    } else if grid.cue {
        let sure = known.fronts == Some(true) || covers_hidden(grid, &outer);
        if sure { outer } else { tight(&outer, outline) }
    } else {
        tight(&outer, outline)
    };
    kept.iter()
        .map(|(h, v)| {
            let role = role(&kept, *h, *v);
            ViewPart::new(
                role,
                *h,
                *v,
                "rectangle with corners of its own, in front of the case",
            )
        })
        .collect()
}

/// Widest stretch two fronts share; farther apart are the stiles of a framed door.
const SHARED: f64 = 20.0;

/// Takes out what looks like one leaf and is parted in its middle from end to end: two
/// fronts of which one runs on behind the other, or whose gap is closed by lines across
/// it. Gives the stretches from the one's edge to the other's.
pub(super) fn take_crossed(grid: &Grid, leaves: &mut Vec<ViewPart>) -> Vec<Range> {
    let mut out = Vec::new();
    leaves.retain(|leaf| {
        let (Some(h), Some(v)) = (leaf.h, leaf.v) else {
            return true;
        };
        let inside = grid.range(Dir::Upright, h.0 + SMALLEST, h.1 - SMALLEST);
        let lines: Vec<f64> = grid.up[inside]
            .iter()
            .filter(|track| track.covers_seen(v.0, v.1) && track.ends_at(v.0) && track.ends_at(v.1))
            .map(|track| track.at)
            .collect();
        let [a, b] = lines.as_slice() else {
            return true;
        };
        let middle = f64::midpoint(*a, *b) - f64::midpoint(h.0, h.1);
        if b - a > SHARED || middle.abs() > SHARED {
            return true;
        }
        out.push((*a, *b));
        false
    });
    out
}

/// Across and height.
type Rect2 = (Range, Range);

fn sort(rects: &mut Vec<Rect2>) {
    let key = |r: &Rect2| (r.0.0, r.1.0, r.0.1, r.1.1);
    rects.sort_by(|a, b| {
        key(a)
            .partial_cmp(&key(b))
            .unwrap_or(std::cmp::Ordering::Equal)
    });
    let same = |a: &Rect2, b: &Rect2| {
        near(a.0.0, b.0.0) && near(a.0.1, b.0.1) && near(a.1.0, b.1.0) && near(a.1.1, b.1.1)
    };
    // Those that lie a hair apart need not be neighbours in this order.
    let mut kept: Vec<Rect2> = Vec::with_capacity(rects.len());
    for rect in rects.drain(..) {
        if !kept.iter().any(|other| same(other, &rect)) {
            kept.push(rect);
        }
    }
    *rects = kept;
}

fn holds(outer: &Rect2, inner: &Rect2) -> bool {
    let inside = |o: Range, i: Range| o.0 <= i.0 + GAP && o.1 >= i.1 - GAP;
    let same = |o: Range, i: Range| near(o.0, i.0) && near(o.1, i.1);
    inside(outer.0, inner.0)
        && inside(outer.1, inner.1)
        && !(same(outer.0, inner.0) && same(outer.1, inner.1))
}

/// Rectangles whose four corners are the ends of all their lines.
fn own_corners(seen: &Grid, outline: Range, height: Range) -> Vec<Rect2> {
    let mut out = Vec::new();
    for left in &seen.up {
        if left.at < outline.0 - 30.0 || left.at > outline.1 {
            continue;
        }
        for run in &left.runs {
            if run.len() < SMALLEST || run.lo < height.0 - 60.0 || run.hi > height.1 + 60.0 {
                continue;
            }
            // Each end of each line may miss its corner: the lines' own places count.
            let start = |z: f64| {
                let track = &seen.lv[seen.drawn_at(Dir::Level, z)?];
                let level = track.run_at(left.at)?;
                near(level.lo, left.at).then_some((track.at, level.hi))
            };
            let (Some((low, a)), Some((high, b))) = (start(run.lo), start(run.hi)) else {
                continue;
            };
            let Some(right) = seen.drawn_at(Dir::Upright, a).map(|index| &seen.up[index]) else {
                continue;
            };
            if !near(a, right.at) || !near(b, right.at) || right.at - left.at < SMALLEST {
                continue;
            }
            let closed = right
                .run_at(low)
                .is_some_and(|r| near(r.lo, low) && near(r.hi, high));
            // The outline itself, with or without a countertop, is no leaf.
            let whole = near(left.at, outline.0)
                && near(right.at, outline.1)
                && low <= height.0 + GAP
                && high >= height.1 - GAP;
            if closed && !whole {
                out.push(((left.at, right.at), (low, high)));
            }
        }
    }
    out
}

/// Pairs of doors, and fronts as wide as a pair: where hidden edges are drawn
/// like others, lines behind a door run on past its corners, but nothing except
/// the gap between two doors is that narrow and that high.
fn pairs(grid: &Grid, outline: Range) -> Vec<Rect2> {
    let mut out: Vec<Rect2> = Vec::new();
    let wide =
        |lo: f64, hi: f64| hi - lo >= SMALLEST && lo >= outline.0 - GAP && hi <= outline.1 + GAP;
    let mut edges: Vec<(f64, Range, f64)> = Vec::new();
    for track in &grid.lv {
        for two in track.runs.windows(2) {
            let gap = two[1].lo - two[0].hi;
            if gap <= 6.0 && wide(two[0].lo, two[0].hi) && wide(two[1].lo, two[1].hi) {
                edges.push((track.at, (two[0].lo, two[1].hi), two[0].hi));
            }
        }
    }
    for (n, low) in edges.iter().enumerate() {
        let Some(high) = edges
            .iter()
            .skip(n + 1)
            .find(|e| near(e.1.0, low.1.0) && near(e.1.1, low.1.1) && near(e.2, low.2))
        else {
            continue;
        };
        let v = (low.0, high.0);
        let Some(run) = grid.at(Dir::Level, v.0).and_then(|i| {
            let runs = &grid.lv[i].runs;
            runs.iter().find(|run| near(run.hi, low.1.1)).copied()
        }) else {
            continue;
        };
        for h in [(low.1.0, low.2), (run.lo, run.hi)] {
            let h = (grid.upright_near(h.0), grid.upright_near(h.1));
            if v.1 - v.0 >= SMALLEST && closed_sides(grid, h, v) {
                out.push((h, v));
            }
        }
    }
    let Some(union) = edges.first().map(|e| e.1) else {
        return out;
    };
    let union = (grid.upright_near(union.0), grid.upright_near(union.1));
    let same: Vec<f64> = grid
        .lv
        .iter()
        .filter(|track| {
            track
                .runs
                .iter()
                .any(|r| near(r.lo, union.0) && near(r.hi, union.1))
        })
        .map(|track| track.at)
        .collect();
    for two in same.windows(2) {
        let v = (two[0], two[1]);
        let free = !out.iter().any(|(_, o)| o.0 < v.1 - GAP && o.1 > v.0 + GAP);
        if v.1 - v.0 >= SMALLEST && free && closed_sides(grid, union, v) {
            out.push((union, v));
        }
    }
    out
}

fn closed_sides(grid: &Grid, h: Range, v: Range) -> bool {
    grid.drawn(Dir::Upright, h.0, v.0, v.1) && grid.drawn(Dir::Upright, h.1, v.0, v.1)
}

/// Leaves whose lower and upper edge are known from another view.
fn at_heights(grid: &Grid, outline: Range, leaf: Range) -> Vec<Rect2> {
    let (Some(low), Some(high)) = (grid.at(Dir::Level, leaf.0), grid.at(Dir::Level, leaf.1)) else {
        return Vec::new();
    };
    let mut out = Vec::new();
    for run in &grid.lv[low].runs {
        if run.len() < SMALLEST || run.lo < outline.0 - 30.0 || run.hi > outline.1 + 30.0 {
            continue;
        }
        let (left, right) = (grid.upright_near(run.lo), grid.upright_near(run.hi));
        let same = grid.lv[high]
            .runs
            .iter()
            .any(|r| near(r.lo, left) && near(r.hi, right));
        if same && closed_sides(grid, (left, right), leaf) {
            out.push(((left, right), leaf));
        }
    }
    out
}

/// Widest gap between two fronts, and widest reveal of a full-overlay front.
const NARROWEST: f64 = 4.5;

/// Those that stand so close together or to the outline that nothing but fronts
/// can be meant: no frame member is that narrow. A front above or below a pair,
/// as wide as the pair, goes with it.
fn tight(leaves: &[Rect2], outline: Range) -> Vec<Rect2> {
    let mut unions: Vec<Range> = vec![];
    for a in leaves {
        for b in leaves {
            let gap = b.0.0 - a.0.1;
            if gap > GAP && gap <= NARROWEST && near(a.1.0, b.1.0) && near(a.1.1, b.1.1) {
                unions.push((a.0.0, b.0.1));
            }
        }
    }
    let reveal = |h: Range| h.0 - outline.0 <= NARROWEST && outline.1 - h.1 <= NARROWEST;
    leaves
        .iter()
        .filter(|r| {
            let whole = unions.iter().any(|u| near(u.0, r.0.0) && near(u.1, r.0.1));
            let half = unions.iter().any(|u| near(u.0, r.0.0) || near(u.1, r.0.1));
            let mate = leaves.iter().any(|o| {
                let gap = (o.0.0 - r.0.1).max(r.0.0 - o.0.1);
                gap > GAP && gap <= NARROWEST && near(o.1.0, r.1.0) && near(o.1.1, r.1.1)
            });
            whole || (half && mate) || reveal(r.0)
        })
        .copied()
        .collect()
}

/// True when hidden lines run into a leaf from outside: it lies before them.
fn covers_hidden(grid: &Grid, leaves: &[Rect2]) -> bool {
    if !grid.cue {
        return false;
    }
    leaves.iter().any(|(h, v)| {
        grid.up.iter().any(|track| {
            track.at > h.0 + 1.0
                && track.at < h.1 - 1.0
                && track.runs.iter().any(|run| {
                    run.lo < v.1 - 1.0 && run.hi > v.1 + 1.0 && track.seen_share(v.0, v.1) < 0.02
                })
        })
    })
}

/// A drawer front is wider than high and stands alone in its row; doors come in
/// pairs, or are higher than wide, or show their swing.
fn role(leaves: &[Rect2], h: Range, v: Range) -> Role {
    let (wide, high) = (h.1 - h.0, v.1 - v.0);
    let beside = leaves.iter().any(|(oh, ov)| {
        near(ov.0, v.0)
            && near(ov.1, v.1)
            && ((oh.0 - h.1).abs() <= 6.0 || (h.0 - oh.1).abs() <= 6.0)
    });
    if wide > high && !(beside && high > 200.0) {
        Role::DrawerFront
    } else {
        Role::Door
    }
}
