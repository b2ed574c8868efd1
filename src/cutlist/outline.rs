//! The first lines of each table of a list with what its columns hold: for a
//! person to see, and to say what they hold instead.

use super::columns::Columns;
use super::lines;
use super::read::columns_of;
use super::roles::Parts;
use super::separated;
use super::table::{Line, Table};
use super::text::decode;
use super::types::ListHints;
use super::workbook;
use std::rc::Rc;

/// What a column holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OutlineColumn {
    /// 1-based.
    pub number: usize,
    /// As written; empty without a heading.
    pub heading: String,
    /// A name of [`field_names`](super::field_names), or `item` while it is open.
    pub field: &'static str,
    /// Why it is taken for what it is, when that is not plain.
    pub because: Option<String>,
}

/// One table as a person sees it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Outline {
    /// Workbook sheet, when there is one.
    pub sheet: Option<String>,
    /// 1-based line of the headings.
    pub heading_line: Option<usize>,
    pub columns: Vec<OutlineColumn>,
    /// The heading line and the lines below it, else the first lines, each with
    /// its 1-based number.
    pub lines: Vec<(usize, Vec<String>)>,
    /// Columns shown.
    pub width: usize,
}

/// Lines and columns shown of a table.
const LINES: usize = 7;
const COLUMNS: usize = 60;

/// The tables of a list; none when it cannot be read at all.
pub fn outline(bytes: &[u8], shown: &str, hints: &ListHints) -> Vec<Outline> {
    let file = shown.into();
    let tables = if workbook::is_workbook(bytes) {
        // All sheets, also where the job says which one to read.
        match workbook::read(bytes, &file, None) {
            Ok(book) => book.tables,
            Err(_) => return Vec::new(),
        }
    } else if bytes.starts_with(b"%PDF") {
        return Vec::new();
    } else {
        match decode(bytes) {
            Some((text, _)) => {
                vec![separated::split(
                    &text,
                    &file,
                    &super::columns::known_headings,
                )]
            }
            None => return Vec::new(),
        }
    };
    let parts = Parts::new(&hints.words);
    tables
        .iter()
        .filter(|table| !table.lines.iter().all(Line::is_blank))
        .map(|table| of_table(table, hints, &parts))
        .collect()
}

fn of_table(table: &Table, hints: &ListHints, parts: &Parts) -> Outline {
    let (head, columns) = match columns_of(table, hints) {
        Some((head, columns)) => (head, used(table, head, columns, hints, parts)),
        None => (None, Vec::new()),
    };
    let shown: Vec<&Line> = table
        .lines
        .iter()
        .skip(head.unwrap_or(0))
        .filter(|line| !line.is_blank())
        .take(LINES)
        .collect();
    let width = shown
        .iter()
        .map(|line| line.cells.len())
        .chain(columns.iter().map(|column| column.number))
        .max()
        .unwrap_or(0)
        .min(COLUMNS);
    Outline {
        sheet: table.sheet.clone(),
        heading_line: head
            .and_then(|at| table.lines.get(at))
            .map(|line| line.source.line),
        columns,
        lines: shown
            .into_iter()
            .map(|line| {
                let cells = line.cells.iter().take(COLUMNS);
                (
                    line.source.line,
                    cells.map(|cell| cell.text.clone()).collect(),
                )
            })
            .collect(),
        width,
    }
}

/// The columns most rows were read with.
fn used(
    table: &Table,
    head: Option<usize>,
    columns: Columns,
    hints: &ListHints,
    parts: &Parts,
) -> Vec<OutlineColumn> {
    let layout = lines::walk(table, head, columns, hints, parts, None, None);
    let rows = |place: usize| {
        layout
            .rows
            .iter()
            .filter(|row| row.columns == place)
            .count()
    };
    let best = (0..layout.columns.len()).max_by_key(|place| (rows(*place), usize::MAX - place));
    let columns: Option<&Rc<Columns>> = best.and_then(|place| layout.columns.get(place));
    columns
        .iter()
        .flat_map(|columns| &columns.list)
        .map(|column| OutlineColumn {
            number: column.index + 1,
            heading: column.heading.to_string(),
            field: column.field.name(),
            because: column.because.clone(),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fields(outline: &Outline) -> Vec<(usize, &str)> {
        outline
            .columns
            .iter()
            .map(|column| (column.number, column.field))
            .collect()
    }

    #[test]
    fn headings_and_first_lines() {
        let list = "Job 7\n\nCab,Part,Qty,Length,Width,Mystery\nB1,Side,2,34 1/2,23 1/4,x\n";
        let outlines = outline(list.as_bytes(), "list.csv", &ListHints::default());
        let [one] = outlines.as_slice() else {
            panic!("{outlines:?}");
        };
        assert_eq!(one.heading_line, Some(3));
        assert_eq!(
            fields(one),
            [
                (1, "cabinet"),
                (2, "part"),
                (3, "quantity"),
                (4, "length"),
                (5, "width"),
                (6, "unused")
            ]
        );
        assert_eq!(one.lines.len(), 2);
        assert_eq!((one.lines[1].0, one.width), (4, 6));
        assert_eq!(one.lines[1].1[3], "34 1/2");
    }

    #[test]
    fn what_the_job_says_goes_first() {
        let list = "Cab,Part,Qty,Length,Width\nB1,Side,2,34 1/2,23 1/4\n";
        let hints = ListHints {
            columns: vec![
                ("length".to_owned(), "Width".to_owned()),
                ("width".to_owned(), "4".to_owned()),
            ],
            ..ListHints::default()
        };
        let outlines = outline(list.as_bytes(), "list.csv", &hints);
        assert_eq!(fields(&outlines[0])[3..], [(4, "width"), (5, "length")]);
        assert_eq!(
            outlines[0].columns[3].because.as_deref(),
            Some("as the job says")
        );
    }

    #[test]
    fn a_list_without_headings_still_shows_its_lines() {
        let list = "B1,Side,2,34 1/2,23 1/4\nB1,Back,1,35,26 1/4\n";
        let outlines = outline(list.as_bytes(), "list.csv", &ListHints::default());
        assert_eq!(outlines[0].heading_line, None);
        assert!(outlines[0].columns.is_empty());
        assert_eq!((outlines[0].lines.len(), outlines[0].width), (2, 5));
    }

    #[test]
    fn what_is_no_list_has_none() {
        for bytes in [&b""[..], b"\n\n", b"%PDF-1.7", b"PK\x03\x04broken"] {
            assert!(outline(bytes, "list.xlsx", &ListHints::default()).is_empty());
        }
    }
}
