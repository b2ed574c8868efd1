//! Which unit the plain numbers of a row are in, and what says so.

use super::normal::words as split_words;
use super::sizes::{Piece, Rough};
use crate::length::Unit;
use foldhash::{HashMap, HashMapExt};
use std::sync::Arc;

/// No part is longer than this many inches: a longer plain number is millimetres.
const LONGEST_INCHES: f64 = 144.0;
/// No board is thicker than this many inches.
const THICKEST_INCHES: f64 = 4.0;
/// No board is thinner than this many millimetres; laminate is, on parts of hundreds.
const THINNEST_MM: f64 = 2.0;
/// No part is narrower than this many millimetres.
const NARROWEST_MM: f64 = 10.0;

/// A unit and what says so.
pub(super) type Known = (Unit, Arc<str>);

/// What one row's own sizes say.
#[derive(Clone, Debug, PartialEq)]
enum Verdict {
    Inch(Arc<str>),
    /// With the number of sizes that say so.
    Millimetre(Arc<str>, usize),
    /// Both units are possible.
    Open,
    /// Neither unit suits all sizes.
    Neither,
    /// There is no plain number.
    Settled,
}

struct Row {
    verdict: Verdict,
    thin_fraction: Option<String>,
}

/// The unit of each row's plain numbers; `None` where nothing tells.
/// `said` is what the call, the job file or a title says.
pub(super) fn decide<'a>(
    rows: impl Iterator<Item = &'a [Piece]>,
    said: Option<&Known>,
) -> (Vec<Option<Known>>, Vec<String>) {
    if let Some(said) = said {
        let notes = vec![format!(
            "plain numbers are in {}: {}",
            said.0.plural(),
            said.1
        )];
        return (vec![Some(said.clone()); rows.count()], notes);
    }
    // Boards of one thickness, sides of one height: most sizes stand in many rows.
    let mut read: HashMap<(&str, bool), Rough> = HashMap::new();
    let mut rough = |piece: &'a Piece| {
        let key = (piece.text.as_str(), piece.number);
        *read.entry(key).or_insert_with(|| piece.rough())
    };
    let rows: Vec<Row> = rows.map(|pieces| row(pieces, &mut rough)).collect();
    let inches = rows
        .iter()
        .filter(|r| matches!(r.verdict, Verdict::Inch(_)))
        .count();
    let strong = rows
        .iter()
        .filter(|r| matches!(r.verdict, Verdict::Millimetre(_, witnesses) if witnesses >= 2))
        .count();
    let weak = rows
        .iter()
        .filter(|r| matches!(r.verdict, Verdict::Millimetre(..)))
        .count();
    // Where fractions speak, one long number alone does not speak against them.
    let millimetres = if inches > 0 { strong } else { weak };
    let thin = rows.iter().find_map(|r| r.thin_fraction.clone());
    let whole: Option<Known> = match (inches, millimetres) {
        (0, 0) => thin.map(|text| {
            (
                Unit::Inch,
                format!("thickness `{text}` is a fraction, and no size is too long for inches")
                    .into(),
            )
        }),
        (_, 0) => Some((
            Unit::Inch,
            format!("like {}", count(inches, "in inches")).into(),
        )),
        (0, _) => Some((
            Unit::Millimetre,
            format!("like {}", count(millimetres, "in millimetres")).into(),
        )),
        _ => None,
    };
    let mut notes = Vec::new();
    let has_plain = rows.iter().any(|r| r.verdict != Verdict::Settled);
    match (&whole, inches, millimetres) {
        _ if !has_plain => {}
        (Some((unit, why)), 0, 0) => {
            notes.push(format!("plain numbers are in {}: {why}", unit.plural()))
        }
        (Some((unit, _)), ..) => notes.push(format!(
            "plain numbers are in {}: {}",
            unit.plural(),
            first_reason(&rows, *unit)
                .unwrap_or_default()
                .replace(" in this row", "")
        )),
        (None, 0, 0) => {
            notes.push("nothing tells whether plain numbers are inches or millimetres".to_owned())
        }
        (None, ..) => notes.push(format!(
            "units differ from row to row: {}, {}",
            count(inches, "in inches"),
            count(millimetres, "in millimetres")
        )),
    }
    let mixed = inches > 0 && millimetres > 0;
    let decided = rows
        .iter()
        .map(|row| match &row.verdict {
            Verdict::Inch(why) => Some((Unit::Inch, why.clone())),
            Verdict::Millimetre(why, witnesses) => {
                let lone = inches > 0 && (*witnesses < 2 || row.thin_fraction.is_some());
                if !lone || (row.thin_fraction.is_some() && millimetres >= inches) {
                    Some((Unit::Millimetre, why.clone()))
                } else {
                    whole.clone()
                }
            }
            Verdict::Open if mixed => None,
            Verdict::Open | Verdict::Neither | Verdict::Settled => whole.clone(),
        })
        .collect();
    (decided, notes)
}

fn first_reason(rows: &[Row], unit: Unit) -> Option<String> {
    rows.iter().find_map(|row| match (&row.verdict, unit) {
        (Verdict::Inch(why), Unit::Inch) => Some(why.to_string()),
        (Verdict::Millimetre(why, _), Unit::Millimetre) => Some(why.to_string()),
        _ => None,
    })
}

fn count(rows: usize, what: &str) -> String {
    match rows {
        1 => format!("1 row {what}"),
        _ => format!("{rows} rows {what}"),
    }
}

fn row<'a>(pieces: &'a [Piece], mut rough: impl FnMut(&'a Piece) -> Rough) -> Row {
    let mut thin_fraction = None;
    let mut inch_says = None;
    let mut metric_says = None;
    let mut plain: Vec<(&Piece, f64)> = Vec::new();
    for piece in pieces {
        match (&piece.unit, rough(piece)) {
            (None, Rough::Fraction) if piece.is_thickness() => {
                thin_fraction.get_or_insert_with(|| piece.text.clone());
            }
            (None, Rough::Fraction) => {
                inch_says
                    .get_or_insert_with(|| format!("`{}` in this row is a fraction", piece.text));
            }
            (None, Rough::Written(unit)) if !piece.is_thickness() => {
                let says = format!("`{}` in this row says so", piece.text);
                let slot = if unit.is_imperial() {
                    &mut inch_says
                } else {
                    &mut metric_says
                };
                slot.get_or_insert(says);
            }
            (None, Rough::Plain(value)) => plain.push((piece, value)),
            _ => {}
        }
    }
    let verdict = if plain.is_empty() {
        // A row of fractions still speaks for its neighbours.
        match inch_says {
            Some(why) => Verdict::Inch(why.into()),
            None => Verdict::Settled,
        }
    } else {
        by_size(&plain, inch_says, metric_says)
    };
    Row {
        verdict,
        thin_fraction,
    }
}

fn by_size(
    plain: &[(&Piece, f64)],
    inch_says: Option<String>,
    metric_says: Option<String>,
) -> Verdict {
    match (inch_says, metric_says) {
        (Some(why), None) => return Verdict::Inch(why.into()),
        (None, Some(why)) => return Verdict::Millimetre(why.into(), 2),
        _ => {}
    }
    let face: Vec<&(&Piece, f64)> = plain
        .iter()
        .filter(|(piece, _)| !piece.is_thickness())
        .collect();
    let thick: Vec<&(&Piece, f64)> = plain
        .iter()
        .filter(|(piece, _)| piece.is_thickness())
        .collect();
    let long = face
        .iter()
        .filter(|(_, value)| *value > LONGEST_INCHES)
        .count();
    let too_thick = thick.iter().any(|(_, value)| *value > THICKEST_INCHES);
    let all_long = !face.is_empty() && long == face.len();
    let thin = thick.iter().any(|(_, value)| *value < THINNEST_MM) && !all_long;
    let narrow = face.iter().any(|(_, value)| *value < NARROWEST_MM);
    let inch_possible = long == 0 && !too_thick;
    let metric_possible = !thin && !narrow;
    match (inch_possible, metric_possible) {
        (true, false) => {
            let text = plain
                .iter()
                .find(|(piece, value)| {
                    if piece.is_thickness() {
                        *value < THINNEST_MM
                    } else {
                        *value < NARROWEST_MM
                    }
                })
                .or(plain.first())
                .map_or("", |(piece, _)| piece.text.as_str());
            Verdict::Inch(format!("`{text}` is too small for millimetres").into())
        }
        (false, true) => {
            let (text, what) = plain
                .iter()
                .find(|(piece, value)| {
                    *value
                        > if piece.is_thickness() {
                            THICKEST_INCHES
                        } else {
                            LONGEST_INCHES
                        }
                })
                .or(plain.first())
                .map_or(("", "long"), |(piece, _)| {
                    let thick = piece.is_thickness();
                    (piece.text.as_str(), if thick { "thick" } else { "long" })
                });
            Verdict::Millimetre(
                format!("`{text}` is too {what} for inches").into(),
                long + usize::from(too_thick),
            )
        }
        (true, true) => match plain.iter().find(|(_, value)| is_ruled_decimal(*value)) {
            Some((piece, _)) => Verdict::Inch(
                format!("`{}` is a fraction of an inch in decimals", piece.text).into(),
            ),
            None => Verdict::Open,
        },
        (false, false) => Verdict::Neither,
    }
}

/// `22.25`, `34.125`: a whole number of sixteenths that no half or tenth gives.
fn is_ruled_decimal(value: f64) -> bool {
    let sixteenths = value * 16.0;
    let tenths = value * 10.0;
    (sixteenths - sixteenths.round()).abs() < 1e-9 && (tenths - tenths.round()).abs() > 1e-6
}

/// A unit that a title or a note states for the whole list: "all sizes in mm".
pub(super) fn stated(text: &str) -> Option<Unit> {
    let mut found: Option<Unit> = None;
    let spoken = split_words(text);
    for (at, word) in spoken.iter().enumerate() {
        let unit = match word.as_str() {
            "mm" | "millimetre" | "millimeter" => Unit::Millimetre,
            "inche" | "inch" => Unit::Inch,
            "cm" | "centimetre" | "centimeter" => Unit::Centimetre,
            _ => continue,
        };
        // "18 mm birch plywood" names a board, not the list's unit.
        let measured = at
            .checked_sub(1)
            .and_then(|before| spoken.get(before))
            .is_some_and(|before| before.chars().all(|c| c.is_ascii_digit()));
        if measured {
            continue;
        }
        if found.is_some_and(|other| other != unit) {
            return None;
        }
        found = Some(unit);
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cutlist::types::SizeKind;
    use crate::cutlist::words::Field;
    use crate::trade::Dimension;

    fn rows(rows: &[&[&str]]) -> Vec<Vec<Piece>> {
        let dimensions = [Dimension::Length, Dimension::Width, Dimension::Thickness];
        rows.iter()
            .map(|sizes| {
                sizes
                    .iter()
                    .zip(dimensions)
                    .map(|(text, dimension)| Piece {
                        dimension: Some(dimension),
                        place: (0, 1),
                        text: (*text).to_owned(),
                        cell: String::new(),
                        column: 0,
                        heading: "".into(),
                        unit: None,
                        kind: SizeKind::Unstated,
                        number: false,
                        field: Field::Unused,
                    })
                    .collect()
            })
            .collect()
    }

    fn units(list: &[&[&str]]) -> Vec<Option<Unit>> {
        let rows = rows(list);
        let (decided, _) = decide(rows.iter().map(Vec::as_slice), None);
        decided
            .into_iter()
            .map(|known| known.map(|(unit, _)| unit))
            .collect()
    }

    const IN: Option<Unit> = Some(Unit::Inch);
    const MM: Option<Unit> = Some(Unit::Millimetre);

    #[test]
    fn fractions_speak_for_inches() {
        assert_eq!(
            units(&[&["34 1/2", "23", "3/4"], &["22", "4", "3/4"]]),
            [IN, IN]
        );
        assert_eq!(
            units(&[&["34", "23", "3/4"], &["22", "14", "3/4"]]),
            [IN, IN]
        );
        assert_eq!(units(&[&["34.25", "23"], &["22", "14"]]), [IN, IN]);
        assert_eq!(units(&[&["34", "23", "0.75"]]), [IN]);
    }

    #[test]
    fn hundreds_speak_for_millimetres() {
        assert_eq!(
            units(&[&["720", "560", "18"], &["100", "96", "18"]]),
            [MM, MM]
        );
        assert_eq!(units(&[&["720", "560"], &["100", "96"]]), [MM, MM]);
        // Sheets named in inches, parts in millimetres.
        assert_eq!(
            units(&[&["720", "560", "3/4"], &["595", "100", "3/4"]]),
            [MM, MM]
        );
    }

    #[test]
    fn nothing_decides_nothing() {
        assert_eq!(units(&[&["34", "23"], &["22", "14"]]), [None, None]);
    }

    #[test]
    fn mixed_rows_by_their_own_evidence() {
        assert_eq!(
            units(&[
                &["34 1/2", "23 1/4", "3/4"],
                &["720", "560", "18"],
                &["34", "23"]
            ]),
            [IN, MM, None]
        );
    }

    /// One figure written in the other unit is a mistake for the audit to find,
    /// not a reason to read its whole row otherwise.
    #[test]
    fn one_long_number_does_not_turn_a_row() {
        let list: &[&[&str]] = &[
            &["34 1/2", "23 1/4", "3/4"],
            &["558.8", "4", "3/4"],
            &["736.6", "22", "1/4"],
        ];
        assert_eq!(units(list), [IN, IN, IN]);
    }

    #[test]
    fn what_is_said_goes_first() {
        let rows = rows(&[&["34", "23"]]);
        let said = (Unit::Millimetre, "--units".into());
        let (decided, notes) = decide(rows.iter().map(Vec::as_slice), Some(&said));
        assert_eq!(decided, [Some(said)]);
        assert_eq!(notes, ["plain numbers are in millimetres: --units"]);
    }

    #[test]
    fn titles_state_units() {
        assert_eq!(stated("All sizes in mm"), Some(Unit::Millimetre));
        assert_eq!(stated("Cut list (inches)"), Some(Unit::Inch));
        assert_eq!(stated("18 mm birch plywood"), None);
        assert_eq!(stated("mm or inches"), None);
        assert_eq!(stated("Glaze room"), None);
    }
}
