//! Tolerances, and fractions a spreadsheet took for dates.

use super::{Alternative, Length, LengthError, Unit, flattened, parse};

/// Why a text is not a tolerance.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ToleranceError {
    #[error("tolerance {0}")]
    Size(#[from] LengthError),
    #[error("tolerance `{text}` is more than an inch and would pass any mistake")]
    TooWide { text: String },
}

/// Reads a tolerance: `1/32`, `1/32 in`, `0.8mm`, `±0.5 mm`. A plain number is in `default_unit`.
///
/// # Errors
/// When it is not a size, could be more than one, or is more than an inch.
pub fn parse_tolerance(text: &str, default_unit: Unit) -> Result<Length, ToleranceError> {
    let bare = text.trim();
    let bare = ["+/-", "+-", "±", "∓"]
        .iter()
        .find_map(|sign| bare.strip_prefix(sign))
        .unwrap_or(bare);
    let length = parse(bare, default_unit)?.length;
    if length > Length::from_ticks(Length::TICKS_PER_INCH) {
        return Err(ToleranceError::TooWide {
            text: text.to_owned(),
        });
    }
    Ok(length)
}

const MONTHS: [&str; 12] = [
    "jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec",
];

/// The fractions a date may have been made from, when this is a date: `3-Apr`
/// and `4-Mar` come from 3/4, `Jan-16` from 1/16.
pub(super) fn date(text: &str) -> Option<Vec<Alternative>> {
    let pieces: Vec<&str> = text
        .split(['-', '/', ' ', '.', ',', ':', 'T'])
        .filter(|piece| !piece.is_empty())
        .collect();
    let number = |piece: &str| -> Option<i64> {
        (piece.len() <= 4 && piece.bytes().all(|b| b.is_ascii_digit()))
            .then(|| piece.parse().ok())
            .flatten()
    };
    let month = |piece: &str| -> Option<i64> {
        let word: String = piece.chars().take(3).collect::<String>().to_lowercase();
        let at = MONTHS.iter().position(|m| *m == word)?;
        let whole_word = piece.chars().all(char::is_alphabetic) && piece.chars().count() <= 9;
        whole_word
            .then(|| i64::try_from(at).ok().map(|at| at + 1))
            .flatten()
    };
    let (a, b) = match pieces.as_slice() {
        [one, two] | [one, two, _] if month(two).is_some() => (number(one)?, month(two)?),
        [one, two] | [one, two, _] if month(one).is_some() => (month(one)?, number(two)?),
        _ => {
            // 2024-03-04, with a time after it or not; 3/4/2024.
            let day = text.split([' ', 'T']).next().unwrap_or(text);
            let sign = ['-', '/', '.']
                .into_iter()
                .find(|sign| day.matches(*sign).count() == 2)?;
            match day.split(sign).collect::<Vec<_>>().as_slice() {
                // 1/32 becomes the first of January 1932.
                [year, m, "01" | "1"] if is_year(year) && number(year)? % 100 > 12 => {
                    (number(m)?, number(year)? % 100)
                }
                [year, m, d] if is_year(year) => (number(m)?, number(d)?),
                [m, d, year] if is_year(year) => (number(m)?, number(d)?),
                _ => return None,
            }
        }
    };
    let mut readings = Vec::new();
    for (n, d) in [(a, b), (b, a)] {
        // One to one half and the like; never a whole.
        if n < d && flattened::is_ruled(i128::from(d)) {
            readings.extend(flattened::inches(0, n, d));
        }
    }
    Some(readings)
}

fn is_year(piece: &str) -> bool {
    piece.len() == 4
        && (piece.starts_with("19") || piece.starts_with("20"))
        && piece.bytes().all(|b| b.is_ascii_digit())
}
