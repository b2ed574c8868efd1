//! Sizes that miss where the drawing itself is in doubt: it contradicts itself by
//! the same amount, or the part taken for the row's is like it in nothing. Such a
//! size is not checked; calling it wrong would be wrong and sure.

use super::bench::Bench;
use super::checks::{Check, State};
use super::group::{band_of, reaches, units_of};
use super::quantity::Counts;
use super::wants::Certainty;
use crate::length::Length;
use crate::trade::Dimension;
use std::collections::{BTreeMap, BTreeSet};

pub(super) fn raise(bench: &Bench<'_>, checks: &mut [Check<'_>], counts: &Counts) {
    spare(bench, checks, counts);
    contradicted(bench, checks);
    unlike(bench, checks);
}

/// Sizes of a row that is one too many: the row is the mistake, and what else it
/// might have stood for is anybody's guess.
fn spare(bench: &Bench<'_>, checks: &mut [Check<'_>], counts: &Counts) {
    let without = |check: &&mut Check| check.part.is_none() && check.state == State::Fails;
    for check in checks.iter_mut().filter(without) {
        let extra = counts
            .rows
            .get(&bench.written_as(check.row))
            .is_some_and(|count| count.extra && count.state == State::Fails);
        if extra {
            check.state = State::Unchecked;
            check.by = "no drawn part is left for this row; correct its quantity, or draw the part"
                .to_owned();
        }
    }
}

/// Off by just as much as two views of the cabinet differ.
fn contradicted(bench: &Bench<'_>, checks: &mut [Check<'_>]) {
    let fails = |check: &&mut Check| check.state == State::Fails;
    for check in checks.iter_mut().filter(fails) {
        let Some(case) = check.case.and_then(|case| bench.cases.get(case)) else {
            continue;
        };
        // A contradiction about the case touches what reaches as far as the case does,
        // and no thickness.
        let touched = match (check.role, check.axis) {
            (Some(role), Some(axis)) => reaches(role, axis) && !is_thickness(bench, check),
            _ => false,
        };
        if check.span().is_none() || !touched {
            continue;
        }
        let off = check.difference();
        let doubt = case.cabinet.conflicts.iter().find(|conflict| {
            let [a, b] = conflict.distances_mm.map(Length::from_mm);
            let (Some(a), Some(b)) = (a, b) else {
                return false;
            };
            conflict.axis == check.axis
                && ((off - (b - a)).abs() <= check.tolerance
                    || (off - (a - b)).abs() <= check.tolerance)
        });
        if let Some(conflict) = doubt {
            check.state = State::Unchecked;
            check.by = format!(
                "the drawing contradicts itself by as much as this size is off: {}; settle that first",
                conflict.sentence
            );
        }
    }
}

fn is_thickness(bench: &Bench<'_>, check: &Check<'_>) -> bool {
    bench
        .rows
        .get(check.row)
        .and_then(|row| super::fit::cell_at(row, check.size))
        .is_some_and(|cell| cell.dimension == Dimension::Thickness)
}

/// Rows whose thickness and every other size miss: more likely another part was
/// taken for theirs than that all their figures are wrong.
fn unlike(bench: &Bench<'_>, checks: &mut [Check<'_>]) {
    let place = |check: &Check| Some((check.row, check.case?));
    let fails = checks.iter().filter(|check| check.state == State::Fails);
    let mut by_row: BTreeMap<(usize, usize), Vec<usize>> =
        fails.filter_map(place).map(|at| (at, Vec::new())).collect();
    for (index, check) in checks.iter().enumerate() {
        if let Some(all) = place(check).and_then(|at| by_row.get_mut(&at)) {
            all.push(index);
        }
    }
    for (_, all) in by_row {
        let decided: Vec<usize> = all
            .into_iter()
            .filter(|index| {
                let check = &checks[*index];
                check.span().is_some() && check.state != State::Unchecked
            })
            .collect();
        let faces: Vec<usize> = decided
            .iter()
            .copied()
            .filter(|index| !is_thickness(bench, &checks[*index]))
            .collect();
        let all_miss = decided.iter().all(|index| {
            checks[*index].state == State::Fails
                && checks[*index]
                    .want
                    .is_some_and(|want| want.certainty == Certainty::Exact)
        });
        if !all_miss || faces.is_empty() || faces.len() == decided.len() {
            continue;
        }
        if explained(bench, checks, &decided) {
            continue;
        }
        for index in decided {
            let check = &mut checks[index];
            let part = check.part.map_or("part", |part| part.name.as_str());
            check.state = State::Unchecked;
            check.by = format!(
                "the {part} drawn in its place has none of the row's sizes (here {}), so it may be \
                 another part; name the part in the drawing, or correct the row",
                bench
                    .show
                    .size(check.want.map(|want| want.value).unwrap_or_default()),
            );
        }
    }
}

/// One slip that makes all sizes of a row miss: another unit, or sizes in one
/// another's place.
fn explained(bench: &Bench<'_>, checks: &[Check<'_>], indices: &[usize]) -> bool {
    let mut units: Option<BTreeSet<usize>> = None;
    let mut wanted = Vec::new();
    let mut listed = Vec::new();
    for index in indices {
        let check = &checks[*index];
        let Some(want) = check.want else { return false };
        let band = band_of(bench, check);
        let these: BTreeSet<usize> =
            units_of(check.listed - band, want.value - band, check.tolerance).collect();
        units = Some(match units {
            Some(held) => &held & &these,
            None => these,
        });
        wanted.push(want.value);
        listed.push(check.listed);
    }
    wanted.sort_unstable();
    listed.sort_unstable();
    let tolerance = indices
        .first()
        .map(|index| checks[*index].tolerance)
        .unwrap_or_default();
    let same_sizes = wanted
        .iter()
        .zip(&listed)
        .all(|(a, b)| (*a - *b).abs() <= tolerance);
    same_sizes || units.is_some_and(|units| !units.is_empty())
}
