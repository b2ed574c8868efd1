//! The order findings are read in, and their ids.

use super::types::{Finding, FindingKind};
use super::words::{natural, slug};
use std::cmp::Ordering;
use std::collections::BTreeMap;

/// What disagrees before what could not be read; what explains most first; then
/// by cabinet, row and size. Total: no two different findings are equal.
pub(super) fn sort(findings: &mut [Finding]) {
    findings.sort_by(order);
}

fn order(a: &Finding, b: &Finding) -> Ordering {
    let class = |finding: &Finding| finding.kind == FindingKind::Input;
    let cabinet = |finding: &Finding| finding.cabinet.clone().unwrap_or_default();
    let row = |finding: &Finding| {
        finding.row.as_ref().map(|size| {
            (
                size.row.clone(),
                size.dimension,
                size.column,
                size.text.clone(),
            )
        })
    };
    class(a)
        .cmp(&class(b))
        .then_with(|| b.also.len().cmp(&a.also.len()))
        .then_with(|| a.kind.cmp(&b.kind))
        .then_with(|| natural(&cabinet(a), &cabinet(b)))
        .then_with(|| row(a).cmp(&row(b)))
        .then_with(|| a.dimension.cmp(&b.dimension))
        .then_with(|| a.message.cmp(&b.message))
        .then_with(|| a.drawn.cmp(&b.drawn))
        .then_with(|| a.listed.cmp(&b.listed))
}

/// Ids made of cabinet, part and dimension; where that is not enough, of the
/// line as well, then of a running number.
pub(super) fn name(findings: &mut [Finding]) {
    let plain: Vec<String> = findings.iter().map(plain_id).collect();
    let mut shared: BTreeMap<&String, usize> = BTreeMap::new();
    for id in &plain {
        *shared.entry(id).or_default() += 1;
    }
    let with_line: Vec<String> = findings
        .iter()
        .zip(&plain)
        .map(|(finding, plain)| {
            let shared = shared.get(plain).is_some_and(|count| *count > 1);
            match (&finding.row, shared) {
                (Some(row), true) => format!("{plain}-line-{}", row.row.line),
                _ => plain.clone(),
            }
        })
        .collect();
    let mut used: BTreeMap<String, usize> = BTreeMap::new();
    for (finding, id) in findings.iter_mut().zip(with_line) {
        let seen = used.entry(id.clone()).or_default();
        *seen += 1;
        finding.id = if *seen == 1 {
            id
        } else {
            format!("{id}-{seen}")
        };
    }
}

fn plain_id(finding: &Finding) -> String {
    let kind = match finding.kind {
        FindingKind::Size => "",
        FindingKind::Quantity => "quantity",
        FindingKind::MissingPart => "missing",
        FindingKind::ExtraPart => "extra",
        FindingKind::Drawing => "drawing",
        FindingKind::Input => "input",
    };
    let dimension = match (finding.kind, finding.dimension) {
        (FindingKind::Size, Some(dimension)) => dimension.word(),
        _ => kind,
    };
    let pieces = [
        finding.cabinet.as_deref().unwrap_or(""),
        finding.part.as_deref().unwrap_or(""),
        dimension,
    ];
    let words: Vec<String> = pieces
        .into_iter()
        .map(slug)
        .filter(|word| !word.is_empty())
        .collect();
    words.join("-")
}
