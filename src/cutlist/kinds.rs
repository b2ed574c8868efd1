//! What a line is by its own words: a section's heading, a drawn line, a total, a note.

use super::normal::words as split_words;
use super::table::Line;
use super::words::{Section, words};

/// The section a heading opens.
pub(super) fn section(text: &str) -> Option<Section> {
    let spoken: Vec<String> = split_words(text);
    let joined = spoken.concat();
    words().sections.get(&joined).copied()
}

/// The section a title or a file's name tells of: by its last or first words.
pub(super) fn titled_section(text: &str) -> Option<Section> {
    if let Some(section) = section(text) {
        return (section != Section::Group).then_some(section);
    }
    let spoken = split_words(text);
    let table = words();
    (1..spoken.len())
        .rev()
        .flat_map(|length| [spoken.get(spoken.len() - length..), spoken.get(..length)])
        .flatten()
        .find_map(|run| {
            let section = table.sections.get(&run.concat()).copied()?;
            // One word alone at an end decides only where it is no cabinet's word.
            let telling = run.len() > 1
                || matches!(
                    section,
                    Section::Doors | Section::Boring | Section::DrawerBoxes | Section::Frame
                )
                || matches!(
                    run.first().map(String::as_str),
                    Some("countertop" | "worktop" | "plinth")
                );
            (telling && section != Section::Group && section != Section::Case).then_some(section)
        })
}

pub(super) fn is_ruled(line: &Line) -> bool {
    let mut strokes = 0;
    for c in line.raw.chars() {
        match c {
            '-' | '=' | '_' | '+' | '\u{2500}' | '\u{2550}' | '~' => strokes += 1,
            '|' | ',' | ';' | ':' | '"' | ' ' | '\t' => {}
            _ => return false,
        }
    }
    strokes >= 3
}

pub(super) fn is_total(line: &Line) -> bool {
    let Some((_, cell)) = line.filled().next() else {
        return false;
    };
    let spoken = split_words(cell.trimmed());
    let table = words();
    table.total.contains(&spoken.concat())
        || spoken
            .first()
            .is_some_and(|word| matches!(word.as_str(), "total" | "subtotal"))
}

pub(super) fn is_note(text: &str) -> bool {
    let spoken = split_words(text);
    let table = words();
    text.starts_with('*')
        || text.chars().count() > 48
        || spoken.len() > 7
        || spoken.first().is_some_and(|word| table.note.contains(word))
}
