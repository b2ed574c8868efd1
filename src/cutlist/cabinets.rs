//! Which cabinets a cell or a heading names.

use super::normal::{key, words as split_words};
use super::words::words;
use std::collections::BTreeSet;

/// Longest range written out (`B1-B9`); a longer one is a name with a hyphen.
const LONGEST_RANGE: u64 = 200;

/// What a cabinet cell says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Named {
    Cabinets(Vec<String>),
    All,
    Nothing,
}

/// Reads a cabinet cell: `B1`, `B1, B2, B5-B7`, `B1 & B4`, `B2 - sink base`, `all`.
/// `known` are the names that stand alone somewhere in the list; `5-7` is a
/// range only when they speak for it.
pub(super) fn read(text: &str, known: &BTreeSet<String>) -> Named {
    let table = words();
    let text = text.trim();
    if table.is_nothing(text) {
        return Named::Nothing;
    }
    if table.all_cabinets.contains(&key(text)) {
        return Named::All;
    }
    let mut names: Vec<String> = Vec::new();
    let mut seen = BTreeSet::new();
    let mut several = pieces(text);
    // "Sink & dishwasher" is one name; ids, and names the list has alone, are several.
    let numbered = |piece: &String| piece.chars().any(|c| c.is_ascii_digit());
    if several.len() > 1
        && !several
            .iter()
            .all(|piece| numbered(piece) || known.contains(piece))
    {
        several = vec![without_count(text).to_owned()];
    }
    for piece in several {
        let more = range(&piece, known).unwrap_or_else(|| vec![name(&piece)]);
        for name in more {
            if !name.is_empty() && seen.insert(name.clone()) {
                names.push(name);
            }
        }
    }
    if names.is_empty() {
        Named::Nothing
    } else {
        Named::Cabinets(names)
    }
}

/// Names that stand alone in a cell: what ranges are checked against.
pub(super) fn plain_names(text: &str) -> Vec<String> {
    let pieces = pieces(text);
    if let [only] = pieces.as_slice() {
        return vec![name(only)];
    }
    pieces
        .into_iter()
        .map(|piece| name(&piece))
        .filter(|name| !name.contains(['-', '\u{2013}', '\u{2014}']) && is_id(name))
        .collect()
}

fn pieces(text: &str) -> Vec<String> {
    let mut text = text.replace(['\n', '\r', ';', '&', '+', '/'], ",");
    for word in [" and ", " AND ", " And ", " und ", " et "] {
        text = text.replace(word, ",");
    }
    text.split(',')
        .map(|piece| without_count(piece.trim()).to_owned())
        .filter(|piece| !piece.is_empty())
        .collect()
}

/// `B2 (x2)`, `B2 ×2`, `B2 (2 off)`: the count is not part of the name.
fn without_count(text: &str) -> &str {
    let text = text.trim();
    if let Some(open) = text.rfind('(').filter(|_| text.ends_with(')')) {
        let inside = text
            .get(open + 1..text.len() - 1)
            .unwrap_or("")
            .to_lowercase();
        let rest: String = inside.chars().filter(|c| !c.is_ascii_digit()).collect();
        if inside.chars().any(|c| c.is_ascii_digit())
            && matches!(rest.trim(), "" | "x" | "×" | "off" | "x off" | "pcs" | "ea")
        {
            return text.get(..open).unwrap_or(text).trim();
        }
    }
    if let Some((head, last)) = text.rsplit_once(' ') {
        let count = last.trim_start_matches(['x', 'X', '×']);
        if count.len() < last.len()
            && !count.is_empty()
            && count.bytes().all(|b| b.is_ascii_digit())
        {
            return head.trim();
        }
    }
    text
}

/// The name in a piece: `Cabinet B2` and `B2 - sink base` are `B2`; other words stay.
fn name(piece: &str) -> String {
    let mut piece = piece.trim().trim_end_matches(':').trim();
    for word in [
        "cabinets", "cabinet", "cab.", "cab", "unit", "no.", "number", "#",
    ] {
        let Some(head) = piece.get(..word.len()) else {
            continue;
        };
        let rest = piece.get(word.len()..).unwrap_or("");
        let bare = rest.trim_start_matches([' ', ':', '#', '.', '-']).trim();
        let set_apart = rest.len() > bare.len() || word == "#";
        let first = bare.split_whitespace().next().unwrap_or("");
        if head.eq_ignore_ascii_case(word) && set_apart && is_id(first) && has_letter(first) {
            piece = bare;
        }
    }
    let first = piece
        .split([' ', ':', ',', '(', '\t'])
        .next()
        .unwrap_or(piece);
    let rest = piece.get(first.len()..).unwrap_or("");
    let words_only = !rest.chars().any(|c| c.is_ascii_digit())
        || rest
            .trim_start()
            .starts_with(['-', '\u{2013}', '\u{2014}', ':', '(']);
    if !rest.trim().is_empty() && is_id(first) && has_letter(first) && words_only {
        return first.to_owned();
    }
    piece.to_owned()
}

fn has_letter(text: &str) -> bool {
    text.chars().any(char::is_alphabetic)
}

/// `B2`, `W-3`, `T1a`, `101`, `B2.1`: short, with a digit, and no size.
pub(super) fn is_id(text: &str) -> bool {
    let count = text.chars().count();
    (1..=10).contains(&count)
        && text.chars().any(|c| c.is_ascii_digit())
        && text
            .chars()
            .all(|c| c.is_alphanumeric() || matches!(c, '-' | '.' | '_'))
        && text.chars().filter(|c| c.is_alphabetic()).count() <= 4
        && crate::length::Unit::from_word(
            text.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.'),
        )
        .is_none()
        && !is_thickness_like(text)
}

/// `18mm`, `3x`, `x2`: not names.
fn is_thickness_like(text: &str) -> bool {
    let lower = text.to_lowercase();
    let rest = lower.trim_matches(|c: char| c.is_ascii_digit());
    rest == "x"
}

/// `B5-B7`, `B5 to B7`, and `B5-7` or `5-7` where the list knows an end.
fn range(piece: &str, known: &BTreeSet<String>) -> Option<Vec<String>> {
    let mut ends = None;
    for separator in [
        " to ",
        " thru ",
        " through ",
        "...",
        "..",
        "\u{2026}",
        "\u{2013}",
        "\u{2014}",
        " - ",
        "-",
    ] {
        if let Some((from, to)) = piece.split_once(separator) {
            ends = Some((from.trim(), to.trim()));
            break;
        }
    }
    let (from, to) = ends?;
    let (from_head, from_number) = numbered(name_head(from))?;
    let (to_head, to_number) = numbered(name_head(to))?;
    let (first, last): (u64, u64) = (from_number.parse().ok()?, to_number.parse().ok()?);
    if last <= first || last - first >= LONGEST_RANGE {
        return None;
    }
    let written = |n: u64| format!("{from_head}{n:0width$}", width = from_number.len());
    let full = !from_head.is_empty() && from_head == to_head;
    let short =
        to_head.is_empty() && (known.contains(&written(first)) || known.contains(&written(last)));
    (full || short).then(|| (first..=last).map(written).collect())
}

/// A piece without a word such as "cabinets" before it.
fn name_head(text: &str) -> &str {
    text.rsplit(' ').next().unwrap_or(text)
}

/// Letters and the number after them; `None` without a number at the end.
fn numbered(text: &str) -> Option<(&str, &str)> {
    let head = text.trim_end_matches(|c: char| c.is_ascii_digit());
    let number = text.get(head.len()..)?;
    let letters = head
        .chars()
        .all(|c| c.is_alphabetic() || matches!(c, '-' | '_' | '.'));
    (!number.is_empty() && number.len() <= 6 && letters && head.chars().count() <= 5)
        .then_some((head, number))
}

/// Cabinets named by a heading row of its own: `Cabinet B2`, `B2 – sink base`,
/// `B1, B4`. `sure` when an id stands in it; else the text itself is the name.
pub(super) fn heading(text: &str, known: &BTreeSet<String>) -> Option<(Vec<String>, bool)> {
    let text = text.trim().trim_end_matches(':').trim();
    if text.is_empty() || text.chars().count() > 60 {
        return None;
    }
    match read(text, known) {
        Named::Cabinets(names) => {
            let sure = names.iter().all(|name| is_id(name) && has_letter(name))
                || split_words(text).first().is_some_and(|word| {
                    matches!(word.as_str(), "cabinet" | "cab" | "unit")
                        && split_words(text).len() > 1
                });
            // A name of many words is one name, commas and all.
            if !sure && names.len() > 1 {
                return Some((vec![text.to_owned()], false));
            }
            Some((names, sure))
        }
        Named::All | Named::Nothing => None,
    }
}

/// The cabinet that starts a part's name (`B2 side`) or its number (`B2-03`).
pub(super) fn prefix(text: &str) -> Option<&str> {
    let first = text.split([' ', ':', '/', '_', '-', '.']).next()?;
    let rest = text
        .get(first.len()..)?
        .trim_start_matches([' ', ':', '/', '_', '-', '.']);
    let letters = first.chars().take_while(|c| c.is_alphabetic()).count();
    (!rest.is_empty() && (1..=3).contains(&letters) && is_id(first)).then_some(first)
}

/// The one cabinet a part's name names: `B2 side`, `Side (B2)`, `Door B2 L`.
pub(super) fn within(text: &str) -> Option<&str> {
    let lettered = |word: &str| {
        let letters = word.chars().take_while(|c| c.is_alphabetic()).count();
        (1..=3).contains(&letters) && is_id(word)
    };
    prefix(text).or_else(|| {
        let mut found = text
            .split([' ', '(', ')', '[', ']', ',', ':', ';'])
            .filter(|word| lettered(word));
        let only = found.next()?;
        (found.next().is_none() && only.len() < text.trim().len()).then_some(only)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(text: &str) -> Vec<String> {
        with(text, &[])
    }

    fn with(text: &str, known: &[&str]) -> Vec<String> {
        let known = known.iter().map(|n| (*n).to_owned()).collect();
        match read(text, &known) {
            Named::Cabinets(names) => names,
            Named::All => vec!["ALL".to_owned()],
            Named::Nothing => Vec::new(),
        }
    }

    #[test]
    fn cells_with_one_and_many() {
        assert_eq!(names("B1"), ["B1"]);
        assert_eq!(names("B1, B2, B5-B7"), ["B1", "B2", "B5", "B6", "B7"]);
        assert_eq!(names("B1 & B4"), ["B1", "B4"]);
        assert_eq!(names("B1/B4"), ["B1", "B4"]);
        assert_eq!(names("B1 and B4; W2"), ["B1", "B4", "W2"]);
        assert_eq!(names("B5 to B7"), ["B5", "B6", "B7"]);
        assert_eq!(names("B08–B11"), ["B08", "B09", "B10", "B11"]);
        assert_eq!(names("B1, B1"), ["B1"]);
        assert_eq!(names("all"), ["ALL"]);
        assert!(names("-").is_empty());
    }

    #[test]
    fn hyphens_are_ranges_only_with_evidence() {
        assert_eq!(names("B5-7"), ["B5-7"]);
        assert_eq!(with("B5-7", &["B6", "B7"]), ["B5", "B6", "B7"]);
        assert_eq!(names("W-3"), ["W-3"]);
        assert_eq!(with("1-3", &["2", "3"]), ["1", "2", "3"]);
        assert_eq!(names("1-3"), ["1-3"]);
        assert_eq!(names("B7-B5"), ["B7-B5"]);
        assert_eq!(names("B1-B999"), ["B1-B999"]);
    }

    #[test]
    fn names_in_company() {
        assert_eq!(names("B2 - Sink base"), ["B2"]);
        assert_eq!(names("B2 (sink)"), ["B2"]);
        assert_eq!(names("Cabinet B2"), ["B2"]);
        assert_eq!(names("Cab. B2"), ["B2"]);
        assert_eq!(names("Cabinet 3"), ["Cabinet 3"]);
        assert_eq!(names("B2 (x2)"), ["B2"]);
        assert_eq!(names("B2 x2"), ["B2"]);
        assert_eq!(names("Sink base 36"), ["Sink base 36"]);
        assert_eq!(names("Glaze bench"), ["Glaze bench"]);
        assert_eq!(names("Sink & dishwasher"), ["Sink & dishwasher"]);
        assert_eq!(names("Sink base, left"), ["Sink base, left"]);
        assert_eq!(
            with("Bench and Hatch", &["Bench", "Hatch"]),
            ["Bench", "Hatch"]
        );
    }

    #[test]
    fn headings() {
        let none = BTreeSet::new();
        assert_eq!(
            heading("Cabinet B2 – sink base", &none),
            Some((vec!["B2".to_owned()], true))
        );
        assert_eq!(
            heading("B1, B4", &none),
            Some((vec!["B1".to_owned(), "B4".to_owned()], true))
        );
        assert_eq!(
            heading("Glaze bench", &none),
            Some((vec!["Glaze bench".to_owned()], false))
        );
        assert_eq!(
            heading("Cabinet 3", &none),
            Some((vec!["Cabinet 3".to_owned()], true))
        );
    }

    #[test]
    fn prefixes() {
        assert_eq!(prefix("B2 side"), Some("B2"));
        assert_eq!(prefix("B2-03"), Some("B2"));
        assert_eq!(prefix("Side 2"), None);
        assert_eq!(prefix("2 sides"), None);
        assert_eq!(prefix("B2"), None);
        assert_eq!(within("Side (B2)"), Some("B2"));
        assert_eq!(within("Side B2"), Some("B2"));
        assert_eq!(within("B2 side"), Some("B2"));
        assert_eq!(within("Door B2 L"), Some("B2"));
        assert_eq!(within("Side B2 B3"), None);
        assert_eq!(within("Side 2"), None);
        assert_eq!(within("Side"), None);
    }
}
