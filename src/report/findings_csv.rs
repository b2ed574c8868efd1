//! One line a finding, for a spreadsheet. Texts from input can't become
//! formulas.

use super::{Report, words};
use crate::audit::Finding;
use crate::length::Length;

const HEADER: [&str; 21] = [
    "number",
    "id",
    "kind",
    "cabinet",
    "part",
    "dimension",
    "drawn",
    "listed",
    "drawn_mm",
    "listed_mm",
    "difference_mm",
    "tolerance_mm",
    "file",
    "line",
    "column",
    "as_written",
    "message",
    "cause",
    "cause_sentence",
    "also_lines",
    "accepted",
];

/// Comma-separated UTF-8 with a byte order mark, which spreadsheets need to
/// tell it from the code page of the machine.
pub(super) fn render(report: &Report<'_>) -> String {
    let mut writer = csv::Writer::from_writer(Vec::new());
    // Writing to memory does not fail.
    let _ = writer.write_record(HEADER);
    for (index, finding) in report.audit.findings.iter().enumerate() {
        let _ = writer.write_record(record(report, index, finding));
    }
    let bytes = writer.into_inner().unwrap_or_default();
    format!("\u{feff}{}", String::from_utf8(bytes).unwrap_or_default())
}

fn record(report: &Report<'_>, index: usize, finding: &Finding) -> Vec<String> {
    let mm = |length: Option<Length>| {
        length
            .map(|length| length.mm().to_string())
            .unwrap_or_default()
    };
    let row = finding.row.as_ref();
    let shown = |length: Option<Length>, count: Option<u32>| {
        length
            .map(|length| report.sizes.size(length))
            .or(count.map(|count| count.to_string()))
            .unwrap_or_default()
    };
    let cause = finding.causes.first();
    let also: Vec<_> = finding
        .also
        .iter()
        .map(|size| format!("{} {}", size.row.line, size.dimension.word()))
        .collect();
    vec![
        (index + 1).to_string(),
        safe(&finding.id),
        words::finding(finding.kind).to_owned(),
        safe(finding.cabinet.as_deref().unwrap_or_default()),
        safe(finding.part.as_deref().unwrap_or_default()),
        finding
            .dimension
            .map(|dimension| dimension.word().to_owned())
            .unwrap_or_default(),
        shown(finding.drawn, finding.counts.map(|(drawn, _)| drawn)),
        shown(finding.listed, finding.counts.map(|(_, listed)| listed)),
        mm(finding.drawn),
        mm(finding.listed),
        mm(finding.difference),
        mm(finding.tolerance),
        safe(row.map(|size| &*size.row.file).unwrap_or_default()),
        row.map(|size| size.row.line.to_string())
            .unwrap_or_default(),
        row.filter(|size| size.column > 0)
            .map(|size| size.column.to_string())
            .unwrap_or_default(),
        safe(row.map(|size| &*size.text).unwrap_or_default()),
        safe(&finding.message),
        cause
            .map(|cause| words::cause(cause.kind).to_owned())
            .unwrap_or_default(),
        safe(cause.map(|cause| &*cause.sentence).unwrap_or_default()),
        also.join("; "),
        safe(
            &report
                .accepted_finding(index)
                .map(words::accepted)
                .unwrap_or_default(),
        ),
    ]
}

/// A text that no spreadsheet takes for a formula: one that starts like a
/// formula gets an apostrophe in front.
pub(super) fn safe(text: &str) -> String {
    let text = words::printable(text);
    let first = text.trim_start().chars().next();
    if matches!(
        first,
        Some('=' | '+' | '-' | '@' | '＝' | '＋' | '－' | '＠')
    ) {
        format!("'{text}")
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::{Format, sample};

    #[test]
    fn one_line_a_finding() {
        let (job, audit) = (sample::job(), sample::audit());
        let text = Report::new(&job, &audit).render(Format::Csv, false);
        insta::assert_snapshot!(text.strip_prefix('\u{feff}').unwrap());
    }

    #[test]
    fn no_text_becomes_a_formula() {
        let (job, mut audit) = (sample::job(), sample::audit());
        for hostile in ["=1+1", "+1", "-1", "@x", " =1", "\t=1", "\r=1"] {
            audit.findings[0].part = Some(hostile.to_owned());
            let text = Report::new(&job, &audit).render(Format::Csv, false);
            let mut reader = csv::Reader::from_reader(text.as_bytes());
            let record = reader.records().next().unwrap().unwrap();
            assert!(record[4].starts_with('\''), "{hostile:?}: {:?}", &record[4]);
        }
    }
}
