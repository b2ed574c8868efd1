//! What a read size is, and how to ask for one.

use super::grammar::Cursor;
use super::scan::{LONGEST, scan};
use super::written::Written;
use super::{Alternative, DecimalMark, Length, LengthError, Unit};

/// How the unit of a size is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum UnitSource {
    /// A mark, an abbreviation or a word stands with the number.
    Written,
    /// A fraction without a unit: only inches are written so.
    Fraction,
    /// The default of the caller.
    Default,
}

/// A size as read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Parsed {
    pub length: Length,
    /// False when the written value falls between two ticks and was rounded to
    /// the nearest (1/3 in; a ten-thousandth of a millimetre).
    pub exact: bool,
    /// The unit of the number; feet and inches together are inches.
    pub unit: Unit,
    pub unit_source: UnitSource,
    /// The rounding this way of writing implies: 1/16 in for `3 5/16`, 0.1 mm for
    /// `876.3 mm`, 1 in for `36`. A whole list's rounding is the finest of its cells.
    pub step: Length,
    /// How it was written, to write another size alike.
    pub written: Written,
    /// Other sizes this could be a damaged form of: `13/16` may be what is left
    /// of `1 3/16`. The reading above is the plain one; whoever sees the other
    /// sizes of the part decides.
    pub alternatives: Vec<Alternative>,
}

/// How to read numbers that do not say everything themselves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Reader {
    /// Unit of a number without one.
    pub unit: Unit,
    /// The decimal mark of the list, where other cells show it.
    pub decimal_mark: Option<DecimalMark>,
}

/// Reads a size: `36 1/2`, `36½`, `3'-0 1/2"`, `914,4`, `1.234,5 mm`, `60 cm`.
/// A plain number is in `default_unit`; a fraction without a unit is in inches.
///
/// # Errors
/// When it is not a size, or could be more than one.
pub fn parse(text: &str, default_unit: Unit) -> Result<Parsed, LengthError> {
    Reader {
        unit: default_unit,
        decimal_mark: None,
    }
    .read(text)
}

impl Reader {
    /// As [`parse`], with what the caller knows of the list.
    ///
    /// # Errors
    /// When it is not a size, or could be more than one.
    pub fn read(&self, text: &str) -> Result<Parsed, LengthError> {
        let text = text.trim_matches(|c: char| c.is_whitespace() || c == '\u{FEFF}');
        if text.is_empty() {
            return Err(LengthError::Empty);
        }
        if text.len() > LONGEST {
            return Err(LengthError::NotALength {
                text: text.chars().take(40).chain(['…']).collect(),
                reason: "it is far longer than any size".to_owned(),
            });
        }
        if let Some(readings) = super::tolerance::date(text) {
            return Err(LengthError::Date {
                text: text.to_owned(),
                readings,
            });
        }
        Cursor::new(text, scan(text), *self).size()
    }
}
