//! The grammar of a written size: tokens to numbers, fractions and units.

use super::flattened;
use super::number::{Plain, PlainError, plain};
use super::parse::{Parsed, Reader};
use super::scan::{Script, Spanned, Token};
use super::written::Slash;
use super::{Alternative, LengthError, Unit};

/// A number as written: whole or decimal, fraction, or both.
pub(super) struct Part {
    pub(super) whole: Option<(Plain, String)>,
    pub(super) fraction: Option<Fraction>,
    /// Text between whole number and fraction.
    pub(super) joiner: String,
    /// Bytes of the text.
    pub(super) start: usize,
    pub(super) end: usize,
    /// Groups of digits were set apart by spaces: whole and following digits.
    pub(super) spaced: Option<(String, String)>,
}

pub(super) struct Fraction {
    pub(super) numerator: i64,
    pub(super) denominator: i64,
    pub(super) numerator_text: String,
    pub(super) denominator_text: String,
    pub(super) slash: Slash,
}

pub(super) struct Cursor<'a> {
    pub(super) text: &'a str,
    pub(super) tokens: Vec<Spanned>,
    pub(super) at: usize,
    pub(super) reader: Reader,
}

impl<'a> Cursor<'a> {
    pub(super) fn new(text: &'a str, tokens: Vec<Spanned>, reader: Reader) -> Self {
        Cursor {
            text,
            tokens,
            at: 0,
            reader,
        }
    }
}

impl Cursor<'_> {
    pub(super) fn peek(&self) -> Option<&Token> {
        self.ahead(0)
    }

    pub(super) fn ahead(&self, by: usize) -> Option<&Token> {
        self.tokens.get(self.at.checked_add(by)?).map(|(t, _)| t)
    }

    pub(super) fn skip_spaces(&mut self) {
        while self.peek() == Some(&Token::Space) {
            self.at += 1;
        }
    }

    /// Byte at which the next token starts.
    pub(super) fn byte(&self) -> usize {
        self.tokens
            .get(self.at)
            .map_or(self.text.len(), |(_, span)| span.start)
    }

    /// Byte at which the last token ended.
    pub(super) fn byte_before(&self) -> usize {
        self.at
            .checked_sub(1)
            .and_then(|at| self.tokens.get(at))
            .map_or(0, |(_, span)| span.end)
    }

    pub(super) fn slice(&self, from: usize, to: usize) -> String {
        self.text.get(from..to).unwrap_or("").to_owned()
    }

    pub(super) fn not(&self, reason: impl Into<String>) -> LengthError {
        LengthError::NotALength {
            text: self.text.to_owned(),
            reason: reason.into(),
        }
    }

    pub(super) fn ambiguous(&self, reason: &str, readings: Vec<Alternative>) -> LengthError {
        LengthError::Ambiguous {
            text: self.text.to_owned(),
            reason: reason.to_owned(),
            readings,
        }
    }

    pub(super) fn out_of_range(&self) -> LengthError {
        LengthError::OutOfRange {
            text: self.text.to_owned(),
        }
    }

    pub(super) fn size(mut self) -> Result<Parsed, LengthError> {
        self.skip_spaces();
        if self.peek() == Some(&Token::Hyphen) {
            let mut next = self.at + 1;
            while matches!(self.tokens.get(next), Some((Token::Space, _))) {
                next += 1;
            }
            if matches!(
                self.tokens.get(next),
                Some((Token::Number { .. } | Token::Vulgar(..), _))
            ) {
                return Err(LengthError::Negative {
                    text: self.text.to_owned(),
                });
            }
        }
        let first = self.part()?.ok_or_else(|| self.no_number())?;
        self.skip_spaces();
        let unit = self.unit();
        if unit == Some(Unit::Foot) {
            return self.feet(first);
        }
        self.end(unit.is_some())?;
        self.single(&first, unit)
    }

    pub(super) fn no_number(&self) -> LengthError {
        self.not(match self.peek() {
            Some(Token::Word(word)) => format!("`{word}` stands where a number should"),
            _ => "it does not start with a number".to_owned(),
        })
    }

    pub(super) fn unit(&mut self) -> Option<Unit> {
        match self.peek() {
            Some(Token::Unit(unit)) => {
                let unit = *unit;
                self.at += 1;
                Some(unit)
            }
            _ => None,
        }
    }

    pub(super) fn end(&mut self, unit_read: bool) -> Result<(), LengthError> {
        self.skip_spaces();
        Err(match self.peek() {
            None => return Ok(()),
            Some(Token::Word(word)) if matches!(word.as_str(), "x" | "X" | "by" | "×") => {
                self.not("it holds more than one size")
            }
            Some(Token::Word(word)) if !unit_read => LengthError::UnknownUnit {
                text: self.text.to_owned(),
                word: word.clone(),
            },
            Some(Token::Number { .. } | Token::Vulgar(..)) => {
                self.not("it holds more than one number")
            }
            Some(_) => {
                let rest = self.slice(self.byte(), self.text.len());
                self.not(format!("`{rest}` is left over"))
            }
        })
    }

    pub(super) fn number(&mut self) -> Option<(String, Script)> {
        match self.peek() {
            Some(Token::Number { text, script }) => {
                let found = (text.clone(), *script);
                self.at += 1;
                Some(found)
            }
            _ => None,
        }
    }

    /// Reads `/ 2` when it follows, spaces allowed on both sides.
    pub(super) fn below_the_line(&mut self) -> Result<Option<(char, String, Script)>, LengthError> {
        let before = self.at;
        self.skip_spaces();
        let Some(Token::Slash(sign)) = self.peek() else {
            self.at = before;
            return Ok(None);
        };
        let sign = *sign;
        self.at += 1;
        self.skip_spaces();
        match self.number() {
            Some((text, script)) => Ok(Some((sign, text, script))),
            None => Err(self.not("nothing stands below the fraction line")),
        }
    }

    pub(super) fn fraction(
        &self,
        numerator: &(String, Script),
        below: (char, String, Script),
    ) -> Result<Fraction, LengthError> {
        let (sign, denominator, _) = below;
        let read = |digits: &str| -> Result<i64, LengthError> {
            if !digits.bytes().all(|b| b.is_ascii_digit()) {
                return Err(self.not("a fraction is made of whole numbers"));
            }
            digits.parse().map_err(|_| self.out_of_range())
        };
        Ok(Fraction {
            numerator: read(&numerator.0)?,
            denominator: read(&denominator)?,
            numerator_text: numerator.0.clone(),
            denominator_text: denominator,
            slash: if numerator.1 == Script::Raised {
                Slash::Raised
            } else {
                Slash::Sign(sign)
            },
        })
    }

    pub(super) fn part(&mut self) -> Result<Option<Part>, LengthError> {
        let start = self.byte();
        let mut part = Part {
            whole: None,
            fraction: None,
            joiner: String::new(),
            start,
            end: start,
            spaced: None,
        };
        if let Some(Token::Vulgar(n, d)) = self.peek() {
            part.fraction = Some(glyph(*n, *d));
            self.at += 1;
            part.end = self.byte_before();
            return Ok(Some(part));
        }
        let Some(first) = self.number() else {
            return Ok(None);
        };
        if let Some(below) = self.below_the_line()? {
            part.fraction = Some(self.fraction(&first, below)?);
            part.end = self.byte_before();
            return Ok(Some(part));
        }
        if first.1 != Script::Plain {
            return Err(self.not("a raised or lowered number without a fraction line"));
        }
        part.end = self.byte_before();
        self.after_whole(&first.0, &mut part)?;
        let whole =
            plain(&part_digits(&first.0, &part), self.reader.decimal_mark).map_err(|error| {
                match error {
                    PlainError::TooLong => self.out_of_range(),
                    PlainError::Separators => {
                        self.not("its points and commas fit neither decimals nor thousands")
                    }
                }
            })?;
        if part.fraction.is_some() && (whole.mark.is_some() || whole.group.is_some()) {
            return Err(self.not("decimals and a fraction stand together"));
        }
        part.whole = Some((whole, first.0));
        Ok(Some(part))
    }

    /// What may follow a whole number: a fraction, or more groups of digits.
    pub(super) fn after_whole(&mut self, whole: &str, part: &mut Part) -> Result<(), LengthError> {
        let before = self.at;
        let joiner_from = self.byte();
        self.skip_spaces();
        let hyphen = self.peek() == Some(&Token::Hyphen);
        if hyphen {
            self.at += 1;
            self.skip_spaces();
        }
        let joiner = self.slice(joiner_from, self.byte());
        match self.peek() {
            Some(Token::Vulgar(n, d)) => {
                part.fraction = Some(glyph(*n, *d));
                part.joiner = joiner;
                self.at += 1;
                part.end = self.byte_before();
            }
            Some(Token::Slash(_)) if hyphen => {
                // `1-/34`: the stacked fraction came apart.
                self.at += 1;
                self.skip_spaces();
                let digits = self.number().map(|(text, _)| text).unwrap_or_default();
                let readings = flattened::lost_line_after(whole, &digits);
                return Err(if readings.is_empty() {
                    self.not("nothing stands above the fraction line")
                } else {
                    self.ambiguous("the fraction line is out of place", readings)
                });
            }
            Some(Token::Number { .. }) => {
                let Some(second) = self.number() else {
                    return Ok(());
                };
                if let Some(below) = self.below_the_line()? {
                    part.fraction = Some(self.fraction(&second, below)?);
                    part.joiner = joiner;
                    part.end = self.byte_before();
                    return Ok(());
                }
                let readings = flattened::lost_line_after(whole, &second.0);
                let grouped = !hyphen && second.1 == Script::Plain && is_group(whole, &second.0);
                if !grouped {
                    return Err(if readings.is_empty() {
                        self.not("it holds two numbers with no fraction line")
                    } else {
                        self.ambiguous("the fraction line is missing", readings)
                    });
                }
                let mut digits = second.0;
                part.end = self.byte_before();
                // Further groups: `1 234 567,8`.
                loop {
                    let here = self.at;
                    self.skip_spaces();
                    let more = match self.peek() {
                        Some(Token::Number {
                            text,
                            script: Script::Plain,
                        }) if here != self.at && is_group("1", text) && digits.len() % 3 == 0 => {
                            text.clone()
                        }
                        _ => {
                            self.at = here;
                            break;
                        }
                    };
                    self.at += 1;
                    digits.push_str(&more);
                    part.end = self.byte_before();
                }
                part.spaced = Some((whole.to_owned(), digits));
            }
            _ => self.at = before,
        }
        Ok(())
    }
}

/// `1 234` and `1 234,5`: one to three digits, then a group of exactly three.
fn is_group(whole: &str, next: &str) -> bool {
    let head = next.split(['.', ',']).next().unwrap_or("");
    head.len() == 3
        && (1..=3).contains(&whole.len())
        && !whole.starts_with('0')
        && whole.bytes().all(|b| b.is_ascii_digit())
        && next.chars().filter(|c| !c.is_ascii_digit()).count() <= 1
}

fn part_digits(first: &str, part: &Part) -> String {
    match &part.spaced {
        Some((_, digits)) => format!("{first}{digits}"),
        None => first.to_owned(),
    }
}

fn glyph(numerator: i64, denominator: i64) -> Fraction {
    Fraction {
        numerator,
        denominator,
        numerator_text: numerator.to_string(),
        denominator_text: denominator.to_string(),
        slash: Slash::Glyph,
    }
}
