//! Circles and ellipses under any linear map.

use std::f64::consts::{FRAC_PI_2, TAU};

use super::shape::Conic;
use super::sheet::{Arc, Ellipse, SourceId};
use super::vector::{self, Affine};

#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Round {
    Arc(Arc),
    Ellipse(Ellipse),
}

/// Two half axes count as equal and square within this share of their length.
const SAME: f64 = 1e-9;

impl Conic {
    pub fn under(&self, map: &Affine) -> Self {
        Self {
            centre: map.point(self.centre),
            u: map.vector(self.u),
            v: map.vector(self.v),
            ..*self
        }
    }
}

/// The arc or ellipse a conic is; `None` when it has no area.
pub fn round(conic: &Conic, source: SourceId) -> Option<Round> {
    let Conic {
        centre,
        u,
        v,
        start,
        end,
    } = *conic;
    let (lu, lv) = (vector::length(u), vector::length(v));
    let longer = lu.max(lv);
    let across = vector::dot(u, v);
    let area = vector::length(vector::cross(u, v));
    if area.is_nan() || area <= longer * longer * 1e-12 {
        return None;
    }
    let normal = vector::unit(vector::cross(u, v))?;
    if (lu - lv).abs() <= SAME * longer && across.abs() <= SAME * longer * longer {
        return Some(Round::Arc(arc(conic, normal, lu, source)));
    }
    // Principal axes of a conic given by any two conjugate half axes.
    let tilt = 0.5 * (2.0 * across).atan2(lu * lu - lv * lv);
    let (s, c) = tilt.sin_cos();
    let mut major = vector::add(vector::scale(u, c), vector::scale(v, s));
    let mut minor = vector::sub(vector::scale(v, c), vector::scale(u, s));
    let mut back = tilt;
    if vector::length(minor) > vector::length(major) {
        (major, minor) = (minor, vector::scale(major, -1.0));
        back += FRAC_PI_2;
    }
    let (start, end) = turned(start, end, -back);
    Some(Round::Ellipse(Ellipse {
        centre,
        major,
        minor,
        start,
        end,
        source,
    }))
}

fn arc(conic: &Conic, normal: [f64; 3], radius: f64, source: SourceId) -> Arc {
    let down = {
        let [_, _, z] = normal;
        z < -SAME
    };
    // Seen from the other side the same arc runs the other way round.
    let (normal, start, end) = if down {
        (vector::scale(normal, -1.0), -conic.end, -conic.start)
    } else {
        (normal, conic.start, conic.end)
    };
    let (x, y, normal) = vector::ocs_axes(normal);
    let off = vector::dot(conic.u, y).atan2(vector::dot(conic.u, x));
    let (start, end) = turned(start, end, off);
    Arc {
        centre: conic.centre,
        radius,
        start,
        end,
        normal,
        source,
    }
}

/// Both moved on; the start within one turn, a whole turn from zero.
fn turned(start: f64, end: f64, by: f64) -> (f64, f64) {
    let sweep = end - start;
    if sweep >= TAU {
        return (0.0, TAU);
    }
    let start = (start + by).rem_euclid(TAU);
    (start, start + sweep)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn quarter() -> Conic {
        Conic {
            centre: [1.0, 2.0, 0.0],
            u: [3.0, 0.0, 0.0],
            v: [0.0, 3.0, 0.0],
            start: 0.0,
            end: FRAC_PI_2,
        }
    }

    fn ends(round: Round) -> [[f64; 3]; 2] {
        match round {
            Round::Arc(a) => [a.point_at(a.start), a.point_at(a.end)],
            Round::Ellipse(e) => [e.point_at(e.start), e.point_at(e.end)],
        }
    }

    fn same(a: [f64; 3], b: [f64; 3]) {
        assert!(vector::distance(a, b) < 1e-9, "{a:?} {b:?}");
    }

    /// A point of the curve and its image agree whatever the map.
    #[test]
    fn maps_keep_the_ends() {
        let maps = [
            Affine::turn(0.7),
            Affine::stretch([-1.0, 1.0, 1.0]),
            Affine::stretch([2.0, 3.0, 1.0]),
            Affine::stretch([-2.0, 5.0, 1.0]).after(&Affine::turn(0.3)),
            Affine::from_ocs([0.0, 0.0, -1.0]),
            Affine::from_ocs([0.0, -1.0, 0.0]),
            Affine::from_ocs([0.3, 0.4, 0.5]).after(&Affine::stretch([1.0, 0.2, 1.0])),
        ];
        for map in maps {
            let drawn = ends(round(&quarter().under(&map), 0).unwrap());
            let mut want = [map.point([4.0, 2.0, 0.0]), map.point([1.0, 5.0, 0.0])];
            if vector::distance(drawn[0], want[0]) > 1e-9 {
                want.reverse();
            }
            same(drawn[0], want[0]);
            same(drawn[1], want[1]);
        }
    }

    #[test]
    fn a_mirrored_arc_keeps_the_upward_normal() {
        for map in [
            Affine::stretch([-1.0, 1.0, 1.0]),
            Affine::from_ocs([0.0, 0.0, -1.0]),
        ] {
            let Some(Round::Arc(arc)) = round(&quarter().under(&map), 0) else {
                panic!("an arc stays an arc");
            };
            assert_eq!(arc.normal, vector::Z);
            assert_relative_eq!(arc.start, FRAC_PI_2, max_relative = 1e-12);
            assert_relative_eq!(arc.end, 2.0 * FRAC_PI_2, max_relative = 1e-12);
        }
    }

    #[test]
    fn squeezed_circles_become_ellipses_with_square_axes() {
        let map = Affine::stretch([1.0, 0.25, 1.0]).after(&Affine::turn(0.5));
        let Some(Round::Ellipse(e)) = round(&quarter().under(&map), 0) else {
            panic!("an ellipse");
        };
        assert_relative_eq!(vector::length(e.major), 3.0, max_relative = 1e-12);
        assert_relative_eq!(vector::length(e.minor), 0.75, max_relative = 1e-12);
        assert!(vector::dot(e.major, e.minor).abs() < 1e-12);
        assert!(round(&quarter().under(&Affine::stretch([1.0, 0.0, 1.0])), 0).is_none());
    }
}
