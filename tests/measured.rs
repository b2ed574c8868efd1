//! What is made of a drawing's lines, against an independent DXF library and geometry
//! library (ezdxf 1.4.5 and shapely 2.2.0; `tests/oracle/measured.py` made
//! `tests/oracle/measured.json`): drawn length, length without repeats, where the upright
//! and level lines stand, and the sizes of the views found. The furniture plans of the
//! open drawing collection (Debian package librecad-data 2.2.0) are measured where it is
//! installed.

mod common;

use common::read_json;
use dryfit::drawing::{self, EntityKind, Sheet};
use dryfit::linework::{self, RawSegment};
use dryfit::view::{self, Hints};
use geo::Coord;
use serde_json::Value;
use std::path::{Path, PathBuf};

const LIBRARY: &str = "/usr/share/librecad/library/plan/architect";

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Every measured drawing that is here, with its sheet and millimetres per unit.
fn drawings() -> Vec<(String, Value, Sheet, f64)> {
    let oracle = read_json(&root().join("tests/oracle/measured.json"));
    let mut out = Vec::new();
    for (name, measured) in oracle.as_object().unwrap() {
        let path = match name.strip_prefix("library/") {
            Some(file) => PathBuf::from(LIBRARY).join(file),
            None => root().join(name),
        };
        if name.starts_with("library/") && !path.exists() {
            continue;
        }
        let sheet = drawing::read_file(&path, name).unwrap();
        // What the header says; the drawings measured here have true headers.
        let mm = sheet
            .evidence
            .iter()
            .find_map(|evidence| match evidence {
                drawing::Evidence::InsUnits(1) => Some(25.4),
                drawing::Evidence::InsUnits(4) => Some(1.0),
                _ => None,
            })
            .unwrap_or(1.0);
        out.push((name.clone(), measured.clone(), sheet, mm));
    }
    assert!(out.len() >= 20);
    out
}

fn segments(sheet: &Sheet, mm: f64) -> Vec<RawSegment> {
    sheet
        .segments
        .iter()
        .filter(|segment| sheet.sources[segment.source as usize].kind == EntityKind::Line)
        .map(|segment| RawSegment {
            a: Coord {
                x: segment.a[0] * mm,
                y: segment.a[1] * mm,
            },
            b: Coord {
                x: segment.b[0] * mm,
                y: segment.b[1] * mm,
            },
            hidden: sheet.sources[segment.source as usize].hidden,
            source: segment.source,
        })
        .filter(|s| (s.a.x - s.b.x).hypot(s.a.y - s.b.y) > 1e-3)
        .collect()
}

/// A snap too small to close any gap: lines are merged only where they truly lie on one
/// another, as the geometry library does.
const EXACT: f64 = 2e-3;

#[test]
fn drawn_length_is_read_and_repeats_are_merged_like_a_geometry_library_does() {
    for (name, measured, sheet, mm) in drawings() {
        let raw = segments(&sheet, mm);
        assert_eq!(
            raw.len() as u64,
            measured["lines"].as_u64().unwrap(),
            "{name}"
        );
        let work = linework::clean(&raw, EXACT);
        let drawn = measured["drawn"].as_f64().unwrap();
        assert!(
            (work.account.read - drawn).abs() < 1e-2,
            "{name}: {} drawn, {drawn} expected",
            work.account.read
        );
        let distinct = measured["distinct"].as_f64().unwrap();
        assert!(
            (work.account.kept - distinct).abs() < 1e-2 + 1e-5 * distinct,
            "{name}: {} kept, {distinct} expected",
            work.account.kept
        );
        assert!(work.account.imbalance() < 1e-3, "{name}");
    }
}

/// Distinct positions, as the oracle counts them.
fn distinct(values: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut sorted: Vec<f64> = values.collect();
    sorted.sort_by(f64::total_cmp);
    let mut out: Vec<f64> = Vec::new();
    for value in sorted {
        if out.last().is_none_or(|last| value - last > 2e-3) {
            out.push(value);
        }
    }
    let first = out.first().copied().unwrap_or(0.0);
    out.iter().map(|value| value - first).collect()
}

#[test]
fn upright_and_level_lines_stand_where_they_should() {
    for (name, measured, sheet, mm) in drawings() {
        let work = linework::clean(&segments(&sheet, mm), EXACT);
        for (key, found) in [
            (
                "uprights",
                distinct(work.uprights.iter().map(|l| (l.a.x + l.b.x) / 2.0)),
            ),
            (
                "levels",
                distinct(work.levels.iter().map(|l| (l.a.y + l.b.y) / 2.0)),
            ),
        ] {
            let wanted: Vec<f64> = measured[key]
                .as_array()
                .unwrap()
                .iter()
                .map(|v| v.as_f64().unwrap())
                .collect();
            let same = wanted.len() == found.len()
                && wanted.iter().zip(&found).all(|(w, f)| (w - f).abs() < 5e-3);
            assert!(same, "{name} {key}:\n{wanted:?}\n{found:?}");
        }
    }
}

#[test]
fn every_view_found_is_as_wide_and_high_as_a_group_of_touching_lines() {
    let mut views = 0;
    for (name, measured, sheet, _) in drawings() {
        if name.starts_with("library/") {
            continue;
        }
        let groups: Vec<(f64, f64)> = measured["groups"]
            .as_array()
            .unwrap()
            .iter()
            .map(|g| (g[0].as_f64().unwrap(), g[1].as_f64().unwrap()))
            .collect();
        for view in view::find(&mut [sheet], &Hints::default()).views {
            views += 1;
            let (wide, high) = (view.extents.width(), view.extents.height());
            let known = groups
                .iter()
                .any(|g| (g.0 - wide).abs() < 0.05 && (g.1 - high).abs() < 0.05);
            assert!(
                known,
                "{name}: a view {:?} of {wide} x {high}; groups are {groups:?}",
                view.title
            );
        }
    }
    assert!(
        views >= 60,
        "only {views} views were found in all drawings together"
    );
}
