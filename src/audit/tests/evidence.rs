//! What decides: drawn distances, lower bounds, rules, nothing.

use crate::audit::trial::*;
use crate::audit::{Bin, Covered, FindingKind, Outcome};
use crate::cabinet::{DrawnPart, Measured, MeasuredCabinet, Uncounted};
use crate::construction::JobFile;
use crate::cutlist::{Problem, RowSource};
use crate::length::Unit;
use crate::trade::{Dimension, Role};

fn covered(audit: &crate::audit::Audit, line: usize, dimension: Dimension) -> &Covered {
    audit
        .coverage
        .iter()
        .find(|entry| entry.size.row.line == line && entry.size.dimension == dimension)
        .unwrap()
}

fn part(cabinet: &mut MeasuredCabinet, role: Role) -> &mut DrawnPart {
    cabinet
        .parts
        .iter_mut()
        .find(|part| part.role == role)
        .unwrap()
}

/// The base with the bottom seen only up to the sides' inner faces.
fn hidden_bottom() -> MeasuredCabinet {
    let mut cabinet = base("B36", 36.0, 34.5);
    let span = part(&mut cabinet, Role::Bottom).across.as_mut().unwrap();
    span.lo.at = 25.4;
    span.hi.at = 35.0 * 25.4;
    span.lo.occluded = true;
    span.hi.occluded = true;
    cabinet
}

#[test]
fn a_hidden_joint_is_not_checked_and_says_what_would_help() {
    for (listed, bin) in [
        ("34", Bin::Unchecked),
        ("34 1/2", Bin::Unchecked),
        ("34 3/4", Bin::Unchecked),
        // Shorter than what is seen, or longer than the case is wide.
        ("33 15/16", Bin::Disagrees),
        ("36", Bin::Disagrees),
    ] {
        let text = with(BASE_LIST, 1, 3, listed);
        let audit = run(&job(vec![hidden_bottom()], &text, Unit::Inch));
        let entry = covered(&audit, 3, Dimension::Length);
        assert_eq!(entry.bin, bin, "{listed}: {}", entry.by);
        if bin == Bin::Unchecked {
            assert!(entry.by.contains("groove.depth"));
            assert_eq!(audit.outcome, Outcome::Unchecked);
            assert!(audit.findings.is_empty());
        }
    }
}

fn job_file(text: &str) -> crate::construction::Rules {
    JobFile::parse(text, "dryfit.toml").unwrap().rules
}

#[test]
fn a_rule_of_the_job_file_decides_what_the_drawing_hides() {
    let rules = "[relations]\nbottom.across = \"interior.width + 1/2 in\"\n";
    for (listed, bin) in [("34 1/2", Bin::Agrees), ("34", Bin::Disagrees)] {
        let text = with(BASE_LIST, 1, 3, listed);
        let mut job = job(vec![hidden_bottom()], &text, Unit::Inch);
        job.rules = job_file(rules);
        let audit = run(&job);
        let entry = covered(&audit, 3, Dimension::Length);
        assert_eq!(entry.bin, bin, "{}", entry.by);
        assert!(audit.assumptions.iter().any(|a| a.decided > 0));
    }
}

#[test]
fn a_rule_that_the_drawing_contradicts_is_a_finding_and_excuses_nothing() {
    // The job file says butted; the drawing shows the bottom 34 1/2 in long.
    let rules = "[relations]\nbottom.across = \"interior.width\"\n";
    for (listed, wrong) in [("34 1/2", false), ("34", true)] {
        let mut job = base_job(&with(BASE_LIST, 1, 3, listed));
        job.rules = job_file(rules);
        let audit = run(&job);
        let kinds: Vec<_> = audit.findings.iter().map(|f| f.kind).collect();
        if wrong {
            assert_eq!(kinds, [FindingKind::Size, FindingKind::Drawing]);
        } else {
            assert_eq!(kinds, [FindingKind::Drawing]);
        }
        let drawing = audit.findings.last().unwrap();
        assert!(drawing.message.contains("dryfit.toml") || drawing.message.contains("job file"));
    }
}

#[test]
fn a_part_no_view_shows_is_not_checked() {
    let mut cabinet = base("B36", 36.0, 34.5);
    cabinet
        .parts
        .retain(|part| part.role != Role::AdjustableShelf);
    let audit = run(&job(vec![cabinet], BASE_LIST, Unit::Inch));
    assert!(audit.findings.is_empty());
    assert_eq!(audit.outcome, Outcome::Unchecked);
    for dimension in [Dimension::Length, Dimension::Width, Dimension::Quantity] {
        let entry = covered(&audit, 6, dimension);
        assert_eq!(entry.bin, Bin::Unchecked);
        assert!(
            entry.by.contains("no view of B36 shows a shelf"),
            "{}",
            entry.by
        );
    }
}

#[test]
fn a_part_drawing_shows_what_its_place_hides() {
    let mut cabinet = hidden_bottom();
    let mut flat = part(&mut cabinet, Role::Bottom).clone();
    flat.flat = true;
    flat.name = "Bottom".to_owned();
    let across = flat.across.as_mut().unwrap();
    across.lo.occluded = false;
    across.hi.occluded = false;
    across.lo.at = 0.0;
    across.hi.at = 34.5 * 25.4;
    let mut high = flat.deep.take().unwrap();
    high.axis = crate::trade::Axis::High;
    flat.high = Some(high);
    cabinet.parts.push(flat);
    for (listed, bin) in [("34 1/2", Bin::Agrees), ("34 3/8", Bin::Disagrees)] {
        let text = with(BASE_LIST, 1, 3, listed);
        let audit = run(&job(vec![cabinet.clone()], &text, Unit::Inch));
        let entry = covered(&audit, 3, Dimension::Length);
        assert_eq!(entry.bin, bin, "{}", entry.by);
        // A part drawing is not another part.
        assert!(audit.findings.iter().all(|f| f.kind == FindingKind::Size));
    }
}

#[test]
fn joints_hidden_without_a_sign_are_not_called_wrong() {
    let text = "\
B36,Side,2,34 1/2,23 1/4,3/4
B36,Bottom,1,34 1/2,23,3/4
B36,Fixed shelf,1,34 1/2,22 1/2,3/4
B36,Stretcher,2,34,4,3/4
";
    let mut cabinet = base("B36", 36.0, 34.5);
    cabinet.parts.retain(|part| {
        matches!(
            part.role,
            Role::Side | Role::Bottom | Role::AdjustableShelf | Role::Stretcher
        )
    });
    let shelf = part(&mut cabinet, Role::AdjustableShelf);
    shelf.role = Role::FixedShelf;
    for role in [Role::Bottom, Role::FixedShelf] {
        let span = part(&mut cabinet, role).across.as_mut().unwrap();
        span.lo.at = 25.4;
        span.hi.at = 35.0 * 25.4;
    }
    let make = |text: &str, shows_hidden: bool| {
        let mut job = job(vec![cabinet.clone()], text, Unit::Inch);
        let mut view = super::causes::lying_view("36", 914.4);
        view.shows_hidden = shows_hidden;
        job.views.views = vec![view];
        job
    };
    // No hidden edge anywhere: both rows 1/2 longer than drawn, as grooves make them.
    let audit = run(&make(text, false));
    assert!(audit.findings.is_empty());
    assert_eq!(covered(&audit, 3, Dimension::Length).bin, Bin::Unchecked);
    assert_eq!(covered(&audit, 4, Dimension::Length).bin, Bin::Unchecked);
    // Hidden edges are drawn and show none: both are wrong.
    let audit = run(&make(text, true));
    assert_eq!(covered(&audit, 3, Dimension::Length).bin, Bin::Disagrees);
    // One alone is no custom.
    let audit = run(&make(&with(text, 2, 3, "34"), false));
    assert_eq!(covered(&audit, 3, Dimension::Length).bin, Bin::Disagrees);
    // The joint that another cabinet's boards are listed with is one.
    let elsewhere = |top: &str| {
        let more = format!("B24,Bottom,1,23,23,3/4\nB24,Top,1,{top},23,3/4\n");
        let audit = run(&make(&(with(text, 2, 3, "34") + &more), false));
        covered(&audit, 3, Dimension::Length).bin
    };
    assert_eq!(elsewhere("22 1/2"), Bin::Unchecked);
    assert_eq!(elsewhere("22 1/4"), Bin::Disagrees);
    // Too much for a joint.
    let audit = run(&make(&with(&with(text, 2, 3, "35"), 1, 3, "35"), false));
    assert_eq!(covered(&audit, 3, Dimension::Length).bin, Bin::Disagrees);
}

#[test]
fn stock_may_be_listed_by_its_name() {
    let text = WALL_LIST.replace(",18\n", ",19.05\n");
    let audit = run(&wall_job(&text));
    assert!(audit.findings.is_empty());
    assert!(
        covered(&audit, 2, Dimension::Thickness)
            .by
            .contains("sold by")
    );
    let audit = run(&wall_job(&with(WALL_LIST, 0, 5, "16")));
    assert_eq!(audit.findings.len(), 1);
}

#[test]
fn cabinets_without_drawing_or_list_are_said_once_each() {
    let text = format!("{BASE_LIST}B40,Side,2,34 1/2,23 1/4,3/4\nB40,Bottom,1,30,23,3/4\n");
    let mut job = base_job(&text);
    job.cabinets.push(drawers("D18"));
    let audit = run(&job);
    let kinds: Vec<_> = audit
        .findings
        .iter()
        .map(|f| (f.kind, f.cabinet.clone().unwrap()))
        .collect();
    assert_eq!(
        kinds,
        [
            (FindingKind::MissingPart, "D18".to_owned()),
            (FindingKind::Input, "B40".to_owned())
        ]
    );
    assert_eq!(covered(&audit, 12, Dimension::Length).bin, Bin::Unchecked);
}

#[test]
fn names_are_the_same_whatever_their_case_and_dashes() {
    let audit = run(&base_job(&BASE_LIST.replace("B36", "b-36")));
    assert!(audit.findings.is_empty());
}

#[test]
fn two_cabinets_of_one_name_are_checked_against_neither() {
    let mut job = base_job(BASE_LIST);
    job.cabinets.push(base("B36", 30.0, 34.5));
    let audit = run(&job);
    assert_eq!(audit.findings.len(), 1);
    assert_eq!(audit.findings[0].kind, FindingKind::Drawing);
    assert!(
        audit
            .coverage
            .iter()
            .all(|entry| entry.bin == Bin::Unchecked)
    );
}

/// Lines of two drawings of one cabinet never meet to the last digit; by a saw blade or a
/// board they are two cabinets. Common practice, no source.
#[test]
fn a_cabinet_drawn_twice_is_one_where_only_noise_differs() {
    for (off, alike) in [
        (0.0, true),
        (1e-9, true),
        (0.04, true),
        (-0.04, true),
        (0.1, false),
        (3.2, false),
        (-19.0, false),
    ] {
        for place in 0..3 {
            let mut again = base("B36", 36.0, 34.5);
            let parts = again.parts.len();
            let size = match place {
                0 => &mut again.overall.width,
                1 => &mut again.interior.height,
                _ => &mut again.overall.depth,
            };
            let Measured::Known(size) = size else {
                panic!("not measured")
            };
            size.span.hi.at += off;
            // A board of another height, or all boards in another order.
            if place == 2 {
                size.span.hi.at -= off;
                if let Some(high) = &mut again.parts[parts / 2].high {
                    high.lo.at -= off;
                }
                again.parts.reverse();
            }
            let mut job = base_job(BASE_LIST);
            job.cabinets.push(again);
            let audit = run(&job);
            assert_eq!(audit.findings.len(), 1, "{off} {place}");
            assert_eq!(audit.findings[0].kind, FindingKind::Drawing);
            let bin = if alike { Bin::Agrees } else { Bin::Unchecked };
            let all = audit.coverage.iter().all(|entry| entry.bin == bin);
            assert!(all, "{off} {place}");
        }
    }
}

/// Of what is drawn in one of two places only, nobody knows whether they are alike.
#[test]
fn a_cabinet_drawn_again_with_less_of_it_may_be_another() {
    for place in 0..3 {
        let mut again = base("B36", 36.0, 34.5);
        let unknown = Measured::Unknown {
            reason: "no end view".to_owned(),
        };
        match place {
            0 => again.overall.depth = unknown,
            1 => again.interior.depth = unknown,
            _ => part(&mut again, Role::Bottom).deep = None,
        }
        let mut job = base_job(BASE_LIST);
        job.cabinets.push(again);
        let audit = run(&job);
        let open = |entry: &Covered| entry.bin == Bin::Unchecked;
        assert!(audit.coverage.iter().all(open), "{place}");
    }
}

#[test]
fn unread_cells_and_unknown_parts_are_not_checked() {
    let mut job = base_job(&format!("{BASE_LIST}B36,Whatnot,1,3,4,5\n"));
    job.lists[0].rows[0].sizes.remove(0);
    job.lists[0].problems.push(Problem {
        source: RowSource {
            file: "list.csv".into(),
            sheet: None,
            line: 2,
        },
        column: Some(4),
        text: "3-?4".to_owned(),
        message: "'3-?4' is no size".to_owned(),
        advice: "write it as 34 1/2".to_owned(),
        dimension: Some(Dimension::Length),
    });
    let audit = run(&job);
    assert_eq!(audit.findings.len(), 1);
    assert_eq!(audit.findings[0].kind, FindingKind::Input);
    assert_eq!(audit.outcome, Outcome::Unchecked);
    let entry = covered(&audit, 2, Dimension::Length);
    assert_eq!(entry.bin, Bin::Unchecked);
    assert_eq!(entry.size.text, "3-?4");
    for dimension in [Dimension::Length, Dimension::Quantity] {
        assert_eq!(covered(&audit, 12, dimension).bin, Bin::Unchecked);
    }
}

#[test]
fn nothing_to_compare_is_unusable() {
    let audit = run(&job(Vec::new(), BASE_LIST, Unit::Inch));
    assert_eq!(audit.outcome, Outcome::Unusable);
    assert_eq!(audit.findings.len(), 1);
    let audit = run(&job(vec![base("B36", 36.0, 34.5)], "", Unit::Inch));
    assert_eq!(audit.outcome, Outcome::Unusable);
}

#[test]
fn finished_and_cut_sizes_side_by_side_are_both_checked() {
    let mut job = wall_job(WALL_LIST);
    let row = &mut job.lists[0].rows[5];
    row.band = Some(band((2, 2), Some(2.0)));
    let mut cut = row.sizes.clone();
    for (cell, (text, mm)) in cut.iter_mut().zip([("713", 713.0), ("293", 293.0)]) {
        cell.text = text.to_owned();
        cell.value = crate::length::Length::from_mm(mm).unwrap();
        cell.column += 10;
    }
    cut.truncate(2);
    row.cut_sizes = cut;
    let audit = run(&job);
    assert!(audit.findings.is_empty());
    assert_eq!(audit.coverage.len(), 6 * 4 + 2);
    assert_eq!(audit.outcome, Outcome::Agrees);
    job.lists[0].rows[5].cut_sizes[0].value = crate::length::Length::from_mm(717.0).unwrap();
    let audit = run(&job);
    assert_eq!(audit.findings.len(), 1);
    assert_eq!(audit.findings[0].row.as_ref().unwrap().column, 14);
}

#[test]
fn parts_that_make_no_whole_drawers_are_found_on_the_odd_row() {
    let boxes = "\
D18,Drawer box front,3,13 3/8,4,1/2
D18,Drawer box back,3,13 3/8,4,1/2
D18,Drawer box bottom,3,13 7/8,20 1/2,1/4
";
    let audit = run(&drawers_job(&format!("{DRAWERS_LIST}{boxes}")));
    assert!(audit.findings.is_empty());
    let audit = run(&drawers_job(&format!(
        "{DRAWERS_LIST}{}",
        with(boxes, 2, 2, "2")
    )));
    assert_eq!(audit.findings.len(), 1);
    let finding = &audit.findings[0];
    assert_eq!(finding.kind, FindingKind::Quantity);
    assert_eq!(at(finding), Some((15, Dimension::Quantity)));
    assert!(finding.also.is_empty());
    assert_eq!(covered(&audit, 15, Dimension::Quantity).bin, Bin::Disagrees);
}

#[test]
fn cautions_are_given_once_each() {
    let audit = run(&base_job(BASE_LIST));
    let mut topics: Vec<_> = audit.cautions.iter().map(|caution| caution.topic).collect();
    assert!(topics.contains(&"scope"));
    let count = topics.len();
    topics.sort_unstable();
    topics.dedup();
    assert_eq!(topics.len(), count);
}

#[test]
fn a_part_that_is_like_its_row_in_nothing_is_not_called_wrong() {
    // The bottom of a drawer taken for the cabinet's.
    let mut cabinet = base("B36", 36.0, 34.5);
    let bottom = part(&mut cabinet, Role::Bottom);
    bottom.across.as_mut().unwrap().hi.at -= 3.0 * 25.4;
    bottom.deep.as_mut().unwrap().hi.at -= 1.5 * 25.4;
    bottom.high.as_mut().unwrap().hi.at -= 0.5 * 25.4;
    let audit = run(&job(vec![cabinet.clone()], BASE_LIST, Unit::Inch));
    assert!(audit.findings.is_empty());
    let entry = covered(&audit, 3, Dimension::Length);
    assert_eq!(entry.bin, Bin::Unchecked);
    assert!(entry.by.contains("none of the row's sizes"));
    // One size that fits is enough to know the part by.
    let text = with(BASE_LIST, 1, 5, "1/4");
    let audit = run(&job(vec![cabinet], &text, Unit::Inch));
    assert_eq!(covered(&audit, 3, Dimension::Length).bin, Bin::Disagrees);
}

#[test]
fn parts_that_may_stand_one_behind_the_other_are_not_counted_short() {
    let mut cabinet = base("B36", 36.0, 34.5);
    let at = cabinet
        .parts
        .iter()
        .position(|part| part.name == "back stretcher")
        .unwrap();
    cabinet.parts.remove(at);
    // Seen whole, one of two is missing.
    let audit = run(&job(vec![cabinet.clone()], BASE_LIST, Unit::Inch));
    assert_eq!(covered(&audit, 4, Dimension::Quantity).bin, Bin::Disagrees);
    // Seen from the front only, the other may stand behind it.
    part(&mut cabinet, Role::Stretcher).deep = None;
    let audit = run(&job(vec![cabinet], BASE_LIST, Unit::Inch));
    assert!(audit.findings.is_empty());
    let entry = covered(&audit, 4, Dimension::Quantity);
    assert_eq!(entry.bin, Bin::Unchecked);
    assert!(entry.by.contains("from front to back"));
}

#[test]
fn parts_drawn_in_two_places_are_not_counted_twice() {
    let mut cabinet = base("B36", 36.0, 34.5);
    let sides = cabinet.parts.iter().filter(|part| part.role == Role::Side);
    let again: Vec<DrawnPart> = sides.cloned().collect();
    cabinet.parts.extend(again);
    let audit = run(&job(vec![cabinet.clone()], BASE_LIST, Unit::Inch));
    assert_eq!(covered(&audit, 2, Dimension::Quantity).bin, Bin::Disagrees);
    cabinet.uncounted.push(Uncounted {
        role: Role::Side,
        why: "its views draw it in different places".to_owned(),
        or_fewer: true,
    });
    let audit = run(&job(vec![cabinet], BASE_LIST, Unit::Inch));
    let entry = covered(&audit, 2, Dimension::Quantity);
    assert_eq!(entry.bin, Bin::Unchecked);
    assert!(entry.by.contains("different places"));
}

#[test]
fn a_sliver_of_no_listed_stock_is_said_and_not_called_missing() {
    let mut cabinet = base("B36", 36.0, 34.5);
    let mut sliver = part(&mut cabinet, Role::AdjustableShelf).clone();
    sliver.role = Role::Divider;
    sliver.name = "divider".to_owned();
    let across = sliver.across.as_mut().unwrap();
    across.hi.at = across.lo.at + 9.5;
    cabinet.parts.push(sliver.clone());
    let text = format!("{BASE_LIST}B30,Divider,1,20,20,3/4\n");
    let audit = run(&job(vec![cabinet.clone()], &text, Unit::Inch));
    assert!(
        audit
            .findings
            .iter()
            .all(|f| f.kind != FindingKind::MissingPart)
    );
    assert!(
        audit
            .unchecked
            .iter()
            .any(|note| note.contains("1 divider"))
    );
    // As thick as listed stock, it is a part somebody forgot.
    let last = cabinet.parts.last_mut().unwrap();
    let across = last.across.as_mut().unwrap();
    across.hi.at = across.lo.at + 19.05;
    let audit = run(&job(vec![cabinet], &text, Unit::Inch));
    assert!(
        audit
            .findings
            .iter()
            .any(|f| f.kind == FindingKind::MissingPart)
    );
}

#[test]
fn a_dimension_that_lies_is_a_finding_and_a_rounded_one_is_not() {
    for (text, drawn_mm, lies) in [
        ("35 1/2", 914.4, true),
        ("36", 914.4, false),
        ("914.4", 914.4, false),
        ("914", 914.4, false),
        ("36 1/16", 914.4, true),
        // Rounded to 1/16 in, as it is written: 18 mm is 11/16.
        ("11/16", 18.0, false),
        ("36 TYP", 914.4, false),
    ] {
        let mut job = base_job(BASE_LIST);
        job.views.views = vec![super::causes::lying_view(text, drawn_mm)];
        let audit = run(&job);
        let kinds: Vec<_> = audit.findings.iter().map(|f| f.kind).collect();
        let expected: &[FindingKind] = if lies { &[FindingKind::Drawing] } else { &[] };
        assert_eq!(kinds, expected, "{text}");
    }
}

#[test]
fn a_frame_seen_from_the_front_only_is_not_turned_on_edge() {
    let mut cabinet = base("B36", 36.0, 34.5);
    for part in &mut cabinet.parts {
        if matches!(part.role, Role::Stile | Role::Rail) {
            part.deep = None;
        }
    }
    let audit = run(&job(vec![cabinet], BASE_LIST, Unit::Inch));
    assert!(audit.findings.is_empty());
    for line in [8, 9] {
        assert_eq!(covered(&audit, line, Dimension::Width).bin, Bin::Agrees);
        // By the overall depth less the case's.
        let thickness = covered(&audit, line, Dimension::Thickness);
        assert!(!thickness.by.starts_with("drawn"), "{}", thickness.by);
    }
}

#[test]
fn a_stretcher_on_edge_is_known_by_what_is_drawn() {
    let mut cabinet = base("B36", 36.0, 34.5);
    for part in &mut cabinet.parts {
        if part.role == Role::Stretcher {
            let deep = part.deep.as_mut().unwrap();
            deep.hi.at = deep.lo.at + 19.05;
            let high = part.high.as_mut().unwrap();
            high.lo.at = high.hi.at - 4.0 * 25.4;
            part.across = None;
        }
    }
    let audit = run(&job(vec![cabinet], BASE_LIST, Unit::Inch));
    assert!(audit.findings.is_empty());
    assert_eq!(covered(&audit, 4, Dimension::Width).bin, Bin::Agrees);
    assert_eq!(covered(&audit, 4, Dimension::Thickness).bin, Bin::Agrees);
}

#[test]
fn what_stands_before_a_part_may_hide_any_rest_of_it() {
    // A shelf seen through the gap between two doors.
    let mut cabinet = base("B36", 36.0, 34.5);
    let span = part(&mut cabinet, Role::AdjustableShelf)
        .across
        .as_mut()
        .unwrap();
    span.lo.at = 17.9375 * 25.4;
    span.hi.at = 18.0625 * 25.4;
    span.lo.occluded = true;
    span.hi.occluded = true;
    let audit = run(&job(vec![cabinet], BASE_LIST, Unit::Inch));
    assert!(audit.findings.is_empty());
    assert_eq!(covered(&audit, 6, Dimension::Length).bin, Bin::Unchecked);
}

#[test]
fn a_back_of_boards_is_not_called_wrong() {
    // Nine boards 4 in wide cover a back 34 3/4 in wide, tongues and all.
    let text = with(BASE_LIST, 3, 2, "9");
    let boards = with(&text, 3, 4, "4");
    let audit = run(&base_job(&boards));
    assert!(audit.findings.is_empty());
    let width = covered(&audit, 5, Dimension::Width);
    assert_eq!(width.bin, Bin::Unchecked);
    assert!(width.by.contains("9 boards of 4 in"), "{}", width.by);
    assert_eq!(covered(&audit, 5, Dimension::Length).bin, Bin::Agrees);
    // Nine of 2 in do not.
    let audit = run(&base_job(&with(&text, 3, 4, "2")));
    assert!(!audit.findings.is_empty());
}

#[test]
fn shelves_may_be_top_and_bottom_where_all_are_alike() {
    let mut cabinet = wall("W60");
    cabinet
        .parts
        .retain(|part| part.role != Role::AdjustableShelf);
    let mut shelf = cabinet
        .parts
        .iter()
        .find(|part| part.role == Role::Bottom)
        .unwrap()
        .clone();
    shelf.role = Role::AdjustableShelf;
    cabinet.parts.push(shelf);
    let list = |count: u32| {
        let text =
            format!("W60,Side,2,720,320,18\nW60,Shelf,{count},564,320,18\nW60,Back,1,698,578,8\n");
        run(&job(vec![cabinet.clone()], &text, Unit::Millimetre))
    };
    assert!(list(3).findings.is_empty());
    let audit = list(2);
    assert_eq!(audit.findings.len(), 1);
    assert_eq!(audit.findings[0].counts, Some((3, 2)));
}

#[test]
fn parts_of_a_kind_the_list_has_too_few_of_are_said() {
    // A list of backs and shelves may be one of several; that no row has the sides is said.
    let text = "W60,Back,1,698,578,8\nW60,Shelf,2,562,280,18\n";
    let audit = run(&wall_job(text));
    assert!(audit.findings.is_empty());
    assert_eq!(audit.outcome, Outcome::Unchecked);
    assert!(audit.unchecked.iter().any(|note| note.contains("2 sides")));
    // A list of doors alone is an order of doors.
    let audit = run(&wall_job("W60,Door,2,717,297,19\n"));
    assert_eq!(audit.outcome, Outcome::Agrees);
}

#[test]
fn a_row_one_too_many_is_blamed_for_nothing_else() {
    let text = format!("{BASE_LIST}B36,Stretcher,2,34,4,3/4\n");
    let audit = run(&base_job(&text));
    assert_eq!(audit.findings.len(), 1);
    assert_eq!(audit.findings[0].kind, FindingKind::ExtraPart);
}
