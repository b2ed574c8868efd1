//! The job file from outside: what `init` writes can be taken over, what it says is
//! used, and what is wrong in it is said with its line.

mod common;

use common::{check, check_with, fixture};
use std::path::{Path, PathBuf};

/// A copy of a fixture's drawing and list in a folder of the same name.
fn copy(name: &str, scratch: &Path) -> PathBuf {
    let folder = scratch.join(name);
    std::fs::create_dir(&folder).unwrap();
    for entry in std::fs::read_dir(fixture(name)).unwrap() {
        let from = entry.unwrap().path();
        let extension = from.extension().and_then(|e| e.to_str()).unwrap_or("");
        if matches!(extension, "dxf" | "csv") {
            std::fs::copy(&from, folder.join(from.file_name().unwrap())).unwrap();
        }
    }
    folder
}

fn dryfit(arguments: &[&str]) -> (i32, String, String) {
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

/// Takes over every answer and size the job itself shows.
fn take_over(text: &str) -> String {
    let mut section = "";
    let mut out = String::new();
    let mut taken = 0;
    for line in text.lines() {
        if line.starts_with('[') {
            section = line;
        }
        let proposal = line.strip_prefix("# ").filter(|line| {
            line.contains(" = \"") && !line.contains("= \"\"") && !line.starts_with("preset")
        });
        match (proposal, section) {
            (Some(line), "[construction]") if line.contains("shown by") => {
                out.push_str(line);
                taken += 1;
            }
            (Some(line), "[sizes]") => {
                out.push_str(line);
                taken += 1;
            }
            _ => out.push_str(line),
        }
        out.push('\n');
    }
    assert!(taken >= 8, "only {taken} proposals\n{text}");
    out
}

#[test]
fn a_job_that_is_right_stays_right_under_its_own_proposals() {
    let scratch = tempfile::tempdir().unwrap();
    let folder = copy("glaze-room-clean", scratch.path());
    let (status, out, error) = dryfit(&["init", &folder.to_string_lossy()]);
    assert_eq!((status, error.as_str()), (0, ""));
    assert!(out.contains("dryfit.toml written"));
    let file = folder.join("dryfit.toml");
    let before = check(&[&folder]);
    std::fs::write(&file, take_over(&std::fs::read_to_string(&file).unwrap())).unwrap();
    let after = check(&[&folder]);
    assert_eq!(after.findings(), []);
    assert_eq!(after.findings_without_a_size(), [] as [String; 0]);
    assert!(before.status == after.status || after.status == 0);
}

#[test]
fn proposals_of_a_wrong_list_do_not_excuse_it() {
    let scratch = tempfile::tempdir().unwrap();
    let folder = copy("glaze-room", scratch.path());
    let before = check(&[&folder]).findings();
    assert!(!before.is_empty());
    let (status, ..) = dryfit(&["init", &folder.to_string_lossy()]);
    assert_eq!(status, 0);
    let file = folder.join("dryfit.toml");
    std::fs::write(&file, take_over(&std::fs::read_to_string(&file).unwrap())).unwrap();
    let after = check(&[&folder]).findings();
    for finding in &before {
        assert!(after.contains(finding), "{finding:?} is gone: {after:?}");
    }
}

#[test]
fn what_is_wrong_in_a_job_file_is_said_with_its_line_and_nothing_is_checked() {
    let scratch = tempfile::tempdir().unwrap();
    let folder = copy("kiln-store", scratch.path());
    let file = folder.join("dryfit.toml");
    std::fs::write(
        &file,
        "[job]\nunit = \"mm\"\n[sizes]\noverlay = \"1/2 +\"\n",
    )
    .unwrap();
    let (status, out, error) = dryfit(&["check", &folder.to_string_lossy()]);
    assert_eq!((status, out.as_str()), (2, ""));
    assert!(error.contains("dryfit.toml:2:1: [job] takes no `unit`; the nearest is `units`"));
    assert!(error.contains("dryfit.toml:4:"), "{error}");
    // Another job file in its place.
    let other = scratch.path().join("other.toml");
    std::fs::write(&other, "[job]\nname = \"Kiln store, second look\"\n").unwrap();
    let report = check_with(&[&folder], &["--job", &other.to_string_lossy()]);
    assert_ne!(report.status, 2);
    assert!(report.json.to_string().contains("Kiln store, second look"));
    let missing = scratch.path().join("none.toml");
    let (status, _, error) = dryfit(&[
        "check",
        &folder.to_string_lossy(),
        "--job",
        &missing.to_string_lossy(),
    ]);
    assert_eq!(status, 2);
    assert!(error.contains("none.toml: cannot be read"), "{error}");
}

#[test]
fn the_reference_is_printed() {
    let (status, out, _) = dryfit(&["explain", "job-file"]);
    assert_eq!(status, 0);
    let committed = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/job-file.md");
    // Printed, it is broken at 80 columns.
    let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(
        words(&out),
        words(&std::fs::read_to_string(committed).unwrap())
    );
}

/// Rectangles (left, bottom, right, top) as a drawing in millimetres without a word in it.
fn without_a_word(boxes: &[[f64; 4]]) -> String {
    let mut out = String::from("0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n");
    out.push_str("0\nSECTION\n2\nENTITIES\n");
    for [left, bottom, right, top] in boxes {
        let corners = [
            (left, bottom),
            (right, bottom),
            (right, top),
            (left, top),
            (left, bottom),
        ];
        for pair in corners.windows(2) {
            let ((x0, y0), (x1, y1)) = (pair[0], pair[1]);
            out.push_str(&format!(
                "0\nLINE\n8\n0\n10\n{x0}\n20\n{y0}\n11\n{x1}\n21\n{y1}\n"
            ));
        }
    }
    out + "0\nENDSEC\n0\nEOF\n"
}

/// A shelf unit in a front and a section that fit no cabinet of the list: `init` says
/// where they are, and a person what they are.
#[test]
fn views_that_are_not_recognised_are_proposed_by_their_place() {
    let front = [
        [0.0, 0.0, 18.0, 700.0],
        [482.0, 0.0, 500.0, 700.0],
        [18.0, 0.0, 482.0, 18.0],
        [18.0, 682.0, 482.0, 700.0],
    ];
    let section = [
        [2000.0, 0.0, 2500.0, 700.0],
        [2000.0, 0.0, 2494.0, 18.0],
        [2000.0, 682.0, 2494.0, 700.0],
        [2494.0, 0.0, 2500.0, 700.0],
    ];
    let scratch = tempfile::tempdir().unwrap();
    let folder = scratch.path().join("damp box");
    std::fs::create_dir(&folder).unwrap();
    let boxes: Vec<[f64; 4]> = front.into_iter().chain(section).collect();
    std::fs::write(folder.join("views.dxf"), without_a_word(&boxes)).unwrap();
    // Nothing in it is as high, wide or deep as what is drawn.
    let other = "Cabinet,Part,Qty,Length,Width,Thickness\nD2,Side,2,300,400,18\n";
    std::fs::write(folder.join("list.csv"), other).unwrap();
    let before = check(&[&folder]).json;
    for cabinet in before["cabinets"].as_array().unwrap() {
        assert_eq!(cabinet["id"], "untitled 1", "{before}");
    }

    assert_eq!(dryfit(&["init", &folder.to_string_lossy()]).0, 0);
    let file = folder.join("dryfit.toml");
    let text = std::fs::read_to_string(&file).unwrap();
    let places: Vec<&str> = text
        .lines()
        .filter_map(|line| line.strip_prefix("# region = "))
        .collect();
    assert_eq!(places.len(), 2, "{text}");
    let said: String = places
        .iter()
        .zip(["front", "section"])
        .map(|(place, kind)| {
            format!(
                "[[view]]\nfile = \"views.dxf\"\nregion = {place}\nkind = \"{kind}\"\n\
                 cabinets = [\"D1\"]\n"
            )
        })
        .collect();
    std::fs::write(&file, said).unwrap();
    let list = "D1,Side,2,700,500,18\nD1,Bottom,1,464,494,18\n\
                D1,Top,1,464,494,18\nD1,Back,1,700,464,6\n";
    std::fs::write(folder.join("list.csv"), format!("{other}{list}")).unwrap();
    let after = check(&[&folder]);
    let overall = &after.json["cabinets"][0]["overall"];
    for (dimension, right) in [("width", 500.0), ("height", 700.0), ("depth", 500.0)] {
        let measured = overall[dimension]["mm"].as_f64();
        assert_eq!(measured, Some(right), "{dimension}: {overall}");
    }
    assert_eq!(after.findings(), []);
}
