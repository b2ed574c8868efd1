//! What a list is once it is read.

use crate::length::{Alternative, Length, Unit, Written};
use crate::trade::{Dimension, Role};
use std::sync::Arc;

/// Where a row stands.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RowSource {
    /// The path as the user gave it: the same for all rows of a file.
    pub file: Arc<str>,
    /// Workbook sheet, when there is one.
    pub sheet: Option<String>,
    /// 1-based line in a text file (first physical line of the record), row in a workbook.
    pub line: usize,
}

/// A size cell as written and as read.
#[derive(Clone, Debug, PartialEq)]
pub struct SizeCell {
    pub dimension: Dimension,
    /// The cell as written, never normalised.
    pub text: String,
    /// 1-based column.
    pub column: usize,
    /// Column heading as written, empty without a header: the same for all of a column.
    pub heading: Arc<str>,
    pub value: Length,
    pub unit: Unit,
    /// How the unit is known: "written in the cell", "heading `Length (mm)`", ...
    pub unit_evidence: Arc<str>,
    /// What writing another size into this cell needs, and what speaks against the reading.
    pub detail: SizeDetail,
}

/// More of how a size was written.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SizeDetail {
    /// The whole cell, where the size is one of several in it; else as `text`.
    pub cell: String,
    /// The way it was written.
    pub written: Option<Written>,
    /// The rounding this way of writing implies; zero when unknown.
    pub step: Length,
    /// False when the written value falls between two ticks.
    pub exact: bool,
    /// Other sizes this could be a damaged form of (`13/16` of `1 3/16`), which
    /// nothing else in the list speaks for.
    pub alternatives: Vec<Alternative>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Per {
    /// So many for each cabinet named in the row.
    Cabinet,
    /// So many for all cabinets of the row, or the job, together.
    Job,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Quantity {
    pub count: u32,
    pub per: Per,
    pub text: String,
    /// 1-based column; 0 when the list has no such column and 1 was assumed.
    pub column: usize,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hand {
    Left,
    Right,
}

/// What a row says of the grain.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grain {
    Unstated,
    None,
    AlongLength,
    AlongWidth,
}

/// Edge band on a part: how many edges that run along its length and along its
/// width carry band of this thickness.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Band {
    pub along_length: u8,
    pub along_width: u8,
    /// `None`: the list names edges but not the band's thickness.
    pub thickness: Option<Length>,
}

/// Whether a row's sizes include what is still to be put on or taken off.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SizeKind {
    Unstated,
    Finished,
    /// Before edge band goes on.
    Cut,
}

/// How the part's role was found.
#[derive(Clone, Debug, PartialEq)]
pub enum Reading {
    /// By this synonym, with this score (1 = exact).
    As {
        role: Role,
        synonym: String,
        score: f64,
    },
    /// Nothing near enough; the nearest guesses, best first.
    Unknown { nearest: Vec<(Role, String, f64)> },
}

/// One row of a cut list.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    pub source: RowSource,
    /// Cabinets the row is for, spelled as in the list; empty when it names none.
    pub cabinets: Vec<String>,
    /// The cabinet cell or heading row as written.
    pub cabinet_text: String,
    /// The part as written.
    pub part: String,
    pub reading: Reading,
    pub hand: Option<Hand>,
    pub quantity: Quantity,
    /// At most one cell for each dimension.
    pub sizes: Vec<SizeCell>,
    /// Sizes before edge band, where the list has them beside the finished ones.
    pub cut_sizes: Vec<SizeCell>,
    pub grain: Grain,
    pub band: Option<Band>,
    pub size_kind: SizeKind,
    pub material: Option<String>,
    pub note: Option<String>,
}

impl Row {
    pub fn role(&self) -> Option<Role> {
        match &self.reading {
            Reading::As { role, .. } => Some(*role),
            Reading::Unknown { .. } => None,
        }
    }

    pub fn size(&self, dimension: Dimension) -> Option<&SizeCell> {
        self.sizes.iter().find(|cell| cell.dimension == dimension)
    }
}

/// The edge a boring mark is measured from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FromEdge {
    Top,
    Bottom,
    /// The list does not say; the first mark's edge is not known.
    Unstated,
}

/// One distance of a boring list: the centre of a bore along the hinge edge.
#[derive(Clone, Debug, PartialEq)]
pub struct BoringMark {
    pub from: FromEdge,
    /// The size, with its column; its dimension is [`Dimension::Height`].
    pub size: SizeCell,
}

/// One row of a boring list: where the hinge bores of a door are.
#[derive(Clone, Debug, PartialEq)]
pub struct BoringRow {
    pub source: RowSource,
    pub cabinets: Vec<String>,
    pub cabinet_text: String,
    /// The door as written.
    pub part: String,
    pub reading: Reading,
    pub quantity: Quantity,
    /// The edge that carries the hinges.
    pub hinge_side: Option<Hand>,
    /// Door sizes, where the list repeats them.
    pub sizes: Vec<SizeCell>,
    /// Bore centres along the hinge edge, in the order of the columns.
    pub marks: Vec<BoringMark>,
    /// Bore centre from the hinge edge, where it is listed.
    pub centre_from_edge: Option<SizeCell>,
    /// Edge of the bore from the hinge edge, where it is listed.
    pub rim_from_edge: Option<SizeCell>,
    pub diameter: Option<SizeCell>,
    pub note: Option<String>,
}

/// Something in a list that could not be understood.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Problem {
    pub source: RowSource,
    /// 1-based column, when one cell is meant.
    pub column: Option<usize>,
    /// The cell or line as written.
    pub text: String,
    /// What is wrong.
    pub message: String,
    /// What to do.
    pub advice: String,
    /// The size that is therefore unchecked, if it is one.
    pub dimension: Option<Dimension>,
}

/// A line that is not a row: title, heading, blank, total, note.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PassedOver {
    pub source: RowSource,
    pub text: String,
    pub reason: String,
}

#[derive(Clone, Debug, Default)]
pub struct CutList {
    pub file: Arc<str>,
    pub rows: Vec<Row>,
    /// Rows of a boring list.
    pub borings: Vec<BoringRow>,
    pub problems: Vec<Problem>,
    pub passed_over: Vec<PassedOver>,
    /// How the file was read, in plain words: encoding, delimiter, header line, units.
    pub reading: Vec<String>,
}

impl CutList {
    /// The names of the cabinets in this list, spelled as in it, sorted, each once:
    /// the dictionary of names to look for in drawings.
    pub fn names(&self) -> Vec<String> {
        let mut names: Vec<String> = self
            .rows
            .iter()
            .flat_map(|row| &row.cabinets)
            .chain(self.borings.iter().flat_map(|row| &row.cabinets))
            .cloned()
            .collect();
        names.sort();
        names.dedup();
        names
    }

    /// Lengths and widths of the rows, millimetres, as they come, each with the
    /// cabinets of its row.
    pub fn faces_mm(&self) -> impl Iterator<Item = (&[String], f64)> {
        self.rows.iter().flat_map(|row| {
            row.sizes
                .iter()
                .filter(|cell| cell.dimension != Dimension::Thickness)
                .map(|cell| (row.cabinets.as_slice(), cell.value.mm()))
        })
    }

    /// The first row of a line. Rows stand sheet by sheet in the order of their
    /// lines, so that looking up every row of a long list stays quick.
    pub fn row_at(&self, source: &RowSource) -> Option<&Row> {
        let mut rest = self.rows.as_slice();
        while let Some(first) = rest.first() {
            let of_sheet = rest.partition_point(|row| row.source.sheet == first.source.sheet);
            let (sheet, others) = rest.split_at(of_sheet.max(1));
            let at = sheet.partition_point(|row| row.source.line < source.line);
            let found = sheet.get(at).filter(|row| row.source == *source);
            if found.is_some() {
                return found;
            }
            rest = others;
        }
        None
    }
}

/// How to read a list, from the call and the job file.
#[derive(Clone, Debug, Default)]
pub struct ListHints {
    /// Unit of plain numbers, when the user says, and who said so.
    pub units: Option<(Unit, String)>,
    /// Field name ("part", "length", ...) and the column heading or 1-based number it stands under.
    pub columns: Vec<(String, String)>,
    /// Further words for parts: written word, role.
    pub words: Vec<(String, Role)>,
    /// Workbook sheet to read.
    pub sheet: Option<String>,
    /// What a row's quantity counts, when the user says.
    pub quantity_per: Option<Per>,
    /// Whether sizes are finished or cut sizes, when the user says.
    pub size_kind: Option<SizeKind>,
}

/// Why a file could not be used as a list at all.
#[derive(Debug, thiserror::Error)]
pub enum ListError {
    #[error("{file}: cannot be read: {message}")]
    Unreadable { file: String, message: String },
    #[error("{file}: {message}; {advice}")]
    Unusable {
        file: String,
        message: String,
        advice: String,
    },
}
