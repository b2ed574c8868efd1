//! Whole small drawings against values published for the format.

use super::{Sheet, read_bytes};

mod damage;
mod entities;
mod files;
mod floods;
mod layers;
mod random;
mod wording;

/// A drawing from pairs written as `code value`, one a line.
pub fn drawing(blocks: &str, entities: &str) -> String {
    let body = section("BLOCKS", blocks) + &section("ENTITIES", entities) + "0 EOF";
    pairs(&body)
}

pub fn section(name: &str, body: &str) -> String {
    format!("0 SECTION\n2 {name}\n{body}\n0 ENDSEC\n")
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
    read(&drawing(blocks, entities))
}

pub fn read(text: &str) -> Sheet {
    read_bytes(text.as_bytes(), "test.dxf").unwrap()
}

/// A line of some length at a height.
pub fn line(y: f64) -> String {
    format!("0 LINE\n8 CASE\n10 0\n20 {y}\n11 10\n21 {y}\n")
}

pub fn close(a: [f64; 3], b: [f64; 3]) {
    for (p, q) in a.iter().zip(b) {
        assert!((p - q).abs() < 1e-9, "{a:?} is not {b:?}");
    }
}

/// Reasons for what was left out, `KIND: reason` with the number of times.
pub fn left_out(sheet: &Sheet) -> Vec<(String, u64)> {
    let entries = sheet.skipped.iter();
    entries
        .map(|(s, n)| (format!("{}: {}", s.kind, s.reason), *n))
        .collect()
}
