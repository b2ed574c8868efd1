//! Openings in the toe space, for access panels and heaters: closed rectangles drawn in
//! the front of the board that closes it. One that begins in the toe space and reaches
//! out of it is found as well, for that is the fault to be told.

use super::DrawnPart;
use super::grid::{Dir, GAP, Grid};
use super::placed::{Placed, Reading};
use super::reading::{Range, ViewPart, near};
use crate::trade::Role;

/// Lowest toe space and least height of an opening in it.
const LOW: f64 = 20.0;
/// Least width of an opening.
const NARROW: f64 = 50.0;
/// What is wider than this share of the case is the board itself.
const WHOLE: f64 = 0.9;

/// Adds the openings to every front that shows them.
pub(super) fn find(views: &mut [Placed]) {
    for placed in views {
        let Reading::Front(front) = &mut placed.reading else {
            continue;
        };
        let zone = (front.floor, front.low);
        if zone.1 - zone.0 < LOW {
            continue;
        }
        let found = outermost(openings(&placed.grid, (front.left, front.right), zone));
        let why = "closed rectangle drawn in the toe space";
        front.parts.extend(
            found
                .into_iter()
                .map(|(h, v)| ViewPart::new(Role::AccessPanel, h, v, why)),
        );
    }
}

/// An opening is as deep as its board, which says nothing of what closes it.
pub(super) fn of_no_depth(parts: &mut [DrawnPart]) {
    let opening = |part: &&mut DrawnPart| part.role == Role::AccessPanel;
    for part in parts.iter_mut().filter(opening) {
        part.deep = None;
    }
}

type Rect = (Range, Range);

/// Every rectangle of seen edges one of whose level edges lies between the floor and the
/// underside of the case.
fn openings(grid: &Grid, across: Range, zone: Range) -> Vec<Rect> {
    let mut found = Vec::new();
    // As far above the toe space as it is high, and no farther: fronts begin there.
    let most = zone.1 + (zone.1 - zone.0);
    for index in grid.range(Dir::Level, zone.0 + GAP, zone.1 - GAP) {
        let edge = &grid.lv[index];
        for run in &edge.seen {
            let h = (run.lo, run.hi);
            let wide = h.1 - h.0;
            let inside = h.0 > across.0 + GAP && h.1 < across.1 - GAP;
            if !inside || wide < NARROW || wide > WHOLE * (across.1 - across.0) {
                continue;
            }
            let ends = |x: f64, up: bool| {
                let track = &grid.up[grid.at(Dir::Upright, x)?];
                track
                    .seen
                    .iter()
                    .map(|run| {
                        if up {
                            (run.lo, run.hi)
                        } else {
                            (run.hi, run.lo)
                        }
                    })
                    .find(|(here, _)| near(*here, edge.at))
                    .map(|(_, there)| there)
            };
            for up in [true, false] {
                let (Some(a), Some(b)) = (ends(h.0, up), ends(h.1, up)) else {
                    continue;
                };
                let v = (edge.at.min(a), edge.at.max(a));
                let closed = near(a, b)
                    && grid
                        .at(Dir::Level, a)
                        .is_some_and(|index| grid.lv[index].covers_seen(h.0, h.1));
                if closed && v.1 - v.0 >= LOW && v.0 >= zone.0 - GAP && v.1 <= most {
                    found.push((h, v));
                }
            }
        }
    }
    found
}

/// Without those that stand in another: the bars of a grille.
fn outermost(found: Vec<Rect>) -> Vec<Rect> {
    let within = |a: Range, b: Range| a.0 >= b.0 - GAP && a.1 <= b.1 + GAP;
    let mut out: Vec<Rect> = Vec::new();
    for rect in &found {
        let area = |r: &Rect| (r.0.1 - r.0.0) * (r.1.1 - r.1.0);
        let in_other = found.iter().any(|other| {
            area(other) > area(rect) + 1.0 && within(rect.0, other.0) && within(rect.1, other.1)
        });
        let again = out
            .iter()
            .any(|other| within(rect.0, other.0) && within(rect.1, other.1));
        if !in_other && !again {
            out.push(*rect);
        }
    }
    out.sort_by(|a, b| a.0.0.total_cmp(&b.0.0).then(a.1.0.total_cmp(&b.1.0)));
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::linework::{RawSegment, SNAP_MM, clean};
    use geo::Coord;

    /// A front 900 wide over a toe space 100 high, with these rectangles in it.
    fn front(rects: &[[f64; 4]]) -> Vec<Rect> {
        let mut lines = vec![[0.0, 100.0, 900.0, 100.0], [0.0, 0.0, 900.0, 0.0]];
        let all = [[0.0, 0.0, 900.0, 800.0]];
        for [x0, y0, x1, y1] in rects.iter().chain(&all).copied() {
            lines.extend([
                [x0, y0, x1, y0],
                [x1, y0, x1, y1],
                [x1, y1, x0, y1],
                [x0, y1, x0, y0],
            ]);
        }
        let segment = |[ax, ay, bx, by]: [f64; 4]| RawSegment {
            a: Coord { x: ax, y: ay },
            b: Coord { x: bx, y: by },
            hidden: false,
            source: 0,
        };
        let segments: Vec<RawSegment> = lines.into_iter().map(segment).collect();
        let grid = Grid::new(&clean(&segments, SNAP_MM), false);
        outermost(openings(&grid, (0.0, 900.0), (0.0, 100.0)))
    }

    #[test]
    fn a_closed_rectangle_in_the_toe_space_is_an_opening() {
        let one = ((300.0, 600.0), (20.0, 80.0));
        assert_eq!(front(&[[300.0, 20.0, 600.0, 80.0]]), [one]);
        // With a grille in it, and on the floor.
        let bars = [[300.0, 20.0, 600.0, 80.0], [300.0, 40.0, 600.0, 60.0]];
        assert_eq!(front(&bars), [one]);
        let low = ((300.0, 600.0), (0.0, 80.0));
        assert_eq!(front(&[[300.0, 0.0, 600.0, 80.0]]), [low]);
        // One that reaches out of it is one as well: it has to be told.
        let high = ((300.0, 600.0), (20.0, 130.0));
        assert_eq!(front(&[[300.0, 20.0, 600.0, 130.0]]), [high]);
    }

    #[test]
    fn boards_feet_and_fronts_are_no_openings() {
        assert_eq!(front(&[]), []);
        // The toe board itself, lower than the space; a foot of a side; a door above.
        assert_eq!(front(&[[18.0, 0.0, 882.0, 90.0]]), []);
        assert_eq!(front(&[[0.0, 0.0, 18.0, 100.0]]), []);
        assert_eq!(front(&[[300.0, 102.0, 600.0, 780.0]]), []);
        // A front that comes down into it.
        assert_eq!(front(&[[300.0, 40.0, 600.0, 780.0]]), []);
    }
}
