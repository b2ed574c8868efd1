//! Toe notches written in the note of a side, against the toe space.

use super::{Cell, Check, Desk, Topic, Verdict};
use crate::cabinet::MeasuredCabinet;
use crate::length::{Length, Unit};
use crate::trade::{Dimension, Role};

pub(super) fn check(facts: &Desk<'_>, found: &mut Vec<Check>) {
    for (name, cabinet) in facts.named() {
        notches(facts, name, cabinet, found);
    }
}

/// A notch written beside the sides ("notch 4 x 2 1/4") against the toe space.
fn notches(facts: &Desk<'_>, name: &str, cabinet: &MeasuredCabinet, found: &mut Vec<Check>) {
    for row in facts.rows_of(name, Role::Side) {
        let Some(note) = row.note.as_deref() else {
            continue;
        };
        let unit = row.sizes.first().map_or(Unit::Inch, |cell| cell.unit);
        let Some([a, b]) = notch(note, unit) else {
            continue;
        };
        let sizes = facts
            .size(cabinet, "toe.height")
            .zip(facts.size(cabinet, "toe.setback"));
        let cell = Cell {
            source: row.source.clone(),
            part: row.part.clone(),
            dimension: Dimension::Depth,
            column: 0,
            text: note.to_owned(),
        };
        let Some(((high, x), (deep, y))) = sizes else {
            found.push(
                Check::new(
                    Topic::ToeSpace,
                    Verdict::Unchecked,
                    format!(
                        "{name}: '{note}' of the {} was not held against the toe space, which was not \
                         measured; state `toe.height` and `toe.depth` under [sizes] or add an end \
                         elevation",
                        row.part
                    ),
                )
                .of([name]),
            );
            continue;
        };
        let tolerance = facts.rules.tolerance(Some(Role::Side));
        let near = |a: Length, b: Length| (a - b).abs() <= tolerance;
        let same = (near(a, high) && near(b, deep)) || (near(b, high) && near(a, deep));
        let mut check = Check::new(
            Topic::ToeSpace,
            Verdict::of(same),
            format!(
                "{name}: the {} is to be notched {} by {}; its toe space is {} high and goes {} into \
                 it",
                row.part,
                facts.show(a),
                facts.show(b),
                facts.show(high),
                facts.show(deep)
            ),
        )
        .of([name])
        .resting_on(x.max(y));
        if !same {
            check = check.at_rows([cell]);
        }
        found.push(check);
    }
}

/// The two sizes of a notch that a note names.
fn notch(note: &str, unit: Unit) -> Option<[Length; 2]> {
    let lower = note.to_lowercase();
    let (_, rest) = lower.split_once("notch")?;
    let (before, after) = rest
        .split_once('\u{d7}')
        .or_else(|| rest.split_once(" x "))
        .or_else(|| rest.split_once(" by "))?;
    Some([
        longest(before.split_whitespace().rev(), unit, true)?,
        longest(after.split_whitespace(), unit, false)?,
    ])
}

/// The size that most of these words in a row make, those nearest first.
fn longest<'a>(
    words: impl Iterator<Item = &'a str>,
    unit: Unit,
    backwards: bool,
) -> Option<Length> {
    let mut taken: Vec<&str> = Vec::new();
    let mut found = None;
    for word in words.take(4) {
        if backwards {
            taken.insert(0, word);
        } else {
            taken.push(word);
        }
        let text = taken.join(" ");
        let text = text.trim_matches(|c: char| matches!(c, ',' | ';' | ':' | '(' | ')' | '.'));
        if let Ok(parsed) = crate::length::parse(text, unit) {
            found = Some(parsed.length);
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_a_notch_from_a_note() {
        let read = |note| notch(note, Unit::Inch).map(|sizes| sizes.map(|size| size.mm()));
        let right = Some([101.6, 57.15]);
        assert_eq!(read("notch 4 x 2 1/4 for toe"), right);
        assert_eq!(read("Notch: 4 by 2 1/4"), right);
        assert_eq!(read("toe notch 4\" x 2-1/4\""), right);
        assert_eq!(read("notch for toe"), None);
        assert_eq!(read("4 x 2 1/4"), None);
        let read = |note| notch(note, Unit::Millimetre).map(|sizes| sizes.map(|size| size.mm()));
        assert_eq!(read("notch 100 x 55"), Some([100.0, 55.0]));
    }
}
