//! The doors of a boring list against the cabinets' doors: their sizes, the edge that
//! carries the hinges, and bores as far from it on all of them.

use super::hinges::{Bored, cell, name, rows};
use super::{Check, Desk, Topic, Verdict};
use crate::cutlist::{Hand, SizeCell};
use crate::length::Length;
use crate::trade::{Axis, Dimension, Role};

pub(super) fn check(facts: &Desk<'_>, bored: &[Bored<'_>], found: &mut Vec<Check>) {
    for door in bored {
        sizes(facts, door, found);
    }
    centres(facts, bored, found);
    hands(bored, found);
}

/// A door of the list has the sizes of a drawn door of its cabinet, or of a listed one
/// where none is drawn.
fn sizes(facts: &Desk<'_>, door: &Bored<'_>, found: &mut Vec<Check>) {
    let of = |wanted: [Dimension; 2]| -> Option<&SizeCell> {
        let mut cells = wanted.iter().map(|d| {
            let mut own = door.row.sizes.iter();
            own.find(|cell| cell.dimension == *d)
        });
        cells.find_map(|cell| cell)
    };
    let high = of([Dimension::Height, Dimension::Length]);
    let wide = of([Dimension::Width, Dimension::Width]);
    let (Some(high), Some(wide)) = (high, wide) else {
        return;
    };
    let mut known: Vec<(Length, Length)> = Vec::new();
    for cabinet in door
        .row
        .cabinets
        .iter()
        .filter_map(|name| facts.cabinet(name))
    {
        let doors = cabinet.parts.iter().filter(|part| part.role == Role::Door);
        known.extend(doors.filter_map(|part| {
            let [high, wide] = [Axis::High, Axis::Across].map(|axis| part.span(axis));
            Some((high?.length(), wide?.length()))
        }));
    }
    let drawn = !known.is_empty();
    if !drawn {
        for cabinet in &door.row.cabinets {
            known.extend(facts.rows_of(cabinet, Role::Door).filter_map(|row| {
                let high = row
                    .size(Dimension::Height)
                    .or(row.size(Dimension::Length))?;
                Some((high.value, row.size(Dimension::Width)?.value))
            }));
        }
    }
    if known.is_empty() {
        return;
    }
    let tolerance = facts.rules.tolerance(Some(Role::Door));
    let near = |a: Length, b: Length| (a - b).abs() <= tolerance;
    let both = known
        .iter()
        .any(|(h, w)| near(*h, high.value) && near(*w, wide.value));
    let mut judge = |verdict, cells: Vec<&SizeCell>, sentence| {
        found.push(
            Check::new(Topic::HingeBores, verdict, sentence)
                .of(door.row.cabinets.iter().map(String::as_str))
                .at_rows(cells.into_iter().map(|size| cell(door, size))),
        );
    };
    let by = if drawn { "drawn" } else { "listed" };
    if both {
        let sentence = format!("{}: a door of this size is {by}", name(door));
        judge(Verdict::Agrees, vec![high, wide], sentence);
        return;
    }
    // The one that no door has is wrong; where each is some door's, both may be.
    let high_known = known.iter().any(|(h, _)| near(*h, high.value));
    let wide_known = known.iter().any(|(_, w)| near(*w, wide.value));
    let wrong = match (high_known, wide_known) {
        (true, false) => vec![wide],
        (false, true) => vec![high],
        _ => vec![high, wide],
    };
    let doors: Vec<String> = known
        .iter()
        .map(|(h, w)| format!("{} high and {} wide", facts.show(*h), facts.show(*w)))
        .collect();
    let sentence = format!(
        "{}: bored as a door {} high and {} wide; its cabinet's are {by} {}",
        name(door),
        facts.show(high.value),
        facts.show(wide.value),
        listing(doors)
    );
    judge(Verdict::Disagrees, wrong, sentence);
}

/// Each once, in order.
fn listing(mut parts: Vec<String>) -> String {
    parts.sort();
    parts.dedup();
    parts.join("; ")
}

/// Centres from the hinge edge are the same on all doors with bores of one diameter.
fn centres(facts: &Desk<'_>, bored: &[Bored<'_>], found: &mut Vec<Check>) {
    let diameter = |door: &Bored<'_>| door.row.diameter.as_ref().map(|cell| cell.value);
    let listed: Vec<(&Bored<'_>, &SizeCell)> = bored
        .iter()
        .filter_map(|door| Some((door, door.row.centre_from_edge.as_ref()?)))
        .collect();
    for (door, centre) in &listed {
        let same = |a: Length, b: Length| (a - b).abs() <= facts.tolerance(a);
        let others = || {
            let alike = listed
                .iter()
                .filter(|(other, _)| diameter(other) == diameter(door));
            alike.map(|(_, cell)| cell.value)
        };
        let with = |value: Length| others().filter(|other| same(*other, value)).count();
        let Some(usual) = others().max_by_key(|value| (with(*value), *value)) else {
            continue;
        };
        // One against one tells nothing; edge distance and bore decide where they are known.
        let decided = super::hinges::rim_and_bore(facts, door).is_some();
        if decided || same(usual, centre.value) || with(usual) < 2 {
            continue;
        }
        let tolerance = facts.tolerance(usual);
        found.push(
            Check::new(
                Topic::HingeBores,
                Verdict::Disagrees,
                format!(
                    "{}: the bore's centre is listed {} from the hinge edge, that of other doors {}",
                    name(door),
                    facts.show(centre.value),
                    facts.show(usual)
                ),
            )
            .of(door.row.cabinets.iter().map(String::as_str))
            .at_rows([cell(door, centre)])
            .sizes(usual, centre.value, tolerance),
        );
    }
}

/// The left door of a pair hinges at the left, the right one at the right.
fn hands(bored: &[Bored<'_>], found: &mut Vec<Check>) {
    let says = |door: &Bored<'_>, word: &str| {
        let part = door.row.part.to_lowercase();
        part.split(|c: char| !c.is_alphabetic())
            .any(|own| own == word)
    };
    for door in bored {
        let (own, other, hand) = match (says(door, "left"), says(door, "right")) {
            (true, false) => ("left", "right", Hand::Left),
            (false, true) => ("right", "left", Hand::Right),
            _ => continue,
        };
        let paired = bored
            .iter()
            .any(|partner| partner.row.cabinets == door.row.cabinets && says(partner, other));
        if !paired || door.row.hinge_side.is_none_or(|side| side == hand) {
            continue;
        }
        found.push(
            Check::new(
                Topic::HingeBores,
                Verdict::Disagrees,
                format!(
                    "{}: its hinge side is listed {other}; the {own} door of a pair hinges at the {own}",
                    name(door)
                ),
            )
            .of(door.row.cabinets.iter().map(String::as_str))
            .at_rows(rows(door)),
        );
    }
}
