//! A plan of a run, or the run once more without doors, on which no names
//! stand: it is cut where the run was cut, when its uprights stand there too.

use super::build::Sketch;
use super::flatten::Stroke;
use super::{Scale, ViewKind, parted};
use geo::Rect;

/// A run that was divided: its sketch's bounds, its seams from left to right and
/// the names between them.
pub(super) struct Divided {
    pub bounds: Rect<f64>,
    pub seams: Vec<f64>,
    pub names: Vec<Vec<String>>,
    pub scale: Scale,
}

/// How far an upright may miss a seam, as a share of the run's width.
const NEAR: f64 = 4e-4;
/// Share of the view's height an upright at a seam must cover.
const COVER: f64 = 0.5;

/// The sketch cut like the only run it fits, left to right, with the seams.
/// `None` when it fits none, or more than one.
pub(super) fn cut_like(sketch: &Sketch, runs: &[Divided]) -> Option<(Vec<Sketch>, Vec<f64>)> {
    let open = sketch.told.cabinets.is_empty()
        && sketch.labels.is_empty()
        && sketch.run.is_none()
        && matches!(sketch.told.kind, ViewKind::Plan | ViewKind::Front);
    if !open {
        return None;
    }
    let mut fits = runs.iter().filter_map(|run| {
        let shift = shift(sketch, run)?;
        Some((run, shift))
    });
    let (run, shift) = fits.next()?;
    if fits.next().is_some() {
        return None;
    }
    let seams: Vec<f64> = run.seams.iter().map(|seam| seam + shift).collect();
    let mut parts = Vec::new();
    let mut rest = sketch.clone();
    for &seam in &seams {
        let (left, right) = parted::cut(&rest, seam);
        parts.push(left);
        rest = right;
    }
    parts.push(rest);
    if parts.len() != run.names.len() || parts.iter().any(|part| part.strokes.is_empty()) {
        return None;
    }
    for (part, names) in parts.iter_mut().zip(&run.names) {
        part.told.cabinets.clone_from(names);
    }
    Some((parts, seams))
}

/// How far right of the run the sketch stands: straight above or below it, or
/// anywhere when both ends and all seams fit.
fn shift(sketch: &Sketch, run: &Divided) -> Option<f64> {
    let (Scale::Known { mm_per_unit: a, .. }, Scale::Known { mm_per_unit: b, .. }) =
        (&sketch.scale, &run.scale)
    else {
        return None;
    };
    if a != b {
        return None;
    }
    let near = NEAR * run.bounds.width();
    let least = COVER * sketch.bounds.height();
    let stands = |x: f64| covered(&sketch.strokes, x, near) >= least;
    let fits = |shift: f64| {
        stands(run.bounds.min().x + shift)
            && stands(run.bounds.max().x + shift)
            && run.seams.iter().all(|seam| stands(seam + shift))
    };
    let ends = [
        0.0,
        sketch.bounds.min().x - run.bounds.min().x,
        sketch.bounds.max().x - run.bounds.max().x,
    ];
    ends.into_iter().find(|&shift| fits(shift))
}

/// Length drawn along an upright position, repeats once.
fn covered(strokes: &[Stroke], x: f64, near: f64) -> f64 {
    let mut pieces: Vec<(f64, f64)> = strokes
        .iter()
        .map(Stroke::bounds)
        .filter(|b| b.width() <= 1e-3 * b.height() && (b.center().x - x).abs() <= near)
        .map(|b| (b.min().y, b.max().y))
        .collect();
    pieces.sort_by(|p, q| p.0.total_cmp(&q.0).then(p.1.total_cmp(&q.1)));
    let mut end = f64::NEG_INFINITY;
    let mut sum = 0.0;
    for (low, high) in pieces {
        sum += (high - low.max(end)).max(0.0);
        end = end.max(high);
    }
    sum
}
