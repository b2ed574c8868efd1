//! The faces that bound a case from front to rear, in a view turned so that
//! the front is at the left: an end, a section, or a plan on its side.

use super::grid::{Dir, GAP, Grid, Track};
use super::reading::{Owned, Range, near};
use super::strips::{self, Strip, Want};

/// Strips at the front: thinnest and thickest frame or door.
const FACE: Range = (9.0, 45.0);
/// Thinnest and thickest panel seen edge-on.
pub(super) const PANEL: Range = (6.0, 46.0);
/// Thinnest and thickest back.
const BACK: Range = (2.5, 26.0);
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
    /// Lowest end of the rear edge.
    pub rear_low: f64,
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

/// Finds the faces in a view whose front is at the left.
pub(super) fn find(grid: &Grid) -> Result<Faces, String> {
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
    let chain = front_chain(grid, &faces);
    let Some(&case) = chain.last() else {
        return Err("no front edge was found".to_owned());
    };
    let (low, high) = extent(case);
    let (face, frame_front) = classify(&chain, low, high);
    Ok(Faces {
        chain: chain.iter().map(|track| track.at).collect(),
        face,
        case_front: case.at,
        frame_front,
        rear: last.at,
        low,
        high,
        rear_low: extent(last).0,
    })
}

/// Faces from the foremost back to the front edge of the case.
fn front_chain<'a>(grid: &Grid, faces: &[&'a Track]) -> Vec<&'a Track> {
    let mut chain: Vec<&Track> = Vec::new();
    for face in faces {
        let Some(&before) = chain.last() else {
            chain.push(face);
            continue;
        };
        let step = face.at - before.at;
        if step > FACE.1 {
            break;
        }
        let closed = closed(grid, before, face);
        if step >= FACE.0 && closed {
            chain.push(face);
        } else if step < FACE.0 && !closed && chain.len() > 1 {
            // An open sliver is the play between a front and the case; a closed
            // one is an edge band on the same face.
            chain.push(face);
        } else if step >= FACE.0 {
            break;
        }
    }
    chain
}

fn closed(grid: &Grid, a: &Track, b: &Track) -> bool {
    let (p, q) = (extent(a), extent(b));
    let (from, to) = (p.0.max(q.0), p.1.min(q.1));
    grid.drawn(Dir::Level, from, a.at, b.at) && grid.drawn(Dir::Level, to, a.at, b.at)
}

/// Tells frame from fronts by how long the strips are: a frame runs as far as
/// the case, fronts leave reveals or come in several.
fn classify(chain: &[&Track], low: f64, high: f64) -> (Face, Option<f64>) {
    let full = |track: &Track| {
        let (a, b) = extent(track);
        track.seen.len() == 1 && near(a, low) && near(b, high)
    };
    match chain {
        [_] => (Face::Bare, None),
        [front, _] if full(front) => (Face::FrameOrFront, Some(front.at)),
        [_, _] => (Face::Fronts, None),
        [_, frame, _] if full(frame) => (Face::FrameAndFronts, Some(frame.at)),
        _ => (Face::Unclear, None),
    }
}

/// The back: a thin strip near the rear that runs along most of the case.
pub(super) fn back(window: &Grid, rear: f64, size: f64, owned: &Owned) -> Option<Strip> {
    let want = Want {
        dir: Dir::Upright,
        thick: BACK,
        long: 0.5 * size,
    };
    let mut best: Option<((bool, u32), Strip)> = None;
    let mut tie = false;
    for strip in strips::find(window, want) {
        let reach = rear - strip.t1;
        // The front line must be new: the rear one is often the case's own.
        let new = owned.is_new(Dir::Upright, strip.t0, strip.a, strip.b);
        if !(0.0..=VOID).contains(&(reach + GAP)) || !new || !strip.cornered() {
            continue;
        }
        let rank = (strip.matched(), strip.marks());
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
