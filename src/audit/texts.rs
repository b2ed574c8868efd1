//! Dimensions whose typed text is not the distance between their points. Geometry
//! is the witness; the text is hearsay.

use super::bench::Bench;
use super::findings::{blank, in_cabinets};
use super::types::{Finding, FindingKind, MeasuredBetween};
use crate::length::{Length, Parsed, Unit, parse};
use crate::linework::CleanLine;
use crate::trade::Axis;
use crate::view::{Scale, View, ViewDimension, ViewId, ViewKind};

/// A dimension that lies.
#[derive(Clone, Debug)]
pub(super) struct Lie {
    pub view: ViewId,
    pub text: String,
    pub typed: Length,
    pub drawn: Length,
    /// The cabinet's axis it measures along, where the view tells.
    pub axis: Option<Axis>,
    pub between: MeasuredBetween,
}

/// Dimensions of a view whose text says something else than is drawn, in the
/// order they stand in the view.
pub(super) fn lies(bench: &Bench<'_>, id: ViewId) -> Vec<Lie> {
    let Some(view) = bench.job.views.views.get(id) else {
        return Vec::new();
    };
    if !matches!(view.scale, Scale::Known { .. }) {
        return Vec::new();
    }
    let mut out: Vec<Lie> = view
        .dimensions
        .iter()
        .filter_map(|dimension| lie(bench, view, id, dimension))
        .collect();
    out.sort_by(|a, b| (a.drawn, a.typed, &a.text).cmp(&(b.drawn, b.typed, &b.text)));
    out
}

fn lie(bench: &Bench<'_>, view: &View, id: ViewId, dimension: &ViewDimension) -> Option<Lie> {
    let text = dimension.text.as_deref()?.trim();
    let drawn = Length::from_mm(dimension.measured_mm)?;
    if drawn <= Length::ZERO {
        return None;
    }
    let readings = readings(text);
    let off = |read: &Parsed| (read.length - drawn).abs();
    let tolerance = bench.tolerance(None);
    // A rounded text tells the truth as well as its rounding lets it.
    let honest = |read: &Parsed| {
        off(read) <= tolerance
            || off(read) <= read.step / 2
                && !bench.rounding().is_slip(view.sheet, read, drawn, tolerance)
    };
    if readings.iter().any(honest) {
        return None;
    }
    let nearest = readings.into_iter().min_by_key(off)?;
    Some(Lie {
        view: id,
        text: text.to_owned(),
        typed: nearest.length,
        drawn,
        axis: axis(view.kind, dimension.level),
        between: MeasuredBetween {
            view: id,
            lines: lines_of(dimension),
            sentence: format!("the points of the dimension written '{text}'"),
        },
    })
}

/// A figure without a unit may be in either.
fn readings(text: &str) -> Vec<Parsed> {
    [Unit::Inch, Unit::Millimetre]
        .into_iter()
        .filter_map(|unit| parse(text, unit).ok())
        .collect()
}

/// The size a dimension is written with, in the unit that comes nearest to what is drawn.
pub(super) fn written(dimension: &ViewDimension) -> Option<Parsed> {
    let drawn = Length::from_mm(dimension.measured_mm)?;
    let readings = readings(dimension.text.as_deref()?.trim());
    readings
        .into_iter()
        .min_by_key(|read| (read.length - drawn).abs())
}

/// The line from one point of a dimension to the other.
pub(super) fn lines_of(dimension: &ViewDimension) -> Vec<CleanLine> {
    vec![CleanLine {
        a: dimension.from,
        b: dimension.to,
        hidden: false,
        source: dimension.source,
    }]
}

/// What a level or an upright dimension measures in a view.
fn axis(kind: ViewKind, level: Option<bool>) -> Option<Axis> {
    match (kind, level?) {
        (ViewKind::Front | ViewKind::Plan, true) => Some(Axis::Across),
        (ViewKind::End | ViewKind::Section, true) | (ViewKind::Plan, false) => Some(Axis::Deep),
        (ViewKind::Front | ViewKind::End | ViewKind::Section, false) => Some(Axis::High),
        (ViewKind::FlatPart | ViewKind::Unknown, _) => None,
    }
}

/// One finding for each dimension that lies.
pub(super) fn findings(bench: &Bench<'_>) -> Vec<Finding> {
    let mut out = Vec::new();
    for (id, view) in bench.job.views.views.iter().enumerate() {
        for lie in lies(bench, id) {
            let shown = super::coverage::view_name(bench, view);
            let mut finding = blank(
                FindingKind::Drawing,
                format!(
                    "{shown}: a dimension is written '{}' where {} is drawn; the drawn distance \
                     was followed.",
                    lie.text,
                    bench.show.size(lie.drawn)
                ),
            );
            in_cabinets(&mut finding, view.cabinets.clone());
            finding.drawn = Some(lie.drawn);
            finding.difference = Some(lie.typed - lie.drawn);
            finding.measured = Some(lie.between);
            out.push(finding);
        }
    }
    out
}
