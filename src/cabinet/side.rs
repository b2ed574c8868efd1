//! Ends and sections: horizontal is depth, vertical is height. The front is
//! brought to the left first.

use super::backing;
use super::faces::{self, Face, Faces, PANEL};
use super::grid::{Dir, GAP, Grid, Track};
use super::reading::{Owned, Place, Range, ViewPart, near, panels};
use super::strips::{Strip, Want};
use crate::trade::Role;

/// Thinnest and thickest toe kick.
const TOE_BOARD: (f64, f64) = (2.5, 26.0);

/// Highest that a bottom lies above the underside of the case: a wide rail's.
const FLOOR: f64 = 110.0;
/// Least room over a shelf.
const HEADROOM: f64 = 50.0;
/// Most of the height of the case that a stretcher on edge takes.
const STANDING: f64 = 0.6;
/// Highest that a bottom lies over a toe space, and lowest that a shelf surely is one
/// where no bottom is seen.
const LOWEST: f64 = 160.0;
/// Highest toe space.
const TOE: f64 = 250.0;
/// Least and most that the toe space goes back.
const SETBACK: (f64, f64) = (20.0, 300.0);

/// The room under the case.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Toe {
    /// Height of the underside of the case.
    pub top: f64,
    /// Foremost line of what stands below.
    pub face: f64,
    /// Front edge of the sides' feet, when it could be told from a toe board.
    pub foot: Option<f64>,
    /// True: a base of its own; false: notched sides; `None`: cannot be told.
    pub base: Option<bool>,
}

#[derive(Clone, Debug)]
pub(super) struct SideReading {
    pub faces: Faces,
    pub floor: f64,
    pub top: f64,
    /// Underside of the case's front: the toe space is below.
    pub low: f64,
    pub toe: Option<Toe>,
    pub back: Option<Strip>,
    /// Heights at which lines cross the whole frame: ends of its members.
    pub frame_lines: Vec<f64>,
    pub parts: Vec<ViewPart>,
}

/// Reads an end or a section whose front is at the left; `frameless` when another
/// view shows that the case has no frame.
pub(super) fn read(grid: &Grid, cut: bool, frameless: bool) -> Result<SideReading, String> {
    let faces = faces::find(grid, None, frameless)?;
    let foremost = faces.chain.first().copied().unwrap_or(faces.case_front);
    let floor = grid
        .range(Dir::Upright, foremost, faces.rear)
        .filter_map(|index| grid.up[index].runs.first())
        .map(|run| run.lo)
        .fold(faces.low, f64::min);
    let floor = grid.level_near(floor);
    let mut reading = SideReading {
        floor,
        top: faces.high,
        low: faces.low,
        toe: None,
        back: None,
        frame_lines: Vec::new(),
        parts: Vec::new(),
        faces,
    };
    reading.toe = toe(grid, &reading, cut);
    if let Some(frame) = reading.faces.frame_front {
        reading.frame_lines = crossing(grid, frame, reading.faces.case_front);
    }
    inside(grid, &mut reading);
    fronts(grid, &mut reading);
    Ok(reading)
}

/// Heights of level lines drawn all the way between the faces of the frame. What
/// stands in the case and reaches into the frame, as a drawer box does, crosses it
/// as well: it covers the front edge of the case, which comes into sight where it
/// ends.
fn crossing(grid: &Grid, from: f64, to: f64) -> Vec<f64> {
    let edge = grid.at(Dir::Upright, to).map(|index| &grid.up[index].seen);
    let (first, last) = match edge.map(|runs| (runs.first(), runs.last())) {
        Some((Some(first), Some(last))) => (first.lo, last.hi),
        _ => return Vec::new(),
    };
    let covered = |z: f64| {
        z > first + GAP
            && z < last - GAP
            && !edge.is_some_and(|runs| runs.iter().any(|run| run.lo < z - GAP && run.hi > z + GAP))
    };
    grid.lv
        .iter()
        .filter(|track| track.covers(from, to) && !covered(track.at))
        .map(|track| track.at)
        .collect()
}

/// The toe space: an upright standing back from the front, below the case.
fn toe(grid: &Grid, reading: &SideReading, cut: bool) -> Option<Toe> {
    let low = reading.low;
    if low - reading.floor < 20.0 {
        return None;
    }
    let front = reading.faces.case_front;
    let half = (reading.faces.rear - front) / 2.0;
    let (from, to) = (front + SETBACK.0, front + SETBACK.1.min(half));
    let mut lines = Vec::new();
    for index in grid.range(Dir::Upright, from, to) {
        let track = &grid.up[index];
        if track.covers(reading.floor, low) {
            lines.push(track);
        }
    }
    let face = lines.first()?.at;
    // The underside of the case: a notch shows it as far as the foot, a base of
    // its own shows it all the way.
    let index = grid.at(Dir::Level, low)?;
    let level = &grid.lv[index];
    let whole = level.covers_seen(reading.faces.case_front, reading.faces.rear);
    let ends = level
        .seen
        .iter()
        .find(|run| run.lo <= reading.faces.case_front + GAP && run.hi > reading.faces.case_front)
        .map(|run| run.hi);
    // Sides without a notch show their front edge down to the floor.
    let unbroken = grid
        .at(Dir::Upright, front)
        .is_some_and(|index| grid.up[index].covers_seen(reading.floor, low));
    // In a section the bottom's own underside may be what is seen.
    let base = match (grid.cue && !cut, whole) {
        (false, _) if unbroken && cut => Some(false),
        (_, false) => Some(false),
        (true, true) => Some(true),
        (false, true) => rear_rail(grid, reading).then_some(true),
    };
    let foot = match base {
        Some(false) if !unbroken => ends.filter(|e| lines.iter().any(|l| near(l.at, *e))),
        _ => None,
    };
    Some(Toe {
        top: low,
        face,
        foot,
        base,
    })
}

/// The toe kick: the one closed strip at the rear of the toe space.
fn toe_board(grid: &Grid, reading: &mut SideReading) {
    if let Some(toe) = reading.toe.filter(|toe| toe.base == Some(false)) {
        board_at(grid, reading, toe);
    }
}

/// The toe kick where a front shows feet beside it, and nothing tells whether they are
/// those of the sides or of a base without a rail at its rear.
pub(super) fn between_feet(grid: &Grid, reading: &mut SideReading) {
    if let Some(toe) = reading.toe.filter(|toe| toe.base.is_none()) {
        board_at(grid, reading, toe);
    }
}

fn board_at(grid: &Grid, reading: &mut SideReading, toe: Toe) {
    let (floor, low) = (reading.floor, reading.low);
    let near_face = grid.range(Dir::Upright, toe.face - GAP, toe.face + TOE_BOARD.1);
    let lines: Vec<f64> = grid.up[near_face]
        .iter()
        .filter(|track| track.covers(floor, low))
        .map(|track| track.at)
        .collect();
    let [front, rear] = lines.as_slice() else {
        return;
    };
    let thick = rear - front;
    let closed =
        grid.drawn(Dir::Level, floor, *front, *rear) && grid.drawn(Dir::Level, low, *front, *rear);
    if thick >= TOE_BOARD.0 && closed {
        let why = "upright strip at the rear of the toe space";
        reading.parts.push(ViewPart::new(
            Role::ToeKick,
            (*front, *rear),
            (floor, low),
            why,
        ));
    }
}

/// Takes the toe space for a notch in the sides, where a front shows their feet.
pub(super) fn notched(grid: &Grid, reading: &mut SideReading) {
    if let Some(toe) = reading.toe.as_mut().filter(|toe| toe.base.is_none()) {
        toe.base = Some(false);
        toe_board(grid, reading);
    }
}

/// The toe kick where the sides run down to the floor without a notch.
fn board_under_bottom(grid: &Grid, reading: &mut SideReading) {
    let bottom = reading
        .parts
        .iter()
        .find(|part| part.role == Role::Bottom)
        .and_then(|part| part.v);
    let Some((under, _)) = bottom else {
        return;
    };
    if let Some(board) = board_under(grid, reading, under) {
        let why = "upright board under the front of the bottom";
        let height = (reading.floor, under);
        reading
            .parts
            .push(ViewPart::new(Role::ToeKick, board, height, why));
    }
}

/// The faces of the one upright board that stands by itself between the floor and
/// the underside of a level panel, under the front half of it.
fn board_under(grid: &Grid, reading: &SideReading, under: f64) -> Option<Range> {
    let floor = reading.floor;
    if reading.toe.is_some() || under - floor < 20.0 {
        return None;
    }
    let front = reading.faces.case_front;
    let half = (reading.faces.rear - front) / 2.0;
    let own = |track: &&Track| {
        track
            .runs
            .iter()
            .any(|run| near(run.lo, floor) && near(run.hi, under))
    };
    let lines: Vec<f64> = grid
        .range(Dir::Upright, front, front + SETBACK.1.min(half))
        .map(|index| &grid.up[index])
        .filter(own)
        .map(|track| track.at)
        .collect();
    let [face, rear] = lines.as_slice() else {
        return None;
    };
    let closed = [floor, under]
        .iter()
        .all(|z| grid.drawn(Dir::Level, *z, *face, *rear));
    (closed && (TOE_BOARD.0..=TOE_BOARD.1).contains(&(rear - face))).then_some((*face, *rear))
}

/// A base of its own has a rail at its rear, cut or hidden: a strip as high as
/// the toe space.
fn rear_rail(grid: &Grid, reading: &SideReading) -> bool {
    let rear = reading.faces.rear;
    grid.range(Dir::Upright, rear - 100.0, rear - 9.0)
        .map(|index| &grid.up[index])
        .any(|track| {
            track
                .runs
                .iter()
                .any(|run| near(run.lo, reading.floor) && near(run.hi, reading.low))
        })
}

/// Back, bottom, top, stretchers and shelves, all seen edge-on.
fn inside(grid: &Grid, reading: &mut SideReading) {
    let mut owned = Owned::default();
    let (front, rear) = (reading.faces.case_front, reading.faces.rear);
    let (floor, low, top) = (reading.floor, reading.low, reading.top);
    owned.take(Dir::Upright, front, low, top);
    owned.take(Dir::Upright, rear, floor, top);
    owned.take(Dir::Level, top, front, rear);
    owned.take(Dir::Level, floor, front, rear);
    owned.take(Dir::Level, low, front, rear);

    let window = grid.window((front, rear), (floor, top));
    reading.back = faces::back(&window, faces::BACK, rear, top - low, &owned);
    if let Some(back) = reading.back {
        owned.take(Dir::Upright, back.t0, low, top);
        owned.take(Dir::Upright, back.t1, low, top);
        let why = "thin strip near the rear, drawn edge-on";
        let mut part = ViewPart::from_strip(Role::Back, &back, why);
        // A base that stands flush with the back is drawn in one line with it.
        let flush = back.a < low - GAP && grid.drawn(Dir::Level, low, back.t0, back.t1);
        match reading.toe.and_then(|toe| toe.base) {
            Some(true) if flush => part.v = Some((low, back.b)),
            None if flush => part.v = None,
            _ => {}
        }
        reading.parts.extend(backing::boards(&window, &back, part));
    }
    toe_board(grid, reading);
    let wall = reading.back.map_or(rear, |back| back.t0);
    let deep = wall - front;
    let want = Want {
        dir: Dir::Level,
        thick: PANEL,
        long: 0.45 * deep,
        slack: 0.0,
        crosses: 0,
        bridge: true,
    };
    let case = grid.window((front, rear), (low, top));
    let found = panels(&case, want, &mut owned, |_| true);
    name_levels(grid, reading, found, deep);
    board_under_bottom(&case, reading);
    let room = grid.window((front, wall), (low, top));
    stretchers(&room, reading, &mut owned, (front, wall));
    // One that lies on the back reaches the rear of the case over it.
    if rear - wall > GAP {
        let room = grid.window((front, rear), (low, top));
        stretchers(&room, reading, &mut owned, (front, rear));
    }
}

/// Says what each level panel is by its height.
fn name_levels(grid: &Grid, reading: &mut SideReading, found: Vec<Strip>, deep: f64) {
    let low = reading.low;
    let high = reading.top - low;
    let count = found.len();
    // Nobody puts a shelf nearer to the top than that.
    let up_there = |strip: &Strip| strip.t1 >= reading.top - HEADROOM.max(0.12 * high.min(800.0));
    let mut parts = Vec::new();
    for (n, strip) in found.iter().enumerate() {
        let near_floor = strip.t0 <= low + FLOOR && strip.t1 <= low + 0.34 * high;
        let on_board = strip.t0 <= low + TOE && board_under(grid, reading, strip.t0).is_some();
        if n == 0 && (near_floor || on_board) {
            parts.push(ViewPart::from_strip(
                Role::Bottom,
                strip,
                "lowest level panel, drawn edge-on",
            ));
        } else if n + 1 == count && up_there(strip) {
            parts.extend(head(grid, strip, deep));
        } else if up_there(strip) && strip.long() < 0.8 * deep {
            parts.push(lying(strip, reading.faces.case_front + deep / 2.0));
        } else if n > 0 || strip.t0 > low + LOWEST {
            // Lower it may be the bottom of a low cabinet, over a toe space without a board.
            parts.push(ViewPart::from_strip(
                Role::AdjustableShelf,
                strip,
                "level panel between bottom and top",
            ));
        }
    }
    reading.parts.extend(parts);
}

/// The highest level panel: a top, or two stretchers drawn in one line with
/// something between them. Their ends show inside the strip.
fn head(grid: &Grid, strip: &Strip, deep: f64) -> Vec<ViewPart> {
    let middle = (strip.a + strip.b) / 2.0;
    if strip.long() < 0.8 * deep {
        return vec![lying(
            strip,
            middle + if strip.a > deep / 2.0 { -1.0 } else { 1.0 },
        )];
    }
    let inner: Vec<f64> = grid
        .range(Dir::Upright, strip.a + 20.0, strip.b - 20.0)
        .map(|index| &grid.up[index])
        .filter(|track| {
            track
                .runs
                .iter()
                .any(|run| near(run.lo, strip.t0) && near(run.hi, strip.t1))
        })
        .map(|track| track.at)
        .collect();
    match inner.as_slice() {
        [] => vec![ViewPart::from_strip(
            Role::Top,
            strip,
            "highest level panel, drawn edge-on",
        )],
        [a, b] => [(strip.a, *a), (*b, strip.b)]
            .into_iter()
            .map(|(a, b)| lying(&Strip { a, b, ..*strip }, middle))
            .collect(),
        _ => Vec::new(),
    }
}

fn lying(strip: &Strip, middle: f64) -> ViewPart {
    let place = if (strip.a + strip.b) / 2.0 < middle {
        Place::Front
    } else {
        Place::Rear
    };
    ViewPart::from_strip(Role::Stretcher, strip, "short level panel at the top").placed(place)
}

/// Stretchers: short strips at the top, lying or standing.
fn stretchers(room: &Grid, reading: &mut SideReading, owned: &mut Owned, (front, rear): Range) {
    let top = reading.top;
    let deep = rear - front;
    let place = |middle: f64| {
        if middle < front + deep / 2.0 {
            Place::Front
        } else {
            Place::Rear
        }
    };
    let flat = Want {
        dir: Dir::Level,
        thick: (9.0, 40.0),
        long: 35.0,
        slack: 0.0,
        crosses: 0,
        bridge: true,
    };
    let found = panels(room, flat, owned, |s| {
        s.long() < 0.45 * deep && near(s.t1, top) && (near(s.a, front) || near(s.b, rear))
    });
    for strip in &found {
        let part = ViewPart::from_strip(Role::Stretcher, strip, "short level panel at the top");
        reading
            .parts
            .push(part.placed(place((strip.a + strip.b) / 2.0)));
    }
    let standing = Want {
        dir: Dir::Upright,
        thick: (9.0, 40.0),
        long: 35.0,
        slack: 0.0,
        crosses: 0,
        bridge: true,
    };
    // One that stands on the bottom is a back.
    let floor = reading.parts.iter().find(|part| part.role == Role::Bottom);
    let floor = floor.and_then(|part| part.v).map_or(reading.low, |v| v.1);
    let most = (STANDING * (top - floor)).min(300.0);
    let mut found = panels(room, standing, owned, |s| {
        s.long() < most && near(s.b, top) && (near(s.t0, front) || near(s.t1, rear))
    });
    // An inset front stands below a stretcher in the same strip. Stretchers come in
    // pairs of one height.
    let heights: Vec<Vec<f64>> = found.iter().map(|s| lower_ends(room, s)).collect();
    found.retain_mut(|strip| {
        let own = lower_ends(room, strip);
        let paired = |z: &&f64| {
            heights.len() > 1
                && heights
                    .iter()
                    .all(|ends| ends.iter().any(|e| near(*e, **z)))
        };
        let end = match own.as_slice() {
            [one] => Some(*one),
            several => several.iter().rev().find(paired).copied(),
        };
        strip.a = end.unwrap_or(strip.a);
        end.is_some()
    });
    for strip in &found {
        let part = ViewPart::from_strip(Role::Stretcher, strip, "short upright panel at the top");
        reading
            .parts
            .push(part.placed(place((strip.t0 + strip.t1) / 2.0)));
    }
}

/// Heights at which a standing strip could end, from the lowest.
fn lower_ends(room: &Grid, strip: &Strip) -> Vec<f64> {
    let mut ends = vec![strip.a];
    ends.extend(
        room.range(Dir::Level, strip.a + 2.0 * GAP, strip.b - 35.0)
            .map(|index| &room.lv[index])
            .filter(|track| track.covers(strip.t0, strip.t1))
            .map(|track| track.at),
    );
    ends
}

/// Doors and drawer fronts, seen edge-on before the case.
fn fronts(grid: &Grid, reading: &mut SideReading) {
    let (a, b) = match (reading.faces.face, reading.faces.chain.as_slice()) {
        (Face::FrameAndFronts, [a, b, _]) | (Face::Fronts, [a, b] | [a, b, _]) => (*a, *b),
        _ => return,
    };
    let Some(index) = grid.at(Dir::Upright, a) else {
        return;
    };
    for run in &grid.up[index].seen {
        let closed = [run.lo, run.hi]
            .iter()
            .all(|z| grid.drawn(Dir::Level, *z, a, b));
        if closed && run.len() >= 40.0 {
            let part = ViewPart::new(
                Role::Door,
                (a, b),
                (run.lo, run.hi),
                "stands before the case",
            );
            reading.parts.push(part);
        }
    }
}
