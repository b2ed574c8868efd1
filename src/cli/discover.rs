//! Which files a call means: files as named, and the drawings, lists and the
//! job file of a folder. The order is that of the shown paths, whatever the
//! order of the call.

use crate::audit::InputProblem;
use crate::report::written::{self, State};
use crate::signoff::accepted;
use crate::signoff::release::record;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Name of the job file a folder may hold.
pub const JOB_FILE: &str = "dryfit.toml";

/// What this program keeps in a job folder beside its reports.
const RECORDS: [&str; 2] = [written::NAME, accepted::NAME];

/// A file to read, and the path to show for it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Input {
    pub shown: String,
    /// Empty for a file held in memory.
    pub path: PathBuf,
    /// The content, when it is held in memory.
    pub held: Option<Arc<[u8]>>,
}

/// A file held in memory.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Held {
    /// Name without folders.
    pub name: String,
    pub bytes: Arc<[u8]>,
}

impl Input {
    pub fn size(&self) -> Option<u64> {
        match &self.held {
            Some(bytes) => Some(bytes.len() as u64),
            None => Some(fs::metadata(&self.path).ok()?.len()),
        }
    }

    pub fn hash(&self) -> Option<String> {
        match &self.held {
            Some(bytes) => Some(written::hash(bytes)),
            None => written::hash_file(&self.path).ok(),
        }
    }
}

/// The files of a job, sorted.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Found {
    /// The folder's name when one folder was given, else the first file's.
    pub name: String,
    pub drawings: Vec<Input>,
    pub lists: Vec<Input>,
    pub job_files: Vec<Input>,
    /// Files and folders that should have been read and could not.
    pub unusable: Vec<InputProblem>,
    /// Files that are not part of the job, and why; for the record.
    pub passed_over: Vec<InputProblem>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Drawing,
    List,
    /// A list only when rows can be read from it.
    PerhapsList,
    JobFile,
}

/// What a file name says.
fn kind(path: &Path) -> Result<Kind, (&'static str, bool)> {
    if path.file_name().is_some_and(|name| name == JOB_FILE) {
        return Ok(Kind::JobFile);
    }
    let extension = path
        .extension()
        .map(|extension| extension.to_string_lossy().to_ascii_lowercase());
    match extension.as_deref() {
        Some("dxf") => Ok(Kind::Drawing),
        Some("csv" | "tsv" | "xlsx" | "ods") => Ok(Kind::List),
        Some("txt") => Ok(Kind::PerhapsList),
        Some("dwg") => Err((
            "a DWG drawing cannot be read; export it as DXF and add that",
            true,
        )),
        Some("xls" | "xlsm" | "xlsb") => Err((
            "this kind of workbook cannot be read; save it as XLSX, ODS or CSV",
            true,
        )),
        _ => Err((
            "neither a drawing (.dxf) nor a list (.csv, .tsv, .txt, .xlsx, .ods)",
            false,
        )),
    }
}

/// Looks through the paths of a call.
pub fn discover(paths: &[PathBuf]) -> Found {
    let mut found = Found::default();
    let mut seen = Seen::default();
    // Files named outright come first, so that a file both named and found in a
    // folder counts as named.
    let (folders, files): (Vec<_>, Vec<_>) = paths.iter().partition(|path| path.is_dir());
    for path in sorted(files) {
        add_named(&mut found, &mut seen, path);
    }
    for path in sorted(folders) {
        add_folder(&mut found, &mut seen, path);
    }
    found.drawings.sort();
    found.lists.sort();
    found.job_files.sort();
    found.unusable.sort();
    found.passed_over.sort();
    found.name = name(paths, &found);
    found
}

impl Found {
    /// Adds files held in memory, as if each were named in the call.
    pub fn hold(&mut self, files: &[Held]) {
        for file in files {
            let input = Input {
                shown: file.name.clone(),
                path: PathBuf::new(),
                held: Some(Arc::clone(&file.bytes)),
            };
            match kind(Path::new(&file.name)) {
                Ok(Kind::Drawing) => self.drawings.push(input),
                Ok(Kind::List | Kind::PerhapsList) => self.lists.push(input),
                Ok(Kind::JobFile) => self.job_files.push(input),
                Err((message, _)) => self.unusable.push(InputProblem {
                    file: file.name.clone(),
                    message: message.to_owned(),
                }),
            }
        }
        self.drawings.sort();
        self.lists.sort();
        self.unusable.sort();
    }
}

fn sorted(mut paths: Vec<&PathBuf>) -> Vec<&PathBuf> {
    paths.sort();
    paths.dedup();
    paths
}

fn name(paths: &[PathBuf], found: &Found) -> String {
    let folder = match paths {
        [one] if one.is_dir() => fs::canonicalize(one).ok(),
        _ => None,
    };
    let first = || {
        found
            .drawings
            .first()
            .or(found.lists.first())
            .map(|input| input.path.clone())
    };
    folder
        .or_else(first)
        .and_then(|path| {
            let path = if path.is_dir() {
                path.file_name()?.to_owned()
            } else {
                path.file_stem()?.to_owned()
            };
            Some(path.to_string_lossy().into_owned())
        })
        .unwrap_or_else(|| "job".to_owned())
}

/// Files already taken, by their one true path.
#[derive(Default)]
struct Seen(BTreeMap<PathBuf, String>);

impl Seen {
    /// True the first time a file turns up.
    fn first_time(&mut self, path: &Path, shown: &str) -> bool {
        let true_path = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
        match self.0.entry(true_path) {
            std::collections::btree_map::Entry::Occupied(_) => false,
            std::collections::btree_map::Entry::Vacant(entry) => {
                entry.insert(shown.to_owned());
                true
            }
        }
    }
}

fn add_named(found: &mut Found, seen: &mut Seen, path: &Path) {
    let shown = path.to_string_lossy().into_owned();
    if !seen.first_time(path, &shown) {
        return;
    }
    if !path.exists() {
        found.unusable.push(InputProblem {
            file: shown,
            message: "there is no such file or folder".to_owned(),
        });
        return;
    }
    match kind(path) {
        Ok(_) if is_special(path) => found.unusable.push(InputProblem {
            file: shown,
            message: SPECIAL.to_owned(),
        }),
        Ok(kind) => add(found, kind, shown, path.to_owned(), true),
        Err((message, _)) => found.unusable.push(InputProblem {
            file: shown,
            message: message.to_owned(),
        }),
    }
}

const SPECIAL: &str = "it is a pipe or a device, not a file; save it as a file";

/// A pipe may never end, and reading one waits for whoever writes into it.
fn is_special(path: &Path) -> bool {
    fs::metadata(path).is_ok_and(|metadata| !metadata.is_file() && !metadata.is_dir())
}

fn add(found: &mut Found, kind: Kind, shown: String, path: PathBuf, named: bool) {
    let input = Input {
        shown,
        path,
        held: None,
    };
    match kind {
        Kind::Drawing => found.drawings.push(input),
        Kind::List => found.lists.push(input),
        Kind::PerhapsList if named || looks_like_list(&input.path) => found.lists.push(input),
        Kind::PerhapsList => found.passed_over.push(InputProblem {
            file: input.shown,
            message:
                "a text file whose first lines show no columns; name it in the call if it is a list"
                    .to_owned(),
        }),
        Kind::JobFile => found.job_files.push(input),
    }
}

/// A text file in a folder is a list when some early line has columns.
fn looks_like_list(path: &Path) -> bool {
    use std::io::Read;
    let mut head = Vec::new();
    let read = fs::File::open(path).and_then(|file| file.take(4096).read_to_end(&mut head));
    if read.is_err() {
        // Let the reader say why it cannot be read.
        return true;
    }
    let columns = |separator: u8| {
        head.split(|byte| *byte == b'\n')
            .filter(|line| line.iter().filter(|byte| **byte == separator).count() >= 2)
            .count()
            >= 2
    };
    [b'\t', b';', b'|', b','].into_iter().any(columns)
}

fn add_folder(found: &mut Found, seen: &mut Seen, folder: &Path) {
    let shown_folder = folder.to_string_lossy().into_owned();
    let entries = fs::read_dir(folder).and_then(|entries| {
        entries
            .map(|entry| entry.map(|entry| entry.path()))
            .collect::<Result<Vec<_>, _>>()
    });
    let mut entries = match entries {
        Ok(entries) => entries,
        Err(error) => {
            found.unusable.push(InputProblem {
                file: shown_folder,
                message: format!("the folder cannot be read: {error}"),
            });
            return;
        }
    };
    entries.sort();
    let written = written::read(folder);
    for path in entries {
        let shown = path.to_string_lossy().into_owned();
        let file_name = path
            .file_name()
            .map(|name| name.to_string_lossy().into_owned())
            .unwrap_or_default();
        let pass_over = |found: &mut Found, message: &str| {
            found.passed_over.push(InputProblem {
                file: shown.clone(),
                message: message.to_owned(),
            });
        };
        if file_name.starts_with(['.', '~'])
            || RECORDS.contains(&file_name.as_str())
            || record::is_name(&file_name)
        {
            continue;
        }
        if path.is_dir() {
            pass_over(
                found,
                "a folder inside the job folder; name it in the call if it belongs to the job",
            );
            continue;
        }
        let kind = kind(&path);
        if kind.is_ok() && is_special(&path) {
            found.unusable.push(InputProblem {
                file: shown,
                message: SPECIAL.to_owned(),
            });
            continue;
        }
        match (written.state(&file_name, &path), &kind) {
            (State::Ours, _) => {
                pass_over(found, "a report of an earlier run");
                continue;
            }
            (State::Changed, Ok(_)) => {
                found.unusable.push(InputProblem {
                    file: shown,
                    message: "written by an earlier run and changed since, so it is not taken \
                              for a file of the job; name it in the call, or give it another name"
                        .to_owned(),
                });
                continue;
            }
            _ => {}
        }
        match kind {
            Ok(kind) => {
                if seen.first_time(&path, &shown) {
                    add(found, kind, shown, path, false);
                }
            }
            Err((message, true)) => found.unusable.push(InputProblem {
                file: shown,
                message: message.to_owned(),
            }),
            Err((message, false)) => pass_over(found, message),
        }
    }
}
