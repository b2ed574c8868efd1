//! The face of a side, seen from the end: how deep and how high the side is,
//! where neither front nor plan shows it.

use super::grid::{Dir, GAP};
use super::placed::{Placed, Turned};
use super::reading::{Place, Range, near};
use super::{DrawnPart, Style, names};
use crate::trade::{Axis, Role};

/// Thickest board at the top or the foot of a side.
const BOARD: f64 = 46.0;

/// Fills in what the sides lack, or adds a side where no other view shows one.
pub(super) fn complete(views: &[Placed], style: Style, parts: &mut Vec<DrawnPart>) {
    for placed in views {
        let beyond = || Some((Some(past_back(placed)?), None));
        let Some((deep, high)) = face(placed, style).or_else(beyond) else {
            continue;
        };
        let sides = |part: &&mut DrawnPart| part.role == Role::Side && !part.flat;
        for part in parts.iter_mut().filter(sides) {
            for (axis, range) in [(Axis::Deep, deep), (Axis::High, high)] {
                let Some(range) = range.filter(|_| part.span(axis).is_none()) else {
                    continue;
                };
                let ends = names::ends(Role::Side, Place::Only, &part.name, axis);
                *part.span_mut(axis) = Some(placed.span(axis, range, ends, [false; 2]));
            }
        }
        if parts.iter().any(|part| part.role == Role::Side) || deep.is_none() || high.is_none() {
            continue;
        }
        let name = names::part(Role::Side, Place::Only, 0, 1);
        let span = |axis: Axis, range: Range| {
            let ends = names::ends(Role::Side, Place::Only, &name, axis);
            placed.span(axis, range, ends, [false; 2])
        };
        let side = DrawnPart {
            role: Role::Side,
            across: None,
            deep: deep.map(|range| span(Axis::Deep, range)),
            high: high.map(|range| span(Axis::High, range)),
            evidence: "what is seen from the end".to_owned(),
            opening: None,
            flat: false,
            name: name.clone(),
        };
        let index = parts.partition_point(|part| part.role < Role::Side);
        parts.insert(index, side);
    }
}

/// Depth of a side in a section whose back ends above the floor: below it the
/// rear edge of the side is what is drawn at the rear.
fn past_back(placed: &Placed) -> Option<Range> {
    let side = placed.side()?;
    let back = side.back?;
    let (floor, rear) = (side.floor, side.faces.rear);
    let stands = side.toe.is_none_or(|toe| toe.base == Some(false));
    let grid = &placed.grid;
    let below = (floor, back.a);
    let sure = placed.word == "section"
        && placed.turned == Turned::Sure
        && side.faces.front().is_some()
        && stands
        && near(back.t1, rear)
        && back.a - floor > 20.0;
    let edge = |x: f64| {
        grid.at(Dir::Upright, x)
            .is_some_and(|index| grid.up[index].covers_seen(below.0, below.1))
    };
    let own = |x: f64| {
        grid.at(Dir::Upright, x)
            .is_some_and(|index| grid.up[index].seen_share(below.0, below.1) > 0.02)
    };
    (sure && edge(rear) && !own(back.t0)).then_some((side.faces.case_front, rear))
}

/// Depth and height of the face, in the view's own positions.
fn face(placed: &Placed, style: Style) -> Option<(Option<Range>, Option<Range>)> {
    let side = placed.side()?;
    let grid = &placed.grid;
    if placed.word != "end" || placed.turned != Turned::Sure {
        return None;
    }
    side.faces.front()?;
    // A panel at the end hides the edge of the frame.
    let framed = side.faces.frame_front.is_some();
    if style == Style::Unknown || framed != (style == Style::FaceFrame) {
        return None;
    }
    let (front, rear) = (side.faces.case_front, side.faces.rear);
    let (low, top) = (side.low, side.top);
    // Lines on the face itself. Where hidden edges are not marked, any line may be
    // one: then only a bare face, with at most the edge of one board, is told.
    let least = if grid.cue { 0.2 } else { 0.02 };
    let lines: Vec<f64> = grid
        .range(Dir::Upright, front + GAP, rear - GAP)
        .map(|index| &grid.up[index])
        .filter(|track| track.seen_share(low, top) > least)
        .map(|track| track.at)
        .collect();
    // Boards over or under the side show their edge from front to rear.
    let across: Vec<f64> = grid
        .range(Dir::Level, low + GAP, top - GAP)
        .map(|index| &grid.lv[index])
        .filter(|track| track.seen_share(front, rear) > least)
        .map(|track| track.at)
        .collect();
    if !grid.cue && lines.len() + across.len() > 1 {
        return None;
    }
    let deep = match (lines.as_slice(), side.back) {
        ([], _) => Some((front, rear)),
        ([one], Some(back)) if near(back.t0, *one) && near(back.t1, rear) => {
            let whole = grid
                .at(Dir::Upright, *one)
                .is_some_and(|index| grid.up[index].seen_share(low, top) > 0.98);
            whole.then_some((front, *one))
        }
        _ => None,
    };
    let foot = match side.toe.map(|toe| toe.base) {
        None | Some(Some(false)) => Some(side.floor),
        Some(Some(true)) => Some(low),
        Some(None) => None,
    };
    let high = match (across.as_slice(), foot) {
        ([], Some(foot)) => Some((foot, top)),
        ([one], Some(foot)) if top - one <= BOARD && top - one >= 5.0 => Some((foot, *one)),
        _ => None,
    };
    Some((deep, high))
}
