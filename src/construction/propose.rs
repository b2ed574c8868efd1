//! A first job file for a job: what was recognised and what the job itself shows,
//! with how many cabinets show it. Everything that would change a check is a comment,
//! for a person to take or leave.

use super::job::keys::SECTIONS;
use super::number::Ratio;
use super::{Rules, choices, names};
use crate::cabinet::{Measured, MeasuredCabinet, Style};
use crate::cutlist::CutList;
use crate::length::Unit;
use crate::plain::{file_name, is_unprintable};
use crate::view::{Reading, Scale, Title, View, ViewId, ViewKind};
use std::fmt::Write;

/// What a proposal is made from.
#[derive(Clone, Copy, Debug)]
pub struct Proposal<'a> {
    pub name: &'a str,
    /// Unit most sizes of the lists are written in.
    pub unit: Option<Unit>,
    /// With [`Rules::infer`] done.
    pub rules: &'a Rules,
    pub cabinets: &'a [MeasuredCabinet],
    pub lists: &'a [CutList],
    pub views: &'a Reading,
    /// The drawings' names, in the order the views refer to them.
    pub drawings: &'a [String],
}

/// Longest list of names printed on one line.
const MOST_NAMES: usize = 8;

/// The text of a first job file.
pub fn proposal(job: &Proposal<'_>) -> String {
    let mut out = String::new();
    let _ = writeln!(
        out,
        "# Job file for `dryfit`, written by `dryfit init`. Lines behind # are proposals:\n\
         # take the # away from those that are right. `dryfit explain job-file` explains\n\
         # every key.\n"
    );
    job_section(&mut out, job);
    tolerance(&mut out);
    drawing(&mut out, job);
    list(&mut out, job);
    construction(&mut out, job);
    sizes(&mut out, job);
    relations(&mut out);
    cabinets(&mut out, job);
    runs(&mut out, job);
    super::narrow::narrow(&out)
}

/// A TOML string.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => {
                out.push('\\');
                out.push(c);
            }
            c if is_unprintable(c) => {
                let _ = write!(out, "\\u{:04X}", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

/// Text for a comment: one line, whatever is in it.
fn comment(text: &str) -> String {
    text.chars()
        .map(|c| if is_unprintable(c) { ' ' } else { c })
        .collect()
}

fn meaning(heading: &str) -> &'static str {
    SECTIONS
        .iter()
        .find(|section| section.heading == heading)
        .map_or("", |section| section.meaning)
}

fn section(out: &mut String, heading: &str) {
    let _ = writeln!(out, "# {}\n{heading}", meaning(heading));
}

fn unit_word(unit: Unit) -> &'static str {
    if unit.is_imperial() { "in" } else { "mm" }
}

fn job_section(out: &mut String, job: &Proposal<'_>) {
    section(out, "[job]");
    let _ = writeln!(out, "name = {}", quoted(job.name));
    match job.unit {
        Some(unit) => {
            let _ = writeln!(
                out,
                "units = \"{}\" # most sizes of the list are written so",
                unit_word(unit)
            );
        }
        None => out.push_str("# units = \"in\"\n"),
    }
    out.push('\n');
}

fn tolerance(out: &mut String) {
    section(out, "[tolerance]");
    out.push_str("# default = \"1/32 in\"\n\n");
}

/// True for a view of no cabinet, or of one that only has the name it was measured under.
fn is_untitled(job: &Proposal<'_>, view: &View) -> bool {
    let mut names = view.cabinets.iter();
    names.all(|name| job.views.untitled.contains(name))
}

/// Title or file of a view, to know it by: its place, where the title is none of the
/// drawing's.
fn known_by(job: &Proposal<'_>, view: &View) -> Vec<String> {
    let mut keys = Vec::new();
    if let Some(file) = job.drawings.get(view.sheet) {
        let name = file_name(file);
        keys.push(format!("file = {}", quoted(name)));
    }
    let titled = |other: &&View| {
        let text = |view: &View| view.title.as_ref().map(|title| title.text.clone());
        other.sheet == view.sheet && text(other) == text(view)
    };
    let alone = job.views.views.iter().filter(titled).count() == 1;
    let written = |title: &&Title| !job.views.untitled.contains(&title.text);
    match view.title.as_ref().filter(written) {
        Some(title) if alone => keys.push(format!("title = {}", quoted(&title.text))),
        _ => {
            let region = view.region();
            let sides = region.map(|side| format!("{}", (side * 1000.0).round() / 1000.0));
            keys.push(format!("region = [{}]", sides.join(", ")));
        }
    }
    keys
}

fn drawing(out: &mut String, job: &Proposal<'_>) {
    section(out, "[drawing]");
    let mut scales: Vec<(String, usize)> = Vec::new();
    for view in &job.views.views {
        let said = match &view.scale {
            Scale::Known {
                mm_per_unit,
                evidence,
            } => format!(
                "1 drawing unit is {mm_per_unit:.4} mm: {}",
                evidence.first().map_or("", String::as_str)
            ),
            Scale::Unknown { reason } => format!("scale not known: {reason}"),
        };
        match scales.iter_mut().find(|(known, _)| *known == said) {
            Some((_, count)) => *count += 1,
            None => scales.push((said, 1)),
        }
    }
    for (said, count) in scales {
        let views = if count == 1 { "view" } else { "views" };
        let _ = writeln!(out, "# {count} {views}: {}", comment(&said));
    }
    out.push_str("# units = \"in\"\n# scale = \"1:12\"\n\n");
    let unclear: Vec<(ViewId, &View)> = job
        .views
        .views
        .iter()
        .enumerate()
        .filter(|(_, view)| {
            is_untitled(job, view)
                || view.kind == ViewKind::Unknown
                || matches!(view.scale, Scale::Unknown { .. })
        })
        .collect();
    let left = unclear.len().saturating_sub(MOST_NAMES);
    for (id, view) in unclear.into_iter().take(MOST_NAMES) {
        let place = job.views.place(id);
        let _ = writeln!(
            out,
            "# not recognised for certain{}: {}\n# [[view]]",
            place.map_or_else(String::new, |place| format!(" ({place})")),
            comment(&view.kind_evidence)
        );
        for key in known_by(job, view) {
            let _ = writeln!(out, "# {key}");
        }
        out.push_str("# kind = \"front\"\n# cabinets = [\"B1\"]\n\n");
    }
    if left > 0 {
        let _ = writeln!(
            out,
            "# and {left} more views; `dryfit measure` lists them\n"
        );
    }
}

fn list(out: &mut String, job: &Proposal<'_>) {
    section(out, "[list]");
    for list in job.lists {
        let _ = writeln!(out, "# {} was read so:", comment(&list.file));
        for line in &list.reading {
            let _ = writeln!(out, "#   {}", comment(line));
        }
    }
    out.push_str("# quantity = \"cabinet\"\n# sizes = \"finished\"\n\n");
    let mut unknown: Vec<&str> = job
        .lists
        .iter()
        .flat_map(|list| &list.rows)
        .filter(|row| row.role().is_none())
        .map(|row| row.part.as_str())
        .collect();
    unknown.sort_unstable();
    unknown.dedup();
    if !unknown.is_empty() {
        let _ = writeln!(
            out,
            "# parts that were not understood, each to be given its role\n[list.words]"
        );
        for word in unknown.iter().take(40) {
            let _ = writeln!(out, "# {} = \"side\"", quoted(word));
        }
        out.push('\n');
    }
}

/// "7 of 8 cabinets; not B3, B5".
fn count(support: usize, against: &[String]) -> String {
    let all = support + against.len();
    let mut said = format!(
        "{support} of {all} cabinet{}",
        if all == 1 { "" } else { "s" }
    );
    if !against.is_empty() {
        let names: Vec<&str> = against
            .iter()
            .take(MOST_NAMES)
            .map(String::as_str)
            .collect();
        let more = against.len().saturating_sub(MOST_NAMES);
        let _ = write!(said, "; not {}", names.join(", "));
        if more > 0 {
            let _ = write!(said, " and {more} more");
        }
    }
    comment(&said)
}

fn construction(out: &mut String, job: &Proposal<'_>) {
    section(out, "[construction]");
    let style = |style: Style| {
        job.cabinets
            .iter()
            .filter(|cabinet| cabinet.style == style)
            .count()
    };
    let (framed, frameless) = (style(Style::FaceFrame), style(Style::Frameless));
    let _ = writeln!(
        out,
        "# {framed} cabinets are drawn with a face frame, {frameless} without"
    );
    let _ = writeln!(
        out,
        "# preset = \"{}\"",
        if frameless > framed {
            "frameless-captured"
        } else {
            "face-frame-grooved"
        }
    );
    for choice in choices::CHOICES {
        let answers: Vec<&str> = choice.answers.iter().map(|(answer, _)| *answer).collect();
        match job.rules.inferred_answers.get(choice.key) {
            Some(inferred) => {
                let _ = writeln!(
                    out,
                    "# {} = \"{}\" # shown by {}",
                    choice.key,
                    inferred.word,
                    count(inferred.support.len(), &inferred.against)
                );
            }
            None => {
                let _ = writeln!(
                    out,
                    "# {} = \"\" # {}: {}",
                    choice.key,
                    choice.meaning,
                    answers.join(", ")
                );
            }
        }
    }
    out.push('\n');
}

fn sizes(out: &mut String, job: &Proposal<'_>) {
    section(out, "[sizes]");
    if job.rules.inferences.is_empty() {
        out.push_str("# the job itself shows none for certain\n# groove.depth = \"1/4 in\"\n");
    }
    for (name, inference) in &job.rules.inferences {
        let against: Vec<String> = inference
            .against
            .iter()
            .map(|(name, other)| match other {
                Some(other) => format!("{name} ({})", job.rules.print(Ratio::ticks(*other))),
                None => name.clone(),
            })
            .collect();
        let meaning = names::find(name).map_or("", |entry| entry.meaning);
        let _ = writeln!(
            out,
            "# {meaning}; shown by {}\n# {name} = \"{}\"",
            count(inference.support.len(), &against),
            job.rules.print_exactly(inference.value)
        );
    }
    out.push('\n');
}

fn relations(out: &mut String) {
    section(out, "[relations]");
    out.push_str("# bottom.across = \"interior.width + 2 * groove.depth\"\n\n");
}

fn cabinets(out: &mut String, job: &Proposal<'_>) {
    if job.cabinets.is_empty() {
        return;
    }
    let _ = writeln!(
        out,
        "# cabinets as measured, {}:",
        meaning("[cabinet.NAME]")
    );
    let size = |measured: &Measured| match measured {
        Measured::Known(measure) => job.rules.print(Ratio::ticks(measure.span.length())),
        Measured::Unknown { .. } => "?".to_owned(),
    };
    for cabinet in job.cabinets {
        let style = match cabinet.style {
            Style::FaceFrame => "face frame",
            Style::Frameless => "frameless",
            Style::Unknown => "style not recognised",
        };
        let _ = writeln!(
            out,
            "# [cabinet.{}] # {style}, {} wide, {} high, {} deep",
            key(&cabinet.id),
            size(&cabinet.overall.width),
            size(&cabinet.overall.height),
            size(&cabinet.overall.depth)
        );
        if cabinet.style == Style::Unknown {
            out.push_str("# style = \"face-frame\"\n");
        }
    }
    out.push('\n');
}

/// A name as a TOML key.
fn key(name: &str) -> String {
    let bare = !name.is_empty()
        && name
            .bytes()
            .all(|byte| byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'_'));
    if bare { name.to_owned() } else { quoted(name) }
}

fn runs(out: &mut String, job: &Proposal<'_>) {
    // A front elevation of several cabinets is a run.
    let mut drawn: Vec<&[String]> = job
        .views
        .views
        .iter()
        .filter(|view| view.kind == ViewKind::Front && view.cabinets.len() > 1)
        .map(|view| view.cabinets.as_slice())
        .collect();
    drawn.dedup();
    let _ = writeln!(out, "# {}", meaning("[[run]]"));
    if drawn.is_empty() {
        out.push_str("# [[run]]\n# cabinets = [\"B1\", \"B2\"]\n# wall = \"120 in\"\n");
    }
    for cabinets in drawn {
        let names: Vec<String> = cabinets.iter().map(|name| quoted(name)).collect();
        let _ = writeln!(
            out,
            "# [[run]]\n# cabinets = [{}]\n# wall = \"\"",
            names.join(", ")
        );
    }
}
