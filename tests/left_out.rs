//! What is not read of a drawing says why: every reason for leaving an entity out,
//! every warning of a file, what a file that is no drawing looks like. Kinds of
//! entities and their groups as in the DXF Reference.

use dryfit::drawing::{Sheet, read_bytes};

/// `code value` lines to DXF lines.
fn pairs(text: &str) -> String {
    text.lines()
        .map(str::trim_start)
        .filter(|line| !line.is_empty())
        .map(|line| {
            let (code, value) = line.split_once(' ').unwrap_or((line, ""));
            format!("{code:>3}\n{value}\n")
        })
        .collect()
}

fn section(name: &str, body: &str) -> String {
    format!("0 SECTION\n2 {name}\n{body}\n0 ENDSEC\n")
}

fn read(text: &str) -> Sheet {
    read_bytes(pairs(text).as_bytes(), "test.dxf").unwrap()
}

const LINE: &str = "0 LINE\n8 0\n10 0\n20 0\n11 9\n21 0\n";
/// Degree, then a knot and a point too few for it.
const SHORT_SPLINE: &str = "0 SPLINE\n71 3\n40 0\n40 1\n10 0\n20 0\n10 1\n20 1";
const SAME_KNOTS: &str = "0 SPLINE\n71 1\n40 0\n40 0\n40 0\n40 0\n10 0\n20 0\n10 9\n20 1";
const SHARP_SPLINE: &str = "0 SPLINE\n71 40\n40 0\n40 1\n10 0\n20 0\n10 1\n20 1";
const POLYFACE: &str = "0 POLYLINE\n66 1\n70 64\n0 VERTEX\n70 192\n10 0\n20 0\n30 0
0 VERTEX\n70 128\n71 1\n72 7\n73 1\n0 SEQEND";
const HIDDEN_POLYFACE: &str = "0 POLYLINE\n66 1\n70 64\n0 VERTEX\n70 192\n10 0\n20 0\n30 0
0 VERTEX\n70 192\n10 5\n20 0\n30 0\n0 VERTEX\n70 128\n71 -1\n72 -2\n0 SEQEND";
const SIZELESS_MESH: &str = "0 POLYLINE\n66 1\n70 16\n0 VERTEX\n70 64\n10 0\n20 0\n0 SEQEND";
const SHORT_MESH: &str =
    "0 POLYLINE\n66 1\n70 16\n71 2\n72 2\n0 VERTEX\n70 64\n10 0\n20 0\n0 SEQEND";
const ODD_EDGE: &str = "0 HATCH\n10 0\n20 0\n30 0\n91 1\n92 1\n93 1\n72 9\n10 0\n20 0\n11 1\n21 1";

/// Entity, what it is called, why it is left out, and whether that may be an edge.
const ENTITIES: [(&str, &str, &str, bool); 34] = [
    (
        "0 XLINE\n10 0\n20 0\n11 1\n21 0",
        "XLINE",
        "a construction line without end",
        false,
    ),
    (
        "0 RAY\n10 0\n20 0\n11 1\n21 0",
        "RAY",
        "a construction line without end",
        false,
    ),
    (
        "0 MLINE\n10 0\n20 0",
        "MLINE",
        "multiline; explode it in the drawing program to have it measured",
        true,
    ),
    (
        "0 ACAD_TABLE\n10 0\n20 0",
        "ACAD_TABLE",
        "a table is not measured",
        false,
    ),
    (
        "0 ATTDEF\n10 0\n20 0\n1 B1\n2 NAME",
        "ATTDEF",
        "template of an attribute; only its value in an INSERT counts",
        false,
    ),
    (
        "0 ACAD_PROXY_ENTITY\n90 1",
        "ACAD_PROXY_ENTITY",
        "made by an add-on of the drawing program; explode it to have it measured",
        true,
    ),
    (
        "0 IMAGE\n10 0\n20 0",
        "IMAGE",
        "a picture or mask is not measured",
        false,
    ),
    (
        "0 WIPEOUT\n10 0\n20 0",
        "WIPEOUT",
        "a picture or mask is not measured",
        false,
    ),
    (
        "0 TOLERANCE\n10 0\n20 0",
        "TOLERANCE",
        "a tolerance frame is not measured",
        false,
    ),
    (
        "0 SHAPE\n10 0\n20 0",
        "SHAPE",
        "shapes come from a font file that is not part of the drawing",
        true,
    ),
    (
        "0 VERTEX\n10 0\n20 0",
        "VERTEX",
        "belongs to no polyline or insert",
        true,
    ),
    (
        "0 REGION\n70 1",
        "REGION",
        "a solid or surface model; export its projected views as lines",
        true,
    ),
    ("0 POINT\n10 0\n20 0", "POINT", "a point is no edge", false),
    (
        "0 LINE\n10 0\n20 0\n11 x\n21 0",
        "LINE",
        "the value of group 11 is no usable number",
        true,
    ),
    (
        "0 CIRCLE\n10 0\n20 0",
        "CIRCLE",
        "group 40 is missing",
        true,
    ),
    (
        "0 DIMENSION\n70 15\n10 0\n20 0",
        "DIMENSION",
        "its kind is not known",
        true,
    ),
    (
        "0 DIMENSION\n8 *ADSK_CONSTRAINTS\n70 0\n10 0\n20 0",
        "DIMENSION",
        "a constraint of the drawing program, not a dimension",
        false,
    ),
    (
        "0 ELLIPSE\n10 0\n20 0\n11 0\n21 0\n40 1",
        "ELLIPSE",
        "one of its axes has no length",
        true,
    ),
    (
        "0 MULTILEADER\n12 0\n22 0",
        "MULTILEADER",
        "a leader without text",
        false,
    ),
    (
        "0 SPLINE\n71 3\n11 0\n21 0\n11 5\n21 3\n11 9\n21 0",
        "SPLINE",
        "a curve given by points it goes through, its shape is not",
        true,
    ),
    (SAME_KNOTS, "SPLINE", "its knots leave no curve", true),
    (
        SHORT_SPLINE,
        "SPLINE",
        "its knots, points and weights do not make a curve",
        true,
    ),
    (
        SHARP_SPLINE,
        "SPLINE",
        "degree 40 with 2 control points; at most 25 and 100000 are evaluated",
        true,
    ),
    (
        "0 LWPOLYLINE\n90 2\n10 0\n20 0\n10 5",
        "LWPOLYLINE",
        "its vertices do not all have two coordinates",
        true,
    ),
    (
        "0 LWPOLYLINE\n90 1\n10 0\n20 0",
        "LWPOLYLINE",
        "fewer than two vertices",
        false,
    ),
    (
        POLYFACE,
        "POLYLINE",
        "a face names a vertex that is not there",
        true,
    ),
    (
        HIDDEN_POLYFACE,
        "POLYLINE",
        "none of its edges is visible",
        false,
    ),
    (
        SIZELESS_MESH,
        "POLYLINE",
        "the size of its mesh is not given",
        true,
    ),
    (
        SHORT_MESH,
        "POLYLINE",
        "its mesh does not have as many vertices as it says",
        true,
    ),
    (
        "0 3DFACE\n70 15\n10 0\n20 0\n11 1\n21 0\n12 1\n22 1\n13 0\n23 1",
        "3DFACE",
        "none of its edges is visible",
        false,
    ),
    (
        "0 HATCH\n10 0\n20 0\n30 0\n91 0\n75 0",
        "HATCH",
        "a hatch without a boundary of its own",
        false,
    ),
    (ODD_EDGE, "HATCH", "a boundary edge of unknown kind", true),
    (
        "0 VIEWPORT\n69 1\n10 0\n20 0\n40 9\n41 9",
        "VIEWPORT",
        "the paper sheet itself",
        false,
    ),
    (
        "0 VIEWPORT\n69 2\n10 0\n20 0\n40 9\n41 9",
        "VIEWPORT",
        "what the window shows is not given",
        true,
    ),
];

#[test]
fn every_entity_left_out_says_why() {
    let mut wrong = Vec::new();
    for (entity, kind, reason, matters) in ENTITIES {
        let body = format!("{LINE}{entity}\n");
        let sheet = read(&(section("ENTITIES", &body) + "0 EOF"));
        let found: Vec<(&str, &str, bool)> = sheet
            .skipped
            .keys()
            .map(|skipped| (&*skipped.kind, &*skipped.reason, skipped.matters))
            .collect();
        if found != [(kind, reason, matters)] {
            wrong.push(format!("{kind}: {reason} {matters}: {found:?}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_block_that_cannot_be_drawn_says_why() {
    let flat = "0 BLOCK\n2 A\n10 0\n20 0\n0 CIRCLE\n10 0\n20 0\n40 5\n0 ENDBLK";
    let insert = "0 INSERT\n2 A\n10 0\n20 0\n41 1e-200\n42 1e-200\n43 1e-200\n";
    let all = section("BLOCKS", flat) + &section("ENTITIES", &format!("{LINE}{insert}")) + "0 EOF";
    let sheet = read(&all);
    let reasons: Vec<&str> = sheet
        .skipped
        .keys()
        .map(|skipped| &*skipped.reason)
        .collect();
    assert_eq!(reasons, ["scaled to nothing"]);
}

#[test]
fn lines_on_paper_alone_are_read_and_the_model_is_accounted_for() {
    let line = LINE.replace("8 0\n", "8 0\n67 1\n");
    let text = "0 TEXT\n8 0\n10 0\n20 0\n40 1\n1 NOTE\n";
    let sheet = read(&(section("ENTITIES", &(line + text)) + "0 EOF"));
    assert_eq!(sheet.segments.len(), 1);
    let reasons: Vec<&str> = sheet
        .skipped
        .keys()
        .map(|skipped| &*skipped.reason)
        .collect();
    assert_eq!(reasons, ["in model space, which holds no lines"]);
    assert_eq!(
        sheet.warnings,
        ["model space holds no lines; paper space was read instead"]
    );
}

#[test]
fn more_reasons_than_are_kept_are_counted_together() {
    let odd: String = (0..1100).map(|n| format!("0 THING{n}\n8 0\n")).collect();
    let sheet = read(&(section("ENTITIES", &(LINE.to_owned() + &odd)) + "0 EOF"));
    let other: Vec<(&str, u64)> = sheet
        .skipped
        .iter()
        .filter(|(skipped, _)| skipped.kind == "other")
        .map(|(skipped, count)| (&*skipped.reason, *count))
        .collect();
    assert_eq!(other, [("more than 1000 different kinds and reasons", 100)]);
    assert_eq!(sheet.skipped.values().sum::<u64>(), 1100);
}

/// Text of a whole file and what is said of it.
#[test]
fn files_in_disorder_are_read_with_a_word_about_it() {
    let entities = section("ENTITIES", LINE);
    let insert = section("ENTITIES", &format!("{LINE}0 INSERT\n2 A\n10 0\n20 0\n"));
    let block = section(
        "BLOCKS",
        &format!("0 BLOCK\n2 A\n10 0\n20 0\n{LINE}0 ENDBLK"),
    );
    let factor = section("HEADER", "9 $DIMLFAC\n40 twice");
    let layer = section(
        "TABLES",
        "0 TABLE\n2 LAYER\n0 LAYER\n70 none\n2 CASE\n0 ENDTAB",
    );
    let nameless = section("BLOCKS", "0 BLOCK\n10 0\n20 0\n0 ENDBLK");
    for (text, said) in [
        (
            entities.clone(),
            "the file ends without its EOF mark; it may be cut short. What was there has been read",
        ),
        (
            entities.clone() + "0 SECTION\nzwei BLOCKS",
            "what came before has been read. Export it again",
        ),
        (
            insert + &block + "0 EOF",
            "the entities come before the blocks or tables they use; the file was read twice",
        ),
        (
            factor + &entities + "0 EOF",
            "header variable $DIMLFAC at 7 is no number; ignored",
        ),
        (layer + &entities + "0 EOF", "table entry LAYER at"),
        (
            nameless + &entities + "0 EOF",
            "has no name or no readable base point; not used",
        ),
    ] {
        let sheet = read(&text);
        assert!(
            sheet.warnings.iter().any(|warning| warning.contains(said)),
            "{said}: {:?}",
            sheet.warnings
        );
        assert!(!sheet.segments.is_empty(), "{said}");
    }
}

#[test]
fn a_line_too_long_to_be_kept_is_cut_with_a_word_about_it() {
    let long = "W".repeat(3 << 20);
    let text = format!("0 TEXT\n8 0\n10 0\n20 0\n40 1\n1 {long}\n");
    let sheet = read(&(section("ENTITIES", &(LINE.to_owned() + &text)) + "0 EOF"));
    let said = "1 lines or strings were longer than 1048576 bytes and were cut short";
    assert!(
        sheet.warnings.iter().any(|warning| warning == said),
        "{:?}",
        sheet.warnings
    );
}

/// First bytes as the formats' own specifications have them.
#[test]
fn a_file_that_is_no_drawing_is_told_by_its_first_bytes() {
    for (bytes, what) in [
        (&b""[..], "the file is empty"),
        (b" \n\n ", "the file holds blanks only"),
        (b"AC1032\0\0", "it looks like a DWG drawing"),
        (b"AC1.40\0\0", "it looks like an old DWG drawing"),
        (b"AutoCAD DXB 1.0\r\n", "it looks like a DXB file"),
        (
            b"AutoCAD Binary DXF\n",
            "it looks like a binary DXF file with a damaged first line",
        ),
        (b"%PDF-1.7\n", "it looks like a PDF document"),
        (
            b"PK\x03\x04\x14\0",
            "it looks like a ZIP archive or office document",
        ),
        (b"\x89PNG\r\n\x1a\n", "it looks like a PNG picture"),
        (b"\xff\xd8\xff\xe0", "it looks like a JPEG picture"),
        (b"\xff\xfe0\0", "it looks like UTF-16 text"),
        (b"<svg/>", "it looks like an XML, HTML or SVG file"),
        (b"ISO-10303-21;\n", "it looks like a STEP file"),
    ] {
        let said = read_bytes(bytes, "B1.dxf").unwrap_err().to_string();
        let whole =
            format!("B1.dxf: not a DXF file: {what}; export the drawing as DXF (ASCII or binary)");
        assert_eq!(said, whole);
    }
}
