//! The findings, the one to fix first in front.

use super::page::{Page, Tone};
use crate::audit::{Finding, RowSize};
use crate::report::{Report, words};

pub(super) fn print(page: &mut Page, report: &Report<'_>) {
    let findings = report.audit.findings.iter().enumerate();
    let not_accepted = findings.filter(|(index, _)| report.accepted_finding(*index).is_none());
    for (place, (index, finding)) in not_accepted.enumerate() {
        match place {
            0 => page.heading("Fix this first"),
            1 => page.heading("Then"),
            _ => page.blank(),
        }
        one(page, report, index, finding);
    }
}

pub(super) fn one(page: &mut Page, report: &Report<'_>, index: usize, finding: &Finding) {
    let id = format!("{:<4}", Report::id(index));
    page.wrapped(Tone::Bad, &id, "    ", &finding.message);
    if let Some(row) = &finding.row {
        page.labelled(
            Tone::Plain,
            "row",
            &format!(
                "{}: {}",
                words::place(&row.row),
                words::quote(report.job, row)
            ),
        );
    }
    if let Some(text) = drawn(report, finding) {
        let worked_out = finding.measured.is_none() && finding.drawn.is_some();
        let label = if worked_out { "right" } else { "drawn" };
        page.labelled(Tone::Plain, label, &text);
    }
    if let Some(text) = listed(report, finding) {
        page.labelled(Tone::Plain, "listed", &text);
    }
    if let Some((relation, origin)) = &finding.relation {
        page.labelled(
            Tone::Plain,
            "by",
            &format!("{relation} ({})", words::origin(origin)),
        );
    }
    for (rank, cause) in finding.causes.iter().enumerate() {
        // The likeliest cause stands in the message already.
        let told = rank == 0 && finding.message.contains(&cause.sentence);
        let (label, word) = (
            if rank == 0 { "cause" } else { "or" },
            words::cause(cause.kind),
        );
        let text = if told {
            word.to_owned()
        } else {
            format!("{word}: {}", cause.sentence)
        };
        page.labelled(Tone::Plain, label, &text);
        for evidence in &cause.evidence {
            page.item(13, evidence);
        }
    }
    let mut label = "also";
    for row in &finding.also {
        page.labelled(Tone::Plain, label, &also(finding, row));
        label = "";
    }
}

fn drawn(report: &Report<'_>, finding: &Finding) -> Option<String> {
    let size = match (finding.drawn, finding.counts) {
        (Some(drawn), _) => Some(report.sizes.size(drawn)),
        (None, Some((drawn, _))) => Some(drawn.to_string()),
        (None, None) => None,
    };
    let place = finding.measured.as_ref().map(|measured| {
        format!(
            "{}, in {}",
            measured.sentence,
            words::view(report.job, measured.view)
        )
    });
    match (size, place) {
        (Some(size), Some(place)) => Some(format!("{size}: {place}")),
        (size, place) => size.or(place),
    }
}

fn listed(report: &Report<'_>, finding: &Finding) -> Option<String> {
    let Some(listed) = finding.listed else {
        return finding.counts.map(|(_, listed)| listed.to_string());
    };
    let mut text = report.sizes.size(listed);
    if let Some(difference) = finding.difference {
        text.push_str(&format!(", {}", report.sizes.difference(difference)));
        if let Some(tolerance) = finding.tolerance {
            text.push_str(&format!(" (tolerance {})", report.sizes.size(tolerance)));
        }
    }
    Some(text)
}

/// "line 4 Back, width 26 1/4"; the file only where it is another one.
fn also(finding: &Finding, size: &RowSize) -> String {
    let same_file = finding
        .row
        .as_ref()
        .is_some_and(|row| row.row.file == size.row.file && row.row.sheet == size.row.sheet);
    let place = if same_file {
        format!("line {}", size.row.line)
    } else {
        words::place(&size.row)
    };
    format!(
        "{place} {}, {} {}",
        size.part,
        size.dimension.word(),
        size.text
    )
}
