//! Sheet borders and title blocks: the frame round the views, not a view.

use super::cluster::group;
use super::flatten::{FlatText, Stroke, unite};
use super::index::Grid;
use crate::plain::in_parallel;
use geo::{Coord, Rect};
use rayon::prelude::*;

/// Share of a side that drawn lines must cover.
const COVERED: f64 = 0.9;
/// Views leave at least this share of a sheet free.
const FILLED: f64 = 0.7;
/// Without words beside the views, at least this share is free.
const FILLED_WORDLESS: f64 = 0.5;
/// Least distance of views from the border, as a share of the sheet.
const CLEAR: f64 = 0.01;
/// Largest share of the sheet that a title block takes.
const TITLE_BLOCK: f64 = 0.35;
/// Deepest nesting of frames.
const NESTED: usize = 3;

/// Why a stroke is left out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Reason {
    Border,
    TitleBlock,
    Wall,
    Past,
    Dimension,
    Leader,
    Centre,
}

impl Reason {
    pub fn text(self) -> &'static str {
        match self {
            Self::Border => "sheet border",
            Self::TitleBlock => "title block",
            Self::Wall => "wall or ceiling line beside the view",
            Self::Past => "floor, wall or centre line that runs past the view",
            Self::Dimension => "lines of an exploded dimension",
            Self::Leader => "leader of a note",
            Self::Centre => "centre line",
        }
    }
}

/// For each stroke; `None` for those that stay.
pub(super) type Reasons = Vec<Option<Reason>>;

/// Layer and block names that say frame. "FRAME" alone is a face frame.
const SAYS_BORDER: &[&str] = &[
    "BORDER",
    "TITLEBLOCK",
    "TITLE BLOCK",
    "TITLE-BLOCK",
    "TITLE_BLOCK",
    "SCHRIFTFELD",
    "BLATTRAHMEN",
    "ZEICHNUNGSRAHMEN",
    "CARTOUCHE",
    "CAJETIN",
    "CAJETÍN",
];

/// True when a layer or block name says that it holds the sheet's frame.
pub(super) fn says_border(name: &str) -> bool {
    let name = name.to_uppercase();
    SAYS_BORDER.iter().any(|word| name.contains(word))
}

/// Marks the strokes of borders and title blocks. `named` is true for strokes
/// whose layer or block says border. Gives the groups of those that stay.
pub(super) fn mark(
    strokes: &[Stroke],
    texts: &[FlatText],
    named: impl Fn(&Stroke) -> bool + Sync,
    reasons: &mut Reasons,
) -> Groups {
    take_named(strokes, &named, reasons);
    let words = Words::new(texts);
    let groups = Groups::of(strokes, reasons);
    let marks = groups.in_parallel(|members| peel(strokes, &words, &named, members, NESTED));
    let mut unmarked = true;
    for (index, reason) in marks.into_iter().flatten() {
        reasons[index as usize] = Some(reason);
        unmarked = false;
    }
    if unmarked {
        groups
    } else {
        Groups::of(strokes, reasons)
    }
}

/// What a layer or block calls the sheet's frame is that, whatever crosses it, as long
/// as it goes all round what else is drawn.
fn take_named(
    strokes: &[Stroke],
    named: &(impl Fn(&Stroke) -> bool + Sync),
    reasons: &mut Reasons,
) {
    let all = 0..reasons.len() as u32;
    let free = |i: &u32| reasons[*i as usize].is_none();
    let named = |i: &u32| named(&strokes[*i as usize]);
    let frame: Vec<u32> = all
        .clone()
        .into_par_iter()
        .filter(|i| named(i) && free(i))
        .collect();
    if frame.is_empty() {
        return;
    }
    let rest = all.into_par_iter().filter(|i| free(i) && !named(i));
    let rest = rest.map(|i| strokes[i as usize].bounds());
    let (Some(round), Some(inner)) = (bounds(strokes, &frame), rest.reduce_with(unite)) else {
        return;
    };
    let tolerance = 1e-4 * round.width().max(round.height());
    let Some((sides, blocks)) = split_sides(strokes, &frame, round, tolerance) else {
        return;
    };
    let holds = contains(round, inner.center())
        && inner.width() * inner.height() <= 1.2 * round.width() * round.height();
    // A view drawn on the frame's layer would be more than lines beside the frame.
    let plain = Groups::among(strokes, blocks.clone()).iter().all(|part| {
        bounds(strokes, part).is_some_and(|r| {
            let beside = (r.min().x - round.min().x)
                .min(round.max().x - r.max().x)
                .min(r.min().y - round.min().y)
                .min(round.max().y - r.max().y);
            beside <= 0.1 * round.width().max(round.height())
        })
    });
    if holds && plain {
        for index in sides {
            reasons[index as usize] = Some(Reason::Border);
        }
        for index in blocks {
            reasons[index as usize] = Some(Reason::TitleBlock);
        }
    }
}

/// Where texts with words stand, from left to right.
struct Words(Vec<Coord<f64>>);

impl Words {
    fn new(texts: &[FlatText]) -> Self {
        let mut places: Vec<Coord<f64>> = texts
            .iter()
            .filter(|t| t.text.chars().filter(|c| c.is_alphabetic()).take(2).count() == 2)
            .map(|t| t.at)
            .collect();
        places.sort_by(|p, q| p.x.total_cmp(&q.x).then(p.y.total_cmp(&q.y)));
        places.dedup();
        Words(places)
    }

    fn within(&self, r: Rect<f64>) -> impl Iterator<Item = Coord<f64>> + '_ {
        let from = self.0.partition_point(|c| c.x < r.min().x);
        self.0
            .iter()
            .skip(from)
            .take_while(move |c| c.x <= r.max().x)
            .copied()
            .filter(move |c| contains(r, *c))
    }
}

/// Strokes that are border or title block.
type Marks = Vec<(u32, Reason)>;

/// Groups of strokes whose boxes touch, each in the order of the strokes.
pub(super) struct Groups {
    /// Strokes of the first group, then those of the second, and so on.
    members: Vec<u32>,
    ends: Vec<usize>,
}

impl Groups {
    /// Groups the strokes without a reason to leave them out.
    pub(super) fn of(strokes: &[Stroke], reasons: &Reasons) -> Self {
        let all = 0..reasons.len() as u32;
        Self::among(
            strokes,
            all.into_par_iter()
                .filter(|i| reasons[*i as usize].is_none())
                .collect(),
        )
    }

    fn among(strokes: &[Stroke], which: Vec<u32>) -> Self {
        Self::near(strokes, which, |b| 0.002 * b.width().max(b.height()))
    }

    /// Groups these strokes, a box counting as wider by `margin` of it on each side.
    pub(super) fn near(
        strokes: &[Stroke],
        mut which: Vec<u32>,
        margin: impl Fn(&Rect<f64>) -> f64 + Sync,
    ) -> Self {
        let boxes: Vec<Rect<f64>> = which
            .par_iter()
            .map(|&i| strokes[i as usize].bounds())
            .collect();
        let numbers = group(&boxes, margin);
        drop(boxes);
        let mut ends = vec![0; numbers.iter().max().map_or(0, |m| *m as usize + 1)];
        for number in &numbers {
            ends[*number as usize] += 1;
        }
        // Where the next of each group goes, which is its end after the last.
        let mut next = 0;
        for end in &mut ends {
            next += std::mem::replace(end, next);
        }
        let mut members = vec![0; which.len()];
        for (index, number) in which.drain(..).zip(numbers) {
            let end = &mut ends[number as usize];
            members[*end] = index;
            *end += 1;
        }
        Groups { members, ends }
    }

    pub fn iter(&self) -> impl Iterator<Item = &[u32]> {
        let starts = std::iter::once(&0).chain(&self.ends);
        starts
            .zip(&self.ends)
            .map(|(&start, &end)| &self.members[start..end])
    }

    pub fn in_parallel<R: Send>(&self, work: impl Fn(&[u32]) -> R + Sync) -> Vec<R> {
        let groups: Vec<&[u32]> = self.iter().collect();
        in_parallel(&groups, |members| work(members))
    }
}

pub(super) fn bounds(strokes: &[Stroke], which: &[u32]) -> Option<Rect<f64>> {
    let boxes = which.iter().map(|&i| strokes[i as usize].bounds());
    boxes.reduce(unite)
}

fn peel(
    strokes: &[Stroke],
    words: &Words,
    named: &impl Fn(&Stroke) -> bool,
    members: &[u32],
    depth: usize,
) -> Marks {
    let Some(sheet) = bounds(strokes, members) else {
        return Marks::new();
    };
    let size = sheet.width().max(sheet.height());
    let Some((sides, rest)) = split_sides(strokes, members, sheet, 1e-4 * size) else {
        return Marks::new();
    };
    let inner = Groups::among(strokes, rest);
    let near_side = |r: &Rect<f64>| {
        (r.min().x - sheet.min().x)
            .min(sheet.max().x - r.max().x)
            .min(r.min().y - sheet.min().y)
            .min(sheet.max().y - r.max().y)
    };
    let area = sheet.width() * sheet.height();
    let (mut title_blocks, mut views) = (Vec::new(), Vec::new());
    for part in inner.iter() {
        let Some(r) = bounds(strokes, part) else {
            continue;
        };
        if near_side(&r) <= 0.002 * size && r.width() * r.height() <= TITLE_BLOCK * area {
            title_blocks.push(part);
        } else {
            views.push((part, r));
        }
    }
    // A second frame line close inside the first.
    if depth > 0
        && let [(only, r)] = views.as_slice()
        && r.width() * r.height() > 0.75 * area
        && near_side(r) > 0.0
    {
        let mut marks = peel(strokes, words, named, only, depth - 1);
        if !marks.is_empty() {
            settle(&sides, &title_blocks, &mut marks);
        }
        return marks;
    }
    let told = sides
        .iter()
        .filter(|&&i| named(&strokes[i as usize]))
        .count()
        * 2
        > sides.len();
    let clear = views.iter().all(|(_, r)| near_side(r) > CLEAR * size);
    let filled: f64 = views
        .iter()
        .map(|(_, r)| r.width() * r.height())
        .sum::<f64>()
        / area;
    let boxes: Vec<Rect<f64>> = views.iter().map(|(_, r)| *r).collect();
    let grid = Grid::new(&boxes);
    let worded = words.within(sheet).any(|at| grid.near(at, 0.0).is_empty());
    let detailed = views.len() >= 2 && views.iter().all(|(part, _)| part.len() >= 8);
    let looks = clear
        && !views.is_empty()
        && ((worded && filled <= FILLED && area > 0.0)
            || (detailed && filled <= FILLED_WORDLESS)
            || (!title_blocks.is_empty()
                && filled <= FILLED
                && views.iter().all(|(p, _)| p.len() >= 4)));
    let mut marks = Marks::new();
    if (told && !views.is_empty()) || looks {
        settle(&sides, &title_blocks, &mut marks);
    }
    marks
}

fn settle(sides: &[u32], title_blocks: &[&[u32]], marks: &mut Marks) {
    marks.extend(sides.iter().map(|&i| (i, Reason::Border)));
    marks.extend(
        title_blocks
            .iter()
            .copied()
            .flatten()
            .map(|&i| (i, Reason::TitleBlock)),
    );
}

pub(super) fn contains(r: Rect<f64>, c: Coord<f64>) -> bool {
    c.x >= r.min().x && c.x <= r.max().x && c.y >= r.min().y && c.y <= r.max().y
}

/// Strokes along the four sides of `sheet`, and the rest, when the sides are
/// drawn all round.
fn split_sides(
    strokes: &[Stroke],
    members: &[u32],
    sheet: Rect<f64>,
    tolerance: f64,
) -> Option<(Vec<u32>, Vec<u32>)> {
    if !(sheet.width() > 0.0 && sheet.height() > 0.0) {
        return None;
    }
    let mut spans: [Vec<(f64, f64)>; 4] = Default::default();
    let (mut sides, mut rest) = (Vec::new(), Vec::new());
    for &index in members {
        let b = strokes[index as usize].bounds();
        let side = if b.height() <= tolerance && b.min().y - sheet.min().y <= tolerance {
            Some(0)
        } else if b.height() <= tolerance && sheet.max().y - b.max().y <= tolerance {
            Some(1)
        } else if b.width() <= tolerance && b.min().x - sheet.min().x <= tolerance {
            Some(2)
        } else if b.width() <= tolerance && sheet.max().x - b.max().x <= tolerance {
            Some(3)
        } else {
            None
        };
        match side {
            Some(side) => {
                spans[side].push(if side < 2 {
                    (b.min().x, b.max().x)
                } else {
                    (b.min().y, b.max().y)
                });
                sides.push(index);
            }
            None => rest.push(index),
        }
    }
    let whole = [sheet.width(), sheet.width(), sheet.height(), sheet.height()];
    spans
        .into_iter()
        .zip(whole)
        .all(|(spans, whole)| covered(spans) >= COVERED * whole)
        .then_some((sides, rest))
}

fn covered(mut spans: Vec<(f64, f64)>) -> f64 {
    spans.sort_by(|p, q| p.0.total_cmp(&q.0));
    let (mut sum, mut reach) = (0.0, f64::NEG_INFINITY);
    for (lo, hi) in spans {
        sum += (hi - lo.max(reach)).max(0.0);
        reach = reach.max(hi);
    }
    sum
}
