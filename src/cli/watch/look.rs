//! What lies in the watched places: cheaply, and by content.

use super::super::state::places;
use super::name;
use crate::signoff::hash::hash_file;
use crate::signoff::release::snapshot::FileKind;
use std::collections::BTreeMap;
use std::io::{Read as _, Seek as _, SeekFrom};
use std::path::{Path, PathBuf};
use std::time::SystemTime;

/// Endings of the files a job may have, and of those it is told it cannot use.
const ENDINGS: [&str; 11] = [
    "dxf", "dwg", "csv", "tsv", "txt", "xlsx", "xls", "xlsm", "xlsb", "ods", "toml",
];

/// Length, time of the last change, and which file it is.
type Mark = (u64, Option<SystemTime>, u64);

/// The files as the folder lists them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Look(BTreeMap<PathBuf, Mark>);

impl Look {
    pub fn at(paths: &[PathBuf]) -> Self {
        let mut look = Look::default();
        for path in paths {
            if path.is_dir() {
                let entries = std::fs::read_dir(path).into_iter().flatten().flatten();
                for entry in entries {
                    let path = entry.path();
                    let hidden = name(&path).starts_with(['.', '~']);
                    let ending = path
                        .extension()
                        .map(|ending| ending.to_string_lossy().to_ascii_lowercase())
                        .unwrap_or_default();
                    if !hidden && ENDINGS.contains(&ending.as_str()) {
                        look.add(path);
                    }
                }
            } else {
                look.add(path.clone());
            }
        }
        look
    }

    fn add(&mut self, path: PathBuf) {
        let Ok(metadata) = std::fs::metadata(&path) else {
            return;
        };
        if metadata.is_file() {
            let mark = (
                metadata.len(),
                metadata.modified().ok(),
                identity(&metadata),
            );
            self.0.insert(path, mark);
        }
    }

    /// Whether every file there was before is there, and none ends too early.
    pub fn is_whole(&self, before: &Contents) -> bool {
        before.0.keys().all(|path| self.0.contains_key(path))
            && self.0.keys().all(|path| is_whole(path))
    }
}

#[cfg(unix)]
fn identity(metadata: &std::fs::Metadata) -> u64 {
    use std::os::unix::fs::MetadataExt;
    metadata.ino()
}

#[cfg(not(unix))]
fn identity(_: &std::fs::Metadata) -> u64 {
    0
}

/// Whether the file has the end its kind has, as far as that can be told.
fn is_whole(path: &Path) -> bool {
    let ending = path
        .extension()
        .map(|ending| ending.to_string_lossy().to_ascii_lowercase());
    let Some(end) = end_of(path) else {
        return false;
    };
    let holds = |needle: &[u8]| end.windows(needle.len()).any(|window| window == needle);
    match ending.as_deref() {
        Some("dxf") => holds(b"EOF"),
        // The end of the central directory of a zip file.
        Some("xlsx" | "ods") => holds(b"PK\x05\x06"),
        // Being emptied is how many programs begin to save.
        _ => !end.is_empty(),
    }
}

/// The last bytes of a file.
fn end_of(path: &Path) -> Option<Vec<u8>> {
    const LENGTH: u64 = 256;
    let mut file = std::fs::File::open(path).ok()?;
    let length = file.metadata().ok()?.len();
    file.seek(SeekFrom::Start(length.saturating_sub(LENGTH)))
        .ok()?;
    let mut end = Vec::new();
    file.take(LENGTH).read_to_end(&mut end).ok()?;
    Some(end)
}

/// The files of the job by content.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Contents(BTreeMap<PathBuf, (FileKind, String)>);

impl Contents {
    pub fn of(paths: &[PathBuf]) -> Self {
        Contents(
            places(paths, &[])
                .into_iter()
                .map(|place| {
                    let hash = hash_file(&place.path).unwrap_or_default();
                    (place.path, (place.kind, hash))
                })
                .collect(),
        )
    }

    /// "cutlist.csv saved", "b.dxf new", "a.dxf gone".
    pub fn told(&self, now: &Contents) -> Vec<String> {
        let mut told = Vec::new();
        for (path, content) in &now.0 {
            match self.0.get(path) {
                None => told.push(format!("{} new", name(path))),
                Some(before) if before != content => told.push(format!("{} saved", name(path))),
                Some(_) => {}
            }
        }
        for path in self.0.keys().filter(|path| !now.0.contains_key(*path)) {
            told.push(format!("{} gone", name(path)));
        }
        told
    }
}

/// The folders to be told of: those named, and those of the files named.
pub fn folders(paths: &[PathBuf]) -> Vec<PathBuf> {
    let mut folders: Vec<PathBuf> = paths
        .iter()
        .map(|path| {
            if path.is_dir() {
                return path.clone();
            }
            match path.parent() {
                Some(parent) if !parent.as_os_str().is_empty() => parent.to_owned(),
                _ => PathBuf::from("."),
            }
        })
        .collect();
    folders.sort();
    folders.dedup();
    folders
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_that_end_too_early_are_known() {
        let home = tempfile::tempdir().unwrap();
        for (name, content, whole) in [
            ("a.dxf", &b"  0\nSECTION\n"[..], false),
            ("b.dxf", b"  0\nEOF\n", true),
            ("c.dxf", b"AutoCAD Binary DXF\r\n\x1a\0\0EOF\0", true),
            ("d.csv", b"", false),
            ("e.csv", b"Part,Qty\n", true),
            ("f.xlsx", b"PK\x03\x04", false),
            ("g.ods", b"PK\x03\x04PK\x05\x06\0\0", true),
        ] {
            let path = home.path().join(name);
            std::fs::write(&path, content).unwrap();
            assert_eq!(is_whole(&path), whole, "{name}");
        }
        assert!(!is_whole(&home.path().join("none.csv")));
    }

    #[test]
    fn only_files_a_job_may_have_are_looked_at() {
        let home = tempfile::tempdir().unwrap();
        for name in ["a.csv", ".a.csv.swp", "~a.csv", "photo.jpg", "log"] {
            std::fs::write(home.path().join(name), "x").unwrap();
        }
        let paths = [home.path().to_owned()];
        let look = Look::at(&paths);
        assert_eq!(look.0.len(), 1);
        std::fs::write(home.path().join("log"), "xx").unwrap();
        assert_eq!(Look::at(&paths), look);
        std::fs::write(home.path().join("a.csv"), "xx").unwrap();
        assert_ne!(Look::at(&paths), look);
    }

    #[test]
    fn what_became_of_which_file() {
        let home = tempfile::tempdir().unwrap();
        let write = |name: &str, text: &str| {
            std::fs::write(home.path().join(name), text).unwrap();
        };
        let paths = [home.path().to_owned()];
        write("a.csv", "1");
        write("b.csv", "2");
        let before = Contents::of(&paths);
        write("a.csv", "3");
        write("c.csv", "4");
        std::fs::remove_file(home.path().join("b.csv")).unwrap();
        let now = Contents::of(&paths);
        assert_eq!(
            before.told(&now),
            ["a.csv saved", "c.csv new", "b.csv gone"]
        );
        assert!(now.told(&now).is_empty());
        // Gone for a moment is how many programs replace a file.
        assert!(!Look::at(&paths).is_whole(&before));
        assert!(Look::at(&paths).is_whole(&now));
    }

    #[test]
    fn files_are_watched_in_their_folders() {
        let folders = folders(&[PathBuf::from("a.csv"), PathBuf::from("x/b.csv")]);
        assert_eq!(folders, [PathBuf::from("."), PathBuf::from("x")]);
    }
}
