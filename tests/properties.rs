//! The same drawing drawn elsewhere, turned, mirrored, in another unit, its lines
//! split, doubled and shuffled: no measured size changes by more than 0.01 mm, no
//! finding comes or goes. Reading, measuring, comparing and reporting, as one.

mod moved;

use dryfit::audit::audit;
use dryfit::cli::discover::Held;
use dryfit::cli::load::{Call, load};
use dryfit::report::{Format, Report};
use moved::{Drawing, Move};
use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::Path;

/// Within this a size is the same, millimetres.
const SAME: f64 = 0.01;

/// Jobs in inches and millimetres, with and without face frame, as loose lines,
/// polylines and blocks, one sheet and several, dimensions as entities and as lines.
const JOBS: [&str; 10] = [
    "tests/plain/frame",
    "tests/plain/metric",
    "tests/plain/run",
    "tests/strangers/cases/s0032",
    "tests/strangers/cases/s0069",
    "tests/strangers/cases/s0119",
    "tests/strangers/cases/s0175",
    "tests/strangers/cases/s5188",
    "fixtures/derived/face-frame",
    "fixtures/derived/hinge-bores",
];

/// Drawings without a word on them. Which way is up is then only said by how they
/// lie, so they are not turned.
const WORDLESS: [&str; 2] = [
    "fixtures/drafted/no-names",
    "fixtures/drafted/one-file-each",
];

/// The files of a job.
struct Source {
    drawings: Vec<(String, String)>,
    lists: Vec<Held>,
    job_text: Option<String>,
}

fn source(folder: &str) -> Source {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let mut out = Source {
        drawings: Vec::new(),
        lists: Vec::new(),
        job_text: None,
    };
    let mut paths: Vec<_> = std::fs::read_dir(root)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    paths.sort();
    for path in paths {
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let bytes = std::fs::read(&path).unwrap();
        match path.extension().and_then(|extension| extension.to_str()) {
            Some("dxf") => out.drawings.push((name, String::from_utf8(bytes).unwrap())),
            Some("toml") => out.job_text = Some(String::from_utf8(bytes).unwrap()),
            Some("csv") => out.lists.push(Held {
                name,
                bytes: bytes.into(),
            }),
            _ => {}
        }
    }
    assert!(!out.drawings.is_empty() && !out.lists.is_empty());
    out
}

/// Every size in millimetres by where it stands in the report, and everything the
/// report says of whether it is right, without numbers.
#[derive(Debug, Default, PartialEq)]
struct Said {
    sizes: BTreeMap<String, Option<f64>>,
    outcomes: BTreeMap<String, String>,
    findings: Vec<String>,
}

impl Said {
    /// What is said otherwise.
    fn unlike(&self, other: &Said) -> Vec<String> {
        let mut out = Vec::new();
        for (name, size) in &self.sizes {
            let there = other.sizes.get(name).copied().flatten();
            let same = match (size, there) {
                (Some(a), Some(b)) => (a - b).abs() <= SAME,
                (a, b) => *a == b,
            };
            if !same {
                out.push(format!("{name}: {size:?}, then {there:?}"));
            }
        }
        for (name, outcome) in &self.outcomes {
            let there = other.outcomes.get(name);
            if there != Some(outcome) {
                out.push(format!("{name}: {outcome}, then {there:?}"));
            }
        }
        if self.findings != other.findings {
            out.push(format!("{:?}, then {:?}", self.findings, other.findings));
        }
        out
    }
}

fn check(source: &Source, change: impl Fn(&mut Drawing)) -> Said {
    let drawings = source.drawings.iter().map(|(name, text)| {
        let mut drawing = Drawing::read(text);
        change(&mut drawing);
        Held {
            name: name.clone(),
            bytes: drawing.write().into_bytes().into(),
        }
    });
    let job = load(&Call {
        held: drawings.chain(source.lists.iter().cloned()).collect(),
        job_text: source.job_text.clone(),
        ..Call::default()
    })
    .unwrap();
    let audit = audit(&job);
    let json = Report::new(&job, &audit).render(Format::Json, false);
    said(&serde_json::from_str(&json).unwrap())
}

fn said(json: &Value) -> Said {
    let mut out = Said::default();
    for cabinet in json["cabinets"].as_array().unwrap() {
        for which in ["overall", "interior"] {
            for (dimension, size) in cabinet[which].as_object().unwrap() {
                let name = format!("{} {which} {dimension}", cabinet["id"]);
                out.sizes.insert(name, size["mm"].as_f64());
            }
        }
    }
    for row in json["coverage"]["rows"].as_array().unwrap() {
        let name = format!(
            "line {} {} of {}",
            row["line"], row["dimension"], row["cabinet"]
        );
        out.sizes
            .insert(format!("{name} expected"), row["expected_mm"].as_f64());
        out.outcomes
            .insert(name, row["outcome"].as_str().unwrap().to_owned());
    }
    for finding in json["findings"].as_array().unwrap() {
        let rounded = |key: &str| finding[key].as_f64().map(|mm| (mm * 10.0).round());
        out.findings.push(format!(
            "{} {} {} {} {} {:?} {:?}",
            finding["kind"],
            finding["cabinet"],
            finding["part"],
            finding["line"],
            finding["dimension"],
            rounded("drawn_mm"),
            rounded("listed_mm"),
        ));
    }
    out.findings.sort();
    out
}

/// Holds a changed drawing of every job against the job as it is: the same few
/// changes in every run.
#[track_caller]
fn unchanged<C: std::fmt::Debug>(
    jobs: &[&str],
    cases: u32,
    changes: impl Strategy<Value = C>,
    change: impl Fn(&mut Drawing, &C),
) {
    let jobs: Vec<(&str, Source, Said)> = jobs
        .iter()
        .map(|job| {
            let source = source(job);
            let right = check(&source, |_| {});
            assert!(right.sizes.values().flatten().count() >= 4, "{job}");
            (*job, source, right)
        })
        .collect();
    let config = Config {
        cases,
        max_shrink_iters: 40,
        failure_persistence: None,
        ..Config::default()
    };
    let random = TestRng::deterministic_rng(RngAlgorithm::ChaCha);
    TestRunner::new_with_rng(config, random)
        .run(&changes, |asked| {
            for (job, source, right) in &jobs {
                let found = check(source, |drawing| change(drawing, &asked));
                let unlike = right.unlike(&found);
                prop_assert!(unlike.is_empty(), "{job}: {unlike:#?}");
            }
            Ok(())
        })
        .unwrap_or_else(|error| panic!("{error}"));
}

#[test]
fn somewhere_else() {
    let far = prop_oneof![-2e3..2e3f64, -1e6..1e6f64];
    unchanged(
        &[&JOBS[..], &WORDLESS].concat(),
        2,
        [far.clone(), far],
        |drawing, shift| {
            drawing.place(Move {
                shift: *shift,
                ..Move::default()
            });
        },
    );
}

#[test]
fn turned_by_quarters() {
    unchanged(&JOBS, 2, 1..4u8, |drawing, quarters| {
        drawing.place(Move {
            turn: 90.0 * f64::from(*quarters),
            ..Move::default()
        });
    });
}

#[test]
fn turned_by_any_angle() {
    unchanged(&JOBS, 3, 0.0..360.0f64, |drawing, turn| {
        drawing.place(Move {
            turn: *turn,
            ..Move::default()
        });
    });
}

#[test]
fn mirrored() {
    unchanged(&JOBS, 1, Just(()), |drawing, ()| {
        drawing.place(Move {
            mirrored: true,
            ..Move::default()
        });
    });
}

#[test]
fn lines_split_doubled_turned_and_shuffled() {
    let keys = proptest::collection::vec(any::<u32>(), 17);
    let changes = (0.2..0.8f64, any::<[bool; 3]>(), keys);
    unchanged(
        &[&JOBS[..], &WORDLESS].concat(),
        3,
        changes,
        |drawing, (part, [split, double, reverse], keys)| {
            if *split {
                drawing.split(*part);
            }
            if *double {
                drawing.double();
            }
            if *reverse {
                drawing.reverse();
            }
            drawing.shuffle(keys);
        },
    );
}

#[test]
fn in_the_other_unit() {
    for (jobs, code, factor) in [
        (["tests/plain/frame"], "4", 25.4),
        (["tests/plain/metric"], "1", 1.0 / 25.4),
    ] {
        unchanged(&jobs, 1, Just(()), |drawing, ()| {
            drawing.in_unit(code, factor)
        });
    }
}
