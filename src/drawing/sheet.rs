//! The content of one drawing file, flattened: blocks are exploded, OCS is
//! resolved to WCS, polylines are taken apart. Coordinates stay in drawing
//! units and three dimensions; deciding what a unit is worth and where to look
//! from belongs to [`crate::view`].
//!
//! What a sheet promises:
//!
//! * Every list holds its primitives in the order of the file. What an INSERT
//!   draws stands at the place of the INSERT, in the order of its block.
//! * All segments, arcs and texts of one entity share one [`Source`]; an entity
//!   of a block has one for each time it is drawn.
//! * Every coordinate is finite and within
//!   [`MAX_COORDINATE`](super::limits::MAX_COORDINATE) of the origin. No
//!   segment has zero length, no arc or ellipse a zero radius.
//! * Each entity met is counted, every time it is drawn, in [`Sheet::read`] or
//!   in [`Sheet::skipped`], never in both. Entities of blocks that nothing
//!   inserts are not part of the drawing and are not counted.
//! * The geometry blocks of DIMENSIONs, table entities and block definitions
//!   draw nothing by themselves.

use std::collections::BTreeMap;

use super::vector;

/// A point in world coordinates, drawing units.
pub type Point = [f64; 3];

/// Index into [`Sheet::sources`].
pub type SourceId = u32;

/// Where a primitive came from, so that a finding can point at the entity.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Source {
    pub kind: EntityKind,
    /// Entity handle (group 5), 0 where the file gives none.
    pub handle: u64,
    /// Index into [`Sheet::layers`].
    pub layer: u32,
    /// Index into [`Sheet::block_paths`]; 0 is the drawing itself.
    pub block_path: u32,
    /// Line style in force (by layer and by block resolved): index into
    /// [`Sheet::linetypes`].
    pub linetype: u32,
    /// True when layer or linetype says this is a hidden edge.
    pub hidden: bool,
    /// True when layer or linetype says this is a centre line, phantom line or
    /// other chain line: it marks something and is no edge.
    pub centre: bool,
    /// 1-based line of the entity in an ASCII file, byte offset in a binary one.
    pub position: u64,
}

/// DXF entity types that yield something measured, or a text.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum EntityKind {
    Line,
    LwPolyline,
    Polyline,
    Arc,
    Circle,
    Ellipse,
    Spline,
    Solid,
    Face3d,
    Hatch,
    Text,
    MText,
    Attrib,
    Dimension,
    Leader,
    MultiLeader,
    Point,
    Insert,
    Viewport,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Segment {
    pub a: Point,
    pub b: Point,
    pub source: SourceId,
}

/// Counter-clockwise in its own plane from `start` to `end` (radians); a full
/// circle has `end - start == TAU`. The angles are measured from the
/// arbitrary-axis x direction of the plane with this normal. The normal is a
/// unit vector and never points down: an arc in or parallel to the world XY plane has
/// (0, 0, 1), drawn mirrored or not, so that its angles are world angles.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arc {
    pub centre: Point,
    pub radius: f64,
    pub start: f64,
    pub end: f64,
    pub normal: Point,
    pub source: SourceId,
}

impl Arc {
    /// True for a whole circle.
    pub fn is_full(&self) -> bool {
        self.end - self.start >= std::f64::consts::TAU
    }

    /// The point at an angle measured as `start` and `end` are.
    pub fn point_at(&self, angle: f64) -> Point {
        let (x, y, _) = vector::ocs_axes(self.normal);
        let (u, v) = (vector::scale(x, self.radius), vector::scale(y, self.radius));
        vector::on_conic(self.centre, u, v, angle)
    }
}

/// Runs from parameter `start` to `end` (radians, `end > start`) from the
/// major axis towards the minor one: `centre + major·cos t + minor·sin t`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ellipse {
    pub centre: Point,
    /// Major half axis, from the centre.
    pub major: Point,
    /// Minor half axis, from the centre; never longer than the major one.
    pub minor: Point,
    pub start: f64,
    pub end: f64,
    pub source: SourceId,
}

impl Ellipse {
    pub fn point_at(&self, parameter: f64) -> Point {
        vector::on_conic(self.centre, self.major, self.minor, parameter)
    }
}

#[derive(Clone, Debug, PartialEq)]
pub struct Text {
    /// Plain text, formatting codes stripped, paragraphs joined by `\n`.
    pub text: String,
    /// Middle of the text's box as well as it can be told.
    pub at: Point,
    /// The point it is set from: its start, middle or end, as it is aligned.
    pub anchor: Point,
    /// Cap height in drawing units.
    pub height: f64,
    /// Radians, in the XY plane.
    pub rotation: f64,
    pub source: SourceId,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DimensionKind {
    Linear,
    Aligned,
    Angular,
    Diameter,
    Radius,
    Ordinate,
}

/// A DIMENSION entity. Its text is hearsay; `measured` is geometry.
#[derive(Clone, Debug, PartialEq)]
pub struct Dimension {
    pub kind: DimensionKind,
    /// The two points measured between, world coordinates: extension line
    /// origins (groups 13 and 14) of linear and aligned ones, the two points on
    /// the circle of a diameter, centre and point on the arc of a radius,
    /// datum and feature of an ordinate, one point on each leg of an angle.
    pub from: Point,
    pub to: Point,
    /// Point on the dimension line (group 10), world coordinates.
    pub line_at: Point,
    /// Direction measured along, radians from world x (for linear dimensions
    /// group 50; for the others the direction from `from` to `to`).
    pub angle: f64,
    /// Distance between `from` and `to` along the measured direction, drawing
    /// units, without the factor. Radians for [`DimensionKind::Angular`].
    pub measured: f64,
    /// Override text (group 1) that replaces the measurement, formatting codes
    /// stripped; `None` when the measurement itself is shown or the text is
    /// suppressed.
    pub text: Option<String>,
    /// Text around a measurement that is shown, with `<>` in its place, such as
    /// `<> TYP`.
    pub around: Option<String>,
    /// Group 1 is a single blank: no text is shown at all.
    pub suppressed: bool,
    /// Group 42, the measurement as the writing program stated it, when it did.
    /// Hearsay like the text; the factor is included by most programs.
    pub stated: Option<f64>,
    /// First text in the dimension's own geometry block: what the eye sees.
    pub drawn_text: Option<String>,
    /// Direction that text reads in, radians from world x.
    pub drawn_turn: Option<f64>,
    /// Effective DIMLFAC: per-entity override, else style, else header, else 1.
    pub factor: f64,
    pub factor_origin: &'static str,
    pub source: SourceId,
}

/// Something in the file that says what a drawing unit is worth.
#[derive(Clone, Debug, PartialEq)]
pub enum Evidence {
    /// `$INSUNITS` as written.
    InsUnits(i64),
    /// `$MEASUREMENT` as written (not a unit; printed as a hint only).
    Measurement(i64),
    /// `$DIMLFAC` as written.
    HeaderFactor(f64),
    /// `$LUNITS` as written: 3 and 4 show feet and inches, which only makes
    /// sense for a drawing in inches. A hint, not a unit.
    LinearFormat(i64),
    /// A block says it was drawn in other units than the drawing (`$INSUNITS`
    /// numbering). It is taken as drawn: only the scale of its INSERT counts.
    BlockUnits { block: String, units: i64 },
}

/// A window from a paper sheet into model space (VIEWPORT).
#[derive(Clone, Debug, PartialEq)]
pub struct Viewport {
    /// Middle of the window on the paper, paper units.
    pub centre: Point,
    pub width: f64,
    pub height: f64,
    /// Middle of what is seen, in the plane of view (world XY for a plan view).
    pub view_centre: [f64; 2],
    /// Height of what is seen, model units. `view_height / height` is how many
    /// model units one paper unit shows.
    pub view_height: f64,
    /// Direction from the model to the eye.
    pub direction: Point,
    /// Point looked at, world coordinates.
    pub target: Point,
    /// Turn of the view, radians.
    pub twist: f64,
    /// True when the window is switched off.
    pub off: bool,
    pub source: SourceId,
}

impl Viewport {
    /// Model units shown for one paper unit: 12 for 1:12.
    pub fn model_per_paper(&self) -> f64 {
        self.view_height / self.height
    }

    /// True for a view straight down on the world XY plane.
    pub fn is_plan(&self) -> bool {
        vector::unit(self.direction).is_some_and(|[_, _, z]| z > 1.0 - 1e-9)
    }

    /// The model point under a point of the paper, for a plan view.
    pub fn to_model(&self, paper: Point) -> Option<Point> {
        if !self.is_plan() {
            return None;
        }
        let [dx, dy, _] = vector::scale(vector::sub(paper, self.centre), self.model_per_paper());
        let [cx, cy] = self.view_centre;
        let [tx, ty, tz] = self.target;
        // The twist turns the model on the paper; going back turns it back.
        let (s, c) = (-self.twist).sin_cos();
        let (x, y) = (dx + cx, dy + cy);
        Some([tx + x * c - y * s, ty + x * s + y * c, tz])
    }
}

/// Which space the linework of a sheet was taken from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Space {
    #[default]
    Model,
    /// Model space holds no geometry, paper space does.
    Paper,
}

/// Entities left out, counted by reason.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Skipped {
    /// Entity type as written in the file, e.g. `3DSOLID`.
    pub kind: String,
    /// Plain words, e.g. "layer OFF is switched off".
    pub reason: String,
    /// True when an edge, text or dimension that the drawing shows may be lost
    /// by it; false for what the drawing itself does not show (layers off,
    /// invisible, in the other space) and what can hold none (points, leaders,
    /// blank texts, lines without length).
    pub matters: bool,
}

#[derive(Clone, Debug, Default)]
pub struct Sheet {
    /// The path as the user gave it.
    pub file: String,
    /// `$ACADVER` as written, empty when missing.
    pub version: String,
    pub evidence: Vec<Evidence>,
    pub sources: Vec<Source>,
    pub layers: Vec<String>,
    /// Line style names as written; 0 is `ByLayer`, 1 `ByBlock`, 2 `Continuous`.
    pub linetypes: Vec<String>,
    /// "" for the drawing itself, else names joined by `/`, outermost first.
    pub block_paths: Vec<String>,
    pub segments: Vec<Segment>,
    pub arcs: Vec<Arc>,
    pub ellipses: Vec<Ellipse>,
    pub texts: Vec<Text>,
    pub dimensions: Vec<Dimension>,
    /// Boundaries of hatches. They repeat edges that are drawn otherwise as a
    /// rule, and are apart so that they count only where nothing else is drawn.
    pub hatch_segments: Vec<Segment>,
    pub hatch_arcs: Vec<Arc>,
    pub hatch_ellipses: Vec<Ellipse>,
    /// Where the lists above were taken from.
    pub space: Space,
    /// Windows of paper space into model space.
    pub viewports: Vec<Viewport>,
    /// Texts and dimensions of paper space, paper coordinates, while the
    /// geometry is that of model space. Through [`Viewport::to_model`] they may
    /// say what a view is or measures.
    pub paper_texts: Vec<Text>,
    pub paper_dimensions: Vec<Dimension>,
    /// Entities read and used, by type as written.
    pub read: BTreeMap<String, u64>,
    /// Entities not used, with the reason.
    pub skipped: BTreeMap<Skipped, u64>,
    /// Damage in the file that did not stop the reading: line and what to do.
    pub warnings: Vec<String>,
}
