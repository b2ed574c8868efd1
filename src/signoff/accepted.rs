//! Deviations that were accepted: a file in the job folder, each entry with
//! reason, name and date, tied to the sizes, the row and the drawing it was
//! accepted on.

use super::date::Day;
use serde::{Deserialize, Serialize};
use std::io::Write as _;
use std::path::{Path, PathBuf};

/// Name of the file.
pub const NAME: &str = "dryfit-accepted.toml";

const HEAD: &str = "\
# Deviations accepted for this job, written by `dryfit accept`. Each holds only as long
# as the drawing, the rows and the sizes are what they were; take an entry out to
# withdraw it.
";

/// A file and its content, by hash.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FileHash {
    /// The file's name, without its folder.
    pub file: String,
    pub sha256: String,
}

/// What an entry was accepted on.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Evidence {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drawn: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub listed: Option<String>,
    /// The rows as written.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rows: Vec<String>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub drawings: Vec<FileHash>,
}

/// One accepted deviation.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Entry {
    /// Id of the finding, or of what is not checked.
    pub item: String,
    /// What it said when it was accepted.
    pub says: String,
    pub reason: String,
    pub by: String,
    /// The day it was accepted.
    pub date: String,
    /// The last day it holds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until: Option<String>,
    pub on: Evidence,
}

/// All entries of a job.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Accepted {
    #[serde(default)]
    pub accepted: Vec<Entry>,
}

/// Why the file could not be used.
#[derive(Debug, thiserror::Error)]
pub enum AcceptedError {
    #[error("{file}: cannot be read: {source}")]
    Unreadable {
        file: String,
        source: std::io::Error,
    },
    #[error("{file}: not as `dryfit accept` writes it: {message}")]
    Malformed { file: String, message: String },
    #[error("{file}: cannot be written: {source}")]
    Unwritable {
        file: String,
        source: std::io::Error,
    },
}

/// The file of a job folder.
pub fn path(folder: &Path) -> PathBuf {
    folder.join(NAME)
}

/// Reads the entries of a job folder; none when there is no file.
///
/// # Errors
/// When there is a file that cannot be read or understood.
pub fn read(folder: &Path) -> Result<Accepted, AcceptedError> {
    let path = path(folder);
    let shown = path.display().to_string();
    let text = match std::fs::read_to_string(&path) {
        Ok(text) => text,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
            return Ok(Accepted::default());
        }
        Err(source) => {
            return Err(AcceptedError::Unreadable {
                file: shown,
                source,
            });
        }
    };
    let accepted: Accepted = toml::from_str(&text).map_err(|error| AcceptedError::Malformed {
        file: shown.clone(),
        message: error.to_string().trim().replace('\n', "\n  "),
    })?;
    for entry in &accepted.accepted {
        for day in std::iter::once(&entry.date).chain(&entry.until) {
            Day::parse(day).map_err(|error| AcceptedError::Malformed {
                file: shown.clone(),
                message: format!("{}: {error}", entry.item),
            })?;
        }
    }
    Ok(accepted)
}

/// Writes all entries, whole or not at all.
///
/// # Errors
/// When the file cannot be written.
pub fn write(folder: &Path, accepted: &Accepted) -> Result<(), AcceptedError> {
    let path = path(folder);
    let failed = |source: std::io::Error| AcceptedError::Unwritable {
        file: path.display().to_string(),
        source,
    };
    let body = toml::to_string(accepted).map_err(|error| failed(std::io::Error::other(error)))?;
    let mut file = tempfile::NamedTempFile::new_in(folder).map_err(failed)?;
    file.write_all(format!("{HEAD}\n{body}").as_bytes())
        .map_err(failed)?;
    super::readable(file.as_file());
    file.persist(&path).map_err(|error| failed(error.error))?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn entry() -> Entry {
        Entry {
            item: "b2-side-length".to_owned(),
            says: "B2 \"Side\"".to_owned(),
            reason: "as built".to_owned(),
            by: "Ada".to_owned(),
            date: "2026-01-31".to_owned(),
            until: None,
            on: Evidence {
                drawn: Some("876.30 mm".to_owned()),
                listed: None,
                rows: vec!["B2 | Side".to_owned()],
                drawings: vec![FileHash {
                    file: "a.dxf".to_owned(),
                    sha256: "00".to_owned(),
                }],
            },
        }
    }

    #[test]
    fn what_is_written_reads_back() {
        let home = tempfile::tempdir().unwrap();
        assert_eq!(read(home.path()).unwrap(), Accepted::default());
        let accepted = Accepted {
            accepted: vec![entry(), entry()],
        };
        write(home.path(), &accepted).unwrap();
        assert_eq!(read(home.path()).unwrap(), accepted);
        insta::assert_snapshot!(std::fs::read_to_string(path(home.path())).unwrap());
    }

    #[test]
    fn a_file_that_is_not_ours_is_refused_with_its_place() {
        let home = tempfile::tempdir().unwrap();
        std::fs::write(path(home.path()), "[[accepted]]\nitem = 1\n").unwrap();
        let error = read(home.path()).unwrap_err().to_string();
        assert!(error.contains(NAME) && error.contains("line 2"), "{error}");
        let mut wrong = entry();
        wrong.until = Some("31.1.2026".to_owned());
        let accepted = Accepted {
            accepted: vec![wrong],
        };
        write(home.path(), &accepted).unwrap();
        let error = read(home.path()).unwrap_err().to_string();
        assert!(error.contains("`31.1.2026` is no day"), "{error}");
    }

    #[test]
    fn a_folder_that_is_not_there_cannot_be_written() {
        let home = tempfile::tempdir().unwrap();
        let error = write(&home.path().join("no"), &Accepted::default())
            .unwrap_err()
            .to_string();
        assert!(error.contains("cannot be written"), "{error}");
        std::fs::create_dir(path(home.path())).unwrap();
        let error = read(home.path()).unwrap_err().to_string();
        assert!(error.contains("cannot be read"), "{error}");
    }
}
