//! Cheapest assignment of things to others: the Hungarian method with
//! potentials (H. W. Kuhn, 1955), in whole numbers so that ties are settled by
//! order alone.

/// For each row of `cost`, the column given to it: the assignment of least total
/// cost that uses each column once at most. Every row gets a column, so there
/// must be at least as many columns as rows; short rows of `cost` count as
/// forbidden at [`FORBIDDEN`].
pub fn assign(cost: &[Vec<i64>], columns: usize) -> Vec<usize> {
    let rows = cost.len();
    debug_assert!(rows <= columns);
    let at = |row: usize, column: usize| -> i64 {
        cost.get(row)
            .and_then(|line| line.get(column))
            .copied()
            .unwrap_or(FORBIDDEN)
    };
    // Index 0 stands for "none" in both directions.
    let mut row_potential = vec![0i64; rows + 1];
    let mut column_potential = vec![0i64; columns + 1];
    let mut taken_by = vec![0usize; columns + 1];
    let mut came_from = vec![0usize; columns + 1];
    for row in 1..=rows {
        taken_by[0] = row;
        let mut column = 0usize;
        let mut least = vec![i64::MAX; columns + 1];
        let mut seen = vec![false; columns + 1];
        loop {
            seen[column] = true;
            let current = taken_by[column];
            let mut step = i64::MAX;
            let mut next = 0usize;
            for candidate in 1..=columns {
                if seen[candidate] {
                    continue;
                }
                let reduced = at(current - 1, candidate - 1)
                    - row_potential[current]
                    - column_potential[candidate];
                if reduced < least[candidate] {
                    least[candidate] = reduced;
                    came_from[candidate] = column;
                }
                if least[candidate] < step {
                    step = least[candidate];
                    next = candidate;
                }
            }
            for candidate in 0..=columns {
                if seen[candidate] {
                    row_potential[taken_by[candidate]] += step;
                    column_potential[candidate] -= step;
                } else if least[candidate] != i64::MAX {
                    least[candidate] -= step;
                }
            }
            column = next;
            if taken_by[column] == 0 {
                break;
            }
        }
        while column != 0 {
            let previous = came_from[column];
            taken_by[column] = taken_by[previous];
            column = previous;
        }
    }
    let mut given = vec![0usize; rows];
    for (column, &row) in taken_by.iter().enumerate().skip(1) {
        if row > 0 {
            given[row - 1] = column - 1;
        }
    }
    given
}

/// Dearer than any sum of real costs, yet far from overflow.
pub const FORBIDDEN: i64 = 1_000_000_000;

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn total(cost: &[Vec<i64>], given: &[usize]) -> i64 {
        given.iter().enumerate().map(|(r, &c)| cost[r][c]).sum()
    }

    fn brute(cost: &[Vec<i64>], columns: usize) -> i64 {
        fn go(cost: &[Vec<i64>], row: usize, used: &mut Vec<bool>) -> i64 {
            if row == cost.len() {
                return 0;
            }
            let mut best = i64::MAX;
            for column in 0..used.len() {
                if !used[column] {
                    used[column] = true;
                    best = best.min(cost[row][column] + go(cost, row + 1, used));
                    used[column] = false;
                }
            }
            best
        }
        go(cost, 0, &mut vec![false; columns])
    }

    proptest! {
        #[test]
        fn no_assignment_is_cheaper(
            (rows, columns, values) in (1usize..5, 0usize..3).prop_flat_map(|(rows, extra)| {
                (Just(rows), Just(rows + extra), prop::collection::vec(-50i64..50, 56))
            })
        ) {
            let cost: Vec<Vec<i64>> =
                (0..rows).map(|r| (0..columns).map(|c| values[r * columns + c]).collect()).collect();
            let given = assign(&cost, columns);
            let mut once = given.clone();
            once.sort_unstable();
            once.dedup();
            prop_assert_eq!(once.len(), rows);
            prop_assert_eq!(total(&cost, &given), brute(&cost, columns));
        }
    }

    #[test]
    fn nothing_to_assign() {
        assert!(assign(&[], 0).is_empty());
    }
}
