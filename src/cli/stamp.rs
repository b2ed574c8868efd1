//! Whether a file is still the one that was read: somebody may save it meanwhile.

use std::fs;
use std::io;
use std::path::Path;
use std::time::SystemTime;

/// What changes when a file is written or put in another's place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stamp {
    size: u64,
    modified: Option<SystemTime>,
    place: (u64, u64),
}

impl Stamp {
    /// The stamp of a file; `None` when it is not there.
    pub fn of(path: &Path) -> Option<Self> {
        let metadata = fs::metadata(path).ok()?;
        Some(Stamp {
            size: metadata.len(),
            modified: metadata.modified().ok(),
            place: place(&metadata),
        })
    }
}

#[cfg(unix)]
fn place(metadata: &fs::Metadata) -> (u64, u64) {
    use std::os::unix::fs::MetadataExt as _;
    (metadata.dev(), metadata.ino())
}

#[cfg(not(unix))]
fn place(_: &fs::Metadata) -> (u64, u64) {
    (0, 0)
}

/// Files that were read, each with its stamp from before the reading.
#[derive(Clone, Debug, Default)]
pub struct Stamps(Vec<(String, Option<Stamp>)>);

impl Stamps {
    /// Remembers a file by its shown path, before it is read.
    pub fn add(&mut self, shown: &str, path: &Path) {
        self.0.push((shown.to_owned(), Stamp::of(path)));
    }

    /// Shown paths of files that are not as they were.
    pub fn changed(&self) -> impl Iterator<Item = &str> {
        self.0
            .iter()
            .filter(|(shown, stamp)| *stamp != Stamp::of(Path::new(shown)))
            .map(|(shown, _)| shown.as_str())
    }

    /// The content of a file, if it is still the one that was read.
    ///
    /// # Errors
    /// When it cannot be read, or is another by now.
    pub fn read(&self, shown: &str) -> io::Result<Vec<u8>> {
        let known = self.0.iter().find(|(other, _)| other == shown);
        let content = fs::read(shown)?;
        match known {
            Some((_, stamp)) if *stamp != Stamp::of(Path::new(shown)) => Err(io::Error::other(
                "it was changed after it was checked; check it again",
            )),
            _ => Ok(content),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_that_was_replaced_is_not_read_again() {
        let home = tempfile::tempdir().unwrap();
        let path = home.path().join("a.dxf");
        let shown = path.to_string_lossy().into_owned();
        fs::write(&path, "one").unwrap();
        let mut stamps = Stamps::default();
        stamps.add(&shown, &path);
        assert_eq!(stamps.changed().count(), 0);
        assert_eq!(stamps.read(&shown).unwrap(), b"one");
        fs::write(home.path().join("b"), "two").unwrap();
        fs::rename(home.path().join("b"), &path).unwrap();
        assert_eq!(stamps.changed().collect::<Vec<_>>(), [shown.as_str()]);
        let error = stamps.read(&shown).unwrap_err().to_string();
        assert!(error.contains("changed after it was checked"), "{error}");
        fs::remove_file(&path).unwrap();
        assert_eq!(stamps.changed().count(), 1);
        assert!(stamps.read(&shown).is_err());
    }
}
