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
    assert!(folders.len() >= 34, "derived fixtures are missing");
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
    let file = job.join(wrong["file"].as_str().unwrap());
    let mut text = std::fs::read_to_string(&file).unwrap();
    if let (Some(from), Some(to)) = (wrong["from"].as_str(), wrong["to"].as_str()) {
        assert!(text.contains(from), "{wrong}");
        text = text.replace(from, to);
    } else {
        let others = wrong["also"].as_array().unwrap().iter();
        for cell in std::iter::once(wrong).chain(others) {
            let Some(listed) = cell["listed"].as_str() else {
                continue;
            };
            let line = usize::try_from(cell["line"].as_u64().unwrap()).unwrap();
            let column = usize::try_from(cell["column"].as_u64().unwrap()).unwrap();
            text = with_cell(&text, line, column, listed);
        }
    }
    std::fs::write(&file, text).unwrap();
    scratch
}

#[test]
fn right_lists_are_checked_and_agree() {
    let mut complaints = Vec::new();
    let mut agreed = 0;
    for folder in folders() {
        let expect = read_json(&folder.join("expect.json"));
        let report = check(&[&folder]);
        let findings = report.json["findings"].as_array().unwrap();
        // A few drawings are wrong on purpose; the list is right for all that.
        let mut wanted: Vec<&str> = match expect["finds"].as_array() {
            Some(finds) => finds.iter().map(|find| find.as_str().unwrap()).collect(),
            None => Vec::new(),
        };
        for finding in findings {
            let message = finding["message"].as_str().unwrap();
            match wanted.iter().position(|part| message.contains(part)) {
                Some(at) => drop(wanted.remove(at)),
                None => complaints.push(format!("{}: {message}", name(&folder))),
            }
        }
        for part in wanted {
            complaints.push(format!("{}: does not say '{part}'", name(&folder)));
        }
        let rows = report.json["coverage"]["rows"].as_array().unwrap();
        for open in expect["open"].as_array().into_iter().flatten() {
            let wanted = entry(open).unwrap();
            let row = rows.iter().find(|row| entry(row).as_ref() == Some(&wanted));
            let row = row.unwrap_or_else(|| panic!("{wanted:?} is not covered"));
            let by = row["by"].as_str().unwrap();
            if row["outcome"] != "unchecked" || !by.contains(open["says"].as_str().unwrap()) {
                complaints.push(format!("{}: {wanted:?} is not open: {by}", name(&folder)));
            }
        }
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
            // A wrong job file is no row's fault.
            let of_job = !wrong["from"].is_null();
            let wanted: BTreeSet<Entry> = std::iter::once(wrong)
                .chain(wrong["also"].as_array().into_iter().flatten())
                .filter_map(entry)
                .collect();
            assert_eq!(wanted.is_empty(), of_job, "{what}");
            let findings = report.json["findings"].as_array().unwrap();
            let found: BTreeSet<Entry> = findings
                .iter()
                .flat_map(|finding| {
                    std::iter::once(finding).chain(finding["also"].as_array().unwrap())
                })
                .filter_map(entry)
                .collect();
            let placed = findings
                .iter()
                .all(|finding| entry(finding).is_some() != of_job);
            if findings.is_empty() || found != wanted || !placed || report.status != 1 {
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

/// Each caution once, and only where it applies. (Wording and grounds: OSHA 3157 and
/// 29 CFR 1910.213, 16 CFR part 1261, NEC 424.13, 2010 ADA Standards.)
#[test]
fn cautions_are_printed_once_where_they_apply() {
    let topics = |folder: &str| -> Vec<String> {
        let report = check(&[&fixture("derived").join(folder)]);
        let cautions = report.json["cautions"].as_array().unwrap();
        cautions
            .iter()
            .map(|caution| caution["topic"].as_str().unwrap().to_owned())
            .collect()
    };
    let always = ["scope", "sheet thickness", "saws and routers", "wood dust"];
    for (folder, further) in [
        ("face-frame", vec![]),
        ("toe-space", vec!["electricity in cabinets and toe spaces"]),
        // A heater is listed, an opening only drawn.
        (
            "toe-openings",
            vec!["electricity in cabinets and toe spaces"],
        ),
        (
            "toe-openings-outside",
            vec!["electricity in cabinets and toe spaces"],
        ),
        ("backs", vec!["wall-hung units"]),
        (
            "stack-and-bridge",
            vec!["wall-hung units", "tall and free-standing units"],
        ),
        ("accessible", vec!["accessibility"]),
    ] {
        let mut wanted: Vec<&str> = always.into_iter().chain(further).collect();
        let mut found = topics(folder);
        wanted.sort_unstable();
        found.sort();
        assert_eq!(found, wanted, "{folder}");
    }
}

/// `init` says how many cabinets show a size and which do not.
#[test]
fn proposals_name_the_cabinets_that_do_not_support_them() {
    let folder = fixture("derived").join("alike");
    let wrong = serde_json::json!({
        "file": "alike.csv", "line": 3, "column": 3, "listed": "22", "also": [],
    });
    let scratch = with_wrong(&folder, &wrong);
    let job = scratch.path().join("alike");
    let output = assert_cmd::Command::cargo_bin("dryfit")
        .unwrap()
        .arg("init")
        .arg(&job)
        .output()
        .unwrap();
    assert!(output.status.success(), "{output:?}");
    let written = std::fs::read_to_string(job.join("dryfit.toml")).unwrap();
    // Long comments are broken at 80 columns.
    let joined = written.replace("\n#   ", " ");
    let line = |start: &str| {
        let found = joined.lines().find(|line| line.contains(start));
        found.unwrap_or_else(|| panic!("no {start} in {written}"))
    };
    assert!(
        line("depth of the grooves in the sides").contains("shown by 2 of 3 cabinets; not B1"),
        "{written}"
    );
    assert!(
        line("how far the back reaches").contains("shown by 3 of 3 cabinets"),
        "{written}"
    );
}

/// Two published rules for a pair of overlay doors disagree: 1/8 in off the pair (15 7/16 in
/// each on a 30 in opening) or off each door (15 3/8 in). The report says which gap it
/// went by, and where that is stated.
#[test]
fn the_gap_of_a_pair_is_said_with_its_rule() {
    for (folder, gap) in [("doors-gap-of-pair", "1/8"), ("doors-gap-each-door", "1/4")] {
        let report = check(&[&fixture("derived").join(folder)]);
        let said: Vec<&str> = report.json["assumptions"]
            .as_array()
            .unwrap()
            .iter()
            .map(|assumption| assumption["sentence"].as_str().unwrap())
            .collect();
        for wanted in [
            format!("The gap between fronts is {gap} in."),
            "The overlay of fronts is 1/2 in.".to_owned(),
            "The width of a door is (opening width + 2 × overlay − gap) / 2.".to_owned(),
        ] {
            assert!(said.contains(&wanted.as_str()), "{folder}: {said:?}");
        }
    }
}
