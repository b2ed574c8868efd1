//! Published worked examples, each with its source. Figures of the sources were read
//! in copies on the net; the drawing is ours.

use super::*;
use crate::cabinet::Style;
use crate::construction::job::JobFile;
use crate::trade::Role;

fn with(parameters: &str, relations: &str) -> Rules {
    let text = format!("[job]\nunits = \"in\"\n[sizes]\n{parameters}\n[relations]\n{relations}\n");
    JobFile::parse(&text, "dryfit.toml")
        .unwrap_or_else(|error| panic!("{error}"))
        .rules
}

/// H. H. Windsor, Mission Furniture: How to Make It (1909 to 1912), medicine cabinet.
/// Panels enter grooves 1/4 deep, rails tenons 1/2 long; the door fills the opening of
/// 15 × 22 3/4 between posts and rails.
#[test]
fn windsor_medicine_cabinet() {
    let drawn =
        Drawn::new(Style::Unknown, ["18", "28", "9"]).opening("1 1/2", "15", "2 5/8", "22 3/4");
    let rules = with(
        "reveal = 0\npanel.groove = \"1/4\"\npanel.play = 0\ndoor-stile.width = 2\ndoor-rail.width = 2",
        "side-rail.across = \"opening.width + 2 * 1/2\"\n\
         back.across = \"opening.width + 2 * panel.groove\"\n\
         back.high = \"opening.height + 2 * panel.groove\"",
    );
    let mut rules = rules;
    answer(&mut rules, "front", "inset");
    answer(&mut rules, "door-frame", "mitred");
    for (key, right, wrong) in [
        ("side-rail.across", "16", "15"),
        ("back.across", "15 1/2", "15"),
        ("back.high", "23 1/4", "22 3/4"),
        ("door-stile.high", "22 3/4", "23 1/4"),
        ("door-panel.high", "19 1/4", "18 3/4"),
    ] {
        holds(&rules, &drawn, key, right, wrong);
    }
    // Across, a pair is told apart from a single door by what is drawn.
    let single = drawn.fronts(Role::Door, 0, 1);
    holds(&rules, &single, "door.across", "15", "15 1/8");
    holds(&rules, &single, "door-rail.across", "15", "11");
    holds(&rules, &single, "door-panel.across", "11 1/2", "11");
}

/// H. H. Windsor, Mission Furniture, bookcase: interior 28 3/4, overall 30 1/4; backing in
/// a rabbet 1/2 wide, shelves 1/4 short, top 1/2 past each end.
#[test]
fn windsor_bookcase() {
    let drawn =
        Drawn::new(Style::Frameless, ["30 1/4", "50", "14"]).interior_width("3/4", "28 3/4");
    let mut rules = with(
        "rabbet.width = \"1/2\"\nshelf.clearance = \"1/8\"\n\
         countertop.overhang-left = \"1/2\"\ncountertop.overhang-right = \"1/2\"",
        "",
    );
    answer(&mut rules, "bottom", "between");
    answer(&mut rules, "back", "rabbet");
    for (key, right, wrong) in [
        ("bottom.across", "28 3/4", "30 1/4"),
        ("back.across", "29 3/4", "28 3/4"),
        ("shelf.across", "28 1/2", "28 3/4"),
        ("countertop.across", "31 1/4", "30 1/4"),
    ] {
        holds(&rules, &drawn, key, right, wrong);
    }
}

/// H. H. Windsor, Mission Furniture, Part 2 (1910), china closet: opening 38 between
/// posts, two doors of 19, shelf 38, cleat 37 3/4, front boards 40 with tenons of 1 in
/// (the tenons are inferred from the figures).
#[test]
fn windsor_china_closet() {
    let drawn = Drawn::new(Style::Unknown, ["42", "54", "17"]).opening("2", "38", "5", "43 1/2");
    let mut rules = with(
        "reveal = 0\ngap = 0",
        "cleat.across = \"opening.width - 1/4\"\nside-rail.across = \"opening.width + 2\"",
    );
    answer(&mut rules, "front", "inset");
    let pair = drawn.fronts(Role::Door, 0, 2);
    for (key, right, wrong) in [
        ("door.across", "19", "18 7/8"),
        ("door.high", "43 1/2", "43 5/8"),
        ("cleat.across", "37 3/4", "38"),
        ("side-rail.across", "40", "38"),
    ] {
        holds(&rules, &pair, key, right, wrong);
    }
}

/// Edwin W. Foster, Carpentry and Woodwork (1911), cabinet of twelve drawers: overall
/// 25 1/8, ends 1/2 thick, shelves 24 5/8 let in 1/4 at each end.
#[test]
fn foster_cabinet_of_twelve_drawers() {
    let drawn = Drawn::new(Style::Frameless, ["25 1/8", "14", "12"]).named("side.thickness", "1/2");
    let mut rules = with("groove.depth = \"1/4\"", "");
    answer(&mut rules, "fixed-shelf", "grooved");
    answer(&mut rules, "back", "applied");
    // The housing forgotten: 24 1/8.
    holds(&rules, &drawn, "fixed-shelf.across", "24 5/8", "24 1/8");
    holds(&rules, &drawn, "back.across", "25 1/8", "24 5/8");
}

/// Edwin W. Foster, Carpentry and Woodwork (1911): a panel is 3/4 larger each way than
/// the open space when grooves are 3/8 deep, without play.
#[test]
fn foster_panel_rule() {
    let drawn = Drawn::new(Style::FaceFrame, ["20", "30", "12"])
        .opening("2", "16", "2", "26")
        .fronts(Role::Door, 0, 1);
    let mut rules = with(
        "overlay = 0\npanel.groove = \"3/8\"\npanel.play = 0\ndoor-stile.width = 2\ndoor-rail.width = 2",
        "",
    );
    answer(&mut rules, "front", "overlay");
    answer(&mut rules, "door-frame", "cope-and-stick");
    holds(&rules, &drawn, "door-panel.across", "12 3/4", "12");
    holds(&rules, &drawn, "door-panel.high", "22 3/4", "22");
}

/// A how-to text on stock base cabinets, 36 wide, 30 high, 18 deep: sides 17 1/4 × 29 1/4,
/// bottom 35 × 17, nailer 34 1/2. It prints the face frame 25 high; 29 1/4 less the toe
/// space of 3 1/2 is 25 3/4.
#[test]
fn stock_base_cabinet_with_a_printed_slip() {
    let drawn = Drawn::new(Style::FaceFrame, ["36", "29 1/4", "18"])
        .interior_width("3/4", "34 1/2")
        .named("case.width", "36")
        .named("frame.thickness", "3/4")
        .named("frame.height", "25 3/4")
        .named("toe.height", "3 1/2")
        .named("side.thickness", "3/4");
    let parameters = [("groove.depth", "1/4"), ("rabbet.depth", "1/4")];
    let rules = rules("face-frame-grooved", &parameters);
    for (key, right, wrong) in [
        ("side.high", "29 1/4", "30"),
        ("side.deep", "17 1/4", "18"),
        ("bottom.across", "35", "34 1/2"),
        ("bottom.deep", "17", "17 1/4"),
        ("stretcher.across", "34 1/2", "35"),
        ("stile.high", "25 3/4", "25"),
    ] {
        holds(&rules, &drawn, key, right, wrong);
    }
}

/// Danny Proulx, Building base cabinets, part 3, Canadian Woodworking, August 2003: 27 in
/// frameless base of 5/8 board; bottom 25 3/4 × 23 3/8, 24 with its applied back.
#[test]
fn proulx_frameless_base() {
    let drawn = Drawn::new(Style::Frameless, ["27", "31", "24"])
        .named("side.thickness", "5/8")
        .named("back.thickness", "5/8");
    let rules = rules("frameless-applied", &[]);
    holds(&rules, &drawn, "bottom.across", "25 3/4", "25 1/2");
    holds(&rules, &drawn, "bottom.deep", "23 3/8", "24");
    holds(&rules, &drawn, "stretcher.across", "25 3/4", "27");
    holds(&rules, &drawn, "side.deep", "23 3/8", "24");
}

/// Precise layout for plywood projects, Wood magazine: a case 26 wide, top and bottom in
/// rabbets 3/8 deep: 26 - 2 (t - 3/8); its 25 7/16 means board of 21/32.
#[test]
fn rabbeted_case_in_actual_board() {
    let rules = with(
        "",
        "bottom.across = \"overall.width - 2 * (side.thickness - 3/8)\"",
    );
    for (board, right) in [
        ("3/4", "25 1/4"),
        ("23/32", "25 5/16"),
        ("45/64", "25 11/32"),
        ("11/16", "25 3/8"),
        ("21/32", "25 7/16"),
    ] {
        let drawn = Drawn::new(Style::Frameless, ["26", "30", "12"]).named("side.thickness", board);
        assert_eq!(
            expected(&rules, &drawn, "bottom.across"),
            [size(right)],
            "{board}"
        );
    }
    // Backwards: 25 7/16 comes from 21/32.
    assert_eq!(size("(26 - (25 7/16)) / 2 + 3/8"), size("21/32"));
}

/// A drawer-box maker's published example for concealed undermount slides: a 15 in
/// opening takes a box 14 5/8 wide with 5/8 sides, 14 3/8 with 1/2 sides; inside 13 3/8
/// in both. Another page: 15 3/4 takes 15 3/8 with 5/8 sides.
#[test]
fn undermount_drawer_boxes() {
    for (opening, sides, outside) in [
        ("15", "5/8", "14 5/8"),
        ("15", "1/2", "14 3/8"),
        ("15 3/4", "5/8", "15 3/8"),
    ] {
        let drawn = Drawn::new(Style::FaceFrame, ["20", "34 1/2", "24"])
            .opening("1 1/2", opening, "4", "6")
            .fronts(Role::DrawerFront, 0, 1);
        let parameters = [
            ("slide.inside-allowance", "1 5/8"),
            ("box.thickness", sides),
        ];
        let mut rules = rules("face-frame-grooved", &parameters);
        answer(&mut rules, "drawer-box", "undermount");
        holds(&rules, &drawn, "drawer-box.across", outside, opening);
    }
}

fn overlay_doors(width: &str, height: &str, count: usize) -> Drawn {
    Drawn::new(Style::FaceFrame, ["40", "40", "24"])
        .opening("2", width, "2", height)
        .fronts(Role::Door, 0, count)
}

/// Published overlay-door examples: single 15 × 27 with 1/2 overlay is 16 × 28; 14 × 20 with
/// 3/4 is 15 1/2 × 21 1/2; a pair on 30 with 1/2 and a gap of 1/8 is 15 7/16; 24 × 30 makes
/// two of 12 7/16 × 31.
#[test]
fn overlay_doors_single_and_pair() {
    let rules = |overlay: &str| {
        rules(
            "face-frame-grooved",
            &[("overlay", overlay), ("gap", "1/8")],
        )
    };
    let half = rules("1/2");
    let single = overlay_doors("15", "27", 1);
    holds(&half, &single, "door.across", "16", "15 1/2");
    holds(&half, &single, "door.high", "28", "27");
    let wide = rules("3/4");
    let single = overlay_doors("14", "20", 1);
    holds(&wide, &single, "door.across", "15 1/2", "15");
    holds(&wide, &single, "door.high", "21 1/2", "20 3/4");
    let pair = overlay_doors("24", "30", 2);
    holds(&half, &pair, "door.across", "12 7/16", "12 1/2");
    holds(&half, &pair, "door.high", "31", "30");
}

/// Two published rules for a pair of doors disagree: one takes 1/8 off the pair (15 7/16
/// each on a 30 in opening), one takes 1/8 off each door (15 3/8). The gap is therefore
/// never assumed, and each rule is right under its own stated gap.
#[test]
fn two_conventions_for_a_pair() {
    let pair = overlay_doors("30", "30", 2);
    let stated = |gap: &str| rules("face-frame-grooved", &[("overlay", "1/2"), ("gap", gap)]);
    holds(&stated("1/8"), &pair, "door.across", "15 7/16", "15 3/8");
    holds(&stated("1/4"), &pair, "door.across", "15 3/8", "15 7/16");
    assert_eq!(size("15 7/16") - size("15 3/8"), size("1/16"));
    let silent = rules("face-frame-grooved", &[("overlay", "1/2")]);
    assert_eq!(expected(&silent, &pair, "door.across"), []);
    let across = PartSize {
        role: Role::Door,
        axis: Axis::Across,
    };
    let missing = silent
        .missing(&pair.cabinet, across)
        .expect("not checkable");
    assert!(missing.starts_with("needs `gap`"), "{missing}");
}

/// Cabinet Face Dimensions, a trade forum: with 1/2 overlay a member of 1 3/4 shows 1 1/4 at
/// the outside, 2 1/4 in the middle shows 1 1/4, 1 1/2 leaves 1/2 between fronts.
#[test]
fn what_shows_of_a_frame() {
    assert_eq!(size("1 3/4 - 1/2"), size("1 1/4"));
    assert_eq!(size("2 1/4 - 2 * 1/2"), size("1 1/4"));
    assert_eq!(size("1 1/2 - 2 * 1/2"), size("1/2"));
}

/// Inset-door cabinets, a trade forum: a tongue 1/4 wide set 1/4 from the inside face, the
/// groove 3/8 from the frame's outer edge: overhang 3/8 - (t - 1/2).
#[test]
fn frame_overhang_by_tongue_and_groove() {
    for (board, overhang) in [("3/4", "1/8"), ("23/32", "5/32"), ("45/64", "11/64")] {
        let drawn =
            Drawn::new(Style::FaceFrame, ["36", "34 1/2", "24"]).named("side.thickness", board);
        let rules = rules(
            "face-frame-grooved",
            &[("frame.overhang", "3/8 - (side.thickness - 1/2)")],
        );
        let case = size("36") - size(overhang) * 2;
        assert_eq!(
            expected(&rules, &drawn, "toe-kick.across"),
            [case],
            "{board}"
        );
    }
}

/// A frame 48 wide on a case of 47 1/2 (a maker's notes); overall 50 × 27 including a 3/4 top
/// with 1 in overhang at each end makes a frame 48 × 26 1/4 (a builder's notes): which
/// "overall" is meant decides.
#[test]
fn frame_case_and_top() {
    let drawn = Drawn::new(Style::FaceFrame, ["48", "26 1/4", "20"]);
    let rules = rules(
        "face-frame-grooved",
        &[
            ("frame.overhang", "1/4"),
            ("countertop.overhang-left", "1"),
            ("countertop.overhang-right", "1"),
        ],
    );
    holds(&rules, &drawn, "toe-kick.across", "47 1/2", "48");
    holds(&rules, &drawn, "countertop.across", "50", "48");
    assert_eq!(size("27 - 3/4"), size("26 1/4"));
}

/// Kerf, a shop teacher's page: four strips from a 5 1/2 board with three kerfs of 1/8 are
/// 1 9/32 wide. Kerf belongs to the board and never changes a part.
#[test]
fn kerf_belongs_to_the_board() {
    assert_eq!(size("(5 1/2 - 3 * 1/8) / 4"), size("1 9/32"));
    let drawn = super::constructed::face_frame_base("3/4");
    let without = super::constructed::face_frame_rules();
    let mut with = without.clone();
    let kerf = Stated {
        expr: parse("1/8").expect("a size"),
        origin: Origin::JobFile { line: 2 },
    };
    with.job.parameters.insert("saw.kerf".to_owned(), kerf);
    for key in ["stile.high", "rail.across", "side.high", "bottom.across"] {
        assert_eq!(
            expected(&with, &drawn, key),
            expected(&without, &drawn, key)
        );
    }
}

/// Edwin W. Foster, Carpentry and Woodwork (1911), tool cabinet: 30 × 20 × 6 overall, front
/// and back 1/2 thick, sides 5 1/2 wide: together 6 1/2. The excerpt does not explain it.
#[test]
fn foster_tool_cabinet() {
    let drawn = Drawn::new(Style::Frameless, ["30", "20", "6"]);
    let rules = with("", "side.deep = \"overall.depth - 2 * 1/2\"");
    holds(&rules, &drawn, "side.deep", "5", "5 1/2");
    assert_eq!(size("5 1/2 + 1/2 + 1/2") - size("6"), size("1/2"));
}

/// Each relation has its own published or constructed slip; changing any input by 1/8
/// changes exactly the sizes whose relations contain it.
#[test]
fn a_changed_input_changes_only_what_rests_on_it() {
    let keys = [
        "side.high",
        "side.deep",
        "bottom.across",
        "bottom.deep",
        "stretcher.across",
        "back.across",
        "back.high",
        "toe-kick.across",
        "toe-kick.high",
        "stile.high",
        "rail.across",
        "door.across",
        "door.high",
        "drawer-front.across",
        "drawer-front.high",
        "door-rail.across",
        "door-panel.across",
        "drawer-box.across",
        "drawer-box.high",
        "box-front.across",
        "box-bottom.across",
        "shelf.across",
    ];
    let drawn = super::constructed::face_frame_base("3/4");
    let rules = super::constructed::face_frame_rules();
    let before: Vec<_> = keys
        .iter()
        .map(|key| expected(&rules, &drawn, key))
        .collect();
    for (name, touched) in [
        ("groove.depth", vec!["bottom.across"]),
        ("rabbet.width", vec!["back.across"]),
        (
            "gap",
            vec!["door.across", "door-rail.across", "door-panel.across"],
        ),
        ("shelf.clearance", vec!["shelf.across"]),
        (
            "slide.clearance",
            vec!["drawer-box.across", "box-front.across", "box-bottom.across"],
        ),
        ("tongue", vec!["door-rail.across"]),
        ("panel.play", vec!["door-panel.across"]),
        ("box.height-clearance", vec!["drawer-box.high"]),
    ] {
        let mut changed = rules.clone();
        let stated = changed.job.parameters.get_mut(name).expect(name);
        let text = format!(
            "{} + 1/8",
            rules.print(super::scope_value(&rules, &drawn, name))
        );
        stated.expr = parse(&text).expect(&text);
        let moved: Vec<&str> = keys
            .iter()
            .zip(&before)
            .filter(|(key, before)| expected(&changed, &drawn, key) != **before)
            .map(|(key, _)| *key)
            .collect();
        assert_eq!(moved, touched, "{name}");
    }
}
