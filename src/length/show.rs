//! Printing lengths.

use super::number::Ratio;
use super::{Length, Unit};

/// How a length is printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Notation {
    /// `34 1/2 in`, to the nearest such part of an inch, in lowest terms.
    InchFraction { denominator: u32 },
    /// `34.5 in`, to four decimals at most.
    DecimalInch,
    /// `876.3 mm`, to three decimals at most.
    Millimetre,
}

/// A printed figure this near to the true one is not marked as rounded: half
/// a hundredth of a millimetre, far below what is measured in a shop, and above
/// the dust of decimal coordinates.
pub const SHOWN_NOISE: Length = Length::from_ticks(400);

impl Notation {
    /// The fraction rule most shops read.
    pub const SIXTEENTHS: Notation = Notation::InchFraction { denominator: 16 };
    pub const SIXTY_FOURTHS: Notation = Notation::InchFraction { denominator: 64 };

    /// `in` or `mm`.
    pub const fn unit(self) -> Unit {
        match self {
            Notation::InchFraction { .. } | Notation::DecimalInch => Unit::Inch,
            Notation::Millimetre => Unit::Millimetre,
        }
    }
}

impl Length {
    /// With its unit: `34 1/2 in`, `876.3 mm`; `≈` before a figure that was
    /// rounded by more than [`SHOWN_NOISE`].
    pub fn show(self, notation: Notation) -> String {
        format!("{} {}", self.show_bare(notation), notation.unit())
    }

    /// As [`Length::show`], without the unit.
    pub fn show_bare(self, notation: Notation) -> String {
        let (figure, shown) = match notation {
            Notation::InchFraction { denominator } => fraction(self, i64::from(denominator.max(1))),
            Notation::DecimalInch => decimal(self, Unit::Inch, 4),
            Notation::Millimetre => decimal(self, Unit::Millimetre, 3),
        };
        if (shown - self).abs() > SHOWN_NOISE {
            format!("≈{figure}")
        } else {
            figure
        }
    }

    /// As [`Length::show`] with `+` or `-` before it, for differences.
    pub fn show_signed(self, notation: Notation) -> String {
        let figure = self.abs().show(notation);
        match self.cmp(&Length::ZERO) {
            std::cmp::Ordering::Greater => format!("+{figure}"),
            std::cmp::Ordering::Less => format!("-{figure}"),
            std::cmp::Ordering::Equal => figure,
        }
    }
}

/// Nearest figure on the scale `unit / parts`: how many parts, and the length shown.
fn nearest(length: Length, unit: Unit, parts: i64) -> (i128, Length) {
    let per_unit = i128::from(unit.ticks());
    let scaled = i128::from(length.ticks()) * i128::from(parts);
    let half = per_unit / 2;
    let count = if scaled >= 0 {
        (scaled + half) / per_unit
    } else {
        (scaled - half) / per_unit
    };
    let shown = Ratio::new(count, i128::from(parts))
        .and_then(|r| r.to_length(unit))
        .map_or(length, |(shown, _)| shown);
    (count, shown)
}

fn fraction(length: Length, parts: i64) -> (String, Length) {
    let (count, shown) = nearest(length, Unit::Inch, parts);
    (mixed(count, i128::from(parts), " "), shown)
}

/// `count/parts` as a mixed number in lowest terms.
pub(super) fn mixed(count: i128, parts: i128, joiner: &str) -> String {
    let sign = if count < 0 { "-" } else { "" };
    let count = count.abs();
    let (whole, rest) = (count / parts.max(1), count % parts.max(1));
    let common = common_divisor(rest, parts).max(1);
    let (n, d) = (rest / common, parts / common);
    match (whole, n) {
        (0, 0) => "0".to_owned(),
        (_, 0) => format!("{sign}{whole}"),
        (0, _) => format!("{sign}{n}/{d}"),
        _ => format!("{sign}{whole}{joiner}{n}/{d}"),
    }
}

pub(super) fn common_divisor(mut a: i128, mut b: i128) -> i128 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

fn decimal(length: Length, unit: Unit, places: u32) -> (String, Length) {
    let parts = 10_i64.pow(places.min(9));
    let (count, shown) = nearest(length, unit, parts);
    let figure = decimals(count, places, '.');
    let figure = match figure.split_once('.') {
        Some(_) => figure
            .trim_end_matches('0')
            .trim_end_matches('.')
            .to_owned(),
        None => figure,
    };
    let figure = if figure == "-0" {
        "0".to_owned()
    } else {
        figure
    };
    (figure, shown)
}

/// `count / 10^places` with every decimal written.
pub(super) fn decimals(count: i128, places: u32, mark: char) -> String {
    let sign = if count < 0 { "-" } else { "" };
    let parts = 10_i128.pow(places.min(18));
    let (whole, rest) = (count.abs() / parts, count.abs() % parts);
    if places == 0 {
        format!("{sign}{whole}")
    } else {
        format!("{sign}{whole}{mark}{rest:0width$}", width = places as usize)
    }
}
