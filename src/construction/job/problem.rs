//! What is wrong in a job file, and where.

use std::fmt;

/// Something in a job file that cannot be used.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct JobProblem {
    /// 1-based.
    pub line: usize,
    /// 1-based, in characters.
    pub column: usize,
    pub message: String,
    /// What to do; may be empty.
    pub advice: String,
}

impl fmt::Display for JobProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}: {}", self.line, self.column, self.message)?;
        if !self.advice.is_empty() {
            write!(f, "; {}", self.advice)?;
        }
        Ok(())
    }
}

/// Why a job file cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum JobFileError {
    #[error("{file}: cannot be read: {message}")]
    Unreadable { file: String, message: String },
    #[error("{}", several(file, problems))]
    Unusable {
        file: String,
        /// In the order of the file, never empty.
        problems: Vec<JobProblem>,
    },
}

fn several(file: &str, problems: &[JobProblem]) -> String {
    problems
        .iter()
        .map(|problem| format!("{file}:{problem}"))
        .collect::<Vec<_>>()
        .join("\n")
}

/// 1-based line and column of a byte offset.
pub(super) fn place(text: &str, offset: usize) -> (usize, usize) {
    let before = text.get(..offset).unwrap_or(text);
    let line = before.matches('\n').count() + 1;
    let start = before.rfind('\n').map_or(0, |at| at + 1);
    let column = before.get(start..).map_or(0, |line| line.chars().count()) + 1;
    (line, column)
}
