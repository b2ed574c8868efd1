//! Drawer boxes: in an end or a section a front and a back of one height with a
//! bottom between them, in a front two sides of that height with the same bottom.
//! Only what both views show alike is a box.

use super::grid::{Dir, Grid};
use super::placed::{Placed, Reading, Turned};
use super::reading::{Place, Range, ViewPart, near, same_range};
use super::strips::{self, Strip, Want};
use crate::trade::Role;

/// Thinnest and thickest stock of a box.
const STOCK: Range = (8.0, 21.0);
/// Thinnest and thickest bottom.
const BOTTOM: Range = (2.5, 19.5);
/// Lowest box.
const LOWEST: f64 = 35.0;
/// Shortest and narrowest box.
const SMALLEST: f64 = 100.0;

/// Two strips of one height and what lies between them.
#[derive(Clone, Copy, Debug)]
struct Box {
    /// The front, or the left side.
    first: Range,
    /// The back, or the right side.
    last: Range,
    high: Range,
    /// Where the bottom runs, and at which height.
    bottom: Range,
    level: Range,
}

/// Adds the members of every drawer box to the readings of the front and of the
/// ends and sections that show it.
pub(super) fn find(views: &mut [Placed]) {
    let inside = |placed: &Placed| -> Option<Range> {
        match &placed.reading {
            Reading::Front(front) => Some((front.left, front.right)),
            Reading::Side(side) => Some((side.faces.chain.first().copied()?, side.faces.rear)),
            _ => None,
        }
    };
    let mut fronts: Vec<(usize, Vec<Box>)> = Vec::new();
    let mut sides: Vec<(usize, Vec<Box>)> = Vec::new();
    for (index, placed) in views.iter().enumerate() {
        let Some(room) = inside(placed).filter(|_| placed.turned == Turned::Sure) else {
            continue;
        };
        let found = boxes(&placed.grid, room);
        match placed.reading {
            Reading::Front(_) => fronts.push((index, found)),
            _ => sides.push((index, found)),
        }
    }
    let lift = |views: &[Placed], index: usize, r: Range| {
        let floor = views[index].origin.1;
        (r.0 - floor, r.1 - floor)
    };
    let mut new: Vec<(usize, ViewPart)> = Vec::new();
    let mut known: Vec<(usize, Box)> = Vec::new();
    for (front, across) in &fronts {
        for wide in across {
            let same = |index: usize, deep: &Box| {
                same_range(
                    lift(views, index, deep.high),
                    lift(views, *front, wide.high),
                ) && same_range(
                    lift(views, index, deep.level),
                    lift(views, *front, wide.level),
                )
            };
            for (side, deeps) in &sides {
                let mut alike = deeps.iter().filter(|deep| same(*side, deep));
                let (Some(deep), None) = (alike.next(), alike.next()) else {
                    continue;
                };
                let between = between(views, (*front, wide), (*side, deep));
                known.extend([(*front, *wide), (*side, *deep)]);
                new.extend(
                    front_parts(wide, between)
                        .into_iter()
                        .map(|part| (*front, part)),
                );
                new.extend(
                    side_parts(deep, between)
                        .into_iter()
                        .map(|part| (*side, part)),
                );
            }
        }
    }
    // The bottom of a box is no shelf.
    for (index, own) in known {
        parts_of(&mut views[index]).retain(|part| !is_bottom(part, &own));
    }
    for (index, part) in new {
        let parts = parts_of(&mut views[index]);
        // Two sections show the same box in one front.
        let known = parts.iter().any(|other| {
            other.role == part.role
                && other.place == part.place
                && other.h == part.h
                && other.v == part.v
        });
        if !known {
            parts.push(part);
        }
    }
}

fn parts_of(placed: &mut Placed) -> &mut Vec<ViewPart> {
    match &mut placed.reading {
        Reading::Front(front) => &mut front.parts,
        Reading::Side(side) => &mut side.parts,
        Reading::Plan(plan) => &mut plan.parts,
        Reading::Posts(posts) => &mut posts.parts,
    }
}

/// True for what was taken for a shelf and lies in a box.
fn is_bottom(part: &ViewPart, own: &Box) -> bool {
    let within =
        |r: Option<Range>, of: Range| r.is_some_and(|r| r.0 >= of.0 - 0.3 && r.1 <= of.1 + 0.3);
    matches!(part.role, Role::AdjustableShelf | Role::FixedShelf)
        && within(part.h, (own.first.0, own.last.1))
        && within(part.v, own.high)
}

/// True when a plan shows front and back between the sides.
fn between(views: &[Placed], front: (usize, &Box), side: (usize, &Box)) -> bool {
    let (wide, deep) = (front.1, side.1);
    let (x, y) = (views[front.0].origin.0, views[side.0].origin.0);
    views.iter().any(|placed| {
        if placed.plan().is_none() || placed.turned != Turned::Sure {
            return false;
        }
        let grid = placed.under.as_ref().unwrap_or(&placed.grid);
        let inner = (
            wide.first.1 - x + placed.origin.1,
            wide.last.0 - x + placed.origin.1,
        );
        // The inner faces of front and back end on the sides.
        [deep.first.1, deep.last.0].iter().all(|face| {
            let at = face - y + placed.origin.0;
            grid.at(Dir::Upright, at).is_some_and(|index| {
                grid.up[index]
                    .bridged
                    .iter()
                    .any(|run| near(run.lo, inner.0) && near(run.hi, inner.1))
            })
        })
    })
}

fn front_parts(wide: &Box, between: bool) -> Vec<ViewPart> {
    let mut parts = vec![
        ViewPart::new(Role::BoxSide, wide.first, wide.high, WHY).placed(Place::Left),
        ViewPart::new(Role::BoxSide, wide.last, wide.high, WHY).placed(Place::Right),
        ViewPart::new(Role::BoxBottom, wide.bottom, wide.level, WHY),
    ];
    for role in [Role::BoxFront, Role::BoxBack] {
        let mut part = ViewPart::new(role, (wide.first.1, wide.last.0), wide.high, WHY);
        if !between {
            part.h = None;
        }
        parts.push(part);
    }
    parts
}

fn side_parts(deep: &Box, between: bool) -> Vec<ViewPart> {
    let mut side = ViewPart::new(Role::BoxSide, (deep.first.0, deep.last.1), deep.high, WHY);
    if !between {
        side.h = None;
    }
    vec![
        side,
        ViewPart::new(Role::BoxFront, deep.first, deep.high, WHY),
        ViewPart::new(Role::BoxBack, deep.last, deep.high, WHY),
        ViewPart::new(Role::BoxBottom, deep.bottom, deep.level, WHY),
    ]
}

const WHY: &str = "member of a drawer box: two strips of one height with a bottom between them";

/// Boxes seen in one view, inside the case.
fn boxes(grid: &Grid, room: Range) -> Vec<Box> {
    let want = Want {
        dir: Dir::Upright,
        thick: STOCK,
        long: LOWEST,
        slack: 0.0,
        crosses: 0,
        bridge: true,
    };
    let window = grid.window(room, (f64::MIN, f64::MAX));
    let own: Vec<Strip> = strips::find(&window, want)
        .into_iter()
        // The inner face at least is the member's own line.
        .filter(|s| s.cornered() && (own_run(grid, s.t0, s) || own_run(grid, s.t1, s)))
        .collect();
    let mut out: Vec<Box> = Vec::new();
    for (n, first) in own.iter().enumerate() {
        for last in own.iter().skip(n + 1) {
            let thick = |s: &Strip| s.t1 - s.t0;
            let alike = near(first.a, last.a)
                && near(first.b, last.b)
                && near(thick(first), thick(last))
                && last.t0 - first.t1 >= SMALLEST;
            if !alike || !own_run(grid, first.t1, first) || !own_run(grid, last.t0, last) {
                continue;
            }
            let closed = [first.a, first.b]
                .iter()
                .all(|z| grid.drawn(Dir::Level, *z, first.t0, last.t1));
            if !closed {
                continue;
            }
            if let Some((bottom, level)) = bottom(grid, first, last) {
                out.push(Box {
                    first: (first.t0, first.t1),
                    last: (last.t0, last.t1),
                    high: (first.a, first.b),
                    bottom,
                    level,
                });
            }
        }
    }
    // Of boxes that share a member, none is sure.
    let shares = |a: &Box, b: &Box| {
        let overlap = |p: Range, q: Range| p.0 < q.1 && q.0 < p.1;
        overlap(a.high, b.high) && overlap((a.first.0, a.last.1), (b.first.0, b.last.1))
    };
    let alone: Vec<Box> = out
        .iter()
        .enumerate()
        .filter(|(n, one)| {
            out.iter()
                .enumerate()
                .all(|(m, other)| m == *n || !shares(one, other))
        })
        .map(|(_, one)| *one)
        .collect();
    alone
}

/// True when a line runs as far as the strip and no farther.
fn own_run(grid: &Grid, at: f64, strip: &Strip) -> bool {
    grid.at(Dir::Upright, at).is_some_and(|index| {
        grid.up[index]
            .bridged
            .iter()
            .any(|run| near(run.lo, strip.a) && near(run.hi, strip.b))
    })
}

/// The one bottom between two members: a thin level strip that ends in or on both.
fn bottom(grid: &Grid, first: &Strip, last: &Strip) -> Option<(Range, Range)> {
    let want = Want {
        dir: Dir::Level,
        thick: BOTTOM,
        long: last.t0 - first.t1,
        slack: 0.0,
        crosses: 0,
        bridge: true,
    };
    let window = grid.window((first.t0, last.t1), (first.a, first.b));
    let mut found = strips::find(&window, want).into_iter().filter(|s| {
        let ends = s.a <= first.t1 + 0.3 && s.b >= last.t0 - 0.3;
        ends && s.matched() && near(s.a - first.t0, last.t1 - s.b)
    });
    match (found.next(), found.next()) {
        (Some(one), None) => Some(((one.a, one.b), (one.t0, one.t1))),
        _ => None,
    }
}
