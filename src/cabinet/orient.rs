//! Which way a view's front lies, and reading it that way.

use super::faces::Face;
use super::grid::Grid;
use super::placed::Turned;
use super::plan::{self, PlanReading};
use super::side::{self, SideReading};
use crate::view::View;

/// How much speaks for the front being where it was taken.
fn side_evidence(reading: &SideReading) -> u32 {
    let mut score = 0;
    if reading.toe.is_some() {
        score += 4;
    }
    score += match reading.faces.face {
        Face::FrameAndFronts => 3,
        Face::Fronts => 2,
        Face::Frame | Face::FrameOrFront => 1,
        Face::Bare | Face::Unclear => 0,
    };
    if reading.back.is_some() {
        score += 2;
    }
    score
}

/// "LEFT" in a title: seen from the left, the front is at the right.
fn titled(view: &View) -> Option<bool> {
    let text = view.title.as_ref()?.text.to_lowercase();
    let has = |word: &str| {
        text.split(|c: char| !c.is_alphanumeric())
            .any(|w| w == word)
    };
    match (has("left"), has("right")) {
        (true, false) => Some(true),
        (false, true) => Some(false),
        _ => None,
    }
}

/// Reads an end or a section. The grid comes back with the front at the left.
pub(super) fn side(view: &View, grid: &Grid) -> Result<(Grid, SideReading, Turned), String> {
    let mirrored = grid.mirrored();
    let plain = side::read(grid);
    let turned = side::read(&mirrored);
    let score = |r: &Result<SideReading, String>| r.as_ref().map_or(0, side_evidence);
    let (a, b) = (score(&plain), score(&turned));
    let hint = titled(view);
    let (mirror, sure) = match (a.cmp(&b), hint) {
        (std::cmp::Ordering::Greater, _) => (false, Turned::Sure),
        (std::cmp::Ordering::Less, _) => (true, Turned::Sure),
        (std::cmp::Ordering::Equal, Some(left)) => (left, Turned::Sure),
        (std::cmp::Ordering::Equal, None) => (false, Turned::Unsure),
    };
    if mirror {
        turned.map(|reading| (mirrored, reading, sure))
    } else {
        plain.map(|reading| (grid.clone(), reading, sure))
    }
}

/// Reads a plan. The grid comes back on its side, with the front at the left.
pub(super) fn plan(grid: &Grid) -> Result<(Grid, PlanReading, Turned), String> {
    // Whatever lies over the case hides it: then the hidden edges alone count.
    let grid = grid.transposed();
    let mirrored = grid.mirrored();
    let plain = plan::read(&grid);
    let turned = plan::read(&mirrored);
    let score = |r: &Result<PlanReading, String>| {
        r.as_ref().map_or(0, |reading| {
            let face = match reading.faces.face {
                Face::FrameAndFronts => 3,
                Face::Fronts => 2,
                Face::Frame | Face::FrameOrFront => 1,
                Face::Bare | Face::Unclear => 0,
            };
            face + if reading.back.is_some() { 2 } else { 0 } + u32::from(reading.sides.is_some())
        })
    };
    match score(&plain).cmp(&score(&turned)) {
        std::cmp::Ordering::Greater => plain.map(|r| (grid, r, Turned::Sure)),
        std::cmp::Ordering::Less => turned.map(|r| (mirrored, r, Turned::Sure)),
        // The front at the bottom of the sheet is how plans are drawn.
        std::cmp::Ordering::Equal => plain.map(|r| (grid, r, Turned::Unsure)),
    }
}
