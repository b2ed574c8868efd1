//! Drawings by strangers: cabinets of many makes, in the ways CAD programs and drafters
//! export them (`fixtures/make/strangers.py`). A size is right to 0.05 mm or not given;
//! one that is wrong and sure is the unforgivable result.

mod common;

use common::{check, read_json};
use dryfit::drawing;
use dryfit::view::{self, Hints, Scale, ViewKind};
use serde_json::Value;
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

/// What is said of a list: that a sheet contradicts itself is said of the drawing.
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

/// A view of the truth: kind, cabinets, extents of its lines in millimetres.
struct Drawn {
    kind: String,
    cabinets: Vec<String>,
    width: f64,
    height: f64,
}

fn drawn(value: &Value) -> Drawn {
    Drawn {
        kind: value["kind"].as_str().unwrap().to_owned(),
        cabinets: value["cabinets"]
            .as_array()
            .unwrap()
            .iter()
            .map(|name| name.as_str().unwrap().to_owned())
            .collect(),
        width: value["width"].as_f64().unwrap(),
        height: value["height"].as_f64().unwrap(),
    }
}

/// Views are told apart by their shape, which no scale changes; what is drawn around a
/// view (floor lines, leaders) may change it, and such views are passed over here. By
/// size alone an end is not told from a section: an untitled one may be called either.
#[test]
fn no_view_is_taken_for_another_kind_or_cabinet_or_scale() {
    let (mut compared, mut wrong) = (0, Vec::new());
    for case in cases() {
        let truth = read_json(&case.join("truth.json"));
        let files = truth["views"].as_object().unwrap();
        let mut sheets: Vec<_> = files
            .keys()
            .map(|file| drawing::read_file(&case.join(file), file).unwrap())
            .collect();
        let hints = Hints {
            names: truth["cabinets"]
                .as_object()
                .unwrap()
                .keys()
                .cloned()
                .collect(),
            ..Hints::default()
        };
        let reading = view::find(&mut sheets, &hints);
        for (sheet, views) in files.values().enumerate() {
            let views: Vec<Drawn> = views.as_array().unwrap().iter().map(drawn).collect();
            for found in reading.views.iter().filter(|view| view.sheet == sheet) {
                let (width, height) = (found.extents.width(), found.extents.height());
                let shape = width / height;
                // Several views of one shape cannot be told apart.
                let alike: Vec<&Drawn> = views
                    .iter()
                    .filter(|v| (v.width / v.height / shape - 1.0).abs() < 0.02)
                    .collect();
                let [view] = &*alike else { continue };
                compared += 1;
                let kind = match found.kind {
                    ViewKind::Front => "front",
                    ViewKind::End => "end",
                    ViewKind::Section => "section",
                    ViewKind::Plan => "plan",
                    ViewKind::FlatPart => "flat part",
                    ViewKind::Unknown => "",
                };
                let what = format!("{} {} of {:?}", case.display(), view.kind, view.cabinets);
                let sideways = |kind: &str| kind.contains("end") || kind == "section";
                let by_size = found.kind_evidence.contains("sizes of its views fit");
                let either = by_size && sideways(kind) && sideways(&view.kind);
                if !either && !view.kind.contains(kind) {
                    wrong.push(format!("{what}: taken for {kind}: {}", found.kind_evidence));
                }
                let untitled = |name| reading.untitled.contains(name);
                let named = !found.cabinets.is_empty() && !found.cabinets.iter().all(untitled);
                if named && found.cabinets != view.cabinets {
                    wrong.push(format!("{what}: taken for {:?}", found.cabinets));
                }
                if let Scale::Known { evidence, .. } = &found.scale {
                    let off = (width / view.width - 1.0).abs();
                    if off > 0.02 {
                        wrong.push(format!(
                            "{what}: {} times its size: {evidence:?}",
                            width / view.width
                        ));
                    }
                }
            }
        }
    }
    println!("{compared} views compared");
    assert!(compared >= 40, "only {compared} views were found");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
