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
