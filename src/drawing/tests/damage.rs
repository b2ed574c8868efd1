//! Damage inside a file costs what it touches and is said.

use super::{drawing, left_out, line, read, sheet};

#[test]
fn a_lost_line_costs_its_entity() {
    let text = drawing("", &(line(1.0) + &line(2.0) + &line(3.0)));
    // The second line of the drawing loses the value of group 11.
    let lost = text.replacen("  20\n2", "20\n2", 1);
    assert_eq!(read(&lost).segments.len(), 3);
    let at = text.match_indices(" 11\n10\n").nth(1).unwrap().0;
    let mut damaged = text.clone();
    damaged.replace_range(at..at + 7, " 11\n");
    let s = read(&damaged);
    let heights: Vec<f64> = s.segments.iter().map(|g| g.a[1]).collect();
    assert_eq!(heights, [1.0, 3.0]);
    assert_eq!(
        left_out(&s),
        [("LINE: a line in it is no group code".to_owned(), 1)]
    );
    assert!(
        s.warnings[0].contains("should be a group code and is not"),
        "{:?}",
        s.warnings
    );
}

#[test]
fn a_polyline_that_lost_a_vertex_is_not_used() {
    let text = drawing(
        "",
        "0 POLYLINE\n66 1\n0 VERTEX\n10 0\n20 0\n0 VERTEX\n10 5\n20 0\n0 VERTEX\n10 5\n20 5\n0 SEQEND",
    );
    assert_eq!(read(&text).segments.len(), 2);
    let s = read(&text.replacen("VERTEX\n 10\n5\n", "VERTEX\n 10\nx\n\n", 1));
    assert!(s.segments.is_empty(), "{:?}", s.segments);
    assert!(
        s.skipped
            .keys()
            .any(|skipped| skipped.kind == "POLYLINE" && skipped.matters)
    );
}

#[test]
fn numbers_that_are_none() {
    for bad in ["abc", "12,5", "NaN", "inf", "1e999", ""] {
        let s = sheet(
            "",
            &format!("0 LINE\n5 2F\n10 0\n20 0\n11 {bad}\n21 1\n{}", line(7.0)),
        );
        assert_eq!(s.segments.len(), 1, "{bad}");
        assert_eq!(
            left_out(&s),
            [(
                "LINE: the value of group 11 is no usable number".to_owned(),
                1
            )],
            "{bad}"
        );
        assert_eq!(
            s.warnings,
            ["LINE at 11 (handle 2F) is left out: the value of group 11 is no usable number"]
        );
    }
    let s = sheet("", "0 LINE\n10 0\n20 0\n11 1");
    assert_eq!(left_out(&s), [("LINE: group 21 is missing".to_owned(), 1)]);
}

#[test]
fn coordinates_beyond_measure_take_the_whole_entity() {
    for far in ["1e308", "-1e308", "1e11"] {
        let s = sheet(
            "",
            &format!(
                "0 LWPOLYLINE\n10 0\n20 0\n10 5\n20 0\n10 {far}\n20 5\n0 CIRCLE\n10 0\n20 0\n40 {}\n",
                far.trim_start_matches('-')
            ),
        );
        assert!(s.segments.is_empty() && s.arcs.is_empty());
        let reason = "a coordinate is farther out than a drawing can be measured";
        assert_eq!(
            left_out(&s),
            [
                (format!("CIRCLE: {reason}"), 1),
                (format!("LWPOLYLINE: {reason}"), 1)
            ]
        );
        assert!(s.sources.is_empty());
    }
    // Scaling may be what takes it there.
    let block = "0 BLOCK\n2 P\n10 0\n20 0\n0 LINE\n10 0\n20 0\n11 1\n21 1\n0 ENDBLK\n";
    for scale in ["1e308", "1e300"] {
        let s = sheet(
            block,
            &format!("0 INSERT\n2 P\n10 0\n20 0\n41 {scale}\n42 {scale}\n43 {scale}"),
        );
        assert!(s.segments.is_empty());
        assert_eq!(s.skipped.values().sum::<u64>(), 1);
    }
}

#[test]
fn refused_inserts() {
    let line = "0 LINE\n10 0\n20 0\n11 1\n21 1\n";
    let blocks = format!(
        "0 BLOCK\n2 P\n10 0\n20 0\n{line}0 ENDBLK\n0 BLOCK\n2 X\n70 4\n1 other.dwg\n10 0\n20 0\n0 ENDBLK\n"
    );
    for (insert, reason) in [
        ("2 Q\n10 0\n20 0", "block Q: the drawing does not define it"),
        (
            "2 X\n10 0\n20 0",
            "block X: its content is in another file; bind it into this drawing",
        ),
        ("2 P\n10 0\n20 0\n41 0", "its scale is zero"),
        ("10 0\n20 0", "group 2 is missing"),
    ] {
        let s = sheet(&blocks, &format!("0 INSERT\n{insert}"));
        assert!(s.segments.is_empty());
        assert_eq!(left_out(&s), [(format!("INSERT: {reason}"), 1)]);
        assert!(s.skipped.keys().all(|s| s.matters));
    }
    let s = sheet(&format!("{blocks}{blocks}"), "0 INSERT\n2 P\n10 0\n20 0");
    assert_eq!(s.segments.len(), 1);
    assert!(s.warnings[0].contains("block P is defined more than once; the first one counts"));
    let s = sheet("0 BLOCK\n10 0\n20 0\n0 ENDBLK", line);
    assert!(
        s.warnings[0].contains("has no name or no readable base point"),
        "{:?}",
        s.warnings
    );
}

/// Blocks and entities in turn, each insert after the section that defines its block.
#[test]
fn blocks_defined_between_entities_are_drawn() {
    let sections = (0..100).map(|piece| {
        let line = super::line(f64::from(piece));
        let block = format!("0 BLOCK\n2 P{piece}\n10 0\n20 0\n{line}0 ENDBLK");
        let insert = format!("0 INSERT\n2 P{piece}\n10 0\n20 0");
        super::section("BLOCKS", &block) + &super::section("ENTITIES", &insert)
    });
    let s = super::read(&super::pairs(&(sections.collect::<String>() + "0 EOF")));
    assert_eq!(s.segments.len(), 100);
    assert_eq!(left_out(&s), []);
}

#[test]
fn a_table_entry_with_a_bad_number_is_said() {
    let tables = super::section("TABLES", "0 TABLE\n2 LAYER\n0 LAYER\n2 A\n62 red\n0 ENDTAB");
    let s = read(&super::pairs(
        &(tables + &super::section("ENTITIES", &line(1.0)) + "0 EOF"),
    ));
    assert!(
        s.warnings[0].contains("table entry LAYER at 9 is not used"),
        "{:?}",
        s.warnings
    );
}
