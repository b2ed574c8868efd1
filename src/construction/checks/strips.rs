//! Build-up strips under a countertop: their lengths, widths and counts by the way they
//! meet, as it is stated or as most of the listed strips show it.

use super::tops::{Top, answer, belonging, stated};
use super::{Check, Desk, Verdict, at, of_cell, per_cabinet};
use crate::construction::{Origin, choices};
use crate::cutlist::Row;
use crate::length::Length;
use crate::trade::{Dimension, Role};
use std::collections::BTreeSet;

/// Length and depth of a top, and width of its strips.
type Size = (Length, Length, Length);

/// The strips one top needs: length and how many.
fn wanted(way: &str, (length, depth, width): Size) -> Vec<(Length, u32)> {
    match way {
        "front-and-ends" => vec![(length, 1), (depth - width, 2)],
        "mitred-front" => vec![(length, 1), (depth, 2)],
        "all-round" => vec![(length, 2), (depth - width * 2, 2)],
        "ends-through" => vec![(length - width * 2, 2), (depth, 2)],
        _ => vec![(length, 2), (depth, 2)],
    }
}

/// Lengths of rows and how many each has.
fn listed(rows: &[&Row]) -> Vec<(Length, u32)> {
    let mut out = Vec::new();
    for row in rows {
        if let Some(cell) = row.size(Dimension::Length) {
            out.push((cell.value, per_cabinet(row).unwrap_or(1)));
        }
    }
    out
}

/// The way the listed strips meet: the one that all their lengths show, else one by
/// which as few rows as can be are wrong, when any such way calls the same rows wrong.
fn shown(rows: &[(Length, u32)], size: Size, tolerance: Length) -> Option<(&'static str, Origin)> {
    let near = |a: Length, b: Length| (a - b).abs() <= tolerance;
    let ways: Vec<&'static str> = choices::choice("strips")?
        .answers
        .iter()
        .map(|(word, _)| *word)
        .collect();
    let wrong = |way: &str| -> BTreeSet<usize> {
        let wanted = wanted(way, size);
        let fits = |length: Length| wanted.iter().any(|(own, _)| near(*own, length));
        let off = rows
            .iter()
            .enumerate()
            .filter(|(_, (length, _))| !fits(*length));
        off.map(|(row, _)| row).collect()
    };
    let whole: Vec<&'static str> = ways
        .iter()
        .copied()
        .filter(|way| {
            let used = |own: Length| rows.iter().any(|(length, _)| near(own, *length));
            wrong(way).is_empty() && wanted(way, size).iter().all(|(own, _)| used(*own))
        })
        .collect();
    let count = |counts: &[(Length, u32)]| -> u32 { counts.iter().map(|(_, count)| *count).sum() };
    let as_many = |way: &&&'static str| count(&wanted(way, size)) == count(rows);
    // Shown by the one top they belong to.
    let shown = Origin::Inferred {
        support: 1,
        against: 0,
    };
    let support = |way: &'static str| (wrong(way).len() < rows.len()).then_some((way, shown));
    match whole.as_slice() {
        [only] => return support(only),
        [] => {}
        several => {
            let mut same = several.iter().filter(as_many);
            return match (same.next(), same.next()) {
                (Some(only), None) => support(only),
                _ => None,
            };
        }
    }
    let likely: Vec<&'static str> = ways.iter().filter(as_many).copied().collect();
    let least = likely.iter().map(|way| wrong(way).len()).min()?;
    let mut best = likely.into_iter().filter(|way| wrong(way).len() == least);
    let first = best.next().filter(|_| least > 0)?;
    best.all(|way| wrong(way) == wrong(first))
        .then(|| support(first))
        .flatten()
}

/// What is taken for granted, as it is printed.
fn assumption(top: &Top<'_>, way: &str) -> String {
    let meaning = choices::choice("strips")
        .and_then(|choice| choice.answers.iter().find(|(word, _)| *word == way))
        .map_or("", |(_, meaning)| meaning);
    format!(
        "The build-up strips of {} lie {meaning}, as their lengths show (`strips = \"{way}\"`).",
        top.said()
    )
}

/// Strip lengths, widths and counts by the way the strips meet.
pub(super) fn check(facts: &Desk<'_>, top: &Top<'_>, found: &mut Vec<Check>) {
    let rows = belonging(facts, top.row, Role::BuildUpStrip);
    let (Some((length, depth)), false) = (top.faces, rows.is_empty()) else {
        return;
    };
    let said_width = stated(facts, top.row, "strip.width");
    let listed_width = || {
        rows.iter()
            .find_map(|row| row.size(Dimension::Width))
            .map(|cell| cell.value)
    };
    let Some(width) = said_width
        .as_ref()
        .map(|(value, _)| *value)
        .or_else(listed_width)
    else {
        return;
    };
    let tolerance = facts
        .rules
        .tolerance_at(Some(Role::BuildUpStrip), length)
        .value;
    let size = (length, depth, width);
    let (way, origin, assumed) = match answer(facts, top.row, "strips") {
        Some(answer) => (answer.word, answer.origin, None),
        None => match shown(&listed(&rows), size, tolerance) {
            Some((way, origin)) => (way, origin, Some(assumption(top, way))),
            None => {
                let sentence = format!(
                    "{}: how its build-up strips meet is not stated, and their lengths show no one \
                     way; answer `strips` under [construction]",
                    top.said()
                );
                found.push(
                    top.check(Verdict::Unchecked, sentence)
                        .at_rows(rows.iter().map(|row| at(row, Dimension::Length))),
                );
                return;
            }
        },
    };
    let before = found.len();
    // All strips of a top are of one width, stated or not.
    for row in &rows {
        let Some(cell) = row.size(Dimension::Width) else {
            continue;
        };
        let Some((_, origin)) = &said_width else {
            continue;
        };
        let same = (cell.value - width).abs() <= tolerance;
        found.push(
            top.check(
                Verdict::of(same),
                format!(
                    "{}: a strip {} wide; its strips are {} wide",
                    top.said(),
                    facts.show(cell.value),
                    facts.show(width)
                ),
            )
            .resting_on(origin.clone())
            .at_rows([of_cell(row, cell)])
            .sizes(width, cell.value, tolerance),
        );
    }
    // Each strip: its length and how many.
    let wanted = wanted(way, size);
    let all: Vec<String> = wanted
        .iter()
        .map(|(length, _)| facts.show(*length))
        .collect();
    let mut counted: Vec<Vec<&Row>> = vec![Vec::new(); wanted.len()];
    for row in &rows {
        let Some(cell) = row.size(Dimension::Length) else {
            continue;
        };
        let nearest = wanted
            .iter()
            .enumerate()
            .min_by_key(|(_, (wanted, _))| (*wanted - cell.value).abs());
        let Some((kind, (nearest, _))) = nearest else {
            continue;
        };
        if let Some(rows) = counted.get_mut(kind) {
            rows.push(row);
        }
        let same = (*nearest - cell.value).abs() <= tolerance;
        let mut check = top
            .check(
                Verdict::of(same),
                format!(
                    "{}: a strip {} long; its strips are {} long",
                    top.said(),
                    facts.show(cell.value),
                    all.join(" and ")
                ),
            )
            .resting_on(origin.clone())
            .at_rows([of_cell(row, cell)])
            .sizes(*nearest, cell.value, tolerance);
        check.assumed.clone_from(&assumed);
        found.push(check);
    }
    let tops = per_cabinet(top.row).unwrap_or(1);
    for ((wanted_length, count), rows) in wanted.iter().zip(counted) {
        let listed: u32 = rows.iter().filter_map(|row| per_cabinet(row)).sum();
        let needed = count * tops;
        // A length that is in no row may be what a wrong one was meant to be.
        if listed == 0 || rows.iter().any(|row| row.quantity.column == 0) {
            continue;
        }
        let sentence = format!(
            "{}: {needed} strips of {} are needed and {listed} listed",
            top.said(),
            facts.show(*wanted_length)
        );
        let mut check = top
            .check(Verdict::of(listed == needed), sentence)
            .resting_on(origin.clone())
            .at_rows(rows.iter().map(|row| at(row, Dimension::Quantity)));
        check.counts = Some((needed, listed));
        found.push(check);
    }
    // What the list alone says of itself excuses nothing.
    if assumed.is_some() && !top.known {
        let own = found.split_off(before);
        let (wrong, right): (Vec<Check>, Vec<Check>) = own
            .into_iter()
            .partition(|check| check.verdict == Verdict::Disagrees);
        if wrong.is_empty() {
            let sentence = format!(
                "{}: how its build-up strips meet is not stated; their lengths look like `{way}`, held \
                 against the listed top alone; answer `strips` under [construction]",
                top.said()
            );
            let cells = right.into_iter().flat_map(|check| check.rows);
            found.push(top.check(Verdict::Unchecked, sentence).at_rows(cells));
        }
        found.extend(wrong);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn inches(value: f64) -> Length {
        Length::from_mm(value * 25.4).expect("a length")
    }

    /// A top 72 x 25 with strips 3 wide; constructed.
    #[test]
    fn the_way_strips_meet_is_read_from_their_lengths() {
        let size = (inches(72.0), inches(25.0), inches(3.0));
        let way = |rows: &[(f64, u32)]| {
            let rows: Vec<_> = rows.iter().map(|(l, n)| (inches(*l), *n)).collect();
            shown(&rows, size, inches(1.0 / 32.0)).map(|(way, _)| way)
        };
        /// Lengths with their counts, and the way they show.
        type Shown<'a> = (&'a [(f64, u32)], Option<&'a str>);
        let table: [Shown<'_>; 12] = [
            (&[(72.0, 1), (22.0, 2)], Some("front-and-ends")),
            (&[(72.0, 1), (25.0, 2)], Some("mitred-front")),
            (&[(72.0, 2), (19.0, 2)], Some("all-round")),
            (&[(66.0, 2), (25.0, 2)], Some("ends-through")),
            (&[(72.0, 2), (25.0, 2)], Some("mitred")),
            // One figure wrong: the others show it.
            (&[(71.0, 1), (22.0, 2)], Some("front-and-ends")),
            (&[(72.0, 2), (19.0, 1), (20.0, 1)], Some("all-round")),
            (&[(66.0, 2), (24.0, 2)], Some("ends-through")),
            // One too few of a kind.
            (&[(72.0, 1), (22.0, 1)], Some("front-and-ends")),
            // The same rows are wrong by every way of as many strips.
            (&[(72.0, 1), (20.0, 2)], Some("front-and-ends")),
            // Nothing fits, or nothing tells.
            (&[(70.0, 1), (20.0, 2)], None),
            (&[(72.0, 4)], None),
        ];
        for (rows, expected) in table {
            assert_eq!(way(rows), expected, "{rows:?}");
        }
    }
}
