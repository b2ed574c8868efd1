//! Drawings that nobody here drew. They are not part of this project and are
//! looked for where they are installed; a missing collection is said and
//! passed over.
//!
//! * Debian package `librecad-data` 2.2.0 (GPL-2): held against measures by
//!   ezdxf 1.4.5 in `tests/oracle/library_reference.json`.
//! * Any folder named in `DRYFIT_DXF_SAMPLES`, such as `integration_tests/data`
//!   of the ezdxf source distribution: read without panic and with a full
//!   account.

mod common;

use common::dxf::{self, near};
use common::read_json;
use dryfit::drawing::{self, DrawingError};
use serde_json::Value;
use std::path::{Path, PathBuf};

const LIBRARY: &str = "/usr/share/librecad/library";

fn drawings(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            drawings(&path, found);
        } else if path
            .extension()
            .is_some_and(|e| e.eq_ignore_ascii_case("dxf"))
        {
            found.push(path);
        }
    }
    found.sort();
}

#[test]
fn the_open_library_measures_as_an_independent_reader_measures_it() {
    if !Path::new(LIBRARY).is_dir() {
        eprintln!("not checked: {LIBRARY} is not installed (Debian package librecad-data)");
        return;
    }
    let oracle = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/oracle");
    let reference = read_json(&oracle.join("library_reference.json"));
    let mut bad = Vec::new();
    for (name, want) in reference.as_object().unwrap() {
        let path = Path::new(LIBRARY).join(name);
        if !path.is_file() {
            eprintln!("not checked: {name} is not in the installed version");
            continue;
        }
        let sheet = drawing::read_file(&path, name).unwrap();
        if std::panic::catch_unwind(|| compare(&sheet, want)).is_err() {
            bad.push(name);
        }
    }
    assert!(bad.is_empty(), "{} differ: {bad:?}", bad.len());
}

fn compare(sheet: &drawing::Sheet, want: &Value) {
    dxf::promises(sheet);
    let mut segments = dxf::Sum::default();
    for s in &sheet.segments {
        if !dxf::is_spline(sheet, s.source) {
            segments.add(dxf::distance(s.a, s.b));
        }
    }
    let (arcs, ellipses) = (dxf::arcs(sheet), dxf::ellipses(sheet));
    for (i, sum) in [segments, arcs, ellipses].into_iter().enumerate() {
        assert_eq!(Some(sum.0), want[2 * i].as_u64(), "count {i}");
        near(sum.1, want[2 * i + 1].as_f64().unwrap(), 1e-6, "total");
    }
    if want[6].is_array() {
        let (low, high) = dxf::extents(sheet);
        for axis in 0..3 {
            near(low[axis], want[6][axis].as_f64().unwrap(), 1e-6, "extents");
            near(high[axis], want[7][axis].as_f64().unwrap(), 1e-6, "extents");
        }
    }
}

#[test]
fn samples_are_read_or_refused_with_a_reason() {
    let Some(folders) = std::env::var_os("DRYFIT_DXF_SAMPLES") else {
        eprintln!("not checked: DRYFIT_DXF_SAMPLES names no folder of drawings");
        return;
    };
    let mut found = Vec::new();
    for folder in std::env::split_paths(&folders) {
        drawings(&folder, &mut found);
    }
    assert!(!found.is_empty());
    for path in found {
        let shown = path.file_name().unwrap().to_string_lossy().into_owned();
        match drawing::read_file(&path, &shown) {
            Ok(sheet) => {
                dxf::promises(&sheet);
                eprintln!(
                    "{shown}: {} read {:?} skipped {:?} {:?}",
                    sheet.version, sheet.read, sheet.skipped, sheet.warnings
                );
            }
            Err(error @ DrawingError::NotDxf { .. }) => eprintln!("{error}"),
            Err(error) => panic!("{error}"),
        }
    }
}
