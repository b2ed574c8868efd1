//! Stacked fractions that lost their space or their line: `31/2` for 3 1/2,
//! `25716` for 25 7/16. Read in the wild on published lumber charts and in
//! magazine lists; the readings are offered, never chosen here.

use super::{Alternative, Length, Unit};

/// Lines on a rule: the denominators a shop's fraction can have.
const RULED: [u32; 7] = [2, 4, 8, 16, 32, 64, 128];

/// Whether a rule, a tape or a decimal scale has such a division.
pub(super) fn is_ruled(denominator: i128) -> bool {
    u32::try_from(denominator).is_ok_and(|d| {
        RULED.contains(&d)
            || matches!(
                d,
                1 | 3 | 5 | 6 | 10 | 12 | 20 | 24 | 48 | 25 | 50 | 100 | 1000
            )
    })
}

/// Readings of `numerator/denominator` whose numerator swallowed a whole number:
/// `31/2` gives 3 1/2; `13/16` gives 1 3/16.
pub(super) fn swallowed_whole(numerator: &str, denominator: i64) -> Vec<Alternative> {
    (1..numerator.len())
        .filter_map(|cut| {
            let whole: i64 = numerator.get(..cut)?.parse().ok()?;
            let rest = numerator.get(cut..)?;
            proper(whole, rest, denominator)
        })
        .collect()
}

/// Readings of digits that lost space and line both: `25716` gives 25 7/16,
/// `3412` gives 34 1/2, `34` gives 3/4.
pub(super) fn lost_line(digits: &str) -> Vec<Alternative> {
    let mut found = Vec::new();
    for denominator in RULED {
        let tail = denominator.to_string();
        let Some(head) = digits.strip_suffix(tail.as_str()) else {
            continue;
        };
        for cut in 0..head.len() {
            let (Some(whole), Some(numerator)) = (head.get(..cut), head.get(cut..)) else {
                continue;
            };
            let whole = if whole.is_empty() {
                Ok(0)
            } else {
                whole.parse()
            };
            if let Ok(whole) = whole {
                found.extend(proper(whole, numerator, i64::from(denominator)));
            }
        }
    }
    found
}

/// `34 12` for 34 1/2: the line alone was lost.
pub(super) fn lost_line_after(whole: &str, digits: &str) -> Vec<Alternative> {
    let Ok(whole) = whole.parse::<i64>() else {
        return Vec::new();
    };
    RULED
        .into_iter()
        .filter_map(|denominator| {
            let numerator = digits.strip_suffix(denominator.to_string().as_str())?;
            proper(whole, numerator, i64::from(denominator))
        })
        .collect()
}

/// A proper fraction in lowest terms on a rule, as an alternative reading.
fn proper(whole: i64, numerator: &str, denominator: i64) -> Option<Alternative> {
    if numerator.starts_with('0') || !is_ruled(i128::from(denominator)) {
        return None;
    }
    let numerator: i64 = numerator.parse().ok()?;
    // Even over even (6/16) is not how anyone writes a size.
    if numerator >= denominator || (denominator % 2 == 0 && numerator % 2 == 0) {
        return None;
    }
    inches(whole, numerator, denominator)
}

/// `whole numerator/denominator` inches as a reading.
pub(super) fn inches(whole: i64, numerator: i64, denominator: i64) -> Option<Alternative> {
    let length = Length::inch_fraction(whole, numerator, denominator)?;
    let text = match (whole, numerator) {
        (_, 0) => format!("{whole} in"),
        (0, _) => format!("{numerator}/{denominator} in"),
        _ => format!("{whole} {numerator}/{denominator} in"),
    };
    Some(Alternative { text, length })
}

/// An improper fraction as the mixed number it equals.
pub(super) fn as_mixed(whole: i64, numerator: i64, denominator: i64) -> Option<Alternative> {
    let more = numerator.checked_div(denominator)?;
    inches(
        whole.checked_add(more)?,
        numerator.checked_rem(denominator)?,
        denominator,
    )
}

/// A number of some unit as a reading.
pub(super) fn number(value: i128, unit: Unit) -> Option<Alternative> {
    let (length, _) = super::number::Ratio::new(value, 1)?.to_length(unit)?;
    Some(Alternative {
        text: format!("{value} {unit}"),
        length,
    })
}
