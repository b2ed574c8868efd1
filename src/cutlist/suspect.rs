//! Sizes that read well but may be damaged: `13/16` is what `1 3/16` leaves when
//! its space is lost. The list's other sizes decide, or the person is asked.

use super::types::{Problem, Row, SizeCell};
use crate::length::{Length, Notation, parse};
use crate::trade::Dimension;
use std::collections::{BTreeMap, BTreeSet};

/// Thicker than any board: a whole number of inches as a thickness lost its line.
const THICKEST: Length = Length::from_ticks(4 * Length::TICKS_PER_INCH);
/// Narrower than any part's face.
const NARROWEST: Length = Length::from_ticks(Length::TICKS_PER_INCH);
/// No sheet and few boards are longer.
const LONGEST: Length = Length::from_ticks(98 * Length::TICKS_PER_INCH);

/// Takes doubtful sizes out of the rows and gives the questions to ask.
pub(super) fn settle(rows: &mut [Row]) -> Vec<Problem> {
    let thicknesses = thicknesses(rows);
    let mut problems = Vec::new();
    for row in rows.iter_mut() {
        let material = row.material.clone();
        let mut kept = Vec::new();
        for mut cell in std::mem::take(&mut row.sizes) {
            match doubt(&cell, material.as_deref(), &thicknesses) {
                Some(reason) => problems.push(question(row, &cell, &reason)),
                None => {
                    cell.detail.alternatives.clear();
                    kept.push(cell);
                }
            }
        }
        row.sizes = kept;
    }
    problems
}

/// Thicknesses the list has more than once or writes so that they cannot be
/// damaged, and for each material those it has.
struct Thicknesses {
    sound: BTreeSet<Length>,
    count: BTreeMap<Length, usize>,
    by_material: BTreeMap<String, BTreeSet<Length>>,
}

fn thicknesses(rows: &[Row]) -> Thicknesses {
    let mut found = Thicknesses {
        sound: BTreeSet::new(),
        count: BTreeMap::new(),
        by_material: BTreeMap::new(),
    };
    for row in rows {
        let Some(cell) = row.size(Dimension::Thickness) else {
            continue;
        };
        *found.count.entry(cell.value).or_default() += 1;
        if cell.detail.alternatives.is_empty() {
            found.sound.insert(cell.value);
        }
        if let Some(material) = &row.material {
            found
                .by_material
                .entry(material.clone())
                .or_default()
                .insert(cell.value);
        }
    }
    found
}

/// Why a size may not be what it reads as; `None` when it may stand.
fn doubt(cell: &SizeCell, material: Option<&str>, list: &Thicknesses) -> Option<String> {
    let alternatives = &cell.detail.alternatives;
    if alternatives.is_empty() {
        return None;
    }
    if cell.dimension == Dimension::Thickness {
        if cell.value > THICKEST {
            return Some("no board is that thick".to_owned());
        }
        let named = material.and_then(material_thickness);
        for other in alternatives {
            if named == Some(other.length) {
                return Some(format!(
                    "the material `{}` is {} thick",
                    material.unwrap_or_default(),
                    other.text
                ));
            }
            let same_material = material
                .and_then(|material| list.by_material.get(material))
                .is_some_and(|set| set.contains(&other.length));
            if same_material {
                return Some(format!(
                    "other rows of this material are {} thick",
                    other.text
                ));
            }
            let alone = list.count.get(&cell.value).copied().unwrap_or(0) < 2;
            if alone && named != Some(cell.value) && list.sound.contains(&other.length) {
                return Some(format!("other rows of the list are {} thick", other.text));
            }
        }
        return None;
    }
    if cell.value < NARROWEST {
        return Some("no part is that narrow".to_owned());
    }
    if cell.dimension != Dimension::Length && cell.value > LONGEST {
        return Some(format!("that is very much for a {}", cell.dimension.word()));
    }
    None
}

fn question(row: &Row, cell: &SizeCell, reason: &str) -> Problem {
    let mut readings: Vec<String> = cell
        .detail
        .alternatives
        .iter()
        .map(|a| a.text.clone())
        .collect();
    readings.truncate(3);
    let first = readings.first().cloned().unwrap_or_default();
    Problem {
        source: row.source.clone(),
        column: Some(cell.column),
        text: cell.text.clone(),
        message: format!(
            "`{}` may be {} with its space or line lost: {reason}",
            cell.text,
            readings.join(" or ")
        ),
        advice: format!(
            "write `{first}` if that is meant, or `{}` if it is right",
            cell.value.show(Notation::DecimalInch)
        ),
        dimension: Some(cell.dimension),
    }
}

/// The thickness a material's name starts with: `3/4 birch plywood`, `18 mm board`.
pub(super) fn material_thickness(material: &str) -> Option<Length> {
    let spoken: Vec<&str> = material.split_whitespace().collect();
    // Longest first: "1 3/16 maple", "18 mm board", "3/4 birch".
    (1..=3.min(spoken.len())).rev().find_map(|count| {
        let text = spoken.get(..count)?.join(" ");
        if !text.starts_with(|c: char| c.is_numeric()) {
            return None;
        }
        let unit = if count == 1 && !text.contains('/') && !text.contains(['"', '\'']) {
            // A bare number may name anything: "2 ply".
            text.to_lowercase()
                .ends_with("mm")
                .then_some(crate::length::Unit::Millimetre)?
        } else {
            crate::length::Unit::Inch
        };
        let parsed = parse(&text, unit).ok()?;
        (parsed.length <= THICKEST).then_some(parsed.length)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::length::Unit;

    #[test]
    fn materials_name_their_thickness() {
        let of = |text: &str| parse(text, Unit::Inch).ok().map(|p| p.length);
        assert_eq!(material_thickness("3/4 birch plywood"), of("3/4"));
        assert_eq!(material_thickness("1 3/16 maple"), of("1 3/16"));
        assert_eq!(material_thickness("18 mm birch"), of("18 mm"));
        assert_eq!(material_thickness("18mm birch"), of("18 mm"));
        assert_eq!(material_thickness("3/4\" birch"), of("3/4"));
        assert_eq!(material_thickness("birch"), None);
        assert_eq!(material_thickness("2 ply card"), None);
    }
}
