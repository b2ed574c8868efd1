//! Slips in writing: digits the wrong way round, a fraction that slipped.

use super::super::fit::cell_at;
use super::{Figure, Found, Ground};
use crate::audit::types::CauseKind;
use crate::length::Length;

pub(super) fn test(ground: &Ground<'_>, figure: &Figure<'_>, out: &mut Vec<Found>) {
    if figure.check.is_none() {
        return;
    }
    let show = ground.bench.show;
    let imperial = figure.is_imperial(ground.bench);
    let (listed, wanted) = figure.written();
    // What the hand had before it slipped: the size to the step of its list.
    let rounded = to_step(wanted, figure.slack * 2);
    let swapped = if imperial {
        swapped_inches(rounded)
    } else {
        swapped_millimetres(rounded)
    };
    if hits(figure, &swapped) {
        out.push(
            Found::new(
                CauseKind::Transposed,
                3.0,
                figure.chance(competing(figure, &swapped)),
                format!(
                    "two digits changed places: {} for {}.",
                    show.size(listed),
                    show.size(wanted)
                ),
            )
            .because("the same digits in another order".to_owned()),
        );
    }
    if !imperial {
        return;
    }
    let slipped = slipped_fractions(rounded, figure.slack);
    let damaged = damaged_form(ground, figure);
    if hits(figure, &slipped) || damaged {
        let chance = if damaged {
            1e-3
        } else {
            figure.chance(competing(figure, &slipped))
        };
        out.push(
            Found::new(
                CauseKind::SlippedFraction,
                2.0,
                chance,
                format!(
                    "the fraction slipped: {} for {}.",
                    show.size(listed),
                    show.size(wanted)
                ),
            )
            .because(if damaged {
                format!(
                    "the cell as written may be what is left of {}",
                    show.size(wanted)
                )
            } else {
                "the whole inches are right".to_owned()
            }),
        );
    }
}

/// A slip of the pen keeps the figure's other digits: 0.002 in.
const EXACT: Length = Length::from_ticks(Length::TICKS_PER_INCH / 500);

fn to_step(length: Length, step: Length) -> Length {
    let step = step.ticks().max(1);
    Length::from_ticks((length.ticks() + step / 2).div_euclid(step) * step)
}

/// Values are as written, without edge band.
fn hits(figure: &Figure<'_>, values: &[Length]) -> bool {
    let (listed, _) = figure.written();
    values
        .iter()
        .any(|value| (listed - *value).abs() <= EXACT.min(figure.slack))
}

fn competing(figure: &Figure<'_>, values: &[Length]) -> usize {
    let mut near: Vec<Length> = values
        .iter()
        .copied()
        .filter(|value| figure.competes(*value + figure.band))
        .collect();
    near.sort_unstable();
    near.dedup();
    near.len()
}

/// True when the list's reader already saw that the cell may be a damaged form
/// of the right size.
fn damaged_form(ground: &Ground<'_>, figure: &Figure<'_>) -> bool {
    figure
        .check
        .and_then(|check| cell_at(ground.bench.rows.get(check.row)?, check.size))
        .is_some_and(|cell| {
            cell.detail
                .alternatives
                .iter()
                .any(|other| (other.length - figure.wanted + figure.band).abs() <= figure.slack)
        })
}

/// Every number that comes of swapping two neighbouring digits.
fn swapped_digits(number: i64) -> Vec<i64> {
    let digits: Vec<u8> = number.to_string().into_bytes();
    let mut out = Vec::new();
    for at in 1..digits.len() {
        // Nobody writes 03 for 30.
        let leading_nought = at == 1 && digits[at] == b'0';
        if digits[at - 1] != digits[at] && !leading_nought {
            let mut other = digits.clone();
            other.swap(at - 1, at);
            if let Some(value) = String::from_utf8(other).ok().and_then(|t| t.parse().ok()) {
                out.push(value);
            }
        }
    }
    out
}

/// Whole inches swapped, the fraction kept.
fn swapped_inches(wanted: Length) -> Vec<Length> {
    let whole = wanted.ticks() / Length::TICKS_PER_INCH;
    let rest = wanted.ticks() % Length::TICKS_PER_INCH;
    if wanted.ticks() <= 0 {
        return Vec::new();
    }
    swapped_digits(whole)
        .into_iter()
        .map(|whole| Length::from_ticks(whole * Length::TICKS_PER_INCH + rest))
        .collect()
}

/// Millimetres as written: with one decimal unless they are whole.
fn swapped_millimetres(wanted: Length) -> Vec<Length> {
    if wanted.ticks() <= 0 {
        return Vec::new();
    }
    let tenth = Length::TICKS_PER_MM / 10;
    let tenths = (wanted.ticks() + tenth / 2) / tenth;
    let mut out: Vec<Length> = swapped_digits(tenths / 10)
        .into_iter()
        .map(|whole| Length::from_ticks((whole * 10 + tenths % 10) * tenth))
        .collect();
    if tenths % 10 != 0 {
        out.extend(
            swapped_digits(tenths)
                .into_iter()
                .map(|tenths| Length::from_ticks(tenths * tenth)),
        );
    }
    out
}

/// The same inches with the fraction dropped, its numerator under another
/// usual denominator, or run together with the whole inches (3 1/2 as 31/2).
fn slipped_fractions(wanted: Length, slack: Length) -> Vec<Length> {
    let inch = Length::TICKS_PER_INCH;
    let (whole, rest) = (wanted.ticks() / inch, wanted.ticks() % inch);
    let Some((over, under)) = [2i64, 4, 8, 16, 32]
        .into_iter()
        .map(|under| ((rest * under + inch / 2) / inch, under))
        .find(|(over, under)| {
            *over > 0 && over < under && (rest - over * inch / under).abs() <= slack.ticks() / 2
        })
    else {
        return Vec::new();
    };
    let mut out = vec![Length::from_ticks(whole * inch)];
    for other in [2, 4, 8, 16, 32] {
        if other != under && over < other {
            out.push(Length::from_ticks(whole * inch + over * inch / other));
        }
    }
    if (1..1000).contains(&whole) {
        let shift = if over < 10 { 10 } else { 100 };
        out.push(Length::from_ticks((whole * shift + over) * inch / under));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn inches(value: f64) -> Length {
        Length::from_mm(value * 25.4).unwrap()
    }

    #[test]
    fn digits_swap_within_the_whole_inches() {
        assert_eq!(swapped_inches(inches(34.5)), [inches(43.5)]);
        assert!(swapped_inches(inches(33.0)).is_empty());
        assert!(swapped_inches(inches(30.5)).is_empty());
        let mm = |value: f64| Length::from_mm(value).unwrap();
        assert_eq!(swapped_millimetres(mm(564.0)), [mm(654.0), mm(546.0)]);
        assert!(swapped_millimetres(mm(876.3)).contains(&mm(873.6)));
    }

    #[test]
    fn fractions_slip() {
        let found = slipped_fractions(inches(3.5), inches(1.0 / 64.0));
        assert!(found.contains(&inches(3.0)));
        assert!(found.contains(&inches(3.25)));
        // 3 1/2 run together reads 31/2
        assert!(found.contains(&inches(15.5)));
        assert!(slipped_fractions(inches(3.0), inches(1.0 / 64.0)).is_empty());
    }
}
