//! What a job is at one time: its files by hash, every measured size, what the
//! listed parts build, every row.

use crate::length::Length;
use serde::Deserialize;

/// How sizes of a job are printed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
pub enum Figures {
    #[default]
    #[serde(rename = "in")]
    Inches,
    #[serde(rename = "decimal in")]
    DecimalInches,
    #[serde(rename = "mm")]
    Millimetres,
}

impl Figures {
    pub const fn word(self) -> &'static str {
        match self {
            Figures::Inches => "in",
            Figures::DecimalInches => "decimal in",
            Figures::Millimetres => "mm",
        }
    }
}

/// What a file is to the job.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FileKind {
    Drawing,
    List,
    JobFile,
    /// The accepted deviations.
    Accepted,
    /// A file of the job that could not be read.
    Unread,
}

impl FileKind {
    /// The word in records and reports.
    pub const fn word(self) -> &'static str {
        match self {
            FileKind::Drawing => "drawing",
            FileKind::List => "list",
            FileKind::JobFile => "job-file",
            FileKind::Accepted => "accepted",
            FileKind::Unread => "unread",
        }
    }
}

/// A file of the job.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
pub struct File {
    /// Without its folder.
    pub name: String,
    pub kind: FileKind,
    pub bytes: u64,
    pub sha256: String,
}

/// A size that has a value, or why it has none.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct Size {
    pub cabinet: String,
    /// "overall height", "left side, high".
    pub what: String,
    /// Millimetres, to the tick.
    #[serde(default)]
    pub mm: Option<f64>,
    /// The part may go on unseen: the size is a lower bound.
    #[serde(default)]
    pub at_least: bool,
    /// Why there is no size.
    #[serde(default)]
    pub why: Option<String>,
}

impl Size {
    pub fn length(&self) -> Option<Length> {
        self.mm.and_then(Length::from_mm)
    }
}

/// A size of a row.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct RowSize {
    /// "length", "cut width", "bore 1".
    pub what: String,
    /// The cell as written.
    pub text: String,
    pub mm: f64,
}

/// Another cell of a row that is read.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
pub struct Cell {
    /// "material", "note", "grain", ...
    pub what: String,
    pub text: String,
}

/// A row of a list.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct Row {
    pub file: String,
    #[serde(default)]
    pub sheet: Option<String>,
    pub line: usize,
    /// As written.
    #[serde(default)]
    pub cabinet: String,
    pub part: String,
    #[serde(default)]
    pub quantity: String,
    pub count: u32,
    #[serde(default)]
    pub sizes: Vec<RowSize>,
    #[serde(default)]
    pub cells: Vec<Cell>,
}

impl Row {
    /// "cutlist.csv line 7".
    pub fn place(&self) -> String {
        match &self.sheet {
            Some(sheet) => format!("{} sheet {sheet} line {}", self.file, self.line),
            None => format!("{} line {}", self.file, self.line),
        }
    }

    /// "B2 | Side".
    pub fn name(&self) -> String {
        [&*self.cabinet, &*self.part]
            .into_iter()
            .map(str::trim)
            .filter(|text| !text.is_empty())
            .collect::<Vec<_>>()
            .join(" | ")
    }
}

/// An accepted deviation the release rests on.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
pub struct Acceptance {
    pub item: String,
    pub says: String,
    pub reason: String,
    pub by: String,
    pub date: String,
    #[serde(default)]
    pub until: Option<String>,
}

/// A job at one time.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
pub struct Snapshot {
    pub job: String,
    /// The program that read and measured it.
    pub program: String,
    #[serde(default)]
    pub unit: Figures,
    #[serde(default)]
    pub files: Vec<File>,
    /// What the check took as given.
    #[serde(default)]
    pub given: Vec<String>,
    #[serde(default)]
    pub accepted: Vec<Acceptance>,
    #[serde(default)]
    pub drawn: Vec<Size>,
    /// What the listed parts build.
    #[serde(default)]
    pub builds: Vec<Size>,
    #[serde(default)]
    pub rows: Vec<Row>,
}

/// This program with its version.
pub const PROGRAM: &str = concat!("dryfit ", env!("CARGO_PKG_VERSION"));
