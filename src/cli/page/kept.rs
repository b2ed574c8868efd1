//! A job on the desk: its files, the job file being drafted for it, and what
//! the last check showed. Drawings and lists that were sent here are held in
//! memory only.

use super::difference::{self, Fate};
use super::draft::{Draft, Statement, Which};
use super::http::Refused;
use crate::audit::{Bin, Outcome};
use crate::cli::checked::{self, Checked};
use crate::cli::discover::{self, JOB_FILE};
use crate::cli::init::write_whole;
use crate::cli::load::{Call, Held};
use crate::construction::JobFile;
use crate::cutlist::{ListHints, Outline, outline};
use crate::report::picture::picture_of_view;
use crate::report::{Body, words};
use crate::signoff::hash::hash;
use crate::view::{Scale, ViewKind};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Views painted for one job; beyond that they are listed without a picture.
const MOST_PICTURES: usize = 60;
/// Bytes of a job file that is read or made.
const LARGEST_JOB_FILE: u64 = 1 << 20;
/// Views listed for correction.
const MOST_VIEWS: usize = 400;

/// Where a job's files are.
#[derive(Clone, Debug)]
pub enum Source {
    /// Sent here, held in memory.
    Sent(Vec<Held>),
    /// A folder given when the program was started.
    Folder(PathBuf),
}

/// Counts and findings of one check.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Brief {
    pub sentence: String,
    /// Stable id and message.
    pub findings: Vec<(String, String)>,
    pub agree: usize,
    pub disagree: usize,
    pub unchecked: usize,
}

/// One table of a list, as read now and as it would be read unaided.
#[derive(Clone, Debug)]
pub struct TableSeen {
    pub file: String,
    pub now: Outline,
    pub unaided: Option<Outline>,
}

/// A view as it was recognised.
#[derive(Clone, Debug)]
pub struct ViewSeen {
    /// Last component of the drawing's name.
    pub file: String,
    pub which: Which,
    pub title: String,
    pub kind: ViewKind,
    pub kind_evidence: String,
    pub cabinets: Vec<String>,
    pub scale: String,
    pub size: String,
    /// An SVG element.
    pub picture: Option<String>,
}

/// What a check showed.
#[derive(Clone, Debug, Default)]
pub struct Seen {
    pub outcome: Option<Outcome>,
    /// Why there is no report.
    pub trouble: Option<String>,
    pub body: Option<Body>,
    pub brief: Brief,
    pub tables: Vec<TableSeen>,
    pub views: Vec<ViewSeen>,
    /// Views that are not listed.
    pub more_views: usize,
    /// Names of cabinets, to choose from.
    pub names: Vec<String>,
}

/// A job on the desk.
#[derive(Clone, Debug)]
pub struct Kept {
    pub name: String,
    pub source: Source,
    /// The job file as it was read or saved last; `None` when there is none.
    pub saved: Option<String>,
    pub draft: String,
    pub seen: Arc<Seen>,
    /// The check before the last change.
    pub before: Option<Brief>,
    /// Grows with every change, so that two windows do not undo each other.
    pub version: u64,
}

impl Kept {
    /// A job of files that were sent.
    ///
    /// # Errors
    /// When the job file among them cannot be used.
    pub fn sent(files: Vec<Held>) -> Result<Self, Refused> {
        let (job_files, files): (Vec<Held>, Vec<Held>) =
            files.into_iter().partition(|file| file.name == JOB_FILE);
        let saved = job_files
            .first()
            .map(|file| read_text(&file.bytes))
            .transpose()?;
        let first = files.iter().find(|file| is_drawing(&file.name));
        let name = first
            .or(files.first())
            .map_or("job", |file| stem(&file.name));
        let name = name.to_owned();
        Kept::new(name, Source::Sent(files), saved)
    }

    /// The job of a folder.
    ///
    /// # Errors
    /// When its job file cannot be read.
    pub fn folder(folder: &Path) -> Result<Self, Refused> {
        let name = std::fs::canonicalize(folder)
            .ok()
            .and_then(|path| Some(path.file_name()?.to_string_lossy().into_owned()))
            .unwrap_or_else(|| "job".to_owned());
        let saved = on_disk(folder)?
            .map(|bytes| read_text(&bytes))
            .transpose()?;
        Kept::new(name, Source::Folder(folder.to_owned()), saved)
    }

    fn new(name: String, source: Source, saved: Option<String>) -> Result<Self, Refused> {
        let mut kept = Kept {
            name,
            source,
            draft: saved.clone().unwrap_or_default(),
            saved,
            seen: Arc::default(),
            before: None,
            version: 0,
        };
        kept.check();
        Ok(kept)
    }

    /// Bytes of the files that were sent.
    pub fn weight(&self) -> usize {
        match &self.source {
            Source::Sent(files) => files.iter().map(|file| file.bytes.len()).sum(),
            Source::Folder(_) => 0,
        }
    }

    pub fn changed(&self) -> bool {
        self.saved.as_deref().unwrap_or_default() != self.draft
    }

    /// Reads and checks everything again.
    pub fn check(&mut self) {
        let mut call = Call {
            job_text: Some(self.draft.clone()),
            ..Call::default()
        };
        match &self.source {
            Source::Sent(files) => {
                call.held.clone_from(files);
                call.name = Some(self.name.clone());
            }
            Source::Folder(folder) => call.paths = vec![folder.clone()],
        }
        let mut seen = Seen {
            tables: self.tables(),
            ..Seen::default()
        };
        match checked::check(&call) {
            Ok(checked) => fill(&mut seen, &checked),
            Err(trouble) => seen.trouble = Some(trouble.to_string()),
        }
        self.seen = Arc::new(seen);
        self.version += 1;
    }

    /// The tables of all lists with their columns.
    fn tables(&self) -> Vec<TableSeen> {
        let hints = JobFile::parse(&self.draft, JOB_FILE)
            .map(|file| file.list)
            .unwrap_or_default();
        let unaided = ListHints {
            columns: Vec::new(),
            ..hints.clone()
        };
        let mut tables = Vec::new();
        for (file, bytes) in self.lists() {
            let mut without = outline(&bytes, &file, &unaided).into_iter();
            for now in outline(&bytes, &file, &hints) {
                tables.push(TableSeen {
                    file: words::file_name(&file).to_owned(),
                    now,
                    unaided: without.next(),
                });
            }
        }
        tables
    }

    fn lists(&self) -> Vec<(String, Arc<[u8]>)> {
        match &self.source {
            Source::Sent(files) => files
                .iter()
                .filter(|file| !is_drawing(&file.name))
                .map(|file| (file.name.clone(), Arc::clone(&file.bytes)))
                .collect(),
            Source::Folder(folder) => discover::discover(std::slice::from_ref(folder))
                .lists
                .iter()
                .filter_map(|input| {
                    let bytes = std::fs::read(&input.path).ok()?;
                    Some((input.shown.clone(), bytes.into()))
                })
                .collect(),
        }
    }

    /// Takes another job file text in the place of the draft, and checks.
    ///
    /// # Errors
    /// When it is no job file; the draft is as before then.
    pub fn redraft(&mut self, text: String) -> Result<(), Refused> {
        if text.len() as u64 > LARGEST_JOB_FILE {
            return Err(Refused::new(
                422,
                "that is far more than a job file has; nothing was changed",
            ));
        }
        JobFile::parse(&text, JOB_FILE).map_err(|error| Refused::new(422, error.to_string()))?;
        if text != self.draft {
            self.draft = text;
            self.before = Some(self.seen.brief.clone());
            self.check();
        }
        Ok(())
    }

    /// Changes the draft by statements.
    ///
    /// # Errors
    /// When the job file does not take them.
    pub fn change(
        &mut self,
        change: impl FnOnce(&mut Draft) -> Result<(), String>,
    ) -> Result<(), Refused> {
        let said = |message: String| Refused::new(422, message);
        let mut draft = Draft::new(&self.draft).map_err(said)?;
        change(&mut draft).map_err(said)?;
        self.redraft(draft.text())
    }

    /// Draft and saved job file, line by line.
    pub fn differences(&self) -> Vec<(Fate, &str)> {
        difference::lines(self.saved.as_deref().unwrap_or_default(), &self.draft)
    }

    /// Reads the folder's job file again; true when it is not what was read or
    /// saved last.
    ///
    /// # Errors
    /// When it cannot be read.
    pub fn look_again(&mut self) -> Result<bool, Refused> {
        let Source::Folder(folder) = &self.source else {
            return Ok(false);
        };
        let there = on_disk(folder)?
            .map(|bytes| read_text(&bytes))
            .transpose()?;
        let other = there != self.saved;
        self.saved = there;
        Ok(other)
    }

    /// What stands for the saved job file, so that only what was shown is replaced.
    pub fn saved_mark(&self) -> String {
        match &self.saved {
            Some(text) => hash(text.as_bytes()),
            None => "none".to_owned(),
        }
    }

    /// Saves the draft into the job folder. `shown` is the mark of the job file
    /// whose differences the person was shown.
    ///
    /// # Errors
    /// When there is no folder, the file there is another one than was shown, or
    /// it cannot be written; nothing is changed then.
    pub fn save(&mut self, shown: &str) -> Result<(), Refused> {
        let Source::Folder(folder) = self.source.clone() else {
            return Err(Refused::new(
                409,
                "this job has no folder; download the job file",
            ));
        };
        if self.look_again()? || self.saved_mark() != shown {
            return Err(Refused::new(
                409,
                "the job file in the folder is not the one that was shown; nothing was written. \
                 Look at the differences again.",
            ));
        }
        let replace = self.saved.is_some();
        write_whole(&folder.join(JOB_FILE), &self.draft, replace).map_err(|message| {
            Refused::new(409, format!("{JOB_FILE} cannot be written: {message}"))
        })?;
        self.saved = Some(self.draft.clone());
        Ok(())
    }
}

fn is_drawing(name: &str) -> bool {
    name.to_ascii_lowercase().ends_with(".dxf")
}

fn stem(name: &str) -> &str {
    name.rsplit_once('.').map_or(name, |(stem, _)| stem)
}

fn read_text(bytes: &[u8]) -> Result<String, Refused> {
    let text = std::str::from_utf8(bytes).map_err(|_| {
        Refused::new(
            422,
            format!("{JOB_FILE} is not UTF-8 text; save it as UTF-8"),
        )
    })?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    // One that cannot be used is shown for correction, not refused.
    Ok(text.to_owned())
}

/// The folder's job file, when it has one.
fn on_disk(folder: &Path) -> Result<Option<Vec<u8>>, Refused> {
    let path = folder.join(JOB_FILE);
    let said =
        |error: std::io::Error| Refused::new(409, format!("{JOB_FILE} cannot be read: {error}"));
    match std::fs::metadata(&path) {
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(None),
        Err(error) => Err(said(error)),
        Ok(metadata) if metadata.len() > LARGEST_JOB_FILE => Err(Refused::new(
            409,
            format!("{JOB_FILE} is far larger than a job file"),
        )),
        Ok(_) => std::fs::read(&path).map(Some).map_err(said),
    }
}

fn fill(seen: &mut Seen, checked: &Checked) {
    let report = checked.report();
    let count = |bin| {
        checked
            .audit
            .coverage
            .iter()
            .filter(|covered| covered.bin == bin)
            .count()
    };
    seen.outcome = Some(report.outcome());
    seen.brief = Brief {
        sentence: report.outcome_sentence(),
        findings: checked
            .audit
            .findings
            .iter()
            .map(|finding| (finding.id.clone(), finding.message.clone()))
            .collect(),
        agree: count(Bin::Agrees),
        disagree: count(Bin::Disagrees),
        unchecked: count(Bin::Unchecked),
    };
    seen.body = Some(report.html_body());
    let views = &checked.job.views.views;
    seen.more_views = views.len().saturating_sub(MOST_VIEWS);
    seen.views = (0..views.len().min(MOST_VIEWS))
        .map(|id| view(checked, id))
        .collect();
    seen.names = checked
        .job
        .lists
        .iter()
        .flat_map(|list| list.names())
        .collect();
    seen.names.sort();
    seen.names.dedup();
}

fn view(checked: &Checked, id: usize) -> ViewSeen {
    let job = &checked.job;
    let view = &job.views.views[id];
    let file = job
        .sheets
        .get(view.sheet)
        .map_or("", |sheet| words::file_name(&sheet.file));
    let title = view.title.as_ref();
    // A text that stands at one view only; a region is lost when lines move.
    let alone = title.filter(|title| {
        title.origin.starts_with("text")
            && !title.text.contains('\n')
            && job
                .views
                .views
                .iter()
                .filter(|other| other.sheet == view.sheet)
                .filter(|other| other.title.as_ref().is_some_and(|t| t.text == title.text))
                .count()
                == 1
    });
    let which = match alone {
        Some(title) => Which::Title(title.text.clone()),
        None => Which::Region(view.region()),
    };
    let sizes = crate::report::size::Printer::of(job);
    let side = |mm: f64| match crate::length::Length::from_mm(mm) {
        Some(length) => sizes.size(length),
        None => "?".to_owned(),
    };
    let (scale, size) = match &view.scale {
        Scale::Known { evidence, .. } => (
            evidence.join("; "),
            format!(
                "{} wide, {} high",
                side(view.extents.width()),
                side(view.extents.height())
            ),
        ),
        Scale::Unknown { reason } => (format!("not known: {reason}"), "not measured".to_owned()),
    };
    ViewSeen {
        file: file.to_owned(),
        which,
        title: words::view(job, id),
        kind: view.kind,
        kind_evidence: view.kind_evidence.clone(),
        cabinets: view.cabinets.clone(),
        scale,
        size,
        picture: (id < MOST_PICTURES).then(|| picture_of_view(job, id)),
    }
}

/// What is said of a view in a draft.
pub fn said_of(draft: &Draft, view: &ViewSeen) -> Statement {
    draft.view(&view.file, &view.which)
}
