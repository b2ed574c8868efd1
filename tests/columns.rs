//! Everything that is printed for people fits 80 columns.

mod common;

use std::path::Path;
use unicode_width::UnicodeWidthStr;

fn run(arguments: &[&str]) -> String {
    let output = assert_cmd::Command::cargo_bin("dryfit")
        .unwrap()
        .current_dir(common::kept::root("fixtures"))
        .env("SOURCE_DATE_EPOCH", "1772323200")
        .args(arguments)
        .output()
        .unwrap();
    assert_ne!(output.status.code(), Some(2), "{arguments:?}");
    String::from_utf8(output.stdout).unwrap()
}

#[track_caller]
fn fits(arguments: &[&str]) -> String {
    let text = run(arguments);
    assert!(!text.trim().is_empty(), "{arguments:?}");
    for line in text.lines() {
        assert!(line.width() <= 80, "{arguments:?}: {line}");
    }
    text
}

#[test]
fn help() {
    let help = fits(&["--help"]);
    let commands: Vec<&str> = help
        .lines()
        .skip_while(|line| *line != "Commands:")
        .skip(1)
        .take_while(|line| !line.is_empty())
        .filter(|line| line.starts_with("  ") && !line.starts_with("   "))
        .filter_map(|line| line.split_whitespace().next())
        .filter(|command| *command != "help")
        .collect();
    assert!(commands.len() >= 10, "{commands:?}");
    for command in commands {
        fits(&[command, "--help"]);
        fits(&[command, "-h"]);
    }
}

#[test]
fn reports() {
    let c1 = common::fixture("worked/c1/c1.dxf");
    for arguments in [
        &["check", "glaze-room"][..],
        &["check", "worked/c1"],
        &["check", "worked/e06-as-printed"],
        &["measure", "worked/c1"],
        &["measure", c1.to_str().unwrap()],
        &["parts", "glaze-room/glaze-room.csv"],
        &["parts", "lists/troubles.csv"],
        &["explain", "F1", "glaze-room"],
        &["explain", "U1", "drafted/no-names"],
        &["explain", "size"],
        &["explain", "other-distance"],
        &["release", "glaze-room", "--by", "Ada"],
        &["compare", "worked/c1", "worked/c1-23-32"],
        &["compare", "worked/c1", "glaze-room"],
    ] {
        fits(arguments);
    }
    // Examples are shown as they would stand in the file.
    let mut fenced = false;
    for line in run(&["explain", "job-file"]).lines() {
        fenced ^= line.starts_with("```");
        assert!(fenced || line.width() <= 80, "{line}");
    }
    // Comments; a value may be as long as it is.
    for line in run(&["init", "--print", "glaze-room"]).lines() {
        assert!(line.width() <= 80 || !line.starts_with("# "), "{line}");
    }
}

#[test]
fn a_release_and_what_became_of_it() {
    let home = tempfile::tempdir().unwrap();
    let copy = |fixture: &str| {
        for entry in std::fs::read_dir(common::fixture(fixture)).unwrap() {
            let path = entry.unwrap().path();
            std::fs::copy(&path, home.path().join(path.file_name().unwrap())).unwrap();
        }
    };
    copy("glaze-room");
    let folder = home.path().to_str().unwrap();
    fits(&[
        "accept",
        folder,
        "F1",
        "--reason",
        &"why ".repeat(40),
        "--by",
        "Ada",
    ]);
    fits(&["release", folder, "--by", "Ada"]);
    fits(&["verify", folder]);
    let record = home.path().join("dryfit-release-2026-03-01.toml");
    assert!(Path::new(&record).exists());
    copy("glaze-room-clean");
    fits(&["verify", folder]);
    fits(&["compare", record.to_str().unwrap(), folder]);
}
