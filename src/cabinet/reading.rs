//! What one view shows of one cabinet, in the view's own millimetres (after
//! turning it so that the front is at the left of an end and at the bottom of
//! a plan). Joining views and naming sizes comes later.

use super::grid::{Dir, GAP, Grid, SAME};
use super::strips::{self, Strip, Want};
use crate::linework::SNAP_MM;
use crate::trade::Role;

pub(super) type Range = (f64, f64);

/// Which of several parts of one role this is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Place {
    Only,
    Left,
    Right,
    Front,
    Rear,
}

/// A part recognised in one view.
#[derive(Clone, Debug)]
pub(super) struct ViewPart {
    pub role: Role,
    pub place: Place,
    /// Along the view's horizontal, when it shows the whole of it.
    pub h: Option<Range>,
    /// Along the view's vertical.
    pub v: Option<Range>,
    /// The part may go on unseen at h.0, h.1, v.0, v.1.
    pub covered: [bool; 4],
    pub why: &'static str,
}

impl ViewPart {
    pub(super) fn new(role: Role, h: Range, v: Range, why: &'static str) -> ViewPart {
        ViewPart {
            role,
            place: Place::Only,
            h: Some(h),
            v: Some(v),
            covered: [false; 4],
            why,
        }
    }

    pub(super) fn placed(mut self, place: Place) -> ViewPart {
        self.place = place;
        self
    }

    pub(super) fn from_strip(role: Role, strip: &Strip, why: &'static str) -> ViewPart {
        let (thick, long) = ((strip.t0, strip.t1), (strip.a, strip.b));
        match strip.dir {
            Dir::Upright => ViewPart::new(role, thick, long, why),
            Dir::Level => ViewPart::new(role, long, thick, why),
        }
    }
}

pub(super) fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= GAP
}

/// True when both ends are the same within what drawing snaps to.
pub(super) fn same_range(a: Range, b: Range) -> bool {
    (a.0 - b.0).abs() <= SNAP_MM && (a.1 - b.1).abs() <= SNAP_MM
}

/// Which stretches of which lines belong to parts already recognised.
#[derive(Clone, Debug, Default)]
pub(super) struct Owned {
    stretches: Vec<(Dir, f64, f64, f64)>,
}

impl Owned {
    pub(super) fn take(&mut self, dir: Dir, at: f64, lo: f64, hi: f64) {
        self.stretches.push((dir, at, lo, hi));
    }

    pub(super) fn take_rect(&mut self, h: Range, v: Range) {
        for x in [h.0, h.1] {
            self.take(Dir::Upright, x, v.0, v.1);
        }
        for y in [v.0, v.1] {
            self.take(Dir::Level, y, h.0, h.1);
        }
    }

    /// True when most of the stretch belongs to nobody yet.
    pub(super) fn is_new(&self, dir: Dir, at: f64, lo: f64, hi: f64) -> bool {
        let mut taken: Vec<Range> = self
            .stretches
            .iter()
            .filter(|s| s.0 == dir && (s.1 - at).abs() <= SAME)
            .map(|s| (s.2.max(lo), s.3.min(hi)))
            .filter(|(a, b)| b > a)
            .collect();
        taken.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (mut covered, mut end) = (0.0, lo);
        for (a, b) in taken {
            covered += (b - a.max(end)).max(0.0);
            end = end.max(b);
        }
        covered < 0.5 * (hi - lo)
    }

    fn new_lines(&self, strip: &Strip) -> usize {
        [strip.t0, strip.t1]
            .iter()
            .filter(|at| self.is_new(strip.dir, **at, strip.a, strip.b))
            .count()
    }
}

/// Panels seen edge-on in a grid: strips that explain lines nobody owns. Voids
/// between parts look like strips as well, but explain nothing new once the
/// parts beside them are known.
pub(super) fn panels(
    grid: &Grid,
    want: Want,
    owned: &mut Owned,
    fits: impl Fn(&Strip) -> bool,
) -> Vec<Strip> {
    let mut found: Vec<Strip> = strips::find(grid, want)
        .into_iter()
        .filter(|s| fits(s))
        .collect();
    let mut out: Vec<Strip> = Vec::new();
    while !found.is_empty() {
        let rank = |s: &Strip| (owned.new_lines(s), s.matched(), s.marks());
        let mut best = 0;
        for i in 1..found.len() {
            let (a, b) = (rank(&found[i]), rank(&found[best]));
            if a > b || (a == b && found[i].long() > found[best].long() + GAP) {
                best = i;
            }
        }
        if owned.new_lines(&found[best]) == 0 {
            break;
        }
        let strip = found.swap_remove(best);
        owned.take(strip.dir, strip.t0, strip.a, strip.b);
        owned.take(strip.dir, strip.t1, strip.a, strip.b);
        // What overlaps an accepted panel cannot be another one.
        found.retain(|s| !overlap(s, &strip));
        out.push(strip);
    }
    out.sort_by(|a, b| a.t0.total_cmp(&b.t0).then(a.a.total_cmp(&b.a)));
    out
}

fn overlap(a: &Strip, b: &Strip) -> bool {
    a.t0 < b.t1 - GAP && a.t1 > b.t0 + GAP && a.a < b.b - GAP && a.b > b.a + GAP
}
