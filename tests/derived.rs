//! What is derived, end to end: in each folder of `fixtures/derived` the right list gives
//! no finding and the sizes it is about are checked and agree; each wrong figure is
//! reported on its own row and on no other, with its cause where one is to be told.

mod common;

use common::{check, fixture, read_json};
use serde_json::Value;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// File, line and dimension of a figure.
type Entry = (String, u64, String);

fn entry(value: &Value) -> Option<Entry> {
    let file = Path::new(value["file"].as_str()?);
    Some((
        file.file_name()?.to_string_lossy().into_owned(),
        value["line"].as_u64()?,
        value["dimension"].as_str()?.to_owned(),
    ))
}

fn folders() -> Vec<PathBuf> {
    let mut folders: Vec<PathBuf> = std::fs::read_dir(fixture("derived"))
        .unwrap()
        .map(|folder| folder.unwrap().path())
        .collect();
    folders.sort();
    assert!(folders.len() >= 13, "derived fixtures are missing");
    folders
}

fn name(folder: &Path) -> String {
    folder.file_name().unwrap().to_string_lossy().into_owned()
}

/// A cell of a list without quoting but for cells that hold the separator.
fn with_cell(text: &str, line: usize, column: usize, cell: &str) -> String {
    let separator = if text.lines().next().unwrap().contains(';') {
        b';'
    } else {
        b','
    };
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(separator)
        .from_reader(text.as_bytes());
    let mut writer = csv::WriterBuilder::new()
        .flexible(true)
        .delimiter(separator)
        .from_writer(Vec::new());
    for (index, record) in reader.records().enumerate() {
        let mut cells: Vec<String> = record.unwrap().iter().map(str::to_owned).collect();
        if index + 1 == line {
            assert_ne!(cells[column], cell, "line {line} is not changed");
            cells[column] = cell.to_owned();
        }
        writer.write_record(&cells).unwrap();
    }
    String::from_utf8(writer.into_inner().unwrap()).unwrap()
}

/// The folder with one wrong figure, under the same name.
fn with_wrong(folder: &Path, wrong: &Value) -> tempfile::TempDir {
    let scratch = tempfile::tempdir().unwrap();
    let job = scratch.path().join(name(folder));
    std::fs::create_dir(&job).unwrap();
    for file in std::fs::read_dir(folder).unwrap() {
        let from = file.unwrap().path();
        let extension = from.extension().and_then(|e| e.to_str()).unwrap_or("");
        if matches!(extension, "dxf" | "toml" | "csv") {
            std::fs::copy(&from, job.join(from.file_name().unwrap())).unwrap();
        }
    }
    let list = job.join(wrong["file"].as_str().unwrap());
    let text = std::fs::read_to_string(&list).unwrap();
    let line = usize::try_from(wrong["line"].as_u64().unwrap()).unwrap();
    let column = usize::try_from(wrong["column"].as_u64().unwrap()).unwrap();
    let changed = with_cell(&text, line, column, wrong["listed"].as_str().unwrap());
    std::fs::write(&list, changed).unwrap();
    scratch
}

#[test]
fn right_lists_are_checked_and_agree() {
    let mut complaints = Vec::new();
    let mut agreed = 0;
    for folder in folders() {
        let expect = read_json(&folder.join("expect.json"));
        let report = check(&[&folder]);
        for finding in report.json["findings"].as_array().unwrap() {
            complaints.push(format!("{}: {}", name(&folder), finding["message"]));
        }
        let rows = report.json["coverage"]["rows"].as_array().unwrap();
        for wanted in expect["agree"].as_array().unwrap() {
            let wanted = entry(wanted).unwrap();
            let found = rows.iter().find(|row| entry(row).as_ref() == Some(&wanted));
            match found {
                Some(row) if row["outcome"] == "agrees" => agreed += 1,
                Some(row) => {
                    complaints.push(format!("{}: {wanted:?}: {}", name(&folder), row["by"]));
                }
                None => complaints.push(format!("{}: {wanted:?}: not covered", name(&folder))),
            }
        }
    }
    println!("{agreed} sizes agree");
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}

#[test]
fn wrong_figures_are_found_where_they_are() {
    let mut complaints = Vec::new();
    let mut found_right = 0;
    for folder in folders() {
        let expect = read_json(&folder.join("expect.json"));
        for wrong in expect["wrong"].as_array().unwrap() {
            let scratch = with_wrong(&folder, wrong);
            let report = check(&[&scratch.path().join(name(&folder))]);
            let what = format!("{}: {wrong}", name(&folder));
            let wanted: BTreeSet<Entry> = std::iter::once(wrong)
                .chain(wrong["also"].as_array().unwrap())
                .map(|value| entry(value).unwrap())
                .collect();
            let findings = report.json["findings"].as_array().unwrap();
            let found: BTreeSet<Entry> = findings
                .iter()
                .flat_map(|finding| {
                    std::iter::once(finding).chain(finding["also"].as_array().unwrap())
                })
                .filter_map(entry)
                .collect();
            let placed = findings.iter().all(|finding| entry(finding).is_some());
            if found != wanted || !placed || report.status != 1 {
                let said: Vec<&Value> = findings.iter().map(|f| &f["message"]).collect();
                complaints.push(format!("{what}\n    found {found:?} {said:?}"));
                continue;
            }
            let causes: Vec<&Value> = findings
                .iter()
                .flat_map(|finding| finding["cause"].as_array().unwrap())
                .collect();
            if let Some(kind) = wrong["cause"].as_str()
                && causes.first().is_none_or(|cause| cause["kind"] != kind)
            {
                complaints.push(format!("{what}\n    not by its cause: {causes:?}"));
                continue;
            }
            if let Some(says) = wrong["says"].as_str()
                && !findings
                    .iter()
                    .any(|finding| finding.to_string().contains(says))
            {
                complaints.push(format!("{what}\n    does not say '{says}': {findings:?}"));
                continue;
            }
            found_right += 1;
        }
    }
    println!("{found_right} wrong figures found");
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}
