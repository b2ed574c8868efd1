//! Lines of cells, before anything is known of what they mean.

use super::types::RowSource;

/// What a workbook says of a cell; a text file only knows text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum CellKind {
    Text,
    /// A number of the workbook: its decimal mark is a point, whatever the list's is.
    Number,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Cell {
    pub(super) text: String,
    pub(super) kind: CellKind,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Line {
    pub(super) source: RowSource,
    /// The line as written.
    pub(super) raw: String,
    pub(super) cells: Vec<Cell>,
}

#[derive(Clone, Debug, Default)]
pub(super) struct Table {
    pub(super) sheet: Option<String>,
    pub(super) lines: Vec<Line>,
    /// How it was read, in plain words.
    pub(super) reading: Vec<String>,
    /// Lines whose quotes do not fit, by 1-based line.
    pub(super) torn: Vec<usize>,
}

impl Cell {
    pub(super) fn text(text: impl Into<String>) -> Self {
        Cell {
            text: text.into(),
            kind: CellKind::Text,
        }
    }

    /// Without the space around it, and without what spreadsheets put around text
    /// to keep it text: `="34 1/2"`, `'34 1/2`.
    pub(super) fn trimmed(&self) -> &str {
        let text = self
            .text
            .trim_matches(|c: char| c.is_whitespace() || c == '\u{FEFF}');
        let guarded = text
            .strip_prefix("=\"")
            .and_then(|inside| inside.strip_suffix('"'));
        let marked = text
            .strip_prefix('\'')
            .filter(|rest| rest.starts_with(|c: char| c.is_ascii_digit()));
        guarded.or(marked).unwrap_or(text)
    }
}

impl Line {
    /// The trimmed text at this 0-based column; empty beyond the last.
    pub(super) fn at(&self, index: usize) -> &str {
        self.cells.get(index).map_or("", Cell::trimmed)
    }

    /// 0-based columns that hold something.
    pub(super) fn filled(&self) -> impl Iterator<Item = (usize, &Cell)> {
        self.cells
            .iter()
            .enumerate()
            .filter(|(_, cell)| !cell.trimmed().is_empty())
    }

    pub(super) fn is_blank(&self) -> bool {
        self.filled().next().is_none()
    }
}
