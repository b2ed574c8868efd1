//! The record of a release: a file in the job folder, readable, sealed against
//! changes by a hash of its own text.

use super::line::{Line, block, quoted};
use super::snapshot::{Acceptance, Row, Size, Snapshot};
use crate::signoff::hash::hash;
use serde::Deserialize;
use std::io::Write as _;
use std::path::{Path, PathBuf};

/// The version of the shape; keys are only added within one.
pub const SCHEMA: &str = "dryfit-release/1";

const PREFIX: &str = "dryfit-release-";
const SUFFIX: &str = ".toml";
const SEAL: &str = "seal = \"";

const HEAD: &str = "\
# A job released for cutting, written by `dryfit release`. `dryfit verify` tells
# whether the files are still these, and what changed. The seal is the SHA-256 of this
# file with nothing between the seal's quotes, so do not edit it: release anew.
";

/// What the call said of the job beside its files.
#[derive(Clone, Debug, Default, PartialEq, Eq, Deserialize)]
pub struct Said {
    #[serde(default)]
    pub tolerance: Option<String>,
    #[serde(default)]
    pub units: Vec<String>,
    #[serde(default)]
    pub scale: Option<String>,
}

/// A released job.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct Record {
    #[serde(default)]
    pub seal: String,
    pub schema: String,
    pub issue: String,
    pub by: String,
    pub date: String,
    #[serde(default)]
    pub said: Said,
    #[serde(flatten)]
    pub snapshot: Snapshot,
}

/// Why there is no record to go by, or none could be written.
#[derive(Debug, thiserror::Error)]
pub enum RecordError {
    #[error("{file}: cannot be read: {source}")]
    Unreadable {
        file: String,
        source: std::io::Error,
    },
    #[error("{file}: no release record; it has no line that starts with `seal = `")]
    NoRecord { file: String },
    #[error(
        "{file} was changed after it was written: its seal does not fit its text, so nothing in it \
         can be relied on; take the record from a copy, or release the job anew"
    )]
    Changed { file: String },
    #[error("{file}: written as `{schema}`, which this version cannot read; use a newer one")]
    Newer { file: String, schema: String },
    #[error("{file}: not as `dryfit release` writes it: {message}")]
    Malformed { file: String, message: String },
    #[error(
        "{file} is already there; --issue LABEL gives this release a label of its own, --force \
         replaces the record"
    )]
    Exists { file: String },
    #[error("{file}: cannot be written: {source}")]
    Unwritable {
        file: String,
        source: std::io::Error,
    },
}

/// Whether a file of this name is a record.
pub fn is_name(name: &str) -> bool {
    name.strip_prefix(PREFIX)
        .is_some_and(|rest| rest.len() > SUFFIX.len() && rest.ends_with(SUFFIX))
}

/// Where the record of an issue is kept.
pub fn path(folder: &Path, issue: &str) -> PathBuf {
    folder.join(format!("{PREFIX}{issue}{SUFFIX}"))
}

/// The records of a folder, by name.
pub fn all(folder: &Path) -> Vec<PathBuf> {
    let mut found: Vec<PathBuf> = std::fs::read_dir(folder)
        .into_iter()
        .flatten()
        .flatten()
        .map(|entry| entry.path())
        .filter(|path| {
            path.file_name()
                .is_some_and(|name| is_name(&name.to_string_lossy()))
        })
        .collect();
    found.sort();
    found
}

impl Record {
    /// The file's text, and its seal.
    pub fn text(&self) -> (String, String) {
        let mut out = format!("{HEAD}{SEAL}\"\n\n");
        let job = &self.snapshot;
        for (key, text) in [
            ("schema", SCHEMA),
            ("job", &job.job),
            ("issue", &self.issue),
            ("by", &self.by),
            ("date", &self.date),
            ("program", &job.program),
            ("unit", job.unit.word()),
        ] {
            out.push_str(&format!("{key} = {}\n", quoted(text)));
        }
        let said = Line::default()
            .maybe("tolerance", self.said.tolerance.as_deref())
            .maybe("scale", self.said.scale.as_deref());
        let units: Vec<String> = self.said.units.iter().map(|unit| quoted(unit)).collect();
        out.push_str(&format!(
            "said = {}\n",
            said.texts("units", &units).finish()
        ));
        out.push_str("\n# Files, each with the SHA-256 of its content.\n");
        block(
            &mut out,
            "files",
            job.files.iter().map(|file| {
                Line::default()
                    .text("name", &file.name)
                    .text("kind", file.kind.word())
                    .whole("bytes", file.bytes)
                    .text("sha256", &file.sha256)
                    .finish()
            }),
        );
        out.push_str("\n# Deviations that were accepted.\n");
        block(&mut out, "accepted", job.accepted.iter().map(acceptance));
        out.push_str("\n# What the check took as given.\n");
        block(&mut out, "given", job.given.iter().map(|text| quoted(text)));
        out.push_str("\n# Sizes measured in the drawings, millimetres.\n");
        block(&mut out, "drawn", job.drawn.iter().map(size));
        out.push_str("\n# What the listed parts build, millimetres.\n");
        block(&mut out, "builds", job.builds.iter().map(size));
        out.push_str("\n# Rows of the lists: each size as written, and in millimetres.\n");
        block(&mut out, "rows", job.rows.iter().map(row));
        let seal = hash(out.as_bytes());
        let text = out.replacen(SEAL, &format!("{SEAL}{seal}"), 1);
        (text, seal)
    }
}

fn acceptance(entry: &Acceptance) -> String {
    Line::default()
        .text("item", &entry.item)
        .text("says", &entry.says)
        .text("reason", &entry.reason)
        .text("by", &entry.by)
        .text("date", &entry.date)
        .maybe("until", entry.until.as_deref())
        .finish()
}

fn size(size: &Size) -> String {
    let line = Line::default()
        .text("cabinet", &size.cabinet)
        .text("what", &size.what);
    match size.mm {
        Some(mm) => line.mm(mm).flag("at_least", size.at_least),
        None => line.maybe("why", size.why.as_deref()),
    }
    .finish()
}

fn row(row: &Row) -> String {
    Line::default()
        .text("file", &row.file)
        .maybe("sheet", row.sheet.as_deref())
        .whole("line", row.line as u64)
        .filled("cabinet", &row.cabinet)
        .text("part", &row.part)
        .filled("quantity", &row.quantity)
        .whole("count", row.count)
        .list(
            "sizes",
            row.sizes.iter().map(|size| {
                Line::default()
                    .text("what", &size.what)
                    .text("text", &size.text)
                    .mm(size.mm)
            }),
        )
        .list(
            "cells",
            row.cells.iter().map(|cell| {
                Line::default()
                    .text("what", &cell.what)
                    .text("text", &cell.text)
            }),
        )
        .finish()
}

/// Reads a record and holds it against its own seal.
///
/// # Errors
/// When it cannot be read, is none, or was changed after it was written.
pub fn read(path: &Path) -> Result<Record, RecordError> {
    let file = path.display().to_string();
    let bytes = std::fs::read(path).map_err(|source| RecordError::Unreadable {
        file: file.clone(),
        source,
    })?;
    parse(&bytes, &file)
}

fn parse(bytes: &[u8], file: &str) -> Result<Record, RecordError> {
    let file = || file.to_owned();
    let no_record = || RecordError::NoRecord { file: file() };
    let text = String::from_utf8_lossy(bytes);
    // Some ways of copying text files change line ends; nothing else may differ.
    let text = text.trim_start_matches('\u{feff}').replace("\r\n", "\n");
    let start = if text.starts_with(SEAL) {
        0
    } else {
        text.find(&format!("\n{SEAL}")).ok_or_else(no_record)? + 1
    } + SEAL.len();
    let (before, rest) = (text.get(..start), text.get(start..));
    let (Some(before), Some(rest)) = (before, rest) else {
        return Err(no_record());
    };
    let (seal, after) = rest.split_once('"').ok_or_else(no_record)?;
    if hash(format!("{before}\"{after}").as_bytes()) != seal {
        return Err(RecordError::Changed { file: file() });
    }
    let malformed = |error: toml::de::Error| RecordError::Malformed {
        file: file(),
        message: error.to_string().trim().replace('\n', "\n  "),
    };
    #[derive(Deserialize)]
    struct Version {
        #[serde(default)]
        schema: String,
    }
    let version: Version = toml::from_str(&text).map_err(malformed)?;
    if version.schema != SCHEMA {
        return Err(RecordError::Newer {
            file: file(),
            schema: version.schema,
        });
    }
    toml::from_str(&text).map_err(malformed)
}

/// Writes a record, whole or not at all, and never over one that is there unless
/// `force` says so.
///
/// # Errors
/// When it is there already or cannot be written.
pub fn write(path: &Path, text: &str, force: bool) -> Result<(), RecordError> {
    let exists = || RecordError::Exists {
        file: path.display().to_string(),
    };
    if !force && path.symlink_metadata().is_ok() {
        return Err(exists());
    }
    let failed = |source: std::io::Error| RecordError::Unwritable {
        file: path.display().to_string(),
        source,
    };
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    let mut file = tempfile::Builder::new()
        .prefix(".dryfit-")
        .tempfile_in(folder)
        .map_err(failed)?;
    file.write_all(text.as_bytes()).map_err(failed)?;
    file.as_file().sync_all().map_err(failed)?;
    crate::signoff::readable(file.as_file());
    let done = if force {
        file.persist(path)
    } else {
        file.persist_noclobber(path)
    };
    match done {
        Ok(_) => Ok(()),
        Err(error) if error.error.kind() == std::io::ErrorKind::AlreadyExists => Err(exists()),
        Err(error) => Err(failed(error.error)),
    }
}
