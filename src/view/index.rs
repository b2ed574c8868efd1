//! Looking up boxes by place, without looking at all of them.

use geo::{Coord, Rect};
use std::collections::BTreeMap;

/// Most cells a box is entered in.
const CELLS: f64 = 64.0;

/// A grid over boxes.
pub(super) struct Grid {
    cell: f64,
    cells: BTreeMap<(i64, i64), Vec<usize>>,
    /// Boxes too large for the grid.
    large: Vec<usize>,
    boxes: Vec<Rect<f64>>,
}

impl Grid {
    pub fn new(boxes: &[Rect<f64>]) -> Self {
        let mut sides: Vec<f64> = boxes.iter().map(|b| b.width().max(b.height())).collect();
        sides.sort_by(f64::total_cmp);
        let median = sides.get(sides.len() / 2).copied().unwrap_or(1.0);
        let cell = if median > 0.0 && median.is_finite() {
            median
        } else {
            1.0
        };
        let mut grid = Grid {
            cell,
            cells: BTreeMap::new(),
            large: Vec::new(),
            boxes: boxes.to_vec(),
        };
        for (index, b) in boxes.iter().enumerate() {
            let (low, high) = (grid.slot(b.min()), grid.slot(b.max()));
            let count = cells(low, high);
            if count > CELLS {
                grid.large.push(index);
                continue;
            }
            for x in low.0..=high.0 {
                for y in low.1..=high.1 {
                    grid.cells.entry((x, y)).or_default().push(index);
                }
            }
        }
        grid
    }

    /// Side of a cell: the middle size of the boxes.
    pub fn cell(&self) -> f64 {
        self.cell
    }

    fn slot(&self, c: Coord<f64>) -> (i64, i64) {
        (
            (c.x / self.cell).floor() as i64,
            (c.y / self.cell).floor() as i64,
        )
    }

    /// Boxes within `reach` of a point along both axes, in order.
    pub fn near(&self, c: Coord<f64>, reach: f64) -> Vec<usize> {
        let by = Coord { x: reach, y: reach };
        let (low, high) = (self.slot(c - by), self.slot(c + by));
        let mut found: Vec<usize> = self.large.clone();
        let count = cells(low, high);
        if count > 4096.0 {
            found = (0..self.boxes.len()).collect();
        } else {
            for x in low.0..=high.0 {
                let column = self.cells.range((x, low.1)..=(x, high.1));
                found.extend(column.flat_map(|(_, boxes)| boxes));
            }
        }
        found.retain(|&i| {
            self.boxes.get(i).is_some_and(|b| {
                c.x >= b.min().x - reach
                    && c.x <= b.max().x + reach
                    && c.y >= b.min().y - reach
                    && c.y <= b.max().y + reach
            })
        });
        found.sort_unstable();
        found.dedup();
        found
    }
}

/// Cells from one slot to another; in floats, since slots may be as far apart
/// as there are numbers.
fn cells(low: (i64, i64), high: (i64, i64)) -> f64 {
    let along = |from: i64, to: i64| to as f64 - from as f64 + 1.0;
    along(low.0, high.0) * along(low.1, high.1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_what_is_near_and_nothing_else() {
        let boxes: Vec<Rect<f64>> = (0..100)
            .map(|i| {
                let x = 10.0 * f64::from(i);
                Rect::new(Coord { x, y: 0.0 }, Coord { x: x + 5.0, y: 5.0 })
            })
            .chain([Rect::new(
                Coord { x: 0.0, y: -1.0 },
                Coord {
                    x: 1000.0,
                    y: 500.0,
                },
            )])
            .collect();
        let grid = Grid::new(&boxes);
        assert_eq!(grid.near(Coord { x: 52.0, y: 2.0 }, 0.0), [5, 100]);
        assert_eq!(grid.near(Coord { x: 57.0, y: 2.0 }, 3.5), [5, 6, 100]);
        assert!(grid.near(Coord { x: -50.0, y: -50.0 }, 1.0).is_empty());
    }
}
