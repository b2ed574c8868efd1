//! Joining the pieces of a view that do not touch: the cut sides of a plan, a
//! door standing open. Pieces with titles of their own stay apart.

use super::build::Sketch;
use super::cluster;
use super::flatten::{Flat, FlatDimension, unite};
use super::index::Grid;
use super::titles::Placed;
use crate::drawing::Sheet;
use crate::plain::in_parallel;
use foldhash::{HashMap, HashMapExt};
use geo::Rect;
use std::collections::BTreeSet;

/// Widest gap between pieces of one view, as a share of the larger piece.
const GAP: f64 = 0.06;
/// Ranges that agree within this share of the larger are the same.
const SAME: f64 = 0.01;

struct Joiner {
    parent: Vec<usize>,
    /// Titles each group has.
    titles: Vec<usize>,
}

impl Joiner {
    fn find(&mut self, mut i: usize) -> usize {
        while self.parent[i] != i {
            self.parent[i] = self.parent[self.parent[i]];
            i = self.parent[i];
        }
        i
    }

    /// Joins two pieces unless both have a title.
    fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.find(a), self.find(b));
        if a == b || self.titles[a] + self.titles[b] > 1 {
            return;
        }
        let (keep, gone) = (a.min(b), a.max(b));
        self.parent[gone] = keep;
        self.titles[keep] += self.titles[gone];
    }
}

/// Group number for each sketch; `None` when all stay as they are.
pub(super) fn join(
    sheet: &Sheet,
    flat: &Flat,
    sketches: &[Sketch],
    placed: &[Vec<Placed>],
) -> Option<Vec<usize>> {
    let count = sketches.len();
    let titles: Vec<usize> = placed
        .iter()
        .map(|list| usize::from(list.iter().any(|p| p.heading.rank >= 2)))
        .collect();
    let mut joiner = Joiner {
        parent: (0..count).collect(),
        titles,
    };
    let boxes: Vec<Rect<f64>> = sketches.iter().map(|s| s.bounds).collect();
    let grid = Grid::new(&boxes);
    by_dimension(flat, &boxes, &grid, &mut joiner);
    by_block(sheet, sketches, &mut joiner);
    by_gap(&boxes, &grid, &mut joiner);
    drop(grid);
    by_projection(&boxes, &mut joiner);
    let numbers: Vec<usize> = (0..count).map(|i| joiner.find(i)).collect();
    numbers
        .iter()
        .enumerate()
        .any(|(i, &n)| i != n)
        .then_some(numbers)
}

/// A dimension measures within one view: it joins the pieces its points lie on.
fn by_dimension(flat: &Flat, boxes: &[Rect<f64>], grid: &Grid, joiner: &mut Joiner) {
    let linear: Vec<&FlatDimension> = flat.dimensions.iter().filter(|d| d.linear).collect();
    let pairs = in_parallel(&linear, |dimension| {
        let reach = 0.15 * dimension.measured;
        let along = |r: &Rect<f64>| match dimension.level {
            Some(true) => Some((r.min().x, r.max().x)),
            Some(false) => Some((r.min().y, r.max().y)),
            None => None,
        };
        let hit = |c: geo::Coord<f64>| {
            let at = if dimension.level == Some(true) {
                c.x
            } else {
                c.y
            };
            let mut hits: Vec<usize> = grid
                .near(c, reach)
                .into_iter()
                .filter(|&i| {
                    along(&boxes[i]).is_some_and(|(lo, hi)| {
                        let near = SAME * dimension.measured;
                        (lo - at).abs() <= near || (hi - at).abs() <= near
                    })
                })
                .collect();
            hits.sort_by(|&p, &q| {
                away(&boxes[p], c)
                    .total_cmp(&away(&boxes[q], c))
                    .then(p.cmp(&q))
            });
            hits.first().copied()
        };
        let (a, b) = (hit(dimension.from)?, hit(dimension.to)?);
        let across = |r: &Rect<f64>| {
            if dimension.level == Some(true) {
                (r.min().y, r.max().y)
            } else {
                (r.min().x, r.max().x)
            }
        };
        let ((lo, hi), (low, high)) = (across(&boxes[a]), across(&boxes[b]));
        let overlap = hi.min(high) - lo.max(low);
        (a != b && overlap >= 0.5 * (hi - lo).min(high - low)).then_some((a, b))
    });
    for (a, b) in pairs.into_iter().flatten() {
        joiner.join(a, b);
    }
}

fn away(b: &Rect<f64>, c: geo::Coord<f64>) -> f64 {
    let dx = (b.min().x - c.x).max(c.x - b.max().x).max(0.0);
    let dy = (b.min().y - c.y).max(c.y - b.max().y).max(0.0);
    dx.hypot(dy)
}

/// What one INSERT draws belongs together, when several inserts draw the views.
fn by_block(sheet: &Sheet, sketches: &[Sketch], joiner: &mut Joiner) {
    if sheet.block_paths.iter().all(String::is_empty) {
        return;
    }
    let mut owner: Vec<Option<usize>> = vec![None; sheet.sources.len()];
    for (i, sketch) in sketches.iter().enumerate() {
        for stroke in &sketch.strokes {
            if let Some(owner) = owner.get_mut(stroke.source as usize) {
                owner.get_or_insert(i);
            }
        }
    }
    // Sources stand in the order of the file: an insert's are a run of one
    // block in which no entity comes twice.
    let mut instances: Vec<BTreeSet<usize>> = Vec::new();
    let mut seen: BTreeSet<u64> = BTreeSet::new();
    let mut current: Option<&str> = None;
    let paths = sheet.block_paths.iter();
    let tops: Vec<&str> = paths
        .map(|path| path.split('/').next().unwrap_or(""))
        .collect();
    for (id, source) in sheet.sources.iter().enumerate() {
        let top = tops.get(source.block_path as usize).map_or("", |top| *top);
        if top.is_empty() {
            current = None;
            continue;
        }
        if current != Some(top) || (source.handle != 0 && seen.contains(&source.handle)) {
            current = Some(top);
            seen.clear();
            instances.push(BTreeSet::new());
        }
        seen.insert(source.handle);
        if let (Some(last), Some(&Some(sketch))) = (instances.last_mut(), owner.get(id)) {
            last.insert(sketch);
        }
    }
    instances.retain(|i| !i.is_empty());
    if instances.len() < 2 {
        return;
    }
    for instance in instances {
        let members: Vec<usize> = instance.into_iter().collect();
        for pair in members.windows(2) {
            joiner.join(pair[0], pair[1]);
        }
    }
}

/// Pieces near each other, of which no two have titles.
fn by_gap(boxes: &[Rect<f64>], grid: &Grid, joiner: &mut Joiner) {
    let neighbours = in_parallel(0..boxes.len(), |i| -> Vec<(f64, usize, usize)> {
        let a = &boxes[i];
        let size = a.width().max(a.height());
        let reach = GAP * size;
        // Corners and middles of sides are enough to find neighbours by.
        let near = grid.near(a.center(), 0.5 * size + reach).into_iter();
        near.filter_map(|j| {
            let b = &boxes[j];
            let dx = (b.min().x - a.max().x).max(a.min().x - b.max().x).max(0.0);
            let dy = (b.min().y - a.max().y).max(a.min().y - b.max().y).max(0.0);
            let smaller = b.width().max(b.height()) <= size;
            // Side by side or one over the other, not corner to corner.
            let beside = i != j && smaller && dx.max(dy) <= reach && dx.min(dy) <= 0.0;
            beside.then(|| (dx.max(dy), i.min(j), i.max(j)))
        })
        .collect()
    });
    let mut pairs: Vec<(f64, usize, usize)> = neighbours.into_iter().flatten().collect();
    pairs.sort_by(|p, q| p.0.total_cmp(&q.0).then(p.1.cmp(&q.1)).then(p.2.cmp(&q.2)));
    for (_, a, b) in pairs {
        joiner.join(a, b);
    }
}

/// Two pieces that start and end at the same heights, and together are as wide
/// as another view: the cut sides of a plan over its front.
fn by_projection(boxes: &[Rect<f64>], joiner: &mut Joiner) {
    // Pieces joined so far count as one.
    let mut whole: Vec<Option<Rect<f64>>> = vec![None; boxes.len()];
    for (i, b) in boxes.iter().enumerate() {
        let whole = &mut whole[joiner.find(i)];
        *whole = Some(whole.map_or(*b, |r| unite(r, *b)));
    }
    let whole = whole.into_iter().enumerate();
    let pieces: Vec<(usize, Rect<f64>)> = whole.filter_map(|(i, r)| Some((i, r?))).collect();
    for turned in [false, true] {
        let span = |r: &Rect<f64>| {
            if turned {
                (r.min().y, r.max().y, r.min().x, r.max().x)
            } else {
                (r.min().x, r.max().x, r.min().y, r.max().y)
            }
        };
        let ranges = Ranges::new(pieces.iter().map(|(i, r)| (span(r).0, span(r).1, *i)));
        let mut rows: Vec<(usize, (f64, f64, f64, f64))> =
            pieces.iter().map(|(i, r)| (*i, span(r))).collect();
        rows.sort_by(|p, q| p.1.2.total_cmp(&q.1.2).then(p.1.0.total_cmp(&q.1.0)));
        let pairs = in_parallel(0..rows.len(), |at| {
            let (i, a) = &rows[at];
            let mut pairs = Vec::new();
            for (j, b) in rows.iter().skip(at + 1).take(16) {
                let high = (a.3 - a.2).max(b.3 - b.2);
                if b.2 - a.2 > SAME * high {
                    break;
                }
                let (lo, hi) = (a.0.min(b.0), a.1.max(b.1));
                let thin = |s: &(f64, f64, f64, f64)| s.1 - s.0 <= 0.2 * (hi - lo);
                if (a.3 - b.3).abs() > SAME * high || !(thin(a) && thin(b)) {
                    continue;
                }
                if ranges.any_like(lo, hi, |other| other != *i && other != *j) {
                    pairs.push((*i, *j));
                }
            }
            pairs
        });
        for (i, j) in pairs.into_iter().flatten() {
            joiner.join(i, j);
        }
    }
}

/// Most ranges of one cell looked at.
const LOOK: usize = 64;

/// Length as a power of two, start and end in steps.
type Cell = (i32, i64, i64);
/// Start, end and whose it is.
type Range = (f64, f64, usize);

/// Ranges by about where they start and end, and how long they are.
struct Ranges {
    cells: HashMap<Cell, Vec<Range>>,
    longest: f64,
}

impl Ranges {
    fn new(ranges: impl Iterator<Item = Range>) -> Self {
        let mut cells: HashMap<Cell, Vec<Range>> = HashMap::new();
        let mut longest = 0.0;
        for range in ranges {
            longest = f64::max(longest, range.1 - range.0);
            if let Some(band) = Self::band(range.0, range.1) {
                let slot = |at| Self::slot(band, at);
                let key = (band, slot(range.0), slot(range.1));
                cells.entry(key).or_default().push(range);
            }
        }
        for cell in cells.values_mut() {
            cell.sort_by(|p, q| p.0.total_cmp(&q.0).then(p.1.total_cmp(&q.1)));
        }
        Ranges { cells, longest }
    }

    /// Ranges of a length between two powers of two; `None` for a mere point.
    fn band(lo: f64, hi: f64) -> Option<i32> {
        let length = hi - lo;
        (length > 0.0 && length.is_finite()).then(|| length.log2().floor() as i32)
    }

    /// Cells are as wide as ranges of the band may differ and count as the same.
    fn slot(band: i32, at: f64) -> i64 {
        (at / (2.0 * SAME * f64::from(band).exp2())).floor() as i64
    }

    /// Whether a wanted range starts and ends about where this one does.
    fn any_like(&self, lo: f64, hi: f64, wanted: impl Fn(usize) -> bool) -> bool {
        let near = SAME * (hi - lo);
        let Some(band) = Self::band(lo, hi) else {
            return false;
        };
        if hi - lo - 2.0 * near > self.longest {
            return false;
        }
        (band - 1..=band + 1).any(|band| {
            let from = |at: f64| Self::slot(band, at - near)..=Self::slot(band, at + near);
            from(lo).any(|start| {
                from(hi).any(|end| {
                    let cell = self.cells.get(&(band, start, end));
                    cell.into_iter().flatten().take(LOOK).any(|r| {
                        (r.0 - lo).abs() <= near && (r.1 - hi).abs() <= near && wanted(r.2)
                    })
                })
            })
        })
    }
}

/// Sketches put together by group number.
pub(super) fn united(sketches: Vec<Sketch>, numbers: &[usize]) -> Vec<Sketch> {
    let count = numbers.iter().max().map_or(0, |most| most + 1);
    let mut groups: Vec<Option<Sketch>> = std::iter::repeat_with(|| None).take(count).collect();
    for (sketch, &number) in sketches.into_iter().zip(numbers) {
        match &mut groups[number] {
            Some(group) => {
                group.bounds = unite(group.bounds, sketch.bounds);
                group.strokes.extend(sketch.strokes);
            }
            group => *group = Some(sketch),
        }
    }
    // Boxes that now overlap are one view as well.
    let sketches: Vec<Sketch> = groups.into_iter().flatten().collect();
    let boxes: Vec<Rect<f64>> = sketches.iter().map(|s| s.bounds).collect();
    let numbers = cluster::group(&boxes, |_| 0.0);
    let numbers: Vec<usize> = numbers.iter().map(|n| *n as usize).collect();
    if numbers.iter().enumerate().all(|(i, &n)| i == n) {
        return sketches;
    }
    united(sketches, &numbers)
}
