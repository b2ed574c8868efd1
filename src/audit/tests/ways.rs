//! Each way a figure can be off, over and under, in one view or the other: what is said of
//! it, and what is not. Every figure follows from the drawn sizes by the sums beside it.

use crate::audit::trial::*;
use crate::audit::{Audit, Bin, CauseKind, FindingKind};
use crate::cabinet::{Conflict, MeasuredCabinet};
use crate::construction::JobFile;
use crate::cutlist::Per;
use crate::length::{Length, Unit};
use crate::trade::{Axis, Dimension, Role};

/// What is given as cause of a kind for one size.
fn said(audit: &Audit, line: usize, dimension: Dimension, kind: CauseKind) -> Vec<String> {
    let of = |finding: &&crate::audit::Finding| at(finding) == Some((line, dimension));
    let causes = audit.findings.iter().find(of).map(|found| &found.causes);
    let all = causes.into_iter().flatten();
    all.filter(|cause| cause.kind == kind)
        .map(|cause| cause.sentence.clone())
        .collect()
}

/// The door of the wall unit is 717 high, 713 before 2 mm of band on both ends.
#[test]
fn edge_band_is_left_on_or_taken_off_twice_at_one_edge_or_both() {
    for (listed, words) in [
        ("717", Some("over by 4 mm of edge band: a finished size")),
        ("715", Some("over by 2 mm of edge band: a finished size")),
        (
            "709",
            Some("short by 4 mm of edge band: taken off once too often"),
        ),
        (
            "711",
            Some("short by 2 mm of edge band: taken off once too often"),
        ),
        ("716", None),
        ("719", None),
        ("705", None),
    ] {
        let job = cut_door_job(listed, "293");
        let found = said(&run(&job), 7, Dimension::Length, CauseKind::EdgeBand);
        match words {
            Some(words) => assert!(found.len() == 1 && found[0].contains(words), "{found:?}"),
            None => assert!(found.is_empty(), "{listed}: {found:?}"),
        }
    }
}

/// A stile is 30 1/2 in high, and a saw takes 1/8 in.
#[test]
fn the_saws_kerf_is_left_off_or_put_on() {
    for (listed, words) in [
        ("30 3/8", Some("short by 1/8 in of saw kerf")),
        ("30 5/8", Some("over by 1/8 in of saw kerf")),
        ("30 1/4", None),
        ("30 3/4", None),
    ] {
        let mut job = base_job(&with(BASE_LIST, 6, 3, listed));
        let rules = JobFile::parse("[sizes]\nsaw.kerf = \"1/8 in\"\n", "dryfit.toml");
        job.rules = rules.unwrap().rules;
        let found = said(&run(&job), 8, Dimension::Length, CauseKind::Allowance);
        match words {
            Some(words) => assert!(found.len() == 1 && found[0].contains(words), "{found:?}"),
            None => assert!(found.is_empty(), "{listed}: {found:?}"),
        }
    }
}

/// The height is drawn 34 1/2 in one view and 35 1/8 in another, 5/8 in apart.
#[test]
fn views_that_differ_excuse_what_is_off_by_as_much_either_way_and_nothing_else() {
    for (axis, listed, bin) in [
        (Axis::High, "35 1/8", Bin::Unchecked),
        (Axis::High, "33 7/8", Bin::Unchecked),
        (Axis::High, "35 1/4", Bin::Disagrees),
        (Axis::High, "33 3/4", Bin::Disagrees),
        (Axis::High, "34 1/4", Bin::Disagrees),
        (Axis::Across, "35 1/8", Bin::Disagrees),
        (Axis::Across, "33 7/8", Bin::Disagrees),
    ] {
        for turned in [false, true] {
            let mut distances_mm = [876.3, 892.175];
            if turned {
                distances_mm.reverse();
            }
            let mut job = base_job(&with(BASE_LIST, 0, 3, listed));
            job.cabinets[0].conflicts.push(Conflict {
                sentence: "two views of B36 differ".to_owned(),
                axis: Some(axis),
                view: 0,
                distances_mm,
                lines: Vec::new(),
            });
            assert_eq!(run(&job).coverage[0].bin, bin, "{axis:?} {listed} {turned}");
        }
    }
}

/// A part is said to follow from a wrongly written size only when it lies within it.
#[test]
fn a_text_on_a_smaller_size_misleads_about_nothing_larger() {
    for (drawn, typed, told) in [
        (876.3, "35 1/8", true),
        // 20 in is less than the stile's 30 1/2 in.
        (508.0, "20 5/8", false),
    ] {
        let mut job = base_job(&with(BASE_LIST, 6, 3, "31 1/8"));
        let mut view = super::causes::lying_view(typed, drawn);
        view.dimensions[0].to.y = drawn;
        job.views.views = vec![view];
        let found = said(&run(&job), 8, Dimension::Length, CauseKind::TypedText);
        assert_eq!(!found.is_empty(), told, "{typed}: {found:?}");
    }
}

/// Two of B1+B2's four sides each are drawn.
#[test]
fn a_quantity_is_of_another_basis_only_when_it_is_the_right_one_for_that() {
    for (per, count, told) in [
        (Per::Cabinet, 4, true),
        (Per::Cabinet, 3, false),
        (Per::Cabinet, 1, false),
        (Per::Cabinet, 8, false),
        (Per::Job, 2, true),
        (Per::Job, 1, false),
        (Per::Job, 3, false),
        (Per::Job, 8, false),
    ] {
        let text =
            BASE_LIST
                .replace("B36", "B1+B2")
                .replacen("Side,2", &format!("Side,{count}"), 1);
        let two = vec![base("B1", 36.0, 34.5), base("B2", 36.0, 34.5)];
        let mut job = job(two, &text, Unit::Inch);
        job.lists[0].rows[0].quantity.per = per;
        let audit = run(&job);
        assert_eq!(audit.findings.len(), 1);
        let found = said(&audit, 2, Dimension::Quantity, CauseKind::QuantityBasis);
        assert_eq!(!found.is_empty(), told, "{per:?} {count}");
    }
}

/// The job file makes both bottoms 34 in; each is drawn 1/2 in longer.
#[test]
fn a_rule_is_contradicted_once_for_all_cabinets_it_misses_by_as_much() {
    let rules = "[relations]\nbottom.across = \"interior.width\"\n";
    let text = BASE_LIST.to_owned() + &BASE_LIST.replace("B36,", "B37,");
    let mut job = job(
        vec![base("B36", 36.0, 34.5), base("B37", 36.0, 34.5)],
        &text,
        Unit::Inch,
    );
    job.rules = JobFile::parse(rules, "dryfit.toml").unwrap().rules;
    let audit = run(&job);
    assert_eq!(audit.findings.len(), 1);
    let finding = &audit.findings[0];
    assert_eq!(finding.kind, FindingKind::Drawing);
    assert_eq!(finding.cabinets, ["B36", "B37"]);
    assert!(
        finding.message.ends_with("; the same in 1 other cabinet"),
        "{}",
        finding.message
    );
    assert_eq!(finding.drawn, Length::from_mm(34.5 * IN));
    assert_eq!(finding.difference, Length::from_mm(-0.5 * IN));
}

/// Cabinets with another number of shelves: 2 in B1, 1 in B2 and B3.
fn shelved() -> Vec<MeasuredCabinet> {
    let mut all = vec![
        base("B1", 36.0, 34.5),
        base("B2", 24.0, 34.5),
        base("B3", 30.0, 34.5),
    ];
    let is_shelf = |part: &&crate::cabinet::DrawnPart| part.role == Role::AdjustableShelf;
    let mut second = all[0].parts.iter().find(is_shelf).unwrap().clone();
    second.name = "shelf 2".to_owned();
    let high = second.high.as_mut().unwrap();
    high.lo.at += 5.0 * IN;
    high.hi.at += 5.0 * IN;
    all[0].parts.push(second);
    all
}

fn shelved_list(id: &str, width: f64, shelves: u32) -> String {
    super::groups::list_for(id, width).replace("Shelf,1", &format!("Shelf,{shelves}"))
}

#[test]
fn numbers_that_come_with_another_cabinets_rows_are_no_finding_of_their_own() {
    let right =
        shelved_list("B1", 36.0, 2) + &shelved_list("B2", 24.0, 1) + &shelved_list("B3", 30.0, 1);
    assert!(run(&job(shelved(), &right, Unit::Inch)).findings.is_empty());
    let quantities = |text: String| {
        let audit = run(&job(shelved(), &text, Unit::Inch));
        let of = |kind| audit.findings.iter().filter(|f| f.kind == kind).count();
        (of(FindingKind::Size), of(FindingKind::Quantity))
    };
    let list = |one: (f64, u32), two: (f64, u32)| {
        shelved_list("B1", one.0, one.1)
            + &shelved_list("B2", two.0, two.1)
            + &shelved_list("B3", 30.0, 1)
    };
    // Exchanged, each with the other's number of shelves, and with one of its own.
    assert_eq!(quantities(list((24.0, 1), (36.0, 2))), (1, 0));
    assert_eq!(quantities(list((24.0, 1), (36.0, 3))), (1, 1));
    assert_eq!(quantities(list((24.0, 3), (36.0, 2))), (1, 1));
    // A wrong number in a cabinet that is not exchanged.
    let odd = list((24.0, 1), (36.0, 2)).replace("B3,Shelf,1", "B3,Shelf,2");
    assert_eq!(quantities(odd), (1, 1));
}
