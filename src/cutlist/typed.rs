//! Rows as written to typed rows, with what holds for the whole list settled first.

use super::boring;
use super::lines::{Layout, RawRow};
use super::read::Title;
use super::roles::Parts;
use super::rows::{self, Context, Draft};
use super::sizes::{self, Piece};
use super::suspect;
use super::table::Table;
use super::types::{CutList, ListHints, Per, Problem, Reading};
use super::units::{self, Known};
use super::words::{Field, Section};
use crate::trade::Role;
use std::collections::BTreeSet;

/// Adds a table's rows to the list.
pub(super) fn rows(
    table: &Table,
    layout: Layout,
    title: &Title,
    hints: &ListHints,
    parts: &mut Parts,
    list: &mut CutList,
    reading: &mut Vec<String>,
) {
    let names = named(&layout.rows);
    let units: Vec<Vec<Option<Known>>> = layout.columns.iter().map(|c| c.units()).collect();
    let mut drafts: Vec<Draft<'_>> = Vec::with_capacity(layout.rows.len());
    for raw in layout.rows {
        let (Some(line), Some(columns), Some(units)) = (
            table.lines.get(raw.line),
            layout.columns.get(raw.columns),
            units.get(raw.columns),
        ) else {
            continue;
        };
        let (pieces, problems) = sizes::pieces(columns, units, line);
        let asked = !problems.is_empty();
        list.problems.extend(problems);
        drafts.push(Draft {
            raw,
            line,
            columns,
            pieces,
            asked,
        });
    }
    let mut all: Vec<&mut Vec<Piece>> = drafts.iter_mut().map(|draft| &mut draft.pieces).collect();
    reading.extend(sizes::settle_order(&mut all));
    let said: Option<Known> = {
        let called = hints.units.as_ref();
        let called = called.map(|(unit, by)| (*unit, by.as_str().into()));
        called.or_else(|| title.unit.clone())
    };
    let (decided, notes) = units::decide(
        drafts.iter().map(|draft| draft.pieces.as_slice()),
        said.as_ref(),
    );
    reading.extend(notes);
    let mark = sizes::decimal_mark(drafts.iter().flat_map(|draft| &draft.pieces));
    let (per, why) = per(&drafts, hints, parts);
    reading.extend(why);
    let context = Context { hints, mark, per };
    let said_kind = hints.size_kind.unwrap_or(title.kind);
    let mut typed = Vec::with_capacity(drafts.len());
    let mut strays = 0_usize;
    for (draft, unit) in drafts.iter_mut().zip(&decided) {
        if draft.raw.all {
            draft.raw.cabinets.clone_from(&names);
        }
        let problems = &mut list.problems;
        if boring::is_boring(draft.columns) {
            let row = boring::row(draft, unit.as_ref(), parts, &context, problems);
            let also = draft.raw.section != Some(Section::Boring) && !row.sizes.is_empty();
            list.borings.push(row);
            if !also {
                continue;
            }
        }
        let before = problems.len();
        let mut row = rows::row(draft, parts, &context, problems);
        let pieces = std::mem::take(&mut draft.pieces);
        let sizes_written = draft.asked || pieces.iter().any(|piece| !piece.field.is_bore());
        if !sizes_written && row.role().is_some() {
            problems.push(Problem {
                source: row.source.clone(),
                column: None,
                text: row.part.clone(),
                message: format!("`{}` has no size in this row", row.part),
                advice: "write its sizes, or take the row out".to_owned(),
                dimension: None,
            });
        }
        let mut found = Vec::new();
        for piece in pieces.into_iter().filter(|piece| !piece.field.is_bore()) {
            let kind = piece.kind;
            match rows::size(piece, unit.as_ref(), &context, &draft.line.source) {
                Ok(cell) => found.push((cell, kind)),
                Err(problem) => problems.push(*problem),
            }
        }
        if let Some((column, text)) = stray(draft) {
            if problems.len() > before {
                // "Side, left" without quotes: what follows stands one column off.
                problems.push(moved(draft, column, &text));
                found.clear();
            } else {
                strays += 1;
                row.note = Some(match row.note {
                    Some(note) => format!("{note}; {text}"),
                    None => text,
                });
            }
        }
        rows::place(&mut row, found, said_kind);
        typed.extend(rows::halves(row, parts, draft.raw.section));
    }
    if strays > 0 {
        reading.push(format!(
            "cells without a column heading in {strays} rows are taken as notes"
        ));
    }
    list.problems.extend(suspect::settle(&mut typed));
    list.problems.sort();
    list.problems.dedup();
    list.rows.extend(typed);
}

/// Cells of a row that stand in no headed column: the first one's 1-based column, and
/// all their text.
fn stray(draft: &Draft<'_>) -> Option<(usize, String)> {
    let cells: Vec<(usize, &str)> = draft
        .line
        .filled()
        .filter(|(index, _)| {
            draft
                .columns
                .list
                .iter()
                .all(|column| column.index != *index)
        })
        .map(|(index, cell)| (index, cell.trimmed()))
        .collect();
    let (first, _) = cells.first()?;
    let texts: Vec<&str> = cells.iter().map(|(_, text)| *text).collect();
    Some((first + 1, texts.join("; ")))
}

fn moved(draft: &Draft<'_>, column: usize, text: &str) -> Problem {
    Problem {
        source: draft.line.source.clone(),
        column: Some(column),
        text: text.to_owned(),
        message: format!(
            "`{text}` stands in no headed column; its sizes may be in the wrong columns and are not used"
        ),
        advice: "put quotation marks around a cell that holds a comma".to_owned(),
        dimension: None,
    }
}

/// Cabinets the table names, in their order.
fn named(rows: &[RawRow]) -> Vec<String> {
    let mut seen = BTreeSet::new();
    rows.iter()
        .flat_map(|row| &row.cabinets)
        .filter(|name| seen.insert(name.as_str()))
        .cloned()
        .collect()
}

/// What a bare quantity counts in rows for several cabinets: two sides for two
/// cabinets are counted for each, four for both together.
fn per(drafts: &[Draft<'_>], hints: &ListHints, parts: &mut Parts) -> (Per, Option<String>) {
    if let Some(per) = hints.quantity_per {
        return (per, None);
    }
    let (mut each, mut together, mut several) = (0_usize, 0_usize, false);
    for Draft {
        raw, line, columns, ..
    } in drafts
    {
        let cabinets = raw.cabinets.len();
        let Some(column) = columns.first(Field::Quantity).filter(|_| cabinets > 1) else {
            continue;
        };
        if columns.has(Field::QuantityTotal) || columns.has(Field::QuantityPerCabinet) {
            continue;
        }
        several = true;
        let Some(count) = super::attributes::count(line.at(column.index)) else {
            continue;
        };
        let (reading, _) = rows::reading(raw, parts);
        // Parts that every case has so many of.
        let usual = match reading {
            Reading::As {
                role: Role::Side, ..
            } => 2,
            Reading::As {
                role: Role::Bottom | Role::Back,
                ..
            } => 1,
            _ => continue,
        };
        each += usize::from(count as usize == usual);
        together += usize::from(count as usize == usual * cabinets);
    }
    if !several {
        return (Per::Cabinet, None);
    }
    let (per, why) = match (each, together) {
        (_, 0) if each > 0 => (
            Per::Cabinet,
            format!("sides, bottoms or backs in {each} rows are one cabinet's"),
        ),
        (0, _) if together > 0 => (
            Per::Job,
            format!(
                "sides, bottoms or backs in {together} rows are those of all the row's cabinets"
            ),
        ),
        _ => (
            Per::Cabinet,
            "assumed; nothing in the list tells".to_owned(),
        ),
    };
    let what = match per {
        Per::Cabinet => "each cabinet of a row",
        Per::Job => "all cabinets of a row together",
    };
    (per, Some(format!("quantities are for {what}: {why}")))
}
