//! Floor, wall, ceiling and centre lines that run past a view: they would join
//! views to each other and widen them.

use super::flatten::Stroke;
use super::frame::{Groups, Reason, Reasons, bounds};
use geo::Coord;

/// Rounds of taking off lines that stick out.
const ROUNDS: usize = 6;
/// Least overhang, as a share of the view.
const OVERHANG: f64 = 0.01;
/// Two ends nearer than this meet, as a share of the view.
const MEET: f64 = 1e-3;
/// Strokes of one position looked at around an end.
const LOOK: usize = 32;

/// What becomes of a line that sticks out.
enum Fate {
    Gone,
    /// It is cut to the view.
    Cut(Stroke),
}

/// Marks lines that stick out with a free end. A line that is the only edge
/// along that side of its view is cut to the view instead.
pub(super) fn mark(strokes: &mut [Stroke], groups: &Groups, reasons: &mut Reasons) {
    let fates = groups.in_parallel(|part| one_group(strokes, part));
    for (index, fate) in fates.into_iter().flatten() {
        match fate {
            Fate::Gone => reasons[index as usize] = Some(Reason::Past),
            Fate::Cut(rest) => strokes[index as usize] = rest,
        }
    }
}

fn level(s: &Stroke) -> bool {
    (s.b.y - s.a.y).abs() <= 1e-3 * (s.b.x - s.a.x).abs()
}

fn upright(s: &Stroke) -> bool {
    (s.b.x - s.a.x).abs() <= 1e-3 * (s.b.y - s.a.y).abs()
}

fn one_group(strokes: &[Stroke], part: &[u32]) -> Vec<(u32, Fate)> {
    let mut fates = Vec::new();
    if part.len() < 6 {
        return fates;
    }
    let Some(whole) = bounds(strokes, part) else {
        return fates;
    };
    let meet = MEET * whole.width().max(whole.height());
    let ends = Neighbours::new(strokes, part, meet);
    let mut core: Vec<u32> = part.to_vec();
    let mut peeled: Vec<u32> = Vec::new();
    for _ in 0..ROUNDS {
        let Some(b) = bounds(strokes, &core) else {
            break;
        };
        let outer = |s: &Stroke| {
            let r = s.bounds();
            if level(s) {
                [
                    (r.min().x - b.min().x <= meet, r.min()),
                    (b.max().x - r.max().x <= meet, r.max()),
                ]
            } else if upright(s) {
                [
                    (r.min().y - b.min().y <= meet, r.min()),
                    (b.max().y - r.max().y <= meet, r.max()),
                ]
            } else {
                [(false, r.min()), (false, r.max())]
            }
        };
        let free: Vec<u32> = core
            .iter()
            .copied()
            .filter(|&i| {
                outer(&strokes[i as usize])
                    .into_iter()
                    .any(|(out, end)| out && ends.free(strokes, i, end))
            })
            .collect();
        if free.is_empty() || core.len() < free.len() + 4 {
            break;
        }
        core.retain(|i| free.binary_search(i).is_err());
        peeled.extend(free);
    }
    let Some(b) = bounds(strokes, &core).filter(|b| b.width() > 0.0 && b.height() > 0.0) else {
        return fates;
    };
    let least = OVERHANG * b.width().max(b.height());
    for index in peeled {
        let s = strokes[index as usize];
        let r = s.bounds();
        let flat = level(&s);
        let (lo, hi, at, low, high, bottom, top) = if flat {
            (
                r.min().x,
                r.max().x,
                r.center().y,
                b.min().x,
                b.max().x,
                b.min().y,
                b.max().y,
            )
        } else {
            (
                r.min().y,
                r.max().y,
                r.center().x,
                b.min().y,
                b.max().y,
                b.min().x,
                b.max().x,
            )
        };
        if low - lo <= least && hi - high <= least {
            continue; // sticks out by less than any floor line would
        }
        let edge = if (at - bottom).abs() <= meet {
            Some(bottom)
        } else {
            ((at - top).abs() <= meet).then_some(top)
        };
        let covered: f64 = match edge {
            Some(edge) => core
                .iter()
                .map(|&i| &strokes[i as usize])
                .filter(|s| if flat { level(s) } else { upright(s) })
                .filter(|s| {
                    let c = s.bounds().center();
                    ((if flat { c.y } else { c.x }) - edge).abs() <= meet
                })
                .map(|s| s.bounds().width().max(s.bounds().height()))
                .sum(),
            None => f64::INFINITY,
        };
        if edge.is_some()
            && covered < 0.3 * (high - low)
            && hi.min(high) - lo.max(low) > 0.5 * (high - low)
        {
            // The only edge there is: keep what lies along the view.
            let end = |c: Coord<f64>| {
                if flat {
                    Coord {
                        x: c.x.clamp(low, high),
                        y: c.y,
                    }
                } else {
                    Coord {
                        x: c.x,
                        y: c.y.clamp(low, high),
                    }
                }
            };
            let (a, b) = (end(s.a), end(s.b));
            fates.push((index, Fate::Cut(Stroke { a, b, ..s })));
        } else {
            fates.push((index, Fate::Gone));
        }
    }
    fates
}

/// A line along one direction: its slot across, start and end, and which it is.
type Lying = (i64, f64, f64, u32);

/// Lines of one direction by slot, each slot's sorted by start.
struct Rows(Vec<Lying>);

impl Rows {
    fn new(mut lines: Vec<Lying>) -> Self {
        lines.sort_unstable_by(|p, q| {
            (p.0.cmp(&q.0))
                .then(p.1.total_cmp(&q.1))
                .then(p.3.cmp(&q.3))
        });
        Rows(lines)
    }

    fn row(&self, slot: i64) -> &[Lying] {
        let from = self.0.partition_point(|s| s.0 < slot);
        let rest = &self.0[from..];
        &rest[..rest.partition_point(|s| s.0 == slot)]
    }
}

/// Finds what a stroke's end meets.
struct Neighbours {
    meet: f64,
    cell: f64,
    /// Long lines by position: uprights by x, levels by y.
    uprights: Rows,
    levels: Rows,
    /// Ends of slanting strokes by cell.
    slants: Vec<(i64, i64, Coord<f64>)>,
}

impl Neighbours {
    fn new(strokes: &[Stroke], part: &[u32], meet: f64) -> Self {
        let cell = meet.max(1e-12) * 2.0;
        let slot = |v: f64| (v / cell).floor() as i64;
        let (mut uprights, mut levels, mut slants) = (Vec::new(), Vec::new(), Vec::new());
        for &index in part {
            let s = &strokes[index as usize];
            let r = s.bounds();
            if level(s) {
                levels.push((slot(r.center().y), r.min().x, r.max().x, index));
            } else if upright(s) {
                uprights.push((slot(r.center().x), r.min().y, r.max().y, index));
            } else {
                slants.extend([s.a, s.b].map(|end| (slot(end.x), slot(end.y), end)));
            }
        }
        slants.sort_unstable_by_key(|&(x, y, _)| (x, y));
        Neighbours {
            meet,
            cell,
            uprights: Rows::new(uprights),
            levels: Rows::new(levels),
            slants,
        }
    }

    /// True when nothing but copies of itself reaches the stroke's end.
    fn free(&self, strokes: &[Stroke], index: u32, end: Coord<f64>) -> bool {
        let this = &strokes[index as usize];
        let flat = level(this);
        let (along, across) = if flat { (end.x, end.y) } else { (end.y, end.x) };
        let (crossing, parallel) = if flat {
            (&self.uprights, &self.levels)
        } else {
            (&self.levels, &self.uprights)
        };
        let slot = |v: f64| (v / self.cell).floor() as i64;
        let passes = |rows: &Rows, at: f64, by: f64, test: &dyn Fn(f64, f64, u32) -> bool| {
            let middle = slot(at);
            [middle.saturating_sub(1), middle, middle.saturating_add(1)]
                .into_iter()
                .any(|slot| {
                    let row = rows.row(slot);
                    let after = row.partition_point(|s| s.1 <= by + self.meet);
                    row[after.saturating_sub(LOOK)..after]
                        .iter()
                        .any(|s| s.2 >= by - self.meet && test(s.1, s.2, s.3))
                })
        };
        if passes(crossing, along, across, &|_, _, _| true) {
            return false;
        }
        // A collinear piece that goes on, not one that stops here as well.
        let on = |lo: f64, hi: f64, other: u32| {
            other != index && lo < along - self.meet && hi > along + self.meet
                || other != index
                    && ((lo - along).abs() <= self.meet) != ((hi - along).abs() <= self.meet)
                    && {
                        let r = this.bounds();
                        let start = if flat { r.min().x } else { r.min().y };
                        let at_start = (start - along).abs() <= self.meet;
                        // It begins where this one ends.
                        if at_start {
                            (hi - along).abs() <= self.meet
                        } else {
                            (lo - along).abs() <= self.meet
                        }
                    }
        };
        if passes(parallel, across, along, &on) {
            return false;
        }
        let (x, y) = (slot(end.x), slot(end.y));
        ![x.saturating_sub(1), x, x.saturating_add(1)]
            .into_iter()
            .any(|x| {
                // Three cells of a column lie one after the other.
                let from = self
                    .slants
                    .partition_point(|s| (s.0, s.1) < (x, y.saturating_sub(1)));
                self.slants[from..]
                    .iter()
                    .take_while(|s| (s.0, s.1) <= (x, y.saturating_add(1)))
                    .any(|(_, _, c)| (c.x - end.x).hypot(c.y - end.y) <= self.meet)
            })
    }
}
