//! Why a text is not a length, and what it could have been.

use super::Length;

/// A reading a text could have had.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Alternative {
    /// As it should have been written: `3 1/2 in`.
    pub text: String,
    pub length: Length,
}

/// Why a text was not read as a length. The text is quoted as written.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum LengthError {
    #[error("there is no size here")]
    Empty,
    #[error("`{text}` is negative")]
    Negative { text: String },
    #[error("`{text}` is not a size: {reason}")]
    NotALength { text: String, reason: String },
    #[error("`{text}` has a zero below the fraction line")]
    ZeroDenominator { text: String },
    #[error("`{text}` is beyond any size that can be held")]
    OutOfRange { text: String },
    #[error("`{word}` in `{text}` is not a unit of length known here")]
    UnknownUnit { text: String, word: String },
    /// Readable in more than one way; never settled by guessing.
    #[error("`{text}` can be read as {}: {reason}", listed(.readings))]
    Ambiguous {
        text: String,
        reason: String,
        readings: Vec<Alternative>,
    },
    /// A spreadsheet took a fraction for a date.
    #[error("`{text}` is a date; a spreadsheet may have made it from {}", listed(.readings))]
    Date {
        text: String,
        readings: Vec<Alternative>,
    },
}

impl LengthError {
    /// What a person can do about it.
    pub fn advice(&self) -> String {
        match self {
            LengthError::Empty => "fill in the size, or leave the part out".to_owned(),
            LengthError::Negative { .. } => "write the size without a minus sign".to_owned(),
            LengthError::NotALength { .. } => {
                "write it like 34 1/2, 34.5, 3'-0 1/2\" or 876.3 mm".to_owned()
            }
            LengthError::ZeroDenominator { .. } => "correct the fraction".to_owned(),
            LengthError::OutOfRange { .. } => "correct the number".to_owned(),
            LengthError::UnknownUnit { .. } => "use in, ft, mm, cm or m".to_owned(),
            LengthError::Ambiguous { readings, .. } => match readings.first() {
                Some(first) => format!("write `{}` if that is meant", first.text),
                None => "write the size so that it can be read in one way only".to_owned(),
            },
            LengthError::Date { .. } => {
                "set the column to text in the spreadsheet and type the fraction again".to_owned()
            }
        }
    }

    /// The readings the text could have, likeliest first; empty when it has none.
    pub fn readings(&self) -> &[Alternative] {
        match self {
            LengthError::Ambiguous { readings, .. } | LengthError::Date { readings, .. } => {
                readings
            }
            _ => &[],
        }
    }
}

fn listed(list: &[Alternative]) -> String {
    match list {
        [] => "more than one size".to_owned(),
        [one] => one.text.clone(),
        [head @ .., last] => {
            let head: Vec<&str> = head.iter().map(|a| a.text.as_str()).collect();
            format!("{} or {}", head.join(", "), last.text)
        }
    }
}
