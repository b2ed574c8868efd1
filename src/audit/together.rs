//! Units of a row belong together: among ways to pair units with parts that cost the
//! same, the one in which the rows stand for the fewest sorts of parts. All units of a
//! row have one size, so a row whose parts differ could only be put right by splitting it.

use crate::assign::FORBIDDEN;
use std::collections::{BTreeMap, BTreeSet, VecDeque};

/// What units are exchanged by.
pub(super) struct Table<'a> {
    /// What a unit of a row costs at a part.
    pub cost: &'a dyn Fn(usize, usize) -> i64,
    /// The sort each part is of.
    pub sort: &'a dyn Fn(usize) -> usize,
}

/// So many ways with as many sorts are followed before units stay as they are.
const MOST_WAYS: usize = 200;
/// So many exchanges are tried in all.
const MOST_TRIED: usize = 20_000;

/// Exchanges parts between the rows of `given` (row, part: one for each unit) so that
/// rows stand for fewer sorts, and no dearer; the rows of `mixed` have a part in each
/// exchange. What helps nothing at once may do so with the next, so ways with as many
/// sorts are followed as well, the shortest first.
pub(super) fn gather(table: &Table<'_>, mixed: &[usize], given: &mut [(usize, usize)]) {
    let mut held = Held::new();
    for (unit, (row, part)) in given.iter().enumerate() {
        let sort = (table.sort)(*part);
        let of_row = held.entry(*row).or_default();
        of_row.entry(sort).or_default().push(unit);
    }
    let parts = given.iter().map(|(_, part)| *part).collect();
    let mut way = Way {
        held,
        parts,
        dearer: 0,
    };
    let mut left = MOST_TRIED;
    while let Some(better) = better(table, mixed, &way, &mut left) {
        way = better;
    }
    for ((_, part), now) in given.iter_mut().zip(way.parts) {
        *part = now;
    }
}

fn better(table: &Table<'_>, mixed: &[usize], start: &Way, left: &mut usize) -> Option<Way> {
    let most = start.sorts();
    let mut seen = BTreeSet::from([start.shape()]);
    let mut open = VecDeque::from([start.clone()]);
    while let Some(way) = open.pop_front() {
        for block in way.blocks(table, mixed) {
            if way.sorts() + block.new > most + block.rid {
                continue;
            }
            *left = left.checked_sub(1)?;
            let mut next = way.clone();
            next.make(table, &block);
            if next.dearer <= 0 && next.sorts() < most {
                return Some(next);
            }
            if next.sorts() <= most && seen.len() < MOST_WAYS && seen.insert(next.shape()) {
                open.push_back(next);
            }
        }
    }
    None
}

/// Where the units of each row are, by the sort of their parts. No list is empty.
type Held = BTreeMap<usize, BTreeMap<usize, Vec<usize>>>;

/// One way to pair all units.
#[derive(Clone)]
struct Way {
    held: Held,
    /// The part of each unit.
    parts: Vec<usize>,
    /// Than at the start.
    dearer: i64,
}

/// As many units of two rows as both have of a sort, to change parts with each other.
struct Block {
    rows: [usize; 2],
    sorts: [usize; 2],
    /// How many sorts the two rows are rid of, and how many are new to them.
    rid: usize,
    new: usize,
}

impl Way {
    fn sorts(&self) -> usize {
        self.held.values().map(BTreeMap::len).sum()
    }

    /// How many of each sort each row has.
    fn shape(&self) -> Vec<(usize, usize, usize)> {
        let rows = self.held.iter();
        rows.flat_map(|(row, sorts)| {
            let each = sorts.iter();
            each.map(move |(sort, units)| (*row, *sort, units.len()))
        })
        .collect()
    }

    fn blocks(&self, table: &Table<'_>, mixed: &[usize]) -> Vec<Block> {
        let mut out = Vec::new();
        for &one in mixed {
            let of_one = &self.held[&one];
            for (&other, of_other) in self.held.iter().filter(|(other, _)| **other != one) {
                for (&gives, mine) in of_one {
                    for (&takes, theirs) in of_other.iter().filter(|(sort, _)| **sort != gives) {
                        let can = (table.cost)(one, self.parts[theirs[0]]) < FORBIDDEN
                            && (table.cost)(other, self.parts[mine[0]]) < FORBIDDEN;
                        if can {
                            out.push(Block {
                                rows: [one, other],
                                sorts: [gives, takes],
                                rid: usize::from(mine.len() <= theirs.len())
                                    + usize::from(theirs.len() <= mine.len()),
                                new: usize::from(!of_one.contains_key(&takes))
                                    + usize::from(!of_other.contains_key(&gives)),
                            });
                        }
                    }
                }
            }
        }
        out
    }

    /// Exchanges the parts the other row takes most gladly.
    fn make(&mut self, table: &Table<'_>, block: &Block) {
        let [one, other] = block.rows;
        let by_cost = |of: usize, to: usize, sort: usize| {
            let mut units: Vec<(i64, usize)> = self.held[&of][&sort]
                .iter()
                .map(|&unit| {
                    let part = self.parts[unit];
                    let now = (table.cost)(of, part);
                    ((table.cost)(to, part).saturating_sub(now), unit)
                })
                .collect();
            units.sort_unstable();
            units
        };
        let mine = by_cost(one, other, block.sorts[0]);
        let theirs = by_cost(other, one, block.sorts[1]);
        for (a, b) in mine.into_iter().zip(theirs) {
            self.dearer = self.dearer.saturating_add(a.0.saturating_add(b.0));
            self.parts.swap(a.1, b.1);
            self.change(one, a.1, block.sorts);
            self.change(other, b.1, [block.sorts[1], block.sorts[0]]);
        }
    }

    /// A unit of this row has a part of another sort now.
    fn change(&mut self, row: usize, unit: usize, [from, to]: [usize; 2]) {
        let of_row = self.held.entry(row).or_default();
        let list = of_row.entry(from).or_default();
        list.retain(|held| *held != unit);
        if list.is_empty() {
            of_row.remove(&from);
        }
        of_row.entry(to).or_default().push(unit);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Fewest sorts, over all ways to hand out the parts that are no dearer.
    fn fewest(costs: &[Vec<i64>], sorts: &[usize], rows: &[usize], most: i64) -> Option<usize> {
        fn go(
            of: &(&[Vec<i64>], &[usize], &[usize]),
            unit: usize,
            free: &mut Vec<bool>,
            held: &mut Vec<(usize, usize)>,
            left: i64,
        ) -> Option<usize> {
            if left < 0 {
                return None;
            }
            let Some(&row) = of.2.get(unit) else {
                let mut held = held.clone();
                held.sort_unstable();
                held.dedup();
                return Some(held.len());
            };
            let mut best = None;
            for part in 0..free.len() {
                if free[part] {
                    free[part] = false;
                    held.push((row, of.1[part]));
                    let found = go(of, unit + 1, free, held, left - of.0[row][part]);
                    best = [best, found].into_iter().flatten().min();
                    held.pop();
                    free[part] = true;
                }
            }
            best
        }
        let mut free = vec![true; sorts.len()];
        go(&(costs, sorts, rows), 0, &mut free, &mut Vec::new(), most)
    }

    fn total(costs: &[Vec<i64>], given: &[(usize, usize)]) -> i64 {
        given.iter().map(|(row, part)| costs[*row][*part]).sum()
    }

    fn kept(sorts: &[usize], given: &[(usize, usize)]) -> usize {
        let mut held: Vec<_> = given
            .iter()
            .map(|(row, part)| (*row, sorts[*part]))
            .collect();
        held.sort_unstable();
        held.dedup();
        held.len()
    }

    fn gathered(
        costs: &[Vec<i64>],
        sorts: &[usize],
        given: &[(usize, usize)],
    ) -> Vec<(usize, usize)> {
        let mut mixed: Vec<usize> = given.iter().map(|(row, _)| *row).collect();
        mixed.dedup();
        let mut now = given.to_vec();
        let (cost, sort) = (
            |row: usize, part: usize| costs[row][part],
            |part: usize| sorts[part],
        );
        let (cost, sort) = (&cost, &sort);
        gather(&Table { cost, sort }, &mixed, &mut now);
        now
    }

    /// So many of each, in a row.
    fn numbered(counts: &[usize]) -> Vec<usize> {
        let each = counts.iter().enumerate();
        each.flat_map(|(at, count)| std::iter::repeat_n(at, *count))
            .collect()
    }

    #[test]
    fn blocks_of_several_parts_change_places() {
        // Two rows of two and four, two and four parts of a sort.
        let (rows, sorts) = (numbered(&[2, 4]), numbered(&[2, 4]));
        let given: Vec<_> = rows.into_iter().zip([2, 3, 0, 1, 4, 5]).collect();
        let costs = vec![vec![0; 6]; 2];
        let now = gathered(&costs, &sorts, &given);
        assert_eq!(kept(&sorts, &given), 3);
        assert_eq!(kept(&sorts, &now), 2);
    }

    proptest! {
        /// As many units in each row as parts of a sort, in any disorder.
        #[test]
        fn no_row_keeps_two_sorts_where_numbers_agree(
            counts in prop::collection::vec(1usize..4, 2..5),
            keys in prop::collection::vec(any::<u32>(), 24),
        ) {
            let rows = numbered(&counts);
            let mut order: Vec<usize> = (0..counts.len()).collect();
            order.sort_by_key(|at| keys[*at]);
            let turned: Vec<usize> = order.iter().map(|at| counts[*at]).collect();
            let sorts = numbered(&turned);
            let mut parts: Vec<usize> = (0..sorts.len()).collect();
            parts.sort_by_key(|part| keys[4 + part]);
            let given: Vec<_> = rows.into_iter().zip(parts).collect();
            let now = gathered(&vec![vec![0; sorts.len()]; counts.len()], &sorts, &given);
            prop_assert_eq!(kept(&sorts, &now), counts.len());
        }

        /// All rows as dear anywhere: a search through all ways finds none better.
        #[test]
        fn up_to_seven_units_are_kept_together_as_well_as_they_can(
            counts in prop::collection::vec(1usize..4, 2..4),
            sorts in prop::collection::vec(0usize..3, 9),
        ) {
            let rows = numbered(&counts);
            let rows = &rows[..rows.len().min(7)];
            let sorts = &sorts[..rows.len()];
            let costs = vec![vec![0; rows.len()]; counts.len()];
            let given: Vec<_> = rows.iter().copied().zip(0..).collect();
            let now = gathered(&costs, sorts, &given);
            prop_assert_eq!(Some(kept(sorts, &now)), fewest(&costs, sorts, rows, 0));
        }

        /// Any costs: each part is kept by one row, nothing gets dearer, and no more
        /// sorts are held.
        #[test]
        fn nothing_gets_dearer_or_more_mixed(
            counts in prop::collection::vec(1usize..3, 2..4),
            sorts in prop::collection::vec(0usize..3, 6),
            by_sort in prop::collection::vec(0i64..3, 9),
            keys in prop::collection::vec(any::<u32>(), 6),
        ) {
            let rows = numbered(&counts);
            let sorts = &sorts[..rows.len()];
            let costs: Vec<Vec<i64>> = (0..counts.len())
                .map(|row| sorts.iter().map(|sort| by_sort[row * 3 + sort] / 2).collect())
                .collect();
            let mut parts: Vec<usize> = (0..rows.len()).collect();
            parts.sort_by_key(|part| keys[*part]);
            let given: Vec<_> = rows.iter().copied().zip(parts).collect();
            let now = gathered(&costs, sorts, &given);
            let mut all: Vec<usize> = now.iter().map(|(_, part)| *part).collect();
            all.sort_unstable();
            prop_assert_eq!(all, (0..rows.len()).collect::<Vec<_>>());
            prop_assert!(now.iter().map(|(row, _)| row).eq(&rows));
            let most = total(&costs, &given);
            prop_assert!(total(&costs, &now) <= most);
            prop_assert!(kept(sorts, &now) <= kept(sorts, &given));
            prop_assert_eq!(Some(kept(sorts, &now)), fewest(&costs, sorts, &rows, most));
        }
    }
}
