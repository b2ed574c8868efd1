//! One mistake, one finding: across rows, across cabinets, and no further.

use super::rounded::written;
use crate::audit::trial::*;
use crate::audit::{Bin, CauseKind, FindingKind, Job};
use crate::cabinet::MeasuredCabinet;
use crate::cutlist::Per;
use crate::length::Unit;
use crate::trade::{Dimension, Role};

pub(super) fn list_for(id: &str, width: f64) -> String {
    let sixteenths = |inches: f64| written((inches * 16.0).round() as i64);
    let [bottom, between, back, shelf, toe, rail, front, door] = [
        width - 1.5,
        width - 2.0,
        width - 1.25,
        width - 2.125,
        width - 0.5,
        width - 3.0,
        width - 2.0,
        (width - 2.125) / 2.0,
    ]
    .map(sixteenths);
    format!(
        "\
{id},Side,2,34 1/2,23 1/4,3/4
{id},Bottom,1,{bottom},23,3/4
{id},Stretcher,2,{between},4,3/4
{id},Back,1,29 3/4,{back},1/4
{id},Shelf,1,{shelf},22 1/2,3/4
{id},Toe kick,1,{toe},4,1/4
{id},Stile,2,30 1/2,1 1/2,3/4
{id},Rail,3,{rail},1 1/2,3/4
{id},Drawer front,1,{front},6,3/4
{id},Door,2,22,{door},3/4
"
    )
}

fn three() -> Vec<MeasuredCabinet> {
    vec![
        base("B1", 36.0, 34.5),
        base("B2", 24.0, 34.5),
        base("B3", 30.0, 34.5),
    ]
}

fn three_lists() -> String {
    [("B1", 36.0), ("B2", 24.0), ("B3", 30.0)]
        .iter()
        .map(|(id, width)| list_for(id, *width))
        .collect()
}

#[test]
fn the_made_lists_are_right() {
    assert_eq!(list_for("B36", 36.0), BASE_LIST);
    assert!(
        run(&job(three(), &three_lists(), Unit::Inch))
            .findings
            .is_empty()
    );
}

#[test]
fn two_cabinets_with_one_anothers_figures_are_one_finding() {
    let text = three_lists()
        .replace("B1,", "X,")
        .replace("B2,", "B1,")
        .replace("X,", "B2,");
    let audit = run(&job(three(), &text, Unit::Inch));
    assert_eq!(audit.findings.len(), 1);
    let finding = &audit.findings[0];
    assert_eq!(finding.cabinets, ["B1", "B2"]);
    assert_eq!(finding.causes[0].kind, CauseKind::OtherCabinet);
    assert!(finding.causes[0].sentence.contains("B1 and B2 are swapped"));
    // Eight widths in each.
    assert_eq!(finding.also.len() + 1, 16);
    assert_eq!(finding.causes[0].explains, 16);
}

#[test]
fn one_cabinet_with_the_figures_of_another_is_one_finding() {
    let text = format!(
        "{}{}{}",
        list_for("B1", 36.0),
        list_for("B2", 36.0),
        list_for("B3", 30.0)
    );
    let audit = run(&job(three(), &text, Unit::Inch));
    assert_eq!(audit.findings.len(), 1);
    let finding = &audit.findings[0];
    assert_eq!(finding.cabinets, ["B2"]);
    assert_eq!(finding.causes[0].kind, CauseKind::OtherCabinet);
    assert!(finding.causes[0].sentence.contains("B1"));
}

#[test]
fn a_row_for_several_cabinets_is_wrong_once() {
    let two = vec![base("B1", 36.0, 34.5), base("B2", 36.0, 34.5)];
    let text = with(&list_for("B1+B2", 36.0), 1, 3, "34 7/16");
    let audit = run(&job(two, &text, Unit::Inch));
    assert_eq!(audit.findings.len(), 1);
    let finding = &audit.findings[0];
    assert_eq!(at(finding), Some((3, Dimension::Length)));
    assert_eq!(finding.cabinets, ["B1", "B2"]);
    assert_eq!(finding.cabinet.as_deref(), Some("B1"));
    assert!(finding.also.is_empty());
    // The size stands in the coverage once.
    let entries = audit
        .coverage
        .iter()
        .filter(|entry| entry.size.row.line == 3 && entry.size.dimension == Dimension::Length);
    assert_eq!(entries.count(), 1);
}

#[test]
fn a_cabinet_drawn_once_for_two_names_is_checked_under_both() {
    let mut cabinet = base("B1", 36.0, 34.5);
    cabinet.same_as = vec!["B4".to_owned()];
    let text = format!(
        "{}{}",
        list_for("B1", 36.0),
        with(&list_for("B4", 36.0), 7, 3, "32 1/2")
    );
    let audit = run(&job(vec![cabinet], &text, Unit::Inch));
    assert_eq!(audit.findings.len(), 1);
    assert_eq!(audit.findings[0].cabinets, ["B4"]);
    assert_eq!(at(&audit.findings[0]), Some((19, Dimension::Length)));
}

#[test]
fn a_wrong_width_of_the_case_spoils_six_rows_and_is_one_finding() {
    // B2 is 24 wide; its case parts were worked out for 27, the frame's were not.
    let wrong = list_for("B2", 27.0);
    let text: String = list_for("B2", 24.0)
        .lines()
        .zip(wrong.lines())
        .enumerate()
        .map(|(at, (right, wrong))| format!("{}\n", if at < 6 { wrong } else { right }))
        .collect();
    let audit = run(&job(vec![base("B2", 24.0, 34.5)], &text, Unit::Inch));
    assert_eq!(audit.findings.len(), 1);
    let finding = &audit.findings[0];
    assert_eq!(finding.also.len() + 1, 5);
    assert!(
        finding
            .message
            .contains("27 in wide; it is drawn 24 in wide")
    );
    let built = &audit.cabinets[0].sizes[0];
    assert_eq!(built.name, "width");
    assert_eq!(built.drawn.unwrap().inches(), 24.0);
    assert_eq!(built.listed.unwrap().inches(), 27.0);
}

#[test]
fn two_mistakes_are_two_findings() {
    let text = with(&with(&three_lists(), 0, 3, "31"), 21, 3, "27");
    let audit = run(&job(three(), &text, Unit::Inch));
    let found: Vec<_> = audit.findings.iter().map(at).collect();
    assert_eq!(
        found,
        [Some((2, Dimension::Length)), Some((23, Dimension::Length))]
    );
}

#[test]
fn an_overlay_left_out_in_every_cabinet_is_one_finding() {
    // Fronts listed as their openings are, doors in height only.
    let text: String = three_lists()
        .lines()
        .map(|line| {
            let line = line
                .replace("Drawer front,1,34,6", "Drawer front,1,33,5")
                .replace("Drawer front,1,22,6", "Drawer front,1,21,5")
                .replace("Drawer front,1,28,6", "Drawer front,1,27,5")
                .replace("Door,2,22,", "Door,2,21,");
            format!("{line}\n")
        })
        .collect();
    let audit = run(&job(three(), &text, Unit::Inch));
    assert_eq!(audit.findings.len(), 1);
    assert_eq!(audit.findings[0].cabinets, ["B1", "B2", "B3"]);
    let kinds: Vec<_> = audit.findings[0].causes.iter().map(|c| c.kind).collect();
    assert!(kinds.contains(&CauseKind::FrontAllowance));
    assert_eq!(kinds[0], CauseKind::OtherDistance);
    assert_eq!(audit.findings[0].also.len() + 1, 9);
}

#[test]
fn rows_without_a_cabinet_stand_for_the_whole_job() {
    // Identical parts of two cabinets listed together, as an optimised order does.
    let two = || vec![base("B1", 36.0, 34.5), base("B2", 36.0, 34.5)];
    let text: String = list_for("", 36.0)
        .lines()
        .map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            let count: u32 = cells[2].parse().unwrap();
            format!(
                ",{},{},{},{},{}\n",
                cells[1],
                count * 2,
                cells[3],
                cells[4],
                cells[5]
            )
        })
        .collect();
    let whole = |text: &str| -> Job {
        let mut job = job(two(), text, Unit::Inch);
        for row in &mut job.lists[0].rows {
            row.quantity.per = Per::Job;
        }
        job
    };
    let audit = run(&whole(&text));
    assert!(audit.findings.is_empty());
    assert!(audit.coverage.iter().all(|entry| entry.bin == Bin::Agrees));
    let audit = run(&whole(&with(&text, 0, 2, "3")));
    assert_eq!(audit.findings.len(), 1);
    assert_eq!(audit.findings[0].counts, Some((4, 3)));
    let audit = run(&whole(&with(&text, 0, 3, "34 1/4")));
    assert_eq!(audit.findings.len(), 1);
    assert_eq!(at(&audit.findings[0]), Some((2, Dimension::Length)));
}

#[test]
fn identical_parts_are_interchangeable_and_the_fewest_changes_win() {
    // Three shelves: two of one size, one of another; the list has the odd one wrong.
    let mut cabinet = base("B36", 36.0, 34.5);
    let shelf = cabinet
        .parts
        .iter()
        .find(|part| part.role == Role::AdjustableShelf)
        .unwrap()
        .clone();
    let mut second = shelf.clone();
    second.name = "second shelf".to_owned();
    let mut half = shelf.clone();
    half.name = "half shelf".to_owned();
    half.deep.as_mut().unwrap().hi.at -= 8.0 * 25.4;
    cabinet.parts.extend([second, half]);
    let text = BASE_LIST.replace(
        "B36,Shelf,1,33 7/8,22 1/2,3/4",
        "B36,Shelf,1,33 7/8,15,3/4\nB36,Shelf,2,33 7/8,22 1/2,3/4",
    );
    let audit = run(&job(vec![cabinet], &text, Unit::Inch));
    assert_eq!(audit.findings.len(), 1);
    let finding = &audit.findings[0];
    assert_eq!(at(finding), Some((6, Dimension::Width)));
    assert_eq!(finding.drawn.unwrap().inches(), 14.5);
}

#[test]
fn a_part_too_many_is_extra_when_none_is_left() {
    let text = format!("{BASE_LIST}B36,Mid-stile,1,21,1 1/2,3/4\n");
    let audit = run(&base_job(&text));
    assert_eq!(audit.findings.len(), 1);
    assert_eq!(audit.findings[0].kind, FindingKind::ExtraPart);
    assert_eq!(audit.findings[0].counts, Some((0, 1)));
}

#[test]
fn the_row_that_one_change_puts_right_is_named() {
    // The single front of 6 in listed like the pair of 10 3/4 in: changing the pair's
    // row would not help.
    let text = with(DRAWERS_LIST, 7, 4, "10 3/4");
    let audit = run(&drawers_job(&text));
    assert_eq!(audit.findings.len(), 1);
    assert_eq!(at(&audit.findings[0]), Some((9, Dimension::Width)));
}

#[test]
fn several_cabinets_wrong_in_the_same_way_are_all_reported() {
    let cabinets = || {
        vec![
            base("B1", 36.0, 34.5),
            base("B2", 36.0, 34.5),
            base("B3", 36.0, 34.5),
        ]
    };
    let wrong = with(BASE_LIST, 0, 3, "31");
    let text: String = ["B1", "B2", "B3"]
        .iter()
        .map(|name| wrong.replace("B36", name))
        .collect();
    let audit = run(&job(cabinets(), &text, Unit::Inch));
    let mut named: Vec<usize> = audit
        .findings
        .iter()
        .flat_map(|finding| finding.row.iter().chain(&finding.also))
        .map(|size| size.row.line)
        .collect();
    named.sort_unstable();
    assert_eq!(named, [2, 12, 22]);
}

/// So many that pairs which fit are settled before the rest is worked out together.
#[test]
fn rows_for_hundreds_of_parts_are_shared_out_by_their_sizes() {
    let cabinets = || -> Vec<MeasuredCabinet> {
        (0..130)
            .map(|at| {
                let height = if at % 2 == 0 { 34.5 } else { 30.0 };
                let mut cabinet = base(&format!("B{at}"), 36.0, height);
                cabinet.parts.retain(|part| part.role == Role::Side);
                cabinet
            })
            .collect()
    };
    let check = |counts: [u32; 2]| {
        let [high, low] = counts;
        let text = format!(",Side,{high},34 1/2,23 1/4,3/4\n,Side,{low},30,23 1/4,3/4\n");
        let mut job = job(cabinets(), &text, Unit::Inch);
        for row in &mut job.lists[0].rows {
            row.quantity.per = Per::Job;
        }
        let audit = run(&job);
        let bins: Vec<Bin> = audit.coverage.iter().map(|entry| entry.bin).collect();
        bins
    };
    assert!(check([130, 130]).iter().all(|bin| *bin == Bin::Agrees));
    // One of 130 is too many, and nothing else is off.
    let bins = check([131, 130]);
    assert_eq!(bins.iter().filter(|bin| **bin == Bin::Disagrees).count(), 1);
    assert_eq!(bins.iter().filter(|bin| **bin == Bin::Agrees).count(), 7);
}
