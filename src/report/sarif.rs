//! SARIF 2.1.0 (OASIS Standard, 2020): findings as results of kind `fail`, what
//! was not checked as results of kind `open`.

use super::kinds::{self, Kind};
use super::{Report, words};
use crate::audit::{Finding, RowSize};
use crate::cutlist::RowSource;
use crate::signoff::accepted::Entry;
use crate::signoff::open;
use serde_json::{Value, json};

/// Rule of everything that was not checked.
const NOT_CHECKED: &str = "not-checked";

pub(super) fn render(report: &Report<'_>) -> String {
    let mut rules: Vec<Value> = kinds::FINDINGS
        .map(|kind| rule(kinds::finding(kind)))
        .to_vec();
    rules.push(rule(Kind {
        word: NOT_CHECKED,
        short: "Something could not be checked.",
        long: "The message says why, and what drawing or setting would make it checkable.",
    }));
    let mut results: Vec<Value> = report
        .audit
        .findings
        .iter()
        .enumerate()
        .map(|(index, finding)| {
            let mut result = result(report, index, finding);
            if let Some(entry) = report.accepted_finding(index) {
                suppress(&mut result, entry);
            }
            result
        })
        .collect();
    let groups = open::by_reason(report.audit);
    for (index, item) in open::items(report.audit).iter().enumerate() {
        let (message, locations) = match groups.get(index) {
            Some(group) => (
                &group.reason,
                group.rows.iter().map(|row| location(row.source)).collect(),
            ),
            None => (&item.text, Vec::new()),
        };
        let mut result = not_checked(message, &locations);
        if let Some(entry) = report.accepted_open(index) {
            suppress(&mut result, entry);
        }
        results.push(result);
    }
    let document = json!({
        "$schema": "https://docs.oasis-open.org/sarif/sarif/v2.1.0/os/schemas/sarif-schema-2.1.0.json",
        "version": "2.1.0",
        "runs": [{
            "tool": {
                "driver": {
                    "name": "dryfit",
                    "version": env!("CARGO_PKG_VERSION"),
                    "rules": rules,
                }
            },
            "columnKind": "unicodeCodePoints",
            "results": results,
        }]
    });
    let mut text = serde_json::to_string_pretty(&document).unwrap_or_default();
    text.push('\n');
    text
}

fn rule(kind: Kind) -> Value {
    json!({
        "id": kind.word,
        "shortDescription": { "text": kind.short },
        "fullDescription": { "text": kind.long },
    })
}

fn not_checked(message: &str, locations: &[Value]) -> Value {
    json!({
        "ruleId": NOT_CHECKED,
        "ruleIndex": kinds::FINDINGS.len(),
        // A result that is no failure has no level (section 3.27.10).
        "kind": "open",
        "level": "none",
        "message": { "text": words::printable(message) },
        "locations": locations,
    })
}

/// Accepted outside of the drawing and the list (section 3.35).
fn suppress(result: &mut Value, entry: &Entry) {
    result["suppressions"] = json!([{
        "kind": "external",
        "status": "accepted",
        "justification": words::printable(&words::accepted(entry)),
    }]);
}

fn result(report: &Report<'_>, index: usize, finding: &Finding) -> Value {
    let rule_index = kinds::FINDINGS
        .iter()
        .position(|kind| *kind == finding.kind)
        .unwrap_or(0);
    let mut text = words::printable(&finding.message);
    if let Some(cause) = finding.causes.first() {
        text.push(' ');
        text.push_str(&words::printable(&cause.sentence));
    }
    // A finding of the drawing points at the drawing.
    let in_drawing = finding.measured.as_ref().and_then(|measured| {
        let view = report.job.views.views.get(measured.view)?;
        let sheet = report.job.sheets.get(view.sheet)?;
        Some(json!({ "physicalLocation": { "artifactLocation": { "uri": uri(&sheet.file) } } }))
    });
    let mut related: Vec<Value> = Vec::new();
    let locations = match &finding.row {
        Some(row) => {
            related.extend(in_drawing);
            vec![location(&row.row)]
        }
        None => in_drawing.into_iter().collect(),
    };
    related.extend(finding.also.iter().map(also));
    json!({
        "ruleId": words::finding(finding.kind),
        "ruleIndex": rule_index,
        "kind": "fail",
        "level": "error",
        "message": { "text": text },
        "locations": locations,
        "relatedLocations": related,
        "properties": { "number": index + 1 },
        // The same finding of the next run (section 3.27.17).
        "partialFingerprints": { "findingId/v1": finding.id },
    })
}

fn also(size: &RowSize) -> Value {
    let mut location = location(&size.row);
    location["message"] = json!({
        "text": words::printable(&format!("{}, {} {}", size.part, size.dimension.word(), size.text))
    });
    location
}

fn location(source: &RowSource) -> Value {
    json!({
        "physicalLocation": {
            "artifactLocation": { "uri": uri(&source.file) },
            // Lines are counted from 1 (section 3.30.5).
            "region": { "startLine": source.line.max(1) },
        }
    })
}

/// A path as a URI reference (RFC 3986): relative stays relative.
fn uri(path: &str) -> String {
    let path = path.replace('\\', "/");
    let mut text = String::new();
    if path.starts_with('/') {
        text.push_str("file://");
    } else if path.as_bytes().get(1) == Some(&b':') {
        text.push_str("file:///");
    }
    for byte in path.bytes() {
        match byte {
            b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' | b'/' => {
                text.push(char::from(byte));
            }
            other => text.push_str(&format!("%{other:02X}")),
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::{Format, sample};

    fn document() -> Value {
        let (job, audit) = (sample::job(), sample::audit());
        serde_json::from_str(&Report::new(&job, &audit).render(Format::Sarif, false)).unwrap()
    }

    #[test]
    fn a_job_with_findings() {
        let (job, audit) = (sample::job(), sample::audit());
        let text = Report::new(&job, &audit)
            .render(Format::Sarif, false)
            .replace(env!("CARGO_PKG_VERSION"), "VERSION");
        insta::assert_snapshot!(text);
    }

    /// What OASIS SARIF 2.1.0 requires of what is used here, sections 3.13,
    /// 3.14, 3.19, 3.27, 3.29 and 3.30.
    #[test]
    fn the_shape_is_that_of_the_standard() {
        let document = document();
        assert_eq!(document["version"], "2.1.0");
        let run = &document["runs"][0];
        let rules = run["tool"]["driver"]["rules"].as_array().unwrap();
        let results = run["results"].as_array().unwrap();
        assert_eq!(results.len(), 7);
        for result in results {
            let rule = &rules[result["ruleIndex"].as_u64().unwrap() as usize];
            assert_eq!(rule["id"], result["ruleId"]);
            assert!(
                result["message"]["text"]
                    .as_str()
                    .is_some_and(|text| !text.is_empty())
            );
            match result["kind"].as_str().unwrap() {
                "fail" => assert_eq!(result["level"], "error"),
                "open" => assert_eq!(result["level"], "none"),
                other => panic!("{other}"),
            }
            for location in result["locations"].as_array().unwrap() {
                let place = &location["physicalLocation"];
                assert!(place["artifactLocation"]["uri"].is_string());
                if let Some(line) = place["region"].get("startLine") {
                    assert!(line.as_u64().unwrap() >= 1);
                }
            }
        }
    }

    #[test]
    fn what_is_accepted_is_suppressed() {
        let (job, audit) = (sample::job(), sample::audit());
        let settled = sample::settled(&job, &audit);
        let text = Report::new(&job, &audit)
            .settled(&settled)
            .render(Format::Sarif, false);
        let document: Value = serde_json::from_str(&text).unwrap();
        let results = document["runs"][0]["results"].as_array().unwrap();
        let suppressed = |index: usize| results[index].get("suppressions").is_some();
        assert!(suppressed(0) && !suppressed(1) && suppressed(5) && !suppressed(6));
    }

    #[test]
    fn paths_are_uri_references() {
        assert_eq!(uri("job/cut list.csv"), "job/cut%20list.csv");
        assert_eq!(uri("/shop/ä.csv"), "file:///shop/%C3%A4.csv");
        assert_eq!(uri(r"C:\shop\a.csv"), "file:///C%3A/shop/a.csv");
    }
}
