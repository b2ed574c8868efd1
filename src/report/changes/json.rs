//! Changes for programs. The shape is documented in docs/release.md and versioned
//! by `schema`; keys are only added within a version.

use super::{Changes, Question, Side};
use crate::signoff::release::difference::{Outcome, SizeChange, TextChange};
use crate::signoff::release::pairing::FileChange;
use crate::signoff::release::rows::{CellChange, RowChange, Written};
use crate::signoff::release::snapshot::{PROGRAM, Row, Size};
use serde_json::{Value, json};

pub(super) fn render(changes: &Changes<'_>) -> String {
    let difference = changes.difference;
    let schema = match changes.question {
        Question::Verify => "dryfit-verified/1",
        Question::Compare => "dryfit-compared/1",
    };
    let document = json!({
        "schema": schema,
        "program": PROGRAM,
        "outcome": outcome(difference.outcome()),
        "unit": changes.printer().unit(),
        "was": side(&changes.was),
        "now": side(&changes.now),
        "measured": changes.measured,
        "files": difference.files.iter().map(file).collect::<Vec<_>>(),
        "cabinets": difference.cabinets(),
        "rows": difference.rows.iter().map(row).collect::<Vec<_>>(),
        "drawn": difference.drawn.iter().map(size).collect::<Vec<_>>(),
        "builds": difference.builds.iter().map(size).collect::<Vec<_>>(),
        "given": difference.given.iter().map(text).collect::<Vec<_>>(),
        "accepted": difference.accepted.iter().map(text).collect::<Vec<_>>(),
        "lapsed": changes.lapsed,
        "not_compared": difference.open,
    });
    let mut text = serde_json::to_string_pretty(&document).unwrap_or_default();
    text.push('\n');
    text
}

pub(super) fn changed_record(path: &str, sentence: &str) -> String {
    let document = json!({
        "schema": "dryfit-verified/1",
        "program": PROGRAM,
        "outcome": "record-changed",
        "path": path,
        "message": sentence,
    });
    let mut text = serde_json::to_string_pretty(&document).unwrap_or_default();
    text.push('\n');
    text
}

const fn outcome(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Same => "same",
        Outcome::Changed => "changed",
        Outcome::Open => "not-compared",
    }
}

fn side(side: &Side<'_>) -> Value {
    let record = side.record;
    json!({
        "path": side.shown,
        "job": side.snapshot.job,
        "program": side.snapshot.program,
        "issue": record.map(|record| &record.issue),
        "by": record.map(|record| &record.by),
        "date": record.map(|record| &record.date),
        "seal": record.map(|record| &record.seal),
    })
}

fn file(change: &FileChange) -> Value {
    let (was, now) = (change.was.as_ref(), change.now.as_ref());
    json!({
        "state": change.state.word(),
        "kind": was.or(now).map(|file| file.kind.word()),
        "was_name": was.map(|file| &file.name),
        "now_name": now.map(|file| &file.name),
        "was_sha256": was.map(|file| &file.sha256),
        "now_sha256": now.map(|file| &file.sha256),
    })
}

const fn state(was: bool, now: bool) -> &'static str {
    match (was, now) {
        (false, _) => "new",
        (_, false) => "gone",
        _ => "changed",
    }
}

fn row(change: &RowChange) -> Value {
    let place = |row: &Option<Row>| {
        row.as_ref().map(|row| {
            let sizes: Vec<Value> = row
                .sizes
                .iter()
                .map(|size| json!({"what": size.what, "text": size.text, "mm": size.mm}))
                .collect();
            json!({
                "file": row.file,
                "sheet": row.sheet,
                "line": row.line,
                "count": row.count,
                "sizes": sizes,
            })
        })
    };
    json!({
        "state": state(change.was.is_some(), change.now.is_some()),
        "cabinet": change.row().map(|row| &row.cabinet),
        "part": change.row().map(|row| &row.part),
        "was": place(&change.was),
        "now": place(&change.now),
        "cells": change.cells.iter().map(cell).collect::<Vec<_>>(),
    })
}

fn cell(change: &CellChange) -> Value {
    let text = |written: &Option<Written>| written.as_ref().map(|written| written.text.clone());
    let length = |written: &Option<Written>| written.as_ref().and_then(|written| written.length);
    let (was, now) = (length(&change.was), length(&change.now));
    json!({
        "what": change.what,
        "was": text(&change.was),
        "now": text(&change.now),
        "was_mm": was.map(|length| length.mm()),
        "now_mm": now.map(|length| length.mm()),
        "difference_mm": was.zip(now).map(|(was, now)| (now - was).mm()),
    })
}

fn size(change: &SizeChange) -> Value {
    let mm = |size: &Option<Size>| size.as_ref().and_then(|size| size.mm);
    let why = |size: &Option<Size>| size.as_ref().and_then(|size| size.why.clone());
    let at_least = |size: &Option<Size>| size.as_ref().is_some_and(|size| size.at_least);
    let length = |size: &Option<Size>| size.as_ref().and_then(Size::length);
    json!({
        "cabinet": change.cabinet,
        "what": change.what,
        "state": state(change.was.is_some(), change.now.is_some()),
        "was_mm": mm(&change.was),
        "now_mm": mm(&change.now),
        "difference_mm": length(&change.was)
            .zip(length(&change.now))
            .map(|(was, now)| (now - was).mm()),
        "was_at_least": at_least(&change.was),
        "now_at_least": at_least(&change.now),
        "was_why": why(&change.was),
        "now_why": why(&change.now),
    })
}

fn text(change: &TextChange) -> Value {
    json!({
        "state": if change.new { "new" } else { "gone" },
        "text": change.text,
    })
}
