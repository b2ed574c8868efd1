//! Characters of a size to tokens, with the many signs people and programs use
//! for one thing brought together.

use super::Unit;
use std::ops::Range;

#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Token {
    /// Digits with `.` and `,` between or before them.
    Number {
        text: String,
        script: Script,
    },
    /// `½`: numerator and denominator.
    Vulgar(i64, i64),
    Slash(char),
    Hyphen,
    Space,
    Unit(Unit),
    /// Letters that are no unit.
    Word(String),
    Other(char),
}

/// Raised and lowered digits tell numerator and denominator apart from a whole
/// number standing right before them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Script {
    Plain,
    Raised,
    Lowered,
}

/// A token and the bytes it stands for.
pub(super) type Spanned = (Token, Range<usize>);

/// Longest text worth reading as a size; real cells are far shorter.
pub(super) const LONGEST: usize = 80;

pub(super) fn scan(text: &str) -> Vec<Spanned> {
    let mut tokens: Vec<Spanned> = Vec::new();
    let mut rest = text.char_indices().peekable();
    while let Some((start, c)) = rest.next() {
        let mut end = start + c.len_utf8();
        let starts_decimal = |next: Option<&(usize, char)>| {
            (c == '.' || c == ',') && next.is_some_and(|(_, n)| n.is_ascii_digit())
        };
        let token = if c.is_ascii_digit() || starts_decimal(rest.peek()) {
            while let Some(&(at, next)) = rest.peek() {
                let mut ahead = rest.clone();
                ahead.next();
                let digit_after = ahead.peek().is_some_and(|(_, n)| n.is_ascii_digit());
                if next.is_ascii_digit() || ((next == '.' || next == ',') && digit_after) {
                    end = at + next.len_utf8();
                    rest.next();
                } else if next == '.' && !text.get(start..end).is_some_and(|t| t.contains('.')) {
                    // `34.` is how some programs write whole numbers; a second
                    // point would be a full stop after a decimal.
                    end = at + 1;
                    rest.next();
                    break;
                } else {
                    break;
                }
            }
            Token::Number {
                text: text.get(start..end).unwrap_or("").to_owned(),
                script: Script::Plain,
            }
        } else if let Some((digit, script)) = scripted(c) {
            let mut digits = String::from(digit);
            while let Some(&(at, next)) = rest.peek() {
                let Some((digit, _)) = scripted(next).filter(|(_, s)| *s == script) else {
                    break;
                };
                digits.push(digit);
                end = at + next.len_utf8();
                rest.next();
            }
            Token::Number {
                text: digits,
                script,
            }
        } else if let Some((n, d)) = vulgar(c) {
            Token::Vulgar(n, d)
        } else if c == '\u{215F}' {
            // "fraction numerator one": the sign holds `1/`.
            tokens.push((
                Token::Number {
                    text: "1".to_owned(),
                    script: Script::Raised,
                },
                start..start,
            ));
            Token::Slash('\u{2044}')
        } else if is_slash(c) {
            Token::Slash(c)
        } else if is_hyphen(c) {
            Token::Hyphen
        } else if is_space(c) {
            while let Some(&(at, next)) = rest.peek() {
                if !is_space(next) {
                    break;
                }
                end = at + next.len_utf8();
                rest.next();
            }
            Token::Space
        } else if is_foot_mark(c) {
            // Two single marks are how a typewriter makes an inch mark.
            if let Some(&(at, next)) = rest.peek().filter(|(_, n)| is_foot_mark(*n)) {
                end = at + next.len_utf8();
                rest.next();
                Token::Unit(Unit::Inch)
            } else {
                Token::Unit(Unit::Foot)
            }
        } else if is_inch_mark(c) {
            Token::Unit(Unit::Inch)
        } else if c.is_alphabetic() {
            while let Some(&(at, next)) = rest.peek() {
                if !(next.is_alphabetic() || next == '.') {
                    break;
                }
                end = at + next.len_utf8();
                rest.next();
            }
            let word = text.get(start..end).unwrap_or("");
            match Unit::from_word(word) {
                Some(unit) => Token::Unit(unit),
                None => Token::Word(word.to_owned()),
            }
        } else {
            Token::Other(c)
        };
        tokens.push((token, start..end));
    }
    tokens
}

fn scripted(c: char) -> Option<(char, Script)> {
    let raised = "⁰¹²³⁴⁵⁶⁷⁸⁹".chars().position(|r| r == c);
    let lowered = "₀₁₂₃₄₅₆₇₈₉".chars().position(|l| l == c);
    let (value, script) = match (raised, lowered) {
        (Some(value), _) => (value, Script::Raised),
        (_, Some(value)) => (value, Script::Lowered),
        _ => return None,
    };
    char::from_digit(u32::try_from(value).ok()?, 10).map(|digit| (digit, script))
}

fn vulgar(c: char) -> Option<(i64, i64)> {
    Some(match c {
        '¼' => (1, 4),
        '½' => (1, 2),
        '¾' => (3, 4),
        '⅐' => (1, 7),
        '⅑' => (1, 9),
        '⅒' => (1, 10),
        '⅓' => (1, 3),
        '⅔' => (2, 3),
        '⅕' => (1, 5),
        '⅖' => (2, 5),
        '⅗' => (3, 5),
        '⅘' => (4, 5),
        '⅙' => (1, 6),
        '⅚' => (5, 6),
        '⅛' => (1, 8),
        '⅜' => (3, 8),
        '⅝' => (5, 8),
        '⅞' => (7, 8),
        _ => return None,
    })
}

/// The sign for this fraction, where there is one.
pub(super) fn vulgar_sign(numerator: i64, denominator: i64) -> Option<char> {
    "½¼¾⅛⅜⅝⅞"
        .chars()
        .find(|c| vulgar(*c) == Some((numerator, denominator)))
}

fn is_slash(c: char) -> bool {
    matches!(c, '/' | '\u{2044}' | '\u{2215}' | '\u{FF0F}')
}

fn is_hyphen(c: char) -> bool {
    matches!(
        c,
        '-' | '\u{00AD}' | '\u{2010}'..='\u{2015}' | '\u{2212}' | '\u{FE63}' | '\u{FF0D}'
    )
}

fn is_space(c: char) -> bool {
    c.is_whitespace() || matches!(c, '\u{200B}' | '\u{2060}' | '\u{FEFF}')
}

fn is_foot_mark(c: char) -> bool {
    matches!(
        c,
        '\'' | '\u{2032}'
            | '\u{2018}'
            | '\u{2019}'
            | '\u{201B}'
            | '`'
            | '\u{00B4}'
            | '\u{02B9}'
            | '\u{02BC}'
            | '\u{FF07}'
    )
}

fn is_inch_mark(c: char) -> bool {
    matches!(
        c,
        '"' | '\u{2033}'
            | '\u{201C}'
            | '\u{201D}'
            | '\u{201E}'
            | '\u{201F}'
            | '\u{02BA}'
            | '\u{02DD}'
            | '\u{FF02}'
    )
}
