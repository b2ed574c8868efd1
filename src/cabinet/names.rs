//! What a person calls the faces and edges of parts.

use super::reading::Place;
use crate::trade::{Axis, Role};

/// "left side", "top rail", "shelf 2 from the bottom".
pub(super) fn part(role: Role, place: Place, index: usize, count: usize) -> String {
    let word = match role {
        // What is drawn is the opening; whether a panel or a grille closes it, the list says.
        Role::AccessPanel => "opening in the toe space",
        role => role.word(),
    };
    let placed = match place {
        Place::Only => None,
        Place::Left => Some("left"),
        Place::Right => Some("right"),
        Place::Front => Some("front"),
        Place::Rear => Some("rear"),
    };
    if let Some(placed) = placed {
        return format!("{placed} {word}");
    }
    match role {
        Role::Rail if count > 1 && index == 0 => "bottom rail".to_owned(),
        Role::Rail if count > 1 && index + 1 == count => "top rail".to_owned(),
        Role::Rail if count == 3 => "middle rail".to_owned(),
        Role::Rail if count > 3 => format!("rail {} from the bottom", index + 1),
        Role::Door
        | Role::DrawerFront
        | Role::MidStile
        | Role::Divider
        | Role::BaseEnd
        | Role::Post
        | Role::AccessPanel
            if count > 1 =>
        {
            format!("{word} {} of {count}", index + 1)
        }
        _ if count > 1 => format!("{word} {} from the bottom", index + 1),
        _ => word.to_owned(),
    }
}

/// Names of the two ends of a part along an axis, "inner face of the left side".
pub(super) fn ends(role: Role, place: Place, name: &str, axis: Axis) -> [String; 2] {
    let upright_panel = matches!(role, Role::Side | Role::EndPanel);
    let (lo, hi) = match axis {
        Axis::Across if upright_panel && place == Place::Right => ("inner face", "outer face"),
        Axis::Across if upright_panel => ("outer face", "inner face"),
        Axis::Across if role == Role::Stile && place == Place::Right => {
            ("inner edge", "outer edge")
        }
        Axis::Across if role == Role::Stile => ("outer edge", "inner edge"),
        Axis::Across if role == Role::Divider => ("left face", "right face"),
        Axis::Across
            if matches!(
                role,
                Role::Door | Role::DrawerFront | Role::Back | Role::MidStile
            ) =>
        {
            ("left edge", "right edge")
        }
        Axis::Across => ("left end", "right end"),
        Axis::Deep
            if matches!(
                role,
                Role::Back | Role::Door | Role::DrawerFront | Role::ToeKick
            ) =>
        {
            ("front face", "rear face")
        }
        Axis::Deep if matches!(role, Role::Stile | Role::Rail | Role::MidStile) => {
            ("front face", "rear face")
        }
        Axis::Deep => ("front edge", "rear edge"),
        Axis::High
            if matches!(
                role,
                Role::Bottom
                    | Role::Top
                    | Role::FixedShelf
                    | Role::AdjustableShelf
                    | Role::Stretcher
                    | Role::Countertop
            ) =>
        {
            ("underside", "upper face")
        }
        Axis::High
            if matches!(
                role,
                Role::Side | Role::Stile | Role::MidStile | Role::Divider
            ) =>
        {
            ("lower end", "upper end")
        }
        Axis::High => ("lower edge", "upper edge"),
    };
    [format!("{lo} of the {name}"), format!("{hi} of the {name}")]
}
