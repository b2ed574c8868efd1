//! Posts under a top that covers them, in plans of a few rectangles. A table 1200 × 600
//! on posts 60 × 60; sizes constructed.

use super::boxes::{Box, grid};
use crate::cabinet::posts::Posts;

/// Posts at the corners of a table that stand `inset` in from the outline of its top.
fn posts(inset: f64) -> Vec<Box> {
    let (wide, deep, post) = (1200.0, 600.0, 60.0);
    let ends = |size: f64| [(inset, inset + post), (size - inset - post, size - inset)];
    let mut out = Vec::new();
    for (x0, x1) in ends(wide) {
        for (y0, y1) in ends(deep) {
            out.push((x0, x1, y0, y1));
        }
    }
    out
}

const TOP: Box = (0.0, 1200.0, 0.0, 600.0);

/// Width and depth over the posts, and whether their own size is told.
fn found(seen: &[Box], hidden: &[Box], cue: bool) -> Option<(f64, f64, bool)> {
    let posts = Posts::find(&grid(seen, hidden, cue))?;
    assert!(posts.covered);
    Some((posts.width(), posts.depth(), !posts.unclear))
}

#[test]
fn hidden_posts_are_read_under_their_top() {
    assert_eq!(
        found(&[TOP], &posts(25.0), true),
        Some((1150.0, 550.0, true))
    );
    // Flush with it at all sides.
    assert_eq!(
        found(&[TOP], &posts(0.0), true),
        Some((1200.0, 600.0, true))
    );
    // With aprons between them.
    let mut framed = posts(25.0);
    framed.extend([
        (85.0, 1115.0, 37.0, 56.0),
        (85.0, 1115.0, 544.0, 563.0),
        (37.0, 56.0, 85.0, 515.0),
        (1144.0, 1163.0, 85.0, 515.0),
    ]);
    assert_eq!(found(&[TOP], &framed, true), Some((1150.0, 550.0, true)));
}

#[test]
fn what_may_be_something_else_is_no_post() {
    // Hidden edges that look like seen ones tell nothing.
    assert_eq!(found(&[TOP], &posts(25.0), false), None);
    // Three posts; or one of another size.
    assert_eq!(found(&[TOP], &posts(25.0)[1..], true), None);
    let mut odd = posts(25.0);
    odd[3] = (1085.0, 1175.0, 485.0, 575.0);
    assert_eq!(found(&[TOP], &odd, true), None);
    // Something else is seen from above.
    assert_eq!(
        found(&[TOP, (300.0, 500.0, 200.0, 400.0)], &posts(25.0), true),
        None
    );
    // Under the outline of the top alone there is nothing.
    assert_eq!(found(&[TOP], &[], true), None);
}
