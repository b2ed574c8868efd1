//! A sheet laid flat: the plane it is drawn in, re-based near the origin, turned
//! upright. Coordinates stay in drawing units.

use super::Plane;
use super::straight::straighten;
use super::whole::whole;
use crate::drawing::{Point, Segment, Sheet, Viewport};
use crate::linework::dominant_direction;
use geo::{AffineTransform, Coord, Rect};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stroke {
    pub a: Coord<f64>,
    pub b: Coord<f64>,
    pub source: u32,
    /// How many drawn lines it stands for.
    pub pieces: u32,
}

impl Stroke {
    pub fn bounds(&self) -> Rect<f64> {
        Rect::new(self.a, self.b)
    }
}

/// Where an end is: 2i and 2i + 1 are those of stroke i.
pub(super) fn end_of(strokes: &[Stroke], end: u32) -> Coord<f64> {
    let stroke = &strokes[end as usize / 2];
    if end.is_multiple_of(2) {
        stroke.a
    } else {
        stroke.b
    }
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct FlatArc {
    pub centre: Coord<f64>,
    pub radius: f64,
    pub full: bool,
    pub bounds: Rect<f64>,
    pub source: u32,
}

#[derive(Clone, Debug, PartialEq)]
pub(super) struct FlatText {
    pub text: String,
    /// Middle of its box.
    pub at: Coord<f64>,
    /// The point it is set from.
    pub anchor: Coord<f64>,
    pub height: f64,
    /// Radians from upright, `-PI..=PI`.
    pub rotation: f64,
    pub source: u32,
}

#[derive(Clone, Debug, PartialEq)]
pub(super) struct FlatDimension {
    pub from: Coord<f64>,
    pub to: Coord<f64>,
    pub line_at: Coord<f64>,
    /// Distance along the measured direction, drawing units.
    pub measured: f64,
    /// Along x, along y, or neither.
    pub level: Option<bool>,
    /// True for a length between two points; false for angles, radii, ordinates.
    pub linear: bool,
    /// Typed instead of the measurement.
    pub text: Option<String>,
    /// What the eye sees, where the file says.
    pub drawn_text: Option<String>,
    /// Put together from lines and a text, not an entity.
    pub exploded: bool,
    pub factor: f64,
    pub factor_origin: &'static str,
    pub source: u32,
}

/// A sheet in two dimensions.
#[derive(Clone, Debug)]
pub(super) struct Flat {
    pub plane: Plane,
    /// Maps flat coordinates to drawing coordinates in the sheet's plane.
    pub to_drawing: AffineTransform<f64>,
    pub strokes: Vec<Stroke>,
    pub arcs: Vec<FlatArc>,
    /// Bounds of ellipses; nothing is measured on them.
    pub ellipses: Vec<(Rect<f64>, u32)>,
    pub texts: Vec<FlatText>,
    pub dimensions: Vec<FlatDimension>,
    /// Reason and count of what does not lie in the plane.
    pub left_out: BTreeMap<String, usize>,
    /// How the sheet was turned, in plain words, when it was.
    pub turned: Option<String>,
}

/// Share of the drawn length that may stand out of a flat drawing.
const OUT_OF_PLANE: f64 = 0.02;
/// Noise in the depth of a line's ends, by the size of the sheet: exporters leave about a
/// hundred-thousandth of it, which is steep on a short piece of an edge.
const DEPTH_NOISE: f64 = 1e-4;
/// A line that rises by more than this share of its length is steep.
const STEEP: f64 = 0.05;
/// The largest noise in depth is at most so many times what one line in twenty has more
/// than: for ends that lie anywhere within a range it is 1.3 times.
const NOISIEST: f64 = 1.5;
/// Coordinates beyond this are damage, not drawing.
const ABSURD: f64 = 1e12;

/// Takes the sheet's straight lines.
pub(super) fn flatten(sheet: &mut Sheet) -> Flat {
    let mut left_out = BTreeMap::new();
    let mut tally = |reason: &str, count: usize| {
        if count > 0 {
            *left_out.entry(reason.to_owned()).or_insert(0) += count;
        }
    };
    let plane = plane_of(sheet);
    let Some(plane) = plane else {
        tally(
            "lines stand in space and lie in no one plane; export flat views of the model",
            sheet.segments.len() + sheet.arcs.len() + sheet.ellipses.len(),
        );
        return Flat {
            plane: Plane::Xy,
            to_drawing: AffineTransform::identity(),
            strokes: Vec::new(),
            arcs: Vec::new(),
            ellipses: Vec::new(),
            texts: Vec::new(),
            dimensions: Vec::new(),
            left_out,
            turned: None,
        };
    };
    let flat_of = |p: Point| plane.flatten(p);
    let sound = |p: Point| p.iter().all(|v| v.abs() < ABSURD);

    let segments = std::mem::take(&mut sheet.segments);
    let sheet = &*sheet;
    let damaged = |segment: &Segment| !sound(segment.a) || !sound(segment.b);
    let sound_ends = segments
        .par_iter()
        .flat_map_iter(|s| [s.a, s.b])
        .filter(|p| sound(*p));
    let least = DEPTH_NOISE * reach(sound_ends.map(flat_of));
    let depth = |s: &Segment| (plane.depth(s.b) - plane.depth(s.a)).abs();
    let steep = |s: &Segment| {
        let (a, b) = (flat_of(s.a), flat_of(s.b));
        depth(s) > STEEP * (b.x - a.x).hypot(b.y - a.y)
    };
    let rises = |s: &Segment| !damaged(s) && depth(s) > least && steep(s);
    // What the other lines, all of them in the plane, have of noise is no more on a short one.
    let noise = if segments.par_iter().any(rises) {
        let level = segments.iter().filter(|s| !damaged(s) && !steep(s));
        least.max(NOISIEST * nearly_largest(level.map(depth).collect()))
    } else {
        least
    };
    let stands_out = |s: &Segment| depth(s) > noise && steep(s);
    // Without pieces where it is left out, so that all can be taken at once.
    let mut strokes: Vec<Stroke> = segments
        .par_iter()
        .map(|segment| Stroke {
            a: flat_of(segment.a),
            b: flat_of(segment.b),
            source: segment.source,
            pieces: u32::from(!damaged(segment) && !stands_out(segment)),
        })
        .collect();
    let without = strokes.par_iter().filter(|s| s.pieces == 0).count();
    if without > 0 {
        let lost = segments.par_iter().filter(|s| damaged(s)).count();
        tally("line stands out of the drawing's plane", without - lost);
        tally("coordinates out of all bounds", lost);
        strokes.retain(|stroke| stroke.pieces > 0);
    }
    drop(segments);
    let mut strokes = whole(sheet, strokes);

    // Re-base before any arithmetic: far from the origin, digits are short.
    let lows = strokes.par_iter().map(|stroke| stroke.bounds().min());
    let base = lows
        .reduce_with(|p, q| Coord {
            x: p.x.min(q.x),
            y: p.y.min(q.y),
        })
        .or_else(|| {
            sheet
                .texts
                .first()
                .map(|t| flat_of(t.at))
                .filter(|c| c.x.is_finite() && c.y.is_finite())
        })
        .unwrap_or_default();
    strokes.par_iter_mut().for_each(|stroke| {
        stroke.a = stroke.a - base;
        stroke.b = stroke.b - base;
    });
    let (lean, quarters, turned) = upright(sheet, plane, &strokes);
    let turn = Turn::new(lean, quarters);
    let place = |p: Point| turn.back(flat_of(p) - base);
    strokes.par_iter_mut().for_each(|stroke| {
        stroke.a = turn.back(stroke.a);
        stroke.b = turn.back(stroke.b);
    });
    if lean != 0.0 {
        straighten(&mut strokes);
    }

    let mut arcs = Vec::new();
    let (mut tilted, mut damaged) = (0, 0);
    for arc in &sheet.arcs {
        if !sound(arc.centre) || !arc.radius.is_finite() || arc.radius <= 0.0 || arc.radius > ABSURD
        {
            damaged += 1;
            continue;
        }
        let normal = plane.depth(arc.normal).abs();
        let whole = arc.normal.iter().map(|v| v * v).sum::<f64>().sqrt();
        if !normal.is_finite() || normal <= 0.999 * whole {
            tilted += 1;
            continue;
        }
        let at = |angle: f64| place(arc.point_at(angle));
        let mut bounds = Rect::new(at(arc.start), at(arc.end));
        // Sixteen chords are near enough for telling what belongs together.
        for step in 1..16 {
            let point = at(arc.start + (arc.end - arc.start) * f64::from(step) / 16.0);
            bounds = unite(bounds, Rect::new(point, point));
        }
        arcs.push(FlatArc {
            centre: place(arc.centre),
            radius: arc.radius,
            full: arc.is_full(),
            bounds,
            source: arc.source,
        });
    }
    tally("arc stands out of the drawing's plane", tilted);
    let mut ellipses = Vec::new();
    for ellipse in &sheet.ellipses {
        if !sound(ellipse.centre) || !sound(ellipse.major) || !sound(ellipse.minor) {
            damaged += 1;
            continue;
        }
        let mut bounds: Option<Rect<f64>> = None;
        for step in 0..=16 {
            let angle = ellipse.start + (ellipse.end - ellipse.start) * f64::from(step) / 16.0;
            let point = place(ellipse.point_at(angle));
            let spot = Rect::new(point, point);
            bounds = Some(bounds.map_or(spot, |b| unite(b, spot)));
        }
        ellipses.extend(bounds.map(|b| (b, ellipse.source)));
    }
    let windows: Vec<&Viewport> = sheet
        .viewports
        .iter()
        .filter(|v| !v.off && v.is_plan() && v.model_per_paper() > 0.0)
        .collect();
    let through = |p: Point| {
        windows.iter().find_map(|v| {
            let inside = (p[0] - v.centre[0]).abs() <= 0.5 * v.width
                && (p[1] - v.centre[1]).abs() <= 0.5 * v.height;
            // Titles stand under their window as a rule.
            let below = (p[0] - v.centre[0]).abs() <= 0.5 * v.width
                && (v.centre[1] - p[1]).abs() <= 0.75 * v.height;
            (inside || below)
                .then(|| v.to_model(p).map(|m| (m, v.model_per_paper())))
                .flatten()
        })
    };
    let total_turn = lean + f64::from(quarters) * FRAC_PI_2;
    let mut texts = Vec::new();
    for text in &sheet.texts {
        if !sound(text.at) || !sound(text.anchor) {
            damaged += 1;
            continue;
        }
        texts.push(FlatText {
            text: text.text.clone(),
            at: place(text.at),
            anchor: place(text.anchor),
            height: text.height,
            rotation: wrap(text.rotation - total_turn),
            source: text.source,
        });
    }
    if plane == Plane::Xy {
        for text in sheet.paper_texts.iter().filter(|t| sound(t.at)) {
            if let Some((at, worth)) = through(text.at) {
                let anchor = through(text.anchor).map_or(at, |anchor| anchor.0);
                texts.push(FlatText {
                    text: text.text.clone(),
                    at: place(at),
                    anchor: place(anchor),
                    height: text.height * worth,
                    rotation: wrap(text.rotation - total_turn),
                    source: text.source,
                });
            }
        }
    }
    let mut dimensions = Vec::new();
    for dimension in &sheet.dimensions {
        if !sound(dimension.from) || !sound(dimension.to) || !sound(dimension.line_at) {
            damaged += 1;
            continue;
        }
        use crate::drawing::DimensionKind::{Aligned, Linear};
        let (from, to) = (place(dimension.from), place(dimension.to));
        let angle = match dimension.kind {
            Linear => dimension.angle - total_turn,
            _ => (to.y - from.y).atan2(to.x - from.x),
        };
        let level = if angle.sin().abs() < 1e-3 {
            Some(true)
        } else if angle.cos().abs() < 1e-3 {
            Some(false)
        } else {
            None
        };
        dimensions.push(FlatDimension {
            from,
            to,
            line_at: place(dimension.line_at),
            measured: dimension.measured,
            level,
            linear: matches!(dimension.kind, Linear | Aligned),
            text: dimension.text.clone(),
            drawn_text: dimension.drawn_text.clone(),
            exploded: false,
            factor: dimension.factor,
            factor_origin: dimension.factor_origin,
            source: dimension.source,
        });
    }
    tally("coordinates out of all bounds", damaged);
    Flat {
        plane,
        to_drawing: turn.transform(base),
        strokes,
        arcs,
        ellipses,
        texts,
        dimensions,
        left_out,
        turned,
    }
}

/// Smallest rectangle round both.
pub(super) fn unite(a: Rect<f64>, b: Rect<f64>) -> Rect<f64> {
    Rect::new(
        Coord {
            x: a.min().x.min(b.min().x),
            y: a.min().y.min(b.min().y),
        },
        Coord {
            x: a.max().x.max(b.max().x),
            y: a.max().y.max(b.max().y),
        },
    )
}

fn wrap(angle: f64) -> f64 {
    let turned = (angle + PI).rem_euclid(TAU) - PI;
    if turned.is_finite() { turned } else { 0.0 }
}

/// The plane nearly all lines lie in; `None` for lines standing in space.
fn plane_of(sheet: &Sheet) -> Option<Plane> {
    // Pieces of one size, so that the sums are the same whoever does them.
    let pieces = sheet.segments.par_chunks(1 << 15).map(|piece| {
        [0, 1, 2].map(|axis| -> f64 {
            let steps = piece.iter().map(|s| (s.b[axis] - s.a[axis]).abs());
            steps.filter(|step| *step < ABSURD).sum()
        })
    });
    let pieces: Vec<[f64; 3]> = pieces.collect();
    let along = [0, 1, 2].map(|axis| -> f64 { pieces.iter().map(|sums| sums[axis]).sum() });
    let total: f64 = along.iter().sum();
    if along[2] <= OUT_OF_PLANE * total {
        Some(Plane::Xy)
    } else if along[1] <= OUT_OF_PLANE * total {
        Some(Plane::Xz)
    } else if along[0] <= OUT_OF_PLANE * total {
        Some(Plane::Yz)
    } else {
        None
    }
}

/// The longer side of what points lie in; zero without any.
fn reach(points: impl ParallelIterator<Item = Coord<f64>>) -> f64 {
    let all = points.map(|c| Rect::new(c, c)).reduce_with(unite);
    all.map_or(0.0, |all| all.width().max(all.height()))
}

/// The value that one in twenty is larger than; zero without any.
fn nearly_largest(mut values: Vec<f64>) -> f64 {
    if values.is_empty() {
        return 0.0;
    }
    let at = values.len() - 1 - values.len() / 20;
    *values.select_nth_unstable_by(at, f64::total_cmp).1
}

/// How the sheet is turned: a lean in `-45°..=45°` and quarter turns.
fn upright(sheet: &Sheet, plane: Plane, strokes: &[Stroke]) -> (f64, u8, Option<String>) {
    let lean = match dominant_direction(strokes.iter().map(|s| (s.a, s.b))) {
        Some((angle, share)) if share >= 0.5 => angle,
        _ => 0.0,
    };
    // The direction texts read in tells which way is up. Sizes are often
    // written upright beside a view, so words count for more.
    let mut votes = [0.0_f64; 4];
    let quarter_of = |rotation: f64| {
        let quarter = ((rotation - lean) / FRAC_PI_2).round();
        let square = (rotation - lean - quarter * FRAC_PI_2).abs() <= 0.02;
        square.then_some(quarter.rem_euclid(4.0) as usize % 4)
    };
    if plane == Plane::Xy {
        for text in &sheet.texts {
            let Some(quarter) = quarter_of(text.rotation) else {
                continue;
            };
            let words = text.text.chars().filter(|c| c.is_alphabetic()).count();
            let weight = text.height.clamp(1e-6, 1e6)
                * if words >= 2 {
                    10.0 * (words.min(40) as f64)
                } else {
                    1.0
                };
            votes[quarter] += weight;
        }
    }
    let mut quarters = 0_u8;
    for quarter in [1_u8, 3, 2] {
        if votes[usize::from(quarter)] > votes[usize::from(quarters)] {
            quarters = quarter;
        }
    }
    // Sizes alone, all written one way, say nothing.
    let wordy = sheet
        .texts
        .iter()
        .any(|t| t.text.chars().filter(|c| c.is_alphabetic()).count() >= 2);
    if !wordy && !names_alone(sheet, &votes) && plane == Plane::Xy {
        let sizes = sheet.dimensions.iter().filter_map(|d| d.drawn_turn);
        for quarter in sizes.filter_map(quarter_of) {
            votes[quarter] += 1.0;
        }
        // Sizes are written to be read from below or from the right: a sheet
        // whose sizes stand in two directions is upright where they do.
        let used = votes.map(|vote| vote > 0.0);
        quarters = match used {
            [false, true, true, false] => 1,
            // Nobody writes sizes upside down.
            [false, false, true, true | false] => 2,
            [true, false, false, true] => 3,
            _ => 0,
        };
    }
    let degrees = (lean + f64::from(quarters) * FRAC_PI_2).to_degrees();
    let turned = (degrees.abs() > 1e-9).then(|| {
        let shown = if degrees > 180.0 {
            degrees - 360.0
        } else {
            degrees
        };
        format!(
            "the sheet is turned by {}°",
            (shown * 1000.0).round() / 1000.0
        )
    });
    (lean, quarters, turned)
}

/// True when names of a letter and a number are all that is written, more than one, and
/// all one way: titles are written along the foot of the sheet.
fn names_alone(sheet: &Sheet, votes: &[f64; 4]) -> bool {
    let named = |text: &str| text.trim().starts_with(char::is_alphabetic);
    let one_way = votes.iter().filter(|vote| **vote > 0.0).count() == 1;
    let names = sheet.texts.iter().filter(|text| named(&text.text)).count();
    one_way && sheet.dimensions.is_empty() && names >= 2 && names == sheet.texts.len()
}

/// A rotation whose quarter turns are exact.
#[derive(Clone, Copy)]
pub(super) struct Turn {
    sin: f64,
    cos: f64,
}

impl Turn {
    pub fn new(lean: f64, quarters: u8) -> Self {
        let (sin, cos) = if lean == 0.0 {
            (0.0, 1.0)
        } else {
            lean.sin_cos()
        };
        match quarters % 4 {
            0 => Turn { sin, cos },
            1 => Turn {
                sin: cos,
                cos: -sin,
            },
            2 => Turn {
                sin: -sin,
                cos: -cos,
            },
            _ => Turn {
                sin: -cos,
                cos: sin,
            },
        }
    }

    /// Turns a drawn point back upright.
    pub fn back(self, c: Coord<f64>) -> Coord<f64> {
        Coord {
            x: c.x * self.cos + c.y * self.sin,
            y: c.y * self.cos - c.x * self.sin,
        }
    }

    /// The way from upright to drawn.
    pub fn transform(self, base: Coord<f64>) -> AffineTransform<f64> {
        AffineTransform::new(self.cos, -self.sin, base.x, self.sin, self.cos, base.y)
    }
}
