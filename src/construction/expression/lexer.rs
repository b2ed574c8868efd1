//! Text to tokens. A fraction written without spaces (`1/4`, `34 1/2`) is one
//! number, so that a unit behind it belongs to all of it.

use super::{ExpressionError, MOST_TOKENS, Operator};
use crate::construction::number::Ratio;
use crate::length::Unit;

#[derive(Clone, Debug, PartialEq)]
pub(super) enum Token {
    Number {
        value: Ratio,
        unit: Option<Unit>,
        text: String,
    },
    Name(String),
    Operator(Operator),
    Open,
    Close,
    Equals,
}

pub(super) fn tokens(text: &str) -> Result<Vec<(Token, usize)>, ExpressionError> {
    let mut found: Vec<(Token, usize)> = Vec::new();
    let mut rest = text;
    loop {
        rest = rest.trim_start();
        let at = text.len() - rest.len();
        let Some(first) = rest.chars().next() else {
            return Ok(found);
        };
        if found.len() >= MOST_TOKENS {
            return Err(error(
                at,
                format!("the expression is longer than {MOST_TOKENS} numbers, names and signs"),
            ));
        }
        let single = match first {
            '+' => Some(Token::Operator(Operator::Plus)),
            '-' | '\u{2212}' | '\u{2013}' => Some(Token::Operator(Operator::Minus)),
            '*' | '\u{d7}' => Some(Token::Operator(Operator::Times)),
            '/' | '\u{f7}' => Some(Token::Operator(Operator::Over)),
            '(' => Some(Token::Open),
            ')' => Some(Token::Close),
            '=' => Some(Token::Equals),
            _ => None,
        };
        let (token, length) = if let Some(token) = single {
            (token, first.len_utf8())
        } else if first.is_ascii_digit() || first == '.' {
            number(rest, at)?
        } else if first.is_ascii_alphabetic() {
            let length = name_length(rest);
            let name = rest.get(..length).unwrap_or_default().to_ascii_lowercase();
            (Token::Name(name), length)
        } else {
            return Err(error(at, format!("`{first}` means nothing here")));
        };
        found.push((token, at));
        rest = rest.get(length..).unwrap_or_default();
    }
}

fn error(at: usize, message: String) -> ExpressionError {
    ExpressionError { at, message }
}

/// Letters and digits, joined by dots and hyphens that stand before a letter.
fn name_length(text: &str) -> usize {
    let bytes = text.as_bytes();
    let mut length = 0;
    while let Some(&byte) = bytes.get(length) {
        let joins = matches!(byte, b'.' | b'-')
            && bytes
                .get(length + 1)
                .is_some_and(|next| next.is_ascii_alphabetic());
        if !(byte.is_ascii_alphanumeric() || byte == b'_' || joins) {
            break;
        }
        length += 1;
    }
    length
}

fn digits(text: &str) -> usize {
    text.bytes().take_while(u8::is_ascii_digit).count()
}

fn whole(text: &str, at: usize) -> Result<i128, ExpressionError> {
    // 18 digits keep every later product well inside i128.
    if text.len() > 18 {
        return Err(error(at, format!("`{text}` has too many digits")));
    }
    text.parse()
        .map_err(|_| error(at, format!("`{text}` is not a number")))
}

fn number(text: &str, at: usize) -> Result<(Token, usize), ExpressionError> {
    let (value, mut length) = bare_number(text, at)?;
    let after = text.get(length..).unwrap_or_default();
    if after.starts_with([',', '.']) || after.starts_with('\u{2044}') {
        return Err(error(
            at,
            "numbers here are written with a decimal point or as a fraction: `18.5`, `18 1/2`"
                .to_owned(),
        ));
    }
    let spaces = after.len() - after.trim_start().len();
    let word = after.trim_start();
    let (unit, unit_length) = if word.starts_with(['"', '\u{2033}', '\u{201d}']) {
        (
            Some(Unit::Inch),
            word.chars().next().map_or(0, char::len_utf8),
        )
    } else if word.starts_with(|c: char| c.is_ascii_alphabetic()) {
        let unit_length = name_length(word);
        let unit = word.get(..unit_length).unwrap_or_default();
        (unit_by_word(unit, at)?, unit_length)
    } else {
        (None, 0)
    };
    if unit.is_some() {
        length += spaces + unit_length;
    }
    let written = text.get(..length).unwrap_or_default().to_owned();
    let token = Token::Number {
        value,
        unit,
        text: written,
    };
    Ok((token, length))
}

fn unit_by_word(word: &str, at: usize) -> Result<Option<Unit>, ExpressionError> {
    Ok(Some(match word.to_ascii_lowercase().as_str() {
        "in" | "inch" | "inches" => Unit::Inch,
        "ft" | "foot" | "feet" => Unit::Foot,
        "mm" => Unit::Millimetre,
        "cm" => Unit::Centimetre,
        "m" => Unit::Metre,
        other => {
            return Err(error(
                at,
                format!(
                    "`{other}` after a number is not a unit; write in, ft, mm, cm or m, \
                     or `*` between a number and a name"
                ),
            ));
        }
    }))
}

fn bare_number(text: &str, at: usize) -> Result<(Ratio, usize), ExpressionError> {
    let first = digits(text);
    let after = text.get(first..).unwrap_or_default();
    if let Some(decimals) = after.strip_prefix('.') {
        let places = digits(decimals);
        if first + places == 0 || places == 0 {
            return Err(error(at, "a decimal point needs digits behind it".into()));
        }
        let (Some(before), Some(behind)) = (text.get(..first), decimals.get(..places)) else {
            return Err(error(at, "not a number".to_owned()));
        };
        let value = whole(&format!("{before}{behind}"), at)?;
        let scale = u32::try_from(places)
            .ok()
            .and_then(|places| 10_i128.checked_pow(places));
        let value = scale.and_then(|scale| Ratio::new(value, scale));
        return value
            .map(|value| (value, first + 1 + places))
            .ok_or_else(|| error(at, "the number has too many digits".to_owned()));
    }
    let leading = whole(text.get(..first).unwrap_or_default(), at)?;
    if let Some((value, length)) = fraction(text, at)? {
        let (over, under) = (value.0, value.1);
        // A stacked fraction that lost its space in copying reads like this.
        if over > under && [2, 4, 8, 16, 32, 64, 128].contains(&under) {
            let written = text.get(..length).unwrap_or_default();
            return Err(error(
                at,
                format!(
                    "`{written}` may be a mixed number that lost its space; \
                     write it as a mixed number or a decimal"
                ),
            ));
        }
        return ratio(over, under, at).map(|value| (value, length));
    }
    if let Some(behind) = after.strip_prefix('-')
        && fraction(behind, at)?.is_some()
    {
        return Err(error(
            at,
            "a mixed number is written with a space (`34 1/2`), a subtraction with spaces \
             around its sign (`34 - 1/2`)"
                .to_owned(),
        ));
    }
    // A mixed number: whole, blanks, then a fraction below one.
    let joined = after.trim_start();
    let gap = after.len() - joined.len();
    if gap > 0
        && joined.starts_with(|c: char| c.is_ascii_digit())
        && let Some((value, length)) = fraction(joined, at)?
    {
        let part = ratio(value.0, value.1, at)?;
        if value.0 >= value.1 {
            return Err(error(
                at,
                "the fraction of a mixed number must be below one".to_owned(),
            ));
        }
        return Ratio::whole(leading)
            .plus(part)
            .map(|value| (value, first + gap + length))
            .ok_or_else(|| error(at, "the number is too large".to_owned()));
    }
    Ok((Ratio::whole(leading), first))
}

fn ratio(over: i128, under: i128, at: usize) -> Result<Ratio, ExpressionError> {
    Ratio::new(over, under).ok_or_else(|| error(at, "a fraction over zero".to_owned()))
}

/// Over, under, and the bytes they take.
type Fraction = ((i128, i128), usize);

/// Digits, slash, digits, without spaces.
fn fraction(text: &str, at: usize) -> Result<Option<Fraction>, ExpressionError> {
    let over = digits(text);
    let Some(after) = text.get(over..).and_then(|rest| rest.strip_prefix('/')) else {
        return Ok(None);
    };
    let under = digits(after);
    if over == 0 || under == 0 {
        return Ok(None);
    }
    // `1/2.5` is a division by a decimal, not a fraction.
    if after.get(under..).is_some_and(|rest| rest.starts_with('.')) {
        return Ok(None);
    }
    let value = (
        whole(text.get(..over).unwrap_or_default(), at)?,
        whole(after.get(..under).unwrap_or_default(), at)?,
    );
    Ok(Some((value, over + 1 + under)))
}
