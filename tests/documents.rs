//! Documents and reports of the demo that are made by the program are what it
//! says now. `DRYFIT_WRITE=1 cargo test --test documents` writes them anew.

mod common;

use common::kept::{assert_block, assert_current, root};
use serde_json::Value;
use std::collections::BTreeSet;
use std::path::Path;

/// Runs the program in the project's folder.
fn run(arguments: &[&str]) -> String {
    let output = assert_cmd::Command::cargo_bin("dryfit")
        .unwrap()
        .current_dir(root(""))
        .env("NO_COLOR", "1")
        .args(arguments)
        .output()
        .unwrap();
    assert_ne!(
        output.status.code(),
        Some(2),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    String::from_utf8(output.stdout).unwrap()
}

/// Holds `reports/NAME` against a run on `fixtures/NAME`.
fn demo(name: &str, wanted: &[&str]) {
    let home = tempfile::tempdir().unwrap();
    let out = home.path().join("out");
    let job = format!("fixtures/{name}");
    run(&["check", &job, "--out", out.to_str().unwrap()]);
    for file in wanted {
        let current = std::fs::read_to_string(out.join(file)).unwrap();
        assert_current(&root("reports").join(name).join(file), &current);
    }
    let kept: BTreeSet<String> = std::fs::read_dir(root("reports").join(name))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    let wanted: BTreeSet<String> = wanted.iter().map(|&file| file.to_owned()).collect();
    assert_eq!(kept, wanted, "files in reports/{name}");
}

/// The marked-up drawing is left out for its size.
#[test]
fn the_reports_of_the_demo() {
    demo(
        "glaze-room",
        &[
            "report.txt",
            "report.html",
            "report.json",
            "findings.csv",
            "findings.junit.xml",
            "findings.sarif",
            "glaze-room.changes.csv",
            "glaze-room.proposal.csv",
        ],
    );
}

#[test]
fn the_reports_of_right_lists() {
    demo("glaze-room-clean", &["report.txt"]);
    demo("kiln-store", &["report.txt"]);
}

#[test]
fn the_readme_shows_what_the_program_prints() {
    let printed = run(&["check", "fixtures/glaze-room"]);
    // The head of it, up to the table of cabinets.
    let lines: Vec<&str> = printed.lines().collect();
    let table = lines
        .iter()
        .position(|line| line.starts_with("Cabinets, in"))
        .unwrap();
    let end = lines
        .iter()
        .skip(table)
        .position(|line| line.is_empty())
        .map_or(lines.len(), |end| table + end);
    let shown = lines.get(..end).unwrap().join("\n");
    assert_block(
        &root("README.md"),
        "transcript of the demo",
        &format!("```text\n$ dryfit check fixtures/glaze-room\n{shown}\n...\n```\n"),
    );
}

#[test]
fn the_readme_names_every_command() {
    let help = run(&["--help"]);
    let readme = std::fs::read_to_string(root("README.md")).unwrap();
    let commands: Vec<&str> = help
        .lines()
        .skip_while(|line| *line != "Commands:")
        .skip(1)
        .take_while(|line| !line.is_empty())
        .filter(|line| line.starts_with("  ") && !line.starts_with("   "))
        .filter_map(|line| line.split_whitespace().next())
        .filter(|command| *command != "help")
        .collect();
    assert!(commands.contains(&"check"));
    for command in commands {
        assert!(readme.contains(&format!("`dryfit {command}")), "{command}");
    }
}

fn keys(value: &Value, into: &mut BTreeSet<String>) {
    match value {
        Value::Object(map) => {
            for (key, value) in map {
                into.insert(key.clone());
                keys(value, into);
            }
        }
        Value::Array(list) => list.iter().for_each(|value| keys(value, into)),
        _ => {}
    }
}

/// Every key of a report stands in the README's reference.
#[test]
fn the_readme_documents_every_key_of_the_json_report() {
    let readme = std::fs::read_to_string(root("README.md")).unwrap();
    let reference = readme
        .split("## The JSON report")
        .nth(1)
        .and_then(|rest| rest.split("\n## ").next())
        .unwrap();
    let mut found = BTreeSet::new();
    for job in ["glaze-room", "kiln-store"] {
        let text = run(&["check", &format!("fixtures/{job}"), "--format", "json"]);
        keys(&serde_json::from_str(&text).unwrap(), &mut found);
        let text = run(&["measure", &format!("fixtures/{job}"), "--format", "json"]);
        keys(&serde_json::from_str(&text).unwrap(), &mut found);
    }
    assert!(found.len() > 40);
    for key in found {
        assert!(reference.contains(&format!("`{key}`")), "{key}");
    }
}

#[test]
fn the_kinds_of_findings() {
    assert_current(
        Path::new(&root("docs/findings.md")),
        &dryfit::report::kinds::documentation(),
    );
}

/// A copy of a demo job in a folder of its own name.
fn copy_job(fixture: &str, into: &Path) {
    std::fs::create_dir_all(into).unwrap();
    for entry in std::fs::read_dir(root("fixtures").join(fixture)).unwrap() {
        let path = entry.unwrap().path();
        std::fs::copy(&path, into.join(path.file_name().unwrap())).unwrap();
    }
}

/// Without the seal and the count of drawn sizes, which rest on every size of the job.
fn masked(text: &str) -> String {
    let mut out = String::new();
    for line in text.split_inclusive('\n') {
        let seal = line
            .split([' ', '"', '\n'])
            .find(|word| word.len() == 64 && !line.contains("sha256"));
        let line = match seal {
            Some(seal) => line.replace(seal, "[64 digits]"),
            None => line.to_owned(),
        };
        match line.split_once(" drawn sizes and ") {
            Some((before, after)) if line.starts_with("It keeps") => {
                let before = before.trim_end_matches(|c: char| c.is_ascii_digit());
                out.push_str(&format!("{before}[...] drawn sizes and {after}"));
            }
            _ => out.push_str(&line),
        }
    }
    out
}

/// The outputs in docs/release.md, and every key of its two references.
#[test]
fn releases_as_documented() {
    let home = tempfile::tempdir().unwrap();
    let run = |arguments: &[&str]| {
        let output = assert_cmd::Command::cargo_bin("dryfit")
            .unwrap()
            .current_dir(home.path())
            .env("NO_COLOR", "1")
            // 1 March 2026
            .env("SOURCE_DATE_EPOCH", "1772323200")
            .args(arguments)
            .output()
            .unwrap();
        assert_ne!(
            output.status.code(),
            Some(2),
            "{}",
            String::from_utf8_lossy(&output.stderr)
        );
        String::from_utf8(output.stdout).unwrap()
    };
    let document = root("docs/release.md");
    let show = |name: &str, arguments: &[&str], until: Option<&str>| {
        let printed = run(arguments);
        assert!(printed.lines().all(|line| line.chars().count() <= 80));
        let printed = masked(&printed);
        let shown = match until {
            Some(until) => format!("{}...\n", printed.split(until).next().unwrap()),
            None => printed,
        };
        let call = arguments.join(" ");
        assert_block(
            &document,
            name,
            &format!("```text\n$ dryfit {call}\n{shown}```\n"),
        );
    };
    let job = home.path().join("glaze-room");
    copy_job("glaze-room", &job);
    let release = ["release", "glaze-room", "--by", "Ada", "--issue", "A"];
    show("refused", &release, None);
    copy_job("glaze-room-clean", &job);
    show("released", &release, Some("Cautions"));
    show("verified", &["verify", "glaze-room"], None);
    copy_job("glaze-room", &job);
    show("changed", &["verify", "glaze-room"], None);
    copy_job("worked/c1", &home.path().join("rev-a"));
    copy_job("worked/c1-23-32", &home.path().join("rev-b"));
    show("compared", &["compare", "rev-a", "rev-b"], None);

    let text = std::fs::read_to_string(job.join("dryfit-release-A.toml")).unwrap();
    let text = masked(&text);
    // The first lines of each part.
    let mut shown = String::new();
    let mut of_part = 0;
    for line in text.lines() {
        of_part = if line.starts_with("  ") {
            of_part + 1
        } else {
            0
        };
        match of_part {
            0..=3 => shown.push_str(&format!("{line}\n")),
            4 => shown.push_str("  ...\n"),
            _ => {}
        }
    }
    assert_block(&document, "record", &format!("```toml\n{shown}```\n"));

    let text = std::fs::read_to_string(&document).unwrap();
    let part = |heading: &str| {
        text.split(&format!("## {heading}\n"))
            .nth(1)
            .and_then(|rest| rest.split("\n## ").next())
            .unwrap()
            .to_owned()
    };
    let record: toml::Value =
        toml::from_str(&std::fs::read_to_string(job.join("dryfit-release-A.toml")).unwrap())
            .unwrap();
    let record = serde_json::to_value(record).unwrap();
    let answer = |arguments: &[&str]| -> Value {
        let mut arguments = arguments.to_vec();
        arguments.extend(["--format", "json"]);
        serde_json::from_str(&run(&arguments)).unwrap()
    };
    let answers = [
        answer(&["verify", "glaze-room"]),
        answer(&["compare", "rev-a", "rev-b"]),
    ];
    for (heading, values) in [
        ("The record", &[record][..]),
        ("The JSON answers", &answers[..]),
    ] {
        let mut found = BTreeSet::new();
        values.iter().for_each(|value| keys(value, &mut found));
        assert!(found.len() > 15);
        let reference = part(heading);
        for key in found {
            assert!(reference.contains(&format!("`{key}`")), "{heading}: {key}");
        }
    }
}
