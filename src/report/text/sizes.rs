//! The table of cabinets: overall and interior, drawn and as the listed parts
//! would build them.

use super::page::{Page, WIDTH};
use crate::plain::in_parallel;
use crate::report::Report;
use crate::report::sizes_table;
use comfy_table::{CellAlignment, ContentArrangement, Row, Table, presets};

pub(super) fn print(page: &mut Page, report: &Report<'_>) {
    let lines = sizes_table::lines(report);
    if lines.is_empty() {
        return;
    }
    page.heading(&format!("Cabinets, in {}", report.sizes.unit_word()));
    let mut table = Table::new();
    table
        .load_style(presets::NOTHING)
        .set_content_arrangement(ContentArrangement::Dynamic)
        .set_width(WIDTH as u16)
        .force_no_tty()
        .set_header(["Cabinet", "", "", "Width", "Height", "Depth"]);
    table.add_rows(in_parallel(0..lines.len(), |number| {
        let line = &lines[number];
        let before = number.checked_sub(1).map(|before| lines[before].cabinet);
        let again = before == Some(line.cabinet);
        let shown = if again { "" } else { line.cabinet };
        let size = |index: usize| match (line.sizes[index], line.differs[index]) {
            (Some(length), true) => format!("* {}", report.sizes.bare(length)),
            (Some(length), false) => report.sizes.bare(length),
            (None, _) => "-".to_owned(),
        };
        Row::from([
            crate::report::words::printable(shown),
            line.place.to_owned(),
            line.from.to_owned(),
            size(0),
            size(1),
            size(2),
        ])
    }));
    for column in 3..6 {
        if let Some(column) = table.column_mut(column) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    let text: Vec<_> = table.lines().collect();
    page.block(text.iter().map(String::as_str));
    if lines.iter().any(|line| line.differs.contains(&true)) {
        page.line(super::page::Tone::Plain, "* not as drawn");
    }
    for note in sizes_table::notes(report) {
        page.item(0, &note);
    }
}
