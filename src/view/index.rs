//! Looking up boxes by place, without looking at all of them.

use geo::{Coord, Rect};
use rayon::slice::ParallelSliceMut;

/// Most cells a box is entered in.
const CELLS: f64 = 64.0;

/// A grid over boxes.
pub(super) struct Grid {
    cell: f64,
    /// Number across of each column in which boxes lie, from the left, and where its
    /// entries end.
    columns: Vec<(i64, usize)>,
    /// Number up and box of each entry, those of a column sorted.
    entries: Vec<(i64, u32)>,
    /// Boxes too large for the grid.
    large: Vec<usize>,
    boxes: Vec<Rect<f64>>,
}

impl Grid {
    pub fn new(boxes: &[Rect<f64>]) -> Self {
        let mut sides: Vec<f64> = boxes.iter().map(|b| b.width().max(b.height())).collect();
        let middle = sides.len() / 2;
        let median = if sides.is_empty() {
            1.0
        } else {
            *sides.select_nth_unstable_by(middle, f64::total_cmp).1
        };
        let cell = if median > 0.0 && median.is_finite() {
            median
        } else {
            1.0
        };
        let slot = |c: Coord<f64>| slot(c, cell);
        let mut large = Vec::new();
        let mut cells_of_boxes: Vec<(i64, i64, u32)> = Vec::with_capacity(2 * boxes.len());
        for (index, b) in boxes.iter().enumerate() {
            let (low, high) = (slot(b.min()), slot(b.max()));
            if cells(low, high) > CELLS {
                large.push(index);
                continue;
            }
            for x in low.0..=high.0 {
                cells_of_boxes.extend((low.1..=high.1).map(|y| (x, y, index as u32)));
            }
        }
        cells_of_boxes.par_sort_unstable();
        let mut columns: Vec<(i64, usize)> = Vec::new();
        for (end, (x, ..)) in (1..).zip(&cells_of_boxes) {
            match columns.last_mut() {
                Some(column) if column.0 == *x => column.1 = end,
                _ => columns.push((*x, end)),
            }
        }
        Grid {
            cell,
            columns,
            entries: cells_of_boxes.into_iter().map(|(_, y, b)| (y, b)).collect(),
            large,
            boxes: boxes.to_vec(),
        }
    }

    /// Side of a cell: the middle size of the boxes.
    pub fn cell(&self) -> f64 {
        self.cell
    }

    /// Boxes within `reach` of a point along both axes, in order.
    pub fn near(&self, c: Coord<f64>, reach: f64) -> Vec<usize> {
        let by = Coord { x: reach, y: reach };
        let (low, high) = (slot(c - by, self.cell), slot(c + by, self.cell));
        let mut found: Vec<usize> = self.large.clone();
        let count = cells(low, high);
        if count > 4096.0 {
            found = (0..self.boxes.len()).collect();
        } else {
            let first = self.columns.partition_point(|column| column.0 < low.0);
            let mut start = first.checked_sub(1).map_or(0, |at| self.columns[at].1);
            for &(x, end) in &self.columns[first..] {
                if x > high.0 {
                    break;
                }
                let column = &self.entries[start..end];
                let from = column.partition_point(|entry| entry.0 < low.1);
                let column = column[from..].iter();
                found.extend(column.take_while(|e| e.0 <= high.1).map(|e| e.1 as usize));
                start = end;
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

/// The cell of this side that a point lies in.
fn slot(c: Coord<f64>, side: f64) -> (i64, i64) {
    ((c.x / side).floor() as i64, (c.y / side).floor() as i64)
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
    use proptest::prelude::*;

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

    proptest! {
        #[test]
        fn agrees_with_looking_at_all(
            specs in prop::collection::vec((-50..50_i32, -50..50_i32, 0..30_i32, 0..30_i32), 1..60),
            at in (-60..60_i32, -60..60_i32),
            reach in 0..40_i32,
        ) {
            let boxes: Vec<Rect<f64>> = specs
                .iter()
                .map(|&(x, y, w, h)| {
                    let low = Coord { x: f64::from(x), y: f64::from(y) };
                    Rect::new(low, low + Coord { x: f64::from(w), y: f64::from(h) })
                })
                .collect();
            let (x, y) = (f64::from(at.0), f64::from(at.1));
            let reach = f64::from(reach);
            let away = |low: f64, high: f64, at: f64| (low - at).max(at - high);
            let slow: Vec<usize> = (0..boxes.len())
                .filter(|&i| {
                    let (low, high) = (boxes[i].min(), boxes[i].max());
                    away(low.x, high.x, x) <= reach && away(low.y, high.y, y) <= reach
                })
                .collect();
            prop_assert_eq!(Grid::new(&boxes).near(Coord { x, y }, reach), slow);
        }
    }
}
