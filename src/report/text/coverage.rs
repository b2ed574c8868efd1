//! How far the checking went: every row size, every drawn entity, every file.

use super::page::{Page, Tone};
use crate::audit::Bin;
use crate::report::{Report, words};
use std::collections::BTreeMap;

pub(super) fn print(page: &mut Page, report: &Report<'_>) {
    page.heading("What was checked");
    lists(page, report);
    sheets(page, report);
    for problem in &report.job.passed_over {
        page.item(
            0,
            &format!("Not part of the job: {}: {}", problem.file, problem.message),
        );
    }
    unchecked(page, report);
}

fn lists(page: &mut Page, report: &Report<'_>) {
    for list in &report.job.lists {
        let sizes: Vec<_> = report
            .audit
            .coverage
            .iter()
            .filter(|covered| covered.size.row.file == list.file)
            .collect();
        let count = |bin| sizes.iter().filter(|covered| covered.bin == bin).count();
        page.item(
            0,
            &format!(
                "{}: {}, {}: {} agree, {} disagree, {} not checked",
                list.file,
                words::count(list.rows.len(), "row"),
                words::count(sizes.len(), "size"),
                count(Bin::Agrees),
                count(Bin::Disagrees),
                count(Bin::Unchecked),
            ),
        );
    }
}

fn sheets(page: &mut Page, report: &Report<'_>) {
    for sheet in &report.audit.sheets {
        let mut text = format!(
            "{}: {}: {} in views",
            sheet.file,
            entities(sheet.entities),
            sheet.in_views
        );
        for (reason, count) in &sheet.left_out {
            text.push_str(&format!(", {count} {reason}"));
        }
        page.item(0, &text);
    }
}

fn entities(count: u64) -> String {
    if count == 1 {
        "1 entity".to_owned()
    } else {
        format!("{count} entities")
    }
}

/// What was not checked, by reason, with the lines it concerns.
fn unchecked(page: &mut Page, report: &Report<'_>) {
    // By reason and file: the lines, each with the sizes it leaves open.
    type Rows<'a> = Vec<(usize, Vec<&'a str>)>;
    let mut reasons: BTreeMap<(&str, &str), Rows<'_>> = BTreeMap::new();
    for covered in &report.audit.coverage {
        if covered.bin != Bin::Unchecked {
            continue;
        }
        let size = &covered.size;
        let rows = reasons.entry((&covered.by, &size.row.file)).or_default();
        match rows.last_mut() {
            Some((line, sizes)) if *line == size.row.line => sizes.push(size.dimension.word()),
            _ => rows.push((size.row.line, vec![size.dimension.word()])),
        }
    }
    if reasons.is_empty() && report.audit.unchecked.is_empty() {
        return;
    }
    page.blank();
    page.line(Tone::Open, "Not checked:");
    for ((reason, file), rows) in reasons {
        let rows: Vec<_> = rows
            .iter()
            .map(|(line, sizes)| format!("line {line} {}", sizes.join(", ")))
            .collect();
        page.item(
            0,
            &format!("{reason}: {} {}", words::file_name(file), rows.join("; ")),
        );
    }
    for sentence in &report.audit.unchecked {
        page.item(0, sentence);
    }
}
