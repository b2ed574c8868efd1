//! Plain vector arithmetic in three dimensions, and the DXF object coordinate
//! system.

use super::Point;

/// World z axis, the default extrusion direction.
pub const Z: Point = [0.0, 0.0, 1.0];

pub fn add([ax, ay, az]: Point, [bx, by, bz]: Point) -> Point {
    [ax + bx, ay + by, az + bz]
}

pub fn sub([ax, ay, az]: Point, [bx, by, bz]: Point) -> Point {
    [ax - bx, ay - by, az - bz]
}

pub fn scale([x, y, z]: Point, k: f64) -> Point {
    [x * k, y * k, z * k]
}

pub fn dot([ax, ay, az]: Point, [bx, by, bz]: Point) -> f64 {
    ax * bx + ay * by + az * bz
}

pub fn cross([ax, ay, az]: Point, [bx, by, bz]: Point) -> Point {
    [ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx]
}

pub fn length(a: Point) -> f64 {
    dot(a, a).sqrt()
}

pub fn distance(a: Point, b: Point) -> f64 {
    length(sub(a, b))
}

/// Unit vector, or `None` for a vector without usable direction.
pub fn unit(a: Point) -> Option<Point> {
    // Dividing by the largest component first keeps 1e-200 and 1e200 usable.
    let largest = a.iter().fold(0.0_f64, |m, c| m.max(c.abs()));
    if !largest.is_finite() || largest <= 0.0 {
        return None;
    }
    let small = scale(a, 1.0 / largest);
    let len = length(small);
    (len.is_finite() && len > 0.0).then(|| scale(small, 1.0 / len))
}

/// `centre + u·cos t + v·sin t`
pub fn on_conic(centre: Point, u: Point, v: Point, t: f64) -> Point {
    let (s, c) = t.sin_cos();
    add(centre, add(scale(u, c), scale(v, s)))
}

/// A linear map (images of the three axes) followed by a shift.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Affine {
    pub x: Point,
    pub y: Point,
    pub z: Point,
    pub origin: Point,
}

impl Affine {
    pub const IDENTITY: Self = Self {
        x: [1.0, 0.0, 0.0],
        y: [0.0, 1.0, 0.0],
        z: Z,
        origin: [0.0; 3],
    };

    pub fn shift(by: Point) -> Self {
        Self {
            origin: by,
            ..Self::IDENTITY
        }
    }

    /// Counter-clockwise about z, radians.
    pub fn turn(angle: f64) -> Self {
        let (s, c) = exact_sin_cos(angle);
        Self {
            x: [c, s, 0.0],
            y: [-s, c, 0.0],
            ..Self::IDENTITY
        }
    }

    pub fn stretch([x, y, z]: Point) -> Self {
        Self {
            x: [x, 0.0, 0.0],
            y: [0.0, y, 0.0],
            z: [0.0, 0.0, z],
            origin: [0.0; 3],
        }
    }

    /// Object coordinates of an entity with this extrusion direction to world
    /// coordinates. A direction of no length counts as the default.
    pub fn from_ocs(normal: Point) -> Self {
        let (x, y, z) = ocs_axes(normal);
        Self {
            x,
            y,
            z,
            origin: [0.0; 3],
        }
    }

    pub fn vector(&self, [a, b, c]: Point) -> Point {
        add(add(scale(self.x, a), scale(self.y, b)), scale(self.z, c))
    }

    pub fn point(&self, p: Point) -> Point {
        add(self.vector(p), self.origin)
    }

    /// First `inner`, then `self`.
    pub fn after(&self, inner: &Self) -> Self {
        Self {
            x: self.vector(inner.x),
            y: self.vector(inner.y),
            z: self.vector(inner.z),
            origin: self.point(inner.origin),
        }
    }
}

/// Sine and cosine that are exact at quarter turns, so that a block turned by
/// 90 degrees keeps level lines level.
fn exact_sin_cos(angle: f64) -> (f64, f64) {
    let quarters = angle / std::f64::consts::FRAC_PI_2;
    let near = quarters.round();
    if (quarters - near).abs() < 1e-12 {
        match near.rem_euclid(4.0) {
            0.0 => (0.0, 1.0),
            1.0 => (1.0, 0.0),
            2.0 => (0.0, -1.0),
            _ => (-1.0, 0.0),
        }
    } else {
        angle.sin_cos()
    }
}

/// The arbitrary axis algorithm of the DXF Reference ("Object Coordinate
/// Systems"): axes of the entity's own plane in world coordinates.
pub fn ocs_axes(normal: Point) -> (Point, Point, Point) {
    if normal == Z {
        return ([1.0, 0.0, 0.0], [0.0, 1.0, 0.0], Z);
    }
    let Some(n) = unit(normal) else {
        return ([1.0, 0.0, 0.0], [0.0, 1.0, 0.0], Z);
    };
    let [nx, ny, _] = n;
    let world = if nx.abs() < 1.0 / 64.0 && ny.abs() < 1.0 / 64.0 {
        [0.0, 1.0, 0.0]
    } else {
        Z
    };
    let ax = unit(cross(world, n)).unwrap_or([1.0, 0.0, 0.0]);
    let ay = unit(cross(n, ax)).unwrap_or([0.0, 1.0, 0.0]);
    (ax, ay, n)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn close(a: Point, b: Point) {
        for (p, q) in a.iter().zip(b) {
            assert_relative_eq!(*p, q, epsilon = 1e-12);
        }
    }

    /// DXF Reference, arbitrary axis algorithm; values also from ezdxf `OCS.to_wcs`.
    #[test]
    fn ocs_point_to_world_follows_the_published_algorithm() {
        for (normal, world) in [
            ([0.0, 0.0, 1.0], [10.0, 5.0, 2.0]),
            ([0.0, 0.0, -1.0], [-10.0, 5.0, -2.0]),
            ([1.0, 0.0, 0.0], [2.0, 10.0, 5.0]),
            ([-1.0, 0.0, 0.0], [-2.0, -10.0, 5.0]),
            ([0.0, 1.0, 0.0], [-10.0, 2.0, 5.0]),
            ([0.0, -1.0, 0.0], [10.0, -2.0, 5.0]),
        ] {
            close(Affine::from_ocs(normal).point([10.0, 5.0, 2.0]), world);
        }
    }

    /// DXF Reference: the bound 1/64 itself takes the branch with the world z axis.
    #[test]
    fn ocs_bound_of_one_sixty_fourth_is_strict() {
        let z = |nx: f64| (1.0 - nx * nx).sqrt();
        let at = 0.015_625;
        let (ax, _, _) = ocs_axes([at, 0.0, z(at)]);
        close(ax, [0.0, 1.0, 0.0]);
        let under = 0.015_624;
        let (ax, _, _) = ocs_axes([under, 0.0, z(under)]);
        assert!(ax[0] > 0.99);
    }

    #[test]
    fn a_normal_of_no_length_counts_as_z() {
        assert_eq!(ocs_axes([0.0; 3]).2, Z);
        assert_eq!(ocs_axes([f64::NAN; 3]).2, Z);
        assert_eq!(ocs_axes([1e-300, 0.0, 0.0]).2, [1.0, 0.0, 0.0]);
    }

    #[test]
    fn quarter_turns_are_exact() {
        let turn = Affine::turn(90_f64.to_radians());
        assert_eq!(turn.point([3.0, 4.0, 0.0]), [-4.0, 3.0, 0.0]);
        let turn = Affine::turn(-180_f64.to_radians());
        assert_eq!(turn.point([3.0, 4.0, 0.0]), [-3.0, -4.0, 0.0]);
    }
}
