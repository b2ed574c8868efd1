//! LINE, ARC, CIRCLE, ELLIPSE.

use std::f64::consts::TAU;

use crate::drawing::Point;
use crate::drawing::record::Record;
use crate::drawing::refusal::Refusal;
use crate::drawing::shape::{Conic, Outline, Shape};
use crate::drawing::vector::{self, Affine, Z};

/// Both points are in world coordinates (DXF Reference, LINE).
pub fn line(record: &Record) -> Result<Shape, Refusal> {
    let mut a = [None, None, Some(0.0)];
    let mut b = a;
    for field in record.own() {
        let ([ax, ay, az], [bx, by, bz]) = (&mut a, &mut b);
        match field.code {
            10 => *ax = Some(field.real()?),
            20 => *ay = Some(field.real()?),
            30 => *az = Some(field.real()?),
            11 => *bx = Some(field.real()?),
            21 => *by = Some(field.real()?),
            31 => *bz = Some(field.real()?),
            _ => {}
        }
    }
    Ok(Shape::Line(complete(a, 10)?, complete(b, 11)?))
}

fn complete([x, y, z]: [Option<f64>; 3], code: i32) -> Result<Point, Refusal> {
    Ok([
        x.ok_or(Refusal::Missing(code))?,
        y.ok_or(Refusal::Missing(code + 10))?,
        z.unwrap_or(0.0),
    ])
}

pub fn one_conic(conic: Conic) -> Shape {
    Shape::Many(Box::new(Outline {
        segments: Vec::new(),
        conics: vec![conic],
    }))
}

/// Centre in OCS, angles in degrees, counter-clockwise (DXF Reference, ARC).
pub fn arc(record: &Record) -> Result<Shape, Refusal> {
    let start = record.real(50)?.ok_or(Refusal::Missing(50))?.to_radians();
    let end = record.real(51)?.ok_or(Refusal::Missing(51))?.to_radians();
    let (start, end) = forward(start, end);
    round(record, start, end)
}

pub fn circle(record: &Record) -> Result<Shape, Refusal> {
    round(record, 0.0, TAU)
}

fn round(record: &Record, start: f64, end: f64) -> Result<Shape, Refusal> {
    let radius = record.real(40)?.ok_or(Refusal::Missing(40))?;
    if radius <= 0.0 {
        return Err("its radius is not positive".into());
    }
    let ocs = Affine::from_ocs(record.normal()?);
    Ok(one_conic(Conic {
        centre: ocs.point(record.needed_point(10)?),
        u: vector::scale(ocs.x, radius),
        v: vector::scale(ocs.y, radius),
        start,
        end,
    }))
}

/// Centre and major axis in world coordinates, parameters in radians (DXF
/// Reference, ELLIPSE).
pub fn ellipse(record: &Record) -> Result<Shape, Refusal> {
    let major = record.needed_point(11)?;
    let ratio = record.real(40)?.ok_or(Refusal::Missing(40))?;
    let normal = vector::unit(record.normal()?).unwrap_or(Z);
    let minor = vector::scale(vector::cross(normal, major), ratio);
    if vector::length(major) <= 0.0 || vector::length(minor) <= 0.0 {
        return Err("one of its axes has no length".into());
    }
    let (start, end) = forward(record.real_or(41, 0.0)?, record.real_or(42, TAU)?);
    Ok(one_conic(Conic {
        centre: record.needed_point(10)?,
        u: major,
        v: minor,
        start,
        end,
    }))
}

/// Start within one turn, end after it by at most one; equal ones mean a whole turn.
pub fn forward(start: f64, end: f64) -> (f64, f64) {
    let sweep = (end - start).rem_euclid(TAU);
    // A sweep that is a whole turn but for rounding.
    let nothing = !(1e-9..=TAU - 1e-9).contains(&sweep);
    if nothing {
        return (0.0, TAU);
    }
    let start = start.rem_euclid(TAU);
    (start, start + sweep)
}
