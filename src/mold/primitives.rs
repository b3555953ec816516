//! What drills, mills and reamers leave: boxes, round holes, cones, grooves; in the axes of
//! the mold, z along the pull.

use std::f64::consts::{PI, TAU};

use crate::geom::Point;
use crate::mesh::solid::Solid;

/// Sides of a round hole, and of a ball's equator.
const AROUND: u32 = 48;

/// A box between `spans` of x, y and z.
pub fn block(spans: [[f64; 2]; 3]) -> Solid {
    let [x, y, z] = spans;
    let outline = [[x[0], y[0]], [x[1], y[0]], [x[1], y[1]], [x[0], y[1]]];
    prism(&outline, z)
}

/// A convex outline, counter-clockwise seen from +z, between two heights.
pub fn prism(outline: &[[f64; 2]], z: [f64; 2]) -> Solid {
    let rings = z.map(|z| outline.iter().map(|at| Point::new(at[0], at[1], z)).collect());
    loft(&rings)
}

/// A box along a direction across the pull: `along` and `wide` are its spans along
/// `way` (a unit vector) and to its left, from `at`.
pub fn bar(at: [f64; 2], way: [f64; 2], spans: [[f64; 2]; 2], z: [f64; 2]) -> Solid {
    let [along, wide] = spans;
    let place = |u: f64, v: f64| {
        [at[0] + way[0] * u - way[1] * v, at[1] + way[1] * u + way[0] * v]
    };
    let outline = [
        place(along[0], wide[0]),
        place(along[1], wide[0]),
        place(along[1], wide[1]),
        place(along[0], wide[1]),
    ];
    prism(&outline, z)
}

/// A round hole along the pull.
pub fn round(at: [f64; 2], diameter: f64, z: [f64; 2]) -> Solid {
    cone(at, [diameter; 2], z)
}

/// A cone along the pull: its diameters at both heights.
pub fn cone(at: [f64; 2], diameters: [f64; 2], z: [f64; 2]) -> Solid {
    let ring = |end: usize| {
        let r = diameters[end] / 2.0;
        let place = |angle: f64| {
            Point::new(at[0] + r * angle.cos(), at[1] + r * angle.sin(), z[end])
        };
        (0..AROUND).map(|i| place(angle(i))).collect()
    };
    loft(&[ring(0), ring(1)])
}

/// A cone across the pull, from `from` to `to`, its diameters at both ends, at height `z`.
pub fn rod(from: [f64; 2], to: [f64; 2], diameters: [f64; 2], z: f64) -> Solid {
    let [dx, dy] = [to[0] - from[0], to[1] - from[1]];
    let length = dx.hypot(dy).max(f64::MIN_POSITIVE);
    let way = [dx / length, dy / length];
    let ring = |middle: [f64; 2], diameter: f64| {
        let r = diameter / 2.0;
        let place = |i: u32| {
            let (side, up) = (r * angle(i).cos(), r * angle(i).sin());
            Point::new(middle[0] - way[1] * side, middle[1] + way[0] * side, z + up)
        };
        (0..AROUND).map(place).collect()
    };
    loft(&[ring(from, diameters[0]), ring(to, diameters[1])])
}

/// A groove of round section with round ends, as two passes of a ball cutter leave it:
/// from the middle of one ball at `from` to that of the other, at height `z`.
pub fn groove(from: [f64; 2], to: [f64; 2], diameter: f64, z: f64) -> Solid {
    let r = diameter / 2.0;
    let [dx, dy] = [to[0] - from[0], to[1] - from[1]];
    let length = dx.hypot(dy);
    let way = if length > 0.0 { [dx / length, dy / length] } else { [1.0, 0.0] };
    let quarter = AROUND / 4;
    // Rings around the axis, from the back of one ball to the front of the other.
    let mut rings: Vec<Vec<Point>> = Vec::new();
    for (middle, steps) in [(from, 1..=quarter), (to, quarter..=2 * quarter - 1)] {
        for step in steps {
            let angle = PI * f64::from(step) / f64::from(2 * quarter);
            let (off, wide) = (-r * angle.cos(), r * angle.sin());
            let ring = (0..AROUND).map(|i| {
                let (side, up) =
                    (wide * self::angle(i).cos(), wide * self::angle(i).sin());
                Point::new(
                    middle[0] + way[0] * off - way[1] * side,
                    middle[1] + way[1] * off + way[0] * side,
                    z + up,
                )
            });
            rings.push(ring.collect());
        }
    }
    let tip = |middle: [f64; 2], off: f64| {
        Point::new(middle[0] + way[0] * off, middle[1] + way[1] * off, z)
    };
    let mut solid = skin(&rings);
    cap(&mut solid, 0, tip(from, -r), true);
    let last = (rings.len() as u32 - 1) * AROUND;
    cap(&mut solid, last, tip(to, r), false);
    solid
}

/// A channel along the parting plane with round ends about `from` and `to` and leaning sides: half
/// its width at both heights, the lower first.
pub fn channel(from: [f64; 2], to: [f64; 2], radii: [f64; 2], z: [f64; 2]) -> Solid {
    let [dx, dy] = [to[0] - from[0], to[1] - from[1]];
    let length = dx.hypot(dy);
    let way = if length > 0.0 { [dx / length, dy / length] } else { [1.0, 0.0] };
    let ring = |end: usize| {
        let place = |step: u32| {
            let (sin, cos) = angle(step).sin_cos();
            let middle = if cos > 0.0 { to } else { from };
            let r = radii[end];
            Point::new(
                middle[0] + r * (way[0] * cos - way[1] * sin),
                middle[1] + r * (way[1] * cos + way[0] * sin),
                z[end],
            )
        };
        (0..AROUND).map(place).collect()
    };
    loft(&[ring(0), ring(1)])
}

fn angle(step: u32) -> f64 {
    // Half a step off, so that no corner lies exactly on the parting plane.
    TAU * (f64::from(step) + 0.5) / f64::from(AROUND)
}

/// Facets between rings of as many corners each, the first one lowest.
fn skin(rings: &[Vec<Point>]) -> Solid {
    let count = rings.first().map_or(0, Vec::len) as u32;
    let mut solid = Solid { points: rings.concat(), facets: Vec::new() };
    for ring in 1..rings.len() as u32 {
        for i in 0..count {
            let next = (i + 1) % count;
            let [low, high] = [(ring - 1) * count, ring * count];
            let [a, b, c, d] = [low + i, low + next, high + next, high + i];
            solid.facets.extend([[a, b, c], [a, c, d]]);
        }
    }
    solid
}

/// Closes the ring that begins with corner `first` by a fan around `tip`.
fn cap(solid: &mut Solid, first: u32, tip: Point, begins: bool) {
    let at = solid.points.len() as u32;
    solid.points.push(tip);
    for i in 0..AROUND {
        let [a, b] = [first + i, first + (i + 1) % AROUND];
        solid.facets.push(if begins { [at, b, a] } else { [at, a, b] });
    }
}

/// The solid between two convex rings, the lower first, counter-clockwise seen from +z.
fn loft(rings: &[Vec<Point>; 2]) -> Solid {
    let mut solid = skin(rings);
    let count = rings[0].len() as u32;
    for i in 1..count - 1 {
        solid.facets.push([0, i + 1, i]);
        solid.facets.push([count, count + i, count + i + 1]);
    }
    solid
}

#[cfg(test)]
mod tests {
    use super::{bar, block, channel, cone, groove, rod, round};
    use std::f64::consts::PI;

    /// A polygon of 48 sides has sin(2π/48) / (2π/48) of the area of its circle.
    #[test]
    fn round_forms_hold_what_their_polygons_hold() {
        let turn = PI / 24.0;
        let share = turn.sin() / turn;
        let near = |seen: f64, wanted: f64, by: f64| {
            assert!((seen / wanted - 1.0).abs() < by, "{seen} is not {wanted}");
        };
        near(round([3.0, 4.0], 2.0, [1.0, 6.0]).volume(), PI * 5.0 * share, 1e-12);
        let frustum = PI / 12.0 * (4.0 + 2.0 + 1.0) * 9.0 * share;
        near(cone([0.0; 2], [2.0, 1.0], [0.0, 9.0]).volume(), frustum, 1e-12);
        let lying = rod([1.0, 2.0], [6.4, 9.2], [2.0, 1.0], 3.0);
        near(lying.volume(), frustum, 1e-12);
        let capsule = PI / 4.0 * 9.0 * 20.0 + PI / 6.0 * 27.0;
        let made = groove([1.0, 1.0], [13.0, 17.0], 3.0, 0.5);
        near(made.volume(), capsule, 0.02);
        assert_eq!(made.open_edges(), 0);
        near(block([[0.0, 1.0], [0.0, 2.0], [1.0, 4.0]]).volume(), 6.0, 1e-12);
        // A trapezoid of 3 and 2 mm, 2 mm deep and 20 mm long, whose sides begin half a side of the
        // polygon off, and a cone at its ends.
        let trapezoid = channel([1.0, 1.0], [13.0, 17.0], [1.0, 1.5], [-2.0, 0.0]);
        let cone = PI / 12.0 * (9.0 + 6.0 + 4.0) * 2.0;
        near(trapezoid.volume(), 100.0 * (PI / 48.0).cos() + cone * share, 1e-9);
        assert_eq!(trapezoid.open_edges(), 0);
        let slanted = bar([5.0, 5.0], [0.6, 0.8], [[-1.0, 2.0], [-1.0, 1.0]], [0.0, 1.0]);
        near(slanted.volume(), 6.0, 1e-12);
    }
}
