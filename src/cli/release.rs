//! `dryfit release`: put a name to a job, so that the floor can tell whether it
//! still is what was checked.

use super::accept::filled;
use super::arguments::{Settings, UnitsFor};
use super::{Trouble, check::status, print, state};
use crate::audit::{Bin, Outcome};
use crate::plain::{count, file_name, printable};
use crate::report::page::{Page, Tone};
use crate::report::words;
use crate::signoff::date::Day;
use crate::signoff::open;
use crate::signoff::release::record::{self, Record, SCHEMA, Said};
use crate::signoff::release::snapshot::{File, FileKind, Snapshot};
use crate::signoff::release::take;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

#[derive(Clone, Debug, clap::Args)]
#[command(
    after_help = "Exit status: 0 released; 1 something disagrees or 3 something was not \
                        checked, without being accepted, so nothing was written; 2 nothing could \
                        be checked, or the call could not be used."
)]
pub struct Arguments {
    /// The job's folder
    #[arg(value_name = "JOB")]
    pub folder: PathBuf,
    /// Who releases it
    #[arg(long, value_name = "NAME", value_parser = filled)]
    pub by: String,
    /// Label of this release: letters, digits, '.', '-' and '_'; today's date if not given
    #[arg(long, value_name = "LABEL", value_parser = label)]
    pub issue: Option<String>,
    /// Replace a record of the same label
    #[arg(long)]
    pub force: bool,
    #[command(flatten)]
    pub settings: Settings,
}

/// Part of a file name on every system.
fn label(text: &str) -> Result<String, String> {
    let fits = |character: char| character.is_ascii_alphanumeric() || "._-".contains(character);
    if text.is_empty() || text.len() > 40 || !text.chars().all(fits) {
        return Err("use up to 40 letters, digits, '.', '-' and '_'".to_owned());
    }
    Ok(text.to_owned())
}

/// Why a job could not be released, beside what it is itself.
#[derive(Debug, thiserror::Error)]
pub enum ReleaseError {
    #[error("{folder} is no folder; a release is kept in the job's folder")]
    NotAFolder { folder: String },
    #[error(
        "{file} is not in the job's folder, so a release would not keep it; put the job file there"
    )]
    JobFileElsewhere { file: String },
    #[error("{file} was saved while it was being checked; nothing was released; run it again")]
    Moving { file: String },
}

/// Checks the job and writes the record if nothing stands in the way.
///
/// # Errors
/// When the job can't be checked, or the record can't be written.
pub fn run(arguments: &Arguments) -> Result<u8, Trouble> {
    let folder = &arguments.folder;
    if !folder.is_dir() {
        return Err(ReleaseError::NotAFolder {
            folder: folder.display().to_string(),
        }
        .into());
    }
    if let Some(file) = &arguments.settings.job_file {
        let canonical = |path: &Path| std::fs::canonicalize(path).ok();
        let parent = canonical(file).and_then(|file| file.parent().map(Path::to_owned));
        if parent.is_none() || parent != canonical(folder) {
            return Err(ReleaseError::JobFileElsewhere {
                file: file.display().to_string(),
            }
            .into());
        }
    }
    let today = Day::today().to_string();
    let issue = arguments.issue.clone().unwrap_or_else(|| today.clone());
    let path = record::path(folder, &issue);
    // Said before the work is done; `write` makes sure of it.
    if !arguments.force && path.symlink_metadata().is_ok() {
        return Err(record::RecordError::Exists {
            file: path.display().to_string(),
        }
        .into());
    }
    let paths = std::slice::from_ref(folder);
    let before = state::places(paths, &[])
        .iter()
        .map(take::file)
        .collect::<Result<Vec<File>, _>>()?;
    let (checked, snapshot) = state::now(&arguments.settings.call(paths))?;
    if let Some(file) = moving(&before, &snapshot) {
        return Err(ReleaseError::Moving { file }.into());
    }
    if checked.settled.outcome != Outcome::Agrees {
        print(&refusal(&checked, folder))?;
        return Ok(status(checked.settled.outcome));
    }
    let record = Record {
        seal: String::new(),
        schema: SCHEMA.to_owned(),
        issue,
        by: arguments.by.clone(),
        date: today,
        said: said(&arguments.settings),
        snapshot,
    };
    let (text, seal) = record.text();
    record::write(&path, &text, arguments.force)?;
    print(&released(&record, &path, &seal, &checked))?;
    Ok(0)
}

/// A file that is not what it was before the check began.
fn moving(before: &[File], snapshot: &Snapshot) -> Option<String> {
    let hashes: BTreeSet<&str> = before.iter().map(|file| file.sha256.as_str()).collect();
    snapshot
        .files
        .iter()
        // A job file of another name is not among the files of the folder.
        .filter(|file| file.kind != FileKind::JobFile)
        .find(|file| !hashes.contains(file.sha256.as_str()))
        .map(|file| file.name.clone())
}

/// What the call said, in words it takes.
fn said(settings: &Settings) -> Said {
    Said {
        tolerance: settings
            .tolerance
            .map(|tolerance| format!("{} mm", tolerance.mm())),
        units: settings
            .units
            .iter()
            .map(|units| match units {
                UnitsFor::Both(unit) => unit.abbreviation().to_owned(),
                UnitsFor::Drawing(unit) => format!("drawing={}", unit.abbreviation()),
                UnitsFor::List(unit) => format!("list={}", unit.abbreviation()),
            })
            .collect(),
        scale: settings.scale.map(|scale| scale.to_string()),
    }
}

/// What stands in the way, and what would take it out of the way.
fn refusal(checked: &super::checked::Checked, folder: &Path) -> String {
    let (audit, settled) = (&checked.audit, &checked.settled);
    let mut page = Page::new(false);
    page.line(Tone::Heading, &checked.job.name);
    page.line(
        Tone::Bad,
        &format!("Not released. {}", words::outcome_sentence(settled.outcome)),
    );
    page.heading("In the way");
    let mut asked = Vec::new();
    for (index, finding) in audit.findings.iter().enumerate() {
        if settled.findings.get(index).is_some_and(Option::is_none) {
            let id = format!("F{}", index + 1);
            page.wrapped(Tone::Bad, &format!("{id:<5}"), "     ", &finding.message);
            asked.push(id);
        }
    }
    for (index, item) in open::items(audit).iter().enumerate() {
        if settled.open.get(index).is_some_and(Option::is_none) {
            let id = format!("U{}", index + 1);
            page.wrapped(Tone::Open, &format!("{id:<5}"), "     ", &item.text);
            asked.push(id);
        }
    }
    // A size that disagrees always stands under a finding; should one not, it
    // still keeps the job from being released.
    let under: BTreeSet<_> = audit
        .findings
        .iter()
        .flat_map(|finding| finding.row.iter().chain(&finding.also))
        .map(|size| (&size.row, size.dimension))
        .collect();
    for covered in audit.coverage.iter().filter(|covered| {
        covered.bin == Bin::Disagrees
            && !under.contains(&(&covered.size.row, covered.size.dimension))
    }) {
        page.item(
            0,
            &format!(
                "{}: {} {}: {}",
                words::place(&covered.size.row),
                covered.size.part,
                covered.size.dimension.word(),
                covered.by
            ),
        );
    }
    page.blank();
    if settled.outcome == Outcome::Unusable || asked.is_empty() {
        page.line(
            Tone::Plain,
            "A job of which nothing could be checked cannot be released, whatever is accepted.",
        );
        return page.finish();
    }
    page.line(
        Tone::Plain,
        "Put right what is wrong. What is to stay as it is, someone accepts by name:",
    );
    let mut text = page.finish();
    text.push_str(&format!(
        "  dryfit accept {} {} \\\n    --reason TEXT --by NAME\n",
        shell_word(&folder.to_string_lossy()),
        asked.join(" ")
    ));
    text
}

/// As a POSIX shell takes it for one word.
fn shell_word(text: &str) -> String {
    let plain =
        |character: char| character.is_ascii_alphanumeric() || "/._-+:@%".contains(character);
    if !text.is_empty() && text.chars().all(plain) {
        return text.to_owned();
    }
    format!("'{}'", printable(text).replace('\'', "'\\''"))
}

fn released(record: &Record, path: &Path, seal: &str, checked: &super::checked::Checked) -> String {
    let job = &record.snapshot;
    let mut page = Page::new(false);
    page.line(
        Tone::Good,
        &format!(
            "{}, issue {}, released by {} on {}.",
            job.job, record.issue, record.by, record.date
        ),
    );
    page.line(
        Tone::Plain,
        &format!(
            "It keeps {}, {}, {} and {} in {}.",
            count(job.files.len(), "file"),
            count(job.rows.len(), "row"),
            count(job.drawn.len(), "drawn size"),
            count(job.builds.len(), "built size"),
            file_name(&path.to_string_lossy()),
        ),
    );
    page.line(Tone::Plain, &format!("Its seal: {seal}"));
    page.line(
        Tone::Plain,
        "Note the seal elsewhere as well, on the job's paper for one: only who knows it can tell \
         a record that was written anew from this one.",
    );
    page.heading("Files");
    for file in &job.files {
        page.wrapped(
            Tone::Plain,
            &format!("  {:<10}", file.kind.word()),
            "            ",
            &file.name,
        );
    }
    if !checked.job.passed_over.is_empty() {
        page.heading("In the folder, but not released");
        for problem in &checked.job.passed_over {
            page.item(
                0,
                &format!("{}: {}", file_name(&problem.file), problem.message),
            );
        }
    }
    if !job.accepted.is_empty() {
        page.heading("Accepted deviations");
        for entry in &job.accepted {
            page.item(0, &entry.says);
            let until = entry
                .until
                .as_ref()
                .map(|until| format!(", until {until}"))
                .unwrap_or_default();
            page.wrapped(
                Tone::Plain,
                "  ",
                "  ",
                &format!(
                    "accepted by {} on {}{until}: {}",
                    entry.by, entry.date, entry.reason
                ),
            );
        }
    }
    if !checked.audit.cautions.is_empty() {
        page.heading("Cautions");
        for caution in &checked.audit.cautions {
            page.item(0, caution.text);
        }
    }
    page.finish()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_are_parts_of_file_names() {
        for good in ["A", "2026-03-01", "rev_2.1"] {
            assert_eq!(label(good).as_deref(), Ok(good));
        }
        for bad in ["", "a/b", "..\\x", "é", "a b", &"x".repeat(41)] {
            assert!(label(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn folders_are_one_word_of_a_shell() {
        assert_eq!(shell_word("jobs/glaze-room"), "jobs/glaze-room");
        assert_eq!(shell_word("my job"), "'my job'");
        assert_eq!(shell_word("it's; rm"), "'it'\\''s; rm'");
    }
}
