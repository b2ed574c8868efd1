//! Strips beside a case, in fronts and plans of a few lines: what is one and what is
//! part of the case. Sizes are those of ordinary cases in millimetres (common practice,
//! no source).

use super::boxes::{self, Box};
use crate::cabinet::beside::{self, Beside, Strip};
use crate::cabinet::flanked;
use crate::cabinet::front;
use crate::cabinet::grid::Grid;
use crate::trade::Role;
use crate::view::StripName;
use geo::{Coord, Rect};

fn grid(seen: &[Box]) -> Grid {
    boxes::grid(seen, &[], true)
}

/// A case 800 wide and 720 high of 18 mm board from 0, with a shelf.
const CASE: [Box; 5] = [
    (0.0, 18.0, 0.0, 720.0),
    (782.0, 800.0, 0.0, 720.0),
    (18.0, 782.0, 0.0, 18.0),
    (18.0, 782.0, 702.0, 720.0),
    (18.0, 782.0, 350.0, 368.0),
];

fn with(more: &[Box]) -> Grid {
    grid(&[&CASE[..], more].concat())
}

fn across(strips: &[Strip]) -> Vec<(f64, f64)> {
    strips.iter().map(|strip| strip.across).collect()
}

fn ends(found: &Beside) -> [Vec<(f64, f64)>; 2] {
    [across(&found.left), across(&found.right)]
}

#[test]
fn a_bare_strip_at_one_end_stands_beside_the_case() {
    let found = beside::in_front(&with(&[(-60.0, 0.0, 0.0, 720.0)]));
    assert_eq!(ends(&found), [vec![(-60.0, 0.0)], vec![]]);
    let found = beside::in_front(&with(&[(800.0, 860.0, 0.0, 720.0)]));
    assert_eq!(ends(&found), [vec![], vec![(800.0, 860.0)]]);
}

#[test]
fn fillers_of_two_widths_stand_at_both_ends() {
    let grid = with(&[(-60.0, 0.0, 0.0, 720.0), (800.0, 890.0, 0.0, 720.0)]);
    let found = beside::in_front(&grid);
    assert_eq!(ends(&found), [vec![(-60.0, 0.0)], vec![(800.0, 890.0)]]);
    // What is left is the case.
    let size = front::size(&found.cut_from(&grid)).unwrap();
    assert!((size.0 - 800.0).abs() < 1e-6 && (size.1 - 720.0).abs() < 1e-6);
}

#[test]
fn a_filler_beside_an_end_panel_is_a_strip_of_its_own() {
    let found = beside::in_front(&with(&[
        (-18.0, 0.0, 0.0, 720.0),
        (-78.0, -18.0, 0.0, 720.0),
    ]));
    assert_eq!(ends(&found), [vec![(-78.0, -18.0), (-18.0, 0.0)], vec![]]);
}

#[test]
fn sides_alone_are_no_strips() {
    let found = beside::in_front(&with(&[]));
    assert!(found.is_empty() && found.doubt.is_none());
}

#[test]
fn board_thick_strips_at_both_ends_are_in_doubt() {
    let found = beside::in_front(&with(&[
        (-18.0, 0.0, 0.0, 720.0),
        (800.0, 818.0, 0.0, 720.0),
    ]));
    assert!(found.is_empty());
    let (left, right) = found.doubt.unwrap();
    assert_eq!((left.across, right.across), ((-18.0, 0.0), (800.0, 818.0)));
}

#[test]
fn what_the_case_ends_on_is_part_of_it() {
    // A face frame: the rails end on the stiles.
    let stiles = [(0.0, 38.0, 0.0, 720.0), (762.0, 800.0, 0.0, 720.0)];
    let rails = [(38.0, 762.0, 0.0, 38.0), (38.0, 762.0, 682.0, 720.0)];
    let found = beside::in_front(&grid(&[&stiles[..], &rails[..]].concat()));
    assert!(found.is_empty());
    // A strip with something drawn in it, as a divided bay has.
    let found = beside::in_front(&with(&[
        (-100.0, 0.0, 0.0, 720.0),
        (-100.0, 0.0, 300.0, 318.0),
    ]));
    assert!(found.is_empty());
    // A strip much wider than fillers are.
    let found = beside::in_front(&with(&[(-200.0, 0.0, 0.0, 720.0)]));
    assert!(found.is_empty());
}

#[test]
fn a_strip_ends_above_the_toe_space_and_a_panel_may_be_higher() {
    let found = beside::in_front(&with(&[(-60.0, 0.0, 100.0, 720.0)]));
    assert_eq!(ends(&found), [vec![(-60.0, 0.0)], vec![]]);
    assert_eq!(found.left[0].along, (100.0, 720.0));
    let found = beside::in_front(&with(&[(800.0, 818.0, 0.0, 760.0)]));
    assert_eq!(ends(&found), [vec![], vec![(800.0, 818.0)]]);
}

/// The plan of an open case 800 wide and 560 deep, front at 0: sides, back, bottom.
const PLAN: [Box; 4] = [
    (18.0, 782.0, 0.0, 552.0),
    (0.0, 18.0, 0.0, 560.0),
    (782.0, 800.0, 0.0, 560.0),
    (18.0, 782.0, 552.0, 560.0),
];

fn plan(more: &[Box]) -> Grid {
    grid(&[&PLAN[..], more].concat())
}

#[test]
fn a_plan_tells_panels_from_sides_by_the_board_next_to_them() {
    let panels = [(-18.0, 0.0, -18.0, 560.0), (800.0, 818.0, -18.0, 560.0)];
    let found = beside::in_plan(&plan(&panels));
    assert_eq!(ends(&found), [vec![(-18.0, 0.0)], vec![(800.0, 818.0)]]);
    let found = beside::in_plan(&plan(&panels[..1]));
    assert_eq!(ends(&found), [vec![(-18.0, 0.0)], vec![]]);
    let found = beside::in_plan(&plan(&[]));
    assert!(found.is_empty());
}

#[test]
fn the_depth_tells_a_filler_from_an_end_panel() {
    assert_eq!(beside::role(60.0, None), Some(Role::Filler));
    assert_eq!(beside::role(18.0, Some((0.0, 560.0))), Some(Role::EndPanel));
    assert_eq!(beside::role(18.0, Some((0.0, 19.0))), Some(Role::Filler));
    // As thin as a board, and no view shows how deep.
    assert_eq!(beside::role(18.0, None), None);
}

#[test]
fn a_strip_s_depth_is_read_where_the_plan_shows_nothing_else_in_it() {
    let drawn = plan(&[(-60.0, 0.0, 0.0, 19.0)]);
    assert_eq!(
        beside::deep_in_plan(&drawn, (-60.0, 0.0)),
        Some((0.0, 19.0))
    );
    let more = plan(&[(-60.0, 0.0, 0.0, 19.0), (-60.0, 0.0, 19.0, 38.0)]);
    assert_eq!(beside::deep_in_plan(&more, (-60.0, 0.0)), None);
}

#[test]
fn fronts_and_plans_are_left_without_what_stands_beside() {
    let mut fronts = [(0, with(&[(-60.0, 0.0, 0.0, 720.0)]))];
    let mut plans = [(1, plan(&[(-60.0, 0.0, 0.0, 19.0)]))];
    flanked::take(&mut fronts, &mut plans, &|_| &[]);
    let wide = |grid: &Grid| {
        let (low, high) = beside::across_of(grid).unwrap();
        (low, high)
    };
    assert_eq!(wide(&fronts[0].1), (0.0, 800.0));
    assert_eq!(wide(&plans[0].1), (0.0, 800.0));
}

#[test]
fn a_plan_settles_what_a_front_leaves_in_doubt() {
    let panels = [(-18.0, 0.0, 0.0, 720.0), (800.0, 818.0, 0.0, 720.0)];
    let above = [(-18.0, 0.0, 0.0, 560.0), (800.0, 818.0, 0.0, 560.0)];
    let mut fronts = [(0, with(&panels))];
    let mut plans = [(1, plan(&above))];
    flanked::take(&mut fronts, &mut plans, &|_| &[]);
    assert_eq!(beside::across_of(&fronts[0].1), Some((0.0, 800.0)));
    // Without it the front stays as it is.
    let mut fronts = [(0, with(&panels))];
    flanked::take(&mut fronts, &mut [], &|_| &[]);
    assert_eq!(beside::across_of(&fronts[0].1), Some((-18.0, 818.0)));
}

/// What a drawing calls a strip, by its outline's layer or by a text that begins there.
fn called(role: Role, (x0, x1, y0, y1): Box, outline: bool) -> StripName {
    StripName {
        role,
        word: "a name".to_owned(),
        at: Rect::new(Coord { x: x0, y: y0 }, Coord { x: x1, y: y1 }),
        outline,
    }
}

#[test]
fn names_settle_what_lines_leave_in_doubt() {
    let panels = [(-18.0, 0.0, 0.0, 720.0), (800.0, 818.0, 0.0, 720.0)];
    let taken = |names: &[StripName]| {
        let mut fronts = [(0, with(&panels))];
        flanked::take(&mut fronts, &mut [], &|_| names);
        beside::across_of(&fronts[0].1)
    };
    let text = |x: f64| called(Role::EndPanel, (x, x, 400.0, 400.0), false);
    let outline = |at: Box| called(Role::EndPanel, at, true);
    assert_eq!(taken(&[text(-300.0), text(900.0)]), Some((0.0, 800.0)));
    assert_eq!(
        taken(&[outline(panels[0]), outline(panels[1])]),
        Some((0.0, 800.0))
    );
    // One of them named, by a layer: it is one, and the other is not.
    assert_eq!(taken(&[outline(panels[1])]), Some((-18.0, 800.0)));
    // Texts in the case, over it, or at one end alone settle nothing.
    assert_eq!(taken(&[text(400.0), text(410.0)]), Some((-18.0, 818.0)));
    assert_eq!(taken(&[text(-300.0)]), Some((-18.0, 818.0)));
}
