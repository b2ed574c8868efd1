//! Every DXF fixture against measures taken by an independent library
//! (ezdxf 1.4.5), committed in `tests/oracle/dxf_reference.json` and made by
//! `tests/oracle/dxf_reference.py`.

mod common;

use common::dxf::{self, Sum, distance, near};
use common::{fixture, read_json};
use dryfit::drawing::{self, Dimension, DimensionKind, EntityKind, Point, Sheet};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn reference() -> Value {
    read_json(&root().join("tests/oracle/dxf_reference.json"))
}

/// A count and total, as the reference gives them.
#[track_caller]
fn is(sum: &Sum, want: &Value, what: &str) {
    assert_eq!(Some(sum.0), want[0].as_u64(), "{what}: count");
    near(sum.1, want[1].as_f64().unwrap(), 1e-9, what);
}

fn kind_name(kind: EntityKind) -> &'static str {
    match kind {
        // One in the reference, which takes LWPOLYLINEs apart early.
        EntityKind::Line | EntityKind::LwPolyline => "LINE",
        EntityKind::Polyline => "POLYLINE",
        EntityKind::Solid => "SOLID",
        EntityKind::Face3d => "3DFACE",
        EntityKind::Spline => "SPLINE",
        other => panic!("{other:?} draws no straight lines"),
    }
}

fn kind_number(kind: DimensionKind, number: i64) -> bool {
    match kind {
        DimensionKind::Linear => number == 0,
        DimensionKind::Aligned => number == 1,
        DimensionKind::Angular => number == 2 || number == 5,
        DimensionKind::Diameter => number == 3,
        DimensionKind::Radius => number == 4,
        DimensionKind::Ordinate => number == 6,
    }
}

/// Group 1 as it was, apart from formatting.
fn raw_text(dimension: &Dimension) -> String {
    if dimension.suppressed {
        return " ".to_owned();
    }
    let text = dimension.text.as_ref().or(dimension.around.as_ref());
    text.cloned().unwrap_or_else(|| "<>".to_owned())
}

fn compare(sheet: &Sheet, want: &Value) {
    dxf::promises(sheet);
    assert_eq!(want["version"], sheet.version.as_str());
    let mut segments: BTreeMap<&str, Sum> = BTreeMap::new();
    let mut mesh_edges = BTreeSet::new();
    for segment in &sheet.segments {
        let kind = kind_name(sheet.sources[segment.source as usize].kind);
        let length = distance(segment.a, segment.b);
        assert!(length > 0.0);
        // Faces of one mesh share edges; the reference counts each once.
        let key = |p: Point| p.map(|c| (c * 1e6).round() as i64);
        let mut ends = [key(segment.a), key(segment.b)];
        ends.sort_unstable();
        if kind == "POLYLINE" && !mesh_edges.insert((segment.source, ends)) {
            continue;
        }
        segments.entry(kind).or_default().add(length);
    }
    let splines = segments.remove("SPLINE").unwrap_or_default();
    near(
        splines.1,
        want["splines"].as_f64().unwrap(),
        1e-4,
        "splines",
    );
    let wanted = want["segments"].as_object().unwrap();
    let kinds: Vec<&str> = segments.keys().copied().collect();
    assert_eq!(kinds, wanted.keys().map(String::as_str).collect::<Vec<_>>());
    for (kind, sum) in &segments {
        is(sum, &wanted[*kind], kind);
    }
    is(&dxf::arcs(sheet), &want["arcs"], "arcs");
    is(&dxf::ellipses(sheet), &want["ellipses"], "ellipses");
    let mut hatch = Sum::default();
    for segment in &sheet.hatch_segments {
        hatch.add(distance(segment.a, segment.b));
    }
    for arc in &sheet.hatch_arcs {
        hatch.add(arc.radius * (arc.end - arc.start));
    }
    is(&hatch, &want["hatch"], "hatch boundaries");
    if let Some([low, high]) = want["extents"].as_array().map(Vec::as_slice) {
        let (got_low, got_high) = dxf::extents(sheet);
        for axis in 0..3 {
            near(got_low[axis], low[axis].as_f64().unwrap(), 1e-7, "extents");
            near(
                got_high[axis],
                high[axis].as_f64().unwrap(),
                1e-7,
                "extents",
            );
        }
    }
    // That library sets no blank before a stacked fraction (34 and 1/2 become
    // 341/2) and no line end between columns.
    let plain = |text: &str| text.replace([' ', '\n'], "");
    let mut texts: Vec<String> = sheet.texts.iter().map(|t| plain(&t.text)).collect();
    texts.sort();
    let mut wanted: Vec<String> = want["texts"]
        .as_array()
        .unwrap()
        .iter()
        .map(|t| plain(t.as_str().unwrap()))
        .collect();
    wanted.sort();
    assert_eq!(texts, wanted);
    let mut wanted: Vec<&Value> = want["dimensions"].as_array().unwrap().iter().collect();
    for dimension in &sheet.dimensions {
        let found = wanted.iter().position(|w| {
            kind_number(dimension.kind, w[0].as_i64().unwrap())
                && (dimension.measured - w[1].as_f64().unwrap()).abs() < 1e-9
                && (dimension.factor - w[2].as_f64().unwrap()).abs() < 1e-12
                && raw_text(dimension) == w[3]
        });
        assert!(
            found.is_some(),
            "not in the reference: {dimension:?}; left: {wanted:?}"
        );
        wanted.remove(found.unwrap());
    }
    assert!(wanted.is_empty(), "not found: {wanted:?}");
}

#[test]
fn fixtures_measure_as_an_independent_library_measures_them() {
    let reference = reference();
    let mut bad = Vec::new();
    for (name, want) in reference.as_object().unwrap() {
        let sheet = drawing::read_file(&root().join(name), name).unwrap();
        let outcome = std::panic::catch_unwind(|| compare(&sheet, want));
        if outcome.is_err() {
            bad.push(name);
        }
    }
    assert!(reference.as_object().unwrap().len() >= 30);
    assert!(bad.is_empty(), "{bad:?}");
}

#[test]
fn no_fixture_is_without_reference() {
    fn walk(folder: &Path, found: &mut Vec<String>) {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                walk(&path, found);
            } else if path.extension().is_some_and(|e| e == "dxf") {
                let name = path.strip_prefix(root()).unwrap();
                found.push(name.to_string_lossy().replace('\\', "/"));
            }
        }
    }
    let mut found = Vec::new();
    walk(&fixture(""), &mut found);
    walk(&root().join("tests/strangers"), &mut found);
    let reference = reference();
    let missing: Vec<_> = found
        .iter()
        .filter(|name| reference.get(name).is_none())
        .collect();
    assert!(
        missing.is_empty(),
        "run fixtures/make/regenerate.py --write: {missing:?}"
    );
}
