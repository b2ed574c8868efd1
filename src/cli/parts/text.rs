//! The reading of lists for a terminal: 80 columns, one table row a list row.

use super::Lists;
use crate::cutlist::{
    BoringRow, CutList, FromEdge, Grain, Hand, PassedOver, Per, Reading, Row, RowSource, SizeCell,
    SizeKind,
};
use crate::length::{Length, Notation};
use crate::report::page::{Page, Tone, WIDTH};
use crate::report::words::{count, printable};
use crate::trade::Dimension;
use comfy_table::{CellAlignment, ColumnConstraint, ContentArrangement, Table, Width, presets};

pub(super) fn render(lists: &Lists, colour: bool) -> String {
    let mut page = Page::new(colour);
    for problem in &lists.unusable {
        page.heading(&problem.file);
        let mut parts = problem.message.split('\n');
        page.line(
            Tone::Bad,
            &format!("cannot be used: {}", parts.next().unwrap_or("")),
        );
        page.block(parts);
    }
    for list in &lists.lists {
        one(&mut page, list);
    }
    page.finish()
}

fn one(page: &mut Page, list: &CutList) {
    page.heading(&list.file);
    let open = list
        .rows
        .iter()
        .filter(|row| matches!(row.reading, Reading::Unknown { .. }))
        .count();
    let rows = list.rows.len() + list.borings.len();
    let mut said = vec![count(rows, "row")];
    if !list.names().is_empty() {
        said.push(format!(
            "{} ({})",
            count(list.names().len(), "cabinet"),
            list.names().join(", ")
        ));
    }
    page.line(Tone::Plain, &format!("{}.", said.join(", ")));
    for line in &list.reading {
        page.item(0, line);
    }
    if let Some(kind) = one_kind(list).and_then(kind) {
        page.item(0, &format!("all sizes are {kind} sizes"));
    }
    problems(page, list, open);
    if !list.rows.is_empty() {
        page.blank();
        rows_table(page, list);
        page.line(Tone::Plain, "L length, W width, T thickness, H height, D depth; as written in `marks` where that differs.");
    }
    if !list.borings.is_empty() {
        page.heading("Bores");
        for row in &list.borings {
            page.item(0, &boring(row));
        }
    }
    passed_over(page, &list.passed_over);
}

fn problems(page: &mut Page, list: &CutList, open: usize) {
    if list.problems.is_empty() && open == 0 {
        page.line(Tone::Good, "Every cell was understood.");
        return;
    }
    page.heading("Not understood");
    for problem in &list.problems {
        let column = match problem.column {
            Some(column) => format!(", column {column}"),
            None => String::new(),
        };
        page.item(
            0,
            &format!(
                "{}{column}: {}. {}.",
                place(&problem.source),
                problem.message,
                sentence(&problem.advice)
            ),
        );
    }
    for row in &list.rows {
        if let Reading::Unknown { nearest } = &row.reading {
            let guesses: Vec<String> = nearest
                .iter()
                .map(|(role, _, score)| format!("{} ({score:.2})", role.word()))
                .collect();
            let guesses = if guesses.is_empty() {
                "nothing is near it".to_owned()
            } else {
                format!("nearest: {}", guesses.join(", "))
            };
            let (text, advice) = if row.part.is_empty() {
                (
                    "the row does not say what part it is".to_owned(),
                    "Name it, or say which column does with --columns part=N",
                )
            } else {
                (
                    format!("`{}` is not a part known here; {guesses}", row.part),
                    "If it is one, put the word under [list.words] in the job file",
                )
            };
            page.item(0, &format!("{}: {text}. {advice}.", place(&row.source)));
        }
    }
}

/// The kind all rows share.
fn one_kind(list: &CutList) -> Option<SizeKind> {
    let first = list.rows.first()?.size_kind;
    list.rows
        .iter()
        .all(|row| row.size_kind == first)
        .then_some(first)
}

fn sentence(text: &str) -> String {
    let mut chars = text.chars();
    match chars.next() {
        Some(first) => first.to_uppercase().chain(chars).collect(),
        None => String::new(),
    }
}

/// "line 7", "row 7 of `Doors`".
fn place(source: &RowSource) -> String {
    match &source.sheet {
        Some(sheet) if source.line == 0 => format!("sheet `{sheet}`"),
        Some(sheet) => format!("row {} of `{sheet}`", source.line),
        None => format!("line {}", source.line),
    }
}

fn rows_table(page: &mut Page, list: &CutList) {
    let sheets = list
        .rows
        .iter()
        .any(|row| row.source.sheet != list.rows.first().and_then(|r| r.source.sheet.clone()));
    let mut table = Table::new();
    table
        .load_style(presets::NOTHING)
        .set_content_arrangement(ContentArrangement::Dynamic)
        .set_width(WIDTH as u16)
        .force_no_tty()
        .set_header(["Line", "Cabinet", "Part", "Read as", "Qty", "Sizes"]);
    let same_kind = one_kind(list).is_some();
    let mut sheet = None;
    for row in &list.rows {
        if sheets && sheet != Some(&row.source.sheet) {
            sheet = Some(&row.source.sheet);
            table.add_row([
                "",
                "",
                printable(row.source.sheet.as_deref().unwrap_or("")).as_str(),
                "",
                "",
                "",
            ]);
        }
        table.add_row([
            row.source.line.to_string(),
            printable(&cabinets(row)),
            printable(&row.part),
            printable(&read_as(row, same_kind)),
            quantity(row),
            all_sizes(row),
        ]);
    }
    for (column, least) in [(3, 14), (5, 34)] {
        if let Some(column) = table.column_mut(column) {
            column.set_constraint(ColumnConstraint::LowerBoundary(Width::Fixed(least)));
        }
    }
    for column in [0, 4] {
        if let Some(column) = table.column_mut(column) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    let lines: Vec<String> = table.lines().collect();
    let lines: Vec<String> = lines
        .iter()
        .map(|line| line.replace('\u{a0}', " "))
        .collect();
    page.block(lines.iter().map(String::as_str));
}

fn cabinets(row: &Row) -> String {
    if row.cabinets.is_empty() {
        if row.cabinet_text.is_empty() {
            "-".to_owned()
        } else {
            row.cabinet_text.clone()
        }
    } else {
        row.cabinets.join(", ")
    }
}

const fn kind(kind: SizeKind) -> Option<&'static str> {
    match kind {
        SizeKind::Finished => Some("finished"),
        SizeKind::Cut => Some("cut"),
        SizeKind::Unstated => None,
    }
}

fn read_as(row: &Row, same_kind: bool) -> String {
    let mut said = match &row.reading {
        Reading::As {
            role,
            synonym,
            score,
        } if *score < 1.0 => {
            format!("{} (like `{synonym}`, {score:.2})", role.word())
        }
        Reading::As { role, .. } => role.word().to_owned(),
        Reading::Unknown { .. } => "?".to_owned(),
    };
    let mut more = |text: String| {
        said.push_str(", ");
        said.push_str(&text);
    };
    match row.hand {
        Some(Hand::Left) => more("left".to_owned()),
        Some(Hand::Right) => more("right".to_owned()),
        None => {}
    }
    match row.grain {
        Grain::AlongLength => more("grain along length".to_owned()),
        Grain::AlongWidth => more("grain along width".to_owned()),
        Grain::None | Grain::Unstated => {}
    }
    if let Some(band) = &row.band {
        let thick = match band.thickness {
            Some(thickness) => format!(" of {}", thickness.show(Notation::Millimetre)),
            None => String::new(),
        };
        more(format!(
            "band on {} long and {} short edges{thick}",
            band.along_length, band.along_width
        ));
    }
    if let Some(kind) = Some(row.size_kind).filter(|_| !same_kind).and_then(kind) {
        more(format!("{kind} sizes"));
    }
    said
}

fn quantity(row: &Row) -> String {
    match row.quantity.per {
        Per::Cabinet => row.quantity.count.to_string(),
        Per::Job if row.cabinets.len() == 1 => row.quantity.count.to_string(),
        Per::Job => format!("{} in all", row.quantity.count),
    }
}

/// With the cut sizes in a line of their own, where the list has both.
fn all_sizes(row: &Row) -> String {
    let sizes_as_read = printable(&sizes(&row.sizes));
    if row.cut_sizes.is_empty() {
        return sizes_as_read;
    }
    format!("{sizes_as_read}\ncut {}", printable(&sizes(&row.cut_sizes)))
}

/// `L 34 1/2  W 23 1/4  T 3/4 in`: the unit once where all share it. Spaces within
/// a size do not break.
fn sizes(cells: &[SizeCell]) -> String {
    let Some(last) = cells.last() else {
        return "-".to_owned();
    };
    let shared = cells
        .iter()
        .all(|cell| notation(cell).unit() == notation(last).unit() && is_plain(cell));
    let said: Vec<String> = cells
        .iter()
        .enumerate()
        .map(|(at, cell)| {
            let size = if shared && at + 1 < cells.len() {
                cell.value.show_bare(notation(cell))
            } else {
                size(cell)
            };
            format!("{} {size}", letter(cell.dimension)).replace(' ', "\u{a0}")
        })
        .collect();
    said.join("  ")
}

const fn letter(dimension: Dimension) -> &'static str {
    match dimension {
        Dimension::Length => "L",
        Dimension::Width => "W",
        Dimension::Thickness => "T",
        Dimension::Height => "H",
        Dimension::Depth => "D",
        Dimension::Quantity => "Q",
    }
}

/// As read, and as written where that differs.
fn size(cell: &SizeCell) -> String {
    let shown = cell.value.show(notation(cell));
    if is_plain(cell) {
        shown
    } else {
        format!("{shown} `{}`", cell.text)
    }
}

/// Whether a size is written as it is shown here.
fn is_plain(cell: &SizeCell) -> bool {
    let notation = notation(cell);
    cell.text == cell.value.show_bare(notation) || cell.text == cell.value.show(notation)
}

/// In the unit it was written in.
fn notation(cell: &SizeCell) -> Notation {
    if !cell.unit.is_imperial() {
        Notation::Millimetre
    } else if shows_exactly(cell.value) {
        Notation::InchFraction { denominator: 128 }
    } else {
        Notation::DecimalInch
    }
}

fn shows_exactly(length: Length) -> bool {
    length.ticks() % (Length::TICKS_PER_INCH / 128) == 0
}

fn boring(row: &BoringRow) -> String {
    let mut said = vec![format!(
        "{}: {} `{}`",
        place(&row.source),
        if row.cabinets.is_empty() {
            "-".to_owned()
        } else {
            row.cabinets.join(", ")
        },
        row.part
    )];
    if let Some(hand) = row.hinge_side {
        said.push(format!(
            "hinged on the {}",
            if hand == Hand::Left { "left" } else { "right" }
        ));
    }
    for mark in &row.marks {
        let from = match mark.from {
            FromEdge::Top => "from the top",
            FromEdge::Bottom => "from the bottom",
            FromEdge::Unstated => "from an edge the list does not name",
        };
        said.push(format!("bore at {} {from}", size(&mark.size)));
    }
    for (cell, what) in [
        (&row.centre_from_edge, "centre in from the hinge edge"),
        (&row.rim_from_edge, "rim in from the hinge edge"),
        (&row.diameter, "across"),
    ] {
        if let Some(cell) = cell {
            said.push(format!("{} {what}", size(cell)));
        }
    }
    said.join(", ")
}

/// Lines that are no rows, with runs of blank ones in one item.
fn passed_over(page: &mut Page, passed: &[PassedOver]) {
    let told: Vec<&PassedOver> = passed
        .iter()
        .filter(|line| line.reason != "blank")
        .collect();
    let blank = passed.len() - told.len();
    if passed.is_empty() {
        return;
    }
    page.heading("Not rows");
    for line in told {
        let text = if line.text.is_empty() {
            String::new()
        } else {
            format!(": `{}`", line.text)
        };
        page.item(
            0,
            &format!("{}, {}{text}", place(&line.source), line.reason),
        );
    }
    if blank > 0 {
        page.item(0, &count(blank, "blank line"));
    }
}
