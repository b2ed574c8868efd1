//! How far the checking went.

use super::text;
use crate::report::{Report, words};
use crate::signoff::open::{self as open_items, Open};
use maud::{Markup, html};

pub(super) fn section(report: &Report<'_>) -> Markup {
    // The items are these groups, then the sentences.
    let groups = open_items::by_reason(report.audit);
    let items = open_items::items(report.audit);
    html! {
        section #coverage {
            h2 { "What was checked" }
            @if (0..items.len()).any(|index| report.accepted_open(index).is_none()) {
                h3 { "Not checked" }
                ul.open {
                    @for (index, item) in items.iter().enumerate() {
                        @if report.accepted_open(index).is_none() {
                            li #(Report::open_id(index)) {
                                span.id { (Report::open_id(index)) } " "
                                @match groups.get(index) {
                                    Some(group) => (rows(report, group)),
                                    None => (text(&item.text)),
                                }
                            }
                        }
                    }
                }
            }
            h3 { "Drawings" }
            @if report.audit.sheets.is_empty() { p { "No drawing could be read." } }
            ul {
                @for sheet in &report.audit.sheets {
                    li {
                        (text(&sheet.file)) ": " (words::entities(sheet.entities)) ", " (sheet.in_views) " in views"
                        @for (reason, count) in &sheet.left_out { ", " (count) " " (text(reason)) }
                    }
                }
            }
            h3 { "Lists" }
            @if report.job.lists.is_empty() { p { "No list could be read." } }
            @for list in &report.job.lists {
                p { (text(&list.file)) ": " (words::count(list.rows.len(), "row")) }
                @if !list.reading.is_empty() {
                    ul { @for sentence in &list.reading { li { (text(sentence)) } } }
                }
            }
            @if !report.job.passed_over.is_empty() {
                h3 { "Not part of the job" }
                ul {
                    @for problem in &report.job.passed_over {
                        li { (text(&problem.file)) ": " (text(&problem.message)) }
                    }
                }
            }
        }
    }
}

/// The rows of one reason, each line linked to its row.
fn rows(report: &Report<'_>, open: &Open<'_>) -> Markup {
    html! {
        (text(words::file_name(open.file))) ": "
        @for (group, (rows, sizes)) in open.by_sizes().iter().enumerate() {
            @if group > 0 { "; " }
            (sizes.join(", ")) @if rows.len() == 1 { " in line " } @else { " in lines " }
            @for (index, row) in rows.iter().enumerate() {
                @if index > 0 { ", " }
                @match super::list::anchor(report, row.source) {
                    Some(anchor) => a href=(format!("#{anchor}")) { (row.source.line) },
                    None => { (row.source.line) },
                }
            }
        }
        ": " (text(&open.reason))
    }
}
