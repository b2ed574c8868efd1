//! The table of words: columns, parts, sections. The table itself is the data
//! file beside this one.

use super::normal::{key, words as split_words};
use crate::trade::Role;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum Field {
    Cabinet,
    Part,
    Quantity,
    QuantityPerCabinet,
    QuantityTotal,
    CabinetCount,
    Length,
    Width,
    Thickness,
    Height,
    Depth,
    Size,
    Material,
    Note,
    Grain,
    Band,
    #[serde(rename = "band-length-1")]
    BandLength1,
    #[serde(rename = "band-length-2")]
    BandLength2,
    #[serde(rename = "band-width-1")]
    BandWidth1,
    #[serde(rename = "band-width-2")]
    BandWidth2,
    BandLengthCount,
    BandWidthCount,
    BandThickness,
    Hand,
    Unit,
    Number,
    Item,
    HingeSide,
    Bore,
    BoreFromTop,
    BoreFromBottom,
    BoreCentre,
    BoreRim,
    BoreDiameter,
    Unused,
}

/// What kind of list, or part of a list, rows stand in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum Section {
    Case,
    Frame,
    Doors,
    DrawerFronts,
    DrawerBoxes,
    Tops,
    Base,
    Boring,
    /// A kind of cabinet or a heading that decides nothing.
    Group,
}

#[derive(Debug, Default, Deserialize)]
struct File {
    columns: BTreeMap<Field, Vec<String>>,
    #[serde(rename = "column-words")]
    column_words: ColumnWords,
    parts: BTreeMap<Role, Vec<String>>,
    #[serde(rename = "no-part")]
    no_part: NoPart,
    #[serde(rename = "part-words")]
    part_words: PartWords,
    sections: BTreeMap<Section, Vec<String>>,
    #[serde(rename = "section-part")]
    section_part: BTreeMap<Section, Role>,
    within: BTreeMap<Section, BTreeMap<Role, Vec<String>>>,
    lines: LineWords,
}

#[derive(Debug, Default, Deserialize)]
struct ColumnWords {
    finished: Vec<String>,
    cut: Vec<String>,
    rough: Vec<String>,
    filler: Vec<String>,
}

#[derive(Debug, Default, Deserialize)]
struct NoPart {
    words: Vec<String>,
    guesses: BTreeMap<String, Vec<Role>>,
}

#[derive(Debug, Default, Deserialize)]
struct PartWords {
    beside: Vec<String>,
    left: Vec<String>,
    right: Vec<String>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(rename_all = "kebab-case")]
struct LineWords {
    total: Vec<String>,
    note: Vec<String>,
    all_cabinets: Vec<String>,
    nothing: Vec<String>,
    ditto: Vec<String>,
}

/// The table by keys.
#[derive(Debug, Default)]
pub(super) struct Words {
    /// Key → field and the word as in the table.
    pub(super) columns: BTreeMap<String, (Field, String)>,
    pub(super) finished: Vec<String>,
    pub(super) cut: Vec<String>,
    pub(super) rough: Vec<String>,
    pub(super) column_filler: Vec<String>,
    pub(super) parts: BTreeMap<String, (Role, String)>,
    /// Each single word of the parts' names, with the parts it stands in.
    pub(super) part_words: BTreeMap<String, BTreeMap<Role, String>>,
    /// Words for things that are no part, with what they may still mean.
    pub(super) no_part: BTreeMap<String, Vec<Role>>,
    pub(super) beside: Vec<String>,
    pub(super) left: Vec<String>,
    pub(super) right: Vec<String>,
    pub(super) sections: BTreeMap<String, Section>,
    pub(super) section_part: BTreeMap<Section, Role>,
    pub(super) within: BTreeMap<Section, BTreeMap<String, (Role, String)>>,
    pub(super) total: Vec<String>,
    pub(super) note: Vec<String>,
    pub(super) all_cabinets: Vec<String>,
    nothing: Vec<String>,
    ditto: Vec<String>,
}

impl Words {
    /// Whether a cell says that there is nothing.
    pub(super) fn is_nothing(&self, text: &str) -> bool {
        let text = text.trim().to_lowercase();
        self.nothing.contains(&text)
    }

    /// Whether a cell says "as above".
    pub(super) fn is_ditto(&self, text: &str) -> bool {
        let text = text.trim().to_lowercase();
        self.ditto.contains(&text)
    }
}

const TABLE: &str = include_str!("words.toml");

/// The built-in table.
pub(super) fn words() -> &'static Words {
    static WORDS: OnceLock<Words> = OnceLock::new();
    // The table is part of the program and a test reads it.
    WORDS.get_or_init(|| load(TABLE).unwrap_or_default())
}

fn load(text: &str) -> Result<Words, toml::de::Error> {
    let file: File = toml::from_str(text)?;
    let keys = |list: &[String]| -> Vec<String> { list.iter().map(|word| key(word)).collect() };
    let roles = |table: BTreeMap<Role, Vec<String>>| {
        let mut by_key = BTreeMap::new();
        for (role, list) in table {
            for word in list {
                by_key.insert(key(&word), (role, word));
            }
        }
        by_key
    };
    let mut words = Words {
        finished: keys(&file.column_words.finished),
        cut: keys(&file.column_words.cut),
        rough: keys(&file.column_words.rough),
        column_filler: keys(&file.column_words.filler),
        parts: roles(file.parts),
        beside: keys(&file.part_words.beside),
        left: keys(&file.part_words.left),
        right: keys(&file.part_words.right),
        section_part: file.section_part,
        within: file
            .within
            .into_iter()
            .map(|(section, table)| (section, roles(table)))
            .collect(),
        total: keys(&file.lines.total),
        note: keys(&file.lines.note),
        all_cabinets: keys(&file.lines.all_cabinets),
        nothing: file.lines.nothing,
        ditto: file.lines.ditto,
        ..Words::default()
    };
    for (role, synonym) in words.parts.values() {
        for word in split_words(synonym) {
            words
                .part_words
                .entry(word)
                .or_default()
                .entry(*role)
                .or_insert_with(|| synonym.clone());
        }
    }
    for (field, list) in file.columns {
        for word in list {
            words.columns.insert(key(&word), (field, word));
        }
    }
    for word in file.no_part.words {
        let guesses = file.no_part.guesses.get(&word).cloned().unwrap_or_default();
        words.no_part.insert(key(&word), guesses);
    }
    for (section, list) in file.sections {
        for word in list {
            words.sections.insert(key(&word), section);
        }
    }
    Ok(words)
}

/// A field by the name a job file or a call gives it.
pub(super) fn field(name: &str) -> Option<Field> {
    let name = name.trim().to_lowercase().replace([' ', '_'], "-");
    let name = if name == "edges" { "band" } else { &name };
    FIELDS
        .iter()
        .find(|(known, _)| *known == name)
        .map(|(_, field)| *field)
}

/// Whether a column can hold this.
pub fn is_field(name: &str) -> bool {
    field(name).is_some()
}

/// Names of the columns a person can assign, in the order a list has them.
pub fn field_names() -> impl Iterator<Item = &'static str> {
    FIELDS.iter().map(|(name, _)| *name)
}

impl Field {
    /// The name a job file or a call gives it.
    pub(super) fn name(self) -> &'static str {
        FIELDS
            .iter()
            .find(|(_, field)| *field == self)
            .map_or("item", |(name, _)| *name)
    }
}

const FIELDS: [(&str, Field); 34] = [
    ("cabinet", Field::Cabinet),
    ("part", Field::Part),
    ("quantity", Field::Quantity),
    ("quantity-per-cabinet", Field::QuantityPerCabinet),
    ("quantity-total", Field::QuantityTotal),
    ("cabinet-count", Field::CabinetCount),
    ("length", Field::Length),
    ("width", Field::Width),
    ("thickness", Field::Thickness),
    ("height", Field::Height),
    ("depth", Field::Depth),
    ("size", Field::Size),
    ("material", Field::Material),
    ("note", Field::Note),
    ("grain", Field::Grain),
    ("band", Field::Band),
    ("band-length-1", Field::BandLength1),
    ("band-length-2", Field::BandLength2),
    ("band-width-1", Field::BandWidth1),
    ("band-width-2", Field::BandWidth2),
    ("band-length-count", Field::BandLengthCount),
    ("band-width-count", Field::BandWidthCount),
    ("band-thickness", Field::BandThickness),
    ("hand", Field::Hand),
    ("unit", Field::Unit),
    ("number", Field::Number),
    ("hinge-side", Field::HingeSide),
    ("bore", Field::Bore),
    ("bore-from-top", Field::BoreFromTop),
    ("bore-from-bottom", Field::BoreFromBottom),
    ("bore-centre", Field::BoreCentre),
    ("bore-rim", Field::BoreRim),
    ("bore-diameter", Field::BoreDiameter),
    ("unused", Field::Unused),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_reads_and_no_word_means_two_things() {
        let file: File = toml::from_str(TABLE).unwrap();
        let words = load(TABLE).unwrap();
        let mut seen: BTreeMap<String, (Role, String)> = BTreeMap::new();
        for (role, list) in &file.parts {
            assert!(!list.is_empty(), "{role:?}");
            for word in list {
                if let Some((other, before)) = seen.insert(key(word), (*role, word.clone())) {
                    assert_eq!(other, *role, "`{word}` and `{before}`");
                }
                assert!(
                    !words.no_part.contains_key(&key(word)),
                    "`{word}` is a part and none"
                );
            }
        }
        for role in Role::ALL {
            assert!(
                seen.values().any(|(known, _)| *known == role),
                "no word for {role:?}"
            );
            // The program's own word for a part is one of them.
            assert_eq!(
                seen.get(&key(role.word())).map(|(r, _)| *r),
                Some(role),
                "{role:?}"
            );
        }
        let mut columns: BTreeMap<String, Field> = BTreeMap::new();
        for (field, list) in &file.columns {
            for word in list {
                if let Some(other) = columns.insert(key(word), *field) {
                    assert_eq!(other, *field, "column word `{word}`");
                }
            }
        }
        for guessed in file.no_part.guesses.keys() {
            assert!(file.no_part.words.contains(guessed), "{guessed}");
        }
    }

    #[test]
    fn fields_have_names_both_ways() {
        for (name, known) in FIELDS {
            assert_eq!(field(name), Some(known));
            assert_eq!(known.name(), name);
        }
        assert_eq!(
            field("Quantity per cabinet"),
            Some(Field::QuantityPerCabinet)
        );
        assert_eq!(field("nothing of the kind"), None);
    }
}
