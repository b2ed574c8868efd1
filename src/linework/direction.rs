//! The direction most of the linework runs in.

use geo::Coord;
use std::f64::consts::FRAC_PI_2;

/// Widest spread of angles taken as one direction, radians.
const SPREAD: f64 = 0.004;

/// Direction in `-45°..=45°` (radians) that most of the drawn length runs along
/// or square to, and the share of the length that does. `None` without lines.
///
/// The weighted median is taken, so exactly drawn lines decide over leaning ones.
pub fn dominant_direction<I>(segments: I) -> Option<(f64, f64)>
where
    I: IntoIterator<Item = (Coord<f64>, Coord<f64>)>,
{
    let mut angles: Vec<(f64, f64)> = Vec::new();
    for (a, b) in segments {
        let (dx, dy) = (b.x - a.x, b.y - a.y);
        let length = dx.hypot(dy);
        if length > 0.0 && length.is_finite() {
            // Quarter turns are folded away without touching exact angles.
            let angle = if dx.abs() >= dy.abs() {
                (dy / dx).atan()
            } else {
                -(dx / dy).atan()
            };
            angles.push((angle, length));
        }
    }
    angles.sort_by(|p, q| p.0.total_cmp(&q.0).then(p.1.total_cmp(&q.1)));
    let total: f64 = angles.iter().map(|a| a.1).sum();
    if angles.is_empty() || total <= 0.0 {
        return None;
    }
    // Heaviest window of width SPREAD on the circle of quarter turns.
    let count = angles.len();
    let turned = |index: usize| {
        let (angle, length) = angles[index % count];
        (
            if index < count {
                angle
            } else {
                angle + FRAC_PI_2
            },
            length,
        )
    };
    let (mut best, mut weight, mut end) = ((0.0, 0, 0), 0.0, 0);
    for start in 0..count {
        while end < start + count && turned(end).0 - turned(start).0 <= SPREAD {
            weight += turned(end).1;
            end += 1;
        }
        if weight > best.0 * (1.0 + 1e-12) {
            best = (weight, start, end);
        }
        weight -= turned(start).1;
    }
    // Long lines tell the angle better: weigh by the square of the length.
    let squares: f64 = (best.1..best.2).map(|i| turned(i).1.powi(2)).sum();
    let mut below = 0.0;
    let mut angle = turned(best.1).0;
    for index in best.1..best.2 {
        angle = turned(index).0;
        below += turned(index).1.powi(2);
        if below >= 0.5 * squares {
            break;
        }
    }
    if angle > FRAC_PI_2 / 2.0 + 1e-12 {
        angle -= FRAC_PI_2;
    }
    Some((angle, (best.0 / total).min(1.0)))
}
