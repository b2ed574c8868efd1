//! Numbers as DXF writes them. A drawing of 150 MB holds millions, so the
//! common short decimal takes a path of its own that is exact all the same.

/// Powers of ten that a double holds exactly.
const POWERS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16,
    1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
];

/// Those that a `u64` holds.
#[allow(clippy::indexing_slicing)] // checked when it is compiled
const TENS: [u64; 20] = {
    let mut tens = [1; 20];
    let mut at = 1;
    while at < tens.len() {
        tens[at] = 10 * tens[at - 1];
        at += 1;
    }
    tens
};

/// A decimal number with blanks around it. NaN and infinities are no numbers.
pub fn real(bytes: &[u8]) -> Option<f64> {
    let bytes = bytes.trim_ascii();
    // More than 19 characters may be more digits than the quick way takes.
    let quick = if bytes.len() <= 19 {
        quick(bytes)
    } else {
        None
    };
    quick.or_else(|| slow(bytes))
}

/// Mantissa below 2^53 and a power of ten that is exact: one correctly
/// rounded division gives the correctly rounded value (Clinger 1990). Larger mantissas
/// are divided as whole numbers.
fn quick(bytes: &[u8]) -> Option<f64> {
    let (negative, digits) = match bytes.split_first() {
        Some((b'-', rest)) => (true, rest),
        _ => (false, bytes),
    };
    // Nineteen digits at most never overflow.
    let (mantissa, decimals) = match digits.first_chunk() {
        Some(first) => long(digits, *first),
        None => short(digits),
    }?;
    let value = if mantissa >> 53 == 0 {
        #[allow(clippy::cast_precision_loss)] // below 2^53
        let mantissa = mantissa as f64;
        mantissa / POWERS.get(decimals)?
    } else {
        divided(mantissa, decimals)?
    };
    Some(if negative { -value } else { value })
}

/// The digits of fewer than eight characters, and how many stand behind the point.
fn short(digits: &[u8]) -> Option<(u64, usize)> {
    let mut mantissa: u64 = 0;
    let mut decimals = None;
    for (at, &b) in digits.iter().enumerate() {
        let digit = b.wrapping_sub(b'0');
        if digit <= 9 {
            mantissa = mantissa * 10 + u64::from(digit);
        } else if b == b'.' && decimals.is_none() {
            decimals = Some(digits.len() - at - 1);
        } else {
            return None;
        }
    }
    (digits.len() > usize::from(decimals.is_some())).then_some((mantissa, decimals.unwrap_or(0)))
}

/// As [`short`], of eight characters and more that have a point after fewer than eight digits:
/// eight digits at a time, whatever their number, so that there is nothing to guess wrong.
fn long(digits: &[u8], first: [u8; 8]) -> Option<(u64, usize)> {
    let first = u64::from_le_bytes(first);
    let others = not_digits(first);
    let before = others.trailing_zeros() / 8;
    if before == 8 || first >> (8 * before) & 0xff != u64::from(b'.') {
        return None;
    }
    let mut mantissa = last_digits(first << (8 * (7 - before)) << 8, before)?;
    let decimals = digits.get(before as usize + 1..)?;
    let mut rest = decimals;
    while let Some((chunk, after)) = rest.split_first_chunk() {
        mantissa = mantissa * 100_000_000 + eight_digits(u64::from_le_bytes(*chunk))?;
        rest = after;
    }
    if !rest.is_empty() {
        let count = rest.len();
        let last = u64::from_le_bytes(*digits.last_chunk()?);
        mantissa = mantissa * TENS.get(count)? + last_digits(last, count as u32)?;
    }
    Some((mantissa, decimals.len()))
}

/// The number that the last so many of eight characters make, fewer than eight.
fn last_digits(word: u64, count: u32) -> Option<u64> {
    let kept = !(u64::MAX >> (8 * count));
    eight_digits((word & kept) | (NOUGHTS & !kept))
}

const EACH: u64 = 0x0101_0101_0101_0101;
const NOUGHTS: u64 = 0x30 * EACH;
const UPPER_HALVES: u64 = 0xf0 * EACH;

/// Marks in the bytes that are no digits; above the first one marks may be wrong.
fn not_digits(word: u64) -> u64 {
    // The upper halves are those of digits, also with six added to the lower.
    let upper = |word: u64| (word & UPPER_HALVES) ^ NOUGHTS;
    upper(word) | upper(word.wrapping_add(6 * EACH))
}

/// A whole number other than nought divided by a power of ten: a quotient of more bits than
/// a double has, its last one set where something is left, rounds as the exact value.
fn divided(number: u64, decimals: usize) -> Option<f64> {
    let power = u128::from(*TENS.get(decimals)?);
    let shift = u128::from(number).leading_zeros();
    let scaled = u128::from(number) << shift;
    let whole = scaled / power;
    let quotient = whole | u128::from(whole * power != scaled);
    let unit = f64::from_bits(u64::from(1023 - shift) << 52);
    #[allow(clippy::cast_precision_loss)] // rounded once, here
    let rounded = quotient as f64;
    Some(rounded * unit)
}

/// The number that eight digits make, in three multiplications (Lemire, "Number parsing
/// at a gigabyte per second", 2021).
fn eight_digits(bytes: u64) -> Option<u64> {
    if not_digits(bytes) != 0 {
        return None;
    }
    let digits = bytes - NOUGHTS;
    // Pairs, then fours, then all.
    let pairs = digits * 10 + (digits >> 8);
    let low = 0x0000_00ff_0000_00ff;
    let fours = (pairs & low).wrapping_mul(100 + (1_000_000 << 32));
    let others = (pairs >> 16 & low).wrapping_mul(1 + (10_000 << 32));
    Some(fours.wrapping_add(others) >> 32)
}

fn slow(bytes: &[u8]) -> Option<f64> {
    let value: f64 = match fast_float2::parse(bytes) {
        Ok(value) => value,
        // Some writers use the exponent letter D of older languages.
        Err(_) => {
            let d = bytes.iter().position(|b| matches!(b, b'd' | b'D'))?;
            let mut bytes = bytes.to_vec();
            *bytes.get_mut(d)? = b'e';
            fast_float2::parse(&bytes).ok()?
        }
    };
    value.is_finite().then_some(value)
}

/// A whole number with blanks around it; `70.0` counts as 70.
pub fn integer(bytes: &[u8]) -> Option<i64> {
    let bytes = bytes.trim_ascii();
    let (negative, digits) = match bytes.split_first() {
        Some((b'-', rest)) => (true, rest),
        Some((b'+', rest)) => (false, rest),
        _ => (false, bytes),
    };
    if digits.is_empty() {
        return None;
    }
    let mut value: i64 = 0;
    for &b in digits {
        let digit = b.wrapping_sub(b'0');
        if digit > 9 {
            return whole(real(bytes)?);
        }
        value = value.checked_mul(10)?.checked_add(i64::from(digit))?;
    }
    Some(if negative { -value } else { value })
}

/// A float that is a whole number within the range a double holds exactly.
pub fn whole(value: f64) -> Option<i64> {
    #[allow(clippy::cast_possible_truncation)] // checked
    (value.fract() == 0.0 && value.abs() < 9e15).then_some(value as i64)
}

/// A handle, hexadecimal.
pub fn handle(bytes: &[u8]) -> Option<u64> {
    let bytes = bytes.trim_ascii();
    if bytes.is_empty() || bytes.len() > 16 {
        return None;
    }
    bytes.iter().try_fold(0, |value, &b| {
        Some(value << 4 | u64::from(char::from(b).to_digit(16)?))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn reads_what_programs_write() {
        for (text, value) in [
            ("0", 0.0),
            ("-0.0", 0.0),
            ("  34.5  ", 34.5),
            ("34.", 34.0),
            (".5", 0.5),
            ("+1.5", 1.5),
            ("1.25E+02", 125.0),
            ("1.25D+02", 125.0),
            ("-1e-3", -0.001),
            ("9007199254740993", 9_007_199_254_740_992.0),
        ] {
            assert_eq!(real(text.as_bytes()), Some(value), "{text}");
        }
    }

    #[test]
    fn refuses_what_is_no_number() {
        for text in [
            "", "-", ".", "12,5", "1e999", "NaN", "inf", "0x10", "1.2.3", "١",
        ] {
            assert_eq!(real(text.as_bytes()), None, "{text}");
        }
    }

    #[test]
    fn whole_numbers() {
        assert_eq!(integer(b"     7"), Some(7));
        assert_eq!(integer(b"-7 "), Some(-7));
        assert_eq!(integer(b"70.0"), Some(70));
        assert_eq!(integer(b"70.5"), None);
        assert_eq!(integer(b""), None);
        assert_eq!(integer(b"99999999999999999999"), None);
        assert_eq!(handle(b" 1F "), Some(31));
        assert_eq!(handle(b"xyz"), None);
    }

    #[test]
    fn digits_and_points_wherever_they_stand() {
        // Every place of the point, every length, and every character put in.
        for length in 1..=19_usize {
            let digits: String = "9071625348190726351".chars().take(length).collect();
            for point in 0..=length {
                let (head, tail) = digits.split_at(point);
                let text = format!("{head}.{tail}");
                assert_eq!(real(text.as_bytes()), text.parse().ok(), "{text}");
                for (at, odd) in
                    (0..text.len()).flat_map(|at| ["/", ":", "-", ".", " "].map(|c| (at, c)))
                {
                    let mut text = text.clone();
                    text.replace_range(at..=at, odd);
                    let want = text.trim().parse::<f64>().ok();
                    assert_eq!(real(text.as_bytes()), want, "{text}");
                }
            }
            assert_eq!(real(digits.as_bytes()), digits.parse().ok(), "{digits}");
        }
    }

    proptest! {
        #[test]
        fn agrees_with_the_standard_library(value in proptest::num::f64::NORMAL, digits in 0_usize..17) {
            let many = format!("{:.*}", digits, value % 1e9);
            for text in [format!("{value}"), format!("{:.*}", digits, value % 1e6), format!("{value:e}"), many] {
                prop_assert_eq!(real(text.as_bytes()), text.parse::<f64>().ok());
            }
        }
    }
}
