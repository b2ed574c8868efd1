//! Whole small drawings against values published for the format.

use super::{Sheet, read_bytes};

mod entities;

/// A drawing from pairs written as `code value`, one a line.
pub fn drawing(blocks: &str, entities: &str) -> String {
    let section = |name: &str, body: &str| format!("0 SECTION\n2 {name}\n{body}\n0 ENDSEC\n");
    let body = section("BLOCKS", blocks) + &section("ENTITIES", entities) + "0 EOF";
    pairs(&body)
}

/// `code value` lines to DXF lines; blank lines count for nothing.
pub fn pairs(text: &str) -> String {
    text.lines()
        .map(str::trim_start)
        .filter(|line| !line.is_empty())
        .map(|line| {
            let (code, value) = line.split_once(' ').unwrap_or((line, ""));
            format!("{code:>3}\n{value}\n")
        })
        .collect()
}

pub fn sheet(blocks: &str, entities: &str) -> Sheet {
    read_bytes(drawing(blocks, entities).as_bytes(), "test.dxf").unwrap()
}

pub fn close(a: [f64; 3], b: [f64; 3]) {
    for (p, q) in a.iter().zip(b) {
        assert!((p - q).abs() < 1e-9, "{a:?} is not {b:?}");
    }
}
