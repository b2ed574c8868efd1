//! Records to items: what each entity type means.

mod curve;
mod dimension;
mod face;
mod hatch;
mod insert;
mod polyline;
mod spline;
mod text;
mod viewport;

pub use polyline::OpenPolyline;

use super::definitions::{BY_LAYER, Definitions};
use super::number;
use super::record::Record;
use super::refusal::Refusal;
use super::shape::{Common, Item, Shape};
use super::sheet::EntityKind;

/// Layer of dimensions that CAD programs use as constraints, not as text.
const CONSTRAINT_LAYER: &str = "*ADSK_CONSTRAINTS";

/// The item a record stands for. VERTEX and SEQEND never come here; a POLYLINE
/// does so only for what all entities have.
pub fn item(record: &Record, definitions: &mut Definitions) -> Item {
    let common = common(record, definitions);
    let (kind, shape) = if record.overflow {
        (None, Err(too_long()))
    } else {
        shape(record, definitions, &common)
    };
    Item {
        common,
        kind: kind.unwrap_or(EntityKind::Point),
        shape: shape.unwrap_or_else(|reason| left(record, reason, definitions)),
    }
}

pub fn too_long() -> Refusal {
    Refusal::Because(
        format!(
            "more than {} groups in one entity",
            super::limits::MAX_ENTITY_GROUPS
        )
        .into(),
    )
}

/// The shape of something not used.
pub fn left(record: &Record, reason: Refusal, definitions: &mut Definitions) -> Shape {
    let kind = type_name(record.name());
    Shape::Left {
        what: definitions.leftovers.id(kind, reason),
        times: 1,
    }
}

/// Type as written, at most as long as type names get.
pub fn type_name(name: &[u8]) -> String {
    let name = name.trim_ascii();
    let short = name.get(..60).unwrap_or(name);
    String::from_utf8_lossy(short).into_owned()
}

pub fn common(record: &Record, definitions: &mut Definitions) -> Common {
    let mut common = Common {
        handle: 0,
        position: record.position,
        layer: 0,
        linetype: BY_LAYER,
        invisible: false,
        paper: false,
    };
    for field in record.own() {
        match (field.code, field.text()) {
            (5, Some(text)) => common.handle = number::handle(text).unwrap_or(0),
            (8, Some(text)) => common.layer = definitions.layer_id(text),
            (6, Some(text)) => common.linetype = definitions.linetype_id(text),
            (60, _) => common.invisible = field.int() == Ok(1),
            (67, _) => common.paper = field.int() == Ok(1),
            _ => {}
        }
    }
    common
}

type Understood = (Option<EntityKind>, Result<Shape, Refusal>);

fn shape(record: &Record, definitions: &mut Definitions, common: &Common) -> Understood {
    let (kind, shape) = match record.name().trim_ascii() {
        b"LINE" => (EntityKind::Line, curve::line(record)),
        b"LWPOLYLINE" => (EntityKind::LwPolyline, polyline::light(record)),
        b"ARC" => (EntityKind::Arc, curve::arc(record)),
        b"CIRCLE" => (EntityKind::Circle, curve::circle(record)),
        b"ELLIPSE" => (EntityKind::Ellipse, curve::ellipse(record)),
        b"SPLINE" => (EntityKind::Spline, spline::spline(record)),
        b"SOLID" | b"TRACE" => (EntityKind::Solid, face::solid(record)),
        b"3DFACE" => (EntityKind::Face3d, face::face(record)),
        b"HATCH" => (EntityKind::Hatch, hatch::hatch(record)),
        b"TEXT" => (EntityKind::Text, text::text(record, &definitions.page)),
        b"ATTRIB" => (
            EntityKind::Attrib,
            text::attribute(record, &definitions.page),
        ),
        b"MTEXT" => (EntityKind::MText, text::mtext(record, &definitions.page)),
        b"MULTILEADER" | b"MLEADER" => (
            EntityKind::MultiLeader,
            text::multileader(record, &definitions.page),
        ),
        b"LEADER" => (
            EntityKind::Leader,
            Err(Refusal::Nothing(
                "a leader points at something; its line is no edge",
            )),
        ),
        b"DIMENSION" => (
            EntityKind::Dimension,
            if definitions
                .layer_names
                .get(common.layer)
                .eq_ignore_ascii_case(CONSTRAINT_LAYER)
            {
                Err(Refusal::Nothing(
                    "a constraint of the drawing program, not a dimension",
                ))
            } else {
                dimension::dimension(record, definitions)
            },
        ),
        b"INSERT" => (EntityKind::Insert, insert::insert(record, definitions)),
        b"VIEWPORT" => (EntityKind::Viewport, viewport::viewport(record)),
        b"POINT" => (
            EntityKind::Point,
            Err(Refusal::Nothing("a point is no edge")),
        ),
        other => return (None, Err(reason_for(other))),
    };
    (Some(kind), shape)
}

fn reason_for(name: &[u8]) -> Refusal {
    match name {
        b"3DSOLID" | b"BODY" | b"REGION" | b"SURFACE" | b"EXTRUDEDSURFACE" | b"LOFTEDSURFACE"
        | b"REVOLVEDSURFACE" | b"SWEPTSURFACE" | b"PLANESURFACE" | b"NURBSURFACE" | b"MESH" => {
            "a solid or surface model; export its projected views as lines".into()
        }
        b"XLINE" | b"RAY" => Refusal::Nothing("a construction line without end"),
        b"MLINE" => "multiline; explode it in the drawing program to have it measured".into(),
        b"ACAD_TABLE" => Refusal::Nothing("a table is not measured"),
        b"ATTDEF" => {
            Refusal::Nothing("template of an attribute; only its value in an INSERT counts")
        }
        b"ACAD_PROXY_ENTITY" => {
            "made by an add-on of the drawing program; explode it to have it measured".into()
        }
        b"IMAGE" | b"WIPEOUT" | b"OLE2FRAME" | b"OLEFRAME" | b"PDFUNDERLAY" | b"DWFUNDERLAY"
        | b"DGNUNDERLAY" => Refusal::Nothing("a picture or mask is not measured"),
        b"TOLERANCE" => Refusal::Nothing("a tolerance frame is not measured"),
        b"SHAPE" => "shapes come from a font file that is not part of the drawing".into(),
        b"VERTEX" | b"SEQEND" => "belongs to no polyline or insert".into(),
        _ => "not understood".into(),
    }
}
