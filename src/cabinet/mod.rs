//! Linked views to measured cabinets: overall and interior width, height and
//! depth, drawn parts, openings, each with the lines it was measured between.
//! Everything is in the cabinet's own frame, true millimetres, measured from
//! the lower left front corner of the case. Knows nothing of cut lists.

mod backing;
mod base;
mod beside;
mod between;
mod boards;
mod boxes;
mod complete;
mod confirm;
mod edges;
mod ends;
mod faces;
mod flank;
mod flanked;
mod flats;
mod frame;
mod front;
mod grid;
mod join;
mod known;
mod leaves;
mod measure;
mod meets;
mod members;
mod named;
mod names;
mod openings;
mod orient;
mod placed;
mod plan;
mod posts;
mod reading;
mod side;
mod sides;
mod sizes;
mod solids;
mod strips;
#[cfg(test)]
mod tests;
mod toe_openings;
mod tops;
mod twins;
mod unread;
mod whole;

use crate::length::Length;
use crate::linework::CleanLine;
use crate::trade::{Axis, Role};
use crate::view::ViewId;

/// One end of a drawn distance.
#[derive(Clone, Debug, PartialEq)]
pub struct Edge {
    /// Position along the axis in the cabinet's frame, millimetres.
    pub at: f64,
    /// The drawn line, in its view's millimetres.
    pub line: CleanLine,
    /// What a person would call it: "inner face of the left side".
    pub name: String,
    /// True when the part may go on unseen behind this edge (it runs against
    /// another part's face in a view that shows no hidden edges): the drawn
    /// distance is then only a lower bound.
    pub occluded: bool,
}

/// A drawn distance along one axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Span {
    pub axis: Axis,
    pub lo: Edge,
    pub hi: Edge,
    pub view: ViewId,
}

impl Span {
    /// The distance in millimetres, as drawn.
    pub fn mm(&self) -> f64 {
        self.hi.at - self.lo.at
    }

    /// The distance in ticks; zero for a distance no cabinet can have.
    pub fn length(&self) -> Length {
        Length::from_mm(self.mm()).unwrap_or_default()
    }

    /// True when either end may go on unseen.
    pub fn is_lower_bound(&self) -> bool {
        self.lo.occluded || self.hi.occluded
    }
}

/// A part of the cabinet as it was recognised in the drawing. Axes that no
/// view shows are `None`.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawnPart {
    pub role: Role,
    /// "left side", "shelf 2 from the bottom".
    pub name: String,
    pub across: Option<Span>,
    pub deep: Option<Span>,
    pub high: Option<Span>,
    /// Why it was taken for this part, in plain words.
    pub evidence: String,
    /// Index into [`MeasuredCabinet::openings`] for a door or drawer front.
    pub opening: Option<usize>,
    /// True when it comes from a flat part drawing rather than from its place in
    /// the cabinet: its two sizes are then in `across` and `high` without regard
    /// to how it lies.
    pub flat: bool,
}

impl DrawnPart {
    pub fn span(&self, axis: Axis) -> Option<&Span> {
        match axis {
            Axis::Across => self.across.as_ref(),
            Axis::Deep => self.deep.as_ref(),
            Axis::High => self.high.as_ref(),
        }
    }

    fn span_mut(&mut self, axis: Axis) -> &mut Option<Span> {
        match axis {
            Axis::Across => &mut self.across,
            Axis::Deep => &mut self.deep,
            Axis::High => &mut self.high,
        }
    }
}

/// A clear rectangle between frame members, or between panels.
#[derive(Clone, Debug, PartialEq)]
pub struct Opening {
    /// "upper left opening".
    pub name: String,
    /// Between face-frame members; else between panels.
    pub in_frame: bool,
    pub across: Option<Span>,
    pub high: Option<Span>,
}

/// A size of the cabinet, or why there is none.
#[derive(Clone, Debug, PartialEq)]
pub enum Measured {
    Known(Measure),
    Unknown { reason: String },
}

#[derive(Clone, Debug, PartialEq)]
pub struct Measure {
    pub span: Span,
    /// Anything a person must know: "to the underside of the stretcher",
    /// "includes a toe kick 4 in high".
    pub note: Option<String>,
}

impl Measured {
    pub fn known(&self) -> Option<&Measure> {
        match self {
            Measured::Known(measure) => Some(measure),
            Measured::Unknown { .. } => None,
        }
    }
}

/// Width, height and depth.
#[derive(Clone, Debug, PartialEq)]
pub struct Sizes {
    pub width: Measured,
    pub height: Measured,
    pub depth: Measured,
}

impl Sizes {
    /// Three sizes unknown for one reason.
    fn unknown(reason: &str) -> Self {
        let size = || Measured::Unknown {
            reason: reason.to_owned(),
        };
        Self {
            width: size(),
            height: size(),
            depth: size(),
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Style {
    FaceFrame,
    Frameless,
    Unknown,
}

/// A further named size: "toe.height", "toe.depth", "frame.overhang",
/// "frame.thickness", "case.width", "case.depth", "side.thickness", "groove.depth", ...
/// The names are those [`crate::construction`] relations use.
#[derive(Clone, Debug, PartialEq)]
pub struct NamedSize {
    pub name: String,
    pub measure: Measure,
}

/// The drawing disagrees with itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Conflict {
    /// What a person reads: "B2 is 34 1/2 in high in its front and 34 in in its end".
    pub sentence: String,
    pub axis: Option<Axis>,
    pub view: ViewId,
    /// The two distances, millimetres, geometry first.
    pub distances_mm: [f64; 2],
    pub lines: Vec<CleanLine>,
}

#[derive(Clone, Debug)]
pub struct MeasuredCabinet {
    pub id: String,
    /// Further cabinets drawn by the same views ("B1, B4").
    pub same_as: Vec<String>,
    pub views: Vec<ViewId>,
    pub style: Style,
    pub overall: Sizes,
    pub interior: Sizes,
    pub named: Vec<NamedSize>,
    pub parts: Vec<DrawnPart>,
    pub openings: Vec<Opening>,
    /// Every drawn edge by axis, named where it could be: the pool in which the
    /// audit looks for "another distance of this cabinet".
    pub edges: Vec<(ViewId, Axis, Edge)>,
    pub conflicts: Vec<Conflict>,
    pub uncounted: Vec<Uncounted>,
}

/// Parts of a role could not be counted for certain.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Uncounted {
    pub role: Role,
    pub why: String,
    /// Fewer may be meant than are drawn, and not only more.
    pub or_fewer: bool,
}

/// Measures every cabinet the views show, in the order of their names.
pub fn measure(views: &[crate::view::View]) -> Vec<MeasuredCabinet> {
    measure::all(views)
}
