//! `dryfit check`: the whole way from files to a report.

use super::arguments::JobArguments;
use super::stamp::Stamps;
use super::{Colour, Trouble, checked};
use crate::audit::Outcome;
use crate::report::{Format, Report, save, words};
use std::path::{Path, PathBuf};

#[derive(Clone, Debug, clap::Args)]
pub struct Arguments {
    #[command(flatten)]
    pub job: JobArguments,
    /// What to print
    #[arg(long, value_enum, default_value_t)]
    pub format: Format,
    /// Write all reports into this folder as well
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Let --out replace files that are already there
    #[arg(long, requires = "out")]
    pub force: bool,
    /// When to colour the text
    #[arg(long, value_enum, value_name = "WHEN", default_value_t)]
    pub color: Colour,
}

/// Exit status of an outcome.
pub const fn status(outcome: Outcome) -> u8 {
    match outcome {
        Outcome::Agrees => 0,
        Outcome::Disagrees => 1,
        Outcome::Unusable => super::UNUSABLE,
        Outcome::Unchecked => 3,
    }
}

/// Checks a job and prints the report; gives the exit status.
///
/// # Errors
/// When nothing could be checked or a report could not be written.
pub fn run(arguments: &Arguments) -> Result<u8, Trouble> {
    let checked = checked::check(&arguments.job.call())?;
    let report = checked.report();
    if let Some(folder) = &arguments.out {
        write(&report, &checked.stamps, folder, arguments.force)?;
    }
    super::print(&report.render(arguments.format, arguments.color.on()))?;
    let status = status(report.outcome());
    // The process ends here: giving back a large job piece by piece takes long.
    std::mem::forget(checked);
    Ok(status)
}

/// Writes all reports and says on standard error where they are.
fn write(report: &Report<'_>, stamps: &Stamps, folder: &Path, force: bool) -> Result<(), Trouble> {
    let planned = save::plan(report, |shown| stamps.read(shown));
    let inputs: Vec<PathBuf> = report.inputs().map(PathBuf::from).collect();
    let written = save::write(folder, &planned.files, &inputs, force)?;
    for note in &planned.notes {
        eprintln!("dryfit: {}", words::printable(note));
    }
    eprintln!(
        "dryfit: {} written to {}",
        words::count(written.len(), "file"),
        folder.display()
    );
    Ok(())
}
