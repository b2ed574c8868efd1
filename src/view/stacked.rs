//! Cabinets drawn on top of each other as one view: a bookcase on a base, with or without
//! a top between them. They are parted at the level line on which everything below ends
//! and everything above begins.

use super::build::{Label, Sketch};
use super::flatten::{Stroke, unite};
use super::walls::Faces;
use super::{Scale, Stacked, ViewKind};
use geo::{Coord, Rect};
use std::collections::BTreeSet;

/// Two places nearer than this are one, as a share of the view.
const NEAR: f64 = 4e-4;
/// Sides and stiles stand this near the ends of a cabinet, as a share of its width:
/// those above may be drawn in one line with those below.
const ENDS: f64 = 0.08;
/// Boards that meet at a seam are no thicker than this share of the view's height.
const BOARD: f64 = 0.06;

/// The level at which a sketch shows one cabinet on another, where only one can be it.
pub(super) fn seam(sketch: &Sketch, labels: &[Label], hidden: &dyn Fn(u32) -> bool) -> Option<f64> {
    let size = sketch.bounds.width().max(sketch.bounds.height());
    let near = NEAR * size;
    let seen: Vec<Rect<f64>> = sketch
        .strokes
        .iter()
        .filter(|stroke| !hidden(stroke.source))
        .map(Stroke::bounds)
        .collect();
    let lowest = labels.iter().map(|l| l.at.y).fold(f64::INFINITY, f64::min);
    let highest = labels
        .iter()
        .map(|l| l.at.y)
        .fold(f64::NEG_INFINITY, f64::max);
    let mut levels: Vec<f64> = seen
        .iter()
        .filter(|r| r.height() <= near && r.width() > near)
        .map(|r| r.center().y)
        .filter(|y| *y > lowest && *y < highest)
        .collect();
    levels.sort_by(f64::total_cmp);
    levels.dedup_by(|a, b| (*a - *b).abs() <= near);
    let found: Vec<Level> = levels
        .into_iter()
        .filter_map(|y| Level::of(y, &seen, near))
        .collect();
    let slab = found.windows(2).find_map(|pair| match pair {
        [a, b] => a.is_slab_with(b, near).then_some(b.at),
        _ => None,
    });
    match (slab, found.as_slice()) {
        (Some(upper), _) => Some(upper),
        (None, [only]) => Some(only.at),
        // The board below it, the seam, and the board above it.
        (None, [a, b, c]) => {
            let (under, over) = (b.at - a.at, c.at - b.at);
            let boards = under <= BOARD * sketch.bounds.height();
            (boards && (under - over).abs() <= 2.0 * near).then_some(b.at)
        }
        _ => None,
    }
}

/// A sketch of cabinets one on another that reach the ceiling, without the walls drawn
/// round them; with the walls' lines and faces.
pub(super) fn to_the_ceiling(
    sketch: &Sketch,
    hidden: &dyn Fn(u32) -> bool,
) -> Option<(Sketch, Vec<Stroke>, Faces)> {
    let names: BTreeSet<&str> = sketch.labels.iter().map(|l| l.name.as_str()).collect();
    if names.len() < 2 {
        return None;
    }
    let (strokes, walls, faces) = super::walls::within(&sketch.strokes)?;
    let rest = Sketch {
        bounds: strokes.iter().map(Stroke::bounds).reduce(unite)?,
        strokes,
        ..sketch.clone()
    };
    seam(&rest, &rest.labels, hidden)?;
    Some((rest, walls, faces))
}

/// A level line with everything on it ending there.
struct Level {
    at: f64,
    /// How far it is drawn.
    reach: (f64, f64),
    /// How far what stands below and above it reaches.
    below: (f64, f64),
    above: (f64, f64),
}

impl Level {
    fn of(y: f64, seen: &[Rect<f64>], near: f64) -> Option<Level> {
        let across = |r: Rect<f64>| (r.min().x, r.max().x);
        let all =
            |it: &dyn Fn(&&Rect<f64>) -> bool| seen.iter().filter(|r| it(r)).copied().reduce(unite);
        // What ends on the line, or is drawn beside it, near it.
        let below = across(all(&|r| {
            r.height() > near && r.min().y < y - near && r.max().y > y - 4.0 * near
        })?);
        let above = across(all(&|r| {
            r.height() > near && r.max().y > y + near && r.min().y < y + 4.0 * near
        })?);
        let (left, right) = (below.0.max(above.0), below.1.min(above.1));
        let wide = right - left;
        if wide <= near {
            return None;
        }
        let ends = |x: f64| x <= left + ENDS * wide || x >= right - ENDS * wide;
        // Nothing goes on past the line but the sides of both.
        let crosses = |r: &Rect<f64>| {
            r.min().y < y - near
                && r.max().y > y + near
                && !(r.width() <= near && ends(r.center().x))
        };
        let stops = |r: &Rect<f64>, up: bool| {
            let end = if up { r.max().y } else { r.min().y };
            r.width() <= near && r.height() > near && (end - y).abs() <= near && !ends(r.center().x)
        };
        let broken = seen.iter().filter(|r| stops(r, true)).any(|a| {
            let there = |b: &Rect<f64>| (a.center().x - b.center().x).abs() <= near;
            seen.iter().any(|b| stops(b, false) && there(b))
        });
        if broken || seen.iter().any(crosses) {
            return None;
        }
        let mut pieces: Vec<(f64, f64)> = seen
            .iter()
            .filter(|r| r.height() <= near && (r.center().y - y).abs() <= near)
            .map(|r| across(*r))
            .collect();
        pieces.sort_by(|a, b| a.0.total_cmp(&b.0));
        let first = pieces.first()?.0;
        let mut end = first;
        for (lo, hi) in pieces {
            if lo > end + near && end < right {
                return None;
            }
            end = end.max(hi);
        }
        (first <= left + near && end >= right - near).then_some(Level {
            at: y,
            reach: (first, end),
            below,
            above,
        })
    }

    /// True for the faces of a slab that reaches past what it lies on.
    fn is_slab_with(&self, upper: &Level, near: f64) -> bool {
        let same =
            |a: (f64, f64), b: (f64, f64)| (a.0 - b.0).abs() <= near && (a.1 - b.1).abs() <= near;
        let past = |a: (f64, f64), b: (f64, f64)| {
            (a.0 < b.0 - near || a.1 > b.1 + near) && a.0 <= b.0 + near && a.1 >= b.1 - near
        };
        same(self.reach, upper.reach)
            && same(self.above, self.reach)
            && same(upper.below, self.reach)
            && past(self.reach, self.below)
            && past(upper.reach, upper.above)
    }
}

/// Both sides of a level seam, the lower first. Lines on it belong to both.
pub(super) fn cut(sketch: &Sketch, seam: f64) -> (Sketch, Sketch) {
    let turned = |sketch: &Sketch| {
        let turn = |c: Coord<f64>| Coord { x: c.y, y: c.x };
        let mut out = sketch.clone();
        for stroke in &mut out.strokes {
            (stroke.a, stroke.b) = (turn(stroke.a), turn(stroke.b));
        }
        out.bounds = Rect::new(turn(out.bounds.min()), turn(out.bounds.max()));
        out
    };
    let (low, high) = super::parted::cut(&turned(sketch), seam);
    (turned(&low), turned(&high))
}

/// A top between two cabinets is no thicker than this share of the walls' height.
const TOP: f64 = 0.05;

/// The fronts between two walls that stand on each other, from the floor up.
pub(super) fn columns(
    sheet: usize,
    faces: &Faces,
    sketches: &[Sketch],
    first: usize,
) -> Vec<Stacked> {
    let high = faces.high - faces.low;
    let near = 1e-3 * high;
    let fronts: Vec<usize> = (0..sketches.len())
        .filter(|&i| sketches[i].told.kind == ViewKind::Front && faces.hold(sketches[i].bounds))
        .collect();
    let low = |i: usize| sketches[i].bounds.min();
    let top = |i: usize| sketches[i].bounds.max();
    // On it, or on a top that lies on it; most of the upper one stands over the lower.
    let on = |upper: usize, lower: usize| {
        let gap = low(upper).y - top(lower).y;
        let over = top(upper).x.min(top(lower).x) - low(upper).x.max(low(lower).x);
        gap >= -near && gap <= TOP * high && over >= 0.5 * (top(upper).x - low(upper).x)
    };
    let mut out = Vec::new();
    let mut open: Vec<Vec<usize>> = fronts
        .iter()
        .filter(|&&i| low(i).y <= faces.low + near)
        .map(|&i| vec![i])
        .collect();
    while let Some(column) = open.pop() {
        let Some(&last) = column.last() else { continue };
        let next: Vec<usize> = fronts
            .iter()
            .copied()
            .filter(|&i| i != last && on(i, last))
            .collect();
        if next.is_empty() && column.len() > 1 {
            out.extend(stacked(sheet, faces, sketches, first, &column));
        }
        for above in next {
            let mut column = column.clone();
            column.push(above);
            open.push(column);
        }
    }
    out.sort_by(|a, b| a.views.cmp(&b.views));
    out
}

/// A column in true size, where one scale holds for all of it.
fn stacked(
    sheet: usize,
    faces: &Faces,
    sketches: &[Sketch],
    first: usize,
    column: &[usize],
) -> Option<Stacked> {
    let mut scales = column.iter().map(|&i| match sketches[i].scale {
        Scale::Known { mm_per_unit, .. } => Some(mm_per_unit),
        Scale::Unknown { .. } => None,
    });
    let scale = scales.next()??;
    let above = |y: f64| (y - faces.low) * scale;
    let last = column.last()?;
    scales.all(|other| other == Some(scale)).then(|| Stacked {
        sheet,
        views: column.iter().map(|i| first + i).collect(),
        from_mm: column
            .iter()
            .map(|&i| above(sketches[i].bounds.min().y))
            .collect(),
        to_mm: above(sketches[*last].bounds.max().y),
        walls_mm: above(faces.high),
    })
}

#[cfg(test)]
mod tests {
    use crate::view::sample::Draft;
    use crate::view::{Hints, Reading, find};

    fn read(draft: Draft) -> Reading {
        let hints = Hints {
            names: vec!["B1".to_owned(), "H1".to_owned()],
            ..Hints::default()
        };
        find(&mut [draft.sheet()], &hints)
    }

    /// A base 30 wide and 28 high with a case 60 high on it, from `low` up.
    fn on_a_base(low: f64) -> Draft {
        Draft::new("stack.dxf")
            .units(1)
            .case(0.0, 0.0, 30.0, 28.0, 0.75)
            .case(0.0, low, 30.0, 60.0, 0.75)
            .line(0.75, low + 20.0, 29.25, low + 20.0)
            .text("B1", 14.0, 12.0, 1.5)
            .text("H1", 14.0, low + 30.0, 1.5)
            .text("FRONT", 10.0, -6.0, 1.5)
    }

    /// Names and heights of the views in inches, from the left and from the top.
    fn found(draft: Draft) -> Vec<(Vec<String>, f64)> {
        let reading = read(draft);
        let views = reading.views.iter();
        views
            .map(|view| {
                let high = view.extents.height() / 25.4;
                (view.cabinets.clone(), (high * 1e6).round() / 1e6)
            })
            .collect()
    }

    fn one(name: &str, high: f64) -> (Vec<String>, f64) {
        (vec![name.to_owned()], high)
    }

    #[test]
    fn cabinets_on_each_other_are_parted_where_they_meet() {
        assert_eq!(found(on_a_base(28.0)), [one("H1", 60.0), one("B1", 28.0)]);
        // On a top that reaches past both: it belongs to the base.
        let on_top = on_a_base(29.5).rect(-0.5, 28.0, 31.0, 1.5);
        assert_eq!(found(on_top), [one("H1", 60.0), one("B1", 29.5)]);
    }

    #[test]
    fn a_stack_up_to_the_ceiling_has_walls_and_a_height() {
        let draft = on_a_base(29.5)
            .rect(-0.5, 28.0, 31.0, 1.5)
            .rect(-3.0, 0.0, 36.0, 89.5);
        let reading = read(draft);
        let [stack] = reading.stacked.as_slice() else {
            panic!("{:?}", reading.stacked);
        };
        assert!((stack.walls_mm - 89.5 * 25.4).abs() < 1e-6, "{stack:?}");
        assert!((stack.to_mm - 89.5 * 25.4).abs() < 1e-6, "{stack:?}");
        assert!((stack.from_mm[1] - 29.5 * 25.4).abs() < 1e-6, "{stack:?}");
    }

    #[test]
    fn what_may_be_two_places_is_not_parted() {
        // A slab no wider than the cabinets: its upper or its lower face.
        let flush = on_a_base(29.5).rect(0.0, 28.0, 30.0, 1.5);
        let names: Vec<Vec<String>> = found(flush).into_iter().map(|(names, _)| names).collect();
        assert_eq!(names.len(), 1, "{names:?}");
        // Side by side, with shelves at one height and names at two.
        let beside = Draft::new("run.dxf")
            .units(1)
            .case(0.0, 0.0, 30.0, 34.0, 0.75)
            .case(30.0, 0.0, 30.0, 34.0, 0.75)
            .line(0.75, 17.0, 29.25, 17.0)
            .line(30.75, 17.0, 59.25, 17.0)
            .text("B1", 14.0, 10.0, 1.5)
            .text("H1", 44.0, 24.0, 1.5)
            .text("FRONT", 10.0, -6.0, 1.5);
        assert_eq!(found(beside), [one("B1", 34.0), one("H1", 34.0)]);
    }
}
