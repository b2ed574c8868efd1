//! Groups, counts, contradictions and problems put into findings.

use super::bench::Bench;
use super::causes::{self, Ground};
use super::checks::{Check, axis_word};
use super::fit::cell_at;
use super::group::{Group, Root, figures};
use super::knowns::{axis_noun, between};
use super::quantity::{Counts, Missing, names};
use super::types::{Finding, FindingKind, RowSize};
use super::wants::Certainty;
use super::words;
use crate::cabinet::MeasuredCabinet;
use crate::length::Length;
use std::collections::BTreeSet;

use super::checks::State;

/// A finding with nothing in it yet.
pub(super) fn blank(kind: FindingKind, message: String) -> Finding {
    Finding {
        id: String::new(),
        kind,
        cabinet: None,
        cabinets: Vec::new(),
        part: None,
        dimension: None,
        drawn: None,
        listed: None,
        counts: None,
        difference: None,
        tolerance: None,
        row: None,
        measured: None,
        relation: None,
        message,
        causes: Vec::new(),
        also: Vec::new(),
    }
}

/// Cabinet names of a finding, in natural order.
pub(super) fn in_cabinets(finding: &mut Finding, mut names: Vec<String>) {
    names.sort_by(|a, b| words::natural(a, b));
    names.dedup();
    finding.cabinet = names.first().cloned();
    finding.cabinets = names;
}

pub(super) fn sizes(ground: &Ground<'_>, groups: &[Group], counts: &Counts) -> Vec<Finding> {
    let all = figures(ground.bench, ground.checks);
    groups
        .iter()
        .filter_map(|group| {
            let principal = ground.checks.get(*group.members.first()?)?;
            let mut finding = size_finding(ground, group, principal)?;
            let mut cases: Vec<usize> = Vec::new();
            for index in &group.members {
                let Some(check) = ground.checks.get(*index) else {
                    continue;
                };
                let written = ground.bench.written_as(check.row);
                let same_figure = all.get(&(written, check.size));
                cases.extend(
                    same_figure
                        .into_iter()
                        .flatten()
                        .filter_map(|index| ground.checks.get(*index)?.case),
                );
            }
            cases.sort_unstable();
            cases.dedup();
            let first = principal.case;
            in_cabinets(&mut finding, names(ground.bench, &cases));
            // The principal's cabinet leads where a finding spans several.
            if let Some(case) = first.and_then(|case| ground.bench.cases.get(case)) {
                finding.cabinet = Some(case.name.clone());
            }
            finding.also = group
                .members
                .iter()
                .skip(1)
                .filter_map(|index| row_size(ground.bench, ground.checks.get(*index)?))
                .collect();
            finding.also.extend(
                exchanged_counts(ground.bench, group, counts)
                    .into_iter()
                    .filter_map(|row| Some(ground.bench.row_quantity(ground.bench.rows.get(row)?))),
            );
            finding.also.sort_by(order_rows);
            finding.causes = causes::find(ground, group);
            finding.message = size_message(ground.bench, group, principal, &finding);
            Some(finding)
        })
        .collect()
}

fn order_rows(a: &RowSize, b: &RowSize) -> std::cmp::Ordering {
    (&a.row, a.dimension, a.column, &a.text, &a.part).cmp(&(
        &b.row,
        b.dimension,
        b.column,
        &b.text,
        &b.part,
    ))
}

fn row_size(bench: &Bench<'_>, check: &Check<'_>) -> Option<RowSize> {
    let row = bench.rows.get(check.row)?;
    Some(bench.row_size(row, cell_at(row, check.size)?))
}

fn size_finding(ground: &Ground<'_>, group: &Group, check: &Check<'_>) -> Option<Finding> {
    let bench = ground.bench;
    let row = bench.rows.get(check.row)?;
    let cell = cell_at(row, check.size)?;
    let want = check.want?;
    let band = check.listed - cell.value;
    let mut finding = blank(FindingKind::Size, String::new());
    finding.part = Some(row.part.clone());
    finding.dimension = Some(cell.dimension);
    // Held against the list as it is written: a cut size has no band on yet.
    finding.drawn = Some(want.value - band);
    finding.listed = Some(cell.value);
    finding.difference = Some(cell.value + band - want.value);
    finding.tolerance = Some(check.tolerance);
    finding.row = Some(bench.row_size(row, cell));
    finding.measured = want.span.map(between);
    finding.relation = want.rule.map(|rule| (rule.equation(), rule.origin.clone()));
    debug_assert!(!group.members.is_empty());
    Some(finding)
}

fn size_message(bench: &Bench<'_>, group: &Group, check: &Check<'_>, finding: &Finding) -> String {
    let show = bench.show;
    let (Some(want), Some(drawn), Some(listed), Some(difference), Some(row)) = (
        check.want,
        finding.drawn,
        finding.listed,
        finding.difference,
        bench.rows.get(check.row),
    ) else {
        return String::new();
    };
    let cabinet = words::join(&finding.cabinets);
    let dimension = finding.dimension.map_or("size", |d| d.word());
    let way = axis_word(check.axis);
    let known = match (want.span, want.certainty) {
        (Some(_), Certainty::AtLeast { .. }) => {
            format!("it is drawn at least {} {way}", show.size(drawn))
        }
        (Some(_), Certainty::Exact) if want.rule.is_none() || is_drawn(check) => {
            format!("it is drawn {} {way}", show.size(drawn))
        }
        _ => format!("it should be {} {way}", show.size(drawn)),
    };
    let off = if difference < Length::ZERO {
        format!("{} too small", show.size(difference.abs()))
    } else {
        format!("{} too large", show.size(difference))
    };
    let mut message = format!(
        "{cabinet}, {} (line {}): {dimension} is listed {}; {known} ({off}).",
        row.part,
        row.source.line,
        show.size(listed)
    );
    if let Some(cause) = finding.causes.first() {
        let likely = match finding.causes.len() {
            1 => "Most likely",
            _ => "Perhaps",
        };
        message.push_str(&format!(" {likely}: {}", cause.sentence));
    }
    if let (Root::Measure { case, axis, off }, Some(at)) = (
        &group.root,
        check.case.and_then(|case| bench.cases.get(case)),
    ) && group.members.len() > 1
        && check.case == Some(*case)
        && let Some(overall) = at.overall(*axis)
    {
        let size = match axis {
            crate::trade::Axis::Across => "wide",
            crate::trade::Axis::Deep => "deep",
            crate::trade::Axis::High => "high",
        };
        message.push_str(&format!(
            " This list builds {} {} {size}; it is drawn {} {size}.",
            at.name,
            show.size(overall.length() + *off),
            show.size(overall.length())
        ));
    }
    if !finding.also.is_empty() {
        let many = finding.also.len();
        message.push_str(&format!(
            " {} {} off for the same reason.",
            words::count(many, "other size"),
            if many == 1 { "is" } else { "are" }
        ));
    }
    message
}

/// True when the wanted size is the drawn distance itself.
fn is_drawn(check: &Check<'_>) -> bool {
    check
        .want
        .and_then(|want| want.span.map(|span| span.length() == want.value))
        .unwrap_or(false)
}

/// Rows whose quantity is wrong for no other reason than that the rows of two
/// cabinets stand under one another's name.
fn exchanged_counts(bench: &Bench<'_>, group: &Group, counts: &Counts) -> Vec<usize> {
    let other = |case: usize| match group.root {
        Root::Exchanged { a, b } if case == a => Some(b),
        Root::Exchanged { a, b } if case == b => Some(a),
        Root::Copied { to, from } if case == to => Some(from),
        _ => None,
    };
    counts
        .rows
        .values()
        .filter(|count| count.state == State::Fails)
        .filter(|count| {
            let [case] = count.cases.as_slice() else {
                return false;
            };
            let role = bench.rows.get(count.row).and_then(|row| row.role());
            other(*case)
                .and_then(|other| bench.cases.get(other))
                .is_some_and(|other| {
                    let parts = other.parts.iter();
                    let drawn = parts.filter(|part| Some(part.role) == role).count();
                    drawn > 0 && drawn == count.listed as usize
                })
        })
        .map(|count| count.row)
        .collect()
}

pub(super) fn quantities(ground: &Ground<'_>, groups: &[Group], counts: &Counts) -> Vec<Finding> {
    let bench = ground.bench;
    let exchanged: BTreeSet<usize> = groups
        .iter()
        .flat_map(|group| exchanged_counts(bench, group, counts))
        .collect();
    let mut out = Vec::new();
    for count in counts.rows.values() {
        if count.state != State::Fails || exchanged.contains(&count.row) {
            continue;
        }
        let Some(row) = bench.rows.get(count.row) else {
            continue;
        };
        let cases = names(bench, &count.cases);
        let (kind, message) = if count.extra {
            (
                FindingKind::ExtraPart,
                format!(
                    "{}, {} (line {}): {} listed, but no drawn part is left for it.",
                    words::join(&cases),
                    row.part,
                    row.source.line,
                    count.listed
                ),
            )
        } else {
            (
                FindingKind::Quantity,
                format!(
                    "{}, {} (line {}): {} drawn{}, {} listed.",
                    words::join(&cases),
                    row.part,
                    row.source.line,
                    count.drawn,
                    counted(&count.parts),
                    count.listed
                ),
            )
        };
        let mut finding = blank(kind, message);
        in_cabinets(&mut finding, cases);
        finding.part = Some(row.part.clone());
        finding.dimension = Some(crate::trade::Dimension::Quantity);
        finding.counts = Some((count.drawn, count.listed));
        finding.row = Some(bench.row_quantity(row));
        finding.causes = causes::quantity(ground, count);
        out.push(finding);
    }
    out.extend(
        counts
            .missing
            .iter()
            .filter_map(|missing| missing_part(bench, missing)),
    );
    out
}

/// The counted parts by name, where a person can follow them.
fn counted(parts: &[String]) -> String {
    if parts.is_empty() || parts.len() > MOST_NAMED {
        String::new()
    } else {
        format!(" ({})", words::join(parts))
    }
}

/// More parts than this are not named one by one.
const MOST_NAMED: usize = 6;

fn missing_part(bench: &Bench<'_>, missing: &Missing) -> Option<Finding> {
    let case = bench.cases.get(missing.case)?;
    let parts: Vec<_> = missing
        .parts
        .iter()
        .filter_map(|at| case.parts.get(at.part))
        .collect();
    let first = parts.first()?;
    let sizes: Vec<String> = crate::trade::Axis::ALL
        .iter()
        .filter_map(|&axis| {
            let span = first.span(axis)?;
            Some(format!(
                "{} {}",
                bench.show.size(span.length()),
                axis.word()
            ))
        })
        .collect();
    let mut finding = blank(
        FindingKind::MissingPart,
        format!(
            "{}: {} drawn ({}; {}), but no row is left for {}.",
            case.name,
            words::count(parts.len(), first.role.word()),
            words::join(
                &parts
                    .iter()
                    .map(|part| part.name.clone())
                    .collect::<Vec<_>>()
            ),
            sizes.join(", "),
            if parts.len() == 1 { "it" } else { "them" }
        ),
    );
    in_cabinets(&mut finding, vec![case.name.clone()]);
    finding.part = Some(first.name.clone());
    finding.dimension = Some(crate::trade::Dimension::Quantity);
    finding.counts = Some((parts.len() as u32, 0));
    finding.measured = crate::trade::Axis::ALL
        .iter()
        .find_map(|&axis| first.span(axis))
        .map(between);
    Some(finding)
}

/// What the drawings say against themselves and against the job file.
pub(super) fn drawing(bench: &Bench<'_>, checks: &[Check<'_>]) -> Vec<Finding> {
    let mut out = Vec::new();
    for (_, sentence) in &bench.job.views.conflicts {
        out.push(blank(FindingKind::Drawing, sentence.clone()));
    }
    // In one that is known by its size alone the views may not belong together.
    let known =
        |cabinet: &&MeasuredCabinet| bench.open(std::slice::from_ref(&cabinet.id)).is_none();
    for cabinet in bench.job.cabinets.iter().filter(known) {
        for conflict in &cabinet.conflicts {
            let mut finding = blank(FindingKind::Drawing, conflict.sentence.clone());
            in_cabinets(
                &mut finding,
                std::iter::once(cabinet.id.clone())
                    .chain(cabinet.same_as.iter().cloned())
                    .collect(),
            );
            let [drawn, other] = conflict.distances_mm.map(Length::from_mm);
            finding.drawn = drawn;
            finding.listed = None;
            if let (Some(drawn), Some(other)) = (drawn, other) {
                finding.difference = Some(other - drawn);
            }
            finding.measured = Some(super::types::MeasuredBetween {
                view: conflict.view,
                lines: conflict.lines.clone(),
                sentence: conflict.axis.map_or_else(
                    || "two distances that should be one".to_owned(),
                    |axis| format!("the two {}s", axis_noun(axis)),
                ),
            });
            out.push(finding);
        }
    }
    for (name, sheets) in &bench.doubled {
        let mut files: Vec<String> = sheets
            .iter()
            .filter_map(|sheet| Some(bench.job.sheets.get(*sheet)?.file.clone()))
            .collect();
        files.sort();
        files.dedup();
        let places = if files.is_empty() {
            String::new()
        } else {
            format!(" (in {})", super::words::join(&files))
        };
        let mut finding = blank(
            FindingKind::Drawing,
            format!(
                "two drawn cabinets are called {name}{places}; give each a name of its own in the \
                 drawing or the job file"
            ),
        );
        in_cabinets(&mut finding, vec![name.clone()]);
        out.push(finding);
    }
    out.extend(contradicted_rules(bench, checks));
    out
}

/// Relations of the job file that the drawing does not bear out: once for each
/// relation and difference.
fn contradicted_rules(bench: &Bench<'_>, checks: &[Check<'_>]) -> Vec<Finding> {
    use std::collections::BTreeMap;
    let mut found: BTreeMap<(String, String, Length), (Vec<String>, &Check<'_>)> = BTreeMap::new();
    for check in checks {
        let (Some(want), Some(case)) = (check.want, check.case) else {
            continue;
        };
        let Some(rule) = want.contradicted else {
            continue;
        };
        let key = (
            super::checks::origin(&rule.origin),
            rule.relation(),
            rule.value - want.value,
        );
        let entry = found.entry(key).or_insert_with(|| (Vec::new(), check));
        entry.0.extend(names(bench, &[case]));
    }
    found
        .into_iter()
        .filter_map(|((origin, _, off), (cabinets, check))| {
            let want = check.want?;
            let rule = want.contradicted?;
            let part = check.part.map_or("part", |part| part.name.as_str());
            let mut finding = blank(FindingKind::Drawing, String::new());
            in_cabinets(&mut finding, cabinets);
            let others = finding.cabinets.len() - 1;
            finding.message = format!(
                "the {origin} makes the {part} of {} {} {} ({}); it is drawn {}{}",
                finding.cabinet.clone().unwrap_or_default(),
                bench.show.size(rule.value),
                axis_word(check.axis),
                rule.equation(),
                bench.show.size(want.value),
                match others {
                    0 => String::new(),
                    n => format!("; the same in {}", words::count(n, "other cabinet")),
                }
            );
            finding.part = Some(part.to_owned());
            finding.drawn = Some(want.value);
            finding.difference = Some(off);
            finding.tolerance = Some(check.tolerance);
            finding.measured = want.span.map(between);
            finding.relation = Some((rule.equation(), rule.origin.clone()));
            Some(finding)
        })
        .collect()
}
