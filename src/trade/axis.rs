//! The three directions of a cabinet, and the words for a part's sizes.

use serde::{Deserialize, Serialize};

/// The cabinet's own frame: x to the right, y to the back, z up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Axis {
    /// Left to right: how far across.
    Across,
    /// Front to back: how deep.
    Deep,
    /// Bottom to top: how high.
    High,
}

/// A size of a list row, named as the list's column names it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Dimension {
    Length,
    Width,
    Thickness,
    Height,
    Depth,
    Quantity,
}

impl Axis {
    pub const ALL: [Axis; 3] = [Axis::Across, Axis::Deep, Axis::High];

    pub const fn word(self) -> &'static str {
        match self {
            Axis::Across => "across",
            Axis::Deep => "deep",
            Axis::High => "high",
        }
    }
}

impl Dimension {
    pub const fn word(self) -> &'static str {
        match self {
            Dimension::Length => "length",
            Dimension::Width => "width",
            Dimension::Thickness => "thickness",
            Dimension::Height => "height",
            Dimension::Depth => "depth",
            Dimension::Quantity => "quantity",
        }
    }
}
