//! Which file now is which file then: by content first, then by name.

use super::snapshot::{File, FileKind};

/// What became of a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum FileState {
    Same,
    /// The same content under another name.
    Renamed,
    /// The same name, or the only one of its kind, with other content.
    Changed,
    Missing,
    /// Not there then.
    New,
    /// A further file with the content of one of the job; it is read once.
    Copy,
    /// Not among the files of the call.
    NotShown,
}

impl FileState {
    pub const fn word(self) -> &'static str {
        match self {
            FileState::Same => "same",
            FileState::Renamed => "renamed",
            FileState::Changed => "changed",
            FileState::Missing => "missing",
            FileState::New => "new",
            FileState::Copy => "copy",
            FileState::NotShown => "not-shown",
        }
    }

    /// Whether a job with such a file is no longer what it was.
    pub const fn is_change(self) -> bool {
        matches!(
            self,
            FileState::Renamed | FileState::Changed | FileState::Missing | FileState::New
        )
    }
}

/// A file then and now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FileChange {
    pub was: Option<File>,
    pub now: Option<File>,
    pub state: FileState,
}

/// How strictly files are taken for one another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Terms {
    /// All files of the job are to be there.
    Whole,
    /// Some of them are shown.
    Some,
    /// Two issues of a job, whose only drawing or list may have got a new name.
    Issues,
}

/// Pairs files, in the order of the old ones, then the new ones.
pub fn pair(was: &[File], now: &[File], terms: Terms) -> Vec<FileChange> {
    let mut partner: Vec<Option<usize>> = vec![None; was.len()];
    let mut taken = vec![false; now.len()];
    // Job file and accepted deviations work by their name alone.
    let by_name_only = |file: &File| matches!(file.kind, FileKind::JobFile | FileKind::Accepted);
    let same_name_and_content = |a: &File, b: &File| a.name == b.name && a.sha256 == b.sha256;
    let same_content =
        |a: &File, b: &File| a.sha256 == b.sha256 && !by_name_only(a) && !by_name_only(b);
    let same_name = |a: &File, b: &File| a.name == b.name;
    type Fits<'a> = &'a dyn Fn(&File, &File) -> bool;
    let rounds: [Fits<'_>; 3] = [&same_name_and_content, &same_content, &same_name];
    for fits in rounds {
        for (old, partner) in was.iter().zip(&mut partner) {
            if partner.is_some() {
                continue;
            }
            let found = now
                .iter()
                .zip(&mut taken)
                .enumerate()
                .find(|(_, (new, taken))| !**taken && fits(old, new));
            if let Some((index, (_, taken))) = found {
                *taken = true;
                *partner = Some(index);
            }
        }
    }
    if terms == Terms::Issues {
        for kind in [FileKind::Drawing, FileKind::List] {
            let mut old = was
                .iter()
                .zip(&mut partner)
                .filter(|(file, partner)| file.kind == kind && partner.is_none());
            let mut new = now
                .iter()
                .zip(&mut taken)
                .enumerate()
                .filter(|(_, (file, taken))| file.kind == kind && !**taken);
            if let (Some((_, partner)), None, Some((index, (_, taken))), None) =
                (old.next(), old.next(), new.next(), new.next())
            {
                *taken = true;
                *partner = Some(index);
            }
        }
    }
    let mut changes: Vec<FileChange> = was
        .iter()
        .zip(&partner)
        .map(|(old, partner)| {
            let new = partner.and_then(|index| now.get(index));
            let state = match new {
                None if terms == Terms::Some => FileState::NotShown,
                None => FileState::Missing,
                Some(new) if new.sha256 != old.sha256 => FileState::Changed,
                Some(new) if new.name != old.name => FileState::Renamed,
                Some(_) => FileState::Same,
            };
            FileChange {
                was: Some(old.clone()),
                now: new.cloned(),
                state,
            }
        })
        .collect();
    for (new, _) in now.iter().zip(&taken).filter(|(_, taken)| !**taken) {
        let copy = !by_name_only(new)
            && was
                .iter()
                .any(|old| old.sha256 == new.sha256 && !by_name_only(old));
        changes.push(FileChange {
            was: None,
            now: Some(new.clone()),
            state: if copy {
                FileState::Copy
            } else {
                FileState::New
            },
        });
    }
    changes
}
