//! Floor, wall, ceiling and centre lines that run past a view: they would join
//! views to each other and widen them.

use super::cluster::group;
use super::flatten::{Stroke, unite};
use super::frame::Reasons;
use geo::{Coord, Rect};
use std::collections::BTreeMap;

pub(super) const PAST: &str = "floor, wall or centre line that runs past the view";

/// Rounds of taking off lines that stick out.
const ROUNDS: usize = 6;
/// Least overhang, as a share of the view.
const OVERHANG: f64 = 0.01;
/// Two ends nearer than this meet, as a share of the view.
const MEET: f64 = 1e-3;
/// Strokes of one position looked at around an end.
const LOOK: usize = 32;

/// Marks lines that stick out with a free end. A line that is the only edge
/// along that side of its view is cut to the view instead.
pub(super) fn mark(strokes: &mut [Stroke], reasons: &mut Reasons) -> usize {
    let live: Vec<usize> = (0..strokes.len())
        .filter(|&i| reasons[i].is_none())
        .collect();
    let boxes: Vec<Rect<f64>> = live.iter().map(|&i| strokes[i].bounds()).collect();
    let numbers = group(&boxes, |b| 0.002 * b.width().max(b.height()));
    let mut members: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (&index, number) in live.iter().zip(numbers) {
        members.entry(number).or_default().push(index);
    }
    let mut cut = 0;
    for part in members.into_values() {
        cut += one_group(strokes, &part, reasons);
    }
    cut
}

fn bounds(strokes: &[Stroke], which: &[usize]) -> Option<Rect<f64>> {
    which.iter().map(|&i| strokes[i].bounds()).reduce(unite)
}

fn level(s: &Stroke) -> bool {
    (s.b.y - s.a.y).abs() <= 1e-3 * (s.b.x - s.a.x).abs()
}

fn upright(s: &Stroke) -> bool {
    (s.b.x - s.a.x).abs() <= 1e-3 * (s.b.y - s.a.y).abs()
}

fn one_group(strokes: &mut [Stroke], part: &[usize], reasons: &mut Reasons) -> usize {
    if part.len() < 6 {
        return 0;
    }
    let Some(whole) = bounds(strokes, part) else {
        return 0;
    };
    let meet = MEET * whole.width().max(whole.height());
    let ends = Neighbours::new(strokes, part, meet);
    let mut core: Vec<usize> = part.to_vec();
    let mut peeled: Vec<usize> = Vec::new();
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
        let free: Vec<usize> = core
            .iter()
            .copied()
            .filter(|&i| {
                outer(&strokes[i])
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
        return 0;
    };
    let least = OVERHANG * b.width().max(b.height());
    let mut cut = 0;
    for index in peeled {
        let s = strokes[index];
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
                .map(|&i| &strokes[i])
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
            strokes[index].a = end(s.a);
            strokes[index].b = end(s.b);
            cut += 1;
        } else {
            reasons[index] = Some(PAST);
        }
    }
    cut
}

/// Finds what a stroke's end meets.
struct Neighbours {
    meet: f64,
    cell: f64,
    /// Long lines by position: uprights by x, levels by y.
    uprights: BTreeMap<i64, Vec<(f64, f64, usize)>>,
    levels: BTreeMap<i64, Vec<(f64, f64, usize)>>,
    /// Ends of slanting strokes.
    slants: BTreeMap<(i64, i64), Vec<Coord<f64>>>,
}

impl Neighbours {
    fn new(strokes: &[Stroke], part: &[usize], meet: f64) -> Self {
        let cell = meet.max(1e-12) * 2.0;
        let slot = |v: f64| (v / cell).floor() as i64;
        let mut this = Neighbours {
            meet,
            cell,
            uprights: BTreeMap::new(),
            levels: BTreeMap::new(),
            slants: BTreeMap::new(),
        };
        for &index in part {
            let s = &strokes[index];
            let r = s.bounds();
            if level(s) {
                this.levels.entry(slot(r.center().y)).or_default().push((
                    r.min().x,
                    r.max().x,
                    index,
                ));
            } else if upright(s) {
                this.uprights.entry(slot(r.center().x)).or_default().push((
                    r.min().y,
                    r.max().y,
                    index,
                ));
            } else {
                for end in [s.a, s.b] {
                    this.slants
                        .entry((slot(end.x), slot(end.y)))
                        .or_default()
                        .push(end);
                }
            }
        }
        for row in this.levels.values_mut().chain(this.uprights.values_mut()) {
            row.sort_by(|p, q| p.0.total_cmp(&q.0).then(p.2.cmp(&q.2)));
        }
        this
    }

    /// True when nothing but copies of itself reaches the stroke's end.
    fn free(&self, strokes: &[Stroke], index: usize, end: Coord<f64>) -> bool {
        let flat = level(&strokes[index]);
        let (along, across) = if flat { (end.x, end.y) } else { (end.y, end.x) };
        let (crossing, parallel) = if flat {
            (&self.uprights, &self.levels)
        } else {
            (&self.levels, &self.uprights)
        };
        let slot = |v: f64| (v / self.cell).floor() as i64;
        let passes = |rows: &BTreeMap<i64, Vec<(f64, f64, usize)>>,
                      at: f64,
                      by: f64,
                      test: &dyn Fn(f64, f64, usize) -> bool| {
            rows.range(slot(at) - 1..=slot(at) + 1).any(|(_, row)| {
                let after = row.partition_point(|s| s.0 <= by + self.meet);
                row[after.saturating_sub(LOOK)..after]
                    .iter()
                    .any(|s| s.1 >= by - self.meet && test(s.0, s.1, s.2))
            })
        };
        if passes(crossing, along, across, &|_, _, _| true) {
            return false;
        }
        // A collinear piece that goes on, not one that stops here as well.
        let on = |lo: f64, hi: f64, other: usize| {
            other != index && lo < along - self.meet && hi > along + self.meet
                || other != index
                    && ((lo - along).abs() <= self.meet) != ((hi - along).abs() <= self.meet)
                    && {
                        let r = strokes[index].bounds();
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
        !(-1..=1).any(|dx| {
            (-1..=1).any(|dy| {
                self.slants.get(&(x + dx, y + dy)).is_some_and(|l| {
                    l.iter()
                        .any(|c| (c.x - end.x).hypot(c.y - end.y) <= self.meet)
                })
            })
        })
    }
}
