//! A sheet that was turned back upright: coordinates that were one number before
//! it was turned differ in their last digits. They are made one number again, so
//! that whatever asks whether two lines are level answers as on an upright sheet.

use super::flatten::Stroke;

/// Coordinates nearer than this, as a share of the sheet, are the same: what
/// turning and a file's last digits leave. A thousandth of a hair on a sheet of
/// two metres.
const SAME: f64 = 1e-7;

/// Makes coordinates of ends that differ by rounding only the same, in x and in y.
pub(super) fn straighten(strokes: &mut [Stroke]) {
    let mut xs: Vec<&mut f64> = Vec::with_capacity(2 * strokes.len());
    let mut ys: Vec<&mut f64> = Vec::with_capacity(2 * strokes.len());
    for stroke in strokes {
        xs.extend([&mut stroke.a.x, &mut stroke.b.x]);
        ys.extend([&mut stroke.a.y, &mut stroke.b.y]);
    }
    let size = spread(&mut xs).max(spread(&mut ys));
    unite(&mut xs, SAME * size);
    unite(&mut ys, SAME * size);
}

/// Sorts, and gives the difference of the last and the first.
fn spread(values: &mut [&mut f64]) -> f64 {
    values.sort_unstable_by(|a, b| a.total_cmp(b));
    match values {
        [first, .., last] => **last - **first,
        _ => 0.0,
    }
}

/// Gives sorted values that lie within `same` of a group's first its middle one.
fn unite(values: &mut [&mut f64], same: f64) {
    let mut rest = values;
    while let Some(first) = rest.first().map(|first| **first) {
        let count = rest.partition_point(|value| **value - first <= same).max(1);
        let (group, others) = rest.split_at_mut(count);
        let middle = *group[count / 2];
        for value in group {
            **value = middle;
        }
        rest = others;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::Coord;

    #[test]
    fn only_what_rounding_parts_is_made_one() {
        let stroke = |ax, ay, bx, by| Stroke {
            a: Coord { x: ax, y: ay },
            b: Coord { x: bx, y: by },
            source: 0,
            pieces: 1,
        };
        let mut strokes = [
            stroke(0.0, 0.0, 2000.0, 1e-9),
            stroke(1e-9, 0.0, 2e-9, 700.0),
            // A hundredth of a millimetre is a jog, not rounding.
            stroke(0.01, 700.0, 2000.0, 700.0),
        ];
        straighten(&mut strokes);
        assert_eq!(strokes[0].a.y, strokes[0].b.y);
        assert_eq!(strokes[1].a.x, strokes[1].b.x);
        assert_eq!(strokes[0].a.x, strokes[1].a.x);
        assert_eq!(strokes[2].a.x, 0.01);
    }
}
