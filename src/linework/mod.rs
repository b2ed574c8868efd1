//! Loose segments to clean lines in true size: snapped, de-duplicated,
//! collinear pieces merged. Drawn length is conserved and accounted for.
//! Knows nothing of DXF files or cabinets.

mod corners;
mod direction;
mod merge;
mod snap;

pub use direction::dominant_direction;

use geo::{Coord, Rect};

/// A merged straight line, millimetres, in the view's own upright frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CleanLine {
    pub a: Coord<f64>,
    pub b: Coord<f64>,
    /// True when every piece of it was a hidden edge.
    pub hidden: bool,
    /// Source of its longest piece, for pointing at an entity.
    pub source: u32,
}

impl CleanLine {
    /// Length in millimetres.
    pub fn length(&self) -> f64 {
        (self.b.x - self.a.x).hypot(self.b.y - self.a.y)
    }
}

/// Cleaned lines of one view. Axis-parallel lines come in two sorted lists;
/// the rest (door swings, breaklines, mitres) are kept apart.
#[derive(Clone, Debug, Default)]
pub struct Linework {
    /// Upright lines, sorted by x, then by lower end. `a.y < b.y`.
    pub uprights: Vec<CleanLine>,
    /// Level lines, sorted by y, then by left end. `a.x < b.x`.
    pub levels: Vec<CleanLine>,
    pub slanted: Vec<CleanLine>,
    /// Where a line above with visible pieces goes on as a hidden edge: the
    /// stretches of it that are drawn hidden only. Same order as the lines.
    pub hidden_stretches: Vec<CleanLine>,
    pub account: LengthAccount,
}

/// Where the drawn length went, millimetres:
/// `read = kept + repeated + left_out` within rounding.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct LengthAccount {
    pub read: f64,
    pub kept: f64,
    /// Length of repeats that lay under another line.
    pub repeated: f64,
    pub left_out: f64,
    /// Length added where gaps and corners were closed, less what was trimmed:
    /// the lines above are `kept + closed` long together.
    pub closed: f64,
}

impl LengthAccount {
    /// How far the account is from balancing, millimetres.
    pub fn imbalance(&self) -> f64 {
        (self.read - self.kept - self.repeated - self.left_out).abs()
    }
}

/// A segment as drawn, millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RawSegment {
    pub a: Coord<f64>,
    pub b: Coord<f64>,
    pub hidden: bool,
    pub source: u32,
}

/// Largest corner gap closed and largest offset of lines taken as one,
/// millimetres (0.01 in).
pub const SNAP_MM: f64 = 0.254;

/// Cleans the lines of one view.
///
/// Pieces of one edge are merged: collinear pieces that overlap or touch, and
/// repeats that lie beside each other by no more than `snap_mm`. The merged line
/// takes the position of its longest exact piece and never an average with a
/// neighbour, so that real distances larger than the snap survive unchanged.
/// Segments with coordinates that are not numbers are ignored.
pub fn clean(segments: &[RawSegment], snap_mm: f64) -> Linework {
    let sorted = snap::classify(segments, snap_mm);
    let mut work = Linework::default();
    work.account.read = sorted.read;
    work.account.left_out = sorted.left_out;

    let mut uprights = merge::merge(sorted.uprights, snap_mm, sorted.touch_mm, &mut work.account);
    let mut levels = merge::merge(sorted.levels, snap_mm, sorted.touch_mm, &mut work.account);
    let drawn: f64 = uprights
        .iter()
        .chain(&levels)
        .map(merge::Merged::length)
        .sum();
    corners::close(&mut uprights, &mut levels, snap_mm);
    let after: f64 = uprights
        .iter()
        .chain(&levels)
        .map(merge::Merged::length)
        .sum();
    work.account.closed += after - drawn;

    // As many places as lines: a large drawing holds them all.
    let upright = |along, across| Coord {
        x: across,
        y: along,
    };
    let level = |along, across| Coord {
        x: along,
        y: across,
    };
    work.uprights = uprights.iter().map(|line| line.to_line(upright)).collect();
    work.levels = levels.iter().map(|line| line.to_line(level)).collect();
    for line in &uprights {
        work.hidden_stretches.extend(line.stretches(upright));
    }
    for line in &levels {
        work.hidden_stretches.extend(line.stretches(level));
    }
    merge::merge_slanted(sorted.slanted, snap_mm, &mut work);
    work.uprights
        .sort_by(|p, q| p.a.x.total_cmp(&q.a.x).then(p.a.y.total_cmp(&q.a.y)));
    work.levels
        .sort_by(|p, q| p.a.y.total_cmp(&q.a.y).then(p.a.x.total_cmp(&q.a.x)));
    work
}

impl Linework {
    /// Smallest rectangle round all lines; `None` without lines.
    pub fn extents(&self) -> Option<Rect<f64>> {
        let mut ends = self
            .uprights
            .iter()
            .chain(&self.levels)
            .chain(&self.slanted)
            .flat_map(|line| [line.a, line.b]);
        let first = ends.next()?;
        let (mut lo, mut hi) = (first, first);
        for end in ends {
            lo = Coord {
                x: lo.x.min(end.x),
                y: lo.y.min(end.y),
            };
            hi = Coord {
                x: hi.x.max(end.x),
                y: hi.y.max(end.y),
            };
        }
        Some(Rect::new(lo, hi))
    }

    /// The same lines moved by `by`, millimetres.
    pub fn shifted(mut self, by: Coord<f64>) -> Self {
        for line in self
            .uprights
            .iter_mut()
            .chain(&mut self.levels)
            .chain(&mut self.slanted)
            .chain(&mut self.hidden_stretches)
        {
            line.a = line.a + by;
            line.b = line.b + by;
        }
        self
    }
}

#[cfg(test)]
mod tests;
