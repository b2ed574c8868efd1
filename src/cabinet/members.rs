//! Framed doors: the stiles, rails and panels of a leaf, as a front shows their
//! faces and an end or a section their thickness. Tongues and panels in grooves
//! are measured where hidden edges are drawn.

use super::grid::{Dir, GAP, Grid};
use super::placed::{Placed, Reading, Turned};
use super::reading::{Place, Range, ViewPart, near, same_range};
use super::strips::{self, Want};
use crate::trade::Role;

/// Narrowest and widest stile or rail of a door.
const MEMBER: Range = (25.0, 160.0);
/// Thinnest and thickest panel.
const PANEL: Range = (2.5, 20.0);
/// Deepest groove.
pub(super) const GROOVE: f64 = 20.0;
/// Most play of a panel at each edge.
const PLAY: f64 = 6.0;

/// A leaf put together from members, in the front's own positions.
pub(super) struct Framed {
    pub stiles: [Range; 2],
    /// Rails from the lowest up.
    pub rails: Vec<Range>,
    high: Range,
    /// Stiles and rails meet in mitres: the rails are as long as the leaf is wide.
    mitred: bool,
}

/// Adds the members of framed doors to the readings of front, ends and sections.
pub(super) fn find(views: &mut [Placed]) {
    let mut new: Vec<(usize, ViewPart)> = Vec::new();
    let thick = thicknesses(views);
    for (index, placed) in views.iter().enumerate() {
        let Reading::Front(front) = &placed.reading else {
            continue;
        };
        for leaf in front.parts.iter().filter(|part| part.role == Role::Door) {
            let (Some(h), Some(v)) = (leaf.h, leaf.v) else {
                continue;
            };
            let Some(framed) = framed(&placed.grid, h, v, &ANY) else {
                continue;
            };
            let floor = placed.origin.1;
            let above = |r: Range| (r.0 - floor, r.1 - floor);
            let own: Vec<&(usize, Range, Range)> = thick
                .iter()
                .filter(|(_, _, high)| same_range(*high, above(v)))
                .collect();
            let mut panels: Vec<Option<Range>> = vec![None; framed.rails.len() - 1];
            for (side, deep, _) in own {
                let lift = views[*side].origin.1 - floor;
                let to = |r: Range| (r.0 + lift, r.1 + lift);
                let mut add = |role: Role, h: Range, v: Range| {
                    new.push((*side, ViewPart::new(role, h, v, WHY)));
                };
                add(Role::DoorStile, *deep, to(v));
                for rail in &framed.rails {
                    add(Role::DoorRail, *deep, to(*rail));
                }
                for (field, pair) in framed.rails.windows(2).enumerate() {
                    let clear = to((pair[0].1, pair[1].0));
                    if let Some((h, v)) = panel(&views[*side].grid, *deep, clear) {
                        add(Role::DoorPanel, h, v);
                        panels[field] = Some((v.0 - lift, v.1 - lift));
                    }
                }
            }
            let parts = faces(&placed.grid, placed.grid.cue, &framed, &panels);
            new.extend(parts.into_iter().map(|part| (index, part)));
        }
    }
    for (index, part) in new {
        let stile = (part.role == Role::DoorStile)
            .then_some(part.h.zip(part.v))
            .flatten();
        let parts = match &mut views[index].reading {
            Reading::Front(front) => &mut front.parts,
            Reading::Side(side) => &mut side.parts,
            Reading::Plan(plan) => &mut plan.parts,
            Reading::Posts(posts) => &mut posts.parts,
        };
        // The groove of a stile is no divider.
        parts.retain(|other| {
            let inside = |a: Option<Range>, b: Range| {
                a.is_some_and(|a| a.0 >= b.0 - GAP && a.1 <= b.1 + GAP)
            };
            other.role != Role::Divider
                || !stile.is_some_and(|(h, v)| inside(other.h, h) && inside(other.v, v))
        });
        // Two leaves of one height are one in an end.
        let known = parts
            .iter()
            .any(|other| other.role == part.role && other.h == part.h && other.v == part.v);
        if !known {
            parts.push(part);
        }
    }
}

const WHY: &str = "member of a framed door";

/// Leaves seen edge-on: view, thickness, height above the floor.
fn thicknesses(views: &[Placed]) -> Vec<(usize, Range, Range)> {
    let mut out = Vec::new();
    for (index, placed) in views.iter().enumerate() {
        let Some(side) = placed.side().filter(|_| placed.turned == Turned::Sure) else {
            continue;
        };
        for part in side.parts.iter().filter(|part| part.role == Role::Door) {
            if let (Some(h), Some(v)) = (part.h, part.v) {
                out.push((index, h, (v.0 - placed.origin.1, v.1 - placed.origin.1)));
            }
        }
    }
    out
}

/// What another view says of lines in the face of a leaf.
pub(super) struct Own<'a> {
    pub stile: &'a dyn Fn(Range) -> bool,
    pub edge: &'a dyn Fn(f64) -> bool,
}

/// Nothing is known of them.
const ANY: Own<'static> = Own {
    stile: &|_| true,
    edge: &|_| true,
};

/// Stiles run the whole height of the leaf, rails lie between them: all seen.
///
/// `own` says whether a strip may be a stile and whether a level line may be the edge of
/// a rail: through a frame without its panel lines of what stands behind are seen as
/// well.
pub(super) fn framed(grid: &Grid, h: Range, v: Range, own: &Own<'_>) -> Option<Framed> {
    if let Some(framed) = mitred(grid, h, v) {
        return Some(framed);
    }
    let most = MEMBER.1.min(0.45 * (h.1 - h.0));
    let inner: Vec<f64> = grid
        .range(Dir::Upright, h.0 + MEMBER.0, h.0 + most)
        .filter(|index| grid.up[*index].covers_seen(v.0, v.1))
        .map(|index| grid.up[index].at)
        .filter(|x| {
            let mirror = h.1 - (x - h.0);
            grid.at(Dir::Upright, mirror)
                .is_some_and(|index| grid.up[index].covers_seen(v.0, v.1))
        })
        .filter(|x| (own.stile)((h.0, *x)))
        .collect();
    let [left] = inner.as_slice() else {
        return rails_over(grid, h, v, own);
    };
    let right = h.1 - (left - h.0);
    // Rails' edges are seen from stile to stile and no farther.
    let edges: Vec<f64> = grid
        .range(Dir::Level, v.0 + 1.0, v.1 - 1.0)
        .map(|index| &grid.lv[index])
        .filter(|track| {
            track
                .seen
                .iter()
                .any(|run| near(run.lo, *left) && near(run.hi, right))
        })
        .map(|track| track.at)
        .filter(|z| (own.edge)(*z))
        .collect();
    Some(Framed {
        stiles: [(h.0, *left), (right, h.1)],
        rails: rails_of(&edges, v)?,
        high: v,
        mitred: false,
    })
}

/// Rails by their edges between the ends of a leaf, if they pair up into rails with
/// panels between them.
fn rails_of(edges: &[f64], v: Range) -> Option<Vec<Range>> {
    if edges.len() < 2 || !edges.len().is_multiple_of(2) {
        return None;
    }
    let mut all = vec![v.0];
    all.extend(edges);
    all.push(v.1);
    let rails: Vec<Range> = all.chunks(2).map(|pair| (pair[0], pair[1])).collect();
    let wide = |r: &Range| (MEMBER.0..=2.0 * MEMBER.1).contains(&(r.1 - r.0));
    let open = |pair: &[Range]| pair[1].0 - pair[0].1 >= MEMBER.0;
    (rails.iter().all(wide) && rails.windows(2).all(open)).then_some(rails)
}

/// Rails halved into the stiles lie over them at the front: their faces are seen from
/// edge to edge of the leaf, the inner edges of the stiles between them alone, and
/// hidden behind them.
fn rails_over(grid: &Grid, h: Range, v: Range, own: &Own<'_>) -> Option<Framed> {
    let most = MEMBER.1.min(0.45 * (h.1 - h.0));
    let through = |x: f64| {
        grid.at(Dir::Upright, x).is_some_and(|index| {
            let track = &grid.up[index];
            track.covers(v.0, v.1) && track.seen_share(v.0, v.1) > 0.5
        })
    };
    let inner: Vec<f64> = grid
        .range(Dir::Upright, h.0 + MEMBER.0, h.0 + most)
        .map(|index| grid.up[index].at)
        .filter(|x| through(*x) && through(h.1 - (x - h.0)) && (own.stile)((h.0, *x)))
        .collect();
    let [left] = inner.as_slice() else {
        return None;
    };
    let edges: Vec<f64> = grid
        .range(Dir::Level, v.0 + 1.0, v.1 - 1.0)
        .map(|index| &grid.lv[index])
        .filter(|track| track.covers_seen(h.0, h.1))
        .map(|track| track.at)
        .filter(|z| (own.edge)(*z))
        .collect();
    Some(Framed {
        stiles: [(h.0, *left), (h.1 - (left - h.0), h.1)],
        rails: rails_of(&edges, v)?,
        high: v,
        mitred: false,
    })
}

/// Four members of one width with a mitre drawn at each corner.
fn mitred(grid: &Grid, h: Range, v: Range) -> Option<Framed> {
    let most = MEMBER.1.min(0.45 * (h.1 - h.0)).min(0.45 * (v.1 - v.0));
    let wide = |w: &f64| {
        let inner = ((h.0 + w, h.1 - w), (v.0 + w, v.1 - w));
        let corners = [
            ((h.0, v.0), (inner.0.0, inner.1.0)),
            ((h.1, v.0), (inner.0.1, inner.1.0)),
            ((h.0, v.1), (inner.0.0, inner.1.1)),
            ((h.1, v.1), (inner.0.1, inner.1.1)),
        ];
        let upright = |x: f64| grid.drawn(Dir::Upright, x, inner.1.0, inner.1.1);
        let level = |z: f64| grid.drawn(Dir::Level, z, inner.0.0, inner.0.1);
        corners
            .iter()
            .all(|(outer, inner)| grid.slants(*outer, *inner))
            && upright(inner.0.0)
            && upright(inner.0.1)
            && level(inner.1.0)
            && level(inner.1.1)
    };
    let width = grid
        .range(Dir::Upright, h.0 + MEMBER.0, h.0 + most)
        .map(|index| grid.up[index].at - h.0)
        .find(wide)?;
    Some(Framed {
        stiles: [(h.0, h.0 + width), (h.1 - width, h.1)],
        rails: vec![(v.0, v.0 + width), (v.1 - width, v.1)],
        high: v,
        mitred: true,
    })
}

/// The members as the front shows them.
pub(super) fn faces(
    grid: &Grid,
    cue: bool,
    framed: &Framed,
    panels: &[Option<Range>],
) -> Vec<ViewPart> {
    let [left, right] = framed.stiles;
    let clear = (left.1, right.0);
    // A line that ends alike in both stiles.
    let ends = |z: f64| -> Option<Range> {
        let middle = (clear.0 + clear.1) / 2.0;
        let run = grid.lv[grid.at(Dir::Level, z)?].run_at(middle)?;
        let inside = run.lo >= left.0 - GAP && run.lo < clear.0 - GAP;
        (cue && inside && near(run.lo - left.0, right.1 - run.hi)).then_some((run.lo, run.hi))
    };
    let mut parts = vec![
        ViewPart::new(Role::DoorStile, left, framed.high, WHY).placed(Place::Left),
        ViewPart::new(Role::DoorStile, right, framed.high, WHY).placed(Place::Right),
    ];
    let last = framed.rails.len() - 1;
    for (n, rail) in framed.rails.iter().enumerate() {
        let edge = if n == last { rail.0 } else { rail.1 };
        let whole = if framed.mitred {
            Some((left.0, right.1))
        } else {
            ends(edge).or_else(|| tongues(grid, framed, n).filter(|_| cue))
        };
        let mut part = ViewPart::new(Role::DoorRail, whole.unwrap_or(clear), *rail, WHY);
        part.covered = [whole.is_none(), whole.is_none(), false, false];
        parts.push(part);
    }
    for (field, pair) in framed.rails.windows(2).enumerate() {
        let seen = (pair[0].1, pair[1].0);
        let high = panels.get(field).copied().flatten();
        let whole = high.and_then(|high| match (ends(high.0), ends(high.1)) {
            (Some(a), Some(b)) if same_range(a, b) => Some(a),
            _ => None,
        });
        let across = whole.unwrap_or(clear);
        let mut part = ViewPart::new(Role::DoorPanel, across, high.unwrap_or(seen), WHY);
        let hidden = [whole.is_none(), high.is_none()];
        part.covered = [hidden[0], hidden[0], hidden[1], hidden[1]];
        parts.push(part);
    }
    parts
}

/// The panel of a field in a section: its thickness and its height.
fn panel(grid: &Grid, deep: Range, clear: Range) -> Option<(Range, Range)> {
    let want = Want {
        dir: Dir::Upright,
        thick: PANEL,
        long: clear.1 - clear.0,
        slack: 0.0,
        crosses: 0,
        bridge: true,
    };
    let window = grid.window(
        (deep.0 + 0.5, deep.1 - 0.5),
        (clear.0 - GROOVE, clear.1 + GROOVE),
    );
    let found: Vec<strips::Strip> = strips::find(&window, want)
        .into_iter()
        .filter(|s| s.cornered() && s.a <= clear.0 + GAP && s.b >= clear.1 - GAP)
        .collect();
    let first = found.first()?;
    if !found
        .iter()
        .all(|s| near(s.t0, first.t0) && near(s.t1, first.t1))
    {
        return None;
    }
    // The panel has a little play in its groove: of two ends the inner is its own.
    let end = |pick: fn(f64, f64) -> f64, ends: fn(&strips::Strip) -> f64| {
        found.iter().map(ends).reduce(pick)
    };
    let (a, b) = (end(f64::max, |s| s.a)?, end(f64::min, |s| s.b)?);
    let played = found.iter().all(|s| a - s.a <= PLAY && s.b - b <= PLAY);
    played.then_some(((first.t0, first.t1), (a, b)))
}

/// How far a rail reaches into the stiles: the one hidden line in both that runs
/// along it and stays within the leaf.
fn tongues(grid: &Grid, framed: &Framed, n: usize) -> Option<Range> {
    let [left, right] = framed.stiles;
    let rail = framed.rails.get(n)?;
    // A panel in its groove covers the rail's inner edges.
    let from = rail.0 + if n == 0 { 0.0 } else { GROOVE };
    let to = rail.1
        - if n + 1 == framed.rails.len() {
            0.0
        } else {
            GROOVE
        };
    if to - from < 2.0 {
        return None;
    }
    let along = |x: f64| {
        grid.at(Dir::Upright, x).is_some_and(|index| {
            grid.up[index].runs.iter().any(|run| {
                let within = run.lo >= framed.high.0 - GAP && run.hi <= framed.high.1 + GAP;
                within && run.lo <= from + GAP && run.hi >= to - GAP
            })
        })
    };
    let ends: Vec<f64> = grid
        .range(Dir::Upright, left.0 + 1.0, left.1 - 1.0)
        .map(|index| grid.up[index].at)
        .filter(|x| along(*x) && along(right.1 - (x - left.0)))
        .collect();
    match ends.as_slice() {
        [one] => Some((*one, right.1 - (one - left.0))),
        _ => None,
    }
}
