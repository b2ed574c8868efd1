//! Cells that mark a part: its hand, its grain, its edge band. A cell that is not
//! understood is a problem of its own.

use super::attributes;
use super::columns::{Column, Columns};
use super::table::Line;
use super::types::{Band, Grain, Hand, Problem};
use super::words::{Field, words};
use crate::length::{Unit, parse};
use crate::trade::Role;

pub(super) fn hand(line: &Line, column: &Column, problems: &mut Vec<Problem>) -> Option<Hand> {
    let text = line.at(column.index);
    let hand = attributes::hand(text);
    if hand.is_none() && !words().is_nothing(text) && !attributes::both_hands(text) {
        problems.push(Problem {
            source: line.source.clone(),
            column: Some(column.index + 1),
            text: text.to_owned(),
            message: format!("`{text}` is neither left nor right"),
            advice: "write left, right or nothing".to_owned(),
            dimension: None,
        });
    }
    hand
}
pub(super) fn grain(
    line: &Line,
    columns: &Columns,
    role: Option<Role>,
    problems: &mut Vec<Problem>,
) -> Grain {
    let Some(column) = columns.first(Field::Grain) else {
        return Grain::Unstated;
    };
    let text = line.at(column.index);
    attributes::grain(text, role).unwrap_or_else(|| {
        problems.push(Problem {
            source: line.source.clone(),
            column: Some(column.index + 1),
            text: text.to_owned(),
            message: format!("`{text}` does not say which way the grain runs"),
            advice: "write length, width or none".to_owned(),
            dimension: None,
        });
        Grain::Unstated
    })
}

pub(super) fn band(line: &Line, columns: &Columns, problems: &mut Vec<Problem>) -> Option<Band> {
    let mut ask = |column: &Column, text: &str| {
        problems.push(Problem {
            source: line.source.clone(),
            column: Some(column.index + 1),
            text: text.to_owned(),
            message: format!("`{text}` does not say which edges carry band"),
            advice: "write how many edges, as in 2L 1W, or x for an edge".to_owned(),
            dimension: None,
        });
    };
    let mut found = Band {
        along_length: 0,
        along_width: 0,
        thickness: None,
    };
    let mut any = false;
    if let Some(column) = columns.first(Field::Band) {
        let text = line.at(column.index);
        match attributes::band(text, column.unit.unwrap_or(Unit::Millimetre)) {
            Some(Some(band)) => {
                found = band;
                any = true;
            }
            Some(None) => {}
            None => ask(column, text),
        }
    }
    for (field, long) in [
        (Field::BandLength1, true),
        (Field::BandLength2, true),
        (Field::BandWidth1, false),
        (Field::BandWidth2, false),
    ] {
        let Some(column) = columns.first(field) else {
            continue;
        };
        let text = line.at(column.index);
        match attributes::edge(text, column.unit.unwrap_or(Unit::Millimetre)) {
            Some((true, thickness)) => {
                let slot = if long {
                    &mut found.along_length
                } else {
                    &mut found.along_width
                };
                *slot = slot.saturating_add(1);
                found.thickness = found.thickness.or(thickness);
                any = true;
            }
            Some((false, _)) => {}
            None => ask(column, text),
        }
    }
    for (field, long) in [
        (Field::BandLengthCount, true),
        (Field::BandWidthCount, false),
    ] {
        let Some(column) = columns.first(field) else {
            continue;
        };
        let text = line.at(column.index);
        if words().is_nothing(text) || text == "0" {
            continue;
        }
        match attributes::count(text)
            .and_then(|count| u8::try_from(count).ok())
            .filter(|count| *count <= 2)
        {
            Some(count) => {
                let slot = if long {
                    &mut found.along_length
                } else {
                    &mut found.along_width
                };
                *slot = slot.saturating_add(count);
                any = true;
            }
            None => ask(column, text),
        }
    }
    if let Some(column) = columns.first(Field::BandThickness).filter(|_| any) {
        let text = line.at(column.index);
        match parse(text, column.unit.unwrap_or(Unit::Millimetre)) {
            Ok(parsed) => found.thickness = found.thickness.or(Some(parsed.length)),
            Err(_) if words().is_nothing(text) => {}
            Err(_) => ask(column, text),
        }
    }
    any.then_some(found)
}
