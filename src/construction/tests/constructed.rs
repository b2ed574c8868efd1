//! Constructed examples, worked step by step with exact fractions.

use super::*;
use crate::cabinet::Style;
use crate::trade::{Axis, Role};

/// A face-frame base cabinet 36 in wide, 34 1/2 high, 24 deep over its frame.
/// `board` is the case's actual sheet thickness; the frame stays 3/4.
pub(super) fn face_frame_base(board: &str) -> Drawn {
    let t = format!("({board})");
    let interior = format!("36 - 1/2 - 2 * {t}");
    let left = format!("1/4 + {t}");
    let clear = format!("34 1/2 - {t} - 5 1/2");
    Drawn::new(Style::FaceFrame, ["36", "34 1/2", "24"])
        .interior_width(&left, &interior)
        .interior_height("5 1/2", &clear)
        .interior_depth("23")
        .named("frame.overhang", "1/4")
        .named("frame.thickness", "3/4")
        .named("toe.height", "4")
        .named("toe.depth", "3")
        .named("frame.height", "30 1/2")
        .named("stile.width", "1 1/2")
        .named("side.thickness", board)
        .named("bottom.thickness", board)
        .named("stretcher.thickness", board)
        .opening("1 1/2", "33", "5 1/2", "21")
        .opening("1 1/2", "33", "28", "5")
        .fronts(Role::Door, 0, 2)
        .fronts(Role::DrawerFront, 1, 1)
}

pub(super) fn face_frame_rules() -> Rules {
    rules(
        "face-frame-grooved",
        &[
            ("groove.depth", "1/4"),
            ("rabbet.width", "3/8"),
            ("rabbet.depth", "1/4"),
            ("overlay", "1/2"),
            ("gap", "1/8"),
            ("shelf.clearance", "1/16"),
            ("slide.clearance", "1/2"),
            ("slide.length", "22"),
            ("box.height-clearance", "1"),
            ("box.thickness", "1/2"),
            ("box.groove", "1/4"),
            ("door-stile.width", "2 1/4"),
            ("door-rail.width", "2 1/4"),
            ("tongue", "3/8"),
            ("panel.groove", "3/8"),
            ("panel.play", "1/8"),
        ],
    )
}

/// Constructed example: every step of the cabinet, each with the value of a
/// classic slip beside it.
#[test]
fn face_frame_base_cabinet() {
    let drawn = face_frame_base("3/4");
    let rules = face_frame_rules();
    let steps = [
        ("side.high", "34 1/2", "30 1/2"),
        ("side.deep", "23 1/4", "24"),
        // Groove depth forgotten: 34; side thickness forgotten once: 35 1/4.
        ("bottom.across", "34 1/2", "34"),
        ("bottom.across", "34 1/2", "35 1/4"),
        ("bottom.deep", "23", "23 1/4"),
        // Case pulled from the frame's width.
        ("stretcher.across", "34", "34 1/2"),
        ("back.across", "34 3/4", "34"),
        ("back.high", "29 3/4", "34 1/2"),
        ("toe-kick.across", "35 1/2", "36"),
        ("toe-kick.high", "4", "4 1/2"),
        ("stile.high", "30 1/2", "34 1/2"),
        // Rail from the case's width.
        ("rail.across", "33", "32 1/2"),
        // The opening taken for the door; the centre gap forgotten.
        ("door.across", "16 15/16", "16 1/2"),
        ("door.across", "16 15/16", "17"),
        ("door.high", "22", "21"),
        ("drawer-front.across", "34", "33"),
        ("drawer-front.high", "6", "5"),
        ("door-stile.high", "22", "21"),
        ("door-rail.across", "13 3/16", "12 7/16"),
        ("door-panel.across", "13 1/16", "13 3/16"),
        ("door-panel.high", "18 1/8", "18 1/4"),
        ("drawer-box.across", "32", "33"),
        ("drawer-box.high", "4", "5"),
        ("drawer-box.deep", "22", "23"),
        ("box-side.deep", "22", "21"),
        ("box-front.across", "31", "32"),
        ("box-front.high", "4", "3"),
        ("box-bottom.across", "31 1/2", "31"),
        ("box-bottom.deep", "21 1/2", "21"),
        ("shelf.across", "33 7/8", "34"),
    ];
    for (key, right, wrong) in steps {
        holds(&rules, &drawn, key, right, wrong);
    }
    // Across and up, the fronts and what shows of the frame add up to the frame.
    assert_eq!(size("2 * (16 15/16) + 1/8 + 2 * (1 1/2 - 1/2)"), size("36"));
    assert_eq!(size("6 + 22 + (1 1/2 - 2 * 1/2) + 2 * 1"), size("30 1/2"));
}

/// Constructed example: the same cabinet in board that is really 23/32 in.
/// Only sizes that touch the board move; nothing on the frame does.
#[test]
fn face_frame_base_cabinet_in_thin_board() {
    let drawn = face_frame_base("23/32");
    let rules = face_frame_rules();
    for (key, value) in [
        ("bottom.across", "34 9/16"),
        ("stretcher.across", "34 1/16"),
        ("back.across", "34 13/16"),
        ("back.high", "29 23/32"),
        ("shelf.across", "33 15/16"),
        ("rail.across", "33"),
        ("stile.high", "30 1/2"),
        ("door.across", "16 15/16"),
        ("door.high", "22"),
        ("side.high", "34 1/2"),
        ("side.deep", "23 1/4"),
        ("drawer-box.across", "32"),
    ] {
        assert_eq!(expected(&rules, &drawn, key), [size(value)], "{key}");
    }
    // A list made for 3/4 is out by 1/16: seen at 1/64, silent at 1/16 (inclusive).
    let off = size("34 9/16") - size("34 1/2");
    assert!(off > size("1/64"));
    assert!(off <= size("1/16"));
}

/// Board stated thinner than drawn moves the drawn interior.
#[test]
fn stated_board_overrules_the_drawn_thickness() {
    let drawn = face_frame_base("3/4");
    for name in ["board.thickness", "side.thickness"] {
        let mut rules = face_frame_rules();
        assert_eq!(expected(&rules, &drawn, "stretcher.across"), [size("34")]);
        let thin = Stated {
            expr: parse("23/32").expect("a size"),
            origin: Origin::JobFile { line: 9 },
        };
        rules.job.parameters.insert(name.to_owned(), thin);
        assert_eq!(
            expected(&rules, &drawn, "stretcher.across"),
            [size("34 1/16")],
            "{name}"
        );
    }
}

/// Constructed example: frameless wall cabinet, 600 × 720 × 320 mm in 18 mm
/// board, an 8 mm back captured in grooves, a pair of full-overlay doors.
fn frameless_wall_cabinet() -> (Drawn, Rules) {
    let drawn = Drawn::new(Style::Frameless, ["600 mm", "720 mm", "320 mm"])
        .interior_width("18 mm", "564 mm")
        .interior_height("18 mm", "684 mm")
        .interior_depth("292 mm")
        .named("side.thickness", "18 mm")
        .opening("18 mm", "564 mm", "18 mm", "684 mm")
        .fronts(Role::Door, 0, 2);
    let rules = rules(
        "frameless-captured",
        &[
            ("back.groove", "8 mm"),
            ("back.play", "1 mm"),
            ("shelf.clearance", "1 mm"),
            ("shelf.setback", "12 mm"),
            ("shelf.back-clearance", "0 mm"),
            ("reveal", "1.5 mm"),
            ("gap", "3 mm"),
        ],
    );
    (drawn, rules)
}

#[test]
fn frameless_wall_cabinet_in_millimetres() {
    let (drawn, rules) = frameless_wall_cabinet();
    for (key, right, wrong) in [
        ("side.high", "720 mm", "684 mm"),
        ("side.deep", "320 mm", "292 mm"),
        ("bottom.across", "564 mm", "600 mm"),
        ("bottom.deep", "320 mm", "292 mm"),
        ("top.across", "564 mm", "562 mm"),
        // The interior taken for the back; grooves forgotten.
        ("back.across", "578 mm", "564 mm"),
        ("back.high", "698 mm", "684 mm"),
        ("shelf.across", "562 mm", "564 mm"),
        ("shelf.deep", "280 mm", "292 mm"),
        // Band forgotten: the finished size cut, 4 mm too large once banded.
        ("door.across", "297 mm", "301 mm"),
        ("door.high", "717 mm", "721 mm"),
    ] {
        holds(&rules, &drawn, key, right, wrong);
    }
}

/// Constructed example: three drawers in a face frame 18 × 30 1/2.
#[test]
fn three_drawer_bank() {
    let drawn = Drawn::new(Style::FaceFrame, ["18", "34 1/2", "24"])
        .interior_width("1", "16")
        .named("stile.width", "1 1/2")
        .named("side.thickness", "3/4")
        .opening("1 1/2", "15", "5 1/2", "9 3/4")
        .opening("1 1/2", "15", "16 3/4", "9 3/4")
        .opening("1 1/2", "15", "28", "5")
        .fronts(Role::DrawerFront, 0, 1)
        .fronts(Role::DrawerFront, 1, 1)
        .fronts(Role::DrawerFront, 2, 1);
    let parameters = [
        ("overlay", "1/2"),
        ("slide.clearance", "1/2"),
        ("slide.inside-allowance", "1 5/8"),
        ("slide.length", "21"),
        ("box.height-clearance", "1"),
        ("box.thickness", "1/2"),
        ("box.groove", "1/4"),
    ];
    let mut rules = rules("face-frame-grooved", &parameters);
    assert_eq!(size("5 + 2 * 9 3/4 + 4 * 1 1/2"), size("30 1/2"));
    holds(&rules, &drawn, "drawer-front.across", "16", "15");
    let heights = |rules: &Rules, key| expected(rules, &drawn, key);
    assert_eq!(
        heights(&rules, "drawer-front.high"),
        ["10 3/4", "6"].map(size),
        "fronts"
    );
    assert_eq!(heights(&rules, "drawer-box.high"), ["8 3/4", "4"].map(size));
    // The classic error: the box from the case's interior, as wide as the opening.
    holds(&rules, &drawn, "drawer-box.across", "14", "15");
    answer(&mut rules, "drawer-box", "undermount");
    holds(&rules, &drawn, "drawer-box.across", "14 3/8", "14");
    holds(&rules, &drawn, "box-front.across", "13 3/8", "14 3/8");
    holds(&rules, &drawn, "box-side.deep", "21", "20");
    holds(&rules, &drawn, "box-bottom.across", "13 7/8", "13 3/8");
    holds(&rules, &drawn, "box-bottom.deep", "20 1/2", "21");
    let mut thick = rules.clone();
    let five_eighths = Stated {
        expr: parse("5/8").expect("a size"),
        origin: Origin::JobFile { line: 1 },
    };
    thick
        .job
        .parameters
        .insert("box.thickness".to_owned(), five_eighths);
    holds(&thick, &drawn, "drawer-box.across", "14 5/8", "14 3/8");
}

/// With nothing stated, relations that rest on a shop's way of building give
/// nothing, and say what would make the size checkable.
#[test]
fn nothing_is_assumed() {
    let drawn = face_frame_base("3/4");
    let rules = Rules::default();
    for key in [
        "bottom.across",
        "door.across",
        "drawer-box.across",
        "back.high",
        "side.high",
    ] {
        assert_eq!(expected(&rules, &drawn, key), [], "{key}");
    }
    let missing =
        |rules: &Rules, role, axis| rules.missing(&drawn.cabinet, PartSize { role, axis });
    let bottom = missing(&rules, Role::Bottom, Axis::Across).expect("not checkable");
    assert!(
        bottom.contains("`bottom` (how the bottom meets the sides)"),
        "{bottom}"
    );
    let named = super::rules("face-frame-grooved", &[]);
    let bottom = missing(&named, Role::Bottom, Axis::Across).expect("not checkable");
    assert_eq!(
        bottom,
        "needs `groove.depth`: it is neither drawn nor stated; \
         state `groove.depth` under [sizes] in the job file"
    );
    let post = missing(&named, Role::Post, Axis::High).expect("not checkable");
    assert!(
        post.starts_with("no relation gives the height of a post"),
        "{post}"
    );
    assert_eq!(
        missing(&face_frame_rules(), Role::Bottom, Axis::Across),
        None
    );
}

/// Sides run through where the drawing shows top and bottom ending at them.
#[test]
fn sides_follow_from_drawn_geometry() {
    let open = || {
        Drawn::new(Style::Frameless, ["24", "30", "12"]).part(
            Role::Bottom,
            Axis::Across,
            "3/4",
            "23 1/4",
        )
    };
    let rules = Rules::default();
    let standing = || open().part(Role::Top, Axis::Across, "3/4", "23 1/4");
    let between = standing().part(Role::Bottom, Axis::High, "0", "3/4");
    let size_of_side = PartSize {
        role: Role::Side,
        axis: Axis::High,
    };
    let found = rules.expect(&between.cabinet, size_of_side);
    let [side] = found.as_slice() else {
        panic!("{found:?}")
    };
    assert_eq!(side.value, size("30"));
    assert_eq!(
        side.origin,
        Origin::Preset {
            name: DRAWN_GEOMETRY.to_owned()
        }
    );
    // The bottom high up: the sides may stand on a base, unless an end shows none, a toe
    // kick stands between them, or the shop says so.
    let high = || standing().part(Role::Bottom, Axis::High, "4", "4 3/4");
    let sides = |drawn: &Drawn| rules.expect(&drawn.cabinet, size_of_side).len();
    assert_eq!(sides(&high()), 0);
    assert_eq!(sides(&high().named("case.height", "30")), 1);
    let kick = |from, to| high().part(Role::ToeKick, Axis::Across, from, to);
    assert_eq!(sides(&kick("3/4", "23 1/4")), 1);
    assert_eq!(sides(&kick("0", "24")), 0);
    let mut to_floor = Rules::default();
    answer(&mut to_floor, "side", "to-floor");
    assert_eq!(to_floor.expect(&high().cabinet, size_of_side).len(), 1);
    // A top over the sides, or none drawn: nothing follows.
    let over = open().part(Role::Top, Axis::Across, "0", "24");
    assert_eq!(rules.expect(&over.cabinet, size_of_side), []);
    assert_eq!(rules.expect(&open().cabinet, size_of_side), []);
    // With the answer given, the top's thickness comes off.
    let mut told = super::rules("frameless-captured", &[("top.thickness", "3/4")]);
    answer(&mut told, "top", "over");
    holds(&told, &over, "side.high", "29 1/4", "30");
}

/// A back ends at the underside of the bottom over a toe space, and at the lower end of
/// the sides where the cabinet hangs; a toe space stated for the job is not one of a
/// cabinet that shows none.
#[test]
fn cabinets_that_stand_and_cabinets_that_hang() {
    let mut rules = face_frame_rules();
    let toe = Stated {
        expr: parse("4").expect("a size"),
        origin: Origin::JobFile { line: 9 },
    };
    rules
        .job
        .parameters
        .insert("toe.height".to_owned(), toe.clone());
    let hanging = Drawn::new(Style::FaceFrame, ["30", "30", "12"])
        .interior_height("1 1/2", "27")
        .named("bottom.thickness", "3/4")
        .named("case.height", "30");
    holds(&rules, &hanging, "back.high", "30", "29 1/4");
    assert_eq!(expected(&rules, &hanging, "filler.high"), []);
    let standing = face_frame_base("3/4");
    holds(&rules, &standing, "back.high", "29 3/4", "34 1/2");
    holds(&rules, &standing, "filler.high", "30 1/2", "34 1/2");
    // Stated for this very cabinet, it counts.
    let mut own = Settings::default();
    own.parameters.insert("toe.height".to_owned(), toe);
    rules.cabinets.insert("B1".to_owned(), own);
    holds(&rules, &hanging, "filler.high", "26", "30");
}
