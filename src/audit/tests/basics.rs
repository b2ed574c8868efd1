//! Right lists are silent, wrong figures are found where they stand.

use crate::audit::trial::*;
use crate::audit::{Bin, CauseKind, FindingKind, Job, Outcome};
use crate::length::{Length, Notation, Unit};
use crate::trade::Dimension;

fn silent(job: &Job) {
    let audit = run(job);
    assert!(audit.findings.is_empty());
    for entry in &audit.coverage {
        assert_eq!(entry.bin, Bin::Agrees, "{entry:?}");
    }
    assert_eq!(audit.outcome, Outcome::Agrees);
}

#[test]
fn right_lists_are_silent_and_wholly_covered() {
    silent(&base_job(BASE_LIST));
    silent(&wall_job(WALL_LIST));
    silent(&drawers_job(DRAWERS_LIST));
    let audit = run(&base_job(BASE_LIST));
    // Ten rows, each with three sizes and a quantity.
    assert_eq!(audit.coverage.len(), 40);
}

#[test]
fn length_and_width_may_stand_in_either_order() {
    let swapped: String = BASE_LIST
        .lines()
        .map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            format!(
                "{},{},{},{},{},{}\n",
                cells[0], cells[1], cells[2], cells[4], cells[3], cells[5]
            )
        })
        .collect();
    silent(&base_job(&swapped));
}

#[test]
fn every_size_off_by_an_eighth_is_found_there_and_nowhere_else() {
    let lists = [
        (base_job as fn(&str) -> Job, BASE_LIST, Unit::Inch),
        (wall_job, WALL_LIST, Unit::Millimetre),
        (drawers_job, DRAWERS_LIST, Unit::Inch),
    ];
    for (job, text, unit) in lists {
        for (line, row) in text.lines().enumerate() {
            for (column, dimension) in [
                (3, Dimension::Length),
                (4, Dimension::Width),
                (5, Dimension::Thickness),
            ] {
                let cell = row.split(',').nth(column).unwrap();
                let value = crate::length::parse(cell, unit).unwrap().length;
                let wrong = value + Length::from_ticks(Length::TICKS_PER_INCH / 8);
                let wrong = match unit {
                    Unit::Inch => wrong.show_bare(Notation::SIXTEENTHS),
                    _ => format!("{:.1}", wrong.mm()),
                };
                let audit = run(&job(&with(text, line, column, &wrong)));
                let found: Vec<_> = audit.findings.iter().map(at).collect();
                assert_eq!(found, [Some((line + 2, dimension))], "{row} {dimension:?}");
                assert!(audit.findings[0].also.is_empty());
                assert_eq!(audit.outcome, Outcome::Disagrees);
            }
        }
    }
}

#[test]
fn every_quantity_off_by_one_is_found_there_and_nowhere_else() {
    let lists = [
        (base_job as fn(&str) -> Job, BASE_LIST),
        (wall_job, WALL_LIST),
        (drawers_job, DRAWERS_LIST),
    ];
    for (job, text) in lists {
        for (line, row) in text.lines().enumerate() {
            let count: u32 = row.split(',').nth(2).unwrap().parse().unwrap();
            for wrong in [count + 1, count - 1] {
                let audit = run(&job(&with(text, line, 2, &wrong.to_string())));
                let found: Vec<_> = audit.findings.iter().map(at).collect();
                assert_eq!(
                    found,
                    [Some((line + 2, Dimension::Quantity))],
                    "{row} {wrong}"
                );
                assert_eq!(audit.findings[0].counts, Some((count, wrong)));
            }
        }
    }
}

#[test]
fn every_row_left_out_is_a_missing_part() {
    let lists = [
        (base_job as fn(&str) -> Job, BASE_LIST),
        (drawers_job, DRAWERS_LIST),
    ];
    for (job, text) in lists {
        for (line, row) in text.lines().enumerate() {
            let part = row.split(',').nth(1).unwrap();
            // An order may be for the case alone: doors, fronts and boxes of which
            // no row speaks were not asked for.
            if ["Door", "Drawer front"].contains(&part) && text == BASE_LIST {
                continue;
            }
            let rest: String = text
                .lines()
                .enumerate()
                .filter(|(at, _)| *at != line)
                .map(|(_, row)| format!("{row}\n"))
                .collect();
            let audit = run(&job(&rest));
            let kinds: Vec<_> = audit.findings.iter().map(|f| f.kind).collect();
            assert_eq!(kinds, [FindingKind::MissingPart], "{row}");
        }
    }
}

#[test]
fn a_wrong_height_is_one_finding_that_names_the_distance_taken() {
    // Floor to the underside of the stretcher taken for the height of the case.
    let text = "\
B36,Side,2,33 3/4,23 1/4,3/4
B36,Bottom,1,34 1/2,23,3/4
B36,Stretcher,2,34,4,3/4
B36,Back,1,29,34 3/4,1/4
B36,Shelf,1,33 7/8,22 1/2,3/4
B36,Toe kick,1,35 1/2,4,1/4
B36,Stile,2,29 3/4,1 1/2,3/4
B36,Rail,3,33,1 1/2,3/4
B36,Drawer front,1,34,6,3/4
B36,Door,2,21 1/4,16 15/16,3/4
";
    let audit = run(&base_job(text));
    assert_eq!(audit.findings.len(), 1);
    let finding = &audit.findings[0];
    assert_eq!(at(finding), Some((2, Dimension::Length)));
    let also: Vec<_> = finding.also.iter().map(|size| size.row.line).collect();
    assert_eq!(also, [5, 8, 11]);
    assert!(
        finding
            .message
            .contains("This list builds B36 33 3/4 in high; it is drawn 34 1/2 in high.")
    );
    assert_eq!(finding.causes[0].explains, 4);
    let kinds: Vec<_> = finding.causes.iter().map(|cause| cause.kind).collect();
    assert!(kinds.contains(&CauseKind::StockThickness), "{kinds:?}");
}

#[test]
fn the_tolerance_is_inclusive_to_the_tick() {
    let tolerance = Length::TICKS_PER_INCH / 32;
    for (off, outcome) in [
        (tolerance, Outcome::Agrees),
        (-tolerance, Outcome::Agrees),
        (tolerance + 1, Outcome::Disagrees),
        (-tolerance - 1, Outcome::Disagrees),
    ] {
        let mut job = base_job(BASE_LIST);
        let cell = &mut job.lists[0].rows[0].sizes[0];
        cell.value += Length::from_ticks(off);
        let audit = run(&job);
        assert_eq!(audit.outcome, outcome, "{off}");
        let covered = audit
            .coverage
            .iter()
            .find(|entry| entry.size.row.line == 2 && entry.size.dimension == Dimension::Length)
            .unwrap();
        let margin = covered.margin.unwrap().ticks();
        assert_eq!(margin, tolerance - off.abs());
    }
}

/// The list with every size written anew.
fn rewritten(text: &str, unit: Unit, write: impl Fn(Length) -> String) -> String {
    text.lines()
        .map(|row| {
            let cells: Vec<String> = row
                .split(',')
                .enumerate()
                .map(|(column, cell)| match column {
                    3.. => write(crate::length::parse(cell, unit).unwrap().length),
                    _ => cell.to_owned(),
                })
                .collect();
            format!("{}\n", cells.join(","))
        })
        .collect()
}

#[test]
fn honest_rounding_is_no_mistake() {
    // Half a sixteenth is 1/32 in, the tolerance; 18 mm to sixteenths is 11/16, 564 mm
    // is 22 3/16 (0.4375 mm under), all within it.
    let sixteenths = rewritten(WALL_LIST, Unit::Millimetre, |size| {
        format!(
            "{} in",
            size.show_bare(Notation::SIXTEENTHS).replace('\u{2248}', "")
        )
    });
    silent(&wall_job(&sixteenths));
    // Whole millimetres, tenths, decimal inches.
    for places in [0, 1] {
        let metric = rewritten(BASE_LIST, Unit::Inch, |size| {
            format!("{:.places$} mm", size.mm())
        });
        silent(&base_job(&metric));
    }
    let decimal = rewritten(BASE_LIST, Unit::Inch, |size| {
        format!("{:.2}", size.inches())
    });
    silent(&base_job(&decimal));
}
