//! A drawing, a list and a job file, parted by `=== LIST` and `=== JOB` on lines
//! of their own: the whole way to every report. No panic; sizes are counted
//! once; reports that are read by programs can be read.
#![no_main]

use dryfit::audit::{Job, Outcome, audit};
use dryfit::cli::load::measured;
use dryfit::construction::JobFile;
use dryfit::report::{Format, Report, save};
use dryfit::{cutlist, drawing};
use libfuzzer_sys::fuzz_target;

fn parted<'a>(bytes: &'a [u8], mark: &[u8]) -> (&'a [u8], &'a [u8]) {
    match bytes.windows(mark.len()).position(|window| window == mark) {
        Some(at) => (&bytes[..at], &bytes[at + mark.len()..]),
        None => (bytes, &[]),
    }
}

fuzz_target!(|bytes: &[u8]| {
    let (drawn, rest) = parted(bytes, b"=== LIST\n");
    let (listed, stated) = parted(rest, b"=== JOB\n");
    let text = String::from_utf8_lossy(stated);
    let file = JobFile::parse(&text, "dryfit.toml").unwrap_or_default();
    let mut job = Job {
        name: "job".to_owned(),
        rules: file.rules.clone(),
        ..Job::default()
    };
    job.sheets.extend(drawing::read_bytes(drawn, "job.dxf"));
    job.lists
        .extend(cutlist::read_bytes(listed, "job.csv", &file.list));
    if job.sheets.is_empty() && job.lists.is_empty() {
        return;
    }
    measured(&mut job, &file.hints, &file);
    let audit = audit(&job);
    if audit.outcome == Outcome::Agrees {
        assert!(audit.findings.is_empty() && audit.unchecked.is_empty());
    }
    let report = Report::new(&job, &audit);
    let json = report.render(Format::Json, false);
    serde_json::from_str::<serde_json::Value>(&json).expect("JSON");
    let _ = report.render(Format::Text, true);
    for index in 0..audit.findings.len().min(20) {
        assert!(report.explain(index, false).is_some());
    }
    save::plan(&report, |shown| {
        Ok(if shown == "job.dxf" { drawn } else { listed }.to_vec())
    });
});
