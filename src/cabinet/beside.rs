//! What stands beside a case and is none of it: fillers, scribes and finished end
//! panels at the ends of a front or a plan.
//!
//! Such a strip is drawn from end to end with nothing in it, and nothing of the case
//! ends on it: rails end on a stile, shelves on a side, but nothing ends on a filler.

use super::front;
use super::grid::{Dir, GAP, Grid};
use super::reading::{Range, near};
use crate::trade::Role;
use crate::view::StripName;

/// Narrowest and widest strip looked for; under the least are reveals and edge band.
const STRIP: Range = (5.0, 156.0);
/// Thickest board: what is wider is no side seen edge-on.
pub(super) const BOARD: f64 = 41.0;
/// Thinnest board of two that stand side by side.
const OF_TWO: f64 = 14.0;
/// Least that is seen of a side that a top is let into.
const LET_IN: f64 = 9.0;
/// Lowest and highest underside of a case over a toe space.
const TOE: Range = (20.0, 300.0);
/// Most that an end panel is higher than its case.
const HIGHER: f64 = 120.0;
/// Most that a face frame stands past the case.
const OVERHANG: f64 = 30.0;
/// Least share of a front's height that a strip named by its layer or block has.
const HIGH: f64 = 0.5;
/// A filler beside an end panel, and one more.
const MOST: usize = 3;

/// A strip beside the case, in the positions of its view.
#[derive(Clone, Copy, Debug)]
pub(super) struct Strip {
    pub across: Range,
    pub along: Range,
}

impl Strip {
    pub(super) fn width(&self) -> f64 {
        self.across.1 - self.across.0
    }
}

/// What stands beside a case, each list from the outside inwards.
#[derive(Clone, Debug, Default)]
pub(super) struct Beside {
    pub left: Vec<Strip>,
    pub right: Vec<Strip>,
    /// Two strips as thick as a board, one at each end, that may be end panels or the
    /// sides themselves; or a thin one at one end that may be a panel or the part of a
    /// frame that stands past the case, twice.
    pub doubt: Option<(Strip, Strip)>,
}

impl Strip {
    /// What the drawing calls it: by its own outline's name, or by a text in it or
    /// beside it, outside of the case that stands between these positions.
    pub(super) fn name<'n>(&self, names: &'n [StripName], case: Range) -> Option<&'n StripName> {
        let (low, high) = self.across;
        let height = |at: f64| at >= self.along.0 - GAP && at <= self.along.1 + GAP;
        names.iter().find(|name| {
            let (a, b) = (name.at.min(), name.at.max());
            if name.outline {
                return near(a.x, low) && near(b.x, high);
            }
            let left = high <= case.0 + GAP && a.x <= high;
            let right = low >= case.1 - GAP && a.x >= low;
            (left || right) && height(a.y)
        })
    }
}

/// Strips at the ends of a front whose outlines the drawing names, where its lines alone
/// show none.
pub(super) fn by_name(grid: &Grid, names: &[StripName]) -> Beside {
    let mut beside = Beside::default();
    let Ok((left, right)) = front::outline(grid) else {
        return beside;
    };
    let (low, high) = left.extent();
    for name in names.iter().filter(|name| name.outline) {
        let (a, b) = (name.at.min(), name.at.max());
        let strip = Strip {
            across: (a.x, b.x),
            along: (a.y, b.y),
        };
        let wide = (STRIP.0..=STRIP.1).contains(&strip.width());
        if !wide || b.y - a.y < HIGH * (high - low) {
            continue;
        }
        if near(a.x, left.at) {
            beside.left = vec![strip];
        } else if near(b.x, right.at) {
            beside.right = vec![strip];
        }
    }
    beside
}

impl Beside {
    /// Takes strips in doubt for what the drawing calls them, where it names both.
    pub(super) fn settle_by(&mut self, names: &[StripName]) {
        let Some((l, r)) = self.doubt else { return };
        let case = (l.across.1, r.across.0);
        if l.name(names, case).is_some() && r.name(names, case).is_some() {
            self.doubt = None;
            self.left = vec![l];
            self.right = vec![r];
        }
    }

    pub(super) fn is_empty(&self) -> bool {
        self.left.is_empty() && self.right.is_empty()
    }

    /// Where the case begins and ends, where something stands beside it.
    fn ends(&self) -> (Option<f64>, Option<f64>) {
        let left = self.left.last().map(|strip| strip.across.1);
        let right = self.right.last().map(|strip| strip.across.0);
        (left, right)
    }

    /// Left and right end of the case between them; as far as there is where nothing
    /// stands at an end.
    pub(super) fn case(&self) -> Option<Range> {
        let (left, right) = self.ends();
        (!self.is_empty()).then(|| {
            (
                left.unwrap_or(f64::NEG_INFINITY),
                right.unwrap_or(f64::INFINITY),
            )
        })
    }

    /// The view without what stands beside the case.
    pub(super) fn cut_from(&self, grid: &Grid) -> Grid {
        cut(grid, self.ends())
    }

    /// What a plan shows beside the case, in a front that is as wide and has lines
    /// where the case ends in the plan.
    pub(super) fn in_front_of(&self, front: &Grid) -> Option<Beside> {
        let (left, right) = front::outline(front).ok()?;
        let along = left.extent();
        let (low, high) = (left.at, right.at);
        let (of_left, of_right) = self.widths();
        let drawn = |x: f64| {
            front
                .at(Dir::Upright, x)
                .or_else(|| front.drawn_at(Dir::Upright, x))
                .is_some_and(|index| front.up[index].seen_share(along.0, along.1) > 0.8)
        };
        let strip = |wide: f64, across: Range| {
            (wide > 0.0)
                .then_some(Strip { across, along })
                .into_iter()
                .collect()
        };
        let told = !self.is_empty() && drawn(low + of_left) && drawn(high - of_right);
        told.then(|| Beside {
            left: strip(of_left, (low, low + of_left)),
            right: strip(of_right, (high - of_right, high)),
            doubt: None,
        })
    }

    /// How wide all of it is at the left and at the right.
    fn widths(&self) -> (f64, f64) {
        let sum = |strips: &[Strip]| strips.iter().map(Strip::width).sum();
        (sum(&self.left), sum(&self.right))
    }

    pub(super) fn strips(&self) -> impl Iterator<Item = &Strip> {
        self.left.iter().chain(&self.right)
    }
}

/// The strip at the left end of a view.
struct End {
    strip: Strip,
    /// Far end of each level line that begins on its inner edge, and its height.
    touching: Vec<(f64, f64)>,
    /// The other end of the view.
    far: f64,
    /// Nothing is drawn on from its upper end into the case.
    higher: bool,
}

impl End {
    /// True when nothing of the case ends on the strip. Its own outline reaches the
    /// other end of the view, or what stands there: in a front that is a line at its
    /// foot, and under strips as thin as boards one at its head.
    fn free(&self, other: Option<f64>, plan: bool) -> bool {
        let past = |reach: f64| reach >= self.far - GAP;
        let there = |reach: f64| other.is_some_and(|x| near(reach, x));
        let mut short = self.touching.iter().filter(|(reach, _)| !past(*reach));
        if plan {
            return short.all(|(reach, _)| there(*reach));
        }
        let (low, high) = self.strip.along;
        let foot = |z: f64| (TOE.0..=TOE.1).contains(&(z - low));
        // The rail of a frame has its upper edge in one line with the stile's.
        let head = |z: f64| self.higher && self.strip.width() <= BOARD && high - z <= HIGHER;
        let (mut feet, mut heads) = (0, 0);
        for (reach, z) in short {
            match (there(*reach), foot(*z), head(*z)) {
                (true, true, _) => feet += 1,
                (true, _, true) => heads += 1,
                _ => return false,
            }
        }
        feet <= 1 && heads <= 1
    }
}

/// What stands beside the case in a front.
pub(super) fn in_front(grid: &Grid) -> Beside {
    find(grid, false)
}

/// What stands beside the case in a plan: there two boards side by side tell the end
/// panel from the side.
pub(super) fn in_plan(grid: &Grid) -> Beside {
    let found = find(grid, true);
    if found.is_empty() && found.doubt.is_none() {
        return before(grid).unwrap_or_default();
    }
    found
}

/// Fillers of a plan: closed strips no deeper than a board that stand farther out than
/// the sides, and end on the frame or on the sides.
fn before(all: &Grid) -> Option<Beside> {
    let grid = all.seen_only();
    let (left, right) = front::outline(&grid).ok()?;
    let (low, high) = across_of(&grid)?;
    let (l, r) = (left.at - low, high - right.at);
    let strip = |grid: &Grid, low: f64, case: f64| -> Option<Strip> {
        let outer = grid.drawn_at(Dir::Upright, low)?;
        let [edge] = grid.up[outer].runs.as_slice() else {
            return None;
        };
        let along = (edge.lo, edge.hi);
        let inner = grid
            .range(Dir::Upright, low + STRIP.0, case)
            .map(|index| &grid.up[index])
            .find(|track| track.covers(along.0, along.1))?
            .at;
        let closed = [along.0, along.1]
            .iter()
            .all(|y| grid.drawn(Dir::Level, *y, low, inner));
        (closed && edge.len() <= BOARD).then_some(Strip {
            across: (low, inner),
            along,
        })
    };
    let of_left = strip(&grid, low, left.at);
    let of_right = strip(&grid.mirrored(), -high, -right.at).map(flipped);
    let rest = |gap: f64, strip: Option<Strip>| gap - strip.map_or(0.0, |s| s.width());
    // What is left over is the frame's overhang, the same at both ends.
    let even = (rest(l, of_left) - rest(r, of_right)).abs() <= 1.0;
    (even && rest(l, of_left) <= OVERHANG).then(|| Beside {
        left: of_left.into_iter().collect(),
        right: of_right.into_iter().collect(),
        doubt: None,
    })
}

/// Left and right end of what a plan shows.
pub(super) fn across_of(seen: &Grid) -> Option<Range> {
    let runs = || seen.lv.iter().flat_map(|track| &track.runs);
    let low = runs().map(|run| run.lo).reduce(f64::min)?;
    let high = runs().map(|run| run.hi).reduce(f64::max)?;
    Some((low, high))
}

fn find(all: &Grid, plan: bool) -> Beside {
    let mut grid = all.seen_only();
    // With hidden edges drawn like any others the case behind a frame leaves such strips
    // at both ends.
    let crossed = !all.cue && all.is_crossed(6);
    let mut beside = Beside::default();
    for _ in 0..MOST {
        let (left, right) = (end(&grid), end(&grid.mirrored()));
        let inner = |end: &Option<End>| end.as_ref().map(|end| -end.strip.across.1);
        let (from_left, from_right) = (inner(&left), inner(&right));
        let left = left.filter(|end| end.free(from_right, plan));
        let right = right.filter(|end| end.free(from_left, plan));
        let (left, right) = (
            left.map(|end| end.strip),
            right.map(|end| flipped(end.strip)),
        );
        match (left, right) {
            (None, None) => break,
            (Some(l), Some(r)) if near(l.width(), r.width()) && crossed && !plan => {
                beside.doubt = (l.width() >= OF_TWO).then_some((l, r));
                break;
            }
            (Some(l), Some(r)) if near(l.width(), r.width()) && l.width() <= BOARD => {
                // In a plan under a closed top every side looks like this.
                let sure = if plan {
                    doubled(&grid, all.cue, l, r)
                } else {
                    None
                };
                let [at_left, at_right] = sure.unwrap_or_default();
                if !at_left && !at_right {
                    beside.doubt = sure.is_none().then_some((l, r));
                    break;
                }
                beside.left.extend(at_left.then_some(l));
                beside.right.extend(at_right.then_some(r));
            }
            // In a run the neighbour's lines may hide the one at the other end.
            (l, r) if crossed && !plan && l.or(r).is_some_and(|s| s.width() < OF_TWO) => {
                beside.doubt = l.or(r).map(|strip| (strip, strip));
                break;
            }
            (l, r) => {
                beside.left.extend(l);
                beside.right.extend(r);
            }
        }
        grid = beside.cut_from(&grid);
    }
    beside
}

/// Which of two strips at the ends of a plan have a board within them, the side: then
/// they are panels. `None` where they may have one: a top let into the sides leaves less
/// of them seen, and where hidden edges look like any other, so does what is let in.
fn doubled(grid: &Grid, cue: bool, left: Strip, right: Strip) -> Option<[bool; 2]> {
    let rest = cut(grid, (Some(left.across.1), Some(right.across.0)));
    let Ok((l, r)) = front::outline(&rest) else {
        return Some([false; 2]);
    };
    let long = 0.5 * (left.along.1 - left.along.0);
    let next = |grid: &Grid, outer: f64| {
        grid.range(Dir::Upright, outer + GAP, outer + BOARD)
            .map(|index| &grid.up[index])
            .find(|track| track.drawn_seen() >= long)
            .map(|track| track.at - outer)
    };
    match (next(&rest, l.at), next(&rest.mirrored(), -r.at)) {
        (Some(a), Some(b)) if near(a, b) => match (left.width() >= OF_TWO, a) {
            (true, a) if a >= LET_IN && cue => Some([true; 2]),
            (_, a) if a >= OF_TWO => Some([true; 2]),
            (_, a) if a >= LET_IN => None,
            _ => Some([false; 2]),
        },
        // One panel: its side is as thick as that at the other end.
        (Some(a), None) => Some([near(a, right.width()), false]),
        (None, Some(b)) => Some([false, near(b, left.width())]),
        _ => Some([false; 2]),
    }
}

fn flipped(strip: Strip) -> Strip {
    Strip {
        across: (-strip.across.1, -strip.across.0),
        ..strip
    }
}

/// The bare strip at the left end of a view.
fn end(grid: &Grid) -> Option<End> {
    let (left, right) = front::outline(grid).ok()?;
    let (outer, far) = (left.at, right.at);
    let along = left.extent();
    let most = STRIP.1.min(0.3 * (far - outer));
    let (low, high) = along;
    let inner = grid
        .range(Dir::Upright, outer + STRIP.0, outer + most)
        .map(|index| &grid.up[index])
        .find(|track| track.covers(low, high))?
        .at;
    let closed = [low, high]
        .iter()
        .all(|z| grid.drawn(Dir::Level, *z, outer, inner));
    let upright = |index: usize| {
        grid.up[index]
            .runs
            .iter()
            .any(|run| run.hi.min(high) - run.lo.max(low) > 5.0)
    };
    let level = |index: usize| {
        let track = &grid.lv[index];
        let mut runs = track.runs.iter();
        runs.any(|run| run.hi.min(inner) - run.lo.max(outer) > 1.0)
    };
    let bare = !grid
        .range(Dir::Upright, outer + GAP, inner - GAP)
        .any(upright)
        && !grid.range(Dir::Level, low + GAP, high - GAP).any(level);
    if !closed || !bare {
        return None;
    }
    let touching = grid
        .range(Dir::Level, low + GAP, high - GAP)
        .filter_map(|index| {
            let track = &grid.lv[index];
            let run = track.run_at(inner + 5.0)?;
            (run.lo <= inner + GAP).then_some((run.hi, track.at))
        })
        .collect();
    Some(End {
        strip: Strip {
            across: (outer, inner),
            along,
        },
        touching,
        far,
        higher: !grid
            .range(Dir::Level, high - GAP, high + GAP)
            .any(|index| grid.lv[index].run_at(inner + 5.0).is_some()),
    })
}

/// The view between two positions. The line a strip shares with the case goes on as
/// far as the case's own lines end on it.
fn cut(grid: &Grid, (left, right): (Option<f64>, Option<f64>)) -> Grid {
    let all = (f64::NEG_INFINITY, f64::INFINITY);
    let across = (left.unwrap_or(all.0), right.unwrap_or(all.1));
    let mut rest = grid.window(across, all);
    for (end, inwards) in [(left, 5.0), (right, -5.0)] {
        let Some(at) = end else { continue };
        let mut own = rest
            .lv
            .iter()
            .filter(|track| {
                track
                    .run_at(at + inwards)
                    .is_some_and(|run| run.lo <= at + GAP && run.hi >= at - GAP)
            })
            .map(|track| track.at);
        if let Some(low) = own.next() {
            rest.shorten(at, (low, own.next_back().unwrap_or(low)));
        }
    }
    rest
}

/// A plan without what stands beside the case in its front; as it is where it does
/// not show it.
pub(super) fn cut_plan(grid: &Grid, front: &Beside, wide: f64) -> Grid {
    let (left, right) = front.widths();
    let Some((low, high)) = across_of(&grid.seen_only()).filter(|r| near(r.1 - r.0, wide)) else {
        return grid.clone();
    };
    let at = |wide: f64, x: f64| (wide > 0.0).then_some(x);
    cut(grid, (at(left, low + left), at(right, high - right)))
}

/// How a strip reaches from front to rear in a plan that shows it, front at the
/// bottom; `None` when more than its own outline is drawn there.
pub(super) fn deep_in_plan(plan: &Grid, across: Range) -> Option<Range> {
    let lines: Vec<f64> = plan
        .lv
        .iter()
        .filter(|track| track.covers_seen(across.0, across.1))
        .map(|track| track.at)
        .collect();
    match lines.as_slice() {
        [front, rear] => Some((*front, *rear)),
        _ => None,
    }
}

/// Whether a strip is a filler or an end panel: a panel is as thin as a board and
/// goes from front to rear.
pub(super) fn role(wide: f64, deep: Option<Range>) -> Option<Role> {
    match deep.map(|deep| deep.1 - deep.0) {
        _ if wide > BOARD => Some(Role::Filler),
        Some(deep) if deep > STRIP.1 => Some(Role::EndPanel),
        Some(deep) if deep <= BOARD => Some(Role::Filler),
        _ => None,
    }
}
