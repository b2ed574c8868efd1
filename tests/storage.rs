//! Files that change, folders that cannot be read, disks that are full: reports
//! are written whole or not at all, and the run says what was wrong.
#![cfg(unix)]

mod common;

use std::fs;
use std::os::unix::fs::PermissionsExt as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::atomic::{AtomicBool, Ordering};

const JOB: [&str; 3] = ["c2.dxf", "c2.csv", "dryfit.toml"];

/// A folder with the constructed wall cabinet C2 and one wrong size, so that
/// there is something to write about.
fn job() -> tempfile::TempDir {
    let home = tempfile::tempdir().unwrap();
    for name in JOB {
        let text = fs::read_to_string(common::fixture("worked/c2").join(name)).unwrap();
        fs::write(
            home.path().join(name),
            text.replacen("Bottom;1;564", "Bottom;1;546", 1),
        )
        .unwrap();
    }
    fs::set_permissions(home.path(), fs::Permissions::from_mode(0o755)).unwrap();
    home
}

fn program() -> PathBuf {
    assert_cmd::cargo::cargo_bin("dryfit")
}

/// `sh -c SCRIPT`, in which `$0` is the program and `$1`, `$2` are paths.
fn shell(script: &str, first: &Path, second: &Path) -> Output {
    Command::new("sh")
        .args(["-c", script])
        .arg(program())
        .args([first, second])
        .output()
        .unwrap()
}

fn message(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

fn names(folder: &Path) -> Vec<String> {
    let Ok(entries) = fs::read_dir(folder) else {
        return Vec::new();
    };
    let mut names: Vec<String> = entries
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

/// Files written by a run before, to be still there afterwards.
fn written_before(job: &Path, out: &Path) -> Vec<(String, Vec<u8>)> {
    let first = shell("\"$0\" check \"$1\" --out \"$2\"", job, out);
    assert_eq!(first.status.code(), Some(1), "{}", message(&first));
    let files: Vec<(String, Vec<u8>)> = names(out)
        .into_iter()
        .map(|name| {
            let content = fs::read(out.join(&name)).unwrap();
            (name, content)
        })
        .collect();
    assert!(files.len() > 6);
    files
}

fn assert_as_before(out: &Path, before: &[(String, Vec<u8>)]) {
    let kept: Vec<&String> = before.iter().map(|(name, _)| name).collect();
    assert_eq!(names(out).iter().collect::<Vec<_>>(), kept);
    for (name, content) in before {
        assert!(fs::read(out.join(name)).unwrap() == *content, "{name}");
    }
}

#[test]
fn a_limit_on_the_size_of_files() {
    let job = job();
    let home = tempfile::tempdir().unwrap();
    let out = home.path().join("new");
    // 4 or 8 kB, less than any report; the signal is not deadly here.
    let limited = "trap '' XFSZ; ulimit -f 8; \"$0\" check \"$1\" --out \"$2\" --force >/dev/null";
    let output = shell(limited, job.path(), &out);
    assert_eq!(output.status.code(), Some(2), "{}", message(&output));
    assert!(
        message(&output).contains("cannot be written, so nothing was"),
        "{}",
        message(&output)
    );
    assert!(!out.exists(), "{:?}", names(&out));
    // What was there is still there, to the byte.
    let before = written_before(job.path(), &out);
    let output = shell(limited, job.path(), &out);
    assert_eq!(output.status.code(), Some(2), "{}", message(&output));
    assert_as_before(&out, &before);
}

#[test]
fn a_run_that_is_killed_while_it_writes_leaves_no_report() {
    let job = job();
    let home = tempfile::tempdir().unwrap();
    let out = home.path().join("new");
    let before = written_before(job.path(), &out);
    let output = shell(
        "ulimit -f 8; \"$0\" check \"$1\" --out \"$2\" --force >/dev/null",
        job.path(),
        &out,
    );
    assert!(!output.status.success());
    // The half-written file keeps its name of dots; reports are untouched.
    for (name, content) in &before {
        assert!(fs::read(out.join(name)).unwrap() == *content, "{name}");
    }
    for name in names(&out) {
        let known = before.iter().any(|(other, _)| *other == name);
        assert!(known || name.starts_with('.'), "{name}");
    }
}

#[test]
fn a_full_disk() {
    let job = job();
    let home = tempfile::tempdir().unwrap();
    let script = "mount -t tmpfs -o size=64k none \"$2\" || exit 99; mkdir \"$2/out\"; \
                  \"$0\" check \"$1\" --out \"$2/out\" >/dev/null; status=$?; ls -A \"$2/out\"; exit $status";
    let output = Command::new("unshare")
        .args(["--mount", "--map-root-user", "sh", "-c", script])
        .arg(program())
        .args([job.path(), home.path()])
        .output();
    let output = match output {
        Ok(output) if output.status.code() != Some(99) && !message(&output).contains("unshare") => {
            output
        }
        _ => {
            eprintln!("no file system of its own may be made here; not tried");
            return;
        }
    };
    assert_eq!(output.status.code(), Some(2), "{}", message(&output));
    assert!(
        message(&output).contains("so nothing was"),
        "{}",
        message(&output)
    );
    assert_eq!(String::from_utf8_lossy(&output.stdout), "");
}

#[test]
fn standard_output_that_is_full() {
    let job = job();
    for format in ["text", "json", "html", "csv", "junit", "sarif"] {
        let script = format!("exec \"$0\" check \"$1\" --format {format} >/dev/full");
        let output = shell(&script, job.path(), job.path());
        assert_eq!(
            output.status.code(),
            Some(2),
            "{format}: {}",
            message(&output)
        );
        assert!(
            message(&output).contains("cannot write to standard output"),
            "{format}: {}",
            message(&output)
        );
    }
}

#[test]
fn folders_nothing_can_be_made_in() {
    let job = job();
    for out in ["/proc/reports", "/dev/null/reports", "/dev/null"] {
        let output = shell(
            "\"$0\" check \"$1\" --out \"$2\"",
            job.path(),
            Path::new(out),
        );
        assert_eq!(output.status.code(), Some(2), "{out}: {}", message(&output));
        assert!(message(&output).contains(out), "{}", message(&output));
        assert!(output.stdout.is_empty());
    }
}

/// As somebody who owns nothing; `None` when that is not to be had.
fn as_nobody(arguments: &[&str]) -> Option<Output> {
    let place = tempfile::tempdir().unwrap();
    fs::set_permissions(place.path(), fs::Permissions::from_mode(0o755)).unwrap();
    let copy = place.path().join("dryfit");
    fs::copy(program(), &copy).unwrap();
    let output = Command::new("setpriv")
        .args(["--reuid=65534", "--regid=65534", "--clear-groups"])
        .arg(&copy)
        .args(arguments)
        .output()
        .ok()?;
    (!message(&output).contains("setpriv")).then_some(output)
}

#[test]
fn folders_and_files_without_permission() {
    let job = job();
    let out = job.path().join("out");
    fs::create_dir(&out).unwrap();
    fs::set_permissions(&out, fs::Permissions::from_mode(0o555)).unwrap();
    let shown = job.path().to_string_lossy().into_owned();
    let out = out.to_string_lossy().into_owned();
    let Some(output) = as_nobody(&["check", &shown, "--out", &out]) else {
        eprintln!("nobody else may be put on here; not tried");
        return;
    };
    assert_eq!(output.status.code(), Some(2), "{}", message(&output));
    assert!(
        message(&output).contains("so nothing was"),
        "{}",
        message(&output)
    );
    assert_eq!(names(Path::new(&out)), Vec::<String>::new());

    let drawing = job.path().join("c2.dxf");
    fs::set_permissions(&drawing, fs::Permissions::from_mode(0o000)).unwrap();
    let output = as_nobody(&["check", &shown]).unwrap();
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    assert_ne!(output.status.code(), Some(0));
    assert!(text.contains("c2.dxf") && text.contains("denied"), "{text}");

    fs::set_permissions(job.path(), fs::Permissions::from_mode(0o000)).unwrap();
    let output = as_nobody(&["check", &shown]).unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(message(&output).contains("denied"), "{}", message(&output));
    fs::set_permissions(job.path(), fs::Permissions::from_mode(0o755)).unwrap();
}

/// Files of a job that somebody saves again and again while `check` reads them.
#[test]
fn files_that_are_saved_while_they_are_read() {
    for name in ["c2.dxf", "c2.csv"] {
        let job = job();
        let path = job.path().join(name);
        let content = fs::read(&path).unwrap();
        // Read last, and long enough that a save falls into the reading.
        let remarks = "999\nremark\n".repeat(4_000_000);
        fs::write(job.path().join("later.dxf"), remarks + "0\nEOF\n").unwrap();
        let done = AtomicBool::new(false);
        let output = std::thread::scope(|scope| {
            scope.spawn(|| {
                // Put in its place at once, as programs save.
                let other = job.path().join(".saving");
                while !done.load(Ordering::Relaxed) {
                    fs::write(&other, &content).unwrap();
                    fs::rename(&other, &path).unwrap();
                }
            });
            let output = shell("\"$0\" check \"$1\"", job.path(), job.path());
            done.store(true, Ordering::Relaxed);
            output
        });
        let text = String::from_utf8_lossy(&output.stdout);
        // Lines are broken at 80 columns.
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(output.status.code(), Some(1), "{text}{}", message(&output));
        assert!(text.contains("it was changed while it was read"), "{text}");
        assert!(text.contains(name), "{text}");
    }
}

/// A pipe without a writer would be waited for without end.
#[test]
fn pipes_and_devices_are_no_files() {
    let job = job();
    let pipe = job.path().join("more.dxf");
    assert!(
        Command::new("mkfifo")
            .arg(&pipe)
            .status()
            .unwrap()
            .success()
    );
    std::os::unix::fs::symlink("/dev/zero", job.path().join("endless.csv")).unwrap();
    let output = shell("ulimit -t 60; \"$0\" check \"$1\"", job.path(), job.path());
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    assert_eq!(output.status.code(), Some(1), "{text}");
    for name in ["more.dxf", "endless.csv"] {
        let said = text.lines().any(|line| line.contains(name));
        assert!(said && text.contains("a pipe or a device"), "{text}");
    }
    let output = shell(
        "\"$0\" check \"$1\" \"$2\"",
        &pipe,
        &job.path().join("c2.csv"),
    );
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(
        text.contains("a pipe or a device"),
        "{text}{}",
        message(&output)
    );
    assert_ne!(output.status.code(), Some(0));
}
