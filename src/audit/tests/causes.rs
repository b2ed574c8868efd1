//! Each kind of cause: one wrong figure that makes it fire first or among the
//! named, and one that leaves it silent.

use crate::audit::trial::*;
use crate::audit::{Cause, CauseKind, Finding, FindingKind, Job, OlderCabinet};
use crate::cabinet::Conflict;
use crate::cutlist::{Grain, Per};
use crate::length::{Alternative, Length, Unit};
use crate::linework::Linework;
use crate::trade::{Axis, Dimension, Role};
use crate::view::{Scale, View, ViewDimension, ViewKind};

/// The single finding of a base list with one cell changed.
fn base_with(line: usize, column: usize, cell: &str) -> Finding {
    single(&base_job(&with(BASE_LIST, line, column, cell)))
}

fn single(job: &Job) -> Finding {
    let audit = run(job);
    assert_eq!(audit.findings.len(), 1);
    audit.findings.into_iter().next().unwrap()
}

fn cause(finding: &Finding, kind: CauseKind) -> Option<&Cause> {
    finding.causes.iter().find(|cause| cause.kind == kind)
}

fn fires(finding: &Finding, kind: CauseKind) {
    let cause = cause(finding, kind).unwrap_or_else(|| panic!("{kind:?} is silent"));
    assert!(!cause.evidence.is_empty());
    assert!(cause.explains >= 1);
}

fn is_first(finding: &Finding, kind: CauseKind) {
    fires(finding, kind);
    assert_eq!(finding.causes[0].kind, kind);
}

fn silent(finding: &Finding, kind: CauseKind) {
    assert!(cause(finding, kind).is_none(), "{kind:?} fires");
}

// Lines of BASE_LIST: 0 side, 1 bottom, 2 stretcher, 3 back, 4 shelf, 5 toe kick,
// 6 stile, 7 rail, 8 drawer front, 9 door. Columns: 3 length, 4 width, 5 thickness.

#[test]
fn another_distance_of_this_cabinet() {
    // The door's height taken as that of the clear opening, 21 in.
    let finding = base_with(9, 3, "21");
    is_first(&finding, CauseKind::OtherDistance);
    let cause = &finding.causes[0];
    assert!(
        cause
            .sentence
            .contains("the clear height of the lower opening")
    );
    let taken = cause.taken.as_ref().unwrap();
    assert_eq!(taken.sentence, "rail below to rail above");
    assert_eq!(taken.lines.len(), 2);
    // 22 3/16 in is drawn nowhere.
    silent(&base_with(9, 3, "22 3/16"), CauseKind::OtherDistance);
}

#[test]
fn a_distance_that_could_be_chance_is_not_named() {
    // Hundreds of unnamed edges: some pair is 29 13/16 in apart.
    let mut job = base_job(&with(BASE_LIST, 6, 3, "29 13/16"));
    let span = job.cabinets[0].parts[0].high.clone().unwrap();
    for step in 0..400 {
        let mut edge = span.lo.clone();
        edge.at = f64::from(step) * 2.1;
        edge.name = String::new();
        job.cabinets[0].edges.push((0, Axis::High, edge));
    }
    silent(&single(&job), CauseKind::OtherDistance);
}

#[test]
fn worked_from_the_frame_instead_of_the_case() {
    // Stretcher 34 1/2: 36 less two thicknesses, the frame's width for the case's.
    // The toe kick of the same height is no better an explanation: it is no
    // size across. Constructed example, seeded error "case pulled from frame width".
    let finding = base_with(2, 3, "34 1/2");
    fires(&finding, CauseKind::OtherDistance);
}

#[test]
fn the_same_size_of_another_cabinet() {
    let mut job = base_job(&with(BASE_LIST, 2, 3, "19 7/16"));
    silent(&single(&job), CauseKind::OtherCabinet);
    job.cabinets.push(base("B9", 21.4375, 34.5));
    let audit = run(&job);
    let finding = audit
        .findings
        .iter()
        .find(|finding| finding.kind == FindingKind::Size)
        .unwrap();
    is_first(finding, CauseKind::OtherCabinet);
    assert!(finding.causes[0].sentence.contains("B9"));
}

#[test]
fn length_and_width_swapped_where_grain_or_a_word_tells() {
    // Without grain the two sizes are a pair in either order.
    let text = with(&with(BASE_LIST, 0, 3, "23 1/4"), 0, 4, "34 1/2");
    assert!(run(&base_job(&text)).findings.is_empty());
    let mut job = base_job(&text);
    job.lists[0].rows[0].grain = Grain::AlongLength;
    let finding = single(&job);
    is_first(&finding, CauseKind::Swapped);
    assert_eq!(finding.causes[0].explains, 2);
    assert_eq!(finding.also.len(), 1);
    // The right order with the same grain is right.
    let mut job = base_job(BASE_LIST);
    job.lists[0].rows[0].grain = Grain::AlongLength;
    assert!(run(&job).findings.is_empty());
    // A door's height under width.
    let mut job = base_job(BASE_LIST);
    job.lists[0].rows[9].sizes[0].dimension = Dimension::Width;
    job.lists[0].rows[9].sizes[1].dimension = Dimension::Height;
    is_first(&single(&job), CauseKind::Swapped);
    let mut job = base_job(BASE_LIST);
    job.lists[0].rows[9].sizes[0].dimension = Dimension::Height;
    assert!(run(&job).findings.is_empty());
    // Both sizes wrong, but not each other's.
    let text = with(&with(BASE_LIST, 0, 3, "30"), 0, 4, "20");
    for finding in run(&base_job(&text)).findings {
        silent(&finding, CauseKind::Swapped);
    }
}

#[test]
fn a_shop_may_call_the_depth_height_throughout() {
    let mut job = job(
        vec![base("B36", 36.0, 34.5), base("B24", 24.0, 34.5)],
        "B36,Side,2,23 1/4,34 1/2,3/4\nB24,Side,2,23 1/4,34 1/2,3/4\n",
        Unit::Inch,
    );
    for row in &mut job.lists[0].rows {
        row.sizes[0].dimension = Dimension::Height;
    }
    let audit = run(&job);
    assert!(audit.findings.iter().all(|f| f.kind != FindingKind::Size));
}

#[test]
fn off_by_a_stock_thickness() {
    // Constructed example, seeded error "side thickness forgotten once": 35 1/4.
    fires(&base_with(1, 3, "35 1/4"), CauseKind::StockThickness);
    silent(&base_with(1, 3, "35"), CauseKind::StockThickness);
    // 5/8 in is no stock of this cabinet.
    silent(&base_with(4, 4, "23 1/8"), CauseKind::StockThickness);
}

#[test]
fn a_joint_depth_forgotten() {
    // Constructed example, seeded error "dado depth forgotten": bottom 34.
    let finding = base_with(1, 3, "34");
    is_first(&finding, CauseKind::JointDepth);
    fires(&finding, CauseKind::OtherDistance);
    // Twice: 35.
    fires(&base_with(1, 3, "35"), CauseKind::JointDepth);
    // A toe kick has no joint.
    silent(&base_with(5, 3, "35"), CauseKind::JointDepth);
}

#[test]
fn the_toe_kick_in_or_out() {
    is_first(&base_with(0, 3, "30 1/2"), CauseKind::ToeKick);
    fires(&base_with(6, 3, "34 1/2"), CauseKind::ToeKick);
    silent(&base_with(0, 3, "31 1/2"), CauseKind::ToeKick);
    // Four inches across have nothing to do with it.
    silent(&base_with(2, 3, "30"), CauseKind::ToeKick);
}

#[test]
fn one_figure_in_another_unit() {
    let mut job = base_job(BASE_LIST);
    job.lists[0].rows[0].sizes[0].value = Length::from_mm(34.5).unwrap();
    is_first(&single(&job), CauseKind::Unit);
    silent(&base_with(0, 3, "35 1/2"), CauseKind::Unit);
}

#[test]
fn a_whole_list_in_another_unit_is_one_finding() {
    let mut job = base_job(BASE_LIST);
    for row in &mut job.lists[0].rows {
        for cell in &mut row.sizes {
            cell.value = Length::from_mm(cell.value.inches()).unwrap();
        }
    }
    let finding = single(&job);
    is_first(&finding, CauseKind::Unit);
    assert_eq!(finding.causes[0].explains, 30);
    assert_eq!(finding.also.len(), 29);
}

#[test]
fn digits_transposed() {
    is_first(&base_with(0, 3, "43 1/2"), CauseKind::Transposed);
    silent(&base_with(0, 3, "35 1/2"), CauseKind::Transposed);
    let finding = single(&wall_job(&with(WALL_LIST, 1, 3, "546")));
    is_first(&finding, CauseKind::Transposed);
}

#[test]
fn a_slipped_fraction() {
    // 1/4 for 1/2, and the fraction lost.
    fires(&base_with(6, 3, "30 1/4"), CauseKind::SlippedFraction);
    fires(&base_with(6, 3, "30"), CauseKind::SlippedFraction);
    silent(&base_with(6, 3, "29"), CauseKind::SlippedFraction);
    // `31/2` for 3 1/2, which the list's reader saw to be ambiguous.
    let mut job = base_job(&with(BASE_LIST, 6, 4, "15 1/2"));
    job.lists[0].rows[6].sizes[1].detail.alternatives = vec![Alternative {
        text: "1 1/2".to_owned(),
        length: Length::from_mm(38.1).unwrap(),
    }];
    is_first(&single(&job), CauseKind::SlippedFraction);
    // Metric lists have no fractions.
    let finding = single(&wall_job(&with(WALL_LIST, 1, 3, "560")));
    silent(&finding, CauseKind::SlippedFraction);
}

/// The face-frame base with 23/32 in sheet: what lies between the sides is 1/16
/// wider, the back starts 1/32 higher.
fn thin_base() -> crate::cabinet::MeasuredCabinet {
    let mut cabinet = base("B36", 36.0, 34.5);
    let thin = 25.4 / 32.0;
    for part in &mut cabinet.parts {
        match part.role {
            Role::Side => {
                let span = part.across.as_mut().unwrap();
                if part.name == "left side" {
                    span.hi.at -= thin;
                } else {
                    span.lo.at += thin;
                }
            }
            Role::Bottom | Role::Stretcher | Role::Back | Role::AdjustableShelf => {
                let span = part.across.as_mut().unwrap();
                span.lo.at -= thin;
                span.hi.at += thin;
                part.high.as_mut().unwrap().lo.at += thin;
            }
            _ => {}
        }
    }
    cabinet
}

#[test]
fn nominal_for_actual_thickness() {
    // A list made for 3/4 in where 23/32 is drawn: each size is 1/16 or 1/32 in off.
    // Visible at a tolerance of 1/64, silent at 1/16 (constructed example).
    let mut job = base_job(BASE_LIST);
    job.cabinets = vec![thin_base()];
    job.rules
        .overrule_tolerance(Length::from_ticks(Length::TICKS_PER_INCH / 64));
    let finding = single(&job);
    is_first(&finding, CauseKind::NominalThickness);
    assert_eq!(finding.also.len(), 4);
    job.rules
        .overrule_tolerance(Length::from_ticks(Length::TICKS_PER_INCH / 16));
    assert!(run(&job).findings.is_empty());
    silent(&base_with(1, 3, "34 7/16"), CauseKind::NominalThickness);
}

#[test]
fn edge_band_left_out_of_cut_sizes() {
    // Constructed frameless unit, cut sizes: door 713 by 293 before 2 mm of band
    // all round. Seeded error: listed 717 by 297.
    assert!(run(&cut_door_job("713", "293")).findings.is_empty());
    let audit = run(&cut_door_job("717", "297"));
    for finding in &audit.findings {
        is_first(finding, CauseKind::EdgeBand);
        assert_eq!(finding.difference, Length::from_mm(4.0));
    }
    let rows: usize = audit.findings.iter().map(|f| 1 + f.also.len()).sum();
    assert_eq!(rows, 2);
    let finding = single(&cut_door_job("720", "293"));
    silent(&finding, CauseKind::EdgeBand);
}

#[test]
fn an_allowance_of_the_shop() {
    // A stile 30 1/2 in high listed 1/8 in short: the saw's kerf taken off a part.
    let stile = |cell: &str, rules: &str| {
        let mut job = base_job(&with(BASE_LIST, 6, 3, cell));
        job.rules = crate::construction::JobFile::parse(rules, "dryfit.toml")
            .unwrap()
            .rules;
        single(&job)
    };
    let kerf = "[sizes]\nsaw.kerf = \"1/8 in\"\n";
    let finding = stile("30 3/8", kerf);
    fires(&finding, CauseKind::Allowance);
    let cause = cause(&finding, CauseKind::Allowance).unwrap();
    assert!(cause.sentence.contains("1/8 in of saw kerf"), "{cause:?}");
    silent(&stile("30 1/4", kerf), CauseKind::Allowance);
    silent(&stile("30 3/8", ""), CauseKind::Allowance);
}

/// A view with one dimension whose typed text is not its distance.
pub(super) fn lying_view(text: &str, measured_mm: f64) -> View {
    use geo::{AffineTransform, Coord, Rect};
    View {
        sheet: 0,
        kind: ViewKind::Front,
        kind_evidence: String::new(),
        title: None,
        cabinets: vec!["B36".to_owned()],
        scale: Scale::Known {
            mm_per_unit: 25.4,
            evidence: Vec::new(),
        },
        linework: Linework::default(),
        texts: Vec::new(),
        arcs: Vec::new(),
        dimensions: vec![ViewDimension {
            from: Coord { x: 0.0, y: 0.0 },
            to: Coord {
                x: 0.0,
                y: measured_mm,
            },
            level: Some(false),
            measured_mm,
            text: Some(text.to_owned()),
            source: 0,
        }],
        extents: Rect::new(Coord { x: 0.0, y: 0.0 }, Coord { x: 1.0, y: 1.0 }),
        to_drawing: AffineTransform::identity(),
        plane: crate::view::Plane::default(),
        strips: Vec::new(),
        shows_hidden: true,
    }
}

#[test]
fn a_typed_text_followed() {
    let text = with(BASE_LIST, 0, 3, "35 1/8");
    let mut job = base_job(&text);
    silent(&single(&job), CauseKind::TypedText);
    job.views.views = vec![lying_view("35 1/8", 876.3)];
    let audit = run(&job);
    is_first(&audit.findings[0], CauseKind::TypedText);
    // The dimension that lies is a finding of its own.
    assert_eq!(audit.findings.len(), 2);
    assert_eq!(audit.findings[1].kind, FindingKind::Drawing);
    assert_eq!(audit.findings[1].drawn, Length::from_mm(876.3));
    // A text that tells the truth misleads nobody.
    job.views.views = vec![lying_view("35 1/8", 892.175)];
    silent(&single(&job), CauseKind::TypedText);
    // Neither does one on another distance, or one along another axis.
    job.views.views = vec![lying_view("35 1/8", 609.6)];
    silent(&run(&job).findings[0], CauseKind::TypedText);
    let mut level = lying_view("35 1/8", 876.3);
    level.dimensions[0].level = Some(true);
    job.views.views = vec![level];
    silent(&run(&job).findings[0], CauseKind::TypedText);
}

#[test]
fn a_text_on_the_case_misleads_about_what_follows_from_it() {
    // The stiles run from the toe kick to the top: 30 1/2 in under a height of
    // 34 1/2 in; typed 35 1/8 in, they come out 5/8 in longer.
    let mut job = base_job(&with(BASE_LIST, 6, 3, "31 1/8"));
    job.views.views = vec![lying_view("35 1/8", 876.3)];
    fires(&run(&job).findings[0], CauseKind::TypedText);
}

#[test]
fn views_that_disagree_are_no_typed_text() {
    // One view draws 34 1/2 in, the other 35 1/8 in; each text is true in one of them.
    let conflict = Conflict {
        sentence: "the height of B36 is 34 1/2 in its front and 35 1/8 in its end".to_owned(),
        axis: Some(Axis::High),
        view: 0,
        distances_mm: [876.3, 892.175],
        lines: Vec::new(),
    };
    for (cell, text, measured) in [
        ("35 1/8", "35 1/8", 876.3),
        ("34 1/2", "34 1/2", 892.175),
        ("31 1/8", "35 1/8", 876.3),
    ] {
        let line = if cell == "31 1/8" { 6 } else { 0 };
        let mut job = base_job(&with(BASE_LIST, line, 3, cell));
        job.cabinets[0].conflicts.push(conflict.clone());
        job.views.views = vec![lying_view(text, measured)];
        for finding in run(&job).findings {
            silent(&finding, CauseKind::TypedText);
        }
    }
}

#[test]
fn a_size_that_follows_one_of_two_contradicting_views_is_not_checked() {
    let conflicting = |cell: &str| {
        let mut job = base_job(&with(BASE_LIST, 0, 3, cell));
        job.cabinets[0].conflicts.push(Conflict {
            sentence: "the height of B36 is 34 1/2 in its front and 35 1/8 in its end".to_owned(),
            axis: Some(Axis::High),
            view: 0,
            distances_mm: [876.3, 892.175],
            lines: Vec::new(),
        });
        run(&job)
    };
    let audit = conflicting("35 1/8");
    assert_eq!(audit.findings.len(), 1);
    assert_eq!(audit.findings[0].kind, FindingKind::Drawing);
    let entry = &audit.coverage[0];
    assert_eq!(entry.bin, crate::audit::Bin::Unchecked);
    assert!(entry.by.contains("contradicts itself"));
    // Off by something else: wrong all the same.
    let audit = conflicting("35 1/4");
    assert_eq!(audit.findings[0].kind, FindingKind::Size);
}

#[test]
fn a_quantity_for_the_job_taken_as_for_one_cabinet() {
    let two = || vec![base("B1", 36.0, 34.5), base("B2", 36.0, 34.5)];
    let list = |count: u32| {
        BASE_LIST
            .replace("B36", "B1+B2")
            .replacen("Side,2", &format!("Side,{count}"), 1)
    };
    let finding = single(&job(two(), &list(4), Unit::Inch));
    assert_eq!(finding.kind, FindingKind::Quantity);
    is_first(&finding, CauseKind::QuantityBasis);
    assert_eq!(finding.cabinets, ["B1", "B2"]);
    let finding = single(&job(two(), &list(3), Unit::Inch));
    silent(&finding, CauseKind::QuantityBasis);
    // The other way round: listed for the job, counted for one.
    let mut both = job(two(), &list(2), Unit::Inch);
    both.lists[0].rows[0].quantity.per = Per::Job;
    is_first(&single(&both), CauseKind::QuantityBasis);
}

#[test]
fn an_older_drawing_followed() {
    let mut job = base_job(&with(BASE_LIST, 0, 3, "33 5/8"));
    silent(&single(&job), CauseKind::OlderDrawing);
    job.older.push(OlderCabinet {
        file: "first issue.dxf".to_owned(),
        cabinet: base("B36", 36.0, 33.625),
    });
    let finding = single(&job);
    is_first(&finding, CauseKind::OlderDrawing);
    assert!(finding.causes[0].sentence.contains("first issue.dxf"));
}

#[test]
fn a_front_allowance() {
    // The overlay put on twice, and the centre gap forgotten (constructed example).
    fires(&base_with(8, 3, "34 1/2"), CauseKind::FrontAllowance);
    fires(&base_with(9, 4, "17"), CauseKind::FrontAllowance);
    silent(&base_with(9, 4, "19 3/16"), CauseKind::FrontAllowance);
    silent(&base_with(2, 3, "34 1/2"), CauseKind::FrontAllowance);
}

#[test]
fn an_inch_from_the_tape() {
    fires(&base_with(5, 3, "34 1/2"), CauseKind::InchMark);
    silent(&base_with(5, 3, "34"), CauseKind::InchMark);
    // Nobody reads inches off a metric tape.
    let finding = single(&wall_job(&with(WALL_LIST, 1, 3, "589.4")));
    silent(&finding, CauseKind::InchMark);
}
