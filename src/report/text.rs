//! The report for a terminal: 80 columns, readable without colour.

use super::{Report, words};

pub(super) fn render(report: &Report<'_>, _colour: bool) -> String {
    let mut text = format!("{}\n", words::outcome_sentence(report.audit.outcome));
    for (index, finding) in report.audit.findings.iter().enumerate() {
        text.push_str(&format!("{} {}\n", Report::id(index), finding.message));
    }
    text.push_str(&format!(
        "{} checked\n",
        words::count(report.audit.coverage.len(), "size")
    ));
    text
}
