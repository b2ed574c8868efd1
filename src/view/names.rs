//! Finding cabinet names in texts: by the dictionary of the job's names, or by
//! their look when there is none.

use super::tokens::{Token, tokens};
use super::words;
use std::collections::{BTreeMap, BTreeSet};

/// A name found in a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Found {
    /// Spelled as in the dictionary when `known`.
    pub name: String,
    /// True when the dictionary has it.
    pub known: bool,
    /// First token and one past the last.
    pub tokens: (usize, usize),
}

/// The names of a job, ready for looking up.
#[derive(Clone, Debug, Default)]
pub(super) struct Dictionary {
    names: Vec<(String, Vec<Token>)>,
    /// All tokens to the first name that is made of them.
    by_tokens: BTreeMap<Vec<String>, usize>,
    /// Everything before a last number, to those numbers and their names.
    by_stem: BTreeMap<Vec<String>, BTreeMap<u64, Vec<usize>>>,
    /// Letters and digits run together, leading zeros dropped; `None` when two
    /// names would fall together.
    by_key: BTreeMap<String, Option<usize>>,
    /// Letters that a name starts with.
    prefixes: BTreeSet<String>,
    longest: usize,
}

impl Dictionary {
    pub fn new(names: &[String]) -> Self {
        let mut dictionary = Dictionary::default();
        let mut known = BTreeSet::new();
        for name in names {
            let parts = tokens(name);
            if parts.is_empty() || !known.insert(name) {
                continue;
            }
            let index = dictionary.names.len();
            if let Some(first) = parts.first().filter(|first| !first.digits) {
                dictionary.prefixes.insert(first.text.clone());
            }
            let texts: Vec<String> = parts.iter().map(|part| part.text.clone()).collect();
            if let Some((number, stem)) = numbered(&parts) {
                let series = dictionary.by_stem.entry(stem).or_default();
                series.entry(number).or_default().push(index);
            }
            dictionary.by_tokens.entry(texts).or_insert(index);
            dictionary
                .by_key
                .entry(key(&parts))
                .and_modify(|entry| *entry = None)
                .or_insert(Some(index));
            dictionary.longest = dictionary.longest.max(parts.len());
            dictionary.names.push((name.clone(), parts));
        }
        dictionary
    }

    /// True for a text that is a name of the dictionary and nothing else.
    pub fn is_name(&self, text: &str) -> bool {
        let parts = tokens(text);
        self.known_at(&parts, 0)
            .is_some_and(|(_, end)| end == parts.len())
    }

    pub fn is_empty(&self) -> bool {
        self.names.is_empty()
    }

    /// Names in a text, in order, each once. Lists (`B1, B4`, `B1 & B4`) and
    /// ranges (`B1-B4`, `B1-4`) are written out.
    pub fn find(&self, text: &str) -> Vec<Found> {
        let parts = tokens(text);
        let mut found: Vec<Found> = Vec::new();
        let mut at = 0;
        while at < parts.len() {
            let hit = self
                .known_at(&parts, at)
                .or_else(|| self.continued(&parts, at, found.last()));
            match hit {
                Some((name, end)) => {
                    let this = Found {
                        name,
                        known: true,
                        tokens: (at, end),
                    };
                    if let Some(last) = found.last()
                        && last.tokens.1 == at
                        && is_range_mark(&parts[at].before)
                    {
                        let between = self.between(&last.name, &this.name);
                        found.extend(between.into_iter().map(|name| Found {
                            name,
                            known: true,
                            tokens: (at, at),
                        }));
                    }
                    found.push(this);
                    at = end;
                }
                None => at += 1,
            }
        }
        let mut seen = BTreeSet::new();
        found.retain(|f| seen.insert(f.name.clone()));
        found
    }

    /// Names in a text: by the dictionary, else id-like tokens such as `B2` or
    /// `W3036`. With a dictionary a token that only looks like a name counts
    /// when `strict` is false or it starts like a name of the dictionary.
    pub fn find_or_guess(&self, text: &str, strict: bool) -> Vec<Found> {
        let found = self.find(text);
        if !found.is_empty() {
            return found;
        }
        let mut guessed = id_like(text);
        if strict && !self.is_empty() {
            guessed.retain(|f| {
                tokens(&f.name)
                    .first()
                    .is_some_and(|first| self.prefixes.contains(&first.text))
            });
        }
        guessed
    }

    fn known_at(&self, parts: &[Token], at: usize) -> Option<(String, usize)> {
        let first = parts.get(at)?;
        if first.joined() {
            return None;
        }
        let mut texts: Vec<String> = parts
            .get(at..parts.len().min(at + self.longest))?
            .iter()
            .map(|part| part.text.clone())
            .collect();
        let mut exact = None;
        while exact.is_none() && !texts.is_empty() {
            let end = at + texts.len();
            exact = self
                .by_tokens
                .get(&texts)
                .filter(|_| ends_well(parts, end) && self.number_is_meant(parts, at, end))
                .and_then(|&index| Some((self.names.get(index)?.0.clone(), end)));
            texts.pop();
        }
        exact.or_else(|| {
            (at + 1..=parts.len().min(at + self.longest + 2))
                .rev()
                .find_map(|end| {
                    let span = parts.get(at..end)?;
                    let split_number = span.windows(2).any(|pair| pair[0].digits && pair[1].digits);
                    let index = (*self.by_key.get(&key(span))?)?;
                    let (name, _) = self.names.get(index)?;
                    (!split_number && ends_well(parts, end) && self.number_is_meant(parts, at, end))
                        .then(|| (name.clone(), end))
                })
        })
    }

    /// `4` in `B1, 4` or `B1-4`: the name `B4`.
    fn continued(
        &self,
        parts: &[Token],
        at: usize,
        last: Option<&Found>,
    ) -> Option<(String, usize)> {
        let this = parts.get(at)?;
        let last = last.filter(|last| last.tokens.1 == at)?;
        let joiner = this.before.trim();
        if !this.digits || !(is_range_mark(&this.before) || matches!(joiner, "," | "&" | "+")) {
            return None;
        }
        let mut wanted = tokens(&last.name);
        wanted
            .last_mut()
            .filter(|t| t.digits)?
            .text
            .clone_from(&this.text);
        let index = (*self.by_key.get(&key(&wanted))?)?;
        ends_well(parts, at + 1).then(|| (self.names[index].0.clone(), at + 1))
    }

    /// A name that is only a number counts when nothing else stands in the text
    /// but words that say what is drawn.
    fn number_is_meant(&self, parts: &[Token], at: usize, end: usize) -> bool {
        if parts
            .get(at..end)
            .is_some_and(|span| span.iter().any(|t| !t.digits))
        {
            return true;
        }
        parts.iter().enumerate().all(|(i, token)| {
            (at..end).contains(&i)
                || words::says_what_is_drawn(&token.text)
                || (!token.digits && token.text.chars().count() == 1)
                || (token.digits && self.by_key.contains_key(&key(std::slice::from_ref(token))))
        }) && !parts.windows(2).any(|pair| {
            // 1:12, 3/4, 34.5, 2'-6: parts of a scale or a size.
            pair[0].digits && pair[1].digits && pair[1].before.contains([':', '/', '.', '"', '\''])
        }) && !parts
            .iter()
            .any(|t| t.digits && t.before.starts_with(['"', '\'']))
    }

    /// Dictionary names strictly between two of one series.
    fn between(&self, from: &str, to: &str) -> Vec<String> {
        let (low, high) = (tokens(from), tokens(to));
        let (Some((a, stem)), Some((b, other))) = (numbered(&low), numbered(&high)) else {
            return Vec::new();
        };
        if stem != other || b <= a {
            return Vec::new();
        }
        let Some(series) = self.by_stem.get(&stem) else {
            return Vec::new();
        };
        let mut hits: Vec<(u64, String)> = series
            .range(a.saturating_add(1)..b)
            .flat_map(|(number, names)| names.iter().map(move |&index| (*number, index)))
            .filter_map(|(number, index)| Some((number, self.names.get(index)?.0.clone())))
            .collect();
        hits.sort();
        hits.into_iter().map(|hit| hit.1).collect()
    }
}

/// The number a name ends in, and the tokens before it.
fn numbered(parts: &[Token]) -> Option<(u64, Vec<String>)> {
    let (last, stem) = parts.split_last()?;
    let number = Some(last).filter(|t| t.digits)?.text.parse().ok()?;
    Some((number, stem.iter().map(|part| part.text.clone()).collect()))
}

/// Letters and digits run together, numbers without leading zeros.
fn key(parts: &[Token]) -> String {
    let mut key = String::new();
    for part in parts {
        let text = if part.digits {
            part.text.trim_start_matches('0')
        } else {
            part.text.as_str()
        };
        key.push_str(if text.is_empty() { "0" } else { text });
    }
    key
}

/// A name does not go on: what touches it is a word for what is drawn.
fn ends_well(parts: &[Token], end: usize) -> bool {
    parts
        .get(end)
        .is_none_or(|next| !next.joined() || words::may_touch_a_name(&next.text))
}

fn is_range_mark(between: &str) -> bool {
    matches!(between.trim(), "-" | "–" | "—" | ".." | "..." | "…")
}

/// Tokens that look like a cabinet's name: one to four letters, then digits,
/// then perhaps one letter.
pub(super) fn id_like(text: &str) -> Vec<Found> {
    let parts = tokens(text);
    let mut found: Vec<Found> = Vec::new();
    let mut at = 0;
    while at + 1 < parts.len() {
        let (letters, digits) = (&parts[at], &parts[at + 1]);
        let fits = !letters.digits
            && digits.digits
            && !letters.joined()
            && (digits.joined() || digits.before == "-")
            && letters.text.chars().count() <= 4
            && digits.text.len() <= 4
            && !words::never_a_name(&letters.text)
            && !letters.before.contains(['(', '%'])
            && !parts
                .get(at + 2)
                .is_some_and(|next| next.digits && next.before == ".");
        if !fits {
            at += 1;
            continue;
        }
        let mut end = at + 2;
        if parts
            .get(end)
            .is_some_and(|next| next.joined() && !next.digits && next.text.chars().count() == 1)
        {
            end += 1;
        }
        if ends_well(&parts, end) {
            let range = letters.start..parts[end - 1].end;
            let name: String = text.get(range).unwrap_or_default().to_uppercase();
            if !found.iter().any(|f| f.name == name) {
                found.push(Found {
                    name,
                    known: false,
                    tokens: (at, end),
                });
            }
        }
        at = end;
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dictionary(names: &[&str]) -> Dictionary {
        Dictionary::new(&names.iter().map(|n| (*n).to_owned()).collect::<Vec<_>>())
    }

    fn names(dictionary: &Dictionary, text: &str) -> Vec<String> {
        dictionary.find(text).into_iter().map(|f| f.name).collect()
    }

    #[test]
    fn case_spaces_and_hyphens_do_not_matter() {
        let d = dictionary(&["B2", "W30-12", "Sink Base", "B12"]);
        for text in [
            "B2 FRONT",
            "b2",
            "B-2 elevation",
            "B 2",
            "FRONT B2",
            "B2FRONT",
            "B_2_END",
        ] {
            assert_eq!(names(&d, text), ["B2"], "{text}");
        }
        assert_eq!(names(&d, "W3012 END"), ["W30-12"]);
        assert_eq!(names(&d, "sinkbase front"), ["Sink Base"]);
        assert_eq!(names(&d, "SINK-BASE"), ["Sink Base"]);
        assert_eq!(names(&d, "B02"), ["B2"]);
    }

    #[test]
    fn a_name_inside_a_longer_one_is_not_found() {
        let d = dictionary(&["B1", "B14", "B1A"]);
        assert_eq!(names(&d, "B14"), ["B14"]);
        assert_eq!(names(&d, "B1A FRONT"), ["B1A"]);
        assert!(names(&d, "B1B").is_empty());
        assert!(names(&d, "B1L").is_empty());
        assert!(names(&d, "AB1").is_empty());
        assert!(names(&d, "B123").is_empty());
        // A range to 4, not the name B14.
        assert_eq!(
            names(&dictionary(&["B1", "B2", "B4", "B14"]), "B1-4"),
            ["B1", "B2", "B4"]
        );
    }

    #[test]
    fn lists_and_ranges_are_written_out() {
        let d = dictionary(&["B1", "B2", "B3", "B4", "W1"]);
        assert_eq!(names(&d, "B1, B4"), ["B1", "B4"]);
        assert_eq!(names(&d, "B1 & B4 FRONT"), ["B1", "B4"]);
        assert_eq!(names(&d, "B1 & 4"), ["B1", "B4"]);
        assert_eq!(names(&d, "B1-B4"), ["B1", "B2", "B3", "B4"]);
        assert_eq!(names(&d, "B1 – B4, W1"), ["B1", "B2", "B3", "B4", "W1"]);
        assert_eq!(names(&d, "B4 B4"), ["B4"]);
    }

    #[test]
    fn numbers_as_names_need_a_bare_text() {
        let d = dictionary(&["1", "2", "12"]);
        assert_eq!(names(&d, "CABINET 2"), ["2"]);
        assert_eq!(names(&d, "2 FRONT"), ["2"]);
        assert_eq!(names(&d, "1, 2"), ["1", "2"]);
        assert!(names(&d, "SCALE 1:12").is_empty());
        assert!(names(&d, "1 1/2\"").is_empty());
        assert_eq!(names(&d, "12: FRONT ELEV."), ["12"]);
        assert_eq!(names(&d, "2 SECTION THRU"), ["2"]);
        assert_eq!(names(&d, "Section A-A - 12"), ["12"]);
        assert!(names(&d, "2 ROWS OF PINS").is_empty());
    }

    #[test]
    fn id_like_tokens() {
        let names = |text: &str| {
            id_like(text)
                .into_iter()
                .map(|f| f.name)
                .collect::<Vec<_>>()
        };
        assert_eq!(names("B2 FRONT"), ["B2"]);
        assert_eq!(names("W3036L, W3036R"), ["W3036L", "W3036R"]);
        assert_eq!(names("DWG-00017"), Vec::<String>::new());
        assert!(names("SCALE 1:12").is_empty());
        assert!(names("SECTION A-A").is_empty());
        assert!(names("34 1/2").is_empty());
    }
}
