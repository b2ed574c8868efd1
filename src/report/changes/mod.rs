//! How a job now differs from a job then is shown: as text and as JSON.

mod json;
mod text;

use super::size::Printer;
use crate::signoff::release::difference::Difference;
use crate::signoff::release::record::Record;
use crate::signoff::release::snapshot::{Size, Snapshot};

/// What is being told apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Question {
    /// Whether files are still what was released.
    Verify,
    /// How two issues of a job differ.
    Compare,
}

/// One of the two states of a job.
#[derive(Clone, Copy, Debug)]
pub struct Side<'a> {
    /// The path as given.
    pub shown: &'a str,
    pub snapshot: &'a Snapshot,
    /// Its record, when it comes from one.
    pub record: Option<&'a Record>,
}

/// Two states of a job and what differs.
#[derive(Clone, Copy, Debug)]
pub struct Changes<'a> {
    pub question: Question,
    pub was: Side<'a>,
    pub now: Side<'a>,
    pub difference: &'a Difference,
    /// Whether the files were read and measured anew, or are the same to the byte.
    pub measured: bool,
    /// Sentences on what can no longer be relied on, though nothing changed.
    pub lapsed: &'a [String],
}

/// A record that is not what was written, for a terminal.
pub fn changed_record(sentence: &str, colour: bool) -> String {
    text::changed_record(sentence, colour)
}

/// The same for programs.
pub fn changed_record_json(path: &str, sentence: &str) -> String {
    json::changed_record(path, sentence)
}

impl Changes<'_> {
    /// For a terminal, 80 columns.
    pub fn text(&self, colour: bool) -> String {
        text::render(self, colour)
    }

    /// For programs.
    pub fn json(&self) -> String {
        json::render(self)
    }

    fn printer(&self) -> Printer {
        Printer::from_figures(self.was.snapshot.unit)
    }
}

/// "34 1/2 in", "at least 34 1/2 in", "not measured: no view shows it".
fn size(printer: Printer, size: &Size) -> String {
    match (size.length(), size.at_least) {
        (Some(length), false) => printer.size(length),
        (Some(length), true) => format!("at least {}", printer.size(length)),
        (None, _) => format!(
            "not known: {}",
            size.why.as_deref().unwrap_or("no reason kept")
        ),
    }
}
