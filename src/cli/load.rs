//! A call's files to a [`Job`]: the job file first, then the lists for the
//! names of cabinets, then the drawings with those names to look for.

use super::arguments::UnitsFor;
pub use super::discover::Held;
use super::discover::{self, Input};
use super::stamp::Stamps;
use crate::audit::{InputProblem, Job};
use crate::construction::{
    JobFile, JobFileError, cabinet_key, settle_fronts, settle_words, side_by_side, untitled,
};
use crate::cutlist::ListHints;
use crate::length::Unit;
use crate::view::{Hints, ListedSize, Way};
use crate::{cabinet, cutlist, drawing, view};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::collections::BTreeMap;
use std::path::PathBuf;

/// What a call says about the job.
#[derive(Clone, Debug, Default)]
pub struct Call {
    pub paths: Vec<PathBuf>,
    pub job_file: Option<PathBuf>,
    pub tolerance: Option<crate::length::Length>,
    pub units: Vec<UnitsFor>,
    /// True length over drawn length.
    pub scale: Option<f64>,
    /// Files held in memory, beside those of `paths`.
    pub held: Vec<Held>,
    /// Text of a job file, in the place of any file.
    pub job_text: Option<String>,
    /// Name of the job where the job file gives none.
    pub name: Option<String>,
}

/// Why there is no job to check.
#[derive(Debug, thiserror::Error)]
pub enum LoadError {
    #[error(
        "no drawing and no cut list in {places}; add a DXF drawing and a list (CSV, XLSX or ODS) to the call{details}"
    )]
    Nothing { places: String, details: String },
    #[error("more than one job file: {files}; say which one with --job FILE")]
    SeveralJobFiles { files: String },
    #[error(transparent)]
    JobFile(#[from] JobFileError),
}

/// Sizes beyond which a file is refused rather than read.
const LARGEST_DRAWING: u64 = 2 << 30;
const LARGEST_LIST: u64 = 64 << 20;

/// Reads and measures everything a call names.
///
/// # Errors
/// When there is nothing to check, or the job file cannot be used. A single
/// file that cannot be used is recorded in [`Job::unusable`] instead.
pub fn load(call: &Call) -> Result<Job, LoadError> {
    load_stamped(call).map(|(job, _)| job)
}

/// As [`load`], with what tells later whether a file is still as it was read.
///
/// # Errors
/// As [`load`].
pub fn load_stamped(call: &Call) -> Result<(Job, Stamps), LoadError> {
    let mut found = discover::discover(&call.paths);
    found.hold(&call.held);
    if let Some(name) = &call.name {
        found.name.clone_from(name);
    }
    if found.drawings.is_empty() && found.lists.is_empty() {
        return Err(nothing(call, &found));
    }
    let told = call.job_file.is_some() || call.job_text.is_some();
    if !told && found.job_files.len() > 1 {
        let files: Vec<_> = found.job_files.iter().map(|input| &*input.shown).collect();
        return Err(LoadError::SeveralJobFiles {
            files: files.join(", "),
        });
    }
    let file = job_file(call, &found)?;
    let progress = progress(&found);
    let mut job = Job {
        name: file
            .name
            .clone()
            .unwrap_or_else(|| std::mem::take(&mut found.name)),
        rules: file.rules.clone(),
        ..Job::default()
    };
    if let Some(tolerance) = call.tolerance {
        job.rules.overrule_tolerance(tolerance);
    }
    job.unusable = std::mem::take(&mut found.unusable);
    job.passed_over = std::mem::take(&mut found.passed_over);

    let mut stamps = Stamps::default();
    let list_hints = list_hints(call, &file);
    let (lists, drawings) = (
        distinct(&mut job, found.lists),
        distinct(&mut job, found.drawings),
    );
    for input in lists.iter().chain(&drawings) {
        stamps.add(&input.shown, &input.path);
    }
    let show = |input: &Input| progress.set_message(input.shown.clone());
    let (read_lists, ()) = rayon::join(
        || {
            let of = |input: &Input| {
                show(input);
                let list = read_list(input, &list_hints);
                progress.inc(1);
                list
            };
            lists.iter().map(of).collect::<Vec<_>>()
        },
        || {
            for input in &drawings {
                show(input);
                match read_drawing(input) {
                    Ok(sheet) => {
                        job.unusable.extend(nothing_drawn(&sheet));
                        job.sheets.push(sheet);
                    }
                    Err(problem) => job.unusable.push(problem),
                }
                progress.inc(1);
            }
        },
    );
    for list in read_lists {
        match list {
            Ok(list) => job.lists.push(list),
            Err(problem) => job.unusable.push(problem),
        }
    }
    for shown in stamps.changed() {
        job.unusable.push(InputProblem {
            file: shown.to_owned(),
            message: "it was changed while it was read; run again once it is saved".to_owned(),
        });
    }
    progress.set_message("measuring");
    measured(&mut job, &hints(call, &file), &file);
    progress.finish_and_clear();
    job.unusable.sort();
    job.passed_over.sort();
    Ok((job, stamps))
}

fn read_list(input: &Input, hints: &ListHints) -> Result<cutlist::CutList, InputProblem> {
    too_large(input, LARGEST_LIST).map_or(Ok(()), Err)?;
    match &input.held {
        Some(bytes) => cutlist::read_bytes(bytes, &input.shown, hints),
        None => cutlist::read_file(&input.path, &input.shown, hints),
    }
    .map_err(|error| problem(input, &error))
}

fn read_drawing(input: &Input) -> Result<drawing::Sheet, InputProblem> {
    too_large(input, LARGEST_DRAWING).map_or(Ok(()), Err)?;
    match &input.held {
        Some(bytes) => drawing::read_bytes(bytes, &input.shown),
        None => drawing::read_file(&input.path, &input.shown),
    }
    .map_err(|error| problem(input, &error))
}

/// From files read to views and measured cabinets: `job` has its lists, sheets
/// and rules; gets its views and cabinets, and what the rules draw from both.
pub fn measured(job: &mut Job, hints: &Hints, file: &JobFile) {
    job.views = views(job, hints);
    for sheet in &mut job.sheets {
        sheet.hatch_segments = Vec::new();
    }
    job.cabinets = cabinet::measure(&job.views.views);
    if let Some(unit) = usual_unit(&job.lists) {
        job.rules.print_in(unit);
    }
    take_by_size(job);
    for cabinet in &mut job.cabinets {
        for (name, further) in &file.same_as {
            if cabinet_key(name) == cabinet_key(&cabinet.id) {
                cabinet.same_as.extend(further.iter().cloned());
            }
        }
        cabinet.same_as.sort();
        cabinet.same_as.dedup();
    }
    settle_words(&mut job.lists, &job.cabinets);
    settle_fronts(&mut job.cabinets, &job.lists);
    job.rules.infer(&job.cabinets, &job.lists);
}

/// What is known beforehand, with the names and sizes of the lists.
fn with_lists(mut hints: Hints, lists: &[cutlist::CutList]) -> Hints {
    let names = lists.iter().flat_map(cutlist::CutList::names);
    hints.names = names.chain(hints.names).collect();
    hints.names.sort();
    hints.names.dedup();
    let sizes = lists.iter().flat_map(cutlist::CutList::faces_mm);
    let sizes = sizes.map(|(cabinets, mm)| ListedSize {
        cabinets: cabinets.to_vec(),
        mm,
    });
    hints.sizes = sizes.collect();
    hints
}

/// The views of a job, those that may show one cabinet or several as the list tells.
fn views(job: &mut Job, hints: &Hints) -> view::Reading {
    let (sheets, lists) = (&mut job.sheets, &job.lists);
    let (pages, hints) = view::Pages::of(sheets, || with_lists(hints.clone(), lists));
    let none = BTreeMap::new();
    if pages.doubts() == 0 {
        return pages.last(&job.sheets, &hints, &none);
    }
    let first = pages.read(&job.sheets, &hints, &none);
    let all = (0..pages.doubts()).map(|n| (n, Way::Other)).collect();
    let other = pages.read(&job.sheets, &hints, &all);
    let ways = side_by_side::ways(&first, &other, &job.lists, &job.rules);
    if ways.is_empty() {
        first
    } else {
        pages.last(&job.sheets, &hints, &ways)
    }
}

/// Gives the views no name stands with to the cabinets of the list they are by size.
fn take_by_size(job: &mut Job) {
    job.untitled = untitled::by_size(&job.cabinets, &job.views.untitled, &job.lists, &job.rules);
    let taken = job.untitled.iter().filter(|of| !of.cabinets.is_empty());
    for of in taken.clone() {
        job.views.take(&of.drawn, &of.cabinets, of.whole);
    }
    if taken.count() > 0 {
        job.cabinets = cabinet::measure(&job.views.views);
    }
}

fn nothing(call: &Call, found: &discover::Found) -> LoadError {
    let places: Vec<_> = call
        .paths
        .iter()
        .map(|path| path.to_string_lossy().into_owned())
        .collect();
    let details: String = found
        .unusable
        .iter()
        .chain(&found.passed_over)
        .map(|problem| format!("\n  {}: {}", problem.file, problem.message))
        .collect();
    LoadError::Nothing {
        places: places.join(", "),
        details,
    }
}

/// Leaves out files with the very content of an earlier one: read twice, every
/// row would count double.
fn distinct(job: &mut Job, inputs: Vec<Input>) -> Vec<Input> {
    let mut kept: Vec<(u64, String, Input)> = Vec::new();
    for input in inputs {
        let size = input.size().unwrap_or(0);
        let same_size = kept.iter().any(|(other, _, _)| *other == size && size > 0);
        let twin = if same_size {
            let hash = input.hash();
            kept.iter()
                .filter(|(other, _, _)| *other == size)
                .find(|(_, _, other)| hash.is_some() && other.hash() == hash)
                .map(|(_, shown, _)| shown.clone())
        } else {
            None
        };
        match twin {
            Some(shown) => job.passed_over.push(InputProblem {
                file: input.shown,
                message: format!("the same content as {shown}, so it is read once"),
            }),
            None => kept.push((size, input.shown.clone(), input)),
        }
    }
    kept.into_iter().map(|(_, _, input)| input).collect()
}

fn too_large(input: &Input, limit: u64) -> Option<InputProblem> {
    let size = input.size()?;
    (size > limit).then(|| InputProblem {
        file: input.shown.clone(),
        message: format!(
            "{} MB is more than the {} MB that are read",
            size.div_ceil(1 << 20),
            limit >> 20
        ),
    })
}

/// A drawing that can be read but holds nothing to measure.
fn nothing_drawn(sheet: &drawing::Sheet) -> Option<InputProblem> {
    if !(sheet.segments.is_empty() && sheet.arcs.is_empty() && sheet.ellipses.is_empty()) {
        return None;
    }
    let mut message = "nothing is drawn in it that can be measured".to_owned();
    for (skipped, count) in sheet.skipped.iter().take(5) {
        message.push_str(&format!(
            "; {count} {} left out: {}",
            skipped.kind, skipped.reason
        ));
    }
    Some(InputProblem {
        file: sheet.file.clone(),
        message,
    })
}

/// The message without the file it starts with: a problem names the file by itself.
fn problem(input: &Input, error: &dyn std::error::Error) -> InputProblem {
    let message = error.to_string();
    let message = message
        .strip_prefix(&format!("{}: ", input.shown))
        .map(str::to_owned)
        .unwrap_or(message);
    InputProblem {
        file: input.shown.clone(),
        message,
    }
}

/// The job file of the call or of the folder; an empty one when there is none.
fn job_file(call: &Call, found: &discover::Found) -> Result<JobFile, JobFileError> {
    if let Some(text) = &call.job_text {
        return JobFile::parse(text, discover::JOB_FILE);
    }
    let named = call.job_file.as_ref().map(|path| Input {
        shown: path.to_string_lossy().into_owned(),
        path: path.clone(),
        held: None,
    });
    match named.as_ref().or(found.job_files.first()) {
        Some(input) => JobFile::load(&input.path, &input.shown),
        None => Ok(JobFile::default()),
    }
}

/// The unit most sizes of the lists are written in.
pub(super) fn usual_unit(lists: &[cutlist::CutList]) -> Option<Unit> {
    let (mut imperial, mut metric) = (0_usize, 0_usize);
    for cell in lists
        .iter()
        .flat_map(|list| &list.rows)
        .flat_map(|row| &row.sizes)
    {
        if cell.unit.is_imperial() {
            imperial += 1;
        } else {
            metric += 1;
        }
    }
    (imperial + metric > 0).then_some(if metric > imperial {
        Unit::Millimetre
    } else {
        Unit::Inch
    })
}

/// What the call says goes before what the job file says.
fn list_hints(call: &Call, file: &JobFile) -> ListHints {
    let mut hints = file.list.clone();
    for units in &call.units {
        if let UnitsFor::Both(unit) | UnitsFor::List(unit) = units {
            hints.units = Some((*unit, "--units".to_owned()));
        }
    }
    hints
}

fn hints(call: &Call, file: &JobFile) -> Hints {
    let mut hints = file.hints.clone();
    for units in &call.units {
        if let UnitsFor::Both(unit) | UnitsFor::Drawing(unit) = units {
            hints.units = Some((*unit, "--units".to_owned()));
        }
    }
    if let Some(scale) = call.scale {
        hints.scale = Some((scale, "--scale".to_owned()));
    }
    hints
}

/// How long nobody wonders.
const WONDER: std::time::Duration = std::time::Duration::from_secs(1);

/// A bar on standard error, on a terminal, and only once the work takes long
/// enough to wonder.
fn progress(found: &discover::Found) -> ProgressBar {
    let bytes: u64 = found
        .drawings
        .iter()
        .chain(&found.lists)
        .filter_map(Input::size)
        .sum();
    if bytes < 1 << 20 {
        return ProgressBar::hidden();
    }
    let steps = (found.drawings.len() + found.lists.len() + 1) as u64;
    let bar = ProgressBar::with_draw_target(Some(steps), ProgressDrawTarget::hidden());
    if let Ok(style) = ProgressStyle::with_template("{bar:24} {pos}/{len} {elapsed} {wide_msg}") {
        bar.set_style(style);
    }
    let shown = bar.clone();
    std::thread::spawn(move || {
        std::thread::sleep(WONDER);
        if !shown.is_finished() {
            // Draws nothing when standard error is no terminal.
            shown.set_draw_target(ProgressDrawTarget::stderr());
        }
    });
    bar.enable_steady_tick(std::time::Duration::from_millis(200));
    bar
}
