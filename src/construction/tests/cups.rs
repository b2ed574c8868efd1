//! Doors drawn with their bores, held against each other where nothing is stated of
//! them. Cups 35 mm across with their rim 5 mm from the edge, so that their centres are
//! 22.5 from it (hinge makers' tables: rim distance and half of the cup); doors and
//! distances from the ends are constructed.

use super::bores::{cups_of, drawing_of};
use super::*;
use crate::construction::checks::{Facts, Topic, Verdict, all};
use crate::trade::Role;
use crate::view::Reading;

/// Title, distance of all cups from the left edge, their heights; doors 297 × 717.
type Door = (&'static str, f64, &'static [f64]);

/// What the report says is wrong of doors drawn so, one cabinet's; `more` adds to it.
fn wrong(doors: &[Door], more: impl Fn(Drawn) -> Drawn) -> Vec<String> {
    let cabinet = more(Drawn::new(
        crate::cabinet::Style::Frameless,
        ["600 mm", "720 mm", "320 mm"],
    ))
    .part(Role::Door, Axis::High, "1.5 mm", "718.5 mm")
    .cabinet;
    let (cabinet, views) = cups_of(cabinet, doors, |(title, x, heights)| {
        let circles: Vec<_> = heights.iter().map(|y| (*x, *y, 35.0)).collect();
        drawing_of(title, 297.0, 717.0, &circles)
    });
    let checks = all(&Facts {
        rules: &Rules::default(),
        cabinets: &[cabinet],
        lists: &[],
        views: &Reading {
            views,
            ..Reading::default()
        },
    });
    let wrong = checks
        .into_iter()
        .filter(|check| check.topic == Topic::HingeBores && check.verdict == Verdict::Disagrees);
    wrong.map(|check| check.sentence).collect()
}

const BOTH: &[f64] = &[98.5, 618.5];

#[test]
fn doors_of_one_size_are_bored_alike() {
    let left = ("W1 DOOR LEFT", 22.5, BOTH);
    let right = ("W1 DOOR RIGHT", 274.5, BOTH);
    let third = |x: f64, heights: &'static [f64]| ("W1 DOOR", x, heights);
    let table: [(Door, &str); 6] = [
        (third(22.5, BOTH), ""),
        // Upside down, unevenly bored: the same door drawn the other way up would fit.
        (third(22.5, &[98.5, 600.0]), "a door of the same size"),
        (third(22.5, &[120.0, 618.5]), "a door of the same size"),
        (third(22.5, &[98.5]), "a door of the same size"),
        (third(20.5, BOTH), "from the edge"),
        (third(276.5, BOTH), "from the edge"),
    ];
    for (door, says) in table {
        let found = wrong(&[left, right, door], |drawn| drawn);
        let right = match found.as_slice() {
            [] => says.is_empty(),
            [only] => !says.is_empty() && only.contains(says),
            _ => false,
        };
        assert!(right, "{door:?}: {found:?}");
    }
}

#[test]
fn a_door_may_be_drawn_either_end_up() {
    let doors = [
        ("W1 DOOR", 22.5, &[98.5, 600.0][..]),
        ("W1 DOOR", 22.5, &[117.0, 618.5][..]),
    ];
    assert!(wrong(&doors, |drawn| drawn).is_empty());
}

#[test]
fn a_pair_hinges_at_opposite_edges() {
    let pair = |x: f64| {
        let doors = [("W1 DOOR LEFT", 22.5, BOTH), ("W1 DOOR RIGHT", x, BOTH)];
        wrong(&doors, |drawn| drawn)
    };
    assert!(pair(274.5).is_empty());
    let found = pair(22.5);
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].contains("one hinges at the left"), "{found:?}");
}

#[test]
fn bores_keep_clear_of_fixed_shelves() {
    // A cup at 358.5 on the door is centred 360 above the case's lower edge.
    let door = ("W1 DOOR", 22.5, &[98.5, 358.5, 618.5][..]);
    let with = |from: &'static str, to: &'static str| {
        wrong(&[door], |drawn| {
            drawn.part(Role::FixedShelf, Axis::High, from, to)
        })
    };
    assert!(with("400 mm", "418 mm").is_empty());
    let found = with("351 mm", "369 mm");
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].contains("meets the fixed shelf"), "{found:?}");
}
