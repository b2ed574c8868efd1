//! A group of strokes with what is known of it becomes a view in true size.

use super::flatten::{Flat, Stroke, unite};
use super::{Scale, Title, View, ViewArc, ViewDimension, ViewKind, ViewText, strip_names};
use crate::drawing::Sheet;
use crate::linework::{self, RawSegment, SNAP_MM};
use geo::{AffineTransform, Coord, Rect};
use std::collections::BTreeSet;

/// What is known of a view before it is measured.
#[derive(Clone, Debug)]
pub(super) struct Told {
    pub kind: ViewKind,
    pub kind_evidence: String,
    pub title: Option<Title>,
    pub cabinets: Vec<String>,
    /// True when a title, a name or the job file says the kind.
    pub settled: bool,
}

/// A cabinet's name and where on the sheet it stands.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Label {
    pub name: String,
    pub at: Coord<f64>,
}

impl Default for Told {
    fn default() -> Self {
        Told {
            kind: ViewKind::Unknown,
            kind_evidence: "no title says what this shows".to_owned(),
            title: None,
            cabinets: Vec::new(),
            settled: false,
        }
    }
}

/// Lines that belong to one view, drawing units, upright.
#[derive(Clone, Debug)]
pub(super) struct Sketch {
    pub strokes: Vec<Stroke>,
    pub bounds: Rect<f64>,
    /// Indices into the sheet's lists.
    pub arcs: Vec<usize>,
    pub texts: Vec<usize>,
    pub dimensions: Vec<usize>,
    pub scale: Scale,
    pub told: Told,
    /// Names that stand on it or at it.
    pub labels: Vec<Label>,
    /// The run of its sheet it was divided from.
    pub run: Option<usize>,
    /// Which of the doubtful runs it is, or is a piece of.
    pub doubt: Option<usize>,
    /// The job file says what it shows.
    pub given: bool,
}

impl Sketch {
    pub fn new(strokes: Vec<Stroke>, bounds: Rect<f64>) -> Self {
        Sketch {
            strokes,
            bounds,
            arcs: Vec::new(),
            texts: Vec::new(),
            dimensions: Vec::new(),
            scale: Scale::Unknown {
                reason: String::new(),
            },
            told: Told::default(),
            labels: Vec::new(),
            run: None,
            doubt: None,
            given: false,
        }
    }

    /// Its strokes without those known to be hidden edges.
    pub fn seen(&self, hidden: &dyn Fn(u32) -> bool) -> Vec<Stroke> {
        let seen = |stroke: &&Stroke| !hidden(stroke.source);
        self.strokes.iter().filter(seen).copied().collect()
    }

    /// The different names of its strokes, in order.
    pub fn names<'a>(&self, name: impl Fn(u32) -> &'a str) -> Vec<&'a str> {
        // Names of layers and blocks are kept once a sheet: where they lie tells
        // them apart much quicker than what they say.
        let mut seen: BTreeSet<(*const u8, usize)> = BTreeSet::new();
        let mut names: Vec<&str> = self
            .strokes
            .iter()
            .map(|s| name(s.source))
            .filter(|name| seen.insert((name.as_ptr(), name.len())))
            .collect();
        names.sort_unstable();
        names.dedup();
        names
    }
}

pub(super) fn layer(sheet: &Sheet, id: u32) -> &str {
    sheet
        .sources
        .get(id as usize)
        .and_then(|s| sheet.layers.get(s.layer as usize))
        .map_or("", String::as_str)
}

pub(super) fn block(sheet: &Sheet, id: u32) -> &str {
    sheet
        .sources
        .get(id as usize)
        .and_then(|s| sheet.block_paths.get(s.block_path as usize))
        .map_or("", String::as_str)
}

/// Takes the sketch's strokes: the view has its lines then.
///
/// `named` are texts that name strips beside it, `called` says what layers and blocks do.
pub(super) fn view(
    index: usize,
    sheet: &Sheet,
    flat: &Flat,
    sketch: &mut Sketch,
    named: &[usize],
    called: &strip_names::Called,
) -> View {
    let mm = match &sketch.scale {
        Scale::Known { mm_per_unit, .. } => *mm_per_unit,
        Scale::Unknown { .. } => 1.0,
    };
    let hidden = |id: u32| sheet.sources.get(id as usize).is_some_and(|s| s.hidden);
    let corner = sketch.bounds.min();
    let place = |c: Coord<f64>| Coord {
        x: (c.x - corner.x) * mm,
        y: (c.y - corner.y) * mm,
    };
    let segments: Vec<RawSegment> = std::mem::take(&mut sketch.strokes)
        .into_iter()
        .map(|s| RawSegment {
            a: place(s.a),
            b: place(s.b),
            hidden: hidden(s.source),
            source: s.source,
        })
        .collect();
    let snap = match &sketch.scale {
        Scale::Known { .. } => SNAP_MM,
        // Of unknown worth: a ten-thousandth of the view.
        Scale::Unknown { .. } => 1e-4 * sketch.bounds.width().max(sketch.bounds.height()),
    };
    // A dashed swing of a door runs aslant and says nothing of the edges.
    let straight = |s: &RawSegment| (s.a.x - s.b.x).abs().min((s.a.y - s.b.y).abs()) <= snap;
    let shows_hidden = segments.iter().any(|s| s.hidden && straight(s));
    let outlines = strip_names::outlines(sheet, called, &segments);
    let work = linework::clean(&segments, snap);
    drop(segments);
    let extents = work
        .extents()
        .unwrap_or_else(|| Rect::new(Coord::default(), Coord::default()));
    let shift = extents.min();
    let work = work.shifted(-shift);
    let extents = Rect::new(extents.min() - shift, extents.max() - shift);
    let place = |c: Coord<f64>| place(c) - shift;
    let arcs = sketch
        .arcs
        .iter()
        .filter_map(|&i| flat.arcs.get(i))
        .map(|arc| ViewArc {
            centre: place(arc.centre),
            radius: arc.radius * mm,
            full: arc.full,
            hidden: hidden(arc.source),
            source: arc.source,
        })
        .collect();
    let texts: Vec<ViewText> = sketch
        .texts
        .iter()
        .filter_map(|&i| flat.texts.get(i))
        .map(|text| ViewText {
            text: text.text.clone(),
            at: place(text.at),
            height_mm: text.height * mm,
            source: text.source,
        })
        .collect();
    let dimensions = sketch
        .dimensions
        .iter()
        .filter_map(|&i| flat.dimensions.get(i))
        .filter(|d| d.linear)
        .map(|d| ViewDimension {
            from: place(d.from),
            to: place(d.to),
            level: d.level,
            measured_mm: d.measured * mm,
            text: d.text.clone(),
            source: d.source,
        })
        .collect();
    // view → upright drawing units → drawing
    let back = 1.0 / mm;
    let to_flat = AffineTransform::new(
        back,
        0.0,
        corner.x + shift.x * back,
        0.0,
        back,
        corner.y + shift.y * back,
    );
    let outlines = outlines.into_iter().map(|mut own| {
        own.at = Rect::new(own.at.min() - shift, own.at.max() - shift);
        own
    });
    let called = named.iter().filter_map(|&i| {
        let text = flat.texts.get(i)?;
        strip_names::text(&text.text, place(text.at))
    });
    let strips = outlines.chain(called).collect();
    let told = &sketch.told;
    View {
        sheet: index,
        kind: told.kind,
        kind_evidence: match &flat.turned {
            Some(turned) => format!("{}; {turned}", told.kind_evidence),
            None => told.kind_evidence.clone(),
        },
        title: told.title.clone(),
        cabinets: told.cabinets.clone(),
        scale: sketch.scale.clone(),
        shows_hidden,
        linework: work,
        texts,
        arcs,
        dimensions,
        strips,
        extents,
        to_drawing: to_flat.compose(&flat.to_drawing),
        plane: flat.plane,
    }
}

/// Smallest rectangle round strokes.
pub(super) fn bounds(strokes: &[Stroke]) -> Option<Rect<f64>> {
    strokes.iter().map(Stroke::bounds).reduce(unite)
}
