//! Shelves between dividers.

use super::*;
use crate::cabinet::Style;
use crate::trade::Role;

fn case() -> Drawn {
    Drawn::new(Style::Frameless, ["900 mm", "720 mm", "320 mm"])
        .interior_width("18 mm", "864 mm")
        .interior_height("18 mm", "684 mm")
}

fn divider(mut drawn: Drawn, across: [&str; 2], high: [&str; 2]) -> Drawn {
    let other = case()
        .part(Role::Divider, Axis::Across, across[0], across[1])
        .part(Role::Divider, Axis::High, high[0], high[1])
        .cabinet
        .parts;
    let [mut part, second] = <[_; 2]>::try_from(other).expect("two parts");
    part.high = second.high;
    drawn.cabinet.parts.push(part);
    drawn
}

fn shelves(drawn: &Drawn) -> Vec<Length> {
    let rules = rules("frameless-captured", &[("shelf.clearance", "1 mm")]);
    let mut shelves = expected(&rules, drawn, "shelf.across");
    shelves.sort();
    shelves
}

fn mm(sizes: &[&str]) -> Vec<Length> {
    sizes
        .iter()
        .map(|text| size(&format!("{text} mm")))
        .collect()
}

#[test]
fn one_bay_two_bays_unequal_bays() {
    assert_eq!(shelves(&case()), mm(&["862"]));
    let middle = divider(case(), ["441 mm", "459 mm"], ["18 mm", "702 mm"]);
    assert_eq!(shelves(&middle), mm(&["421"]));
    let aside = divider(case(), ["300 mm", "318 mm"], ["18 mm", "702 mm"]);
    assert_eq!(shelves(&aside), mm(&["280", "562"]));
}

#[test]
fn a_short_divider_leaves_room_for_a_full_shelf() {
    let short = divider(case(), ["441 mm", "459 mm"], ["18 mm", "400 mm"]);
    assert_eq!(shelves(&short), mm(&["421", "862"]));
}

#[test]
fn dividers_at_different_heights_do_not_make_bays_together() {
    let lower = divider(case(), ["300 mm", "318 mm"], ["18 mm", "350 mm"]);
    let both = divider(lower, ["600 mm", "618 mm"], ["350 mm", "702 mm"]);
    assert_eq!(shelves(&both), mm(&["262", "280", "562", "580"]));
}

#[test]
fn a_gap_between_two_dividers_is_no_bay() {
    let first = divider(case(), ["420 mm", "438 mm"], ["18 mm", "702 mm"]);
    let double = divider(first, ["462 mm", "480 mm"], ["18 mm", "702 mm"]);
    assert_eq!(shelves(&double), mm(&["400"]));
}
