//! The ways listed sizes may have come about, and the relations each bears on.

use crate::construction::names::PartName;
use crate::construction::standing::{self, Ground, Read};
use crate::trade::{Axis, Role};
use std::sync::LazyLock;

/// One way the listed sizes may have come about.
pub(super) struct Hypothesis {
    /// Choice and answer; empty for a parameter that belongs to no choice.
    pub choice: &'static str,
    pub answer: &'static str,
    /// The size it brings, and the largest it may be.
    pub parameter: Option<(&'static str, Most)>,
    /// Sizes taken as nothing while it is tried.
    pub nothing: &'static [&'static str],
}

/// The largest value a parameter may sensibly have.
#[derive(Clone, Copy)]
pub(super) enum Most {
    Inches(i64, i64),
    /// Less than this size of the cabinet.
    Below(&'static str),
}

const fn plain(choice: &'static str, answer: &'static str) -> Hypothesis {
    Hypothesis {
        choice,
        answer,
        parameter: None,
        nothing: &[],
    }
}

const fn with(
    choice: &'static str,
    answer: &'static str,
    parameter: &'static str,
    most: Most,
    nothing: &'static [&'static str],
) -> Hypothesis {
    Hypothesis {
        choice,
        answer,
        parameter: Some((parameter, most)),
        nothing,
    }
}

const SIDE: Most = Most::Below("side.thickness");

/// In this order, so that later ones may build on earlier ones.
const HYPOTHESES: &[Hypothesis] = &[
    plain("bottom", "between"),
    with("bottom", "grooved", "groove.depth", SIDE, &[]),
    plain("bottom", "under"),
    plain("top", "between"),
    with("top", "grooved", "groove.depth", SIDE, &[]),
    plain("top", "over"),
    plain("stretcher", "between"),
    with("stretcher", "grooved", "groove.depth", SIDE, &[]),
    plain("stretcher", "over"),
    plain("fixed-shelf", "between"),
    with("fixed-shelf", "grooved", "groove.depth", SIDE, &[]),
    plain("divider", "between"),
    with("divider", "grooved", "groove.depth", SIDE, &[]),
    with("back", "rabbet", "rabbet.width", SIDE, &[]),
    with("back", "captured", "back.groove", SIDE, &["back.play"]),
    plain("back", "applied"),
    plain("back-end", "toe"),
    plain("back-end", "bottom"),
    plain("back-end", "case"),
    plain("toe-kick", "across"),
    plain("toe-kick", "between"),
    plain("frame", "butted"),
    with("frame", "tenoned", "rail.tenon", Most::Inches(2, 1), &[]),
    with("front", "overlay", "overlay", Most::Inches(3, 2), &[]),
    with("front", "inset", "reveal", Most::Inches(1, 4), &[]),
    with("front", "full-overlay", "reveal", Most::Inches(1, 2), &[]),
    with("front", "overlay", "gap", Most::Inches(1, 2), &[]),
    with("front", "inset", "gap", Most::Inches(1, 2), &[]),
    with("front", "full-overlay", "gap", Most::Inches(1, 2), &[]),
    with("", "", "shelf.clearance", Most::Inches(1, 4), &[]),
    with(
        "drawer-box",
        "side-mount",
        "slide.clearance",
        Most::Inches(1, 1),
        &[],
    ),
    with(
        "drawer-box",
        "undermount",
        "slide.inside-allowance",
        Most::Inches(3, 1),
        &[],
    ),
    with("", "", "box.height-clearance", Most::Inches(3, 1), &[]),
];

/// The parts a choice is about; other parts feel it only through them.
const fn own_roles(choice: &str) -> &'static [Role] {
    match choice.as_bytes() {
        b"bottom" => &[Role::Bottom],
        b"top" => &[Role::Top],
        b"stretcher" => &[Role::Stretcher],
        b"divider" => &[Role::Divider],
        b"fixed-shelf" => &[Role::FixedShelf],
        b"back" | b"back-end" => &[Role::Back],
        b"toe-kick" => &[Role::ToeKick],
        b"frame" => &[Role::Rail],
        b"front" => &[Role::Door, Role::DrawerFront],
        b"drawer-box" => &[Role::DrawerBox],
        _ => &[],
    }
}

/// The direction in which an answer shows; other directions rest on other answers.
pub(super) const fn own_axis(choice: &str) -> Option<Axis> {
    match choice.as_bytes() {
        b"front" | b"back" | b"" => None,
        b"divider" | b"back-end" => Some(Axis::High),
        _ => Some(Axis::Across),
    }
}

impl Hypothesis {
    fn is(&self, parameter: &str) -> bool {
        self.parameter.is_some_and(|(name, _)| name == parameter)
    }

    /// True for the gap of a pair, which is looked for once the fronts are known.
    pub fn is_gap(&self) -> bool {
        self.is("gap")
    }

    fn bears_on(&self, read: &Read) -> bool {
        let PartName::Size(role, _) = read.part else {
            return false;
        };
        if read.standing.ground != Ground::Answer {
            return false;
        }
        let names = read.expr.names();
        let uses = |name: &str| names.iter().any(|(used, _)| *used == name);
        // A pair's width is left to the gap; heights and single fronts show the rest.
        if uses("gap") != self.is_gap() {
            return false;
        }
        if self.choice.is_empty() {
            return self.parameter.is_some_and(|(name, _)| uses(name));
        }
        own_roles(self.choice).contains(&role)
            && read
                .standing
                .when
                .iter()
                .any(|(key, answers)| *key == self.choice && answers.contains(&self.answer))
    }
}

/// The relations that give a part's size along an axis.
pub(super) type Grouped = Vec<(Role, Axis, Vec<&'static Read>)>;

/// Every hypothesis with the relations it bears on, grouped by the size they give.
pub(super) fn hypotheses() -> &'static [(&'static Hypothesis, Grouped)] {
    static ALL: LazyLock<Vec<(&'static Hypothesis, Grouped)>> = LazyLock::new(|| {
        HYPOTHESES
            .iter()
            .map(|hypothesis| {
                let mut grouped: Grouped = Vec::new();
                for read in standing::standing() {
                    let PartName::Size(role, axis) = read.part else {
                        continue;
                    };
                    if !hypothesis.bears_on(read) {
                        continue;
                    }
                    match grouped
                        .iter_mut()
                        .find(|(r, a, _)| (*r, *a) == (role, axis))
                    {
                        Some((_, _, reads)) => reads.push(read),
                        None => grouped.push((role, axis, vec![read])),
                    }
                }
                (hypothesis, grouped)
            })
            .collect()
    });
    &ALL
}
