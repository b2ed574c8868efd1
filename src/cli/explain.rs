//! `dryfit explain`: one finding with everything that speaks for it, what a kind of
//! finding or cause means, or the reference of the job file.

use super::arguments::Settings;
use super::{Colour, Trouble, checked};
use crate::audit::Audit;
use crate::report::kinds;
use crate::signoff::open;
use crate::signoff::settle::{Item, find};
use std::path::PathBuf;

#[derive(Clone, Debug, clap::Args)]
pub struct Arguments {
    /// A finding of the job (F1, or its id), something not checked (U1), a word such as `size`
    /// or `other-distance`, or `job-file` for the reference of the job file
    #[arg(value_name = "FINDING")]
    pub finding: String,
    /// The job the finding is from: a folder, or drawings and lists
    #[arg(value_name = "PATH", default_value = ".")]
    pub paths: Vec<PathBuf>,
    #[command(flatten)]
    pub settings: Settings,
    /// When to colour the text
    #[arg(long, value_enum, value_name = "WHEN", default_value_t)]
    pub color: Colour,
}

/// Why there is nothing to explain.
#[derive(Debug, thiserror::Error)]
pub enum ExplainError {
    #[error("there is no finding {asked} in {job}; it has {has}")]
    NoSuchFinding {
        asked: String,
        job: String,
        has: String,
    },
}

/// Explains a finding or a kind.
///
/// # Errors
/// When the job can't be read, or has no such finding.
pub fn run(arguments: &Arguments) -> Result<u8, Trouble> {
    if arguments.finding == "job-file" {
        let reference = crate::construction::reference::job_file();
        super::print(&crate::report::reflow(&reference))?;
        return Ok(0);
    }
    if let Some(kind) = kinds::find(&arguments.finding) {
        super::print(&crate::report::explain_kind(kind, arguments.color.on()))?;
        return Ok(0);
    }
    let checked = checked::check(&arguments.settings.call(&arguments.paths))?;
    let (report, audit) = (checked.report(), &checked.audit);
    let open = open::items(audit);
    let text = match find(audit, &open, &arguments.finding) {
        Some(Item::Finding(finding)) => audit
            .findings
            .iter()
            .position(|other| other.id == finding.id)
            .and_then(|index| report.explain(index, arguments.color.on())),
        Some(Item::Open(item)) => Some(report.explain_open(item)),
        None => None,
    };
    let text = text.ok_or_else(|| ExplainError::NoSuchFinding {
        asked: arguments.finding.clone(),
        job: checked.job.name.clone(),
        has: has(audit),
    })?;
    super::print(&text)?;
    Ok(0)
}

fn has(audit: &Audit) -> String {
    match audit.findings.as_slice() {
        [] => "no findings".to_owned(),
        [only] => format!("one, F1 ({})", only.id),
        [first, .., last] => format!(
            "F1 ({}) to F{} ({})",
            first.id,
            audit.findings.len(),
            last.id
        ),
    }
}
