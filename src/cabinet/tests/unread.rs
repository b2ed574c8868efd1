//! Cabinets none of whose views could be read, and the reason given for their sizes.

use super::boxes::{self, Box};
use super::truth::{Hidden, drawn};
use crate::cabinet::{Measured, measure};
use crate::view::{Scale, View, ViewKind};

/// A case lying on its side: 900 wide, 720 high and 560 deep of 18 mm board.
fn lying() -> Vec<View> {
    let case = |deep: f64| -> [Box; 3] {
        [
            (0.0, deep, 0.0, 900.0),
            (0.0, deep, 0.0, 18.0),
            (0.0, deep, 882.0, 900.0),
        ]
    };
    let view = |deep: f64, kind: ViewKind| {
        let segments = boxes::segments(&case(deep), &[]);
        drawn(segments, kind, Hidden::Dropped, "B1")
    };
    vec![view(720.0, ViewKind::Front), view(560.0, ViewKind::Plan)]
}

fn reason(views: &[View]) -> String {
    let cabinets = measure(views);
    let [cabinet] = cabinets.as_slice() else {
        panic!("{cabinets:?}");
    };
    let sizes = [
        &cabinet.overall.width,
        &cabinet.overall.depth,
        &cabinet.interior.height,
    ];
    let reasons = sizes.map(|size| match size {
        Measured::Known(measure) => panic!("{measure:?}"),
        Measured::Unknown { reason } => reason.clone(),
    });
    assert!(
        reasons.iter().all(|other| *other == reasons[0]),
        "{reasons:?}"
    );
    reasons[0].clone()
}

#[test]
fn the_sizes_of_a_cabinet_say_why_none_of_its_views_was_read() {
    assert_eq!(
        reason(&lying()),
        "its views lie on their side; turn the sheet so that the cabinet stands upright, or title the views with words that read from below"
    );
    let mut unscaled = lying();
    for view in &mut unscaled {
        view.scale = Scale::Unknown {
            reason: String::new(),
        };
    }
    assert_eq!(
        reason(&unscaled),
        "the scale of its views is not known; dimension one distance in them, or give the scale in the job file"
    );
    let mut untold = lying();
    for view in &mut untold {
        view.kind = ViewKind::Unknown;
    }
    assert_eq!(
        reason(&untold),
        "what its views show is not known; title them FRONT, END, SECTION or PLAN, or name them in the job file"
    );
}
