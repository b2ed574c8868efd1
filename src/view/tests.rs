use super::sample::Draft;
use super::*;
use crate::length::Unit;

fn names(names: &[&str]) -> Hints {
    Hints {
        names: names.iter().map(|n| (*n).to_owned()).collect(),
        ..Hints::default()
    }
}

fn find(sheets: &[crate::drawing::Sheet], hints: &Hints) -> Reading {
    super::find(&mut sheets.to_vec(), hints)
}

fn mm(view: &View) -> f64 {
    match &view.scale {
        Scale::Known { mm_per_unit, .. } => *mm_per_unit,
        Scale::Unknown { reason } => panic!("{reason}"),
    }
}

fn size(view: &View) -> (f64, f64) {
    (view.extents.width(), view.extents.height())
}

/// Every line end of the view lies on a drawn end or crossing: mapping it back
/// must land within `tolerance` of one of the sheet's coordinates.
fn maps_back(view: &View, sheet: &crate::drawing::Sheet, tolerance: f64) {
    for line in view.linework.uprights.iter().chain(&view.linework.levels) {
        for end in [line.a, line.b] {
            let p = view.to_drawing.apply(end);
            assert!(
                sheet.segments.iter().flat_map(|s| [s.a, s.b]).any(|q| {
                    let q = view.plane.flatten(q);
                    (q.x - p.x).abs() <= tolerance && (q.y - p.y).abs() <= tolerance
                }),
                "{end:?} maps to {p:?}"
            );
        }
    }
}

#[test]
fn titles_below_name_views_and_kinds() {
    let sheet = Draft::new("job.dxf")
        .units(1)
        .case(0.0, 0.0, 36.0, 34.5, 0.75)
        .text("B1 FRONT", 10.0, -4.0, 1.5)
        .case(60.0, 0.0, 24.0, 34.5, 0.75)
        .text("B1 END", 68.0, -4.0, 1.5)
        .case(0.0, 60.0, 36.0, 24.0, 0.75)
        .text("B1 PLAN", 10.0, 56.0, 1.5)
        .sheet();
    let reading = find(std::slice::from_ref(&sheet), &names(&["B1"]));
    let seen: Vec<_> = reading
        .views
        .iter()
        .map(|v| (v.kind, v.cabinets.clone()))
        .collect();
    assert_eq!(
        seen,
        [
            (ViewKind::Plan, vec!["B1".to_owned()]),
            (ViewKind::Front, vec!["B1".to_owned()]),
            (ViewKind::End, vec!["B1".to_owned()]),
        ]
    );
    for view in &reading.views {
        assert_eq!(mm(view), 25.4);
        maps_back(view, &sheet, 1e-9);
        assert_eq!((view.extents.min().x, view.extents.min().y), (0.0, 0.0));
    }
    assert!((size(&reading.views[1]).0 - 914.4).abs() < 1e-9);
    assert!((size(&reading.views[1]).1 - 876.3).abs() < 1e-9);
    assert_eq!(
        reading.views[1].title.as_ref().unwrap().origin,
        "text below the view"
    );
}

#[test]
fn a_border_is_left_out_and_counted() {
    let sheet = Draft::new("job.dxf")
        .units(4)
        .rect(-200.0, -300.0, 2000.0, 1400.0)
        .case(0.0, 0.0, 600.0, 720.0, 18.0)
        .text("W1 FRONT", 300.0, -80.0, 40.0)
        .case(1000.0, 0.0, 320.0, 720.0, 18.0)
        .text("W1 SECTION", 1160.0, -80.0, 40.0)
        .sheet();
    let reading = find(&[sheet], &names(&["W1"]));
    assert_eq!(reading.views.len(), 2);
    assert_eq!(reading.left_out.len(), 1);
    assert_eq!(reading.left_out[0].reason, "sheet border");
    assert_eq!(reading.left_out[0].primitives, 4);
    assert_eq!(reading.views[1].kind, ViewKind::Section);
}

#[test]
fn doors_inside_a_case_and_nested_outlines_are_no_border() {
    // Full overlay doors drawn inside the outline, touching nothing.
    let doors = Draft::new("w1-front.dxf")
        .units(4)
        .rect(0.0, 0.0, 600.0, 720.0)
        .rect(1.5, 1.5, 297.0, 717.0)
        .rect(301.5, 1.5, 297.0, 717.0)
        .text("W1 FRONT", 300.0, -80.0, 40.0)
        .sheet();
    // Frame and openings as nested closed outlines (check values, C1).
    let frame = Draft::new("b36.dxf")
        .units(1)
        .rect(0.0, 0.0, 36.0, 30.5)
        .rect(1.5, 24.0, 33.0, 5.0)
        .rect(1.5, 1.5, 33.0, 21.0)
        .text("B36 FRONT", 18.0, -4.0, 1.5)
        .sheet();
    for sheet in [doors, frame] {
        let reading = find(&[sheet], &names(&["W1", "B36"]));
        assert_eq!(reading.views.len(), 1);
        assert!(reading.left_out.is_empty());
        assert_eq!(reading.views[0].kind, ViewKind::Front);
        assert_eq!(reading.views[0].cabinets.len(), 1);
    }
}

#[test]
fn a_view_far_out_turned_and_upright_in_space_measures_the_same() {
    let flat = Draft::new("b1.dxf")
        .units(1)
        .case(0.0, 0.0, 36.0, 34.5, 0.75)
        .text("B1 FRONT", 18.0, -4.0, 1.5);
    for (dx, dy) in [(0.0, 0.0), (1e6, -1e6)] {
        for degrees in [0.0, 7.0, 90.0, 180.0, 270.0, -30.0] {
            let sheet = flat.clone().turned(degrees).moved(dx, dy, 0.0).sheet();
            let reading = find(std::slice::from_ref(&sheet), &names(&["B1"]));
            assert_eq!(reading.views.len(), 1, "{degrees}");
            let (w, h) = size(&reading.views[0]);
            assert!(
                (w - 914.4).abs() < 1e-3 && (h - 876.3).abs() < 1e-3,
                "{degrees}: {w} {h}"
            );
            maps_back(&reading.views[0], &sheet, 1e-6);
            assert_eq!(reading.views[0].kind, ViewKind::Front);
        }
    }
    let upright = flat.clone().stood_up().sheet();
    let reading = find(std::slice::from_ref(&upright), &names(&["B1"]));
    assert_eq!(reading.views.len(), 1);
    assert_eq!(reading.views[0].plane, Plane::Xz);
    assert!((size(&reading.views[0]).1 - 876.3).abs() < 1e-9);
    maps_back(&reading.views[0], &upright, 1e-9);
}

#[test]
fn lines_in_space_are_left_out_with_the_reason() {
    let mut sheet = Draft::new("model.dxf")
        .units(1)
        .rect(0.0, 0.0, 36.0, 24.0)
        .sheet();
    let mut posts = sheet.segments.clone();
    for s in &mut posts {
        s.b = [s.a[0], s.a[1], 34.5];
    }
    sheet.segments.extend(posts);
    let reading = find(&[sheet], &Hints::default());
    assert!(reading.views.is_empty());
    assert_eq!(reading.left_out.len(), 1);
    assert!(reading.left_out[0].reason.contains("in space"));
    assert_eq!(reading.left_out[0].primitives, 8);
}

#[test]
fn the_call_outranks_the_header_and_no_header_is_unknown() {
    let draft = Draft::new("b1.dxf").case(0.0, 0.0, 36.0, 34.5, 0.75);
    let hints = Hints {
        units: Some((Unit::Inch, "--units".to_owned())),
        ..names(&["B1"])
    };
    let reading = find(&[draft.clone().units(4).sheet()], &hints);
    assert_eq!(mm(&reading.views[0]), 25.4);
    let hints = Hints {
        scale: Some((12.0, "--scale".to_owned())),
        ..hints
    };
    let reading = find(&[draft.clone().units(1).sheet()], &hints);
    assert!((mm(&reading.views[0]) - 304.8).abs() < 1e-12);
}

#[test]
fn numbers_equal_to_the_lines_are_full_size_whatever_the_header_says() {
    // 25.4 is near the scale of 1:25, but 21 in over 21 units is no scale.
    let sheet = Draft::new("job.dxf")
        .units(4)
        .case(0.0, 0.0, 21.0, 30.0, 0.75)
        .text("B1 FRONT", 10.0, -4.0, 1.5)
        .text("ALL DIMENSIONS IN INCHES", 10.0, -20.0, 1.5)
        .dimension([0.0, 30.0], [21.0, 30.0], 3.0, Some("21"))
        .dimension([0.0, 0.0], [0.0, 30.0], -3.0, Some("30"))
        .sheet();
    let reading = find(std::slice::from_ref(&sheet), &names(&["B1"]));
    assert_eq!(mm(&reading.views[0]), 25.4);
    assert_eq!(reading.conflicts.len(), 1, "the header is contradicted");
}

#[test]
fn bare_numbers_are_no_centimetres_where_millimetres_make_a_cabinet() {
    // A front with nothing but doors: its narrow gaps are as wide as stock is in
    // centimetres.
    let mut draft = Draft::new("job.dxf").rect(0.0, 0.0, 300.0, 830.0);
    for i in 0..4 {
        draft = draft.rect(1.5, 1.5 + 207.0 * f64::from(i), 297.0, 205.5);
    }
    let sheet = draft
        .text("B1 FRONT", 100.0, -60.0, 40.0)
        .dimension([0.0, 830.0], [300.0, 830.0], 80.0, Some("300"))
        .dimension([0.0, 0.0], [0.0, 830.0], -80.0, Some("830"))
        .sheet();
    let reading = find(std::slice::from_ref(&sheet), &names(&["B1"]));
    let worth = match reading.views[0].scale {
        Scale::Known { mm_per_unit, .. } => mm_per_unit,
        // Not to know is no mistake.
        Scale::Unknown { .. } => 1.0,
    };
    assert_eq!(worth, 1.0);
}

#[test]
fn sizes_alone_tell_a_sheet_that_stands_on_its_head() {
    let sheet = Draft::new("job.dxf")
        .units(1)
        .layer("B1-FRONT")
        .case(0.0, 0.0, 36.0, 30.0, 0.75)
        .line(0.0, 4.0, 36.0, 4.0)
        .dimension([0.0, 30.0], [36.0, 30.0], 4.0, None)
        .reading(0.0)
        .turned(180.0)
        .sheet();
    let reading = find(std::slice::from_ref(&sheet), &names(&["B1"]));
    let view = &reading.views[0];
    assert!(
        view.kind_evidence.contains("turned by 180"),
        "{}",
        view.kind_evidence
    );
    let low = view
        .linework
        .levels
        .iter()
        .any(|l| (l.a.y - 101.6).abs() < 1e-6);
    assert!(low, "the line 4 in above the floor is above the floor");
}

#[test]
fn a_long_title_belongs_to_the_view_it_starts_at() {
    let sheet = Draft::new("job.dxf")
        .units(1)
        .case(0.0, 0.0, 21.0, 34.5, 0.75)
        .text("CABINET B1 RIGHT END ELEVATION", 24.0, 40.0, 2.0)
        .starting(0.0, 39.0)
        .case(35.0, 0.0, 24.0, 34.5, 0.75)
        .text("CABINET B2 RIGHT END ELEVATION", 59.0, 45.0, 2.0)
        .starting(35.0, 44.0)
        .sheet();
    let reading = find(std::slice::from_ref(&sheet), &names(&["B1", "B2"]));
    let seen: Vec<_> = reading.views.iter().map(|v| v.cabinets.clone()).collect();
    assert_eq!(seen, [["B1"], ["B2"]]);
}

#[test]
fn noise_in_depth_does_not_drop_short_pieces() {
    let broken = |depth: f64, others: f64| {
        let mut sheet = Draft::new("job.dxf")
            .units(1)
            .case(0.0, 0.0, 36.0, 34.5, 0.75)
            .text("B1 FRONT", 10.0, -4.0, 1.5)
            .sheet();
        let left = |s: &crate::drawing::Segment| s.a[0] == 0.0 && s.b[0] == 0.0;
        let (edges, rest): (Vec<_>, Vec<_>) = sheet.segments.into_iter().partition(left);
        sheet.segments = rest;
        for other in sheet.segments.iter_mut().step_by(2) {
            other.b[2] = others;
        }
        for edge in edges {
            let (low, high) = (edge.a[1].min(edge.b[1]), edge.a[1].max(edge.b[1]));
            let stops = [low, low + 1.25, low + 1.28, high];
            for (n, pair) in stops.windows(2).enumerate() {
                let mut piece = edge;
                piece.a = [0.0, pair[0], 0.0];
                piece.b = [0.0, pair[1], if n == 1 { depth } else { 0.0 }];
                sheet.segments.push(piece);
            }
        }
        let reading = find(&[sheet], &names(&["B1"]));
        let left = |line: &&crate::linework::CleanLine| line.a.x.abs() < 0.1;
        reading.views[0]
            .linework
            .uprights
            .iter()
            .filter(left)
            .count()
    };
    // 0.002 in on a piece 0.03 in long is noise; 1/16 in stands out.
    assert_eq!(broken(0.0, 0.0), 1);
    assert_eq!(broken(0.002, 0.0), 1);
    assert_eq!(broken(0.0625, 0.0), 2);
    // But not where half of the long lines rise by as much.
    assert_eq!(broken(0.0625, 0.0625), 1);
    assert_eq!(broken(0.0625, 0.03), 2);
}

#[test]
fn a_level_text_in_the_gap_of_an_upright_dimension_line_is_its_size() {
    let draft = |gap: [f64; 2]| {
        Draft::new("job.dxf")
            .case(0.0, 0.0, 36.0, 34.5, 0.75)
            .text("B1 FRONT", 10.0, -4.0, 1.5)
            .line(-1.0, 0.0, -5.5, 0.0)
            .line(-1.0, 34.5, -5.5, 34.5)
            .line(-5.0, 0.0, -5.0, gap[0])
            .line(-5.0, gap[1], -5.0, 34.5)
            .text("34 1/2\"", -5.3, 17.2, 1.4)
            .sheet()
    };
    let reading = find(&[draft([15.0, 19.5])], &names(&["B1"]));
    let view = &reading.views[0];
    assert_eq!(size(view), (36.0 * 25.4, 34.5 * 25.4));
    assert_eq!(mm(view), 25.4);
    // Beside an unbroken line it may be anything.
    let reading = find(&[draft([15.0, 15.0])], &names(&["B1"]));
    assert!(size(&reading.views[0]).0 > 36.0 * 25.4);
}

fn listed(cabinet: &str, mm: f64) -> ListedSize {
    ListedSize {
        cabinets: vec![cabinet.to_owned()],
        mm,
    }
}

/// A front and an end in centimetres, or in millimetres at 1:10, with these lengths and
/// widths in the list.
fn silent(sizes: &[f64], draft: impl Fn(Draft) -> Draft) -> Reading {
    let drawn = Draft::new("B1.dxf")
        .block("B1 FRONT")
        .case(0.0, 0.0, 61.2, 80.3, 1.1)
        .block("B1 END")
        .case(90.0, 0.0, 55.7, 80.3, 1.3);
    let hints = Hints {
        sizes: sizes.iter().map(|mm| listed("B1", *mm)).collect(),
        ..names(&["B1"])
    };
    find(&[draft(drawn).sheet()], &hints)
}

const LISTED: [f64; 6] = [612.0, 803.0, 557.0, 590.0, 531.0, 781.0];

#[test]
fn sizes_of_the_list_tell_a_scale_nothing_else_does() {
    let scale = |sizes: &[f64]| {
        let reading = silent(sizes, |draft| draft.text("GLAZE ROOM", 10.0, -6.0, 2.0));
        match &reading.views[0].scale {
            Scale::Known {
                mm_per_unit,
                evidence,
            } => Some((*mm_per_unit, evidence[0].clone())),
            Scale::Unknown { .. } => None,
        }
    };
    assert_eq!(scale(&[]), None);
    let (mm, evidence) = scale(&LISTED).unwrap();
    assert_eq!(mm, 10.0);
    assert_eq!(
        evidence,
        "6 of 6 sizes of the list are drawn where a drawing unit is 10 mm, at no other usual scale more than 0"
    );
    // One wrong size shifts nothing; too few that are met tell nothing.
    let with = |changed: &[(usize, f64)], more: &[f64]| {
        let mut sizes = LISTED.to_vec();
        for (at, size) in changed {
            sizes[*at] = *size;
        }
        sizes.extend(more);
        scale(&sizes).map(|known| known.0)
    };
    assert_eq!(with(&[], &[777.7]), Some(10.0));
    assert_eq!(with(&[(5, 777.7)], &[]), None);
    let three = [(3, 591.0), (4, 532.0), (5, 782.0)];
    assert_eq!(with(&three, &[777.7]), None);
}

#[test]
fn a_sheet_without_any_text_is_not_measured_by_the_list() {
    // Not even which way is up is told on it.
    let reading = silent(&LISTED, |draft| draft);
    let known = |view: &View| matches!(view.scale, Scale::Known { .. });
    assert!(!reading.views.iter().any(known), "{:?}", reading.views);
}

#[test]
fn a_header_that_the_sizes_of_the_list_speak_against_is_said() {
    let reading = silent(&LISTED, |draft| {
        draft.units(6).text("GLAZE ROOM", 10.0, -6.0, 2.0)
    });
    let said: Vec<&str> = reading.conflicts.iter().map(|c| c.1.as_str()).collect();
    assert_eq!(
        said,
        [
            "header: drawing unit is the metre ($INSUNITS 6), but 6 of 6 sizes of the list are drawn where a drawing unit is 10 mm, at no other usual scale more than 0"
        ]
    );
}

#[test]
fn a_header_that_no_stock_bears_out_gives_way_to_the_sizes_of_the_list() {
    // Sixty inches by eighty could be a cabinet's, of boards that no sheet comes in.
    let read = |sizes: &[f64], unit: i64| {
        let reading = silent(sizes, |draft| {
            draft.units(unit).text("GLAZE ROOM", 10.0, -6.0, 2.0)
        });
        (mm(&reading.views[0]), reading.conflicts.len())
    };
    assert_eq!(read(&[], 1), (25.4, 0));
    assert_eq!(read(&LISTED[..5], 1), (25.4, 0));
    assert_eq!(read(&LISTED, 1), (10.0, 1));
    assert_eq!(read(&LISTED, 5), (10.0, 0));
}

#[test]
fn a_header_that_another_sheet_belies_is_not_taken_alone() {
    let front = || {
        Draft::new("B1 FRONT.dxf")
            .units(1)
            .case(0.0, 0.0, 170.0, 88.0, 3.8)
            .dimension([0.0, 0.0], [170.0, 0.0], -8.0, None)
            .factor(5.0)
            .dimension([0.0, 0.0], [0.0, 88.0], -8.0, None)
            .factor(5.0)
            .sheet()
    };
    // Seventy-four inches by eighty-eight could be a cabinet's.
    let end = |height: f64| {
        Draft::new("B1 LEFT END.dxf")
            .units(1)
            .rect(0.0, 0.0, 74.0, height)
            .sheet()
    };
    let reading = find(&[end(88.0)], &names(&["B1"]));
    assert_eq!(mm(&reading.views[0]), 25.4);
    let reading = find(&[front(), end(88.0)], &names(&["B1"]));
    assert_eq!(mm(&reading.views[0]), 5.0);
    assert_eq!(mm(&reading.views[1]), 5.0);
    let reading = find(&[front(), end(86.0)], &names(&["B1"]));
    let Scale::Unknown { reason } = &reading.views[1].scale else {
        panic!("{:?}", reading.views[1].scale);
    };
    assert!(reason.contains("in B1 FRONT.dxf the dimensions show another"));
}

#[test]
fn names_alone_turn_a_sheet_when_all_of_them_read_one_way() {
    let of = |draft: Draft| {
        let reading = find(&[draft.sheet()], &names(&["B1", "B2"]));
        reading.views.iter().map(size).collect::<Vec<_>>()
    };
    let one = || {
        let draft = Draft::new("glaze room.dxf").units(4);
        draft
            .case(0.0, 0.0, 600.0, 720.0, 18.0)
            .text("B1", 270.0, -80.0, 40.0)
    };
    let two = || {
        one()
            .case(900.0, 0.0, 500.0, 720.0, 18.0)
            .text("B2", 1130.0, -80.0, 40.0)
    };
    let close = |found: &[(f64, f64)], right: &[(f64, f64)]| {
        let near = |(a, b): (&(f64, f64), &(f64, f64))| {
            (a.0 - b.0).abs() < 1e-6 && (a.1 - b.1).abs() < 1e-6
        };
        found.len() == right.len() && found.iter().zip(right).all(near)
    };
    let upright = [(600.0, 720.0), (500.0, 720.0)];
    assert!(close(&of(two()), &upright));
    assert!(close(&of(two().turned(90.0)), &upright));
    assert!(close(&of(two().turned(-90.0)), &upright));
    // One name may be written upright for want of room.
    assert!(close(&of(one().turned(90.0)), &[(720.0, 600.0)]));
}
