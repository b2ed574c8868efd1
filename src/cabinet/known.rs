//! What ends, sections and plans show together, handed to the reading of the front.

use super::faces::Face;
use super::front::Known;
use super::grid::Dir;
use super::placed::{Placed, Turned};
use super::reading::near;
use crate::trade::Role;

/// Settles single full-height strips at the front, then gathers what is known.
pub(super) fn gather(views: &mut [Placed]) -> Known {
    settle(views);
    let mut known = Known::default();
    for placed in views.iter().filter(|p| p.turned == Turned::Sure) {
        if let Some(side) = placed.side() {
            face(&mut known, side.faces.face);
            known.low.get_or_insert(side.low - side.floor);
            known.high.get_or_insert(side.top - side.floor);
            if let Some(base) = side.toe.and_then(|toe| toe.base) {
                known.base.get_or_insert(base);
            }
            let lower = |r: (f64, f64)| (r.0 - side.floor, r.1 - side.floor);
            let find = |role: Role| {
                side.parts
                    .iter()
                    .filter(move |p| p.role == role)
                    .filter_map(|p| p.v)
            };
            if known.bottom.is_none() {
                known.bottom = find(Role::Bottom).next().map(lower);
            }
            if known.head.is_none() {
                known.head = find(Role::Top)
                    .next()
                    .map(|z| (Some(Role::Top), lower(z)))
                    .or_else(|| {
                        find(Role::Stretcher)
                            .next()
                            .map(|z| (Some(Role::Stretcher), lower(z)))
                    });
            }
            // From the end, a top shows its own edge only when it lies over the side.
            // Where hidden edges look like visible ones, that cannot be told.
            let plain = placed.grid.cue || find(Role::Bottom).next().is_none();
            let end = placed.word == "end" && plain;
            if let (true, Some(z), None) = (end, find(Role::Top).next(), known.head_over) {
                let faces = &side.faces;
                known.head_over = Some(placed.grid.at(Dir::Level, z.0).is_some_and(|index| {
                    placed.grid.lv[index].seen_share(faces.case_front, faces.rear) > 0.8
                }));
            }
            let front = side.faces.case_front;
            let level = side.parts.iter().filter(|part| {
                let board = matches!(
                    part.role,
                    Role::Bottom | Role::Top | Role::Stretcher | Role::AdjustableShelf
                );
                board && part.h.is_some_and(|h| near(h.0, front))
            });
            known.boards_seen |= side.parts.iter().any(|part| part.role == Role::Bottom);
            known
                .flush
                .extend(level.filter_map(|part| part.v).map(lower));
            if known.shelves.is_empty() {
                known.shelves = find(Role::AdjustableShelf).map(lower).collect();
            }
            if known.leaves.is_empty() {
                known.leaves = find(Role::Door).map(lower).collect();
            }
            if known.frame_lines.is_empty() {
                known.frame_lines = side.frame_lines.iter().map(|z| z - side.floor).collect();
            }
        }
        if let Some(plan) = placed.plan() {
            face(&mut known, plan.faces.face);
            if known.sides.is_none() {
                let left = plan.outline.0;
                known.sides = plan
                    .sides
                    .map(|(l, r)| ((l.0 - left, l.1 - left), (r.0 - left, r.1 - left)));
            }
        }
    }
    let inner = known.frame_lines.len();
    if inner < 4 {
        // Both ends of the frame alone say nothing of its rails.
        known.frame_lines.clear();
    }
    known
}

fn face(known: &mut Known, face: Face) {
    let (frame, fronts) = match face {
        Face::Bare => (Some(false), Some(false)),
        Face::Frame => (Some(true), Some(false)),
        Face::Fronts => (Some(false), Some(true)),
        Face::FrameAndFronts => (Some(true), Some(true)),
        Face::FrameOrFront | Face::Unclear => (None, None),
    };
    known.frame = known.frame.or(frame);
    known.fronts = known.fronts.or(fronts);
}

/// A single strip is a frame when it reaches past the sides, or when another
/// view shows a frame.
fn settle(views: &mut [Placed]) {
    let framed = views.iter().any(|placed| {
        placed.plan().is_some_and(|plan| {
            plan.faces.face == Face::FrameOrFront && plan.case.0 > plan.faces.low + 1.0
        })
    });
    let sure = framed
        || views.iter().any(|placed| {
            let face = placed
                .side()
                .map(|s| s.faces.face)
                .or_else(|| placed.plan().map(|p| p.faces.face));
            matches!(face, Some(Face::FrameAndFronts | Face::Frame))
        });
    if sure {
        frame(views);
    }
}

/// Takes every single full strip for the frame.
pub(super) fn frame(views: &mut [Placed]) {
    for placed in views {
        let faces = match &mut placed.reading {
            super::placed::Reading::Side(side) => &mut side.faces,
            super::placed::Reading::Plan(plan) => &mut plan.faces,
            super::placed::Reading::Front(_) | super::placed::Reading::Posts(_) => continue,
        };
        if faces.face == Face::FrameOrFront {
            faces.face = Face::Frame;
        }
    }
}
