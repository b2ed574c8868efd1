//! Every row size, quantity, view and entity in one bin.

use super::bench::Bench;
use super::checks::{Check, State};
use super::fit::cells;
use super::quantity::{Counts, names};
use super::types::{Bin, Covered, RowSize, SheetCoverage, ViewBins};
use super::wants::Certainty;
use super::words;
use crate::construction::untitled::Untitled;
use crate::cutlist::RowSource;
use crate::length::Length;
use crate::trade::Dimension;
use crate::view::{Scale, View, ViewId, ViewKind};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

fn bin(state: State) -> Bin {
    match state {
        State::Agrees => Bin::Agrees,
        State::Fails => Bin::Disagrees,
        State::Unchecked => Bin::Unchecked,
    }
}

/// One entry for each size and each quantity of each row, in the order of the lists.
pub(super) fn rows(bench: &Bench<'_>, checks: &[Check<'_>], counts: &Counts) -> Vec<Covered> {
    let mut by_size: BTreeMap<(usize, usize), Vec<&Check<'_>>> = BTreeMap::new();
    for check in checks {
        by_size
            .entry((bench.written_as(check.row), check.size))
            .or_default()
            .push(check);
    }
    let mut unread_in: BTreeMap<&RowSource, BTreeSet<Dimension>> = BTreeMap::new();
    for problem in bench.job.lists.iter().flat_map(|list| &list.problems) {
        if let Some(dimension) = problem.dimension {
            let dimensions = unread_in.entry(&problem.source).or_default();
            dimensions.insert(dimension);
        }
    }
    let as_written = |&(index, _): &(usize, _)| bench.written_as(index) == index;
    let numbered = bench.rows.par_iter().enumerate().filter(as_written);
    let of_rows = numbered.flat_map_iter(|(index, row)| {
        let mut out = Vec::new();
        for (size, cell) in cells(row).enumerate() {
            let checks = by_size.get(&(index, size)).map_or(&[][..], Vec::as_slice);
            out.push(covered(bench, bench.row_size(row, cell), checks));
        }
        let quantity_unread = unread_in
            .get(&row.source)
            .is_some_and(|dimensions| dimensions.contains(&Dimension::Quantity));
        if !quantity_unread && let Some(count) = counts.rows.get(&index) {
            out.push(Covered {
                size: bench.row_quantity(row),
                cabinet: one_name(&names(bench, &count.cases), count.state),
                bin: bin(count.state),
                by: count.by.clone(),
                margin: None,
                expected: None,
            });
        }
        out
    });
    let mut out: Vec<Covered> = of_rows.collect();
    out.extend(unread(bench));
    out.extend(borings(bench));
    out.par_sort_by(|a, b| {
        (
            &a.size.row,
            a.size.dimension,
            a.size.column,
            &a.size.text,
            &a.by,
        )
            .cmp(&(
                &b.size.row,
                b.size.dimension,
                b.size.column,
                &b.size.text,
                &b.by,
            ))
    });
    out
}

fn one_name(names: &[String], state: State) -> Option<String> {
    match names {
        [only] => Some(only.clone()),
        [first, ..] if state == State::Fails => Some(first.clone()),
        _ => None,
    }
}

/// A size held against several cabinets stands where it fares worst.
fn covered(bench: &Bench<'_>, size: RowSize, checks: &[&Check<'_>]) -> Covered {
    let Some(worst) = checks.iter().copied().reduce(|worst, next| {
        if next.state > worst.state {
            next
        } else {
            worst
        }
    }) else {
        return Covered {
            size,
            cabinet: None,
            bin: Bin::Unchecked,
            by: "nothing decides about this size; draw the part, or state its relation in the job file"
                .to_owned(),
            margin: None,
            expected: None,
        };
    };
    let cases: Vec<usize> = checks.iter().filter_map(|check| check.case).collect();
    let cabinet = match worst.state {
        State::Agrees => one_name(&names(bench, &cases), State::Agrees),
        _ => worst
            .case
            .and_then(|case| bench.cases.get(case))
            .map(|case| case.name.clone()),
    };
    Covered {
        size,
        cabinet,
        bin: bin(worst.state),
        by: worst.by.clone(),
        margin: if worst.state == State::Agrees {
            checks.iter().filter_map(|check| check.margin()).min()
        } else {
            worst.margin()
        },
        expected: expected(bench, worst, checks),
    }
}

/// What the cell would have to say to agree in every cabinet it is for; `None`
/// where that is not one known size.
fn expected(bench: &Bench<'_>, worst: &Check<'_>, checks: &[&Check<'_>]) -> Option<Length> {
    let wanted = |check: &Check<'_>| {
        let want = check
            .want
            .filter(|want| want.certainty == Certainty::Exact)?;
        let cell = bench.rows.get(check.row)?.sizes.get(check.size)?;
        // A cut size is written without the band it was compared with.
        Some(want.value - (check.listed - cell.value))
    };
    let value = wanted(worst)?;
    checks
        .iter()
        .all(|check| wanted(check).is_some_and(|other| (other - value).abs() <= check.tolerance))
        .then_some(value)
}

/// Cells that could not be read: each is a size that was not checked.
fn unread(bench: &Bench<'_>) -> Vec<Covered> {
    bench
        .job
        .lists
        .iter()
        .flat_map(|list| &list.problems)
        .filter_map(|problem| {
            let row = bench.row_at(&problem.source);
            Some(Covered {
                size: RowSize {
                    row: problem.source.clone(),
                    part: row.map_or_else(String::new, |row| row.part.clone()),
                    dimension: problem.dimension?,
                    column: problem.column.unwrap_or(0),
                    text: problem.text.clone(),
                },
                cabinet: row.and_then(|row| row.cabinets.first().cloned()),
                bin: Bin::Unchecked,
                by: format!("{}; {}", problem.message, problem.advice),
                margin: None,
                expected: None,
            })
        })
        .collect()
}

/// Marks of boring lists, which nothing is held against yet.
fn borings(bench: &Bench<'_>) -> Vec<Covered> {
    bench
        .job
        .lists
        .iter()
        .flat_map(|list| &list.borings)
        .flat_map(|row| {
            row.marks
                .iter()
                .map(|mark| &mark.size)
                .chain(&row.sizes)
                .chain(&row.centre_from_edge)
                .chain(&row.rim_from_edge)
                .chain(&row.diameter)
                .map(|cell| Covered {
                    size: RowSize {
                        row: row.source.clone(),
                        part: row.part.clone(),
                        dimension: cell.dimension,
                        column: cell.column,
                        text: cell.text.clone(),
                    },
                    cabinet: row.cabinets.first().cloned(),
                    bin: Bin::Unchecked,
                    by: "boring marks are not compared with a drawing; check them by hand"
                        .to_owned(),
                    margin: None,
                    expected: None,
                })
        })
        .collect()
}

/// Views that were not checked, with what would make them checkable.
pub(super) fn unchecked(bench: &Bench<'_>) -> Vec<String> {
    let measured = measured(bench);
    let mut out: Vec<String> = bench
        .job
        .views
        .views
        .iter()
        .enumerate()
        // Views of one drawing without a name have one reason, said once.
        .filter(|(_, view)| bench.open(&view.cabinets).is_none())
        .filter_map(|(id, view)| why_not(bench, &measured, id, view))
        .collect();
    out.extend(bench.job.untitled.iter().filter_map(|of| {
        let named = |view: &View| view.cabinets == [of.drawn.clone()];
        let views = bench.job.views.views.iter().enumerate();
        let views: Vec<(ViewId, &View)> = views.filter(|(_, view)| named(view)).collect();
        let (id, front) = views
            .iter()
            .find(|(_, view)| view.kind == ViewKind::Front)?;
        let others = views.len() - 1;
        let place = bench.job.views.place(*id);
        Some(format!(
            "{}{}{}: {}",
            view_name(bench, front),
            place.map_or_else(String::new, |place| format!(" ({place})")),
            match others {
                0 => String::new(),
                1 => " and the view with it".to_owned(),
                several => format!(" and the {several} views with it"),
            },
            not_named(bench.open(&front.cabinets)?)
        ))
    }));
    out.sort();
    out
}

/// How many views were compared, and how many not.
pub(super) fn views(bench: &Bench<'_>) -> ViewBins {
    let measured = measured(bench);
    let views = &bench.job.views.views;
    let unchecked = views
        .iter()
        .enumerate()
        .filter(|(id, view)| why_not(bench, &measured, *id, view).is_some())
        .count();
    ViewBins {
        read: views.len(),
        compared: views.len() - unchecked,
        unchecked,
    }
}

/// Views some cabinet was measured in.
fn measured(bench: &Bench<'_>) -> BTreeSet<ViewId> {
    let cabinets = bench.job.cabinets.iter();
    cabinets
        .flat_map(|cabinet| cabinet.views.iter().copied())
        .collect()
}

fn why_not(
    bench: &Bench<'_>,
    measured: &BTreeSet<ViewId>,
    id: ViewId,
    view: &View,
) -> Option<String> {
    let shown = view_name(bench, view);
    if let Scale::Unknown { reason } = &view.scale {
        Some(format!(
            "{shown}: scale not known ({reason}); dimension one distance of it, or state the \
             scale in the job file"
        ))
    } else if view.kind == ViewKind::Unknown {
        Some(format!(
            "{shown}: not known what it shows ({}); title it, or name it in the job file",
            view.kind_evidence
        ))
    } else if let Some(of) = bench.open(&view.cabinets) {
        Some(format!("{shown}: {}", not_named(of)))
    } else if view.cabinets.is_empty() {
        Some(format!(
            "{shown}: no cabinet's name stands with it; title it, or name it in the job file"
        ))
    } else if !measured.contains(&id) && view.kind != ViewKind::FlatPart {
        Some(format!(
            "{shown}: nothing could be measured in it for {}; draw its cabinet whole, or name the \
             view in the job file",
            words::join(&view.cabinets)
        ))
    } else {
        None
    }
}

/// Why a drawing without a name was taken for no cabinet.
fn not_named(of: &Untitled) -> String {
    format!(
        "not known which cabinet it shows: {}; title it, or name it in the job file",
        of.sentence
    )
}

pub(super) fn view_name(bench: &Bench<'_>, view: &View) -> String {
    let file = bench
        .job
        .sheets
        .get(view.sheet)
        .map_or("a drawing", |sheet| sheet.file.as_str());
    let kind = match view.kind {
        ViewKind::Front => "front view",
        ViewKind::End => "end view",
        ViewKind::Section => "section",
        ViewKind::Plan => "plan",
        ViewKind::FlatPart => "part drawing",
        ViewKind::Unknown => "view",
    };
    match &view.title {
        Some(title) => format!("{file}, {kind} '{}'", title.text),
        None => {
            use geo::{AffineOps, Coord, Point};
            let at = Point::from(Coord { x: 0.0, y: 0.0 }).affine_transform(&view.to_drawing);
            format!("{file}, {kind} at {:.0}, {:.0}", at.x(), at.y())
        }
    }
}

/// What became of the entities of each sheet.
pub(super) fn sheets(bench: &Bench<'_>) -> Vec<SheetCoverage> {
    let mut order: Vec<usize> = (0..bench.job.sheets.len()).collect();
    order.sort_by(|a, b| {
        let file = |index: &usize| bench.job.sheets.get(*index).map(|sheet| &sheet.file);
        file(a).cmp(&file(b)).then(a.cmp(b))
    });
    order
        .into_iter()
        .filter_map(|index| {
            let sheet = bench.job.sheets.get(index)?;
            let read: u64 = sheet.read.values().sum();
            let mut left_out: BTreeMap<String, u64> = BTreeMap::new();
            let mut skipped_total = 0u64;
            for (skipped, count) in &sheet.skipped {
                let reason = format!("{}: {}", skipped.kind, skipped.reason);
                *left_out.entry(reason).or_default() += count;
                skipped_total += count;
            }
            // Lines outside every view, as far as there are entities for them.
            let mut rest = read;
            for left in bench.job.views.left_out.iter().filter(|l| l.sheet == index) {
                let count = (left.primitives as u64).min(rest);
                rest -= count;
                *left_out.entry(left.reason.clone()).or_default() += count;
            }
            Some(SheetCoverage {
                file: sheet.file.clone(),
                entities: read + skipped_total,
                in_views: rest,
                left_out: left_out.into_iter().filter(|(_, n)| *n > 0).collect(),
            })
        })
        .collect()
}

/// What lists do not cover, as a sentence.
pub(super) fn uncovered(counts: &Counts) -> Option<String> {
    if counts.uncovered.is_empty() {
        return None;
    }
    let parts: Vec<String> = counts
        .uncovered
        .iter()
        .map(|(role, count)| words::count(*count, role.word()))
        .collect();
    Some(format!(
        "The lists have no rows for these drawn parts, so they were taken as not asked for: {}.",
        words::join(&parts)
    ))
}
