//! Sizes as a person reads them: inches as fractions, `34 1/2 in`; metric in
//! millimetres, `876.3 mm`.

use crate::audit::Job;
use crate::length::{Length, Unit};

/// Prints sizes in the unit of a job.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Printer {
    imperial: bool,
}

impl Printer {
    pub const INCHES: Printer = Printer { imperial: true };
    pub const MILLIMETRES: Printer = Printer { imperial: false };

    /// The unit most sizes of the lists are written in; without a list, that of
    /// the drawing.
    pub fn of(job: &Job) -> Self {
        let cells = || {
            job.lists
                .iter()
                .flat_map(|list| &list.rows)
                .flat_map(|row| &row.sizes)
        };
        let total = cells().count();
        let imperial = cells().filter(|cell| cell.unit.is_imperial()).count();
        Printer {
            imperial: if total > 0 {
                2 * imperial >= total
            } else {
                job.sheets.iter().any(drawn_in_inches)
            },
        }
    }

    pub const fn is_imperial(self) -> bool {
        self.imperial
    }

    /// `34 1/2 in`, `876.3 mm`.
    pub fn size(self, length: Length) -> String {
        if self.imperial {
            format!("{} in", inches(length))
        } else {
            format!("{} mm", millimetres(length))
        }
    }

    /// With its sign, for a difference: `+1/8 in`, `-3.2 mm`.
    pub fn difference(self, length: Length) -> String {
        if length > Length::ZERO {
            format!("+{}", self.size(length))
        } else {
            self.size(length)
        }
    }

    /// Without the unit, for drawings and tables that name it once.
    pub fn bare(self, length: Length) -> String {
        if self.imperial {
            inches(length)
        } else {
            millimetres(length)
        }
    }

    /// "inches", "millimetres".
    pub const fn unit_word(self) -> &'static str {
        if self.imperial {
            "inches"
        } else {
            "millimetres"
        }
    }

    /// The unit's abbreviation.
    pub const fn unit(self) -> &'static str {
        if self.imperial { "in" } else { "mm" }
    }
}

fn drawn_in_inches(sheet: &crate::drawing::Sheet) -> bool {
    sheet
        .evidence
        .iter()
        .any(|evidence| matches!(evidence, crate::drawing::Evidence::InsUnits(1 | 2)))
}

/// What a drawn distance may miss a fraction by and still be printed as it:
/// 0.0005 in, the rounding of a drawing kept to three decimals.
const NEAR: i64 = Length::TICKS_PER_INCH / 2000;

fn inches(length: Length) -> String {
    const DENOMINATOR: i64 = 64;
    let ticks = length.ticks().saturating_abs();
    let sign = if length.ticks() < 0 { "-" } else { "" };
    // Exact to 1/128 as lists may write it, else the nearest 1/64 when near.
    let (count, denominator) = if ticks % (Length::TICKS_PER_INCH / 128) == 0 {
        (ticks / (Length::TICKS_PER_INCH / 128), 128)
    } else {
        let step = Length::TICKS_PER_INCH / DENOMINATOR;
        let count = (ticks + step / 2) / step;
        if count == 0 || (ticks - count * step).abs() > NEAR {
            return format!("{sign}{}", decimals(ticks, Length::TICKS_PER_INCH, 4));
        }
        (count, DENOMINATOR)
    };
    let (whole, part) = (count / denominator, count % denominator);
    let shift = part.trailing_zeros().min(7);
    let (part, denominator) = (part >> shift, denominator >> shift);
    match (whole, part) {
        (_, 0) => format!("{sign}{whole}"),
        (0, _) => format!("{sign}{part}/{denominator}"),
        _ => format!("{sign}{whole} {part}/{denominator}"),
    }
}

fn millimetres(length: Length) -> String {
    let sign = if length.ticks() < 0 { "-" } else { "" };
    let text = decimals(length.ticks().saturating_abs(), Length::TICKS_PER_MM, 3);
    format!("{sign}{text}")
}

/// A quotient rounded to so many decimals, without trailing zeros.
fn decimals(ticks: i64, unit: i64, places: u32) -> String {
    let factor = 10_i128.pow(places);
    let scaled = (i128::from(ticks) * factor * 2 + i128::from(unit)) / (2 * i128::from(unit));
    let (whole, part) = (scaled / factor, scaled % factor);
    if part == 0 {
        return whole.to_string();
    }
    let part = format!("{part:0width$}", width = places as usize);
    format!("{whole}.{}", part.trim_end_matches('0'))
}

/// Reads a plain size of the command line: `1/32`, `34 1/2 in`, `0.8mm`.
pub fn parse(text: &str, default: Unit) -> Option<Length> {
    let text = text.trim();
    let (number, unit) = [
        ("mm", Unit::Millimetre),
        ("cm", Unit::Centimetre),
        ("in", Unit::Inch),
        ("ft", Unit::Foot),
        ("m", Unit::Metre),
        ("\"", Unit::Inch),
        ("'", Unit::Foot),
    ]
    .into_iter()
    .find_map(|(suffix, unit)| Some((text.strip_suffix(suffix)?.trim_end(), unit)))
    .unwrap_or((text, default));
    let fraction = |text: &str| {
        let (top, bottom) = text.split_once('/')?;
        let (top, bottom): (u32, u32) = (top.trim().parse().ok()?, bottom.trim().parse().ok()?);
        (bottom > 0).then(|| f64::from(top) / f64::from(bottom))
    };
    let decimal = |text: &str| {
        let plain = text
            .bytes()
            .all(|byte| byte.is_ascii_digit() || byte == b'.');
        text.parse::<f64>().ok().filter(|_| plain)
    };
    let value = match number.split_once(' ') {
        Some((whole, part)) => f64::from(whole.parse::<u32>().ok()?) + fraction(part)?,
        None => fraction(number).or_else(|| decimal(number))?,
    };
    Length::from_mm(value * unit.mm())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn inch(count: i64, denominator: i64) -> Length {
        Length::from_ticks(count * Length::TICKS_PER_INCH / denominator)
    }

    #[test]
    fn inches_are_fractions() {
        let print = |length| Printer::INCHES.size(length);
        assert_eq!(print(inch(69, 2)), "34 1/2 in");
        assert_eq!(print(inch(1, 128)), "1/128 in");
        assert_eq!(print(inch(-3, 16)), "-3/16 in");
        assert_eq!(print(inch(34, 1)), "34 in");
        assert_eq!(print(Length::ZERO), "0 in");
    }

    #[test]
    fn a_drawing_kept_to_three_decimals_still_reads_as_a_fraction() {
        // 23.281 in for 23 9/32.
        let drawn = Length::from_mm(23.281 * 25.4).unwrap();
        assert_eq!(Printer::INCHES.size(drawn), "23 9/32 in");
        let off = Length::from_mm(23.29 * 25.4).unwrap();
        assert_eq!(Printer::INCHES.size(off), "23.29 in");
    }

    #[test]
    fn a_tiny_difference_is_not_printed_as_nothing() {
        assert_eq!(
            Printer::INCHES.difference(Length::from_ticks(600)),
            "+0.0003 in"
        );
    }

    #[test]
    fn millimetres_have_no_noise() {
        let print = |mm| Printer::MILLIMETRES.size(Length::from_mm(mm).unwrap());
        assert_eq!(print(876.3), "876.3 mm");
        assert_eq!(print(720.0), "720 mm");
        assert_eq!(print(-0.8), "-0.8 mm");
        assert_eq!(print(18.000_000_1), "18 mm");
    }
}
