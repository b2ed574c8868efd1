//! What stands at the ends of a front above the floor, over feet that are seen below it.
//! Sizes are those of ordinary cases in millimetres (common practice, no source).

use super::boxes::{Box, grid};
use crate::cabinet::front::{Known, read};
use crate::cabinet::sides::narrower_feet;

/// Whether feet as thick as given and so far from the outline tell that the strips at both
/// ends are stiles: 1000 wide and 750 high over a toe space of 100, rails between them.
fn tell_stiles(strip: f64, foot: f64, off: f64) -> bool {
    let boxes: [Box; 7] = [
        (0.0, strip, 100.0, 850.0),
        (1000.0 - strip, 1000.0, 100.0, 850.0),
        (strip, 1000.0 - strip, 100.0, 150.0),
        (strip, 1000.0 - strip, 800.0, 850.0),
        (off, off + foot, 0.0, 100.0),
        (1000.0 - off - foot, 1000.0 - off, 0.0, 100.0),
        (off, 1000.0 - off, 0.0, 100.0),
    ];
    let grid = grid(&boxes, &[], false);
    let reading = read(&grid, &Known::default()).unwrap();
    narrower_feet(&grid, &reading, (0.0, strip))
}

#[test]
fn strips_over_feet_of_thinner_boards_are_stiles() {
    assert!(tell_stiles(38.0, 18.0, 3.0));
    assert!(!tell_stiles(18.0, 18.0, 0.0));
    // Of a side that stands on a base nothing is seen below but the end of that.
    assert!(!tell_stiles(18.0, 18.0, 6.0));
}
