//! The report for a terminal: 80 columns, readable without colour. The outcome
//! first, then what to fix first, the cabinets, and how far the checking went.

pub(super) mod brief;
mod coverage;
mod explain;
mod findings;
pub(crate) mod page;
mod reflow;
mod sizes;

use super::{Report, totals, words};
use crate::audit::Outcome;
use crate::signoff::open;
pub use explain::kind;
pub(super) use explain::{explain, explain_open};
use page::{Page, Tone};
pub(crate) use reflow::reflow;

pub(super) fn render(report: &Report<'_>, colour: bool) -> String {
    let mut page = Page::new(colour);
    page.line(Tone::Heading, &report.job.name);
    page.line(tone(report.outcome()), &report.outcome_sentence());
    findings::print(&mut page, report);
    accepted(&mut page, report);
    sizes::print(&mut page, report);
    coverage::print(&mut page, report);
    if !report.audit.assumptions.is_empty() {
        page.heading("Taken as given");
        for assumption in &report.audit.assumptions {
            page.item(
                0,
                &format!(
                    "{} ({}; decided {})",
                    assumption.sentence,
                    words::origin(&assumption.origin),
                    words::count(assumption.decided, "size")
                ),
            );
        }
    }
    if !report.audit.cautions.is_empty() {
        page.heading("Cautions");
        for caution in &report.audit.cautions {
            page.item(0, caution.text);
        }
    }
    page.heading("Totals");
    for line in totals::lines(report) {
        page.item(0, &line);
    }
    page.finish()
}

/// What was accepted, and what no longer is.
fn accepted(page: &mut Page, report: &Report<'_>) {
    let findings = report.audit.findings.iter().enumerate();
    let findings = findings.filter_map(|(index, finding)| {
        let entry = report.accepted_finding(index)?;
        Some((Report::id(index), finding.message.clone(), entry))
    });
    let open = open::items(report.audit).into_iter().enumerate();
    let open = open.filter_map(|(index, item)| {
        let entry = report.accepted_open(index)?;
        Some((Report::open_id(index), item.text, entry))
    });
    let accepted: Vec<_> = findings.chain(open).collect();
    if !accepted.is_empty() {
        page.heading("Accepted");
    }
    for (id, says, entry) in accepted {
        page.wrapped(Tone::Plain, &format!("{id:<4}"), "    ", &says);
        page.wrapped(Tone::Plain, "    ", "    ", &words::accepted(entry));
    }
    let lapsed = report.lapsed();
    if !lapsed.is_empty() {
        page.blank();
        page.line(Tone::Open, "No longer accepted:");
        for sentence in lapsed {
            page.item(0, &sentence);
        }
    }
}

const fn tone(outcome: Outcome) -> Tone {
    match outcome {
        Outcome::Agrees => Tone::Good,
        Outcome::Disagrees | Outcome::Unusable => Tone::Bad,
        Outcome::Unchecked => Tone::Open,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::{Format, sample};
    use unicode_width::UnicodeWidthStr;

    #[test]
    fn a_job_with_findings() {
        let (job, audit) = (sample::job(), sample::audit());
        let text = Report::new(&job, &audit).render(Format::Text, false);
        assert!(
            text.lines().all(|line| line.width() <= page::WIDTH),
            "{text}"
        );
        insta::assert_snapshot!(text);
    }

    #[test]
    fn a_job_with_accepted_deviations() {
        let (job, audit) = (sample::job(), sample::audit());
        let settled = sample::settled(&job, &audit);
        let text = Report::new(&job, &audit)
            .settled(&settled)
            .render(Format::Text, false);
        insta::assert_snapshot!(text);
    }

    #[test]
    fn a_job_without_findings() {
        let (job, audit) = (sample::job(), sample::clean_audit());
        insta::assert_snapshot!(Report::new(&job, &audit).render(Format::Text, false));
    }

    #[test]
    fn colour_adds_nothing_but_colour() {
        let (job, audit) = (sample::job(), sample::audit());
        let report = Report::new(&job, &audit);
        let coloured = report.render(Format::Text, true);
        assert!(coloured.contains("\u{1b}[1;31m"));
        let mut plain = String::new();
        for piece in coloured.split('\u{1b}') {
            plain.push_str(
                piece
                    .strip_prefix('[')
                    .and_then(|piece| piece.split_once('m'))
                    .map_or(piece, |(_, rest)| rest),
            );
        }
        assert_eq!(plain, report.render(Format::Text, false));
    }
}
