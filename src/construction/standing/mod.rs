//! The relations that come with each answer of [`super::choices`], and the few
//! that hold by the drawn geometry alone. Written in the same small language
//! the job file uses, and checked to be readable by a test.

mod derived;
mod table;

pub use derived::{DERIVED, Derived};
pub use table::STANDING;

use super::expression::{Expr, parse};
use super::names::{PartName, part_name};
use crate::cabinet::Style;
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// What a relation rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ground {
    /// The shop's way of building, so an answer must have been given for it.
    Answer,
    /// What the drawing shows: holds once the guard is met.
    Geometry(Guard),
}

/// What the drawing must show for a relation to hold without being told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Guard {
    /// Top or stretchers are drawn ending at the sides, and what these stand on is no
    /// base.
    SidesRunThrough,
    /// The back is drawn ending at or in the sides.
    BackInsideSides,
    /// A face frame is drawn with its rails ending at the stiles.
    Frame,
}

impl Guard {
    /// What the drawing must show, in plain words.
    pub const fn meaning(self) -> &'static str {
        match self {
            Guard::SidesRunThrough => {
                "by the drawing alone, where bottom and top or stretchers are drawn ending at the \
                 sides, no base is drawn, and an end, a section, the bottom low down or a toe kick \
                 between the sides tells that there is none"
            }
            Guard::BackInsideSides => {
                "by the drawing alone, where the back is drawn ending at or in the sides"
            }
            Guard::Frame => "by the drawing alone, where a face frame is drawn",
        }
    }
}

/// How often a relation applies in one cabinet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Each {
    Cabinet,
    /// Each clear width between sides and dividers.
    Bay,
    /// Each opening that holds fronts of this kind; so many fronts to one opening,
    /// or however many when `None`.
    Front(FrontKind, Option<u32>),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FrontKind {
    Door,
    Drawer,
}

/// A relation as it stands in the table.
#[derive(Clone, Copy, Debug)]
pub struct Standing {
    pub left: &'static str,
    pub right: &'static str,
    /// All of these must be the answer given.
    pub when: &'static [(&'static str, &'static [&'static str])],
    pub style: Option<Style>,
    pub each: Each,
    pub ground: Ground,
    /// Only for cabinets with a toe space or a base, or only for those without.
    pub toe: Option<bool>,
}

/// A standing relation, read.
#[derive(Debug)]
pub struct Read {
    pub part: PartName,
    pub expr: Expr,
    pub standing: Standing,
}

/// Stands in a list of answers for "no answer given".
pub const UNANSWERED: &str = "";

pub(super) type When = &'static [(&'static str, &'static [&'static str])];

/// The standing relations for one part size or count.
pub fn for_part(part: PartName) -> impl Iterator<Item = &'static Read> {
    static BY_PART: LazyLock<BTreeMap<PartName, Vec<&'static Read>>> = LazyLock::new(|| {
        let mut by_part: BTreeMap<PartName, Vec<&'static Read>> = BTreeMap::new();
        for read in standing() {
            by_part.entry(read.part).or_default().push(read);
        }
        by_part
    });
    BY_PART.get(&part).into_iter().flatten().copied()
}

/// Every standing relation, read once.
pub fn standing() -> &'static [Read] {
    static READ: LazyLock<Vec<Read>> = LazyLock::new(|| {
        STANDING
            .iter()
            .filter_map(|standing| {
                Some(Read {
                    part: part_name(standing.left)?,
                    expr: parse(standing.right).ok()?,
                    standing: *standing,
                })
            })
            .collect()
    });
    &READ
}

/// Every derivation, read once.
pub fn derivations() -> &'static [(Derived, Expr)] {
    static READ: LazyLock<Vec<(Derived, Expr)>> = LazyLock::new(|| {
        DERIVED
            .iter()
            .filter_map(|derived| Some((*derived, parse(derived.right).ok()?)))
            .collect()
    });
    &READ
}

#[cfg(test)]
mod tests {
    use super::super::{choices, names};
    use super::*;

    fn known(when: When) {
        for (key, answers) in when {
            let choice = choices::choice(key).expect(key);
            for answer in answers.iter().filter(|answer| **answer != UNANSWERED) {
                assert!(choice.answer(answer).is_some(), "{key} = {answer}");
            }
        }
    }

    #[test]
    fn every_relation_can_be_read_and_uses_known_names() {
        assert_eq!(standing().len(), STANDING.len());
        assert_eq!(derivations().len(), DERIVED.len());
        for read in standing() {
            known(read.standing.when);
            for (name, _) in read.expr.names() {
                assert!(names::is_known(name), "{name}");
            }
        }
        for (derived, expr) in derivations() {
            known(derived.when);
            assert!(names::find(derived.name).is_some(), "{}", derived.name);
            for (name, _) in expr.names() {
                assert!(names::is_known(name), "{name}");
            }
        }
    }
}
