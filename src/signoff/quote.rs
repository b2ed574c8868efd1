//! Rows of a list as written.

use crate::audit::{Job, RowSize};
use crate::cutlist::RowSource;
use crate::plain::file_name;

/// "cutlist.csv line 7", "job.xlsx sheet Case line 7".
pub fn place(source: &RowSource) -> String {
    let file = file_name(&source.file);
    match &source.sheet {
        Some(sheet) => format!("{file} sheet {sheet} line {}", source.line),
        None => format!("{file} line {}", source.line),
    }
}

/// The cells of a row as written, in the order of their columns; the one that
/// is meant is pointed at.
pub struct Quoted<'a> {
    pub text: &'a str,
    pub meant: bool,
}

/// The cells of the row a size stands in.
pub fn cells<'a>(job: &'a Job, size: &'a RowSize) -> Vec<Quoted<'a>> {
    let row = job
        .lists
        .iter()
        .filter(|list| list.file == size.row.file)
        .find_map(|list| list.row_at(&size.row));
    let Some(row) = row else {
        return vec![
            Quoted {
                text: &size.part,
                meant: false,
            },
            Quoted {
                text: &size.text,
                meant: true,
            },
        ];
    };
    let mut numbers: Vec<(usize, &str)> = row
        .sizes
        .iter()
        .map(|cell| (cell.column, &*cell.text))
        .collect();
    if row.quantity.column > 0 {
        numbers.push((row.quantity.column, &row.quantity.text));
    }
    // A cell that could not be read is none of the row's sizes.
    if size.column > 0 && !size.text.is_empty() {
        numbers.push((size.column, &size.text));
    }
    numbers.sort();
    // One cell may hold several sizes: quote it once.
    numbers.dedup();
    [&*row.cabinet_text, &*row.part]
        .into_iter()
        .filter(|text| !text.is_empty())
        .map(|text| Quoted { text, meant: false })
        .chain(numbers.iter().map(|(column, text)| Quoted {
            text,
            meant: *column == size.column,
        }))
        .collect()
}

/// "B2 | Side | 2 | >31< | 23 1/4 | 3/4".
pub fn quote(job: &Job, size: &RowSize) -> String {
    let cells: Vec<_> = cells(job, size)
        .iter()
        .map(|cell| {
            if cell.meant {
                format!(">{}<", cell.text.trim())
            } else {
                cell.text.trim().to_owned()
            }
        })
        .collect();
    cells.join(" | ")
}
