//! JUnit XML: each row size is a test case that passes, fails or is skipped;
//! findings that belong to no row are test cases of their own.

use super::{Report, words};
use crate::audit::{Bin, Finding, FindingKind};
use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesEnd, BytesStart, BytesText, Event};
use std::io;

struct Case {
    class: String,
    name: String,
    result: Verdict,
}

enum Verdict {
    Passed,
    Failed { kind: &'static str, message: String },
    Error { message: String },
    Skipped { message: String },
}

pub(super) fn render(report: &Report<'_>) -> String {
    let mut bytes = Vec::new();
    // Writing to memory does not fail.
    let _ = write(&mut Writer::new_with_indent(&mut bytes, b' ', 2), report);
    let mut text = String::from_utf8(bytes).unwrap_or_default();
    text.push('\n');
    text
}

fn write<W: io::Write>(writer: &mut Writer<W>, report: &Report<'_>) -> io::Result<()> {
    let mut suites = [("rows", rows(report)), ("job", rest(report))];
    // Readers ask for a class; what belongs to no cabinet belongs to the job.
    for case in suites.iter_mut().flat_map(|(_, cases)| cases) {
        if case.class.trim().is_empty() {
            case.class.clone_from(&report.job.name);
        }
    }
    writer.write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))?;
    let mut root = BytesStart::new("testsuites");
    attribute(&mut root, "name", &report.job.name);
    for (name, count) in counts(suites.iter().flat_map(|(_, cases)| cases)) {
        attribute(&mut root, name, &count.to_string());
    }
    writer.write_event(Event::Start(root))?;
    for (name, cases) in &suites {
        let mut suite = BytesStart::new("testsuite");
        attribute(&mut suite, "name", name);
        for (name, count) in counts(cases.iter()) {
            attribute(&mut suite, name, &count.to_string());
        }
        writer.write_event(Event::Start(suite))?;
        for case in cases {
            write_case(writer, case)?;
        }
        writer.write_event(Event::End(BytesEnd::new("testsuite")))?;
    }
    writer.write_event(Event::End(BytesEnd::new("testsuites")))
}

fn counts<'a>(cases: impl Iterator<Item = &'a Case>) -> [(&'static str, usize); 4] {
    let (mut tests, mut failures, mut errors, mut skipped) = (0, 0, 0, 0);
    for case in cases {
        tests += 1;
        match case.result {
            Verdict::Passed => {}
            Verdict::Failed { .. } => failures += 1,
            Verdict::Error { .. } => errors += 1,
            Verdict::Skipped { .. } => skipped += 1,
        }
    }
    [
        ("tests", tests),
        ("failures", failures),
        ("errors", errors),
        ("skipped", skipped),
    ]
}

/// XML cannot hold control characters, not even escaped.
fn attribute(element: &mut BytesStart<'_>, name: &str, value: &str) {
    element.push_attribute((name, words::printable(value).as_str()));
}

fn write_case<W: io::Write>(writer: &mut Writer<W>, case: &Case) -> io::Result<()> {
    let mut element = BytesStart::new("testcase");
    attribute(&mut element, "classname", &case.class);
    attribute(&mut element, "name", &case.name);
    let (tag, kind, message) = match &case.result {
        Verdict::Passed => return writer.write_event(Event::Empty(element)),
        Verdict::Failed { kind, message } => ("failure", Some(*kind), message),
        Verdict::Error { message } => ("error", None, message),
        Verdict::Skipped { message } => ("skipped", None, message),
    };
    writer.write_event(Event::Start(element))?;
    let mut result = BytesStart::new(tag);
    attribute(&mut result, "message", message);
    if let Some(kind) = kind {
        attribute(&mut result, "type", kind);
    }
    writer.write_event(Event::Start(result))?;
    writer.write_event(Event::Text(BytesText::new(&words::printable(message))))?;
    writer.write_event(Event::End(BytesEnd::new(tag)))?;
    writer.write_event(Event::End(BytesEnd::new("testcase")))
}

/// Every row size.
fn rows(report: &Report<'_>) -> Vec<Case> {
    let marks = super::marks::Marks::of(report);
    report
        .audit
        .coverage
        .iter()
        .map(|covered| {
            let size = &covered.size;
            let indices = marks.findings(&size.row, size.dimension);
            let accepted = indices
                .iter()
                .find_map(|index| report.accepted_finding(*index));
            let said: Vec<String> = indices
                .iter()
                .filter_map(|index| {
                    let finding = report.audit.findings.get(*index)?;
                    Some(format!("{}: {}", Report::id(*index), finding.message))
                })
                .collect();
            Case {
                class: covered.cabinet.clone().unwrap_or_default(),
                name: format!(
                    "{}: {}, {} {}",
                    words::place(&size.row),
                    size.part,
                    size.dimension.word(),
                    size.text
                ),
                result: match covered.bin {
                    Bin::Agrees => Verdict::Passed,
                    Bin::Disagrees if accepted.is_some() => Verdict::Skipped {
                        message: accepted.map(words::accepted).unwrap_or_default(),
                    },
                    Bin::Disagrees => Verdict::Failed {
                        kind: "disagrees",
                        message: if said.is_empty() {
                            covered.by.clone()
                        } else {
                            said.join("; ")
                        },
                    },
                    Bin::Unchecked => Verdict::Skipped {
                        message: covered.by.clone(),
                    },
                },
            }
        })
        .collect()
}

/// Findings without a covered row, and what else was not checked.
fn rest(report: &Report<'_>) -> Vec<Case> {
    let covered = |finding: &Finding| {
        finding.row.as_ref().is_some_and(|row| {
            report.audit.coverage.iter().any(|covered| {
                covered.bin == Bin::Disagrees
                    && covered.size.row == row.row
                    && covered.size.dimension == row.dimension
            })
        })
    };
    let findings = report
        .audit
        .findings
        .iter()
        .enumerate()
        .filter(|(_, finding)| !covered(finding))
        .map(|(index, finding)| Case {
            class: finding.cabinet.clone().unwrap_or_default(),
            name: format!("{}: {}", Report::id(index), finding.message),
            result: if let Some(entry) = report.accepted_finding(index) {
                Verdict::Skipped {
                    message: words::accepted(entry),
                }
            } else if finding.kind == FindingKind::Input {
                Verdict::Error {
                    message: finding.message.clone(),
                }
            } else {
                Verdict::Failed {
                    kind: words::finding(finding.kind),
                    message: finding.message.clone(),
                }
            },
        });
    let unchecked = report.audit.unchecked.iter().map(|sentence| Case {
        class: String::new(),
        name: sentence.clone(),
        result: Verdict::Skipped {
            message: "not checked".to_owned(),
        },
    });
    findings.chain(unchecked).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::{Format, sample};
    use quick_xml::Reader;

    #[test]
    fn a_job_with_findings() {
        let (job, audit) = (sample::job(), sample::audit());
        insta::assert_snapshot!(Report::new(&job, &audit).render(Format::Junit, false));
    }

    /// Elements, attributes and what must be there as in the schema of the Jenkins
    /// xUnit plugin, `junit-10.xsd` (from memory), with counts that are right.
    #[test]
    fn the_shape_is_the_one_readers_know() {
        let (job, mut audit) = (sample::job(), sample::audit());
        audit.coverage[1].cabinet = None;
        let text = Report::new(&job, &audit).render(Format::Junit, false);
        let mut reader = Reader::from_str(&text);
        let mut open: Vec<String> = Vec::new();
        let mut counted = std::collections::BTreeMap::<String, usize>::new();
        let mut said = std::collections::BTreeMap::<String, usize>::new();
        loop {
            let event = reader.read_event().unwrap();
            let (element, empty) = match &event {
                Event::Start(element) => (element, false),
                Event::Empty(element) => (element, true),
                Event::End(_) => {
                    open.pop();
                    continue;
                }
                Event::Eof => break,
                _ => continue,
            };
            let name = String::from_utf8_lossy(element.name().as_ref().as_ref()).into_owned();
            let attributes: std::collections::BTreeMap<String, String> = element
                .attributes()
                .map(|attribute| {
                    let attribute = attribute.unwrap();
                    let key = String::from_utf8_lossy(attribute.key.as_ref().as_ref()).into_owned();
                    let value =
                        String::from_utf8_lossy(attribute.value.as_ref().as_ref()).into_owned();
                    (key, value)
                })
                .collect();
            let (parent, required, allowed): (_, &[&str], &[&str]) = match name.as_str() {
                "testsuites" => (
                    None,
                    &[],
                    &["name", "tests", "failures", "errors", "skipped"],
                ),
                "testsuite" => (
                    Some("testsuites"),
                    &["name"],
                    &["name", "tests", "failures", "errors", "skipped"],
                ),
                "testcase" => (
                    Some("testsuite"),
                    &["name", "classname"],
                    &["name", "classname"],
                ),
                "failure" | "error" | "skipped" => {
                    (Some("testcase"), &["message"], &["message", "type"])
                }
                other => panic!("{other}"),
            };
            assert_eq!(open.last().map(String::as_str), parent, "{name}");
            for key in required {
                assert!(!attributes[*key].is_empty(), "{name} {key}");
            }
            for key in attributes.keys() {
                assert!(allowed.contains(&key.as_str()), "{name} {key}");
            }
            let kind = match name.as_str() {
                "testcase" => Some("tests"),
                "failure" => Some("failures"),
                "error" => Some("errors"),
                "skipped" => Some("skipped"),
                _ => None,
            };
            if let Some(kind) = kind {
                *counted.entry(kind.to_owned()).or_default() += 1;
            }
            if name == "testsuite" {
                for key in ["tests", "failures", "errors", "skipped"] {
                    *said.entry(key.to_owned()).or_default() +=
                        attributes[key].parse::<usize>().unwrap();
                }
            }
            if !empty {
                open.push(name);
            }
        }
        assert_eq!(said, counted);
        assert!(counted.values().all(|count| *count > 0), "{counted:?}");
    }

    #[test]
    fn hostile_names_leave_it_well_formed() {
        let (job, mut audit) = (sample::job(), sample::audit());
        audit.coverage[0].size.part = "]]></testcase>\u{0}\u{b}<\"'&".to_owned();
        audit.findings[0].message = "</failure>\u{1b}".to_owned();
        let text = Report::new(&job, &audit).render(Format::Junit, false);
        let mut reader = Reader::from_str(&text);
        reader.config_mut().check_end_names = true;
        let mut cases = 0;
        loop {
            match reader.read_event().unwrap() {
                Event::Start(element) | Event::Empty(element) => {
                    cases += usize::from(element.name().as_ref() == "testcase");
                    for attribute in element.attributes() {
                        attribute.unwrap();
                    }
                }
                Event::Eof => break,
                _ => {}
            }
        }
        // 8 sizes, 3 findings without a row, 1 unchecked sentence.
        assert_eq!(cases, 12);
        assert!(!text.contains('\u{0}') && !text.contains('\u{1b}'));
    }
}
