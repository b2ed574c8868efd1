//! Strips: pairs of parallel lines with closed ends, the edge-on look of a
//! panel or the face of a frame member.
//!
//! A true part has corners of its own. Merging collinear lines turns some of
//! them into T-junctions, and the voids between parts look like strips too, so
//! every strip carries how each of its four corners is drawn.

use super::grid::{Dir, GAP, Grid, Run, Track, run_at as held};

/// How two lines meet at a strip's corner.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Corner {
    /// Both lines go on.
    Cross = 0,
    /// One line ends on the other.
    Tee = 1,
    /// Both lines end.
    Ell = 2,
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Strip {
    /// Direction of the long lines.
    pub dir: Dir,
    /// Positions of the two long lines.
    pub t0: f64,
    pub t1: f64,
    /// From where to where along the lines.
    pub a: f64,
    pub b: f64,
    /// At (t0,a), (t1,a), (t0,b), (t1,b).
    pub corners: [Corner; 4],
    /// True when both long lines end at `a` (and at `b`).
    pub ends_a: bool,
    pub ends_b: bool,
}

impl Strip {
    pub(super) fn long(&self) -> f64 {
        self.b - self.a
    }

    /// How many corners are mere crossings.
    pub(super) fn crosses(&self) -> usize {
        self.corners.iter().filter(|c| **c == Corner::Cross).count()
    }

    /// Sum of the corner marks, 0 to 8.
    pub(super) fn marks(&self) -> u32 {
        self.corners.iter().map(|c| *c as u32).sum()
    }

    /// True when both long lines end together at both ends.
    pub(super) fn matched(&self) -> bool {
        self.ends_a && self.ends_b
    }

    /// True when no corner is a mere crossing.
    pub(super) fn cornered(&self) -> bool {
        self.corners.iter().all(|c| *c != Corner::Cross)
    }
}

/// What to look for.
#[derive(Clone, Copy, Debug)]
pub(super) struct Want {
    pub dir: Dir,
    pub thick: (f64, f64),
    pub long: f64,
    /// How far one of the two long lines may stop short of the strip's `b`: a
    /// rabbet takes away a panel's inner edge there.
    pub slack: f64,
    /// How many corners may be mere crossings, where an edge of something else
    /// goes on in one line with the strip's.
    pub crosses: usize,
    /// Whether the mouths of grooves in the long lines are bridged.
    pub bridge: bool,
}

impl Want {
    fn runs(self, track: &Track) -> &[Run] {
        if self.bridge {
            &track.bridged
        } else {
            &track.runs
        }
    }
}

/// Upper bound of line pairs looked at in one search.
const MOST_PAIRS: usize = 60_000;
/// Upper bound of closing lines looked at for one pair.
const MOST_CAPS: usize = 24;

/// All closed strips of the wanted kind, sorted by position.
pub(super) fn find(grid: &Grid, want: Want) -> Vec<Strip> {
    let tracks = grid.tracks(want.dir);
    let caps = grid.tracks(want.dir.other());
    let mut out = Vec::new();
    let mut pairs = 0usize;
    for (i, lo) in tracks.iter().enumerate() {
        if want.runs(lo).iter().all(|run| run.len() < want.long) {
            continue;
        }
        for hi in tracks.iter().skip(i + 1) {
            let thick = hi.at - lo.at;
            if thick > want.thick.1 {
                break;
            }
            if thick < want.thick.0 {
                continue;
            }
            pairs += 1;
            if pairs > MOST_PAIRS {
                return out;
            }
            for common in overlaps(want.runs(lo), want.runs(hi)) {
                if common.len() >= want.long - GAP {
                    close(&mut out, want, lo, hi, common, caps);
                }
            }
        }
    }
    out
}

/// Stretches where both lists of runs are drawn.
fn overlaps(a: &[Run], b: &[Run]) -> Vec<Run> {
    let (mut i, mut j) = (0, 0);
    let mut out = Vec::new();
    while let (Some(p), Some(q)) = (a.get(i), b.get(j)) {
        let lo = p.lo.max(q.lo);
        let hi = p.hi.min(q.hi);
        if hi > lo {
            out.push(Run { lo, hi });
        }
        if p.hi < q.hi { i += 1 } else { j += 1 }
    }
    out
}

/// Finds the lines closing a pair and pushes the strips between them.
fn close(out: &mut Vec<Strip>, want: Want, lo: &Track, hi: &Track, common: Run, caps: &[Track]) {
    let from = caps.partition_point(|cap| cap.at < common.lo - GAP);
    let reached = |at: f64| {
        let inside = at >= common.lo - GAP && at <= common.hi + GAP;
        inside || held(want.runs(lo), at).is_some() || held(want.runs(hi), at).is_some()
    };
    let closing: Vec<(&Track, Run)> = caps
        .iter()
        .skip(from)
        .take_while(|cap| cap.at <= common.hi + want.slack + GAP)
        .filter_map(|cap| {
            let run = cap.run_at(lo.at)?;
            (run.hi >= hi.at - GAP && reached(cap.at)).then_some((cap, run))
        })
        .collect();
    if closing.len() < 2 {
        return;
    }
    // Where there are very many, the outermost ones matter.
    let kept: Vec<usize> = if closing.len() <= MOST_CAPS {
        (0..closing.len()).collect()
    } else {
        (0..MOST_CAPS / 2)
            .chain(closing.len() - MOST_CAPS / 2..closing.len())
            .collect()
    };
    let last = closing.len() - 1;
    for (n, &k) in kept.iter().enumerate() {
        let (start, start_run) = closing[k];
        let at_a = corners(want, lo, hi, start, start_run, |run| run.lo);
        for &l in kept.iter().skip(n + 1) {
            let (end, end_run) = closing[l];
            let whole = k == 0 && l == last;
            if end.at - start.at < want.long - GAP {
                continue;
            }
            let at_b = corners(want, lo, hi, end, end_run, |run| run.hi);
            let corners = [at_a.0[0], at_a.0[1], at_b.0[0], at_b.0[1]];
            let crosses = corners.iter().filter(|c| **c == Corner::Cross).count();
            if !whole && crosses > want.crosses {
                continue;
            }
            out.push(Strip {
                dir: want.dir,
                t0: lo.at,
                t1: hi.at,
                a: start.at,
                b: end.at,
                corners,
                ends_a: at_a.1,
                ends_b: at_b.1,
            });
        }
    }
}

/// The two corners where a closing line meets the pair, and whether both long
/// lines end there.
fn corners(
    want: Want,
    lo: &Track,
    hi: &Track,
    cap: &Track,
    cap_run: Run,
    end: impl Fn(Run) -> f64,
) -> ([Corner; 2], bool) {
    let ends = |track: &Track| {
        held(want.runs(track), cap.at).is_some_and(|run| (end(run) - cap.at).abs() <= GAP)
    };
    let mark = |long_ends: bool, cap_ends: bool| match (long_ends, cap_ends) {
        (true, true) => Corner::Ell,
        (false, false) => Corner::Cross,
        _ => Corner::Tee,
    };
    let (lo_ends, hi_ends) = (ends(lo), ends(hi));
    (
        [
            mark(lo_ends, (cap_run.lo - lo.at).abs() <= GAP),
            mark(hi_ends, (cap_run.hi - hi.at).abs() <= GAP),
        ],
        lo_ends && hi_ends,
    )
}
