//! How far the checking went: every row size, every drawn entity, every file.

use super::page::{Page, Tone};
use crate::audit::Bin;
use crate::report::{Report, words};
use crate::signoff::open as open_items;

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
    open(page, report);
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
            words::entities(sheet.entities),
            sheet.in_views
        );
        for (reason, count) in &sheet.left_out {
            text.push_str(&format!(", {count} {reason}"));
        }
        page.item(0, &text);
    }
}

/// What was not checked, by reason, with the lines it concerns.
fn open(page: &mut Page, report: &Report<'_>) {
    let reasons = open_items::by_reason(report.audit);
    if reasons.is_empty() && report.audit.unchecked.is_empty() {
        return;
    }
    page.blank();
    page.line(Tone::Open, "Not checked:");
    for open in reasons {
        let lines: Vec<_> = open
            .by_sizes()
            .iter()
            .map(|(rows, sizes)| {
                let lines: Vec<_> = rows.iter().map(|row| row.source.line.to_string()).collect();
                let word = if lines.len() == 1 { "line" } else { "lines" };
                format!("{} in {word} {}", sizes.join(", "), lines.join(", "))
            })
            .collect();
        page.item(
            0,
            &format!(
                "{}: {}: {}",
                words::file_name(open.file),
                lines.join("; "),
                open.reason
            ),
        );
    }
    for sentence in &report.audit.unchecked {
        page.item(0, sentence);
    }
}
