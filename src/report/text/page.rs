//! A page of text 80 columns wide. Everything that goes in is freed from
//! control characters, so that no name in a list can drive the terminal.

use crate::report::words::printable;
use unicode_width::UnicodeWidthStr;

/// Columns of every text report.
pub const WIDTH: usize = 80;

/// What a piece of text is; colour only repeats what the words say.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tone {
    Plain,
    Heading,
    Good,
    Bad,
    Open,
}

#[derive(Clone, Debug)]
pub struct Page {
    text: String,
    colour: bool,
}

impl Page {
    pub fn new(colour: bool) -> Self {
        Page {
            text: String::new(),
            colour,
        }
    }

    pub fn finish(self) -> String {
        self.text
    }

    pub fn blank(&mut self) {
        if !self.text.is_empty() && !self.text.ends_with("\n\n") {
            self.text.push('\n');
        }
    }

    pub fn heading(&mut self, text: &str) {
        self.blank();
        self.line(Tone::Heading, text);
    }

    /// One paragraph, wrapped.
    pub fn line(&mut self, tone: Tone, text: &str) {
        self.wrapped(tone, "", "", text);
    }

    /// A paragraph behind a label: `    cause   31 in is ...`, wrapped under
    /// itself.
    pub fn labelled(&mut self, tone: Tone, label: &str, text: &str) {
        let label = format!("    {label:<9}");
        let rest = " ".repeat(label.width());
        self.wrapped(tone, &label, &rest, text);
    }

    /// A paragraph after a dash, indented.
    pub fn item(&mut self, indent: usize, text: &str) {
        let first = format!("{}- ", " ".repeat(indent));
        let rest = " ".repeat(indent + 2);
        self.wrapped(Tone::Plain, &first, &rest, text);
    }

    /// Lines that are laid out already.
    pub fn block<'a>(&mut self, lines: impl IntoIterator<Item = &'a str>) {
        for line in lines {
            self.text.push_str(printable(line).trim_end());
            self.text.push('\n');
        }
    }

    /// Text with one indent for its first line and one for the others; the tone
    /// colours the first indent's line starts as well.
    pub fn wrapped(&mut self, tone: Tone, first: &str, rest: &str, text: &str) {
        let text = printable(text);
        for (index, line) in wrap(
            &text,
            WIDTH.saturating_sub(first.width()),
            WIDTH.saturating_sub(rest.width()),
        )
        .iter()
        .enumerate()
        {
            let indent = if index == 0 { first } else { rest };
            let whole = format!("{indent}{line}");
            let whole = whole.trim_end();
            match (self.colour, code(tone)) {
                (true, Some(code)) => {
                    self.text
                        .push_str(&format!("\u{1b}[{code}m{whole}\u{1b}[0m"));
                }
                _ => self.text.push_str(whole),
            }
            self.text.push('\n');
        }
    }
}

/// SGR parameters of ECMA-48.
const fn code(tone: Tone) -> Option<&'static str> {
    match tone {
        Tone::Plain => None,
        Tone::Heading => Some("1"),
        Tone::Good => Some("1;32"),
        Tone::Bad => Some("1;31"),
        Tone::Open => Some("1;33"),
    }
}

/// Breaks text at spaces; words longer than a line are cut.
pub(in crate::report) fn wrap(text: &str, first: usize, rest: usize) -> Vec<String> {
    let (first, rest) = (first.max(8), rest.max(8));
    let mut lines = vec![String::new()];
    let mut used = 0;
    for word in unbroken(text) {
        let mut word = word.as_str();
        loop {
            let room = if lines.len() == 1 { first } else { rest };
            let Some(line) = lines.last_mut() else { break };
            let gap = usize::from(!line.is_empty());
            let width = if word.len() > ample(room) {
                usize::MAX
            } else {
                word.width()
            };
            if width <= room.saturating_sub(used + gap) {
                if gap == 1 {
                    line.push(' ');
                }
                line.push_str(word);
                used += gap + width;
                break;
            }
            if line.is_empty() {
                // A word without a break: cut it at the edge.
                let cut = fitting(word, room);
                let (head, tail) = word.split_at(cut);
                line.push_str(head);
                word = tail;
            }
            lines.push(String::new());
            used = 0;
        }
    }
    if lines.len() > 1 && lines.last().is_some_and(String::is_empty) {
        lines.pop();
    }
    lines
}

/// Words, with sizes kept whole: "34 1/2 in" never breaks.
fn unbroken(text: &str) -> Vec<String> {
    let digits = |word: &str| !word.is_empty() && word.bytes().all(|b| b.is_ascii_digit());
    let is_number = |word: &str| digits(word.trim_start_matches(['(', '>', '+', '-', '\'', '×']));
    let is_fraction = |word: &str| {
        word.split_once('/').is_some_and(|(over, under)| {
            digits(over) && under.starts_with(|c: char| c.is_ascii_digit())
        })
    };
    let mut out: Vec<String> = Vec::new();
    let mut before = "";
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        let unit = word.trim_end_matches(|c: char| c.is_ascii_punctuation());
        let joins = (is_fraction(word) && is_number(before))
            || (matches!(unit, "in" | "mm") && (is_number(before) || is_fraction(before)));
        match out.last_mut() {
            Some(last) if joins => {
                last.push(' ');
                last.push_str(word);
            }
            _ => out.push(word.to_owned()),
        }
        before = word;
    }
    out
}

/// Bytes that fill any line: no more of a word is ever measured at once.
const fn ample(room: usize) -> usize {
    16 * room + 64
}

/// Bytes of the longest head of a word that fits; at least one character.
fn fitting(word: &str, room: usize) -> usize {
    let mut end = 0;
    for (start, character) in word.char_indices() {
        let next = start + character.len_utf8();
        let over = |head: &str| head.len() > ample(room) || head.width() > room;
        if end > 0 && word.get(..next).is_none_or(over) {
            break;
        }
        end = next;
    }
    end
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_break_at_spaces_and_hang_under_their_label() {
        let mut page = Page::new(false);
        page.labelled(Tone::Plain, "cause", &"word ".repeat(30));
        let text = page.finish();
        assert!(text.starts_with("    cause    word word"));
        assert!(text.lines().all(|line| line.width() <= WIDTH), "{text}");
        assert!(
            text.lines()
                .nth(1)
                .unwrap()
                .starts_with("             word")
        );
    }

    #[test]
    fn a_word_longer_than_a_line_is_cut() {
        let text = "x".repeat(200);
        let lines = wrap(&text, 80, 70);
        assert_eq!(lines.concat(), text);
        assert_eq!(
            lines.iter().map(String::len).collect::<Vec<_>>(),
            [80, 70, 50]
        );
    }

    #[test]
    fn a_word_of_millions_of_letters_is_cut_in_one_go() {
        let text = "x".repeat(400_000);
        let lines = wrap(&text, 80, 80);
        assert_eq!(lines.len(), 5_000);
        assert!(lines.iter().all(|line| line.len() == 80));
        // Marks without width of their own.
        let lines = wrap(&"\u{301}".repeat(5_000), 80, 80);
        assert!(lines.iter().all(|line| line.width() <= 80));
    }

    #[test]
    fn wide_characters_count_double() {
        let lines = wrap(&"棚".repeat(50), 80, 80);
        assert_eq!(
            lines.iter().map(|line| line.width()).collect::<Vec<_>>(),
            [80, 20]
        );
    }

    #[test]
    fn no_input_reaches_the_terminal_as_a_command() {
        let mut page = Page::new(false);
        page.line(Tone::Bad, "Side\u{1b}[2J\u{202e}x\ny");
        page.block(["a\u{7}b"]);
        assert_eq!(page.finish(), "Side\u{fffd}[2J\u{fffd}x y\na\u{fffd}b\n");
    }
}
