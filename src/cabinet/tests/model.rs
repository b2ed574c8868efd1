//! Cabinets as boxes, and their projections: a slow, independent oracle for the
//! recogniser. x to the right, y to the back (0 at the front edge of the case),
//! z up. Nothing here uses the recogniser's code.

use crate::linework::RawSegment;
use crate::trade::Role;
use crate::view::ViewKind;
use geo::Coord;

pub type Range = [f64; 2];

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Box3 {
    pub x: Range,
    pub y: Range,
    pub z: Range,
}

#[derive(Clone, Debug)]
pub struct Part {
    pub role: Role,
    pub boxes: Vec<Box3>,
}

impl Part {
    pub fn new(role: Role, x: Range, y: Range, z: Range) -> Part {
        Part {
            role,
            boxes: vec![Box3 { x, y, z }],
        }
    }

    /// Takes a box of wood away: a groove, a rabbet, a notch.
    pub fn cut(&mut self, x: Range, y: Range, z: Range) {
        let hole = [x, y, z];
        let mut left = Vec::new();
        for b in &self.boxes {
            let mut rest = [b.x, b.y, b.z];
            let apart =
                (0..3).any(|n| hole[n][1] <= rest[n][0] + 1e-9 || hole[n][0] >= rest[n][1] - 1e-9);
            if apart {
                left.push(*b);
                continue;
            }
            for n in 0..3 {
                for (lo, hi) in [(rest[n][0], hole[n][0]), (hole[n][1], rest[n][1])] {
                    if hi > lo + 1e-9 {
                        let mut piece = rest;
                        piece[n] = [lo, hi];
                        left.push(Box3 {
                            x: piece[0],
                            y: piece[1],
                            z: piece[2],
                        });
                    }
                }
                rest[n] = [rest[n][0].max(hole[n][0]), rest[n][1].min(hole[n][1])];
            }
        }
        self.boxes = left;
    }

    pub fn range(&self, axis: usize) -> Range {
        let mut out = [f64::INFINITY, f64::NEG_INFINITY];
        for b in &self.boxes {
            let r = [b.x, b.y, b.z][axis];
            out = [out[0].min(r[0]), out[1].max(r[1])];
        }
        out
    }
}

/// How a view maps space: horizontal, vertical and depth axis (sign of each).
#[derive(Clone, Copy, Debug)]
pub struct Look {
    pub kind: ViewKind,
    pub horizontal: (usize, f64),
    pub vertical: (usize, f64),
    /// Smaller is nearer to the eye.
    pub depth: (usize, f64),
    /// Cut away everything below this position on the depth axis (after sign).
    pub cut: Option<f64>,
}

pub const FRONT: Look = Look {
    kind: ViewKind::Front,
    horizontal: (0, 1.0),
    vertical: (2, 1.0),
    depth: (1, 1.0),
    cut: None,
};
/// From the right: the front is at the left.
pub const RIGHT_END: Look = Look {
    kind: ViewKind::End,
    horizontal: (1, 1.0),
    vertical: (2, 1.0),
    depth: (0, -1.0),
    cut: None,
};
/// From the left: the front is at the right.
pub const LEFT_END: Look = Look {
    kind: ViewKind::End,
    horizontal: (1, -1.0),
    vertical: (2, 1.0),
    depth: (0, 1.0),
    cut: None,
};
/// Seen from above, front at the bottom of the sheet.
pub const PLAN: Look = Look {
    kind: ViewKind::Plan,
    horizontal: (0, 1.0),
    vertical: (1, 1.0),
    depth: (2, -1.0),
    cut: None,
};

/// Cut at x, looking to the left from the right.
pub fn section_at(x: f64) -> Look {
    Look {
        kind: ViewKind::Section,
        cut: Some(-x),
        ..RIGHT_END
    }
}

/// A box seen in a view: its rectangle and its depth; smaller is nearer.
#[derive(Clone, Copy)]
struct Seen {
    h: Range,
    v: Range,
    d: Range,
    part: usize,
}

fn oriented(range: Range, sign: f64) -> Range {
    if sign > 0.0 {
        range
    } else {
        [-range[1], -range[0]]
    }
}

/// The edges of all parts in one view, each piece marked visible or hidden.
pub fn project(parts: &[Part], look: &Look) -> Vec<RawSegment> {
    let mut seen = Vec::new();
    for (part, p) in parts.iter().enumerate() {
        for b in &p.boxes {
            let axes = [b.x, b.y, b.z];
            let h = oriented(axes[look.horizontal.0], look.horizontal.1);
            let v = oriented(axes[look.vertical.0], look.vertical.1);
            let d = oriented(axes[look.depth.0], look.depth.1);
            let mut d = d;
            if let Some(cut) = look.cut {
                if d[1] <= cut + 1e-9 {
                    continue;
                }
                d[0] = d[0].max(cut);
            }
            seen.push(Seen { h, v, d, part });
        }
    }
    let mut out = Vec::new();
    for (index, s) in seen.iter().enumerate() {
        for depth in s.d {
            for (at, along, upright) in [
                (s.h[0], s.v, true),
                (s.h[1], s.v, true),
                (s.v[0], s.h, false),
                (s.v[1], s.h, false),
            ] {
                edge(&mut out, &seen, index, at, depth, along, upright);
            }
        }
    }
    out
}

/// One edge of a box, piece by piece. Boxes of one part are one body: an edge is
/// there only where the body has a corner, and not inside it or in a flat face.
fn edge(
    out: &mut Vec<RawSegment>,
    seen: &[Seen],
    own: usize,
    at: f64,
    depth: f64,
    along: Range,
    upright: bool,
) {
    const E: f64 = 1e-6;
    let part = seen[own].part;
    let mut stops = vec![along[0], along[1]];
    for o in seen {
        for p in if upright { o.v } else { o.h } {
            if p > along[0] + 1e-9 && p < along[1] - 1e-9 {
                stops.push(p);
            }
        }
    }
    stops.sort_by(f64::total_cmp);
    stops.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
    for w in stops.windows(2) {
        let mid = (w[0] + w[1]) / 2.0;
        let over = |o: &Seen, at: f64| {
            let (a, b) = if upright { (o.h, o.v) } else { (o.v, o.h) };
            at > a[0] && at < a[1] && mid > b[0] && mid < b[1]
        };
        let filled = |at: f64, d: f64| {
            seen.iter()
                .any(|o| o.part == part && over(o, at) && d > o.d[0] && d < o.d[1])
        };
        let (a, b) = (filled(at - E, depth - E), filled(at - E, depth + E));
        let (c, d) = (filled(at + E, depth - E), filled(at + E, depth + E));
        let flat = (a == b && c == d) || (a == c && b == d);
        if flat {
            continue;
        }
        // Hidden where something nearer lies on both sides of the edge: an edge on
        // the border of a nearer box is in line with that one's own.
        let covered = |at: f64| seen.iter().any(|o| o.d[0] < depth - 1e-9 && over(o, at));
        let hidden = covered(at - E) && covered(at + E);
        let (a, b) = if upright {
            (Coord { x: at, y: w[0] }, Coord { x: at, y: w[1] })
        } else {
            (Coord { x: w[0], y: at }, Coord { x: w[1], y: at })
        };
        out.push(RawSegment {
            a,
            b,
            hidden,
            source: own as u32,
        });
    }
}
