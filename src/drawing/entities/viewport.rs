//! VIEWPORT: a window from a paper sheet into model space.

use crate::drawing::groups::Value;
use crate::drawing::record::Record;
use crate::drawing::refusal::Refusal;
use crate::drawing::shape::{Shape, ViewportShape};
use crate::drawing::vector::Z;

const OFF: i64 = 0x2_0000;

pub fn viewport(record: &Record) -> Result<Shape, Refusal> {
    // The window with id 1 is the paper itself.
    if record.int(69)? == Some(1) {
        return Err(Refusal::Nothing("the paper sheet itself"));
    }
    let width = record.real(40)?.ok_or(Refusal::Missing(40))?;
    let height = record.real(41)?.ok_or(Refusal::Missing(41))?;
    let mut shape = ViewportShape {
        centre: record.needed_point(10)?,
        width,
        height,
        view_centre: [0.0, 0.0],
        view_height: record.real_or(45, 0.0)?,
        direction: record.point(16)?.unwrap_or(Z),
        target: record.point(17)?.unwrap_or([0.0; 3]),
        twist: record.real_or(51, 0.0)?.to_radians(),
        off: record.int(68)? == Some(0) || record.int_or(90, 0)? & OFF != 0,
    };
    if let (Some(x), Some(y)) = (record.real(12)?, record.real(22)?) {
        shape.view_centre = [x, y];
    }
    if record.real(45)?.is_none() {
        old_style(record, &mut shape);
    }
    if height > 0.0 && width > 0.0 && shape.view_height > 0.0 {
        Ok(Shape::Viewport(Box::new(shape)))
    } else {
        Err("what the window shows is not given".into())
    }
}

/// Release 12 keeps the view in extended data: after `MVIEW` two points
/// (target, direction), then twist, view height, centre x and y as reals.
fn old_style(record: &Record, shape: &mut ViewportShape) {
    let mut in_view = false;
    let mut points = Vec::new();
    let mut reals = Vec::new();
    let mut point = Vec::new();
    for field in record.fields().filter(|field| field.code >= 1000) {
        match (field.code, field.value) {
            (1000, Value::Text(b"MVIEW")) => in_view = true,
            (1010 | 1020 | 1030, _) if in_view => {
                point.extend(field.real());
                if let [x, y, z] = point[..] {
                    points.push([x, y, z]);
                    point.clear();
                }
            }
            (1040, _) if in_view => reals.extend(field.real()),
            _ => {}
        }
    }
    if let ([target, direction, ..], [twist, view_height, x, y, ..]) = (&points[..], &reals[..]) {
        shape.target = *target;
        shape.direction = *direction;
        shape.twist = twist.to_radians();
        shape.view_height = *view_height;
        shape.view_centre = [*x, *y];
    }
}
