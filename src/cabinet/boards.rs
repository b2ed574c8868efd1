//! Boards in a front, seen edge-on between the sides: bottom, top, stretchers,
//! shelves and dividers.

use super::front::{FrontReading, Known};
use super::grid::{Dir, GAP, Grid, Track};
use super::plan::DEEPEST;
use super::reading::{Owned, Place, Range, ViewPart, near, panels};
use super::strips::Want;
use crate::linework::SNAP_MM;
use crate::trade::Role;

pub(super) fn read(grid: &Grid, reading: &mut FrontReading, known: &Known) {
    let mut found: Vec<ViewPart> = Vec::new();
    let covered = !reading.seen_through;
    let lift = |r: Range| (r.0 + reading.floor, r.1 + reading.floor);
    if let Some(z) = known.bottom {
        found.extend(at(grid, reading, known, Role::Bottom, z));
    }
    if let Some((role, z)) = known.head {
        let drawn = at(grid, reading, known, role.unwrap_or(Role::Top), z);
        if !drawn.is_empty() {
            reading.head = Some((role, lift(z)));
        }
        // Seen from the front alone it may be a top or a stretcher.
        if role.is_some() {
            found.extend(drawn);
        }
    }
    for z in &known.shelves {
        found.extend(at(grid, reading, known, Role::AdjustableShelf, *z));
    }
    let level = known.shelves.iter().map(|z| (Role::AdjustableShelf, *z));
    let level = level.chain(known.bottom.map(|z| (Role::Bottom, z)));
    let level = level.chain(known.head.and_then(|(role, z)| Some((role?, z))));
    reading.torn = level
        .filter(|(role, _)| found.iter().all(|part| part.role != *role))
        .filter_map(|(role, z)| other_thickness(grid, reading, role, lift(z)))
        .collect();
    if let Ok((l, r)) = reading.sides {
        // A shelf that touches the sides is fixed; one with play lies on pins.
        for part in &mut found {
            let Some(h) = part.h else { continue };
            if part.role == Role::AdjustableShelf
                && (h.0 <= l.1 + GAP || h.1 >= r.0 - GAP)
                && !covered
            {
                part.role = Role::FixedShelf;
            }
        }
        dividers(grid, reading, (l.1, r.0), &found.clone(), &mut found);
    }
    let_in_alike(reading, &mut found);
    reading.parts.extend(found);
}

/// Bottom and top are joined to the sides in one way as a rule. Where no hidden edge is
/// drawn and one of them is seen to be let in, the ends of the other may go on unseen.
fn let_in_alike(reading: &FrontReading, found: &mut [ViewPart]) {
    let Ok((l, r)) = &reading.sides else { return };
    if reading.seen_through {
        return;
    }
    let structural = |part: &ViewPart| matches!(part.role, Role::Bottom | Role::Top);
    let let_in = |part: &ViewPart| {
        part.h.is_some_and(|h| {
            (h.0 > l.0 + GAP && h.0 < l.1 - GAP) && (h.1 > r.0 + GAP && h.1 < r.1 - GAP)
        })
    };
    if !found.iter().any(|part| structural(part) && let_in(part)) {
        return;
    }
    for part in found.iter_mut().filter(|part| structural(part)) {
        if part.h.is_some_and(|h| near(h.0, l.1) && near(h.1, r.0)) {
            part.covered[0] = true;
            part.covered[1] = true;
        }
    }
}

/// A board drawn with another thickness than in the view it is known from. Heights on
/// the sheet.
#[derive(Clone, Debug)]
pub(super) struct Torn {
    pub role: Role,
    pub drawn: Range,
    pub known: Range,
}

/// Most by which two drawings of one board differ; a nosing stands out further.
const TORN: f64 = 6.0;

/// The board that has one face where another view has it and the other one elsewhere,
/// drawn from side to side of an open front.
fn other_thickness(grid: &Grid, reading: &FrontReading, role: Role, z: Range) -> Option<Torn> {
    let (l, r) = reading.sides.as_ref().ok()?;
    if !reading.bare {
        return None;
    }
    let across = |z: f64| grid.drawn(Dir::Level, z, l.1, r.0);
    let mut drawn = Vec::new();
    for index in grid.range(Dir::Level, z.0 - TORN, z.1 + TORN) {
        let at = grid.lv[index].at;
        for pair in [(z.0, at), (at, z.1)] {
            let thick = pair.1 - pair.0;
            let off = (thick - (z.1 - z.0)).abs();
            if thick > TORN
                && off > 2.0 * SNAP_MM
                && off <= TORN
                && across(pair.0)
                && across(pair.1)
            {
                drawn.push(pair);
            }
        }
    }
    match drawn.as_slice() {
        [only] => Some(Torn {
            role,
            drawn: *only,
            known: z,
        }),
        _ => None,
    }
}

/// Thickest board lying flat.
const THICKEST: f64 = 46.0;

/// A board at a height known from another view: one part a bay.
fn at(
    grid: &Grid,
    reading: &FrontReading,
    known: &Known,
    role: Role,
    above: Range,
) -> Vec<ViewPart> {
    let z = (above.0 + reading.floor, above.1 + reading.floor);
    let (Some(low), Some(high)) = (grid.at(Dir::Level, z.0), grid.at(Dir::Level, z.1)) else {
        return Vec::new();
    };
    let mut out = Vec::new();
    for common in overlaps(&grid.lv[low], &grid.lv[high]) {
        if common.1 - common.0 < 60.0
            || common.0 < reading.left - GAP
            || common.1 > reading.right + GAP
        {
            continue;
        }
        // The ends must be drawn; a line that runs on is cut at the closing upright.
        let Some(h) = closed(grid, reading, common, z) else {
            continue;
        };
        // Behind a frame a board is seen in the openings alone, and none on edge lies
        // over the sides.
        let behind = reading.lattice.is_some() && !reading.seen_through;
        let on_edge = z.1 - z.0 > THICKEST;
        if (behind || on_edge) && (h.0 <= reading.left + GAP || h.1 >= reading.right - GAP) {
            continue;
        }
        let mut part = ViewPart::new(role, h, z, "level board, at the height another view shows");
        let [a, b] = hidden_ends(grid, reading, known, role, h, above);
        part.covered = [a, b, false, false];
        out.push(part);
    }
    out
}

/// Whether a board may go on unseen at its left and right end. A joint shows in
/// the front edges of the case; behind them, or behind a frame or fronts, it does
/// not. An end that stands clear of the sides is the board's own.
fn hidden_ends(
    grid: &Grid,
    reading: &FrontReading,
    known: &Known,
    role: Role,
    h: Range,
    above: Range,
) -> [bool; 2] {
    if reading.seen_through {
        return [false; 2];
    }
    let structural = matches!(role, Role::Bottom | Role::Top | Role::Stretcher);
    if reading.bare && (known.is_flush(above) || (!known.boards_seen && structural)) {
        return [false; 2];
    }
    let Ok((l, r)) = &reading.sides else {
        return [true; 2];
    };
    // A gap between the board and what stands beside it shows its end.
    let clear = |x: f64, inner: f64| {
        let gap = (x - inner).abs();
        reading.bare && gap > GAP && gap < 20.0 && grid.at(Dir::Upright, inner).is_some()
    };
    [!clear(h.0, l.1), !clear(h.1, r.0)]
}

fn overlaps(a: &Track, b: &Track) -> Vec<Range> {
    let mut out = Vec::new();
    for p in &a.runs {
        for q in &b.runs {
            let (lo, hi) = (p.lo.max(q.lo), p.hi.min(q.hi));
            if hi > lo {
                out.push((lo, hi));
            }
        }
    }
    out
}

/// Narrows a stretch to the uprights that close it over the board's thickness.
fn closed(grid: &Grid, reading: &FrontReading, common: Range, z: Range) -> Option<Range> {
    let caps = |x: f64| grid.drawn(Dir::Upright, x, z.0, z.1);
    if caps(common.0) && caps(common.1) {
        let outline = near(common.0, reading.left) && near(common.1, reading.right);
        if !outline {
            return Some(common);
        }
    }
    let (l, r) = reading.sides.as_ref().ok()?;
    if !caps(l.1) && !caps(r.0) && caps(l.0) && caps(r.1) {
        // It lies over the sides, or they stand on it.
        return Some((l.0, r.1));
    }
    // Both lines run to the outline: the board lies between the inner faces.
    (common.0 <= l.1 + GAP && common.1 >= r.0 - GAP && caps(l.1) && caps(r.0)).then_some((l.1, r.0))
}

/// Highest that a bottom lies above the lowest line: a toe space's.
const LOWEST: f64 = 160.0;

/// Without another view: level strips from side to side. Gives the heights of
/// what was found, above the floor, as another view would.
pub(super) fn heights(grid: &Grid, reading: &FrontReading, known: &Known) -> Known {
    let mut owned = Owned::default();
    let (l, r, low, top) = (reading.left, reading.right, reading.low, reading.top);
    owned.take_rect((l, r), (low, top));
    if let Some(lattice) = &reading.lattice {
        // Whatever ends on the stiles is an edge of the frame.
        let inner = (lattice.left.1, lattice.right.0);
        for track in &grid.lv {
            if track
                .runs
                .iter()
                .any(|run| near(run.lo, inner.0) && near(run.hi, inner.1))
            {
                owned.take(Dir::Level, track.at, l, r);
            }
        }
        for rail in &lattice.rails {
            owned.take_rect(inner, *rail);
        }
    }
    for leaf in &reading.parts {
        if let (Some(h), Some(v)) = (leaf.h, leaf.v) {
            owned.take_rect(h, v);
        }
    }
    let want = Want {
        dir: Dir::Level,
        thick: (9.0, super::faces::PANEL.1),
        long: 0.5 * (r - l),
        slack: 0.0,
        crosses: 0,
        bridge: true,
    };
    // The edge of a door is not the edge of a board behind it.
    let leaf = |z: f64| {
        let leaves = reading.parts.iter().filter_map(|part| part.v);
        leaves.into_iter().any(|v| near(v.0, z) || near(v.1, z))
    };
    let window = grid.window((l, r), (low, top));
    // Nothing tells whether a frame stands before the case: then what is wide,
    // or ends far from the outline, may be a frame's.
    let plain = reading.seen_through || known.frame == Some(false);
    let strips = panels(&window, want, &mut owned, |s| {
        let narrow = s.t1 - s.t0 <= super::frame::NARROW && s.a - l <= super::frame::NARROW;
        // The outer faces of bottom and top are drawn in one line with the outline.
        let own = grid.cue || s.matched() || near(s.t0, low) || near(s.t1, top);
        near(s.a - l, r - s.b) && own && !leaf(s.t0) && !leaf(s.t1) && (plain || narrow)
    });
    // Where hidden edges look like any other, the edge of a back let into the
    // board is drawn inside it: a line a joint's depth further in may be the
    // true inner face, and one so much lower the true underside of a bottom.
    let rival = |from: f64, to: f64| grid.has_run(Dir::Level, (from, to), 0.5 * (r - l));
    let unsure = |n: usize, s: &super::strips::Strip| {
        !grid.cue
            && (((n == 0 || near(s.t0, low)) && rival(s.t1 + GAP, s.t1 + DEEPEST))
                || (n == 0 && rival(s.t0 - DEEPEST, s.t0 - GAP))
                || (near(s.t1, top) && rival(s.t0 - DEEPEST, s.t0 - GAP)))
    };
    let mut out = known.clone();
    let count = strips.len();
    for (n, strip) in strips.iter().enumerate() {
        if unsure(n, strip) {
            continue;
        }
        let z = (strip.t0 - reading.floor, strip.t1 - reading.floor);
        let lowest = n == 0 && strip.t0 <= low + LOWEST;
        if n == 0 && strip.t1 <= low + 0.34 * (top - low) {
            // Higher up it may be a shelf, over a bottom that is not seen.
            if lowest {
                out.bottom = Some(z);
            }
        } else if lowest {
            // In a low cabinet that may be either, over a toe space or on the floor.
        } else if n + 1 == count && strip.t1 >= top - 60.0 {
            out.head = Some((None, z));
        } else {
            out.shelves.push(z);
        }
    }
    out
}

/// Narrowest bay between a side and a divider.
const BAY: f64 = 60.0;

/// Upright boards between bottom and top, or between other level boards.
fn dividers(
    grid: &Grid,
    reading: &FrontReading,
    inner: Range,
    boards: &[ViewPart],
    out: &mut Vec<ViewPart>,
) {
    let floor = boards
        .iter()
        .find(|p| p.role == Role::Bottom)
        .and_then(|p| p.v)
        .map_or(reading.low, |v| v.1);
    let ceiling = boards
        .iter()
        .find(|p| matches!(p.role, Role::Top | Role::Stretcher))
        .and_then(|p| p.v)
        .or(reading.head.map(|(_, z)| z))
        .map_or(reading.top, |v| v.0);
    let mut owned = Owned::default();
    owned.take_rect(inner, (floor, ceiling));
    if let Some(lattice) = &reading.lattice {
        for stile in [lattice.left, lattice.right] {
            owned.take_rect(stile, (reading.low, reading.top));
        }
        for (h, v) in &lattice.mids {
            owned.take_rect(*h, *v);
        }
    }
    for leaf in &reading.parts {
        if let (Some(h), Some(v)) = (leaf.h, leaf.v) {
            owned.take_rect(h, v);
        }
    }
    // A fixed shelf from side to side ends a divider.
    let mut levels = vec![(floor, floor), (ceiling, ceiling)];
    let across = |h: Range| h.0 <= inner.0 + GAP && h.1 >= inner.1 - GAP;
    let fixed = boards.iter().filter(|p| p.role == Role::FixedShelf);
    levels.extend(
        fixed
            .filter(|p| p.h.is_some_and(across))
            .filter_map(|p| p.v),
    );
    levels.sort_by(|a, b| a.0.total_cmp(&b.0));
    let whole = (levels.len() == 2).then_some((floor, ceiling, 0.45));
    let bays = levels
        .windows(2)
        .filter(|_| whole.is_none())
        .filter_map(|pair| match pair {
            [below, above] if above.0 - below.1 > BAY => Some((below.1, above.0, 0.9)),
            _ => None,
        });
    // The edge of a door is no face of a divider, unless it is of the sides' stock.
    let leaf = |x: f64| {
        let mut leaves = reading
            .parts
            .iter()
            .filter(|part| matches!(part.role, Role::Door | Role::DrawerFront));
        leaves.any(|leaf| leaf.h.is_some_and(|h| near(h.0, x) || near(h.1, x)))
    };
    let stock = reading.sides.as_ref().ok().map(|(l, _)| l.1 - l.0);
    let fits = |s: &super::strips::Strip| {
        let own = !leaf(s.t0) && !leaf(s.t1);
        let alike = stock.is_some_and(|thick| near(thick, s.t1 - s.t0));
        s.matched() && s.cornered() && (own || alike)
    };
    for (low, high, share) in whole.into_iter().chain(bays) {
        let want = Want {
            dir: Dir::Upright,
            thick: (9.0, 40.0),
            long: share * (high - low),
            slack: 0.0,
            crosses: 0,
            bridge: true,
        };
        let window = grid.window((inner.0 + BAY, inner.1 - BAY), (low, high));
        for strip in panels(&window, want, &mut owned, fits) {
            let why = "upright board between the sides";
            let mut part = ViewPart::from_strip(Role::Divider, &strip, why);
            // A line that runs on into the board at its end shows a joint there.
            let runs_on = |z: f64| {
                [strip.t0, strip.t1].iter().any(|x| {
                    let track = grid.at(Dir::Upright, *x).map(|index| &grid.up[index]);
                    track.is_some_and(|track| !track.ends_at(z))
                })
            };
            let hidden = |z: f64| runs_on(z) || !(reading.seen_through || reading.bare);
            part.covered = [false, false, hidden(strip.a), hidden(strip.b)];
            out.push(part.placed(Place::Only));
        }
    }
}
