//! What untitled views show and whose they are: by what stands level with what,
//! by equal sizes, and by what only a front has. What stays open stays open.

use super::build::Sketch;
use super::flatten::Flat;
use super::looks::{Look, look, mirrored, notched, pulls, sided, swings};
use super::{Title, ViewKind};
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
    // Cabinets of a run that have no name: other views without one may be theirs.
    let bare: Vec<Rect<f64>> = sketches
        .iter()
        .filter(|s| s.run.is_some() && s.told.cabinets.is_empty())
        .map(|s| s.bounds)
        .collect();
    if named.len() == 1 && bare.is_empty() {
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
        let theirs = kind != ViewKind::Plan && bare.iter().any(|r| level(&b, r));
        if clear
            && !theirs
            && let Some((_, names)) = near.first()
        {
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
            if high && other.is_sideways() && own.is_front_beside(other) {
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
