//! How an audit is shown: one renderer a file. Knows nothing of how findings
//! were found.

pub mod changes;
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
pub(crate) use text::{page, reflow};
mod totals;
pub mod words;
pub mod written;

use crate::audit::{Audit, Job, Outcome};
use crate::signoff::accepted::Entry;
use crate::signoff::open::OpenItem;
use crate::signoff::settle::{Settled, State};
pub use html::{Body, page as html_page, style as html_style};
use size::Printer;
pub use text::brief::Seen;
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
    settled: Option<&'a Settled>,
}

impl<'a> Report<'a> {
    pub fn new(job: &'a Job, audit: &'a Audit) -> Self {
        Report {
            job,
            audit,
            sizes: Printer::of(job),
            settled: None,
        }
    }

    /// The same with accepted deviations set aside.
    pub fn settled(mut self, settled: &'a Settled) -> Self {
        self.settled = Some(settled);
        self
    }

    /// The outcome of what is not accepted.
    pub fn outcome(&self) -> Outcome {
        self.settled
            .map_or(self.audit.outcome, |settled| settled.outcome)
    }

    /// The outcome as a sentence.
    pub fn outcome_sentence(&self) -> String {
        let held = self.settled.map_or(0, Settled::held);
        if held > 0 && self.outcome() == Outcome::Agrees {
            return format!(
                "The list agrees with the drawing, but for {}.",
                words::count(held, "accepted deviation")
            );
        }
        words::outcome_sentence(self.outcome()).to_owned()
    }

    /// The entry that accepts the finding of this index.
    fn accepted_finding(&self, index: usize) -> Option<&'a Entry> {
        let settled = self.settled?;
        let entry = (*settled.findings.get(index)?)?;
        settled.entries.get(entry).map(|judged| &judged.entry)
    }

    /// The entry that accepts the open item of this index.
    fn accepted_open(&self, index: usize) -> Option<&'a Entry> {
        let settled = self.settled?;
        let entry = (*settled.open.get(index)?)?;
        settled.entries.get(entry).map(|judged| &judged.entry)
    }

    /// Entries that accept nothing any more, and why: a sentence each.
    fn lapsed(&self) -> Vec<String> {
        self.settled
            .iter()
            .flat_map(|settled| &settled.entries)
            .filter_map(|judged| {
                let Entry { item, by, date, .. } = &judged.entry;
                let why = match &judged.state {
                    State::Holds => return None,
                    State::Void { why } => why.as_str(),
                    State::MatchesNothing => "the job has nothing of that name any more",
                };
                Some(format!("{item}, accepted by {by} on {date}: {why}"))
            })
            .collect()
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

    /// The HTML report without its frame, for a page of another kind.
    pub fn html_body(&self) -> Body {
        html::body(self)
    }

    /// One finding with everything that speaks for it, 80 columns wide.
    pub fn explain(&self, index: usize, colour: bool) -> Option<String> {
        text::explain(self, index, colour)
    }

    /// The report of a check that follows another, without tables.
    pub fn brief(&self, before: Option<&Seen>, colour: bool) -> String {
        text::brief::render(self, before, colour)
    }

    /// What was found, to tell the next check apart from.
    pub fn seen(&self) -> Seen {
        text::brief::seen(self)
    }

    /// Something that was not checked, with its rows as written.
    pub fn explain_open(&self, item: &OpenItem<'_>) -> String {
        text::explain_open(self, item)
    }

    /// The shown paths of all files the job was read from.
    pub fn inputs(&self) -> impl Iterator<Item = &str> {
        let drawings = self.job.sheets.iter().map(|sheet| sheet.file.as_str());
        let lists = self.job.lists.iter().map(|list| &*list.file);
        drawings.chain(lists)
    }

    /// "F3": what people call a finding of one report; its id outlives the report.
    fn id(index: usize) -> String {
        format!("F{}", index + 1)
    }

    /// "U2": what people call something that was not checked.
    fn open_id(index: usize) -> String {
        format!("U{}", index + 1)
    }
}
