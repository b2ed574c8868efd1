//! The words drawings use for what a view shows, in the languages shops write.

use super::ViewKind;
use super::tokens::{Token, tokens};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

/// What a title says about a view.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Says {
    Kind(ViewKind),
    /// Seen from the back: right and left are changed over.
    Back,
    /// Isometric, perspective, 3D, exploded: nothing can be measured.
    Pictorial,
    /// A detail at another scale.
    Detail,
}

use Says::{Back, Detail, Kind, Pictorial};
use ViewKind::{End, Front, Plan, Section};

/// Phrases, upper case; the longest that fits wins, then the first in the table.
/// English, German, French, Spanish. Common practice, no source.
const PHRASES: &[(&str, Says)] = &[
    ("FRONT ELEVATION", Kind(Front)),
    ("FRONT ELEV", Kind(Front)),
    ("FRONT VIEW", Kind(Front)),
    ("INTERIOR ELEVATION", Kind(Front)),
    ("END ELEVATION", Kind(End)),
    ("END ELEV", Kind(End)),
    ("END VIEW", Kind(End)),
    ("SIDE ELEVATION", Kind(End)),
    ("SIDE ELEV", Kind(End)),
    ("SIDE VIEW", Kind(End)),
    ("LEFT ELEVATION", Kind(End)),
    ("RIGHT ELEVATION", Kind(End)),
    ("LEFT VIEW", Kind(End)),
    ("RIGHT VIEW", Kind(End)),
    ("LEFT END", Kind(End)),
    ("RIGHT END", Kind(End)),
    ("LEFT SIDE", Kind(End)),
    ("RIGHT SIDE", Kind(End)),
    ("LEFT SIDE VIEW", Kind(End)),
    ("RIGHT SIDE VIEW", Kind(End)),
    ("LEFT SIDE ELEVATION", Kind(End)),
    ("RIGHT SIDE ELEVATION", Kind(End)),
    ("TOP VIEW", Kind(Plan)),
    ("PLAN VIEW", Kind(Plan)),
    ("PLAN SECTION", Kind(Plan)),
    ("SECTION PLAN", Kind(Plan)),
    ("HORIZONTAL SECTION", Kind(Plan)),
    ("CROSS SECTION", Kind(Section)),
    ("SECTION VIEW", Kind(Section)),
    ("VERTICAL SECTION", Kind(Section)),
    ("BACK VIEW", Back),
    ("BACK ELEVATION", Back),
    ("REAR VIEW", Back),
    ("REAR ELEVATION", Back),
    ("FRONT", Kind(Front)),
    ("ELEVATION", Kind(Front)),
    ("ELEV", Kind(Front)),
    ("END", Kind(End)),
    ("SIDE", Kind(End)),
    ("PROFILE", Kind(End)),
    ("SECTION", Kind(Section)),
    ("SECT", Kind(Section)),
    ("PLAN", Kind(Plan)),
    ("TOP", Kind(Plan)),
    ("REAR", Back),
    ("ISO", Pictorial),
    ("ISOMETRIC", Pictorial),
    ("PERSPECTIVE", Pictorial),
    ("AXONOMETRIC", Pictorial),
    ("3D", Pictorial),
    ("3D VIEW", Pictorial),
    ("EXPLODED VIEW", Pictorial),
    ("DETAIL", Detail),
    // German
    ("VORDERANSICHT", Kind(Front)),
    ("FRONTANSICHT", Kind(Front)),
    ("ANSICHT VORNE", Kind(Front)),
    ("ANSICHT VON VORNE", Kind(Front)),
    ("ANSICHT", Kind(Front)),
    ("SEITENANSICHT", Kind(End)),
    ("SEITENANSICHT LINKS", Kind(End)),
    ("SEITENANSICHT RECHTS", Kind(End)),
    ("ANSICHT LINKS", Kind(End)),
    ("ANSICHT RECHTS", Kind(End)),
    ("ANSICHT VON LINKS", Kind(End)),
    ("ANSICHT VON RECHTS", Kind(End)),
    ("SEITE", Kind(End)),
    ("SCHNITT", Kind(Section)),
    ("QUERSCHNITT", Kind(Section)),
    ("VERTIKALSCHNITT", Kind(Section)),
    ("HORIZONTALSCHNITT", Kind(Plan)),
    ("DRAUFSICHT", Kind(Plan)),
    ("AUFSICHT", Kind(Plan)),
    ("GRUNDRISS", Kind(Plan)),
    ("RÜCKANSICHT", Back),
    ("PERSPEKTIVE", Pictorial),
    // French
    ("VUE DE FACE", Kind(Front)),
    ("VUE AVANT", Kind(Front)),
    ("FAÇADE", Kind(Front)),
    ("ÉLÉVATION", Kind(Front)),
    ("VUE DE CÔTÉ", Kind(End)),
    ("VUE DE COTE", Kind(End)),
    ("VUE DE GAUCHE", Kind(End)),
    ("VUE DE DROITE", Kind(End)),
    ("VUE DE PROFIL", Kind(End)),
    ("PROFIL", Kind(End)),
    ("COUPE", Kind(Section)),
    ("COUPE VERTICALE", Kind(Section)),
    ("COUPE HORIZONTALE", Kind(Plan)),
    ("VUE DE DESSUS", Kind(Plan)),
    ("VUE EN PLAN", Kind(Plan)),
    ("VUE ARRIÈRE", Back),
    // Spanish
    ("VISTA FRONTAL", Kind(Front)),
    ("ALZADO", Kind(Front)),
    ("ALZADO FRONTAL", Kind(Front)),
    ("FRENTE", Kind(Front)),
    ("VISTA LATERAL", Kind(End)),
    ("ALZADO LATERAL", Kind(End)),
    ("LATERAL", Kind(End)),
    ("PERFIL", Kind(End)),
    ("SECCIÓN", Kind(Section)),
    ("SECCION", Kind(Section)),
    ("CORTE", Kind(Section)),
    ("PLANTA", Kind(Plan)),
    ("VISTA SUPERIOR", Kind(Plan)),
    ("VISTA TRASERA", Back),
];

/// The phrases by their first word: the words, what they say, and their place in
/// the table.
type ByFirst = BTreeMap<String, Vec<(Vec<String>, Says, usize)>>;

static BY_FIRST: LazyLock<ByFirst> = LazyLock::new(|| {
    let mut phrases = ByFirst::new();
    for (rank, &(phrase, says)) in PHRASES.iter().enumerate() {
        let words: Vec<String> = tokens(phrase).into_iter().map(|t| t.text).collect();
        if let Some(first) = words.first() {
            let list = phrases.entry(first.clone()).or_default();
            list.push((words, says, rank));
        }
    }
    phrases
});

/// Every single word of the phrases.
static SINGLE: LazyLock<BTreeSet<&'static str>> =
    LazyLock::new(|| PHRASES.iter().flat_map(|p| p.0.split(' ')).collect());

/// Words that go with a title but name nothing: dropped when a title's rest is
/// taken for a name.
const FILLER: &[&str] = &[
    "VIEW", "CABINET", "CABINETS", "CAB", "UNIT", "NO", "NUMBER", "THE", "OF", "SCALE", "TYP",
    "TYPICAL", "LEFT", "RIGHT", "L", "R", "LINKS", "RECHTS", "ANSICHT", "SCHRANK", "MEUBLE",
    "CAISSON", "MUEBLE", "MÓDULO", "VISTA", "VUE", "DE", "INTERIOR", "RUN", "AND", "BASE", "WALL",
    "TALL", "THRU", "THROUGH", "LOOKING", "LH", "RH",
];

/// Letters before digits that are never a cabinet's name.
const NOT_A_NAME: &[&str] = &[
    "SCALE", "REV", "DWG", "SHT", "PAGE", "NO", "DIN", "ISO", "EN", "RAL", "MM", "CM", "IN", "X",
    "Ø", "PL", "QTY", "DATE", "JOB", "AND", "TO", "BY", "AT", "OF", "SECT", "ELEV", "LAYER",
    "MAßSTAB", "MASSSTAB", "ECH",
];

/// A phrase that goes on with one of these names a part, not a view.
const PART_AFTER: &[&str] = &[
    "PANEL", "PANELS", "RAIL", "STILE", "GRAIN", "CAP", "SPLASH", "EDGE",
];
/// And so does one that follows one of these.
const PART_BEFORE: &[&str] = &[
    "DRAWER", "DOOR", "DWR", "FALSE", "COUNTER", "TABLE", "BENCH", "WORK", "FINISHED", "BOX",
];

/// A phrase found in a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Phrase {
    pub says: Says,
    /// As written.
    pub text: String,
    /// First token and one past the last.
    pub tokens: (usize, usize),
}

/// What a text says about the view it stands at. Words at the token places in
/// `taken` are part of a name and say nothing: `End Base` is no end.
pub(super) fn says(text: &str, taken: &[(usize, usize)]) -> Option<Phrase> {
    let parts = tokens(text);
    let mut best: Option<(usize, usize, Phrase)> = None;
    for (at, first) in parts.iter().enumerate() {
        for (words, says, rank) in BY_FIRST.get(&first.text).into_iter().flatten() {
            let end = at + words.len();
            let same = parts
                .get(at..end)
                .is_some_and(|have| have.iter().zip(words).all(|(h, w)| h.text == *w));
            if !same {
                continue;
            }
            let part = parts
                .get(end)
                .is_some_and(|t| PART_AFTER.contains(&t.text.as_str()))
                || at
                    .checked_sub(1)
                    .and_then(|i| parts.get(i))
                    .is_some_and(|t| PART_BEFORE.contains(&t.text.as_str()));
            if part || taken.iter().any(|t| at < t.1 && t.0 < end) {
                continue;
            }
            let longer = best.as_ref().is_none_or(|(words, best_rank, _)| {
                end - at > *words || (end - at == *words && *rank < *best_rank)
            });
            if longer {
                let range = parts[at].start..parts[end - 1].end;
                let text = text.get(range).unwrap_or_default().to_owned();
                best = Some((
                    end - at,
                    *rank,
                    Phrase {
                        says: *says,
                        text,
                        tokens: (at, end),
                    },
                ));
            }
        }
    }
    best.map(|(_, _, phrase)| phrase)
        .or_else(|| part(text, &parts, taken))
}

/// Titles of drawings of one part. The longest first.
const PARTS: &[&str] = &[
    "DRAWER FRONT",
    "SIDE PANEL",
    "END PANEL",
    "DOOR",
    "T\u{dc}R",
    "PORTE",
];
/// With these a title speaks of a view of the whole cabinet, or of none.
const NO_PART: &[&str] = &[
    "OPEN", "OFF", "REMOVED", "WITHOUT", "WITH", "NO", "SWING", "SCHEDULE", "LIST", "TYP",
    "TYPICAL", "DETAIL",
];

/// One past the last token of a phrase that stands at `at`.
fn stands(parts: &[Token], at: usize, phrase: &str) -> Option<usize> {
    let mut end = at;
    for word in phrase.split(' ') {
        parts.get(end).filter(|token| token.text == word)?;
        end += 1;
    }
    Some(end)
}

/// A title that names a cabinet and one of its parts, and no view.
fn part(text: &str, parts: &[Token], taken: &[(usize, usize)]) -> Option<Phrase> {
    if taken.is_empty() || parts.iter().any(|t| NO_PART.contains(&t.text.as_str())) {
        return None;
    }
    (0..parts.len()).find_map(|at| {
        let end = PARTS.iter().find_map(|phrase| stands(parts, at, phrase))?;
        if taken.iter().any(|t| at < t.1 && t.0 < end) {
            return None;
        }
        let range = parts.get(at)?.start..parts.get(end.checked_sub(1)?)?.end;
        Some(Phrase {
            says: Kind(ViewKind::FlatPart),
            text: text.get(range)?.to_owned(),
            tokens: (at, end),
        })
    })
}

/// True for words that say what a view shows, or go with such words.
pub(super) fn says_what_is_drawn(word: &str) -> bool {
    SINGLE.contains(word) || FILLER.contains(&word)
}

/// True for words that may be written right behind a name: `B2FRONT`.
pub(super) fn may_touch_a_name(word: &str) -> bool {
    word.chars().count() >= 3 && SINGLE.contains(word)
}

pub(super) fn never_a_name(letters: &str) -> bool {
    NOT_A_NAME.contains(&letters)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_longest_phrase_wins() {
        let kind = |text: &str| says(text, &[]).map(|p| p.says);
        assert_eq!(kind("B2 FRONT"), Some(Kind(Front)));
        assert_eq!(kind("b2 front elevation"), Some(Kind(Front)));
        assert_eq!(kind("END ELEVATION B2"), Some(Kind(End)));
        assert_eq!(kind("B2 LEFT END"), Some(Kind(End)));
        assert_eq!(kind("SECTION A-A"), Some(Kind(Section)));
        assert_eq!(kind("PLAN SECTION"), Some(Kind(Plan)));
        assert_eq!(kind("TOP VIEW"), Some(Kind(Plan)));
        assert_eq!(kind("B2_PLAN"), Some(Kind(Plan)));
        assert_eq!(kind("Vorderansicht B2"), Some(Kind(Front)));
        assert_eq!(kind("Vue de côté"), Some(Kind(End)));
        assert_eq!(kind("ALZADO LATERAL"), Some(Kind(End)));
        assert_eq!(kind("3D VIEW"), Some(Pictorial));
        assert_eq!(kind("REAR ELEVATION"), Some(Back));
    }

    #[test]
    fn words_of_a_name_say_nothing() {
        assert_eq!(says("End Base", &[(0, 2)]), None);
        let phrase = says("End Base FRONT", &[(0, 2)]).map(|p| p.says);
        assert_eq!(phrase, Some(Kind(Front)));
    }

    #[test]
    fn a_name_with_a_part_is_a_part_drawing() {
        let kind = |text: &str| says(text, &[(0, 1)]).map(|p| p.says);
        assert_eq!(kind("B2 DOOR LEFT"), Some(Kind(ViewKind::FlatPart)));
        assert_eq!(kind("B2 drawer front"), Some(Kind(ViewKind::FlatPart)));
        assert_eq!(kind("B2 LEFT SIDE PANEL"), Some(Kind(ViewKind::FlatPart)));
        // A view of the cabinet, or a note.
        assert_eq!(kind("B2 FRONT, DOOR OFF"), Some(Kind(Front)));
        assert_eq!(kind("B2 DOOR SCHEDULE"), None);
        assert_eq!(says("DOOR", &[]), None);
    }

    #[test]
    fn parts_and_other_words_say_nothing() {
        for text in [
            "DRAWER FRONT",
            "FALSE FRONT",
            "END PANEL",
            "B2",
            "SHELF",
            "COUNTER TOP",
            "FRONTIER",
        ] {
            assert_eq!(says(text, &[]), None, "{text}");
        }
    }
}
