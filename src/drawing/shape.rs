//! One entity, understood but not yet placed in the drawing.

use super::Point;
use super::sheet::{DimensionKind, EntityKind};

/// What all entities have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Common {
    pub handle: u64,
    pub position: u64,
    pub layer: u32,
    pub linetype: u32,
    /// Group 60 is 1.
    pub invisible: bool,
    /// Group 67 is 1.
    pub paper: bool,
}

#[derive(Debug)]
pub struct Item {
    pub common: Common,
    pub kind: EntityKind,
    pub shape: Shape,
}

/// Coordinates are those of the block or drawing, OCS already resolved.
#[derive(Debug)]
pub enum Shape {
    Line(Point, Point),
    /// Boxed, because lines are by far the most.
    Many(Box<Outline>),
    Hatch(Box<Outline>),
    Text(Box<TextShape>),
    Dimension(Box<DimensionShape>),
    Insert(Box<InsertShape>),
    Viewport(Box<ViewportShape>),
    /// Not used, so many times in a row; what and why is in
    /// [`super::leftover::Leftovers`].
    Left {
        what: u32,
        times: u64,
    },
}

/// Straight and curved pieces of one entity, in order.
#[derive(Debug, Default)]
pub struct Outline {
    pub segments: Vec<(Point, Point)>,
    pub conics: Vec<Conic>,
}

/// `centre + u·cos t + v·sin t` for `t` from `start` to `end`, `end > start`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conic {
    pub centre: Point,
    pub u: Point,
    pub v: Point,
    pub start: f64,
    pub end: f64,
}

#[derive(Debug)]
pub struct TextShape {
    pub text: String,
    /// Middle of the text's box.
    pub at: Point,
    /// The point it is set from: its start, middle or end, as it is aligned.
    pub anchor: Point,
    /// Unit vector along the line of text.
    pub along: Point,
    /// Height as a vector across it.
    pub up: Point,
}

#[derive(Debug)]
pub struct DimensionShape {
    pub kind: DimensionKind,
    pub from: Point,
    pub to: Point,
    pub line_at: Point,
    /// Direction measured along; `None` for the distance itself.
    pub along: Option<Point>,
    /// Radians, for angular ones.
    pub opening: f64,
    pub text: Option<String>,
    pub around: Option<String>,
    pub suppressed: bool,
    pub stated: Option<f64>,
    /// Override in the dimension itself.
    pub factor: Option<f64>,
    /// Name of the dimension style.
    pub style: Option<u32>,
    /// Name of the geometry block.
    pub block: Option<u32>,
}

#[derive(Debug)]
pub struct InsertShape {
    /// Name of the block.
    pub block: u32,
    pub at: Point,
    pub scale: Point,
    /// Radians.
    pub turn: f64,
    pub normal: Point,
    pub columns: u64,
    pub rows: u64,
    pub column_step: f64,
    pub row_step: f64,
    pub attributes: Vec<Item>,
}

#[derive(Debug)]
pub struct ViewportShape {
    pub centre: Point,
    pub width: f64,
    pub height: f64,
    pub view_centre: [f64; 2],
    pub view_height: f64,
    pub direction: Point,
    pub target: Point,
    pub twist: f64,
    pub off: bool,
}

impl Item {
    /// Takes in an item that says no more than this one does.
    pub fn absorbs(&mut self, other: &Self) -> bool {
        let same = self.common.layer == other.common.layer
            && self.common.invisible == other.common.invisible
            && self.common.paper == other.common.paper;
        match (&mut self.shape, &other.shape) {
            (Shape::Left { what, times }, Shape::Left { what: of, times: n })
                if same && what == of =>
            {
                *times += n;
                true
            }
            _ => false,
        }
    }

    /// Primitives it draws, inserts not counted.
    pub fn weight(&self) -> u64 {
        match &self.shape {
            Shape::Many(outline) | Shape::Hatch(outline) => {
                1 + (outline.segments.len() + outline.conics.len()) as u64
            }
            Shape::Insert(insert) => 1 + insert.attributes.len() as u64,
            _ => 1,
        }
    }
}
