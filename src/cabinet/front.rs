//! Fronts: horizontal is across, vertical is height.

use super::boards;
use super::frame::{self, Lattice};
use super::grid::{Dir, GAP, Grid, Track};
use super::leaves;
use super::reading::{Place, Range, ViewPart, near};
use super::sides;
use crate::trade::Role;

/// Thinnest and thickest countertop: an inch and up is built up.
const SLAB: Range = (25.3, 120.0);

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
    /// Top of the case, above the floor.
    pub high: Option<f64>,
    /// The case stands on a base of its own.
    pub base: Option<bool>,
    pub bottom: Option<Range>,
    /// Top or stretchers; a front alone does not tell which.
    pub head: Option<(Option<Role>, Range)>,
    /// The top lies over the sides (or between them).
    pub head_over: Option<bool>,
    pub shelves: Vec<Range>,
    /// Where lines cross the whole thickness of the frame.
    pub frame_lines: Vec<f64>,
    /// Heights of doors and drawer fronts.
    pub leaves: Vec<Range>,
    /// Sides of the case.
    pub sides: Option<(Range, Range)>,
    /// An end or a section shows the boards edge-on, and so how far to the front
    /// they come.
    pub boards_seen: bool,
    /// Heights of the boards whose front edge is drawn level with that of the case.
    pub flush: Vec<Range>,
}

impl Known {
    /// True when a board known from another view has a face at this height
    /// above the floor.
    pub(super) fn is_board(&self, z: f64) -> bool {
        self.boards()
            .any(|r| super::reading::near(r.0, z) || super::reading::near(r.1, z))
    }

    /// True when the board's front edge is known to lie level with the case's: a
    /// joint at its ends would show there.
    pub(super) fn is_flush(&self, z: Range) -> bool {
        self.flush
            .iter()
            .any(|r| super::reading::near(r.0, z.0) && super::reading::near(r.1, z.1))
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
    /// Hidden edges are drawn like visible ones and no other view sorts them out.
    pub blind: bool,
    /// Nothing stands before the case: its front edges are what is drawn.
    pub bare: bool,
    /// The sides run down past the toe space: their feet are seen beside it.
    pub notched: bool,
    pub parts: Vec<ViewPart>,
    /// Boards drawn otherwise than in the view they are known from.
    pub torn: Vec<boards::Torn>,
    /// Fronts drawn over each other.
    pub crossed: Vec<Range>,
}

impl FrontReading {
    /// True when the toe space has nothing in it but two feet under the sides, as thick
    /// as these, and what is between them. Where hidden edges look like seen ones, those
    /// behind a board over both feet would look the same.
    pub fn stands_on_feet(&self, grid: &Grid) -> bool {
        let Ok((l, r)) = &self.sides else {
            return false;
        };
        let zone = (self.floor, self.low);
        if zone.1 - zone.0 <= 20.0 || !grid.cue {
            return false;
        }
        let seen: Vec<f64> = grid
            .range(Dir::Upright, self.left - GAP, self.right + GAP)
            .map(|index| &grid.up[index])
            .filter(|track| track.covers_seen(zone.0, zone.1))
            .map(|track| track.at)
            .collect();
        let feet = [l.0, l.1, r.0, r.1];
        seen.len() == feet.len() && seen.iter().zip(feet).all(|(at, foot)| near(*at, foot))
    }

    /// True when the sides of the case are seen from the front, at both ends from the
    /// underside of the case to its top: no frame stands before them.
    pub(super) fn shows_sides(&self, grid: &Grid) -> bool {
        let Ok((left, right)) = self.sides else {
            return false;
        };
        // Where hidden edges look like any other, a frame may stand before these.
        let told = grid.cue || !grid.is_crossed(6);
        let seen = |x: f64| {
            grid.drawn_at(Dir::Upright, x)
                .is_some_and(|index| grid.up[index].seen_share(self.low, self.top) > 0.9)
        };
        let narrow = left.1 - left.0 < frame::NARROW;
        let outer = (left.0 - self.left).abs() <= GAP && (right.1 - self.right).abs() <= GAP;
        told && self.lattice.is_none() && narrow && outer && seen(left.1) && seen(right.0)
    }

    /// True when the boards of the case can be seen: hidden edges are drawn, or
    /// neither frame nor fronts stand before them.
    pub(super) fn shows_inside(&self, known: &Known, leaves: &[ViewPart]) -> bool {
        let before = self.lattice.is_some()
            || known.frame == Some(true)
            || known.fronts == Some(true)
            || !leaves.is_empty();
        self.seen_through || !(before || self.blind)
    }
}

/// Reads a front.
///
/// Behind a front many edges lie over each other, and alone they can be read in
/// more than one way. Without an end or a section only what is seen counts.
pub(super) fn read(grid: &Grid, known: &Known) -> Result<FrontReading, String> {
    let alone = known.low.is_none();
    let all = grid;
    let shown;
    let grid = if alone && all.cue {
        shown = all.seen_only();
        &shown
    } else {
        all
    };
    let crossed = grid.is_crossed(6);
    let blind = alone && crossed;
    let (left, right) = outline(grid)?;
    let (low, top) = left.extent();
    let (low, top) = (grid.level_near(low), grid.level_near(top));
    let floor = grid
        .up
        .iter()
        .filter_map(|track| track.runs.first())
        .map(|run| run.lo)
        .fold(f64::INFINITY, f64::min);
    let floor = grid.level_near(floor);
    // On a base as wide as the case the outer lines run down to the floor.
    let low = known.low.map_or(low, |toe| (floor + toe).max(low));
    let (left, right) = (left.at, right.at);
    let top = head_line(grid, (left, right), (floor, top), known);
    let mut leaves = leaves::find(all, (left, right), (low, top), known);
    let crossed_leaves = leaves::take_crossed(all, &mut leaves);
    let lattice = if blind {
        None
    } else {
        frame::read(grid, (left, right), (low, top), floor, known, &leaves)
    };
    let mut reading = FrontReading {
        left,
        right,
        floor,
        low,
        top,
        lattice,
        sides: Err(String::new()),
        head: None,
        seen_through: !alone && (grid.cue || crossed),
        blind,
        bare: false,
        notched: false,
        parts: Vec::new(),
        torn: Vec::new(),
        crossed: crossed_leaves,
    };
    reading.parts.extend(leaves.iter().cloned());
    // A second front may be drawn with its doors and drawer fronts taken off.
    let off;
    let known = if leaves.is_empty() && !reading.seen_through && stripped(grid, &reading, known) {
        off = Known {
            fronts: Some(false),
            ..known.clone()
        };
        &off
    } else {
        known
    };
    let found;
    let open = reading.shows_inside(known, &leaves);
    let told = known.frame == Some(false) && known.fronts == Some(false);
    reading.bare = open && !reading.seen_through && (alone || told);
    let whole = |z: f64| {
        let mut near = grid.range(Dir::Level, z - 1.0, z + 1.0);
        near.any(|index| grid.lv[index].covers(left, right))
    };
    let upright = |x: f64| grid.drawn(Dir::Upright, x, floor, top);
    reading.notched = reading.bare
        && known.base.is_none()
        && low - floor > 20.0
        && !whole(low)
        && upright(left)
        && upright(right);
    let known = if known.bottom.is_none() && known.head.is_none() && open {
        found = boards::heights(grid, &reading, known);
        &found
    } else {
        known
    };
    reading.sides = sides::find(grid, all, &reading, known, &leaves);
    if let Ok((l, r)) = reading.sides {
        let why = "upright strip at the end of the front";
        let head = side_head(grid, &reading, (l, r), known);
        let foot = foot(grid, &reading, known)
            .map(|foot| bottom_under(grid, (l, r), foot).unwrap_or(foot));
        for (side, place) in [(l, Place::Left), (r, Place::Right)] {
            let mut part = ViewPart::new(Role::Side, side, (floor, top), why).placed(place);
            part.v = foot.zip(head).filter(|_| !blind);
            reading.parts.push(part);
        }
    }
    if !blind {
        boards::read(grid, &mut reading, known);
    }
    if let Some(lattice) = &reading.lattice {
        reading
            .parts
            .extend(frame::parts(lattice, (low, top), !reading.seen_through));
    }
    Ok(reading)
}

/// True when the bottom and what is above, at the heights another view shows, are
/// seen from side to side though fronts stand before the case: in this front they
/// are left off. Where fronts are drawn they cover the bottom.
fn stripped(grid: &Grid, reading: &FrontReading, known: &Known) -> bool {
    if known.frame != Some(false) || known.fronts != Some(true) || known.leaves.is_empty() {
        return false;
    }
    let (Some(bottom), Some((_, head))) = (known.bottom, known.head) else {
        return false;
    };
    let middle = 0.6 * (reading.right - reading.left);
    let seen = |z: f64| {
        let z = z + reading.floor;
        grid.has_run(Dir::Level, (z - 1.0, z + 1.0), middle)
    };
    let hidden = |z: f64| {
        known
            .leaves
            .iter()
            .any(|leaf| z > leaf.0 + 1.0 && z < leaf.1 - 1.0)
    };
    let faces = [bottom.0, bottom.1, head.0, head.1];
    let behind: Vec<f64> = faces.into_iter().filter(|z| hidden(*z)).collect();
    behind.len() >= 2 && behind.iter().all(|z| seen(*z))
}

/// Width of the outline, before anything else is read.
pub(super) fn width(grid: &Grid) -> Option<f64> {
    let (left, right) = outline(grid).ok()?;
    Some(right.at - left.at)
}

/// Thickest board for a side, thinner than any stile.
const BOARD: f64 = 28.0;

/// True when, hidden edges being told apart, the edges of both sides are seen from
/// near the foot to near the top: neither a frame nor fronts cover them.
pub(super) fn is_bare(grid: &Grid) -> bool {
    let Ok((left, right)) = outline(grid) else {
        return false;
    };
    let (low, high) = left.extent();
    let seen = |x: f64| {
        grid.at(Dir::Upright, x)
            .is_some_and(|index| grid.up[index].seen_share(low, high) > 0.7)
    };
    grid.range(Dir::Upright, left.at + 9.0, left.at + BOARD)
        .map(|index| grid.up[index].at)
        .any(|x| seen(x) && seen(right.at - (x - left.at)))
}

/// The sides as front and plan draw them together, as offsets from the left outline.
pub(super) fn sides_with(grid: &Grid, plan: &Grid) -> Option<(Range, Range)> {
    let (left, right) = outline(grid).ok()?;
    let height = left.extent();
    super::solids::sides(grid, (left.at, right.at), height, plan)
}

/// Outermost long visible uprights.
pub(super) fn outline(grid: &Grid) -> Result<(&Track, &Track), String> {
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

/// Width and height of the outline, before anything else is read.
pub(super) fn size(grid: &Grid) -> Option<(f64, f64)> {
    let (left, right) = outline(grid).ok()?;
    let (low, high) = left.extent();
    Some((right.at - left.at, high - low))
}

/// Top of the case: a countertop as wide as the case lies above it and its ends
/// are drawn in one line with the case's.
fn head_line(grid: &Grid, outline: Range, height: Range, known: &Known) -> f64 {
    let whole = |z: f64| grid.drawn(Dir::Level, z, outline.0, outline.1);
    if let Some(high) = known.high {
        let z = height.0 + high;
        return if z < height.1 - GAP && whole(z) {
            z
        } else {
            height.1
        };
    }
    // Without another view: a slab thicker than boards are, with nothing but its
    // own ends between its faces.
    let slab = grid
        .range(Dir::Level, height.1 - SLAB.1, height.1 - SLAB.0)
        .rev()
        .map(|index| grid.lv[index].at)
        .find(|z| whole(*z));
    match slab {
        Some(z) => {
            let inner = (outline.0 + 8.0, outline.1 - 8.0);
            let mut between = grid
                .range(Dir::Upright, inner.0, inner.1)
                .map(|i| &grid.up[i]);
            if between.any(|track| track.covers(z, height.1)) {
                height.1
            } else {
                z
            }
        }
        None => height.1,
    }
}

/// Lower end of the sides: on the floor, or on a base when another view shows
/// one; unknown when something stands below the case and only the front shows it.
fn foot(grid: &Grid, reading: &FrontReading, known: &Known) -> Option<f64> {
    match known.base {
        Some(true) => return Some(reading.low),
        Some(false) => return Some(reading.floor),
        None if reading.notched => return Some(reading.floor),
        None => {}
    }
    if known.low.is_some_and(|low| low < 20.0) {
        return Some(reading.floor);
    }
    let whole = |z: f64| grid.drawn(Dir::Level, z, reading.left, reading.right);
    let stands = reading.low - reading.floor > 20.0
        || grid
            .range(Dir::Level, reading.floor + 20.0, reading.floor + 300.0)
            .any(|index| whole(grid.lv[index].at));
    (!stands && known.low.is_none()).then_some(reading.floor)
}

/// The upper face of a bottom that lies under the sides: drawn from end to end, with
/// the inner faces of the sides ending on it.
fn bottom_under(grid: &Grid, (l, r): (Range, Range), foot: f64) -> Option<f64> {
    let whole = grid
        .range(Dir::Level, foot + 5.0, foot + 46.0)
        .map(|index| &grid.lv[index])
        .find(|track| track.covers(l.0, r.1))?;
    let through = [l.1, r.0]
        .iter()
        .any(|inner| grid.drawn(Dir::Upright, *inner, foot, whole.at));
    (!through).then_some(whole.at)
}

/// Upper end of the sides: a top that lies over them ends them at its underside.
/// `None` when a top is there and nothing shows how it meets the sides.
fn side_head(
    grid: &Grid,
    reading: &FrontReading,
    sides: (Range, Range),
    known: &Known,
) -> Option<f64> {
    let Some((role, z)) = known.head else {
        // A board over the sides would be drawn from end to end below the top.
        let over = grid
            .range(Dir::Level, reading.top - 46.0, reading.top - 5.0)
            .any(|index| grid.lv[index].covers(sides.0.0, sides.1.1));
        return (!over).then_some(reading.top);
    };
    let z = (z.0 + reading.floor, z.1 + reading.floor);
    if role == Some(Role::Stretcher) || z.1 < reading.top - 1.0 {
        return Some(reading.top);
    }
    match known.head_over {
        Some(true) => return Some(z.0),
        Some(false) => return Some(reading.top),
        None => {}
    }
    let (l, r) = sides;
    let whole = grid.drawn(Dir::Level, z.0, l.0, r.1) && grid.drawn(Dir::Level, z.1, l.0, r.1);
    let through = grid.drawn(Dir::Upright, l.1, z.0, z.1);
    match (whole, through) {
        (true, false) => Some(z.0),
        (_, true) => Some(reading.top),
        // Neither is drawn: where all edges show, the top is let into the sides.
        (false, false) => reading.seen_through.then_some(reading.top),
    }
}
