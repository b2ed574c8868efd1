//! The reasoning behind one finding, with this job's numbers.

use super::bench::Bench;
use super::checks::origin;
use super::types::{Audit, Finding, Job, MeasuredBetween};
use super::words;
use crate::length::Length;
use crate::trade::Dimension;

/// Why a finding was made: what is listed, what was measured between which two
/// lines, the relation and where it came from, the tolerance, and how each likely
/// cause was tested. `None` when the audit has no finding of this id.
pub fn explain(job: &Job, audit: &Audit, id: &str) -> Option<String> {
    let finding = audit.findings.iter().find(|finding| finding.id == id)?;
    let bench = Bench::new(job);
    let mut out = Reasoning {
        bench: &bench,
        text: String::new(),
    };
    out.line(&finding.message);
    out.listed(finding);
    out.decided(finding);
    out.compared(finding);
    out.causes(finding);
    out.also(finding);
    Some(out.text)
}

struct Reasoning<'a> {
    bench: &'a Bench<'a>,
    text: String,
}

impl Reasoning<'_> {
    fn line(&mut self, text: &str) {
        self.text.push_str(text);
        self.text.push('\n');
    }

    fn section(&mut self, title: &str) {
        self.text.push('\n');
        self.line(title);
    }

    fn item(&mut self, text: &str) {
        self.line(&format!("  {text}"));
    }

    fn listed(&mut self, finding: &Finding) {
        let Some(row) = &finding.row else { return };
        self.section("What the list says");
        let sheet = row
            .row
            .sheet
            .as_ref()
            .map_or_else(String::new, |sheet| format!(", sheet {sheet}"));
        let column = if row.column > 0 {
            format!(", column {}", row.column)
        } else {
            String::new()
        };
        self.item(&format!(
            "{}{sheet}, line {}{column}: '{}', {} written '{}'",
            row.row.file,
            row.row.line,
            row.part,
            row.dimension.word(),
            row.text
        ));
        let found = self.bench.rows.iter().find(|r| r.source == row.row);
        if let Some(found) = found {
            if let crate::cutlist::Reading::As { role, synonym, .. } = &found.reading {
                self.item(&format!("read as a {} (by '{synonym}')", role.word()));
            }
            let cell = super::fit::cells(found).find(|cell| cell.column == row.column);
            if let (Some(cell), false) = (cell, row.dimension == Dimension::Quantity) {
                let unit = &cell.unit_evidence;
                let read = self.bench.show.size(cell.value);
                self.item(&if unit.is_empty() {
                    format!("read as {read}")
                } else {
                    format!("read as {read} ({unit})")
                });
            }
        }
    }

    fn between(&mut self, measured: &MeasuredBetween) {
        let view = self.bench.job.views.views.get(measured.view);
        let shown = view.map(|view| super::coverage::view_name(self.bench, view));
        self.item(&match shown {
            Some(shown) => format!("measured in {shown}: {}", measured.sentence),
            None => format!("measured: {}", measured.sentence),
        });
        let sheet = view.and_then(|view| self.bench.job.sheets.get(view.sheet));
        for line in &measured.lines {
            let entity = sheet
                .and_then(|sheet| sheet.sources.get(line.source as usize))
                .filter(|source| source.handle > 0)
                .map_or_else(String::new, |source| {
                    format!(", entity {:X}", source.handle)
                });
            self.item(&format!(
                "  line from {:.2}, {:.2} to {:.2}, {:.2} mm in the view{}{entity}",
                line.a.x,
                line.a.y,
                line.b.x,
                line.b.y,
                if line.hidden { ", hidden" } else { "" },
            ));
        }
    }

    fn decided(&mut self, finding: &Finding) {
        if finding.measured.is_none() && finding.relation.is_none() {
            return;
        }
        self.section("What decides");
        if let Some(measured) = &finding.measured {
            self.between(measured);
        }
        if let Some((relation, from)) = &finding.relation {
            self.item(&format!("relation: {relation} ({})", origin(from)));
        }
    }

    fn compared(&mut self, finding: &Finding) {
        let show = self.bench.show;
        if let (Some(drawn), Some(listed), Some(difference), Some(tolerance)) = (
            finding.drawn,
            finding.listed,
            finding.difference,
            finding.tolerance,
        ) {
            self.section("The comparison");
            self.item(&format!(
                "listed {} less {} is {}",
                show.size(listed),
                show.size(drawn),
                show.size(difference)
            ));
            self.item(&format!(
                "the tolerance is {}; {} beyond it",
                show.size(tolerance),
                show.size((difference.abs() - tolerance).max(Length::ZERO))
            ));
        } else if let Some((drawn, listed)) = finding.counts {
            self.section("The comparison");
            self.item(&format!("{drawn} drawn, {listed} listed"));
        }
    }

    fn causes(&mut self, finding: &Finding) {
        if finding.causes.is_empty() {
            return;
        }
        self.section(if finding.causes.len() == 1 {
            "The likely cause"
        } else {
            "Likely causes, likeliest first"
        });
        for cause in &finding.causes {
            self.item(&cause.sentence);
            for evidence in &cause.evidence {
                self.item(&format!("  {evidence}"));
            }
            if let Some(taken) = &cause.taken {
                self.between(taken);
            }
            self.item(&format!(
                "  with this put right, {} of this list {}",
                words::count(cause.explains, "size"),
                if cause.explains == 1 {
                    "agrees"
                } else {
                    "agree"
                }
            ));
        }
    }

    fn also(&mut self, finding: &Finding) {
        if finding.also.is_empty() {
            return;
        }
        self.section("Off for the same reason");
        for size in &finding.also {
            self.item(&format!(
                "{}, line {}: '{}', {} '{}'",
                size.row.file,
                size.row.line,
                size.part,
                size.dimension.word(),
                size.text
            ));
        }
    }
}
