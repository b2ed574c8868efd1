//! What stands before a case, in ends and sections of a few lines.

use super::boxes::{Box, grid};
use crate::cabinet::faces::{self, Face, Faces};

/// The faces in a view of these rectangles.
fn find(boxes: &[Box]) -> Faces {
    faces::find(&grid(boxes, &[], false), None, false).unwrap()
}

/// A side, 560 deep and 720 high.
const SIDE: Box = (0.0, 560.0, 0.0, 720.0);

#[test]
fn a_door_before_the_case_is_no_part_of_its_depth() {
    let faces = find(&[SIDE, (-19.0, 0.0, 3.0, 717.0)]);
    assert_eq!(
        (faces.face, faces.front(), faces.rear),
        (Face::Fronts, Some(0.0), 560.0)
    );
}

#[test]
fn an_inset_door_does_not_move_the_front_of_the_case() {
    let faces = find(&[SIDE, (0.0, 19.0, 20.0, 700.0)]);
    assert_eq!((faces.face, faces.front()), (Face::Bare, Some(0.0)));
}

#[test]
fn cut_rails_are_a_frame_and_belong_to_the_depth() {
    let rails = [(-19.0, 0.0, 0.0, 38.0), (-19.0, 0.0, 682.0, 720.0)];
    let faces = find(&[SIDE, rails[0], rails[1]]);
    assert_eq!((faces.face, faces.front()), (Face::Frame, Some(-19.0)));
}

#[test]
fn a_frame_above_the_toe_space_stands_before_sides_without_a_notch() {
    let frame = [
        (-19.0, 0.0, 100.0, 720.0),
        (-19.0, 0.0, 100.0, 138.0),
        (-19.0, 0.0, 670.0, 720.0),
    ];
    let door = (-38.0, -19.0, 125.0, 682.0);
    let faces = find(&[SIDE, frame[0], frame[1], frame[2], door]);
    assert_eq!(
        (faces.face, faces.front(), faces.low),
        (Face::FrameAndFronts, Some(-19.0), 100.0)
    );
}

#[test]
fn fronts_flush_with_the_case_at_both_ends_may_be_a_frame() {
    let faces = find(&[SIDE, (-19.0, 0.0, 0.0, 400.0), (-19.0, 0.0, 403.0, 720.0)]);
    assert_eq!(faces.front(), None);
    let faces = find(&[SIDE, (-19.0, 0.0, 0.0, 720.0)]);
    assert_eq!((faces.face, faces.front()), (Face::FrameOrFront, None));
}

#[test]
fn an_open_door_does_not_count() {
    let faces = find(&[SIDE, (-450.0, 0.0, 20.0, 700.0)]);
    assert_eq!(faces.front(), Some(0.0));
}

#[test]
fn a_countertop_does_not_count() {
    let faces = find(&[SIDE, (-19.0, 0.0, 3.0, 717.0), (-32.0, 560.0, 720.0, 758.0)]);
    assert_eq!((faces.face, faces.front()), (Face::Fronts, Some(0.0)));
}
