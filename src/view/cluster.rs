//! Which things belong together: boxes that touch or nearly touch are one group.

use super::flatten::unite;
use crate::plain::in_parallel;
use geo::{Coord, Rect};
use std::collections::{BTreeMap, VecDeque};

/// Most sweeps over the boxes; groups only ever grow, so few are needed.
const SWEEPS: usize = 64;

/// Boxes that are grouped among themselves first. Neighbours in a file are
/// neighbours on the sheet as a rule, so little is left to do after that.
const PIECE: usize = if cfg!(test) { 16 } else { 2048 };
/// Groups met last that a box is held against before any sorting.
const RECENT: usize = 8;

/// Group number of each box, numbered in order of first member. Two boxes are
/// one group when their rectangles, each widened by `margin` of it, overlap;
/// a group counts as the rectangle round its members. `margin` must not shrink
/// as a rectangle grows: then what comes out does not depend on the order in
/// which boxes are joined.
pub(super) fn group(boxes: &[Rect<f64>], margin: impl Fn(&Rect<f64>) -> f64 + Sync) -> Vec<u32> {
    let pieces: Vec<&[Rect<f64>]> = boxes.chunks(PIECE).collect();
    let joined = in_parallel(&pieces, |piece| joined(piece, &margin));
    // The groups of all pieces, in order of first member.
    let all = joined.iter().flat_map(|piece| &piece.groups);
    let live: Live = all.map(|(_, rect)| *rect).enumerate().collect();
    let mut parent: Vec<usize> = (0..live.len()).collect();
    if pieces.len() > 1 {
        join(live, &margin, &mut parent);
    }
    let numbers = numbered(&parent);
    let mut before = 0;
    let pieces = joined.into_iter().map(|piece| {
        let from = before;
        before += piece.groups.len();
        (piece, &numbers[from..before])
    });
    let pieces: Vec<_> = pieces.collect();
    in_parallel(&pieces, |(piece, numbers)| piece.under(numbers)).concat()
}

/// Numbers of groups whose members point at earlier ones or themselves, in order.
fn numbered(parent: &[usize]) -> Vec<u32> {
    let mut numbers: Vec<u32> = vec![0; parent.len()];
    let mut next = 0;
    for i in 0..parent.len() {
        if parent[i] == i {
            numbers[i] = next;
            next += 1;
        } else {
            numbers[i] = numbers[parent[i]];
        }
    }
    numbers
}

type Live = Vec<(usize, Rect<f64>)>;

/// Boxes that stand together in the list, joined among themselves.
struct Joined {
    /// The number of the group among `groups`, of each box.
    numbers: Vec<u32>,
    /// First member and box of each, in order.
    groups: Live,
}

impl Joined {
    /// The number of each box where its groups have these.
    fn under(&self, numbers: &[u32]) -> Vec<u32> {
        let own = self.numbers.iter();
        own.map(|number| numbers[*number as usize]).collect()
    }
}

fn joined(boxes: &[Rect<f64>], margin: &impl Fn(&Rect<f64>) -> f64) -> Joined {
    let mut parent: Vec<usize> = (0..boxes.len()).collect();
    let live = with_neighbours(boxes, margin, &mut parent);
    let mut groups = join(live, margin, &mut parent);
    groups.sort_unstable_by_key(|(root, _)| *root);
    Joined {
        numbers: numbered(&parent),
        groups,
    }
}

/// Joins boxes to groups met shortly before, as lines of one view stand together in a
/// file: few are left to be sorted then.
fn with_neighbours(
    boxes: &[Rect<f64>],
    margin: &impl Fn(&Rect<f64>) -> f64,
    parent: &mut [usize],
) -> Live {
    let mut recent: VecDeque<Active> = VecDeque::with_capacity(RECENT);
    let mut live = Live::new();
    for (index, rect) in boxes.iter().enumerate() {
        let mut this = Active {
            root: index,
            rect: *rect,
            wide: widen(*rect, margin),
        };
        let touched = recent
            .iter()
            .position(|group| overlap(&group.wide, &this.wide));
        if let Some((at, other)) = touched.and_then(|at| Some((at, recent.get(at)?))) {
            parent[this.root] = other.root;
            let rect = unite(this.rect, other.rect);
            this = Active {
                root: other.root,
                rect,
                wide: widen(rect, margin),
            };
            // Mostly that of the box before.
            if at == 0 {
                recent[0] = this;
                continue;
            }
            recent.remove(at);
        } else if recent.len() == RECENT {
            live.extend(recent.pop_back().map(|group| (group.root, group.rect)));
        }
        recent.push_front(this);
    }
    live.extend(recent.into_iter().map(|group| (group.root, group.rect)));
    live
}

fn overlap(a: &Rect<f64>, b: &Rect<f64>) -> bool {
    a.min().x <= b.max().x
        && b.min().x <= a.max().x
        && a.min().y <= b.max().y
        && b.min().y <= a.max().y
}

fn join(mut live: Live, margin: &impl Fn(&Rect<f64>) -> f64, parent: &mut [usize]) -> Live {
    for _ in 0..SWEEPS {
        let before = live.len();
        live = sweep(live, margin, parent);
        if live.len() == before {
            break;
        }
    }
    live
}

/// Sorts numbers as map keys.
#[derive(Clone, Copy, PartialEq)]
struct Key(f64);
impl Eq for Key {}
impl PartialOrd for Key {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Key {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.0.total_cmp(&other.0)
    }
}

#[derive(Clone, Copy)]
struct Active {
    root: usize,
    rect: Rect<f64>,
    wide: Rect<f64>,
}

fn widen(rect: Rect<f64>, margin: &impl Fn(&Rect<f64>) -> f64) -> Rect<f64> {
    let by = margin(&rect);
    let by = Coord { x: by, y: by };
    Rect::new(rect.min() - by, rect.max() + by)
}

/// One pass from left to right. Boxes the sweep line is in are kept by height;
/// they never overlap there, since overlapping ones are made one.
fn sweep(mut live: Live, margin: &impl Fn(&Rect<f64>) -> f64, parent: &mut [usize]) -> Live {
    // Unstable, for its memory; the numbers tell equal ones apart.
    live.sort_unstable_by(|p, q| {
        let from = |r: &Rect<f64>| r.min().x - margin(r);
        from(&p.1).total_cmp(&from(&q.1)).then(p.0.cmp(&q.0))
    });
    let mut active: BTreeMap<Key, Active> = BTreeMap::new();
    let mut done = Vec::new();
    for (root, rect) in live {
        let mut this = Active {
            root,
            rect,
            wide: widen(rect, margin),
        };
        let now = this.wide.min().x;
        loop {
            let (low, high) = (this.wide.min().y, this.wide.max().y);
            let hit = active
                .range(..=Key(high))
                .next_back()
                .filter(|(_, a)| a.wide.max().y >= low)
                .map(|(key, _)| *key);
            let Some(key) = hit else { break };
            let Some(other) = active.remove(&key) else {
                break;
            };
            if other.wide.max().x < now {
                done.push((other.root, other.rect));
                continue;
            }
            let (keep, gone) = (this.root.min(other.root), this.root.max(other.root));
            parent[gone] = keep;
            let rect = unite(this.rect, other.rect);
            this = Active {
                root: keep,
                rect,
                wide: widen(rect, margin),
            };
        }
        active.insert(Key(this.wide.min().y), this);
    }
    done.extend(active.into_values().map(|a| (a.root, a.rect)));
    done
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn rect(x: f64, y: f64, w: f64, h: f64) -> Rect<f64> {
        Rect::new(Coord { x, y }, Coord { x: x + w, y: y + h })
    }

    #[test]
    fn touching_boxes_are_one_and_distant_ones_are_not() {
        let boxes = [
            rect(0., 0., 10., 10.),
            rect(10., 10., 5., 5.),
            rect(30., 0., 5., 5.),
        ];
        assert_eq!(group(&boxes, |_| 0.0), [0, 0, 1]);
        assert_eq!(group(&boxes, |_| 8.0), [0, 0, 0]);
    }

    #[test]
    fn nested_and_late_joins_are_found() {
        // The third joins the first two into a box that then holds the fourth.
        let boxes = [
            rect(0., 0., 1., 10.),
            rect(20., 0., 1., 10.),
            rect(0., 10., 21., 1.),
            rect(8., 2., 3., 3.),
        ];
        assert_eq!(group(&boxes, |_| 0.0), [0, 0, 0, 0]);
    }

    /// Joins pair by pair until nothing changes.
    fn slow(boxes: &[Rect<f64>], margin: f64) -> Vec<u32> {
        let mut groups: Vec<(Vec<usize>, Rect<f64>)> = boxes
            .iter()
            .enumerate()
            .map(|(i, b)| (vec![i], *b))
            .collect();
        'again: loop {
            for i in 0..groups.len() {
                for j in i + 1..groups.len() {
                    let (a, b) = (
                        widen(groups[i].1, &|_: &Rect<f64>| margin),
                        widen(groups[j].1, &|_: &Rect<f64>| margin),
                    );
                    if overlap(&a, &b) {
                        let (members, r) = groups.remove(j);
                        groups[i].0.extend(members);
                        groups[i].1 = unite(groups[i].1, r);
                        continue 'again;
                    }
                }
            }
            break;
        }
        let mut out = vec![0; boxes.len()];
        groups.sort_by_key(|g| g.0.iter().copied().min());
        for (n, g) in (0..).zip(&groups) {
            for &i in &g.0 {
                out[i] = n;
            }
        }
        out
    }

    proptest! {
        #[test]
        fn agrees_with_the_slow_way(
            specs in prop::collection::vec((0..100_i32, 0..100_i32, 0..12_i32, 0..12_i32), 1..60),
            margin in 0..4_i32,
        ) {
            let boxes: Vec<_> = specs
                .iter()
                .map(|&(x, y, w, h)| rect(x.into(), y.into(), w.into(), h.into()))
                .collect();
            prop_assert_eq!(group(&boxes, |_| margin.into()), slow(&boxes, margin.into()));
        }
    }
}
