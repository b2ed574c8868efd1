//! Shop rules: relations between a cabinet's sizes and its parts' sizes, from
//! the job file, from presets, or inferred; and the job file itself.
//! Knows nothing of reports.

use crate::length::Length;
use crate::trade::{Axis, Role};

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
pub struct Expected {
    pub size: PartSize,
    pub value: Length,
    /// The relation as a person reads it: "interior width + 2 × groove depth".
    pub relation: String,
    /// With this cabinet's numbers: "34 in + 2 × 1/4 in = 34 1/2 in".
    pub worked: String,
    pub origin: Origin,
    /// Names and values of the sizes and parameters used.
    pub used: Vec<(String, Length, Origin)>,
    /// Which opening it is for, when it depends on one.
    pub opening: Option<usize>,
}

/// All shop rules in force for a job: presets overlaid by the job file.
#[derive(Clone, Debug, Default)]
pub struct Rules {}

impl Rules {
    /// What a part size of this cabinet should be, strongest origin first; empty
    /// when no relation applies or a size it needs was not measured.
    pub fn expect(
        &self,
        cabinet: &crate::cabinet::MeasuredCabinet,
        size: PartSize,
    ) -> Vec<Expected> {
        let _ = (cabinet, size);
        Vec::new()
    }

    /// Largest difference that still passes, inclusive.
    pub fn tolerance(&self, role: Option<Role>) -> Length {
        let _ = role;
        Length::from_ticks(Length::TICKS_PER_INCH / 32)
    }
}
