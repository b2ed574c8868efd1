//! The command line: one file a command. A command takes its own arguments,
//! prints to standard output, and gives the exit status of the design:
//! 0 everything checked and agrees, 1 something disagrees, 2 the input or the
//! call could not be used, 3 nothing disagrees but something was not checked.

pub mod accept;
mod arguments;
pub mod check;
mod checked;
pub mod compare;
pub mod discover;
pub mod explain;
pub mod init;
pub mod load;
pub mod measure;
mod output;
pub mod page;
pub mod parts;
pub mod release;
pub mod stamp;
mod state;
pub mod verify;
pub mod watch;

use clap::{Parser, Subcommand};
use std::ffi::OsString;
use std::process::ExitCode;

pub use output::{Colour, print};

/// Exit status for input or a call that could not be used.
pub const UNUSABLE: u8 = 2;

#[derive(Debug, Parser)]
#[command(
    name = "dryfit",
    version,
    about = "Holds a cut list against the drawing before anything is cut",
    long_about = "Reads the DXF drawings and the cut list of a cabinet job, measures every cabinet from \
                  the drawn lines, works out what the listed parts would build, and reports every \
                  disagreement beyond tolerance with its most likely cause.",
    after_help = "Exit status: 0 everything was checked and agrees; 1 something disagrees; \
                  2 the input or the call could not be used; 3 nothing disagrees, but something \
                  was not checked.",
    max_term_width = 80
)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Hold the cut list against the drawing and report every disagreement
    Check(check::Arguments),
    /// Check a job again whenever one of its files is saved
    Watch(watch::Arguments),
    /// Explain a finding of a job, or a kind of finding or cause
    Explain(explain::Arguments),
    /// List views, cabinets and measured sizes of drawings
    Measure(measure::Arguments),
    /// Accept a deviation of a job, with reason and name
    Accept(accept::Arguments),
    /// Release a job for cutting: put a name to its files and sizes
    Release(release::Arguments),
    /// Tell whether files are still what was released, and what changed
    Verify(verify::Arguments),
    /// Tell two issues of a job apart, part by part
    Compare(compare::Arguments),
    /// Show how each row of a cut list was read
    Parts(parts::Arguments),
    /// Write a first job file with what the job itself shows
    Init(init::Arguments),
    /// Show report and corrections in a browser on this machine
    Page(page::Arguments),
}

/// Why a command could not do its work; always exit status 2.
#[derive(Debug, thiserror::Error)]
pub enum Trouble {
    #[error(transparent)]
    Load(#[from] load::LoadError),
    #[error(transparent)]
    Init(#[from] init::InitError),
    #[error(transparent)]
    Save(#[from] crate::report::save::SaveError),
    #[error(transparent)]
    Measure(#[from] measure::MeasureError),
    #[error(transparent)]
    Explain(#[from] explain::ExplainError),
    #[error(transparent)]
    Page(#[from] page::PageError),
    #[error(transparent)]
    Accept(#[from] accept::AcceptError),
    #[error(transparent)]
    Accepted(#[from] crate::signoff::accepted::AcceptedError),
    #[error(transparent)]
    Release(#[from] release::ReleaseError),
    #[error(transparent)]
    Record(#[from] crate::signoff::release::record::RecordError),
    #[error(transparent)]
    File(#[from] crate::signoff::release::take::FileError),
    #[error(transparent)]
    Verify(#[from] verify::VerifyError),
    #[error(transparent)]
    Watch(#[from] watch::WatchError),
    #[error("cannot write to standard output: {0}")]
    Output(std::io::Error),
}

/// Runs the program with these arguments and gives its exit status.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let arguments = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => arguments,
        Err(error) => {
            // Help and version are answers, not errors; clap knows which stream.
            let status = if error.use_stderr() { UNUSABLE } else { 0 };
            let _ = error.print();
            return ExitCode::from(status);
        }
    };
    let done = match arguments.command {
        Command::Check(arguments) => check::run(&arguments),
        Command::Accept(arguments) => accept::run(&arguments),
        Command::Explain(arguments) => explain::run(&arguments),
        Command::Measure(arguments) => measure::run(&arguments),
        Command::Release(arguments) => release::run(&arguments),
        Command::Verify(arguments) => verify::run(&arguments),
        Command::Compare(arguments) => compare::run(&arguments),
        Command::Watch(arguments) => watch::run(&arguments),
        Command::Parts(arguments) => parts::run(&arguments),
        Command::Init(arguments) => init::run(&arguments),
        Command::Page(arguments) => page::run(&arguments),
    };
    match done {
        Ok(status) => ExitCode::from(status),
        Err(trouble) => {
            output::complain(&trouble.to_string());
            ExitCode::from(UNUSABLE)
        }
    }
}
