//! The sizes of a row as written: which cell, which dimension, before any unit
//! is settled.

use super::columns::{Column, Columns};
use super::heading::dimension_word;
use super::table::{CellKind, Line};
use super::types::{Problem, SizeKind};
use super::units::Known;
use super::words::{Field, words};
use crate::length::{DecimalMark, Length, Reader, Unit, UnitSource};
use crate::trade::Dimension;
use std::sync::Arc;

/// One size as written.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Piece {
    /// `None` until the order of sizes in a cell is known.
    pub(super) dimension: Option<Dimension>,
    /// Place among the sizes of its cell, and how many those are.
    pub(super) place: (usize, usize),
    pub(super) text: String,
    /// The whole cell.
    pub(super) cell: String,
    /// 0-based.
    pub(super) column: usize,
    pub(super) heading: Arc<str>,
    /// Known from the cell's neighbour, the heading or a unit column.
    pub(super) unit: Option<Known>,
    pub(super) kind: SizeKind,
    /// A number of a workbook.
    pub(super) number: bool,
    pub(super) field: Field,
}

/// What a size is before its unit is settled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Rough {
    /// With its unit.
    Written(Unit),
    Fraction,
    /// A number by itself.
    Plain(f64),
    Unreadable,
}

impl Piece {
    pub(super) fn rough(&self) -> Rough {
        let reader = Reader {
            unit: Unit::Millimetre,
            decimal_mark: self.number.then_some(DecimalMark::Point),
        };
        match reader.read(&self.text) {
            Ok(parsed) => match parsed.unit_source {
                UnitSource::Written => Rough::Written(parsed.unit),
                UnitSource::Fraction => Rough::Fraction,
                UnitSource::Default => Rough::Plain(parsed.length.mm()),
            },
            Err(_) => Rough::Unreadable,
        }
    }

    /// Its number in its own unit, for comparing sizes of one cell.
    fn amount(&self) -> Option<f64> {
        let reader = Reader {
            unit: Unit::Millimetre,
            decimal_mark: Some(DecimalMark::Point),
        };
        let parsed = reader.read(&self.text).ok()?;
        let ticks = parsed.unit.ticks();
        Some(parsed.length.ticks() as f64 / ticks as f64)
    }

    pub(super) fn is_thickness(&self) -> bool {
        self.dimension == Some(Dimension::Thickness)
    }
}

/// The sizes of a line, with cells that hold none as problems. `units` are those that the
/// headings of the columns say.
pub(super) fn pieces(
    columns: &Columns,
    units: &[Option<Known>],
    line: &Line,
) -> (Vec<Piece>, Vec<Problem>) {
    let mut found = Vec::new();
    let mut problems = Vec::new();
    let unit_column = columns.first(Field::Unit).and_then(|column| {
        let text = line.at(column.index);
        Unit::from_word(text).map(|unit| (unit, format!("unit column says `{text}`").into()))
    });
    for (column, unit) in columns
        .list
        .iter()
        .zip(units)
        .filter(|(c, _)| c.field.is_size() || c.field.is_bore())
    {
        let Some(cell) = line.cells.get(column.index) else {
            continue;
        };
        let text = cell.trimmed();
        if words().is_nothing(text) {
            continue;
        }
        if words().is_ditto(text) {
            problems.push(Problem {
                source: line.source.clone(),
                column: Some(column.index + 1),
                text: text.to_owned(),
                message: format!("`{text}` repeats the line above instead of giving a size"),
                advice: "write the size out".to_owned(),
                dimension: column.field.dimension(),
            });
            continue;
        }
        let unit = unit.as_ref().or(unit_column.as_ref()).cloned();
        let one = |dimension, place, text: &str, unit: Option<Known>| Piece {
            dimension,
            place,
            text: text.to_owned(),
            cell: cell.trimmed().to_owned(),
            column: column.index,
            heading: Arc::clone(&column.heading),
            unit,
            kind: column.kind,
            number: cell.kind == CellKind::Number,
            field: column.field,
        };
        if column.field == Field::Size {
            match several(text, column) {
                Some(sizes) => {
                    // One unit after the last size is meant for all of them.
                    let last = sizes.last().map(|(_, text)| *text).unwrap_or("");
                    let shared =
                        written_unit(last).map(|unit| (unit, "written in the cell".into()));
                    let count = sizes.len();
                    for (place, (dimension, text)) in sizes.into_iter().enumerate() {
                        let unit = unit.clone().or_else(|| shared.clone());
                        found.push(one(dimension, (place, count), text, unit));
                    }
                }
                None => problems.push(Problem {
                    source: line.source.clone(),
                    column: Some(column.index + 1),
                    text: text.to_owned(),
                    message: format!("`{text}` is not two or three sizes with x between them"),
                    advice: "write it like 34 1/2 x 23 1/4 x 3/4".to_owned(),
                    dimension: None,
                }),
            }
        } else {
            found.push(one(column.field.dimension(), (0, 1), text, unit));
        }
    }
    (found, problems)
}

fn written_unit(text: &str) -> Option<Unit> {
    let reader = Reader {
        unit: Unit::Millimetre,
        decimal_mark: Some(DecimalMark::Point),
    };
    let parsed = reader.read(text).ok()?;
    (parsed.unit_source == UnitSource::Written && parsed.unit != Unit::Foot).then_some(parsed.unit)
}

/// Two or three sizes of one cell with the dimension each says it is.
fn several<'a>(text: &'a str, column: &Column) -> Option<Vec<(Option<Dimension>, &'a str)>> {
    let mut sizes: Vec<(Option<Dimension>, &str)> = split(text)
        .into_iter()
        .map(|piece| labelled(piece.trim()))
        .collect();
    if !(2..=3).contains(&sizes.len()) || sizes.iter().any(|(_, text)| text.is_empty()) {
        return None;
    }
    if let Some((_, last)) = sizes.last_mut() {
        *last = without_words(last);
    }
    if sizes.iter().all(|(dimension, _)| dimension.is_none()) && column.order.len() >= sizes.len() {
        for ((dimension, _), ordered) in sizes.iter_mut().zip(&column.order) {
            *dimension = Some(*ordered);
        }
    } else if sizes.len() == 2 && sizes.iter().all(|(dimension, _)| dimension.is_none()) {
        for ((dimension, _), ordered) in sizes.iter_mut().zip([Dimension::Length, Dimension::Width])
        {
            *dimension = Some(ordered);
        }
    }
    Some(sizes)
}

/// Whether a cell holds two or three sizes.
pub(super) fn is_several(text: &str) -> bool {
    let pieces = split(text);
    let reader = Reader {
        unit: Unit::Inch,
        decimal_mark: None,
    };
    (2..=3).contains(&pieces.len())
        && pieces
            .iter()
            .all(|piece| reader.read(labelled(without_words(piece)).1).is_ok())
}

/// At `x`, `×`, `*` or `by` between two sizes.
fn split(text: &str) -> Vec<&str> {
    let mut pieces = Vec::new();
    let mut start = 0;
    let mut skip_to = 0;
    for (at, c) in text.char_indices() {
        if at < skip_to {
            continue;
        }
        let by = text
            .get(at..at + 4)
            .is_some_and(|w| w.eq_ignore_ascii_case(" by "));
        let width = if by {
            4
        } else if matches!(c, 'x' | 'X' | '×' | '✕' | '*' | '⨯') {
            c.len_utf8()
        } else {
            continue;
        };
        pieces.push(text.get(start..at).unwrap_or(""));
        start = at + width;
        skip_to = start;
    }
    pieces.push(text.get(start..).unwrap_or(""));
    pieces
}

/// Takes a dimension's letter from before or after a size: `34 1/2 H`, `L: 600`, `24" D`.
fn labelled(piece: &str) -> (Option<Dimension>, &str) {
    let head_end = piece.find(|c: char| !c.is_alphabetic()).unwrap_or(0);
    let (head, rest) = piece.split_at(head_end);
    if let Some(dimension) = dimension_word(head).filter(|_| !head.is_empty()) {
        return (
            Some(dimension),
            rest.trim_start_matches([':', '=', '.', ' ']).trim(),
        );
    }
    let tail_start = piece
        .char_indices()
        .rev()
        .take_while(|(_, c)| c.is_alphabetic() || matches!(c, '.' | ')' | '('))
        .last()
        .map_or(piece.len(), |(at, _)| at);
    let (rest, tail) = piece.split_at(tail_start);
    match dimension_word(tail).filter(|_| !tail.is_empty()) {
        Some(dimension) => (Some(dimension), rest.trim_end()),
        None => (None, piece),
    }
}

/// `3/4 birch ply` after the last x: words that are no unit are left off.
fn without_words(text: &str) -> &str {
    let reader = Reader {
        unit: Unit::Millimetre,
        decimal_mark: None,
    };
    let mut kept = text.trim();
    while reader.read(kept).is_err() {
        match kept.rsplit_once(char::is_whitespace) {
            Some((head, word))
                if word
                    .chars()
                    .all(|c| c.is_alphabetic() || matches!(c, '.' | ',' | '(' | ')')) =>
            {
                kept = head.trim_end().trim_end_matches(',');
            }
            _ => return text.trim(),
        }
    }
    kept
}

/// Settles the dimensions of three sizes in one cell by where the smallest stands
/// in all such cells: thickness last (L x W x T) or first (T x W x L). Gives how
/// it was settled, in words.
pub(super) fn settle_order(rows: &mut [&mut Vec<Piece>]) -> Option<String> {
    let mut first = 0_usize;
    let mut last = 0_usize;
    let mut any = false;
    for pieces in rows.iter() {
        for triple in open_triples(pieces) {
            any = true;
            let amounts: Vec<Option<f64>> = triple.iter().map(|piece| piece.amount()).collect();
            if let [Some(a), Some(b), Some(c)] = amounts.as_slice() {
                first += usize::from(a < b && a < c);
                last += usize::from(c < a && c < b);
            }
        }
    }
    if !any {
        return None;
    }
    let thickness_first = first > last;
    let order = if thickness_first {
        [Dimension::Thickness, Dimension::Width, Dimension::Length]
    } else {
        [Dimension::Length, Dimension::Width, Dimension::Thickness]
    };
    for pieces in rows.iter_mut() {
        for piece in pieces.iter_mut() {
            if piece.dimension.is_none() && piece.place.1 == 3 {
                piece.dimension = order.get(piece.place.0).copied();
            }
        }
    }
    Some(if thickness_first {
        format!(
            "three sizes in a cell are thickness x width x length: the smallest stands first in {first}, last in {last}"
        )
    } else {
        format!(
            "three sizes in a cell are length x width x thickness: the smallest stands last in {last}, first in {first}"
        )
    })
}

fn open_triples(pieces: &[Piece]) -> impl Iterator<Item = &[Piece]> {
    pieces
        .chunk_by(|a, b| a.column == b.column)
        .filter(|cell| cell.len() == 3 && cell.iter().all(|piece| piece.dimension.is_none()))
}

/// The decimal mark the list's plain numbers show, when they show one.
pub(super) fn decimal_mark<'a>(pieces: impl Iterator<Item = &'a Piece>) -> Option<DecimalMark> {
    let (mut points, mut commas) = (0_usize, 0_usize);
    for piece in pieces.filter(|piece| !piece.number) {
        let marks: Vec<char> = piece
            .text
            .chars()
            .filter(|c| matches!(c, '.' | ','))
            .collect();
        let decimals = piece.text.rsplit(['.', ',']).next().map_or(0, |tail| {
            tail.chars().take_while(char::is_ascii_digit).count()
        });
        match marks.as_slice() {
            // One mark with other than three digits after it is a decimal mark;
            // of two different ones the last is.
            [mark] if decimals != 3 && decimals > 0 => {
                *(if *mark == ',' {
                    &mut commas
                } else {
                    &mut points
                }) += 1;
            }
            [head, .., mark] if head != mark => {
                *(if *mark == ',' {
                    &mut commas
                } else {
                    &mut points
                }) += 1;
            }
            _ => {}
        }
    }
    match (points, commas) {
        (0, 0) => None,
        (_, 0) => Some(DecimalMark::Point),
        (0, _) => Some(DecimalMark::Comma),
        _ => None,
    }
}

/// The largest size believed in a list, for guarding sums.
pub(super) const LARGEST: Length = Length::from_ticks(1_000_000 * Length::TICKS_PER_MM);

#[cfg(test)]
mod tests {
    use super::*;

    fn column(heading: &str) -> Column {
        let read = super::super::heading::read(heading, "").unwrap();
        Column {
            index: 0,
            heading: heading.into(),
            field: read.field,
            unit: read.unit,
            kind: read.kind,
            order: read.order,
            because: None,
        }
    }

    #[test]
    fn several_sizes_in_a_cell() {
        use Dimension::*;
        let sizes = |text: &str, heading: &str| {
            several(text, &column(heading)).map(|sizes| {
                sizes
                    .into_iter()
                    .map(|(d, t)| (d, t.to_owned()))
                    .collect::<Vec<_>>()
            })
        };
        let of = |list: &[(Option<Dimension>, &str)]| {
            Some(
                list.iter()
                    .map(|(d, t)| (*d, (*t).to_owned()))
                    .collect::<Vec<_>>(),
            )
        };
        assert_eq!(
            sizes("34 1/2 x 23 1/4 x 3/4", "Size"),
            of(&[(None, "34 1/2"), (None, "23 1/4"), (None, "3/4")])
        );
        assert_eq!(
            sizes("600x720", "Size"),
            of(&[(Some(Length), "600"), (Some(Width), "720")])
        );
        assert_eq!(
            sizes("34 1/2\" H × 24\" D × 36\" W", "Size"),
            of(&[
                (Some(Height), "34 1/2\""),
                (Some(Depth), "24\""),
                (Some(Width), "36\"")
            ])
        );
        assert_eq!(
            sizes("L: 34.5 by W: 23", "Size"),
            of(&[(Some(Length), "34.5"), (Some(Width), "23")])
        );
        assert_eq!(
            sizes("16 15/16 X 22", "Size (W x H)"),
            of(&[(Some(Width), "16 15/16"), (Some(Height), "22")])
        );
        assert_eq!(
            sizes("34 1/2 x 23 x 3/4 birch ply", "L x W x T"),
            of(&[
                (Some(Length), "34 1/2"),
                (Some(Width), "23"),
                (Some(Thickness), "3/4")
            ])
        );
        assert_eq!(sizes("34 1/2", "Size"), None);
        assert_eq!(sizes("1x2x3x4", "Size"), None);
        assert_eq!(sizes("x", "Size"), None);
    }
}
