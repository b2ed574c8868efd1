//! The faces that bound a case from front to rear, in a view turned so that
//! the front is at the left: an end, a section, or a plan on its side.

use super::grid::{Dir, GAP, Grid, Run, SAME, Track};
use super::reading::{Owned, Range, near};
use super::strips::{self, Strip, Want};

/// Strips at the front: thinnest and thickest frame or door.
const FACE: Range = (14.4, 45.0);
/// Thickest countertop.
const SLAB: f64 = 120.0;
/// Thickest edge band or lipping: what is thicker is a board.
const BAND: f64 = 11.0;
/// Highest rail at the end of a frame that is told by its cut.
const CUT_RAIL: f64 = 80.0;
/// Lowest such rail.
const CUT_RAIL_LEAST: f64 = 20.0;
/// Lowest and highest toe space.
const TOE: Range = (20.0, 200.0);
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

/// Finds the faces in a view whose front is at the left. `case` is the front
/// edge of the case when the panels have shown it already; `frameless` is true
/// when another view shows that no frame stands before it.
pub(super) fn find(grid: &Grid, case: Option<f64>, frameless: bool) -> Result<Faces, String> {
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
    // A plan cut through an open case has its back alone from side to side.
    let foremost = case.map_or(first.at, |case| case.min(first.at));
    if last.at - foremost < 60.0 {
        return Err("it is too shallow to be a cabinet".to_owned());
    }
    let chain = match case {
        Some(case) => chain_before(grid, &faces, case),
        None => chain_from_front(grid, &faces),
    };
    let Some(&case) = chain.last() else {
        return Err("no front edge was found".to_owned());
    };
    let (low, high) = case.extent();
    let (low, high) = (grid.level_near(low), grid.level_near(high));
    let (face, frame_front) = classify(grid, &chain, low, high);
    // Then the strip is made of a front and a stretcher inset between the sides.
    if let (true, Face::FrameOrFront | Face::Unclear, [front, _]) = (frameless, face, &chain[..]) {
        let (low, high) = front.extent();
        return Ok(Faces {
            chain: vec![front.at],
            face: Face::Bare,
            case_front: front.at,
            frame_front: None,
            rear: last.at,
            low: grid.level_near(low),
            high: grid.level_near(high),
        });
    }
    // A frame that ends above the toe space bounds the front, though the sides run
    // on to the floor behind it.
    let low = frame_front
        .and_then(|at| chain.iter().find(|track| near(track.at, at)))
        .map_or(low, |frame| grid.level_near(frame.extent().0).max(low));
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

/// Faces from the foremost back to the front edge of the case. The face of the
/// case with its frame is the foremost one whose upper end is the case's own
/// upper edge, drawn from there to the rear: doors, open or shut, end lower, and
/// a countertop has no long edge. Before it stand fronts, behind it at most
/// the joint of frame and case.
fn chain_from_front<'a>(grid: &'a Grid, faces: &[&'a Track]) -> Vec<&'a Track> {
    let rear = faces.last().map_or(0.0, |track| track.at);
    // A back nailed on behind may end lower than the case.
    let inner = faces
        .iter()
        .rev()
        .nth(1)
        .map_or(rear, |track| track.at)
        .max(rear - BACK.1);
    let own = |track: &&Track| {
        let top = track.extent().1;
        grid.range(Dir::Level, top - GAP, top + GAP)
            .any(|index| grid.lv[index].covers(track.at, inner))
    };
    let Some(index) = faces
        .iter()
        .position(|track| track.at < rear - 60.0 && own(track))
    else {
        return Vec::new();
    };
    let face = faces[index];
    let (low, high) = face.extent();
    // In a section the frame may show by its cut rails alone, too short to have
    // been taken for a face.
    let mut known = faces.to_vec();
    let mut index = index;
    if let Some(rails) = cut_rails(grid, face, high) {
        let place = known.partition_point(|track| track.at < rails.at - SAME);
        if !near(known[place].at, rails.at) {
            known.insert(place, rails);
            index += 1;
        }
    }
    let mut chain = before(grid, &known, index);
    if let Some(case) = covered_case(grid, face, faces) {
        chain.push(case);
        return chain;
    }
    for behind in faces.iter().filter(|track| track.at > face.at + SAME) {
        match step(grid, face, behind) {
            Step::Face => {
                // What ends short of the face at both ends is an inset front.
                let (a, b) = behind.extent();
                if a <= low + GAP || b >= high - GAP {
                    chain.push(behind);
                    break;
                }
            }
            Step::Play | Step::Band | Step::Board => {}
            Step::Nothing => break,
        }
    }
    chain
}

/// The front edge of the case where something in the case stands before most of
/// it, as drawer boxes do in a section: a line as high as the face, seen at both
/// ends behind rails that cross the strip from face to face.
fn covered_case<'a>(grid: &'a Grid, face: &Track, faces: &[&Track]) -> Option<&'a Track> {
    let (low, high) = face.extent();
    grid.range(Dir::Upright, face.at + FACE.0, face.at + FACE.1)
        .map(|index| &grid.up[index])
        .filter(|track| !faces.iter().any(|known| near(known.at, track.at)))
        .find(|track| {
            let (a, b) = track.extent();
            let rail = |run: &&Run| {
                run.len() <= CUT_RAIL
                    && grid.drawn(Dir::Level, run.lo, face.at, track.at)
                    && grid.drawn(Dir::Level, run.hi, face.at, track.at)
            };
            // Inset fronts may hide what is between the rails.
            let ends = [track.seen.first(), track.seen.last()];
            let railed = ends.into_iter().all(|run| {
                run.filter(rail)
                    .is_some_and(|run| run.len() >= CUT_RAIL_LEAST)
            });
            let whole = track.covers(low, high) || railed;
            let rails = track.seen.iter().filter(rail).count();
            whole && near(a, low) && near(b, high) && closed(grid, face, track) && rails >= 2
        })
}

/// Short strips before the face of the case, level with its upper end: the cut top
/// rail of a frame. A countertop may go on above it and before it.
fn cut_rails<'a>(grid: &'a Grid, face: &Track, high: f64) -> Option<&'a Track> {
    let across = |z: f64, track: &Track| grid.drawn(Dir::Level, z, track.at, face.at);
    let under = grid.range(Dir::Level, high - CUT_RAIL, high - CUT_RAIL_LEAST);
    let rail = |track: &&Track| {
        let lower = |z: f64| track.covers(z, high) && across(z, track);
        across(high, track) && grid.lv[under.clone()].iter().any(|level| lower(level.at))
    };
    grid.range(Dir::Upright, face.at - FACE.1, face.at - FACE.0)
        .map(|index| &grid.up[index])
        .find(rail)
}

/// A plan cut below the top rail shows a frame by its stiles alone: two short
/// rectangles before the ends of the case, mirror images of each other.
pub(super) fn cut_stiles(grid: &Grid, faces: &mut Faces, case: Range) {
    let front = faces.case_front;
    let closed = |run: &Run, at: f64| {
        (FACE.0..=CUT_RAIL).contains(&run.len())
            && grid.drawn(Dir::Level, run.lo, at, front)
            && grid.drawn(Dir::Level, run.hi, at, front)
    };
    let middle = (case.0 + case.1) / 2.0;
    let found = grid
        .range(Dir::Upright, front - FACE.1, front - FACE.0)
        .map(|index| &grid.up[index])
        .find_map(|track| {
            let low = track.seen.first().filter(|run| closed(run, track.at))?;
            let high = track.seen.last().filter(|run| closed(run, track.at))?;
            let outside = low.lo <= case.0 + GAP && high.hi >= case.1 - GAP;
            let apart = low.hi < middle && high.lo > middle;
            (outside && apart && near(low.len(), high.len())).then_some((track.at, low.lo, high.hi))
        });
    if let Some((at, low, high)) = found {
        let before = faces.chain.iter().any(|face| *face < at - SAME);
        faces.face = if before {
            Face::FrameAndFronts
        } else {
            Face::Frame
        };
        faces.frame_front = Some(at);
        (faces.low, faces.high) = (low, high);
    }
}

/// The face at `index` and what stands before it, foremost first.
fn before<'a>(grid: &Grid, faces: &[&'a Track], index: usize) -> Vec<&'a Track> {
    let mut chain: Vec<&Track> = Vec::new();
    let mut board: Option<&Track> = None;
    for (place, face) in faces.iter().enumerate().take(index + 1).rev() {
        let Some(&behind) = chain.last() else {
            chain.push(face);
            continue;
        };
        let step_to = |face: &Track| step(grid, face, behind);
        // Within a frame or a front, the face of its panel is none of its own.
        let whole = |face: &&&Track| matches!(step_to(face), Step::Face);
        if !whole(&face) && faces.iter().take(place).any(|other| whole(&other)) {
            continue;
        }
        match step_to(face) {
            Step::Face | Step::Play => {
                chain.push(face);
                board = None;
            }
            Step::Board => board = Some(face),
            Step::Band => {}
            Step::Nothing => break,
        }
    }
    chain.extend(board);
    // Play with nothing before it is no face.
    while chain.len() > 1 && chain[chain.len() - 2].at - chain[chain.len() - 1].at < BAND {
        chain.pop();
    }
    chain.reverse();
    chain
}

/// Faces before a known front edge of the case, foremost first. What stands
/// farther out, as a countertop does, is no part of them.
fn chain_before<'a>(grid: &'a Grid, faces: &[&'a Track], case: f64) -> Vec<&'a Track> {
    if let Some(index) = faces.iter().position(|face| near(face.at, case)) {
        return before(grid, faces, index);
    }
    // An open front shows the ends of the sides alone.
    let Some(track) = grid
        .drawn_at(Dir::Upright, case)
        .and_then(|index| grid.up.get(index))
    else {
        return Vec::new();
    };
    let index = faces.partition_point(|face| face.at < track.at);
    let mut all = faces.to_vec();
    all.insert(index, track);
    before(grid, &all, index)
}

enum Step {
    /// Frame or front.
    Face,
    /// An open sliver.
    Play,
    /// A closed sliver: an edge band on the same face.
    Band,
    /// A thin board: a panel over the front, or a back seen the wrong way round.
    Board,
    Nothing,
}

fn step(grid: &Grid, before: &Track, behind: &Track) -> Step {
    let wide = behind.at - before.at;
    match (wide, closed(grid, before, behind)) {
        (wide, _) if wide > FACE.1 => Step::Nothing,
        (wide, true) if wide >= FACE.0 => Step::Face,
        (wide, false) if wide >= FACE.0 => Step::Nothing,
        (wide, true) if wide > BAND => Step::Board,
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
/// the case and shows the ends of its members, or in a section its cut rails;
/// fronts leave reveals or come in several.
fn classify(grid: &Grid, chain: &[&Track], low: f64, high: f64) -> (Face, Option<f64>) {
    // The front of a countertop level with the frame's is drawn in one line with it.
    let topped = |track: &Track, top: f64| {
        let case = chain.last().map_or(track.at, |case| case.at);
        top > high && top - high <= SLAB && grid.drawn(Dir::Level, high, track.at, case)
    };
    let flush = |track: &Track| {
        let (a, b) = track.extent();
        near(a, low) && (near(b, high) || topped(track, b))
    };
    let members = |a: &Track, b: &Track| crossings(grid, (a.at, b.at), low, high) >= 2;
    // Above a toe space that the sides bound without a notch.
    let raised = |front: &Track, case: &Track| {
        let (a, b) = front.extent();
        near(b, high)
            && (TOE.0..=TOE.1).contains(&(a - low))
            && grid.drawn(Dir::Level, a, front.at, case.at)
            && crossings(grid, (front.at, case.at), a, b) >= 2
    };
    let frame = |front: &Track, case: &Track| {
        if !flush(front) {
            return raised(front, case).then_some(true);
        }
        match front.seen.as_slice() {
            [_] => Some(members(front, case)),
            // Cut rails at both ends of the frame.
            [first, .., last] => Some(first.len() <= CUT_RAIL && last.len() <= CUT_RAIL),
            [] => None,
        }
    };
    // A front ends below the upper edge of the case. One level with it, a rail of
    // a frame could be, too.
    let lower = |track: &Track| track.extent().1 < high - GAP;
    // One strip level with the foot of the case and far below its upper edge is a frame
    // over a toe space, upside down.
    let hung = |track: &Track| {
        let (a, b) = track.extent();
        track.seen.len() == 1 && near(a, low) && (TOE.0..=TOE.1).contains(&(high - b))
    };
    let board = chain
        .windows(2)
        .any(|pair| matches!(step(grid, pair[0], pair[1]), Step::Board));
    match chain {
        _ if board => (Face::Unclear, None),
        [_] => (Face::Bare, None),
        [front, case] => match frame(front, case) {
            Some(true) => (Face::Frame, Some(front.at)),
            Some(false) => (Face::FrameOrFront, Some(front.at)),
            None if lower(front) && !hung(front) => (Face::Fronts, None),
            None => (Face::Unclear, None),
        },
        // Bumpers keep fronts off the case: front, its rear and the case.
        [fronts, rear, case] if case.at - rear.at < FACE.0 && lower(fronts) && lower(rear) => {
            (Face::Fronts, None)
        }
        [fronts, middle, case] if frame(middle, case).is_some() && lower(fronts) => {
            (Face::FrameAndFronts, Some(middle.at))
        }
        _ => (Face::Unclear, None),
    }
}

fn closed(grid: &Grid, a: &Track, b: &Track) -> bool {
    let (p, q) = (a.extent(), b.extent());
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
        bridge: false,
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
    best.filter(|_| !tie)
        .map(|(_, strip)| own_ends(window, strip))
}

/// Most play of a back in its grooves, at each edge.
const PLAY: f64 = 2.5;

/// A groove is drawn a little longer than the back in it: where two lines close
/// the strip close to each other, the inner one is the back's own.
fn own_ends(window: &Grid, strip: Strip) -> Strip {
    let own = |z: f64| {
        window.at(Dir::Level, z).is_some_and(|index| {
            window.lv[index]
                .runs
                .iter()
                .any(|run| near(run.lo, strip.t0) && near(run.hi, strip.t1))
        })
    };
    let inner = |from: f64, to: f64| -> Option<f64> {
        window
            .range(Dir::Level, from, to)
            .map(|index| window.lv[index].at)
            .find(|z| own(*z))
    };
    Strip {
        a: inner(strip.a + GAP, strip.a + PLAY).unwrap_or(strip.a),
        b: inner(strip.b - PLAY, strip.b - GAP).unwrap_or(strip.b),
        ..strip
    }
}
