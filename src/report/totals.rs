//! The totals that end every report: rows, sizes, views and entities, each in one bin.

use super::{Report, words};
use crate::audit::Bin;

/// One line each: what, how many, and the bins.
pub(super) fn lines(report: &Report<'_>) -> Vec<String> {
    let audit = report.audit;
    let rows: usize = report.job.lists.iter().map(|list| list.rows.len()).sum();
    let count = |bin| audit.coverage.iter().filter(|size| size.bin == bin).count();
    let entities: u64 = audit.sheets.iter().map(|sheet| sheet.entities).sum();
    let in_views: u64 = audit.sheets.iter().map(|sheet| sheet.in_views).sum();
    vec![
        words::count(audit.findings.len(), "finding"),
        format!(
            "{} sizes and quantities in {}: {} agree, {} disagree, {} not checked",
            audit.coverage.len(),
            words::count(rows, "row"),
            count(Bin::Agrees),
            count(Bin::Disagrees),
            count(Bin::Unchecked),
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
    let count = |bin| covered.iter().filter(|size| size.bin == bin).count();
    format!(
        "{}. {} in {}: {} agree, {} disagree, {} not checked.",
        words::count(report.audit.findings.len(), "finding"),
        words::count(covered.len(), "size"),
        words::count(rows, "row"),
        count(Bin::Agrees),
        count(Bin::Disagrees),
        count(Bin::Unchecked),
    )
}
