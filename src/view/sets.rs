//! Which views show one cabinet where no name stands anywhere: a front, with the
//! end or section that stands level with it and the plan in line with it. Only
//! what fits together in one way is put together.

use super::build::Sketch;
use super::flatten::Flat;
use super::kinds::{self, DEPTH};
use super::looks::{Look, look};
use super::{Title, ViewKind};
use geo::Rect;

/// Most views of a sheet that are put together.
const MOST: usize = 90;
/// Gaps that differ by less than this share are the same.
const TIE: f64 = 0.12;
/// Views that are not in line are of one cabinet when their sizes agree so closely.
const CLOSE: f64 = 0.002;

/// Puts the views of a sheet together and gives those of each cabinet without a name
/// one: "untitled 1" and on from `given`. Gives these names, in the order of the views.
/// A name that stands with one view goes to those put together with it.
pub(super) fn name(flat: &Flat, sketches: &mut [Sketch], given: usize) -> Vec<String> {
    let mut names = Vec::new();
    for set in find(flat, sketches) {
        let fronts = |i: &&usize| sketches[**i].told.kind == ViewKind::Front;
        let open = |i: &usize| sketches[*i].told.kind == ViewKind::Unknown;
        if set.iter().filter(fronts).count() != 1 || set.iter().any(open) {
            continue;
        }
        let mut named = set
            .iter()
            .filter(|&&i| !sketches[i].told.cabinets.is_empty());
        if let Some(&with) = named.next() {
            let cabinets = sketches[with].told.cabinets.clone();
            // A front of that name stands elsewhere: this one is another's.
            let is_front = |i: usize| {
                let told = &sketches[i].told;
                told.kind == ViewKind::Front && told.cabinets == cabinets
            };
            let within = set.iter().any(|&i| is_front(i));
            if !within && (0..sketches.len()).any(is_front) {
                continue;
            }
            for &i in set.iter().filter(|&&i| i != with) {
                share(&mut sketches[i], &cabinets);
            }
            continue;
        }
        let of = sketches
            .iter_mut()
            .enumerate()
            .filter(|(i, _)| set.contains(i))
            .map(|(_, sketch)| sketch);
        names.push(untitled(of, given + names.len()));
    }
    names
}

/// Gives a view that has no name that of a view put together with it.
fn share(sketch: &mut Sketch, cabinets: &[String]) {
    let told = &mut sketch.told;
    if !told.cabinets.is_empty() {
        return;
    }
    told.cabinets = cabinets.to_vec();
    if told.title.is_none() {
        told.title = Some(Title {
            text: cabinets.join(", "),
            origin: "it fits together with a view of that name".to_owned(),
        });
    }
}

/// Gives views of one cabinet the name "untitled", counted on from `given`.
pub(super) fn untitled<'a>(
    views: impl IntoIterator<Item = &'a mut Sketch>,
    given: usize,
) -> String {
    let name = format!("untitled {}", given + 1);
    for sketch in views {
        let told = &mut sketch.told;
        told.cabinets = vec![name.clone()];
        if told.title.is_none() {
            told.title = Some(Title {
                text: name.clone(),
                origin: "no name stands with it".to_owned(),
            });
        }
    }
    name
}

/// Sets of views with their kinds settled as far as they can be, by their first view.
fn find(flat: &Flat, sketches: &mut [Sketch]) -> Vec<Vec<usize>> {
    if sketches.len() > MOST {
        return Vec::new();
    }
    let boxes: Vec<Rect<f64>> = sketches.iter().map(|s| s.bounds).collect();
    let mut table = Table {
        looks: sketches.iter().map(|s| look(flat, s)).collect(),
        kinds: sketches.iter().map(|s| s.told.kind).collect(),
        names: sketches.iter().map(|s| s.told.cabinets.clone()).collect(),
        parts: sketches.iter().map(|s| s.run.is_some()).collect(),
        boxes,
        loose: false,
    };
    let mut sets = table.sets();
    if sets.iter().all(|set| set.len() == 1) {
        table.loose = true;
        sets = table.matched();
    }
    table.add_second_ends(&mut sets);
    let mut out = Vec::new();
    for set in sets {
        if table.settle(flat, sketches, &set) {
            out.push(set);
            continue;
        }
        // Not told how they belong together: each may still show what it is.
        for i in set {
            if table.settle(flat, sketches, &[i]) {
                out.push(vec![i]);
            }
        }
    }
    out.sort();
    out
}

/// What is known of each view of a sheet.
struct Table {
    boxes: Vec<Rect<f64>>,
    looks: Vec<Look>,
    kinds: Vec<ViewKind>,
    /// The cabinets that stand with each.
    names: Vec<Vec<String>>,
    /// Parts of a run, which stand with their neighbours.
    parts: Vec<bool>,
    /// The views stand anywhere: sizes alone tell which belong together.
    loose: bool,
}

impl Table {
    fn may_be_front(&self, i: usize) -> bool {
        match self.kinds[i] {
            ViewKind::Front => true,
            ViewKind::Unknown => !self.looks[i].is_sideways(),
            _ => false,
        }
    }

    fn may_be_side(&self, i: usize) -> bool {
        match self.kinds[i] {
            ViewKind::End | ViewKind::Section => true,
            ViewKind::Unknown => self.looks[i].is_sideways(),
            _ => false,
        }
    }

    fn may_be_plan(&self, i: usize) -> bool {
        match self.kinds[i] {
            ViewKind::Plan => true,
            ViewKind::Unknown => !self.looks[i].front_only && !self.looks[i].notched,
            _ => false,
        }
    }

    /// Views that stand like a front, a view from the side and a plan of one cabinet, and
    /// agree on its depth, whatever they look like. No other two of them do.
    fn is_trio(&self, front: usize, side: usize, plan: usize) -> bool {
        let open = |i: usize, kinds: &[ViewKind]| {
            kinds.contains(&self.kinds[i])
                || self.kinds[i] == ViewKind::Unknown && !self.looks[i].front_only
        };
        let [f, s, p] = [front, side, plan].map(|i| &self.boxes[i]);
        front != side
            && front != plan
            && side != plan
            && (self.kinds[front] == ViewKind::Unknown || self.kinds[front] == ViewKind::Front)
            && open(side, &[ViewKind::End, ViewKind::Section])
            && open(plan, &[ViewKind::Plan])
            && kinds::level(f, s)
            && kinds::in_line(f, p)
            && !kinds::in_line(s, p)
            && kinds::same(p.height(), s.width(), CLOSE)
    }

    /// Seen from the side beside a front, as a plan of the front shows.
    fn is_side_by_plan(&self, front: usize, side: usize) -> bool {
        (0..self.boxes.len()).any(|plan| self.is_trio(front, side, plan))
    }

    /// A plan of a front, as a view from the side beside it shows.
    fn is_plan_by_side(&self, front: usize, plan: usize) -> bool {
        (0..self.boxes.len()).any(|side| self.is_trio(front, side, plan))
    }

    /// Side by side; anywhere, once the views are known not to be in line.
    fn level(&self, a: usize, b: usize) -> bool {
        let (a, b) = (&self.boxes[a], &self.boxes[b]);
        if self.loose {
            kinds::same(a.height(), b.height(), CLOSE)
        } else {
            kinds::level(a, b)
        }
    }

    /// Over each other; anywhere, once the views are known not to be in line.
    fn in_line(&self, a: usize, b: usize) -> bool {
        let (a, b) = (&self.boxes[a], &self.boxes[b]);
        if self.loose {
            kinds::same(a.width(), b.width(), CLOSE)
        } else {
            kinds::in_line(a, b)
        }
    }

    /// True when `set` is a front with one end at most and one plan at most, which
    /// agree on the depth, and no two names stand with them.
    fn fits(&self, set: &[usize]) -> bool {
        let mut names = set
            .iter()
            .map(|&i| &self.names[i])
            .filter(|n| !n.is_empty());
        let first = names.next();
        names.all(|name| Some(name) == first) && set.iter().any(|&front| self.fits_with(front, set))
    }

    fn fits_with(&self, front: usize, set: &[usize]) -> bool {
        let side_by_plan = |i: usize| self.is_side_by_plan(front, i);
        let plan_by_side = |i: usize| self.is_plan_by_side(front, i);
        let in_trio = |&i: &usize| side_by_plan(i) || plan_by_side(i);
        if !self.may_be_front(front) && !set.iter().any(in_trio) {
            return false;
        }
        let (mut sides, mut plans, mut depths) = (0, 0, Vec::new());
        for &i in set.iter().filter(|&&i| i != front) {
            let b = &self.boxes[i];
            if self.level(front, i) && (self.may_be_side(i) || side_by_plan(i)) {
                sides += 1;
                depths.push(b.width());
            } else if self.in_line(front, i) && (self.may_be_plan(i) || plan_by_side(i)) {
                plans += 1;
                depths.push(b.height());
            } else {
                return false;
            }
        }
        let agreed = depths
            .windows(2)
            .all(|pair| kinds::same(pair[0], pair[1], DEPTH));
        sides <= 1 && plans <= 1 && agreed
    }

    /// Pairs of views beside or over each other with nothing between, and the gap.
    fn pairs(&self) -> Vec<(f64, usize, usize)> {
        let mut out = Vec::new();
        for (i, a) in self.boxes.iter().enumerate() {
            for (j, b) in self.boxes.iter().enumerate().skip(i + 1) {
                if self.parts[i] || self.parts[j] {
                    continue;
                }
                let (level, over) = (kinds::level(a, b), kinds::in_line(a, b));
                if level == over || !self.fits(&[i, j]) {
                    continue;
                }
                let (low, high, gap) = if level {
                    let (l, r) = if a.min().x < b.min().x {
                        (a, b)
                    } else {
                        (b, a)
                    };
                    let middle = a.center().y;
                    (
                        (l.max().x, middle),
                        (r.min().x, middle),
                        r.min().x - l.max().x,
                    )
                } else {
                    let (l, h) = if a.min().y < b.min().y {
                        (a, b)
                    } else {
                        (b, a)
                    };
                    let middle = a.center().x;
                    (
                        (middle, l.max().y),
                        (middle, h.min().y),
                        h.min().y - l.max().y,
                    )
                };
                let between = |k: usize| {
                    let c = &self.boxes[k];
                    k != i
                        && k != j
                        && c.min().x < high.0.max(low.0 + 1e-9)
                        && c.max().x > low.0
                        && c.min().y < high.1.max(low.1 + 1e-9)
                        && c.max().y > low.1
                };
                if gap > 0.0 && !(0..self.boxes.len()).any(between) {
                    out.push((gap, i, j));
                }
            }
        }
        out.sort_by(|p, q| p.0.total_cmp(&q.0).then((p.1, p.2).cmp(&(q.1, q.2))));
        out
    }

    /// Views put together, nearest first. Where the gaps do not tell which of two
    /// neighbours a view goes with, both ways are tried: the one that leaves fewer
    /// views alone counts, and where neither does, only what both have in common.
    fn sets(&self) -> Vec<Vec<usize>> {
        let pairs = self.pairs();
        let forth = self.joined(&pairs);
        let mut turned = Vec::new();
        let mut rest = pairs.as_slice();
        while let Some(first) = rest.first() {
            let alike = rest.partition_point(|pair| pair.0 <= first.0 * (1.0 + TIE));
            let (tied, others) = rest.split_at(alike);
            turned.extend(tied.iter().rev().copied());
            rest = others;
        }
        let back = self.joined(&turned);
        let alone = |sets: &[Vec<usize>]| sets.iter().filter(|set| set.len() == 1).count();
        match alone(&forth).cmp(&alone(&back)) {
            std::cmp::Ordering::Less => forth,
            std::cmp::Ordering::Greater => back,
            std::cmp::Ordering::Equal => {
                forth.into_iter().filter(|set| back.contains(set)).collect()
            }
        }
    }

    /// Sets of views whose sizes fit together: a front with an end as high and a plan as
    /// wide that agree on the depth, or the only two views of one height. Each view fits
    /// into one of them at most, second ends of the same size aside.
    fn matched(&self) -> Vec<Vec<usize>> {
        let all = 0..self.boxes.len();
        let mut found: Vec<Vec<usize>> = Vec::new();
        let free = |found: &[Vec<usize>], i: &usize| !found.iter().flatten().any(|k| k == i);
        let alike = |i: usize, j: usize| self.alike(i, j);
        let mut triples: Vec<Vec<usize>> = Vec::new();
        for front in all.clone() {
            for side in all.clone().filter(|&i| i != front && self.level(front, i)) {
                for plan in all.clone().filter(|&i| i != front && i != side) {
                    let set = vec![front, side, plan];
                    let close =
                        kinds::same(self.boxes[plan].height(), self.boxes[side].width(), CLOSE);
                    let upright = !self.level(front, plan) && self.in_line(front, plan);
                    let own = !self.is_of_several(front, side);
                    if close && upright && own && self.fits_with(front, &set) {
                        triples.push(set);
                    }
                }
            }
        }
        for set in &triples {
            let only = triples.iter().all(|other| {
                let apart = set.iter().all(|i| !other.contains(i));
                apart || set.iter().zip(other).all(|(i, j)| i == j || alike(*i, *j))
            });
            if only && set.iter().all(|i| free(&found, i)) {
                found.push(set.clone());
            }
        }
        for i in all.clone() {
            let level: Vec<usize> = all
                .clone()
                .filter(|&j| j != i && self.level(i, j))
                .collect();
            if let [j] = level.as_slice()
                && i < *j
                && self.fits(&[i, *j])
                && [i, *j].iter().all(|k| free(&found, k))
            {
                found.push(vec![i, *j]);
            }
        }
        for front in all.clone().filter(|&i| self.parts[i]) {
            let plan = |i: &usize| *i != front && !self.parts[*i] && self.may_be_plan(*i);
            let over = |a: usize, b: usize| self.in_line(a, b) && !self.level(a, b);
            let plans: Vec<usize> = all
                .clone()
                .filter(plan)
                .filter(|&i| over(front, i))
                .collect();
            if let [plan] = plans.as_slice()
                && all
                    .clone()
                    .filter(|&i| i != *plan && over(i, *plan))
                    .count()
                    == 1
                && self.fits(&[front, *plan])
                && [front, *plan].iter().all(|k| free(&found, k))
            {
                found.push(vec![front, *plan]);
            }
        }
        let rest: Vec<Vec<usize>> = all.filter(|i| free(&found, i)).map(|i| vec![i]).collect();
        found.extend(rest);
        for set in &mut found {
            set.sort_unstable();
        }
        found.sort();
        found
    }

    /// True for a view from the side that is as high as several cabinets of a run: it may be
    /// that of any of them.
    fn is_of_several(&self, front: usize, side: usize) -> bool {
        self.parts[front]
            && (0..self.boxes.len())
                .any(|other| other != front && self.parts[other] && self.level(other, side))
    }

    /// Views of one size both ways.
    fn alike(&self, i: usize, j: usize) -> bool {
        let (a, b) = (&self.boxes[i], &self.boxes[j]);
        kinds::same(a.width(), b.width(), CLOSE) && kinds::same(a.height(), b.height(), CLOSE)
    }

    /// Gives a view from the side that is left over to the one set that has another one
    /// of the same size.
    fn add_second_ends(&self, sets: &mut Vec<Vec<usize>>) {
        let single: Vec<usize> = sets
            .iter()
            .filter(|set| set.len() == 1)
            .flatten()
            .copied()
            .filter(|&i| self.may_be_side(i))
            .collect();
        for i in single {
            let fits = |set: &Vec<usize>| {
                let side = |&j: &usize| j != i && self.may_be_side(j) && self.alike(i, j);
                set.len() > 1 && set.iter().any(side)
            };
            let homes: Vec<usize> = (0..sets.len()).filter(|&s| fits(&sets[s])).collect();
            if let [home] = homes.as_slice() {
                sets[*home].push(i);
                sets.retain(|set| set.as_slice() != [i]);
            }
        }
    }

    fn joined(&self, pairs: &[(f64, usize, usize)]) -> Vec<Vec<usize>> {
        let mut sets: Vec<Vec<usize>> = (0..self.boxes.len()).map(|i| vec![i]).collect();
        for (_, i, j) in pairs {
            let place = |sets: &[Vec<usize>], i: &usize| sets.iter().position(|s| s.contains(i));
            let (Some(a), Some(b)) = (place(&sets, i), place(&sets, j)) else {
                continue;
            };
            if a == b {
                continue;
            }
            let mut both: Vec<usize> = sets[a].iter().chain(&sets[b]).copied().collect();
            both.sort_unstable();
            if self.fits(&both) {
                sets[a] = both;
                sets.remove(b);
            }
        }
        sets.sort();
        sets
    }

    /// Settles what each view of a set shows; false when that cannot be told.
    fn settle(&self, flat: &Flat, sketches: &mut [Sketch], set: &[usize]) -> bool {
        // A second end is no other reading.
        let second = |place: usize| {
            let before = &set[..place];
            let i = set[place];
            self.may_be_side(i)
                && before
                    .iter()
                    .any(|&j| self.may_be_side(j) && self.alike(i, j))
        };
        let plain: Vec<usize> = (0..set.len())
            .filter(|&place| !second(place))
            .map(|place| set[place])
            .collect();
        let fronts: Vec<usize> = plain
            .iter()
            .copied()
            .filter(|&front| plain.len() > 1 && self.fits_with(front, &plain))
            .collect();
        if let [front] = fronts.as_slice() {
            let sideways = |i: usize| self.may_be_side(i) || self.is_side_by_plan(*front, i);
            let side = plain
                .iter()
                .find(|&&i| i != *front && self.level(*front, i) && sideways(i));
            // With a view from the side there is no other way to see the rest.
            let told = side.is_some_and(|&i| {
                plain.len() > 2 || self.looks[*front].is_front_beside(&self.looks[i])
            });
            if told {
                for &i in set {
                    let (kind, evidence) = if i == *front {
                        (
                            ViewKind::Front,
                            "taken for the front by the view beside it, which is as high and seen from the side",
                        )
                    } else if side.is_some_and(|&side| side == i || self.alike(side, i)) {
                        (
                            ViewKind::End,
                            "as high as the front beside it, and seen from the side",
                        )
                    } else {
                        (
                            ViewKind::Plan,
                            "in line with the front, and as high as its end is wide",
                        )
                    };
                    let told = &mut sketches[i].told;
                    if !told.settled {
                        told.kind = kind;
                        told.kind_evidence = evidence.to_owned();
                        told.settled = true;
                    }
                }
                return true;
            }
        }
        let (known, open): (Vec<usize>, Vec<usize>) =
            set.iter().copied().partition(|&i| sketches[i].told.settled);
        kinds::settle_set(flat, sketches, &self.boxes, &known, &open);
        set.iter()
            .all(|&i| sketches[i].told.kind != ViewKind::Unknown)
    }
}
