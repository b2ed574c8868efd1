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

/// Every key of a report stands in the README's reference.
#[test]
fn the_readme_documents_every_key_of_the_json_report() {
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
