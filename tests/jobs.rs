//! The demo jobs, end to end: the glaze room with one height pulled wrong, the same with
//! a right list, and the kiln store. Answers come from the parameters the drawings were
//! made from (`fixtures/truth`).

mod common;

use common::{Report, check, fixture, read_json};
use serde_json::Value;
use std::collections::BTreeSet;

fn job(name: &str) -> (Report, Value) {
    (
        check(&[&fixture(name)]),
        read_json(&fixture("truth").join(format!("{name}.json"))),
    )
}

#[track_caller]
fn every_size_is_right(name: &str) {
    let (report, truth) = job(name);
    let sizes = report.against(&truth);
    let bad: Vec<&str> = sizes
        .iter()
        .filter(|(_, ok)| *ok != Some(true))
        .map(|(line, _)| &**line)
        .collect();
    assert!(bad.is_empty(), "{}", bad.join("\n"));
}

#[test]
fn every_cabinet_of_the_glaze_room_is_measured() {
    every_size_is_right("glaze-room");
}

#[test]
fn every_cabinet_of_the_kiln_store_is_measured() {
    every_size_is_right("kiln-store");
}

#[test]
fn the_one_wrong_height_is_one_finding_with_its_rows() {
    let (report, truth) = job("glaze-room");
    let wrong: BTreeSet<(u64, String)> = truth["wrong"]
        .as_array()
        .unwrap()
        .iter()
        .map(|w| {
            (
                w["line"].as_u64().unwrap(),
                w["dimension"].as_str().unwrap().to_owned(),
            )
        })
        .collect();
    let found: BTreeSet<(u64, String)> = report.findings().into_iter().collect();
    assert_eq!(found, wrong, "{:#}", report.json["findings"]);
    assert_eq!(
        report.json["findings"].as_array().unwrap().len(),
        1,
        "one mistake, one finding: {:#}",
        report.json["findings"]
    );
    // 31 in from the floor to the underside of the stretcher.
    let cause = &report.json["findings"][0]["cause"][0];
    assert_eq!(cause["kind"], "other-distance", "{cause:#}");
    assert!(
        cause["sentence"].as_str().unwrap().contains("stretcher"),
        "{cause:#}"
    );
    assert_eq!(report.status, 1);
}

#[test]
fn right_lists_are_not_contradicted() {
    for name in ["glaze-room-clean", "kiln-store"] {
        let (report, _) = job(name);
        assert_eq!(
            report.json["findings"].as_array().unwrap().len(),
            0,
            "{name}: {:#}",
            report.json["findings"]
        );
        assert!(matches!(report.status, 0 | 3), "{name}: {}", report.status);
        let totals = &report.json["coverage"]["totals"];
        let (agrees, sizes) = (
            totals["agrees"].as_u64().unwrap(),
            totals["sizes"].as_u64().unwrap(),
        );
        assert!(
            sizes > 0 && agrees * 10 >= sizes * 9,
            "{name}: only {agrees} of {sizes} row sizes could be checked"
        );
    }
}
