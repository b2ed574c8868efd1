//! Rows of a boring list: where the hinge bores of a door are.

use super::columns::Columns;
use super::roles::Parts;
use super::rows::{Context, Draft, quantity, reading, size};
use super::table::Line;
use super::types::{BoringMark, BoringRow, FromEdge, Hand, Problem, Reading};
use super::units::Known;
use super::words::{Field, words};
use crate::trade::{Dimension, Role};

/// Whether these columns are those of a boring list.
pub(super) fn is_boring(columns: &Columns) -> bool {
    [Field::Bore, Field::BoreFromTop, Field::BoreFromBottom]
        .iter()
        .any(|field| columns.has(*field))
}

/// A row of a boring list.
pub(super) fn row(
    draft: &Draft<'_>,
    unit: Option<&Known>,
    parts: &mut Parts,
    context: &Context<'_>,
    problems: &mut Vec<Problem>,
) -> BoringRow {
    let Draft {
        raw, line, columns, ..
    } = draft;
    let (mut reading, hand) = reading(raw, parts);
    // "Left" alone names a door of the list, whose rows are all doors.
    if matches!(&reading, Reading::Unknown { nearest } if nearest.is_empty()) {
        reading = Reading::As {
            role: Role::Door,
            synonym: "every row of a list of bores".to_owned(),
            score: 1.0,
        };
    }
    let (quantity, problem) = quantity(draft, context);
    problems.extend(problem);
    let mut row = BoringRow {
        source: line.source.clone(),
        cabinets: raw.cabinets.clone(),
        cabinet_text: raw.cabinet_text.clone(),
        part: raw.part.clone(),
        reading,
        quantity,
        hinge_side: hinge_side(line, columns, problems).or(hand),
        sizes: Vec::new(),
        marks: Vec::new(),
        centre_from_edge: None,
        rim_from_edge: None,
        diameter: None,
        note: columns
            .of(Field::Note)
            .map(|column| line.at(column.index))
            .find(|text| !text.is_empty())
            .map(str::to_owned),
    };
    for piece in &draft.pieces {
        let mut piece = piece.clone();
        if piece.field.is_bore() {
            piece.dimension = Some(Dimension::Height);
        }
        let field = piece.field;
        match size(piece, unit, context, &line.source) {
            Ok(cell) => match field {
                Field::Bore => row.marks.push(BoringMark {
                    from: FromEdge::Unstated,
                    size: cell,
                }),
                Field::BoreFromTop => row.marks.push(BoringMark {
                    from: FromEdge::Top,
                    size: cell,
                }),
                Field::BoreFromBottom => row.marks.push(BoringMark {
                    from: FromEdge::Bottom,
                    size: cell,
                }),
                Field::BoreCentre => row.centre_from_edge = Some(cell),
                Field::BoreRim => row.rim_from_edge = Some(cell),
                Field::BoreDiameter => row.diameter = Some(cell),
                _ if row
                    .sizes
                    .iter()
                    .all(|other| other.dimension != cell.dimension) =>
                {
                    row.sizes.push(cell)
                }
                _ => {}
            },
            Err(problem) => problems.push(*problem),
        }
    }
    row
}

fn hinge_side(line: &Line, columns: &Columns, problems: &mut Vec<Problem>) -> Option<Hand> {
    let column = columns
        .first(Field::HingeSide)
        .or_else(|| columns.first(Field::Hand))?;
    let text = line.at(column.index);
    if words().is_nothing(text) {
        return None;
    }
    let hand = super::attributes::hand(text).or_else(|| {
        let first = text.split_whitespace().next()?;
        super::attributes::hand(first)
    });
    if hand.is_none() {
        problems.push(Problem {
            source: line.source.clone(),
            column: Some(column.index + 1),
            text: text.to_owned(),
            message: format!("`{text}` does not say which edge carries the hinges"),
            advice: "write left or right, seen from the front".to_owned(),
            dimension: None,
        });
    }
    hand
}
