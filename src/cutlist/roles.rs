//! What a shop calls a part to the role it has.

use super::normal::{LONGEST_COMPARED, alike, key};
use super::spoken::{Rest, Token, tokens, turned};
use super::types::{Hand, Reading};
use super::words::{Section, words};
use crate::trade::Role;
use std::collections::BTreeMap;

/// A score at which a reading is taken; below it stands with the guesses.
const TAKEN: f64 = 0.75;
/// A misspelt word is taken from this likeness on: one slip in six letters.
const SPELLING: f64 = 0.83;
/// Guesses worth showing.
const GUESS: f64 = 0.5;
/// Words beyond which a text is no part's name.
const MOST_WORDS: usize = 14;
/// Likeness given to a part that shares a word.
const SHARED: f64 = 0.55;
/// Different unknown texts compared letter by letter in one list; a list with more
/// holds no part names.
const COMPARED: usize = 1000;

/// Reads part names, remembering those it has seen.
#[derive(Debug)]
pub(super) struct Parts {
    own: BTreeMap<String, (Role, String)>,
    seen: BTreeMap<(String, Option<Section>), (Reading, Option<Hand>)>,
    compared: usize,
}

/// Whether a part's name names two parts.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Pair {
    No,
    Both((Role, String), (Role, String)),
    /// One of the two is not known.
    Half(Role, String),
}

/// What a text's words come to before letters are compared.
enum Found {
    Role(Role, String, f64),
    /// Known to be no part with a relation.
    NoPart(Vec<Role>),
    Nothing,
}

impl Parts {
    /// `own` are further words of the job: the word and its role.
    pub(super) fn new(own: &[(String, Role)]) -> Self {
        Parts {
            own: own
                .iter()
                .map(|(word, role)| (key(word), (*role, word.clone())))
                .filter(|(key, _)| !key.is_empty())
                .collect(),
            seen: BTreeMap::new(),
            compared: 0,
        }
    }

    /// The reading of a part as written, and its hand.
    pub(super) fn read(&mut self, text: &str, section: Option<Section>) -> (Reading, Option<Hand>) {
        let known = (text.to_owned(), section);
        if let Some(found) = self.seen.get(&known) {
            return found.clone();
        }
        let found = self.look(text, section);
        self.seen.insert(known, found.clone());
        found
    }

    /// Whether a text is a part's name by its words alone.
    pub(super) fn knows(&self, text: &str) -> bool {
        let (tokens, _) = tokens(text, words());
        !tokens.is_empty() && matches!(self.by_words(&tokens, None), Found::Role(..))
    }

    /// Whether a part is one of those a section's list holds.
    pub(super) fn belongs(&self, text: &str, section: Section) -> bool {
        let table = words();
        if section == Section::Boring {
            return true;
        }
        let (tokens, _) = tokens(text, table);
        let own = |role: &Role| {
            table.section_part.get(&section) == Some(role)
                || table
                    .within
                    .get(&section)
                    .is_some_and(|known| known.values().any(|(other, _)| other == role))
        };
        match self.by_words(&tokens, Some(section)) {
            // A bare "side" is a drawer's only where nothing else is a case's.
            Found::Role(role, ..) => own(&role),
            Found::NoPart(_) | Found::Nothing => true,
        }
    }

    /// Two parts in one row: "top and bottom", "drawer front & back".
    pub(super) fn pair(&self, text: &str, section: Option<Section>) -> Pair {
        let spaced = text
            .replace(['&', '+', '/'], " and ")
            .replace(" And ", " and ")
            .replace(" AND ", " and ");
        let pieces: Vec<&str> = spaced.split(" and ").map(str::trim).collect();
        let [first, second] = pieces.as_slice() else {
            return Pair::No;
        };
        let read = |text: &str| -> Option<(Role, String)> {
            let (tokens, _) = tokens(text, words());
            // Beside a back, a front may be a drawer box's or the case's.
            if key(text) == "front" && section.is_none() {
                return None;
            }
            match self.by_words(&tokens, section) {
                Found::Role(role, synonym, score) if score >= 0.95 => Some((role, synonym)),
                _ => None,
            }
        };
        let (head, _) = tokens(first, words());
        let (tail, _) = tokens(second, words());
        // "Sides L & R" are one part in two hands.
        let none = |tokens: &[Token]| tokens.iter().all(|token| token.word.chars().count() <= 2);
        if none(&head) || none(&tail) {
            return Pair::No;
        }
        // "Upper and lower shelf": words that say which, before one part.
        let which = head
            .iter()
            .all(|token| words().beside.contains(&token.word));
        if which && tail.len() > 1 && read(first).is_none() {
            return Pair::No;
        }
        // "Top and bottom rail" shares its last word, "drawer front & back" its first.
        let last = tail.last().map_or("", |token| token.word.as_str());
        let shared_last = words().parts.get(&format!("{}{last}", key(first)));
        let lead: String = head
            .iter()
            .take(head.len() - 1)
            .map(|token| token.word.as_str())
            .collect();
        let shared_first = words().parts.get(&format!("{lead}{}", key(second)));
        let one = if tail.len() > 1 {
            shared_last.cloned()
        } else {
            None
        };
        let other = if lead.is_empty() {
            None
        } else {
            shared_first.cloned()
        };
        match (one.or_else(|| read(first)), other.or_else(|| read(second))) {
            (Some(mut a), Some(b)) if a.0 != b.0 => {
                if a.0 == Role::DrawerFront && matches!(b.0, Role::BoxBack | Role::BoxSide) {
                    a = (Role::BoxFront, "drawer box front".to_owned());
                }
                Pair::Both(a, b)
            }
            (Some(_), Some(_)) | (None, None) => Pair::No,
            (Some((role, synonym)), None) | (None, Some((role, synonym))) => {
                Pair::Half(role, synonym)
            }
        }
    }

    fn look(&mut self, text: &str, section: Option<Section>) -> (Reading, Option<Hand>) {
        let table = words();
        let (tokens, hand) = tokens(text, table);
        if tokens.is_empty() {
            return (
                Reading::Unknown {
                    nearest: Vec::new(),
                },
                hand,
            );
        }
        let reading = match self.by_words(&tokens, section) {
            Found::Role(role, synonym, score) => Reading::As {
                role,
                synonym,
                score,
            },
            Found::NoPart(guesses) => Reading::Unknown {
                nearest: guesses
                    .into_iter()
                    .map(|role| (role, role.word().to_owned(), 0.5))
                    .collect(),
            },
            Found::Nothing => self.by_letters(&tokens, section),
        };
        (reading, hand)
    }

    fn by_words(&self, tokens: &[Token], section: Option<Section>) -> Found {
        let table = words();
        let within = section.and_then(|section| table.within.get(&section));
        // "Rail, bottom" is first looked up as a bottom rail.
        let whole: String = tokens.iter().map(|token| token.word.as_str()).collect();
        let turned = turned(tokens);
        for whole in turned.iter().chain([&whole]) {
            let found = self
                .own
                .get(whole)
                .or_else(|| within.and_then(|table| table.get(whole)))
                .or_else(|| table.parts.get(whole));
            if let Some((role, synonym)) = found {
                return Found::Role(*role, synonym.clone(), 1.0);
            }
            if let Some(guesses) = table.no_part.get(whole) {
                return Found::NoPart(guesses.clone());
            }
        }
        // The longest run of words that is known: "upper shelf", "shelf - upper",
        // "shelf of the sink base". The word at a segment's end names the part, so
        // no unknown word may follow: a "side table" is no side.
        if tokens.len() > MOST_WORDS {
            return Found::Nothing;
        }
        let mut fallback = None;
        for length in (1..tokens.len()).rev() {
            let mut best: Option<(f64, Option<Section>, bool, Role, &str)> = None;
            let last = tokens.len() - length;
            for start in [last, 0].into_iter().chain(1..last) {
                let (Some(run), Some(rest)) = (
                    tokens.get(start..start + length),
                    Rest::of(tokens, start, length, table),
                ) else {
                    continue;
                };
                let run: String = run.iter().map(|token| token.word.as_str()).collect();
                if let Some((role, synonym)) = self.own.get(&run) {
                    return Found::Role(*role, synonym.clone(), rest.score());
                }
                if let Some(guesses) = table.no_part.get(&run).filter(|_| !is_common(&run)) {
                    return Found::NoPart(guesses.clone());
                }
                // "Front" alone is a part; beside other words it says which.
                if run == "front" {
                    continue;
                }
                let narrower = rest
                    .context
                    .and_then(|section| table.within.get(&section))
                    .or(within)
                    .and_then(|table| table.get(&run));
                let Some((role, synonym)) = narrower.or_else(|| table.parts.get(&run)) else {
                    continue;
                };
                if rest.strange_follows {
                    continue;
                }
                // Of "rail" and "bottom" the rail is the part: "bottom" may stand
                // beside it, "rail" may not stand beside a bottom.
                // A word narrowed by its neighbours ("side, drawer") tells more.
                let narrowed = narrower.is_some();
                if best
                    .is_none_or(|(score, _, other, ..)| (rest.score(), narrowed) > (score, other))
                {
                    best = Some((rest.score(), rest.context, narrowed, *role, synonym));
                }
            }
            let Some((score, told, narrowed, role, synonym)) =
                best.filter(|(score, ..)| *score >= TAKEN)
            else {
                continue;
            };
            // "Ladder base, long rail": one word of a ladder base's list tells more
            // than two words of any list.
            let found = Found::Role(role, synonym.to_owned(), score);
            if narrowed || (fallback.is_none() && told.is_none()) {
                return found;
            }
            fallback.get_or_insert(found);
        }
        fallback.unwrap_or(Found::Nothing)
    }

    /// Misspelt names, and guesses.
    fn by_letters(&mut self, tokens: &[Token], section: Option<Section>) -> Reading {
        let table = words();
        let kept: Vec<&str> = tokens
            .iter()
            .map(|token| token.word.as_str())
            .filter(|word| !table.beside.iter().any(|beside| beside == word))
            .collect();
        let spoken: String = tokens.iter().map(|token| token.word.as_str()).collect();
        let core = kept.concat();
        self.compared += 1;
        if spoken.len() > LONGEST_COMPARED || self.compared > COMPARED {
            return Reading::Unknown {
                nearest: Vec::new(),
            };
        }
        let within = section.and_then(|section| table.within.get(&section));
        let mut best: BTreeMap<Role, (f64, String)> = BTreeMap::new();
        let known = self
            .own
            .iter()
            .chain(within.into_iter().flatten())
            .chain(&table.parts);
        for (key, (role, synonym)) in known {
            let mut likeness = if near(&spoken, key) {
                alike(&spoken, key)
            } else {
                0.0
            };
            if core.len() >= 4 && core.len() < spoken.len() && near(&core, key) {
                // Words that may stand beside cost a little.
                let lost = (tokens.len() - kept.len()) as f64 * 0.02;
                likeness = likeness.max(alike(&core, key) - lost);
            }
            let entry = best.entry(*role).or_insert((0.0, String::new()));
            if likeness > entry.0 {
                *entry = (likeness, synonym.clone());
            }
        }
        // A word in common makes a guess, never a reading.
        for (role, synonym) in tokens
            .iter()
            .filter_map(|token| table.part_words.get(&token.word))
            .flatten()
        {
            let entry = best.entry(*role).or_insert((0.0, String::new()));
            if entry.0 < SHARED {
                *entry = (SHARED, synonym.clone());
            }
        }
        let mut ranked: Vec<(Role, String, f64)> = best
            .into_iter()
            .filter(|(_, (score, _))| *score > GUESS)
            .map(|(role, (score, synonym))| (role, synonym, round(score)))
            .collect();
        ranked.sort_by(|a, b| b.2.total_cmp(&a.2).then(a.0.cmp(&b.0)));
        let rival = ranked.get(1).map_or(0.0, |(_, _, score)| *score);
        match ranked.first() {
            Some((role, synonym, score)) if *score >= SPELLING && score - rival >= 0.05 => {
                Reading::As {
                    role: *role,
                    synonym: synonym.clone(),
                    score: *score,
                }
            }
            _ => {
                ranked.truncate(3);
                Reading::Unknown { nearest: ranked }
            }
        }
    }
}

/// Words of the no-part list that also stand beside real names.
fn is_common(run: &str) -> bool {
    matches!(
        run,
        "front" | "panel" | "board" | "block" | "plate" | "sheet"
    )
}

/// Whether two keys are near enough in length to be alike by more than a guess.
fn near(a: &str, b: &str) -> bool {
    let (short, long) = (a.len().min(b.len()), a.len().max(b.len()));
    short * 2 > long
}

pub(super) fn round(score: f64) -> f64 {
    (score * 100.0).round() / 100.0
}

#[cfg(test)]
mod tests;
