//! The largest ball inside a part that touches its surface at a point: the shrinking ball
//! (Ma, Bae & Choi, *The Visual Computer* 28, 2012).
//!
//! The ball through the point p and a contact q has the radius |p − q|² / (2 n·(p − q));
//! seen from its center they are 2 asin(n·(p − q) / |p − q|) apart, so whether a contact
//! is passed over does not depend on the ball. Blind: a ball right at a convex edge is held
//! by the edge and says nothing of a wall; what counts as a contact is the caller's choice.

use crate::geom::{Point, Vector};
use crate::mesh::bvh::Bvh;

/// Shrinking halves the error at least; on a million samples of real parts none needed
/// more than about twenty steps.
const STEPS: usize = 40;

/// Sine below which a contact lies in the plane of the point and holds no ball.
const LEAST_SINE: f64 = 1e-6;

/// From which ball to shrink.
#[derive(Clone, Copy, Debug)]
pub struct Shrink {
    /// The point of the surface that the ball touches.
    pub point: Point,
    /// Into the part, of unit length.
    pub inward: Vector,
    /// Radius to begin with, mm.
    pub start: f64,
    /// The ball does not get smaller than this, mm.
    pub least: f64,
    /// Done when nothing lies deeper inside than this share of the radius.
    pub settled: f64,
}

/// The ball that was found.
#[derive(Clone, Copy, Debug)]
pub struct Inscribed {
    /// Its radius, mm.
    pub radius: f64,
    /// Angle between the point and the contact that holds the ball, seen from its center,
    /// radians: π between the sides of a slab.
    pub angle: f64,
    /// That contact; the point itself where nothing but the start bounds the ball.
    pub contact: Point,
}

impl Shrink {
    /// Shrinks the ball until no contact that `counts` lies inside.
    pub fn run(&self, bvh: &Bvh, counts: impl Fn(&Point) -> bool) -> Inscribed {
        let Self { point, inward, start, least, settled } = *self;
        let mut ball = Inscribed {
            radius: start.max(least),
            angle: std::f64::consts::PI,
            contact: point,
        };
        for _ in 0..STEPS {
            let center = point + inward * ball.radius;
            let reach = ball.radius * (1.0 - settled);
            let Some(inside) = bvh.nearest_where(&center, reach, &counts) else { break };
            let to_contact = inside.point - point;
            let length = to_contact.norm();
            let sine = (inward.dot(&to_contact) / length.max(f64::MIN_POSITIVE)).min(1.0);
            let radius = length / (2.0 * sine);
            if !(sine > LEAST_SINE && radius < ball.radius) {
                break;
            }
            let angle = 2.0 * sine.asin();
            ball = Inscribed { radius: radius.max(least), angle, contact: inside.point };
            if radius <= least {
                break;
            }
        }
        ball
    }
}

#[cfg(test)]
mod tests {
    use super::Shrink;
    use crate::geom::{Point, Vector};
    use crate::mesh::{bvh::Bvh, shapes};

    #[test]
    fn the_ball_in_a_slab_touches_both_faces() {
        let bvh = Bvh::new(&shapes::cuboid(40.0, 40.0, 3.0));
        let (low, high) = (bvh.nearest(&Point::new(20.0, 20.0, -9.0), 99.0), 9.0);
        let point = low.unwrap().point;
        let shrink =
            Shrink { point, inward: Vector::z(), start: high, least: 0.0, settled: 1e-9 };
        let ball = shrink.run(&bvh, |_| true);
        assert!((ball.radius - 1.5).abs() < 1e-6, "{}", ball.radius);
        assert!((ball.angle - std::f64::consts::PI).abs() < 1e-3);
        let floor = Shrink { least: 2.0, ..shrink }.run(&bvh, |_| true);
        assert!((floor.radius - 2.0).abs() < 1e-12);
    }
}
