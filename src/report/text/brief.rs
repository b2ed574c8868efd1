//! The report of a check that follows another: the outcome, the findings in a
//! line or two each, and what came or went since.

use super::page::{Page, Tone};
use super::tone;
use crate::report::words::count;
use crate::report::{Report, totals};
use crate::signoff::open;

/// Open items that are named each; of more, only how many there are.
const NAMED: usize = 5;

/// What a check found, to tell the next one apart from.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Seen {
    /// Id and message, in the order of reading.
    pub findings: Vec<(String, String)>,
}

pub(in crate::report) fn seen(report: &Report<'_>) -> Seen {
    let findings = report.audit.findings.iter().enumerate();
    Seen {
        findings: findings
            .filter(|(index, _)| report.accepted_finding(*index).is_none())
            .map(|(_, finding)| (finding.id.clone(), finding.message.clone()))
            .collect(),
    }
}

pub(in crate::report) fn render(
    report: &Report<'_>,
    before: Option<&Seen>,
    colour: bool,
) -> String {
    let mut page = Page::new(colour);
    page.line(tone(report.outcome()), &report.outcome_sentence());
    page.line(Tone::Plain, &totals::sentence(report));
    let now = seen(report);
    for (index, finding) in report.audit.findings.iter().enumerate() {
        if report.accepted_finding(index).is_some() {
            continue;
        }
        let was_there = before.is_none_or(|before| holds(before, &finding.id));
        let new = if was_there { "" } else { "new: " };
        let label = format!("{:<4}", Report::id(index));
        page.wrapped(
            Tone::Bad,
            &label,
            "    ",
            &format!("{new}{}", finding.message),
        );
    }
    let open: Vec<_> = open::items(report.audit)
        .into_iter()
        .enumerate()
        .filter(|(index, _)| report.accepted_open(*index).is_none())
        .collect();
    for (index, item) in open.iter().take(NAMED) {
        let label = format!("{:<4}", Report::open_id(*index));
        page.wrapped(Tone::Open, &label, "    ", &item.text);
    }
    if let Some(more) = open.len().checked_sub(NAMED).filter(|more| *more > 0) {
        page.wrapped(
            Tone::Open,
            "    ",
            "    ",
            &format!("and {} not checked", count(more, "further thing")),
        );
    }
    for (_, message) in before
        .iter()
        .flat_map(|before| &before.findings)
        .filter(|(id, _)| !holds(&now, id))
    {
        page.wrapped(Tone::Good, "    ", "    ", &format!("gone: {message}"));
    }
    page.finish()
}

fn holds(seen: &Seen, id: &str) -> bool {
    seen.findings.iter().any(|(other, _)| other == id)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::sample;

    #[test]
    fn what_came_and_went_is_said() {
        let (job, audit) = (sample::job(), sample::audit());
        let report = Report::new(&job, &audit);
        let first = render(&report, None, false);
        assert!(
            !first.contains("new:") && !first.contains("gone:"),
            "{first}"
        );
        insta::assert_snapshot!(first);
        let clean = sample::clean_audit();
        let clean = Report::new(&job, &clean);
        let after = render(&clean, Some(&seen(&report)), false);
        assert!(after.contains("gone: B2"), "{after}");
        let again = render(&report, Some(&seen(&clean)), false);
        assert!(again.contains("F1  new: "), "{again}");
        assert_eq!(render(&report, Some(&seen(&report)), false), first);
    }
}
