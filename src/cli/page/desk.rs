//! The jobs that are open, so many and no more.

use super::http::Refused;
use super::kept::Kept;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// What is taken, and how much of it is kept.
#[derive(Clone, Copy, Debug)]
pub struct Limits {
    /// Bytes of all files of one request together.
    pub upload: u64,
    pub drawing: usize,
    pub list: usize,
    pub job_file: usize,
    /// Bytes of a form without files.
    pub form: u64,
    pub files: usize,
    pub jobs: usize,
    /// Bytes of the files of all jobs together.
    pub kept: usize,
    /// Connections answered at the same time.
    pub connections: usize,
}

impl Default for Limits {
    fn default() -> Self {
        Limits {
            upload: 256 << 20,
            drawing: 192 << 20,
            list: 32 << 20,
            job_file: 1 << 20,
            form: 4 << 20,
            files: 64,
            jobs: 8,
            kept: 512 << 20,
            connections: 32,
        }
    }
}

#[derive(Debug, Default)]
struct Jobs {
    open: BTreeMap<u32, Arc<Mutex<Kept>>>,
    last: u32,
}

/// The open jobs by number.
#[derive(Debug)]
pub struct Desk {
    pub limits: Limits,
    jobs: Mutex<Jobs>,
    /// Held while files come in: several at once would take memory before any
    /// of them counts as kept.
    door: Mutex<()>,
    /// Held while a job is read and checked: one at a time.
    work: Mutex<()>,
}

/// A lock that a panic elsewhere does not close: what it guards is replaced
/// whole, never left half done.
pub fn hold<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Desk {
    pub fn new(limits: Limits) -> Self {
        Desk {
            limits,
            jobs: Mutex::default(),
            door: Mutex::default(),
            work: Mutex::default(),
        }
    }

    /// One upload at a time.
    pub fn door(&self) -> MutexGuard<'_, ()> {
        hold(&self.door)
    }

    /// One check at a time: two large drawings at once would take the memory of
    /// both.
    pub fn work(&self) -> MutexGuard<'_, ()> {
        hold(&self.work)
    }

    /// Says so when there is no room for another job, before any of it is read.
    ///
    /// # Errors
    /// When too many are open.
    pub fn room_for(&self, bytes: u64) -> Result<(), Refused> {
        self.room_beside(&hold(&self.jobs), bytes)
    }

    fn room_beside(&self, jobs: &Jobs, bytes: u64) -> Result<(), Refused> {
        if jobs.open.len() >= self.limits.jobs {
            return Err(Refused::new(
                409,
                format!("{} jobs are open; close one first", self.limits.jobs),
            ));
        }
        let kept: usize = jobs.open.values().map(|job| hold(job).weight()).sum();
        if kept as u64 + bytes > self.limits.kept as u64 {
            return Err(Refused::new(
                409,
                "the open jobs take all the memory they may; close one first",
            ));
        }
        Ok(())
    }

    /// Puts a job on the desk; gives its number.
    ///
    /// # Errors
    /// When there is no room.
    pub fn add(&self, job: Kept) -> Result<u32, Refused> {
        let mut jobs = hold(&self.jobs);
        self.room_beside(&jobs, job.weight() as u64)?;
        jobs.last += 1;
        let number = jobs.last;
        jobs.open.insert(number, Arc::new(Mutex::new(job)));
        Ok(number)
    }

    /// # Errors
    /// When no such job is open.
    pub fn job(&self, number: u32) -> Result<Arc<Mutex<Kept>>, Refused> {
        hold(&self.jobs)
            .open
            .get(&number)
            .cloned()
            .ok_or_else(|| Refused::new(404, "this job is not open any more"))
    }

    /// Frees a job.
    pub fn close(&self, number: u32) {
        hold(&self.jobs).open.remove(&number);
    }

    /// Number and name of each open job.
    pub fn open(&self) -> Vec<(u32, String)> {
        hold(&self.jobs)
            .open
            .iter()
            .map(|(number, job)| (*number, hold(job).name.clone()))
            .collect()
    }
}
