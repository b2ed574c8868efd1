//! The faces that bound a case from front to rear, in a view turned so that
//! the front is at the left: an end, a section, or a plan on its side.

use super::grid::{Dir, GAP, Grid, Track};
use super::reading::{Owned, Range, near};
use super::strips::{self, Strip, Want};

/// Strips at the front: thinnest and thickest frame or door.
const FACE: Range = (14.4, 45.0);
/// Thinnest and thickest panel seen edge-on.
pub(super) const PANEL: Range = (6.0, 46.0);
/// Thinnest and thickest back.
pub(super) const BACK: Range = (2.5, 26.0);
/// Farthest a back stands in from the rear.
const VOID: f64 = 80.0;

/// What stands at the front of the case.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Face {
    /// Nothing is drawn in front of the case.
    Bare,
    Frame,
    Fronts,
    FrameAndFronts,
    /// One full-size strip: a frame, or a front without any reveal.
    FrameOrFront,
    Unclear,
}

/// The faces found.
#[derive(Clone, Debug)]
pub(super) struct Faces {
    /// From the foremost to the front edge of the case.
    pub chain: Vec<f64>,
    pub face: Face,
    pub case_front: f64,
    pub frame_front: Option<f64>,
    pub rear: f64,
    /// Extent of the front edge of the case.
    pub low: f64,
    pub high: f64,
}

impl Faces {
    /// Foremost face of the case with its frame; `None` when a strip could be
    /// either a frame or a front.
    pub(super) fn front(&self) -> Option<f64> {
        match self.face {
            Face::Bare | Face::Fronts => Some(self.case_front),
            Face::Frame | Face::FrameAndFronts => self.frame_front,
            Face::FrameOrFront | Face::Unclear => None,
        }
    }
}

fn extent(track: &Track) -> Range {
    let lo = track.seen.first().map_or(0.0, |run| run.lo);
    let hi = track.seen.last().map_or(0.0, |run| run.hi);
    (lo, hi)
}

/// Finds the faces in a view whose front is at the left. `case` is the front
/// edge of the case when the panels have shown it already.
pub(super) fn find(grid: &Grid, case: Option<f64>) -> Result<Faces, String> {
    let long = grid
        .height()
        .map_or(f64::INFINITY, |(lo, hi)| 0.42 * (hi - lo));
    let faces: Vec<&Track> = grid
        .up
        .iter()
        .filter(|track| track.drawn_seen() >= long)
        .collect();
    let (Some(first), Some(last)) = (faces.first(), faces.last()) else {
        return Err("no long lines bound it".to_owned());
    };
    if last.at - first.at < 60.0 {
        return Err("it is too shallow to be a cabinet".to_owned());
    }
    let chain = match case {
        Some(case) => chain_before(grid, &faces, case),
        None => chain_from_front(grid, &faces),
    };
    let Some(&case) = chain.last() else {
        return Err("no front edge was found".to_owned());
    };
    let (low, high) = extent(case);
    let (face, frame_front) = classify(grid, &chain, low, high);
    Ok(Faces {
        chain: chain.iter().map(|track| track.at).collect(),
        face,
        case_front: case.at,
        frame_front,
        rear: last.at,
        low,
        high,
    })
}

/// Faces from the foremost back to the front edge of the case.
fn chain_from_front<'a>(grid: &Grid, faces: &[&'a Track]) -> Vec<&'a Track> {
    let mut chain: Vec<&Track> = Vec::new();
    for face in faces {
        let Some(&before) = chain.last() else {
            chain.push(face);
            continue;
        };
        match step(grid, before, face) {
            Step::Face => chain.push(face),
            // The play between a front and the case.
            Step::Play if chain.len() > 1 => chain.push(face),
            Step::Play | Step::Band => {}
            Step::Nothing => break,
        }
    }
    chain
}

/// Faces before a known front edge of the case, foremost first. What stands
/// farther out, as a countertop does, is no part of them.
fn chain_before<'a>(grid: &Grid, faces: &[&'a Track], case: f64) -> Vec<&'a Track> {
    let mut chain: Vec<&Track> = Vec::new();
    let upto = faces.partition_point(|face| face.at <= case + GAP);
    for face in faces.iter().take(upto).rev() {
        let Some(&behind) = chain.last() else {
            if near(face.at, case) {
                chain.push(face);
                continue;
            }
            break;
        };
        match step(grid, face, behind) {
            Step::Face | Step::Play => chain.push(face),
            Step::Band => {}
            Step::Nothing => break,
        }
    }
    // Play with nothing before it is no face.
    while chain.len() > 1 && chain[chain.len() - 2].at - chain[chain.len() - 1].at < FACE.0 {
        chain.pop();
    }
    chain.reverse();
    chain
}

enum Step {
    /// Frame or front.
    Face,
    /// An open sliver.
    Play,
    /// A closed sliver: an edge band on the same face.
    Band,
    Nothing,
}

fn step(grid: &Grid, before: &Track, behind: &Track) -> Step {
    let wide = behind.at - before.at;
    match (wide, closed(grid, before, behind)) {
        (wide, _) if wide > FACE.1 => Step::Nothing,
        (wide, true) if wide >= FACE.0 => Step::Face,
        (wide, false) if wide >= FACE.0 => Step::Nothing,
        (_, true) => Step::Band,
        (_, false) => Step::Play,
    }
}

/// Level lines that cross a strip from face to face, away from its ends.
fn crossings(grid: &Grid, strip: Range, low: f64, high: f64) -> usize {
    grid.range(Dir::Level, low + 5.0, high - 5.0)
        .filter(|index| grid.lv[*index].covers(strip.0, strip.1))
        .count()
}

/// Tells frame from fronts by how long the strips are: a frame runs as far as
/// the case and shows the ends of its members, fronts leave reveals or come in
/// several.
fn classify(grid: &Grid, chain: &[&Track], low: f64, high: f64) -> (Face, Option<f64>) {
    let full = |track: &Track| {
        let (a, b) = extent(track);
        track.seen.len() == 1 && near(a, low) && near(b, high)
    };
    let members = |a: &Track, b: &Track| crossings(grid, (a.at, b.at), low, high) >= 2;
    match chain {
        [_] => (Face::Bare, None),
        [front, case] if full(front) && members(front, case) => (Face::Frame, Some(front.at)),
        [front, _] if full(front) => (Face::FrameOrFront, Some(front.at)),
        [_, _] => (Face::Fronts, None),
        [fronts, frame, _] if full(frame) && !full(fronts) => {
            (Face::FrameAndFronts, Some(frame.at))
        }
        _ => (Face::Unclear, None),
    }
}

fn closed(grid: &Grid, a: &Track, b: &Track) -> bool {
    let (p, q) = (extent(a), extent(b));
    let (from, to) = (p.0.max(q.0), p.1.min(q.1));
    grid.drawn(Dir::Level, from, a.at, b.at) && grid.drawn(Dir::Level, to, a.at, b.at)
}

/// The back: a thin strip near the rear that runs along most of the case.
pub(super) fn back(
    window: &Grid,
    thick: Range,
    rear: f64,
    size: f64,
    owned: &Owned,
) -> Option<Strip> {
    let want = Want {
        dir: Dir::Upright,
        thick,
        long: 0.5 * size,
        slack: 0.0,
        crosses: 0,
    };
    let mut best: Option<((usize, bool, u32), Strip)> = None;
    let mut tie = false;
    for strip in strips::find(window, want) {
        let reach = rear - strip.t1;
        let new = |at: f64| owned.is_new(Dir::Upright, at, strip.a, strip.b);
        // The front line must be new: the rear one is often the case's own.
        if !(0.0..=VOID).contains(&(reach + GAP)) || !new(strip.t0) || !strip.cornered() {
            continue;
        }
        let rank = (usize::from(new(strip.t1)), strip.matched(), strip.marks());
        match best {
            Some((other, _)) if other > rank => {}
            Some((other, _)) if other == rank => tie = true,
            _ => {
                tie = false;
                best = Some((rank, strip));
            }
        }
    }
    best.filter(|_| !tie).map(|(_, strip)| strip)
}
