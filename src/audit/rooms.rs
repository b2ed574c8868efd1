//! The room inside a cabinet and the boards round it against its overall size. In one
//! view they add up as they are drawn; typed figures that stand in several views need
//! not: each may be near enough to what is drawn under it, and all of them together too
//! much. A size without a figure counts as it is drawn. A figure that is not what is
//! drawn under it is reported as that, figures of one row by the row.

use super::bench::{Bench, Case};
use super::findings::{blank, in_cabinets};
use super::texts::{lies, lines_of, written};
use super::types::{Finding, FindingKind, MeasuredBetween};
use super::words;
use crate::cabinet::{DrawnPart, Measured, MeasuredCabinet};
use crate::length::Length;
use crate::linework::{CleanLine, SNAP_MM};
use crate::trade::Axis;
use crate::view::{ViewDimension, ViewId};
use std::collections::BTreeSet;

/// A typed figure between two faces of a cabinet, in its own frame.
struct Typed<'a> {
    view: ViewId,
    axis: Axis,
    range: (f64, f64),
    value: Length,
    /// Half of what the figure is rounded to.
    slack: Length,
    text: &'a str,
    dimension: &'a ViewDimension,
}

/// One of the sizes that make up the whole, or the whole.
struct Term<'a> {
    /// "the left side".
    name: String,
    drawn: Length,
    typed: Option<&'a Typed<'a>>,
}

impl Term<'_> {
    fn value(&self) -> Length {
        self.typed.map_or(self.drawn, |typed| typed.value)
    }

    fn slack(&self) -> Length {
        self.typed.map_or(Length::ZERO, |typed| typed.slack)
    }
}

/// One finding for each cabinet and direction in which room and boards are typed to
/// something else than the whole.
pub(super) fn findings(bench: &Bench<'_>) -> Vec<Finding> {
    let mut done: BTreeSet<*const MeasuredCabinet> = BTreeSet::new();
    let once = |case: &&Case<'_>| done.insert(std::ptr::from_ref(case.cabinet));
    let cases: Vec<&Case<'_>> = bench.cases.iter().filter(once).collect();
    cases
        .into_iter()
        .flat_map(|case| {
            let typed = typed(bench, case.cabinet);
            Axis::ALL
                .into_iter()
                .filter_map(|axis| along(bench, case, axis, &typed))
                .collect::<Vec<Finding>>()
        })
        .collect()
}

/// The typed figures of a cabinet's views whose points lie on its edges.
fn typed<'a>(bench: &Bench<'a>, cabinet: &MeasuredCabinet) -> Vec<Typed<'a>> {
    let mut out = Vec::new();
    for id in &cabinet.views {
        let Some(view) = bench.job.views.views.get(*id) else {
            continue;
        };
        let told: Vec<String> = lies(bench, *id).into_iter().map(|lie| lie.text).collect();
        for dimension in &view.dimensions {
            let Some(level) = dimension.level else {
                continue;
            };
            let (Some(text), Some(read)) = (dimension.text.as_deref(), written(dimension)) else {
                continue;
            };
            let along = |at: geo::Coord<f64>| if level { at.x } else { at.y };
            let edge = |at: f64| {
                cabinet.edges.iter().find_map(|(view, axis, edge)| {
                    let there = *view == *id && lies_at(&edge.line, level, at);
                    there.then_some((*axis, edge.at))
                })
            };
            let (Some(from), Some(to)) = (edge(along(dimension.from)), edge(along(dimension.to)))
            else {
                continue;
            };
            if from.0 == to.0 && !told.iter().any(|told| told == text.trim()) {
                out.push(Typed {
                    view: *id,
                    axis: from.0,
                    range: (from.1.min(to.1), from.1.max(to.1)),
                    value: read.length,
                    slack: read.step / 2,
                    text: text.trim(),
                    dimension,
                });
            }
        }
    }
    out
}

/// Whether a line bounds a level, else an upright, distance at a place.
fn lies_at(line: &CleanLine, level: bool, at: f64) -> bool {
    let (a, b) = if level {
        (line.a.x, line.b.x)
    } else {
        (line.a.y, line.b.y)
    };
    (a - at).abs() <= SNAP_MM && (b - at).abs() <= SNAP_MM
}

fn along(bench: &Bench<'_>, case: &Case<'_>, axis: Axis, typed: &[Typed<'_>]) -> Option<Finding> {
    let of = |sizes: &crate::cabinet::Sizes| {
        let size: &Measured = match axis {
            Axis::Across => &sizes.width,
            Axis::Deep => &sizes.depth,
            Axis::High => &sizes.height,
        };
        let span = &size.known()?.span;
        Some((span.lo.at, span.hi.at))
    };
    let (whole, room) = (of(&case.cabinet.overall)?, of(&case.cabinet.interior)?);
    let term = |range: (f64, f64), name: String| {
        let same = |typed: &&Typed<'_>| {
            typed.axis == axis
                && (typed.range.0 - range.0).abs() <= SNAP_MM
                && (typed.range.1 - range.1).abs() <= SNAP_MM
        };
        Some(Term {
            name,
            drawn: Length::from_mm(range.1 - range.0)?,
            typed: typed.iter().find(same),
        })
    };
    let noun = match axis {
        Axis::Across => "width",
        Axis::Deep => "depth",
        Axis::High => "height",
    };
    let total = term(whole, format!("the overall {noun}"))?;
    let mut terms = Vec::new();
    for (range, name) in filling(&case.parts, axis, (room.0, whole.0), -1.0) {
        terms.push(term(range, name)?);
    }
    terms.push(term(room, format!("the interior {noun}"))?);
    for (range, name) in filling(&case.parts, axis, (room.1, whole.1), 1.0) {
        terms.push(term(range, name)?);
    }
    let views: BTreeSet<Option<ViewId>> = terms
        .iter()
        .chain([&total])
        .map(|term| term.typed.map(|typed| typed.view))
        .collect();
    if views.len() == 1 && !views.contains(&None) {
        return None;
    }
    let sum = terms
        .iter()
        .map(Term::value)
        .fold(Length::ZERO, |a, b| a + b);
    let slack = terms
        .iter()
        .map(Term::slack)
        .fold(total.slack(), |a, b| a + b);
    if (sum - total.value()).abs() <= bench.tolerance(None).max(slack) {
        return None;
    }
    let shown = |term: &Term<'_>| match term.typed {
        Some(typed) => format!("{} (written '{}')", term.name, typed.text),
        None => format!("{} (drawn {})", term.name, bench.show.size(term.drawn)),
    };
    let figures: Vec<String> = terms.iter().map(shown).collect();
    let mut finding = blank(
        FindingKind::Drawing,
        format!(
            "{}: {} add up to {}, but not to {}; correct the figure that is wrong",
            case.name,
            words::join(&figures),
            bench.show.size(sum),
            shown(&total)
        ),
    );
    let cabinet = case.cabinet;
    let names = [&cabinet.id].into_iter().chain(&cabinet.same_as);
    in_cabinets(&mut finding, names.cloned().collect());
    finding.difference = Some(sum - total.value());
    let first = terms.iter().chain([&total]).find_map(|term| term.typed)?;
    finding.measured = Some(MeasuredBetween {
        view: first.view,
        lines: lines_of(first.dimension),
        sentence: format!("the points of the dimension written '{}'", first.text),
    });
    Some(finding)
}

/// What fills the way between the room inside and the outer face on one side of it, the
/// upper one where `away` is 1 and the lower one where it is -1: the board that bounds
/// the room, and beyond it what else is there. From below upwards.
fn filling(
    parts: &[&DrawnPart],
    axis: Axis,
    (inner, outer): (f64, f64),
    away: f64,
) -> Vec<((f64, f64), String)> {
    let upwards = away > 0.0;
    let turned = |(a, b): (f64, f64)| if upwards { (a, b) } else { (b, a) };
    let board = parts.iter().find_map(|part| {
        let span = part.span(axis).filter(|span| !span.is_lower_bound())?;
        let range = (span.lo.at, span.hi.at);
        let (near, far) = turned(range);
        let bounds = (near - inner).abs() <= SNAP_MM && (far - outer) * away <= SNAP_MM;
        bounds.then(|| (range, format!("the {}", part.name)))
    });
    let end = board.as_ref().map_or(inner, |(range, _)| turned(*range).1);
    let rest = ((outer - end) * away > SNAP_MM).then(|| {
        let name = match (axis, upwards) {
            (Axis::High, false) => "what is under it",
            (Axis::High, true) => "what is over it",
            (Axis::Across, false) => "what is left of it",
            (Axis::Across, true) => "what is right of it",
            (Axis::Deep, false) => "what is before it",
            (Axis::Deep, true) => "what is behind it",
        };
        (turned((end, outer)), name.to_owned())
    });
    let mut out: Vec<((f64, f64), String)> = board.into_iter().chain(rest).collect();
    if !upwards {
        out.reverse();
    }
    out
}
