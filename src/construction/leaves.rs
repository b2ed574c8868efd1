//! Doors and drawer fronts are told apart by their shape in a drawing: wide ones that
//! stand alone are drawer fronts. A pull-out has a front higher than wide, a flap is a
//! door wider than high; where the list has as many fewer of the one as it has more of
//! the other, it says which. Sizes stay as drawn.

use super::cabinet_key;
use super::rows::Rows;
use crate::cabinet::{DrawnPart, MeasuredCabinet};
use crate::cutlist::{CutList, Row};
use crate::length::Length;
use crate::trade::{Axis, Dimension, Role};

/// Sizes of one part in drawing and list are no farther apart.
const SAME_MM: f64 = 1.0;

/// Takes drawn doors for drawer fronts, and the other way round, where the list knows
/// the cabinet's fronts as such.
pub fn settle(cabinets: &mut [MeasuredCabinet], lists: &[CutList]) {
    let alone = cabinets.len() == 1;
    let rows = Rows::of(lists);
    for cabinet in cabinets {
        let of = |name: &str, role: Role| -> Vec<&Row> {
            let shared = if alone { rows.of_none(role) } else { &[] };
            let own = rows.of_part(&cabinet_key(name), role).iter();
            own.chain(shared).copied().collect()
        };
        // Of cabinets drawn once, the first that has rows stands for all.
        let both = std::iter::once(&cabinet.id)
            .chain(&cabinet.same_as)
            .map(|name| (of(name, Role::Door), of(name, Role::DrawerFront)))
            .find(|(doors, drawers)| !doors.is_empty() || !drawers.is_empty());
        let Some((doors, drawers)) = both else {
            continue;
        };
        for (shaped, shaped_rows, meant, meant_rows) in [
            (Role::Door, &doors, Role::DrawerFront, &drawers),
            (Role::DrawerFront, &drawers, Role::Door, &doors),
        ] {
            retake(cabinet, (shaped, shaped_rows), (meant, meant_rows));
        }
    }
}

/// Takes leaves of the one shape for what the list has too many of.
fn retake(
    cabinet: &mut MeasuredCabinet,
    (shaped, shaped_rows): (Role, &[&Row]),
    (meant, meant_rows): (Role, &[&Row]),
) {
    let drawn = |role: Role| -> u32 {
        let parts = cabinet.parts.iter();
        let count = parts.filter(|part| part.role == role && !part.flat).count();
        u32::try_from(count).unwrap_or(u32::MAX)
    };
    let listed = |rows: &[&Row]| -> Option<u32> {
        let mut total = 0_u32;
        for row in rows {
            total = total.saturating_add(super::checks::per_cabinet(row)?);
        }
        Some(total)
    };
    let (Some(of_shape), Some(of_meaning)) = (listed(shaped_rows), listed(meant_rows)) else {
        return;
    };
    let surplus = drawn(shaped)
        .saturating_sub(of_shape)
        .min(of_meaning.saturating_sub(drawn(meant)));
    if surplus == 0 {
        return;
    }
    let single = |part: &DrawnPart| {
        let sharing = cabinet.parts.iter().filter(|other| {
            matches!(other.role, Role::Door | Role::DrawerFront) && other.opening == part.opening
        });
        part.opening.is_some() && sharing.count() == 1
    };
    let candidates: Vec<usize> = cabinet
        .parts
        .iter()
        .enumerate()
        .filter(|(_, part)| part.role == shaped && !part.flat && single(part))
        .map(|(index, _)| index)
        .collect();
    let fits = |index: usize, rows: &[&Row]| {
        let part = cabinet.parts.get(index);
        part.is_some_and(|part| rows.iter().any(|row| is(row, part)))
    };
    let sure: Vec<usize> = candidates
        .iter()
        .copied()
        .filter(|&index| fits(index, meant_rows) && !fits(index, shaped_rows))
        .collect();
    let likely: Vec<usize> = candidates
        .into_iter()
        .filter(|&index| !fits(index, shaped_rows))
        .collect();
    let surplus = usize::try_from(surplus).unwrap_or(usize::MAX);
    let Some(taken) = [sure, likely]
        .into_iter()
        .find(|some| !some.is_empty() && some.len() <= surplus)
    else {
        return;
    };
    for index in taken {
        let Some(part) = cabinet.parts.get_mut(index) else {
            continue;
        };
        let told = |text: &str| text.replace(shaped.word(), meant.word());
        part.role = meant;
        part.name = told(&part.name);
        for span in [&mut part.across, &mut part.deep, &mut part.high]
            .into_iter()
            .flatten()
        {
            span.lo.name = told(&span.lo.name);
            span.hi.name = told(&span.hi.name);
        }
        part.evidence = format!(
            "{}; a {} by its shape, the list has a {} for it",
            part.evidence,
            shaped.word(),
            meant.word()
        );
    }
}

/// Whether a row's faces are as large as a drawn leaf.
fn is(row: &Row, part: &DrawnPart) -> bool {
    let drawn = [Axis::Across, Axis::High].map(|axis| part.span(axis).map(|span| span.length()));
    let [Some(across), Some(high)] = drawn else {
        return false;
    };
    let faces: Vec<Length> = row
        .sizes
        .iter()
        .filter(|cell| cell.dimension != Dimension::Thickness)
        .map(|cell| cell.value)
        .collect();
    let near = |a: Length, b: Length| (a - b).abs().mm() <= SAME_MM;
    match faces.as_slice() {
        [a, b] => (near(*a, across) && near(*b, high)) || (near(*a, high) && near(*b, across)),
        _ => false,
    }
}
