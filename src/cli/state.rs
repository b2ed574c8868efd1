//! A job as it is now: checked, with its files hashed.

use super::Trouble;
use super::checked::{Checked, check, job_folder};
use super::discover::{self, JOB_FILE};
use super::load::Call;
use crate::report::changes::{Changes, Question, Side};
use crate::report::size::Printer;
use crate::signoff::accepted;
use crate::signoff::release::difference::{Difference, Outcome};
use crate::signoff::release::snapshot::{File, FileKind, Snapshot};
use crate::signoff::release::take::{self, Place};
use std::path::{Path, PathBuf};

/// What `verify` and `compare` can print.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, clap::ValueEnum)]
pub enum Format {
    /// For a terminal, 80 columns
    #[default]
    Text,
    /// For programs; documented in docs/release.md
    Json,
}

/// Checks a job and takes down what it is.
///
/// # Errors
/// When it cannot be checked, or one of its files cannot be read.
pub fn now(call: &Call) -> Result<(Checked, Snapshot), Trouble> {
    let checked = check(call)?;
    let folder = job_folder(&call.paths);
    let job_file = call
        .job_file
        .clone()
        .or_else(|| Some(folder.as_ref()?.join(JOB_FILE)));
    let accepted = folder.map(|folder| accepted::path(&folder));
    let places = take::places(&checked.job, job_file.as_deref(), accepted.as_deref());
    let files = places
        .iter()
        .map(take::file)
        .collect::<Result<Vec<File>, _>>()?;
    let printer = Printer::of(&checked.job);
    let snapshot = Snapshot::of(
        &checked.job,
        &checked.audit,
        &checked.settled,
        files,
        printer.figures(),
        &|length| printer.size(length),
    );
    Ok((checked, snapshot))
}

/// The files of a job that lie at these paths now, without reading them as
/// drawings or lists. `job_files` are further names a job file may have.
pub fn places(paths: &[PathBuf], job_files: &[&str]) -> Vec<Place> {
    let found = discover::discover(paths);
    let of = |path: PathBuf, kind| Place { path, kind };
    let mut places: Vec<Place> = Vec::new();
    places.extend(
        found
            .drawings
            .into_iter()
            .map(|input| of(input.path, FileKind::Drawing)),
    );
    places.extend(
        found
            .lists
            .into_iter()
            .map(|input| of(input.path, FileKind::List)),
    );
    places.extend(
        found
            .job_files
            .into_iter()
            .map(|input| of(input.path, FileKind::JobFile)),
    );
    for problem in found.unusable {
        let path = PathBuf::from(problem.file);
        // Named outright, a file no reader takes may be the accepted deviations.
        let kind = kind_by_name(&path, job_files);
        if path.is_file() {
            places.push(of(path, kind));
        }
    }
    for folder in paths.iter().filter(|path| path.is_dir()) {
        let mut beside = vec![(accepted::path(folder), FileKind::Accepted)];
        beside.extend(
            job_files
                .iter()
                .map(|name| (folder.join(name), FileKind::JobFile)),
        );
        for (path, kind) in beside {
            if path.is_file() {
                places.push(of(path, kind));
            }
        }
    }
    places.sort();
    places.dedup();
    places
}

fn kind_by_name(path: &Path, job_files: &[&str]) -> FileKind {
    let name = path
        .file_name()
        .map(|name| name.to_string_lossy().into_owned())
        .unwrap_or_default();
    if name == accepted::NAME {
        FileKind::Accepted
    } else if job_files.contains(&name.as_str()) {
        FileKind::JobFile
    } else {
        FileKind::Unread
    }
}

/// Prints the difference and gives the exit status.
///
/// # Errors
/// When it cannot be printed.
pub fn print(changes: &Changes<'_>, format: Format, colour: bool) -> Result<u8, Trouble> {
    super::print(&match format {
        Format::Text => changes.text(colour),
        Format::Json => changes.json(),
    })?;
    Ok(match changes.difference.outcome() {
        Outcome::Changed => 1,
        Outcome::Open => 3,
        Outcome::Same if !changes.lapsed.is_empty() => 3,
        Outcome::Same => 0,
    })
}

/// The two sides and what lies between them.
pub fn changes<'a>(
    question: Question,
    was: Side<'a>,
    now: Side<'a>,
    difference: &'a Difference,
) -> Changes<'a> {
    Changes {
        question,
        was,
        now,
        difference,
        measured: true,
        lapsed: &[],
    }
}
