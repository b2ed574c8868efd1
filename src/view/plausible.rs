//! What a cabinet drawing looks like at its right size: panels are as thick as
//! sheets come, and cabinets are as large as rooms allow.

use super::flatten::Stroke;
use crate::linework::{self, RawSegment};
use geo::Rect;

/// How believable a worth of the drawing unit is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Belief {
    /// No cabinet is that size, or its panels would be foils or beams.
    Poor,
    Fair,
    /// Size of a cabinet, and thicknesses that sheets and frame stock have.
    Good,
}

/// Sheet and frame stock thicknesses and widths, millimetres: metric board,
/// nominal and actual inch board, frame members (common practice, no source).
const STOCK: &[f64] = &[
    12.0, 12.7, 15.0, 15.875, 16.0, 17.4625, 17.859_375, 18.0, 18.256_25, 19.0, 19.05, 20.0,
    20.6375, 22.0, 22.225, 25.0, 25.4, 28.575, 30.0, 31.75, 38.0, 38.1, 40.0, 44.45, 45.0, 50.8,
    57.15,
];
/// A stock thickness is met within this, millimetres.
const NEAR: f64 = 0.06;
/// Smallest and largest size over all of a job's views, millimetres.
const SIZES: std::ops::RangeInclusive<f64> = 280.0..=20_000.0;

/// What can be seen of a sheet without knowing its scale, drawing units.
#[derive(Clone, Debug, Default)]
pub(super) struct Look {
    /// Largest side of any view.
    pub size: f64,
    /// Largest shorter side of any view.
    pub lesser: f64,
    /// Widths of narrow strips between neighbouring lines.
    pub strips: Vec<f64>,
    /// Places of parallel lines of one view, in order.
    places: Vec<Vec<f64>>,
}

/// No view of cabinets is larger than a storey both ways, millimetres.
const TALLEST: f64 = 3200.0;

/// Most views looked at.
const VIEWS: usize = 32;
/// Most places of lines of one view, one way, between which distances are taken.
const PLACES: usize = 120;
/// Most lines of one view looked at.
const LINES: usize = 4000;

impl Look {
    pub fn at<'a>(views: impl Iterator<Item = (&'a [Stroke], Rect<f64>)>) -> Self {
        let mut look = Look::default();
        for (strokes, bounds) in views.take(VIEWS) {
            let size = bounds.width().max(bounds.height());
            look.size = look.size.max(size);
            look.lesser = look.lesser.max(bounds.width().min(bounds.height()));
            if strokes.len() > LINES {
                continue;
            }
            let segments: Vec<RawSegment> = strokes
                .iter()
                .map(|s| RawSegment {
                    a: s.a - bounds.min(),
                    b: s.b - bounds.min(),
                    hidden: false,
                    source: 0,
                })
                .collect();
            let work = linework::clean(&segments, 1e-4 * size);
            let uprights: Vec<_> = work
                .uprights
                .iter()
                .map(|l| (l.a.x, l.a.y, l.b.y))
                .collect();
            let levels: Vec<_> = work.levels.iter().map(|l| (l.a.y, l.a.x, l.b.x)).collect();
            let scope = bounds.width().min(bounds.height()).max(size / 20.0);
            look.strips(&uprights, scope);
            look.strips(&levels, scope);
            for lines in [&uprights, &levels] {
                let mut places: Vec<f64> = lines.iter().map(|line| line.0).collect();
                places.dedup_by(|a, b| (*a - *b).abs() <= 1e-5 * size);
                places.truncate(PLACES);
                look.places.push(places);
            }
        }
        look
    }

    /// Distances between parallel lines of one view, from the shortest.
    pub fn spans(&self) -> Vec<f64> {
        let of = |places: &[f64]| -> Vec<f64> {
            let rest = |i: usize| places.iter().skip(i + 1);
            let each = places.iter().enumerate();
            each.flat_map(|(i, p)| rest(i).map(move |q| q - p))
                .collect()
        };
        let mut spans: Vec<f64> = self.places.iter().flat_map(|places| of(places)).collect();
        spans.sort_by(f64::total_cmp);
        spans
    }

    fn strips(&mut self, lines: &[(f64, f64, f64)], scope: f64) {
        for (i, p) in lines.iter().enumerate() {
            let mut met = 0;
            for q in lines.iter().skip(i + 1) {
                let gap = q.0 - p.0;
                if gap > scope / 8.0 || met >= 4 {
                    break;
                }
                let overlap = p.2.min(q.2) - p.1.max(q.1);
                let shorter = (p.2 - p.1).min(q.2 - q.1);
                if gap >= scope / 220.0 && overlap > 0.6 * shorter && overlap > 5.0 * gap {
                    self.strips.push(gap);
                    met += 1;
                }
            }
        }
    }

    /// Share of the strips that are as wide as stock at this worth.
    pub fn share(&self, mm: f64) -> f64 {
        if self.strips.is_empty() {
            return 0.0;
        }
        let hits = self
            .strips
            .iter()
            .filter(|s| STOCK.iter().any(|t| (*s * mm - t).abs() <= NEAR))
            .count();
        hits as f64 / self.strips.len() as f64
    }

    /// True when the views are as large as cabinets and runs of them are.
    pub fn fits(&self, mm: f64) -> bool {
        SIZES.contains(&(self.size * mm)) && self.lesser * mm <= TALLEST
    }

    pub fn belief(&self, mm: f64) -> Belief {
        if !self.fits(mm) {
            return Belief::Poor;
        }
        let share = self.share(mm);
        if self.strips.len() >= 2 && share >= 0.3 {
            return Belief::Good;
        }
        let boards = self
            .strips
            .iter()
            .filter(|s| (9.0..=80.0).contains(&(*s * mm)))
            .count();
        if self.strips.len() >= 4 && 4 * boards < self.strips.len() && share < 0.1 {
            return Belief::Poor;
        }
        Belief::Fair
    }

    /// The stock thickness met most often at this worth, millimetres, and how often.
    pub fn stock(&self, mm: f64) -> Option<(f64, usize)> {
        STOCK
            .iter()
            .map(|&t| {
                (
                    t,
                    self.strips
                        .iter()
                        .filter(|s| (*s * mm - t).abs() <= NEAR)
                        .count(),
                )
            })
            .filter(|hit| hit.1 > 0)
            .max_by(|p, q| p.1.cmp(&q.1).then(q.0.total_cmp(&p.0)))
    }
}
