//! A view parted at a seam: which of its lines go to which side, and from where to where
//! each side reaches there.

use super::build::{self, Sketch};
use super::flatten::{Stroke, unite};
use super::runs::{NEAR, part_of};
use geo::{Coord, Rect};

/// Least step between neighbours, as a share of the higher one.
const STEP: f64 = 0.25;

/// Both sides of a seam. Uprights on it belong to both.
pub(super) fn cut(sketch: &Sketch, seam: f64) -> (Sketch, Sketch) {
    let size = sketch.bounds.width().max(sketch.bounds.height());
    let near = NEAR * size;
    let (mut left, mut right) = (Vec::new(), Vec::new());
    let mut across = (Vec::new(), Vec::new());
    for stroke in &sketch.strokes {
        let b = stroke.bounds();
        let on = (b.min().x - seam).abs() <= near && (b.max().x - seam).abs() <= near;
        if on {
            left.push(*stroke);
            right.push(*stroke);
        } else if b.max().x <= seam + near {
            left.push(*stroke);
        } else if b.min().x >= seam - near {
            right.push(*stroke);
        } else {
            let t = (seam - stroke.a.x) / (stroke.b.x - stroke.a.x);
            let at = Coord {
                x: seam,
                y: stroke.a.y + t * (stroke.b.y - stroke.a.y),
            };
            let (first, second) = (Stroke { b: at, ..*stroke }, Stroke { a: at, ..*stroke });
            let (low, high) = if stroke.a.x < seam {
                (first, second)
            } else {
                (second, first)
            };
            across.0.push(low);
            across.1.push(high);
        }
    }
    // Where the neighbours are not as high, each has so much of the seam as it reaches.
    let floor = sketch.bounds.min().y;
    let ends = [(&left, &across.0), (&right, &across.1)]
        .map(|(side, across)| reach(side, across, seam, floor, near));
    if let [Some(a), Some(b)] = ends
        && steps(a, b)
    {
        let sides = [
            (&mut left, &mut across.0, a),
            (&mut right, &mut across.1, b),
        ];
        for (side, across, (low, high)) in sides {
            end_on_seam(side, seam, near, (low, high));
            // The floor goes on under a bridge.
            across.retain(|s| s.a.y >= low - near && s.a.y <= high + near);
        }
    }
    left.extend(across.0);
    right.extend(across.1);
    let piece = |strokes: Vec<Stroke>| {
        let mut piece = part_of(sketch, strokes).unwrap_or_else(|| sketch.clone());
        // A label decides where texts go; bounds never reach over the seam.
        piece.bounds = build::bounds(&piece.strokes).map_or(piece.bounds, |b| b);
        piece
    };
    (piece(left), piece(right))
}

/// From where to where one side of a seam reaches beside it: by its level strokes that end
/// there and by those drawn `across` to the other side, of which the floor belongs to it
/// where it stands on that.
fn reach(
    side: &[Stroke],
    across: &[Stroke],
    seam: f64,
    floor: f64,
    near: f64,
) -> Option<(f64, f64)> {
    let boxes = || side.iter().map(Stroke::bounds);
    let level = |r: &Rect<f64>| r.height() <= near && r.width() > near;
    let at_seam = |x: f64| (x - seam).abs() <= near;
    let (on_floor, over): (Vec<Rect<f64>>, Vec<Rect<f64>>) = across
        .iter()
        .map(Stroke::bounds)
        .filter(level)
        .partition(|r| r.center().y <= floor + near);
    let touching = boxes().filter(|r| level(r) && (at_seam(r.min().x) || at_seam(r.max().x)));
    let own = touching.chain(over).reduce(unite);
    let whole = own.into_iter().chain(on_floor).reduce(unite)?;
    // A bridge has an underside, and nothing stands under that.
    let hangs = own.filter(|own| {
        let under = |r: Rect<f64>| {
            r.min().x > own.min().x + near
                && r.max().x < own.max().x - near
                && !at_seam(r.center().x)
                && r.height() > near
                && r.min().y < own.min().y - near
        };
        own.height() > near && !boxes().any(under)
    });
    let reach = hangs.unwrap_or(whole);
    Some((reach.min().y, reach.max().y))
}

/// Ends the uprights on a seam where one side of it ends.
pub(super) fn end_on_seam(
    strokes: &mut Vec<Stroke>,
    seam: f64,
    near: f64,
    (low, high): (f64, f64),
) {
    strokes.retain_mut(|stroke| {
        let b = stroke.bounds();
        if (b.min().x - seam).abs() > near || (b.max().x - seam).abs() > near {
            return true;
        }
        stroke.a.y = stroke.a.y.clamp(low, high);
        stroke.b.y = stroke.b.y.clamp(low, high);
        (stroke.b.y - stroke.a.y).abs() > near
    });
}

/// True where what ends at an upright from one side begins or ends at another height than
/// what begins there to the other: a bridge beside a bookcase. Between a side and the
/// boards of its own case there is no step.
pub(super) fn is_step(strokes: &[Stroke], x: f64, floor: f64, near: f64) -> bool {
    let (left, rest): (Vec<Stroke>, Vec<Stroke>) = strokes
        .iter()
        .partition(|stroke| stroke.bounds().max().x <= x + near);
    let (right, across): (Vec<Stroke>, Vec<Stroke>) = rest
        .into_iter()
        .partition(|stroke| stroke.bounds().min().x >= x - near);
    let reach = |side: &[Stroke]| reach(side, &across, x, floor, near);
    let ends = reach(&left).zip(reach(&right));
    ends.is_some_and(|(left, right)| steps(left, right))
}

/// True where neighbours that reach from here to there begin or end at other heights.
fn steps(a: (f64, f64), b: (f64, f64)) -> bool {
    let high = (a.1 - a.0).max(b.1 - b.0);
    (a.0 - b.0).abs().max((a.1 - b.1).abs()) > STEP * high
}

#[cfg(test)]
mod tests {
    use crate::view::sample::Draft;
    use crate::view::{Hints, Reading, find};

    fn read(draft: Draft) -> Reading {
        let hints = Hints {
            names: vec!["B1".to_owned(), "B2".to_owned()],
            ..Hints::default()
        };
        find(&mut [draft.sheet()], &hints)
    }

    /// For each view in turn its cabinet, and how far, in inches, the lines at its left and
    /// its right end are drawn.
    fn ends(draft: Draft) -> Vec<(String, f64, f64)> {
        let of = |view: &crate::view::View| {
            let drawn = |x: f64| {
                let at = view.linework.uprights.iter();
                let own = at.filter(|line| (line.a.x - x).abs() < 0.1);
                let long = own.map(|line| (line.b.y - line.a.y).abs()).sum::<f64>() / 25.4;
                (long * 1e6).round() / 1e6
            };
            let name = view.cabinets.join(", ");
            (name, drawn(0.0), drawn(view.extents.width()))
        };
        read(draft).views.iter().map(of).collect()
    }

    /// Two cabinets 30 wide and 34 1/2 high under one name each, their sides drawn twice
    /// where they meet, without the lines along their feet and their tops.
    fn two() -> Draft {
        let uprights = |draft: Draft, x: f64| {
            draft
                .line(x, 0.0, x, 34.5)
                .line(x + 0.75, 0.0, x + 0.75, 34.5)
                .line(x + 29.25, 0.0, x + 29.25, 34.5)
                .line(x + 30.0, 0.0, x + 30.0, 34.5)
        };
        uprights(uprights(Draft::new("run.dxf").units(1), 0.0), 30.0)
            .text("B1", 14.0, 12.0, 1.5)
            .text("B2", 44.0, 12.0, 1.5)
            .text("FRONT", 10.0, -6.0, 1.5)
    }

    fn whole() -> Vec<(String, f64, f64)> {
        ["B1", "B2"]
            .map(|name| (name.to_owned(), 34.5, 34.5))
            .to_vec()
    }

    #[test]
    fn a_top_drawn_on_over_both_belongs_to_each() {
        // The rail and the bottom of one end at the seam; of the other only the foot does.
        let one_top = two()
            .line(0.0, 34.5, 60.0, 34.5)
            .line(0.0, 0.0, 30.0, 0.0)
            .line(30.0, 0.0, 60.0, 0.0)
            .line(0.0, 4.0, 30.0, 4.0)
            .line(0.0, 33.0, 30.0, 33.0)
            .line(30.75, 20.0, 59.25, 20.0);
        assert_eq!(ends(one_top), whole());
    }

    #[test]
    fn the_floor_drawn_on_under_both_belongs_to_each_that_stands_on_it() {
        let one_floor = two()
            .line(0.0, 0.0, 60.0, 0.0)
            .line(0.0, 34.5, 30.0, 34.5)
            .line(30.0, 34.5, 60.0, 34.5)
            .line(0.0, 4.0, 30.0, 4.0)
            .line(30.75, 20.0, 59.25, 20.0);
        assert_eq!(ends(one_floor), whole());
    }

    #[test]
    fn a_bridge_has_so_much_of_the_seam_as_it_reaches() {
        let bridge = Draft::new("run.dxf")
            .units(1)
            .rect(0.0, 0.0, 30.0, 84.0)
            .line(0.75, 0.0, 0.75, 84.0)
            .line(29.25, 0.0, 29.25, 84.0)
            .line(0.75, 40.0, 29.25, 40.0)
            .rect(30.0, 68.0, 36.0, 16.0)
            .line(30.75, 68.0, 30.75, 84.0)
            .line(65.25, 68.0, 65.25, 84.0)
            .line(0.0, 0.0, 66.0, 0.0)
            .text("B1", 14.0, 30.0, 1.5)
            .text("B2", 46.0, 76.0, 1.5)
            .text("FRONT", 10.0, -6.0, 1.5);
        let of_bridge = ends(bridge).into_iter().find(|view| view.0 == "B2");
        assert_eq!(of_bridge, Some(("B2".to_owned(), 16.0, 16.0)));
    }
}
