//! Measures of a sheet, for holding against reference values.
#![allow(dead_code)]

use dryfit::drawing::{EntityKind, Point, Sheet};

pub fn distance(a: Point, b: Point) -> f64 {
    let squares = a.iter().zip(b).map(|(p, q)| (p - q).powi(2));
    squares.sum::<f64>().sqrt()
}

pub fn norm(a: Point) -> f64 {
    distance(a, [0.0; 3])
}

#[track_caller]
pub fn near(got: f64, want: f64, relative: f64, what: &str) {
    let bound = relative * want.abs().max(1.0);
    assert!((got - want).abs() <= bound, "{what}: {got}, want {want}");
}

/// Count and total.
#[derive(Debug, Default)]
pub struct Sum(pub u64, pub f64);

impl Sum {
    pub fn add(&mut self, value: f64) {
        self.0 += 1;
        self.1 += value;
    }
}

pub fn is_spline(sheet: &Sheet, source: u32) -> bool {
    sheet.sources[source as usize].kind == EntityKind::Spline
}

pub fn arcs(sheet: &Sheet) -> Sum {
    let mut sum = Sum::default();
    for arc in &sheet.arcs {
        sum.add(arc.radius * (arc.end - arc.start));
    }
    sum
}

/// Half axes and parameter range multiplied, as in the reference.
pub fn ellipses(sheet: &Sheet) -> Sum {
    let mut sum = Sum::default();
    for e in &sheet.ellipses {
        sum.add(norm(e.major) * norm(e.minor) * (e.end - e.start));
    }
    sum
}

/// Box of all lines, arcs and ellipses but splines. Curves are scanned, with a
/// parabola through the best three points: another way than closed forms.
pub fn extents(sheet: &Sheet) -> (Point, Point) {
    let mut low = [f64::INFINITY; 3];
    let mut high = [f64::NEG_INFINITY; 3];
    let mut take = |p: Point| {
        for axis in 0..3 {
            low[axis] = low[axis].min(p[axis]);
            high[axis] = high[axis].max(p[axis]);
        }
    };
    for segment in &sheet.segments {
        if !is_spline(sheet, segment.source) {
            take(segment.a);
            take(segment.b);
        }
    }
    let mut curve = |start: f64, end: f64, at: &dyn Fn(f64) -> Point| {
        let steps = 720;
        let step = (end - start) / f64::from(steps);
        for axis in 0..3 {
            for sign in [1.0, -1.0] {
                let value = |t: f64| sign * at(t)[axis];
                let best = (0..=steps)
                    .map(|i| start + step * f64::from(i))
                    .max_by(|a, b| value(*a).total_cmp(&value(*b)))
                    .unwrap();
                let (l, m, r) = (value(best - step), value(best), value(best + step));
                let bend = l - 2.0 * m + r;
                let shift = if bend < 0.0 {
                    0.5 * (l - r) / bend
                } else {
                    0.0
                };
                take(at((best + shift * step).clamp(start, end)));
            }
        }
    };
    for arc in &sheet.arcs {
        curve(arc.start, arc.end, &|t| arc.point_at(t));
    }
    for ellipse in &sheet.ellipses {
        curve(ellipse.start, ellipse.end, &|t| ellipse.point_at(t));
    }
    (low, high)
}

/// What [`dryfit::drawing::Sheet`] promises of any sheet.
pub fn promises(sheet: &Sheet) {
    let bound = dryfit::drawing::limits::MAX_COORDINATE * 2.0;
    let point = |p: Point| assert!(p.iter().all(|c| c.abs() <= bound), "{p:?}");
    let mut last = 0;
    for s in sheet.segments.iter().chain(&sheet.hatch_segments) {
        point(s.a);
        point(s.b);
        assert_ne!(s.a, s.b);
        assert!((s.source as usize) < sheet.sources.len());
    }
    for s in &sheet.segments {
        assert!(s.source >= last, "segments in the order of the file");
        last = s.source;
    }
    for arc in sheet.arcs.iter().chain(&sheet.hatch_arcs) {
        point(arc.centre);
        assert!(arc.radius > 0.0 && arc.end > arc.start);
        assert!(arc.end - arc.start <= std::f64::consts::TAU + 1e-9);
        assert!(arc.normal[2] > -1e-6);
    }
    for e in sheet.ellipses.iter().chain(&sheet.hatch_ellipses) {
        point(e.centre);
        assert!(norm(e.minor) > 0.0 && norm(e.minor) <= norm(e.major) * (1.0 + 1e-9));
    }
    for text in &sheet.texts {
        point(text.at);
        assert!(!text.text.trim().is_empty() && text.height.is_finite());
    }
    for d in &sheet.dimensions {
        assert!(d.measured.is_finite() && d.measured >= 0.0 && d.factor.is_finite());
    }
    for source in &sheet.sources {
        assert!((source.layer as usize) < sheet.layers.len());
        assert!((source.linetype as usize) < sheet.linetypes.len());
        assert!((source.block_path as usize) < sheet.block_paths.len());
    }
}
