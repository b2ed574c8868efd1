//! LWPOLYLINE and POLYLINE with its VERTEX entities: straight pieces, bulges,
//! meshes.

use crate::drawing::Point;
use crate::drawing::definitions::Definitions;
use crate::drawing::limits::MAX_ENTITY_GROUPS;
use crate::drawing::record::Record;
use crate::drawing::refusal::Refusal;
use crate::drawing::shape::{Conic, Item, Outline, Shape};
use crate::drawing::vector::{self, Affine};

/// Position in the plane of the polyline and bulge to the next vertex.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Vertex {
    x: f64,
    y: f64,
    bulge: f64,
}

/// Group 10 starts a vertex; 20 and 42 belong to the last one (DXF Reference,
/// LWPOLYLINE).
pub fn light(record: &Record) -> Result<Shape, Refusal> {
    let mut vertices: Vec<Vertex> = Vec::new();
    let mut ys = 0;
    let (mut elevation, mut closed) = (0.0, false);
    for field in record.own() {
        match field.code {
            10 => vertices.push(Vertex {
                x: field.real()?,
                y: 0.0,
                bulge: 0.0,
            }),
            20 => {
                let y = field.real()?;
                if let Some(vertex) = vertices.get_mut(ys) {
                    vertex.y = y;
                }
                ys += 1;
            }
            42 => {
                let bulge = field.real()?;
                if let Some(vertex) = vertices.last_mut() {
                    vertex.bulge = bulge;
                }
            }
            38 => elevation = field.real()?,
            70 => closed = field.int()? & 1 != 0,
            _ => {}
        }
    }
    if ys != vertices.len() {
        return Err("its vertices do not all have two coordinates".into());
    }
    let ocs = Affine::from_ocs(record.normal()?);
    outline(&vertices, closed, elevation, &ocs)
}

fn outline(
    vertices: &[Vertex],
    closed: bool,
    elevation: f64,
    ocs: &Affine,
) -> Result<Shape, Refusal> {
    if vertices.len() < 2 {
        return Err(Refusal::Nothing("fewer than two vertices"));
    }
    let mut outline = Outline::default();
    let followers = vertices.iter().skip(1).chain(vertices.first());
    let pieces = vertices.len() - usize::from(!closed);
    for (a, b) in vertices.iter().zip(followers).take(pieces) {
        piece(a, b, elevation, ocs, &mut outline);
    }
    Ok(Shape::Many(Box::new(outline)))
}

fn piece(a: &Vertex, b: &Vertex, elevation: f64, ocs: &Affine, outline: &mut Outline) {
    match bulge([a.x, a.y], [b.x, b.y], a.bulge) {
        Some(arc) => outline.conics.push(arc.placed(elevation, ocs)),
        None => outline.segments.push((
            ocs.point([a.x, a.y, elevation]),
            ocs.point([b.x, b.y, elevation]),
        )),
    }
}

/// An arc in a plane, counter-clockwise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FlatArc {
    pub centre: [f64; 2],
    pub radius: f64,
    pub start: f64,
    pub end: f64,
}

impl FlatArc {
    pub fn placed(&self, elevation: f64, ocs: &Affine) -> Conic {
        let [x, y] = self.centre;
        Conic {
            centre: ocs.point([x, y, elevation]),
            u: vector::scale(ocs.x, self.radius),
            v: vector::scale(ocs.y, self.radius),
            start: self.start,
            end: self.end,
        }
    }
}

/// The arc from `a` to `b` with this bulge, the tangent of a quarter of the
/// included angle; negative runs clockwise (DXF Reference, LWPOLYLINE group 42).
/// `None` when the piece is straight.
pub fn bulge(a: [f64; 2], b: [f64; 2], bulge: f64) -> Option<FlatArc> {
    let ([ax, ay], [bx, by]) = (a, b);
    let (dx, dy) = (bx - ax, by - ay);
    let chord = dx.hypot(dy);
    if bulge.abs() < 1e-10 || chord <= 0.0 {
        return None;
    }
    let radius = chord * (1.0 + bulge * bulge) / (4.0 * bulge.abs());
    // Distance from the chord to the centre, positive to the left of a → b.
    let off = (1.0 - bulge * bulge) / (4.0 * bulge);
    let centre = [
        f64::midpoint(ax, bx) - dy * off,
        f64::midpoint(ay, by) + dx * off,
    ];
    let [cx, cy] = centre;
    let (from_x, from_y) = if bulge > 0.0 { (ax, ay) } else { (bx, by) };
    let start = (from_y - cy).atan2(from_x - cx);
    let start = start.rem_euclid(std::f64::consts::TAU);
    Some(FlatArc {
        centre,
        radius,
        start,
        end: start + 4.0 * bulge.abs().atan(),
    })
}

/// A POLYLINE whose VERTEX entities are still coming.
#[derive(Debug)]
pub struct OpenPolyline {
    pub item: Item,
    flags: i64,
    elevation: f64,
    /// Mesh size in M and N.
    mesh: (i64, i64),
    ocs: Affine,
    vertices: Vec<(Point, f64)>,
    faces: Vec<[i64; 4]>,
    refusal: Option<Refusal>,
    name: String,
}

const CLOSED: i64 = 1;
const SPLINE_FIT: i64 = 4;
const IN_3D: i64 = 8;
const MESH: i64 = 16;
const CLOSED_IN_N: i64 = 32;
const POLYFACE: i64 = 64;

impl OpenPolyline {
    pub fn new(record: &Record, item: Item) -> Self {
        let mut open = Self {
            item,
            flags: 0,
            elevation: 0.0,
            mesh: (0, 0),
            ocs: Affine::IDENTITY,
            vertices: Vec::new(),
            faces: Vec::new(),
            refusal: None,
            name: super::type_name(record.name()),
        };
        open.refusal = open.head(record).err();
        open
    }

    fn head(&mut self, record: &Record) -> Result<(), Refusal> {
        self.flags = record.int_or(70, 0)?;
        self.elevation = record.real_or(30, 0.0)?;
        self.mesh = (record.int_or(71, 0)?, record.int_or(72, 0)?);
        if self.flags & SPLINE_FIT != 0 && self.flags & MESH != 0 {
            self.mesh = (record.int_or(73, 0)?, record.int_or(74, 0)?);
        }
        self.ocs = Affine::from_ocs(record.normal()?);
        Ok(())
    }

    pub fn vertex(&mut self, record: &Record) {
        if let Err(refusal) = self.add(record) {
            self.refusal.get_or_insert(refusal);
        }
    }

    fn add(&mut self, record: &Record) -> Result<(), Refusal> {
        if self.vertices.len() + self.faces.len() >= MAX_ENTITY_GROUPS {
            return Err(super::too_long());
        }
        let flags = record.int_or(70, 0)?;
        // The frame of a spline-fit polyline guides the curve; it is not drawn.
        if flags & 16 != 0 {
            return Ok(());
        }
        if self.flags & POLYFACE != 0 && flags & 128 != 0 && flags & 64 == 0 {
            self.faces.push([
                record.int_or(71, 0)?,
                record.int_or(72, 0)?,
                record.int_or(73, 0)?,
                record.int_or(74, 0)?,
            ]);
            return Ok(());
        }
        let at = record.needed_point(10)?;
        self.vertices.push((at, record.real_or(42, 0.0)?));
        Ok(())
    }

    pub fn finish(self, definitions: &mut Definitions) -> Item {
        let shape = match self.refusal {
            Some(ref refusal) => Err(refusal.clone()),
            None => self.shape(),
        };
        let mut item = self.item;
        item.shape = shape.unwrap_or_else(|why| Shape::Left {
            what: definitions.leftovers.id(self.name, why),
            times: 1,
        });
        item
    }

    fn shape(&self) -> Result<Shape, Refusal> {
        let closed = self.flags & CLOSED != 0;
        if self.flags & POLYFACE != 0 {
            return self.polyface();
        }
        if self.flags & MESH != 0 {
            return self.mesh();
        }
        if self.flags & IN_3D != 0 {
            let points: Vec<Point> = self.vertices.iter().map(|(p, _)| *p).collect();
            return chain(&points, closed);
        }
        let flat: Vec<Vertex> = self
            .vertices
            .iter()
            .map(|&([x, y, _], bulge)| Vertex { x, y, bulge })
            .collect();
        outline(&flat, closed, self.elevation, &self.ocs)
    }

    /// Edges of the faces; a negative vertex number hides the edge from it.
    fn polyface(&self) -> Result<Shape, Refusal> {
        let mut outline = Outline::default();
        let vertex = |number: i64| {
            let index = usize::try_from(number.unsigned_abs())
                .ok()?
                .checked_sub(1)?;
            self.vertices.get(index).map(|(p, _)| *p)
        };
        for face in &self.faces {
            let corners: Vec<i64> = face.iter().copied().filter(|n| *n != 0).collect();
            let followers = corners.iter().skip(1).chain(corners.first());
            for (&from, &to) in corners.iter().zip(followers) {
                let (Some(a), Some(b)) = (vertex(from), vertex(to)) else {
                    return Err("a face names a vertex that is not there".into());
                };
                if from > 0 {
                    outline.segments.push((a, b));
                }
            }
        }
        filled(outline)
    }

    fn mesh(&self) -> Result<Shape, Refusal> {
        let size = |n: i64| usize::try_from(n).ok().filter(|n| *n >= 2);
        let (Some(m), Some(n)) = (size(self.mesh.0), size(self.mesh.1)) else {
            return Err("the size of its mesh is not given".into());
        };
        if m.checked_mul(n) != Some(self.vertices.len()) {
            return Err("its mesh does not have as many vertices as it says".into());
        }
        let at = |i: usize, j: usize| self.vertices.get((i % m) * n + j % n).map(|(p, _)| *p);
        let mut outline = Outline::default();
        for i in 0..m {
            for j in 0..n {
                let along_m = i + 1 < m || self.flags & CLOSED != 0;
                let along_n = j + 1 < n || self.flags & CLOSED_IN_N != 0;
                let ends = [(along_m, at(i + 1, j)), (along_n, at(i, j + 1))];
                for (_, end) in ends.into_iter().filter(|(drawn, _)| *drawn) {
                    if let (Some(a), Some(b)) = (at(i, j), end) {
                        outline.segments.push((a, b));
                    }
                }
            }
        }
        filled(outline)
    }
}

fn filled(outline: Outline) -> Result<Shape, Refusal> {
    if outline.segments.is_empty() {
        return Err(Refusal::Nothing("none of its edges is visible"));
    }
    Ok(Shape::Many(Box::new(outline)))
}

fn chain(points: &[Point], closed: bool) -> Result<Shape, Refusal> {
    if points.len() < 2 {
        return Err(Refusal::Nothing("fewer than two vertices"));
    }
    let followers = points.iter().skip(1).chain(points.first());
    let pieces = points.len() - usize::from(!closed);
    let segments = points.iter().copied().zip(followers.copied()).take(pieces);
    Ok(Shape::Many(Box::new(Outline {
        segments: segments.collect(),
        conics: Vec::new(),
    })))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// tan(θ/4) for common angles; 90° from a published table, the rest from
    /// the definition (DXF Reference, LWPOLYLINE group 42).
    #[test]
    fn bulge_is_the_tangent_of_a_quarter_of_the_angle() {
        for (degrees, value) in [
            (30.0_f64, 0.131_652_497_587),
            (45.0, 0.198_912_367_380),
            (60.0, 0.267_949_192_431),
            (90.0, 0.414_213_562_373),
            (120.0, 0.577_350_269_190),
            (180.0, 1.0),
            (270.0, 2.414_213_562_373),
        ] {
            for sign in [1.0, -1.0] {
                let arc = bulge([0.0, 0.0], [3.0, 1.0], sign * value).unwrap();
                assert_relative_eq!(
                    arc.end - arc.start,
                    degrees.to_radians(),
                    max_relative = 1e-10
                );
            }
        }
        assert_eq!(bulge([0.0, 0.0], [1.0, 0.0], 0.0), None);
        assert_eq!(bulge([1.0, 1.0], [1.0, 1.0], 0.5), None);
    }

    /// Closed forms; ezdxf `bulge_center` and `bulge_radius` agree.
    #[test]
    fn bulge_radius_centre_and_length() {
        let arc = bulge([0.0, 0.0], [4.0, 0.0], 0.5).unwrap();
        assert_relative_eq!(arc.radius, 2.5, max_relative = 1e-14);
        assert_relative_eq!(arc.centre[0], 2.0, max_relative = 1e-14);
        assert_relative_eq!(arc.centre[1], 1.5, max_relative = 1e-14);
        let sweep = arc.end - arc.start;
        assert_relative_eq!(sweep.to_degrees(), 106.2602, max_relative = 1e-6);
        assert_relative_eq!(sweep * arc.radius, 4.636_476, max_relative = 1e-6);
        // Sagitta 1: the lowest point is one under the chord.
        assert_relative_eq!(arc.centre[1] - arc.radius, -1.0, max_relative = 1e-14);
        let arc = bulge([0.0, 0.0], [8.0, 0.0], 0.25).unwrap();
        assert_relative_eq!(arc.radius, 8.5, max_relative = 1e-14);
        assert_relative_eq!(arc.centre[1] - arc.radius, -1.0, max_relative = 1e-13);
    }
}
