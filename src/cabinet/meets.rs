//! Whether the parts that were measured fit together: boards that stop short of the
//! sides they stand between, doors drawn over each other, one board of two thicknesses.

use super::boards::Torn;
use super::placed::Placed;
use super::reading::Range;
use super::sizes::show_mm;
use super::{Conflict, DrawnPart, Span};
use crate::linework::SNAP_MM;
use crate::trade::{Axis, Role};

/// Widest gap that is a board cut short; a wider one is room for something else.
const SHORT: f64 = 25.0;

/// Everything in which the parts of a cabinet contradict each other.
pub(super) fn conflicts(id: &str, placed: &[Placed], parts: &[DrawnPart]) -> Vec<Conflict> {
    let parts: Vec<&DrawnPart> = parts.iter().filter(|part| !part.flat).collect();
    let mut out = short_boards(id, &parts);
    for (placed, front) in placed.iter().filter_map(|p| Some((p, p.front()?))) {
        let crossed = front.crossed.iter();
        out.extend(crossed.map(|crossed| crossed_fronts(id, placed, *crossed)));
        let torn = front.torn.iter();
        out.extend(torn.map(|torn| two_thicknesses(id, placed, torn)));
    }
    out
}

fn conflict(sentence: String, span: &Span, distances_mm: [f64; 2]) -> Conflict {
    Conflict {
        sentence,
        axis: Some(span.axis),
        view: span.view,
        distances_mm,
        lines: vec![span.lo.line, span.hi.line],
    }
}

/// Boards between the sides that do not reach them, as far as one view shows both.
fn short_boards(id: &str, parts: &[&DrawnPart]) -> Vec<Conflict> {
    let side = |word: &str| {
        parts
            .iter()
            .find(|part| part.role == Role::Side && part.name.starts_with(word))
            .and_then(|part| part.across.as_ref())
    };
    let (Some(left), Some(right)) = (side("left"), side("right")) else {
        return Vec::new();
    };
    let fixed = |part: &&&DrawnPart| matches!(part.role, Role::Bottom | Role::Top);
    let mut out = Vec::new();
    for part in parts.iter().filter(fixed) {
        let Some(span) = part.across.as_ref().filter(|span| !span.is_lower_bound()) else {
            continue;
        };
        if span.view != left.view || span.view != right.view {
            continue;
        }
        for (gap, word) in [
            (span.lo.at - left.hi.at, "left"),
            (right.lo.at - span.hi.at, "right"),
        ] {
            if gap > 2.0 * SNAP_MM && gap < SHORT {
                out.push(conflict(
                    format!(
                        "the {} of {id} is drawn {} short of the {word} side",
                        part.name,
                        show_mm(gap)
                    ),
                    span,
                    [span.mm(), span.mm() + gap],
                ));
            }
        }
    }
    out
}

/// Doors drawn over each other.
fn crossed_fronts(id: &str, placed: &Placed, crossed: Range) -> Conflict {
    let over = crossed.1 - crossed.0;
    let ends = ["the edge of one door", "the edge of the other door"].map(str::to_owned);
    conflict(
        format!(
            "two doors of {id} are drawn over each other by {}, or the gap between them is closed \
             by lines across it",
            show_mm(over)
        ),
        &placed.span(Axis::Across, crossed, ends, [false; 2]),
        [over, 0.0],
    )
}

/// A board that the front shows with another thickness than the view it is known from.
fn two_thicknesses(id: &str, placed: &Placed, torn: &Torn) -> Conflict {
    let (here, there) = (torn.drawn.1 - torn.drawn.0, torn.known.1 - torn.known.0);
    let ends = ["its underside", "its upper face"].map(str::to_owned);
    conflict(
        format!(
            "the {} of {id} is {} thick in its front and {} in the view from the side",
            torn.role.word(),
            show_mm(here),
            show_mm(there)
        ),
        &placed.span(Axis::High, torn.drawn, ends, [false; 2]),
        [here, there],
    )
}
