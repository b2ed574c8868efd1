//! A part's name taken apart: its words, the segments they stand in, and what the
//! words beside a known name say.

use super::normal::words as split_words;
use super::roles::round;
use super::types::Hand;
use super::words::{Section, Words};

/// A word of a part's name and which segment of the name it stands in: commas,
/// dashes, brackets and "of" divide "shelf, glaze bay".
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Token {
    pub(super) word: String,
    pub(super) segment: usize,
}

/// Words of a part's name without hands, counts, sizes and cabinet names.
pub(super) fn tokens(text: &str, table: &Words) -> (Vec<Token>, Option<Hand>) {
    let mut left = false;
    let mut right = false;
    let single = split_words(text).len() > 1;
    let mut tokens = Vec::new();
    for (segment, piece) in segments(text).enumerate() {
        for word in split_words(piece) {
            if table.left.contains(&word) || (single && word == "l") {
                left = true;
            } else if table.right.contains(&word) || (single && word == "r") {
                right = true;
            } else if !word.chars().any(char::is_numeric) && (!single || word.chars().count() > 1) {
                tokens.push(Token { word, segment });
            }
        }
    }
    let hand = match (left, right) {
        (true, false) => Some(Hand::Left),
        (false, true) => Some(Hand::Right),
        _ => None,
    };
    (tokens, hand)
}

/// The segments in turned order, where there are several.
pub(super) fn turned(tokens: &[Token]) -> Option<String> {
    let several = tokens.first()?.segment != tokens.last()?.segment;
    several.then(|| {
        let segments: Vec<&[Token]> = tokens.chunk_by(|a, b| a.segment == b.segment).collect();
        segments
            .into_iter()
            .rev()
            .flatten()
            .map(|token| token.word.as_str())
            .collect()
    })
}

pub(super) fn segments(text: &str) -> impl Iterator<Item = &str> {
    text.split([',', ';', ':', '(', ')', '[', ']', '\u{2013}', '\u{2014}'])
        .flat_map(|piece| piece.split(" - "))
        .flat_map(|piece| piece.split(" of "))
        .flat_map(|piece| piece.split(" for "))
        .flat_map(|piece| piece.split(" in "))
        .flat_map(|piece| piece.split(" at "))
}

/// The words beside a known run of words.
pub(super) struct Rest {
    pub(super) count: usize,
    /// Words that do not usually stand beside a part's name.
    pub(super) strange: usize,
    /// One of them follows in the same segment.
    pub(super) strange_follows: bool,
    pub(super) context: Option<Section>,
}

impl Rest {
    pub(super) fn of(tokens: &[Token], start: usize, length: usize, table: &Words) -> Option<Self> {
        let end = start + length;
        let segment = tokens.get(end.checked_sub(1)?)?.segment;
        let mut rest = Rest {
            count: 0,
            strange: 0,
            strange_follows: false,
            context: None,
        };
        let mut words = Vec::new();
        for (at, token) in tokens.iter().enumerate() {
            if (start..end).contains(&at) {
                continue;
            }
            rest.count += 1;
            words.push(token.word.as_str());
            if !table.beside.contains(&token.word) {
                rest.strange += 1;
                rest.strange_follows |= at >= end && token.segment == segment;
            }
        }
        rest.context = context(&words);
        Some(rest)
    }

    /// Score of a known name with these words beside it.
    pub(super) fn score(&self) -> f64 {
        match (self.count, self.strange) {
            (0, _) => 1.0,
            (_, 0) => 0.95,
            (_, strange) => round(0.9 - 0.05 * strange as f64),
        }
    }
}

/// "Side, drawer" is a drawer's side.
pub(super) fn context(words: &[&str]) -> Option<Section> {
    let has = |word: &str| words.contains(&word);
    if has("drawer") || has("dwr") || has("drw") {
        Some(Section::DrawerBoxes)
    } else if has("door") {
        Some(Section::Doors)
    } else if (has("face") && has("frame")) || has("ff") {
        Some(Section::Frame)
    } else if has("countertop") || has("worktop") || has("counter") {
        Some(Section::Tops)
    } else if has("plinth") || has("ladder") {
        Some(Section::Base)
    } else {
        None
    }
}
