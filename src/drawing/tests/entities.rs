use super::{close, left_out, line, section, sheet};
use crate::drawing::{DimensionKind, EntityKind, Sheet};
use approx::assert_relative_eq;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

#[test]
fn a_line() {
    let s = sheet("", "0 LINE\n5 2F\n8 CASE\n10 1\n20 2\n11 4\n21 6");
    assert_eq!(s.segments.len(), 1);
    assert_eq!(
        (s.segments[0].a, s.segments[0].b),
        ([1.0, 2.0, 0.0], [4.0, 6.0, 0.0])
    );
    let source = &s.sources[0];
    assert_eq!(
        (source.handle, s.layers[source.layer as usize].as_str()),
        (0x2f, "CASE")
    );
    assert_eq!(s.read.get("LINE"), Some(&1));
    assert!(
        s.skipped.is_empty() && s.warnings.is_empty(),
        "{:?}",
        s.warnings
    );
}

#[test]
fn groups_come_in_any_order() {
    let s = sheet("", "0 LINE\n21 6\n11 4\n20 2\n10 1\n8 CASE\n5 2F");
    assert_eq!(s.segments[0].b, [4.0, 6.0, 0.0]);
    let s = sheet("", "0 CIRCLE\n40 3\n230 -1\n20 2\n10 1");
    assert_eq!(s.arcs[0].centre, [-1.0, 2.0, 0.0]);
}

/// Block with base (1,1) and a line whose start is (3,2).
const BLOCK: &str = "0 BLOCK\n2 P\n10 1\n20 1\n0 LINE\n10 3\n20 2\n11 30\n21 20\n0 ENDBLK\n";

fn start(blocks: &str, insert: &str) -> [f64; 3] {
    sheet(blocks, insert).segments[0].a
}

/// DXF Reference, INSERT; order of operations and values also from ezdxf
/// `virtual_entities`: (2,1) → (4,3) → (−3,4) → (7,24).
#[test]
fn insert_takes_off_the_base_then_scales_turns_and_moves() {
    let at = "0 INSERT\n2 P\n10 10\n20 20\n";
    close(
        start(BLOCK, &format!("{at}41 2\n42 3\n50 90")),
        [7.0, 24.0, 0.0],
    );
    close(start(BLOCK, &format!("{at}41 -1")), [8.0, 21.0, 0.0]);
    close(start(BLOCK, &format!("{at}230 -1")), [-12.0, 21.0, 0.0]);
}

/// As above, nested; by hand and with ezdxf `recursive_decompose`.
#[test]
fn nested_insert() {
    let outer = "0 BLOCK\n2 C\n10 0\n20 0\n0 INSERT\n2 P\n10 5\n20 0\n50 90\n0 ENDBLK\n";
    let top = "0 INSERT\n2 C\n10 100\n20 0\n41 2\n42 2\n43 2\n50 90";
    close(start(&format!("{BLOCK}{outer}"), top), [96.0, 8.0, 0.0]);
    // The order of the definitions makes no difference.
    close(start(&format!("{outer}{BLOCK}"), top), [96.0, 8.0, 0.0]);
}

/// Rows and columns: steps turn with the INSERT and are not scaled (ezdxf
/// `multi_insert`; no second reader known to agree).
#[test]
fn arrayed_insert() {
    let block = "0 BLOCK\n2 P\n10 0\n20 0\n0 LINE\n10 0\n20 0\n11 1\n21 1\n0 ENDBLK\n";
    let insert = "0 INSERT\n2 P\n10 0\n20 0\n70 2\n71 2\n44 100\n45 50\n50 90\n41 2\n42 2";
    let mut starts: Vec<_> = sheet(block, insert).segments.iter().map(|s| s.a).collect();
    starts.sort_by(|a, b| a.partial_cmp(b).unwrap());
    let wanted = [[-50.0, 0.0], [-50.0, 100.0], [0.0, 0.0], [0.0, 100.0]];
    for (got, want) in starts.iter().zip(wanted) {
        close(*got, [want[0], want[1], 0.0]);
    }
    assert_eq!(starts.len(), 4);
}

#[test]
fn what_an_insert_draws_stands_in_its_place() {
    let entities = format!("{}0 INSERT\n2 P\n10 0\n20 0\n{}", line(1.0), line(2.0));
    let s = sheet(BLOCK, &entities);
    let paths: Vec<&str> = s
        .segments
        .iter()
        .map(|g| s.block_paths[s.sources[g.source as usize].block_path as usize].as_str())
        .collect();
    assert_eq!(paths, ["", "P", ""]);
    assert_eq!((s.read["LINE"], s.read["INSERT"]), (3, 1));
}

fn low_high(s: &Sheet) -> [f64; 4] {
    let mut box_ = [f64::MAX, f64::MAX, f64::MIN, f64::MIN];
    let mut take = |[x, y, _]: [f64; 3]| {
        box_ = [
            box_[0].min(x),
            box_[1].min(y),
            box_[2].max(x),
            box_[3].max(y),
        ];
    };
    for segment in &s.segments {
        take(segment.a);
        take(segment.b);
    }
    for arc in &s.arcs {
        take(arc.point_at(arc.start));
        take(arc.point_at(arc.end));
        for quarter in -4..8 {
            let angle = f64::from(quarter) * FRAC_PI_2;
            if (arc.start..=arc.end).contains(&angle) {
                take(arc.point_at(angle));
            }
        }
    }
    box_
}

/// A positive bulge lies right of the way (ezdxf `bbox.extents`): vertices
/// alone would give no height.
#[test]
fn bulge_reaches_beyond_its_vertices() {
    let s = sheet("", "0 LWPOLYLINE\n90 2\n70 0\n10 0\n20 0\n42 1\n10 2\n20 0");
    let [x0, y0, x1, y1] = low_high(&s);
    close([x0, x1, 0.0], [0.0, 2.0, 0.0]);
    close([y0, y1, 0.0], [-1.0, 0.0, 0.0]);
}

const ROUNDED: &str = "10 1\n20 0\n10 35\n20 0\n42 0.41421356237309503\n10 36\n20 1\n\
    10 36\n20 29\n42 0.41421356237309503\n10 35\n20 30\n10 1\n20 30\n42 0.41421356237309503\n\
    10 0\n20 29\n10 0\n20 1\n42 0.41421356237309503\n";

/// 36 × 30 with corners of radius 1: closed forms (perimeter 132 − 8 + 2π,
/// area 1080 − (4 − π)); extents also with ezdxf.
#[test]
fn rectangle_with_round_corners() {
    let s = sheet("", &format!("0 LWPOLYLINE\n90 8\n70 1\n{ROUNDED}"));
    assert_eq!((s.segments.len(), s.arcs.len()), (4, 4));
    let straight: f64 = s
        .segments
        .iter()
        .map(|g| super::super::vector::distance(g.a, g.b))
        .sum();
    let round: f64 = s.arcs.iter().map(|a| a.radius * (a.end - a.start)).sum();
    assert_relative_eq!(straight + round, 130.283_185_307, max_relative = 1e-11);
    // Green's theorem: straight pieces, and for each arc centre and sector.
    let across = |a: [f64; 3], b: [f64; 3]| 0.5 * (a[0] * b[1] - b[0] * a[1]);
    let mut area: f64 = s.segments.iter().map(|g| across(g.a, g.b)).sum();
    for arc in &s.arcs {
        let (a, b) = (arc.point_at(arc.start), arc.point_at(arc.end));
        let sweep = arc.end - arc.start;
        area += across(a, b) + 0.5 * arc.radius * arc.radius * (sweep - sweep.sin());
    }
    assert_relative_eq!(area, 1_079.141_592_654, max_relative = 1e-11);
    let [x0, y0, x1, y1] = low_high(&s);
    close([x0, y0, 0.0], [0.0, 0.0, 0.0]);
    close([x1, y1, 0.0], [36.0, 30.0, 0.0]);
    // The old POLYLINE says the same.
    let vertices = ROUNDED.replace("10 ", "0 VERTEX\n10 ");
    let old = sheet("", &format!("0 POLYLINE\n66 1\n70 1\n{vertices}0 SEQEND"));
    assert_eq!((old.segments.len(), old.arcs.len()), (4, 4));
    assert_eq!(old.segments[0].a, s.segments[0].a);
    assert_eq!(old.arcs[3].centre, s.arcs[3].centre);
}

/// Which coordinates are the object's own and which the world's (DXF
/// Reference, "Object Coordinate Systems"): normal (0,−1,0) stands a front
/// elevation upright.
#[test]
fn object_coordinates() {
    let up = "210 0\n220 -1\n230 0\n";
    let at = "10 10\n20 5\n30 2\n";
    let s = sheet(
        "",
        &format!("0 CIRCLE\n{at}40 1\n{up}0 POINT\n{at}{up}0 LINE\n{at}11 0\n21 0\n{up}"),
    );
    close(s.arcs[0].centre, [10.0, -2.0, 5.0]);
    close(s.arcs[0].normal, [0.0, -1.0, 0.0]);
    close(s.segments[0].a, [10.0, 5.0, 2.0]);
    let s = sheet(
        "",
        &format!("0 LWPOLYLINE\n38 2\n{up}10 10\n20 5\n10 0\n20 0"),
    );
    close(s.segments[0].a, [10.0, -2.0, 5.0]);
    let s = sheet("", &format!("0 SOLID\n{at}11 0\n21 0\n12 1\n22 0\n{up}"));
    close(s.segments[0].a, [10.0, -2.0, 5.0]);
    let s = sheet("", &format!("0 3DFACE\n{at}11 0\n21 0\n12 1\n22 0\n{up}"));
    close(s.segments[0].a, [10.0, 5.0, 2.0]);
    let s = sheet("", &format!("0 ELLIPSE\n{at}11 3\n21 0\n40 0.5\n{up}"));
    close(s.ellipses[0].centre, [10.0, 5.0, 2.0]);
    let s = sheet("", &format!("0 TEXT\n{at}40 1\n1 x\n{up}"));
    assert_relative_eq!(s.texts[0].at[1], -2.0);
}

#[test]
fn arcs_and_circles() {
    let s = sheet(
        "",
        "0 ARC\n10 0\n20 0\n40 2\n50 270\n51 90\n0 CIRCLE\n10 5\n20 5\n40 1",
    );
    assert_relative_eq!(s.arcs[0].start, 1.5 * PI);
    assert_relative_eq!(s.arcs[0].end, 2.5 * PI);
    assert!(s.arcs[1].is_full() && !s.arcs[0].is_full());
    // Seen from behind, an arc from 0 to 90 degrees runs from 90 to 180.
    let s = sheet("", "0 ARC\n10 0\n20 0\n40 2\n50 0\n51 90\n230 -1");
    assert_relative_eq!(s.arcs[0].start, FRAC_PI_2, max_relative = 1e-12);
    assert_relative_eq!(s.arcs[0].end, PI, max_relative = 1e-12);
    assert_eq!(s.arcs[0].normal, [0.0, 0.0, 1.0]);
    let s = sheet("", "0 CIRCLE\n10 0\n20 0\n40 0");
    assert_eq!(
        left_out(&s),
        [("CIRCLE: its radius is not positive".to_owned(), 1)]
    );
}

#[test]
fn circle_in_an_unequally_scaled_block_is_an_ellipse() {
    let block = "0 BLOCK\n2 P\n10 0\n20 0\n0 CIRCLE\n10 0\n20 0\n40 10\n0 ENDBLK\n";
    let s = sheet(block, "0 INSERT\n2 P\n10 0\n20 0\n41 2\n42 0.5");
    assert_eq!((s.arcs.len(), s.ellipses.len()), (0, 1));
    close(s.ellipses[0].major, [20.0, 0.0, 0.0]);
    close(s.ellipses[0].minor, [0.0, 5.0, 0.0]);
    assert_relative_eq!(s.ellipses[0].end - s.ellipses[0].start, TAU);
}

#[test]
fn spline_through_points_is_not_guessed() {
    let s = sheet(
        "",
        "0 SPLINE\n70 8\n71 3\n11 0\n21 0\n11 5\n21 5\n11 9\n21 0",
    );
    assert!(s.segments.is_empty());
    let (skipped, _) = s.skipped.first_key_value().unwrap();
    assert!(skipped.matters && skipped.reason.contains("points it goes through"));
}

#[test]
fn solid_model_and_unknown_kinds_are_counted() {
    let s = sheet(
        "",
        "0 3DSOLID\n1 abc\n0 3DSOLID\n0 FANCY_THING\n8 0\n0 POINT\n10 0\n20 0\n0 LEADER\n10 0\n20 0",
    );
    assert_eq!(
        left_out(&s),
        [
            (
                "3DSOLID: a solid or surface model; export its projected views as lines".to_owned(),
                2
            ),
            ("FANCY_THING: not understood".to_owned(), 1),
            (
                "LEADER: a leader points at something; its line is no edge".to_owned(),
                1
            ),
            ("POINT: a point is no edge".to_owned(), 1),
        ]
    );
    let matter: Vec<bool> = s.skipped.keys().map(|s| s.matters).collect();
    assert_eq!(matter, [true, true, false, false]);
}

/// DXF Reference, DIMENSION: measured along group 50 between the points of
/// groups 13 and 14; numbers also from ezdxf `get_measurement()`.
#[test]
fn linear_dimensions_measure_along_their_angle() {
    let dim = |flags: i32, more: &str| {
        let text =
            format!("0 DIMENSION\n10 0\n20 50\n70 {flags}\n13 0\n23 0\n14 30\n24 40\n{more}");
        sheet("", &text).dimensions[0].clone()
    };
    for (flags, more, measured) in [
        (32, "50 0", 30.0),
        (160, "50 90", 40.0),
        (0, "50 45", 49.497_474_683_058),
        (33, "", 50.0),
        // The oblique angle of the extension lines changes nothing.
        (32, "50 0\n52 60", 30.0),
    ] {
        let d = dim(flags, more);
        assert_relative_eq!(d.measured, measured, max_relative = 1e-12);
        assert_eq!((d.from, d.to), ([0.0; 3], [30.0, 40.0, 0.0]));
    }
    assert_eq!(dim(33, "").kind, DimensionKind::Aligned);
}

#[test]
fn a_typed_text_does_not_change_what_is_measured() {
    let s = sheet(
        "",
        "0 DIMENSION\n10 0\n20 5\n70 32\n1 35 1/2\n42 36\n13 0\n23 0\n14 36\n24 0\n50 0",
    );
    let d = &s.dimensions[0];
    assert_relative_eq!(d.measured, 36.0);
    assert_eq!(d.text.as_deref(), Some("35 1/2"));
    assert_eq!(d.stated, Some(36.0));
}

#[test]
fn other_dimensions() {
    let dim = |text: &str| sheet("", &format!("0 DIMENSION\n{text}")).dimensions[0].clone();
    let d = dim("70 4\n10 0\n20 0\n15 3\n25 4");
    assert_eq!((d.kind, d.measured), (DimensionKind::Radius, 5.0));
    let d = dim("70 3\n10 -3\n20 0\n15 3\n25 0");
    assert_eq!((d.kind, d.measured), (DimensionKind::Diameter, 6.0));
    let d = dim("70 102\n10 1\n20 1\n13 8\n23 5\n14 8\n24 9");
    assert_eq!((d.kind, d.measured), (DimensionKind::Ordinate, 7.0));
    let d = dim("70 38\n10 1\n20 1\n13 8\n23 5\n14 9\n24 5");
    assert_eq!(d.measured, 4.0);
    let d = dim("70 37\n10 5\n20 5\n13 9\n23 0\n14 0\n24 3\n15 0\n25 0");
    assert_eq!(d.kind, DimensionKind::Angular);
    assert_relative_eq!(d.measured, FRAC_PI_2);
    let d = dim("70 34\n10 0\n20 3\n13 0\n23 0\n14 9\n24 0\n15 0\n25 0\n16 5\n26 5");
    assert_relative_eq!(d.measured, FRAC_PI_2);
}

/// Where the linear factor lives: header `$DIMLFAC`, dimension style group
/// 144, extended data of the dimension (DXF Reference, "Dimension Style
/// Overrides"; the layout as ezdxf writes it).
#[test]
fn factor_of_a_dimension() {
    let header = section("HEADER", "9 $DIMLFAC\n40 2");
    let styles = section(
        "TABLES",
        "0 TABLE\n2 DIMSTYLE\n0 DIMSTYLE\n2 TENTH\n144 10\n0 DIMSTYLE\n2 BARE\n0 ENDTAB",
    );
    let dim = |style: &str, data: &str| {
        let dim = format!(
            "0 DIMENSION\n10 0\n20 5\n70 32\n3 {style}\n13 0\n23 0\n14 36\n24 0\n50 0\n{data}"
        );
        let text = super::pairs(&(header.clone() + &styles + &section("ENTITIES", &dim) + "0 EOF"));
        let d = super::read(&text).dimensions[0].clone();
        (d.factor, d.factor_origin, d.measured)
    };
    let data = "1001 ACAD\n1000 DSTYLE\n1002 {\n1070 3\n1000 x\n1070 271\n1070 144\n1070 144\n1040 25.4\n1002 }";
    assert_eq!(
        dim("TENTH", data),
        (25.4, "the dimension's own override", 36.0)
    );
    assert_eq!(dim("tenth", ""), (10.0, "its dimension style", 36.0));
    assert_eq!(dim("BARE", ""), (2.0, "the drawing's header", 36.0));
    assert_eq!(
        dim("MISSING", "1001 OTHER\n1070 144\n1040 3"),
        (2.0, "the drawing's header", 36.0)
    );
    let s = sheet(
        "",
        "0 DIMENSION\n10 0\n20 5\n70 32\n13 0\n23 0\n14 36\n24 0\n50 0",
    );
    assert_eq!(
        (s.dimensions[0].factor, s.dimensions[0].factor_origin),
        (1.0, "nothing says otherwise")
    );
}

/// ezdxf documentation, DIMENSION: reused as a constraint on this layer.
#[test]
fn constraints_are_no_dimensions() {
    let s = sheet(
        "",
        "0 DIMENSION\n8 *ADSK_CONSTRAINTS\n10 0\n20 5\n70 32\n13 0\n23 0\n14 36\n24 0",
    );
    assert!(s.dimensions.is_empty());
    assert_eq!(s.skipped.values().sum::<u64>(), 1);
}

#[test]
fn the_picture_of_a_dimension_is_not_drawn_but_its_text_is_known() {
    let block = "0 BLOCK\n2 *D1\n10 0\n20 0\n0 LINE\n10 0\n20 0\n11 36\n21 0\n0 MTEXT\n10 18\n20 6\n40 1\n1 1800\n0 ENDBLK\n";
    let s = sheet(
        block,
        "0 DIMENSION\n2 *D1\n10 0\n20 5\n70 32\n13 0\n23 0\n14 180\n24 0\n50 0",
    );
    assert!(s.segments.is_empty() && s.texts.is_empty());
    assert_eq!(s.dimensions[0].drawn_text.as_deref(), Some("1800"));
}

#[test]
fn hatch_boundaries_are_kept_apart() {
    let hatch = "0 HATCH\n10 0\n20 0\n30 0\n91 2\n92 2\n72 1\n73 1\n93 3\n10 0\n20 0\n10 5\n20 0\n42 1\n10 5\n20 9\n97 0\n\
        92 1\n93 2\n72 1\n10 0\n20 0\n11 7\n21 0\n72 2\n10 3\n20 3\n40 2\n50 0\n51 90\n73 0\n97 0\n75 0\n76 1\n98 1\n10 1\n20 1";
    let s = sheet("", hatch);
    assert!(s.segments.is_empty() && s.arcs.is_empty());
    assert_eq!((s.hatch_segments.len(), s.hatch_arcs.len()), (3, 2));
    // Clockwise angles are mirrored: 0 to 90 clockwise is 270 to 360.
    assert_relative_eq!(s.hatch_arcs[1].start, 1.5 * PI, max_relative = 1e-12);
    assert_eq!(s.sources[0].kind, EntityKind::Hatch);
}

#[test]
fn attributes_belong_to_their_insert() {
    let entities = "0 INSERT\n2 P\n66 1\n10 100\n20 0\n41 2\n42 2\n0 ATTRIB\n10 101\n20 1\n40 1\n1 B7\n2 ID\n70 0\n\
        0 ATTRIB\n10 101\n20 1\n40 1\n1 unseen\n2 NOTE\n70 1\n0 SEQEND\n0 LINE\n10 0\n20 0\n11 1\n21 1";
    let s = sheet(BLOCK, entities);
    assert_eq!(s.texts.len(), 1);
    assert_eq!((s.texts[0].text.as_str(), s.texts[0].height), ("B7", 1.0));
    let source = &s.sources[s.texts[0].source as usize];
    assert_eq!(source.kind, EntityKind::Attrib);
    assert_eq!(s.block_paths[source.block_path as usize], "P");
    assert_eq!(s.segments.len(), 2);
    assert_eq!(
        left_out(&s),
        [("ATTRIB: invisible attribute".to_owned(), 1)]
    );
}
