//! Any bytes as a drawing: no panic, bounded memory, and what sheets promise.
#![no_main]

use dryfit::drawing::{Point, limits::MAX_COORDINATE, read_bytes};
use libfuzzer_sys::fuzz_target;

fn within(p: Point) {
    assert!(p.iter().all(|c| c.abs() <= MAX_COORDINATE), "{p:?}");
}

fuzz_target!(|bytes: &[u8]| {
    let Ok(sheet) = read_bytes(bytes, "fuzz.dxf") else {
        return;
    };
    for segment in sheet.segments.iter().chain(&sheet.hatch_segments) {
        within(segment.a);
        within(segment.b);
        assert_ne!(segment.a, segment.b);
        assert!(sheet.sources.get(segment.source as usize).is_some());
    }
    for arc in sheet.arcs.iter().chain(&sheet.hatch_arcs) {
        assert!(arc.radius > 0.0 && arc.end > arc.start);
        assert!(arc.point_at(arc.start).iter().all(|c| c.is_finite()));
    }
    for ellipse in sheet.ellipses.iter().chain(&sheet.hatch_ellipses) {
        assert!(ellipse.point_at(ellipse.end).iter().all(|c| c.is_finite()));
    }
    for text in &sheet.texts {
        within(text.at);
        assert!(text.height.is_finite() && text.rotation.is_finite());
    }
    for dimension in &sheet.dimensions {
        assert!(dimension.measured.is_finite() && dimension.angle.is_finite());
    }
});
