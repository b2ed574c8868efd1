//! Files, rows and cabinets that could not be compared at all.

use super::bench::Bench;
use super::findings::{blank, in_cabinets};
use super::types::{Finding, FindingKind, RowSize};
use super::words;
use crate::construction::untitled::Untitled;
use crate::trade::Dimension;
use std::collections::BTreeMap;

pub(super) fn findings(bench: &Bench<'_>) -> Vec<Finding> {
    let mut out = Vec::new();
    for problem in &bench.job.unusable {
        out.push(blank(
            FindingKind::Input,
            format!("{}: {}", problem.file, problem.message),
        ));
    }
    for list in &bench.job.lists {
        if list.rows.is_empty() && list.borings.is_empty() && list.problems.is_empty() {
            out.push(blank(
                FindingKind::Input,
                format!("{}: the list has no rows", list.file),
            ));
        }
        for problem in &list.problems {
            let mut finding = blank(
                FindingKind::Input,
                format!(
                    "{}, line {}{}: {}; {}",
                    problem.source.file,
                    problem.source.line,
                    problem
                        .column
                        .map_or_else(String::new, |column| format!(", column {column}")),
                    problem.message,
                    problem.advice
                ),
            );
            let row = bench.row_at(&problem.source);
            finding.row = Some(RowSize {
                row: problem.source.clone(),
                part: row.map_or_else(String::new, |row| row.part.clone()),
                dimension: problem.dimension.unwrap_or(Dimension::Quantity),
                column: problem.column.unwrap_or(0),
                text: problem.text.clone(),
            });
            finding.part = row.map(|row| row.part.clone());
            finding.dimension = problem.dimension;
            if let Some(row) = row {
                in_cabinets(&mut finding, row.cabinets.clone());
            }
            out.push(finding);
        }
    }
    out.extend(undrawn(bench));
    out.extend(unlisted(bench));
    out
}

/// Cabinets the list names and no drawing shows: once each.
fn undrawn(bench: &Bench<'_>) -> Vec<Finding> {
    if bench.cases.is_empty() {
        // Nothing is drawn at all; said once, below.
        return if bench.rows.is_empty() {
            Vec::new()
        } else {
            vec![blank(
                FindingKind::Input,
                if bench.job.untitled.is_empty() {
                    "no cabinet was found in the drawings, so no row could be checked; title the \
                     views with the cabinets' names, or name them in the job file"
                        .to_owned()
                } else {
                    format!(
                        "{} drawn without a name, and the size of none tells surely which of the \
                         list it is, so no row could be checked; title the views with the \
                         cabinets' names, or name them in the job file",
                        match bench.job.untitled.len() {
                            1 => "1 cabinet is".to_owned(),
                            several => format!("{several} cabinets are"),
                        }
                    )
                },
            )]
        };
    }
    let mut found: BTreeMap<String, (String, Vec<String>)> = BTreeMap::new();
    for (row, names) in bench.rows.iter().zip(&bench.undrawn) {
        for name in names {
            found
                .entry(name.trim().to_lowercase())
                .or_insert_with(|| (name.clone(), Vec::new()))
                .1
                .push(format!("{} line {}", row.source.file, row.source.line));
        }
    }
    found
        .into_values()
        .map(|(name, lines)| {
            let first = lines.first().cloned().unwrap_or_default();
            let mut finding = blank(
                FindingKind::Input,
                format!(
                    "{name} is in the list ({}, first in {first}) but {}; its rows were not \
                     checked",
                    words::count(lines.len(), "row"),
                    unseen(bench, &name)
                ),
            );
            in_cabinets(&mut finding, vec![name]);
            finding
        })
        .collect()
}

/// Why a cabinet of the list has no drawing.
fn unseen(bench: &Bench<'_>, name: &str) -> String {
    let may_be = |of: &&Untitled| of.rivals.iter().any(|rival| rival == name);
    match bench.job.untitled.iter().filter(may_be).count() {
        0 => "no drawing shows it".to_owned(),
        1 => "no drawing names it, and of one without a name its size does not tell surely \
              whether it shows it"
            .to_owned(),
        several => format!(
            "no drawing names it, and of {several} without a name their sizes do not tell which \
             shows it"
        ),
    }
}

/// Drawn cabinets no row is for.
fn unlisted(bench: &Bench<'_>) -> Vec<Finding> {
    if bench.rows.is_empty() || bench.rows.iter().any(|row| row.cabinets.is_empty()) {
        return Vec::new();
    }
    let mut listed = vec![false; bench.cases.len()];
    for case in bench.named.iter().flatten() {
        if let Some(flag) = listed.get_mut(*case) {
            *flag = true;
        }
    }
    bench
        .cases
        .iter()
        .zip(listed)
        .filter(|(_, listed)| !listed)
        .map(|(case, _)| {
            let mut finding = blank(
                FindingKind::MissingPart,
                format!(
                    "{} is drawn, but no row of the list is for it ({} drawn)",
                    case.name,
                    words::count(case.parts.len(), "part")
                ),
            );
            in_cabinets(&mut finding, vec![case.name.clone()]);
            finding.counts = Some((case.parts.len() as u32, 0));
            finding
        })
        .collect()
}
