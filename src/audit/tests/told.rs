//! What is said of small jobs, word for word: every finding with its causes, and every
//! figure of the list that does not agree. The jobs and the texts stand together in
//! `told/*.txt`: a heading says what is done to a right list of the trial cabinets, whose
//! sizes are worked out by hand; what follows it must be said, and nothing else. Lines
//! that begin with `#` say why the text is right.

mod deeds;

use crate::audit::words::Show;
use crate::audit::{Audit, Bin, Covered, Finding, Job};
use crate::construction::Origin;
use crate::length::Length;
use std::path::Path;

/// One job of a file, and what must be said of it.
struct Story<'a> {
    heading: &'a str,
    told: Vec<&'a str>,
}

fn stories(text: &str) -> Vec<Story<'_>> {
    let mut all: Vec<Story<'_>> = Vec::new();
    for line in text.lines().map(str::trim) {
        match (line.strip_prefix("== "), all.last_mut()) {
            (Some(heading), _) => all.push(Story {
                heading,
                told: Vec::new(),
            }),
            (None, Some(story)) if !line.is_empty() && !line.starts_with('#') => {
                story.told.push(line);
            }
            _ => {}
        }
    }
    all
}

/// Holds every story of a file against what is said. It is read here, so that a story more
/// asks for no compiling.
fn hold(file: &str) {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/src/audit/tests/told");
    let text = std::fs::read_to_string(Path::new(folder).join(file)).unwrap();
    let stories = stories(&text);
    assert!(!stories.is_empty());
    let mut wrong = String::new();
    for story in stories {
        let (heading, much) = match story.heading.rsplit_once(" (") {
            Some((heading, "in full)")) => (heading, Much::All),
            Some((heading, "and what follows)")) => (heading, Much::WhatFollows),
            _ => (story.heading, Much::WhatIsOff),
        };
        let said = said(&deeds::job_of(heading), much);
        let said: Vec<&str> = said.lines().map(str::trim).collect();
        if said != story.told {
            wrong.push_str(&format!("== {}\n{}\n\n", story.heading, said.join("\n")));
        }
    }
    assert!(wrong.is_empty(), "said instead:\n\n{wrong}");
}

/// How much of a report is held against a text.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Much {
    WhatIsOff,
    /// And what the listed parts would build, what was taken for granted and the views.
    WhatFollows,
    /// And every figure that agrees.
    All,
}

/// The report of a job in plain lines.
fn said(job: &Job, much: Much) -> String {
    let audit = crate::audit::audit(job);
    let rows = job.lists.iter().flat_map(|list| &list.rows);
    let cells = rows.flat_map(|row| &row.sizes);
    let show = Show::for_units(cells.map(|cell| cell.unit));
    let size = |length: Length| show.size(length);
    let mut out = format!("{:?}\n", audit.outcome);
    for finding in &audit.findings {
        out.push_str(&finding_said(finding, &size));
    }
    let open = audit.coverage.iter().filter(|entry| {
        let told = audit
            .findings
            .iter()
            .flat_map(|f| f.row.iter().chain(&f.also));
        entry.bin != Bin::Agrees && !told.clone().any(|row| *row == entry.size)
    });
    for entry in open {
        out.push_str(&covered_said(entry, &size));
    }
    for line in &audit.unchecked {
        out.push_str(&format!("open: {line}\n"));
    }
    // What agrees by more than what is drawn of it is of interest.
    let drawn = |entry: &&Covered| {
        let (first, rest) = entry.by.split_once("; ").unwrap_or((&entry.by, ""));
        let plainly = first.starts_with("drawn ") || first.ends_with(" drawn");
        plainly && (rest.is_empty() || rest.starts_with("same by ") && !rest.contains("; "))
    };
    let agree = |entry: &&Covered| entry.bin == Bin::Agrees;
    let told = |entry: &&Covered| much == Much::All || !drawn(entry);
    for entry in audit.coverage.iter().filter(agree).filter(told) {
        let margin = entry.margin.map(|left| format!(", {} left", size(left)));
        let margin = margin.unwrap_or_default();
        let said = covered_said(entry, &size);
        out.push_str(&format!("{}{margin}\n", said.trim_end()));
    }
    if much >= Much::WhatFollows {
        out.push_str(&rest_said(&audit, &size));
    }
    out.push_str(&agreeing(&audit));
    out
}

fn finding_said(finding: &Finding, size: &dyn Fn(Length) -> String) -> String {
    let mut out = format!("{:?} {}\n{}\n", finding.kind, finding.id, finding.message);
    if let Some(measured) = &finding.measured {
        out.push_str(&format!("between: {}\n", measured.sentence));
    }
    if let Some((relation, origin)) = &finding.relation {
        out.push_str(&format!("by: {relation}, {}\n", origin_said(origin)));
    }
    for cause in &finding.causes {
        out.push_str(&format!(
            "cause: {:?} of {}: {} [{}]\n",
            cause.kind,
            cause.explains,
            cause.sentence,
            cause.evidence.join("; ")
        ));
    }
    for row in &finding.also {
        out.push_str(&format!(
            "also: line {} {} '{}'\n",
            row.row.line,
            row.dimension.word(),
            row.text
        ));
    }
    let figures = [
        ("drawn", finding.drawn),
        ("difference", finding.difference),
        ("tolerance", finding.tolerance),
    ];
    let figures = figures
        .into_iter()
        .filter_map(|(name, of)| Some(format!("{name} {}", size(of?))));
    let counts = finding
        .counts
        .map(|(drawn, listed)| format!("{drawn} drawn, {listed} listed"));
    // What is listed is what is drawn and the difference, but for what is no figure of a list.
    let listed = finding.drawn.zip(finding.difference).map(|(a, b)| a + b);
    let listed = (listed.is_some() && finding.listed != listed).then(|| {
        let listed = finding.listed;
        listed.map_or_else(
            || "none listed".to_owned(),
            |of| format!("listed {}", size(of)),
        )
    });
    let figures: Vec<String> = figures.chain(listed).chain(counts).collect();
    if !figures.is_empty() {
        out.push_str(&format!("figures: {}\n", figures.join(", ")));
    }
    out
}

fn origin_said(origin: &Origin) -> String {
    match origin {
        Origin::JobFile { line } => format!("line {line} of the job file"),
        other => format!("{other:?}").to_lowercase(),
    }
}

fn covered_said(entry: &Covered, size: &dyn Fn(Length) -> String) -> String {
    let figure = |name: &str, of: Option<Length>| {
        of.map_or_else(String::new, |of| format!(", {name} {}", size(of)))
    };
    let cabinet = entry.cabinet.as_deref();
    format!(
        "{:?}{}: line {} {} '{}'{}: {}\n",
        entry.bin,
        cabinet.map_or_else(String::new, |name| format!(" in {name}")),
        entry.size.row.line,
        entry.size.dimension.word(),
        entry.size.text,
        figure("should be", entry.expected),
        entry.by
    )
}

fn rest_said(audit: &Audit, size: &dyn Fn(Length) -> String) -> String {
    let mut out = String::new();
    for cabinet in &audit.cabinets {
        for built in &cabinet.sizes {
            let [drawn, listed] =
                [built.drawn, built.listed].map(|of| of.map_or_else(|| "nothing".to_owned(), size));
            out.push_str(&format!(
                "{} {}: {drawn} drawn, {listed} listed. {}\n",
                cabinet.id, built.name, built.by
            ));
        }
    }
    for taken in &audit.assumptions {
        let origin = origin_said(&taken.origin);
        let decided = taken.decided;
        out.push_str(&format!(
            "taken: {} ({origin}, {decided})\n",
            taken.sentence
        ));
    }
    let views = audit.views;
    out.push_str(&format!(
        "views: {} read, {} compared, {} not\n",
        views.read, views.compared, views.unchecked
    ));
    for sheet in &audit.sheets {
        let left_out = sheet.left_out.iter();
        let left_out: Vec<String> = left_out.map(|(why, n)| format!("{n} {why}")).collect();
        out.push_str(&format!(
            "{}: {} read, {} in views; {}\n",
            sheet.file,
            sheet.entities,
            sheet.in_views,
            left_out.join(", ")
        ));
    }
    out
}

/// How many figures agree.
fn agreeing(audit: &Audit) -> String {
    let agree = |entry: &&Covered| entry.bin == Bin::Agrees;
    let figures = audit.coverage.iter().filter(agree).count();
    format!("{figures} of {} agree\n", audit.coverage.len())
}

#[test]
fn a_wrong_figure_of_the_case_is_told_with_its_likely_causes() {
    hold("case.txt");
}

#[test]
fn a_wrong_figure_of_frame_or_fronts_is_told_with_its_likely_causes() {
    hold("fronts.txt");
}

#[test]
fn a_wrong_figure_in_millimetres_is_told_with_its_likely_causes() {
    hold("metric.txt");
}

#[test]
fn the_whole_report_says_what_every_figure_was_held_against() {
    hold("whole.txt");
}

#[test]
fn how_rows_lie_on_parts_and_which_they_stand_for_is_told() {
    hold("places.txt");
}

#[test]
fn what_decides_about_a_size_is_told() {
    hold("decides.txt");
}

#[test]
fn parts_too_many_and_too_few_are_told() {
    hold("counts.txt");
}

#[test]
fn what_lists_are_not_meant_to_cover_is_told() {
    hold("asked.txt");
}

#[test]
fn what_sizes_alone_do_not_decide_is_told() {
    hold("ties.txt");
}

#[test]
fn what_rows_of_several_cabinets_share_is_told() {
    hold("cabinets.txt");
}

#[test]
fn figures_typed_into_the_drawing_that_do_not_add_up_are_told() {
    hold("sums.txt");
}

#[test]
fn figures_typed_coarser_than_the_rest_of_their_sheet_are_told() {
    hold("typed.txt");
}

#[test]
fn what_the_further_checks_say_is_told() {
    hold("further.txt");
}

#[test]
fn joints_that_may_be_hidden_without_a_sign_are_told() {
    hold("joints.txt");
}

#[test]
fn what_a_part_of_several_openings_or_bays_is_held_against_is_told() {
    hold("openings.txt");
}

#[test]
fn what_drawings_of_parts_alone_decide_is_told() {
    hold("alone.txt");
}

#[test]
fn which_rows_several_parts_belong_to_is_told() {
    hold("owners.txt");
}
