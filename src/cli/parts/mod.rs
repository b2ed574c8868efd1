//! `dryfit parts`: how each row of a list was read.

mod json;
mod text;

use super::arguments::{self, UnitsFor};
use super::{Colour, Trouble, discover};
use crate::audit::InputProblem;
use crate::construction::JobFile;
use crate::cutlist::{self, CutList, ListHints, Reading};
use std::path::{Path, PathBuf};

#[derive(Clone, Debug, clap::Args)]
pub struct Arguments {
    /// Lists (.csv, .tsv, .txt, .xlsx, .ods), or a job folder
    #[arg(value_name = "LIST", required = true)]
    pub paths: Vec<PathBuf>,
    /// Job file to use in place of the folder's dryfit.toml
    #[arg(long = "job", value_name = "FILE")]
    pub job_file: Option<PathBuf>,
    /// Unit of plain numbers: in, ft, mm, cm or m
    #[arg(long, value_name = "UNIT", value_parser = arguments::units)]
    pub units: Vec<UnitsFor>,
    /// What a column holds, by its heading or its number from 1: part=Description, length=4
    #[arg(long, value_name = "FIELD=COLUMN", value_parser = column, num_args = 1..)]
    pub columns: Vec<(String, String)>,
    /// Sheet of a workbook to read
    #[arg(long, value_name = "NAME")]
    pub sheet: Option<String>,
    /// What to print
    #[arg(long, value_enum, default_value_t)]
    pub format: Format,
    /// When to colour the text
    #[arg(long, value_enum, value_name = "WHEN", default_value_t)]
    pub color: Colour,
}

/// What `parts` can print.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, clap::ValueEnum)]
pub enum Format {
    /// For a terminal, 80 columns
    #[default]
    Text,
    /// For programs; documented in docs/lists.md
    Json,
}

/// `field=heading`, with a field this program knows.
fn column(text: &str) -> Result<(String, String), String> {
    let (field, place) = text.split_once('=').ok_or_else(|| {
        format!("`{text}` is not a field, = and a column, as in part=Description")
    })?;
    let (field, place) = (field.trim(), place.trim());
    if !cutlist::is_field(field) {
        let known: Vec<&str> = cutlist::field_names().collect();
        return Err(format!(
            "`{field}` is not a field; use one of {}",
            known.join(", ")
        ));
    }
    if place.is_empty() {
        return Err(format!("`{text}` names no column after ="));
    }
    Ok((field.to_owned(), place.to_owned()))
}

/// What was read, and what could not be.
struct Lists {
    lists: Vec<CutList>,
    unusable: Vec<InputProblem>,
}

impl Lists {
    /// Whether everything in every list was understood.
    fn understood(&self) -> bool {
        self.unusable.is_empty()
            && self.lists.iter().all(|list| {
                list.problems.is_empty()
                    && list.rows.iter().all(|row| !is_unknown(&row.reading))
                    && list.borings.iter().all(|row| !is_unknown(&row.reading))
            })
    }
}

fn is_unknown(reading: &Reading) -> bool {
    matches!(reading, Reading::Unknown { .. })
}

/// Reads the lists and prints how; gives the exit status: 0 everything was
/// understood, 3 something was not, 2 no list could be read.
///
/// # Errors
/// When the job file cannot be used or nothing can be printed.
pub fn run(arguments: &Arguments) -> Result<u8, Trouble> {
    let lists = read(arguments)?;
    let printed = match arguments.format {
        Format::Text => text::render(&lists, arguments.color.on()),
        Format::Json => json::render(&lists),
    };
    super::print(&printed)?;
    Ok(if lists.lists.is_empty() {
        super::UNUSABLE
    } else if lists.understood() {
        0
    } else {
        3
    })
}

fn read(arguments: &Arguments) -> Result<Lists, Trouble> {
    let (folders, files): (Vec<PathBuf>, Vec<PathBuf>) = arguments
        .paths
        .iter()
        .cloned()
        .partition(|path| path.is_dir());
    let found = discover::discover(&folders);
    // A file named outright is read whatever its name ends in.
    let mut inputs: Vec<(String, PathBuf)> = files
        .into_iter()
        .map(|path| (path.to_string_lossy().into_owned(), path))
        .chain(
            found
                .lists
                .iter()
                .map(|input| (input.shown.clone(), input.path.clone())),
        )
        .collect();
    inputs.sort();
    inputs.dedup();
    let job = match (&arguments.job_file, found.job_files.as_slice()) {
        (Some(path), _) => JobFile::load(path, &path.to_string_lossy()),
        (None, [only]) => JobFile::load(&only.path, &only.shown),
        (None, _) => Ok(JobFile::default()),
    }
    .map_err(super::load::LoadError::from)?;
    let hints = hints(arguments, &job);
    let mut lists = Lists {
        lists: Vec::new(),
        unusable: if folders.is_empty() {
            Vec::new()
        } else {
            found.unusable
        },
    };
    if inputs.is_empty() {
        lists
            .unusable
            .extend(folders.iter().map(|folder| InputProblem {
                file: folder.to_string_lossy().into_owned(),
                message: "no list in this folder; add one (CSV, XLSX or ODS)".to_owned(),
            }));
    }
    for (shown, path) in inputs {
        match one(&path, &shown, &hints) {
            Ok(list) => lists.lists.push(list),
            Err(problem) => lists.unusable.push(problem),
        }
    }
    Ok(lists)
}

fn one(path: &Path, shown: &str, hints: &ListHints) -> Result<CutList, InputProblem> {
    cutlist::read_file(path, shown, hints).map_err(|error| {
        let message = error.to_string();
        InputProblem {
            file: shown.to_owned(),
            message: message
                .strip_prefix(&format!("{shown}: "))
                .map(str::to_owned)
                .unwrap_or(message),
        }
    })
}

/// What the call says goes before what the job file says.
fn hints(arguments: &Arguments, job: &JobFile) -> ListHints {
    let mut hints = job.list.clone();
    for units in &arguments.units {
        if let UnitsFor::Both(unit) | UnitsFor::List(unit) = units {
            hints.units = Some((*unit, "--units".to_owned()));
        }
    }
    if let Some(sheet) = &arguments.sheet {
        hints.sheet = Some(sheet.clone());
    }
    hints.columns = arguments
        .columns
        .iter()
        .cloned()
        .chain(hints.columns)
        .collect();
    hints
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_are_a_field_and_a_place() {
        assert_eq!(
            column("part=Description"),
            Ok(("part".to_owned(), "Description".to_owned()))
        );
        assert_eq!(
            column("length = 4"),
            Ok(("length".to_owned(), "4".to_owned()))
        );
        assert_eq!(
            column("part"),
            Err("`part` is not a field, = and a column, as in part=Description".to_owned())
        );
        assert!(
            column("glaze=4")
                .unwrap_err()
                .starts_with("`glaze` is not a field; use one of cabinet, part")
        );
        assert_eq!(
            column("part="),
            Err("`part=` names no column after =".to_owned())
        );
    }
}
