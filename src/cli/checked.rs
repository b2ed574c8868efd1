//! From a call to a checked job, with its accepted deviations set aside.

use super::Trouble;
use super::load::{self, Call};
use super::stamp::Stamps;
use crate::audit::{Audit, Job, audit};
use crate::report::Report;
use crate::signoff::accepted::{self, Accepted};
use crate::signoff::date::Day;
use crate::signoff::hash::{hash, hash_file};
use crate::signoff::settle::{Settled, settle};
use std::path::{Path, PathBuf};

/// A job, what the audit made of it, and what was accepted.
#[derive(Debug)]
pub struct Checked {
    pub job: Job,
    pub audit: Audit,
    pub accepted: Accepted,
    pub settled: Settled,
    /// Whether the files are still as they were read.
    pub stamps: Stamps,
}

/// Loads, checks and settles.
///
/// # Errors
/// When there is nothing to check, or the job file or the accepted deviations
/// cannot be used.
pub fn check(call: &Call) -> Result<Checked, Trouble> {
    let accepted = match job_folder(&call.paths) {
        Some(folder) => accepted::read(&folder)?,
        None => Accepted::default(),
    };
    let (job, stamps) = load::load_stamped(call)?;
    let audit = audit(&job);
    let content = |shown: &str| match call.held.iter().find(|file| file.name == shown) {
        Some(file) => Some(hash(&file.bytes)),
        None => content_hash(shown),
    };
    let settled = settle(&job, &audit, &accepted, Day::today(), &content);
    Ok(Checked {
        job,
        audit,
        accepted,
        settled,
        stamps,
    })
}

/// Hash of an input file by its shown path.
pub fn content_hash(shown: &str) -> Option<String> {
    hash_file(Path::new(shown)).ok()
}

impl Checked {
    pub fn report(&self) -> Report<'_> {
        Report::new(&self.job, &self.audit).settled(&self.settled)
    }
}

/// The folder that holds what belongs to the whole job: the one folder of the
/// call, or the one folder all its files are in.
pub fn job_folder(paths: &[PathBuf]) -> Option<PathBuf> {
    let folders: Vec<&PathBuf> = paths.iter().filter(|path| path.is_dir()).collect();
    if let [only] = folders.as_slice() {
        return Some((*only).clone());
    }
    if !folders.is_empty() {
        return None;
    }
    let parent = |path: &PathBuf| {
        let parent = path.parent()?;
        Some(if parent.as_os_str().is_empty() {
            PathBuf::from(".")
        } else {
            parent.to_owned()
        })
    };
    let first = parent(paths.first()?)?;
    paths
        .iter()
        .all(|path| parent(path).as_ref() == Some(&first))
        .then_some(first)
}
