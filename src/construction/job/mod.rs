//! The job file, `dryfit.toml`: what the drawings and the list do not say.

mod hints;
pub mod keys;
mod problem;
mod read;
mod scale;
mod shop;
mod table;
#[cfg(test)]
mod tests;
mod together;

pub use problem::{JobFileError, JobProblem};
pub use scale::scale;

use super::expression::Expr;
use super::{Origin, Rules, Stated};
use crate::cutlist::ListHints;
use crate::length::{Notation, Unit};
use crate::view::Hints;
use std::path::Path;

/// Largest job file read, bytes.
const LARGEST: u64 = 1 << 20;

/// What a cabinet is, for cautions and checks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Use {
    Base,
    Wall,
    Tall,
    /// Stands on another cabinet.
    Standing,
}

/// Cabinets side by side.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    pub name: String,
    pub cabinets: Vec<String>,
    pub wall: Option<Stated>,
    pub between: Option<Stated>,
    /// What neighbours must share: "height", "depth", "toe".
    pub share: Vec<&'static str>,
    /// 1-based line in the job file.
    pub line: usize,
}

/// Cabinets standing on one another.
#[derive(Clone, Debug, PartialEq)]
pub struct Stack {
    pub name: String,
    pub cabinets: Vec<String>,
    pub height: Option<Stated>,
    pub between: Option<Stated>,
    /// 1-based line in the job file.
    pub line: usize,
}

/// Which accessibility figures the job asks to be held against which cabinets.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Accessibility {
    /// Key of `[accessibility]`, cabinets, and its 1-based line.
    pub asked: Vec<(&'static str, Vec<String>, usize)>,
    pub counter_thickness: Option<Stated>,
}

/// Everything a job file says.
#[derive(Clone, Debug, Default)]
pub struct JobFile {
    /// The path as the user gave it.
    pub file: String,
    pub name: Option<String>,
    pub units: Option<Unit>,
    pub notation: Option<Notation>,
    /// For reading the drawings; holds the names of the cabinets the file names.
    pub hints: Hints,
    pub list: ListHints,
    pub rules: Rules,
    /// Cabinet name as written, and further cabinets built like it.
    pub same_as: Vec<(String, Vec<String>)>,
}

impl JobFile {
    /// Reads a job file.
    ///
    /// # Errors
    /// When it cannot be read, or with every problem in it.
    pub fn load(path: &Path, shown: &str) -> Result<JobFile, JobFileError> {
        let unreadable = |message: String| JobFileError::Unreadable {
            file: shown.to_owned(),
            message,
        };
        let size = std::fs::metadata(path)
            .map_err(|error| unreadable(error.to_string()))?
            .len();
        if size > LARGEST {
            return Err(unreadable(format!(
                "{size} bytes is far more than a job file has"
            )));
        }
        let bytes = std::fs::read(path).map_err(|error| unreadable(error.to_string()))?;
        let text = String::from_utf8(bytes)
            .map_err(|_| unreadable("it is not UTF-8 text; save it as UTF-8".to_owned()))?;
        JobFile::parse(&text, shown)
    }

    /// Reads the text of a job file.
    ///
    /// # Errors
    /// With every problem in it.
    pub fn parse(text: &str, shown: &str) -> Result<JobFile, JobFileError> {
        read::read(text, shown)
    }
}

/// A size the job file states.
fn stated(expr: Expr, line: usize) -> Stated {
    Stated {
        expr,
        origin: Origin::JobFile { line },
    }
}
