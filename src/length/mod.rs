//! Exact lengths. One tick is 1/80 µm, so that 1/128 in (15 875 ticks),
//! 0.001 in (2 032) and 0.001 mm (80) are all whole numbers of ticks.
//! 1 in = 25.4 mm exactly (international yard and pound agreement, 1959).
//!
//! [`parse`] reads what people write in lists, on drawings and on the command
//! line; [`Length::show`] prints; [`Written`] writes a size the way a cell was
//! written. No float takes part in reading or printing.

mod error;
mod flattened;
mod grammar;
mod judge;
mod number;
mod parse;
#[cfg(test)]
mod proofs;
mod scan;
mod show;
mod tolerance;
mod written;

pub use error::{Alternative, LengthError};
pub use number::DecimalMark;
pub use parse::{Parsed, Reader, UnitSource, parse};
pub use show::{Notation, SHOWN_NOISE};
pub use tolerance::{ToleranceError, parse_tolerance};
pub use written::Written;

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

/// A length in whole ticks of 1/80 µm.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Length(i64);

/// A unit of length a person or a drawing may use.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Unit {
    Inch,
    Foot,
    Millimetre,
    Centimetre,
    Metre,
}

impl Length {
    pub const ZERO: Length = Length(0);
    pub const TICKS_PER_MM: i64 = 80_000;
    pub const TICKS_PER_INCH: i64 = 2_032_000;

    pub const fn from_ticks(ticks: i64) -> Self {
        Length(ticks)
    }

    pub const fn ticks(self) -> i64 {
        self.0
    }

    /// Nearest length to a measured value in millimetres; `None` for NaN,
    /// infinities and values beyond the range of a tick count.
    pub fn from_mm(mm: f64) -> Option<Self> {
        let ticks = (mm * Self::TICKS_PER_MM as f64).round();
        // i64::MAX is not representable as f64; stay well inside.
        (ticks.is_finite() && ticks.abs() < 9.0e18).then_some(Length(ticks as i64))
    }

    pub fn mm(self) -> f64 {
        self.0 as f64 / Self::TICKS_PER_MM as f64
    }

    pub fn inches(self) -> f64 {
        self.0 as f64 / Self::TICKS_PER_INCH as f64
    }

    /// `whole numerator/denominator` inches, to the nearest tick; `None` for a
    /// zero denominator or beyond the range.
    pub fn inch_fraction(whole: i64, numerator: i64, denominator: i64) -> Option<Self> {
        let numerator = i128::from(whole) * i128::from(denominator) + i128::from(numerator);
        number::Ratio::new(numerator, i128::from(denominator))?
            .to_length(Unit::Inch)
            .map(|(length, _)| length)
    }

    pub const fn abs(self) -> Self {
        Length(self.0.saturating_abs())
    }
}

impl Unit {
    /// Ticks in one of this unit.
    pub const fn ticks(self) -> i64 {
        match self {
            Unit::Inch => Length::TICKS_PER_INCH,
            Unit::Foot => 12 * Length::TICKS_PER_INCH,
            Unit::Millimetre => Length::TICKS_PER_MM,
            Unit::Centimetre => 10 * Length::TICKS_PER_MM,
            Unit::Metre => 1000 * Length::TICKS_PER_MM,
        }
    }

    /// Millimetres in one of this unit.
    pub fn mm(self) -> f64 {
        self.ticks() as f64 / Length::TICKS_PER_MM as f64
    }

    pub const fn is_imperial(self) -> bool {
        matches!(self, Unit::Inch | Unit::Foot)
    }

    /// The unit a word or mark stands for: `in`, `"`, `inches`, `'`, `ft`, `mm`, ...
    pub fn from_word(word: &str) -> Option<Self> {
        let word = word.trim().trim_end_matches('.').to_lowercase();
        Some(match word.as_str() {
            "in" | "inch" | "inches" | "ins" | "\"" | "\u{2033}" | "\u{201d}" => Unit::Inch,
            "ft" | "foot" | "feet" | "'" | "\u{2032}" | "\u{2019}" => Unit::Foot,
            "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => Unit::Millimetre,
            "cm" | "centimetre" | "centimetres" | "centimeter" | "centimeters" => Unit::Centimetre,
            "m" | "metre" | "metres" | "meter" | "meters" => Unit::Metre,
            _ => return None,
        })
    }

    /// The word for several of it: "inches".
    pub const fn plural(self) -> &'static str {
        match self {
            Unit::Inch => "inches",
            Unit::Foot => "feet",
            Unit::Millimetre => "millimetres",
            Unit::Centimetre => "centimetres",
            Unit::Metre => "metres",
        }
    }

    pub const fn abbreviation(self) -> &'static str {
        match self {
            Unit::Inch => "in",
            Unit::Foot => "ft",
            Unit::Millimetre => "mm",
            Unit::Centimetre => "cm",
            Unit::Metre => "m",
        }
    }
}

// Sums of cabinet sizes stay far below the i64 range; saturation keeps hostile
// input from wrapping round into a plausible size.
impl Add for Length {
    type Output = Length;
    fn add(self, other: Length) -> Length {
        Length(self.0.saturating_add(other.0))
    }
}

impl Sub for Length {
    type Output = Length;
    fn sub(self, other: Length) -> Length {
        Length(self.0.saturating_sub(other.0))
    }
}

impl Neg for Length {
    type Output = Length;
    fn neg(self) -> Length {
        Length(self.0.saturating_neg())
    }
}

impl Mul<i64> for Length {
    type Output = Length;
    fn mul(self, factor: i64) -> Length {
        Length(self.0.saturating_mul(factor))
    }
}

/// Division truncates towards zero; ticks are finer than anything measured.
impl Div<i64> for Length {
    type Output = Length;
    fn div(self, divisor: i64) -> Length {
        Length(self.0.checked_div(divisor).unwrap_or(0))
    }
}

impl AddAssign for Length {
    fn add_assign(&mut self, other: Length) {
        *self = *self + other;
    }
}

impl SubAssign for Length {
    fn sub_assign(&mut self, other: Length) {
        *self = *self - other;
    }
}

impl Sum for Length {
    fn sum<I: Iterator<Item = Length>>(lengths: I) -> Length {
        lengths.fold(Length::ZERO, Add::add)
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.abbreviation())
    }
}
