//! Running the program and reading its report, for the tests from outside.
#![allow(dead_code)]

pub mod dxf;
pub mod kept;

use serde_json::Value;
use std::path::{Path, PathBuf};

/// A path below `fixtures/`.
pub fn fixture(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("fixtures")
        .join(name)
}

pub fn read_json(path: &Path) -> Value {
    let text = std::fs::read_to_string(path).unwrap_or_else(|error| panic!("{path:?}: {error}"));
    serde_json::from_str(&text).unwrap_or_else(|error| panic!("{path:?}: {error}"))
}

/// A report as JSON, with the exit status.
pub struct Report {
    pub json: Value,
    pub status: i32,
}

/// `dryfit check PATHS --format json`.
pub fn check(paths: &[&Path]) -> Report {
    check_with(paths, &[])
}

pub fn check_with(paths: &[&Path], options: &[&str]) -> Report {
    let output = assert_cmd::Command::cargo_bin("dryfit")
        .unwrap()
        .arg("check")
        .args(paths)
        .args(["--format", "json"])
        .args(options)
        .output()
        .unwrap();
    let json = serde_json::from_slice(&output.stdout).unwrap_or_else(|error| {
        panic!(
            "{paths:?}: {error}: {}{}",
            String::from_utf8_lossy(&output.stdout),
            String::from_utf8_lossy(&output.stderr)
        )
    });
    Report {
        json,
        status: output.status.code().unwrap(),
    }
}

impl Report {
    /// Line and dimension of every finding, with those it explains.
    pub fn findings(&self) -> Vec<(u64, String)> {
        let entry = |value: &Value| {
            Some((
                value["line"].as_u64()?,
                value["dimension"].as_str()?.to_owned(),
            ))
        };
        let mut found = Vec::new();
        for finding in self.json["findings"].as_array().unwrap() {
            found.extend(entry(finding));
            found.extend(finding["also"].as_array().unwrap().iter().filter_map(entry));
        }
        found.sort();
        found.dedup();
        found
    }

    /// Messages of findings that are about no size of a row.
    pub fn findings_without_a_size(&self) -> Vec<String> {
        self.json["findings"]
            .as_array()
            .unwrap()
            .iter()
            .filter(|finding| finding["line"].is_null() || finding["dimension"].is_null())
            .map(|finding| finding["message"].as_str().unwrap().to_owned())
            .collect()
    }

    /// Every row size with its outcome.
    pub fn coverage(&self) -> Vec<((u64, String), String)> {
        self.json["coverage"]["rows"]
            .as_array()
            .unwrap()
            .iter()
            .map(|row| {
                (
                    (
                        row["line"].as_u64().unwrap(),
                        row["dimension"].as_str().unwrap().to_owned(),
                    ),
                    row["outcome"].as_str().unwrap().to_owned(),
                )
            })
            .collect()
    }

    /// The reported size of a cabinet, millimetres: `("B2", "overall", "width")`.
    pub fn size(&self, cabinet: &str, which: &str, dimension: &str) -> Option<f64> {
        self.json["cabinets"]
            .as_array()
            .unwrap()
            .iter()
            .find(|entry| entry["id"] == cabinet)
            .and_then(|entry| entry[which][dimension]["mm"].as_f64())
    }

    /// Every size the truth states, with `Some(true)` when the report gives it within
    /// 0.05 mm, `None` when it gives none, `Some(false)` when it gives another.
    pub fn against(&self, truth: &Value) -> Vec<(String, Option<bool>)> {
        let mut out = Vec::new();
        for (id, cabinet) in truth["cabinets"].as_object().unwrap() {
            for which in ["overall", "interior"] {
                for dimension in ["width", "height", "depth"] {
                    let Some(right) = cabinet[which][dimension].as_f64() else {
                        continue;
                    };
                    let given = self.size(id, which, dimension);
                    out.push((
                        format!("{id} {which} {dimension}: {given:?} for {right}"),
                        given.map(|mm| (mm - right).abs() <= 0.05),
                    ));
                }
            }
        }
        out
    }
}
