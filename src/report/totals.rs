//! The totals that end every report: rows, sizes, views and entities, each in one bin.

use super::{Report, words};
use crate::audit::totals;

/// One line each: what, how many, and the bins.
pub(super) fn lines(report: &Report<'_>) -> Vec<String> {
    let audit = report.audit;
    let rows: usize = report.job.lists.iter().map(|list| list.rows.len()).sum();
    let (agree, disagree, open) = totals(&audit.coverage);
    let entities: u64 = audit.sheets.iter().map(|sheet| sheet.entities).sum();
    let in_views: u64 = audit.sheets.iter().map(|sheet| sheet.in_views).sum();
    vec![
        words::count(audit.findings.len(), "finding"),
        format!(
            "{} sizes and quantities in {}: {agree} agree, {disagree} disagree, {open} not checked",
            audit.coverage.len(),
            words::count(rows, "row"),
        ),
        format!(
            "{}: {} compared, {} not checked",
            words::count(audit.views.read, "view"),
            audit.views.compared,
            audit.views.unchecked
        ),
        format!(
            "{}: {in_views} in views, {} left out for a stated reason",
            words::entities(entities),
            entities.saturating_sub(in_views)
        ),
    ]
}

/// "5 findings. 8 sizes in 5 rows: 3 agree, 3 disagree, 2 not checked."
pub(super) fn sentence(report: &Report<'_>) -> String {
    let rows: usize = report.job.lists.iter().map(|list| list.rows.len()).sum();
    let covered = &report.audit.coverage;
    let (agree, disagree, open) = totals(covered);
    format!(
        "{}. {} in {}: {agree} agree, {disagree} disagree, {open} not checked.",
        words::count(report.audit.findings.len(), "finding"),
        words::count(covered.len(), "size"),
        words::count(rows, "row"),
    )
}
