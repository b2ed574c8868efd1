//! What the program says of input and calls it cannot use: each message names
//! the file and the line or entity, and the rest of the job is still checked.

mod common;

use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};

/// A folder with the constructed wall cabinet C2: drawing, list and job file.
struct Job {
    home: tempfile::TempDir,
}

impl Job {
    fn new() -> Self {
        let home = tempfile::tempdir().unwrap();
        for name in ["c2.dxf", "c2.csv", "dryfit.toml"] {
            let from = common::fixture("worked/c2").join(name);
            fs::copy(from, home.path().join(name)).unwrap();
        }
        Job { home }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.home.path().join(name)
    }

    fn write(&self, name: &str, content: impl AsRef<[u8]>) {
        fs::write(self.path(name), content).unwrap();
    }

    /// The list with one text replaced by another.
    fn change_list(&self, from: &str, to: &str) {
        let text = fs::read_to_string(self.path("c2.csv")).unwrap();
        assert!(text.contains(from));
        self.write("c2.csv", text.replacen(from, to, 1));
    }

    fn check(&self) -> common::Report {
        common::check(&[self.home.path()])
    }
}

/// Exit status, standard output, standard error.
fn run(arguments: &[&str]) -> (i32, String, String) {
    let output = assert_cmd::Command::cargo_bin("dryfit")
        .unwrap()
        .args(arguments)
        .output()
        .unwrap();
    (
        output.status.code().unwrap(),
        String::from_utf8(output.stdout).unwrap(),
        String::from_utf8(output.stderr).unwrap(),
    )
}

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

/// Messages of the findings of this kind.
fn messages(report: &common::Report, kind: &str) -> Vec<String> {
    report.json["findings"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|finding| finding["kind"] == kind)
        .map(|finding| finding["message"].as_str().unwrap().to_owned())
        .collect()
}

#[track_caller]
fn assert_one_says(messages: &[String], needles: &[&str]) {
    assert!(
        messages
            .iter()
            .any(|message| needles.iter().all(|needle| message.contains(needle))),
        "none of {messages:#?} says {needles:?}"
    );
}

fn agreeing(report: &common::Report) -> u64 {
    report.json["coverage"]["totals"]["agrees"]
        .as_u64()
        .unwrap()
}

#[test]
fn nothing_given() {
    let (status, out, err) = run(&["check"]);
    assert_eq!((status, out.as_str()), (2, ""));
    assert!(err.contains("PATH"), "{err}");
}

#[test]
fn a_place_that_is_not_there() {
    let (status, out, err) = run(&["check", "no/such/job"]);
    assert_eq!((status, out.as_str()), (2, ""));
    assert!(
        err.contains("no/such/job: there is no such file or folder"),
        "{err}"
    );
}

#[test]
fn a_folder_without_drawing_and_list() {
    let home = tempfile::tempdir().unwrap();
    fs::write(home.path().join("photo.jpg"), "x").unwrap();
    let (status, _, err) = run(&["check", text(home.path())]);
    assert_eq!(status, 2);
    assert!(err.contains("no drawing and no cut list in"), "{err}");
    assert!(
        err.contains("photo.jpg: neither a drawing (.dxf) nor a list"),
        "{err}"
    );
}

#[test]
fn a_file_that_is_no_dxf_leaves_the_rest_checked() {
    let job = Job::new();
    let before = agreeing(&job.check());
    job.write("plan.dxf", "%PDF-1.7 not a drawing");
    let report = job.check();
    assert_one_says(&messages(&report, "input"), &["plan.dxf", "not a DXF file"]);
    assert_eq!(agreeing(&report), before);
    assert_ne!(report.status, 0);
}

#[test]
fn an_empty_drawing() {
    let job = Job::new();
    job.write("empty.dxf", "");
    let drawn = "  0\nSECTION\n  2\nENTITIES\n  0\nENDSEC\n  0\nEOF\n";
    job.write("blank.dxf", drawn);
    let report = job.check();
    let said = messages(&report, "input");
    assert_one_says(&said, &["empty.dxf"]);
    let nothing = "nothing is drawn in it that can be measured";
    assert_one_says(&said, &["blank.dxf", nothing]);
    assert!(agreeing(&report) > 0);
}

#[test]
fn an_empty_list() {
    let job = Job::new();
    job.write("more.csv", "");
    job.write("heads.csv", "Cabinet,Part,Qty,Length,Width,Thickness\n");
    let report = job.check();
    let said = messages(&report, "input");
    assert_one_says(&said, &["more.csv"]);
    assert_one_says(&said, &["heads.csv", "no row below them"]);
    assert!(agreeing(&report) > 0);
}

#[test]
fn a_list_larger_than_any() {
    let job = Job::new();
    let file = fs::File::create(job.path("large.csv")).unwrap();
    // Without content: only its length counts.
    file.set_len((64 << 20) + 1).unwrap();
    let report = job.check();
    let said = messages(&report, "input");
    assert_one_says(
        &said,
        &["large.csv", "65 MB is more than the 64 MB that are read"],
    );
    assert!(agreeing(&report) > 0);
}

#[test]
fn a_size_that_cannot_be_read_is_named_by_line_and_column() {
    let job = Job::new();
    let list = fs::read_to_string(job.path("c2.csv")).unwrap();
    let second = list.lines().nth(1).unwrap();
    let cells: Vec<&str> = second.split(';').collect();
    let spoiled = second.replacen(cells[3], "ca. 7o0", 1);
    job.change_list(second, &spoiled);
    let report = job.check();
    assert_one_says(&messages(&report, "input"), &["c2.csv", "line 2", "7o0"]);
    let open: Vec<&Value> = report.json["coverage"]["rows"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|row| row["line"] == 2 && row["text"] == "ca. 7o0")
        .collect();
    assert_eq!(open.len(), 1);
    assert_eq!(open[0]["outcome"], "unchecked");
    assert!(agreeing(&report) > 0);
}

#[test]
fn a_cabinet_the_drawing_does_not_show() {
    let job = Job::new();
    job.write(
        "more.csv",
        "Cabinet,Part,Qty,Length (mm),Width (mm),Thickness (mm)\nZ9,Side,2,720,560,18\n",
    );
    let report = job.check();
    let rows: Vec<&Value> = report.json["coverage"]["rows"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|row| row["file"].as_str().unwrap().ends_with("more.csv"))
        .collect();
    assert!(!rows.is_empty());
    for row in rows {
        assert_eq!(row["outcome"], "unchecked");
        assert!(row["by"].as_str().unwrap().contains("Z9"), "{row}");
    }
}

/// A drawing with every coordinate of its entities multiplied.
fn enlarged(drawing: &str, factor: f64) -> String {
    let mut out = String::new();
    let mut lines = drawing.lines();
    let mut in_entities = false;
    while let (Some(code), Some(value)) = (lines.next(), lines.next()) {
        in_entities |= value.trim() == "ENTITIES";
        let coordinate = in_entities && matches!(code.trim(), "10" | "20" | "11" | "21");
        match value.trim().parse::<f64>() {
            Ok(number) if coordinate => out += &format!("{code}\n{}\n", number * factor),
            _ => out += &format!("{code}\n{value}\n"),
        }
    }
    out
}

#[test]
fn two_cabinets_with_one_name() {
    let drawing = fs::read_to_string(common::fixture("worked/c2/c2.dxf")).unwrap();
    // Drawn twice alike is no contradiction, and no part counts double.
    let job = Job::new();
    let before = job.check();
    job.write("again.dxf", format!("999\nanother\n{drawing}"));
    let report = job.check();
    assert_eq!(report.findings(), before.findings());
    assert_eq!(
        report.json["cabinets"].as_array().unwrap().len(),
        before.json["cabinets"].as_array().unwrap().len()
    );
    // Another cabinet of the same name is one, and its file is named.
    job.write("again.dxf", enlarged(&drawing, 1.25));
    let report = job.check();
    let said = messages(&report, "drawing");
    assert_one_says(&said, &["two drawn cabinets are called W60", "again.dxf"]);
    assert_one_says(&said, &["c2.dxf", "give each a name of its own"]);
    assert_eq!(report.findings_without_a_size().len(), 1, "{said:?}");
    assert_eq!(report.findings(), []);
    assert_eq!(report.status, 1);
}

/// Both on one sheet, each with a front and a plan of its own.
#[test]
fn two_cabinets_with_one_name_on_one_sheet() {
    let mut entities = String::new();
    let mut rectangle = |x: f64, y: f64, w: f64, h: f64| {
        let corners = [(x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y)];
        for pair in corners.windows(2) {
            let ((a, b), (c, d)) = (pair[0], pair[1]);
            entities += &format!("0\nLINE\n8\n0\n10\n{a}\n20\n{b}\n11\n{c}\n21\n{d}\n");
        }
    };
    for (left, wide, high) in [(0.0, 600.0, 700.0), (3000.0, 450.0, 900.0)] {
        for x in [left, left + wide - 18.0] {
            rectangle(x, 0.0, 18.0, high);
            rectangle(x, 1500.0, 18.0, 320.0);
        }
        for y in [0.0, high - 18.0] {
            rectangle(left + 18.0, y, wide - 36.0, 18.0);
        }
        rectangle(left + 18.0, 1814.0, wide - 36.0, 6.0);
    }
    for left in [0.0, 3000.0] {
        for (y, title) in [(-90.0, "D1 FRONT"), (1410.0, "D1 PLAN")] {
            entities += &format!("0\nTEXT\n8\n0\n10\n{left}\n20\n{y}\n40\n30\n1\n{title}\n");
        }
    }
    let job = Job::new();
    fs::remove_file(job.path("c2.dxf")).unwrap();
    job.write(
        "shelves.dxf",
        format!(
            "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n\
             0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n"
        ),
    );
    job.write(
        "c2.csv",
        "Cabinet,Part,Qty,Length,Width,Thickness\nD1,Side,2,700,320,18\n",
    );
    let report = job.check();
    let said = messages(&report, "drawing");
    assert_one_says(&said, &["two drawn cabinets are called D1", "shelves.dxf"]);
    assert_eq!(said.len(), 1, "{said:?}");
    assert_eq!(report.findings(), []);
    assert_eq!(report.status, 1);
}

#[test]
fn a_drawing_that_has_to_be_exported_first() {
    let job = Job::new();
    job.write("c2.dwg", "AC1032");
    job.write("list.xls", "x");
    let said = messages(&job.check(), "input");
    assert_one_says(&said, &["c2.dwg", "export it as DXF"]);
    assert_one_says(&said, &["list.xls", "save it as XLSX"]);
}

#[test]
fn the_same_content_twice_counts_once() {
    let job = Job::new();
    let before = job.check();
    fs::copy(job.path("c2.csv"), job.path("copy of c2.csv")).unwrap();
    let report = job.check();
    assert_eq!(
        report.json["coverage"]["totals"],
        before.json["coverage"]["totals"]
    );
    assert_one_says(
        &[report.json["coverage"]["passed_over"].to_string()],
        &["the same content as", "read once"],
    );
    // And a file named twice is one file.
    let list = job.path("c2.csv");
    let twice = common::check(&[job.home.path(), &list, &list]);
    assert_eq!(
        twice.json["coverage"]["totals"],
        before.json["coverage"]["totals"]
    );
}

#[test]
fn options_that_say_nothing() {
    for (option, value, said) in [
        ("--tolerance", "wide", "tolerance"),
        ("--tolerance", "2 in", "would pass any mistake"),
        ("--units", "cubits", "write in, ft, mm, cm or m"),
        (
            "--units",
            "sheet=in",
            "write `in`, `drawing=mm` or `list=in`",
        ),
        ("--scale", "0", "write 1:12, 12, or 1 1/2 in = 1 ft"),
    ] {
        let (status, _, err) = run(&["check", ".", option, value]);
        assert_eq!(status, 2);
        // Messages are wrapped to the terminal.
        let err = err.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(err.contains(said), "{option} {value}: {err}");
    }
}

#[test]
fn values_that_options_of_other_commands_do_not_take() {
    let much = "x".repeat(41);
    for (call, said) in [
        (
            &["accept", ".", "F1", "--by", "  ", "--reason", "r"][..],
            "it is empty",
        ),
        (
            &["accept", ".", "F1", "--by", "n", "--reason", ""],
            "it is empty",
        ),
        (
            &["release", ".", "--by", "n", "--issue", "a/b"],
            "use up to 40 letters, digits, '.', '-' and '_'",
        ),
        (
            &["release", ".", "--by", "n", "--issue", &much],
            "use up to 40 letters, digits, '.', '-' and '_'",
        ),
        (
            &["measure", ".", "--picture", "seen.png"],
            "`seen.png` ends neither in .svg nor in .html",
        ),
    ] {
        let (status, _, err) = run(call);
        assert_eq!(status, 2, "{call:?}");
        let err = err.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(err.contains(said), "{call:?}: {err}");
    }
}

#[test]
fn a_job_file_that_cannot_be_used() {
    let job = Job::new();
    job.write("dryfit.toml", "[construction\n");
    let (status, out, err) = run(&["check", text(job.home.path())]);
    assert_eq!((status, out.as_str()), (2, ""));
    assert!(err.contains("dryfit.toml"), "{err}");
    let (status, _, err) = run(&["check", text(job.home.path()), "--job", "no.toml"]);
    assert_eq!(status, 2);
    assert!(err.contains("no.toml"), "{err}");
}

#[test]
fn two_folders_with_a_job_file_each() {
    let (one, two) = (Job::new(), Job::new());
    let (status, _, err) = run(&["check", text(one.home.path()), text(two.home.path())]);
    assert_eq!(status, 2);
    assert!(
        err.contains("more than one job file") && err.contains("--job FILE"),
        "{err}"
    );
}

#[test]
fn reports_that_are_there_already() {
    let job = Job::new();
    let out = job.path("reports");
    let folder = job.home.path();
    let arguments = ["check", text(folder), "--out", text(&out)];
    let (first, _, err) = run(&arguments);
    assert!(err.contains("written to"), "{err}");
    let before = fs::read(out.join("report.html")).unwrap();
    job.change_list("720", "721");
    let (status, printed, err) = run(&arguments);
    assert_eq!((status, printed.as_str()), (2, ""));
    assert!(
        err.contains("report.html") && err.contains("--force"),
        "{err}"
    );
    assert_eq!(fs::read(out.join("report.html")).unwrap(), before);
    let (_, _, err) = run(&[&arguments[..], &["--force"]].concat());
    assert!(err.contains("written to"), "{err}");
    assert_ne!(fs::read(out.join("report.html")).unwrap(), before);
    assert_ne!(first, 2);
    // --force alone means nothing.
    assert_eq!(run(&["check", text(folder), "--force"]).0, 2);
}

#[test]
fn reports_in_the_job_folder_are_not_read_as_the_job() {
    let job = Job::new();
    let folder = job.home.path();
    let before = job.check();
    let (_, _, err) = run(&["check", text(folder), "--out", text(folder)]);
    assert!(err.contains("written to"), "{err}");
    let report = job.check();
    assert_eq!(
        report.json["coverage"]["totals"],
        before.json["coverage"]["totals"]
    );
    assert_eq!(report.findings(), before.findings());
    let (_, out, _) = run(&["check", text(folder)]);
    let out = out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(out.contains("a report of an earlier run"), "{out}");
    // One that was edited is not taken for a list, and not passed over silently.
    job.write(
        "findings.csv",
        "Cabinet,Part,Qty,Length,Width\nC2,Side,2,1,1\n",
    );
    let said = messages(&job.check(), "input");
    assert_one_says(&said, &["findings.csv", "changed since"]);
}

#[test]
fn a_finding_that_is_not_there() {
    let job = Job::new();
    let (status, _, err) = run(&["explain", "F99", text(job.home.path())]);
    assert_eq!(status, 2);
    assert!(err.contains("there is no finding F99 in"), "{err}");
}

#[test]
fn a_reader_that_stops_early_is_no_error() {
    use std::io::Read;
    use std::process::{Command, Stdio};
    let mut child = Command::new(assert_cmd::cargo::cargo_bin!("dryfit"))
        .args(["check", "--format", "json"])
        .arg(common::fixture("worked/c2"))
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let mut err = String::new();
    child
        .stderr
        .take()
        .unwrap()
        .read_to_string(&mut err)
        .unwrap();
    assert_eq!(err, "");
    assert!(child.wait().unwrap().code().is_some_and(|code| code != 2));
}
