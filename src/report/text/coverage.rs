//! How far the checking went: every row size, every drawn entity, every file.

use super::page::{Page, Tone};
use crate::audit::totals;
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
        let (agree, disagree, open) = totals(sizes.iter().copied());
        page.item(
            0,
            &format!(
                "{}: {}, {}: {agree} agree, {disagree} disagree, {open} not checked",
                list.file,
                words::count(list.rows.len(), "row"),
                words::count(sizes.len(), "size"),
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
    let items = open_items::items(report.audit);
    let mut heading = false;
    for (index, item) in items.iter().enumerate() {
        if report.accepted_open(index).is_some() {
            continue;
        }
        if !heading {
            page.blank();
            page.line(Tone::Open, "Not checked:");
            heading = true;
        }
        let id = format!("{:<4}", Report::open_id(index));
        page.wrapped(Tone::Plain, &id, "    ", &item.text);
    }
}
