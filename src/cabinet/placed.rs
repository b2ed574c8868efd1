//! A view of a cabinet with its reading, and how its positions become
//! positions in the cabinet's own frame.

use super::faces::Faces;
use super::front::FrontReading;
use super::grid::{Dir, Grid};
use super::plan::PlanReading;
use super::posts::PostReading;
use super::reading::Range;
use super::side::SideReading;
use super::{Edge, Span};
use crate::trade::Axis;
use crate::view::ViewId;

#[derive(Clone, Debug)]
pub(super) enum Reading {
    Front(FrontReading),
    Side(SideReading),
    Plan(PlanReading),
    Posts(PostReading),
}

#[derive(Clone, Debug)]
pub(super) struct Placed {
    pub id: ViewId,
    /// What a person calls the view: "front", "section".
    pub word: &'static str,
    /// Turned so that the front is at the left of an end, and of a plan on its side.
    pub grid: Grid,
    /// A plan with its hidden edges, which its reading leaves out.
    pub under: Option<Grid>,
    pub axes: (Axis, Axis),
    /// Where the cabinet's own frame begins.
    pub origin: (f64, f64),
    pub reading: Reading,
    /// Which way is the front is a guess: sizes that need it are not taken.
    pub turned: Turned,
}

/// How it is known which way the view's front lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Turned {
    Sure,
    Unsure,
}

impl Placed {
    pub(super) fn shows(&self, axis: Axis) -> bool {
        self.axes.0 == axis || self.axes.1 == axis
    }

    /// The distance between two positions of this view along one of its axes.
    pub(super) fn span(
        &self,
        axis: Axis,
        range: Range,
        names: [String; 2],
        covered: [bool; 2],
    ) -> Span {
        let [lo, hi] = names;
        Span {
            axis,
            lo: self.edge(axis, range.0, lo, covered[0]),
            hi: self.edge(axis, range.1, hi, covered[1]),
            view: self.id,
        }
    }

    /// An end of a distance. Where it was taken from the end of a line, which may
    /// miss the corner, the line that bounds it there counts.
    pub(super) fn edge(&self, axis: Axis, at: f64, name: String, occluded: bool) -> Edge {
        // A position along the horizontal is an upright line.
        let (dir, origin) = if axis == self.axes.0 {
            (Dir::Upright, self.origin.0)
        } else {
            (Dir::Level, self.origin.1)
        };
        let track = self
            .grid
            .drawn_at(dir, at)
            .map(|index| &self.grid.tracks(dir)[index]);
        let line = track.map(super::grid::Track::longest);
        Edge {
            at: track.map_or(at, |track| track.at) - origin,
            line: line.unwrap_or_else(super::grid::empty_line),
            name,
            occluded,
        }
    }

    /// True when lines are drawn at both ends of a range along the axis.
    pub(super) fn bounded(&self, axis: Axis, range: Range) -> bool {
        let dir = if axis == self.axes.0 {
            Dir::Upright
        } else {
            Dir::Level
        };
        [range.0, range.1]
            .into_iter()
            .all(|at| self.grid.drawn_at(dir, at).is_some())
    }

    pub(super) fn front(&self) -> Option<&FrontReading> {
        match &self.reading {
            Reading::Front(reading) => Some(reading),
            _ => None,
        }
    }

    /// The faces that bound the case from front to rear, where the view shows them.
    pub(super) fn faces(&self) -> Option<&Faces> {
        match &self.reading {
            Reading::Side(reading) => Some(&reading.faces),
            Reading::Plan(reading) => Some(&reading.faces),
            Reading::Front(_) | Reading::Posts(_) => None,
        }
    }

    pub(super) fn side(&self) -> Option<&SideReading> {
        match &self.reading {
            Reading::Side(reading) => Some(reading),
            _ => None,
        }
    }

    pub(super) fn posts(&self) -> Option<&PostReading> {
        match &self.reading {
            Reading::Posts(reading) => Some(reading),
            _ => None,
        }
    }

    pub(super) fn plan(&self) -> Option<&PlanReading> {
        match &self.reading {
            Reading::Plan(reading) => Some(reading),
            _ => None,
        }
    }
}
