//! Small files that ask for too much: bounded time and memory, and a word.

use super::{drawing, left_out, line, pairs, read, section, sheet};
use crate::drawing::limits::{
    MAX_ATTRIBUTES, MAX_BLOCK_ITEMS, MAX_EXPANDED, MAX_NESTING, MAX_PRIMITIVES, MAX_SKIP_KINDS,
    MAX_WARNINGS,
};
use std::fmt::Write as _;

const LINE: &str = "0 LINE\n10 0\n20 0\n11 1\n21 1\n";

fn block(name: &str, content: &str) -> String {
    format!("0 BLOCK\n2 {name}\n10 0\n20 0\n{content}0 ENDBLK\n")
}

fn insert(name: &str) -> String {
    format!("0 INSERT\n2 {name}\n10 0\n20 0\n")
}

#[test]
fn blocks_that_contain_themselves() {
    // A in A; B in C in B; D holds both twice.
    let blocks = block("A", &(LINE.to_owned() + &insert("A")))
        + &block("B", &(LINE.to_owned() + &insert("C")))
        + &block("C", &(LINE.to_owned() + &insert("B")))
        + &block(
            "D",
            &(insert("A") + &insert("B") + &insert("A") + &insert("C")),
        );
    let s = sheet(&blocks, &insert("D"));
    assert_eq!(s.segments.len(), 1 + 2 + 1 + 1);
    assert!(
        left_out(&s)
            .iter()
            .any(|(reason, n)| reason == "INSERT: block A: it contains itself" && *n == 2)
    );
    assert!(
        s.warnings
            .iter()
            .any(|w| w.contains("INSERT of block A") && w.contains("it contains itself"))
    );
}

#[test]
fn circles_closed_by_blocks_that_come_later() {
    // A second section of blocks: B holds A, which was known before to hold B,
    // and C holds itself.
    let blocks = |content: &str| section("BLOCKS", content);
    let entities = |content: &str| section("ENTITIES", content);
    let text = blocks(&block("A", &(LINE.to_owned() + &insert("B"))))
        + &entities(&insert("A"))
        + &blocks(
            &(block("B", &(LINE.to_owned() + &insert("A")))
                + &block("C", &(LINE.to_owned() + &insert("C")))),
        )
        + &entities(&(insert("A") + &insert("C")))
        + "0 EOF";
    let s = read(&pairs(&text));
    let cycles: u64 = left_out(&s)
        .iter()
        .filter(|(reason, _)| reason.contains("it contains itself"))
        .map(|(_, count)| count)
        .sum();
    // The file is read again once all blocks are known.
    assert_eq!(cycles, 3, "{:?}", left_out(&s));
    assert_eq!(s.segments.len(), 2 + 2 + 1);
}

#[test]
fn blocks_and_entities_in_turns_without_end() {
    let mut text = String::new();
    for i in 0..2000 {
        text += &section("BLOCKS", &block(&format!("B{i}"), LINE));
        text += &section("ENTITIES", &insert(&format!("B{i}")));
    }
    let s = read(&pairs(&(text + "0 EOF")));
    assert_eq!(s.segments.len(), 2000);
    assert!(left_out(&s).is_empty());
}

#[test]
fn nesting_bomb() {
    // Each block holds the one before ten times: 10^40 lines.
    let mut blocks = block("B0", LINE);
    for level in 1..=40 {
        blocks += &block(
            &format!("B{level}"),
            &insert(&format!("B{}", level - 1)).repeat(10),
        );
    }
    let s = sheet(&blocks, &(insert("B40") + &insert("B3")));
    assert_eq!(s.segments.len(), 1000);
    let reason = format!(
        "INSERT: block B40: exploding it would pass the limit of {MAX_EXPANDED} lines, arcs and texts from blocks"
    );
    assert_eq!(left_out(&s), [(reason, 1)]);
}

#[test]
fn nesting_too_deep() {
    let mut blocks = block("B0", LINE);
    for level in 1..=100_000 {
        blocks += &block(&format!("B{level}"), &insert(&format!("B{}", level - 1)));
    }
    let deepest = format!("B{}", MAX_NESTING - 1);
    let s = sheet(&blocks, &(insert("B100000") + &insert(&deepest)));
    assert_eq!(s.segments.len(), 1);
    assert_eq!(
        left_out(&s),
        [(
            format!("INSERT: block B100000: blocks are nested more than {MAX_NESTING} deep"),
            1
        )]
    );
    // One level more is too many.
    let s = sheet(&blocks, &insert(&format!("B{MAX_NESTING}")));
    assert!(s.segments.is_empty());
}

#[test]
fn arrays_of_a_thousand_million() {
    let blocks = block("P", LINE) + &block("EMPTY", "");
    for counts in [
        "70 30000\n71 30000\n",
        "70 1000000000\n",
        "70 9223372036854775807\n71 9223372036854775807\n",
    ] {
        for name in ["P", "EMPTY"] {
            let s = sheet(&blocks, &(insert(name) + counts));
            assert!(s.segments.is_empty());
            assert!(
                left_out(&s)[0]
                    .0
                    .contains("exploding it would pass the limit")
            );
        }
    }
    // Several share the limit; copies of nothing count, too.
    let most = MAX_EXPANDED * 2 / 5 / 10;
    let some = insert("EMPTY") + &format!("70 10\n71 {most}\n");
    let s = sheet(&blocks, &some.repeat(3));
    assert_eq!(s.read["INSERT"], 2);
    assert_eq!(s.skipped.values().sum::<u64>(), 1);
}

#[test]
fn counts_that_claim_gigabytes() {
    let s = sheet(
        "",
        "0 LWPOLYLINE\n90 4000000000\n70 0\n10 0\n20 0\n10 1\n20 0\n0 HATCH\n91 4000000000\n92 2\n93 4000000000\n10 0\n20 0\n10 1\n20 1\n0 SPLINE\n71 2000000000\n72 4000000000\n73 4000000000\n10 0\n20 0\n",
    );
    assert_eq!(s.segments.len(), 1);
    assert_eq!(s.hatch_segments.len(), 2);
    assert_eq!(s.skipped.values().sum::<u64>(), 1);
    let mesh = sheet(
        "",
        "0 POLYLINE\n70 16\n71 2000000000\n72 2000000000\n0 VERTEX\n10 0\n20 0\n0 SEQEND",
    );
    assert_eq!(mesh.skipped.values().sum::<u64>(), 1);
    let face = sheet(
        "",
        "0 POLYLINE\n70 64\n0 VERTEX\n10 0\n20 0\n70 192\n0 VERTEX\n10 0\n20 0\n70 128\n71 1\n72 -9223372036854775808\n73 3\n0 SEQEND",
    );
    assert_eq!(face.skipped.values().sum::<u64>(), 1);
}

#[test]
fn floods_of_kinds_and_warnings_are_cut_short() {
    let mut entities = String::new();
    for i in 0..3 * MAX_SKIP_KINDS {
        let _ = write!(entities, "0 KIND_{i}\n0 LINE\n10 x\n");
    }
    let s = read(&drawing("", &entities));
    assert_eq!(s.skipped.len(), MAX_SKIP_KINDS + 1);
    assert_eq!(s.skipped.values().sum::<u64>() as usize, 6 * MAX_SKIP_KINDS);
    assert!(s.skipped.keys().any(|s| s.kind == "other" && s.matters));
    assert_eq!(s.warnings.len(), MAX_WARNINGS + 1);
    let more = format!(
        "and {} more of this kind",
        3 * MAX_SKIP_KINDS - MAX_WARNINGS
    );
    assert_eq!(s.warnings.last().unwrap(), &more);
}

#[test]
fn different_paths_are_bounded() {
    // Every level doubles the number of different paths.
    let mut blocks = block("L0", LINE) + &block("R0", LINE);
    for level in 1..=15 {
        for side in ["L", "R"] {
            let inner = insert(&format!("L{}", level - 1)) + &insert(&format!("R{}", level - 1));
            blocks += &block(&format!("{side}{level}"), &inner);
        }
    }
    let s = sheet(&blocks, &insert("L15"));
    assert_eq!(s.segments.len(), 1 << 15);
    assert!(s.block_paths.len() <= crate::drawing::limits::MAX_BLOCK_PATHS);
    let longest = "N".repeat(300);
    let blocks = block(&longest, &insert("M"))
        + &block("M", &insert(&"O".repeat(300)))
        + &block(&"O".repeat(300), LINE);
    let s = sheet(&blocks, &insert(&longest));
    assert_eq!(s.segments.len(), 1);
    assert!(
        s.block_paths
            .iter()
            .all(|p| p.len() <= crate::drawing::limits::MAX_PATH_BYTES)
    );
}

#[test]
fn a_long_line_is_cut_and_said() {
    let long = "x".repeat(3 * crate::drawing::limits::MAX_LINE_BYTES);
    let text = section(
        "ENTITIES",
        &format!("0 TEXT\n10 0\n20 0\n40 1\n1 {long}\n{}", line(1.0)),
    );
    let s = read(&pairs(&(text + "0 EOF")));
    assert_eq!(s.segments.len(), 1);
    assert_eq!(
        s.texts[0].text.len(),
        crate::drawing::limits::MAX_TEXT_BYTES
    );
    assert!(
        s.warnings[0].contains("longer than 1048576 bytes"),
        "{:?}",
        s.warnings
    );
}

#[test]
fn more_than_a_drawing_may_hold() {
    let entities = LINE.repeat(usize::try_from(MAX_PRIMITIVES).unwrap() + 3);
    let s = read(&drawing("", &entities));
    assert_eq!(s.segments.len() as u64, MAX_PRIMITIVES);
    let reason = format!("LINE: over the limit of {MAX_PRIMITIVES} lines, arcs and texts");
    assert_eq!(left_out(&s), [(reason, 3)]);
    assert!(
        s.warnings[0].contains("the rest is left out. Split it"),
        "{:?}",
        s.warnings
    );
    // Entities of blocks are kept, even if nothing inserts them.
    let many = block("A", &LINE.repeat(MAX_BLOCK_ITEMS)) + &block("B", &LINE.repeat(2));
    let s = sheet(&many, &(insert("B") + LINE));
    assert_eq!(s.segments.len(), 1);
    let reason = "LINE: in a block, over the limit of entities in blocks".to_owned();
    assert_eq!(left_out(&s), [(reason, 2)]);
    assert!(
        s.warnings[0].contains("Purge the blocks that are not used"),
        "{:?}",
        s.warnings
    );
    // What is only counted costs nothing.
    let points = block("A", &"0 POINT\n".repeat(MAX_BLOCK_ITEMS + 1)) + &block("B", LINE);
    let s = sheet(&points, &(insert("A") + &insert("B")));
    assert_eq!(s.segments.len(), 1);
    let reason = "POINT: a point is no edge".to_owned();
    assert_eq!(left_out(&s), [(reason, MAX_BLOCK_ITEMS as u64 + 1)]);
}

#[test]
fn attributes_without_end() {
    let one = "0 ATTRIB\n10 0\n20 0\n40 1\n1 x\n";
    let s = sheet(
        &block("P", LINE),
        &(insert("P") + &one.repeat(MAX_ATTRIBUTES + 2)),
    );
    assert_eq!(s.texts.len(), MAX_ATTRIBUTES);
    let reason = "ATTRIB: over the limit of attributes of one INSERT".to_owned();
    assert_eq!(left_out(&s), [(reason, 2)]);
}

#[test]
fn one_entity_without_end() {
    let mut entities = String::from("0 LWPOLYLINE\n");
    for _ in 0..crate::drawing::limits::MAX_ENTITY_GROUPS / 2 + 1 {
        entities += "10 1\n20 1\n";
    }
    let s = read(&drawing("", &entities));
    assert!(s.segments.is_empty());
    assert!(
        left_out(&s)[0]
            .0
            .contains("more than 2000000 groups in one entity")
    );
}
