//! Drawings of single parts: an outline with the name of the part and its cabinet.

use super::{DrawnPart, Edge, Span};
use crate::linework::CleanLine;
use crate::trade::{Axis, Role};
use crate::view::{View, ViewId};

/// Lines of an outline lie on its extents within this, millimetres.
const NEAR_MM: f64 = 0.5;

/// The part a part drawing shows; `None` when its title names no part or its lines are
/// no rectangle.
pub(super) fn part(id: ViewId, view: &View) -> Option<DrawnPart> {
    let title = view.title.as_ref()?.text.as_str();
    let (role, word) = role(title)?;
    let (low, high) = (view.extents.min(), view.extents.max());
    let left = edge(&view.linework.uprights, low.x, low.y, high.y, true)?;
    let right = edge(&view.linework.uprights, high.x, low.y, high.y, true)?;
    let lower = edge(&view.linework.levels, low.y, low.x, high.x, false)?;
    let upper = edge(&view.linework.levels, high.y, low.x, high.x, false)?;
    let span =
        |axis, (lo, at_lo): (CleanLine, f64), (hi, at_hi): (CleanLine, f64), words: [&str; 2]| {
            let edge = |line, at, side: &str| Edge {
                at,
                line,
                name: format!("{side} of the {word}"),
                occluded: false,
            };
            Span {
                axis,
                lo: edge(lo, at_lo, words[0]),
                hi: edge(hi, at_hi, words[1]),
                view: id,
            }
        };
    Some(DrawnPart {
        role,
        name: format!("{word} '{title}'"),
        across: Some(span(Axis::Across, left, right, ["left edge", "right edge"])),
        deep: None,
        high: Some(span(Axis::High, lower, upper, ["lower edge", "upper edge"])),
        evidence: format!("a drawing of its own, '{title}'"),
        opening: None,
        flat: true,
    })
}

/// The outline's line on one side: it lies there and is as long as the outline.
fn edge(
    lines: &[CleanLine],
    at: f64,
    from: f64,
    to: f64,
    upright: bool,
) -> Option<(CleanLine, f64)> {
    lines
        .iter()
        .find(|line| {
            let (place, lo, hi) = if upright {
                (line.a.x, line.a.y, line.b.y)
            } else {
                (line.a.y, line.a.x, line.b.x)
            };
            (place - at).abs() <= NEAR_MM && lo <= from + NEAR_MM && hi >= to - NEAR_MM
        })
        .map(|line| (*line, if upright { line.a.x } else { line.a.y }))
}

/// The part a title names. A part drawing of a side says so plainly, because "side" by
/// itself names a view.
fn role(title: &str) -> Option<(Role, &'static str)> {
    let title = title.to_uppercase();
    let has = |word: &str| {
        title
            .split(|c: char| !c.is_alphanumeric())
            .any(|piece| piece == word)
    };
    if has("DRAWER") && has("FRONT") {
        Some((Role::DrawerFront, "drawer front"))
    } else if has("DOOR") || has("T\u{dc}R") || has("PORTE") {
        Some((Role::Door, "door"))
    } else if has("END") && has("PANEL") {
        Some((Role::EndPanel, "end panel"))
    } else if has("SIDE") || has("GABLE") || has("SEITE") {
        Some((Role::Side, "side"))
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_title_names_its_part() {
        let of = |title| role(title).map(|(role, _)| role);
        assert_eq!(of("B2 DOOR LEFT"), Some(Role::Door));
        assert_eq!(of("B2 drawer front"), Some(Role::DrawerFront));
        assert_eq!(of("B2 LEFT SIDE PANEL"), Some(Role::Side));
        assert_eq!(of("W1 END PANEL"), Some(Role::EndPanel));
        assert_eq!(of("B2 INDOORS"), None);
        assert_eq!(of("B2"), None);
    }
}
