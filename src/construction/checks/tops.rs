//! Countertops and benches built up from sheet and strips.

use super::{Check, Desk, Topic, Verdict, at, of_cell, per_cabinet};
use crate::construction::{Origin, cabinet_key};
use crate::cutlist::Row;
use crate::length::Length;
use crate::trade::{Dimension, Role};
use std::collections::BTreeMap;

pub(super) fn check(facts: &Desk<'_>, found: &mut Vec<Check>) {
    over_runs(facts, found);
    let mut rows: Vec<&Row> = facts
        .rows()
        .filter(|row| row.role() == Some(Role::Countertop))
        .collect();
    rows.sort_by(|a, b| a.source.cmp(&b.source));
    for top in rows {
        thickness(facts, top, found);
        strips(facts, top, found);
        bands(facts, top, found);
    }
}

fn sizes(row: &Row) -> Option<(Length, Length)> {
    let length = row.size(Dimension::Length)?.value;
    let width = row
        .size(Dimension::Width)
        .or_else(|| row.size(Dimension::Depth))?
        .value;
    Some((length, width))
}

/// A stated size for the top's first cabinet, or for the job when it names none.
fn stated(facts: &Desk<'_>, top: &Row, name: &str) -> Option<(Length, Origin)> {
    let named = top
        .cabinets
        .iter()
        .find_map(|cabinet| facts.size(facts.cabinet(cabinet)?, name));
    named.or_else(|| facts.size(facts.cabinets.first()?, name))
}

fn said(top: &Row) -> String {
    if top.cabinet_text.is_empty() {
        format!("'{}'", top.part)
    } else {
        format!("{} '{}'", top.cabinet_text, top.part)
    }
}

/// A top over several cabinets is as long as they are wide with its overhangs.
fn over_runs(facts: &Desk<'_>, found: &mut Vec<Check>) {
    let mut tops: BTreeMap<Vec<String>, Vec<&Row>> = BTreeMap::new();
    for row in facts.rows().filter(|row| row.cabinets.len() > 1) {
        if row.role() == Some(Role::Countertop) {
            tops.entry(keys(&row.cabinets)).or_default().push(row);
        }
    }
    for run in &facts.rules.runs {
        for top in tops.get(&keys(&run.cabinets)).into_iter().flatten() {
            let Some((length, _)) = sizes(top) else {
                continue;
            };
            let widths: Option<Vec<Length>> = run
                .cabinets
                .iter()
                .map(|name| {
                    facts
                        .size(facts.cabinet(name)?, "overall.width")
                        .map(|(w, _)| w)
                })
                .collect();
            let overhang = |side| stated(facts, top, side).map(|(value, _)| value);
            let (Some(widths), Some(left), Some(right)) = (
                widths,
                overhang("countertop.overhang-left"),
                overhang("countertop.overhang-right"),
            ) else {
                found.push(
                    Check::new(
                        Topic::Countertop,
                        Verdict::Unchecked,
                        format!(
                            "{}: its length over the run needs the widths of all cabinets and \
                             `countertop.overhang-left` and `countertop.overhang-right` under [sizes]",
                            said(top)
                        ),
                    )
                    .of(run.cabinets.iter().map(String::as_str))
                    .at_rows([at(top, Dimension::Length)]),
                );
                continue;
            };
            let between = run
                .between
                .as_ref()
                .and_then(|stated| facts.free(stated))
                .unwrap_or_default();
            let wanted = widths.iter().copied().sum::<Length>() + between + left + right;
            let tolerance = facts
                .rules
                .tolerance_at(Some(Role::Countertop), wanted)
                .value;
            let same = (length - wanted).abs() <= tolerance;
            found.push(
                Check::new(
                    Topic::Countertop,
                    Verdict::of(same),
                    format!(
                        "{}: {} long; its cabinets{} and overhangs make {}",
                        said(top),
                        facts.show(length),
                        if between > Length::ZERO {
                            ", what is between them"
                        } else {
                            ""
                        },
                        facts.show(wanted)
                    ),
                )
                .of(run.cabinets.iter().map(String::as_str))
                .resting_on(Origin::JobFile { line: run.line })
                .at_rows([at(top, Dimension::Length)])
                .sizes(wanted, length, tolerance),
            );
        }
    }
}

/// Rows of strips or bands for the same cabinets as the top; for none, when it is the
/// only top that names none.
fn belonging<'a>(facts: &Desk<'a>, top: &Row, role: Role) -> Vec<&'a Row> {
    let own = keys(&top.cabinets);
    let Some(first) = top.cabinets.first() else {
        let tops = facts.rows.of_none(Role::Countertop);
        return if tops.len() == 1 {
            facts.rows.of_none(role).to_vec()
        } else {
            Vec::new()
        };
    };
    facts
        .rows_of(first, role)
        .filter(|row| keys(&row.cabinets) == own)
        .collect()
}

/// The cabinets of a row or a run, whatever their order and spelling.
fn keys(names: &[String]) -> Vec<String> {
    let mut keys: Vec<String> = names.iter().map(|name| cabinet_key(name)).collect();
    keys.sort();
    keys
}

/// Sheet and strips make the stated thickness, in whole layers of strip.
fn thickness(facts: &Desk<'_>, top: &Row, found: &mut Vec<Check>) {
    let Some((built_up, origin)) = stated(facts, top, "countertop.built-up") else {
        return;
    };
    let sheet = top
        .size(Dimension::Thickness)
        .map(|cell| cell.value)
        .or_else(|| stated(facts, top, "countertop.sheet").map(|(value, _)| value));
    let strip = belonging(facts, top, Role::BuildUpStrip)
        .into_iter()
        .find_map(|row| row.size(Dimension::Thickness));
    let (Some(sheet), Some(strip)) = (sheet, strip) else {
        return;
    };
    let tolerance = facts
        .rules
        .tolerance_at(Some(Role::Countertop), built_up)
        .value;
    let rest = built_up - sheet;
    // One layer, or two under thick tops.
    let layers = [1, 2]
        .into_iter()
        .find(|layers| (strip.value * *layers - rest).abs() <= tolerance);
    let sentence = format!(
        "{}: {} sheet and {} strips {} a top {} thick",
        said(top),
        facts.show(sheet),
        facts.show(strip.value),
        if layers.is_some() {
            "make"
        } else {
            "do not make"
        },
        facts.show(built_up)
    );
    found.push(
        Check::new(Topic::Countertop, Verdict::of(layers.is_some()), sentence)
            .of(top.cabinets.iter().map(String::as_str))
            .resting_on(origin)
            .at_rows([at(top, Dimension::Thickness)])
            .sizes(built_up, sheet + strip.value, tolerance),
    );
}

/// Strip lengths and counts by the way the strips meet.
fn strips(facts: &Desk<'_>, top: &Row, found: &mut Vec<Check>) {
    let rows = belonging(facts, top, Role::BuildUpStrip);
    let (Some((length, depth)), false) = (sizes(top), rows.is_empty()) else {
        return;
    };
    let cabinet = top
        .cabinets
        .iter()
        .find_map(|name| facts.cabinet(name))
        .or(facts.cabinets.first());
    let Some(answer) = cabinet.and_then(|cabinet| facts.rules.answer(cabinet, "strips")) else {
        let verdict = Check::new(
            Topic::Countertop,
            Verdict::Unchecked,
            format!(
                "{}: how its build-up strips meet is not stated; answer `strips` under \
                 [construction]",
                said(top)
            ),
        );
        found.push(
            verdict
                .of(top.cabinets.iter().map(String::as_str))
                .at_rows(rows.iter().map(|row| at(row, Dimension::Length))),
        );
        return;
    };
    let width = stated(facts, top, "strip.width")
        .map(|(value, _)| value)
        .or_else(|| {
            rows.iter()
                .find_map(|row| row.size(Dimension::Width))
                .map(|cell| cell.value)
        });
    let Some(width) = width else { return };
    // Each strip: its length and how many.
    let wanted: Vec<(Length, u32)> = match answer.word {
        "front-and-ends" => vec![(length, 1), (depth - width, 2)],
        "all-round" => vec![(length, 2), (depth - width * 2, 2)],
        _ => vec![(length, 2), (depth, 2)],
    };
    let tolerance = facts
        .rules
        .tolerance_at(Some(Role::BuildUpStrip), length)
        .value;
    for row in &rows {
        let Some(cell) = row.size(Dimension::Length) else {
            continue;
        };
        let nearest = wanted
            .iter()
            .min_by_key(|(wanted, _)| (*wanted - cell.value).abs());
        let Some((nearest, _)) = nearest else {
            continue;
        };
        let same = (*nearest - cell.value).abs() <= tolerance;
        let all: Vec<String> = wanted
            .iter()
            .map(|(length, _)| facts.show(*length))
            .collect();
        found.push(
            Check::new(
                Topic::Countertop,
                Verdict::of(same),
                format!(
                    "{}: a strip {} long; its strips are {} long",
                    said(top),
                    facts.show(cell.value),
                    all.join(" and ")
                ),
            )
            .of(top.cabinets.iter().map(String::as_str))
            .resting_on(answer.origin.clone())
            .at_rows([of_cell(row, cell)])
            .sizes(*nearest, cell.value, tolerance),
        );
    }
    let tops = per_cabinet(top).unwrap_or(1);
    for (wanted_length, count) in &wanted {
        let listed: u32 = rows
            .iter()
            .filter(|row| {
                row.size(Dimension::Length)
                    .is_some_and(|cell| (cell.value - *wanted_length).abs() <= tolerance)
            })
            .filter_map(|row| per_cabinet(row))
            .sum();
        let needed = count * tops;
        // A wrong length is said above; counts are for strips of the right length.
        if listed == needed || listed == 0 {
            continue;
        }
        let mut check = Check::new(
            Topic::Countertop,
            Verdict::Disagrees,
            format!(
                "{}: {needed} strips of {} are needed and {listed} listed",
                said(top),
                facts.show(*wanted_length)
            ),
        )
        .of(top.cabinets.iter().map(String::as_str))
        .resting_on(answer.origin.clone())
        .at_rows(rows.iter().map(|row| at(row, Dimension::Quantity)));
        check.counts = Some((needed, listed));
        found.push(check);
    }
}

/// Band covers the built-up edge.
fn bands(facts: &Desk<'_>, top: &Row, found: &mut Vec<Check>) {
    let Some((built_up, origin)) = stated(facts, top, "countertop.built-up") else {
        return;
    };
    for row in belonging(facts, top, Role::EdgeBand) {
        let Some(cell) = row.size(Dimension::Width) else {
            continue;
        };
        let covers = cell.value >= built_up;
        found.push(
            Check::new(
                Topic::Countertop,
                Verdict::of(covers),
                format!(
                    "{}: edge band {} wide {} an edge built up to {}",
                    said(top),
                    facts.show(cell.value),
                    if covers { "covers" } else { "does not cover" },
                    facts.show(built_up)
                ),
            )
            .of(top.cabinets.iter().map(String::as_str))
            .resting_on(origin.clone())
            .at_rows([of_cell(row, cell)])
            .sizes(built_up, cell.value, Length::ZERO),
        );
    }
}
