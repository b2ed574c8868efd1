//! The cut list as it was read, row by row as written, with what became of each
//! size.

use super::{bin_sign, bin_words, text};
use crate::audit::Bin;
use crate::cutlist::{CutList, Problem, Row, RowSource};
use crate::report::Report;
use crate::report::marks::Marks;
use crate::trade::Dimension;
use maud::{Markup, html};
use std::collections::{BTreeMap, BTreeSet};

/// The anchor of a row, when a list of the job has it.
pub(super) fn anchor(report: &Report<'_>, source: &RowSource) -> Option<String> {
    let (index, list) = report
        .job
        .lists
        .iter()
        .enumerate()
        .find(|(_, list)| list.file == source.file)?;
    list.row_at(source).map(|_| name(index, list, source))
}

fn name(index: usize, list: &CutList, source: &RowSource) -> String {
    match &source.sheet {
        None => format!("row-{index}-{}", source.line),
        Some(_) => {
            // Sheets by the order of their names, as many as there are rows of.
            let number = sheets(list)
                .iter()
                .filter(|other| **other < &source.sheet)
                .count();
            format!("row-{index}-{number}-{}", source.line)
        }
    }
}

/// The sheets that have rows, each once: their rows stand together.
fn sheets(list: &CutList) -> BTreeSet<&Option<String>> {
    let mut sheets = BTreeSet::new();
    let mut rest = list.rows.as_slice();
    while let Some(first) = rest.first() {
        sheets.insert(&first.source.sheet);
        let of_sheet = rest.partition_point(|row| row.source.sheet == first.source.sheet);
        rest = rest.get(of_sheet.max(1)..).unwrap_or_default();
    }
    sheets
}

pub(super) fn section(report: &Report<'_>, marks: &Marks<'_>) -> Markup {
    html! {
        section #list {
            h2 { "Cut list" }
            p { "As written. " span aria-hidden="true" { "✓" } " agrees, " span aria-hidden="true" { "✗" } " disagrees, " span aria-hidden="true" { "?" } " not checked." }
            @if report.job.lists.is_empty() { p { "No list could be read." } }
            @for (index, list) in report.job.lists.iter().enumerate() {
                (table(report, marks, index, list))
            }
        }
    }
}

fn table(report: &Report<'_>, marks: &Marks<'_>, index: usize, list: &CutList) -> Markup {
    let columns = columns(list);
    let with_sheets = list.rows.iter().any(|row| row.source.sheet.is_some());
    html! {
        div.wide role="region" tabindex="0" aria-label=(format!("Rows of {}", text(&list.file))) {
            table.list {
                caption { (text(&list.file)) }
                thead {
                    tr {
                        @if with_sheets { th scope="col" { "Sheet" } }
                        th.number scope="col" { "Line" }
                        th scope="col" { "Cabinet" }
                        th scope="col" { "Part" }
                        th scope="col" { "Quantity" }
                        @for (_, heading) in &columns { th scope="col" { (text(heading)) } }
                        th scope="col" { "Findings" }
                    }
                }
                tbody {
                    @for row in &list.rows {
                        tr #(name(index, list, &row.source)) {
                            @if with_sheets { td { (text(row.source.sheet.as_deref().unwrap_or(""))) } }
                            td.number { (row.source.line) }
                            td { (text(&row.cabinet_text)) }
                            th scope="row" { (text(&row.part)) }
                            (quantity(marks, row))
                            @for (column, _) in &columns { (sizes(marks, list, row, *column)) }
                            (findings(report, marks, row))
                        }
                    }
                }
            }
        }
    }
}

/// Columns that hold sizes, with their headings as written.
fn columns(list: &CutList) -> BTreeMap<usize, String> {
    let mut columns: BTreeMap<usize, String> = BTreeMap::new();
    for cell in list.rows.iter().flat_map(|row| &row.sizes) {
        let heading = if cell.heading.is_empty() {
            format!("Column {}", cell.column)
        } else {
            cell.heading.to_string()
        };
        columns.entry(cell.column).or_insert(heading);
    }
    columns
}

fn quantity(marks: &Marks<'_>, row: &Row) -> Markup {
    let shown = if row.quantity.column == 0 {
        format!("{} (not written)", row.quantity.count)
    } else {
        row.quantity.text.clone()
    };
    cell(&shown, marks, row, &[Dimension::Quantity], None)
}

/// One cell of the list; it may hold several sizes, or one that could not be read.
fn sizes(marks: &Marks<'_>, list: &CutList, row: &Row, column: usize) -> Markup {
    let here: Vec<_> = row
        .sizes
        .iter()
        .filter(|cell| cell.column == column)
        .collect();
    // Problems are sorted by the place they are at.
    let from = list
        .problems
        .partition_point(|problem| problem.source < row.source);
    let problem = list
        .problems
        .iter()
        .skip(from)
        .take_while(|problem| problem.source == row.source)
        .find(|problem| problem.column == Some(column));
    let shown = here
        .first()
        .map(|cell| {
            if cell.detail.cell.is_empty() {
                &cell.text
            } else {
                &cell.detail.cell
            }
        })
        .or(problem.map(|problem| &problem.text));
    let Some(shown) = shown else {
        return html! { td {} };
    };
    let dimensions: Vec<_> = here.iter().map(|cell| cell.dimension).collect();
    cell(shown, marks, row, &dimensions, problem)
}

fn cell(
    shown: &str,
    marks: &Marks<'_>,
    row: &Row,
    dimensions: &[Dimension],
    problem: Option<&Problem>,
) -> Markup {
    let mut states: Vec<(Option<Bin>, String)> = dimensions
        .iter()
        .map(|dimension| {
            let by: BTreeSet<_> = marks
                .covered(&row.source, *dimension)
                .iter()
                .map(|covered| covered.by.as_str())
                .collect();
            (
                marks.bin(&row.source, *dimension),
                by.into_iter().collect::<Vec<_>>().join("; "),
            )
        })
        .collect();
    if let Some(problem) = problem {
        states.push((
            Some(Bin::Unchecked),
            format!("{}; {}", problem.message, problem.advice),
        ));
    }
    let worst = states
        .iter()
        .filter_map(|(bin, _)| *bin)
        .max_by_key(|bin| match bin {
            Bin::Agrees => 0,
            Bin::Unchecked => 1,
            Bin::Disagrees => 2,
        });
    html! {
        td.(worst.map_or("", crate::report::words::bin)) {
            (text(shown))
            @for (bin, by) in &states {
                @if let Some(bin) = bin {
                    " " span.sign aria-hidden="true" title=(text(by)) { (bin_sign(*bin)) }
                    span.unseen { " " (bin_words(*bin)) }
                }
            }
        }
    }
}

fn findings(report: &Report<'_>, marks: &Marks<'_>, row: &Row) -> Markup {
    let mut indices: BTreeSet<usize> = row
        .sizes
        .iter()
        .map(|cell| cell.dimension)
        .chain([Dimension::Quantity])
        .flat_map(|dimension| marks.findings(&row.source, dimension).iter().copied())
        .collect();
    indices.retain(|index| *index < report.audit.findings.len());
    html! {
        td {
            @for index in indices {
                @let id = Report::id(index);
                a href=(format!("#{id}")) { (id) }
                @if crate::report::evidence::has_picture(report, index) {
                    " (" a href=(format!("#{id}-picture")) aria-label=(format!("picture of {id}")) { "picture" } ")"
                }
                " "
            }
        }
    }
}
