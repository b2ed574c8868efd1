//! Words brought to one form for comparison: lower case, singular, without
//! punctuation. Never shown to anyone; what is shown is the text as written.

/// Words of a text, lower case and singular; digits and letters stay together.
pub(super) fn words(text: &str) -> Vec<String> {
    // L.H. and R/H are one word each.
    let text = text.to_lowercase();
    let text = ["l.h.", "l.h", "l/h"]
        .iter()
        .fold(text, |t, w| t.replace(w, " lh "));
    let text = ["r.h.", "r.h", "r/h"]
        .iter()
        .fold(text, |t, w| t.replace(w, " rh "));
    text.split(|c: char| !(c.is_alphanumeric() || c == '\'' || c == '\u{2019}'))
        .map(|word| word.trim_matches(['\'', '\u{2019}']))
        .filter(|word| !word.is_empty())
        .map(singular)
        .collect()
}

/// `shelves` → `shelf`, `boxes` → `box`, `sides` → `side`, `glass` stays.
fn singular(word: &str) -> String {
    let word = word.strip_suffix("'s").unwrap_or(word);
    let cut = |end: &str, put: &str| word.strip_suffix(end).map(|stem| format!("{stem}{put}"));
    if word.chars().count() <= 3 || word.ends_with("ss") || word.ends_with("us") {
        return word.to_owned();
    }
    cut("elves", "elf")
        .or_else(|| cut("alves", "alf"))
        .or_else(|| cut("eaves", "eaf"))
        .or_else(|| cut("ies", "y"))
        .or_else(|| cut("xes", "x"))
        .or_else(|| cut("ches", "ch"))
        .or_else(|| cut("shes", "sh"))
        .or_else(|| cut("sses", "ss"))
        .or_else(|| cut("s", ""))
        .unwrap_or_else(|| word.to_owned())
}

/// One string to compare by: the words without anything between them.
pub(super) fn key(text: &str) -> String {
    words(text).concat()
}

/// How alike two keys are, from 0 to 1: Damerau-Levenshtein, so that one
/// transposition is one slip of the hand.
pub(super) fn alike(a: &str, b: &str) -> f64 {
    strsim::normalized_damerau_levenshtein(a, b)
}

/// Texts longer than this are not compared letter by letter.
pub(super) const LONGEST_COMPARED: usize = 48;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plural_and_punctuation_do_not_matter() {
        for (text, expected) in [
            ("Toe-Kicks", "toekick"),
            ("Shelves", "shelf"),
            ("Door leaves", "doorleaf"),
            ("Drawer boxes", "drawerbox"),
            ("Benches", "bench"),
            ("  SIDE, LEFT ", "sideleft"),
            ("Glass", "glass"),
            ("No. off", "nooff"),
            ("L.H. side", "lhside"),
            ("Bodies", "body"),
        ] {
            assert_eq!(key(text), expected, "{text}");
        }
    }

    #[test]
    fn a_transposition_counts_once() {
        assert!((alike("stretcher", "strecther") - 8.0 / 9.0).abs() < 1e-12);
    }
}
