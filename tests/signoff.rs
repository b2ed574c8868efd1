//! Accepting deviations, from outside.

mod common;

use std::fs;
use std::path::{Path, PathBuf};

struct Job {
    home: tempfile::TempDir,
}

struct Said {
    status: i32,
    out: String,
    err: String,
}

impl Job {
    /// The demo, with one wrong height.
    fn new() -> Self {
        let home = tempfile::tempdir().unwrap();
        for name in ["glaze-room.dxf", "glaze-room.csv", "dryfit.toml"] {
            let from = common::fixture("glaze-room").join(name);
            if from.exists() {
                fs::copy(from, home.path().join(name)).unwrap();
            }
        }
        Job { home }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.home.path().join(name)
    }

    fn change_list(&self, from: &str, to: &str) {
        let path = self.path("glaze-room.csv");
        let text = fs::read_to_string(&path).unwrap();
        assert!(text.contains(from), "{from}");
        fs::write(path, text.replacen(from, to, 1)).unwrap();
    }
}

/// Runs on 1 March 2026.
fn run(arguments: &[&str], job: &Path) -> Said {
    run_on("1772323200", arguments, job)
}

fn run_on(day: &str, arguments: &[&str], job: &Path) -> Said {
    let (command, rest) = arguments.split_first().unwrap();
    let output = assert_cmd::Command::cargo_bin("dryfit")
        .unwrap()
        .env("SOURCE_DATE_EPOCH", day)
        .arg(command)
        .arg(job)
        .args(rest)
        .output()
        .unwrap();
    Said {
        status: output.status.code().unwrap(),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

/// Accepts everything the job has.
fn accept_all(job: &Job) {
    let report = common::check(&[job.home.path()]).json;
    let ids = |list: &serde_json::Value| -> Vec<String> {
        list.as_array()
            .unwrap()
            .iter()
            .map(|item| item["id"].as_str().unwrap().to_owned())
            .collect()
    };
    let mut items = ids(&report["findings"]);
    items.extend(ids(&report["coverage"]["open"]));
    assert!(!items.is_empty());
    let mut arguments = vec!["accept"];
    arguments.extend(items.iter().map(String::as_str));
    arguments.extend(["--reason", "built so on site", "--by", "Ada"]);
    let said = run(&arguments, job.home.path());
    assert_eq!(said.status, 0, "{}", said.err);
}

#[test]
fn an_accepted_deviation_no_longer_stops_the_job() {
    let job = Job::new();
    assert_eq!(run(&["check"], job.home.path()).status, 1);
    accept_all(&job);
    let said = run(&["check"], job.home.path());
    assert_eq!(said.status, 0, "{}", said.out);
    assert!(said.out.contains("but for"), "{}", said.out);
    assert!(
        said.out
            .contains("accepted by Ada on 2026-03-01: built so on site")
    );
    assert!(!said.out.contains("Fix this first"));
    let json = common::check(&[job.home.path()]).json;
    assert_eq!(json["findings"][0]["accepted"], true);
    assert_eq!(json["accepted"][0]["state"], "holds");
}

#[test]
fn it_is_void_once_the_row_or_the_drawing_changes() {
    let job = Job::new();
    accept_all(&job);
    // The very row.
    job.change_list("B2,Side,2,31,", "B2,Side,2,30,");
    let said = run(&["check"], job.home.path());
    assert_eq!(said.status, 1);
    assert!(said.out.contains("No longer accepted:"), "{}", said.out);
    job.change_list("B2,Side,2,30,", "B2,Side,2,31,");
    assert_eq!(run(&["check"], job.home.path()).status, 0);
    // The drawing, if only by a comment.
    let path = job.path("glaze-room.dxf");
    let drawing = fs::read_to_string(&path).unwrap();
    fs::write(&path, format!("999\nsaved again\n{drawing}")).unwrap();
    let said = run(&["check"], job.home.path());
    assert_eq!(said.status, 1);
    assert!(
        said.out.contains("the drawing is not what it was"),
        "{}",
        said.out
    );
}

#[test]
fn it_ends_with_its_last_day_and_is_reported_when_it_matches_nothing() {
    let job = Job::new();
    let accept = [
        "accept",
        "F1",
        "--reason",
        "r",
        "--by",
        "b",
        "--until",
        "2026-03-05",
    ];
    assert_eq!(run(&accept, job.home.path()).status, 0);
    assert_eq!(run(&["check"], job.home.path()).status, 0);
    // 6 March 2026.
    let said = run_on("1772755200", &["check"], job.home.path());
    assert_eq!(said.status, 1);
    assert!(
        said.out.contains("it held until 2026-03-05"),
        "{}",
        said.out
    );
    // The finding is gone with the right list.
    let right = common::fixture("glaze-room-clean/glaze-room.csv");
    fs::copy(right, job.path("glaze-room.csv")).unwrap();
    let said = run(&["check"], job.home.path());
    // Lines are wrapped.
    let flat = said.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        flat.contains("the job has nothing of that name any more"),
        "{flat}"
    );
}

#[test]
fn what_cannot_be_accepted_is_said() {
    let job = Job::new();
    let folder = job.home.path();
    let said = run(&["accept", "F99", "--reason", "r", "--by", "b"], folder);
    assert_eq!(said.status, 2);
    assert!(
        said.err.contains("there is no F99 in this job"),
        "{}",
        said.err
    );
    let over = [
        "accept",
        "F1",
        "--reason",
        "r",
        "--by",
        "b",
        "--until",
        "2026-02-28",
    ];
    let said = run(&over, folder);
    assert_eq!(said.status, 2);
    assert!(
        said.err.contains("2026-02-28 is over already"),
        "{}",
        said.err
    );
    let said = run(&["accept", "F1", "--reason", " ", "--by", "b"], folder);
    assert_eq!(said.status, 2);
    let list = job.path("glaze-room.csv");
    let said = run(&["accept", "F1", "--reason", "r", "--by", "b"], &list);
    assert!(said.err.contains("is no folder"), "{}", said.err);
    assert!(!job.path("dryfit-accepted.toml").exists());
    // A file someone broke is no reason to forget what was accepted.
    fs::write(job.path("dryfit-accepted.toml"), "[[accepted]\n").unwrap();
    let said = run(&["check"], folder);
    assert_eq!(said.status, 2);
    assert!(said.err.contains("dryfit-accepted.toml"), "{}", said.err);
}
