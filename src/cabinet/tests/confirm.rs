//! Fronts that show, or don't, that the strips at the ends of a plan are the sides. Sizes
//! are those of ordinary cases in millimetres (common practice, no source).

use super::boxes::{self, Box};
use crate::cabinet::confirm::{draws, open_above};
use crate::cabinet::grid::Grid;
use crate::cabinet::reading::Range;
use crate::cabinet::side;

/// A door front 800 wide and 720 high over feet 100 high, sides 18 thick.
const DOORS: [Box; 2] = [(2.0, 399.0, 102.0, 718.0), (401.0, 798.0, 102.0, 718.0)];
const SIDES: [Box; 2] = [(0.0, 18.0, 0.0, 720.0), (782.0, 800.0, 0.0, 720.0)];
const OF_SIDES: (Range, Range) = ((0.0, 18.0), (782.0, 800.0));
const LET_IN: (Range, Range) = ((0.0, 12.0), (788.0, 800.0));

/// The outline, with feet as thick as given under doors or drawer fronts.
fn on_feet(thick: f64) -> Grid {
    let feet = [
        (0.0, thick, 0.0, 102.0),
        (800.0 - thick, 800.0, 0.0, 102.0),
        (0.0, 800.0, 0.0, 720.0),
    ];
    boxes::grid(&[&DOORS[..], &feet[..]].concat(), &[], true)
}

#[test]
fn feet_under_the_doors_show_how_thick_the_sides_are() {
    assert!(draws(&on_feet(18.0), 800.0, OF_SIDES));
    assert!(!draws(&on_feet(18.0), 800.0, LET_IN));
    assert!(!draws(&on_feet(18.0), 790.0, OF_SIDES));
    // The doors of a case without feet end where nothing goes on past them.
    let doors = [(18.0, 399.0, 0.0, 102.0), (401.0, 782.0, 0.0, 102.0)];
    let upper = [(18.0, 782.0, 105.0, 720.0), (0.0, 800.0, 0.0, 720.0)];
    let low = boxes::grid(&[&doors[..], &upper[..]].concat(), &[], false);
    assert!(!draws(&low, 800.0, OF_SIDES));
}

#[test]
fn hidden_faces_behind_the_doors_show_the_sides() {
    let outline: Box = (0.0, 800.0, 0.0, 720.0);
    let seen = [&DOORS[..], &[outline]].concat();
    let with = |hidden: &[Box]| boxes::grid(&seen, hidden, true);
    assert!(draws(&with(&SIDES), 800.0, OF_SIDES));
    assert!(!draws(&with(&SIDES), 800.0, LET_IN));
    // The edge of a back let in as deep as a top, with the face of the side beside it.
    let back = (12.0, 788.0, 102.0, 720.0);
    let both = [&SIDES[..], &[back]].concat();
    assert!(!draws(&with(&both), 800.0, LET_IN));
    assert!(draws(&with(&both), 800.0, OF_SIDES));
    // So with the sides' edges seen, and nothing before them.
    let open = [&SIDES[..], &[outline]].concat();
    let open = boxes::grid(&open, &[back], true);
    assert!(!draws(&open, 800.0, LET_IN));
    // Where hidden edges look like any other nothing tells them from doors'.
    let plain = boxes::grid(&[&seen[..], &SIDES, &[back]].concat(), &[], false);
    assert!(!draws(&plain, 800.0, OF_SIDES));
}

#[test]
fn stretchers_without_a_top_leave_the_sides_to_be_seen_from_above() {
    // A section 560 deep: the case, its bottom, and what is at the top.
    let section = |top: &[Box]| {
        let case = [
            (0.0, 560.0, 0.0, 720.0),
            (0.0, 552.0, 0.0, 18.0),
            (552.0, 560.0, 0.0, 720.0),
        ];
        let grid = boxes::grid(&[&case[..], top].concat(), &[], false);
        side::read(&grid, true, false).unwrap()
    };
    let stretchers = [(0.0, 100.0, 702.0, 720.0), (452.0, 552.0, 702.0, 720.0)];
    assert!(open_above(&section(&stretchers)));
    assert!(!open_above(&section(&[(0.0, 552.0, 702.0, 720.0)])));
}
