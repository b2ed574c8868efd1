//! SOLID, TRACE, 3DFACE: filled or surface quadrilaterals, taken by their edges.

use crate::drawing::Point;
use crate::drawing::record::Record;
use crate::drawing::refusal::Refusal;
use crate::drawing::shape::{Outline, Shape};
use crate::drawing::vector::Affine;

/// Corners in OCS; the third and fourth are crossed over (DXF Reference, SOLID).
pub fn solid(record: &Record) -> Result<Shape, Refusal> {
    let ocs = Affine::from_ocs(record.normal()?);
    let [a, b, c, d] = corners(record)?.map(|p| ocs.point(p));
    Ok(edges([a, b, d, c], 0))
}

/// Corners in world coordinates in turn; group 70 hides edges.
pub fn face(record: &Record) -> Result<Shape, Refusal> {
    let hidden = record.int_or(70, 0)?;
    if hidden & 15 == 15 {
        return Err(Refusal::Nothing("none of its edges is visible"));
    }
    Ok(edges(corners(record)?, hidden))
}

fn corners(record: &Record) -> Result<[Point; 4], Refusal> {
    let c = record.needed_point(12)?;
    Ok([
        record.needed_point(10)?,
        record.needed_point(11)?,
        c,
        record.point(13)?.unwrap_or(c),
    ])
}

fn edges([a, b, c, d]: [Point; 4], hidden: i64) -> Shape {
    let all = [(a, b), (b, c), (c, d), (d, a)];
    let segments = all
        .into_iter()
        .enumerate()
        .filter(|(i, (from, to))| hidden & (1 << i) == 0 && from != to)
        .map(|(_, edge)| edge);
    Shape::Many(Box::new(Outline {
        segments: segments.collect(),
        conics: Vec::new(),
    }))
}
