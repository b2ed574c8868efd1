//! HATCH: its boundary paths, not its pattern.

use std::f64::consts::TAU;

use super::curve::forward;
use super::polyline::{FlatArc, bulge};
use super::spline;
use crate::drawing::record::{Field, Record};
use crate::drawing::refusal::Refusal;
use crate::drawing::shape::{Conic, Outline, Shape};
use crate::drawing::vector::{self, Affine};

/// Boundary paths stand between group 91 and group 75 (DXF Reference, HATCH,
/// "Boundary path data").
pub fn hatch(record: &Record) -> Result<Shape, Refusal> {
    let ocs = Affine::from_ocs(record.normal()?);
    let elevation = record.real_or(30, 0.0)?;
    let mut outline = Outline::default();
    let mut path: Vec<Field<'_>> = Vec::new();
    let mut inside = false;
    for field in record.own() {
        match field.code {
            91 => inside = true,
            92 if inside => {
                boundary(&path, elevation, &ocs, &mut outline)?;
                path.clear();
                path.push(field);
            }
            75 if inside => break,
            _ if inside => path.push(field),
            _ => {}
        }
    }
    boundary(&path, elevation, &ocs, &mut outline)?;
    if outline.segments.is_empty() && outline.conics.is_empty() {
        return Err(Refusal::Nothing("a hatch without a boundary of its own"));
    }
    Ok(Shape::Hatch(Box::new(outline)))
}

fn boundary(
    path: &[Field<'_>],
    elevation: f64,
    ocs: &Affine,
    outline: &mut Outline,
) -> Result<(), Refusal> {
    let Some((flags, rest)) = path.split_first() else {
        return Ok(());
    };
    if flags.int()? & 2 != 0 {
        return polyline(rest, elevation, ocs, outline);
    }
    // Each edge starts with its kind; what follows the last edge (97: source
    // objects) is met as a field of it and not asked for.
    let mut start = None;
    for (i, field) in rest.iter().enumerate() {
        if field.code == 72 {
            if let Some(start) = start {
                edge(
                    rest.get(start..i).unwrap_or_default(),
                    elevation,
                    ocs,
                    outline,
                )?;
            }
            start = Some(i);
        }
    }
    if let Some(start) = start {
        edge(
            rest.get(start..).unwrap_or_default(),
            elevation,
            ocs,
            outline,
        )?;
    }
    Ok(())
}

fn polyline(
    fields: &[Field<'_>],
    elevation: f64,
    ocs: &Affine,
    outline: &mut Outline,
) -> Result<(), Refusal> {
    let mut vertices: Vec<([f64; 2], f64)> = Vec::new();
    let mut x = None;
    let mut closed = true;
    for field in fields {
        match field.code {
            73 => closed = field.int()? != 0,
            10 => x = Some(field.real()?),
            20 => {
                if let Some(x) = x.take() {
                    vertices.push(([x, field.real()?], 0.0));
                }
            }
            42 => {
                let value = field.real()?;
                if let Some((_, bulge)) = vertices.last_mut() {
                    *bulge = value;
                }
            }
            97 => break,
            _ => {}
        }
    }
    let followers = vertices.iter().skip(1).chain(vertices.first());
    let pieces = vertices.len().saturating_sub(usize::from(!closed));
    for (&(a, b), &(to, _)) in vertices.iter().zip(followers).take(pieces) {
        match bulge(a, to, b) {
            Some(arc) => outline.conics.push(arc.placed(elevation, ocs)),
            None => segment(a, to, elevation, ocs, outline),
        }
    }
    Ok(())
}

fn segment([ax, ay]: [f64; 2], [bx, by]: [f64; 2], z: f64, ocs: &Affine, outline: &mut Outline) {
    if (ax, ay) != (bx, by) {
        outline
            .segments
            .push((ocs.point([ax, ay, z]), ocs.point([bx, by, z])));
    }
}

fn edge(
    fields: &[Field<'_>],
    elevation: f64,
    ocs: &Affine,
    outline: &mut Outline,
) -> Result<(), Refusal> {
    let get = |code: i32| -> Result<f64, Refusal> {
        let field = fields.iter().find(|field| field.code == code);
        field.ok_or(Refusal::Missing(code))?.real()
    };
    let kind = get(72)?;
    if kind == 4.0 {
        return spline_edge(fields, elevation, ocs, outline);
    }
    let first = [get(10)?, get(20)?];
    if kind == 1.0 {
        segment(first, [get(11)?, get(21)?], elevation, ocs, outline);
        return Ok(());
    }
    if kind != 2.0 && kind != 3.0 {
        return Err("a boundary edge of unknown kind".into());
    }
    let (start, end) = (get(50)?.to_radians(), get(51)?.to_radians());
    // Clockwise edges give their angles mirrored.
    let (start, end) = if get(73)? == 0.0 {
        forward(-end, -start)
    } else {
        forward(start, end)
    };
    let radius = get(40)?;
    if kind == 2.0 {
        let arc = FlatArc {
            centre: first,
            radius,
            start,
            end,
        };
        outline.conics.push(arc.placed(elevation, ocs));
        return Ok(());
    }
    let [x, y] = first;
    let (mx, my) = (get(11)?, get(21)?);
    outline.conics.push(Conic {
        centre: ocs.point([x, y, elevation]),
        u: ocs.vector([mx, my, 0.0]),
        v: ocs.vector(vector::scale([-my, mx, 0.0], radius)),
        start,
        end: end.min(start + TAU),
    });
    Ok(())
}

fn spline_edge(
    fields: &[Field<'_>],
    elevation: f64,
    ocs: &Affine,
    outline: &mut Outline,
) -> Result<(), Refusal> {
    let mut curve = spline::Curve::default();
    let mut x = None;
    for field in fields {
        match field.code {
            94 => curve.degree = usize::try_from(field.int()?).unwrap_or(0),
            40 => curve.knots.push(field.real()?),
            10 => x = Some(field.real()?),
            20 => {
                if let Some(x) = x.take() {
                    curve.points.push(ocs.point([x, field.real()?, elevation]));
                }
            }
            42 => curve.weights.push(field.real()?),
            97 => break,
            _ => {}
        }
    }
    let points = curve.flatten()?;
    let followers = points.iter().skip(1);
    outline
        .segments
        .extend(points.iter().copied().zip(followers.copied()));
    Ok(())
}
