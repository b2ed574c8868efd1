//! What a single view looks like: signs by which a front, an end and a plan are told.

use super::Scale;
use super::build::Sketch;
use super::flatten::{Flat, Stroke};
use crate::linework::{self, RawSegment};
use geo::Rect;

/// What a view shows of itself.
pub(super) struct Look {
    /// Door-swing lines or pulls, which only fronts have.
    pub front_only: bool,
    /// Strips of the same stock at both ends, with boards between them.
    pub sided: bool,
    /// One lower corner is cut out, as by a toe space.
    pub notched: bool,
    /// An upper corner is, and no lower one.
    pub inverted: bool,
    /// Share of the upright lines that have a mirror image, and their number.
    pub mirrored: f64,
    pub uprights: usize,
    /// The strips at both ends are equally wide, as stiles, sides and doors are.
    pub flanked: bool,
}

/// Share of a view's upright lines that have a mirror image: a front and a plan have
/// nearly all, an end with its back and its toe space has not.
const ALIKE: f64 = 0.97;
const LOPSIDED: f64 = 0.8;

impl Look {
    /// Seen from the side: cut out at the toe, or not alike left and right.
    pub fn is_sideways(&self) -> bool {
        let lopsided = self.mirrored < LOPSIDED && !self.flanked;
        !self.front_only && !self.inverted && !self.sided && (self.notched || lopsided)
    }

    /// Seen from the front, beside a view that is seen from the side.
    pub fn is_front_beside(&self, side: &Look) -> bool {
        let alike = self.mirrored > ALIKE && self.uprights >= 4;
        !self.is_sideways() && (side.notched || self.front_only || self.sided || alike)
    }
}

pub(super) fn look(flat: &Flat, sketch: &Sketch) -> Look {
    let (mirrored, uprights) = mirrored(sketch);
    Look {
        front_only: swings(&sketch.strokes) || pulls(flat, sketch) > 0,
        sided: sided(sketch),
        notched: notched(sketch),
        inverted: inverted(sketch),
        mirrored,
        uprights,
        flanked: flanked(sketch),
    }
}

/// True when the first tall lines inside both ends are as far from them.
fn flanked(sketch: &Sketch) -> bool {
    let b = sketch.bounds;
    let near = 1e-3 * b.width().max(b.height());
    let mut inside: Vec<f64> = tall_lines(sketch, TALL, near)
        .into_iter()
        .filter(|x| x - b.min().x > near && b.max().x - x > near)
        .collect();
    inside.sort_by(f64::total_cmp);
    match inside.as_slice() {
        [first, .., last] => {
            let (left, right) = (first - b.min().x, b.max().x - last);
            (left - right).abs() <= near
        }
        _ => false,
    }
}

/// A line that covers this share of the height is tall.
const TALL: f64 = 0.4;

/// Where upright lines, put together from their pieces, cover this share of the
/// view's height.
fn tall_lines(sketch: &Sketch, share: f64, near: f64) -> Vec<f64> {
    let b = sketch.bounds;
    let mut pieces: Vec<Rect<f64>> = sketch
        .strokes
        .iter()
        .map(Stroke::bounds)
        .filter(|r| r.width() <= near && r.height() > near)
        .collect();
    pieces.sort_by(|p, q| {
        p.center()
            .x
            .total_cmp(&q.center().x)
            .then(p.min().y.total_cmp(&q.min().y))
            .then(p.max().y.total_cmp(&q.max().y))
    });
    let mut out = Vec::new();
    let mut rest = pieces.as_slice();
    while let Some(first) = rest.first() {
        let x = first.center().x;
        let together = rest.partition_point(|r| r.center().x <= x + near);
        let (line, others) = rest.split_at(together);
        let mut spans: Vec<(f64, f64)> = line.iter().map(|r| (r.min().y, r.max().y)).collect();
        spans.sort_by(|p, q| p.0.total_cmp(&q.0).then(p.1.total_cmp(&q.1)));
        let (mut end, mut sum) = (f64::NEG_INFINITY, 0.0);
        for (low, high) in spans {
            sum += (high - low.max(end)).max(0.0);
            end = end.max(high);
        }
        if sum >= share * b.height() {
            out.push(x);
        }
        rest = others;
    }
    out
}

/// Circles of a pull's size.
pub(super) fn pulls(flat: &Flat, sketch: &Sketch) -> usize {
    let small = 0.06 * sketch.bounds.width().min(sketch.bounds.height());
    sketch
        .arcs
        .iter()
        .filter_map(|&i| flat.arcs.get(i))
        .filter(|a| a.full && a.radius > 0.08 * small && a.radius <= small)
        .count()
}

/// Stock that sides are made of, millimetres.
const SIDE: (f64, f64) = (11.0, 41.0);

/// True when strips of one thickness stand at both ends from top to bottom, and
/// level lines run from inner face to inner face: sides with boards between
/// them. In an end or a section the boards run on to the front edge.
pub(super) fn sided(sketch: &Sketch) -> bool {
    let Scale::Known { mm_per_unit, .. } = sketch.scale else {
        return false;
    };
    let b = sketch.bounds;
    let near = 4e-4 * b.width().max(b.height());
    let tall = |s: &Stroke| {
        let r = s.bounds();
        (r.width() <= near && r.height() >= 0.98 * b.height()).then(|| r.center().x)
    };
    let mut uprights: Vec<f64> = sketch.strokes.iter().filter_map(tall).collect();
    uprights.sort_by(f64::total_cmp);
    uprights.dedup_by(|p, q| (*p - *q).abs() <= near);
    let [left, inner_left, inner_right, right] = uprights.as_slice() else {
        return false;
    };
    let thick = [inner_left - left, right - inner_right];
    let stock = thick
        .iter()
        .all(|t| (SIDE.0..=SIDE.1).contains(&(t * mm_per_unit)));
    let between = sketch.strokes.iter().filter(|s| {
        let r = s.bounds();
        r.height() <= near
            && (r.min().x - inner_left).abs() <= near
            && (r.max().x - inner_right).abs() <= near
    });
    let alike = (thick[0] - thick[1]).abs() <= near;
    let ends = (left - b.min().x).abs() <= near && (right - b.max().x).abs() <= near;
    stock && alike && ends && between.count() >= 4
}

/// Pairs of slanting lines that meet halfway up a door.
pub(super) fn swings(strokes: &[Stroke]) -> bool {
    let slants: Vec<&Stroke> = strokes
        .iter()
        .filter(|s| {
            let (dx, dy) = ((s.b.x - s.a.x).abs(), (s.b.y - s.a.y).abs());
            dx > 0.1 * dy && dy > 0.1 * dx
        })
        .take(400)
        .collect();
    let meets =
        |p: geo::Coord<f64>, q: geo::Coord<f64>, near: f64| (p.x - q.x).hypot(p.y - q.y) <= near;
    slants.iter().enumerate().any(|(i, s)| {
        slants.iter().skip(i + 1).any(|t| {
            let size = (s.b.y - s.a.y).abs().max((s.b.x - s.a.x).abs());
            [(s.a, s.b), (s.b, s.a)].into_iter().any(|(tip, foot)| {
                [(t.a, t.b), (t.b, t.a)].into_iter().any(|(other, end)| {
                    meets(tip, other, 0.01 * size)
                        && (foot.x - end.x).abs() <= 0.01 * size
                        && (f64::midpoint(foot.y, end.y) - tip.y).abs() <= 0.02 * size
                })
            })
        })
    })
}

/// Share of the upright lines that have a mirror image, and their number.
pub(super) fn mirrored(sketch: &Sketch) -> (f64, usize) {
    let b = sketch.bounds;
    let size = b.width().max(b.height());
    let segments: Vec<RawSegment> = sketch
        .strokes
        .iter()
        .map(|s| RawSegment {
            a: s.a - b.min(),
            b: s.b - b.min(),
            hidden: false,
            source: 0,
        })
        .collect();
    let work = linework::clean(&segments, 1e-3 * size);
    let (mut total, mut alike) = (0.0, 0.0);
    for line in &work.uprights {
        total += line.length();
        let twin = b.width() - line.a.x;
        let from = work
            .uprights
            .partition_point(|l| l.a.x < twin - 2e-3 * size);
        let found = work
            .uprights
            .iter()
            .skip(from)
            .take_while(|l| l.a.x <= twin + 2e-3 * size)
            .any(|l| {
                let overlap = l.b.y.min(line.b.y) - l.a.y.max(line.a.y);
                overlap > 0.9 * line.length()
            });
        if found {
            alike += line.length();
        }
    }
    (
        if total > 0.0 { alike / total } else { 0.0 },
        work.uprights.len(),
    )
}

/// True when one lower corner of the outline is cut out, as by a toe space.
pub(super) fn notched(sketch: &Sketch) -> bool {
    notch(sketch, |s| s.a.y.min(s.b.y) - sketch.bounds.min().y)
}

/// True when an upper corner is cut out and no lower one: the toe space of a sheet that
/// is upside down.
fn inverted(sketch: &Sketch) -> bool {
    !notched(sketch) && notch(sketch, |s| sketch.bounds.max().y - s.a.y.max(s.b.y))
}

/// True when the line of one side ends a toe's height before the end its `distance`
/// is measured to, and that of the other side reaches it.
fn notch(sketch: &Sketch, distance: impl Fn(&Stroke) -> f64) -> bool {
    let b = sketch.bounds;
    let small = 2e-3 * b.width().max(b.height());
    let reach = |x: f64| {
        sketch
            .strokes
            .iter()
            .filter(|s| (s.a.x - x).abs() <= small && (s.b.x - x).abs() <= small)
            .map(&distance)
            .fold(f64::INFINITY, f64::min)
    };
    let (left, right) = (reach(b.min().x), reach(b.max().x));
    let toe = 0.03 * b.height()..0.3 * b.height();
    (toe.contains(&left) && right <= small) || (toe.contains(&right) && left <= small)
}
