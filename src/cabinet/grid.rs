//! The lines of one view, sorted so that a recogniser can ask "is it drawn
//! here?" in logarithmic time. Lines are never moved or averaged.

use crate::linework::{CleanLine, Linework};
use geo::Coord;
use smallvec::{SmallVec, smallvec};

/// Corner gaps up to this are closed when asking whether a line covers a
/// stretch, millimetres; a little above the snap of the linework.
pub(super) const GAP: f64 = 0.3;
/// Pieces of one line that miss each other by up to this are one line: each end
/// may fall short by a corner's gap.
const BREAK: f64 = 0.55;
/// Positions closer than this are one position, millimetres.
pub(super) const SAME: f64 = 0.06;
/// Work on one view stops growing beyond this many positions per direction.
const MOST_TRACKS: usize = 4000;

/// Direction of a line in its view.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Dir {
    Upright,
    Level,
}

impl Dir {
    pub(super) fn other(self) -> Dir {
        match self {
            Dir::Upright => Dir::Level,
            Dir::Level => Dir::Upright,
        }
    }
}

/// A merged line on a track: from `lo` to `hi` along the track.
#[derive(Clone, Copy, Debug)]
pub(super) struct Piece {
    pub lo: f64,
    pub hi: f64,
    pub hidden: bool,
    pub line: CleanLine,
}

/// An unbroken stretch of a track, of one or more pieces.
#[derive(Clone, Copy, Debug)]
pub(super) struct Run {
    pub lo: f64,
    pub hi: f64,
}

impl Run {
    pub(super) fn len(self) -> f64 {
        self.hi - self.lo
    }
}

/// Most tracks are of one or two pieces: views are turned, mirrored and cut to a
/// window many times over, and lists of their own would cost more than that.
pub(super) type Pieces = SmallVec<[Piece; 1]>;
pub(super) type Runs = SmallVec<[Run; 2]>;

/// All pieces at one position.
#[derive(Debug)]
pub(super) struct Track {
    pub at: f64,
    pub pieces: Pieces,
    /// All pieces joined where they touch.
    pub runs: Runs,
    /// The visible pieces joined where they touch.
    pub seen: Runs,
    /// The runs joined across gaps that a crossing part explains: a groove's
    /// mouth breaks the edge of the panel it is cut into.
    pub bridged: Runs,
}

impl Clone for Track {
    /// Copied whole, not one by one: grids are copied many times over.
    fn clone(&self) -> Self {
        Self {
            at: self.at,
            pieces: Pieces::from_slice(&self.pieces),
            runs: Runs::from_slice(&self.runs),
            seen: Runs::from_slice(&self.seen),
            bridged: Runs::from_slice(&self.bridged),
        }
    }
}

impl Track {
    pub(super) fn drawn_seen(&self) -> f64 {
        self.seen.iter().map(|run| run.len()).sum()
    }

    /// From where to where it is seen.
    pub(super) fn extent(&self) -> (f64, f64) {
        let lo = self.seen.first().map_or(0.0, |run| run.lo);
        let hi = self.seen.last().map_or(0.0, |run| run.hi);
        (lo, hi)
    }

    /// The run that holds position `p`, if any.
    pub(super) fn run_at(&self, p: f64) -> Option<Run> {
        run_at(&self.runs, p)
    }

    pub(super) fn covers(&self, lo: f64, hi: f64) -> bool {
        covers(&self.runs, lo, hi)
    }

    pub(super) fn covers_seen(&self, lo: f64, hi: f64) -> bool {
        covers(&self.seen, lo, hi)
    }

    /// True when a run ends at `p`.
    pub(super) fn ends_at(&self, p: f64) -> bool {
        self.runs
            .iter()
            .any(|run| (run.lo - p).abs() <= GAP || (run.hi - p).abs() <= GAP)
    }

    /// Share of the stretch that visible pieces cover.
    pub(super) fn seen_share(&self, lo: f64, hi: f64) -> f64 {
        if hi <= lo {
            return 0.0;
        }
        let covered: f64 = self
            .seen
            .iter()
            .map(|run| (run.hi.min(hi) - run.lo.max(lo)).max(0.0))
            .sum();
        covered / (hi - lo)
    }

    /// The longest piece: what a person is pointed at.
    pub(super) fn longest(&self) -> CleanLine {
        self.line_in(f64::NEG_INFINITY, f64::INFINITY)
    }

    /// The longest piece touching the stretch: what a person is pointed at.
    pub(super) fn line_in(&self, lo: f64, hi: f64) -> CleanLine {
        let mut best: Option<(f64, &Piece)> = None;
        for piece in &self.pieces {
            let overlap = piece.hi.min(hi) - piece.lo.max(lo);
            if best.is_none_or(|(most, _)| overlap > most + 1e-9) {
                best = Some((overlap, piece));
            }
        }
        best.map_or_else(empty_line, |(_, piece)| piece.line)
    }
}

pub(super) fn empty_line() -> CleanLine {
    let zero = Coord { x: 0.0, y: 0.0 };
    CleanLine {
        a: zero,
        b: zero,
        hidden: false,
        source: 0,
    }
}

pub(super) fn run_at(runs: &[Run], p: f64) -> Option<Run> {
    let after = runs.partition_point(|run| run.lo <= p + GAP);
    let run = *runs.get(after.checked_sub(1)?)?;
    (run.hi >= p - GAP).then_some(run)
}

fn covers(runs: &[Run], lo: f64, hi: f64) -> bool {
    let after = runs.partition_point(|run| run.lo <= lo + GAP);
    after
        .checked_sub(1)
        .and_then(|index| runs.get(index))
        .is_some_and(|run| run.hi >= hi - GAP)
}

/// Joins sorted stretches that touch within the gap.
fn join(mut stretches: Runs) -> Runs {
    stretches.sort_by(|a, b| a.lo.total_cmp(&b.lo).then(a.hi.total_cmp(&b.hi)));
    let mut out = Runs::new();
    for run in stretches {
        match out.last_mut() {
            Some(last) if run.lo <= last.hi + BREAK => last.hi = last.hi.max(run.hi),
            _ => out.push(run),
        }
    }
    out
}

/// A view's axis-parallel lines by position.
#[derive(Clone, Debug, Default)]
pub(super) struct Grid {
    /// Upright lines by x.
    pub up: Vec<Track>,
    /// Level lines by y.
    pub lv: Vec<Track>,
    /// Ends of the lines that are neither; left out of a window.
    pub slanted: Vec<[Coord<f64>; 2]>,
    /// True when hidden edges are told apart in this view.
    pub cue: bool,
    /// True when the view was too big to be searched in full.
    pub capped: bool,
}

impl Grid {
    pub(super) fn new(linework: &Linework, cue: bool) -> Grid {
        let upright = |line: &CleanLine| {
            let (lo, hi) = (line.a.y.min(line.b.y), line.a.y.max(line.b.y));
            (line.a.x, lo, hi, *line)
        };
        let level = |line: &CleanLine| {
            let (lo, hi) = (line.a.x.min(line.b.x), line.a.x.max(line.b.x));
            (line.a.y, lo, hi, *line)
        };
        // A stretch is upright or level as its line is.
        let (up_hidden, lv_hidden): (Vec<&CleanLine>, Vec<&CleanLine>) = linework
            .hidden_stretches
            .iter()
            .partition(|line| (line.b.y - line.a.y).abs() > (line.b.x - line.a.x).abs());
        let mut up = tracks(linework.uprights.iter().map(upright));
        let mut lv = tracks(linework.levels.iter().map(level));
        hide(&mut up, up_hidden.into_iter().map(upright));
        hide(&mut lv, lv_hidden.into_iter().map(level));
        bridge(&mut up, &lv);
        bridge(&mut lv, &up);
        let capped = up.len() > MOST_TRACKS || lv.len() > MOST_TRACKS;
        Grid {
            up: up.into_iter().take(MOST_TRACKS).collect(),
            lv: lv.into_iter().take(MOST_TRACKS).collect(),
            slanted: linework
                .slanted
                .iter()
                .map(|line| [line.a, line.b])
                .collect(),
            cue,
            capped,
        }
    }

    /// The same view seen from the other side: x becomes -x.
    pub(super) fn mirrored(&self) -> Grid {
        let flip = |track: &Track| Track {
            at: track.at,
            pieces: track
                .pieces
                .iter()
                .rev()
                .map(|piece| Piece {
                    lo: -piece.hi,
                    hi: -piece.lo,
                    ..*piece
                })
                .collect(),
            runs: flip_runs(&track.runs),
            seen: flip_runs(&track.seen),
            bridged: flip_runs(&track.bridged),
        };
        Grid {
            up: self
                .up
                .iter()
                .rev()
                .map(|track| Track {
                    at: -track.at,
                    ..track.clone()
                })
                .collect(),
            lv: self.lv.iter().map(flip).collect(),
            slanted: self.turned_slants(|p| Coord { x: -p.x, y: p.y }),
            cue: self.cue,
            capped: self.capped,
        }
    }

    /// The same view on its side: x and y change places.
    pub(super) fn transposed(&self) -> Grid {
        Grid {
            up: self.lv.clone(),
            lv: self.up.clone(),
            slanted: self.turned_slants(|p| Coord { x: p.y, y: p.x }),
            cue: self.cue,
            capped: self.capped,
        }
    }

    fn turned_slants(&self, turn: impl Fn(Coord<f64>) -> Coord<f64>) -> Vec<[Coord<f64>; 2]> {
        self.slanted.iter().map(|line| line.map(&turn)).collect()
    }

    /// True when a slanted line is drawn from one point to the other.
    pub(super) fn slants(&self, from: (f64, f64), to: (f64, f64)) -> bool {
        let is =
            |p: Coord<f64>, q: (f64, f64)| (p.x - q.0).abs() <= GAP && (p.y - q.1).abs() <= GAP;
        self.slanted
            .iter()
            .any(|[a, b]| (is(*a, from) && is(*b, to)) || (is(*b, from) && is(*a, to)))
    }

    /// The view with its visible lines alone.
    pub(super) fn seen_only(&self) -> Grid {
        let keep = |tracks: &[Track]| -> Vec<Track> {
            tracks
                .iter()
                .filter(|track| !track.seen.is_empty())
                .map(|track| Track {
                    at: track.at,
                    pieces: Pieces::from_slice(&track.pieces),
                    runs: Runs::from_slice(&track.seen),
                    seen: Runs::from_slice(&track.seen),
                    bridged: Runs::from_slice(&track.seen),
                })
                .collect()
        };
        Grid {
            up: keep(&self.up),
            lv: keep(&self.lv),
            slanted: self.slanted.clone(),
            cue: self.cue,
            capped: self.capped,
        }
    }

    /// True when lines go on past each other in many places: faces beside each
    /// other meet but do not cross, so hidden edges must be among the lines. A few
    /// crossings come of edges that happen to lie in one line.
    pub(super) fn is_crossed(&self, most: usize) -> bool {
        let mut count = 0;
        for level in &self.lv {
            for run in &level.runs {
                for index in self.range(Dir::Upright, run.lo + 1.0, run.hi - 1.0) {
                    let past = |r: &Run| r.lo < level.at - 1.0 && r.hi > level.at + 1.0;
                    let track = &self.up[index];
                    if track.runs.iter().any(past) {
                        count += 1;
                        if count > most {
                            return true;
                        }
                    }
                }
            }
        }
        false
    }

    /// The part of the view inside a window: lines outside are dropped, others
    /// cut off at its edge, so that a line running on outside counts as ending.
    pub(super) fn window(&self, x: (f64, f64), y: (f64, f64)) -> Grid {
        Grid {
            up: clip(&self.up, x, y),
            lv: clip(&self.lv, y, x),
            slanted: Vec::new(),
            cue: self.cue,
            capped: self.capped,
        }
    }

    /// Ends the uprights at `at` where the stretch ends.
    pub(super) fn shorten(&mut self, at: f64, along: (f64, f64)) {
        let range = self.range(Dir::Upright, at - GAP, at + GAP);
        for track in &mut self.up[range] {
            let [runs, seen, bridged] = [&track.runs, &track.seen, &track.bridged].map(|runs| {
                let within = runs.iter().map(|run| Run {
                    lo: run.lo.max(along.0),
                    hi: run.hi.min(along.1),
                });
                within.filter(|run| run.hi > run.lo + GAP).collect()
            });
            (track.runs, track.seen, track.bridged) = (runs, seen, bridged);
        }
        self.up.retain(|track| !track.runs.is_empty());
    }

    pub(super) fn tracks(&self, dir: Dir) -> &[Track] {
        match dir {
            Dir::Upright => &self.up,
            Dir::Level => &self.lv,
        }
    }

    /// Index of the track at this position.
    pub(super) fn at(&self, dir: Dir, p: f64) -> Option<usize> {
        let tracks = self.tracks(dir);
        let from = tracks.partition_point(|track| track.at < p - SAME);
        let mut best: Option<usize> = None;
        for (index, track) in tracks.iter().enumerate().skip(from) {
            if track.at > p + SAME {
                break;
            }
            if best.is_none_or(|b| (track.at - p).abs() < (tracks[b].at - p).abs()) {
                best = Some(index);
            }
        }
        best
    }

    /// Index of the track that bounds what ends at `p`: the one at this position,
    /// else the longest within the width of a corner's gap.
    pub(super) fn drawn_at(&self, dir: Dir, p: f64) -> Option<usize> {
        self.at(dir, p).or_else(|| {
            let len = |index: &usize| -> f64 {
                let runs = &self.tracks(dir)[*index].runs;
                runs.iter().map(|run| run.len()).sum()
            };
            self.range(dir, p - GAP + SAME, p + GAP - SAME)
                .max_by(|a, b| len(a).total_cmp(&len(b)))
        })
    }

    /// Height of the level line that bounds what ends at `z`.
    pub(super) fn level_near(&self, z: f64) -> f64 {
        self.drawn_at(Dir::Level, z)
            .map_or(z, |index| self.lv[index].at)
    }

    /// Place of the upright that bounds what ends at `x`.
    pub(super) fn upright_near(&self, x: f64) -> f64 {
        self.drawn_at(Dir::Upright, x)
            .map_or(x, |index| self.up[index].at)
    }

    /// Indices of the tracks with positions in the closed range.
    pub(super) fn range(&self, dir: Dir, lo: f64, hi: f64) -> std::ops::Range<usize> {
        let tracks = self.tracks(dir);
        let from = tracks.partition_point(|track| track.at < lo - SAME);
        let to = tracks.partition_point(|track| track.at <= hi + SAME);
        from..to.max(from)
    }

    /// True when a line at a position in the closed range runs on for `least`.
    pub(super) fn has_run(&self, dir: Dir, at: (f64, f64), least: f64) -> bool {
        self.range(dir, at.0, at.1).any(|index| {
            let runs = &self.tracks(dir)[index].runs;
            runs.iter().any(|run| run.len() >= least)
        })
    }

    /// True when a line of this direction is drawn at `p` all the way from `lo` to `hi`.
    pub(super) fn drawn(&self, dir: Dir, p: f64, lo: f64, hi: f64) -> bool {
        self.near(dir, p).any(|track| track.covers(lo, hi))
    }

    fn near(&self, dir: Dir, p: f64) -> impl Iterator<Item = &Track> {
        let tracks = self.tracks(dir);
        let from = tracks.partition_point(|track| track.at < p - GAP);
        tracks
            .iter()
            .skip(from)
            .take_while(move |track| track.at <= p + GAP)
    }

    /// Smallest and largest position of the levels.
    pub(super) fn height(&self) -> Option<(f64, f64)> {
        Some((self.lv.first()?.at, self.lv.last()?.at))
    }
}

fn clip(tracks: &[Track], at: (f64, f64), along: (f64, f64)) -> Vec<Track> {
    let whole = |lo: f64, hi: f64| lo >= along.0 && hi <= along.1;
    let cut = |runs: &[Run]| -> Runs {
        if runs
            .iter()
            .all(|run| whole(run.lo, run.hi) && run.len() > GAP)
        {
            return Runs::from_slice(runs);
        }
        runs.iter()
            .filter(|run| run.hi > along.0 + GAP && run.lo < along.1 - GAP)
            .map(|run| Run {
                lo: run.lo.max(along.0),
                hi: run.hi.min(along.1),
            })
            .collect()
    };
    tracks
        .iter()
        .filter(|track| track.at >= at.0 - SAME && track.at <= at.1 + SAME)
        .filter_map(|track| {
            let runs = cut(&track.runs);
            (!runs.is_empty()).then(|| Track {
                at: track.at,
                pieces: track
                    .pieces
                    .iter()
                    .filter(|piece| piece.hi > along.0 + GAP && piece.lo < along.1 - GAP)
                    .map(|piece| Piece {
                        lo: piece.lo.max(along.0),
                        hi: piece.hi.min(along.1),
                        ..*piece
                    })
                    .collect(),
                seen: cut(&track.seen),
                bridged: cut(&track.bridged),
                runs,
            })
        })
        .collect()
}

/// Widest mouth of a groove that breaks a panel's edge, millimetres.
const MOUTH: f64 = 46.0;

/// Joins runs across gaps where a crossing line ends or passes at both ends of
/// the gap.
fn bridge(tracks: &mut [Track], crossing: &[Track]) {
    for track in tracks {
        let touches = |p: f64| {
            let from = crossing.partition_point(|other| other.at < p - GAP);
            crossing
                .iter()
                .skip(from)
                .take_while(|other| other.at <= p + GAP)
                .any(|other| other.run_at(track.at).is_some())
        };
        let mut out = Runs::new();
        for run in &track.runs {
            match out.last_mut() {
                Some(last) if run.lo - last.hi <= MOUTH && touches(last.hi) && touches(run.lo) => {
                    last.hi = run.hi;
                }
                _ => out.push(*run),
            }
        }
        track.bridged = out;
    }
}

/// What is left of the runs without the others.
fn subtract(runs: &[Run], others: &[Run]) -> Runs {
    let mut left = Runs::from_slice(runs);
    for other in others {
        let mut next = Runs::new();
        for run in left {
            if run.hi <= other.lo || run.lo >= other.hi {
                next.push(run);
                continue;
            }
            for (lo, hi) in [(run.lo, other.lo), (other.hi, run.hi)] {
                if hi - lo > SAME {
                    next.push(Run { lo, hi });
                }
            }
        }
        left = next;
    }
    left
}

/// Takes hidden stretches out of what is seen.
fn hide(tracks: &mut [Track], stretches: impl Iterator<Item = (f64, f64, f64, CleanLine)>) {
    // Where two visible pieces miss each other, a hidden edge shows in the gap.
    for (at, lo, hi, _) in stretches.filter(|(_, lo, hi, _)| hi - lo > BREAK) {
        let from = tracks.partition_point(|track| track.at < at - SAME);
        for track in tracks.iter_mut().skip(from) {
            if track.at > at + SAME {
                break;
            }
            track.seen = subtract(&track.seen, &[Run { lo, hi }]);
        }
    }
}

fn flip_runs(runs: &[Run]) -> Runs {
    runs.iter()
        .rev()
        .map(|run| Run {
            lo: -run.hi,
            hi: -run.lo,
        })
        .collect()
}

fn tracks(lines: impl Iterator<Item = (f64, f64, f64, CleanLine)>) -> Vec<Track> {
    let mut lines: Vec<_> = lines
        .filter(|(p, lo, hi, _)| p.is_finite() && lo.is_finite() && hi.is_finite())
        .collect();
    lines.sort_by(|a, b| {
        let first = a.0.total_cmp(&b.0).then_with(|| a.1.total_cmp(&b.1));
        first
            .then_with(|| a.2.total_cmp(&b.2))
            .then_with(|| a.3.hidden.cmp(&b.3.hidden))
            .then_with(|| a.3.source.cmp(&b.3.source))
    });
    let mut grouped: Vec<(f64, Pieces)> = Vec::new();
    for (p, lo, hi, line) in lines {
        let piece = Piece {
            lo,
            hi,
            hidden: line.hidden,
            line,
        };
        match grouped.last_mut() {
            Some((at, pieces)) if p - *at <= SAME => pieces.push(piece),
            _ => grouped.push((p, smallvec![piece])),
        }
    }
    grouped
        .into_iter()
        .map(|(at, mut pieces)| {
            pieces.sort_by(|a, b| a.lo.total_cmp(&b.lo).then(a.hi.total_cmp(&b.hi)));
            let all = pieces.iter().map(|p| Run { lo: p.lo, hi: p.hi }).collect();
            let seen = pieces
                .iter()
                .filter(|p| !p.hidden)
                .map(|p| Run { lo: p.lo, hi: p.hi })
                .collect();
            Track {
                at,
                pieces,
                runs: join(all),
                seen: join(seen),
                bridged: Runs::new(),
            }
        })
        .collect()
}
