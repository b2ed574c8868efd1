//! Further mistakes that lead to the same wrong figure, worked out from the
//! drawing's figures alone.

use super::wrong::{joints, named};
use super::{axis_of, cabinet_of, mm, same};
use dryfit::audit::{CauseKind, Job};
use dryfit::cabinet::{MeasuredCabinet, Span};
use dryfit::cutlist::Row;
use dryfit::length::{Length, Unit};
use dryfit::trade::{Axis, Dimension, Role};

pub fn of(job: &Job, row: &Row, size: usize, wrong: Length) -> Vec<CauseKind> {
    let mut out = Vec::new();
    let cell = &row.sizes[size];
    let right = cell.value;
    let (Some(cabinet), Some(role)) = (cabinet_of(job, row), row.role()) else {
        return out;
    };
    if cell.dimension == Dimension::Thickness {
        return out;
    }
    let off = (wrong - right).abs();
    let is = |value: Length| same(off, value);
    let once_or_twice = |value: Length| is(value) || is(value * 2);
    let any = |values: Vec<Length>| values.into_iter().any(once_or_twice);
    if cell.unit == Unit::Inch && is(mm(25.4)) {
        out.push(CauseKind::InchMark);
    }
    if matches!(role, Role::Door | Role::DrawerFront) && any(allowances(cabinet)) {
        out.push(CauseKind::FrontAllowance);
    }
    let Some(axis) = axis_of(cabinet, role, right) else {
        return out;
    };
    if role == Role::AdjustableShelf && any(clearances(cabinet, axis)) {
        out.push(CauseKind::FrontAllowance);
    }
    if axis != Axis::Deep && any(depths(cabinet, role, axis)) {
        out.push(CauseKind::JointDepth);
    }
    let stocks = stocks(cabinet, axis);
    if any(stocks.iter().filter_map(|stock| nominal(*stock)).collect()) {
        out.push(CauseKind::NominalThickness);
    }
    if !matches!(role, Role::Door | Role::DrawerFront) && any(stocks) {
        out.push(CauseKind::StockThickness);
    }
    if toe(cabinet, axis).is_some_and(is) {
        out.push(CauseKind::ToeKick);
    }
    if is_hooked(cabinet, role, axis, right, wrong) {
        out.push(CauseKind::OtherDistance);
    }
    out
}

/// Joint depths, named or drawn.
fn depths(cabinet: &MeasuredCabinet, role: Role, axis: Axis) -> Vec<Length> {
    let joined = matches!(
        role,
        Role::Bottom | Role::Top | Role::FixedShelf | Role::Divider | Role::Back
    );
    if !joined {
        return Vec::new();
    }
    let stated = ["groove.depth", "rabbet.width", "back.groove"];
    let stated = stated.iter().filter_map(|name| named(cabinet, name));
    stated.chain(joints(cabinet, role, Some(axis))).collect()
}

/// Thicknesses of all that lies thin along an axis.
fn stocks(cabinet: &MeasuredCabinet, axis: Axis) -> Vec<Length> {
    cabinet
        .parts
        .iter()
        .filter(|part| part.role.lie().is_some_and(|lie| lie[2] == axis))
        .filter_map(|part| part.span(axis))
        .filter(|span| span.mm() <= 44.5 && !span.is_lower_bound())
        .map(Span::length)
        .collect()
}

/// What the name of a stock says more than it measures.
fn nominal(stock: Length) -> Option<Length> {
    [6.35, 9.525, 12.7, 19.05]
        .into_iter()
        .map(|name| mm(name) - stock)
        .find(|over| (0.4..1.7).contains(&over.mm()))
}

/// Overlays over the openings and gaps between fronts, as drawn.
fn allowances(cabinet: &MeasuredCabinet) -> Vec<Length> {
    let fronts: Vec<_> = cabinet
        .parts
        .iter()
        .filter(|part| matches!(part.role, Role::Door | Role::DrawerFront))
        .collect();
    let mut out = Vec::new();
    for front in &fronts {
        let opening = front.opening.and_then(|at| cabinet.openings.get(at));
        let pairs = [
            (&front.across, opening.and_then(|o| o.across.as_ref())),
            (&front.high, opening.and_then(|o| o.high.as_ref())),
        ];
        for (span, opening) in pairs {
            if let (Some(span), Some(opening)) = (span, opening) {
                out.extend([opening.lo.at - span.lo.at, span.hi.at - opening.hi.at]);
            }
        }
        for other in &fronts {
            if let (Some(left), Some(right)) = (&front.across, &other.across) {
                let gap = right.lo.at - left.hi.at;
                if (0.5..13.0).contains(&gap) {
                    out.extend([gap, gap / 2.0]);
                }
            }
        }
    }
    out.retain(|over| (0.5..41.0).contains(&over.abs()));
    out.into_iter().map(|over| mm(over.abs())).collect()
}

/// How much shorter than the inside of the case the shelves are.
fn clearances(cabinet: &MeasuredCabinet, axis: Axis) -> Vec<Length> {
    let inner = match axis {
        Axis::Across => cabinet.interior.width.known(),
        _ => None,
    };
    let Some(inner) = inner else {
        return Vec::new();
    };
    cabinet
        .parts
        .iter()
        .filter(|part| part.role == Role::AdjustableShelf)
        .filter_map(|part| part.span(axis))
        .map(|span| inner.span.mm() - span.mm())
        .filter(|play| (0.5..13.0).contains(play))
        .flat_map(|play| [mm(play), mm(play / 2.0)])
        .collect()
}

/// The height of the toe kick, or how far it stands back from the case's front.
fn toe(cabinet: &MeasuredCabinet, axis: Axis) -> Option<Length> {
    match axis {
        Axis::High => named(cabinet, "toe.height"),
        Axis::Deep => {
            let front = |role: Role| {
                cabinet
                    .parts
                    .iter()
                    .filter(|part| part.role == role)
                    .filter_map(|part| part.deep.as_ref())
                    .map(|span| span.lo.at)
                    .min_by(f64::total_cmp)
            };
            let case = front(Role::Side).or_else(|| front(Role::Bottom))?;
            Some(mm((front(Role::ToeKick)? - case).abs()))
        }
        Axis::Across => None,
    }
}

/// A tape hooked on the right edge and read at a wrong one.
fn is_hooked(
    cabinet: &MeasuredCabinet,
    role: Role,
    axis: Axis,
    right: Length,
    wrong: Length,
) -> bool {
    let own = cabinet
        .parts
        .iter()
        .filter(|part| part.role == role)
        .filter_map(|part| part.span(axis))
        .filter(|span| (span.length() - right).abs().mm() < 0.8);
    own.into_iter().any(|span| {
        cabinet
            .edges
            .iter()
            .filter(|(_, along, _)| *along == axis)
            .any(|(_, _, edge)| {
                let from = [edge.at - span.lo.at, span.hi.at - edge.at];
                from.iter().any(|at| (at - wrong.mm()).abs() < 0.4)
            })
    })
}
