//! A boring list against its cabinets' doors. Constructed; the cup's centre is its rim's
//! distance and half of its diameter (hinge makers' tables).

use super::bores::cups_of;
use super::hinges::{bored, cell, run, wrong};
use super::*;
use crate::cabinet::{MeasuredCabinet, Style};
use crate::cutlist::*;
use crate::trade::Dimension;

/// Drawn with one door 297 × 717.
fn cabinet() -> MeasuredCabinet {
    let drawn = Drawn::new(Style::Frameless, ["600 mm", "720 mm", "320 mm"]).cabinet;
    let (mut cabinet, _) = cups_of(drawn, &[()], |()| {
        super::bores::drawing_of("W1 DOOR", 297.0, 717.0, &[])
    });
    for part in &mut cabinet.parts {
        part.flat = false;
    }
    cabinet
}

fn door(line: usize, part: &str) -> BoringRow {
    let mut row = bored(
        line,
        "W1",
        &[(FromEdge::Bottom, "98.5"), (FromEdge::Top, "98.5")],
    );
    row.part = part.to_owned();
    row
}

#[test]
fn its_doors_have_the_sizes_of_the_cabinets_doors() {
    for (high, wide, says) in [
        ("717", "297", ""),
        ("713", "297", "bored as a door"),
        ("717", "293", "bored as a door"),
        ("297", "717", "bored as a door"),
    ] {
        let mut row = door(2, "Door");
        row.sizes = vec![cell(Dimension::Height, high), cell(Dimension::Width, wide)];
        let checks = run("", &[cabinet()], vec![row]);
        let found: Vec<&str> = wrong(&checks)
            .into_iter()
            .filter(|sentence| sentence.contains("bored as"))
            .collect();
        assert_eq!(
            found.is_empty(),
            says.is_empty(),
            "{high} {wide}: {found:?}"
        );
    }
}

#[test]
fn a_pairs_doors_hinge_at_their_own_sides() {
    let judged = |left: Hand, right: Hand| {
        let mut rows = [door(2, "Left door"), door(3, "Right door")];
        rows[0].hinge_side = Some(left);
        rows[1].hinge_side = Some(right);
        let checks = run("", &[cabinet()], rows.to_vec());
        let hinge = |sentence: &&str| sentence.contains("hinge side is listed");
        wrong(&checks).into_iter().filter(hinge).count()
    };
    assert_eq!(judged(Hand::Left, Hand::Right), 0);
    assert_eq!(judged(Hand::Left, Hand::Left), 1);
    assert_eq!(judged(Hand::Right, Hand::Left), 2);
}

#[test]
fn centres_are_as_far_from_the_edge_on_all_doors() {
    let judged = |centres: [&str; 3]| {
        let rows = centres.iter().enumerate().map(|(line, centre)| {
            let mut row = door(line + 2, "Door");
            row.centre_from_edge = Some(cell(Dimension::Width, centre));
            row
        });
        let checks =
            super::hinges::run_with("", "[job]\nunits = \"mm\"\n", &[cabinet()], rows.collect());
        let centre = |sentence: &&str| sentence.contains("from the hinge edge");
        wrong(&checks).into_iter().filter(centre).count()
    };
    assert_eq!(judged(["22.5", "22.5", "22.5"]), 0);
    assert_eq!(judged(["22.5", "20.5", "22.5"]), 1);
    // One against one and another tells nothing.
    assert_eq!(judged(["22.5", "20.5", "24.5"]), 0);
}
