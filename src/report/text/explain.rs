//! One finding with everything that speaks for it: the lines measured, the
//! relation, the causes, and what its kind means.

use super::findings;
use super::page::{Page, Tone};
use crate::audit::{Finding, MeasuredBetween};
use crate::report::kinds::{self, Kind};
use crate::report::{Report, words};
use crate::signoff::open::OpenItem;
use geo::{AffineOps, Point};

/// What a kind of finding or cause means.
pub fn kind(kind: Kind, colour: bool) -> String {
    let mut page = Page::new(colour);
    page.line(Tone::Heading, kind.word);
    page.line(Tone::Plain, kind.short);
    page.line(Tone::Plain, kind.long);
    page.finish()
}

pub fn explain(report: &Report<'_>, index: usize, colour: bool) -> Option<String> {
    let finding = report.audit.findings.get(index)?;
    let mut page = Page::new(colour);
    findings::one(&mut page, report, index, finding);
    page.labelled(Tone::Plain, "id", &finding.id);
    let kind = kinds::finding(finding.kind);
    page.heading(&format!("A finding of the kind `{}`", kind.word));
    page.line(Tone::Plain, kind.short);
    page.line(Tone::Plain, kind.long);
    if let Some(measured) = &finding.measured {
        page.heading("Measured between");
        lines(&mut page, report, measured);
    }
    arithmetic(&mut page, report, finding);
    rule(&mut page, finding);
    for (rank, cause) in finding.causes.iter().enumerate() {
        let kind = kinds::cause(cause.kind);
        let place = if rank == 0 { "likeliest" } else { "further" };
        page.heading(&format!("The {place} cause: `{}`", kind.word));
        page.line(Tone::Plain, &format!("{} {}", kind.short, kind.long));
        for evidence in &cause.evidence {
            page.item(0, evidence);
        }
        page.item(
            0,
            &format!(
                "put right, {} {} that {} not agree now",
                words::count(cause.explains, "size"),
                if cause.explains == 1 {
                    "agrees"
                } else {
                    "agree"
                },
                if cause.explains == 1 { "does" } else { "do" }
            ),
        );
        if let Some(taken) = &cause.taken {
            lines(&mut page, report, taken);
        }
    }
    Some(page.finish())
}

pub fn explain_open(report: &Report<'_>, item: &OpenItem<'_>) -> String {
    let mut page = Page::new(false);
    page.line(Tone::Heading, &format!("{}: not checked", item.id));
    page.line(Tone::Plain, &item.text);
    for size in &item.rows {
        page.item(
            0,
            &format!(
                "{}: {}",
                words::place(&size.row),
                words::quote(report.job, size)
            ),
        );
    }
    page.finish()
}

/// Each line with its entity and where it stands in the drawing.
fn lines(page: &mut Page, report: &Report<'_>, measured: &MeasuredBetween) {
    page.item(
        0,
        &format!(
            "{}, in {}",
            measured.sentence,
            words::view(report.job, measured.view)
        ),
    );
    let Some(view) = report.job.views.views.get(measured.view) else {
        return;
    };
    for line in &measured.lines {
        let place = |at| {
            let at = Point::from(at).affine_transform(&view.to_drawing);
            format!("({}, {})", figure(at.x()), figure(at.y()))
        };
        let entity =
            words::entity(report.job, measured.view, line).unwrap_or_else(|| "a line".to_owned());
        let hidden = if line.hidden { ", a hidden edge" } else { "" };
        page.item(
            2,
            &format!(
                "{entity}{hidden}: from {} to {} in the drawing's own units",
                place(line.a),
                place(line.b)
            ),
        );
    }
}

/// Coordinates to four decimals, without trailing zeros.
fn figure(value: f64) -> String {
    let rounded = (value * 1e4).round() / 1e4;
    (rounded + 0.0).to_string()
}

fn arithmetic(page: &mut Page, report: &Report<'_>, finding: &Finding) {
    let (Some(drawn), Some(listed), Some(difference)) =
        (finding.drawn, finding.listed, finding.difference)
    else {
        return;
    };
    page.heading("In figures");
    let both = |name: &str, length: crate::length::Length| {
        format!("{name}: {} ({} mm)", report.sizes.size(length), length.mm())
    };
    let right = if finding.measured.is_some() {
        "drawn"
    } else {
        "should be"
    };
    page.item(0, &both(right, drawn));
    page.item(0, &both("listed", listed));
    page.item(0, &both("difference, listed less drawn", difference));
    if let Some(tolerance) = finding.tolerance {
        page.item(0, &both("passes up to and including", tolerance));
    }
}

/// The relation with this job's numbers, and how far to trust where it came from.
fn rule(page: &mut Page, finding: &Finding) {
    use crate::construction::Origin;
    let Some((relation, origin)) = &finding.relation else {
        return;
    };
    page.heading("The rule behind it");
    page.item(0, relation);
    let trust = match origin {
        Origin::Drawn => "it follows from sizes in this drawing".to_owned(),
        Origin::JobFile { line } => {
            format!(
                "your job file says so in line {line}; change it there if the shop builds otherwise"
            )
        }
        Origin::Preset { name } if name == crate::construction::DRAWN_GEOMETRY => {
            "it is how the drawn parts stand to one another".to_owned()
        }
        Origin::Preset { name } => format!(
            "it belongs to the construction `{name}`, taken for this cabinet; the job file can say \
             otherwise"
        ),
        Origin::Inferred { support, against } => format!(
            "it was seen in this job itself: {support} for it, {against} against. Such a rule never \
             decides by itself; state it in the job file to rely on it"
        ),
    };
    page.item(0, &trust);
    if finding.measured.is_some() {
        page.item(
            0,
            "the part is drawn: the drawn distance decided, the rule only agrees with it",
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::report::{Report, sample};

    #[test]
    fn a_finding_with_all_that_speaks_for_it() {
        let (job, audit) = (sample::job(), sample::audit());
        let text = Report::new(&job, &audit).explain(0, false).unwrap();
        insta::assert_snapshot!(text);
        assert!(Report::new(&job, &audit).explain(99, false).is_none());
    }
}
