//! Plans: seen from above. They are read lying on their side, so that the
//! front is at the left as in an end: horizontal is depth, vertical is across.

use super::faces::{self, Faces};
use super::grid::{Dir, GAP, Grid};
use super::reading::{Owned, Place, Range, ViewPart};
use super::strips::{self, Strip, Want};
use crate::trade::Role;

#[derive(Clone, Debug)]
pub(super) struct PlanReading {
    pub faces: Faces,
    /// Left and right side of the case, across.
    pub sides: Option<(Range, Range)>,
    pub back: Option<Strip>,
    pub parts: Vec<ViewPart>,
}

/// Thinnest and thickest side.
pub(super) const SIDE: Range = (9.0, 41.0);

/// Reads a plan lying on its side, front at the left.
pub(super) fn read(grid: &Grid) -> Result<PlanReading, String> {
    let faces = faces::find(grid)?;
    let (front, rear) = (faces.case_front, faces.rear);
    let wide = grid.height().ok_or("no lines")?;
    let room = grid.window((front, rear), wide);
    let sides = sides(&room, front, rear);
    let mut owned = Owned::default();
    owned.take(Dir::Upright, front, faces.low, faces.high);
    owned.take(Dir::Upright, rear, faces.low, faces.high);
    let back = faces::back(&room, rear, faces.high - faces.low, &owned);
    let mut parts = Vec::new();
    if let Some((left, right)) = sides {
        for (side, place) in [(left, Place::Left), (right, Place::Right)] {
            let why = "upright strip at the end of the plan, from front to rear";
            parts.push(ViewPart::new(Role::Side, (front, rear), side, why).placed(place));
        }
    }
    if let Some(back) = back {
        let why = "thin strip near the rear of the plan";
        parts.push(ViewPart::from_strip(Role::Back, &back, why));
    }
    Ok(PlanReading {
        faces,
        sides,
        back,
        parts,
    })
}

/// The outermost strips closed at front and rear. Lines inside a side (ends of
/// panels let into it) make thinner strips, so the thickest from the outer
/// face counts.
fn sides(room: &Grid, front: f64, rear: f64) -> Option<(Range, Range)> {
    let want = Want {
        dir: Dir::Level,
        thick: SIDE,
        long: 0.8 * (rear - front),
    };
    let found: Vec<Range> = strips::find(room, want)
        .into_iter()
        .filter(|s| (s.a - front).abs() <= GAP)
        .map(|s| (s.t0, s.t1))
        .collect();
    let low = found.iter().map(|s| s.0).fold(f64::INFINITY, f64::min);
    let high = found.iter().map(|s| s.1).fold(f64::NEG_INFINITY, f64::max);
    let left = found
        .iter()
        .filter(|s| (s.0 - low).abs() <= GAP)
        .map(|s| s.1)
        .fold(f64::NEG_INFINITY, f64::max);
    let right = found
        .iter()
        .filter(|s| (s.1 - high).abs() <= GAP)
        .map(|s| s.0)
        .fold(f64::INFINITY, f64::min);
    // Mirror images of each other, with room between them.
    let alike = ((left - low) - (high - right)).abs() <= 2.0 * GAP;
    (alike && right - left > 60.0).then_some(((low, left), (right, high)))
}
