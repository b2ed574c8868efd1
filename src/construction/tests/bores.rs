//! Bores as drawn on parts of their own.

use super::*;
use crate::cabinet::{DrawnPart, MeasuredCabinet, Style};
use crate::construction::checks::{Check, Facts, Topic, Verdict, all};
use crate::construction::job::JobFile;
use crate::linework::Linework;
use crate::trade::Role;
use crate::view::{Plane, Reading, Scale, Title, View, ViewArc, ViewKind};
use geo::{Coord, Rect};

/// A part's own drawing, millimetres, with circles: centre and diameter.
fn drawing(width: f64, height: f64, circles: &[(f64, f64, f64)]) -> View {
    drawing_of("", width, height, circles)
}

/// The same under a title.
pub(super) fn drawing_of(
    title: &str,
    width: f64,
    height: f64,
    circles: &[(f64, f64, f64)],
) -> View {
    View {
        sheet: 0,
        kind: ViewKind::FlatPart,
        kind_evidence: "a test".to_owned(),
        title: Some(Title {
            text: title.to_owned(),
            origin: "a test".to_owned(),
        }),
        cabinets: vec!["W1".to_owned()],
        scale: Scale::Known {
            mm_per_unit: 1.0,
            evidence: Vec::new(),
        },
        linework: Linework::default(),
        texts: Vec::new(),
        arcs: circles
            .iter()
            .map(|(x, y, diameter)| ViewArc {
                centre: Coord { x: *x, y: *y },
                radius: diameter / 2.0,
                full: true,
                hidden: false,
                source: 0,
            })
            .collect(),
        dimensions: Vec::new(),
        strips: Vec::new(),
        extents: Rect::new(
            Coord { x: 0.0, y: 0.0 },
            Coord {
                x: width,
                y: height,
            },
        ),
        to_drawing: geo::AffineTransform::identity(),
        plane: Plane::Xy,
        shows_hidden: false,
    }
}

/// A part on a drawing of its own.
fn flat(role: Role, across: &str, high: &str, view: usize) -> DrawnPart {
    let drawn = Drawn::new(Style::Frameless, ["1", "1", "1"])
        .part(role, Axis::Across, "0", across)
        .part(role, Axis::High, "0", high)
        .cabinet;
    let [mut part, other] = <[DrawnPart; 2]>::try_from(drawn.parts).expect("two parts");
    part.high = other.high;
    part.flat = true;
    for span in [&mut part.across, &mut part.high].into_iter().flatten() {
        span.view = view;
    }
    part
}

/// A cabinet W1 with doors 297 × 717 on drawings of their own, and these.
pub(super) fn cups_of<T>(
    mut cabinet: MeasuredCabinet,
    doors: &[T],
    draw: impl Fn(&T) -> View,
) -> (MeasuredCabinet, Vec<View>) {
    cabinet.id = "W1".to_owned();
    for view in 0..doors.len() {
        let door = flat(Role::Door, "297 mm", "717 mm", view);
        cabinet.parts.push(door);
    }
    (cabinet, doors.iter().map(draw).collect())
}

/// Constructed: wall cabinet 600 × 720 × 320 with its door 297 × 717 and its side as
/// drawings of their own.
fn cabinet() -> MeasuredCabinet {
    let mut cabinet = Drawn::new(Style::Frameless, ["600 mm", "720 mm", "320 mm"])
        .part(Role::Door, Axis::High, "1.5 mm", "718.5 mm")
        .cabinet;
    cabinet.id = "W1".to_owned();
    cabinet.parts.push(flat(Role::Door, "297 mm", "717 mm", 0));
    cabinet.parts.push(flat(Role::Side, "320 mm", "720 mm", 1));
    cabinet
}

fn wrong(door: &[(f64, f64, f64)], side: &[(f64, f64, f64)]) -> (usize, Vec<Check>) {
    let rules = JobFile::parse(
        "[job]\nunits = \"mm\"\n[sizes]\nhinge.edge = 5\nhinge.bore = 35\nplate.row = 37\n\
         plate.spacing = 32\n",
        "dryfit.toml",
    )
    .expect("a job file")
    .rules;
    let views = Reading {
        views: vec![drawing(297.0, 717.0, door), drawing(320.0, 720.0, side)],
        ..Reading::default()
    };
    let checks: Vec<Check> = all(&Facts {
        rules: &rules,
        cabinets: &[cabinet()],
        lists: &[],
        views: &views,
    })
    .into_iter()
    .filter(|check| check.topic == Topic::HingeBores)
    .collect();
    let wrong = checks
        .iter()
        .filter(|check| check.verdict == Verdict::Disagrees)
        .count();
    (wrong, checks)
}

/// Hinge cups 35 mm across at 5 + 17.5 from the edge; plate holes 5 mm across, 32 apart,
/// 37 from the front edge (32 mm system).
#[test]
fn cups_and_plates_where_they_belong() {
    let door = [(22.5, 98.5, 35.0), (22.5, 618.5, 35.0)];
    let heights = [84.0, 116.0, 604.0, 636.0];
    let side: Vec<_> = heights.iter().map(|y| (37.0, *y, 5.0)).collect();
    let (count, checks) = wrong(&door, &side);
    assert_eq!(count, 0, "{checks:#?}");
    assert_eq!(checks.len(), 2, "the cups, which are alike, and the plates");
    // The same side drawn upside down, lying, or from its other face.
    let turned: Vec<_> = heights
        .iter()
        .map(|y| (320.0 - 37.0, 720.0 - y, 5.0))
        .collect();
    assert_eq!(wrong(&door, &turned).0, 0);
    // One pair of plate holes 10 mm off.
    let off: Vec<_> = [84.0, 116.0, 614.0, 646.0]
        .iter()
        .map(|y| (37.0, *y, 5.0))
        .collect();
    assert_eq!(wrong(&door, &off).0, 1);
    // Plate row on the wrong line.
    let row: Vec<_> = heights.iter().map(|y| (32.0, *y, 5.0)).collect();
    assert_eq!(wrong(&door, &row).0, 1);
    // No holes of that size: nothing is said of plates.
    assert_eq!(wrong(&door, &[]).0, 0);
}

#[test]
fn cups_off_their_line_or_their_edge() {
    // On both sides of the door: not in one line.
    let (count, checks) = wrong(&[(22.5, 98.5, 35.0), (274.5, 618.5, 35.0)], &[]);
    assert_eq!(count, 1);
    assert!(
        checks[0].sentence.contains("not in one line"),
        "{}",
        checks[0].sentence
    );
    // Edge distance measured from the raw edge.
    assert_eq!(wrong(&[(20.5, 98.5, 35.0), (20.5, 618.5, 35.0)], &[]).0, 1);
    // Mirrored for the other hand: as right as before.
    assert_eq!(
        wrong(&[(274.5, 98.5, 35.0), (274.5, 618.5, 35.0)], &[]).0,
        0
    );
    // The same circle drawn twice is one bore; other circles are none.
    let twice = [(22.5, 98.5, 35.0), (22.5, 98.5, 35.0), (150.0, 300.0, 8.0)];
    let (count, checks) = wrong(&twice, &[]);
    assert_eq!((count, checks.len()), (0, 1));
}
