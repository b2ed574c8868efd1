//! Boards as front, end and plan show them together: a box is one only where
//! every one of its edges is drawn in each of the three views.

use super::grid::{Dir, GAP, Grid, run_at};
use super::placed::Placed;
use super::reading::{Range, same_range};
use crate::linework::SNAP_MM;
use crate::trade::Axis;
use std::rc::Rc;

/// A rabbet or a joint takes at most so much off the end of an edge.
const RABBET: f64 = 30.0;
/// Largest nick where two tenons meet.
const NICK: f64 = 5.0;
/// Largest notch at the foot of a side, each way.
const NOTCH: f64 = 300.0;
/// Views with more positions along an axis than this are not searched.
const MOST_LINES: usize = 90;

/// The ranges of a box across, deep and high, in the cabinet's own frame.
pub(super) type Ranges = [Range; 3];

/// A view's lines, and where the cabinet's frame begins in it.
#[derive(Clone, Debug)]
struct Sheet {
    /// The same for all trios.
    grid: Rc<Grid>,
    axes: (Axis, Axis),
    origin: (f64, f64),
}

/// Three views that together show all directions, hidden edges included.
#[derive(Clone, Debug)]
pub(super) struct Trio {
    /// Front, end or section, plan.
    sheets: [Sheet; 3],
    /// Whether the lower front corner may be notched.
    notched: bool,
}

/// A box whose edges are drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Solid {
    pub ranges: Ranges,
    /// Edges that stop short of a corner, where a joint takes it away.
    pub short: u32,
    /// Edges that stop short by a nick: where tenons meet, one gives way.
    pub nicked: u32,
    /// Corners at which both lines go on.
    pub crosses: u32,
}

impl Solid {
    /// How much speaks against it: edges of different parts rarely end together.
    pub(super) fn cost(&self) -> u32 {
        self.crosses + self.nicked + 3 * self.short
    }

    /// True when every edge is drawn from corner to corner.
    pub(super) fn is_whole(&self) -> bool {
        self.lack() == 0
    }

    /// How much of its edges is not drawn.
    fn lack(&self) -> u32 {
        self.nicked + 3 * self.short
    }

    pub(super) fn range(&self, axis: Axis) -> Range {
        self.ranges[index(axis)]
    }

    pub(super) fn size(&self, axis: Axis) -> f64 {
        let range = self.range(axis);
        range.1 - range.0
    }

    pub(super) fn overlaps(&self, other: &Solid) -> bool {
        let pairs = self.ranges.iter().zip(&other.ranges);
        pairs
            .into_iter()
            .all(|(a, b)| a.0 < b.1 - GAP && a.1 > b.0 + GAP)
    }
}

const fn index(axis: Axis) -> usize {
    match axis {
        Axis::Across => 0,
        Axis::Deep => 1,
        Axis::High => 2,
    }
}

fn extent(grid: &Grid, dir: Dir) -> Option<Range> {
    let tracks = grid.tracks(dir);
    Some((tracks.first()?.at, tracks.last()?.at))
}

fn sheet(placed: &Placed) -> Sheet {
    Sheet {
        grid: Rc::new(placed.grid.clone()),
        axes: placed.axes,
        origin: placed.origin,
    }
}

impl Trio {
    /// Front and end of a case with a plan as it is drawn, which may show no more of
    /// the case than hidden edges: once for each way the plan's front may lie. The
    /// plan has to be as wide and as deep as the other two.
    pub(super) fn of_case(front: &Placed, side: &Placed, plan: &Grid) -> Vec<Trio> {
        let through = |grid: &Grid| grid.cue || grid.is_crossed(6);
        let sizes = || {
            let wide = extent(plan, Dir::Upright)?;
            let deep = extent(plan, Dir::Level)?;
            let front = extent(&front.grid, Dir::Upright)?;
            let side = extent(&side.grid, Dir::Upright)?;
            let same = |a: Range, b: Range| ((a.1 - a.0) - (b.1 - b.0)).abs() <= SNAP_MM;
            (same(wide, front) && same(deep, side)).then_some((wide, deep, front, side))
        };
        let Some((wide, deep, across, along)) = sizes() else {
            return Vec::new();
        };
        if ![&front.grid, &side.grid, plan].into_iter().all(through) {
            return Vec::new();
        }
        let turned = plan.transposed().mirrored().transposed();
        let seen = [sheet(front), sheet(side)];
        [(plan.clone(), deep.0), (turned, -deep.1)]
            .into_iter()
            .map(|(grid, first)| Trio {
                sheets: [
                    seen[0].clone(),
                    seen[1].clone(),
                    Sheet {
                        grid: Rc::new(grid),
                        axes: (Axis::Across, Axis::Deep),
                        origin: (
                            wide.0 - (across.0 - front.origin.0),
                            first - (along.0 - side.origin.0),
                        ),
                    },
                ],
                notched: false,
            })
            .collect()
    }

    /// Front, end and plan of furniture on posts: once for each way the end's front
    /// may lie. `deep` is its depth.
    pub(super) fn of_posts(views: &[Placed], deep: f64) -> Vec<Trio> {
        let find = |a: Axis, b: Axis| {
            views.iter().find(|placed| {
                let through = placed.grid.cue || placed.grid.is_crossed(6);
                placed.shows(a) && placed.shows(b) && through
            })
        };
        let (Some(front), Some(side), Some(plan)) = (
            find(Axis::Across, Axis::High),
            find(Axis::Deep, Axis::High),
            find(Axis::Across, Axis::Deep),
        ) else {
            return Vec::new();
        };
        let plain = sheet(side);
        let turned = Sheet {
            grid: Rc::new(plain.grid.mirrored()),
            origin: (-(plain.origin.0 + deep), plain.origin.1),
            axes: plain.axes,
        };
        let (front, plan) = (sheet(front), sheet(plan));
        [plain, turned]
            .into_iter()
            .map(|side| Trio {
                sheets: [front.clone(), side, plan.clone()],
                notched: false,
            })
            .collect()
    }

    /// The same views, for a side with a toe notch.
    pub(super) fn notched(&self) -> Trio {
        Trio {
            notched: true,
            ..self.clone()
        }
    }

    /// Positions along the axis at which both views of it have lines.
    pub(super) fn lines(&self, axis: Axis) -> Vec<f64> {
        let shows = |sheet: &&Sheet| sheet.axes.0 == axis || sheet.axes.1 == axis;
        let mut both = self.sheets.iter().filter(shows);
        let (Some(one), Some(other)) = (both.next(), both.next()) else {
            return Vec::new();
        };
        let out: Vec<f64> = positions(one, axis)
            .into_iter()
            .filter(|at| {
                let (dir, origin) = across(other, axis);
                other.grid.drawn_at(dir, at + origin).is_some()
            })
            .collect();
        if out.len() > MOST_LINES {
            Vec::new()
        } else {
            out
        }
    }

    /// True when the end draws a level line at this height over all of the depths.
    pub(super) fn shows_level(&self, high: f64, deep: Range) -> bool {
        let [_, side, _] = &self.sheets;
        let (x, z) = side.origin;
        side.grid
            .drawn(Dir::Level, high + z, deep.0 + x, deep.1 + x)
    }

    /// The box, if its edges are drawn in all three views.
    pub(super) fn solid(&self, ranges: Ranges) -> Option<Solid> {
        let mut solid = Solid {
            ranges,
            short: 0,
            nicked: 0,
            crosses: 0,
        };
        for sheet in &self.sheets {
            let own = rectangle(sheet, &ranges, self.notched)?;
            solid.short += own.short;
            solid.nicked += own.nicked;
            solid.crosses += own.crosses;
        }
        Some(solid)
    }

    /// The one box with the ranges that are known, and with others of the wanted
    /// sizes for those that are not; `None` when more than one is as good.
    pub(super) fn only(&self, known: [Option<Range>; 3], sizes: [Range; 3]) -> Option<Solid> {
        let choices: Vec<Vec<Range>> = Axis::ALL
            .into_iter()
            .map(|axis| match known[index(axis)] {
                Some(range) => vec![range],
                None => pairs(&self.lines(axis), sizes[index(axis)]),
            })
            .collect();
        let mut found = Vec::new();
        for &x in &choices[0] {
            for &y in &choices[1] {
                if self.rectangle(Axis::Across, Axis::Deep, &[x, y, (0.0, 0.0)]) {
                    found.extend(choices[2].iter().filter_map(|z| self.solid([x, y, *z])));
                }
            }
        }
        plainest(found)
    }

    /// Every box one of whose ranges along `axis` is no longer than `thick`.
    pub(super) fn all(&self, axis: Axis, thick: Range) -> Vec<Solid> {
        let [a, b] = match axis {
            Axis::Across => [Axis::Deep, Axis::High],
            Axis::Deep => [Axis::Across, Axis::High],
            Axis::High => [Axis::Across, Axis::Deep],
        };
        let thin = pairs(&self.lines(axis), thick);
        let (along_a, along_b) = (self.lines(a), self.lines(b));
        let mut out = Vec::new();
        for &t in &thin {
            let mut ranges: Ranges = [(0.0, 0.0); 3];
            ranges[index(axis)] = t;
            // Each range alone has to be drawn at this thickness.
            let mut fits = |other: Axis, lines: &[f64]| -> Vec<Range> {
                pairs(lines, (thick.0, f64::INFINITY))
                    .into_iter()
                    .filter(|r| {
                        ranges[index(other)] = *r;
                        self.rectangle(axis, other, &ranges)
                    })
                    .collect()
            };
            let (firsts, seconds) = (fits(a, &along_a), fits(b, &along_b));
            for first in &firsts {
                for second in &seconds {
                    ranges[index(a)] = *first;
                    ranges[index(b)] = *second;
                    out.extend(self.solid(ranges));
                }
            }
        }
        out
    }

    fn rectangle(&self, a: Axis, b: Axis, ranges: &Ranges) -> bool {
        self.sheets.iter().any(|sheet| {
            let shown = [sheet.axes.0, sheet.axes.1];
            shown.contains(&a)
                && shown.contains(&b)
                && rectangle(sheet, ranges, self.notched).is_some()
        })
    }
}

/// Direction of the lines that stand at a position along the axis, and where the
/// cabinet's frame begins there.
fn across(placed: &Sheet, axis: Axis) -> (Dir, f64) {
    if axis == placed.axes.0 {
        (Dir::Upright, placed.origin.0)
    } else {
        (Dir::Level, placed.origin.1)
    }
}

fn positions(placed: &Sheet, axis: Axis) -> Vec<f64> {
    let (dir, origin) = across(placed, axis);
    let tracks = placed.grid.tracks(dir);
    tracks.iter().map(|track| track.at - origin).collect()
}

fn pairs(lines: &[f64], size: Range) -> Vec<Range> {
    let mut out = Vec::new();
    for (n, &lo) in lines.iter().enumerate() {
        let over = lines
            .iter()
            .skip(n + 1)
            .filter(|hi| **hi - lo >= size.0 && **hi - lo <= size.1);
        out.extend(over.map(|&hi| (lo, hi)));
    }
    out
}

/// The box of which the least is not drawn; `None` when others are as good.
pub(super) fn plainest(found: Vec<Solid>) -> Option<Solid> {
    let least = found.iter().map(Solid::lack).min()?;
    let mut best = found.into_iter().filter(|solid| solid.lack() == least);
    let first = best.next()?;
    let same = |a: &Ranges, b: &Ranges| a.iter().zip(b).all(|(a, b)| same_range(*a, *b));
    best.all(|other| same(&first.ranges, &other.ranges))
        .then_some(first)
}

/// How a rectangle is drawn.
#[derive(Clone, Copy, Debug, Default)]
struct Outline {
    short: u32,
    nicked: u32,
    crosses: u32,
}

impl Outline {
    fn take(&mut self, lost: f64) {
        self.short += u32::from(lost > NICK);
        self.nicked += u32::from(lost > GAP && lost <= NICK);
    }
}

/// How the box's rectangle is drawn in a view; `None` when an edge is not.
fn rectangle(sheet: &Sheet, ranges: &Ranges, notched: bool) -> Option<Outline> {
    let h = ranges[index(sheet.axes.0)];
    let v = ranges[index(sheet.axes.1)];
    let (x, y) = sheet.origin;
    let (h, v) = ((h.0 + x, h.1 + x), (v.0 + y, v.1 + y));
    let grid = &sheet.grid;
    let deep = sheet.axes == (Axis::Deep, Axis::High);
    let foot = if notched && deep {
        notch(grid, h, v)
    } else {
        (0.0, 0.0)
    };
    let mut out = Outline::default();
    for (at, along) in [(h.0, (v.0 + foot.1, v.1)), (h.1, v)] {
        out.take(edge(grid, Dir::Upright, at, along)?);
    }
    for (at, along) in [(v.0, (h.0 + foot.0, h.1)), (v.1, h)] {
        out.take(edge(grid, Dir::Level, at, along)?);
    }
    if out.short > 1 || out.nicked > 3 {
        return None;
    }
    let goes_on = |dir: Dir, at: f64, p: f64| {
        grid.drawn_at(dir, at).is_some_and(|index| {
            let run = run_at(&grid.tracks(dir)[index].bridged, p);
            run.is_some_and(|run| run.lo < p - GAP && run.hi > p + GAP)
        })
    };
    for at in [h.0, h.1] {
        for p in [v.0, v.1] {
            out.crosses += u32::from(goes_on(Dir::Upright, at, p) && goes_on(Dir::Level, p, at));
        }
    }
    Some(out)
}

/// How far a notch at the lower front corner goes back and up: its two edges are
/// drawn, and the corner itself is not.
fn notch(grid: &Grid, h: Range, v: Range) -> (f64, f64) {
    let start = |dir: Dir, at: f64, from: f64| {
        let track = &grid.tracks(dir)[grid.drawn_at(dir, at)?];
        let run = track.bridged.iter().find(|run| run.hi > from + GAP)?;
        (run.lo > from + GAP && run.lo <= from + NOTCH).then_some(run.lo)
    };
    let (Some(high), Some(deep)) = (start(Dir::Upright, h.0, v.0), start(Dir::Level, v.0, h.0))
    else {
        return (0.0, 0.0);
    };
    let closed =
        grid.drawn(Dir::Level, high, h.0, deep) && grid.drawn(Dir::Upright, deep, v.0, high);
    if closed {
        (deep - h.0, high - v.0)
    } else {
        (0.0, 0.0)
    }
}

/// How much of the stretch a line leaves open at its ends, where another line crosses
/// or closes it; `None` when it is not drawn.
fn edge(grid: &Grid, dir: Dir, at: f64, along: Range) -> Option<f64> {
    let track = &grid.tracks(dir)[grid.drawn_at(dir, at)?];
    let run = run_at(&track.bridged, (along.0 + along.1) / 2.0)?;
    if run.lo <= along.0 + GAP && run.hi >= along.1 - GAP {
        return Some(0.0);
    }
    let closed = |p: f64| {
        let other = dir.other();
        grid.drawn_at(other, p)
            .is_some_and(|index| grid.tracks(other)[index].run_at(track.at).is_some())
    };
    let lost = [(run.lo - along.0).max(0.0), (along.1 - run.hi).max(0.0)];
    let fits = lost
        .iter()
        .zip([run.lo, run.hi])
        .all(|(lost, end)| *lost <= GAP || (*lost <= RABBET && closed(end)));
    let most = lost[0].max(lost[1]);
    (fits && lost[0] + lost[1] <= 0.25 * (along.1 - along.0)).then_some(most)
}

/// Farthest that the inner face of a side lies from the outline.
const INSIDE: f64 = 90.0;

/// Share of the height and of the depth that both faces of a side are drawn over, and
/// the least that one of them may be.
const SHARE: (f64, f64) = (0.85, 0.75);
const LEAST_SHARE: (f64, f64) = (0.6, 0.5);

/// Left and right side as offsets from the left outline: the two long lines at each
/// end that front and plan both draw. `front` has the outline across and in height.
pub(super) fn sides(
    front: &Grid,
    outline: Range,
    height: Range,
    plan: &Grid,
) -> Option<(Range, Range)> {
    let wide = extent(plan, Dir::Upright)?;
    let all = extent(front, Dir::Upright)?;
    let deep = extent(plan, Dir::Level)?;
    if !plan.cue || !front.cue || ((wide.1 - wide.0) - (all.1 - all.0)).abs() > SNAP_MM {
        return None;
    }
    let long = |grid: &Grid, x: f64, least: f64| {
        grid.drawn_at(Dir::Upright, x).is_some_and(|index| {
            let runs = &grid.up[index].bridged;
            runs.iter().any(|run| run.len() >= least)
        })
    };
    let shift = wide.0 - all.0;
    let drawn = |x: f64, (high, far): (f64, f64)| {
        long(front, x, high * (height.1 - height.0))
            && long(plan, x + shift, far * (deep.1 - deep.0))
    };
    let found = |share: (f64, f64)| -> Vec<f64> {
        front
            .range(Dir::Upright, outline.0 - GAP, outline.0 + INSIDE)
            .map(|index| front.up[index].at)
            .filter(|x| drawn(*x, share) && drawn(outline.1 - (x - outline.0), share))
            .map(|x| x - outline.0)
            .collect()
    };
    let whole = outline.1 - outline.0;
    // A line somewhat shorter may be the inner face, between bottom and top, and what
    // is let into the side as high as the case.
    match found(SHARE).as_slice() {
        [a, b]
            if found(LEAST_SHARE).len() == 2
                && b - a >= super::plan::SIDE.0
                && b - a <= super::plan::SIDE.1 =>
        {
            Some(((*a, *b), (whole - b, whole - a)))
        }
        _ => None,
    }
}
