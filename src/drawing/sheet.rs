//! The content of one drawing file, flattened: blocks are exploded, OCS is
//! resolved to WCS, polylines are taken apart. Coordinates stay in drawing
//! units; deciding what a unit is worth belongs to [`crate::view`].

use std::collections::BTreeMap;

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
    /// True when layer or linetype says this is a hidden edge.
    pub hidden: bool,
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
/// circle has `end - start == TAU`. `normal` is the extrusion direction; the
/// angles are measured in the plane's arbitrary-axis x direction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arc {
    pub centre: Point,
    pub radius: f64,
    pub start: f64,
    pub end: f64,
    pub normal: Point,
    pub source: SourceId,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ellipse {
    pub centre: Point,
    /// Major half axis, from the centre.
    pub major: Point,
    /// Minor half axis, from the centre.
    pub minor: Point,
    pub start: f64,
    pub end: f64,
    pub source: SourceId,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Text {
    /// Plain text, formatting codes stripped, paragraphs joined by `\n`.
    pub text: String,
    /// Middle of the text's box as well as it can be told.
    pub at: Point,
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
    /// Extension line origins (groups 13 and 14), world coordinates.
    pub from: Point,
    pub to: Point,
    /// Point on the dimension line (group 10), world coordinates.
    pub line_at: Point,
    /// Direction measured along, radians (group 50 for linear dimensions).
    pub angle: f64,
    /// Distance between `from` and `to` along the measured direction, drawing units.
    pub measured: f64,
    /// Override text (group 1), formatting codes stripped; `None` when the
    /// measurement itself is shown.
    pub text: Option<String>,
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
}

/// Entities left out, counted by reason.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Skipped {
    /// Entity type as written in the file, e.g. `3DSOLID`.
    pub kind: String,
    /// Plain words, e.g. "layer OFF is switched off".
    pub reason: String,
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
    /// "" for the drawing itself, else names joined by `/`, outermost first.
    pub block_paths: Vec<String>,
    pub segments: Vec<Segment>,
    pub arcs: Vec<Arc>,
    pub ellipses: Vec<Ellipse>,
    pub texts: Vec<Text>,
    pub dimensions: Vec<Dimension>,
    /// Entities read and used, by type as written.
    pub read: BTreeMap<String, u64>,
    /// Entities not used, with the reason.
    pub skipped: BTreeMap<Skipped, u64>,
    /// Damage in the file that did not stop the reading: line and what to do.
    pub warnings: Vec<String>,
}
