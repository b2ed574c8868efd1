//! Exact ratios, and plain numbers with decimal and thousands separators.

use super::{Length, Unit};

/// The sign between whole number and decimals.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum DecimalMark {
    Point,
    Comma,
}

impl DecimalMark {
    pub const fn char(self) -> char {
        match self {
            DecimalMark::Point => '.',
            DecimalMark::Comma => ',',
        }
    }
}

/// An exact non-negative number of some unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Ratio {
    pub(super) numerator: i128,
    /// Never zero, never negative.
    pub(super) denominator: i128,
}

impl Ratio {
    /// `None` unless the denominator is positive.
    pub(super) fn new(numerator: i128, denominator: i128) -> Option<Self> {
        (denominator > 0).then_some(Ratio {
            numerator,
            denominator,
        })
    }

    pub(super) fn plus(self, other: Ratio) -> Option<Self> {
        let left = self.numerator.checked_mul(other.denominator)?;
        let right = other.numerator.checked_mul(self.denominator)?;
        Ratio::new(
            left.checked_add(right)?,
            self.denominator.checked_mul(other.denominator)?,
        )
    }

    /// Nearest tick (halves away from zero) and whether it is exact; `None`
    /// beyond the range of a length.
    pub(super) fn to_length(self, unit: Unit) -> Option<(Length, bool)> {
        let ticks = self.numerator.checked_mul(i128::from(unit.ticks()))?;
        let rest = ticks.checked_rem(self.denominator)?;
        let mut whole = ticks.checked_div(self.denominator)?;
        if rest.checked_abs()?.checked_mul(2)? >= self.denominator {
            whole = whole.checked_add(rest.signum())?;
        }
        // A quarter of the range leaves room for sums.
        if whole.checked_abs()? > i128::from(i64::MAX / 4) {
            return None;
        }
        Some((Length::from_ticks(i64::try_from(whole).ok()?), rest == 0))
    }
}

/// A number as its signs say it, before anything is known of the unit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Plain {
    pub(super) value: Ratio,
    pub(super) places: u32,
    pub(super) mark: Option<DecimalMark>,
    pub(super) group: Option<char>,
    /// Set when one separator before exactly three digits could also be the
    /// thousands separator: the value it would then have.
    pub(super) thousands: Option<i128>,
}

#[derive(Debug, PartialEq, Eq)]
pub(super) enum PlainError {
    TooLong,
    /// Separators that fit neither decimals nor thousands.
    Separators,
}

/// Reads digits with `.` and `,`. `usual` is the decimal mark known from
/// elsewhere, used only where this number leaves it open.
pub(super) fn plain(text: &str, usual: Option<DecimalMark>) -> Result<Plain, PlainError> {
    let marks: Vec<(usize, char)> = text
        .char_indices()
        .filter(|(_, c)| !c.is_ascii_digit())
        .collect();
    let (mark, group) = match marks.as_slice() {
        [] => (None, None),
        [(_, only)] => (Some(*only), None),
        [first @ .., (_, last)] => {
            let other = first.first().map_or(*last, |(_, c)| *c);
            if first.iter().any(|(_, c)| *c != other) {
                return Err(PlainError::Separators);
            }
            if other == *last {
                (None, Some(other))
            } else {
                (Some(*last), Some(other))
            }
        }
    };
    if let Some(group) = group {
        let whole = mark
            .and_then(|m| text.rsplit_once(m))
            .map_or(text, |(w, _)| w);
        let mut parts = whole.split(group);
        let head = parts.next().unwrap_or("");
        if head.is_empty() || head.len() > 3 || head.starts_with('0') || parts.any(|p| p.len() != 3)
        {
            return Err(PlainError::Separators);
        }
    }
    let mut thousands = None;
    let mut mark = mark;
    let mut group = group;
    if let (Some(only), None) = (mark, group) {
        let (whole, decimals) = text.split_once(only).unwrap_or((text, ""));
        if decimals.len() == 3 && (1..=3).contains(&whole.len()) && !whole.starts_with('0') {
            match usual {
                Some(usual) if usual.char() != only => {
                    group = Some(only);
                    mark = None;
                }
                Some(_) => {}
                None => thousands = digits(text).ok(),
            }
        }
    }
    let places = match mark {
        Some(mark) => text
            .rsplit_once(mark)
            .map_or(0, |(_, decimals)| decimals.len()),
        None => 0,
    };
    let places = u32::try_from(places).map_err(|_| PlainError::TooLong)?;
    let denominator = 10_i128.checked_pow(places).ok_or(PlainError::TooLong)?;
    Ok(Plain {
        value: Ratio {
            numerator: digits(text)?,
            denominator,
        },
        places,
        mark: mark.map(|m| {
            if m == ',' {
                DecimalMark::Comma
            } else {
                DecimalMark::Point
            }
        }),
        group,
        thousands,
    })
}

fn digits(text: &str) -> Result<i128, PlainError> {
    let mut value: i128 = 0;
    for digit in text.chars().filter_map(|c| c.to_digit(10)) {
        value = value
            .checked_mul(10)
            .and_then(|v| v.checked_add(i128::from(digit)))
            .ok_or(PlainError::TooLong)?;
    }
    Ok(value)
}
