//! Titles: which texts belong to which view, and what they say.

use super::ViewKind;
use super::flatten::FlatText;
use super::frame::contains;
use super::names::{Dictionary, Found};
use super::tokens::tokens;
use super::words::{self, Says};
use geo::{Coord, Rect};

/// A text that may be a title.
#[derive(Clone, Debug)]
pub(super) struct Heading {
    /// As written; lines of one block of text joined by a line break.
    pub text: String,
    pub at: Coord<f64>,
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
    at: Coord<f64>,
    height: f64,
    dictionary: &Dictionary,
) -> Option<Heading> {
    if text.chars().count() > 200 {
        return None;
    }
    let phrase = words::says(text);
    let strict = phrase.is_none();
    let names = dictionary.find_or_guess(text, strict);
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
    // Last line of each block: where it stands.
    let mut last: Vec<(Coord<f64>, f64)> = Vec::new();
    let mut open_from = 0;
    for index in order {
        let text = &texts[index];
        let width = |t: &str, h: f64| 0.5 * h * t.chars().count() as f64;
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
            let reach = 0.5 * width(&blocks[b].text, height).max(width(&text.text, text.height));
            (0.8..=2.2).contains(&step) && ratio <= 2.1 && (at.x - text.at.x).abs() <= reach
        });
        match home {
            Some(b) => {
                blocks[b].text.push('\n');
                blocks[b].text.push_str(&text.text);
                last[b] = (text.at, text.height);
            }
            None => {
                blocks.push(text.clone());
                last.push((text.at, text.height));
            }
        }
    }
    blocks
}

/// Gives each heading to the view it most likely belongs to: inside it, below
/// it, above it, beside it, in this order of liking.
pub(super) fn place(headings: &[Heading], views: &[Rect<f64>]) -> Vec<Vec<Placed>> {
    let mut placed: Vec<Vec<Placed>> = vec![Vec::new(); views.len()];
    for heading in headings {
        let best = views
            .iter()
            .enumerate()
            .filter_map(|(i, view)| {
                let (origin, away, cost) = fit(heading, view)?;
                Some((i, origin, away, cost))
            })
            .min_by(|p, q| p.3.total_cmp(&q.3).then(p.0.cmp(&q.0)));
        if let Some((i, origin, away, _)) = best {
            placed[i].push(Placed {
                heading: heading.clone(),
                origin,
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

fn fit(heading: &Heading, view: &Rect<f64>) -> Option<(&'static str, f64, f64)> {
    if contains(*view, heading.at) {
        return Some(("text inside the view", 0.0, 0.0));
    }
    let (low, high, at) = (view.min(), view.max(), heading.at);
    let size = view.width().max(view.height());
    let reach = (1.0 * size).max(12.0 * heading.height);
    let dx = (low.x - at.x).max(at.x - high.x).max(0.0);
    let dy = (low.y - at.y).max(at.y - high.y).max(0.0);
    let over = dx <= 0.25 * view.width() + 4.0 * heading.height;
    let (origin, away, cost) = if over && at.y < low.y {
        ("text below the view", dy, dy + 0.5 * dx)
    } else if over && at.y > high.y {
        ("text above the view", dy, 1.3 * dy + 0.5 * dx)
    } else {
        ("text beside the view", dx.hypot(dy), 2.0 * dx.hypot(dy))
    };
    (away <= reach).then_some((origin, away, cost))
}

/// What a title says of the kind, in the types others use.
pub(super) fn kind_of(says: Says) -> ViewKind {
    match says {
        Says::Kind(kind) => kind,
        Says::Back | Says::Pictorial | Says::Detail => ViewKind::Unknown,
    }
}
