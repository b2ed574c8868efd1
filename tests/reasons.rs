//! Whatever was not checked says what drawing or setting would make it checkable.

mod common;

use common::{check, fixture};
use std::path::{Path, PathBuf};

/// What a person is told to do.
const TO_DO: [&str; 17] = [
    "add",
    "answer",
    "check",
    "correct",
    "dimension",
    "draw",
    "export",
    "give",
    "list",
    "look",
    "name",
    "say",
    "scale",
    "settle",
    "state",
    "title",
    "write",
];

fn tells_what_to_do(reason: &str) -> bool {
    let words = reason.split(|c: char| !c.is_alphabetic());
    let needs_view = reason.contains("would tell") || reason.contains("a view that shows");
    needs_view || words.into_iter().any(|word| TO_DO.contains(&word))
}

fn jobs() -> Vec<PathBuf> {
    let strangers = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/strangers/cases");
    let mut jobs: Vec<PathBuf> = [fixture("worked"), strangers]
        .iter()
        .flat_map(|folder| std::fs::read_dir(folder).unwrap())
        .map(|entry| entry.unwrap().path())
        .collect();
    jobs.push(fixture("glaze-room"));
    jobs.push(fixture("kiln-store"));
    jobs.sort();
    jobs
}

#[test]
fn every_reason_says_what_would_help() {
    let mut helpless: Vec<String> = Vec::new();
    let mut seen = 0;
    for job in jobs() {
        let report = check(&[&job]);
        let coverage = &report.json["coverage"];
        let of_rows = coverage["rows"]
            .as_array()
            .unwrap()
            .iter()
            .filter(|row| row["outcome"] == "unchecked")
            .map(|row| row["by"].as_str().unwrap());
        let of_views = coverage["unchecked"].as_array().unwrap().iter();
        for reason in of_rows.chain(of_views.map(|text| text.as_str().unwrap())) {
            seen += 1;
            if !tells_what_to_do(reason) {
                helpless.push(reason.to_owned());
            }
        }
    }
    helpless.sort();
    helpless.dedup();
    assert!(seen > 100, "only {seen} reasons");
    assert!(helpless.is_empty(), "{}", helpless.join("\n"));
}
