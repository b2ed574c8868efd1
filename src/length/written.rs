//! The way a size was written, so that another one can be written alike: a
//! corrected list must look like the shop's own.

use super::number::Ratio;
use super::scan::vulgar_sign;
use super::show::{SHOWN_NOISE, common_divisor, decimals};
use super::{DecimalMark, Length, Unit};

/// The way a size was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Written {
    pub(super) unit: Unit,
    pub(super) feet: Option<Feet>,
    pub(super) form: Form,
    /// Everything after the number: unit mark, and the space before it.
    pub(super) suffix: String,
}

/// Feet before the inches.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Feet {
    /// What stands between the two numbers: `'-`.
    pub(super) between: String,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Form {
    Whole {
        group: Option<char>,
    },
    Decimal {
        mark: DecimalMark,
        places: u32,
        group: Option<char>,
    },
    Fraction {
        /// What stands between whole number and fraction, when there is a whole number.
        joiner: Option<String>,
        slash: Slash,
        denominator: i64,
    },
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Slash {
    Sign(char),
    /// `½`
    Glyph,
    /// `¹⁄₂`
    Raised,
}

/// Finest division used where the written one does not suffice.
const FINEST: i64 = 128;

impl Written {
    /// The unit of the number; feet and inches together are inches.
    pub fn unit(&self) -> Unit {
        self.unit
    }

    /// Whether it is written as a fraction.
    pub fn is_fraction(&self) -> bool {
        matches!(self.form, Form::Fraction { .. })
    }

    /// Whether it is a whole number, which leaves open how this list writes parts of one.
    pub fn is_whole(&self) -> bool {
        matches!(self.form, Form::Whole { .. })
    }

    /// This length in the same way, with finer parts where they are needed, and
    /// whether that is exact. Negative lengths are written as zero: no list has them.
    pub fn write(&self, length: Length) -> (String, bool) {
        let length = length.max(Length::ZERO);
        let Some(feet) = &self.feet else {
            let (number, exact) = self.number(length, self.unit);
            return (format!("{number}{}", self.suffix), exact);
        };
        // `3'-0 1/2"`: inches after feet keep their zero.
        let inches = |rest: i64| {
            let (number, exact) = self.number(Length::from_ticks(rest), Unit::Inch);
            let lone = rest < Unit::Inch.ticks() && self.is_fraction() && number != "0";
            let joiner = match &self.form {
                Form::Fraction {
                    joiner: Some(joiner),
                    ..
                } => joiner.as_str(),
                _ => " ",
            };
            if lone && number != "1" {
                (format!("0{joiner}{number}"), exact)
            } else {
                (number, exact)
            }
        };
        let foot = Unit::Foot.ticks();
        let (mut whole, mut rest) = (length.ticks() / foot, length.ticks() % foot);
        let (mut number, mut exact) = inches(rest);
        if number == "12" {
            // Rounded up to a full foot.
            whole += 1;
            rest = 0;
            (number, _) = inches(rest);
            exact = false;
        }
        (
            format!("{whole}{}{number}{}", feet.between, self.suffix),
            exact,
        )
    }

    fn number(&self, length: Length, unit: Unit) -> (String, bool) {
        match &self.form {
            Form::Fraction {
                joiner,
                slash,
                denominator,
            } => fraction(
                length,
                unit,
                *denominator,
                joiner.as_deref().unwrap_or(slash.usual_joiner()),
                *slash,
            ),
            Form::Whole { group } => {
                let whole = length.ticks() % unit.ticks() == 0;
                if !whole && unit.is_imperial() {
                    fraction(length, unit, 16, " ", Slash::Sign('/'))
                } else {
                    decimal(length, unit, 0, DecimalMark::Point, *group)
                }
            }
            Form::Decimal {
                mark,
                places,
                group,
            } => decimal(length, unit, *places, *mark, *group),
        }
    }
}

impl Slash {
    const fn usual_joiner(self) -> &'static str {
        match self {
            Slash::Sign(_) => " ",
            Slash::Glyph | Slash::Raised => "",
        }
    }
}

/// Nearest whole number of `unit / parts` and whether it is exact.
fn nearest(length: Length, unit: Unit, parts: i128) -> (i128, bool) {
    let per_unit = i128::from(unit.ticks());
    let scaled = i128::from(length.ticks()) * parts;
    let count = (scaled + per_unit / 2) / per_unit;
    // Exact also when the figure reads back to the same tick.
    let back = Ratio::new(count, parts).and_then(|r| r.to_length(unit));
    (count, back.is_some_and(|(back, _)| back == length))
}

fn fraction(
    length: Length,
    unit: Unit,
    denominator: i64,
    joiner: &str,
    slash: Slash,
) -> (String, bool) {
    let mut parts = i128::from(denominator.max(1));
    let (mut count, mut exact) = nearest(length, unit, parts);
    if !exact {
        // The coarsest common division of a rule that is exact, else sixty-fourths.
        let finer = [2, 4, 8, 16, 32, 64, FINEST]
            .into_iter()
            .map(i128::from)
            .map(|p| (p, nearest(length, unit, p)))
            .find(|(_, (_, exact))| *exact);
        (parts, (count, exact)) = finer.unwrap_or((64, nearest(length, unit, 64)));
    }
    let (whole, rest) = (count / parts, count % parts);
    let common = common_divisor(rest, parts).max(1);
    let (n, d) = (rest / common, parts / common);
    if n == 0 {
        return (whole.to_string(), exact);
    }
    let sign = i64::try_from(n)
        .ok()
        .zip(i64::try_from(d).ok())
        .and_then(|(n, d)| vulgar_sign(n, d));
    let (figure, joiner) = match (slash, sign) {
        (Slash::Glyph, Some(sign)) => (sign.to_string(), joiner),
        (Slash::Raised, _) => (
            format!("{}\u{2044}{}", scripted(n, RAISED), scripted(d, LOWERED)),
            joiner,
        ),
        // No single sign for sixteenths: a space keeps the parts apart.
        (Slash::Glyph, None) => (
            format!("{n}/{d}"),
            if joiner.is_empty() { " " } else { joiner },
        ),
        (Slash::Sign(sign), _) => (format!("{n}{sign}{d}"), joiner),
    };
    match whole {
        0 => (figure, exact),
        _ => (format!("{whole}{joiner}{figure}"), exact),
    }
}

const RAISED: &str = "⁰¹²³⁴⁵⁶⁷⁸⁹";
const LOWERED: &str = "₀₁₂₃₄₅₆₇₈₉";

fn scripted(value: i128, digits: &str) -> String {
    value
        .to_string()
        .chars()
        .filter_map(|c| digits.chars().nth(c.to_digit(10)? as usize))
        .collect()
}

/// Whether this many of the last decimal miss the length by more than the noise.
fn off(length: Length, count: i128, unit: Unit, places: u32) -> bool {
    Ratio::new(count, 10_i128.pow(places))
        .and_then(|r| r.to_length(unit))
        .is_none_or(|(shown, _)| (shown - length).abs() > SHOWN_NOISE)
}

fn decimal(
    length: Length,
    unit: Unit,
    places: u32,
    mark: DecimalMark,
    group: Option<char>,
) -> (String, bool) {
    let mut used = places.min(9);
    let mut found = nearest(length, unit, 10_i128.pow(used));
    // More decimals where they make it exact, as in 34.5 to 34.4375; else until
    // nothing is left that anyone measures.
    let exact = (used + 1..=6).find(|more| nearest(length, unit, 10_i128.pow(*more)).1);
    while !found.1 && used < 6 && (exact.is_some() || off(length, found.0, unit, used)) {
        used += 1;
        found = nearest(length, unit, 10_i128.pow(used));
    }
    let figure = decimals(found.0, used, mark.char());
    let Some(group) = group else {
        return (figure, found.1);
    };
    let (whole, rest) = match figure.split_once(mark.char()) {
        Some((whole, rest)) => (whole, format!("{}{rest}", mark.char())),
        None => (figure.as_str(), String::new()),
    };
    let mut grouped = String::new();
    for (at, c) in whole.chars().enumerate() {
        if at > 0 && (whole.len() - at) % 3 == 0 {
            grouped.push(group);
        }
        grouped.push(c);
    }
    (format!("{grouped}{rest}"), found.1)
}
