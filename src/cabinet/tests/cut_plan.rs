//! Plans cut through a case with nothing drawn across its front. Sizes are those of
//! ordinary cases in millimetres (common practice, no source).

use super::boxes::{self, Box};
use crate::cabinet::orient;
use crate::cabinet::placed::Turned;

/// Sides and a back nailed on behind them, 800 wide and 568 deep in all.
const CUT: [Box; 3] = [
    (0.0, 18.0, 0.0, 560.0),
    (782.0, 800.0, 0.0, 560.0),
    (0.0, 800.0, 560.0, 568.0),
];

/// Overall and clear depth.
fn depths(boxes: &[Box]) -> Option<(f64, f64)> {
    let grid = boxes::grid(boxes, &[], false);
    let (_, _, reading, turned) = orient::plan(&grid, false).ok()?;
    let front = reading.faces.front()?;
    assert_eq!(turned, Turned::Sure);
    let clear = reading.back?.t0 - reading.faces.case_front;
    Some((reading.faces.rear - front, clear))
}

#[test]
fn an_open_case_is_bounded_by_the_front_ends_of_its_sides() {
    assert_eq!(depths(&CUT), Some((568.0, 560.0)));
    let upside_down = CUT.map(|(x0, x1, y0, y1)| (x0, x1, -y1, -y0));
    assert_eq!(depths(&upside_down), Some((568.0, 560.0)));
}

#[test]
fn stiles_cut_before_the_sides_are_its_frame() {
    let stiles = [(-3.0, 38.0, -19.0, 0.0), (762.0, 803.0, -19.0, 0.0)];
    let framed = [&CUT[..], &stiles].concat();
    assert_eq!(depths(&framed), Some((587.0, 560.0)));
}
