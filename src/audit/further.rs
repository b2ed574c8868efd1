//! What the shop's further checks found (runs, stacks, slides, hinge bores, tops,
//! counts), brought into the findings and the coverage.

use super::bench::Bench;
use super::findings::{blank, in_cabinets};
use super::knowns::between;
use super::types::{Bin, Covered, Finding, FindingKind, RowSize};
use crate::construction::Origin;
use crate::construction::checks::{Cell, Check, Facts, Topic, Verdict, all};
use crate::cutlist::RowSource;
use crate::trade::{Dimension, Role};
use std::collections::{BTreeMap, BTreeSet};

/// A figure of a list: row, dimension, 1-based column.
type Place = (RowSource, Dimension, usize);

fn place(size: &RowSize) -> Place {
    (size.row.clone(), size.dimension, size.column)
}

fn place_of(cell: &Cell) -> Place {
    (cell.source.clone(), cell.dimension, cell.column)
}

/// All further checks of the job.
pub(super) fn checks(bench: &Bench<'_>) -> Vec<Check> {
    all(&Facts {
        rules: &bench.job.rules,
        cabinets: &bench.job.cabinets,
        lists: &bench.job.lists,
        views: &bench.job.views,
    })
}

/// What they take for granted, and how many of them go by it.
pub(super) fn assumed(checks: &[Check]) -> BTreeMap<(Origin, String), usize> {
    let mut assumed = BTreeMap::new();
    for check in checks {
        if let Some(sentence) = &check.assumed {
            *assumed
                .entry((check.origin.clone(), sentence.clone()))
                .or_default() += usize::from(check.verdict != Verdict::Unchecked);
        }
    }
    assumed
}

/// Adds what the further checks say. A size that was held against the drawing
/// keeps its bin; what they find wrong on a row that already has its finding is
/// the same mistake and not said twice.
pub(super) fn add(
    bench: &Bench<'_>,
    checks: Vec<Check>,
    findings: &mut Vec<Finding>,
    coverage: &mut [Covered],
    unchecked: &mut Vec<String>,
) {
    if checks.is_empty() {
        return;
    }
    let mut places: BTreeMap<Place, Vec<usize>> = BTreeMap::new();
    for (index, entry) in coverage.iter().enumerate() {
        places.entry(place(&entry.size)).or_default().push(index);
    }
    let mut told: BTreeSet<Place> = findings
        .iter()
        .flat_map(|finding| finding.row.iter().chain(&finding.also))
        .map(place)
        .collect();
    // Disagreements come first, so that no size is called right before it is called wrong.
    for check in checks {
        let rows = blamed(bench, &check);
        let at: Vec<usize> = rows
            .iter()
            .filter_map(|row| places.get(row))
            .flatten()
            .copied()
            .collect();
        match check.verdict {
            Verdict::Disagrees => {
                if rows.iter().any(|row| told.contains(row)) {
                    continue;
                }
                told.extend(rows);
                for index in &at {
                    coverage[*index].bin = Bin::Disagrees;
                    coverage[*index].by = check.sentence.clone();
                }
                let mut sizes: Vec<RowSize> = at
                    .iter()
                    .map(|index| coverage[*index].size.clone())
                    .collect();
                // What stands in a note is no size of the list, but has its place in it.
                if sizes.is_empty() {
                    sizes.extend(check.rows.iter().map(|cell| RowSize {
                        row: cell.source.clone(),
                        part: cell.part.clone(),
                        dimension: cell.dimension,
                        column: cell.column,
                        text: cell.text.clone(),
                    }));
                }
                findings.push(finding(&check, sizes));
            }
            Verdict::Unchecked => {
                let open: Vec<usize> = at
                    .iter()
                    .copied()
                    .filter(|index| coverage[*index].bin == Bin::Unchecked)
                    .collect();
                for index in &open {
                    coverage[*index].by = check.sentence.clone();
                }
                if at.is_empty() {
                    unchecked.push(check.sentence);
                }
            }
            Verdict::Agrees => {
                // That a slide fits says nothing of a box's size.
                if !matches!(
                    check.topic,
                    Topic::HingeBores
                        | Topic::Countertop
                        | Topic::ToeSpace
                        | Topic::Fronts
                        | Topic::Drawers
                        | Topic::Run
                        | Topic::Stack
                ) {
                    continue;
                }
                for index in at {
                    if coverage[index].bin == Bin::Unchecked {
                        coverage[index].bin = Bin::Agrees;
                        coverage[index].by = check.sentence.clone();
                    }
                }
            }
        }
    }
    unchecked.sort();
    unchecked.dedup();
}

fn finding(check: &Check, mut sizes: Vec<RowSize>) -> Finding {
    let kind = match (&check.counts, sizes.is_empty()) {
        (Some(_), false) => FindingKind::Quantity,
        (None, false)
            if sizes
                .iter()
                .all(|size| size.dimension == Dimension::Quantity) =>
        {
            FindingKind::Quantity
        }
        (_, false) => FindingKind::Size,
        // A count without a row is of what no row lists.
        (Some(_), true) => FindingKind::MissingPart,
        (None, true) => FindingKind::Drawing,
    };
    let mut finding = blank(kind, format!("{}.", check.sentence.trim_end_matches('.')));
    in_cabinets(&mut finding, check.cabinets.clone());
    finding.drawn = check.expected;
    finding.listed = check.found.filter(|_| !sizes.is_empty());
    finding.difference = check
        .found
        .zip(check.expected)
        .map(|(found, expected)| found - expected);
    finding.tolerance = check.tolerance;
    finding.counts = check.counts;
    finding.measured = check.drawn.first().map(between);
    finding.relation = Some((check.topic.word().to_owned(), check.origin.clone()));
    if !sizes.is_empty() {
        let principal = sizes.remove(0);
        finding.part = Some(principal.part.clone());
        finding.dimension = Some(principal.dimension);
        finding.row = Some(principal);
        finding.also = sizes;
    }
    finding
}

/// The rows a check speaks against. Where parts do not make whole drawers, those
/// whose count is the odd one out.
fn blamed(bench: &Bench<'_>, check: &Check) -> Vec<Place> {
    let all = || check.rows.iter().map(place_of).collect();
    if check.topic != Topic::DrawerParts {
        return all();
    }
    let mut counts: BTreeMap<Role, u32> = BTreeMap::new();
    let mut role_of: BTreeMap<&RowSource, Role> = BTreeMap::new();
    for row in &bench.rows {
        let bears = check.rows.iter().any(|cell| cell.source == row.source);
        if let (true, Some(role)) = (bears, row.role()) {
            *counts.entry(role).or_default() += row.quantity.count;
            role_of.insert(&row.source, role);
        }
    }
    // One word for the front and the back of a box may count for both.
    let ways = [false, true]
        .into_iter()
        .filter(|one_word| !one_word || !counts.contains_key(&Role::BoxBack));
    // Twice the drawers each role makes, so that one side too many shows.
    let makes = |one_word: bool| {
        move |role: Role, count: u32| match role {
            Role::BoxSide => count,
            Role::BoxFront if one_word => count,
            _ => count * 2,
        }
    };
    let agreed = |one_word: bool| {
        let mut tally: BTreeMap<u32, usize> = BTreeMap::new();
        for (role, count) in &counts {
            *tally.entry(makes(one_word)(*role, *count)).or_default() += 1;
        }
        let most = tally.values().copied().max()?;
        let mut most_say = tally.into_iter().filter(|(_, votes)| *votes == most);
        match (most_say.next(), most_say.next()) {
            (Some((drawers, _)), None) => Some((drawers, makes(one_word))),
            _ => None,
        }
    };
    let Some((agreed, makes)) = ways.into_iter().find_map(agreed) else {
        return all();
    };
    let odd: Vec<&Cell> = check
        .rows
        .iter()
        .filter(|cell| {
            role_of.get(&cell.source).is_none_or(|role| {
                counts
                    .get(role)
                    .is_none_or(|count| makes(*role, *count) != agreed)
            })
        })
        .collect();
    let exact: Vec<&Cell> = odd
        .iter()
        .copied()
        .filter(|cell| odd_among_its_height(bench, check, cell, makes))
        .collect();
    // Rows that list the boxes by their heights tell which of them is odd.
    let blamed = if exact.is_empty() { odd } else { exact };
    blamed.into_iter().map(place_of).collect()
}

/// Whether another part of the boxes as high as this row's is listed for another
/// number of drawers.
fn odd_among_its_height(
    bench: &Bench<'_>,
    check: &Check,
    cell: &Cell,
    makes: impl Fn(Role, u32) -> u32,
) -> bool {
    let of_boxes = |role: Role| matches!(role, Role::BoxSide | Role::BoxFront | Role::BoxBack);
    let rows: Vec<_> = bench
        .rows
        .iter()
        .filter(|row| row.role().is_some_and(of_boxes))
        .filter(|row| check.rows.iter().any(|cell| cell.source == row.source))
        .collect();
    let Some(own) = rows.iter().find(|row| row.source == cell.source) else {
        return false;
    };
    let height = |row: &crate::cutlist::Row| row.size(Dimension::Width).map(|cell| cell.value);
    let drawers =
        |row: &crate::cutlist::Row| row.role().map(|role| makes(role, row.quantity.count));
    height(own).is_some()
        && rows.iter().any(|row| {
            row.role() != own.role() && height(row) == height(own) && drawers(row) != drawers(own)
        })
}
