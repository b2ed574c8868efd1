//! Drawings as others draft and export them (`fixtures/make/drafted.py`): runs whose names
//! stand on the elevation alone, "rail" for stretcher, sides to the floor with a board
//! under the bottom, one file a cabinet, no names at all. The right list gives no finding,
//! no size is wrong, and what is said to agree is really checked: changed, it is found.

mod common;

use common::{check, fixture, read_json};
use serde_json::Value;
use std::path::{Path, PathBuf};

/// The jobs, and how many sizes of their rows must at least be checked.
const JOBS: [(&str, u64); 7] = [
    ("long-names", 50),
    ("no-names", 25),
    ("one-file-each", 40),
    ("run-doors", 34),
    ("run-hidden", 40),
    ("run-visible", 30),
    ("tall-store", 22),
];

fn folder(job: &str) -> PathBuf {
    fixture("drafted").join(job)
}

#[test]
fn right_lists_give_no_finding_and_are_checked() {
    for (job, least) in JOBS {
        let report = check(&[&folder(job)]).json;
        assert_eq!(report["findings"], Value::Array(Vec::new()), "{job}");
        let agrees = report["coverage"]["totals"]["agrees"].as_u64().unwrap();
        assert!(agrees >= least, "{job}: {agrees} sizes agree");
    }
}

#[test]
fn every_size_given_is_right_to_a_twentieth_of_a_millimetre() {
    let mut given = 0;
    for (job, _) in JOBS {
        let report = check(&[&folder(job)]);
        let truth = read_json(&folder(job).join("truth.json"));
        for (size, right) in report.against(&truth) {
            assert_ne!(right, Some(false), "{job}: {size}");
            given += usize::from(right.is_some());
        }
    }
    assert!(given >= 72, "only {given} sizes are given");
}

/// The list with one cell changed by about 1/8 in.
fn changed(list: &Path, line: usize, column: usize) -> String {
    let text = std::fs::read_to_string(list).unwrap();
    let delimiter = if text.contains(';') { ";" } else { "," };
    let mut rows: Vec<Vec<String>> = text
        .lines()
        .map(|row| row.split(delimiter).map(str::to_owned).collect())
        .collect();
    let cell = &mut rows[line - 1][column - 1];
    let value: f64 = cell.parse().unwrap();
    // Sizes in inches are below 48 throughout these lists, in millimetres mostly above.
    let metric = text.contains("780") || text.contains("2100");
    let by = if metric { 3.0 } else { 0.125 };
    *cell = format!("{}", value + by);
    rows.iter()
        .map(|row| row.join(delimiter) + "\n")
        .collect::<String>()
}

#[test]
fn sizes_said_to_agree_are_found_when_they_are_changed() {
    let mut tried = 0;
    for (job, _) in JOBS {
        let list = folder(job).join("list.csv");
        let report = check(&[&folder(job)]).json;
        let agreed = report["coverage"]["rows"].as_array().unwrap().iter();
        let sizes: Vec<(usize, usize, String)> = agreed
            .filter(|row| row["outcome"] == "agrees" && row["dimension"] != "quantity")
            .map(|row| {
                (
                    row["line"].as_u64().unwrap() as usize,
                    row["column"].as_u64().unwrap() as usize,
                    row["dimension"].as_str().unwrap().to_owned(),
                )
            })
            .collect();
        for (line, column, dimension) in sizes.into_iter().step_by(5) {
            let scratch = tempfile::tempdir().unwrap();
            for entry in std::fs::read_dir(folder(job)).unwrap() {
                let path = entry.unwrap().path();
                if path.extension().is_some_and(|e| e == "dxf") {
                    std::fs::copy(&path, scratch.path().join(path.file_name().unwrap())).unwrap();
                }
            }
            std::fs::write(
                scratch.path().join("list.csv"),
                changed(&list, line, column),
            )
            .unwrap();
            let findings = check(&[scratch.path()]).findings();
            assert!(
                findings.contains(&(line as u64, dimension.clone())),
                "{job}: {dimension} of line {line} changed, found {findings:?}"
            );
            tried += 1;
        }
    }
    assert!(tried >= 25, "only {tried} sizes were tried");
}
