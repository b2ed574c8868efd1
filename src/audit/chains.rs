//! Rows of dimensions that do not add up to the dimension over all of them. The figures
//! are held against each other, so this needs no scale. A figure that is not what is
//! drawn under it is reported as that, and not once more here.

use super::bench::Bench;
use super::coverage::view_name;
use super::findings::{blank, in_cabinets};
use super::texts::{lies, lines_of};
use super::types::{Finding, FindingKind, MeasuredBetween};
use super::words;
use crate::length::{Length, Unit, parse};
use crate::view::{View, ViewDimension, ViewId};

/// Points nearer than this share of the whole are one.
const NEAR: f64 = 1e-3;
/// Longest chain looked at.
const MOST: usize = 24;

/// A dimension with its figure.
struct Figure<'a> {
    from: f64,
    to: f64,
    value: Length,
    /// Half of what the figure is rounded to.
    slack: Length,
    text: &'a str,
    dimension: &'a ViewDimension,
}

/// One finding for each row of dimensions whose figures add up to something else.
pub(super) fn findings(bench: &Bench<'_>) -> Vec<Finding> {
    let views = bench.job.views.views.iter().enumerate();
    views
        .flat_map(|(id, view)| {
            [true, false]
                .into_iter()
                .flat_map(move |level| of_view(bench, id, view, level))
        })
        .collect()
}

fn of_view(bench: &Bench<'_>, id: ViewId, view: &View, level: bool) -> Vec<Finding> {
    // None where the scale is not known.
    let told: Vec<String> = lies(bench, id).into_iter().map(|lie| lie.text).collect();
    let figures: Vec<Figure<'_>> = view
        .dimensions
        .iter()
        .filter(|dimension| dimension.level == Some(level))
        .filter_map(|dimension| figure(bench, dimension, level))
        .collect();
    let mut out = Vec::new();
    for (place, total) in figures.iter().enumerate() {
        let others: Vec<&Figure<'_>> = figures
            .iter()
            .enumerate()
            .filter(|(other, figure)| {
                *other != place && figure.to - figure.from < total.to - total.from
            })
            .map(|(_, figure)| figure)
            .collect();
        let Some(chain) = chain(total, &others).filter(|chain| chain.len() > 1) else {
            continue;
        };
        let lying = |figure: &Figure<'_>| told.iter().any(|text| text == figure.text);
        if lying(total) || chain.iter().any(|figure| lying(figure)) {
            continue;
        }
        let sum: Length = chain
            .iter()
            .map(|figure| figure.value)
            .fold(Length::ZERO, |a, b| a + b);
        let slack = chain
            .iter()
            .map(|figure| figure.slack)
            .fold(total.slack, |a, b| a + b);
        if (sum - total.value).abs() <= bench.tolerance(None).max(slack) {
            continue;
        }
        let texts: Vec<String> = chain.iter().map(|f| format!("'{}'", f.text)).collect();
        let mut finding = blank(
            FindingKind::Drawing,
            format!(
                "{}: the dimensions {} add up to {}, and the one over all of them is written \
                 '{}'; correct the one that is wrong",
                view_name(bench, view),
                words::join(&texts),
                bench.show.size(sum),
                total.text
            ),
        );
        in_cabinets(&mut finding, view.cabinets.clone());
        finding.difference = Some(sum - total.value);
        finding.measured = Some(MeasuredBetween {
            view: id,
            lines: lines_of(total.dimension),
            sentence: format!("the points of the dimension written '{}'", total.text),
        });
        out.push(finding);
    }
    out.sort_by(|a, b| a.message.cmp(&b.message));
    out.dedup_by(|a, b| a.message == b.message);
    out
}

fn figure<'a>(bench: &Bench<'_>, dimension: &'a ViewDimension, level: bool) -> Option<Figure<'a>> {
    let text = dimension.text.as_deref()?.trim();
    let read = parse(text, bench.show.unit)
        .or_else(|_| parse(text, Unit::Millimetre))
        .ok()?;
    let along = |at: geo::Coord<f64>| if level { at.x } else { at.y };
    let (a, b) = (along(dimension.from), along(dimension.to));
    Some(Figure {
        from: a.min(b),
        to: a.max(b),
        value: read.length,
        slack: read.step / 2,
        text,
        dimension,
    })
}

/// The fewest dimensions that lie end to end from one point of the total to the other.
fn chain<'a, 'b>(total: &Figure<'b>, others: &[&'a Figure<'b>]) -> Option<Vec<&'a Figure<'b>>> {
    let near = NEAR * (total.to - total.from);
    let mut ways: Vec<(f64, Vec<&Figure<'_>>)> = vec![(total.from, Vec::new())];
    for _ in 0..MOST {
        let mut next: Vec<(f64, Vec<&Figure<'_>>)> = Vec::new();
        for (at, way) in &ways {
            for figure in others {
                let onward = (figure.from - at).abs() <= near && figure.to <= total.to + near;
                let fresh = next.iter().all(|(end, _)| (end - figure.to).abs() > near);
                if onward && figure.to > at + near && fresh {
                    let mut way = way.clone();
                    way.push(*figure);
                    next.push((figure.to, way));
                }
            }
        }
        if let Some((_, way)) = next.iter().find(|(end, _)| (end - total.to).abs() <= near) {
            return Some(way.clone());
        }
        if next.is_empty() {
            return None;
        }
        ways = next;
    }
    None
}
