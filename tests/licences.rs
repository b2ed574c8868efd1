//! Every crate the program is built from carries a permissive licence: what
//! `cargo metadata` says of all normal and build dependencies, held against a
//! list of SPDX identifiers.

use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::process::Command;

/// Licences that ask for no more than a notice.
const ALLOWED: [&str; 12] = [
    "0BSD",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "ISC",
    "MIT",
    "MIT-0",
    "Unicode-3.0",
    "Zlib",
];
/// A dedication to the public domain; allowed wherever it stands alone or not.
const UNLICENSE: &str = "Unlicense";

/// Whether an SPDX expression leaves a choice that is allowed. `/` is what old
/// manifests wrote for `OR`; `AND` binds tighter (SPDX 2.3, annex D).
fn allowed(expression: &str) -> bool {
    let expression = expression.replace('/', " OR ");
    let mut depth = 0;
    let mut choices = vec![Vec::new()];
    let mut piece: Vec<&str> = Vec::new();
    let spaced = expression.replace('(', " ( ").replace(')', " ) ");
    for word in spaced.split_whitespace() {
        depth += i32::from(word == "(") - i32::from(word == ")");
        match (depth, word) {
            (0, "OR" | "AND") => {
                choices.last_mut().unwrap().push(piece.join(" "));
                piece.clear();
                if word == "OR" {
                    choices.push(Vec::new());
                }
            }
            _ => piece.push(word),
        }
    }
    choices.last_mut().unwrap().push(piece.join(" "));
    choices
        .iter()
        .any(|all| all.iter().all(|licence| one(licence)))
}

fn one(licence: &str) -> bool {
    match licence
        .strip_prefix("( ")
        .and_then(|rest| rest.strip_suffix(" )"))
    {
        Some(inner) => allowed(inner),
        None => ALLOWED.contains(&licence) || licence == UNLICENSE,
    }
}

fn metadata() -> Value {
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".to_owned());
    let output = Command::new(cargo)
        .args(["metadata", "--format-version", "1", "--locked"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    serde_json::from_slice(&output.stdout).unwrap()
}

#[test]
fn every_dependency_is_permissive() {
    let metadata = metadata();
    let list = |value: &Value| value.as_array().unwrap().clone();
    let text = |value: &Value| value.as_str().unwrap().to_owned();
    let packages: BTreeMap<String, Value> = list(&metadata["packages"])
        .into_iter()
        .map(|package| (text(&package["id"]), package))
        .collect();
    let nodes: BTreeMap<String, Value> = list(&metadata["resolve"]["nodes"])
        .into_iter()
        .map(|node| (text(&node["id"]), node))
        .collect();
    let mut open = vec![text(&metadata["resolve"]["root"])];
    let mut seen = BTreeSet::new();
    while let Some(id) = open.pop() {
        if !seen.insert(id.clone()) {
            continue;
        }
        for dependency in list(&nodes[&id]["deps"]) {
            let for_tests_only = list(&dependency["dep_kinds"])
                .iter()
                .all(|kind| kind["kind"] == "dev");
            if !for_tests_only {
                open.push(text(&dependency["pkg"]));
            }
        }
    }
    assert!(seen.len() > 50, "only {} crates found", seen.len());
    let refused: Vec<String> = seen
        .iter()
        .map(|id| &packages[id])
        .filter(|package| !package["license"].as_str().is_some_and(allowed))
        .map(|package| {
            format!(
                "{} {}: {}",
                package["name"], package["version"], package["license"]
            )
        })
        .collect();
    assert!(refused.is_empty(), "{refused:#?}");
}

#[test]
fn expressions_are_read_right() {
    for good in [
        "MIT",
        "MIT/Apache-2.0",
        "(MIT OR Apache-2.0) AND Unicode-3.0",
        "MIT OR GPL-3.0-only",
        "Apache-2.0 WITH LLVM-exception",
        "GPL-2.0-only OR (MIT AND ISC)",
    ] {
        assert!(allowed(good), "{good}");
    }
    for bad in [
        "GPL-3.0-only",
        "MIT AND GPL-3.0-only",
        "(MIT OR Apache-2.0) AND LGPL-3.0-only",
        "MPL-2.0",
        "",
    ] {
        assert!(!allowed(bad), "{bad}");
    }
}
