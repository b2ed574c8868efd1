//! Fronts: horizontal is across, vertical is height.

use super::boards;
use super::frame::{self, Lattice};
use super::grid::{Grid, Track};
use super::leaves;
use super::reading::{Place, Range, ViewPart};
use super::sides;
use crate::trade::Role;

/// What other views of the same cabinet have shown already. Heights are above
/// the floor of the case, positions across from the left of its frame or case.
#[derive(Clone, Debug, Default)]
pub(super) struct Known {
    /// A face frame stands before the case (or does not).
    pub frame: Option<bool>,
    /// Doors or drawer fronts are drawn (or not).
    pub fronts: Option<bool>,
    /// Underside of the case's front, above the floor.
    pub low: Option<f64>,
    /// The case stands on a base of its own.
    pub base: Option<bool>,
    pub bottom: Option<Range>,
    /// Top or stretchers; a front alone does not tell which.
    pub head: Option<(Option<Role>, Range)>,
    pub shelves: Vec<Range>,
    /// Where lines cross the whole thickness of the frame.
    pub frame_lines: Vec<f64>,
    /// Heights of doors and drawer fronts.
    pub leaves: Vec<Range>,
    /// Sides of the case.
    pub sides: Option<(Range, Range)>,
}

impl Known {
    /// True when a board known from another view has a face at this height
    /// above the floor.
    pub(super) fn is_board(&self, z: f64) -> bool {
        self.boards()
            .any(|r| super::reading::near(r.0, z) || super::reading::near(r.1, z))
    }

    fn boards(&self) -> impl Iterator<Item = &Range> {
        self.bottom
            .iter()
            .chain(self.head.iter().map(|(_, range)| range))
            .chain(&self.shelves)
    }
}

#[derive(Clone, Debug)]
pub(super) struct FrontReading {
    pub left: f64,
    pub right: f64,
    pub floor: f64,
    pub low: f64,
    pub top: f64,
    pub lattice: Option<Lattice>,
    /// Left and right side, or why they cannot be told.
    pub sides: Result<(Range, Range), String>,
    /// Underside of the top or the stretchers, when it is drawn.
    pub head: Option<(Option<Role>, Range)>,
    /// Hidden edges are drawn, marked or not.
    pub seen_through: bool,
    pub parts: Vec<ViewPart>,
}

/// Reads a front.
pub(super) fn read(grid: &Grid, known: &Known) -> Result<FrontReading, String> {
    let (left, right) = outline(grid)?;
    let (low, top) = extent(left);
    let floor = grid
        .up
        .iter()
        .filter_map(|track| track.runs.first())
        .map(|run| run.lo)
        .fold(f64::INFINITY, f64::min);
    // On a base as wide as the case the outer lines run down to the floor.
    let low = known.low.map_or(low, |toe| (floor + toe).max(low));
    let (left, right) = (left.at, right.at);
    let leaves = leaves::find(grid, (left, right), (low, top), known);
    let lattice = frame::read(grid, (left, right), (low, top), floor, known, &leaves);
    let mut reading = FrontReading {
        left,
        right,
        floor,
        low,
        top,
        lattice,
        sides: Err(String::new()),
        head: None,
        seen_through: grid.cue,
        parts: Vec::new(),
    };
    reading.parts.extend(leaves.iter().cloned());
    let found;
    let known = if known.bottom.is_none() && known.head.is_none() {
        found = boards::heights(grid, &reading, known);
        &found
    } else {
        known
    };
    reading.sides = sides::find(grid, &reading, known, &leaves);
    if let Ok((l, r)) = reading.sides {
        let nested = reading
            .lattice
            .as_ref()
            .is_some_and(|lattice| lattice.left.1 > l.1 + 1.0);
        reading.seen_through |= nested && leaves.is_empty();
        let why = "upright strip at the end of the front";
        let foot = if known.base == Some(true) { low } else { floor };
        for (side, place) in [(l, Place::Left), (r, Place::Right)] {
            reading
                .parts
                .push(ViewPart::new(Role::Side, side, (foot, top), why).placed(place));
        }
    }
    boards::read(grid, &mut reading, known);
    if let Some(lattice) = &reading.lattice {
        reading
            .parts
            .extend(frame::parts(lattice, (low, top), !reading.seen_through));
    }
    Ok(reading)
}

/// Outermost long visible uprights.
fn outline(grid: &Grid) -> Result<(&Track, &Track), String> {
    let long = grid
        .height()
        .map_or(f64::INFINITY, |(lo, hi)| 0.42 * (hi - lo));
    let mut tall = grid.up.iter().filter(|track| track.drawn_seen() >= long);
    let first = tall.next();
    let last = tall.next_back();
    match (first, last) {
        (Some(a), Some(b)) if b.at - a.at >= 60.0 => Ok((a, b)),
        _ => Err("no long upright lines bound it at the left and the right".to_owned()),
    }
}

fn extent(track: &Track) -> Range {
    let lo = track.seen.first().map_or(0.0, |run| run.lo);
    let hi = track.seen.last().map_or(0.0, |run| run.hi);
    (lo, hi)
}
