//! Wrong figures for a right one. Every mistake is one a person makes by hand.

use super::{axis_of, cabinet_of, mm, same};
use dryfit::audit::{CauseKind, Job};
use dryfit::cabinet::{MeasuredCabinet, Span};
use dryfit::cutlist::Row;
use dryfit::length::{Length, Unit};
use dryfit::trade::{Axis, Dimension, Role};

/// Distances between any two drawn edges that are tried for one size.
const MOST_BETWEEN_EDGES: usize = 6;

pub type Wrong = (&'static str, CauseKind, Length);

pub fn figures(job: &Job, row: &Row, size: usize) -> Vec<Wrong> {
    let cell = &row.sizes[size];
    let mut out = written(cell.value, cell.unit);
    let (Some(cabinet), Some(role)) = (cabinet_of(job, row), row.role()) else {
        return out;
    };
    if cell.dimension == Dimension::Thickness {
        out.extend(other_stock(cabinet, cell.value));
        return out;
    }
    let Some(axis) = axis_of(cabinet, role, cell.value) else {
        return out;
    };
    out.extend(built(cabinet, role, axis, cell.value));
    out.extend(distances(cabinet, role, axis, cell.value));
    for other in job.cabinets.iter().filter(|other| other.id != cabinet.id) {
        let twin = other.parts.iter().find(|part| part.role == role);
        if let Some(span) = twin.and_then(|part| part.span(axis)) {
            out.push((
                "a neighbour's figure",
                CauseKind::OtherCabinet,
                span.length(),
            ));
        }
    }
    out
}

/// Slips of the pen.
fn written(value: Length, unit: Unit) -> Vec<Wrong> {
    let mut out = vec![
        ("another unit", CauseKind::Unit, mm(value.mm() * 25.4)),
        ("another unit", CauseKind::Unit, mm(value.mm() / 25.4)),
    ];
    let whole = value.ticks() / unit.ticks();
    let rest = Length::from_ticks(value.ticks() % unit.ticks());
    let digits: Vec<u8> = whole.to_string().into_bytes();
    for at in 1..digits.len() {
        if at == 1 && digits[1] == b'0' {
            continue; // nobody writes 03 for 30
        }
        let mut turned = digits.clone();
        turned.swap(at - 1, at);
        let turned: i64 = String::from_utf8(turned).unwrap().parse().unwrap();
        let wrong = Length::from_ticks(turned * unit.ticks()) + rest;
        out.push(("digits transposed", CauseKind::Transposed, wrong));
    }
    if unit == Unit::Inch && rest > Length::ZERO {
        // The fraction lost, halved, or read as the next one: 1/4 for 1/2.
        let thirty_second = Length::TICKS_PER_INCH / 32;
        for wrong in [value - rest, value - rest / 2] {
            if wrong.ticks() % thirty_second != 0 {
                continue;
            }
            out.push(("a slipped fraction", CauseKind::SlippedFraction, wrong));
        }
    }
    out
}

/// What goes wrong when a size is worked out from the case.
fn built(cabinet: &MeasuredCabinet, role: Role, axis: Axis, value: Length) -> Vec<Wrong> {
    let mut out = Vec::new();
    let front = matches!(role, Role::Door | Role::DrawerFront);
    for sign in [1, -1] {
        for stock in thicknesses(cabinet, axis) {
            if !front && axis != Axis::Deep {
                let wrong = value + stock * sign;
                out.push(("a stock thickness", CauseKind::StockThickness, wrong));
            }
        }
        if let Some(toe) = named(cabinet, "toe.height")
            && axis == Axis::High
            && role != Role::ToeKick
        {
            out.push(("the toe kick", CauseKind::ToeKick, value + toe * sign));
        }
        for joint in joints(cabinet, role, Some(axis)) {
            for times in [1, 2] {
                let wrong = value + joint * (sign * times);
                out.push(("a joint depth", CauseKind::JointDepth, wrong));
            }
        }
    }
    out
}

/// Other drawn distances along the same axis: named sizes, openings, parts, and a
/// few between edges of which one is an end of the right one.
fn distances(cabinet: &MeasuredCabinet, role: Role, axis: Axis, value: Length) -> Vec<Wrong> {
    let mut out = Vec::new();
    let spans = cabinet
        .named
        .iter()
        .map(|size| &size.measure.span)
        .chain(sizes(cabinet))
        .chain(
            cabinet
                .openings
                .iter()
                .flat_map(|opening| [&opening.across, &opening.high])
                .flatten(),
        )
        .chain(cabinet.parts.iter().filter_map(|part| part.span(axis)));
    for span in spans {
        if span.axis == axis && span.mm() > 60.0 && !span.is_lower_bound() {
            out.push(("another distance", CauseKind::OtherDistance, span.length()));
        }
    }
    let own = cabinet
        .parts
        .iter()
        .filter(|part| part.role == role)
        .filter_map(|part| part.span(axis))
        .find(|span| same(span.length(), value));
    if let Some(own) = own {
        out.extend(
            hooked(cabinet, own)
                .into_iter()
                .map(|wrong| ("another distance", CauseKind::OtherDistance, wrong)),
        );
    }
    out
}

/// Distances from either end of a span to other named edges of its view, spread
/// evenly over all there are.
fn hooked(cabinet: &MeasuredCabinet, own: &Span) -> Vec<Length> {
    let mut all: Vec<Length> = cabinet
        .edges
        .iter()
        .filter(|(view, axis, edge)| {
            *view == own.view && *axis == own.axis && !edge.name.is_empty() && !edge.occluded
        })
        .flat_map(|(_, _, edge)| [edge.at - own.lo.at, own.hi.at - edge.at])
        .filter(|distance| *distance > 60.0)
        .map(mm)
        .collect();
    all.sort_unstable();
    all.dedup_by(|a, b| same(*a, *b));
    let step = all.len().div_ceil(MOST_BETWEEN_EDGES).max(1);
    all.into_iter().step_by(step).collect()
}

/// Thicknesses of other stock in the cabinet, not the same by name.
fn other_stock(cabinet: &MeasuredCabinet, value: Length) -> Vec<Wrong> {
    let mut all: Vec<Length> = cabinet
        .parts
        .iter()
        .filter_map(|part| {
            Axis::ALL
                .iter()
                .filter_map(|&axis| part.span(axis))
                .filter(|span| !span.is_lower_bound())
                .map(Span::length)
                .min()
        })
        .filter(|stock| (3.0..40.0).contains(&stock.mm()))
        .filter(|stock| (*stock - value).abs().mm() > 2.0)
        .collect();
    all.sort_unstable();
    all.dedup_by(|a, b| same(*a, *b));
    all.into_iter()
        .map(|wrong| ("another stock", CauseKind::OtherDistance, wrong))
        .collect()
}

pub fn sizes(cabinet: &MeasuredCabinet) -> impl Iterator<Item = &Span> {
    [&cabinet.overall, &cabinet.interior]
        .into_iter()
        .flat_map(|sizes| [&sizes.width, &sizes.height, &sizes.depth])
        .filter_map(|size| size.known())
        .map(|measure| &measure.span)
}

pub fn named(cabinet: &MeasuredCabinet, name: &str) -> Option<Length> {
    cabinet
        .named
        .iter()
        .find(|size| size.name == name)
        .map(|size| size.measure.span.length())
}

pub fn thicknesses(cabinet: &MeasuredCabinet, axis: Axis) -> Vec<Length> {
    let roles: &[Role] = match axis {
        Axis::Across => &[Role::Side],
        Axis::High => &[Role::Bottom],
        Axis::Deep => &[],
    };
    let mut out: Vec<Length> = cabinet
        .parts
        .iter()
        .filter(|part| roles.contains(&part.role))
        .filter_map(|part| part.span(axis))
        .map(|span| span.length())
        .collect();
    out.sort();
    out.dedup();
    out
}

/// How far parts of a role reach past the inner faces of the case.
pub fn joints(cabinet: &MeasuredCabinet, role: Role, axis: Option<Axis>) -> Vec<Length> {
    let joined = matches!(
        role,
        Role::Bottom | Role::Top | Role::FixedShelf | Role::Divider | Role::Back
    );
    let inner = match axis {
        Some(Axis::Across) => cabinet.interior.width.known(),
        Some(Axis::High) => cabinet.interior.height.known(),
        _ => None,
    };
    let (true, Some(inner), Some(axis)) = (joined, inner, axis) else {
        return Vec::new();
    };
    let mut out: Vec<Length> = cabinet
        .parts
        .iter()
        .filter(|part| part.role == role)
        .filter_map(|part| part.span(axis))
        .flat_map(|span| [inner.span.lo.at - span.lo.at, span.hi.at - inner.span.hi.at])
        .filter(|depth| (1.7..13.0).contains(depth))
        .map(mm)
        .collect();
    out.sort_unstable();
    out.dedup_by(|a, b| same(*a, *b));
    out
}

/// Whether length and width in one another's place can be told: they differ, and
/// the length, with the grain, is the height.
pub fn is_telling_swap(job: &Job, row: &Row) -> bool {
    let (Some(length), Some(width)) = (row.size(Dimension::Length), row.size(Dimension::Width))
    else {
        return false;
    };
    let (Some(cabinet), Some(role)) = (cabinet_of(job, row), row.role()) else {
        return false;
    };
    (length.value - width.value).abs().mm() > 2.0
        && axis_of(cabinet, role, length.value) == Some(Axis::High)
}
