//! Rows as written to typed rows.

use super::attributes;
use super::columns::{Column, Columns};
use super::lines::RawRow;
use super::marks;
use super::roles::{Pair, Parts};
use super::sizes::{LARGEST, Piece};
use super::table::Line;
use super::types::{
    Hand, ListHints, Per, Problem, Quantity, Reading, Row, RowSource, SizeCell, SizeDetail,
    SizeKind,
};
use super::units::Known;
use super::words::{Field, Section, words};
use crate::length::{DecimalMark, Length, Reader, Unit, UnitSource};
use crate::trade::{Dimension, Role};
use std::sync::Arc;

/// A row on its way: as written, with the sizes of its line.
pub(super) struct Draft<'a> {
    pub(super) raw: RawRow,
    pub(super) line: &'a Line,
    pub(super) columns: &'a Columns,
    pub(super) pieces: Vec<Piece>,
    /// A size cell of the line could not be taken apart.
    pub(super) asked: bool,
}

/// What holds for the whole list.
pub(super) struct Context<'a> {
    pub(super) hints: &'a ListHints,
    pub(super) mark: Option<DecimalMark>,
    /// What a bare quantity counts.
    pub(super) per: Per,
}

/// Reads one size; a problem when it cannot be read.
pub(super) fn size(
    piece: Piece,
    unit: Option<&Known>,
    context: &Context<'_>,
    source: &RowSource,
) -> Result<SizeCell, Box<Problem>> {
    let dimension = piece.dimension.unwrap_or(Dimension::Length);
    let problem = |message: String, advice: String| {
        Box::new(Problem {
            source: source.clone(),
            column: Some(piece.column + 1),
            text: piece.text.clone(),
            message,
            advice,
            dimension: Some(dimension),
        })
    };
    let known = piece.unit.as_ref().or(unit);
    let reader = Reader {
        unit: known.map_or(Unit::Inch, |(unit, _)| *unit),
        decimal_mark: if piece.number {
            Some(DecimalMark::Point)
        } else {
            context.mark
        },
    };
    let parsed = reader
        .read(&piece.text)
        .map_err(|error| problem(error.to_string(), error.advice()))?;
    let unit_evidence: Arc<str> = match (parsed.unit_source, known) {
        (UnitSource::Written, _) => "written in the cell".into(),
        (UnitSource::Fraction, _) => "a fraction without a unit is inches".into(),
        (UnitSource::Default, _) if piece.unit.is_none() && parsed.written.is_fraction() => {
            "a fraction without a unit is inches".into()
        }
        (UnitSource::Default, Some((_, evidence))) => Arc::clone(evidence),
        (UnitSource::Default, None) => {
            return Err(problem(
                format!(
                    "`{}` has no unit, and nothing here tells inches from millimetres",
                    piece.text
                ),
                "write the unit into the heading, as in `Length (mm)`, or say it with --units"
                    .to_owned(),
            ));
        }
    };
    if parsed.length == Length::ZERO {
        return Err(problem(
            format!("`{}` is no size for a part", piece.text),
            "write the size, or leave the cell empty".to_owned(),
        ));
    }
    if parsed.length > LARGEST {
        return Err(problem(
            format!("`{}` is longer than any part", piece.text),
            "correct the number or its unit".to_owned(),
        ));
    }
    Ok(SizeCell {
        dimension,
        text: piece.text,
        column: piece.column + 1,
        heading: piece.heading,
        value: parsed.length,
        unit: parsed.unit,
        unit_evidence,
        detail: SizeDetail {
            cell: piece.cell,
            written: Some(parsed.written),
            step: parsed.step,
            exact: parsed.exact,
            alternatives: parsed.alternatives,
        },
    })
}

/// The role of a row by its part's name, else by its section.
pub(super) fn reading(raw: &RawRow, parts: &mut Parts) -> (Reading, Option<Hand>) {
    if raw.part.is_empty() {
        let role = raw.section.and_then(|s| words().section_part.get(&s));
        return match role {
            Some(role) => (
                Reading::As {
                    role: *role,
                    synonym: format!("every row of a list of {}", section_word(raw.section)),
                    score: 1.0,
                },
                None,
            ),
            None => (
                Reading::Unknown {
                    nearest: Vec::new(),
                },
                None,
            ),
        };
    }
    parts.read(&raw.part, raw.section)
}

/// What a section's list holds.
pub(super) fn section_word(section: Option<Section>) -> &'static str {
    match section {
        Some(Section::Doors) => "doors",
        Some(Section::DrawerFronts) => "drawer fronts",
        Some(Section::DrawerBoxes) => "drawer boxes",
        Some(Section::Tops) => "tops",
        Some(Section::Boring) => "bores",
        Some(Section::Frame) => "face-frame parts",
        Some(Section::Case) => "case parts",
        Some(Section::Base) => "parts of a separate base",
        _ => "parts",
    }
}

/// The count of a row; a problem when its cell is no count.
pub(super) fn quantity(draft: &Draft<'_>, context: &Context<'_>) -> (Quantity, Option<Problem>) {
    let Draft {
        raw, line, columns, ..
    } = draft;
    let fields = [
        (Field::QuantityPerCabinet, Some(Per::Cabinet)),
        (Field::Quantity, None),
        (Field::QuantityTotal, Some(Per::Job)),
    ];
    let mut chosen: Option<(&Column, Option<Per>)> = None;
    for (field, per) in fields {
        if let Some(column) = columns.first(field)
            && (chosen.is_none()
                || words().is_nothing(chosen.map_or("", |(c, _)| line.at(c.index))))
        {
            chosen = Some((column, per));
        }
    }
    let Some((column, per)) = chosen else {
        let counted = attributes::count_in_part(&raw.part);
        let quantity = Quantity {
            count: counted.unwrap_or(1),
            per: context.hints.quantity_per.unwrap_or(Per::Cabinet),
            text: if counted.is_some() {
                raw.part.clone()
            } else {
                String::new()
            },
            column: if counted.is_some() {
                columns.first(Field::Part).map_or(0, |c| c.index + 1)
            } else {
                0
            },
        };
        return (quantity, None);
    };
    let text = line.at(column.index);
    let count = attributes::count(text);
    let quantity = Quantity {
        count: count.unwrap_or(1),
        // One cabinet's count is its count, however the list counts for several.
        per: per.or(context.hints.quantity_per).unwrap_or(
            if columns.has(Field::QuantityTotal) || raw.cabinets.len() == 1 {
                Per::Cabinet
            } else {
                context.per
            },
        ),
        text: text.to_owned(),
        column: column.index + 1,
    };
    let problem = count.is_none().then(|| Problem {
        source: line.source.clone(),
        column: Some(column.index + 1),
        text: text.to_owned(),
        message: if text.is_empty() {
            "this row does not say how many".to_owned()
        } else {
            format!("`{text}` is not a count")
        },
        advice: "write a whole number of pieces".to_owned(),
        dimension: Some(Dimension::Quantity),
    });
    (quantity, problem)
}

/// A typed row of everything but its sizes; takes the names from the draft.
pub(super) fn row(
    draft: &mut Draft<'_>,
    parts: &mut Parts,
    context: &Context<'_>,
    problems: &mut Vec<Problem>,
) -> Row {
    let (quantity, problem) = quantity(draft, context);
    problems.extend(problem);
    let Draft {
        raw, line, columns, ..
    } = draft;
    let (reading, spoken_hand) = reading(raw, parts);
    let role = match &reading {
        Reading::As { role, .. } => Some(*role),
        Reading::Unknown { .. } => None,
    };
    let text = |field: Field| -> Option<String> {
        let joined: Vec<&str> = columns
            .of(field)
            .map(|column| line.at(column.index))
            .filter(|text| !text.is_empty())
            .collect();
        (!joined.is_empty()).then(|| joined.join("; "))
    };
    let hand = match columns.first(Field::Hand) {
        Some(column) => marks::hand(line, column, problems),
        None => None,
    }
    .or(spoken_hand);
    Row {
        source: line.source.clone(),
        cabinets: std::mem::take(&mut raw.cabinets),
        cabinet_text: std::mem::take(&mut raw.cabinet_text),
        part: std::mem::take(&mut raw.part),
        reading,
        hand,
        quantity,
        sizes: Vec::new(),
        cut_sizes: Vec::new(),
        grain: marks::grain(line, columns, role, problems),
        band: marks::band(line, columns, problems),
        size_kind: SizeKind::Unstated,
        material: text(Field::Material),
        note: text(Field::Note),
    }
}

/// Puts sizes into a row: finished ones before cut ones where the list has both.
pub(super) fn place(row: &mut Row, sizes: Vec<(SizeCell, SizeKind)>, said: SizeKind) {
    let finished = sizes.iter().any(|(_, kind)| *kind == SizeKind::Finished);
    let cut = sizes.iter().any(|(_, kind)| *kind == SizeKind::Cut);
    for (cell, kind) in sizes {
        let aside = finished && cut && kind == SizeKind::Cut;
        let list = if aside {
            &mut row.cut_sizes
        } else {
            &mut row.sizes
        };
        // At most one cell for each dimension: the first column has it.
        if list
            .iter()
            .all(|other: &SizeCell| other.dimension != cell.dimension)
        {
            list.push(cell);
        }
    }
    row.size_kind = match (finished, cut) {
        (true, _) => SizeKind::Finished,
        (false, true) => SizeKind::Cut,
        (false, false) => said,
    };
}

/// A row for two parts as one row for each, each with half the pieces; where
/// they cannot be halved the part is not known.
pub(super) fn halves(row: Row, parts: &Parts, section: Option<Section>) -> Vec<Row> {
    let unknown = |mut row: Row, nearest: Vec<(Role, String)>| {
        row.reading = Reading::Unknown {
            nearest: nearest
                .into_iter()
                .map(|(role, synonym)| (role, synonym, 0.5))
                .collect(),
        };
        vec![row]
    };
    match parts.pair(&row.part, section) {
        Pair::No => vec![row],
        Pair::Half(role, synonym) => unknown(row, vec![(role, synonym)]),
        Pair::Both(one, other) => {
            let count = row.quantity.count;
            if count > 1 && count % 2 == 1 {
                return unknown(row, vec![one, other]);
            }
            [one, other]
                .into_iter()
                .map(|(role, synonym)| {
                    let mut half = row.clone();
                    half.reading = Reading::As {
                        role,
                        synonym,
                        score: 1.0,
                    };
                    half.quantity.count = (count / 2).max(1);
                    half
                })
                .collect()
        }
    }
}
