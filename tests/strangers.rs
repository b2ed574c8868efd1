//! Drawings by strangers: cabinets of many makes, in the ways CAD programs and drafters
//! export them (`fixtures/make/strangers.py`). A size is right to 0.05 mm or not given;
//! one that is wrong and sure is the unforgivable result.

mod common;

use common::{check, read_json};
use std::path::{Path, PathBuf};

fn cases() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/strangers/cases");
    let mut cases: Vec<PathBuf> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    cases.sort();
    assert!(cases.len() >= 25, "the drawings by strangers are missing");
    cases
}

#[test]
fn no_measured_size_is_wrong() {
    let (mut right, mut unknown, mut wrong) = (0, 0, Vec::new());
    for case in cases() {
        let truth = read_json(&case.join("truth.json"));
        let report = check(&[&case]);
        for (line, ok) in report.against(&truth) {
            match ok {
                Some(true) => right += 1,
                None => unknown += 1,
                Some(false) => wrong.push(format!("{}: {line}", case.display())),
            }
        }
    }
    println!("{right} right, {unknown} not given, {} wrong", wrong.len());
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_right_list_gives_no_false_alarm() {
    let mut alarms = Vec::new();
    for case in cases() {
        let report = check(&[&case]);
        for finding in report.json["findings"].as_array().unwrap() {
            if finding["kind"] != "drawing" {
                alarms.push(format!("{}: {}", case.display(), finding["message"]));
            }
        }
    }
    assert!(alarms.is_empty(), "{}", alarms.join("\n"));
}
