//! The seeds of the fuzzers are real drawings: each is read, and each draws
//! something. Inputs a fuzzer once stumbled over are kept beside them.

mod common;

use common::dxf::promises;
use dryfit::drawing::read_file;
use std::path::Path;

#[test]
fn seeds_are_drawings() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fuzz/seeds/read_drawing");
    let mut seen = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let sheet = read_file(&path, "seed.dxf").unwrap();
        promises(&sheet);
        assert!(sheet.read.values().sum::<u64>() > 0, "{path:?}");
        let drawn = sheet.segments.len() + sheet.texts.len() + sheet.hatch_segments.len();
        assert!(
            drawn + sheet.dimensions.len() + sheet.arcs.len() > 0,
            "{path:?}"
        );
        seen += 1;
    }
    assert!(seen >= 11);
}

fn seeds(target: &str) -> Vec<(String, Vec<u8>)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("fuzz/seeds")
        .join(target);
    let mut found: Vec<(String, Vec<u8>)> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            (name, std::fs::read(path).unwrap())
        })
        .collect();
    found.sort();
    assert!(found.len() >= 2, "{target}");
    found
}

#[test]
fn list_seeds_hold_rows() {
    use dryfit::cutlist::{ListHints, read_bytes};
    for (name, bytes) in seeds("read_list") {
        let list = read_bytes(&bytes[1..], "list.csv", &ListHints::default()).unwrap();
        assert!(
            list.rows.len() + list.borings.len() + list.problems.len() > 0,
            "{name}"
        );
    }
    for (name, bytes) in seeds("read_workbook") {
        if bytes[0] == 0 {
            let list = read_bytes(&bytes[1..], &name, &ListHints::default()).unwrap();
            assert!(!list.rows.is_empty(), "{name}");
        }
    }
}

#[test]
fn job_file_and_length_seeds_are_read() {
    use dryfit::construction::JobFile;
    use dryfit::length::{Unit, parse};
    for (name, bytes) in seeds("read_job_file") {
        let text = String::from_utf8(bytes).unwrap();
        let read = JobFile::parse(&text, "dryfit.toml");
        assert_eq!(read.is_ok(), name == "sizes", "{name}: {read:?}");
    }
    let texts = seeds("read_length");
    let read = texts
        .iter()
        .filter(|(_, text)| parse(std::str::from_utf8(text).unwrap(), Unit::Inch).is_ok())
        .count();
    assert!(read > texts.len() / 3 && read < texts.len());
}

/// The whole check is fuzzed from jobs in which there is something to check.
#[test]
fn whole_seeds_are_checked() {
    for (name, bytes) in seeds("whole_check") {
        let text = String::from_utf8(bytes).unwrap();
        let (drawn, rest) = text.split_once("=== LIST\n").unwrap();
        let (listed, stated) = rest.split_once("=== JOB\n").unwrap();
        let home = tempfile::tempdir().unwrap();
        std::fs::write(home.path().join("job.dxf"), drawn).unwrap();
        std::fs::write(home.path().join("job.csv"), listed).unwrap();
        std::fs::write(home.path().join("dryfit.toml"), stated).unwrap();
        let report = common::check(&[home.path()]);
        assert_eq!(
            report.size("W60", "overall", "width"),
            Some(600.0),
            "{name}"
        );
        assert_eq!(report.findings().is_empty(), name != "wrong", "{name}");
    }
}
