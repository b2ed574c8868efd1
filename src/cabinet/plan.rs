//! Plans: seen from above. They are read lying on their side, so that the
//! front is at the left as in an end: horizontal is depth, vertical is across.

use super::backing;
use super::faces::{self, Face, Faces};
use super::grid::{Dir, GAP, Grid, Track};
use super::reading::{Owned, Place, Range, ViewPart, near};
use super::strips::{self, Strip, Want};
use crate::trade::Role;

#[derive(Clone, Debug)]
pub(super) struct PlanReading {
    pub faces: Faces,
    /// Left and right end of the case with its frame.
    pub outline: Range,
    /// Left and right side of the case, across, when their inner faces are seen.
    pub sides: Option<(Range, Range)>,
    /// Left and right strip from front to rear, and how deep they are: the sides,
    /// if another view shows them as thick. A closed top may end on them or in them.
    pub strips: (Range, Range),
    pub deep: Range,
    /// Front and rear end of the sides under a board that lies over them.
    pub hidden_ends: [bool; 2],
    /// Outer faces of the sides.
    pub case: Range,
    pub back: Option<Strip>,
    pub parts: Vec<ViewPart>,
}

/// Deepest groove in a side, millimetres.
pub(super) const DEEPEST: f64 = 13.0;

/// Thinnest and thickest side.
pub(super) const SIDE: Range = (9.0, 41.0);
/// Thinnest and thickest back: from above, a thicker strip at the rear may as
/// well be a standing stretcher.
const BACK: Range = (2.5, 13.0);
/// Most that a rabbet takes off a side's inner edge at the rear.
const RABBET: f64 = 30.0;
/// Least that a toe board stands back.
const SETBACK: f64 = 20.0;
/// Farthest a divider ends before the back.
const VOID: f64 = 30.0;
/// Deeper than a face frame and a door before it: 3/4 in each, and some.
const WIDER_THAN_FRONTS: f64 = 45.0;
/// Lines closer than this beside the inner face may be ends of loose shelves.
const PLAY: f64 = 4.0;

/// Reads a plan lying on its side, front at the left.
/// `all` has its hidden edges as well.
pub(super) fn read(grid: &Grid, all: &Grid) -> Result<PlanReading, String> {
    let (mut left, mut right) = sides(grid)?;
    let seen = (left.a, left.b);
    let over_front = board_over(grid, &left, &right);
    if let Some(front) = over_front {
        (left.a, right.a) = (front, front);
    }
    let mut faces = faces::find(grid, Some(left.a), false)?;
    // In a cut plan nothing may run from side to side behind the back.
    faces.rear = faces.rear.max(left.b);
    faces::cut_stiles(grid, &mut faces, (left.t0, right.t1));
    let (front, side_rear) = (faces.case_front, left.b);
    let across = (left.t0, right.t1);
    let wider = faces.low < across.0 - GAP || faces.high > across.1 + GAP;
    if faces.face == Face::Unclear && wider {
        return Err("what stands before the case and is wider cannot be told".to_owned());
    }
    let room = grid.window((front, faces.rear), across);
    let mut owned = Owned::default();
    owned.take(Dir::Upright, front, across.0, across.1);
    owned.take(Dir::Upright, faces.rear, across.0, across.1);
    // A standing stretcher is of the sides' stock; a back is not.
    let stock = left.t1 - left.t0;
    let at_rear = faces::back(&room, BACK, faces.rear, across.1 - across.0, &owned);
    // Where hidden edges look like any other, a line as far from the rear as the stock
    // is thick is one's inner face, and the strip behind it some shelf's end.
    let inner_face = |back: &Strip| {
        let at = faces.rear - stock;
        !grid.cue && at < back.t0 - GAP && grid.drawn(Dir::Upright, at, left.t1, right.t0)
    };
    // So may a toe board stand between the sides, seen with the front at the rear.
    let toe_board = |back: &Strip| {
        let between = near(back.a, left.t1) && near(back.b, right.t0);
        !grid.cue && between && faces.rear - back.t1 >= SETBACK
    };
    let back = at_rear
        .filter(|back| (back.t1 - back.t0 - stock).abs() > 1.0)
        .filter(|back| !inner_face(back) && !toe_board(back));
    let outline = match (faces.face, faces.frame_front) {
        (Face::Frame | Face::FrameAndFronts | Face::FrameOrFront, Some(_)) => {
            (faces.low, faces.high)
        }
        _ => across,
    };
    // A closed top hides the inner faces: what is seen may be the top's own
    // ends, let into the sides.
    let inner = (left.t1 + 2.0, right.t0 - 2.0);
    let behind = at_rear.map_or(side_rear, |strip| strip.t0.min(side_rear));
    let open = room
        .window((front + 2.0, behind - 2.0), inner)
        .up
        .iter()
        .any(|track| track.runs.iter().any(|run| run.len() > 20.0));
    // With hidden edges told apart, a top let into the sides would show their inner
    // faces a joint's depth further in.
    let deep = side_rear - front;
    let further = |from: f64, to: f64| all.has_run(Dir::Level, (from, to), 0.5 * deep);
    let beneath = grid.cue
        && !further(left.t1 + GAP, left.t1 + DEEPEST)
        && !further(right.t0 - DEEPEST, right.t0 - GAP);
    let open = open || beneath;
    let mut parts = Vec::new();
    if let Some(back) = back {
        let why = "thin strip near the rear of the plan";
        let part = ViewPart::from_strip(Role::Back, &back, why);
        parts.extend(backing::boards(&room, &back, part));
    }
    let over_rear = faces.rear - side_rear > WIDER_THAN_FRONTS
        && grid.drawn(Dir::Upright, side_rear, across.0 + GAP, across.1 - GAP);
    let mut reading = PlanReading {
        faces,
        outline,
        sides: None,
        strips: ((left.t0, left.t1), (right.t0, right.t1)),
        deep: if over_front.is_some() {
            seen
        } else {
            (front, side_rear)
        },
        hidden_ends: [over_front.is_some(), over_rear],
        case: across,
        back,
        parts,
    };
    if open {
        reading.take_sides();
        let wall = reading.back.map_or(side_rear, |back| back.t0);
        // Boards over the sides are not between them.
        if reading.hidden_ends == [false; 2] {
            let found = stretchers(grid, (left.t1, right.t0), (front, wall));
            reading.parts.extend(found);
        }
    }
    Ok(reading)
}

/// Narrowest and widest stretcher lying flat.
const STRETCHER: Range = (40.0, 200.0);

/// Two boards lying between the sides at the top, one at the front and one at the
/// rear: their inner edges are the only lines from side to side in the room.
fn stretchers(grid: &Grid, inner: Range, room: Range) -> Vec<ViewPart> {
    let lines: Vec<f64> = grid
        .range(Dir::Upright, room.0 + GAP, room.1 - GAP)
        .map(|index| &grid.up[index])
        .filter(|track| {
            let mut runs = track.runs.iter();
            runs.any(|run| run.hi > inner.0 + GAP && run.lo < inner.1 - GAP)
        })
        .filter(|track| track.at > room.0 + 2.0 && track.at < room.1 - 2.0)
        .map(|track| track.at)
        .collect();
    let [p, q] = lines.as_slice() else {
        return Vec::new();
    };
    let fits = |wide: f64| (STRETCHER.0..=STRETCHER.1).contains(&wide);
    let own = |x: f64| grid.drawn(Dir::Upright, x, inner.0, inner.1);
    if !fits(p - room.0) || !fits(room.1 - q) || !own(*p) || !own(*q) {
        return Vec::new();
    }
    [((room.0, *p), Place::Front), ((*q, room.1), Place::Rear)]
        .into_iter()
        .map(|(deep, place)| {
            let why = "level board between the sides, seen from above";
            ViewPart::new(Role::Stretcher, deep, inner, why).placed(place)
        })
        .collect()
}

impl PlanReading {
    /// Takes the strips for the sides.
    pub(super) fn take_sides(&mut self) {
        if self.sides.is_some() {
            return;
        }
        self.sides = Some(self.strips);
        let (left, right) = self.strips;
        for (side, place) in [(left, Place::Left), (right, Place::Right)] {
            let why = "strip at the end of the plan, from front to rear";
            let mut part = ViewPart::new(Role::Side, self.deep, side, why);
            let [front, rear] = self.hidden_ends;
            part.covered = [front, rear, false, false];
            self.parts.push(part.placed(place));
        }
    }
}

/// True when every line of a plan whose lines cross is accounted for: the edges
/// of the sides, a back let into them, what stands before the case, and boards
/// that end on the sides' inner faces. Nothing is left that could be a joint or
/// an edge farther down.
pub(super) fn explains(grid: &Grid, reading: &PlanReading) -> bool {
    let faces = &reading.faces;
    let (left, right) = reading.strips;
    let within = |p: f64, side: Range| p > side.0 + GAP && p < side.1 - GAP;
    let Some(back) = reading.back else {
        return false;
    };
    if !within(back.a, left) || !within(back.b, right) {
        return false;
    }
    let at = |list: &[f64], p: f64| list.iter().any(|q| near(*q, p));
    let mut depths = vec![
        faces.case_front,
        faces.rear,
        reading.deep.1,
        back.t0,
        back.t1,
    ];
    depths.extend(&faces.chain);
    let (outline, inner) = (reading.outline, (left.1, right.0));
    let across = [
        left.0, left.1, right.0, right.1, outline.0, outline.1, back.a, back.b,
    ];
    let inside = |track: &Track| track.runs.iter().any(|run| run.hi > faces.case_front + GAP);
    let between = |track: &Track| {
        let mut runs = track.runs.iter();
        runs.all(|run| run.lo >= inner.0 - GAP && run.hi <= inner.1 + GAP)
    };
    let divider =
        |track: &Track| within(track.at, inner) && track.covers(faces.case_front, back.t0 - VOID);
    grid.up
        .iter()
        .all(|track| at(&depths, track.at) || between(track))
        && grid
            .lv
            .iter()
            .filter(|track| inside(track))
            .all(|track| at(&across, track.at) || divider(track))
}

/// The front edge of a board that lies over the sides at the front, as wide as the case
/// and wider than a face frame or a door is thick: the sides begin under it.
fn board_over(grid: &Grid, left: &Strip, right: &Strip) -> Option<f64> {
    let (low, high) = (left.t0, right.t1);
    grid.up
        .iter()
        .map(|track| track.at)
        .filter(|at| *at < left.a - WIDER_THAN_FRONTS)
        .filter(|at| grid.drawn(Dir::Upright, *at, low + GAP, high - GAP))
        .filter(|at| {
            [low, high]
                .iter()
                .all(|edge| grid.drawn(Dir::Level, *edge, *at + GAP, left.a - GAP))
        })
        // Nothing sticks out beside it, as a countertop or a row of doors would.
        .filter(|at| {
            let past = |track: &Track| {
                track
                    .runs
                    .iter()
                    .any(|run| run.lo < *at - GAP && run.hi > *at + GAP)
            };
            !grid
                .lv
                .iter()
                .filter(|track| near(track.at, low) || near(track.at, high))
                .any(past)
        })
        .max_by(f64::total_cmp)
}

/// The outermost strips from front to rear, mirror images of each other. Lines
/// inside a side (ends of panels let into it) make thinner strips, so the
/// thickest from the outer face counts.
fn sides(grid: &Grid) -> Result<(Strip, Strip), String> {
    let deep = grid.up.last().map_or(0.0, |t| t.at) - grid.up.first().map_or(0.0, |t| t.at);
    let want = Want {
        dir: Dir::Level,
        thick: SIDE,
        long: 0.55 * deep,
        slack: RABBET,
        crosses: 1,
        bridge: true,
    };
    let found: Vec<Strip> = strips::find(grid, want)
        .into_iter()
        // One edge at the front may run on, as a frame member behind it does.
        .filter(|s| s.corners[0] != strips::Corner::Cross || s.corners[1] != strips::Corner::Cross)
        .collect();
    let low = found.iter().map(|s| s.t0).fold(f64::INFINITY, f64::min);
    let high = found.iter().map(|s| s.t1).fold(f64::NEG_INFINITY, f64::max);
    let outer_left: Vec<Strip> = found.iter().filter(|s| near(s.t0, low)).copied().collect();
    let outer_right: Vec<Strip> = found.iter().filter(|s| near(s.t1, high)).copied().collect();
    let thick = |s: &Strip| s.t1 - s.t0;
    let mut pairs: Vec<(Strip, Strip)> = Vec::new();
    // Doors that stand open are alike as well, but nothing joins them.
    let joined = |left: &Strip, right: &Strip| {
        grid.range(Dir::Upright, left.a - GAP, left.b + GAP)
            .any(|index| grid.up[index].covers(left.t1, right.t0))
    };
    for left in &outer_left {
        for right in &outer_right {
            let alike =
                near(thick(left), thick(right)) && near(left.a, right.a) && near(left.b, right.b);
            if alike && joined(left, right) {
                pairs.push((*left, *right));
            }
        }
    }
    let rank = |p: &(Strip, Strip)| (8 - p.0.crosses() - p.1.crosses(), p.0.marks() + p.1.marks());
    pairs.sort_by(|p, q| {
        let by_thickness = if near(thick(&p.0), thick(&q.0)) {
            std::cmp::Ordering::Equal
        } else {
            thick(&p.0).total_cmp(&thick(&q.0))
        };
        by_thickness
            .then(rank(p).cmp(&rank(q)))
            .then(p.0.long().total_cmp(&q.0.long()))
    });
    let Some(best) = pairs.last().copied() else {
        return Err("no sides are drawn as strips from front to rear".to_owned());
    };
    // The end of a loose shelf lies close beside the inner face.
    let rival = pairs
        .iter()
        .any(|p| thick(&best.0) - thick(&p.0) > GAP && thick(&best.0) - thick(&p.0) < PLAY);
    // Where hidden edges look like any other, a long line beside a face may be the
    // true one: a joint's depth further in, where this one is the bottom of a groove;
    // a side's thickness further in or within the strip, where it is a countertop's.
    let beyond = |from: f64, to: f64| grid.has_run(Dir::Level, (from, to), 0.5 * deep);
    let further =
        beyond(best.0.t1 + GAP, best.0.t1 + SIDE.1) && beyond(best.1.t0 - SIDE.1, best.1.t0 - GAP);
    let within =
        beyond(best.0.t0 + GAP, best.0.t1 - GAP) && beyond(best.1.t0 + GAP, best.1.t1 - GAP);
    // So may one outside of it, where this is how far a board is let into the side.
    let outside =
        beyond(best.0.t0 - SIDE.1, best.0.t0 - GAP) && beyond(best.1.t1 + GAP, best.1.t1 + SIDE.1);
    let nested = !grid.cue && (further || within || outside);
    if rival || nested || best.1.t0 - best.0.t1 < 60.0 {
        return Err("the inner faces of the sides cannot be told from other lines".to_owned());
    }
    Ok(best)
}
