//! Shapes to primitives in world coordinates.

use super::Point;
use super::conic::{self, Round};
use super::definitions::Definitions;
use super::limits::MAX_COORDINATE;
use super::shape::{DimensionShape, Outline, Shape, TextShape};
use super::sheet::{Arc, Dimension, DimensionKind, Ellipse, Segment, SourceId, Text};
use super::vector::{self, Affine};

pub const NO_LENGTH: &str = "no length";
const TOO_FAR: &str = "a coordinate is farther out than a drawing can be measured";
const FLAT: &str = "scaled to nothing";

/// A point of the drawing, within bounds.
///
/// # Errors
/// When it is farther out than coordinates may be.
pub fn world(to_world: Option<&Affine>, point: Point) -> Result<Point, &'static str> {
    let point = match to_world {
        Some(map) => map.point(point),
        None => point,
    };
    if point.iter().all(|c| c.abs() <= MAX_COORDINATE) {
        Ok(point)
    } else {
        Err(TOO_FAR)
    }
}

pub type Into<'a> = (&'a mut Vec<Segment>, &'a mut Vec<Arc>, &'a mut Vec<Ellipse>);

/// # Errors
/// When a coordinate is out of bounds or nothing is left to draw.
pub fn outline(
    outline: &Outline,
    to_world: Option<&Affine>,
    source: SourceId,
    (segments, arcs, ellipses): Into<'_>,
) -> Result<(), &'static str> {
    let mut drawn = false;
    for &(a, b) in &outline.segments {
        let (a, b) = (world(to_world, a)?, world(to_world, b)?);
        if a != b {
            segments.push(Segment { a, b, source });
            drawn = true;
        }
    }
    for conic in &outline.conics {
        let conic = match to_world {
            Some(map) => conic.under(map),
            None => *conic,
        };
        // The box of the whole curve stays in bounds.
        for axis in [conic.u, conic.v] {
            world(None, vector::add(conic.centre, axis))?;
            world(None, vector::sub(conic.centre, axis))?;
        }
        match conic::round(&conic, source) {
            Some(Round::Arc(arc)) => arcs.push(arc),
            Some(Round::Ellipse(ellipse)) => ellipses.push(ellipse),
            None => return Err(FLAT),
        }
        drawn = true;
    }
    if drawn { Ok(()) } else { Err(NO_LENGTH) }
}

/// # Errors
/// When a coordinate is out of bounds.
pub fn text(
    text: &TextShape,
    to_world: Option<&Affine>,
    source: SourceId,
) -> Result<Text, &'static str> {
    let at = world(to_world, text.at)?;
    let anchor = world(to_world, text.anchor)?;
    let (along, up) = match to_world {
        Some(map) => (map.vector(text.along), map.vector(text.up)),
        None => (text.along, text.up),
    };
    let [x, y, _] = along;
    // Height is measured square to the line of text, also when it is slanted.
    let height = match vector::unit(along) {
        Some(unit) => vector::length(vector::cross(unit, up)),
        None => vector::length(up),
    };
    world(None, [height, x, y])?;
    Ok(Text {
        text: text.text.clone(),
        at,
        anchor,
        height,
        rotation: y.atan2(x),
        source,
    })
}

/// # Errors
/// When a coordinate is out of bounds.
pub fn dimension(
    definitions: &Definitions,
    dimension: &DimensionShape,
    to_world: Option<&Affine>,
    source: SourceId,
) -> Result<Dimension, &'static str> {
    let from = world(to_world, dimension.from)?;
    let to = world(to_world, dimension.to)?;
    let line_at = world(to_world, dimension.line_at)?;
    let between = vector::sub(to, from);
    let along = match (dimension.along, to_world) {
        (Some(along), Some(map)) => vector::unit(map.vector(along)),
        (along, _) => along,
    };
    let (measured, [x, y, _]) = match (dimension.kind, along) {
        (DimensionKind::Angular, _) => (dimension.opening, between),
        (_, Some(along)) => (vector::dot(between, along).abs(), along),
        (_, None) => (vector::length(between), between),
    };
    let style = dimension.style.and_then(|id| definitions.style_factor(id));
    let (factor, factor_origin) = [
        (dimension.factor, "the dimension's own override"),
        (style, "its dimension style"),
        (definitions.header.factor, "the drawing's header"),
    ]
    .into_iter()
    .find_map(|(factor, origin)| factor.map(|factor| (factor, origin)))
    .unwrap_or((1.0, "nothing says otherwise"));
    let drawn = dimension
        .block
        .and_then(|name| definitions.find_block(name))
        .and_then(|index| definitions.block(index))
        .and_then(|block| {
            block.items.iter().find_map(|item| match &item.shape {
                Shape::Text(text) => Some(text),
                _ => None,
            })
        });
    let reads = drawn.map(|text| to_world.map_or(text.along, |map| map.vector(text.along)));
    Ok(Dimension {
        kind: dimension.kind,
        from,
        to,
        line_at,
        angle: y.atan2(x),
        measured,
        text: dimension.text.clone(),
        around: dimension.around.clone(),
        suppressed: dimension.suppressed,
        stated: dimension.stated,
        drawn_text: drawn.map(|text| text.text.clone()),
        drawn_turn: reads
            .map(|[x, y, _]| y.atan2(x))
            .filter(|turn| turn.is_finite()),
        factor,
        factor_origin,
        source,
    })
}
