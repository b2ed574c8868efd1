//! Changes for a terminal: 80 columns, readable without colour. The outcome
//! first, then the parts that change, then each change.

use super::{Changes, Question, Side, size};
use crate::report::page::{Page, Tone};
use crate::report::size::Printer;
use crate::report::words::{count, natural};
use crate::signoff::release::difference::{Outcome, SizeChange, TextChange};
use crate::signoff::release::pairing::{FileChange, FileState};
use crate::signoff::release::rows::{CellChange, RowChange, Written};
use std::collections::BTreeSet;

pub(super) fn render(changes: &Changes<'_>, colour: bool) -> String {
    let mut page = Page::new(colour);
    match changes.question {
        Question::Verify => page.line(Tone::Heading, &name(&changes.was)),
        Question::Compare => {
            page.wrapped(Tone::Heading, "was  ", "     ", &name(&changes.was));
            page.wrapped(Tone::Heading, "now  ", "     ", &name(&changes.now));
        }
    }
    if let (Question::Verify, Some(record)) = (changes.question, changes.was.record) {
        page.line(Tone::Plain, &format!("Its seal holds: {}", record.seal));
    }
    let (tone, sentence) = outcome(changes);
    page.line(tone, sentence);
    page.line(Tone::Plain, &totals(changes));
    if changes.was.snapshot.program != changes.now.snapshot.program {
        page.line(
            Tone::Plain,
            &format!(
                "Measured by {}, now by {}.",
                changes.was.snapshot.program, changes.now.snapshot.program
            ),
        );
    }
    files(&mut page, changes);
    parts(&mut page, changes);
    rows(&mut page, changes);
    sizes(&mut page, "Drawn sizes", changes, &changes.difference.drawn);
    sizes(
        &mut page,
        "What the listed parts build",
        changes,
        &changes.difference.builds,
    );
    texts(&mut page, "Taken as given", &changes.difference.given);
    texts(
        &mut page,
        "Accepted deviations",
        &changes.difference.accepted,
    );
    if !changes.lapsed.is_empty() {
        page.heading("No longer holds");
        for sentence in changes.lapsed {
            page.item(0, sentence);
        }
    }
    if !changes.difference.open.is_empty() {
        page.heading("Not compared");
        for sentence in &changes.difference.open {
            page.item(0, sentence);
        }
    }
    page.finish()
}

pub(super) fn changed_record(sentence: &str, colour: bool) -> String {
    let mut page = Page::new(colour);
    page.line(Tone::Bad, "The record itself is not as it was released.");
    page.line(Tone::Plain, &format!("{sentence}."));
    page.finish()
}

/// "glaze-room, issue A, released by Ada on 2026-03-01", "rev-b: glaze-room".
fn name(side: &Side<'_>) -> String {
    let job = &side.snapshot.job;
    match side.record {
        Some(record) => format!(
            "{job}, issue {}, released by {} on {}",
            record.issue, record.by, record.date
        ),
        None if side
            .shown
            .trim_end_matches(['/', '\\'])
            .ends_with(job.as_str()) =>
        {
            side.shown.to_owned()
        }
        None => format!("{job} ({})", side.shown),
    }
}

fn outcome(changes: &Changes<'_>) -> (Tone, &'static str) {
    match (changes.question, changes.difference.outcome()) {
        (Question::Verify, Outcome::Changed) => (
            Tone::Bad,
            "These are not the files that were released. Do not cut from them.",
        ),
        (Question::Verify, Outcome::Same) if changes.lapsed.is_empty() => {
            (Tone::Good, "The files are what was released.")
        }
        (Question::Verify, Outcome::Same) => (
            Tone::Open,
            "The files are what was released, but not all it rests on still holds.",
        ),
        (Question::Verify, Outcome::Open) => (
            Tone::Open,
            "Nothing differs from what was released, but not everything was looked at.",
        ),
        (Question::Compare, Outcome::Changed) => (Tone::Bad, "The two differ."),
        (Question::Compare, Outcome::Same) => (Tone::Good, "The two are the same."),
        (Question::Compare, Outcome::Open) => (
            Tone::Open,
            "No difference was found, but not everything could be compared.",
        ),
    }
}

/// "2 files, 3 rows, 5 drawn sizes differ."
fn totals(changes: &Changes<'_>) -> String {
    let difference = changes.difference;
    let differing = difference
        .files
        .iter()
        .filter(|file| file.state.is_change())
        .count();
    let files = format!("{} of {}", differing, count(difference.files.len(), "file"));
    if !changes.measured && differing == 0 {
        let same = difference
            .files
            .iter()
            .filter(|file| file.state == FileState::Same)
            .count();
        return format!("{}, the same to the byte.", count(same, "file"));
    }
    if !changes.measured {
        return format!("{files} differ; the sizes could not be read.");
    }
    format!(
        "{files}, {}, {} and {} differ.",
        count(difference.rows.len(), "row"),
        count(difference.drawn.len(), "drawn size"),
        count(difference.builds.len(), "built size"),
    )
}

fn files(page: &mut Page, changes: &Changes<'_>) {
    if changes.difference.files.is_empty() {
        return;
    }
    page.heading("Files");
    for file in &changes.difference.files {
        let tone = match file.state {
            FileState::Same | FileState::Copy => Tone::Plain,
            FileState::NotShown => Tone::Open,
            _ => Tone::Bad,
        };
        page.wrapped(
            tone,
            &format!("  {:<10}", file.state.word()),
            "            ",
            &file_text(file),
        );
    }
}

fn file_text(file: &FileChange) -> String {
    let was = file.was.as_ref().map_or("", |file| file.name.as_str());
    let now = file.now.as_ref().map_or("", |file| file.name.as_str());
    match file.state {
        FileState::Renamed => format!("{was}, now {now}; its content is the same"),
        FileState::Changed if was != now => format!("{was}, now {now}"),
        FileState::Copy => format!("{now}, the same content as another file; read once"),
        FileState::New => now.to_owned(),
        _ => was.to_owned(),
    }
}

/// Which parts of which cabinet any change touches.
fn parts(page: &mut Page, changes: &Changes<'_>) {
    let difference = changes.difference;
    let cabinets = difference.cabinets();
    if cabinets.is_empty() {
        return;
    }
    page.heading("Parts that change");
    for cabinet in cabinets {
        let listed: BTreeSet<&str> = difference
            .rows
            .iter()
            .flat_map(|change| change.was.iter().chain(&change.now))
            .filter(|row| row.cabinet.trim() == cabinet)
            .map(|row| row.part.trim())
            .collect();
        let drawn: BTreeSet<&str> = difference
            .drawn
            .iter()
            .filter(|change| change.cabinet == cabinet)
            // "left side, high": the case itself has no comma.
            .filter_map(|change| change.what.rsplit_once(", "))
            .map(|(part, _)| part)
            .collect();
        let mut said = Vec::new();
        for (what, parts) in [("listed: ", listed), ("drawn: ", drawn)] {
            if !parts.is_empty() {
                let mut parts: Vec<&str> = parts.into_iter().collect();
                parts.sort_by(|a, b| natural(a, b));
                said.push(format!("{what}{}", parts.join(", ")));
            }
        }
        if said.is_empty() {
            said.push("its sizes".to_owned());
        }
        page.wrapped(
            Tone::Plain,
            "  ",
            "      ",
            &format!("{cabinet}: {}", said.join("; ")),
        );
    }
}

fn rows(page: &mut Page, changes: &Changes<'_>) {
    if changes.difference.rows.is_empty() {
        return;
    }
    page.heading("Rows of the list");
    for change in &changes.difference.rows {
        row(page, changes.printer(), change);
    }
}

fn row(page: &mut Page, printer: Printer, change: &RowChange) {
    let Some(shown) = change.row() else { return };
    let place = match (&change.was, &change.now) {
        (Some(was), Some(now)) if was.place() == now.place() => now.place(),
        (Some(was), Some(now)) => format!("{}, was {}", now.place(), was.place()),
        _ => shown.place(),
    };
    let (label, tone) = match (&change.was, &change.now) {
        (None, _) => ("new     ", Tone::Bad),
        (_, None) => ("gone    ", Tone::Bad),
        _ => ("changed ", Tone::Bad),
    };
    page.wrapped(
        tone,
        &format!("  {label}  "),
        "            ",
        &format!("{} ({place})", shown.name()),
    );
    if change.was.is_some() && change.now.is_some() {
        for cell in &change.cells {
            page.wrapped(
                Tone::Plain,
                "            ",
                "              ",
                &cell_text(printer, cell),
            );
        }
        return;
    }
    let mut said = vec![count(shown.count as usize, "piece")];
    said.extend(
        shown
            .sizes
            .iter()
            .map(|size| format!("{} {}", size.what, size.text.trim())),
    );
    page.wrapped(
        Tone::Plain,
        "            ",
        "              ",
        &said.join(", "),
    );
}

/// "length: was 34 1/2, now 31 (-3 1/2 in)".
fn cell_text(printer: Printer, cell: &CellChange) -> String {
    let text = |written: &Option<Written>| {
        written
            .as_ref()
            .map(|written| written.text.clone())
            .filter(|text| !text.is_empty())
            .unwrap_or_else(|| "nothing".to_owned())
    };
    let length = |written: &Option<Written>| written.as_ref().and_then(|written| written.length);
    let said = format!(
        "{}: was {}, now {}",
        cell.what,
        text(&cell.was),
        text(&cell.now)
    );
    match (length(&cell.was), length(&cell.now)) {
        (Some(was), Some(now)) if was == now => format!("{said} (the same size)"),
        (Some(was), Some(now)) => format!("{said} ({})", printer.difference(now - was)),
        _ => said,
    }
}

fn sizes(page: &mut Page, heading: &str, changes: &Changes<'_>, sizes: &[SizeChange]) {
    if sizes.is_empty() {
        return;
    }
    page.heading(heading);
    let mut from = 0;
    while let Some(first) = sizes.get(from) {
        let cabinet = first.cabinet.as_str();
        let of_cabinet: Vec<&SizeChange> = sizes
            .iter()
            .skip(from)
            .take_while(|change| change.cabinet == cabinet)
            .collect();
        from += of_cabinet.len();
        // A cabinet that is wholly new or gone is one change.
        let all_known = |side: &[crate::signoff::release::snapshot::Size]| {
            side.iter().any(|size| size.cabinet == cabinet)
        };
        let (was, now) = if heading == "Drawn sizes" {
            (&changes.was.snapshot.drawn, &changes.now.snapshot.drawn)
        } else {
            (&changes.was.snapshot.builds, &changes.now.snapshot.builds)
        };
        let state = match (all_known(was), all_known(now)) {
            (false, true) => Some("new"),
            (true, false) => Some("gone"),
            _ => None,
        };
        if let Some(state) = state {
            page.wrapped(
                Tone::Plain,
                "  ",
                "    ",
                &format!("{cabinet} is {state}: {}", overall(changes, &of_cabinet)),
            );
            continue;
        }
        page.wrapped(Tone::Plain, "  ", "    ", cabinet);
        for change in of_cabinet {
            page.wrapped(
                Tone::Plain,
                "    ",
                "      ",
                &size_text(changes.printer(), change),
            );
        }
    }
}

/// The first sizes of a cabinet that is new or gone.
fn overall(changes: &Changes<'_>, sizes: &[&SizeChange]) -> String {
    let said: Vec<String> = sizes
        .iter()
        .take(3)
        .filter_map(|change| {
            let side = change.now.as_ref().or(change.was.as_ref())?;
            Some(format!("{} {}", change.what, size(changes.printer(), side)))
        })
        .collect();
    said.join(", ")
}

/// "overall height: was 34 1/2 in, now 31 in (-3 1/2 in)".
fn size_text(printer: Printer, change: &SizeChange) -> String {
    let what = &change.what;
    match (&change.was, &change.now) {
        (None, Some(now)) => format!("{what}: new, {}", size(printer, now)),
        (Some(was), None) => format!("{what}: gone, was {}", size(printer, was)),
        (Some(was), Some(now)) => {
            let difference = match (was.length(), now.length()) {
                (Some(was), Some(now)) if was != now => {
                    format!(" ({})", printer.difference(now - was))
                }
                _ => String::new(),
            };
            format!(
                "{what}: was {}, now {}{difference}",
                size(printer, was),
                size(printer, now)
            )
        }
        (None, None) => what.clone(),
    }
}

fn texts(page: &mut Page, heading: &str, texts: &[TextChange]) {
    if texts.is_empty() {
        return;
    }
    page.heading(heading);
    for change in texts {
        let label = if change.new { "  new   " } else { "  gone  " };
        page.wrapped(Tone::Plain, label, "        ", &change.text);
    }
}
