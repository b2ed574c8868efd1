//! Runs: several cabinets drawn side by side as one view, divided at their
//! seams so that each has a view of its own.

use super::build::{self, Label, Sketch};
use super::flatten::{Stroke, unite};
use super::frame::Groups;
use super::{parted, seams, stacked};
use geo::Rect;

/// A sketch divided, left to right.
pub(super) struct Division {
    pub parts: Vec<Sketch>,
    /// Where it was divided, drawing units.
    pub seams: Vec<f64>,
    pub evidence: String,
}

/// Why a run stays in one piece.
pub(super) struct Undivided {
    pub reason: String,
}

/// Two places nearer than this are one, as a share of the view.
pub(super) const NEAR: f64 = 4e-4;
/// Deepest nesting of divisions.
const DEPTH: usize = 64;
/// Score a seam needs, and its lead over the next best.
const CLEAR: f64 = 1.0;
const LEAD: f64 = 0.2;

/// Divides a sketch on which two or more names stand. `None` when it shows one
/// cabinet only. `hidden` tells the strokes known to be hidden edges: a seam is seen.
pub(super) fn divide(
    sketch: &Sketch,
    hidden: &dyn Fn(u32) -> bool,
) -> Option<Result<Division, Undivided>> {
    let mut labels = sketch.labels.clone();
    labels.sort_by(|p, q| {
        p.at.x
            .total_cmp(&q.at.x)
            .then(p.at.y.total_cmp(&q.at.y))
            .then(p.name.cmp(&q.name))
    });
    labels.dedup_by(|q, p| q.name == p.name);
    let distinct: std::collections::BTreeSet<&str> =
        labels.iter().map(|l| l.name.as_str()).collect();
    if distinct.len() < 2 {
        return None;
    }
    // Sides drawn one on the other with one name between them are the seams, whatever
    // else lies nearer the middle between two names.
    let sure = seams::find(sketch, false, hidden);
    if one_between(&labels, &sure) {
        return Some(seams::divide(sketch, &sure, hidden));
    }
    let mut parts = Vec::new();
    let mut seams = Vec::new();
    let out = (&mut parts, &mut seams);
    match split(sketch.clone(), labels, DEPTH, hidden, out) {
        Ok(()) => {
            parts.sort_by(|p, q| {
                p.bounds
                    .min()
                    .x
                    .total_cmp(&q.bounds.min().x)
                    .then(q.bounds.max().y.total_cmp(&p.bounds.max().y))
            });
            seams.sort_by(f64::total_cmp);
            Some(Ok(Division {
                parts,
                evidence: "divided between the names that stand on it, where uprights run through and have the same neighbours on both sides".to_owned(),
                seams,
            }))
        }
        Err(reason) => Some(Err(Undivided { reason })),
    }
}

/// True when one label stands before, between and after each of the seams.
fn one_between(labels: &[Label], seams: &[f64]) -> bool {
    seams::places(labels, seams).eq(0..=seams.len())
}

fn split(
    sketch: Sketch,
    labels: Vec<Label>,
    depth: usize,
    hidden: &dyn Fn(u32) -> bool,
    (parts, seams): (&mut Vec<Sketch>, &mut Vec<f64>),
) -> Result<(), String> {
    let names: std::collections::BTreeSet<&str> = labels.iter().map(|l| l.name.as_str()).collect();
    if names.len() <= 1 || depth == 0 {
        let mut sketch = sketch;
        sketch.told.cabinets = names.iter().map(|n| (*n).to_owned()).collect();
        sketch.labels.clear();
        parts.push(sketch);
        return Ok(());
    }
    // Pieces that stand apart need no seam.
    let pieces = apart(&sketch);
    if pieces.len() > 1 {
        let homes = homes(&pieces, &labels);
        for (piece, labels) in pieces.into_iter().zip(homes) {
            split(piece, labels, depth - 1, hidden, (parts, seams))?;
        }
        return Ok(());
    }
    // One on another, before side by side: what stands on a wide base has seams that
    // end on it.
    if let Some(level) = stacked::seam(&sketch, &labels, hidden) {
        let (below, above) = stacked::cut(&sketch, level);
        let (low, high): (Vec<Label>, Vec<Label>) =
            labels.into_iter().partition(|l| l.at.y < level);
        split(below, low, depth - 1, hidden, (parts, seams))?;
        return split(above, high, depth - 1, hidden, (parts, seams));
    }
    let seam = seam(&sketch, &labels, hidden)?;
    let (left, right) = parted::cut(&sketch, seam);
    let (low, high): (Vec<Label>, Vec<Label>) = labels.into_iter().partition(|l| l.at.x < seam);
    seams.push(seam);
    split(left, low, depth - 1, hidden, (parts, seams))?;
    split(right, high, depth - 1, hidden, (parts, seams))
}

/// Groups of a sketch that do not touch at all.
fn apart(sketch: &Sketch) -> Vec<Sketch> {
    let size = sketch.bounds.width().max(sketch.bounds.height());
    let all = (0..sketch.strokes.len() as u32).collect();
    let groups = Groups::near(&sketch.strokes, all, |_| 2e-4 * size);
    if groups.iter().count() <= 1 {
        return vec![sketch.clone()];
    }
    let strokes = |members: &[u32]| {
        members
            .iter()
            .map(|&i| sketch.strokes[i as usize])
            .collect()
    };
    let mut sketches: Vec<Sketch> = groups
        .iter()
        .filter_map(|members| part_of(sketch, strokes(members)))
        .collect();
    sketches.sort_by(|p, q| {
        p.bounds
            .min()
            .x
            .total_cmp(&q.bounds.min().x)
            .then(p.bounds.min().y.total_cmp(&q.bounds.min().y))
    });
    sketches
}

pub(super) fn part_of(sketch: &Sketch, strokes: Vec<Stroke>) -> Option<Sketch> {
    let bounds = build::bounds(&strokes)?;
    Some(Sketch {
        strokes,
        bounds,
        arcs: Vec::new(),
        texts: Vec::new(),
        dimensions: Vec::new(),
        labels: Vec::new(),
        ..sketch.clone()
    })
}

/// Labels by piece: inside it, else the nearest.
fn homes(pieces: &[Sketch], labels: &[Label]) -> Vec<Vec<Label>> {
    let mut homes: Vec<Vec<Label>> = vec![Vec::new(); pieces.len()];
    for label in labels {
        let away = |r: &Rect<f64>| {
            let dx = (r.min().x - label.at.x)
                .max(label.at.x - r.max().x)
                .max(0.0);
            let dy = (r.min().y - label.at.y)
                .max(label.at.y - r.max().y)
                .max(0.0);
            dx.hypot(dy)
        };
        let best = pieces
            .iter()
            .enumerate()
            .map(|(i, p)| (away(&p.bounds), -p.bounds.width() * p.bounds.height(), i))
            .min_by(|p, q| {
                p.0.total_cmp(&q.0)
                    .then(p.1.total_cmp(&q.1))
                    .then(p.2.cmp(&q.2))
            });
        if let Some((_, _, i)) = best {
            homes[i].push(label.clone());
        }
    }
    homes
}

/// An upright of the run, all pieces of one position together.
pub(super) struct Upright {
    pub x: f64,
    low: f64,
    high: f64,
    /// Length drawn, repeats once.
    pub covered: f64,
    /// Length drawn twice or more.
    pub doubled: f64,
}

/// The seam that parts the labels best.
fn seam(sketch: &Sketch, labels: &[Label], hidden: &dyn Fn(u32) -> bool) -> Result<f64, String> {
    let size = sketch.bounds.width().max(sketch.bounds.height());
    let near = NEAR * size;
    let seen = sketch.seen(hidden);
    let uprights = uprights(&seen, near);
    let levels = levels(&seen);
    let has = |x: f64, low: f64, high: f64| {
        let from = uprights.partition_point(|u| u.x < x - near);
        uprights
            .iter()
            .skip(from)
            .take_while(|u| u.x <= x + near)
            .any(|u| u.high.min(high) - u.low.max(low) > 0.6 * (high - low))
    };
    let unlabelled = |x: f64| {
        let left = labels.iter().any(|l| l.at.x < x - near);
        let right = labels.iter().any(|l| l.at.x > x + near);
        !(left && right)
    };
    let (min, max) = (sketch.bounds.min(), sketch.bounds.max());
    let mut scored: Vec<(f64, f64)> = Vec::new();
    let crosses = |x: f64| {
        let past = move |l: &&(f64, f64, f64)| l.0 < x - 4.0 * near && l.1 > x + 4.0 * near;
        levels.iter().filter(past)
    };
    for u in &uprights {
        if unlabelled(u.x) || u.x - min.x < 0.02 * size || max.x - u.x < 0.02 * size {
            continue;
        }
        // The neighbourhood's height, not that of a tall cabinet further on.
        let local = local_height(&levels, u.x, near).unwrap_or(max.y - min.y);
        let cover = (u.covered / local).min(1.0);
        if cover < 0.5 {
            continue;
        }
        // Lines mirrored on the seam: the sides or stiles that meet there.
        let (mut pairs, mut single) = (0.0, 0.0);
        let mut outer: f64 = 0.0;
        let reach = 0.12 * local;
        for side in [-1.0, 1.0] {
            let (lo, hi) = if side < 0.0 {
                (u.x - reach, u.x - 2.0 * near)
            } else {
                (u.x + 2.0 * near, u.x + reach)
            };
            let from = uprights.partition_point(|p| p.x < lo);
            for p in uprights.iter().skip(from).take_while(|p| p.x <= hi) {
                if p.covered < 0.4 * u.covered {
                    continue;
                }
                let apart = (p.x - u.x).abs();
                if has(u.x - side * apart, p.low.max(u.low), p.high.min(u.high)) {
                    pairs += 1.0;
                    if has(min.x + apart, u.low, u.high) || has(max.x - apart, u.low, u.high) {
                        outer = 1.0;
                    }
                } else {
                    single += 1.0;
                }
            }
        }
        let mirrored = if pairs > 0.0 {
            pairs / (pairs + single)
        } else {
            0.0
        };
        // Nothing of one cabinet is drawn across the seam to the next.
        let crossed = crosses(u.x).next().is_some();
        let score = 0.5 * cover
            + 0.6 * mirrored
            + 0.2 * outer
            + if crossed { 0.0 } else { 0.6 }
            + 0.2 * (u.doubled / u.covered).min(1.0);
        scored.push((score, u.x));
    }
    // Where that leaves it open, the step between neighbours of unlike heights tells, and
    // the floor may go on under both.
    let on = |x: f64| outlasting(&uprights, x, near);
    let x = clearest(&mut scored, labels, &on).or_else(|unclear| {
        for (score, x) in &mut scored {
            let mut crossing = crosses(*x).peekable();
            if crossing.peek().is_some() && crossing.all(|l| l.2 <= min.y + near) {
                *score += 0.6;
            }
            if parted::is_step(&seen, *x, min.y, near) {
                *score += 0.3;
            }
        }
        clearest(&mut scored, labels, &on).map_err(|_| unclear)
    })?;
    Ok(on(x))
}

/// The place with the one score that leads all others by enough. `on` gives the seam that
/// a place stands for: two that stand for one are no rivals.
fn clearest(
    scored: &mut [(f64, f64)],
    labels: &[Label],
    on: &dyn Fn(f64) -> f64,
) -> Result<f64, String> {
    scored.sort_by(|p, q| q.0.total_cmp(&p.0).then(p.1.total_cmp(&q.1)));
    let unclear = |what: &str| {
        let names: Vec<&str> = labels.iter().map(|l| l.name.as_str()).collect();
        format!(
            "{} are drawn as one, and {what}; name their regions in the job file",
            names.join(", ")
        )
    };
    let Some(&(best, x)) = scored.first().filter(|s| s.0 >= CLEAR) else {
        return Err(unclear("no line between them runs through as a seam does"));
    };
    // Rivals between the same two labels only: further seams divide other names.
    let side = |at: f64| labels.iter().filter(|l| l.at.x < at).count();
    let mut rivals = scored.iter().skip(1).filter(|s| on(s.1) != on(x));
    let rival = rivals.find(|s| side(s.1) == side(x));
    match rival {
        Some(rival) if best - rival.0 < LEAD => {
            Err(unclear("more than one line between them could be the seam"))
        }
        _ => Ok(x),
    }
}

/// The line close beside a seam that goes on past it at one end at least and ends
/// before it at none: the edge of a door ends short of the case's. Of a frame that ends on
/// a base both edges are drawn, one on the other; the case set back behind it is not the
/// end, however far down it goes.
fn outlasting(uprights: &[Upright], x: f64, near: f64) -> f64 {
    let beside = 6.0 * near;
    let from = uprights.partition_point(|u| u.x < x - beside);
    let close: Vec<&Upright> = uprights
        .iter()
        .skip(from)
        .take_while(|u| u.x <= x + beside)
        .collect();
    let Some(seam) = close.iter().find(|u| u.x == x) else {
        return x;
    };
    let more = |u: &&&Upright| u.covered > seam.covered + 2.0 * near;
    let twice = |u: &Upright| u.doubled >= seams::DOUBLED * u.covered;
    let shared = |u: &&&Upright| twice(u) || !twice(seam);
    let holds = |u: &&&Upright| u.low <= seam.low + near && u.high >= seam.high - near;
    close
        .iter()
        .filter(more)
        .filter(holds)
        .filter(shared)
        .max_by(|a, b| a.covered.total_cmp(&b.covered).then(b.x.total_cmp(&a.x)))
        .map_or(x, |u| u.x)
}

/// Level strokes: from where to where, and how high.
pub(super) fn levels(strokes: &[Stroke]) -> Vec<(f64, f64, f64)> {
    strokes
        .iter()
        .filter(|s| (s.b.y - s.a.y).abs() <= 1e-3 * (s.b.x - s.a.x).abs())
        .map(|s| (s.a.x.min(s.b.x), s.a.x.max(s.b.x), s.a.y))
        .collect()
}

/// Height of the work on both sides of an upright: the lower of the two.
pub(super) fn local_height(levels: &[(f64, f64, f64)], x: f64, near: f64) -> Option<f64> {
    let range = |touches: &dyn Fn(&(f64, f64, f64)) -> bool| {
        let ys: Vec<f64> = levels.iter().filter(|l| touches(l)).map(|l| l.2).collect();
        let lo = ys.iter().copied().fold(f64::INFINITY, f64::min);
        let hi = ys.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        (hi > lo).then_some(hi - lo)
    };
    let left = range(&|l| l.0 < x - near && l.1 >= x - 2.0 * near);
    let right = range(&|l| l.1 > x + near && l.0 <= x + 2.0 * near);
    match (left, right) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    }
}

/// The uprights of a view, left to right.
pub(super) fn uprights(strokes: &[Stroke], near: f64) -> Vec<Upright> {
    let mut pieces: Vec<(f64, f64, f64)> = strokes
        .iter()
        .filter(|s| (s.b.x - s.a.x).abs() <= 1e-3 * (s.b.y - s.a.y).abs())
        .map(|s| {
            (
                f64::midpoint(s.a.x, s.b.x),
                s.a.y.min(s.b.y),
                s.a.y.max(s.b.y),
            )
        })
        .collect();
    pieces.sort_by(|p, q| p.0.total_cmp(&q.0).then(p.1.total_cmp(&q.1)));
    let mut found: Vec<Upright> = Vec::new();
    let mut start = 0;
    while start < pieces.len() {
        let x = pieces[start].0;
        let mut end = start;
        while end < pieces.len() && pieces[end].0 - x <= 0.5 * near {
            end += 1;
        }
        let mut column: Vec<(f64, f64)> = pieces[start..end].iter().map(|p| (p.1, p.2)).collect();
        column.sort_by(|p, q| p.0.total_cmp(&q.0).then(p.1.total_cmp(&q.1)));
        let (mut covered, mut doubled) = (0.0, 0.0);
        // How far is drawn once, and twice.
        let (mut once, mut twice) = (f64::NEG_INFINITY, f64::NEG_INFINITY);
        for &(lo, hi) in &column {
            covered += (hi - lo.max(once)).max(0.0);
            let second = hi.min(once);
            doubled += (second - lo.max(twice)).max(0.0);
            twice = twice.max(second);
            once = once.max(hi);
        }
        found.push(Upright {
            x,
            low: column.first().map_or(0.0, |c| c.0),
            high: once,
            covered,
            doubled,
        });
        start = end;
    }
    found
}

/// Names that several blocks or layers give to parts of one sketch: a label in
/// the middle of what each draws, when these stand side by side.
pub(super) fn labels_by<'a>(
    sketch: &Sketch,
    name: impl Fn(u32) -> &'a str,
    read: impl Fn(&str) -> Option<String>,
) -> Vec<Label> {
    let mut boxes: std::collections::BTreeMap<&str, Rect<f64>> = std::collections::BTreeMap::new();
    // Neighbours mostly have one name, and to look it up takes longest.
    let named_alike = |p: &Stroke, q: &Stroke| std::ptr::eq(name(p.source), name(q.source));
    for alike in sketch.strokes.chunk_by(named_alike) {
        let Some(b) = alike.iter().map(Stroke::bounds).reduce(unite) else {
            continue;
        };
        boxes
            .entry(name(alike[0].source))
            .and_modify(|r| *r = unite(*r, b))
            .or_insert(b);
    }
    if boxes.len() < 2 || boxes.len() > 4096 {
        return Vec::new();
    }
    let mut labels: Vec<(Label, Rect<f64>)> = boxes
        .into_iter()
        .filter_map(|(text, r)| {
            Some((
                Label {
                    name: read(text)?,
                    at: r.center(),
                },
                r,
            ))
        })
        .collect();
    labels.sort_by(|p, q| {
        p.1.min()
            .x
            .total_cmp(&q.1.min().x)
            .then(p.0.name.cmp(&q.0.name))
    });
    let near = 0.01 * sketch.bounds.width();
    let side_by_side = labels
        .windows(2)
        .all(|pair| pair[1].1.min().x >= pair[0].1.max().x - near);
    if side_by_side {
        labels.into_iter().map(|l| l.0).collect()
    } else {
        Vec::new()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_drawn_once_does_not_outlast_a_seam_drawn_twice() {
        let stroke = |x: f64, low: f64, high: f64| Stroke {
            a: geo::Coord { x, y: low },
            b: geo::Coord { x, y: high },
            source: 0,
            pieces: 1,
        };
        let end = |strokes: &[Stroke]| outlasting(&uprights(strokes, 0.6), 381.0, 0.6);
        // The edge of a door, and the end of the case, which goes on to the floor.
        let door = stroke(381.0, 100.0, 880.0);
        let case = stroke(383.0, 0.0, 889.0);
        assert_eq!(end(&[door, case]), 383.0);
        assert_eq!(end(&[door, door, case, case]), 383.0);
        // Two frames that meet on a base, and the case of one behind them.
        assert_eq!(end(&[door, door, case]), 381.0);
    }

    #[test]
    fn seams_are_sure_with_one_name_before_between_and_after_them() {
        for (at, seams, sure) in [
            (&[1.0, 5.0, 9.0][..], &[4.0, 8.0][..], true),
            (&[1.0, 5.0], &[4.0], true),
            // Two names in one piece, none in another, or no seam at all.
            (&[1.0, 2.0, 9.0], &[4.0, 8.0], false),
            (&[1.0, 9.0], &[4.0, 8.0], false),
            (&[1.0, 2.0, 5.0], &[4.0], false),
            (&[1.0, 5.0], &[], false),
        ] {
            let labels: Vec<Label> = at
                .iter()
                .enumerate()
                .map(|(index, &x)| Label {
                    name: format!("B{index}"),
                    at: geo::Coord { x, y: 1.0 },
                })
                .collect();
            assert_eq!(one_between(&labels, seams), sure, "{at:?} {seams:?}");
        }
    }
}
