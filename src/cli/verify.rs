//! `dryfit verify`: whether files are still what was released.

use super::arguments::{UnitsFor, scale, tolerance, units};
use super::discover::JOB_FILE;
use super::load::Call;
use super::state::{self, Format};
use super::{Colour, Trouble};
use crate::report::changes::{self, Changes, Question, Side};
use crate::signoff::date::Day;
use crate::signoff::release::difference::{self, Difference};
use crate::signoff::release::pairing::{FileChange, Terms, pair};
use crate::signoff::release::record::{self, Record, RecordError};
use crate::signoff::release::snapshot::{File, FileKind, PROGRAM, Snapshot};
use crate::signoff::release::take;
use std::path::{Path, PathBuf};

#[derive(Clone, Debug, clap::Args)]
#[command(
    after_help = "Exit status: 0 the files are what was released; 1 something changed; 2 \
                        the record or the call could not be used; 3 nothing changed, but not \
                        everything was looked at, or what the release rests on no longer holds."
)]
pub struct Arguments {
    /// The record of the release, or the folder that holds it
    #[arg(value_name = "RELEASE")]
    pub release: PathBuf,
    /// Where the files are now: folders or files; the record's folder if not given
    #[arg(value_name = "PATH")]
    pub paths: Vec<PathBuf>,
    /// The record's seal as noted elsewhere; its first 16 digits will do
    #[arg(long, value_name = "SEAL", value_parser = seal)]
    pub seal: Option<String>,
    /// What to print
    #[arg(long, value_enum, default_value_t)]
    pub format: Format,
    /// When to colour the text
    #[arg(long, value_enum, value_name = "WHEN", default_value_t)]
    pub color: Colour,
}

fn seal(text: &str) -> Result<String, String> {
    let text: String = text
        .chars()
        .filter(|character| !character.is_whitespace())
        .collect::<String>()
        .to_ascii_lowercase();
    let hexadecimal = text.chars().all(|character| character.is_ascii_hexdigit());
    if !(16..=64).contains(&text.len()) || !hexadecimal {
        return Err("a seal has 64 digits from 0 to f; give at least the first 16".to_owned());
    }
    Ok(text)
}

/// Why nothing could be verified.
#[derive(Debug, thiserror::Error)]
pub enum VerifyError {
    #[error("{folder} holds no release; `dryfit release` makes one")]
    NoRelease { folder: String },
    #[error("{folder} holds several releases, {names}; say which")]
    Several { folder: String, names: String },
    #[error("{path}: there is no such file or folder")]
    NoSuchPath { path: String },
    #[error("{file}: `{text}` in `said`: {message}")]
    Said {
        file: String,
        text: String,
        message: String,
    },
}

/// The record a path means: a file, or the only one of a folder.
///
/// # Errors
/// When a folder holds none or several.
pub fn record_path(path: &Path) -> Result<PathBuf, VerifyError> {
    if !path.is_dir() {
        return Ok(path.to_owned());
    }
    let folder = path.display().to_string();
    let all = record::all(path);
    match all.as_slice() {
        [] => Err(VerifyError::NoRelease { folder }),
        [only] => Ok(only.clone()),
        several => {
            let names: Vec<_> = several
                .iter()
                .filter_map(|path| path.file_name())
                .map(|name| name.to_string_lossy())
                .collect();
            Err(VerifyError::Several {
                folder,
                names: names.join(", "),
            })
        }
    }
}

/// Holds the files against the record.
///
/// # Errors
/// When the record cannot be used. A changed record ends with status 1.
pub fn run(arguments: &Arguments) -> Result<u8, Trouble> {
    let path = record_path(&arguments.release)?;
    let record = match read(&path, arguments.seal.as_deref()) {
        Ok(record) => record,
        Err(Unfit::Changed(sentence)) => return changed_record(arguments, &path, &sentence),
        Err(Unfit::Unusable(error)) => return Err(error.into()),
    };
    for path in &arguments.paths {
        if !path.exists() {
            return Err(VerifyError::NoSuchPath {
                path: path.display().to_string(),
            }
            .into());
        }
    }
    let paths = if arguments.paths.is_empty() {
        let folder = path.parent().filter(|path| !path.as_os_str().is_empty());
        vec![folder.unwrap_or(Path::new(".")).to_owned()]
    } else {
        arguments.paths.clone()
    };
    let terms = if paths.iter().any(|path| path.is_dir()) {
        Terms::Whole
    } else {
        Terms::Some
    };
    let was = &record.snapshot;
    let job_files: Vec<&str> = was
        .files
        .iter()
        .filter(|file| file.kind == FileKind::JobFile)
        .map(|file| file.name.as_str())
        .collect();
    let places = state::places(&paths, &job_files);
    let other_job_file = !job_files.is_empty() && !job_files.contains(&JOB_FILE);
    let floor = places
        .iter()
        // Released with a job file of another name, a `dryfit.toml` is not read.
        .filter(|place| {
            !other_job_file
                || place.kind != FileKind::JobFile
                || place.path.file_name().is_none_or(|name| name != JOB_FILE)
        })
        .map(take::file)
        .collect::<Result<Vec<File>, _>>()?;
    let files = pair(&was.files, &floor, terms);
    let untouched = files.iter().all(|file| !file.state.is_change());
    let readable = floor
        .iter()
        .any(|file| matches!(file.kind, FileKind::Drawing | FileKind::List));
    let shown: Vec<String> = paths
        .iter()
        .map(|path| path.display().to_string())
        .collect();
    let shown = shown.join(", ");
    // The same bytes read by the same program are the same sizes.
    let measured = readable && (!untouched || was.program != PROGRAM);
    let (now, difference) = if measured {
        let call = call(&record, &path, paths, &places)?;
        match state::now(&call) {
            Ok((_, now)) => {
                let difference = difference::between(was, &now, files, terms);
                (now, difference)
            }
            // The files still tell what changed.
            Err(trouble) => unread(was, floor, files, Some(trouble.to_string())),
        }
    } else {
        unread(was, floor, files, None)
    };
    let lapsed = lapsed(was);
    let side = |shown, snapshot, record| Side {
        shown,
        snapshot,
        record,
    };
    let release = path.display().to_string();
    let changes = Changes {
        measured,
        lapsed: &lapsed,
        ..state::changes(
            Question::Verify,
            side(&release, was, Some(&record)),
            side(&shown, &now, None),
            &difference,
        )
    };
    state::print(&changes, arguments.format, arguments.color.on())
}

/// The files alone, without their sizes.
fn unread(
    was: &Snapshot,
    floor: Vec<File>,
    files: Vec<FileChange>,
    why: Option<String>,
) -> (Snapshot, Difference) {
    let now = Snapshot {
        job: was.job.clone(),
        program: PROGRAM.to_owned(),
        files: floor,
        ..Snapshot::default()
    };
    let difference = Difference {
        files,
        open: why
            .map(|why| format!("sizes and rows, because the job cannot be read: {why}"))
            .into_iter()
            .collect(),
        ..Difference::default()
    };
    (now, difference)
}

/// Why a record is none to go by.
enum Unfit {
    /// It is not what `release` wrote.
    Changed(String),
    Unusable(RecordError),
}

fn read(path: &Path, seal: Option<&str>) -> Result<Record, Unfit> {
    let record = record::read(path).map_err(|error| match error {
        RecordError::Changed { .. } => Unfit::Changed(error.to_string()),
        other => Unfit::Unusable(other),
    })?;
    match seal {
        Some(seal) if !record.seal.starts_with(seal) => Err(Unfit::Changed(format!(
            "{} is not the record whose seal was given: its own is {}, so it was written anew, or \
             is that of another release",
            path.display(),
            record.seal
        ))),
        _ => Ok(record),
    }
}

/// A changed record tells nothing of the files, so nothing else is said.
fn changed_record(arguments: &Arguments, path: &Path, sentence: &str) -> Result<u8, Trouble> {
    super::print(&match arguments.format {
        Format::Text => changes::changed_record(sentence, arguments.color.on()),
        Format::Json => changes::changed_record_json(&path.display().to_string(), sentence),
    })?;
    Ok(1)
}

/// The call the release was made with, on the files as they are now.
fn call(
    record: &Record,
    path: &Path,
    paths: Vec<PathBuf>,
    places: &[take::Place],
) -> Result<Call, VerifyError> {
    let failed = |text: &str, message: String| VerifyError::Said {
        file: path.display().to_string(),
        text: text.to_owned(),
        message,
    };
    let said = &record.said;
    let job_file = places
        .iter()
        .find(|place| {
            place.kind == FileKind::JobFile
                && place.path.file_name().is_none_or(|name| name != JOB_FILE)
        })
        .map(|place| place.path.clone());
    Ok(Call {
        paths,
        job_file,
        tolerance: said
            .tolerance
            .as_ref()
            .map(|text| tolerance(text).map_err(|error| failed(text, error)))
            .transpose()?,
        units: said
            .units
            .iter()
            .map(|text| units(text).map_err(|error| failed(text, error)))
            .collect::<Result<Vec<UnitsFor>, _>>()?,
        scale: said
            .scale
            .as_ref()
            .map(|text| scale(text).map_err(|error| failed(text, error)))
            .transpose()?,
        ..Call::default()
    })
}

/// Accepted deviations whose last day is over.
fn lapsed(was: &Snapshot) -> Vec<String> {
    let today = Day::today();
    was.accepted
        .iter()
        .filter_map(|entry| {
            let until = entry.until.as_ref()?;
            Day::parse(until).is_ok_and(|until| today > until).then(|| {
                format!(
                    "{} (accepted by {} until {until}, which is over)",
                    entry.says, entry.by
                )
            })
        })
        .collect()
}
