//! The relations themselves.

use super::{Each, FrontKind, Ground, Guard, Standing, UNANSWERED, When};

const fn by_answer(left: &'static str, right: &'static str, when: When) -> Standing {
    Standing {
        left,
        right,
        when,
        style: None,
        each: Each::Cabinet,
        ground: Ground::Answer,
        toe: None,
    }
}

const fn drawn(left: &'static str, right: &'static str, guard: Guard) -> Standing {
    Standing {
        left,
        right,
        when: &[],
        style: None,
        each: Each::Cabinet,
        ground: Ground::Geometry(guard),
        toe: None,
    }
}

const fn with_toe(toe: bool, relation: Standing) -> Standing {
    Standing {
        toe: Some(toe),
        ..relation
    }
}

const fn each(each: Each, relation: Standing) -> Standing {
    Standing { each, ..relation }
}

const DOOR: Each = Each::Front(FrontKind::Door, Some(1));
const PAIR: Each = Each::Front(FrontKind::Door, Some(2));
const DOORS: Each = Each::Front(FrontKind::Door, None);
const DRAWER: Each = Each::Front(FrontKind::Drawer, None);
/// The one drawer of an opening.
const ALONE: Each = Each::Front(FrontKind::Drawer, Some(1));

const NOT_OVER: (&str, &[&str]) = ("top", &["between", "grooved"]);
const OPEN_TOP: (&str, &[&str]) = ("top", &["none"]);
const STRETCHERS_IN: (&str, &[&str]) = ("stretcher", &["between", "grooved", UNANSWERED]);
const STRETCHERS_OVER: (&str, &[&str]) = ("stretcher", &["over"]);
const ANY_FOOT: (&str, &[&str]) = ("side", &["to-floor", "on-base"]);
const NOT_UNDER: (&str, &[&str]) = ("bottom", &["between", "grooved"]);
const OVER: (&str, &[&str]) = ("top", &["over"]);
const UNDER: (&str, &[&str]) = ("bottom", &["under"]);
pub(super) const CAPTURED: (&str, &[&str]) = ("back", &["captured"]);
const BEHIND: (&str, &[&str]) = ("back", &["rabbet", "applied", "scribed"]);
const END_BOTTOM: (&str, &[&str]) = ("back-end", &["bottom"]);
const END_CASE: (&str, &[&str]) = ("back-end", &["case"]);
const END_TOE: (&str, &[&str]) = ("back-end", &["toe"]);
const TO_BOTTOM: &str = "overall.height - floor.height + bottom.thickness";
const OVERLAY: When = &[("front", &["overlay"])];
const INSET: When = &[("front", &["inset"])];
const FULL: When = &[("front", &["full-overlay"])];
const COPED: When = &[("door-frame", &["cope-and-stick"])];
const MITRED: When = &[("door-frame", &["mitred"])];
const ANY_BOX: When = &[("drawer-box", &["side-mount", "undermount"])];
const ANY_CORNER: When = &[("box", &["butted", "jointed"])];

pub const STANDING: &[Standing] = &[
    // Sides.
    by_answer(
        "side.high",
        "case.height",
        &[("side", &["to-floor", "on-base"]), NOT_OVER, NOT_UNDER],
    ),
    by_answer(
        "side.high",
        "case.height - top.thickness",
        &[("side", &["to-floor", "on-base"]), OVER, NOT_UNDER],
    ),
    by_answer(
        "side.high",
        "case.height - bottom.thickness",
        &[("side", &["to-floor", "on-base"]), NOT_OVER, UNDER],
    ),
    by_answer(
        "side.high",
        "case.height - top.thickness - bottom.thickness",
        &[("side", &["to-floor", "on-base"]), OVER, UNDER],
    ),
    by_answer(
        "side.high",
        "case.height",
        &[ANY_FOOT, OPEN_TOP, STRETCHERS_IN, NOT_UNDER],
    ),
    by_answer(
        "side.high",
        "case.height - bottom.thickness",
        &[ANY_FOOT, OPEN_TOP, STRETCHERS_IN, UNDER],
    ),
    by_answer(
        "side.high",
        "case.height - stretcher.thickness",
        &[ANY_FOOT, OPEN_TOP, STRETCHERS_OVER, NOT_UNDER],
    ),
    by_answer(
        "side.high",
        "case.height - stretcher.thickness - bottom.thickness",
        &[ANY_FOOT, OPEN_TOP, STRETCHERS_OVER, UNDER],
    ),
    drawn("side.high", "case.height", Guard::SidesRunThrough),
    by_answer(
        "side.deep",
        "case.depth",
        &[("back", &["rabbet", "captured", "scribed"])],
    ),
    by_answer(
        "side.deep",
        "case.depth - back.thickness",
        &[("back", &["applied"])],
    ),
    drawn("side.deep", "case.depth", Guard::BackInsideSides),
    // Bottom and top.
    by_answer(
        "bottom.across",
        "interior.width",
        &[("bottom", &["between"])],
    ),
    by_answer(
        "bottom.across",
        "interior.width + 2 * groove.depth",
        &[("bottom", &["grooved"])],
    ),
    by_answer("bottom.across", "case.width", &[UNDER]),
    by_answer(
        "bottom.deep",
        "interior.depth",
        &[("bottom", &["between", "grooved"]), BEHIND],
    ),
    by_answer(
        "bottom.deep",
        "case.depth",
        &[("bottom", &["between", "grooved"]), CAPTURED],
    ),
    by_answer(
        "bottom.deep",
        "case.depth",
        &[UNDER, ("back", &["rabbet", "captured"])],
    ),
    by_answer(
        "bottom.deep",
        "case.depth - back.thickness",
        &[UNDER, ("back", &["applied"])],
    ),
    by_answer("top.across", "interior.width", &[("top", &["between"])]),
    by_answer(
        "top.across",
        "interior.width + 2 * groove.depth",
        &[("top", &["grooved"])],
    ),
    by_answer("top.across", "case.width", &[OVER]),
    by_answer(
        "top.deep",
        "interior.depth",
        &[("top", &["between", "grooved"]), BEHIND],
    ),
    by_answer(
        "top.deep",
        "case.depth",
        &[("top", &["between", "grooved"]), CAPTURED],
    ),
    by_answer(
        "top.deep",
        "case.depth",
        &[OVER, ("back", &["rabbet", "captured"])],
    ),
    by_answer(
        "top.deep",
        "case.depth - back.thickness",
        &[OVER, ("back", &["applied"])],
    ),
    // Stretchers.
    by_answer(
        "stretcher.across",
        "interior.width",
        &[("stretcher", &["between"])],
    ),
    by_answer(
        "stretcher.across",
        "interior.width + 2 * groove.depth",
        &[("stretcher", &["grooved"])],
    ),
    by_answer(
        "stretcher.across",
        "case.width",
        &[("stretcher", &["over"])],
    ),
    by_answer(
        "stretcher.deep",
        "stretcher.width",
        &[("stretcher", &["between", "grooved", "over"])],
    ),
    // Back.
    by_answer(
        "back.across",
        "interior.width + 2 * rabbet.width",
        &[("back", &["rabbet"])],
    ),
    by_answer(
        "back.across",
        "interior.width + 2 * rabbet.width",
        &[("back", &["scribed"])],
    ),
    by_answer("back.high", TO_BOTTOM, &[BEHIND, NOT_UNDER, END_BOTTOM]),
    with_toe(
        true,
        by_answer("back.high", TO_BOTTOM, &[BEHIND, NOT_UNDER, END_TOE]),
    ),
    by_answer("back.high", "case.height", &[BEHIND, END_CASE]),
    with_toe(
        false,
        by_answer("back.high", "case.height", &[BEHIND, END_TOE]),
    ),
    by_answer(
        "back.across",
        "interior.width + 2 * back.groove - 2 * back.play",
        &[CAPTURED],
    ),
    by_answer(
        "back.high",
        "interior.height + 2 * back.groove - 2 * back.play",
        &[CAPTURED],
    ),
    by_answer("back.across", "case.width", &[("back", &["applied"])]),
    // Dividers and shelves.
    by_answer(
        "divider.high",
        "interior.height",
        &[("divider", &["between"])],
    ),
    by_answer(
        "divider.high",
        "interior.height + 2 * groove.depth",
        &[("divider", &["grooved"])],
    ),
    by_answer(
        "divider.deep",
        "interior.depth",
        &[("divider", &["between", "grooved"])],
    ),
    each(
        Each::Bay,
        by_answer(
            "fixed-shelf.across",
            "bay.width",
            &[("fixed-shelf", &["between"])],
        ),
    ),
    each(
        Each::Bay,
        by_answer(
            "fixed-shelf.across",
            "bay.width + 2 * groove.depth",
            &[("fixed-shelf", &["grooved"])],
        ),
    ),
    by_answer(
        "fixed-shelf.deep",
        "interior.depth",
        &[("fixed-shelf", &["between", "grooved"]), BEHIND],
    ),
    each(
        Each::Bay,
        by_answer("shelf.across", "bay.width - 2 * shelf.clearance", &[]),
    ),
    by_answer(
        "shelf.deep",
        "interior.depth - shelf.setback - shelf.back-clearance",
        &[],
    ),
    // Toe kick and separate base.
    by_answer(
        "toe-kick.across",
        "case.width",
        &[("toe-kick", &["across"])],
    ),
    by_answer(
        "toe-kick.across",
        "interior.width",
        &[("toe-kick", &["between"])],
    ),
    by_answer(
        "toe-kick.high",
        "toe.height",
        &[("toe-kick", &["across", "between"])],
    ),
    by_answer(
        "base-rail.across",
        "case.width - 2 * base.setback-side",
        &[("base", &["rails-through"])],
    ),
    by_answer(
        "base-end.deep",
        "case.depth - toe.setback - base.setback-back - 2 * base.thickness",
        &[("base", &["rails-through"])],
    ),
    by_answer(
        "base-rail.across",
        "case.width - 2 * base.setback-side - 2 * base.thickness",
        &[("base", &["ends-through"])],
    ),
    by_answer(
        "base-end.deep",
        "case.depth - toe.setback - base.setback-back",
        &[("base", &["ends-through"])],
    ),
    by_answer(
        "base-rail.high",
        "base.height",
        &[("base", &["rails-through", "ends-through"])],
    ),
    by_answer(
        "base-end.high",
        "base.height",
        &[("base", &["rails-through", "ends-through"])],
    ),
    // Face frame.
    by_answer(
        "rail.across",
        "frame.width - 2 * stile.width",
        &[("frame", &["butted"])],
    ),
    by_answer(
        "rail.across",
        "frame.width - 2 * stile.width + 2 * rail.tenon",
        &[("frame", &["tenoned"])],
    ),
    by_answer(
        "stile.high",
        "frame.height",
        &[("frame", &["butted", "tenoned"])],
    ),
    drawn("stile.high", "frame.height", Guard::Frame),
    by_answer(
        "stile.across",
        "stile.width",
        &[("frame", &["butted", "tenoned"])],
    ),
    by_answer(
        "rail.high",
        "rail.width",
        &[("frame", &["butted", "tenoned"])],
    ),
    by_answer(
        "mid-stile.across",
        "mid-stile.width",
        &[("frame", &["butted", "tenoned"])],
    ),
    // Doors and drawer fronts.
    each(
        DOOR,
        by_answer("door.across", "opening.width + 2 * overlay", OVERLAY),
    ),
    each(
        PAIR,
        by_answer(
            "door.across",
            "(opening.width + 2 * overlay - gap) / 2",
            OVERLAY,
        ),
    ),
    each(
        DOORS,
        by_answer("door.high", "opening.height + 2 * overlay", OVERLAY),
    ),
    each(
        DOOR,
        by_answer("door.across", "opening.width - 2 * reveal", INSET),
    ),
    each(
        PAIR,
        by_answer(
            "door.across",
            "(opening.width - 2 * reveal - gap) / 2",
            INSET,
        ),
    ),
    each(
        DOORS,
        by_answer("door.high", "opening.height - 2 * reveal", INSET),
    ),
    each(
        DOOR,
        by_answer(
            "door.across",
            "opening.width + cover.left + cover.right",
            FULL,
        ),
    ),
    each(
        PAIR,
        by_answer(
            "door.across",
            "(opening.width + cover.left + cover.right - gap) / 2",
            FULL,
        ),
    ),
    each(
        DOORS,
        by_answer(
            "door.high",
            "opening.height + cover.below + cover.above",
            FULL,
        ),
    ),
    each(
        DRAWER,
        by_answer(
            "drawer-front.across",
            "opening.width + 2 * overlay",
            OVERLAY,
        ),
    ),
    each(
        ALONE,
        by_answer("drawer-front.high", "opening.height + 2 * overlay", OVERLAY),
    ),
    each(
        DRAWER,
        by_answer("drawer-front.across", "opening.width - 2 * reveal", INSET),
    ),
    each(
        ALONE,
        by_answer("drawer-front.high", "opening.height - 2 * reveal", INSET),
    ),
    each(
        DRAWER,
        by_answer(
            "drawer-front.across",
            "opening.width + cover.left + cover.right",
            FULL,
        ),
    ),
    each(
        ALONE,
        by_answer(
            "drawer-front.high",
            "opening.height + cover.below + cover.above",
            FULL,
        ),
    ),
    // Framed doors.
    each(DOORS, by_answer("door-stile.high", "door.high", COPED)),
    each(DOORS, by_answer("door-stile.high", "door.high", MITRED)),
    each(
        DOORS,
        by_answer("door-stile.across", "door-stile.width", COPED),
    ),
    each(
        DOORS,
        by_answer(
            "door-rail.across",
            "door.across - 2 * door-stile.width + 2 * tongue",
            COPED,
        ),
    ),
    each(DOORS, by_answer("door-rail.across", "door.across", MITRED)),
    each(DOORS, by_answer("door-rail.high", "door-rail.width", COPED)),
    each(
        DOORS,
        by_answer(
            "door-panel.across",
            "door.across - 2 * door-stile.width + 2 * panel.groove - panel.play",
            &[("door-frame", &["cope-and-stick", "mitred"])],
        ),
    ),
    each(
        DOORS,
        by_answer(
            "door-panel.high",
            "door.high - 2 * door-rail.width + 2 * panel.groove - panel.play",
            &[("door-frame", &["cope-and-stick", "mitred"])],
        ),
    ),
    // Drawer boxes.
    each(
        DRAWER,
        by_answer(
            "drawer-box.across",
            "opening.width - 2 * slide.clearance",
            &[("drawer-box", &["side-mount"])],
        ),
    ),
    each(
        DRAWER,
        by_answer(
            "drawer-box.across",
            "opening.width - slide.inside-allowance + 2 * box.thickness",
            &[("drawer-box", &["undermount"])],
        ),
    ),
    each(
        ALONE,
        by_answer(
            "drawer-box.high",
            "opening.height - box.height-clearance",
            ANY_BOX,
        ),
    ),
    each(
        DRAWER,
        by_answer("drawer-box.deep", "slide.length", ANY_BOX),
    ),
    each(
        DRAWER,
        by_answer("box-side.deep", "drawer-box.deep", ANY_CORNER),
    ),
    each(
        ALONE,
        by_answer("box-side.high", "drawer-box.high", ANY_CORNER),
    ),
    each(
        DRAWER,
        by_answer(
            "box-front.across",
            "drawer-box.across - 2 * box.thickness",
            &[("box", &["butted"])],
        ),
    ),
    each(
        DRAWER,
        by_answer(
            "box-front.across",
            "drawer-box.across - 2 * box.thickness + 2 * box.joint",
            &[("box", &["jointed"])],
        ),
    ),
    each(
        ALONE,
        by_answer("box-front.high", "drawer-box.high", ANY_CORNER),
    ),
    each(
        DRAWER,
        by_answer(
            "box-back.across",
            "drawer-box.across - 2 * box.thickness",
            &[("box", &["butted"])],
        ),
    ),
    each(
        DRAWER,
        by_answer(
            "box-back.across",
            "drawer-box.across - 2 * box.thickness + 2 * box.joint",
            &[("box", &["jointed"])],
        ),
    ),
    each(
        ALONE,
        by_answer("box-back.high", "drawer-box.high", ANY_CORNER),
    ),
    each(
        DRAWER,
        by_answer(
            "box-bottom.across",
            "drawer-box.across - 2 * box.thickness + 2 * box.groove",
            &[("box-bottom", &["grooved"])],
        ),
    ),
    each(
        DRAWER,
        by_answer(
            "box-bottom.deep",
            "drawer-box.deep - 2 * box.thickness + 2 * box.groove",
            &[("box-bottom", &["grooved"])],
        ),
    ),
    each(
        DRAWER,
        by_answer(
            "box-bottom.across",
            "drawer-box.across",
            &[("box-bottom", &["under"])],
        ),
    ),
    each(
        DRAWER,
        by_answer(
            "box-bottom.deep",
            "drawer-box.deep",
            &[("box-bottom", &["under"])],
        ),
    ),
    // End panels and fillers.
    by_answer(
        "end-panel.high",
        "overall.height",
        &[("end-panel", &["to-floor"])],
    ),
    by_answer(
        "end-panel.high",
        "overall.height - toe.height",
        &[("end-panel", &["above-toe"])],
    ),
    by_answer(
        "end-panel.deep",
        "overall.depth + end-panel.beyond",
        &[("end-panel", &["to-floor", "above-toe"])],
    ),
    by_answer(
        "filler.high",
        "overall.height",
        &[("filler", &["to-floor"])],
    ),
    by_answer(
        "filler.high",
        "overall.height - toe.height",
        &[("filler", &["above-toe"])],
    ),
    by_answer("filler.across", "filler.width", &[]),
    // A countertop of one cabinet; tops over a run are checked as a run.
    by_answer(
        "countertop.across",
        "overall.width + countertop.overhang-left + countertop.overhang-right",
        &[],
    ),
    by_answer(
        "countertop.deep",
        "overall.depth + countertop.overhang-front + countertop.overhang-back",
        &[],
    ),
    // Stock thickness.
    by_answer("side.across", "side.thickness", &[]),
    by_answer("divider.across", "divider.thickness", &[]),
    by_answer("bottom.high", "bottom.thickness", &[]),
    by_answer("top.high", "top.thickness", &[]),
    by_answer("stretcher.high", "stretcher.thickness", &[]),
    by_answer("shelf.high", "shelf.thickness", &[]),
    by_answer("fixed-shelf.high", "shelf.thickness", &[]),
    by_answer("back.deep", "back.thickness", &[]),
    by_answer("stile.deep", "frame.thickness", &[]),
    by_answer("rail.deep", "frame.thickness", &[]),
    by_answer("mid-stile.deep", "frame.thickness", &[]),
    by_answer("box-side.across", "box.thickness", &[]),
    by_answer("box-front.deep", "box.thickness", &[]),
    by_answer("box-back.deep", "box.thickness", &[]),
    by_answer("box-bottom.high", "box.bottom-thickness", &[]),
    by_answer("door.deep", "front.thickness", &[]),
    by_answer("drawer-front.deep", "front.thickness", &[]),
    by_answer("door-stile.deep", "front.thickness", &[]),
    by_answer("door-rail.deep", "front.thickness", &[]),
    by_answer("door-panel.deep", "panel.thickness", &[]),
    by_answer("toe-kick.deep", "toe-kick.thickness", &[]),
    by_answer("base-rail.deep", "base.thickness", &[]),
    by_answer("base-end.across", "base.thickness", &[]),
    by_answer("end-panel.across", "end-panel.thickness", &[]),
    by_answer("filler.deep", "filler.thickness", &[]),
    by_answer("access-panel.deep", "access-panel.thickness", &[]),
    by_answer("countertop.high", "countertop.sheet", &[]),
    // Bought things made to a length.
    by_answer("slide.deep", "slide.length", &[]),
];
