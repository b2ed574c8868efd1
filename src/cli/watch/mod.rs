//! `dryfit watch`: check again whenever a file of the job is saved.
//!
//! The system tells of changes in the folders; a look at them every second makes
//! up for what it does not tell (shared drives, folders that were replaced).

mod look;
mod settle;

use super::arguments::JobArguments;
use super::checked::{self, Checked};
use super::{Colour, Trouble, check::status};
use crate::plain::{file_name, printable};
use crate::report::{Format as Printed, Seen};
use look::{Contents, Look};
use notify::{RecursiveMode, Watcher};
use std::io::{IsTerminal as _, Write as _};
use std::path::{Path, PathBuf};
use std::process::exit;
use std::sync::atomic::{AtomicU8, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

#[derive(Clone, Debug, clap::Args)]
#[command(after_help = "Ctrl-C ends it with the exit status of the last check.")]
pub struct Arguments {
    #[command(flatten)]
    pub job: JobArguments,
    /// What to print
    #[arg(long, value_enum, default_value_t)]
    pub format: Format,
    /// Print the whole report each time, as `check` does
    #[arg(long)]
    pub full: bool,
    /// When to colour the text
    #[arg(long, value_enum, value_name = "WHEN", default_value_t)]
    pub color: Colour,
}

/// What `watch` can print.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, clap::ValueEnum)]
pub enum Format {
    /// For a terminal, 80 columns
    #[default]
    Text,
    /// For programs: one JSON document a line, one line a check
    Json,
}

/// Why nothing can be watched.
#[derive(Debug, thiserror::Error)]
pub enum WatchError {
    #[error("{path}: there is no such file or folder to watch")]
    NotThere { path: String },
    #[error("Ctrl-C cannot be listened for: {message}")]
    Signal { message: String },
}

/// How often the files are looked at when nothing is told of them.
const LOOK: Duration = Duration::from_secs(1);
/// How often while they are being saved.
const CLOSE_LOOK: Duration = Duration::from_millis(50);
/// How many checks in a row may be left out because files changed meanwhile.
const OUT_OF_DATE: u32 = 3;
/// How long Ctrl-C waits for what is being printed.
const PRINTING: Duration = Duration::from_secs(1);

/// Checks, prints, and does so again after each change, until Ctrl-C or until
/// nobody reads any more.
///
/// # Errors
/// When there is nothing to watch.
pub fn run(arguments: &Arguments) -> Result<u8, Trouble> {
    let paths = &arguments.job.paths;
    if let Some(path) = paths.iter().find(|path| !path.exists()) {
        return Err(WatchError::NotThere {
            path: path.display().to_string(),
        }
        .into());
    }
    let printer = Arc::new(Mutex::new(()));
    // Ended before the first check is done, nothing was checked.
    let last = Arc::new(AtomicU8::new(status(crate::audit::Outcome::Unchecked)));
    listen(&printer, &last)?;
    let mut folders = Folders::new(paths);
    eprintln!(
        "dryfit: watching {}; Ctrl-C ends it",
        printable(
            &paths
                .iter()
                .map(|path| path.display().to_string())
                .collect::<Vec<_>>()
                .join(", ")
        )
    );
    let mut looked = Look::at(paths);
    let mut contents = Contents::of(paths);
    let mut seen = None;
    let mut number = 1;
    let mut saved = Vec::new();
    let mut left_out = 0;
    loop {
        let outcome = one(arguments, number, &saved, seen.as_ref());
        // Saved again while it was read: what was found is out of date already.
        // A file that never rests is reported on nevertheless.
        let stale =
            left_out < OUT_OF_DATE && Look::at(paths) != looked && Contents::of(paths) != contents;
        left_out = if stale { left_out + 1 } else { 0 };
        if !stale {
            last.store(outcome.status, Ordering::SeqCst);
            let guard = printer.lock();
            let read = write(&outcome.text);
            drop(guard);
            if !read {
                return Ok(outcome.status);
            }
            seen = outcome.seen.or(seen);
            number += 1;
        }
        (looked, contents, saved) = wait(paths, looked, &contents, &mut folders, stale);
    }
}

/// What one check has to say.
struct Outcome {
    status: u8,
    text: String,
    /// `None` when the job could not be checked.
    seen: Option<Seen>,
}

fn one(arguments: &Arguments, number: usize, saved: &[String], before: Option<&Seen>) -> Outcome {
    let head = if saved.is_empty() {
        format!("Check {number}")
    } else {
        format!("Check {number}: {}", saved.join(", "))
    };
    let head = printable(&head);
    match checked::check(&arguments.job.call()) {
        Ok(checked) => {
            let text = match arguments.format {
                Format::Json => json(number, saved, &checked),
                Format::Text => text(arguments, &head, &checked, before),
            };
            let report = checked.report();
            Outcome {
                status: status(report.outcome()),
                text,
                seen: Some(report.seen()),
            }
        }
        Err(trouble) => {
            let said = trouble.to_string();
            let text = match arguments.format {
                Format::Json => {
                    let line = serde_json::json!({
                        "schema": SCHEMA,
                        "check": number,
                        "saved": saved,
                        "trouble": said,
                    });
                    format!("{line}\n")
                }
                Format::Text => {
                    let lines: Vec<String> = said.lines().map(printable).collect();
                    format!("{head}\n{}\n\n", lines.join("\n"))
                }
            };
            Outcome {
                status: super::UNUSABLE,
                text,
                seen: None,
            }
        }
    }
}

/// The version of a line's shape.
const SCHEMA: &str = "dryfit-watched/1";

fn json(number: usize, saved: &[String], checked: &Checked) -> String {
    let report = checked.report().render(Printed::Json, false);
    let report: serde_json::Value = serde_json::from_str(&report).unwrap_or_default();
    let line = serde_json::json!({
        "schema": SCHEMA,
        "check": number,
        "saved": saved,
        "report": report,
    });
    format!("{line}\n")
}

fn text(arguments: &Arguments, head: &str, checked: &Checked, before: Option<&Seen>) -> String {
    let colour = arguments.color.on();
    let report = checked.report();
    let body = if arguments.full {
        report.render(Printed::Text, colour)
    } else {
        report.brief(before, colour)
    };
    format!("{head}\n{body}\n")
}

/// Writes; false when nobody reads any more.
fn write(text: &str) -> bool {
    let mut out = std::io::stdout().lock();
    out.write_all(text.as_bytes())
        .and_then(|()| out.flush())
        .is_ok()
}

/// Ends the program on Ctrl-C, between two reports rather than within one.
fn listen(printer: &Arc<Mutex<()>>, last: &Arc<AtomicU8>) -> Result<(), WatchError> {
    let (printer, last) = (Arc::clone(printer), Arc::clone(last));
    ctrlc::set_handler(move || {
        let start = Instant::now();
        // A reader that has stopped reading must not keep it alive.
        while printer.try_lock().is_err() && start.elapsed() < PRINTING {
            std::thread::sleep(CLOSE_LOOK);
        }
        if std::io::stderr().is_terminal() {
            // The terminal has shown ^C on a line of its own.
            eprintln!();
        }
        exit(i32::from(last.load(Ordering::SeqCst)));
    })
    .map_err(|error| WatchError::Signal {
        message: error.to_string(),
    })
}

/// The folders the files are in, with whatever the system tells of them.
struct Folders {
    paths: Vec<PathBuf>,
    sender: Sender<()>,
    told: Receiver<()>,
    watcher: Option<notify::RecommendedWatcher>,
}

impl Folders {
    fn new(paths: &[PathBuf]) -> Self {
        let (sender, told) = channel();
        let mut folders = Folders {
            paths: look::folders(paths),
            sender,
            told,
            watcher: None,
        };
        folders.watch();
        folders
    }

    /// Anew, for folders that were replaced. Where it fails, looking is enough.
    fn watch(&mut self) {
        let sender = self.sender.clone();
        let mut watcher = notify::recommended_watcher(move |_| {
            // The receiver lives as long as the watcher.
            let _ = sender.send(());
        })
        .ok();
        for folder in &self.paths {
            if let Some(watcher) = &mut watcher {
                let _ = watcher.watch(folder, RecursiveMode::NonRecursive);
            }
        }
        self.watcher = watcher;
    }

    /// True when something was told within this time.
    fn wait(&self, time: Duration) -> bool {
        let told = self.told.recv_timeout(time);
        if told == Err(RecvTimeoutError::Disconnected) {
            std::thread::sleep(time);
        }
        while self.told.try_recv().is_ok() {}
        told.is_ok()
    }
}

/// Waits until the content of the job is another and its files are saved. Gives
/// the look, the content, and what became of which file.
fn wait(
    paths: &[PathBuf],
    mut looked: Look,
    contents: &Contents,
    folders: &mut Folders,
    mut changed: bool,
) -> (Look, Contents, Vec<String>) {
    loop {
        while !changed {
            let told = folders.wait(LOOK);
            changed = Look::at(paths) != looked;
            if changed && !told {
                folders.watch();
            }
            if told && !changed {
                // Something else in the folder, perhaps again and again.
                std::thread::sleep(CLOSE_LOOK);
            }
        }
        let start = Instant::now();
        looked = settle::settle(
            || {
                folders.wait(CLOSE_LOOK);
                (Look::at(paths), start.elapsed())
            },
            |look| look.is_whole(contents),
        );
        let now = Contents::of(paths);
        if now != *contents {
            let saved = contents.told(&now);
            return (looked, now, saved);
        }
        changed = false;
    }
}

/// The file of a path, for a person.
fn name(path: &Path) -> String {
    file_name(&path.to_string_lossy()).to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ctrl_c_that_is_taken_already_is_said() {
        // Tests that are ended by a signal have not passed.
        let last = Arc::new(AtomicU8::new(1));
        let taken = || listen(&Arc::default(), &last);
        assert!(taken().is_ok());
        let said = taken().unwrap_err().to_string();
        assert!(
            said.starts_with("Ctrl-C cannot be listened for: "),
            "{said}"
        );
    }
}
