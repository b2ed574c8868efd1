//! What a drawing shows of a part, of its number and of which cabinet it is.

use crate::audit::trial::*;
use crate::audit::{Audit, Bin, CauseKind, Covered, FindingKind, OlderCabinet};
use crate::cabinet::{DrawnPart, MeasuredCabinet, Uncounted};
use crate::cutlist::{Problem, RowSource};
use crate::length::Unit;
use crate::trade::{Axis, Dimension, Role};

fn covered(audit: &Audit, line: usize, dimension: Dimension) -> &Covered {
    let is = |entry: &&Covered| (entry.size.row.line, entry.size.dimension) == (line, dimension);
    audit.coverage.iter().find(is).unwrap()
}

fn first(cabinet: &mut MeasuredCabinet, role: Role) -> &mut DrawnPart {
    let mut parts = cabinet.parts.iter_mut();
    parts.find(|part| part.role == role).unwrap()
}

/// The base with the ends of a part hidden by what it is let into.
fn hidden(role: Role, ends: (f64, f64)) -> MeasuredCabinet {
    let mut cabinet = base("B36", 36.0, 34.5);
    let span = first(&mut cabinet, role).across.as_mut().unwrap();
    (span.lo.at, span.hi.at) = (ends.0 * IN, ends.1 * IN);
    (span.lo.occluded, span.hi.occluded) = (true, true);
    cabinet
}

/// A drawing of a part by itself, of the bottom's depth.
fn flat(cabinet: &mut MeasuredCabinet, name: &str, length: f64) {
    let mut part = first(cabinet, Role::Bottom).clone();
    part.flat = true;
    part.name = name.to_owned();
    let across = part.across.as_mut().unwrap();
    (across.lo.occluded, across.hi.occluded) = (false, false);
    (across.lo.at, across.hi.at) = (0.0, length * IN);
    let mut high = part.deep.take().unwrap();
    high.axis = Axis::High;
    part.high = Some(high);
    cabinet.parts.push(part);
}

#[test]
fn what_would_show_a_hidden_end_is_called_by_the_joint_that_hides_it() {
    for (role, line, column, dimension, ends, joint) in [
        (
            Role::Bottom,
            1,
            3,
            Dimension::Length,
            (1.0, 35.0),
            "state groove.depth",
        ),
        (
            Role::Back,
            3,
            4,
            Dimension::Width,
            (1.0, 35.0),
            "state back.groove",
        ),
        (
            Role::Rail,
            7,
            3,
            Dimension::Length,
            (1.5, 34.5),
            "state rail.tenon",
        ),
    ] {
        // 1/4 in let in at each end.
        let listed = if role == Role::Rail {
            "33 1/2"
        } else {
            "34 1/2"
        };
        let mut cabinet = hidden(role, ends);
        for part in cabinet.parts.iter_mut().filter(|part| part.role == role) {
            let span = part.across.as_mut().unwrap();
            (span.lo.occluded, span.hi.occluded) = (true, true);
        }
        let text = with(BASE_LIST, line, column, listed);
        let audit = run(&job(vec![cabinet], &text, Unit::Inch));
        let entry = covered(&audit, line + 2, dimension);
        assert_eq!(entry.bin, Bin::Unchecked, "{role:?}");
        assert!(entry.by.contains(joint), "{role:?}: {}", entry.by);
    }
}

/// A row is held against the part drawing of its name, else against one that has its sizes.
#[test]
fn part_drawings_are_told_apart_by_name_and_then_by_size() {
    for (drawings, listed, bin) in [
        (
            &[("Bottom", 34.5), ("Lower bottom", 33.0)][..],
            "34 1/2",
            Bin::Agrees,
        ),
        (
            &[("Lower bottom", 33.0), ("bottom", 34.5)],
            "34 1/2",
            Bin::Agrees,
        ),
        // The size of another drawing than the one of its name.
        (
            &[("Bottom", 34.5), ("Lower bottom", 34.25)],
            "34 1/4",
            Bin::Disagrees,
        ),
        (
            &[("Lower bottom", 34.25), ("- Bottom -", 34.5)],
            "34 1/4",
            Bin::Disagrees,
        ),
        // None of its name: one has its sizes.
        (
            &[("Upper one", 34.5), ("Lower one", 34.25)],
            "34 1/4",
            Bin::Agrees,
        ),
        (&[("Upper one", 34.5)], "34 1/2", Bin::Agrees),
        (&[("Upper one", 34.5)], "34 1/4", Bin::Disagrees),
    ] {
        let mut cabinet = hidden(Role::Bottom, (1.0, 35.0));
        for (name, length) in drawings {
            flat(&mut cabinet, name, *length);
        }
        let text = with(BASE_LIST, 1, 3, listed);
        let audit = run(&job(vec![cabinet], &text, Unit::Inch));
        let entry = covered(&audit, 3, Dimension::Length);
        assert_eq!(entry.bin, bin, "{drawings:?} {listed}: {}", entry.by);
    }
}

/// A frame with both stiles and two rails has no mid-stile where none is drawn; one that
/// is drawn in part may have.
#[test]
fn a_part_is_missed_only_where_its_place_is_drawn() {
    for (stiles, rails, bin) in [
        (2, 3, Bin::Disagrees),
        (2, 2, Bin::Disagrees),
        (1, 3, Bin::Unchecked),
        (2, 1, Bin::Unchecked),
    ] {
        let mut cabinet = base("B36", 36.0, 34.5);
        let mut left = [(Role::Stile, stiles), (Role::Rail, rails)];
        let keep = |left: &mut u32| {
            let keep = *left > 0;
            *left = left.saturating_sub(1);
            keep
        };
        cabinet.parts.retain(|part| {
            let entry = left.iter_mut().find(|(role, _)| *role == part.role);
            entry.is_none_or(|(_, left)| keep(left))
        });
        let text = format!("{BASE_LIST}B36,Mid-stile,1,22,2,3/4\n");
        let audit = run(&job(vec![cabinet], &text, Unit::Inch));
        let entry = covered(&audit, 12, Dimension::Quantity);
        assert_eq!(entry.bin, bin, "{stiles} {rails}: {}", entry.by);
    }
    // Doors where no opening is left for them, and where one is.
    for (free, bin) in [(false, Bin::Disagrees), (true, Bin::Unchecked)] {
        let mut cabinet = base("B36", 36.0, 34.5);
        cabinet.parts.retain(|part| part.role != Role::Door);
        if !free {
            cabinet.openings.truncate(1);
        }
        let audit = run(&job(vec![cabinet], BASE_LIST, Unit::Inch));
        let entry = covered(&audit, 11, Dimension::Quantity);
        assert_eq!(entry.bin, bin, "{free}: {}", entry.by);
    }
}

#[test]
fn a_kind_of_part_that_was_not_counted_excuses_too_few_of_it_alone() {
    for (line, count, bin) in [
        (0, "3", Bin::Disagrees),
        (4, "2", Bin::Unchecked),
        (4, "1", Bin::Agrees),
    ] {
        let mut cabinet = base("B36", 36.0, 34.5);
        cabinet.uncounted.push(Uncounted {
            role: Role::AdjustableShelf,
            why: "shelves may lie one over another".to_owned(),
            or_fewer: false,
        });
        let text = with(BASE_LIST, line, 2, count);
        let audit = run(&job(vec![cabinet], &text, Unit::Inch));
        let entry = covered(&audit, line + 2, Dimension::Quantity);
        assert_eq!(entry.bin, bin, "{line} {count}: {}", entry.by);
    }
}

#[test]
fn an_unread_cell_is_of_the_row_in_its_line() {
    for (line, part, cabinet) in [
        (2, "Side", Some("B36")),
        (11, "Door", Some("B36")),
        (40, "", None),
    ] {
        let mut job = base_job(BASE_LIST);
        job.lists[0].problems.push(Problem {
            source: RowSource {
                file: "list.csv".into(),
                sheet: None,
                line,
            },
            column: Some(9),
            text: "3-?4".to_owned(),
            message: "'3-?4' is no size".to_owned(),
            advice: "write it as 34 1/2".to_owned(),
            dimension: Some(Dimension::Height),
        });
        let audit = run(&job);
        let entry = covered(&audit, line, Dimension::Height);
        assert_eq!(entry.size.part, part);
        assert_eq!(entry.cabinet.as_deref(), cabinet);
    }
}

#[test]
fn a_name_is_told_once_however_often_it_is_drawn() {
    let mut all = Vec::new();
    for (name, times) in [("B1", 3), ("B2", 1), ("B3", 2)] {
        all.extend((0..times).map(|_| base(name, 36.0, 34.5)));
    }
    let text: String = ["B1", "B2", "B3"]
        .map(|name| BASE_LIST.replace("B36", name))
        .concat();
    let audit = run(&job(all, &text, Unit::Inch));
    let kinds: Vec<_> = audit
        .findings
        .iter()
        .map(|f| (f.kind, f.cabinets.clone()))
        .collect();
    let of = |name: &str| (FindingKind::Drawing, vec![name.to_owned()]);
    assert_eq!(kinds, [of("B1"), of("B3")]);
    assert!(audit.coverage.iter().all(|entry| entry.bin == Bin::Agrees));
}

/// A side listed 33 5/8 in where 34 1/2 in is drawn, and what older drawings show.
#[test]
fn an_older_drawing_misleads_only_where_it_has_the_figure_and_no_longer_holds() {
    let older = |height: f64| base("B36", 36.0, height);
    let mixed = || {
        let mut cabinet = older(33.625);
        first(&mut cabinet, Role::Side).high.as_mut().unwrap().hi.at = 34.5 * IN;
        cabinet
    };
    for (cabinet, told) in [
        (older(33.625), true),
        (older(33.0), false),
        (older(34.5), false),
        // One of its sides has the figure, the other is as it is now.
        (mixed(), false),
        (base("B37", 36.0, 33.625), false),
    ] {
        let mut job = base_job(&with(BASE_LIST, 0, 3, "33 5/8"));
        job.older.push(OlderCabinet {
            file: "first issue.dxf".to_owned(),
            cabinet,
        });
        let audit = run(&job);
        assert_eq!(audit.findings.len(), 1);
        let is = |cause: &crate::audit::Cause| cause.kind == CauseKind::OlderDrawing;
        assert_eq!(audit.findings[0].causes.iter().any(is), told);
    }
}
