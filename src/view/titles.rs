//! Titles: which texts belong to which view, and what they say.

use super::ViewKind;
use super::flatten::FlatText;
use super::frame::contains;
use super::index::Grid;
use super::names::{Dictionary, Found};
use super::tokens::tokens;
use super::words::{self, Says};
use crate::plain::in_parallel;
use geo::{Coord, Rect};

/// A text that may be a title.
#[derive(Clone, Debug)]
pub(super) struct Heading {
    /// As written; lines of one block of text joined by a line break.
    pub text: String,
    pub at: Coord<f64>,
    /// The point the text is set from: exact, where the middle is an estimate.
    pub anchor: Coord<f64>,
    pub height: f64,
    pub names: Vec<Found>,
    pub says: Option<Says>,
    /// Better titles have a higher rank.
    pub rank: u8,
}

/// A title placed at a view.
#[derive(Clone, Debug)]
pub(super) struct Placed {
    pub heading: Heading,
    pub origin: &'static str,
    /// Distance, in drawing units; 0 inside.
    pub away: f64,
}

/// What a text says, when it can be a title at all.
pub(super) fn heading(
    text: &str,
    [at, anchor]: [Coord<f64>; 2],
    height: f64,
    dictionary: &Dictionary,
) -> Option<Heading> {
    if text.chars().count() > 200 {
        return None;
    }
    let known = dictionary.find(text);
    let taken: Vec<(usize, usize)> = known.iter().map(|f| f.tokens).collect();
    let phrase = words::says(text, &taken);
    let names = if known.is_empty() {
        dictionary.find_or_guess(text, phrase.is_none())
    } else {
        known
    };
    let parts = tokens(text);
    let spoken = |i: usize| {
        names.iter().any(|f| (f.tokens.0..f.tokens.1).contains(&i))
            || phrase
                .as_ref()
                .is_some_and(|p| (p.tokens.0..p.tokens.1).contains(&i))
    };
    let rest = parts
        .iter()
        .enumerate()
        .filter(|(i, t)| {
            !spoken(*i)
                && !words::says_what_is_drawn(&t.text)
                && t.text.chars().count() > 1
                && !t.digits
        })
        .count();
    let rank = match (&phrase, names.is_empty(), rest) {
        (Some(_), false, 0..=6) => 4,
        (Some(_), true, 0) => 3,
        (None, false, 0..=3) => 2,
        (Some(_), true, 1..=2) => 1,
        _ => return None,
    };
    Some(Heading {
        text: text.to_owned(),
        at,
        anchor,
        height,
        says: phrase.map(|p| p.says),
        names,
        rank,
    })
}

/// Lines of text set under each other, joined into blocks.
pub(super) fn blocks(texts: &[FlatText]) -> Vec<FlatText> {
    let mut order: Vec<usize> = (0..texts.len())
        .filter(|&i| texts[i].rotation.abs() < 0.05)
        .collect();
    // Columns from left to right, each from the top down.
    order.sort_by(|&p, &q| {
        let (a, b) = (&texts[p], &texts[q]);
        b.at.y
            .total_cmp(&a.at.y)
            .then(a.at.x.total_cmp(&b.at.x))
            .then(a.text.cmp(&b.text))
    });
    let mut blocks: Vec<FlatText> = Vec::new();
    // Last line of each block: where it stands; and the characters of the block.
    let mut last: Vec<(Coord<f64>, f64)> = Vec::new();
    let mut counts: Vec<usize> = Vec::new();
    let mut open_from = 0;
    for index in order {
        let text = &texts[index];
        let count = text.text.chars().count();
        let width = |count: usize, h: f64| 0.5 * h * count as f64;
        // Blocks far above can take no more lines.
        while open_from < blocks.len()
            && last[open_from].0.y - text.at.y > 4.0 * last[open_from].1.max(text.height)
        {
            open_from += 1;
        }
        let home = (open_from..blocks.len()).rev().take(64).find(|&b| {
            let (at, height) = last[b];
            let drop = at.y - text.at.y;
            let step = drop / height.max(text.height);
            let ratio = height.max(text.height) / height.min(text.height).max(1e-12);
            let reach = 0.5 * width(counts[b], height).max(width(count, text.height));
            (0.8..=2.2).contains(&step) && ratio <= 2.1 && (at.x - text.at.x).abs() <= reach
        });
        match home {
            Some(b) => {
                blocks[b].text.push('\n');
                blocks[b].text.push_str(&text.text);
                counts[b] += 1 + count;
                last[b] = (text.at, text.height);
            }
            None => {
                blocks.push(text.clone());
                counts.push(count);
                last.push((text.at, text.height));
            }
        }
    }
    blocks
}

/// Where a heading stands beside a view.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Stands {
    Inside,
    Below,
    Above,
    Beside,
}

impl Stands {
    fn origin(self) -> &'static str {
        match self {
            Stands::Inside => "text inside the view",
            Stands::Below => "text below the view",
            Stands::Above => "text above the view",
            Stands::Beside => "text beside the view",
        }
    }
}

/// Gives each heading to the view it most likely belongs to. A sheet has its
/// titles below its views or above them, and sets them from their views' left end
/// or at their middle; the way that gives more views a title of their own is this
/// sheet's.
pub(super) fn place(headings: &[Heading], views: &[Rect<f64>]) -> Vec<Vec<Placed>> {
    let grid = Grid::new(views);
    let mut ways: Vec<(i64, f64, Vec<Choice>)> = Vec::new();
    for set_from in [SetFrom::Anchor, SetFrom::Middle] {
        let choices: Vec<Vec<(usize, Stands, f64)>> = in_parallel(headings, |heading| {
            let farthest = (12.0 * heading.height).max(4.0 * grid.cell());
            grid.near(set_from.of(heading), farthest)
                .into_iter()
                .filter_map(|i| {
                    let (stands, away) = fit(heading, set_from, views.get(i)?, farthest)?;
                    Some((i, stands, away))
                })
                .collect()
        });
        for liked in [Stands::Below, Stands::Above] {
            let chosen = assign(&choices, liked);
            let beside = astray(headings, views, set_from, &chosen);
            ways.push((worth(headings, views.len(), &chosen), beside, chosen));
        }
    }
    let best = ways
        .into_iter()
        .reduce(|a, b| {
            let better = b.0 > a.0 || (b.0 == a.0 && b.1 < a.1 - 1e-9);
            if better { b } else { a }
        })
        .map(|way| way.2);
    let chosen = best.unwrap_or_default();
    let mut placed: Vec<Vec<Placed>> = vec![Vec::new(); views.len()];
    for (heading, hit) in headings.iter().zip(chosen) {
        if let Some((i, stands, away)) = hit {
            placed[i].push(Placed {
                heading: heading.clone(),
                origin: stands.origin(),
                away,
            });
        }
    }
    for list in &mut placed {
        list.sort_by(|p, q| {
            q.heading
                .rank
                .cmp(&p.heading.rank)
                .then(p.away.total_cmp(&q.away))
                .then(p.heading.at.x.total_cmp(&q.heading.at.x))
                .then(p.heading.text.cmp(&q.heading.text))
        });
    }
    placed
}

type Choice = Option<(usize, Stands, f64)>;

fn assign(choices: &[Vec<(usize, Stands, f64)>], liked: Stands) -> Vec<Choice> {
    choices
        .iter()
        .map(|list| {
            list.iter().copied().min_by(|p, q| {
                let cost = |c: &(usize, Stands, f64)| match c.1 {
                    Stands::Inside => 0.0,
                    stands if stands == liked => c.2,
                    Stands::Beside => 2.5 * c.2,
                    _ => 2.0 * c.2,
                };
                cost(p).total_cmp(&cost(q)).then(p.0.cmp(&q.0))
            })
        })
        .collect()
}

/// How well headings are spread: views with a title, less views with two.
fn worth(headings: &[Heading], views: usize, chosen: &[Choice]) -> i64 {
    let mut titles = vec![0_i64; views];
    for (heading, hit) in headings.iter().zip(chosen) {
        if let Some((i, stands, _)) = hit
            && *stands != Stands::Inside
            && heading.rank >= 2
        {
            titles[*i] += 1;
        }
    }
    titles.iter().map(|&n| if n == 0 { 0 } else { 2 - n }).sum()
}

/// Which point of a heading tells its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum SetFrom {
    Anchor,
    Middle,
}

impl SetFrom {
    fn of(self, heading: &Heading) -> Coord<f64> {
        match self {
            SetFrom::Anchor => heading.anchor,
            SetFrom::Middle => heading.at,
        }
    }
}

/// How far the points of all titles lie to the left or right of their views.
fn astray(headings: &[Heading], views: &[Rect<f64>], set_from: SetFrom, chosen: &[Choice]) -> f64 {
    headings
        .iter()
        .zip(chosen)
        .filter(|(heading, _)| heading.rank >= 2)
        .filter_map(|(heading, hit)| {
            let view = views.get((*hit)?.0)?;
            let x = set_from.of(heading).x;
            Some((view.min().x - x).max(x - view.max().x).max(0.0))
        })
        .sum()
}

fn fit(
    heading: &Heading,
    set_from: SetFrom,
    view: &Rect<f64>,
    farthest: f64,
) -> Option<(Stands, f64)> {
    if contains(*view, heading.at) {
        return Some((Stands::Inside, 0.0));
    }
    let (low, high, at) = (view.min(), view.max(), set_from.of(heading));
    let size = view.width().max(view.height());
    let reach = size.max(12.0 * heading.height).min(farthest);
    let dx = (low.x - at.x).max(at.x - high.x).max(0.0);
    let dy = (low.y - at.y).max(at.y - high.y).max(0.0);
    // A title may start under the left end of its view and run past it.
    let run_on = match set_from {
        SetFrom::Anchor => 0.0,
        SetFrom::Middle => 0.35,
    };
    let half = run_on
        * heading.height
        * heading
            .text
            .lines()
            .map(|l| l.chars().count())
            .max()
            .unwrap_or(0) as f64;
    let over = dx <= 0.25 * view.width() + half + 2.0 * heading.height;
    let (stands, away) = if over && at.y < low.y {
        (Stands::Below, dy + (dx - half).max(0.0))
    } else if over && at.y > high.y {
        (Stands::Above, dy + (dx - half).max(0.0))
    } else {
        (Stands::Beside, dx.hypot(dy))
    };
    (away <= reach).then_some((stands, away))
}

/// What a title says of the kind, in the types others use.
pub(super) fn kind_of(says: Says) -> ViewKind {
    match says {
        Says::Kind(kind) => kind,
        Says::Back | Says::Pictorial | Says::Detail => ViewKind::Unknown,
    }
}

/// True for a title that says "side" and no more: of a view from there, or of the board.
pub(super) fn names_a_side(text: &str) -> bool {
    const VIEWS: &[&str] = &[
        "VIEW",
        "ELEVATION",
        "ELEV",
        "LEFT",
        "RIGHT",
        "LH",
        "RH",
        "END",
        "ANSICHT",
    ];
    let words = tokens(text);
    let says = |word: &str| words.iter().any(|token| token.text == word);
    (says("SIDE") || says("SEITE")) && !VIEWS.iter().any(|word| says(word))
}

/// How a kind is known, in plain words.
pub(super) fn evidence(origin: &str, text: &str, says: Says) -> String {
    let text = text.replace('\n', " ");
    match says {
        Says::Kind(_) => format!("{origin}: '{text}'"),
        Says::Back => format!("{origin}: '{text}'; a view from the back is not measured"),
        Says::Pictorial => format!("{origin}: '{text}'; a pictorial view is not measured"),
        Says::Detail => format!("{origin}: '{text}'; a detail is not measured"),
    }
}
