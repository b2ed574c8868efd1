//! Whose the views are on which no name stands.

use super::build::{Sketch, Told};
use super::read::Page;
use super::{Hints, Reading, ViewKind, kinds, sets};
use crate::drawing::Sheet;
use crate::plain::file_name;

/// The one cabinet a job is about, when there is only one: the name in the
/// list, or where no name is written anywhere, that of the file.
pub(super) fn only_name(sheet: &Sheet, hints: &Hints) -> Option<String> {
    match hints.names.as_slice() {
        [one] => Some(one.clone()),
        [] => {
            let file = file_name(&sheet.file);
            let stem = file.rsplit_once('.').map_or(file, |(stem, _)| stem);
            Some(stem.to_owned()).filter(|stem| !stem.is_empty())
        }
        _ => None,
    }
}

/// True when all views of a sheet have a cabinet's name and are told.
pub(super) fn whole(sketches: &[Sketch]) -> bool {
    sketches
        .iter()
        .all(|s| !s.told.cabinets.is_empty() && s.told.kind != ViewKind::Unknown)
}

/// Tells the cabinets of a sheet without names apart, from what was `told` of its
/// views before they were looked at as one cabinet's. Where that made sense, they are.
pub(super) fn apart(page: &mut Page, told: &[Told], reading: &mut Reading) {
    if page.sketches.iter().all(|s| s.told.cabinets.is_empty()) && is_one(&page.sketches) {
        let name = sets::untitled(&mut page.sketches, reading.untitled.len());
        reading.untitled.push(name);
        return;
    }
    let together: Vec<Told> = page
        .sketches
        .iter_mut()
        .zip(told)
        .map(|(sketch, told)| std::mem::replace(&mut sketch.told, told.clone()))
        .collect();
    let names = sets::name(&page.flat, &mut page.sketches, reading.untitled.len());
    if names.is_empty() {
        for (sketch, told) in page.sketches.iter_mut().zip(together) {
            sketch.told = told;
        }
    }
    reading.untitled.extend(names);
}

/// How far the views of a sheet that have no name can be of the cabinet whose name alone
/// stands on it.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Shared {
    /// As far as it was given to them.
    Fitting,
    /// One makes no sense beside the others.
    Odd,
    /// They can't all be one cabinet's.
    Against,
}

fn shared(sketches: &[Sketch], told: &[Told]) -> Shared {
    let given = || {
        let pairs = told.iter().zip(sketches);
        let without = |(told, _): &(&Told, &Sketch)| told.cabinets.is_empty();
        pairs
            .filter(without)
            .map(|(_, sketch)| sketch)
            .filter(|sketch| !sketch.told.cabinets.is_empty())
    };
    let from = |kind: ViewKind| match kind {
        ViewKind::Section => ViewKind::End,
        other => other,
    };
    let against = |sketch: &Sketch| {
        let others = sketches.iter().filter(|other| {
            other.told.cabinets == sketch.told.cabinets
                && from(other.told.kind) == from(sketch.told.kind)
        });
        let unlike = |other: &Sketch| {
            let (a, b) = (&other.bounds, &sketch.bounds);
            !kinds::same(a.width(), b.width(), kinds::DEPTH)
                || !kinds::same(a.height(), b.height(), kinds::DEPTH)
        };
        match sketch.told.kind {
            ViewKind::Unknown => false,
            ViewKind::Front => others.count() > 1,
            _ => others.into_iter().any(unlike),
        }
    };
    let odd = |sketch: &Sketch| sketch.told.kind == ViewKind::Unknown;
    if given().any(against) {
        Shared::Against
    } else if given().any(odd) {
        Shared::Odd
    } else {
        Shared::Fitting
    }
}

/// Tells the cabinets of a sheet on which some views have a name and others have none
/// apart, from what was `told` of these.
pub(super) fn regroup(page: &mut Page, told: &[Told], reading: &mut Reading) {
    let fit = shared(&page.sketches, told);
    let before: Vec<Told> = page.sketches.iter().map(|s| s.told.clone()).collect();
    let mut any = false;
    for (sketch, told) in page.sketches.iter_mut().zip(told) {
        if fit != Shared::Fitting || sketch.told.cabinets.is_empty() {
            sketch.told = told.clone();
            any = true;
        }
    }
    if !any {
        return;
    }
    let names = sets::name(&page.flat, &mut page.sketches, reading.untitled.len());
    let keep = names.is_empty() && fit != Shared::Against;
    for (sketch, (before, told)) in page.sketches.iter_mut().zip(before.into_iter().zip(told)) {
        if keep {
            sketch.told = before;
        } else if sketch.told.cabinets.is_empty() {
            // As it was, but for a name it should not have got.
            sketch.told = Told {
                cabinets: Vec::new(),
                title: told.title.clone(),
                ..before
            };
        }
    }
    reading.untitled.extend(names);
}

/// Takes back a name that was only the file's from a sheet that shows more than
/// one cabinet: two fronts or two plans, or a view that could not be told.
pub(super) fn only_if_one(sketches: &mut [Sketch]) {
    if !at_most_one(sketches) {
        for sketch in sketches {
            sketch.told.cabinets.clear();
        }
    }
}

/// True when no kind of view is there twice and each is told.
fn at_most_one(sketches: &[Sketch]) -> bool {
    let count = |kind: ViewKind| sketches.iter().filter(|s| s.told.kind == kind).count();
    [
        ViewKind::Front,
        ViewKind::Plan,
        ViewKind::End,
        ViewKind::Section,
    ]
    .into_iter()
    .all(|kind| count(kind) <= 1)
        && count(ViewKind::Unknown) == 0
}

/// True when the views are a front and at most one of each other kind.
fn is_one(sketches: &[Sketch]) -> bool {
    at_most_one(sketches) && sketches.iter().any(|s| s.told.kind == ViewKind::Front)
}
