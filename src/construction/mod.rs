//! Shop rules: relations between a cabinet's sizes and its parts' sizes, from
//! the job file, from presets, or inferred; and the job file itself.
//! Knows nothing of reports.
#![cfg_attr(
    not(test),
    deny(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing)
)]

mod alike;
mod allowance;
mod ambiguous;
mod bays;
mod candidates;
pub mod cautions;
pub mod checks;
pub mod choices;
mod cover;
pub mod expression;
mod infer;
pub mod job;
mod leaves;
mod missing;
pub mod names;
mod narrow;
pub mod number;
mod propose;
pub mod reference;
mod rows;
mod rules;
mod scope;
mod seen;
pub mod side_by_side;
pub mod standing;
pub mod tolerance;
pub mod untitled;

pub use allowance::Allowance;
pub use ambiguous::settle as settle_words;
pub use infer::{Inference, InferredAnswer};
pub use job::{JobFile, JobFileError, JobProblem};
pub use leaves::settle as settle_fronts;
pub use propose::{Proposal, proposal};
pub use rules::{Answer, DRAWN_GEOMETRY, Relation, Rules, Settings, Stated, cabinet_key};
pub use tolerance::{Allowed, Class, Tolerances};

use crate::length::{Length, Notation, Unit};
use crate::trade::{Axis, Role};
use expression::{Expr, Value, Worked, work_out};
use number::Ratio;

/// Where a relation or a parameter came from, strongest first.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Origin {
    /// Measured in the drawing itself.
    Drawn,
    /// The job file, at this 1-based line.
    JobFile { line: usize },
    /// One of our named presets.
    Preset { name: String },
    /// From how many cabinets of the job show it. Never enough by itself to
    /// excuse the list it was inferred from.
    Inferred { support: usize, against: usize },
}

/// A part's size along one axis of its cabinet, the left side of a relation.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PartSize {
    pub role: Role,
    pub axis: Axis,
}

/// What a relation gave for one part size of one cabinet.
#[derive(Clone, Debug, PartialEq)]
pub struct Expected<'r> {
    pub size: PartSize,
    pub value: Length,
    expr: &'r Expr,
    /// The unit of plain numbers added to lengths.
    units: Option<Unit>,
    notation: Notation,
    /// The weakest of the relation's own origin and those of the sizes it used.
    pub origin: Origin,
    used: Vec<Used<'r>>,
    /// Which opening it is for, when it depends on one.
    pub opening: Option<usize>,
    /// Which bay it is for, where dividers part the cabinet into several.
    pub bay: Option<usize>,
    /// How many fronts share that opening for this to hold, when that matters.
    pub count: Option<u32>,
    /// The size with the boards as thick as they are drawn, where the job file says
    /// that the sheets on hand are not: a drawn part of this size follows the relation.
    pub as_drawn: Option<Length>,
}

/// A name in a relation, and what it stood for.
#[derive(Clone, Debug, PartialEq)]
struct Used<'r> {
    name: &'r str,
    value: Value,
    origin: Origin,
}

/// The texts are made when they are asked for: most relations agree, and nobody reads them.
impl Expected<'_> {
    /// The relation as a person reads it: "interior width + 2 × groove depth".
    pub fn relation(&self) -> String {
        self.in_words(false)
            .map(|worked| worked.relation)
            .unwrap_or_default()
    }

    /// The relation, and what it comes to with this cabinet's numbers: "interior width +
    /// 2 × groove depth = 34 in + 2 × 1/4 in = 34 1/2 in".
    pub fn equation(&self) -> String {
        let Some(worked) = self.in_words(true) else {
            return String::new();
        };
        let equation = format!("{} = {}", worked.relation, worked.numbers);
        if worked.numbers == print(worked.value, self.notation) {
            return equation;
        }
        let value = print(Ratio::ticks(self.value), self.notation);
        format!("{equation} = {value}")
    }

    /// Names and lengths of the sizes and parameters used, and where they came from.
    pub fn used(&self) -> impl Iterator<Item = (&str, Length, &Origin)> {
        let lengths = self.used.iter().filter(|used| used.value.is_length);
        lengths.filter_map(|used| Some((used.name, used.value.value.to_length()?, &used.origin)))
    }

    /// Worked out anew with the values found: that cannot fail.
    fn in_words(&self, numbers: bool) -> Option<Worked> {
        let value_of = &mut |name: &str| {
            let used = self.used.iter().find(|used| used.name == name);
            used.map(|used| used.value).ok_or(())
        };
        let print = |ticks| print(ticks, self.notation);
        work_out(self.expr, self.units, value_of, &print, numbers).ok()
    }
}

/// Prints a length in ticks.
fn print(ticks: Ratio, notation: Notation) -> String {
    match ticks.to_length() {
        Some(length) => length.show(notation),
        None => "beyond any size".to_owned(),
    }
}

#[cfg(test)]
mod tests;
