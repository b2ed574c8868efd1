//! Sizes and counts in the job's own unit, and small helps for sentences.

use crate::length::{Length, Unit};
use std::cmp::Ordering;

/// Prints sizes the way the job's list writes them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Show {
    pub unit: Unit,
}

impl Show {
    /// The unit most cells of the lists are in; millimetres without any.
    pub fn for_units<I: IntoIterator<Item = Unit>>(units: I) -> Self {
        let (mut imperial, mut metric) = (0usize, 0usize);
        for unit in units {
            if unit.is_imperial() {
                imperial += 1;
            } else {
                metric += 1;
            }
        }
        let unit = if imperial > 0 && imperial >= metric {
            Unit::Inch
        } else {
            Unit::Millimetre
        };
        Show { unit }
    }

    /// "34 1/2 in" or "876.3 mm".
    pub fn size(self, length: Length) -> String {
        if self.unit.is_imperial() {
            format!("{} in", inches(length))
        } else {
            format!("{} mm", decimal(length.mm(), 2))
        }
    }
}

/// Whole inches and a fraction to 1/64 where that is true within 0.001 in,
/// else decimals.
fn inches(length: Length) -> String {
    let sixty_fourth = Length::TICKS_PER_INCH / 64;
    let ticks = length.ticks();
    let sign = if ticks < 0 { "-" } else { "" };
    let ticks = ticks.saturating_abs();
    let steps = ticks.saturating_add(sixty_fourth / 2) / sixty_fourth;
    if (ticks - steps * sixty_fourth).abs() > Length::TICKS_PER_INCH / 1000 {
        return format!("{sign}{}", decimal(Length::from_ticks(ticks).inches(), 3));
    }
    let (whole, mut over, mut under) = (steps / 64, steps % 64, 64);
    if over == 0 {
        return format!("{sign}{whole}");
    }
    while over % 2 == 0 {
        over /= 2;
        under /= 2;
    }
    if whole == 0 {
        format!("{sign}{over}/{under}")
    } else {
        format!("{sign}{whole} {over}/{under}")
    }
}

fn decimal(value: f64, places: usize) -> String {
    // Whole numbers, which most are, are printed many times faster as such.
    const EXACT: f64 = 9e15;
    if value.fract() == 0.0 && value.abs() < EXACT {
        return (value as i64).to_string();
    }
    let text = format!("{value:.places$}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" || text.is_empty() {
        "0".to_owned()
    } else {
        text.to_owned()
    }
}

/// "a", "a and b", "a, b and c".
pub(super) fn join(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [head @ .., last] => format!("{} and {last}", head.join(", ")),
    }
}

/// "1 row", "2 rows".
pub(super) fn count(n: usize, one: &str) -> String {
    if n == 1 {
        format!("1 {one}")
    } else if one.ends_with("shelf") {
        format!("{n} {}ves", one.trim_end_matches('f'))
    } else {
        format!("{n} {one}s")
    }
}

/// Order in which a person counts names: B2 before B10. Total: names that read
/// alike are told apart by their bytes.
pub(super) fn natural(a: &str, b: &str) -> Ordering {
    let (mut left, mut right) = (pieces(a).into_iter(), pieces(b).into_iter());
    loop {
        match (left.next(), right.next()) {
            (None, None) => return a.cmp(b),
            (None, Some(_)) => return Ordering::Less,
            (Some(_), None) => return Ordering::Greater,
            (Some(l), Some(r)) => match l.cmp(&r) {
                Ordering::Equal => {}
                other => return other,
            },
        }
    }
}

/// Letters in lower case, or the digits of a number without leading zeros,
/// shorter numbers first.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
enum Piece {
    Number(usize, String),
    Word(String),
}

fn pieces(text: &str) -> Vec<Piece> {
    let mut out = Vec::new();
    let mut rest = text.trim();
    while let Some(first) = rest.chars().next() {
        let digit = first.is_ascii_digit();
        let end = rest
            .find(|c: char| c.is_ascii_digit() != digit)
            .unwrap_or(rest.len());
        let (piece, tail) = rest.split_at(end);
        out.push(if digit {
            let number = piece.trim_start_matches('0');
            Piece::Number(number.len(), number.to_owned())
        } else {
            Piece::Word(piece.to_lowercase())
        });
        rest = tail;
    }
    out
}

/// Names that differ only in case, blanks, dashes and the like are the same;
/// a mark between two digits counts, for B1-2 is not B12.
pub(super) fn same_name_key(name: &str) -> String {
    let mut key = String::new();
    let mut gap = false;
    for c in name.chars().flat_map(char::to_lowercase) {
        if !c.is_alphanumeric() {
            gap = true;
            continue;
        }
        if gap && c.is_ascii_digit() && key.ends_with(|last: char| last.is_ascii_digit()) {
            key.push('-');
        }
        key.push(c);
        gap = false;
    }
    key
}

/// Lower case words joined by dashes, for ids.
pub(super) fn slug(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars().flat_map(char::to_lowercase) {
        if c.is_alphanumeric() {
            out.push(c);
        } else if !out.is_empty() && !out.ends_with('-') {
            out.push('-');
        }
        if out.len() >= 40 {
            break;
        }
    }
    out.trim_end_matches('-').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn inch(eighths: i64) -> Length {
        Length::from_ticks(Length::TICKS_PER_INCH / 8 * eighths)
    }

    #[test]
    fn sizes_print_in_the_unit_of_the_list() {
        let show = Show { unit: Unit::Inch };
        assert_eq!(show.size(inch(276)), "34 1/2 in");
        assert_eq!(show.size(inch(-3)), "-3/8 in");
        assert_eq!(show.size(inch(0)), "0 in");
        // 18 mm = 0.708661 in is no fraction of 1/64
        assert_eq!(show.size(Length::from_mm(18.0).unwrap()), "0.709 in");
        let show = Show {
            unit: Unit::Millimetre,
        };
        assert_eq!(show.size(inch(276)), "876.3 mm");
        assert_eq!(show.size(Length::from_mm(564.0).unwrap()), "564 mm");
    }

    #[test]
    fn decimals_end_where_nothing_follows() {
        let printed =
            [564.0, -564.0, 0.0, -0.0, -0.001, 564.25, 564.999, 1e16].map(|v| decimal(v, 2));
        let as_figures = [
            "564",
            "-564",
            "0",
            "0",
            "0",
            "564.25",
            "565",
            "10000000000000000",
        ];
        assert_eq!(printed, as_figures);
    }

    #[test]
    fn the_unit_follows_the_cells() {
        let show = |units: &[Unit]| Show::for_units(units.iter().copied()).unit;
        assert_eq!(show(&[]), Unit::Millimetre);
        assert_eq!(show(&[Unit::Inch]), Unit::Inch);
        assert_eq!(
            show(&[Unit::Inch, Unit::Millimetre, Unit::Centimetre]),
            Unit::Millimetre
        );
    }

    #[test]
    fn names_sort_as_a_person_counts() {
        let mut names = vec!["B10", "b2", "B2", "A", "B1", "B02"];
        names.sort_by(|a, b| natural(a, b));
        assert_eq!(names, ["A", "B1", "B02", "B2", "b2", "B10"]);
        assert_eq!(same_name_key("B-2 "), same_name_key("b2"));
        assert_ne!(same_name_key("B1-2"), same_name_key("B12"));
    }

    #[test]
    fn words_join() {
        let words = |list: &[&str]| join(&list.iter().map(|s| (*s).to_owned()).collect::<Vec<_>>());
        assert_eq!(words(&["a", "b", "c"]), "a, b and c");
        assert_eq!(words(&["a"]), "a");
        assert_eq!(count(1, "row"), "1 row");
        assert_eq!(count(3, "shelf"), "3 shelves");
        assert_eq!(slug("B2  Left side (L)"), "b2-left-side-l");
    }
}
