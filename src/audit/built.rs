//! The case the listed parts would build, beside the one that is drawn.

use super::bench::{Bench, Case};
use super::checks::{Check, State};
use super::fit::cell_at;
use super::types::{AuditedCabinet, BuiltSize};
use super::wants::Certainty;
use super::words;
use crate::cabinet::Span;
use crate::length::Length;
use crate::trade::{Axis, Dimension, Role};

/// Parts that settle a size of the case, most direct first.
const ACROSS: &[Role] = &[
    Role::Bottom,
    Role::Top,
    Role::Stretcher,
    Role::FixedShelf,
    Role::SideRail,
    Role::Rail,
    Role::Back,
    Role::ToeKick,
];
const HIGH: &[Role] = &[Role::Side, Role::Post, Role::Stile, Role::Back];
const DEEP: &[Role] = &[Role::Side, Role::EndRail, Role::Bottom, Role::Top];

pub(super) fn cabinets(bench: &Bench<'_>, checks: &[Check<'_>]) -> Vec<AuditedCabinet> {
    let mut by_case: Vec<Vec<&Check<'_>>> = vec![Vec::new(); bench.cases.len()];
    for check in checks {
        if let Some(list) = check.case.and_then(|case| by_case.get_mut(case)) {
            list.push(check);
        }
    }
    bench
        .cases
        .iter()
        .zip(by_case)
        .map(|(case, checks)| AuditedCabinet {
            id: case.name.clone(),
            sizes: [
                ("width", Axis::Across, false),
                ("height", Axis::High, false),
                ("depth", Axis::Deep, false),
                ("interior width", Axis::Across, true),
                ("interior height", Axis::High, true),
                ("interior depth", Axis::Deep, true),
            ]
            .into_iter()
            .map(|(name, axis, interior)| built(bench, case, &checks, name, axis, interior))
            .collect(),
        })
        .collect()
}

fn built(
    bench: &Bench<'_>,
    case: &Case<'_>,
    checks: &[&Check<'_>],
    name: &'static str,
    axis: Axis,
    interior: bool,
) -> BuiltSize {
    let drawn = if interior {
        case.interior(axis)
    } else {
        case.overall(axis)
    };
    let roles = match axis {
        Axis::Across => ACROSS,
        Axis::Deep => DEEP,
        Axis::High => HIGH,
    };
    let Some(span) = drawn else {
        return BuiltSize {
            name,
            drawn: None,
            listed: None,
            by: format!("the {name} of {} is not drawn", case.name),
        };
    };
    let settled = roles
        .iter()
        .filter_map(|role| settles(bench, checks, *role, axis))
        .collect::<Vec<_>>();
    let Some(first) = settled.first() else {
        return BuiltSize {
            name,
            drawn: Some(span.length()),
            listed: None,
            by: format!("no checked row settles the {name}"),
        };
    };
    let grown = if interior {
        Length::ZERO
    } else {
        thicker_sides(bench, checks, axis)
    };
    let listed = span.length() + first.off + grown;
    let others: Vec<String> = settled
        .iter()
        .skip(1)
        .filter(|other| (other.off - first.off).abs() > bench.tolerance(None))
        .map(|other| {
            format!(
                "{} would make it {}",
                other.row,
                bench.show.size(span.length() + other.off + grown)
            )
        })
        .collect();
    let mut by = sentence(bench, case, span, first, listed, name);
    if !others.is_empty() {
        by = format!("{by} {}.", words::join(&others));
    }
    BuiltSize {
        name,
        drawn: Some(span.length()),
        listed: Some(listed),
        by,
    }
}

fn sentence(
    bench: &Bench<'_>,
    case: &Case<'_>,
    span: &Span,
    first: &Settled,
    listed: Length,
    name: &str,
) -> String {
    let show = bench.show;
    if (listed - span.length()).abs() <= bench.tolerance(None) {
        format!("By {}.", first.row)
    } else {
        let article = if name.starts_with('i') { "an" } else { "a" };
        format!(
            "This list builds {} with {article} {name} of {}; it is drawn {}. By {}.",
            case.name,
            show.size(listed),
            show.size(span.length()),
            first.row
        )
    }
}

struct Settled {
    off: Length,
    /// "'Side' in line 12".
    row: String,
}

/// How far off the first row of a role is along an axis.
fn settles(bench: &Bench<'_>, checks: &[&Check<'_>], role: Role, axis: Axis) -> Option<Settled> {
    checks
        .iter()
        .filter(|check| check.role == Some(role) && check.axis == Some(axis))
        .filter(|check| {
            check.state != State::Unchecked
                && check
                    .want
                    .is_some_and(|want| want.certainty == Certainty::Exact)
        })
        .find_map(|check| {
            let row = bench.rows.get(check.row)?;
            let cell = cell_at(row, check.size)?;
            (cell.dimension != Dimension::Thickness).then(|| Settled {
                off: check.difference(),
                row: format!("'{}' in line {}", row.part, row.source.line),
            })
        })
}

/// What sides of another thickness than drawn add to the width.
fn thicker_sides(bench: &Bench<'_>, checks: &[&Check<'_>], axis: Axis) -> Length {
    if axis != Axis::Across {
        return Length::ZERO;
    }
    checks
        .iter()
        .filter(|check| check.role == Some(Role::Side) && check.state == State::Fails)
        .find(|check| {
            bench
                .rows
                .get(check.row)
                .and_then(|row| cell_at(row, check.size))
                .is_some_and(|cell| cell.dimension == Dimension::Thickness)
        })
        .map_or(Length::ZERO, |check| check.difference() * 2)
}
