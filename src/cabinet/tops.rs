//! Countertops: a slab on the case, drawn edge-on in a front and in an end or a
//! section, as wide and as deep as the case or more.

use super::grid::{Dir, GAP, Grid};
use super::placed::{Placed, Reading};
use super::reading::{Range, ViewPart, near};
use crate::trade::{Axis, Role};

/// Thinnest and thickest slab.
const SLAB: Range = (9.0, 120.0);
/// Farthest a slab reaches past the case at one end.
const PAST: f64 = 450.0;
/// How far a slab may stop short of the rear.
const SHORT: f64 = 30.0;

/// Adds the countertop to every reading that shows it.
pub(super) fn find(views: &mut [Placed]) {
    let lies: Vec<bool> = views
        .iter()
        .map(|placed| slab_of(placed).is_none_or(|found| lies_on(views, placed, &found)))
        .collect();
    for (placed, lies) in views.iter_mut().zip(lies) {
        let grid = &placed.grid;
        let upright = placed.axes.1 == Axis::High;
        match &mut placed.reading {
            Reading::Front(front) => {
                let found = slab(grid, front.top, (front.left, front.right), 0.0);
                front.parts.extend(found.filter(|_| lies));
            }
            Reading::Side(side) => {
                let foremost = side.faces.frame_front.unwrap_or(side.faces.case_front);
                let found = slab(grid, side.top, (foremost, side.faces.rear), SHORT);
                side.parts.extend(found);
            }
            Reading::Posts(posts) if upright => {
                let found = slab(grid, posts.v.1, posts.h, 0.0);
                posts.parts.extend(found);
            }
            Reading::Plan(_) | Reading::Posts(_) => {}
        }
    }
}

/// The slab a front shows.
fn slab_of(placed: &Placed) -> Option<ViewPart> {
    let front = placed.front()?;
    slab(&placed.grid, front.top, (front.left, front.right), 0.0)
}

/// False when an end or a section shows no upper face from front to rear at the height
/// of a front's slab: then it is a board on edge, standing on the top.
fn lies_on(views: &[Placed], front: &Placed, found: &ViewPart) -> bool {
    let Some(high) = found.v else { return true };
    let above = high.1 - front.origin.1;
    let mut sides = views.iter().filter_map(|p| Some((p, p.side()?))).peekable();
    sides.peek().is_none()
        || sides.any(|(placed, side)| {
            let case = (side.faces.case_front, side.faces.rear);
            let grid = &placed.grid;
            grid.drawn_at(Dir::Level, above + placed.origin.1)
                .and_then(|index| grid.lv[index].run_at((case.0 + case.1) / 2.0))
                .is_some_and(|run| run.len() >= 0.6 * (case.1 - case.0))
        })
}

/// How deep the countertop of an end or a section is.
pub(super) fn depth(placed: &Placed) -> Option<f64> {
    let side = placed.side()?;
    let foremost = side.faces.frame_front.unwrap_or(side.faces.case_front);
    let case = (foremost, side.faces.rear);
    let (front, rear) = slab(&placed.grid, side.top, case, SHORT)?.h?;
    Some(rear - front)
}

/// The closed strip that lies on `top` and covers `case`, which it may miss by
/// `short` at its far end.
fn slab(grid: &Grid, top: f64, case: Range, short: f64) -> Option<ViewPart> {
    let under = grid.lv[grid.at(Dir::Level, top)?].run_at((case.0 + case.1) / 2.0)?;
    for index in grid.range(Dir::Level, top + SLAB.0, top + SLAB.1) {
        let track = &grid.lv[index];
        let Some(run) = track.run_at((case.0 + case.1) / 2.0) else {
            continue;
        };
        let over = run.lo <= case.0 + GAP && run.hi >= case.1 - short - GAP;
        let reach = run.lo >= case.0 - PAST && run.hi <= case.1 + PAST;
        let closed = [run.lo, run.hi].iter().all(|x| {
            grid.at(Dir::Upright, *x).is_some_and(|index| {
                let ends = &grid.up[index].seen;
                ends.iter()
                    .any(|end| end.lo <= top + GAP && near(end.hi, track.at))
            })
        });
        // Its underside is drawn as far, in one line with the top of the case.
        let whole = under.lo <= run.lo + GAP && under.hi >= run.hi - GAP;
        if over && reach && closed && whole {
            let why = "slab on the case, drawn edge-on";
            return Some(ViewPart::new(
                Role::Countertop,
                (run.lo, run.hi),
                (top, track.at),
                why,
            ));
        }
    }
    None
}
