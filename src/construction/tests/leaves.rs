//! Leaves that the list knows better than their shape tells. Constructed.

use super::inferred::{list, row};
use super::*;
use crate::cabinet::Style;
use crate::construction::leaves;
use crate::cutlist::Row;
use crate::trade::Role;

/// Roles of the drawn leaves, one on each opening: width and height in inches with the
/// role their shape gave them, once the list is read.
fn settled(drawn: &[(Role, &str, &str)], rows: Vec<Row>) -> Vec<Role> {
    let mut unit = Drawn::new(Style::FaceFrame, ["18", "34 1/2", "24"]);
    for (opening, (role, wide, high)) in drawn.iter().enumerate() {
        unit = unit
            .opening("1 1/2", "15", "4", "20")
            .part(*role, Axis::Across, "0", wide);
        let part = unit.cabinet.parts.last_mut().expect("a part");
        part.opening = Some(opening);
        let high = Drawn::new(Style::FaceFrame, ["1", "1", "1"]).part(*role, Axis::High, "0", high);
        part.high = high.cabinet.parts[0].high.clone();
    }
    let mut cabinets = [unit.cabinet];
    leaves::settle(&mut cabinets, &[list(rows)]);
    cabinets[0].parts.iter().map(|part| part.role).collect()
}

fn front(line: usize, role: Role, high: &str, wide: &str, count: u32) -> Row {
    let mut row = row(line, "B1", role, high, wide);
    row.quantity.count = count;
    row
}

#[test]
fn the_list_says_what_shape_does_not() {
    use Role::{Door, DrawerFront};
    // A pull-out: higher than wide, and listed as a drawer front.
    let pull_out = [(DrawerFront, "16", "6"), (Door, "16", "22")];
    let listed = |role: Role| {
        vec![
            front(2, DrawerFront, "6", "16", 1),
            front(3, role, "22", "16", 1),
        ]
    };
    assert_eq!(
        settled(&pull_out, listed(DrawerFront)),
        [DrawerFront, DrawerFront]
    );
    assert_eq!(settled(&pull_out, listed(Door)), [DrawerFront, Door]);
    // A flap: wider than high, and listed as a door.
    let flap = [(DrawerFront, "29 7/8", "14 7/8")];
    let door = front(2, Door, "14 7/8", "29 7/8", 1);
    assert_eq!(settled(&flap, vec![door]), [Door]);
    // A size wrong by an inch changes nothing of what it is.
    assert_eq!(
        settled(&flap, vec![front(2, Door, "13 7/8", "29 7/8", 1)]),
        [Door]
    );
    // Of two, the one that the doors' row does not fit.
    let two = [(Door, "16", "22"), (Door, "16", "28")];
    let rows = vec![
        front(2, Door, "22", "16", 1),
        front(3, DrawerFront, "28", "16", 1),
    ];
    assert_eq!(settled(&two, rows), [Door, DrawerFront]);
}

#[test]
fn a_row_that_names_its_cabinet_twice_counts_once() {
    use Role::{Door, DrawerFront};
    let drawn = [(Door, "16", "22"), (Door, "16", "28")];
    let mut drawer = front(3, DrawerFront, "28", "16", 1);
    drawer.cabinets = vec!["B1".to_owned(), "b1".to_owned()];
    let rows = vec![front(2, Door, "22", "16", 1), drawer];
    assert_eq!(settled(&drawn, rows), [Door, DrawerFront]);
}
