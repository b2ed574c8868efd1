//! The report for programs. The shape is documented in the README and versioned
//! by `schema`; fields are only ever added within a version.

use super::{Report, words};
use crate::audit::{Cause, Finding, MeasuredBetween, RowSize, totals};
use crate::cabinet::{Measured, MeasuredCabinet, Sizes};
use crate::length::Length;
use crate::linework::CleanLine;
use crate::signoff::open;
use crate::signoff::settle::{Judged, State};
use crate::view::ViewId;
use serde::Serialize;

/// The version of the shape.
pub const SCHEMA: &str = "dryfit-report/1";

#[derive(Serialize)]
struct Document<'a> {
    schema: &'static str,
    program: &'static str,
    job: &'a str,
    outcome: &'static str,
    unit: &'static str,
    cabinets: Vec<Cabinet<'a>>,
    findings: Vec<FindingEntry<'a>>,
    coverage: Coverage<'a>,
    accepted: Vec<AcceptedEntry<'a>>,
    assumptions: Vec<Assumption<'a>>,
    cautions: Vec<Caution>,
}

#[derive(Serialize)]
struct Cabinet<'a> {
    id: &'a str,
    /// The cabinet whose views show this one, when it has none of its own.
    #[serde(skip_serializing_if = "Option::is_none")]
    drawn_as: Option<&'a str>,
    overall: ThreeSizes<'a>,
    interior: ThreeSizes<'a>,
    /// What the listed parts would build.
    listed: Vec<Built<'a>>,
}

#[derive(Serialize)]
struct ThreeSizes<'a> {
    width: Size<'a>,
    height: Size<'a>,
    depth: Size<'a>,
}

#[derive(Serialize)]
struct Size<'a> {
    mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    view: Option<String>,
    /// What it was measured between.
    #[serde(skip_serializing_if = "Option::is_none")]
    source: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    note: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    reason: Option<&'a str>,
}

#[derive(Serialize)]
struct Built<'a> {
    size: &'a str,
    drawn_mm: Option<f64>,
    listed_mm: Option<f64>,
    by: &'a str,
}

#[derive(Serialize)]
struct FindingEntry<'a> {
    id: &'a str,
    /// What people call it: its place in the order of reading.
    number: usize,
    kind: &'static str,
    cabinet: Option<&'a str>,
    cabinets: &'a [String],
    part: Option<&'a str>,
    dimension: Option<&'static str>,
    drawn_mm: Option<f64>,
    listed_mm: Option<f64>,
    difference_mm: Option<f64>,
    tolerance_mm: Option<f64>,
    drawn_count: Option<u32>,
    listed_count: Option<u32>,
    file: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    sheet: Option<&'a str>,
    line: Option<usize>,
    column: Option<usize>,
    text: Option<&'a str>,
    message: &'a str,
    measured: Option<MeasuredEntry<'a>>,
    relation: Option<Relation<'a>>,
    cause: Vec<CauseEntry<'a>>,
    also: Vec<RowEntry<'a>>,
    accepted: bool,
}

#[derive(Serialize)]
struct MeasuredEntry<'a> {
    view: String,
    between: &'a str,
    lines: Vec<Line>,
}

/// A drawn line in its view's own frame, millimetres.
#[derive(Serialize)]
struct Line {
    from: [f64; 2],
    to: [f64; 2],
    hidden: bool,
    entity: Option<String>,
}

#[derive(Serialize)]
struct Relation<'a> {
    text: &'a str,
    origin: String,
}

#[derive(Serialize)]
struct CauseEntry<'a> {
    kind: &'static str,
    sentence: &'a str,
    evidence: &'a [String],
    explains: usize,
    #[serde(skip_serializing_if = "Option::is_none")]
    taken: Option<MeasuredEntry<'a>>,
}

#[derive(Serialize)]
struct RowEntry<'a> {
    file: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    sheet: Option<&'a str>,
    line: usize,
    column: Option<usize>,
    part: &'a str,
    dimension: &'static str,
    text: &'a str,
}

#[derive(Serialize)]
struct Coverage<'a> {
    totals: Totals,
    rows: Vec<CoveredEntry<'a>>,
    sheets: Vec<SheetEntry<'a>>,
    unchecked: &'a [String],
    open: Vec<OpenEntry>,
    passed_over: Vec<PassedOver<'a>>,
}

#[derive(Serialize)]
struct Totals {
    rows: usize,
    sizes: usize,
    agrees: usize,
    disagrees: usize,
    unchecked: usize,
    views: usize,
    views_compared: usize,
    entities: u64,
    entities_in_views: u64,
}

#[derive(Serialize)]
struct CoveredEntry<'a> {
    #[serde(flatten)]
    row: RowEntry<'a>,
    cabinet: Option<&'a str>,
    outcome: &'static str,
    by: &'a str,
    margin_mm: Option<f64>,
    expected_mm: Option<f64>,
}

#[derive(Serialize)]
struct SheetEntry<'a> {
    file: &'a str,
    entities: u64,
    in_views: u64,
    left_out: Vec<LeftOut<'a>>,
}

#[derive(Serialize)]
struct LeftOut<'a> {
    reason: &'a str,
    count: u64,
}

/// Something not checked, with the rows of one reason together.
#[derive(Serialize)]
struct OpenEntry {
    id: String,
    number: usize,
    text: String,
    accepted: bool,
}

/// An accepted deviation and whether it still holds.
#[derive(Serialize)]
struct AcceptedEntry<'a> {
    item: &'a str,
    says: &'a str,
    reason: &'a str,
    by: &'a str,
    date: &'a str,
    until: Option<&'a str>,
    state: &'static str,
    why: Option<&'a str>,
}

#[derive(Serialize)]
struct PassedOver<'a> {
    file: &'a str,
    reason: &'a str,
}

#[derive(Serialize)]
struct Assumption<'a> {
    sentence: &'a str,
    origin: String,
    decided: usize,
}

#[derive(Serialize)]
struct Caution {
    topic: &'static str,
    text: &'static str,
}

/// The report as JSON, with a line end.
pub(super) fn render(report: &Report<'_>) -> String {
    let document = Document {
        schema: SCHEMA,
        program: concat!("dryfit ", env!("CARGO_PKG_VERSION")),
        job: &report.job.name,
        outcome: words::outcome(report.outcome()),
        unit: report.sizes.unit(),
        cabinets: cabinets(report),
        findings: report
            .audit
            .findings
            .iter()
            .enumerate()
            .map(|(index, finding)| finding_entry(report, index, finding))
            .collect(),
        coverage: coverage(report),
        accepted: report
            .settled
            .iter()
            .flat_map(|settled| &settled.entries)
            .map(accepted_entry)
            .collect(),
        assumptions: report
            .audit
            .assumptions
            .iter()
            .map(|assumption| Assumption {
                sentence: &assumption.sentence,
                origin: words::origin(&assumption.origin),
                decided: assumption.decided,
            })
            .collect(),
        cautions: report
            .audit
            .cautions
            .iter()
            .map(|caution| Caution {
                topic: caution.topic,
                text: caution.text,
            })
            .collect(),
    };
    // Plain structs of text and numbers: there is nothing that could fail.
    let mut text = serde_json::to_string_pretty(&document).unwrap_or_default();
    text.push('\n');
    text
}

/// Every cabinet that is drawn, each under its own name, then those the audit
/// knows from the list alone.
fn cabinets<'a>(report: &Report<'a>) -> Vec<Cabinet<'a>> {
    let (job, audit) = (report.job, report.audit);
    let mut entries: Vec<Cabinet<'a>> = Vec::new();
    for measured in &job.cabinets {
        for id in std::iter::once(&measured.id).chain(&measured.same_as) {
            entries.push(Cabinet {
                id,
                drawn_as: (*id != measured.id).then_some(&*measured.id),
                overall: three(report, &measured.overall),
                interior: three(report, &measured.interior),
                listed: built(report, id),
            });
        }
    }
    for audited in &audit.cabinets {
        if !job
            .cabinets
            .iter()
            .any(|measured| names(measured, &audited.id))
        {
            let unknown = || Size {
                mm: None,
                view: None,
                source: None,
                note: None,
                reason: Some("no view of this cabinet was found in the drawings"),
            };
            let unknown = || ThreeSizes {
                width: unknown(),
                height: unknown(),
                depth: unknown(),
            };
            entries.push(Cabinet {
                id: &audited.id,
                drawn_as: None,
                overall: unknown(),
                interior: unknown(),
                listed: built(report, &audited.id),
            });
        }
    }
    entries.sort_by(|a, b| words::natural(a.id, b.id));
    entries
}

fn names(measured: &MeasuredCabinet, id: &str) -> bool {
    measured.id == id || measured.same_as.iter().any(|other| other == id)
}

fn built<'a>(report: &Report<'a>, id: &str) -> Vec<Built<'a>> {
    report
        .audit
        .cabinets
        .iter()
        .filter(|audited| audited.id == id)
        .flat_map(|audited| &audited.sizes)
        .map(|size| Built {
            size: size.name,
            drawn_mm: size.drawn.map(Length::mm),
            listed_mm: size.listed.map(Length::mm),
            by: &size.by,
        })
        .collect()
}

fn three<'a>(report: &Report<'a>, sizes: &'a Sizes) -> ThreeSizes<'a> {
    let size = |measured: &'a Measured| match measured {
        Measured::Known(measure) => Size {
            mm: Some(measure.span.length().mm()),
            view: Some(words::view(report.job, measure.span.view)),
            source: Some(words::between(report.job, &measure.span)),
            note: measure.note.as_deref(),
            reason: None,
        },
        Measured::Unknown { reason } => Size {
            mm: None,
            view: None,
            source: None,
            note: None,
            reason: Some(reason),
        },
    };
    ThreeSizes {
        width: size(&sizes.width),
        height: size(&sizes.height),
        depth: size(&sizes.depth),
    }
}

fn finding_entry<'a>(report: &Report<'a>, index: usize, finding: &'a Finding) -> FindingEntry<'a> {
    let row = finding.row.as_ref();
    FindingEntry {
        id: &finding.id,
        number: index + 1,
        kind: words::finding(finding.kind),
        cabinet: finding.cabinet.as_deref(),
        cabinets: &finding.cabinets,
        part: finding.part.as_deref(),
        dimension: finding.dimension.map(crate::trade::Dimension::word),
        drawn_mm: finding.drawn.map(Length::mm),
        listed_mm: finding.listed.map(Length::mm),
        difference_mm: finding.difference.map(Length::mm),
        tolerance_mm: finding.tolerance.map(Length::mm),
        drawn_count: finding.counts.map(|(drawn, _)| drawn),
        listed_count: finding.counts.map(|(_, listed)| listed),
        file: row.map(|size| &*size.row.file),
        sheet: row.and_then(|size| size.row.sheet.as_deref()),
        line: row.map(|size| size.row.line),
        column: row.and_then(|size| (size.column > 0).then_some(size.column)),
        text: row.map(|size| &*size.text),
        message: &finding.message,
        measured: finding
            .measured
            .as_ref()
            .map(|measured| measured_entry(report, measured)),
        relation: finding.relation.as_ref().map(|(text, origin)| Relation {
            text,
            origin: words::origin(origin),
        }),
        cause: finding
            .causes
            .iter()
            .map(|cause| cause_entry(report, cause))
            .collect(),
        also: finding.also.iter().map(row_entry).collect(),
        accepted: report.accepted_finding(index).is_some(),
    }
}

fn measured_entry<'a>(report: &Report<'a>, measured: &'a MeasuredBetween) -> MeasuredEntry<'a> {
    MeasuredEntry {
        view: words::view(report.job, measured.view),
        between: &measured.sentence,
        lines: measured
            .lines
            .iter()
            .map(|line| line_entry(report, measured.view, line))
            .collect(),
    }
}

fn line_entry(report: &Report<'_>, view: ViewId, line: &CleanLine) -> Line {
    Line {
        from: [micron(line.a.x), micron(line.a.y)],
        to: [micron(line.b.x), micron(line.b.y)],
        hidden: line.hidden,
        entity: words::entity(report.job, view, line),
    }
}

/// Places in a view, unlike sizes, are printed to the micrometre.
fn micron(mm: f64) -> f64 {
    let rounded = (mm * 1000.0).round() / 1000.0;
    // Turns -0.0 into 0.0; JSON has no NaN, and a place has none either.
    if rounded.is_finite() {
        rounded + 0.0
    } else {
        0.0
    }
}

fn cause_entry<'a>(report: &Report<'a>, cause: &'a Cause) -> CauseEntry<'a> {
    CauseEntry {
        kind: words::cause(cause.kind),
        sentence: &cause.sentence,
        evidence: &cause.evidence,
        explains: cause.explains,
        taken: cause
            .taken
            .as_ref()
            .map(|taken| measured_entry(report, taken)),
    }
}

fn accepted_entry(judged: &Judged) -> AcceptedEntry<'_> {
    let entry = &judged.entry;
    let (state, why) = match &judged.state {
        State::Holds => ("holds", None),
        State::Void { why } => ("void", Some(why.as_str())),
        State::MatchesNothing => ("matches-nothing", None),
    };
    AcceptedEntry {
        item: &entry.item,
        says: &entry.says,
        reason: &entry.reason,
        by: &entry.by,
        date: &entry.date,
        until: entry.until.as_deref(),
        state,
        why,
    }
}

fn row_entry(size: &RowSize) -> RowEntry<'_> {
    RowEntry {
        file: &size.row.file,
        sheet: size.row.sheet.as_deref(),
        line: size.row.line,
        column: (size.column > 0).then_some(size.column),
        part: &size.part,
        dimension: size.dimension.word(),
        text: &size.text,
    }
}

fn coverage<'a>(report: &Report<'a>) -> Coverage<'a> {
    let audit = report.audit;
    let (agrees, disagrees, unchecked) = totals(&audit.coverage);
    Coverage {
        totals: Totals {
            rows: report.job.lists.iter().map(|list| list.rows.len()).sum(),
            sizes: audit.coverage.len(),
            agrees,
            disagrees,
            unchecked,
            views: audit.views.read,
            views_compared: audit.views.compared,
            entities: audit.sheets.iter().map(|sheet| sheet.entities).sum(),
            entities_in_views: audit.sheets.iter().map(|sheet| sheet.in_views).sum(),
        },
        rows: audit
            .coverage
            .iter()
            .map(|covered| CoveredEntry {
                row: row_entry(&covered.size),
                cabinet: covered.cabinet.as_deref(),
                outcome: words::bin(covered.bin),
                by: &covered.by,
                margin_mm: covered.margin.map(Length::mm),
                expected_mm: covered.expected.map(Length::mm),
            })
            .collect(),
        sheets: audit
            .sheets
            .iter()
            .map(|sheet| SheetEntry {
                file: &sheet.file,
                entities: sheet.entities,
                in_views: sheet.in_views,
                left_out: sheet
                    .left_out
                    .iter()
                    .map(|(reason, count)| LeftOut {
                        reason,
                        count: *count,
                    })
                    .collect(),
            })
            .collect(),
        unchecked: &audit.unchecked,
        open: open::items(audit)
            .into_iter()
            .enumerate()
            .map(|(index, item)| OpenEntry {
                id: item.id,
                number: index + 1,
                text: item.text,
                accepted: report.accepted_open(index).is_some(),
            })
            .collect(),
        passed_over: report
            .job
            .passed_over
            .iter()
            .map(|problem| PassedOver {
                file: &problem.file,
                reason: &problem.message,
            })
            .collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::{Format, sample};

    #[test]
    fn the_whole_document() {
        let (job, audit) = (sample::job(), sample::audit());
        let report = Report::new(&job, &audit);
        let text = report
            .render(Format::Json, false)
            .replace(env!("CARGO_PKG_VERSION"), "VERSION");
        insta::assert_snapshot!(text);
    }

    #[test]
    fn sizes_are_the_exact_decimal() {
        // 1/128 in is 0.1984375 mm, 0.001 in is 0.0254 mm.
        let text = |ticks| serde_json::to_string(&Length::from_ticks(ticks).mm()).unwrap();
        assert_eq!(text(15_875), "0.1984375");
        assert_eq!(text(2_032), "0.0254");
        assert_eq!(text(70_104_000), "876.3");
    }

    #[test]
    fn a_place_is_always_a_number() {
        assert_eq!(micron(f64::NAN), 0.0);
        assert_eq!(micron(-0.000_01).to_string(), "0");
    }
}
