//! Dimensions and leaders that were exploded into lines, arrowheads and text:
//! what they measure, and which strokes they are.

use super::flatten::{Flat, FlatDimension, FlatText, Stroke, end_of};
use super::frame::{Reason, Reasons};
use super::names::Dictionary;
use super::notes;
use super::witness::{Witness, agreements};
use crate::drawing::{EntityKind, Sheet};
use crate::plain::in_parallel;
use foldhash::HashSet;
use geo::Coord;
use rayon::prelude::*;

/// Lines of one position looked at around a text.
const LOOK: usize = 48;
/// Different positions looked at around a text.
const POSITIONS: usize = 512;

/// Marks leaders and centre lines that say so themselves.
pub(super) fn mark_told(sheet: &Sheet, flat: &Flat, reasons: &mut Reasons) {
    let strokes = flat.strokes.par_iter().zip(reasons);
    strokes.for_each(|(stroke, reason)| {
        let Some(source) = sheet.sources.get(stroke.source as usize) else {
            return;
        };
        if source.centre {
            *reason = Some(Reason::Centre);
        } else if matches!(source.kind, EntityKind::Leader | EntityKind::MultiLeader) {
            *reason = Some(Reason::Leader);
        }
    });
}

/// A stroke of one direction: its position, where it starts and ends along it.
#[derive(Clone, Copy)]
struct Placed {
    at: f64,
    lo: f64,
    hi: f64,
    index: u32,
}

/// Strokes of one direction sorted by position, those of one position by start.
struct Rows(Vec<Placed>);

impl Rows {
    fn new(strokes: &[Stroke], upright: bool, skip: &Reasons) -> Self {
        let place = |(index, stroke): (usize, &Stroke)| {
            if skip[index].is_some() {
                return None;
            }
            let b = stroke.bounds();
            let (across, lo, hi, at) = if upright {
                (b.width(), b.min().y, b.max().y, b.center().x)
            } else {
                (b.height(), b.min().x, b.max().x, b.center().y)
            };
            let index = index as u32;
            (across <= 1e-3 * (hi - lo) && hi > lo).then_some(Placed { at, lo, hi, index })
        };
        let placed = strokes.par_iter().enumerate().filter_map(place);
        let mut placed: Vec<Placed> = placed.collect();
        placed.par_sort_unstable_by(|p, q| {
            p.at.total_cmp(&q.at)
                .then_with(|| p.lo.total_cmp(&q.lo))
                .then_with(|| p.hi.total_cmp(&q.hi))
                .then_with(|| p.index.cmp(&q.index))
        });
        Rows(placed)
    }

    /// Strokes at positions in `from..=to` that come within `near` of `along`.
    fn near(&self, from: f64, to: f64, along: f64, near: f64) -> Vec<(f64, f64, usize)> {
        let first = self.0.partition_point(|p| p.at.total_cmp(&from).is_lt());
        let after = self.0.partition_point(|p| p.at.total_cmp(&to).is_le());
        let within = self.0.get(first..after).unwrap_or_default();
        let mut found = Vec::new();
        let rows = within.chunk_by(|p, q| p.at.total_cmp(&q.at).is_eq());
        for row in rows.take(POSITIONS) {
            let after = row.partition_point(|s| s.lo <= along + near);
            found.extend(
                row[after.saturating_sub(LOOK)..after]
                    .iter()
                    .filter(|s| s.hi >= along - near)
                    .map(|s| (s.lo, s.hi, s.index as usize)),
            );
        }
        found
    }
}

/// Cells of one size that things lie in.
#[derive(Clone, Copy)]
struct Raster {
    cell: f64,
}

impl Raster {
    fn new(cell: f64) -> Self {
        Raster {
            cell: cell.max(1e-9),
        }
    }

    fn cell_of(self, c: Coord<f64>) -> (i64, i64) {
        let number = |x: f64| (x / self.cell).floor() as i64;
        (number(c.x), number(c.y))
    }
}

/// A cell in one number, in the order of cells: column first.
fn packed((x, y): (i64, i64)) -> u64 {
    // Far outside there is nothing to tell apart.
    let half = |at: i64| (at.clamp(i32::MIN.into(), i32::MAX.into()) - i64::from(i32::MIN)) as u64;
    half(x) << 32 | half(y)
}

/// Numbers of things by the cell of the plane they lie in, sorted by it.
struct Cells {
    raster: Raster,
    numbers: Vec<(u64, u32)>,
}

impl Cells {
    fn new(raster: Raster, placed: impl ParallelIterator<Item = (Coord<f64>, u32)>) -> Self {
        let mut numbers: Vec<_> = placed
            .map(|(at, number)| (packed(raster.cell_of(at)), number))
            .collect();
        // As one number: compared without branches.
        numbers.par_sort_unstable_by_key(|(cell, number)| {
            u128::from(*cell) << 32 | u128::from(*number)
        });
        Cells { raster, numbers }
    }

    /// What lies within a cell or so of a point.
    fn around(&self, c: Coord<f64>) -> impl Iterator<Item = u32> + '_ {
        let (x, y) = self.raster.cell_of(c);
        (-1..=1)
            .flat_map(move |dx| {
                (-1..=1).map(move |dy| packed((x.saturating_add(dx), y.saturating_add(dy))))
            })
            .flat_map(|cell| {
                let from = self.numbers.partition_point(|(other, _)| *other < cell);
                let after = self.numbers.get(from..).unwrap_or_default();
                let within = after.iter().take_while(move |(other, _)| *other == cell);
                within.map(|(_, number)| *number).take(4 * LOOK)
            })
    }
}

/// Small strokes, for finding arrowheads.
struct Specks(Cells);

impl Specks {
    fn new(strokes: &[Stroke], longest: f64, skip: &Reasons) -> Self {
        let small = strokes
            .par_iter()
            .enumerate()
            .filter_map(|(index, stroke)| {
                let b = stroke.bounds();
                let small = skip[index].is_none() && b.width().max(b.height()) <= longest;
                small.then(|| (b.center(), index as u32))
            });
        Specks(Cells::new(Raster::new(longest), small))
    }

    /// Strokes whose middles lie within a cell or so of a point.
    fn around(&self, c: Coord<f64>) -> impl Iterator<Item = usize> + '_ {
        self.0.around(c).map(|number| number as usize)
    }
}

fn distance(a: Coord<f64>, b: Coord<f64>) -> f64 {
    (a.x - b.x).hypot(a.y - b.y)
}

/// Distance from a point to a stroke.
fn to_stroke(c: Coord<f64>, s: &Stroke) -> f64 {
    let d = s.b - s.a;
    let square = d.x * d.x + d.y * d.y;
    let t = if square > 0.0 {
        (((c.x - s.a.x) * d.x + (c.y - s.a.y) * d.y) / square).clamp(0.0, 1.0)
    } else {
        0.0
    };
    distance(
        c,
        Coord {
            x: s.a.x + t * d.x,
            y: s.a.y + t * d.y,
        },
    )
}

/// A point or stroke with x and y changed over when `upright`.
fn turned(c: Coord<f64>, upright: bool) -> Coord<f64> {
    if upright { Coord { x: c.y, y: c.x } } else { c }
}

/// Finds exploded dimensions, marks their strokes and gives what they measure. A
/// cabinet's name may be a number and stand over a line as a size does: it is one only
/// where it bears out the ratio that the others share.
pub(super) fn exploded(
    flat: &Flat,
    sheet: &Sheet,
    names: &Dictionary,
    reasons: &mut Reasons,
) -> Vec<FlatDimension> {
    let sizes: Vec<(&FlatText, bool)> = flat
        .texts
        .iter()
        .filter(|t| t.height > 0.0 && notes::shown(&t.text).is_some())
        .filter_map(|t| {
            let (sin, cos) = t.rotation.sin_cos();
            (sin.abs() < 0.02 || cos.abs() < 0.02).then_some((t, sin.abs() > 0.5))
        })
        .collect();
    let mut found: Vec<FlatDimension> = Vec::new();
    if sizes.is_empty() {
        return found;
    }
    let is_name = |text: &FlatText| names.is_name(&text.text);
    let (named, plain): (Vec<_>, Vec<_>) = sizes.into_iter().partition(|s| is_name(s.0));
    let sizes = plain.into_iter().chain(named);
    let tallest = sizes.clone().map(|s| s.0.height).fold(0.0, f64::max);
    let levels = Rows::new(&flat.strokes, false, reasons);
    let uprights = Rows::new(&flat.strokes, true, reasons);
    let specks = Specks::new(&flat.strokes, 2.0 * tallest, reasons);
    let sizes: Vec<(&FlatText, bool)> = sizes.collect();
    let hits = in_parallel(&sizes, |&(text, upright)| {
        let finder = |upright: bool| {
            let (along, across) = if upright {
                (&uprights, &levels)
            } else {
                (&levels, &uprights)
            };
            Finder {
                flat,
                sheet,
                along,
                across,
                specks: &specks,
                upright,
            }
        };
        let own = finder(upright).dimension(text).map(|hit| (hit, upright));
        // Where all texts read from below, one stands level in the gap of an upright line.
        own.or_else(|| Some((finder(!upright).broken_by(text)?, !upright)))
    });
    for ((text, _), hit) in sizes.into_iter().zip(hits) {
        let Some((hit, upright)) = hit else {
            continue;
        };
        let (from, to) = (turned(hit.from, upright), turned(hit.to, upright));
        let dimension = FlatDimension {
            from,
            to,
            line_at: turned(hit.line_at, upright),
            measured: hit.to.x - hit.from.x,
            level: Some(!upright),
            linear: true,
            text: Some(text.text.clone()),
            drawn_text: None,
            exploded: true,
            factor: 1.0,
            factor_origin: "none",
            source: text.source,
        };
        if is_name(text) && !borne_out(&dimension, flat.dimensions.iter().chain(&found)) {
            continue;
        }
        for index in &hit.strokes {
            reasons[*index] = Some(Reason::Dimension);
        }
        found.push(dimension);
    }
    found
}

/// True when a dimension shows as many times its distance as most others do.
fn borne_out<'a>(
    dimension: &FlatDimension,
    others: impl Iterator<Item = &'a FlatDimension>,
) -> bool {
    let others: Vec<Witness> = others.filter_map(Witness::of).collect();
    let groups = agreements(&others);
    groups
        .first()
        .zip(Witness::of(dimension))
        .is_some_and(|(most, own)| {
            (own.ratio() / most.ratio - 1.0).abs() <= own.spread().max(most.spread)
        })
}

struct Hit {
    from: Coord<f64>,
    to: Coord<f64>,
    line_at: Coord<f64>,
    strokes: Vec<usize>,
}

/// One end of a dimension line.
struct End {
    /// Position measured.
    at: f64,
    /// Where the extension line starts, at the thing measured.
    foot: f64,
    strokes: Vec<usize>,
}

/// Works in the frame in which the dimension line is level.
struct Finder<'a> {
    flat: &'a Flat,
    sheet: &'a Sheet,
    along: &'a Rows,
    across: &'a Rows,
    specks: &'a Specks,
    upright: bool,
}

impl Finder<'_> {
    /// The dimension of a text that reads along its line.
    fn dimension(&self, text: &FlatText) -> Option<Hit> {
        let h = text.height;
        let half = 0.5 * h * text.text.chars().count() as f64 + 1.5 * h;
        self.nearest(text, half, 2.2 * h, true)
    }

    /// The dimension of a text that stands across its line, in a gap of it.
    fn broken_by(&self, text: &FlatText) -> Option<Hit> {
        self.nearest(text, 3.0 * text.height, half_width(text), false)
    }

    /// The dimension whose line comes within `half` of a text along it, and within
    /// `beside` across. `past`: the line may run past the text unbroken.
    fn nearest(&self, text: &FlatText, half: f64, beside: f64, past: bool) -> Option<Hit> {
        let at = turned(text.at, self.upright);
        let h = text.height;
        let mut best: Option<(f64, Hit)> = None;
        // A line past the text, or two halves with the text between them.
        let near = self.along.near(at.y - beside, at.y + beside, at.x, half);
        for &(lo, hi, index) in &near {
            let y = self.position(index);
            let (from, to, strokes) = if past && lo <= at.x && hi >= at.x {
                (lo, hi, vec![index])
            } else if hi < at.x {
                let other = near
                    .iter()
                    .find(|o| o.0 > at.x && (self.position(o.2) - y).abs() <= 1e-3 * h);
                let Some(&(_, end, other)) = other else {
                    continue;
                };
                (lo, end, vec![index, other])
            } else {
                continue;
            };
            let (Some(left), Some(right)) = (self.end(from, y, h, true), self.end(to, y, h, false))
            else {
                continue;
            };
            if right.at - left.at <= 1e-6 * h {
                continue;
            }
            let away = (y - at.y).abs();
            if best.as_ref().is_none_or(|b| away < b.0 - 1e-9 * h) {
                let mut strokes = strokes;
                strokes.extend(left.strokes);
                strokes.extend(right.strokes);
                // Copies of the dimension line itself.
                strokes.extend(
                    self.along
                        .near(y - 1e-3 * h, y + 1e-3 * h, at.x, 0.5 * (to - from))
                        .iter()
                        .filter(|s| s.0 >= from - 1e-3 * h && s.1 <= to + 1e-3 * h)
                        .map(|s| s.2),
                );
                best = Some((
                    away,
                    Hit {
                        from: Coord {
                            x: left.at,
                            y: left.foot,
                        },
                        to: Coord {
                            x: right.at,
                            y: right.foot,
                        },
                        line_at: Coord { x: right.at, y },
                        strokes,
                    },
                ));
            }
        }
        best.map(|b| b.1)
    }

    fn position(&self, index: usize) -> f64 {
        let middle = self.flat.strokes[index].bounds().center();
        turned(middle, self.upright).y
    }

    /// The end of a dimension line at `x`: it is one when an extension line
    /// passes it and stops just beyond, or when an arrowhead or tick sits there.
    fn end(&self, x: f64, y: f64, h: f64, left: bool) -> Option<End> {
        let mut extension: Option<(f64, f64, usize)> = None;
        for (lo, hi, index) in self.across.near(x - 1.6 * h, x + 1.6 * h, y, 1e-3 * h) {
            let at = {
                let middle = self.flat.strokes[index].bounds().center();
                turned(middle, self.upright).x
            };
            // It goes on a little on one side and comes from far on the other.
            let (above, below) = (hi - y, y - lo);
            let (beyond, from) = if above < below {
                (above, below)
            } else {
                (below, above)
            };
            if beyond < 0.1 * h || beyond > 2.5 * h || from < 1.2 * beyond.min(h) {
                continue;
            }
            if extension.is_none_or(|e| (at - x).abs() < (e.0 - x).abs()) {
                let foot = if above < below { lo } else { hi };
                extension = Some((at, foot, index));
            }
        }
        let tip = Coord {
            x: extension.map_or(x, |e| e.0),
            y,
        };
        let arrow = self.arrow(tip, h, left);
        match extension {
            Some((at, foot, index)) => {
                let mut strokes = arrow;
                strokes.push(index);
                Some(End { at, foot, strokes })
            }
            None if !arrow.is_empty() => Some(End {
                at: x,
                foot: y,
                strokes: arrow,
            }),
            None => None,
        }
    }

    /// Strokes of an arrowhead or tick at `tip`; none when there is no sign of one.
    fn arrow(&self, tip: Coord<f64>, h: f64, left: bool) -> Vec<usize> {
        let here = turned(tip, self.upright);
        let mut strokes = Vec::new();
        let mut filled = std::collections::BTreeSet::new();
        for index in self.specks.around(here) {
            let stroke = &self.flat.strokes[index];
            if to_stroke(here, stroke) > 0.02 * h {
                continue;
            }
            let (a, b) = (
                turned(stroke.a, self.upright),
                turned(stroke.b, self.upright),
            );
            let (dx, dy) = ((b.x - a.x).abs(), (b.y - a.y).abs());
            let kind = self
                .sheet
                .sources
                .get(stroke.source as usize)
                .map(|s| s.kind);
            if matches!(kind, Some(EntityKind::Solid | EntityKind::Hatch)) {
                filled.insert(stroke.source);
                continue;
            }
            let slanting = dx > 0.05 * h && dy > 0.05 * h;
            // A tick crosses at its middle; an open arrow points outwards.
            let middle = Coord {
                x: f64::midpoint(a.x, b.x),
                y: f64::midpoint(a.y, b.y),
            };
            let tick = distance(middle, tip) <= 0.05 * h;
            let inwards = if left {
                a.x.max(b.x) > tip.x
            } else {
                a.x.min(b.x) < tip.x
            };
            if slanting && dx.hypot(dy) <= 2.0 * h && (tick || inwards) {
                strokes.push(index);
            }
        }
        if !filled.is_empty() {
            strokes.extend(
                self.specks
                    .around(here)
                    .filter(|&i| filled.contains(&self.flat.strokes[i].source)),
            );
        }
        strokes
    }
}

/// Marks loose leaders: a short landing line beside a note with a slanting line
/// at its other end, or a single slanting line that starts at a note.
pub(super) fn loose_leaders(flat: &Flat, reasons: &mut Reasons) {
    let notes: Vec<&FlatText> = flat
        .texts
        .iter()
        .filter(|t| {
            t.height > 0.0 && t.rotation.abs() < 0.02 && t.text.chars().any(char::is_alphabetic)
        })
        .collect();
    let notes = with_slanting(&flat.strokes, reasons, notes);
    if notes.is_empty() {
        return;
    }
    let levels = Rows::new(&flat.strokes, false, reasons);
    let ends = Ends::new(&flat.strokes, reasons, &notes);
    let marked = in_parallel(&notes, |note| {
        let h = note.height;
        let half = half_width(note);
        let mut gone = Vec::new();
        for (lo, hi, index) in levels.near(
            note.at.y - 0.8 * h,
            note.at.y + 0.8 * h,
            note.at.x,
            half + 3.0 * h,
        ) {
            let beside = lo >= note.at.x + 0.4 * half || hi <= note.at.x - 0.4 * half;
            if hi - lo > 8.0 * h || !beside {
                continue;
            }
            let b = flat.strokes[index].bounds();
            let far = if lo >= note.at.x { hi } else { lo };
            let far = Coord {
                x: far,
                y: b.center().y,
            };
            let slants: Vec<usize> = ends
                .at(far, 0.02 * h)
                .filter(|&i| i != index && slanting(&flat.strokes[i]))
                .collect();
            let others = ends
                .at(far, 0.02 * h)
                .filter(|&i| i != index && !slants.contains(&i))
                .count();
            if slants.len() == 1 && others == 0 {
                gone.push(index);
                gone.extend(slants);
            }
        }
        for dx in [-1.0, 1.0] {
            let start = Coord {
                x: note.at.x + dx * (half + 0.6 * h),
                y: note.at.y,
            };
            for index in ends.at(start, 0.8 * h) {
                let stroke = &flat.strokes[index];
                let length = distance(stroke.a, stroke.b);
                let alone = |c: Coord<f64>| ends.at(c, 0.02 * h).count() == 1;
                let near = if distance(stroke.a, start) < distance(stroke.b, start) {
                    stroke.a
                } else {
                    stroke.b
                };
                if slanting(stroke) && length > 2.0 * h && alone(near) {
                    gone.push(index);
                }
            }
        }
        gone
    });
    for index in marked.into_iter().flatten() {
        reasons[index] = Some(Reason::Leader);
    }
}

fn slanting(s: &Stroke) -> bool {
    let (dx, dy) = ((s.b.x - s.a.x).abs(), (s.b.y - s.a.y).abs());
    dx > 0.03 * dy && dy > 0.03 * dx
}

/// About half as wide as a note's longest line.
fn half_width(note: &FlatText) -> f64 {
    let longest = note.text.lines().map(|l| l.chars().count()).max();
    0.5 * 0.7 * note.height * longest.unwrap_or(0) as f64
}

/// Stroke ends near notes; 2i and 2i + 1 are those of stroke i.
struct Ends<'a> {
    cells: Cells,
    strokes: &'a [Stroke],
}

/// Where a leader of a note may be, in blocks of cells. A large sheet has few notes for
/// its lines.
struct Reach {
    raster: Raster,
}

impl Reach {
    /// A leader ends within so many heights of its note.
    const HEIGHTS: f64 = 12.0;
    /// Cells along a side of a block.
    const BLOCK: i64 = 16;

    fn of(notes: &[&FlatText]) -> Self {
        Self {
            raster: Raster::new(notes.iter().map(|t| t.height).fold(0.0, f64::max)),
        }
    }

    /// The block a point lies in.
    fn block(&self, c: Coord<f64>) -> (i64, i64) {
        let (x, y) = self.raster.cell_of(c);
        (x.div_euclid(Self::BLOCK), y.div_euclid(Self::BLOCK))
    }

    /// All blocks that a leader of a note may end in.
    fn blocks(&self, note: &FlatText) -> impl Iterator<Item = (i64, i64)> + use<> {
        let by = Coord {
            x: half_width(note) + Self::HEIGHTS * note.height + 2.0 * self.raster.cell,
            y: 2.0 * note.height + 2.0 * self.raster.cell,
        };
        let (left, bottom) = self.block(note.at - by);
        let (right, top) = self.block(note.at + by);
        (left..=right).flat_map(move |x| (bottom..=top).map(move |y| (x, y)))
    }
}

/// The notes with the end of a slanting line in reach: there is no leader without one.
fn with_slanting<'a>(
    strokes: &[Stroke],
    skip: &Reasons,
    mut notes: Vec<&'a FlatText>,
) -> Vec<&'a FlatText> {
    let reach = Reach::of(&notes);
    let kept = strokes
        .par_iter()
        .enumerate()
        .filter(|(index, stroke)| slanting(stroke) && skip[*index].is_none());
    let blocks = kept.flat_map_iter(|(_, s)| [s.a, s.b].map(|end| reach.block(end)));
    let blocks: HashSet<(i64, i64)> = blocks.collect();
    notes.retain(|note| reach.blocks(note).any(|block| blocks.contains(&block)));
    notes
}

impl<'a> Ends<'a> {
    fn new(strokes: &'a [Stroke], skip: &Reasons, notes: &[&FlatText]) -> Self {
        let reach = Reach::of(notes);
        let blocks: HashSet<(i64, i64)> =
            notes.iter().flat_map(|note| reach.blocks(note)).collect();
        let kept = strokes
            .par_iter()
            .enumerate()
            .filter(|(index, _)| skip[*index].is_none());
        let ends = kept.flat_map_iter(|(index, s)| {
            let first = 2 * index as u32;
            [(s.a, first), (s.b, first + 1)]
        });
        let near = ends.filter(|(end, _)| blocks.contains(&reach.block(*end)));
        Ends {
            cells: Cells::new(reach.raster, near),
            strokes,
        }
    }

    fn at(&self, c: Coord<f64>, reach: f64) -> impl Iterator<Item = usize> + '_ {
        self.cells
            .around(c)
            .filter(move |&end| distance(end_of(self.strokes, end), c) <= reach)
            .map(|end| end as usize / 2)
    }
}
