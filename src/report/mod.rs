//! How an audit is shown: one renderer a file. Knows nothing of how findings
//! were found.

mod evidence;
mod findings_csv;
mod html;
mod json;
mod junit;
pub mod kinds;
mod marks;
pub mod markup;
pub mod measured;
pub mod picture;
pub mod proposal;
#[cfg(test)]
pub mod sample;
mod sarif;
pub mod save;
pub mod size;
mod sizes_table;
pub mod svg;
mod text;
pub(crate) use text::page;
pub mod words;
pub mod written;

use crate::audit::{Audit, Job};
use size::Printer;
pub use text::kind as explain_kind;

/// What a report can be printed as.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, clap::ValueEnum)]
pub enum Format {
    /// For a terminal, 80 columns
    #[default]
    Text,
    /// For programs; documented in the README
    Json,
    /// One page for a browser or for paper, with pictures
    Html,
    /// One line a finding, for a spreadsheet
    Csv,
    /// JUnit XML, for automation
    Junit,
    /// SARIF 2.1.0, for automation
    Sarif,
}

/// A checked job, ready to be shown.
#[derive(Clone, Copy, Debug)]
pub struct Report<'a> {
    job: &'a Job,
    audit: &'a Audit,
    sizes: Printer,
}

impl<'a> Report<'a> {
    pub fn new(job: &'a Job, audit: &'a Audit) -> Self {
        Report {
            job,
            audit,
            sizes: Printer::of(job),
        }
    }

    /// The report in this format. Colour concerns the text alone.
    pub fn render(&self, format: Format, colour: bool) -> String {
        match format {
            Format::Text => text::render(self, colour),
            Format::Json => json::render(self),
            Format::Html => html::render(self),
            Format::Csv => findings_csv::render(self),
            Format::Junit => junit::render(self),
            Format::Sarif => sarif::render(self),
        }
    }

    /// One finding with everything that speaks for it, 80 columns wide.
    pub fn explain(&self, index: usize, colour: bool) -> Option<String> {
        text::explain(self, index, colour)
    }

    /// The shown paths of all files the job was read from.
    pub fn inputs(&self) -> impl Iterator<Item = &str> {
        let drawings = self.job.sheets.iter().map(|sheet| sheet.file.as_str());
        let lists = self.job.lists.iter().map(|list| list.file.as_str());
        drawings.chain(lists)
    }

    /// "F3": what people call a finding of one report; its id outlives the report.
    fn id(index: usize) -> String {
        format!("F{}", index + 1)
    }
}
