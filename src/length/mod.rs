//! Exact lengths. One tick is 1/80 µm, so that 1/128 in (15 875 ticks),
//! 0.001 in (2 032) and 0.001 mm (80) are all whole numbers of ticks.
//! 1 in = 25.4 mm exactly (international yard and pound agreement, 1959).

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
