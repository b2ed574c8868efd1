//! What untitled views show and whose they are: by what stands level with what,
//! by equal sizes, and by what only a front has. What stays open stays open.

use super::build::Sketch;
use super::flatten::{Flat, Stroke};
use super::{Scale, Title, ViewKind};
use crate::linework::{self, RawSegment};
use geo::Rect;
use std::collections::{BTreeMap, BTreeSet};

/// Sizes that agree within this share are the same.
const SAME: f64 = 0.006;
/// Depths seen in two views may differ by a door.
pub(super) const DEPTH: f64 = 0.015;

pub(super) fn same(a: f64, b: f64, near: f64) -> bool {
    (a - b).abs() <= near * a.max(b)
}

/// Views side by side: their bottoms and tops are level.
pub(super) fn level(a: &Rect<f64>, b: &Rect<f64>) -> bool {
    let near = SAME * a.height().max(b.height());
    (a.min().y - b.min().y).abs() <= near && (a.max().y - b.max().y).abs() <= near
}

/// Views over each other: their left and right ends are in line.
pub(super) fn in_line(a: &Rect<f64>, b: &Rect<f64>) -> bool {
    let near = SAME * a.width().max(b.width());
    (a.min().x - b.min().x).abs() <= near && (a.max().x - b.max().x).abs() <= near
}

/// Most views of one cabinet looked at together.
const SET: usize = 12;

/// Gives names to views that stand in line with named ones, and to all views of
/// a sheet that knows one name only.
pub(super) fn share_names(sketches: &mut [Sketch], only: Option<&str>) {
    let named: BTreeSet<Vec<String>> = sketches
        .iter()
        .filter(|s| !s.told.cabinets.is_empty())
        .map(|s| s.told.cabinets.clone())
        .collect();
    let give = |sketch: &mut Sketch, names: Vec<String>, origin: String| {
        if sketch.told.title.is_none() {
            sketch.told.title = Some(Title {
                text: names.join(", "),
                origin,
            });
        }
        sketch.told.cabinets = names;
    };
    let fronts = sketches
        .iter()
        .filter(|s| s.told.kind == ViewKind::Front)
        .count();
    if named.len() == 1 {
        let names = named.into_iter().next().unwrap_or_default();
        // Two fronts of different cabinets cannot both be the one name's.
        let front_named = sketches
            .iter()
            .any(|s| s.told.kind == ViewKind::Front && !s.told.cabinets.is_empty());
        for sketch in sketches.iter_mut().filter(|s| s.told.cabinets.is_empty()) {
            if sketch.told.kind != ViewKind::Front || !front_named {
                if sketch.told.kind == ViewKind::Front && fronts > 1 {
                    continue;
                }
                give(
                    sketch,
                    names.clone(),
                    "the only name on the sheet".to_owned(),
                );
            }
        }
        return;
    }
    if named.is_empty() {
        if let Some(only) = only
            && fronts <= 1
            && sketches.len() <= 6
        {
            for sketch in sketches.iter_mut() {
                give(
                    sketch,
                    vec![only.to_owned()],
                    "the only cabinet there is".to_owned(),
                );
            }
        }
        return;
    }
    // Beside a named front: the nearest that is level or in line.
    let known: Vec<(Rect<f64>, Vec<String>, ViewKind)> = sketches
        .iter()
        .filter(|s| !s.told.cabinets.is_empty())
        .map(|s| (s.bounds, s.told.cabinets.clone(), s.told.kind))
        .collect();
    for sketch in sketches.iter_mut().filter(|s| s.told.cabinets.is_empty()) {
        let kind = sketch.told.kind;
        let b = sketch.bounds;
        let mut near: Vec<(f64, &Vec<String>)> = known
            .iter()
            .filter(|(r, _, other)| {
                let beside = matches!(kind, ViewKind::End | ViewKind::Section)
                    && *other == ViewKind::Front
                    && level(&b, r);
                let over = kind == ViewKind::Plan && *other == ViewKind::Front && in_line(&b, r);
                beside || over
            })
            .map(|(r, names, _)| {
                let dx = (r.min().x - b.max().x).max(b.min().x - r.max().x).max(0.0);
                let dy = (r.min().y - b.max().y).max(b.min().y - r.max().y).max(0.0);
                (dx.hypot(dy), names)
            })
            .collect();
        near.sort_by(|p, q| p.0.total_cmp(&q.0).then(p.1.cmp(q.1)));
        let clear = match near.as_slice() {
            [] => false,
            [_] => true,
            [first, second, ..] => first.0 * 1.5 < second.0 || first.1 == second.1,
        };
        if clear && let Some((_, names)) = near.first() {
            let names = (*names).clone();
            give(
                sketch,
                names,
                "stands in line with the front of that name".to_owned(),
            );
        }
    }
}

/// Finds the kinds of views that no text gives.
pub(super) fn find_kinds(flat: &Flat, sketches: &mut [Sketch]) {
    let mut sets: BTreeMap<Vec<String>, Vec<usize>> = BTreeMap::new();
    for (i, sketch) in sketches.iter().enumerate() {
        if !sketch.told.settled {
            sets.entry(sketch.told.cabinets.clone())
                .or_default()
                .push(i);
        }
    }
    // What is found for one set of names tells nothing about another.
    let mut settled: BTreeMap<Vec<String>, Vec<usize>> = BTreeMap::new();
    for (i, sketch) in sketches.iter().enumerate() {
        let told = &sketch.told;
        let no_use = matches!(told.kind, ViewKind::Unknown | ViewKind::FlatPart);
        if told.settled && !no_use && sets.contains_key(&told.cabinets) {
            settled.entry(told.cabinets.clone()).or_default().push(i);
        }
    }
    let boxes: Vec<Rect<f64>> = sketches.iter().map(|s| s.bounds).collect();
    for (names, mut open) in sets {
        // Views without a name form sets by standing in line.
        let known = settled.remove(&names).unwrap_or_default();
        open.truncate(4 * SET);
        if names.is_empty() && (open.len() > SET || !known.is_empty()) {
            continue;
        }
        settle_set(flat, sketches, &boxes, &known, &open);
    }
}

pub(super) fn settle_set(
    flat: &Flat,
    sketches: &mut [Sketch],
    boxes: &[Rect<f64>],
    known: &[usize],
    open: &[usize],
) {
    if open.is_empty() || open.len() > SET {
        return;
    }
    let set = |sketches: &mut [Sketch], i: usize, kind: ViewKind, evidence: String| {
        sketches[i].told.kind = kind;
        sketches[i].told.kind_evidence = evidence;
        sketches[i].told.settled = true;
    };
    let front = known
        .iter()
        .copied()
        .find(|&i| sketches[i].told.kind == ViewKind::Front);
    if let Some(front) = front {
        let f = boxes[front];
        for &i in open {
            let b = boxes[i];
            let high = same(b.height(), f.height(), SAME);
            let wide = same(b.width(), f.width(), SAME);
            match (high, wide) {
                (true, false) => {
                    set(
                        sketches,
                        i,
                        ViewKind::End,
                        "as high as the front of this cabinet and not as wide".to_owned(),
                    );
                }
                (false, true) => {
                    set(
                        sketches,
                        i,
                        ViewKind::Plan,
                        "as wide as the front of this cabinet and not as high".to_owned(),
                    );
                }
                _ => {
                    sketches[i].told.kind_evidence =
                        "no title says what this shows, and its size fits the front both ways or not at all".to_owned();
                }
            }
        }
        return;
    }
    // Which one, taken for the front, makes sense of all others?
    let all: Vec<usize> = known.iter().chain(open).copied().collect();
    let mut makes_sense: Vec<(usize, Vec<(usize, ViewKind)>)> = Vec::new();
    if all.len() >= 2 {
        for &f in open {
            if let Some(roles) = explain(sketches, boxes, f, &all) {
                makes_sense.push((f, roles));
            }
        }
    }
    // Mirror images of one reading: two views of the same size are both ends.
    let chosen = match makes_sense.as_slice() {
        [one] => Some((
            one.clone(),
            "the sizes of its views fit together only so".to_owned(),
        )),
        [] => None,
        several => {
            let votes: Vec<(usize, Vec<&'static str>)> = several
                .iter()
                .map(|(f, _)| {
                    (
                        *f,
                        front_signs(
                            flat,
                            &sketches[*f],
                            &all.iter()
                                .filter(|&i| i != f)
                                .map(|&i| &sketches[i])
                                .collect::<Vec<_>>(),
                        ),
                    )
                })
                .collect();
            let best = votes
                .iter()
                .max_by(|p, q| p.1.len().cmp(&q.1.len()).then(q.0.cmp(&p.0)));
            best.filter(|best| {
                best.1.len() >= 2 && votes.iter().all(|v| v.0 == best.0 || v.1.is_empty())
                    || sketches[best.0].run.is_some()
                        && votes
                            .iter()
                            .all(|v| v.0 == best.0 || sketches[v.0].run.is_none())
            })
            .and_then(|best| {
                let reading = several.iter().find(|s| s.0 == best.0)?.clone();
                Some((
                    reading,
                    format!("taken for the front by {}", best.1.join(" and ")),
                ))
            })
        }
    };
    match chosen {
        Some(((front, roles), evidence)) => {
            set(sketches, front, ViewKind::Front, evidence.clone());
            for (i, kind) in roles {
                if open.contains(&i) && kind != ViewKind::Unknown {
                    set(sketches, i, kind, evidence.clone());
                }
            }
        }
        None if by_looks(flat, sketches, boxes, open, &all) => {}
        None if all.len() == 1 => {
            let i = open[0];
            let signs = front_signs(flat, &sketches[i], &[]);
            if signs.len() >= 2 {
                set(
                    sketches,
                    i,
                    ViewKind::Front,
                    format!("taken for the front by {}", signs.join(" and ")),
                );
            } else {
                sketches[i].told.kind_evidence =
                    "no title says what this shows; a word such as FRONT or SECTION near it, or the job file, would tell".to_owned();
            }
        }
        None => {
            for &i in open {
                sketches[i].told.kind_evidence = if makes_sense.len() > 1 {
                    "no title says what this shows, and more than one reading of this cabinet's views fits; a word such as FRONT or SECTION near it, or the job file, would tell".to_owned()
                } else {
                    "no title says what this shows, and its size fits no other view; a word such as FRONT or SECTION near it, or the job file, would tell".to_owned()
                };
            }
        }
    }
}

/// Settles views whose sizes fit together in more ways than one by what they look like:
/// one is seen from the front, all others as high from the side.
fn by_looks(
    flat: &Flat,
    sketches: &mut [Sketch],
    boxes: &[Rect<f64>],
    open: &[usize],
    all: &[usize],
) -> bool {
    if all.len() < 2 || all.len() != open.len() {
        return false;
    }
    let looks: BTreeMap<usize, Look> = open
        .iter()
        .map(|&i| (i, look(flat, &sketches[i])))
        .collect();
    let roles = |front: usize| -> Option<Vec<(usize, ViewKind)>> {
        let (f, own) = (boxes[front], looks.get(&front)?);
        let mut depths = Vec::new();
        let mut roles = vec![(front, ViewKind::Front)];
        for &i in open.iter().filter(|&&i| i != front) {
            let (b, other) = (boxes[i], looks.get(&i)?);
            let (high, wide) = (
                same(b.height(), f.height(), SAME),
                same(b.width(), f.width(), SAME),
            );
            if high && other.from_side() && own.from_front(other) {
                roles.push((i, ViewKind::End));
                depths.push(b.width());
            } else if wide && !high && !other.front_only && !other.notched {
                roles.push((i, ViewKind::Plan));
                depths.push(b.height());
            } else {
                return None;
            }
        }
        let sides = roles.iter().any(|(_, kind)| *kind == ViewKind::End);
        let agreed = depths.windows(2).all(|pair| same(pair[0], pair[1], DEPTH));
        (sides && agreed).then_some(roles)
    };
    let mut found = open.iter().filter_map(|&front| roles(front));
    let (Some(only), None) = (found.next(), found.next()) else {
        return false;
    };
    for (i, kind) in only {
        let told = &mut sketches[i].told;
        told.kind = kind;
        told.kind_evidence = match kind {
            ViewKind::Front => "alike left and right as a front is, and the view as high is not",
            ViewKind::End => "as high as the front, and not alike left and right",
            _ => "as wide as the front of this cabinet and not as high",
        }
        .to_owned();
        told.settled = true;
    }
    true
}

/// The roles of the others when `front` is the front; `None` when one of them
/// then makes no sense.
fn explain(
    sketches: &[Sketch],
    boxes: &[Rect<f64>],
    front: usize,
    all: &[usize],
) -> Option<Vec<(usize, ViewKind)>> {
    let f = boxes[front];
    let mut roles = Vec::new();
    let mut depths: Vec<f64> = Vec::new();
    for &i in all {
        if i == front {
            continue;
        }
        let b = boxes[i];
        let told = sketches[i].told.kind;
        let end = same(b.height(), f.height(), SAME);
        let plan = same(b.width(), f.width(), SAME);
        let (kind, depth) = match told {
            ViewKind::End | ViewKind::Section if end => (told, b.width()),
            ViewKind::Plan if plan => (told, b.height()),
            ViewKind::Unknown => match (end, plan) {
                (true, false) => (ViewKind::End, b.width()),
                (false, true) => (ViewKind::Plan, b.height()),
                // As wide and as high as the front: it may be either, or another front.
                (true, true) => {
                    roles.push((i, ViewKind::Unknown));
                    continue;
                }
                (false, false) => return None,
            },
            _ => return None,
        };
        roles.push((i, kind));
        depths.push(depth);
    }
    let consistent = depths.windows(2).all(|pair| same(pair[0], pair[1], DEPTH));
    consistent.then_some(roles)
}

/// What a view shows of itself.
pub(super) struct Look {
    /// Door-swing lines or pulls, which only fronts have.
    pub front_only: bool,
    /// Strips of the same stock at both ends, with boards between them.
    pub sided: bool,
    /// One lower corner is cut out, as by a toe space.
    pub notched: bool,
    /// An upper corner is, and no lower one.
    pub inverted: bool,
    /// Share of the upright lines that have a mirror image, and their number.
    pub mirrored: f64,
    pub uprights: usize,
    /// The strips at both ends are equally wide, as stiles, sides and doors are.
    pub flanked: bool,
}

/// Share of a view's upright lines that have a mirror image: a front and a plan have
/// nearly all, an end with its back and its toe space has not.
const ALIKE: f64 = 0.97;
const LOPSIDED: f64 = 0.8;

impl Look {
    /// Seen from the side: cut out at the toe, or not alike left and right.
    pub fn from_side(&self) -> bool {
        let lopsided = self.mirrored < LOPSIDED && !self.flanked;
        !self.front_only && !self.inverted && !self.sided && (self.notched || lopsided)
    }

    /// Seen from the front, beside a view that is seen from the side.
    pub fn from_front(&self, side: &Look) -> bool {
        let alike = self.mirrored > ALIKE && self.uprights >= 4;
        !self.from_side() && (side.notched || self.front_only || self.sided || alike)
    }
}

pub(super) fn look(flat: &Flat, sketch: &Sketch) -> Look {
    let (mirrored, uprights) = mirrored(sketch);
    Look {
        front_only: swings(&sketch.strokes) || pulls(flat, sketch) > 0,
        sided: sided(sketch),
        notched: notched(sketch),
        inverted: inverted(sketch),
        mirrored,
        uprights,
        flanked: flanked(sketch),
    }
}

/// True when the first tall lines inside both ends are as far from them.
fn flanked(sketch: &Sketch) -> bool {
    let b = sketch.bounds;
    let near = 1e-3 * b.width().max(b.height());
    let mut inside: Vec<f64> = tall_lines(sketch, TALL, near)
        .into_iter()
        .filter(|x| x - b.min().x > near && b.max().x - x > near)
        .collect();
    inside.sort_by(f64::total_cmp);
    match inside.as_slice() {
        [first, .., last] => {
            let (left, right) = (first - b.min().x, b.max().x - last);
            (left - right).abs() <= near
        }
        _ => false,
    }
}

/// A line that covers this share of the height is tall.
const TALL: f64 = 0.4;

/// Where upright lines, put together from their pieces, cover this share of the
/// view's height.
fn tall_lines(sketch: &Sketch, share: f64, near: f64) -> Vec<f64> {
    let b = sketch.bounds;
    let mut pieces: Vec<Rect<f64>> = sketch
        .strokes
        .iter()
        .map(Stroke::bounds)
        .filter(|r| r.width() <= near && r.height() > near)
        .collect();
    pieces.sort_by(|p, q| {
        p.center()
            .x
            .total_cmp(&q.center().x)
            .then(p.min().y.total_cmp(&q.min().y))
            .then(p.max().y.total_cmp(&q.max().y))
    });
    let mut out = Vec::new();
    let mut rest = pieces.as_slice();
    while let Some(first) = rest.first() {
        let x = first.center().x;
        let together = rest.partition_point(|r| r.center().x <= x + near);
        let (line, others) = rest.split_at(together);
        let mut spans: Vec<(f64, f64)> = line.iter().map(|r| (r.min().y, r.max().y)).collect();
        spans.sort_by(|p, q| p.0.total_cmp(&q.0).then(p.1.total_cmp(&q.1)));
        let (mut end, mut sum) = (f64::NEG_INFINITY, 0.0);
        for (low, high) in spans {
            sum += (high - low.max(end)).max(0.0);
            end = end.max(high);
        }
        if sum >= share * b.height() {
            out.push(x);
        }
        rest = others;
    }
    out
}

/// Circles of a pull's size.
fn pulls(flat: &Flat, sketch: &Sketch) -> usize {
    let small = 0.06 * sketch.bounds.width().min(sketch.bounds.height());
    sketch
        .arcs
        .iter()
        .filter_map(|&i| flat.arcs.get(i))
        .filter(|a| a.full && a.radius > 0.08 * small && a.radius <= small)
        .count()
}

/// What only fronts have, as far as this view has it.
fn front_signs(flat: &Flat, sketch: &Sketch, others: &[&Sketch]) -> Vec<&'static str> {
    let mut signs = Vec::new();
    if sketch.run.is_some() {
        // Ends and sections are not drawn side by side as one.
        signs.push("standing in a run");
    }
    if swings(&sketch.strokes) {
        signs.push("door-swing lines");
    }
    if pulls(flat, sketch) > 0 && others.iter().all(|o| pulls(flat, o) == 0) {
        signs.push("pulls");
    }
    let (mirror, lines) = mirrored(sketch);
    let lopsided = |o: &&Sketch| {
        let (mirror, lines) = mirrored(o);
        mirror < 0.8 || lines <= 3
    };
    if mirror > 0.97 && lines >= 4 && !others.is_empty() && others.iter().all(lopsided) {
        signs.push("its left and right halves being alike");
    }
    if !others.is_empty() && others.iter().all(|o| notched(o)) && !notched(sketch) {
        signs.push("the toe notch of the other view");
    }
    if sided(sketch) && !others.is_empty() && !others.iter().any(|o| sided(o)) {
        signs.push("a side of the same stock at each end, with boards between them");
    }
    signs
}

/// Stock that sides are made of, millimetres.
const SIDE: (f64, f64) = (11.0, 41.0);

/// True when strips of one thickness stand at both ends from top to bottom, and
/// level lines run from inner face to inner face: sides with boards between
/// them. In an end or a section the boards run on to the front edge.
fn sided(sketch: &Sketch) -> bool {
    let Scale::Known { mm_per_unit, .. } = sketch.scale else {
        return false;
    };
    let b = sketch.bounds;
    let near = 4e-4 * b.width().max(b.height());
    let tall = |s: &Stroke| {
        let r = s.bounds();
        (r.width() <= near && r.height() >= 0.98 * b.height()).then(|| r.center().x)
    };
    let mut uprights: Vec<f64> = sketch.strokes.iter().filter_map(tall).collect();
    uprights.sort_by(f64::total_cmp);
    uprights.dedup_by(|p, q| (*p - *q).abs() <= near);
    let [left, inner_left, inner_right, right] = uprights.as_slice() else {
        return false;
    };
    let thick = [inner_left - left, right - inner_right];
    let stock = thick
        .iter()
        .all(|t| (SIDE.0..=SIDE.1).contains(&(t * mm_per_unit)));
    let between = sketch.strokes.iter().filter(|s| {
        let r = s.bounds();
        r.height() <= near
            && (r.min().x - inner_left).abs() <= near
            && (r.max().x - inner_right).abs() <= near
    });
    let alike = (thick[0] - thick[1]).abs() <= near;
    let ends = (left - b.min().x).abs() <= near && (right - b.max().x).abs() <= near;
    stock && alike && ends && between.count() >= 4
}

/// Pairs of slanting lines that meet halfway up a door.
fn swings(strokes: &[Stroke]) -> bool {
    let slants: Vec<&Stroke> = strokes
        .iter()
        .filter(|s| {
            let (dx, dy) = ((s.b.x - s.a.x).abs(), (s.b.y - s.a.y).abs());
            dx > 0.1 * dy && dy > 0.1 * dx
        })
        .take(400)
        .collect();
    let meets =
        |p: geo::Coord<f64>, q: geo::Coord<f64>, near: f64| (p.x - q.x).hypot(p.y - q.y) <= near;
    slants.iter().enumerate().any(|(i, s)| {
        slants.iter().skip(i + 1).any(|t| {
            let size = (s.b.y - s.a.y).abs().max((s.b.x - s.a.x).abs());
            [(s.a, s.b), (s.b, s.a)].into_iter().any(|(tip, foot)| {
                [(t.a, t.b), (t.b, t.a)].into_iter().any(|(other, end)| {
                    meets(tip, other, 0.01 * size)
                        && (foot.x - end.x).abs() <= 0.01 * size
                        && (f64::midpoint(foot.y, end.y) - tip.y).abs() <= 0.02 * size
                })
            })
        })
    })
}

/// Share of the upright lines that have a mirror image, and their number.
fn mirrored(sketch: &Sketch) -> (f64, usize) {
    let b = sketch.bounds;
    let size = b.width().max(b.height());
    let segments: Vec<RawSegment> = sketch
        .strokes
        .iter()
        .map(|s| RawSegment {
            a: s.a - b.min(),
            b: s.b - b.min(),
            hidden: false,
            source: 0,
        })
        .collect();
    let work = linework::clean(&segments, 1e-3 * size);
    let (mut total, mut alike) = (0.0, 0.0);
    for line in &work.uprights {
        total += line.length();
        let twin = b.width() - line.a.x;
        let from = work
            .uprights
            .partition_point(|l| l.a.x < twin - 2e-3 * size);
        let found = work
            .uprights
            .iter()
            .skip(from)
            .take_while(|l| l.a.x <= twin + 2e-3 * size)
            .any(|l| {
                let overlap = l.b.y.min(line.b.y) - l.a.y.max(line.a.y);
                overlap > 0.9 * line.length()
            });
        if found {
            alike += line.length();
        }
    }
    (
        if total > 0.0 { alike / total } else { 0.0 },
        work.uprights.len(),
    )
}

/// True when one lower corner of the outline is cut out, as by a toe space.
fn notched(sketch: &Sketch) -> bool {
    notch(sketch, |s| s.a.y.min(s.b.y) - sketch.bounds.min().y)
}

/// True when an upper corner is cut out and no lower one: the toe space of a sheet that
/// is upside down.
fn inverted(sketch: &Sketch) -> bool {
    !notched(sketch) && notch(sketch, |s| sketch.bounds.max().y - s.a.y.max(s.b.y))
}

/// True when the line of one side ends a toe's height before the end its `distance`
/// is measured to, and that of the other side reaches it.
fn notch(sketch: &Sketch, distance: impl Fn(&Stroke) -> f64) -> bool {
    let b = sketch.bounds;
    let small = 2e-3 * b.width().max(b.height());
    let reach = |x: f64| {
        sketch
            .strokes
            .iter()
            .filter(|s| (s.a.x - x).abs() <= small && (s.b.x - x).abs() <= small)
            .map(&distance)
            .fold(f64::INFINITY, f64::min)
    };
    let (left, right) = (reach(b.min().x), reach(b.max().x));
    let toe = 0.03 * b.height()..0.3 * b.height();
    (toe.contains(&left) && right <= small) || (toe.contains(&right) && left <= small)
}
