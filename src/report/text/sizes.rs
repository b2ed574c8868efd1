//! The table of cabinets: overall and interior, drawn and as the listed parts
//! would build them.

use super::page::{Page, WIDTH};
use crate::report::Report;
use crate::report::sizes_table::{self, SizeLine};
use comfy_table::{CellAlignment, ContentArrangement, Table, presets};

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
    let mut last = "";
    for line in &lines {
        let SizeLine {
            cabinet,
            place,
            from,
            sizes,
            differs,
        } = line;
        let shown = if *cabinet == last { "" } else { cabinet };
        last = cabinet;
        let size = |index: usize| match (sizes[index], differs[index]) {
            (Some(length), true) => format!("* {}", report.sizes.bare(length)),
            (Some(length), false) => report.sizes.bare(length),
            (None, _) => "-".to_owned(),
        };
        table.add_row([
            crate::report::words::printable(shown),
            (*place).to_owned(),
            (*from).to_owned(),
            size(0),
            size(1),
            size(2),
        ]);
    }
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
