//! Texts taken apart into runs of letters and runs of digits.

/// A run of letters or of digits, upper case.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Token {
    pub text: String,
    pub digits: bool,
    /// What stands between this token and the one before; empty at the start
    /// and where letters and digits touch.
    pub before: String,
    /// Byte range in the text.
    pub start: usize,
    pub end: usize,
}

impl Token {
    /// True when the token touches the one before it.
    pub fn joined(&self) -> bool {
        self.before.is_empty() && self.start > 0
    }
}

/// Splits a text. Apostrophes inside words are dropped, accents are kept.
pub(super) fn tokens(text: &str) -> Vec<Token> {
    let mut found: Vec<Token> = Vec::new();
    let mut before = String::new();
    for (at, c) in text.char_indices() {
        if !c.is_alphanumeric() {
            before.push(c);
            continue;
        }
        let digits = c.is_numeric();
        let end = at + c.len_utf8();
        match found.last_mut() {
            Some(last) if before.is_empty() && last.digits == digits => {
                push_upper(&mut last.text, c);
                last.end = end;
            }
            _ => {
                let mut text = String::new();
                push_upper(&mut text, c);
                found.push(Token {
                    text,
                    digits,
                    before: std::mem::take(&mut before),
                    start: at,
                    end,
                });
            }
        }
    }
    found
}

fn push_upper(text: &mut String, c: char) {
    // Nearly all are, and the tables of all letters are slow.
    if c.is_ascii() {
        text.push(c.to_ascii_uppercase());
    } else {
        text.extend(c.to_uppercase());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_and_digits_part() {
        let found = tokens("B2-front, w3036");
        let texts: Vec<&str> = found.iter().map(|t| t.text.as_str()).collect();
        assert_eq!(texts, ["B", "2", "FRONT", "W", "3036"]);
        assert!(found[1].joined() && !found[2].joined());
        assert_eq!(found[3].before, ", ");
        assert!(tokens(" - ").is_empty());
    }
}
