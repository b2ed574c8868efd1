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
use std::collections::btree_map::Entry;
use std::collections::{BTreeMap, VecDeque};

/// Points nearer than this share of the whole are one, but for those a dimension stands
/// between.
const NEAR: f64 = 1e-3;

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
    let mut figures: Vec<Figure<'_>> = view
        .dimensions
        .iter()
        .filter(|dimension| dimension.level == Some(level))
        .filter_map(|dimension| figure(bench, dimension, level))
        .collect();
    figures.sort_by(|a, b| {
        let ends = a.from.total_cmp(&b.from).then(a.to.total_cmp(&b.to));
        ends.then(a.text.cmp(b.text))
    });
    let mut out = Vec::new();
    for total in &figures {
        let Some(chain) = chain(total, &figures) else {
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
fn chain<'a, 'b>(total: &Figure<'b>, figures: &'a [Figure<'b>]) -> Option<Vec<&'a Figure<'b>>> {
    let whole = total.to - total.from;
    let most = NEAR * whole;
    let parts: Vec<&Figure<'_>> = figures
        .iter()
        .filter(|part| {
            let own = part.to - part.from;
            (NEAR * most..whole - 2.0 * most).contains(&own)
                && part.from >= total.from - most
                && part.to <= total.to + most
        })
        .collect();
    let halves = parts.iter().map(|part| (part.to - part.from) / 2.0);
    let near = halves.fold(most, f64::min);
    // Points on one another get one number, from below upwards.
    let ends = parts.iter().copied().chain([total]);
    let mut places: Vec<f64> = ends.flat_map(|part| [part.from, part.to]).collect();
    places.sort_by(f64::total_cmp);
    let mut number = 0;
    let numbered: Vec<usize> = std::iter::once(0)
        .chain(places.windows(2).map(|pair| {
            number += usize::from(pair[1] - pair[0] > near);
            number
        }))
        .collect();
    let point = |at: f64| numbered[places.partition_point(|place| *place < at)];
    // What leads on from each point, and for each that was reached what led there.
    let mut onward: BTreeMap<usize, Vec<(usize, &Figure<'_>)>> = BTreeMap::new();
    for part in parts {
        let leads = onward.entry(point(part.from)).or_default();
        leads.push((point(part.to), part));
    }
    let (start, end) = (point(total.from), point(total.to));
    let mut reached: BTreeMap<usize, (usize, &Figure<'_>)> = BTreeMap::new();
    let mut next = VecDeque::from([start]);
    while let Some(at) = next.pop_front() {
        for (to, part) in onward.remove(&at).unwrap_or_default() {
            if let Entry::Vacant(fresh) = reached.entry(to) {
                fresh.insert((at, part));
                next.push_back(to);
            }
        }
    }
    let mut way = Vec::new();
    let mut at = end;
    while at != start {
        let (before, part) = *reached.get(&at)?;
        way.push(part);
        at = before;
    }
    way.reverse();
    (way.len() > 1).then_some(way)
}
