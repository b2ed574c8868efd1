//! The direction most of the linework runs in.

use geo::Coord;
use std::f64::consts::FRAC_PI_2;

/// Widest spread of angles taken as one direction, radians.
const SPREAD: f64 = 0.004;

/// Lines of one direction.
#[derive(Clone, Copy, Default)]
struct Bundle {
    angle: f64,
    length: f64,
    /// Sum of the squares of their lengths.
    squares: f64,
}

/// Direction in `-45°..=45°` (radians) that most of the drawn length runs along
/// or square to, and the share of the length that does. `None` without lines.
///
/// The weighted median is taken, so exactly drawn lines decide over leaning ones.
pub fn dominant_direction<I>(segments: I) -> Option<(f64, f64)>
where
    I: IntoIterator<Item = (Coord<f64>, Coord<f64>)>,
{
    let mut angles: Vec<Bundle> = Vec::new();
    // Nearly all lines of an upright drawing, which need no sorting.
    let mut square = Bundle::default();
    for (a, b) in segments {
        let (dx, dy) = (b.x - a.x, b.y - a.y);
        let upright = dx == 0.0 || dy == 0.0;
        let length = if upright {
            dx.abs() + dy.abs()
        } else {
            dx.hypot(dy)
        };
        if length > 0.0 && length.is_finite() {
            if upright {
                square.length += length;
                square.squares += length * length;
                continue;
            }
            // Quarter turns are folded away without touching exact angles.
            let angle = if dx.abs() >= dy.abs() {
                (dy / dx).atan()
            } else {
                -(dx / dy).atan()
            };
            angles.push(Bundle {
                angle,
                length,
                squares: length * length,
            });
        }
    }
    if square.length > 0.0 {
        angles.push(square);
    }
    angles.sort_by(|p, q| {
        p.angle
            .total_cmp(&q.angle)
            .then(p.length.total_cmp(&q.length))
    });
    let total: f64 = angles.iter().map(|bundle| bundle.length).sum();
    if angles.is_empty() || total <= 0.0 {
        return None;
    }
    // Heaviest window of width SPREAD on the circle of quarter turns.
    let count = angles.len();
    let turned = |index: usize| {
        let bundle = angles[index % count];
        let quarter = if index < count { 0.0 } else { FRAC_PI_2 };
        Bundle {
            angle: bundle.angle + quarter,
            ..bundle
        }
    };
    let (mut best, mut weight, mut end) = ((0.0, 0, 0), 0.0, 0);
    for start in 0..count {
        while end < start + count && turned(end).angle - turned(start).angle <= SPREAD {
            weight += turned(end).length;
            end += 1;
        }
        if weight > best.0 * (1.0 + 1e-12) {
            best = (weight, start, end);
        }
        weight -= turned(start).length;
    }
    // Long lines tell the angle better: weigh by the square of the length.
    let squares: f64 = (best.1..best.2).map(|i| turned(i).squares).sum();
    let mut below = 0.0;
    let mut angle = turned(best.1).angle;
    for index in best.1..best.2 {
        angle = turned(index).angle;
        below += turned(index).squares;
        if below >= 0.5 * squares {
            break;
        }
    }
    if angle > FRAC_PI_2 / 2.0 + 1e-12 {
        angle -= FRAC_PI_2;
    }
    Some((angle, (best.0 / total).min(1.0)))
}
