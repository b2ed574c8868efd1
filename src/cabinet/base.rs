//! A base of its own under the case: rails along the front and the rear, ends
//! from front to rear. An end or a section shows them edge-on, a front shows
//! which of the two run through.

use super::grid::{Dir, GAP, Grid};
use super::placed::{Placed, Reading, Turned};
use super::reading::{Place, Range, ViewPart, near};
use crate::trade::Role;

/// Thinnest and thickest board of a base.
const STOCK: Range = (9.0, 40.0);

/// What a front shows of a base, across.
struct Across {
    /// Outer faces.
    outer: Range,
    /// Ends, from the left; empty where nothing shows them.
    ends: Vec<Range>,
    /// Rails run over the ends; else they stand between them.
    rails_through: bool,
}

/// Finds the boards of a base in the views that show one.
pub(super) fn find(views: &mut [Placed]) {
    let deep = views
        .iter()
        .filter(|p| p.turned == Turned::Sure)
        .find_map(deep);
    let Some((front, rear)) = deep else { return };
    let across = views.iter().find_map(across);
    for placed in views {
        let sure = placed.turned == Turned::Sure;
        match &mut placed.reading {
            Reading::Side(side) if sure => {
                let Some(toe) = side.toe.filter(|toe| toe.base == Some(true)) else {
                    continue;
                };
                let (f, case) = (side.floor, side.faces.case_front);
                let v = (f, toe.top);
                let lift = |r: Range| (r.0 + case, r.1 + case);
                for (range, place) in [(front, Place::Front), (rear, Place::Rear)] {
                    let why = "upright strip below the case, at an end of its base";
                    let part = ViewPart::new(Role::BaseRail, lift(range), v, why);
                    side.parts.push(part.placed(place));
                }
                if let Some(across) = &across {
                    let h = if across.rails_through {
                        (front.1, rear.0)
                    } else {
                        (front.0, rear.1)
                    };
                    let why = "stands below the case, from front to rear";
                    let part = ViewPart::new(Role::BaseEnd, lift(h), v, why);
                    side.parts.push(part);
                }
            }
            Reading::Front(reading) => {
                let Some(across) = &across else { continue };
                let v = (reading.floor, reading.low);
                let lift = |r: Range| (r.0 + reading.left, r.1 + reading.left);
                let rail = match across.ends.as_slice() {
                    [first, .., last] if !across.rails_through => (first.1, last.0),
                    _ => across.outer,
                };
                for place in [Place::Front, Place::Rear] {
                    let why = "runs below the case, from end to end of its base";
                    let part = ViewPart::new(Role::BaseRail, lift(rail), v, why);
                    reading.parts.push(part.placed(place));
                }
                for end in &across.ends {
                    let why = "upright strip below the case";
                    reading
                        .parts
                        .push(ViewPart::new(Role::BaseEnd, lift(*end), v, why));
                }
            }
            _ => {}
        }
    }
}

/// Front and rear rail, from the front edge of the case.
fn deep(placed: &Placed) -> Option<(Range, Range)> {
    let side = placed.side()?;
    let toe = side.toe.filter(|toe| toe.base == Some(true))?;
    let case = side.faces.case_front;
    let lines = posts(
        &placed.grid,
        (case, side.faces.rear),
        (side.floor, toe.top),
        false,
    );
    match lines.as_slice() {
        [a, b, c, d] if stock(b - a) && near(b - a, d - c) && c - b > STOCK.1 => {
            Some(((a - case, b - case), (c - case, d - case)))
        }
        _ => None,
    }
}

/// What a front shows of the base, from the left end of the case.
fn across(placed: &Placed) -> Option<Across> {
    let front = placed.front()?;
    let (grid, zone) = (&placed.grid, (front.floor, front.low));
    if zone.1 - zone.0 < 20.0 {
        return None;
    }
    let reach = (front.left, front.right);
    let seen = posts(grid, reach, zone, true);
    let all = posts(grid, reach, zone, false);
    let (Some(first), Some(last)) = (seen.first(), seen.last()) else {
        return None;
    };
    let outer = (first - front.left, last - front.left);
    let strips = |lines: &[f64]| -> Option<Vec<Range>> {
        let pairs = lines.chunks(2).map(|pair| match pair {
            [a, b] if stock(b - a) => Some((a - front.left, b - front.left)),
            _ => None,
        });
        let pairs: Vec<Range> = pairs.collect::<Option<_>>()?;
        let wide = |r: &Range| r.1 - r.0;
        let alike = pairs.windows(2).all(|w| near(wide(&w[0]), wide(&w[1])));
        (alike && pairs.len() >= 2).then_some(pairs)
    };
    match seen.len() {
        // Where hidden edges are not marked, two lines more may be either's.
        2 if grid.cue || all.len() == 2 => Some(Across {
            outer,
            ends: strips(&all).unwrap_or_default(),
            rails_through: true,
        }),
        4 if grid.cue => Some(Across {
            outer,
            ends: strips(&all)?,
            rails_through: false,
        }),
        _ => None,
    }
}

fn stock(thick: f64) -> bool {
    (STOCK.0..=STOCK.1).contains(&thick)
}

/// Uprights as high as the base, from the left.
fn posts(grid: &Grid, reach: Range, zone: Range, seen: bool) -> Vec<f64> {
    grid.range(Dir::Upright, reach.0 - GAP, reach.1 + GAP)
        .map(|index| &grid.up[index])
        .filter(|track| {
            if seen {
                track.covers_seen(zone.0, zone.1)
            } else {
                track.covers(zone.0, zone.1)
            }
        })
        .map(|track| track.at)
        .collect()
}
