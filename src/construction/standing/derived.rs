//! How measured names follow from each other.

use super::table::CAPTURED;
use super::{UNANSWERED, When};
use crate::cabinet::Style;

/// How a measured name is worked out when it is not drawn itself.
#[derive(Clone, Copy, Debug)]
pub struct Derived {
    pub name: &'static str,
    pub right: &'static str,
    pub when: When,
    pub style: Option<Style>,
}

const fn derived(
    name: &'static str,
    right: &'static str,
    style: Option<Style>,
    when: When,
) -> Derived {
    Derived {
        name,
        right,
        when,
        style,
    }
}

const FACE_FRAME: Option<Style> = Some(Style::FaceFrame);
const FRAMELESS: Option<Style> = Some(Style::Frameless);

/// Tried in order; the first whose sizes are all known is used.
pub const DERIVED: &[Derived] = &[
    derived("case.width", "overall.width", FRAMELESS, &[]),
    derived(
        "case.width",
        "overall.width - 2 * frame.overhang",
        FACE_FRAME,
        &[],
    ),
    derived(
        "case.width",
        "interior.width + 2 * side.thickness",
        FACE_FRAME,
        &[],
    ),
    derived(
        "case.height",
        "overall.height - base.height",
        None,
        &[("side", &["on-base"])],
    ),
    derived(
        "case.height",
        "overall.height",
        None,
        &[("side", &["to-floor", UNANSWERED])],
    ),
    derived("case.depth", "overall.depth", FRAMELESS, &[]),
    derived(
        "case.depth",
        "overall.depth - frame.thickness",
        FACE_FRAME,
        &[],
    ),
    derived("frame.width", "overall.width", FACE_FRAME, &[]),
    derived(
        "interior.width",
        "case.width - 2 * side.thickness",
        None,
        &[],
    ),
    derived(
        "interior.height",
        "overall.height - floor.height - top.thickness",
        None,
        &[("top", &["between", "over"])],
    ),
    derived(
        "interior.height",
        "overall.height - floor.height - stretcher.thickness",
        None,
        &[("top", &["none"])],
    ),
    derived(
        "interior.depth",
        "case.depth - rabbet.depth",
        None,
        &[("back", &["rabbet"])],
    ),
    derived(
        "interior.depth",
        "case.depth - back.thickness",
        None,
        &[("back", &["applied"])],
    ),
    derived(
        "interior.depth",
        "case.depth - back.scribe - back.thickness",
        None,
        &[("back", &["scribed"])],
    ),
    derived(
        "interior.depth",
        "case.depth - back.inset - back.thickness",
        None,
        &[CAPTURED],
    ),
    derived(
        "toe.setback",
        "toe.depth - frame.thickness",
        FACE_FRAME,
        &[],
    ),
    derived("toe.setback", "toe.depth", FRAMELESS, &[]),
    derived(
        "frame.overhang",
        "(overall.width - case.width) / 2",
        FACE_FRAME,
        &[],
    ),
    derived(
        "frame.thickness",
        "overall.depth - case.depth",
        FACE_FRAME,
        &[],
    ),
];
