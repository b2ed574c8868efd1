//! Merging the pieces of one edge into one line, with an account of repeats.

use super::snap::{Piece, SAME_MM, anchored_groups};
use super::{CleanLine, LengthAccount, Linework, RawSegment};
use geo::Coord;
use smallvec::{SmallVec, smallvec};

/// How often a group of pieces is taken apart again before its pieces stay as
/// they are; only staircases of near misses get this far.
const DEPTH: usize = 8;

/// Pieces of one edge.
type Edge = SmallVec<[Piece; 2]>;

/// A merged line in the frame of its direction.
#[derive(Clone, Debug)]
pub(super) struct Merged {
    pub lo: f64,
    pub hi: f64,
    pub at: f64,
    pub hidden: bool,
    pub source: u32,
    hidden_only: Vec<(f64, f64)>,
}

impl Merged {
    pub fn length(&self) -> f64 {
        self.hi - self.lo
    }

    /// `place` maps (along, across) to view coordinates.
    pub fn to_line(&self, place: impl Fn(f64, f64) -> Coord<f64>) -> CleanLine {
        CleanLine {
            a: place(self.lo, self.at),
            b: place(self.hi, self.at),
            hidden: self.hidden,
            source: self.source,
        }
    }

    pub fn stretches(
        &self,
        place: impl Fn(f64, f64) -> Coord<f64>,
    ) -> impl Iterator<Item = CleanLine> {
        self.hidden_only.iter().map(move |&(lo, hi)| CleanLine {
            a: place(lo, self.at),
            b: place(hi, self.at),
            hidden: true,
            source: self.source,
        })
    }
}

/// Merges pieces of one direction. `touch` is the largest jog between the ends
/// of touching pieces; repeats beside each other may differ by `snap`.
pub(super) fn merge(
    pieces: Vec<Piece>,
    snap: f64,
    touch: f64,
    account: &mut LengthAccount,
) -> Vec<Merged> {
    let mut lines = Vec::new();
    merge_level(&pieces, snap, touch, DEPTH, account, &mut lines);
    lines.sort_by(|p, q| p.at.total_cmp(&q.at).then(p.lo.total_cmp(&q.lo)));
    lines
}

fn merge_level(
    pieces: &[Piece],
    snap: f64,
    touch: f64,
    depth: usize,
    account: &mut LengthAccount,
    lines: &mut Vec<Merged>,
) {
    let weighed: Vec<(f64, f64)> = pieces.iter().map(|p| (p.position(), p.length())).collect();
    let groups = anchored_groups(&weighed, snap);
    // What nearly always decides stands in the list itself.
    let keys = groups.iter().zip(pieces).enumerate();
    let mut order: Vec<(usize, f64, usize)> = keys
        .map(|(i, (group, piece))| (*group, piece.lo, i))
        .collect();
    order.sort_unstable_by(|(group, lo, p), (other, from, q)| {
        let rest = || {
            let (a, b) = (&pieces[*p], &pieces[*q]);
            a.hi.total_cmp(&b.hi)
                .then_with(|| a.position().total_cmp(&b.position()))
                .then(a.hidden.cmp(&b.hidden))
                .then(a.source.cmp(&b.source))
                .then(p.cmp(q))
        };
        let first = group.cmp(other).then_with(|| lo.total_cmp(from));
        first.then_with(rest)
    });
    for group in order.chunk_by(|p, q| p.0 == q.0) {
        let members = group.iter().map(|(_, _, i)| pieces[*i]);
        for edge in edges(members, snap, touch) {
            settle(edge, snap, touch, depth, account, lines);
        }
    }
}

/// Splits pieces (sorted by start) into those of separate edges.
fn edges(members: impl Iterator<Item = Piece>, snap: f64, touch: f64) -> Vec<Edge> {
    struct Open {
        hi: f64,
        at_hi: f64,
        edge: usize,
    }
    let mut edges: Vec<Edge> = Vec::new();
    let mut open: Vec<Open> = Vec::new();
    for piece in members {
        open.retain(|o| o.hi >= piece.lo - snap);
        let joins = |o: &Open| {
            let overlap = o.hi.min(piece.hi) - piece.lo;
            overlap > snap.min(0.5 * piece.length()) || (o.at_hi - piece.at_lo).abs() <= touch
        };
        let Some(first) = open.iter().position(joins) else {
            open.push(Open {
                hi: piece.hi,
                at_hi: piece.at_hi,
                edge: edges.len(),
            });
            edges.push(smallvec![piece]);
            continue;
        };
        // A piece that joins several open edges makes them one.
        for other in (first + 1..open.len()).rev() {
            if joins(&open[other]) {
                let gone = open.remove(other);
                let mut moved = std::mem::take(&mut edges[gone.edge]);
                let keep = &mut edges[open[first].edge];
                if moved.len() > keep.len() {
                    std::mem::swap(&mut moved, keep);
                }
                keep.extend(moved);
                if gone.hi > open[first].hi {
                    open[first].hi = gone.hi;
                    open[first].at_hi = gone.at_hi;
                }
            }
        }
        edges[open[first].edge].push(piece);
        if piece.hi > open[first].hi {
            open[first].hi = piece.hi;
            open[first].at_hi = piece.at_hi;
        }
    }
    edges.retain(|edge| !edge.is_empty());
    edges
}

/// One edge becomes one line, unless its pieces lie too far apart for that.
fn settle(
    mut edge: Edge,
    snap: f64,
    touch: f64,
    depth: usize,
    account: &mut LengthAccount,
    lines: &mut Vec<Merged>,
) {
    let at = best_position(&edge);
    let fits = edge
        .iter()
        .all(|piece| (piece.position() - at).abs() <= snap);
    if !fits && edge.len() > 1 {
        if depth > 0 {
            merge_level(&edge, snap, touch, depth - 1, account, lines);
        } else {
            for piece in edge {
                settle(smallvec![piece], snap, touch, 0, account, lines);
            }
        }
        return;
    }
    edge.sort_by(|a, b| a.lo.total_cmp(&b.lo).then(a.hi.total_cmp(&b.hi)));
    let Some(first) = edge.first() else { return };
    let (lo, mut hi) = (first.lo, first.lo);
    let (mut kept, mut repeated) = (0.0, 0.0);
    for piece in &edge {
        let fresh = (piece.hi - piece.lo.max(hi)).max(0.0).min(piece.length());
        kept += fresh;
        repeated += piece.length() - fresh;
        // Leaning pieces are a hair longer than their shadow on the line.
        if piece.skew() != 0.0 {
            kept += piece.length().hypot(piece.skew()) - piece.length();
        }
        hi = hi.max(piece.hi);
    }
    account.kept += kept;
    account.repeated += repeated;
    account.closed += (hi - lo) - kept;
    let longest = edge.iter().max_by(|a, b| {
        (!a.hidden)
            .cmp(&!b.hidden)
            .then(a.length().total_cmp(&b.length()))
            .then(b.lo.total_cmp(&a.lo))
            .then(b.source.cmp(&a.source))
    });
    let hidden = edge.iter().all(|piece| piece.hidden);
    lines.push(Merged {
        lo,
        hi,
        at,
        hidden,
        source: longest.map_or(0, |piece| piece.source),
        hidden_only: if hidden {
            Vec::new()
        } else {
            uncovered(&edge, lo, hi, snap)
        },
    });
}

/// The position with the most exactly drawn length; when the pieces scatter so
/// that none stands out, their weighted mean. What is seen counts before what is hidden:
/// a hidden edge so near may be another part's.
fn best_position(edge: &[Piece]) -> f64 {
    // Most edges were drawn at a stroke.
    if let [only] = edge {
        return only.position();
    }
    let seen: Vec<Piece> = edge.iter().filter(|piece| !piece.hidden).copied().collect();
    let length = |pieces: &[Piece]| pieces.iter().map(Piece::length).sum::<f64>();
    let edge = if length(&seen) < length(edge) / 3.0 {
        edge
    } else {
        &seen
    };
    let mut spots: Vec<(f64, f64)> = edge
        .iter()
        .filter(|piece| piece.skew() <= 100.0 * SAME_MM)
        .map(|piece| (piece.position(), piece.length()))
        .collect();
    spots.sort_by(|p, q| p.0.total_cmp(&q.0).then(p.1.total_cmp(&q.1)));
    let total: f64 = edge.iter().map(Piece::length).sum();
    let mut best: Option<(f64, f64)> = None;
    let mut start = 0;
    while start < spots.len() {
        let (mut weight, mut moment, mut end) = (0.0, 0.0, start);
        while end < spots.len() && spots[end].0 - spots[start].0 <= SAME_MM {
            weight += spots[end].1;
            moment += (spots[end].0 - spots[start].0) * spots[end].1;
            end += 1;
        }
        if best.is_none_or(|b| weight > b.1) {
            best = Some((spots[start].0 + moment / weight, weight));
        }
        start = end;
    }
    match best {
        Some((position, weight)) if weight >= total / 3.0 => position,
        _ => {
            let base = edge.first().map_or(0.0, Piece::position);
            let moment: f64 = edge
                .iter()
                .map(|p| (p.position() - base) * p.length())
                .sum();
            base + moment / total
        }
    }
}

/// Stretches of `lo..hi` that no visible piece covers, longer than `snap`.
fn uncovered(edge: &[Piece], lo: f64, hi: f64, snap: f64) -> Vec<(f64, f64)> {
    let mut bare = Vec::new();
    let mut reached = lo;
    for piece in edge.iter().filter(|piece| !piece.hidden) {
        if piece.lo - reached > snap {
            bare.push((reached, piece.lo));
        }
        reached = reached.max(piece.hi);
    }
    if hi - reached > snap {
        bare.push((reached, hi));
    }
    bare
}

/// Merges slanted lines that are collinear and touch.
pub(super) fn merge_slanted(segments: Vec<RawSegment>, snap: f64, work: &mut Linework) {
    let angles: Vec<(f64, f64)> = segments
        .iter()
        .map(|s| {
            let angle = (s.b.y - s.a.y).atan2(s.b.x - s.a.x);
            let length = (s.b.x - s.a.x).hypot(s.b.y - s.a.y);
            (angle.rem_euclid(std::f64::consts::PI), length)
        })
        .collect();
    // One part in a thousand: a lean of the snap over a hand's breadth.
    let groups = anchored_groups(&angles, 1e-3);
    let mut order: Vec<usize> = (0..segments.len()).collect();
    order.sort_by(|&p, &q| groups[p].cmp(&groups[q]).then(p.cmp(&q)));
    let mut start = 0;
    let mut lines = Vec::new();
    while start < order.len() {
        let group = groups[order[start]];
        let mut end = start;
        let mut longest = order[start];
        while end < order.len() && groups[order[end]] == group {
            let (this, best) = (angles[order[end]], angles[longest]);
            if this.1 > best.1 || (this.1 == best.1 && this.0 < best.0) {
                longest = order[end];
            }
            end += 1;
        }
        let (sin, cos) = angles[longest].0.sin_cos();
        let turn = |c: Coord<f64>| [c.x * cos + c.y * sin, c.y * cos - c.x * sin];
        let mut pieces = Vec::new();
        for &index in &order[start..end] {
            let segment = &segments[index];
            let (p, q) = (turn(segment.a), turn(segment.b));
            let (p, q) = if p[0] <= q[0] { (p, q) } else { (q, p) };
            pieces.push(Piece {
                lo: p[0],
                hi: q[0],
                at_lo: p[1],
                at_hi: q[1],
                hidden: segment.hidden,
                source: segment.source,
            });
        }
        for merged in merge(pieces, snap, snap, &mut work.account) {
            let place = |along: f64, across: f64| Coord {
                x: along * cos - across * sin,
                y: along * sin + across * cos,
            };
            lines.push(merged.to_line(place));
            work.hidden_stretches.extend(merged.stretches(place));
        }
        start = end;
    }
    lines.sort_by(|p, q| {
        p.a.x
            .total_cmp(&q.a.x)
            .then(p.a.y.total_cmp(&q.a.y))
            .then(p.b.x.total_cmp(&q.b.x))
            .then(p.b.y.total_cmp(&q.b.y))
    });
    work.slanted = lines;
}
