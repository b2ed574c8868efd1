//! Writing all reports into a folder: all of them or none, and never over a file
//! that is there unless that is asked for.

use super::written::{self, State, Written};
use super::{Format, Report, proposal, words};
use crate::cutlist::CutList;
use std::collections::BTreeSet;
use std::fs;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use tempfile::NamedTempFile;

/// Why reports could not be written. Nothing was written then.
#[derive(Debug, thiserror::Error)]
pub enum SaveError {
    #[error("{files} already there; nothing was written; --force replaces what is there")]
    Exists { files: String },
    #[error("{folder} is a file, so no reports can be written into it; name a folder")]
    NotAFolder { folder: String },
    #[error("{file} is a file of the job itself and is never replaced; choose another folder")]
    Input { file: String },
    #[error("{file} cannot be written, so nothing was: {source}")]
    Io { file: String, source: io::Error },
}

/// What is to be written, and what was left out and why.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Planned {
    /// File name and content.
    pub files: Vec<(String, Vec<u8>)>,
    /// "glaze-room.dxf has no marked-up copy: ...".
    pub notes: Vec<String>,
}

/// All reports of a job. `read` gives the content of an input file by its shown
/// path.
pub fn plan(report: &Report<'_>, read: impl Fn(&str) -> io::Result<Vec<u8>>) -> Planned {
    let mut planned = Planned::default();
    for (name, format) in [
        ("report.txt", Format::Text),
        ("report.html", Format::Html),
        ("report.json", Format::Json),
        ("findings.csv", Format::Csv),
        ("findings.junit.xml", Format::Junit),
        ("findings.sarif", Format::Sarif),
    ] {
        let text = report.render(format, false);
        planned.files.push((name.to_owned(), text.into_bytes()));
    }
    for (index, sheet) in report.job.sheets.iter().enumerate() {
        let refused =
            |why: &dyn std::fmt::Display| format!("{} has no marked-up copy: {why}", sheet.file);
        let content = match read(&sheet.file) {
            Ok(content) => content,
            Err(error) => {
                planned.notes.push(refused(&error));
                continue;
            }
        };
        match super::markup::copy(report, index, &content) {
            Ok(copy) => {
                let name = free_name(&planned.files, &sheet.file, "findings", "dxf");
                planned.files.push((name, copy));
            }
            Err(super::markup::MarkupRefusal::Nothing) => {}
            Err(error) => planned.notes.push(refused(&error)),
        }
    }
    for list in &report.job.lists {
        propose(&mut planned, report, list, &read);
    }
    planned
}

/// The corrected list, and the list of what changes in it.
fn propose(
    planned: &mut Planned,
    report: &Report<'_>,
    list: &CutList,
    read: &impl Fn(&str) -> io::Result<Vec<u8>>,
) {
    let corrections = proposal::corrections(report, list);
    if corrections.is_empty() {
        return;
    }
    let changes = proposal::changes(report, &corrections);
    let name = free_name(&planned.files, &list.file, "changes", "csv");
    planned.files.push((name, changes.into_bytes()));
    let refused =
        |why: &dyn std::fmt::Display| format!("{} has no corrected copy: {why}", list.file);
    if !proposal::is_text(&list.file) {
        planned.notes.push(refused(
            &"a workbook is not rewritten; its changes are listed",
        ));
        return;
    }
    let rewritten = read(&list.file)
        .map_err(|error| refused(&error))
        .and_then(|content| {
            proposal::rewrite(&corrections, &content).map_err(|error| refused(&error))
        });
    match rewritten {
        Ok(content) => {
            let extension = words::file_name(&list.file)
                .rsplit_once('.')
                .map_or("csv", |(_, extension)| extension);
            let name = free_name(&planned.files, &list.file, "proposal", extension);
            planned.files.push((name, content));
        }
        Err(note) => planned.notes.push(note),
    }
}

/// `glaze-room.findings.dxf`; numbered when two inputs share a name.
fn free_name(files: &[(String, Vec<u8>)], shown: &str, what: &str, extension: &str) -> String {
    let name = words::file_name(shown);
    let stem = name.rsplit_once('.').map_or(name, |(stem, _)| stem);
    (1..)
        .map(|number| match number {
            1 => format!("{stem}.{what}.{extension}"),
            _ => format!("{stem}.{what}-{number}.{extension}"),
        })
        .find(|name| files.iter().all(|(other, _)| other != name))
        .unwrap_or_default()
}

/// Writes the files and their record into a folder, made when it is not there.
/// `inputs` are files that must never be replaced. Gives the paths written.
///
/// # Errors
/// When a file is there already and `force` is not given, or when writing fails;
/// the folder is then as it was.
pub fn write(
    folder: &Path,
    files: &[(String, Vec<u8>)],
    inputs: &[PathBuf],
    force: bool,
) -> Result<Vec<PathBuf>, SaveError> {
    if folder.exists() && !folder.is_dir() {
        return Err(SaveError::NotAFolder {
            folder: folder.display().to_string(),
        });
    }
    let before = written::read(folder);
    let mut files = files.to_vec();
    let record = Written::of(&files);
    files.push((written::NAME.to_owned(), record.text().into_bytes()));

    let inputs: BTreeSet<PathBuf> = inputs
        .iter()
        .filter_map(|path| fs::canonicalize(path).ok())
        .collect();
    let mut there = Vec::new();
    for (name, _) in &files {
        let path = folder.join(name);
        if fs::canonicalize(&path).is_ok_and(|path| inputs.contains(&path)) {
            return Err(SaveError::Input {
                file: path.display().to_string(),
            });
        }
        // A link that leads nowhere is there as well.
        if path.symlink_metadata().is_ok() {
            there.push(path.display().to_string());
        }
    }
    if !there.is_empty() && !force {
        let verb = if there.len() == 1 { "is" } else { "are" };
        return Err(SaveError::Exists {
            files: format!("{} {verb}", there.join(", ")),
        });
    }
    // Reports of the run before that this one does not have would look current.
    let stale: Vec<PathBuf> = before
        .files
        .keys()
        .filter(|name| files.iter().all(|(other, _)| other != *name))
        .map(|name| (name, folder.join(words::file_name(name))))
        .filter(|(name, path)| force && before.state(name, path) == State::Ours)
        .map(|(_, path)| path)
        .filter(|path| fs::canonicalize(path).is_ok_and(|path| !inputs.contains(&path)))
        .collect();

    let made_folder = !folder.exists();
    let failed = |file: &Path, source: io::Error| SaveError::Io {
        file: file.display().to_string(),
        source,
    };
    fs::create_dir_all(folder).map_err(|error| failed(folder, error))?;
    let result = replace(folder, &files, &stale);
    if result.is_err() && made_folder {
        let _ = fs::remove_dir(folder);
    }
    result.map_err(|(file, error)| failed(&file, error))
}

type Failed = (PathBuf, io::Error);

/// Writes everything beside its place first, then moves it there; moves back
/// what was there when something fails.
fn replace(
    folder: &Path,
    files: &[(String, Vec<u8>)],
    stale: &[PathBuf],
) -> Result<Vec<PathBuf>, Failed> {
    let mut ready = Vec::new();
    for (name, content) in files {
        let path = folder.join(name);
        let made = NamedTempFile::new_in(folder).and_then(|mut file| {
            file.write_all(content)?;
            file.as_file().sync_all()?;
            Ok(file)
        });
        match made {
            Ok(file) => ready.push((path, file)),
            Err(error) => return Err((path, error)),
        }
    }
    let aside = match tempfile::Builder::new()
        .prefix(".dryfit-")
        .tempdir_in(folder)
    {
        Ok(aside) => aside,
        Err(error) => return Err((folder.to_owned(), error)),
    };
    let mut done = Done::default();
    for path in ready.iter().map(|(path, _)| path).chain(stale) {
        if path.symlink_metadata().is_err() {
            continue;
        }
        let kept = aside.path().join(done.kept.len().to_string());
        if let Err(error) = fs::rename(path, &kept) {
            done.undo();
            return Err((path.clone(), error));
        }
        done.kept.push((path.clone(), kept));
    }
    for (path, file) in ready {
        match file.persist_noclobber(&path) {
            Ok(file) => {
                crate::signoff::readable(&file);
                done.new.push(path);
            }
            Err(error) => {
                done.undo();
                return Err((path, error.error));
            }
        }
    }
    Ok(done.new)
}

/// What has been moved so far.
#[derive(Default)]
struct Done {
    new: Vec<PathBuf>,
    /// Where it was, and where it is kept.
    kept: Vec<(PathBuf, PathBuf)>,
}

impl Done {
    fn undo(&self) {
        for path in &self.new {
            let _ = fs::remove_file(path);
        }
        for (path, kept) in &self.kept {
            let _ = fs::rename(kept, path);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::sample;

    fn names(folder: &Path) -> Vec<String> {
        let mut names: Vec<_> = fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }

    fn files(content: &str) -> Vec<(String, Vec<u8>)> {
        ["a.txt", "b.txt"]
            .map(|name| (name.to_owned(), content.into()))
            .to_vec()
    }

    #[test]
    fn every_report_of_a_job() {
        let (job, audit) = (sample::job(), sample::audit());
        let drawing = "  0\nSECTION\n  2\nENTITIES\n  0\nENDSEC\n  0\nEOF\n";
        let list = "\nB2,Side,2,31,23 1/4,3/4\n\nB2,Back,1,35 1/4,26 1/4,1/4\n";
        let planned = plan(&Report::new(&job, &audit), |shown| {
            Ok(if shown.ends_with("dxf") {
                drawing
            } else {
                list
            }
            .into())
        });
        let names: Vec<_> = planned
            .files
            .iter()
            .map(|(name, _)| name.as_str())
            .collect();
        assert_eq!(
            names,
            [
                "report.txt",
                "report.html",
                "report.json",
                "findings.csv",
                "findings.junit.xml",
                "findings.sarif",
                "glaze-room.findings.dxf",
                "cutlist.changes.csv",
                "cutlist.proposal.csv"
            ]
        );
        assert!(planned.notes.is_empty());
        let unreadable = plan(&Report::new(&job, &audit), |_| {
            Err(io::Error::other("gone"))
        });
        assert_eq!(
            unreadable.notes,
            [
                "glaze-room/glaze-room.dxf has no marked-up copy: gone",
                "glaze-room/cutlist.csv has no corrected copy: gone"
            ]
        );
    }

    #[test]
    fn nothing_is_replaced_unless_asked_for() {
        let home = tempfile::tempdir().unwrap();
        let folder = home.path().join("new/reports");
        assert_eq!(write(&folder, &files("1"), &[], false).unwrap().len(), 3);
        fs::remove_file(folder.join("a.txt")).unwrap();
        let error = write(&folder, &files("2"), &[], false)
            .unwrap_err()
            .to_string();
        assert!(
            error.contains("b.txt") && error.contains("--force"),
            "{error}"
        );
        assert_eq!(names(&folder), ["b.txt", written::NAME]);
        assert_eq!(fs::read(folder.join("b.txt")).unwrap(), b"1");
        write(&folder, &files("2"), &[], true).unwrap();
        assert_eq!(names(&folder), ["a.txt", "b.txt", written::NAME]);
        assert_eq!(fs::read(folder.join("b.txt")).unwrap(), b"2");
    }

    #[test]
    fn reports_the_new_run_does_not_have_are_taken_away_unless_edited() {
        let home = tempfile::tempdir().unwrap();
        let mut before = files("1");
        before.push(("edited.txt".to_owned(), b"1".to_vec()));
        write(home.path(), &before, &[], false).unwrap();
        fs::write(home.path().join("edited.txt"), "mine").unwrap();
        write(home.path(), &files("1")[..1], &[], true).unwrap();
        assert_eq!(names(home.path()), ["a.txt", written::NAME, "edited.txt"]);
    }

    #[test]
    fn an_input_is_never_replaced() {
        let home = tempfile::tempdir().unwrap();
        let input = home.path().join("b.txt");
        fs::write(&input, "rows").unwrap();
        let error =
            write(home.path(), &files("1"), std::slice::from_ref(&input), true).unwrap_err();
        assert!(
            error.to_string().contains("is a file of the job itself"),
            "{error}"
        );
        assert_eq!(fs::read(&input).unwrap(), b"rows");
        assert_eq!(names(home.path()), ["b.txt"]);
    }

    #[test]
    fn a_file_is_no_folder() {
        let home = tempfile::tempdir().unwrap();
        let path = home.path().join("reports");
        fs::write(&path, "x").unwrap();
        let error = write(&path, &files("1"), &[], true)
            .unwrap_err()
            .to_string();
        assert!(error.contains("is a file, so no reports"), "{error}");
    }

    #[test]
    fn when_one_file_cannot_be_written_none_is() {
        let home = tempfile::tempdir().unwrap();
        write(home.path(), &files("1"), &[], false).unwrap();
        let mut with_impossible = files("2");
        // No such folder below the target.
        with_impossible.push(("no/such/c.txt".to_owned(), b"2".to_vec()));
        let error = write(home.path(), &with_impossible, &[], true).unwrap_err();
        assert!(error.to_string().contains("so nothing was"), "{error}");
        assert_eq!(names(home.path()), ["a.txt", "b.txt", written::NAME]);
        assert_eq!(fs::read(home.path().join("a.txt")).unwrap(), b"1");
    }
}
