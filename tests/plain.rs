//! Plain drawings as a drafter makes them (`fixtures/make/plain.py`): no hidden
//! lines, one rectangle a board, lists that are right. What is drawn is checked in
//! full, and each figure that was checked raises a finding when it is changed.

mod common;

use common::check;
use serde_json::Value;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

fn job(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/plain")
        .join(name)
}

/// Line and dimension of every size of the list that agrees with the drawing.
fn agreeing(report: &Value) -> BTreeSet<(u64, String)> {
    let rows = report["coverage"]["rows"].as_array().unwrap();
    rows.iter()
        .filter(|row| row["outcome"] == "agrees")
        .map(|row| {
            let dimension = row["dimension"].as_str().unwrap();
            (row["line"].as_u64().unwrap(), dimension.to_owned())
        })
        .collect()
}

#[track_caller]
fn right_list(name: &str, agree: u64) {
    let report = check(&[&job(name)]);
    let findings = report.json["findings"].as_array().unwrap();
    assert!(findings.is_empty(), "{findings:#?}");
    assert_eq!(
        report.json["coverage"]["totals"]["agrees"], agree,
        "{:#}",
        report.json["coverage"]
    );
}

#[test]
fn metric_frameless_cabinets_are_checked_in_full() {
    right_list("metric", 48);
}

#[test]
fn a_run_at_quarter_scale_is_checked_in_full() {
    right_list("run", 32);
}

/// Bottom, rails and the height of the back end behind the frame: nothing drawn
/// tells their joints, and no view shows the bottom.
#[test]
fn a_face_frame_without_hidden_lines_is_checked_as_far_as_it_is_seen() {
    right_list("frame", 21);
}

/// Each figure of the list in turn, longer or shorter by `by`.
#[track_caller]
fn every_change_is_found(name: &str, by: f64) {
    let folder = job(name);
    let list = std::fs::read_to_string(folder.join("list.csv")).unwrap();
    let agreeing = agreeing(&check(&[&folder]).json);
    let scratch = std::env::temp_dir().join(format!("plain-{name}-{}", std::process::id()));
    std::fs::create_dir_all(&scratch).unwrap();
    std::fs::copy(folder.join("drawing.dxf"), scratch.join("drawing.dxf")).unwrap();
    let rows: Vec<Vec<&str>> = list.lines().map(|line| line.split(',').collect()).collect();
    let mut wrong = Vec::new();
    let mut tried = 0;
    for (index, row) in rows.iter().enumerate().skip(1) {
        let line = index as u64 + 1;
        for (column, dimension) in [(3, "length"), (4, "width"), (5, "thickness")] {
            if !agreeing.contains(&(line, dimension.to_owned())) {
                continue;
            }
            // In turn up and down.
            let sign = if (index + column) % 2 == 0 { 1.0 } else { -1.0 };
            let value: f64 = row[column].parse().unwrap();
            let changed = format!("{}", value + sign * by);
            let text: Vec<String> = rows
                .iter()
                .enumerate()
                .map(|(n, cells)| {
                    let mut cells = cells.clone();
                    if n == index {
                        cells[column] = &changed;
                    }
                    cells.join(",")
                })
                .collect();
            std::fs::write(scratch.join("list.csv"), text.join("\n") + "\n").unwrap();
            tried += 1;
            let report = check(&[&scratch]);
            let found: BTreeSet<u64> = report.findings().into_iter().map(|(n, _)| n).collect();
            if found != BTreeSet::from([line]) || report.status != 1 {
                wrong.push(format!(
                    "line {line} {dimension} {value} as {changed}: found in {found:?}, status {}",
                    report.status
                ));
            }
        }
    }
    std::fs::remove_dir_all(&scratch).unwrap();
    assert!(tried >= 12, "only {tried} figures were tried");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_changed_figure_of_the_metric_job_is_found() {
    every_change_is_found("metric", 3.0);
}

#[test]
fn every_changed_figure_of_the_run_is_found() {
    every_change_is_found("run", 0.125);
}

#[test]
fn every_changed_figure_of_the_frame_that_was_checked_is_found() {
    every_change_is_found("frame", 0.125);
}
