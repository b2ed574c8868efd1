//! What of a job is not as it was: file by file, size by size, row by row.

use super::pairing::{FileChange, FileState, Terms};
use super::rows::{self, RowChange};
use super::snapshot::{Acceptance, FileKind, Size, Snapshot};
use crate::plain::natural;
use std::collections::{BTreeMap, BTreeSet};

/// Drawn sizes that are this near are the same, millimetres: drawings hold
/// numbers rounded to about as much.
pub const SAME_MM: f64 = 0.001;

/// A size that is not as it was; `None` where there is no such size at all.
#[derive(Clone, Debug, PartialEq)]
pub struct SizeChange {
    pub cabinet: String,
    pub what: String,
    pub was: Option<Size>,
    pub now: Option<Size>,
}

/// A sentence that is gone or new.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TextChange {
    pub text: String,
    pub new: bool,
}

/// Whether two states of a job are the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    Same,
    Changed,
    /// No difference was found, but not everything could be compared.
    Open,
}

#[derive(Clone, Debug, Default, PartialEq)]
pub struct Difference {
    pub files: Vec<FileChange>,
    pub given: Vec<TextChange>,
    pub accepted: Vec<TextChange>,
    pub drawn: Vec<SizeChange>,
    pub builds: Vec<SizeChange>,
    pub rows: Vec<RowChange>,
    /// What could not be compared, and why.
    pub open: Vec<String>,
}

impl Difference {
    pub fn outcome(&self) -> Outcome {
        let changed = self.files.iter().any(|file| file.state.is_change())
            || !(self.given.is_empty()
                && self.accepted.is_empty()
                && self.drawn.is_empty()
                && self.builds.is_empty()
                && self.rows.is_empty());
        if changed {
            Outcome::Changed
        } else if self.open.is_empty()
            && self
                .files
                .iter()
                .all(|file| file.state != FileState::NotShown)
        {
            Outcome::Same
        } else {
            Outcome::Open
        }
    }

    /// Cabinets of which anything is not as it was, in a person's order; rows
    /// without a cabinet are left out.
    pub fn cabinets(&self) -> Vec<&str> {
        let sizes = self.drawn.iter().chain(&self.builds);
        let names: BTreeSet<&str> = sizes
            .map(|size| size.cabinet.as_str())
            .chain(self.rows.iter().flat_map(|change| {
                change
                    .was
                    .iter()
                    .chain(&change.now)
                    .map(|row| row.cabinet.trim())
            }))
            .filter(|name| !name.is_empty())
            .collect();
        let mut names: Vec<&str> = names.into_iter().collect();
        names.sort_by(|a, b| natural(a, b));
        names
    }
}

/// Everything that differs between two states of a job whose files were paired.
pub fn between(was: &Snapshot, now: &Snapshot, files: Vec<FileChange>, terms: Terms) -> Difference {
    let mut difference = Difference::default();
    let lost = |kinds: &[FileKind]| -> Vec<String> {
        files
            .iter()
            .filter(|file| matches!(file.state, FileState::Missing | FileState::NotShown))
            .filter_map(|file| file.was.as_ref())
            .filter(|file| kinds.contains(&file.kind))
            .map(|file| file.name.clone())
            .collect()
    };
    let drawings = lost(&[FileKind::Drawing, FileKind::Unread]);
    let any = lost(&[
        FileKind::Drawing,
        FileKind::List,
        FileKind::JobFile,
        FileKind::Accepted,
        FileKind::Unread,
    ]);
    let lists: BTreeSet<String> = lost(&[FileKind::List]).into_iter().collect();
    let strict = terms != Terms::Issues;
    let same_drawings = drawings_are_same(&files);
    if strict && !drawings.is_empty() {
        difference.open.push(format!(
            "drawn sizes, because not all drawings are there ({})",
            drawings.join(", ")
        ));
    } else {
        let unknown = sizes(&was.drawn, &now.drawn, &mut difference.drawn);
        if !same_drawings {
            for (cabinet, what) in unknown {
                difference.open.push(format!(
                    "{cabinet}: {}, not measured then or now",
                    what.join(", ")
                ));
            }
        }
    }
    if strict && !any.is_empty() {
        difference.open.push(format!(
            "what the listed parts build, because not all files are there ({})",
            any.join(", ")
        ));
    } else {
        sizes(&was.builds, &now.builds, &mut difference.builds);
        difference.given = texts(&was.given, &now.given, Clone::clone);
        difference.accepted = texts(&was.accepted, &now.accepted, sentence);
    }
    // The rows of a list that is not there are gone with it.
    let old: Vec<_> = was
        .rows
        .iter()
        .filter(|row| !strict || !lists.contains(&row.file))
        .cloned()
        .collect();
    difference.rows = rows::changes(&old, &now.rows);
    difference.files = files;
    difference
}

fn drawings_are_same(files: &[FileChange]) -> bool {
    files
        .iter()
        .filter(|file| {
            file.was
                .iter()
                .chain(&file.now)
                .any(|file| file.kind == FileKind::Drawing)
        })
        .all(|file| !file.state.is_change())
}

/// Adds the sizes that differ; gives those that are not known on either side, by
/// cabinet.
fn sizes<'a>(
    was: &'a [Size],
    now: &'a [Size],
    changes: &mut Vec<SizeChange>,
) -> Vec<(&'a str, Vec<&'a str>)> {
    type Key<'a> = (&'a str, &'a str);
    fn key(size: &Size) -> Key<'_> {
        (&size.cabinet, &size.what)
    }
    let old: BTreeMap<Key<'_>, &Size> = was.iter().map(|size| (key(size), size)).collect();
    let new: BTreeMap<Key<'_>, &Size> = now.iter().map(|size| (key(size), size)).collect();
    let mut unknown: Vec<(&str, Vec<&str>)> = Vec::new();
    // In the order of what is now, then what is gone.
    let gone = was.iter().filter(|size| !new.contains_key(&key(size)));
    for size in now.iter().chain(gone) {
        let (was, now) = (old.get(&key(size)), new.get(&key(size)));
        match (was, now) {
            (Some(was), Some(now)) if same(was, now) => {
                if was.mm.is_none() {
                    match unknown.iter_mut().find(|(name, _)| *name == now.cabinet) {
                        Some((_, names)) => names.push(&now.what),
                        None => unknown.push((&now.cabinet, vec![&now.what])),
                    }
                }
            }
            _ => changes.push(SizeChange {
                cabinet: size.cabinet.clone(),
                what: size.what.clone(),
                was: was.map(|size| (*size).clone()),
                now: now.map(|size| (*size).clone()),
            }),
        }
    }
    // Stable: gone sizes follow those of their cabinet.
    changes.sort_by(|a, b| natural(&a.cabinet, &b.cabinet));
    unknown
}

/// The same size, or unknown both times, for whatever reason.
fn same(was: &Size, now: &Size) -> bool {
    match (was.mm, now.mm) {
        (Some(a), Some(b)) => (a - b).abs() <= SAME_MM && was.at_least == now.at_least,
        (None, None) => true,
        _ => false,
    }
}

fn sentence(entry: &Acceptance) -> String {
    let until = entry
        .until
        .as_ref()
        .map(|until| format!(", until {until}"))
        .unwrap_or_default();
    format!(
        "{} (accepted by {} on {}{until}: {})",
        entry.says, entry.by, entry.date, entry.reason
    )
}

fn texts<T: Ord>(was: &[T], now: &[T], text: impl Fn(&T) -> String) -> Vec<TextChange> {
    let old: BTreeSet<&T> = was.iter().collect();
    let new: BTreeSet<&T> = now.iter().collect();
    let gone = old.difference(&new).map(|item| (item, false));
    let added = new.difference(&old).map(|item| (item, true));
    gone.chain(added)
        .map(|(item, new)| TextChange {
            text: text(item),
            new,
        })
        .collect()
}
