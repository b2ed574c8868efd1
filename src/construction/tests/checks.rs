//! Checks beyond single sizes, each with a case that passes and one that fails.

use super::constructed::{face_frame_base, face_frame_rules};
use super::inferred::{list, row};
use super::*;
use crate::cabinet::{MeasuredCabinet, Style};
use crate::construction::checks::{Check, Facts, Topic, Verdict, all};
use crate::construction::job::JobFile;
use crate::cutlist::*;
use crate::trade::{Dimension, Role};
use crate::view::Reading;

fn base(id: &str, width: &str) -> MeasuredCabinet {
    let mut cabinet = Drawn::new(Style::FaceFrame, [width, "34 1/2", "24"])
        .named("toe.height", "4")
        .cabinet;
    cabinet.id = id.to_owned();
    cabinet
}

fn job(text: &str) -> Rules {
    JobFile::parse(&format!("[job]\nunits = \"in\"\n{text}"), "dryfit.toml")
        .unwrap_or_else(|error| panic!("{error}"))
        .rules
}

fn run(rules: &Rules, cabinets: &[MeasuredCabinet], lists: &[CutList]) -> Vec<Check> {
    all(&Facts {
        rules,
        cabinets,
        lists,
        views: &Reading::default(),
    })
}

fn verdicts(checks: &[Check], topic: Topic) -> Vec<Verdict> {
    checks
        .iter()
        .filter(|check| check.topic == topic)
        .map(|check| check.verdict)
        .collect()
}

use Verdict::{Agrees, Disagrees, Unchecked};

fn quantity(mut row: Row, count: u32) -> Row {
    row.quantity.count = count;
    row
}

#[test]
fn a_run_fills_its_wall() {
    let cabinets = [base("B1", "36"), base("B2", "24")];
    let wall = |keys: &str| job(&format!("[[run]]\ncabinets = [\"B1\", \"B2\"]\n{keys}"));
    let judged = |keys: &str| {
        let checks = run(&wall(keys), &cabinets, &[]);
        let [check] = checks.as_slice() else {
            panic!("{checks:?}")
        };
        (check.verdict, check.sentence.clone())
    };
    assert_eq!(judged("wall = \"60 in\"").0, Agrees);
    let (verdict, sentence) = judged("wall = \"63\"\nbetween = \"3\"");
    assert_eq!(verdict, Agrees);
    assert!(sentence.contains("36 in + 24 in + 3 in = 63 in, as the wall of 63 in"));
    assert_eq!(judged("wall = \"62\"\nbetween = \"3\"").0, Disagrees);
    assert_eq!(judged("wall = \"59 15/16\"").0, Disagrees);
    // Within the tolerance, and just beyond it.
    assert_eq!(judged("wall = \"60 + 1/32\"").0, Agrees);
    assert_eq!(judged("wall = \"60 - 1/32 - 1/128\"").0, Disagrees);
    // A rest that nothing fills may be fillers.
    let (verdict, sentence) = judged("wall = \"62\"");
    assert_eq!(verdict, Unchecked);
    assert!(sentence.contains("2 in short"), "{sentence}");
    let lone = job("[[run]]\ncabinets = [\"B1\", \"B9\"]\nwall = \"60\"");
    let checks = run(&lone, &cabinets, &[]);
    assert!(checks[0].sentence.contains("no drawing shows B9"));
}

#[test]
fn neighbours_share_what_they_are_stated_to() {
    let mut low = base("B2", "24");
    low.overall.height = Drawn::new(Style::FaceFrame, ["24", "34", "24"])
        .cabinet
        .overall
        .height;
    let rules =
        job("[[run]]\ncabinets = [\"B1\", \"B2\"]\nshare = [\"height\", \"depth\", \"toe\"]");
    let checks = run(&rules, &[base("B1", "36"), low], &[]);
    assert_eq!(
        verdicts(&checks, Topic::Neighbours),
        [Disagrees, Agrees, Agrees]
    );
    assert_eq!(
        checks[0].sentence,
        "B1 has a height of 34 1/2 in and its neighbour B2 of 34 in"
    );
    // Not stated, nothing is held against them.
    let rules = job("[[run]]\ncabinets = [\"B1\", \"B2\"]");
    assert!(run(&rules, &[base("B1", "36")], &[]).is_empty());
}

/// Common practice: base 34 1/2 + top 1 1/2 = 36; wall units hung at 54 end at 84, 90
/// or 96 (54 = 36 + 18).
#[test]
fn a_stack_reaches_its_height() {
    let mut hutch = base("H1", "36");
    hutch.overall.height = Drawn::new(Style::FaceFrame, ["36", "60", "12"])
        .cabinet
        .overall
        .height;
    let cabinets = [base("B1", "36"), hutch];
    let stack = |height: &str| {
        let keys = format!(
            "[[stack]]\ncabinets = [\"B1\", \"H1\"]\nbetween = \"1 1/2\"\nheight = \"{height}\""
        );
        verdicts(&run(&job(&keys), &cabinets, &[]), Topic::Stack)
    };
    assert_eq!(stack("96"), [Agrees]);
    assert_eq!(stack("95 1/2"), [Disagrees]);
    assert_eq!(stack("97"), [Disagrees]);
}

#[test]
fn more_fronts_than_openings() {
    let mut cabinet = face_frame_base("3/4").cabinet;
    cabinet.parts.clear();
    let judged = |doors: u32, drawers: u32| {
        let rows = vec![
            quantity(row(2, "B1", Role::Door, "22", "16 15/16"), doors),
            quantity(row(3, "B1", Role::DrawerFront, "34", "6"), drawers),
        ];
        verdicts(
            &run(
                &Rules::default(),
                std::slice::from_ref(&cabinet),
                &[list(rows)],
            ),
            Topic::Fronts,
        )
    };
    assert_eq!(judged(2, 1), []);
    assert_eq!(judged(4, 0), []);
    assert_eq!(judged(3, 1), [Disagrees]);
    assert_eq!(judged(0, 3), [Disagrees]);
}

/// H. H. Windsor, Mission Furniture, Part 3 (1912), a writing desk: 2 drawer fronts,
/// 4 sides, 2 backs, 2 bottoms.
#[test]
fn parts_of_drawers_go_together() {
    let judged = |sides: u32, backs: u32, bottoms: u32| {
        let rows = vec![
            quantity(row(2, "B1", Role::DrawerFront, "14", "4 1/4"), 2),
            quantity(row(3, "B1", Role::BoxSide, "19", "4 1/4"), sides),
            quantity(row(4, "B1", Role::BoxBack, "14", "4"), backs),
            quantity(row(5, "B1", Role::BoxBottom, "19", "14"), bottoms),
        ];
        // Said once, by the drawer fronts or by the parts among themselves.
        run(&Rules::default(), &[base("B1", "36")], &[list(rows)])
            .iter()
            .filter(|check| matches!(check.topic, Topic::Drawers | Topic::DrawerParts))
            .filter(|check| check.verdict == Disagrees)
            .count()
    };
    assert_eq!(judged(4, 2, 2), 0);
    assert_eq!(judged(4, 2, 1), 1);
    assert_eq!(judged(3, 2, 2), 1);
    assert_eq!(judged(2, 2, 2), 1);
}

#[test]
fn slides_and_boxes_go_into_the_depth() {
    // Constructed: 23 in inside, 23 3/4 from the front of the frame.
    let cabinet = face_frame_base("3/4").cabinet;
    let judged = |length: &str| {
        let rows = vec![row(2, "B1", Role::BoxSide, length, "4")];
        verdicts(
            &run(
                &Rules::default(),
                std::slice::from_ref(&cabinet),
                &[list(rows)],
            ),
            Topic::Slides,
        )
    };
    assert_eq!(judged("22"), [Agrees]);
    assert_eq!(judged("23 3/4"), [Agrees]);
    assert_eq!(judged("24"), [Disagrees]);
    let stated = run(&face_frame_rules(), &[cabinet], &[]);
    assert_eq!(verdicts(&stated, Topic::Slides), [Agrees]);
    let no_depth = vec![row(2, "B9", Role::BoxSide, "22", "4")];
    let checks = run(&Rules::default(), &[base("B9", "36")], &[list(no_depth)]);
    assert_eq!(verdicts(&checks, Topic::Slides), [Unchecked]);
}

#[test]
fn toe_space_panels() {
    let judged = |height: &str, note: &str| {
        let mut panel = row(2, "B1", Role::AccessPanel, "12", height);
        panel.note = Some(note.to_owned());
        verdicts(
            &run(&Rules::default(), &[base("B1", "36")], &[list(vec![panel])]),
            Topic::ToeSpace,
        )
    };
    assert_eq!(judged("3 1/2", "in toe space"), [Agrees]);
    assert_eq!(judged("4 1/2", "in toe space"), [Disagrees]);
    assert_eq!(judged("4 1/2", "behind the sink"), []);
    let drawn = Drawn::new(Style::FaceFrame, ["36", "34 1/2", "24"])
        .named("toe.height", "4")
        .part(Role::AccessPanel, Axis::High, "1", "4 1/4");
    let checks = run(&Rules::default(), &[drawn.cabinet], &[]);
    assert_eq!(verdicts(&checks, Topic::ToeSpace), [Disagrees]);
}

/// 2010 ADA Standards 804.3.2 (34 in) and 902.3 (28 to 34 in). The metric figure printed
/// there for 34 in is 865 mm; 34 in is 863.6 mm, so 864 mm is over.
#[test]
fn accessibility_only_when_asked_and_in_inches() {
    let judged = |height: &str, key: &str| {
        let cabinet = Drawn::new(Style::FaceFrame, ["36", height, "24"]).cabinet;
        let keys = format!("[accessibility]\n{key} = [\"B1\"]\ncounter-thickness = \"1 1/2\"");
        verdicts(&run(&job(&keys), &[cabinet], &[]), Topic::Accessibility)
    };
    assert_eq!(judged("32 1/2", "work-surface"), [Agrees]);
    assert_eq!(judged("34 1/2", "work-surface"), [Disagrees]);
    assert_eq!(judged("864 mm - 1 1/2 in", "work-surface"), [Disagrees]);
    assert_eq!(judged("863.6 mm - 1 1/2 in", "work-surface"), [Agrees]);
    assert_eq!(judged("26", "dining-surface"), [Disagrees]);
    assert_eq!(judged("26 1/2", "dining-surface"), [Agrees]);
    assert_eq!(judged("34 1/2", "service-counter"), [Agrees]);
    assert_eq!(judged("35", "service-counter"), [Disagrees]);
    let cabinet = base("B1", "36");
    assert!(run(&Rules::default(), std::slice::from_ref(&cabinet), &[]).is_empty());
    let unknown = job("[accessibility]\nsink = [\"B1\", \"B9\"]");
    let checks = run(&unknown, &[cabinet], &[]);
    assert_eq!(
        verdicts(&checks, Topic::Accessibility),
        [Unchecked, Unchecked]
    );
    let open = face_frame_base("3/4").cabinet;
    let knee = job("[accessibility]\nknee-space = [\"B1\"]");
    assert_eq!(
        verdicts(&run(&knee, &[open], &[]), Topic::Accessibility),
        [Agrees, Agrees, Agrees]
    );
}

#[test]
fn stated_sizes_that_the_drawing_contradicts() {
    let cabinet = face_frame_base("3/4").cabinet;
    let judged = |size: &str| {
        verdicts(
            &run(
                &job(&format!("[sizes]\n{size}")),
                std::slice::from_ref(&cabinet),
                &[],
            ),
            Topic::StatedSize,
        )
    };
    assert_eq!(judged("toe.height = \"4\""), []);
    assert_eq!(judged("toe.height = \"4 1/2\""), [Disagrees]);
    // Actual board for drawn nominal board is no contradiction; another board is.
    assert_eq!(judged("side.thickness = \"23/32\""), []);
    assert_eq!(judged("side.thickness = \"5/8\""), [Disagrees]);
}

fn top_rows(strips: [(&str, u32); 2], thickness: &str, band: &str) -> Vec<Row> {
    let sized = |mut row: Row, dimension, text: &str| {
        let mut cell = row.sizes[0].clone();
        cell.dimension = dimension;
        cell.text = text.to_owned();
        cell.value = size(text);
        row.sizes.push(cell);
        row
    };
    let mut rows = vec![
        sized(
            row(2, "B1", Role::Countertop, "72", "25"),
            Dimension::Thickness,
            "3/4",
        ),
        row(9, "B1", Role::EdgeBand, "130", band),
    ];
    for (line, (length, count)) in strips.into_iter().enumerate() {
        let strip = quantity(row(3 + line, "B1", Role::BuildUpStrip, length, "3"), count);
        rows.push(sized(strip, Dimension::Thickness, thickness));
    }
    rows
}

/// Constructed: a top 72 × 25 of 3/4 sheet, built up to 1 1/2 with strips 3 wide, one
/// along the front and two behind it at the ends.
#[test]
fn a_built_up_top() {
    let rules = job(
        "[construction]\nstrips = \"front-and-ends\"\nband-edges = \"front-and-ends\"\n\
         [sizes]\ncountertop.built-up = \"1 1/2\"",
    );
    let judged = |strips: [(&str, u32); 2], thickness: &str, band: &str| {
        let rows = top_rows(strips, thickness, band);
        verdicts(
            &run(&rules, &[base("B1", "36")], &[list(rows)]),
            Topic::Countertop,
        )
    };
    let right = [("72", 1), ("22", 2)];
    assert_eq!(judged(right, "3/4", "1 5/8"), [Agrees; 7]);
    let wrongs = |verdicts: &[Verdict]| verdicts.iter().filter(|v| **v == Disagrees).count();
    // Strip from the depth, width of the front strip forgotten.
    assert_eq!(wrongs(&judged([("72", 1), ("25", 2)], "3/4", "1 5/8")), 1);
    // One end strip short.
    assert_eq!(wrongs(&judged([("72", 1), ("22", 1)], "3/4", "1 5/8")), 1);
    // Strips of the wrong board; band that does not cover.
    assert_eq!(wrongs(&judged(right, "1/2", "1 5/8")), 1);
    assert_eq!(wrongs(&judged(right, "3/4", "1 1/4")), 1);
    let untold = job("");
    let rows = top_rows(right, "3/4", "1 5/8");
    let checks = run(&untold, &[base("B1", "36")], &[list(rows)]);
    assert_eq!(verdicts(&checks, Topic::Countertop), [Unchecked; 2]);
}

#[test]
fn a_top_over_a_run() {
    let rules = job(
        "[sizes]\ncountertop.overhang-left = \"0\"\ncountertop.overhang-right = \"1\"\n\
         [[run]]\ncabinets = [\"B1\", \"B2\"]",
    );
    let cabinets = [base("B1", "36"), base("B2", "24")];
    let judged = |rules: &Rules, length: &str| {
        let mut top = row(2, "B1", Role::Countertop, length, "25");
        top.cabinets = vec!["B1".to_owned(), "B2".to_owned()];
        verdicts(
            &run(rules, &cabinets, &[list(vec![top])]),
            Topic::Countertop,
        )
    };
    assert_eq!(judged(&rules, "61"), [Agrees]);
    assert_eq!(judged(&rules, "60"), [Disagrees]);
    let untold = job("[[run]]\ncabinets = [\"B1\", \"B2\"]");
    assert_eq!(judged(&untold, "61"), [Unchecked]);
}

#[test]
fn cut_sizes_become_finished_sizes() {
    // Constructed: 2 mm band on all edges of a door cut 293 × 713 makes 297 × 717; 1 mm on
    // the front edge of a side cut 319 deep makes 320.
    let rules = job(
        "[sizes]\nband.door = \"2 mm\"\nband.front = \"1 mm\"\nsaw-out.length = \"1/2\"\nsaw-out.width = \"1/4\"",
    );
    let cabinet = base("W1", "600 mm");
    let add = |role: Role, dimension, axis, kind| {
        let mut row = row(2, "W1", role, "713 mm", "293 mm");
        row.size_kind = kind;
        rules
            .allowance(&cabinet, &row, dimension, axis)
            .map(|allowance| allowance.add)
    };
    let cut = SizeKind::Cut;
    assert_eq!(
        add(Role::Door, Dimension::Length, Axis::High, cut),
        Some(size("4 mm"))
    );
    assert_eq!(
        add(Role::Side, Dimension::Width, Axis::Deep, cut),
        Some(size("1 mm"))
    );
    assert_eq!(add(Role::Side, Dimension::Length, Axis::High, cut), None);
    assert_eq!(
        add(Role::Stile, Dimension::Length, Axis::High, cut),
        Some(size("-1/2"))
    );
    assert_eq!(
        add(Role::Stile, Dimension::Width, Axis::Across, cut),
        Some(size("-1/4"))
    );
    let finished = SizeKind::Finished;
    assert_eq!(
        add(Role::Door, Dimension::Length, Axis::High, finished),
        None
    );
    assert_eq!(
        add(
            Role::Door,
            Dimension::Length,
            Axis::High,
            SizeKind::Unstated
        ),
        None
    );
}
