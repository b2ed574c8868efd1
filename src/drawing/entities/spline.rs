//! SPLINE: rational B-splines taken as chains of short straight pieces that
//! stay within a stated distance of the curve.

use crate::drawing::Point;
use crate::drawing::limits::{
    MAX_SPLINE_DEGREE, MAX_SPLINE_HALVINGS, MAX_SPLINE_PIECES, MAX_SPLINE_POINTS, SPLINE_TOLERANCE,
};
use crate::drawing::record::Record;
use crate::drawing::refusal::Refusal;
use crate::drawing::shape::{Outline, Shape};
use crate::drawing::vector;

#[derive(Clone, Debug, Default, PartialEq)]
pub struct Curve {
    pub degree: usize,
    pub knots: Vec<f64>,
    pub points: Vec<Point>,
    /// Empty, or one for each point.
    pub weights: Vec<f64>,
}

/// All points in world coordinates (DXF Reference, SPLINE).
pub fn spline(record: &Record) -> Result<Shape, Refusal> {
    let mut curve = Curve::default();
    let mut fit: Vec<Point> = Vec::new();
    let mut closed = false;
    for field in record.own() {
        match field.code {
            70 => closed = field.int()? & 1 != 0,
            71 => curve.degree = usize::try_from(field.int()?).unwrap_or(0),
            40 => curve.knots.push(field.real()?),
            41 => curve.weights.push(field.real()?),
            10 => curve.points.push([field.real()?, 0.0, 0.0]),
            11 => fit.push([field.real()?, 0.0, 0.0]),
            20 | 30 => coordinate(curve.points.last_mut(), field.code - 20, field.real()?),
            21 | 31 => coordinate(fit.last_mut(), field.code - 21, field.real()?),
            _ => {}
        }
    }
    let points = if curve.points.is_empty() {
        // Through two points goes a straight line; through more than two the
        // curve depends on the program that draws it.
        match fit[..] {
            [a, b] if !closed => vec![a, b],
            _ => return Err("a curve given by points it goes through, its shape is not".into()),
        }
    } else {
        curve.flatten()?
    };
    let followers = points.iter().skip(1);
    let segments = points.iter().copied().zip(followers.copied()).collect();
    Ok(Shape::Many(Box::new(Outline {
        segments,
        conics: Vec::new(),
    })))
}

/// `which` is 0 for y and 10 for z.
fn coordinate(point: Option<&mut Point>, which: i32, value: f64) {
    if let Some([_, y, z]) = point {
        *(if which == 0 { y } else { z }) = value;
    }
}

type Homogeneous = [f64; 4];

impl Curve {
    /// Points along the curve; the chain stays within [`SPLINE_TOLERANCE`]
    /// times the curve's size of it.
    ///
    /// # Errors
    /// When degree, knots, points and weights do not make a curve.
    pub fn flatten(&self) -> Result<Vec<Point>, Refusal> {
        self.check()?;
        let tolerance = self.size() * SPLINE_TOLERANCE;
        let mut out = Vec::new();
        let inner = self
            .knots
            .get(self.degree..=self.points.len())
            .unwrap_or_default();
        for (i, (&from, &to)) in inner.iter().zip(inner.iter().skip(1)).enumerate() {
            if to <= from {
                continue;
            }
            let span = self.degree + i;
            let mut a = self.at(span, from);
            if out.is_empty() {
                out.push(a);
            }
            // One piece for each degree at least: a curve may bend back to
            // its chord in the middle.
            #[allow(clippy::cast_precision_loss)]
            let step = (to - from) / self.degree as f64;
            let mut t = from;
            for piece in 1..=self.degree {
                #[allow(clippy::cast_precision_loss)]
                let next = if piece == self.degree {
                    to
                } else {
                    from + step * piece as f64
                };
                let b = self.at(span, next);
                self.halve(span, (t, a), (next, b), tolerance, 0, &mut out);
                (t, a) = (next, b);
                if out.len() > MAX_SPLINE_PIECES {
                    return Err(Refusal::Because(
                        format!("more than {MAX_SPLINE_PIECES} pieces in one spline").into(),
                    ));
                }
            }
        }
        straightened(&mut out, tolerance * 1e-3);
        if out.len() < 2 {
            return Err("its knots leave no curve".into());
        }
        Ok(out)
    }

    fn check(&self) -> Result<(), Refusal> {
        let points = self.points.len();
        if self.degree == 0 || self.degree > MAX_SPLINE_DEGREE || points > MAX_SPLINE_POINTS {
            return Err(Refusal::Because(
                format!(
                    "degree {} with {points} control points; at most {MAX_SPLINE_DEGREE} and \
                     {MAX_SPLINE_POINTS} are evaluated",
                    self.degree
                )
                .into(),
            ));
        }
        let weights = self.weights.len();
        let usable = points > self.degree
            && self.knots.len() == points + self.degree + 1
            && self.knots.is_sorted()
            && (weights == 0 || weights == points)
            && self.weights.iter().all(|w| *w > 0.0);
        if usable {
            Ok(())
        } else {
            Err("its knots, points and weights do not make a curve".into())
        }
    }

    fn size(&self) -> f64 {
        let mut low = [f64::INFINITY; 3];
        let mut high = [f64::NEG_INFINITY; 3];
        for point in &self.points {
            for ((l, h), c) in low.iter_mut().zip(&mut high).zip(point) {
                *l = l.min(*c);
                *h = h.max(*c);
            }
        }
        vector::distance(low, high)
    }

    /// De Boor's algorithm in homogeneous coordinates.
    fn at(&self, span: usize, t: f64) -> Point {
        let p = self.degree;
        let knot = |i: usize| self.knots.get(i).copied().unwrap_or(0.0);
        let mut d: [Homogeneous; MAX_SPLINE_DEGREE + 1] = [[0.0; 4]; MAX_SPLINE_DEGREE + 1];
        for (j, slot) in d.iter_mut().enumerate().take(p + 1) {
            let index = (span + j).saturating_sub(p);
            let [x, y, z] = self.points.get(index).copied().unwrap_or_default();
            let w = self.weights.get(index).copied().unwrap_or(1.0);
            *slot = [x * w, y * w, z * w, w];
        }
        for r in 1..=p {
            for j in (r..=p).rev() {
                let i = (span + j).saturating_sub(p);
                let width = knot(i + p + 1 - r) - knot(i);
                let share = if width > 0.0 {
                    (t - knot(i)) / width
                } else {
                    0.0
                };
                let before = j.checked_sub(1).and_then(|k| d.get(k)).copied();
                if let (Some(before), Some(slot)) = (before, d.get_mut(j)) {
                    for (value, old) in slot.iter_mut().zip(before) {
                        *value = old * (1.0 - share) + *value * share;
                    }
                }
            }
        }
        let [x, y, z, w] = d.get(p).copied().unwrap_or_default();
        [x / w, y / w, z / w]
    }

    fn halve(
        &self,
        span: usize,
        (ta, a): (f64, Point),
        (tb, b): (f64, Point),
        tolerance: f64,
        depth: u32,
        out: &mut Vec<Point>,
    ) {
        let tm = f64::midpoint(ta, tb);
        let m = self.at(span, tm);
        let flat = depth > 0 || self.degree == 1;
        if (flat && off_chord(a, b, m) <= tolerance) || depth >= MAX_SPLINE_HALVINGS {
            out.push(b);
            return;
        }
        self.halve(span, (ta, a), (tm, m), tolerance, depth + 1, out);
        self.halve(span, (tm, m), (tb, b), tolerance, depth + 1, out);
    }
}

/// Distance of a point from the piece between two others.
fn off_chord(a: Point, b: Point, p: Point) -> f64 {
    let (ab, ap) = (vector::sub(b, a), vector::sub(p, a));
    let along = vector::dot(ab, ab);
    let share = if along > 0.0 {
        (vector::dot(ap, ab) / along).clamp(0.0, 1.0)
    } else {
        0.0
    };
    vector::distance(ap, vector::scale(ab, share))
}

/// Drops points on the straight line between their neighbours, so that a
/// straight spline is one line.
fn straightened(points: &mut Vec<Point>, tolerance: f64) {
    let mut kept: Vec<Point> = Vec::with_capacity(points.len());
    for &point in points.iter() {
        if kept.last() == Some(&point) {
            continue;
        }
        if let [.., before, last] = kept[..]
            && off_chord(before, point, last) <= tolerance
        {
            kept.pop();
        }
        kept.push(point);
    }
    *points = kept;
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// A quarter circle as a rational quadratic (Piegl and Tiller, The NURBS
    /// Book, ch. 7): weights 1, √2/2, 1.
    #[test]
    fn a_rational_quarter_circle_is_round() {
        let curve = Curve {
            degree: 2,
            knots: vec![0.0, 0.0, 0.0, 1.0, 1.0, 1.0],
            points: vec![[100.0, 0.0, 0.0], [100.0, 100.0, 0.0], [0.0, 100.0, 0.0]],
            weights: vec![1.0, 0.5_f64.sqrt(), 1.0],
        };
        let points = curve.flatten().unwrap();
        assert_eq!(
            (points[0], points[points.len() - 1]),
            ([100.0, 0.0, 0.0], [0.0, 100.0, 0.0])
        );
        for pair in points.windows(2) {
            assert_relative_eq!(vector::length(pair[0]), 100.0, max_relative = 1e-12);
            let middle = vector::scale(vector::add(pair[0], pair[1]), 0.5);
            let sagitta = 100.0 - vector::length(middle);
            assert!(sagitta <= 100.0 * 2.0_f64.sqrt() * SPLINE_TOLERANCE);
        }
    }

    #[test]
    fn a_spline_that_turns_without_end_is_refused() {
        let turns: u32 = 10_000;
        let ends = |at: f64| std::iter::repeat_n(at, 3);
        let curve = Curve {
            degree: 2,
            knots: ends(0.0)
                .chain((1..turns - 2).map(f64::from))
                .chain(ends(f64::from(turns - 2)))
                .collect(),
            points: (0..turns)
                .map(|i| [f64::from(i % 2), f64::from(i / 2 % 2), 0.0])
                .collect(),
            weights: vec![],
        };
        let Err(Refusal::Because(said)) = curve.flatten() else {
            panic!("not refused");
        };
        assert_eq!(said, "more than 200000 pieces in one spline");
    }

    #[test]
    fn a_straight_spline_is_one_line() {
        let curve = Curve {
            degree: 3,
            knots: vec![0.0, 0.0, 0.0, 0.0, 1.0, 1.0, 1.0, 1.0],
            points: vec![
                [0.0; 3],
                [10.0, 5.0, 0.0],
                [20.0, 10.0, 0.0],
                [30.0, 15.0, 0.0],
            ],
            weights: vec![],
        };
        assert_eq!(curve.flatten().unwrap(), [[0.0; 3], [30.0, 15.0, 0.0]]);
    }

    /// An S meets its chord in the middle.
    #[test]
    fn an_s_curve_is_not_taken_as_straight() {
        let curve = Curve {
            degree: 3,
            knots: vec![0.0, 0.0, 0.0, 0.0, 1.0, 1.0, 1.0, 1.0],
            points: vec![
                [0.0; 3],
                [10.0, 30.0, 0.0],
                [20.0, -30.0, 0.0],
                [30.0, 0.0, 0.0],
            ],
            weights: vec![],
        };
        let top = curve
            .flatten()
            .unwrap()
            .iter()
            .fold(0.0_f64, |m, p| m.max(p[1]));
        // Bernstein form: y = 90t(1−t)²−90t²(1−t), largest at t = (3−√3)/6: 5√3.
        assert_relative_eq!(top, 5.0 * 3.0_f64.sqrt(), max_relative = 1e-3);
    }

    #[test]
    fn what_makes_no_curve_is_refused() {
        let good = Curve {
            degree: 1,
            knots: vec![0.0, 0.0, 1.0, 1.0],
            points: vec![[0.0; 3], [1.0, 0.0, 0.0]],
            weights: vec![],
        };
        assert!(good.flatten().is_ok());
        let knots = |knots: Vec<f64>| Curve {
            knots,
            ..good.clone()
        };
        assert!(knots(vec![0.0, 1.0]).flatten().is_err());
        assert!(knots(vec![0.0, 1.0, 0.5, 1.0]).flatten().is_err());
        assert!(knots(vec![1.0; 4]).flatten().is_err());
        let degree = Curve { degree: 26, ..good };
        let text = degree.flatten().unwrap_err().to_string();
        assert!(text.contains("at most 25"), "{text}");
    }
}
