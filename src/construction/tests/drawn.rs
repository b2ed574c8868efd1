//! A measured cabinet as a drawing would give it, from sizes written as text.

use super::size;
use crate::cabinet::*;
use crate::linework::CleanLine;
use crate::trade::{Axis, Role};

pub(crate) struct Drawn {
    pub(crate) cabinet: MeasuredCabinet,
}

fn edge(at: f64) -> Edge {
    Edge {
        at,
        line: CleanLine {
            a: geo::Coord { x: at, y: 0.0 },
            b: geo::Coord { x: at, y: 1.0 },
            hidden: false,
            source: Default::default(),
        },
        name: "an edge".to_owned(),
        occluded: false,
    }
}

fn span(axis: Axis, from: f64, to: f64) -> Span {
    Span {
        axis,
        lo: edge(from),
        hi: edge(to),
        view: 0,
    }
}

fn known(axis: Axis, from: f64, to: f64) -> Measured {
    Measured::Known(Measure {
        span: span(axis, from, to),
        note: None,
    })
}

fn unknown() -> Measured {
    Measured::Unknown {
        reason: "no view shows it".to_owned(),
    }
}

impl Drawn {
    /// Overall width, height and depth.
    pub(crate) fn new(style: Style, overall: [&str; 3]) -> Self {
        let [width, height, depth] = overall.map(|text| size(text).mm());
        let nothing = || Sizes {
            width: unknown(),
            height: unknown(),
            depth: unknown(),
        };
        let mut cabinet = MeasuredCabinet {
            id: "B1".to_owned(),
            same_as: Vec::new(),
            views: Vec::new(),
            style,
            overall: nothing(),
            interior: nothing(),
            named: Vec::new(),
            parts: Vec::new(),
            openings: Vec::new(),
            edges: Vec::new(),
            conflicts: Vec::new(),
            uncounted: Vec::new(),
        };
        cabinet.overall = Sizes {
            width: known(Axis::Across, 0.0, width),
            height: known(Axis::High, 0.0, height),
            depth: known(Axis::Deep, 0.0, depth),
        };
        Drawn { cabinet }
    }

    /// Interior width and where it starts.
    pub(crate) fn interior_width(mut self, from: &str, width: &str) -> Self {
        let from = size(from).mm();
        self.cabinet.interior.width = known(Axis::Across, from, from + size(width).mm());
        self
    }

    /// Interior height and the height of the floor it starts from.
    pub(crate) fn interior_height(mut self, floor: &str, height: &str) -> Self {
        let floor = size(floor).mm();
        self.cabinet.interior.height = known(Axis::High, floor, floor + size(height).mm());
        self
    }

    pub(crate) fn interior_depth(mut self, depth: &str) -> Self {
        self.cabinet.interior.depth = known(Axis::Deep, 0.0, size(depth).mm());
        self
    }

    pub(crate) fn named(mut self, name: &str, value: &str) -> Self {
        self.cabinet.named.push(NamedSize {
            name: name.to_owned(),
            measure: Measure {
                span: span(Axis::Across, 0.0, size(value).mm()),
                note: None,
            },
        });
        self
    }

    /// An opening in the frame: left edge, width, lower edge, height.
    pub(crate) fn opening(mut self, left: &str, width: &str, low: &str, height: &str) -> Self {
        let (left, low) = (size(left).mm(), size(low).mm());
        self.cabinet.openings.push(Opening {
            name: format!("opening {}", self.cabinet.openings.len() + 1),
            in_frame: self.cabinet.style == Style::FaceFrame,
            across: Some(span(Axis::Across, left, left + size(width).mm())),
            high: Some(span(Axis::High, low, low + size(height).mm())),
        });
        self
    }

    /// So many doors or drawer fronts drawn on an opening.
    pub(crate) fn fronts(mut self, role: Role, opening: usize, count: usize) -> Self {
        for _ in 0..count {
            self.cabinet.parts.push(DrawnPart {
                role,
                name: role.word().to_owned(),
                across: None,
                deep: None,
                high: None,
                evidence: "a test".to_owned(),
                opening: Some(opening),
                flat: false,
            });
        }
        self
    }

    /// A part drawn from here to there along an axis.
    pub(crate) fn part(mut self, role: Role, axis: Axis, from: &str, to: &str) -> Self {
        let drawn = Some(span(axis, size(from).mm(), size(to).mm()));
        let mut part = DrawnPart {
            role,
            name: role.word().to_owned(),
            across: None,
            deep: None,
            high: None,
            evidence: "a test".to_owned(),
            opening: None,
            flat: false,
        };
        match axis {
            Axis::Across => part.across = drawn,
            Axis::Deep => part.deep = drawn,
            Axis::High => part.high = drawn,
        }
        self.cabinet.parts.push(part);
        self
    }
}
