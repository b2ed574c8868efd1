//! Sorting segments by direction, and grouping positions without drifting.

use super::RawSegment;

/// Steepest slope of a short piece still taken as axis-parallel.
const STEEPEST: f64 = 0.05;
/// Shorter than this is a point, millimetres.
const POINT_MM: f64 = 1e-6;
/// Positions nearer than this are one position, millimetres.
pub(super) const SAME_MM: f64 = 1e-4;
/// Smallest jog between touching pieces that is still taken as noise, millimetres.
const LEAST_TOUCH_MM: f64 = 0.02;
/// Share of the drawn length that tells how exactly a view is drawn.
const ENOUGH: f64 = 0.95;

/// A nearly straight piece in the frame of its direction.
#[derive(Clone, Copy, Debug)]
pub(super) struct Piece {
    pub lo: f64,
    pub hi: f64,
    /// Position across the direction at `lo` and at `hi`.
    pub at_lo: f64,
    pub at_hi: f64,
    pub hidden: bool,
    pub source: u32,
}

impl Piece {
    pub fn length(&self) -> f64 {
        self.hi - self.lo
    }
    pub fn position(&self) -> f64 {
        f64::midpoint(self.at_lo, self.at_hi)
    }
    /// How far it leans over its length.
    pub fn skew(&self) -> f64 {
        (self.at_hi - self.at_lo).abs()
    }
}

pub(super) struct Sorted {
    pub uprights: Vec<Piece>,
    pub levels: Vec<Piece>,
    pub slanted: Vec<RawSegment>,
    pub read: f64,
    pub left_out: f64,
    /// Largest jog between touching pieces of one edge in this drawing.
    pub touch_mm: f64,
}

/// Sorts segments into uprights, levels and the rest.
pub(super) fn classify(segments: &[RawSegment], snap: f64) -> Sorted {
    let mut sorted = Sorted {
        uprights: Vec::new(),
        levels: Vec::new(),
        slanted: Vec::new(),
        read: 0.0,
        left_out: 0.0,
        touch_mm: LEAST_TOUCH_MM,
    };
    for segment in segments {
        let (dx, dy) = (segment.b.x - segment.a.x, segment.b.y - segment.a.y);
        let length = dx.hypot(dy);
        if !length.is_finite() || !segment.a.x.is_finite() || !segment.a.y.is_finite() {
            continue;
        }
        sorted.read += length;
        if length <= POINT_MM {
            sorted.left_out += length;
        } else if leans_little(dx, dy, snap) {
            sorted.uprights.push(piece(
                [segment.a.y, segment.a.x],
                [segment.b.y, segment.b.x],
                segment,
            ));
        } else if leans_little(dy, dx, snap) {
            sorted.levels.push(piece(
                [segment.a.x, segment.a.y],
                [segment.b.x, segment.b.y],
                segment,
            ));
        } else if length < snap {
            sorted.left_out += length;
        } else {
            sorted.slanted.push(*segment);
        }
    }
    sorted.touch_mm = touch(&sorted, snap);
    sorted
}

fn leans_little(across: f64, along: f64, snap: f64) -> bool {
    across.abs() <= snap.min(STEEPEST * along.abs())
}

fn piece(from: [f64; 2], to: [f64; 2], segment: &RawSegment) -> Piece {
    let [(lo, at_lo), (hi, at_hi)] = if from[0] <= to[0] {
        [(from[0], from[1]), (to[0], to[1])]
    } else {
        [(to[0], to[1]), (from[0], from[1])]
    };
    Piece {
        lo,
        hi,
        at_lo,
        at_hi,
        hidden: segment.hidden,
        source: segment.source,
    }
}

/// A drawing whose lines all run true has no noise across them: then even a
/// small jog is meant. One with leaning lines gets the whole snap.
fn touch(sorted: &Sorted, snap: f64) -> f64 {
    let mut leans: Vec<(f64, f64)> = sorted
        .uprights
        .iter()
        .chain(&sorted.levels)
        .map(|piece| (piece.skew(), piece.length()))
        .collect();
    let total: f64 = leans.iter().map(|lean| lean.1).sum();
    let least = LEAST_TOUCH_MM.min(snap);
    // As nearly all drawings are: nothing needs sorting then.
    let straight = leans.iter().filter(|lean| 3.0 * lean.0 <= least);
    if straight.map(|lean| lean.1).sum::<f64>() >= ENOUGH * total {
        return least;
    }
    leans.sort_by(|p, q| p.0.total_cmp(&q.0).then(p.1.total_cmp(&q.1)));
    let mut below = 0.0;
    for (skew, length) in leans {
        below += length;
        if below >= ENOUGH * total {
            return (3.0 * skew).clamp(least, snap);
        }
    }
    least
}

/// Groups positions so that no member is further than `reach` from its group's
/// heaviest position: unlike chaining from neighbour to neighbour this cannot
/// drift. Gives a group number for each item, numbered in order of position.
pub(super) fn anchored_groups(items: &[(f64, f64)], reach: f64) -> Vec<usize> {
    let mut order: Vec<usize> = (0..items.len()).collect();
    order.sort_unstable_by(|&p, &q| items[p].0.total_cmp(&items[q].0).then(p.cmp(&q)));
    // Positions that are the same but for rounding count together.
    let mut spots: Vec<(f64, f64)> = Vec::new();
    let mut spot_of = vec![0_usize; items.len()];
    for &item in &order {
        let (position, weight) = items[item];
        match spots.last_mut() {
            Some(spot) if position - spot.0 <= SAME_MM => spot.1 += weight,
            _ => spots.push((position, weight)),
        }
        spot_of[item] = spots.len() - 1;
    }
    let mut by_weight: Vec<usize> = (0..spots.len()).collect();
    by_weight.sort_unstable_by(|&p, &q| spots[q].1.total_cmp(&spots[p].1).then(p.cmp(&q)));
    // The free spots beside each free one, one further than its own number; past the
    // ends, nought and one more than there are.
    let mut below: Vec<usize> = (0..spots.len() + 2)
        .map(|at| at.saturating_sub(1))
        .collect();
    let mut above: Vec<usize> = (1..spots.len() + 3).collect();
    let mut anchor_of = vec![usize::MAX; spots.len()];
    for anchor in by_weight {
        if anchor_of[anchor] != usize::MAX {
            continue;
        }
        let near = |at: usize| {
            let spot = at.checked_sub(1).and_then(|spot| spots.get(spot));
            spot.is_some_and(|spot| (spot.0 - spots[anchor].0).abs() <= reach)
        };
        let (mut low, mut high) = (below[anchor + 1], above[anchor + 1]);
        anchor_of[anchor] = anchor;
        while near(low) {
            anchor_of[low - 1] = anchor;
            low = below[low];
        }
        while near(high) {
            anchor_of[high - 1] = anchor;
            high = above[high];
        }
        above[low] = high;
        below[high] = low;
    }
    // Number groups by the position of their anchor.
    let mut number = vec![usize::MAX; spots.len()];
    let mut next = 0;
    for spot in 0..spots.len() {
        if anchor_of[spot] == spot {
            number[spot] = next;
            next += 1;
        }
    }
    (0..items.len())
        .map(|item| number[anchor_of[spot_of[item]]])
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Takes the heaviest free position again and again, with the free ones beside it.
    fn slow(items: &[(f64, f64)], reach: f64) -> Vec<Vec<usize>> {
        let mut free: Vec<usize> = (0..items.len()).collect();
        free.sort_by(|&p, &q| items[p].0.total_cmp(&items[q].0).then(p.cmp(&q)));
        let mut groups: Vec<Vec<usize>> = Vec::new();
        while let Some(anchor) = (0..free.len()).max_by(|&p, &q| {
            let weight = |at: usize| items[free[at]].1;
            weight(p).total_cmp(&weight(q)).then(q.cmp(&p))
        }) {
            let at = |place: usize| items[free[place]].0;
            let near = |place: usize| (at(place) - at(anchor)).abs() <= reach;
            let mut low = anchor;
            while low > 0 && near(low - 1) {
                low -= 1;
            }
            let mut high = anchor + 1;
            while high < free.len() && near(high) {
                high += 1;
            }
            groups.push(free.drain(low..high).collect());
        }
        groups
    }

    proptest! {
        #[test]
        fn groups_agree_with_the_slow_way(
            specs in prop::collection::btree_map(0..200_i32, 1..9_i32, 1..40),
            reach in 0..12_i32,
        ) {
            let items: Vec<(f64, f64)> = specs
                .into_iter()
                .map(|(position, weight)| (f64::from(position), f64::from(weight)))
                .collect();
            let found = anchored_groups(&items, f64::from(reach));
            let mut by_group: Vec<Vec<usize>> = vec![Vec::new(); found.iter().max().unwrap() + 1];
            for (item, group) in found.into_iter().enumerate() {
                by_group[group].push(item);
            }
            let mut slow = slow(&items, f64::from(reach));
            slow.sort();
            by_group.sort();
            prop_assert_eq!(by_group, slow);
        }
    }
}
