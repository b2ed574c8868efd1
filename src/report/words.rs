//! The words every report uses for kinds, causes, outcomes and places.

use crate::audit::{Bin, CauseKind, FindingKind, Job, Outcome};
use crate::construction::Origin;
use crate::linework::CleanLine;
use crate::view::{ViewId, ViewKind};

pub const fn outcome(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Agrees => "agrees",
        Outcome::Disagrees => "disagrees",
        Outcome::Unusable => "unusable",
        Outcome::Unchecked => "unchecked",
    }
}

/// The outcome as a sentence.
pub const fn outcome_sentence(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Agrees => "The list agrees with the drawing. Everything was checked.",
        Outcome::Disagrees => "The list and the drawing disagree. Do not cut yet.",
        Outcome::Unusable => "Nothing could be checked.",
        Outcome::Unchecked => "Nothing disagrees, but not everything could be checked.",
    }
}

pub const fn finding(kind: FindingKind) -> &'static str {
    super::kinds::finding(kind).word
}

pub const fn cause(kind: CauseKind) -> &'static str {
    super::kinds::cause(kind).word
}

pub const fn bin(bin: Bin) -> &'static str {
    match bin {
        Bin::Agrees => "agrees",
        Bin::Disagrees => "disagrees",
        Bin::Unchecked => "unchecked",
    }
}

pub const fn view_kind(kind: ViewKind) -> &'static str {
    match kind {
        ViewKind::Front => "front",
        ViewKind::End => "end",
        ViewKind::Section => "section",
        ViewKind::Plan => "plan",
        ViewKind::FlatPart => "flat part",
        ViewKind::Unknown => "view",
    }
}

/// Where a relation came from.
pub fn origin(origin: &Origin) -> String {
    match origin {
        Origin::Drawn => "drawn".to_owned(),
        Origin::JobFile { line } => format!("job file, line {line}"),
        Origin::Preset { name } if name == crate::construction::DRAWN_GEOMETRY => name.clone(),
        Origin::Preset { name } => format!("preset {name}"),
        Origin::Inferred {
            support,
            against: 0,
        } => {
            format!("inferred from {support} cabinets of this job")
        }
        Origin::Inferred { support, against } => {
            format!("inferred from {support} cabinets of this job, {against} against")
        }
    }
}

/// "B2 FRONT (front, glaze.dxf)".
pub fn view(job: &Job, id: ViewId) -> String {
    let Some(view) = job.views.views.get(id) else {
        return "unknown view".to_owned();
    };
    let file = job
        .sheets
        .get(view.sheet)
        .map_or("", |sheet| file_name(&sheet.file));
    let kind = view_kind(view.kind);
    match &view.title {
        Some(title) => format!("{} ({kind}, {file})", title.text.replace('\n', " ")),
        None if view.cabinets.is_empty() => format!("{kind} in {file}"),
        None => format!("{kind} of {} in {file}", view.cabinets.join(", ")),
    }
}

/// The last component of a shown path.
pub fn file_name(shown: &str) -> &str {
    shown.rsplit(['/', '\\']).next().unwrap_or(shown)
}

/// "1 entity", "40 entities".
pub fn entities(count: u64) -> String {
    if count == 1 {
        "1 entity".to_owned()
    } else {
        format!("{count} entities")
    }
}

/// "LINE 2F1 on layer 0": the entity a line came from.
pub fn entity(job: &Job, view: ViewId, line: &CleanLine) -> Option<String> {
    let sheet = job.sheets.get(job.views.views.get(view)?.sheet)?;
    let source = sheet.sources.get(line.source as usize)?;
    let kind = format!("{:?}", source.kind).to_ascii_uppercase();
    let kind = if kind == "FACE3D" { "3DFACE" } else { &kind };
    let layer = sheet
        .layers
        .get(source.layer as usize)
        .map_or("0", String::as_str);
    Some(if source.handle == 0 {
        format!("{kind} at line {} on layer {layer}", source.position)
    } else {
        format!("{kind} {:X} on layer {layer}", source.handle)
    })
}

/// "1 row", "3 rows".
pub fn count(number: usize, one: &str) -> String {
    if number == 1 {
        format!("1 {one}")
    } else {
        format!("{number} {one}s")
    }
}

/// "left face of the left side (LINE 2F) to right face of the right side (LINE 31)".
pub fn between(job: &Job, span: &crate::cabinet::Span) -> String {
    let end = |edge: &crate::cabinet::Edge| match entity(job, span.view, &edge.line) {
        Some(entity) => format!("{} ({entity})", edge.name),
        None => edge.name.clone(),
    };
    format!("{} to {}", end(&span.lo), end(&span.hi))
}

/// True for what must not reach a terminal or an XML file as it is: control
/// characters, and the invisible ones that reorder text.
pub fn is_unprintable(character: char) -> bool {
    character.is_control()
        || matches!(
            character,
            '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{fffe}' | '\u{ffff}'
        )
}

/// Input text for a terminal: one line, nothing that could move the cursor.
pub fn printable(text: &str) -> String {
    text.chars()
        .map(|character| match character {
            '\n' | '\t' | '\r' => ' ',
            other if is_unprintable(other) => '\u{fffd}',
            other => other,
        })
        .collect()
}

/// "cutlist.csv line 7", "job.xlsx sheet Case line 7".
pub fn place(source: &crate::cutlist::RowSource) -> String {
    let file = file_name(&source.file);
    match &source.sheet {
        Some(sheet) => format!("{file} sheet {sheet} line {}", source.line),
        None => format!("{file} line {}", source.line),
    }
}

/// The cells of a row as written, in the order of their columns; the one that
/// is meant is pointed at.
pub struct Quoted<'a> {
    pub text: &'a str,
    pub meant: bool,
}

/// The cells of the row a size stands in.
pub fn cells<'a>(job: &'a Job, size: &'a crate::audit::RowSize) -> Vec<Quoted<'a>> {
    let row = job
        .lists
        .iter()
        .filter(|list| list.file == size.row.file)
        .flat_map(|list| &list.rows)
        .find(|row| row.source == size.row);
    let Some(row) = row else {
        return vec![
            Quoted {
                text: &size.part,
                meant: false,
            },
            Quoted {
                text: &size.text,
                meant: true,
            },
        ];
    };
    let mut numbers: Vec<(usize, &str)> = row
        .sizes
        .iter()
        .map(|cell| (cell.column, &*cell.text))
        .collect();
    if row.quantity.column > 0 {
        numbers.push((row.quantity.column, &row.quantity.text));
    }
    numbers.sort();
    // One cell may hold several sizes: quote it once.
    numbers.dedup();
    [&*row.cabinet_text, &*row.part]
        .into_iter()
        .filter(|text| !text.is_empty())
        .map(|text| Quoted { text, meant: false })
        .chain(numbers.iter().map(|(column, text)| Quoted {
            text,
            meant: *column == size.column,
        }))
        .collect()
}

/// "B2 | Side | 2 | >31< | 23 1/4 | 3/4".
pub fn quote(job: &Job, size: &crate::audit::RowSize) -> String {
    let cells: Vec<_> = cells(job, size)
        .iter()
        .map(|cell| {
            if cell.meant {
                format!(">{}<", cell.text.trim())
            } else {
                cell.text.trim().to_owned()
            }
        })
        .collect();
    cells.join(" | ")
}

/// Orders names as a person does: B2 before B10.
pub fn natural(a: &str, b: &str) -> std::cmp::Ordering {
    let key = |text: &str| -> Vec<(String, u128)> {
        let mut pieces = vec![(String::new(), 0_u128)];
        let mut in_number = false;
        for character in text.chars() {
            match (character.to_digit(10), pieces.last_mut()) {
                (Some(digit), Some((_, number))) => {
                    *number = number.saturating_mul(10).saturating_add(u128::from(digit));
                    in_number = true;
                }
                (None, _) if in_number => {
                    pieces.push((character.to_string(), 0));
                    in_number = false;
                }
                (None, Some((letters, _))) => letters.push(character),
                (_, None) => {}
            }
        }
        pieces
    };
    // The text itself decides between `B1` and `B01`.
    key(a).cmp(&key(b)).then_with(|| a.cmp(b))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_ordered_as_a_person_does() {
        let mut names = ["B10", "W1", "B2", "B1a", "B1", "B01"];
        names.sort_by(|a, b| natural(a, b));
        assert_eq!(names, ["B01", "B1", "B1a", "B2", "B10", "W1"]);
    }
}
