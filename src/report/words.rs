//! The words every report uses for kinds, causes, outcomes and places.

pub use crate::plain::{count, file_name, is_unprintable, natural, printable};
pub use crate::signoff::quote::{Quoted, cells, place, quote};

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

/// "left face of the left side (LINE 2F) to right face of the right side (LINE 31)".
pub fn between(job: &Job, span: &crate::cabinet::Span) -> String {
    let end = |edge: &crate::cabinet::Edge| match entity(job, span.view, &edge.line) {
        Some(entity) => format!("{} ({entity})", edge.name),
        None => edge.name.clone(),
    };
    format!("{} to {}", end(&span.lo), end(&span.hi))
}

/// "accepted by Ada on 2026-01-31, until 2026-06-30: as built".
pub fn accepted(entry: &crate::signoff::accepted::Entry) -> String {
    let until = entry
        .until
        .as_ref()
        .map(|until| format!(", until {until}"))
        .unwrap_or_default();
    format!(
        "accepted by {} on {}{until}: {}",
        entry.by, entry.date, entry.reason
    )
}
