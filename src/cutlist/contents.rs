//! Columns whose heading leaves open what they hold, settled by what they hold.

use super::columns::{Column, Columns};
use super::roles::Parts;
use super::table::Line;
use super::types::SizeKind;
use super::words::Field;
use crate::length::Unit;

/// Settles columns whose heading leaves open what they hold, by what they hold.
pub(super) fn settle(columns: &mut Columns, rows: &[&Line], parts: &Parts) {
    let sample: Vec<&&Line> = rows.iter().take(200).collect();
    let values = |index: usize| -> Vec<&str> {
        sample
            .iter()
            .map(|line| line.at(index))
            .filter(|text| !text.is_empty())
            .collect()
    };
    let known_parts = |index: usize| {
        values(index)
            .iter()
            .filter(|text| parts.knows(text))
            .count()
    };
    headless_part(columns, &sample, &known_parts);
    settle_parts(columns, &known_parts);
    let open: Vec<usize> = columns
        .list
        .iter()
        .enumerate()
        .filter(|(_, column)| column.field == Field::Item)
        .map(|(at, _)| at)
        .collect();
    for at in open {
        let Some(index) = columns.list.get(at).map(|column| column.index) else {
            continue;
        };
        let values = values(index);
        let (field, because) = content(&values, columns, known_parts(index));
        if let Some(column) = columns.list.get_mut(at) {
            column.field = field;
            column.because = Some(because.to_owned());
        }
    }
}

/// A column of part names without a heading, where no heading names one.
fn headless_part(columns: &mut Columns, sample: &[&&Line], known: &dyn Fn(usize) -> usize) {
    let width = sample
        .iter()
        .map(|line| line.cells.len())
        .max()
        .unwrap_or(0);
    if columns.has(Field::Part) || columns.has(Field::Item) {
        return;
    }
    let bare = (0..width.min(64)).filter(|index| columns.list.iter().all(|c| c.index != *index));
    let Some(index) = bare
        .into_iter()
        .find(|index| known(*index) * 2 > sample.len())
    else {
        return;
    };
    columns.list.push(Column {
        index,
        heading: "".into(),
        field: Field::Part,
        unit: None,
        kind: SizeKind::Unstated,
        order: Vec::new(),
        because: Some("it has no heading, but its cells are part names".to_owned()),
    });
    columns.list.sort_by_key(|column| column.index);
}

/// Of several columns headed as parts the one whose cells are part names; others
/// are numbers of the part or notes.
fn settle_parts(columns: &mut Columns, known: &dyn Fn(usize) -> usize) {
    let places: Vec<(usize, usize)> = columns
        .of(Field::Part)
        .map(|column| (column.index, known(column.index)))
        .collect();
    if places.len() < 2 {
        return;
    }
    let most = places.iter().map(|(_, count)| *count).max().unwrap_or(0);
    let Some((chosen, _)) = places.iter().find(|(_, count)| *count == most).copied() else {
        return;
    };
    let name = columns
        .list
        .iter()
        .find(|column| column.index == chosen)
        .map(|column| column.heading.clone())
        .unwrap_or_default();
    for column in columns.list.iter_mut().filter(|c| c.field == Field::Part) {
        if column.index != chosen {
            column.field = Field::Note;
            column.because = Some(format!("part names stand under `{name}`"));
        }
    }
}

fn content(values: &[&str], columns: &Columns, parts: usize) -> (Field, &'static str) {
    let counts: Vec<u32> = values.iter().filter_map(|text| text.parse().ok()).collect();
    let all_counts = !values.is_empty() && counts.len() == values.len();
    let units = values
        .iter()
        .filter(|text| Unit::from_word(text).is_some())
        .count();
    let has_count = [
        Field::Quantity,
        Field::QuantityPerCabinet,
        Field::QuantityTotal,
    ]
    .iter()
    .any(|field| columns.has(*field));
    if units * 2 > values.len() {
        return (Field::Unit, "its cells are units");
    }
    if !columns.has(Field::Part) && parts * 2 > values.len() {
        return (Field::Part, "its cells are part names");
    }
    let wordy = values
        .iter()
        .filter(|text| !text.chars().any(|c| c.is_ascii_digit()))
        .count();
    if !columns.has(Field::Part) && wordy * 10 > values.len() * 8 {
        return (
            Field::Part,
            "its cells are words, and no other column has parts",
        );
    }
    let rising = counts
        .windows(2)
        .all(|pair| matches!(pair, [a, b] if b > a));
    if all_counts && !has_count && !(rising && counts.len() > 2) {
        return (Field::Quantity, "its cells are counts");
    }
    if all_counts {
        return (Field::Number, "its cells number the lines");
    }
    if !columns.has(Field::Cabinet) {
        return (
            Field::Cabinet,
            "its cells are names, and no other column has cabinets",
        );
    }
    (Field::Number, "another column has the cabinets")
}
