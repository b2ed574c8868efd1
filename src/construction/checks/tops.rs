//! Countertops and benches built up from sheet and strips.

use super::{Cell, Check, Desk, Topic, Verdict, at, of_cell, per_cabinet};
use crate::construction::{Origin, PartSize, cabinet_key};
use crate::cutlist::Row;
use crate::length::Length;
use crate::trade::{Axis, Dimension, Role};
use std::collections::BTreeMap;

pub(super) fn check(facts: &Desk<'_>, found: &mut Vec<Check>) {
    let over = over_runs(facts, found);
    let mut rows: Vec<&Row> = facts
        .rows()
        .filter(|row| row.role() == Some(Role::Countertop))
        .collect();
    rows.sort_by(|a, b| a.source.cmp(&b.source));
    for row in rows {
        let top = Top::of(facts, row, &over);
        thickness(facts, &top, found);
        super::strips::check(facts, &top, found);
        bands(facts, &top, found);
    }
}

/// A listed top and the faces it should have: as it is drawn, or what it covers with its
/// overhangs where that is known, else as it is listed. A wrong top does not make its strips wrong.
pub(super) struct Top<'a> {
    pub row: &'a Row,
    pub faces: Option<(Length, Length)>,
    /// Both faces are known from elsewhere than its own row.
    pub known: bool,
}

impl<'a> Top<'a> {
    fn of(
        facts: &Desk<'_>,
        row: &'a Row,
        over: &BTreeMap<&crate::cutlist::RowSource, Length>,
    ) -> Self {
        let listed = sizes(row);
        let cabinet = row.cabinets.first().and_then(|name| facts.cabinet(name));
        let by_rule = |axis: Axis| -> Option<Length> {
            let size = PartSize {
                role: Role::Countertop,
                axis,
            };
            facts
                .rules
                .expect(cabinet?, size)
                .into_iter()
                .find(|expected| !matches!(expected.origin, Origin::Inferred { .. }))
                .map(|expected| expected.value)
        };
        let drawn = |axis: Axis| -> Option<Length> {
            let parts = cabinet.filter(|_| row.cabinets.len() == 1)?.parts.iter();
            let mut tops = parts.filter(|part| part.role == Role::Countertop && !part.flat);
            let span = tops.next()?.span(axis)?;
            (!span.is_lower_bound()).then(|| span.length())
        };
        let along = over
            .get(&row.source)
            .copied()
            .or_else(|| drawn(Axis::Across))
            .or_else(|| {
                (row.cabinets.len() == 1)
                    .then(|| by_rule(Axis::Across))
                    .flatten()
            });
        let deep = drawn(Axis::Deep).or_else(|| by_rule(Axis::Deep));
        let known = along.is_some() && deep.is_some();
        let faces = listed.map(|(length, width)| (along.unwrap_or(length), deep.unwrap_or(width)));
        Top { row, faces, known }
    }

    pub fn said(&self) -> String {
        said(self.row)
    }

    pub fn check(&self, verdict: Verdict, sentence: String) -> Check {
        Check::new(Topic::Countertop, verdict, sentence).of(self
            .row
            .cabinets
            .iter()
            .map(String::as_str))
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
pub(super) fn stated(facts: &Desk<'_>, top: &Row, name: &str) -> Option<(Length, Origin)> {
    let named = top
        .cabinets
        .iter()
        .find_map(|cabinet| facts.size(facts.cabinet(cabinet)?, name));
    named.or_else(|| facts.size(facts.cabinets.first()?, name))
}

/// An answer for the top's first drawn cabinet, or for the job.
pub(super) fn answer(
    facts: &Desk<'_>,
    top: &Row,
    key: &str,
) -> Option<crate::construction::Answer> {
    let cabinet = top
        .cabinets
        .iter()
        .find_map(|name| facts.cabinet(name))
        .or(facts.cabinets.first())?;
    facts.rules.answer(cabinet, key)
}

fn said(top: &Row) -> String {
    if top.cabinet_text.is_empty() {
        format!("'{}'", top.part)
    } else {
        format!("{} '{}'", top.cabinet_text, top.part)
    }
}

/// A top over several cabinets is as long as they are wide with its overhangs. Gives
/// the lengths tops should have.
fn over_runs<'a>(
    facts: &Desk<'a>,
    found: &mut Vec<Check>,
) -> BTreeMap<&'a crate::cutlist::RowSource, Length> {
    let mut known = BTreeMap::new();
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
            known.insert(&top.source, wanted);
            let tolerance = facts
                .rules
                .tolerance_at(Some(Role::Countertop), wanted)
                .value;
            let same = (length - wanted).abs() <= tolerance;
            // The row's cabinets name one top, however many there are.
            let one = top.quantity.count == 1 && top.quantity.column > 0;
            let mut cells = vec![at(top, Dimension::Length)];
            if same && one {
                cells.push(at(top, Dimension::Quantity));
            }
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
                .at_rows(cells)
                .sizes(wanted, length, tolerance),
            );
        }
    }
    known
}

/// Rows of strips or bands for the same cabinets as the top; for none, when it is the
/// only top that names none.
pub(super) fn belonging<'a>(facts: &Desk<'a>, top: &Row, role: Role) -> Vec<&'a Row> {
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
fn thickness(facts: &Desk<'_>, top: &Top<'_>, found: &mut Vec<Check>) {
    let row = top.row;
    let Some((built_up, origin)) = stated(facts, row, "countertop.built-up") else {
        return;
    };
    let own = row.size(Dimension::Thickness).map(|cell| cell.value);
    let said_sheet = stated(facts, row, "countertop.sheet").map(|(value, _)| value);
    let strips: Vec<(&Row, Length)> = belonging(facts, row, Role::BuildUpStrip)
        .into_iter()
        .filter_map(|row| Some((row, row.size(Dimension::Thickness)?.value)))
        .collect();
    let Some(sheet) = own.or(said_sheet) else {
        return;
    };
    let tolerance = facts
        .rules
        .tolerance_at(Some(Role::Countertop), built_up)
        .value;
    let rest = built_up - sheet;
    // One layer, or two under thick tops.
    let fits = |strip: Length| {
        [1, 2]
            .into_iter()
            .any(|layers| (strip * layers - rest).abs() <= tolerance)
    };
    // The stated sheet, or one that is used for the strips as well, is not the wrong one.
    let sheet_right = said_sheet.is_some_and(|said| (said - sheet).abs() <= tolerance)
        || (rest - sheet).abs() <= tolerance;
    let (right, wrong): (Vec<_>, Vec<_>) = strips.into_iter().partition(|(_, strip)| fits(*strip));
    let sentence = |strip: Length, right: bool| {
        format!(
            "{}: {} sheet and {} strips {} a top {} thick",
            top.said(),
            facts.show(sheet),
            facts.show(strip),
            if right { "make" } else { "do not make" },
            facts.show(built_up)
        )
    };
    let own_cell = || at(row, Dimension::Thickness);
    let cells = |strips: &[(&Row, Length)]| -> Vec<Cell> {
        strips
            .iter()
            .map(|(row, _)| at(row, Dimension::Thickness))
            .collect()
    };
    if let Some((_, strip)) = right.first() {
        found.push(
            top.check(Verdict::Agrees, sentence(*strip, true))
                .resting_on(origin.clone())
                .at_rows(cells(&right).into_iter().chain([own_cell()]))
                .sizes(built_up, sheet + *strip, tolerance),
        );
    }
    if let Some((_, strip)) = wrong.first() {
        let blamed = if right.is_empty() && !sheet_right {
            vec![own_cell()]
        } else {
            cells(&wrong)
        };
        found.push(
            top.check(Verdict::Disagrees, sentence(*strip, false))
                .resting_on(origin)
                .at_rows(blamed)
                .sizes(built_up, sheet + *strip, tolerance),
        );
    }
}

/// Band covers the built-up edge, and all the edges it goes on.
fn bands(facts: &Desk<'_>, top: &Top<'_>, found: &mut Vec<Check>) {
    let rows = belonging(facts, top.row, Role::EdgeBand);
    if let Some((built_up, origin)) = stated(facts, top.row, "countertop.built-up") {
        for row in &rows {
            let Some(cell) = row.size(Dimension::Width) else {
                continue;
            };
            let covers = cell.value >= built_up;
            found.push(
                top.check(
                    Verdict::of(covers),
                    format!(
                        "{}: edge band {} wide {} an edge built up to {}",
                        top.said(),
                        facts.show(cell.value),
                        if covers { "covers" } else { "does not cover" },
                        facts.show(built_up)
                    ),
                )
                .resting_on(origin.clone())
                .at_rows([of_cell(row, cell)])
                .sizes(built_up, cell.value, Length::ZERO),
            );
        }
    }
    let lengths: Option<Vec<(&Row, Length, u32)>> = rows
        .iter()
        .map(|row| {
            let cell = row.size(Dimension::Length)?;
            Some((*row, cell.value, per_cabinet(row)?))
        })
        .collect();
    let (Some((length, depth)), Some(lengths), false) = (top.faces, lengths, rows.is_empty())
    else {
        return;
    };
    let cells = || lengths.iter().map(|(row, ..)| at(row, Dimension::Length));
    let Some(answer) = answer(facts, top.row, "band-edges") else {
        let sentence = format!(
            "{}: which of its edges carry band is not stated; answer `band-edges` under \
             [construction]",
            top.said()
        );
        found.push(top.check(Verdict::Unchecked, sentence).at_rows(cells()));
        return;
    };
    let edges = match answer.word {
        "front" => length,
        "front-and-ends" => length + depth * 2,
        _ => length * 2 + depth * 2,
    };
    let extra = stated(facts, top.row, "band.allowance");
    let tops = i64::from(per_cabinet(top.row).unwrap_or(1));
    let needed = (edges + extra.as_ref().map_or(Length::ZERO, |(extra, _)| *extra)) * tops;
    let listed: Length = lengths
        .iter()
        .map(|(_, length, count)| *length * i64::from(*count))
        .sum();
    let tolerance = facts
        .rules
        .tolerance_at(Some(Role::Countertop), needed)
        .value;
    // Band is cut to fit, so more of it is no mistake.
    let enough = listed + tolerance >= needed;
    found.push(
        top.check(
            Verdict::of(enough),
            format!(
                "{}: {} of edge band {} the {} its edges need",
                top.said(),
                facts.show(listed),
                if enough { "covers" } else { "is short of" },
                facts.show(needed)
            ),
        )
        .resting_on(answer.origin)
        .at_rows(
            cells().chain(
                lengths
                    .iter()
                    .filter(|(row, ..)| enough && row.quantity.column > 0)
                    .map(|(row, ..)| at(row, Dimension::Quantity)),
            ),
        )
        .sizes(needed, listed, tolerance),
    );
}
