//! Cabinets drawn one on another: their heights and the tops between them against how
//! high the drawing shows them, which is the wall's height where they reach the ceiling.

use super::runs::Sum;
use super::walls::keys;
use super::{Cell, Desk, Topic, of_cell};
use crate::construction::Origin;
use crate::cutlist::Row;
use crate::length::Length;
use crate::trade::{Dimension, Role};
use crate::view::Stacked;

pub(super) fn check(facts: &Desk<'_>, found: &mut Vec<super::Check>) {
    for drawn in &facts.views.stacked {
        let names: Option<Vec<String>> = drawn
            .views
            .iter()
            .map(
                |view| match facts.views.views.get(*view)?.cabinets.as_slice() {
                    // One that is not named may be any.
                    [name] => Some(name.clone()),
                    _ => None,
                },
            )
            .collect();
        let Some(names) = names else { continue };
        let stated = |stack: &crate::construction::job::Stack| {
            !keys(&stack.cabinets).is_disjoint(&keys(&names))
        };
        if facts.rules.stacks.iter().any(stated) {
            continue;
        }
        stack(facts, drawn, &names, found);
    }
}

fn stack(facts: &Desk<'_>, drawn: &Stacked, names: &[String], found: &mut Vec<super::Check>) {
    let Some((between, blamed)) = between(facts, drawn, names) else {
        return;
    };
    let reaches = Length::from_mm(drawn.to_mm);
    let walls = Length::from_mm(drawn.walls_mm);
    let near = |a: Length, b: Length| (a - b).abs() <= facts.tolerance(b);
    let (whole, words) = match (reaches, walls) {
        (Some(top), Some(walls)) if near(top, walls) => (walls, ("high", "wall", "reaches")),
        (Some(top), _) => (top, ("high", "drawn height", "reaches")),
        _ => return,
    };
    let sum = Sum {
        topic: Topic::Stack,
        name: &names.join(" under "),
        cabinets: names,
        whole: Some(whole),
        origin: Origin::Drawn,
        between: (between > Length::ZERO).then_some(between),
        fill: None,
        open: Length::ZERO,
        blamed,
        of: |cabinet| &cabinet.overall.height,
        words,
    };
    sum.check(facts, found);
}

/// What lies between the cabinets of a stack, all together: the listed top where one is
/// listed for what it lies on, else as drawn; and the figures it was taken from.
fn between(facts: &Desk<'_>, drawn: &Stacked, names: &[String]) -> Option<(Length, Vec<Cell>)> {
    let mut total = Length::ZERO;
    let mut blamed = Vec::new();
    for ((name, low), above) in names
        .iter()
        .zip(&drawn.from_mm)
        .zip(drawn.from_mm.get(1..)?)
    {
        let high = facts.cabinet(name)?.overall.height.known()?.span.mm();
        let room = Length::from_mm(above - low - high)?;
        if room <= facts.tolerance(room) {
            continue;
        }
        let rows: Vec<&Row> = [Role::Countertop, Role::BuildUpStrip]
            .into_iter()
            .filter_map(|role| facts.rows_of(name, role).next())
            .collect();
        let sizes: Option<Vec<_>> = rows
            .iter()
            .map(|row| Some((*row, row.size(Dimension::Thickness)?)))
            .collect();
        match sizes.as_deref() {
            Some(sizes @ [(first, _), ..]) if first.role() == Some(Role::Countertop) => {
                for (row, cell) in sizes {
                    total += cell.value;
                    blamed.push(of_cell(row, cell));
                }
            }
            _ => total += room,
        }
    }
    Some((total, blamed))
}

/// True when every one of these is drawn on another cabinet.
pub(super) fn stand_on_others(facts: &Desk<'_>, names: &[String]) -> bool {
    let above: std::collections::BTreeSet<String> = facts
        .views
        .stacked
        .iter()
        .flat_map(|drawn| drawn.views.iter().skip(1))
        .filter_map(|view| facts.views.views.get(*view))
        .flat_map(|view| keys(&view.cabinets))
        .collect();
    keys(names).is_subset(&above)
}
