//! The reading of lists for programs. Fields are only ever added within a version.

use super::Lists;
use crate::cutlist::{
    Band, BoringRow, CutList, FromEdge, Grain, Hand, PassedOver, Per, Problem, Quantity, Reading,
    Row, RowSource, SizeCell, SizeKind,
};
use serde_json::{Value, json};

/// The version of the shape.
const SCHEMA: &str = "dryfit-parts/1";

pub(super) fn render(lists: &Lists) -> String {
    let document = json!({
        "schema": SCHEMA,
        "understood": lists.understood(),
        "lists": lists.lists.iter().map(list).collect::<Vec<_>>(),
        "unusable": lists.unusable.iter().map(|problem| json!({
            "file": problem.file,
            "message": problem.message,
        })).collect::<Vec<_>>(),
    });
    // Values made of strings and numbers always print.
    let mut text = serde_json::to_string_pretty(&document).unwrap_or_default();
    text.push('\n');
    text
}

fn list(list: &CutList) -> Value {
    json!({
        "file": &*list.file,
        "reading": list.reading,
        "cabinets": list.names(),
        "rows": list.rows.iter().map(row).collect::<Vec<_>>(),
        "borings": list.borings.iter().map(boring).collect::<Vec<_>>(),
        "problems": list.problems.iter().map(problem).collect::<Vec<_>>(),
        "passed_over": list.passed_over.iter().map(passed).collect::<Vec<_>>(),
    })
}

fn row(row: &Row) -> Value {
    let mut value = place(&row.source);
    add(
        &mut value,
        [
            ("cabinets", json!(row.cabinets)),
            ("cabinet_text", json!(row.cabinet_text)),
            ("part", json!(row.part)),
            ("reading", reading(&row.reading)),
            ("hand", json!(row.hand.map(hand))),
            ("quantity", quantity(&row.quantity)),
            (
                "sizes",
                json!(row.sizes.iter().map(size).collect::<Vec<_>>()),
            ),
            (
                "cut_sizes",
                json!(row.cut_sizes.iter().map(size).collect::<Vec<_>>()),
            ),
            (
                "size_kind",
                json!(match row.size_kind {
                    SizeKind::Unstated => None,
                    SizeKind::Finished => Some("finished"),
                    SizeKind::Cut => Some("cut"),
                }),
            ),
            (
                "grain",
                json!(match row.grain {
                    Grain::Unstated => None,
                    Grain::None => Some("none"),
                    Grain::AlongLength => Some("length"),
                    Grain::AlongWidth => Some("width"),
                }),
            ),
            ("band", json!(row.band.map(band))),
            ("material", json!(row.material)),
            ("note", json!(row.note)),
        ],
    );
    value
}

fn boring(row: &BoringRow) -> Value {
    let mut value = place(&row.source);
    add(
        &mut value,
        [
            ("cabinets", json!(row.cabinets)),
            ("cabinet_text", json!(row.cabinet_text)),
            ("part", json!(row.part)),
            ("reading", reading(&row.reading)),
            ("quantity", quantity(&row.quantity)),
            ("hinge_side", json!(row.hinge_side.map(hand))),
            (
                "sizes",
                json!(row.sizes.iter().map(size).collect::<Vec<_>>()),
            ),
            (
                "marks",
                json!(
                    row.marks
                        .iter()
                        .map(|mark| {
                            let mut value = size(&mark.size);
                            add(
                                &mut value,
                                [(
                                    "from",
                                    json!(match mark.from {
                                        FromEdge::Top => Some("top"),
                                        FromEdge::Bottom => Some("bottom"),
                                        FromEdge::Unstated => None,
                                    }),
                                )],
                            );
                            value
                        })
                        .collect::<Vec<_>>()
                ),
            ),
            (
                "centre_from_edge",
                json!(row.centre_from_edge.as_ref().map(size)),
            ),
            ("rim_from_edge", json!(row.rim_from_edge.as_ref().map(size))),
            ("diameter", json!(row.diameter.as_ref().map(size))),
            ("note", json!(row.note)),
        ],
    );
    value
}

fn add<const N: usize>(value: &mut Value, fields: [(&str, Value); N]) {
    if let Value::Object(object) = value {
        for (name, field) in fields {
            object.insert(name.to_owned(), field);
        }
    }
}

fn place(source: &RowSource) -> Value {
    let mut value = json!({});
    if let Some(sheet) = &source.sheet {
        add(&mut value, [("sheet", json!(sheet))]);
    }
    add(&mut value, [("line", json!(source.line))]);
    value
}

fn reading(reading: &Reading) -> Value {
    match reading {
        Reading::As {
            role,
            synonym,
            score,
        } => json!({
            "role": role.word(),
            "by": synonym,
            "score": score,
        }),
        Reading::Unknown { nearest } => json!({
            "role": null,
            "nearest": nearest.iter().map(|(role, synonym, score)| json!({
                "role": role.word(),
                "by": synonym,
                "score": score,
            })).collect::<Vec<_>>(),
        }),
    }
}

fn quantity(quantity: &Quantity) -> Value {
    json!({
        "count": quantity.count,
        "per": match quantity.per {
            Per::Cabinet => "cabinet",
            Per::Job => "job",
        },
        "text": quantity.text,
        "column": quantity.column,
    })
}

fn size(cell: &SizeCell) -> Value {
    json!({
        "dimension": cell.dimension.word(),
        "text": cell.text,
        "column": cell.column,
        "heading": &*cell.heading,
        "mm": cell.value.mm(),
        "unit": cell.unit.abbreviation(),
        "unit_evidence": &*cell.unit_evidence,
        "exact": cell.detail.exact,
    })
}

const fn hand(hand: Hand) -> &'static str {
    match hand {
        Hand::Left => "left",
        Hand::Right => "right",
    }
}

fn band(band: Band) -> Value {
    json!({
        "along_length": band.along_length,
        "along_width": band.along_width,
        "thickness_mm": band.thickness.map(crate::length::Length::mm),
    })
}

fn problem(problem: &Problem) -> Value {
    let mut value = place(&problem.source);
    add(
        &mut value,
        [
            ("column", json!(problem.column)),
            ("dimension", json!(problem.dimension.map(|d| d.word()))),
            ("text", json!(problem.text)),
            ("message", json!(problem.message)),
            ("advice", json!(problem.advice)),
        ],
    );
    value
}

fn passed(passed: &PassedOver) -> Value {
    let mut value = place(&passed.source);
    add(
        &mut value,
        [
            ("text", json!(passed.text)),
            ("reason", json!(passed.reason)),
        ],
    );
    value
}
