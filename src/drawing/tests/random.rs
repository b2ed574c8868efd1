//! Whatever the bytes: an answer, no panic, and what sheets promise.

use super::{drawing, line};
use crate::drawing::limits::MAX_COORDINATE;
use crate::drawing::{Sheet, read_bytes};
use proptest::prelude::*;

fn everything() -> Vec<u8> {
    let blocks = format!(
        "0 BLOCK\n2 P\n10 1\n20 1\n{}0 CIRCLE\n10 0\n20 0\n40 3\n0 TEXT\n10 0\n20 0\n40 1\n1 \\U+00BD%%c\n0 ENDBLK\n\
         0 BLOCK\n2 Q\n10 0\n20 0\n0 INSERT\n2 P\n10 3\n20 3\n41 -2\n70 2\n44 5\n0 ENDBLK\n",
        line(1.0)
    );
    let entities = line(2.0)
        + "0 INSERT\n2 Q\n10 3\n20 3\n50 30\n230 -1\n0 ATTRIB\n10 1\n20 1\n40 1\n1 B2\n0 SEQEND\n\
           0 LWPOLYLINE\n70 1\n10 0\n20 0\n42 0.5\n10 5\n20 0\n10 5\n20 5\n\
           0 POLYLINE\n70 1\n0 VERTEX\n10 0\n20 0\n42 -1\n0 VERTEX\n10 5\n20 0\n0 SEQEND\n\
           0 POLYLINE\n70 16\n71 2\n72 2\n0 VERTEX\n10 0\n20 0\n0 VERTEX\n10 5\n20 0\n0 VERTEX\n10 0\n20 4\n0 VERTEX\n10 4\n20 4\n0 SEQEND\n\
           0 ARC\n10 0\n20 0\n40 2\n50 10\n51 200\n0 ELLIPSE\n10 0\n20 0\n11 3\n21 1\n40 0.4\n41 1\n42 2\n\
           0 SPLINE\n71 2\n40 0\n40 0\n40 0\n40 1\n40 1\n40 1\n10 0\n20 0\n10 1\n20 1\n10 2\n20 0\n41 1\n41 0.7\n41 1\n\
           0 HATCH\n91 1\n92 1\n93 1\n72 2\n10 0\n20 0\n40 1\n50 0\n51 90\n73 1\n75 0\n\
           0 DIMENSION\n2 P\n70 32\n10 0\n20 5\n13 0\n23 0\n14 36\n24 0\n50 0\n1 <> TYP\n1001 ACAD\n1000 DSTYLE\n1070 144\n1040 25.4\n\
           0 MTEXT\n10 0\n20 0\n40 1\n71 5\n1 {\\fArial;a\\S1/2;}\n\
           0 VIEWPORT\n10 5\n20 4\n40 6\n41 4\n69 2\n12 1\n22 2\n45 48\n";
    drawing(&blocks, &entities).into_bytes()
}

fn promises(sheet: &Sheet) -> Result<(), TestCaseError> {
    for s in sheet.segments.iter().chain(&sheet.hatch_segments) {
        prop_assert!(s.a != s.b);
        for c in s.a.iter().chain(&s.b) {
            prop_assert!(c.abs() <= MAX_COORDINATE);
        }
        prop_assert!((s.source as usize) < sheet.sources.len());
    }
    for arc in sheet.arcs.iter().chain(&sheet.hatch_arcs) {
        prop_assert!(arc.radius > 0.0 && arc.radius <= 2.0 * MAX_COORDINATE);
        prop_assert!(arc.start.is_finite() && arc.end > arc.start);
    }
    for e in sheet.ellipses.iter().chain(&sheet.hatch_ellipses) {
        prop_assert!(e.point_at(e.start).iter().all(|c| c.is_finite()));
    }
    for text in &sheet.texts {
        prop_assert!(text.at.iter().all(|c| c.is_finite()));
        prop_assert!(text.height.is_finite() && text.rotation.is_finite());
    }
    for d in &sheet.dimensions {
        prop_assert!(d.measured.is_finite() && d.angle.is_finite());
    }
    Ok(())
}

#[test]
fn the_sample_is_read_whole() {
    let sheet = read_bytes(&everything(), "test.dxf").unwrap();
    assert!(sheet.skipped.is_empty(), "{:?}", sheet.skipped);
    assert!(sheet.warnings.is_empty(), "{:?}", sheet.warnings);
}

/// Values that break things.
fn nasty() -> impl Strategy<Value = Vec<u8>> {
    prop_oneof![
        Just(b"1e308".to_vec()),
        Just(b"-1e308".to_vec()),
        Just(b"NaN".to_vec()),
        Just(b"1e-308".to_vec()),
        Just(b"0".to_vec()),
        Just(b"-1".to_vec()),
        Just(b"9223372036854775807".to_vec()),
        Just(b"P".to_vec()),
        Just(b"Q".to_vec()),
        Just(b"\\U+D800\xff".to_vec()),
        Just(b"".to_vec()),
        any::<f64>().prop_map(|v| v.to_string().into_bytes()),
        (0_i32..1100).prop_map(|v| v.to_string().into_bytes()),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, ..ProptestConfig::default() })]

    #[test]
    fn random_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..2000)) {
        if let Ok(sheet) = read_bytes(&bytes, "test.dxf") {
            promises(&sheet)?;
        }
    }

    #[test]
    fn random_bytes_in_a_binary_file(bytes in proptest::collection::vec(any::<u8>(), 0..2000), wide: bool) {
        let mut file = crate::drawing::groups::BINARY_SENTINEL.to_vec();
        for text in ["SECTION", "ENTITIES", "LINE"] {
            let code = if text == "ENTITIES" { 2 } else { 0 };
            file.push(code);
            if wide {
                file.push(0);
            }
            file.extend(text.as_bytes());
            file.push(0);
        }
        file.extend(bytes);
        if let Ok(sheet) = read_bytes(&file, "test.dxf") {
            promises(&sheet)?;
        }
    }

    #[test]
    fn mutated_bytes(changes in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..20)) {
        let mut file = everything();
        for (at, byte) in changes {
            let at = at.index(file.len());
            file[at] = byte;
        }
        promises(&read_bytes(&file, "test.dxf").unwrap_or_default())?;
    }

    #[test]
    fn mutated_lines(changes in proptest::collection::vec((any::<prop::sample::Index>(), nasty(), 0_u8..4), 1..12)) {
        let file = everything();
        let mut lines: Vec<Vec<u8>> = file.split(|b| *b == b'\n').map(<[u8]>::to_vec).collect();
        for (at, value, what) in changes {
            let i = at.index(lines.len());
            match what {
                0 => { lines.remove(i); }
                1 => lines.insert(i, value),
                2 => lines.swap(i, 0),
                _ => lines[i] = value,
            }
        }
        promises(&read_bytes(&lines.join(&b'\n'), "test.dxf").unwrap_or_default())?;
    }
}
