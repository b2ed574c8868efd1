//! Clear openings: between frame members, else between panels; and which
//! opening each door or drawer front belongs to.

use super::placed::Placed;
use super::reading::Range;
use super::{DrawnPart, Opening, Style};
use crate::trade::{Axis, Role};

/// The openings of the cabinet, lowest first, then from the left.
pub(super) fn find(views: &[Placed], parts: &[DrawnPart], style: Style) -> Vec<Opening> {
    let Some(placed) = views.iter().find(|p| p.front().is_some()) else {
        return Vec::new();
    };
    let mut out = in_frame(placed);
    // Fronts before a frame belong to its openings, not to the bays behind it.
    if out.is_empty() && style != Style::FaceFrame {
        out = between_panels(placed, parts);
    }
    name(&mut out);
    out
}

fn in_frame(placed: &Placed) -> Vec<Opening> {
    let Some(lattice) = placed.front().and_then(|front| front.lattice.as_ref()) else {
        return Vec::new();
    };
    let ends = |lo: &str, hi: &str| [lo.to_owned(), hi.to_owned()];
    lattice
        .openings
        .iter()
        .map(|(h, v)| Opening {
            name: String::new(),
            in_frame: true,
            across: Some(placed.span(
                Axis::Across,
                *h,
                ends(
                    "inner edge of the member at its left",
                    "inner edge of the member at its right",
                ),
                [false; 2],
            )),
            high: Some(placed.span(
                Axis::High,
                *v,
                ends(
                    "upper edge of the rail below it",
                    "lower edge of the rail above it",
                ),
                [false; 2],
            )),
        })
        .collect()
}

/// Bays between sides and dividers, between bottom and top, divided by fixed shelves.
fn between_panels(placed: &Placed, parts: &[DrawnPart]) -> Vec<Opening> {
    let of = |role: Role| parts.iter().filter(move |part| part.role == role);
    let side = |place: &str| {
        of(Role::Side)
            .find(|p| p.name.starts_with(place))
            .and_then(|p| p.across.as_ref())
    };
    let (Some(left), Some(right)) = (side("left"), side("right")) else {
        return Vec::new();
    };
    if left.view != placed.id || right.view != placed.id {
        return Vec::new();
    }
    let mut walls: Vec<(&super::Edge, &super::Edge)> = vec![(&left.lo, &left.hi)];
    walls.extend(
        of(Role::Divider)
            .filter_map(|p| p.across.as_ref())
            .map(|s| (&s.lo, &s.hi)),
    );
    walls.push((&right.lo, &right.hi));
    let floor = of(Role::Bottom).find_map(|p| p.high.as_ref());
    let head = of(Role::Top)
        .chain(of(Role::Stretcher))
        .filter_map(|p| p.high.as_ref())
        .min_by(|a, b| a.lo.at.total_cmp(&b.lo.at));
    let mut out = Vec::new();
    for pair in walls.windows(2) {
        let (lo, hi) = (pair[0].1, pair[1].0);
        let across = super::Span {
            axis: Axis::Across,
            lo: lo.clone(),
            hi: hi.clone(),
            view: placed.id,
        };
        let mut decks: Vec<(&super::Edge, &super::Edge, usize)> = Vec::new();
        decks.extend(floor.map(|s| (&s.lo, &s.hi, s.view)));
        decks.extend(
            of(Role::FixedShelf)
                .filter(|p| {
                    p.across
                        .as_ref()
                        .is_some_and(|a| a.lo.at < hi.at && a.hi.at > lo.at)
                })
                .filter_map(|p| p.high.as_ref())
                .map(|s| (&s.lo, &s.hi, s.view)),
        );
        decks.extend(head.map(|s| (&s.lo, &s.hi, s.view)));
        decks.sort_by(|a, b| a.0.at.total_cmp(&b.0.at));
        if decks.len() < 2 {
            out.push(Opening {
                name: String::new(),
                in_frame: false,
                across: Some(across),
                high: None,
            });
            continue;
        }
        for two in decks.windows(2) {
            // Both edges must come from one view to be one drawn distance.
            let high = (two[0].2 == two[1].2 && two[1].0.at > two[0].1.at).then(|| super::Span {
                axis: Axis::High,
                lo: two[0].1.clone(),
                hi: two[1].0.clone(),
                view: two[0].2,
            });
            out.push(Opening {
                name: String::new(),
                in_frame: false,
                across: Some(across.clone()),
                high,
            });
        }
    }
    out
}

fn low(opening: &Opening, axis: Axis) -> f64 {
    let span = if axis == Axis::Across {
        &opening.across
    } else {
        &opening.high
    };
    span.as_ref().map_or(0.0, |s| s.lo.at)
}

/// "upper left opening", "opening 2 from the bottom".
fn name(openings: &mut [Opening]) {
    openings.sort_by(|a, b| {
        low(a, Axis::High)
            .total_cmp(&low(b, Axis::High))
            .then(low(a, Axis::Across).total_cmp(&low(b, Axis::Across)))
    });
    let distinct = |axis: Axis, list: &[Opening]| {
        let mut at: Vec<f64> = list.iter().map(|o| low(o, axis)).collect();
        at.sort_by(f64::total_cmp);
        at.dedup_by(|a, b| (*a - *b).abs() < 0.5);
        at
    };
    let (rows, columns) = (
        distinct(Axis::High, openings),
        distinct(Axis::Across, openings),
    );
    let word = |at: &[f64], p: f64, words: [&str; 3], what: &str| -> String {
        let index = at.iter().position(|q| (q - p).abs() < 0.5).unwrap_or(0);
        match at.len() {
            1 => String::new(),
            2 => words[if index == 0 { 0 } else { 2 }].to_owned(),
            3 => words[index].to_owned(),
            n => format!("{what} {} of {n}", index + 1),
        }
    };
    for opening in openings.iter_mut() {
        let row = word(
            &rows,
            low(opening, Axis::High),
            ["lower", "middle", "upper"],
            "row",
        );
        let column = word(
            &columns,
            low(opening, Axis::Across),
            ["left", "middle", "right"],
            "column",
        );
        let words: Vec<String> = [row, column]
            .into_iter()
            .filter(|w| !w.is_empty())
            .collect();
        opening.name = if words.is_empty() {
            "opening".to_owned()
        } else {
            format!("{} opening", words.join(" "))
        };
    }
}

/// Says for each door and drawer front which opening it covers or fills.
pub(super) fn assign(parts: &mut [DrawnPart], openings: &[Opening]) {
    for part in parts
        .iter_mut()
        .filter(|p| matches!(p.role, Role::Door | Role::DrawerFront))
    {
        let (Some(h), Some(v)) = (&part.across, &part.high) else {
            continue;
        };
        let (h, v): (Range, Range) = ((h.lo.at, h.hi.at), (v.lo.at, v.hi.at));
        let overlap = |a: Range, b: Range| (a.1.min(b.1) - a.0.max(b.0)).max(0.0);
        let mut best: Option<(f64, usize)> = None;
        for (index, opening) in openings.iter().enumerate() {
            let (Some(oh), Some(ov)) = (&opening.across, &opening.high) else {
                continue;
            };
            let area = overlap(h, (oh.lo.at, oh.hi.at)) * overlap(v, (ov.lo.at, ov.hi.at));
            if area > best.map_or(0.0, |(most, _)| most) {
                best = Some((area, index));
            }
        }
        // Most of the leaf must lie over the opening.
        let own = (h.1 - h.0) * (v.1 - v.0);
        part.opening = best
            .filter(|(area, _)| *area > 0.5 * own)
            .map(|(_, index)| index);
    }
}
