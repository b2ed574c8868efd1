//! Any bytes as a list: no panic, and every line has its place. The first byte
//! says what the file is called, since the name tells what kind of list it is.
#![no_main]

use dryfit::cutlist::{ListHints, read_bytes};
use libfuzzer_sys::fuzz_target;

const NAMES: [&str; 4] = [
    "list.csv",
    "doors.tsv",
    "B2 drawers.txt",
    "faces/frames.csv",
];

fuzz_target!(|bytes: &[u8]| {
    let Some((first, bytes)) = bytes.split_first() else {
        return;
    };
    let name = NAMES[usize::from(*first) % NAMES.len()];
    let Ok(list) = read_bytes(bytes, name, &ListHints::default()) else {
        return;
    };
    let lines = bytes
        .iter()
        .filter(|byte| matches!(byte, b'\n' | b'\r'))
        .count()
        + 1;
    for row in &list.rows {
        assert!(row.source.line >= 1 && row.source.line <= lines, "{row:?}");
    }
    for problem in &list.problems {
        assert!(!problem.message.is_empty() && !problem.advice.is_empty());
    }
});
