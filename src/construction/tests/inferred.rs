//! What a job shows by itself, and that it never excuses the list.

use super::constructed::face_frame_base;
use super::*;
use crate::cutlist::*;
use crate::length::Unit;
use crate::trade::{Dimension, Role};

fn cell(dimension: Dimension, text: &str) -> SizeCell {
    SizeCell {
        dimension,
        text: text.to_owned(),
        column: 1,
        heading: "".into(),
        value: size(text),
        unit: Unit::Inch,
        unit_evidence: "a test".into(),
        detail: SizeDetail::default(),
    }
}

/// A row: cabinet, role, length, width.
pub(super) fn row(line: usize, cabinet: &str, role: Role, length: &str, width: &str) -> Row {
    Row {
        source: RowSource {
            file: "list.csv".into(),
            sheet: None,
            line,
        },
        cabinets: vec![cabinet.to_owned()],
        cabinet_text: cabinet.to_owned(),
        part: role.word().to_owned(),
        reading: Reading::As {
            role,
            synonym: role.word().to_owned(),
            score: 1.0,
        },
        hand: None,
        quantity: Quantity {
            count: 1,
            per: Per::Cabinet,
            text: "1".to_owned(),
            column: 1,
        },
        sizes: vec![
            cell(Dimension::Length, length),
            cell(Dimension::Width, width),
        ],
        cut_sizes: Vec::new(),
        grain: Grain::Unstated,
        band: None,
        size_kind: SizeKind::Unstated,
        material: None,
        note: None,
    }
}

pub(super) fn list(rows: Vec<Row>) -> CutList {
    CutList {
        file: "list.csv".into(),
        rows,
        ..CutList::default()
    }
}

/// The base cabinet under several names, so that each counts as one cabinet.
fn cabinets(names: &[&str]) -> Vec<crate::cabinet::MeasuredCabinet> {
    names
        .iter()
        .map(|name| {
            let mut cabinet = face_frame_base("3/4").cabinet;
            cabinet.id = (*name).to_owned();
            cabinet
        })
        .collect()
}

#[test]
fn a_job_shows_its_grooves_rabbets_overlay_gap_and_clearances() {
    let cabinets = cabinets(&["B1", "B2"]);
    let mut rows = Vec::new();
    for (index, name) in ["B1", "B2"].into_iter().enumerate() {
        let line = 10 * index;
        rows.extend([
            row(line + 1, name, Role::Bottom, "34 1/2", "23"),
            row(line + 2, name, Role::Back, "29 3/4", "34 3/4"),
            row(line + 3, name, Role::Stretcher, "34", "4"),
            row(line + 4, name, Role::AdjustableShelf, "33 7/8", "22 1/2"),
            row(line + 5, name, Role::Door, "22", "16 15/16"),
            row(line + 6, name, Role::DrawerFront, "34", "6"),
            row(line + 7, name, Role::ToeKick, "35 1/2", "4"),
        ]);
    }
    let mut rules = Rules::default();
    rules.infer(&cabinets, &[list(rows)]);
    for (name, value) in [
        ("groove.depth", "1/4"),
        ("rabbet.width", "3/8"),
        ("shelf.clearance", "1/16"),
        ("overlay", "1/2"),
        ("gap", "1/8"),
    ] {
        let found = &rules.inferences[name];
        assert_eq!(found.value, size(value), "{name}");
        assert_eq!(found.support, ["B1", "B2"], "{name}");
        assert_eq!(found.against, [], "{name}");
    }
    let answers: Vec<_> = rules
        .inferred_answers
        .iter()
        .map(|(key, answer)| (*key, answer.word))
        .collect();
    assert_eq!(
        answers,
        [
            ("back", "rabbet"),
            ("bottom", "grooved"),
            ("front", "overlay"),
            ("stretcher", "between"),
            ("toe-kick", "across"),
        ]
    );
}

#[test]
fn the_odd_one_out_is_named_and_inference_alone_checks_nothing() {
    let cabinets = cabinets(&["B1", "B2", "B3"]);
    let rows = vec![
        row(2, "B1", Role::Bottom, "34 1/2", "23"),
        row(3, "B2", Role::Bottom, "34 1/2", "23"),
        // Groove depth forgotten.
        row(4, "B3", Role::Bottom, "34", "23"),
    ];
    let mut rules = Rules::default();
    rules.infer(&cabinets, &[list(rows)]);
    let groove = &rules.inferences["groove.depth"];
    assert_eq!(groove.value, size("1/4"));
    assert_eq!(groove.support, ["B1", "B2"]);
    assert_eq!(groove.against, [("B3".to_owned(), None)]);
    let bottom = PartSize {
        role: Role::Bottom,
        axis: Axis::Across,
    };
    for cabinet in &cabinets {
        let expected = rules.expect(cabinet, bottom);
        assert_eq!(expected.len(), 1);
        assert_eq!(
            expected[0].origin,
            Origin::Inferred {
                support: 2,
                against: 1
            }
        );
        let missing = rules.missing(cabinet, bottom).expect("not checkable");
        assert!(
            missing.contains("`bottom = \"grooved\"` and `groove.depth = \"1/4 in\"`"),
            "{missing}"
        );
    }
    // Three wrong alike: inference follows them, so it must not carry any weight.
    let wrong = ["B1", "B2", "B3"].into_iter().enumerate();
    let wrong = wrong.map(|(line, name)| row(line, name, Role::Bottom, "34 3/4", "23"));
    let mut misled = Rules::default();
    misled.infer(&cabinets, &[list(wrong.collect())]);
    let expected = misled.expect(&cabinets[0], bottom);
    assert_eq!(expected[0].value, size("34 3/4"));
    assert!(matches!(expected[0].origin, Origin::Inferred { .. }));
    // What the shop states goes before what the job shows.
    let mut told = super::rules("face-frame-grooved", &[("groove.depth", "1/4")]);
    let wrong = vec![row(2, "B1", Role::Bottom, "34 3/4", "23")];
    told.infer(&cabinets, &[list(wrong)]);
    let expected = told.expect(&cabinets[0], bottom);
    assert_eq!(expected.len(), 1);
    assert_eq!(expected[0].value, size("34 1/2"));
    assert_eq!(
        expected[0].origin,
        Origin::Preset {
            name: "face-frame-grooved".to_owned()
        }
    );
}

#[test]
fn a_draw_settles_nothing_and_order_does_not_matter() {
    let cabinets = cabinets(&["B1", "B2"]);
    let mut rows = vec![
        row(2, "B1", Role::Bottom, "34 1/2", "23"),
        row(3, "B2", Role::Bottom, "34", "23"),
    ];
    let mut rules = Rules::default();
    rules.infer(&cabinets, &[list(rows.clone())]);
    assert!(rules.inferred_answers.is_empty());
    assert!(rules.inferences.is_empty());
    rows.push(row(4, "B1", Role::AdjustableShelf, "33 7/8", "22"));
    let mut forward = Rules::default();
    forward.infer(&cabinets, &[list(rows.clone())]);
    rows.reverse();
    let mut backward = Rules::default();
    let turned: Vec<_> = cabinets.iter().rev().cloned().collect();
    backward.infer(&turned, &[list(rows)]);
    assert_eq!(forward.inferences, backward.inferences);
    assert_eq!(forward.inferences["shelf.clearance"].value, size("1/16"));
}
