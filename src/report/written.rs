//! The record of what a run wrote into a folder, so that a later run does not
//! take its own reports for drawings and lists of the job.

pub use crate::signoff::hash::{hash, hash_file};
use std::collections::BTreeMap;
use std::path::Path;

/// Name of the record.
pub const NAME: &str = "dryfit-written.json";
const SCHEMA: &str = "dryfit-written/1";

/// What a run wrote: file name and SHA-256 of the content.
#[derive(Clone, Debug, Default, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct Written {
    pub schema: String,
    pub files: BTreeMap<String, String>,
}

/// What the record says of a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    NotOurs,
    /// Exactly what an earlier run wrote, under whatever name.
    Ours,
    /// An earlier run wrote a file of this name, with other content.
    Changed,
}

impl Written {
    pub fn of(files: &[(String, Vec<u8>)]) -> Self {
        Written {
            schema: SCHEMA.to_owned(),
            files: files
                .iter()
                .map(|(name, content)| (name.clone(), hash(content)))
                .collect(),
        }
    }

    /// The record as text.
    pub fn text(&self) -> String {
        let mut text = serde_json::to_string_pretty(self).unwrap_or_default();
        text.push('\n');
        text
    }

    pub fn state(&self, name: &str, path: &Path) -> State {
        if self.files.is_empty() {
            return State::NotOurs;
        }
        let hash = hash_file(path);
        if hash.is_ok_and(|hash| self.files.values().any(|ours| *ours == hash)) {
            State::Ours
        } else if self.files.contains_key(name) {
            State::Changed
        } else {
            State::NotOurs
        }
    }
}

/// The record of a folder; empty when there is none that can be read.
pub fn read(folder: &Path) -> Written {
    std::fs::read(folder.join(NAME))
        .ok()
        .and_then(|bytes| serde_json::from_slice::<Written>(&bytes).ok())
        .filter(|written| written.schema == SCHEMA)
        .unwrap_or_default()
}
