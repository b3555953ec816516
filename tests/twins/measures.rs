//! Inscribed balls and what sees out, by loops.

use goodshot::geom::{Direction, Point, Vector};
use goodshot::mesh::{TriMesh, shapes};
use goodshot::part::thickness;
use goodshot::part::undercut::{CLEARANCE, Release};

use super::{first, nearest, small_parts};
use crate::common::{Part, directions, inverted, together, tray_with_rib, wedge};

#[test]
fn what_sees_out_is_that_of_a_loop() {
    let pulls = [Direction::X, Direction::Y, Direction::Z];
    for (name, mesh) in small_parts() {
        let part = Part::new(mesh, true, 300);
        for pull in pulls.into_iter().chain(directions(4)) {
            let found = Release::along(&part.bvh, &part.samples, pull);
            let mut unsure = 0;
            for sample in 0..part.samples.len() {
                let outside =
                    part.samples.normals[sample] * part.bvh.diagonal() * CLEARANCE;
                let from = part.samples.points[sample] + outside;
                let both = [
                    (pull, found.to_plus[sample]),
                    (pull.reversed(), found.to_minus[sample]),
                ];
                for (way, is_free) in both {
                    let [generous, strict] = [-1e-7, 1e-7]
                        .map(|inset| first(&part.mesh, &from, way, inset).is_none());
                    unsure += usize::from(generous != strict);
                    assert!(is_free == generous || is_free == strict, "{name}: {from}");
                }
                let trapped = !found.to_plus[sample] && !found.to_minus[sample];
                assert_eq!(found.is_trapped(sample), trapped);
            }
            assert!(unsure < 10, "{name}: {unsure}");
        }
    }
}

/// The largest ball inside that touches `point`, by bisection: balls through one point
/// along one normal lie inside each other, so emptiness is lost once and for all.
fn largest_ball(mesh: &TriMesh, point: &Point, normal: &Vector, ray: f64) -> f64 {
    let is_empty = |radius: f64| {
        let center = point - normal * radius;
        (nearest(mesh, &center) - center).norm() >= radius * (1.0 - 1e-6)
    };
    if is_empty(ray / 2.0) {
        return ray / 2.0;
    }
    let (mut low, mut high) = (0.0, ray / 2.0);
    for _ in 0..40 {
        let middle = f64::midpoint(low, high);
        if is_empty(middle) { low = middle } else { high = middle }
    }
    low
}

/// Angle between the point and what holds a ball a hair too large, seen from its center.
fn contact_deg(mesh: &TriMesh, point: &Point, normal: &Vector, radius: f64) -> f64 {
    let center = point - normal * radius * (1.0 + 1e-4);
    normal.angle(&(nearest(mesh, &center) - center)).to_degrees()
}

#[test]
fn balls_are_those_of_a_bisection() {
    let parts = [
        ("wedge", wedge(30.0, 40.0, 60.0)),
        ("tray", tray_with_rib(1.2)),
        ("tube", shapes::tube(8.0, 10.0, 30.0, 14)),
        ("cone", shapes::cone(12.0, 5.0, 20.0, 18)),
        ("torus", shapes::torus(20.0, 5.0, 18)),
    ];
    let (mut balls, mut edges) = (0, 0);
    for (name, mesh) in parts.into_iter().chain(small_parts()) {
        let part = Part::new(mesh, true, 400);
        let mut unsure = 0;
        for sample in 0..part.samples.len() {
            let (point, normal) =
                (&part.samples.points[sample], &part.samples.normals[sample]);
            let (ray, ball) = thickness::at(&part.bvh, point, normal);
            // On the very edge of a wedge or the tip of a needle nothing lies inward that
            // is not the facet itself.
            let Some(ray) = ray else {
                unsure += 1;
                continue;
            };
            let radius = largest_ball(&part.mesh, point, normal, ray);
            if radius < 1e-7 * part.bvh.diagonal() {
                unsure += 1;
                continue;
            }
            let contact = if radius < ray / 2.0 {
                contact_deg(&part.mesh, point, normal, radius)
            } else {
                180.0
            };
            // Below 45° a contact is passed over, below 105° the ball has no value.
            if contact > 105.5 {
                assert!(
                    ball.is_some(),
                    "{name}: {radius} {contact} of {ray} at {point} {normal}"
                );
                let found = ball.unwrap() / 2.0;
                assert!(
                    (found - radius).abs() < 1e-3 * radius,
                    "{name}: {found} {radius} {contact} at {point}"
                );
                balls += 1;
            } else if contact > 46.0 && contact < 104.5 {
                assert_eq!(ball, None, "{name}: {radius} {contact} at {point}");
                edges += 1;
            }
        }
        assert!(unsure * 50 < part.samples.len(), "{name}: {unsure}");
    }
    assert!(balls > 2000 && edges > 500, "{balls} {edges}");
}

/// The same where the facets of a coarse curve stop the ball first: of dense points, those
/// seen at 45° and more from the center must stay outside.
#[test]
fn what_is_passed_over_leaves_the_ball_that_the_rest_holds() {
    let parts = [
        ("tube", shapes::tube(8.0, 10.0, 30.0, 14)),
        ("shell", together(&[shapes::ball(9.0, 24), inverted(&shapes::ball(7.0, 24))])),
        ("cup", shapes::cup(15.0, 30.0, 2.0, 1.0, 16)),
    ];
    for (name, mesh) in parts {
        let part = Part::new(mesh, true, 40_000);
        let few = part.samples.thinned(500);
        let found = thickness::map(&part.bvh, &few);
        let mut balls = 0;
        for (sample, ball) in found.ball.iter().enumerate() {
            let Some(ball) = ball else { continue };
            let normal = few.normals[sample];
            // The ball through p and q has the radius |p − q|² / 2n·(p − q), and they are
            // 2 asin(n·(p − q) / |p − q|) apart.
            let radius = |other: &Point| {
                let to_point = few.points[sample] - other;
                let depth = normal.dot(&to_point);
                let is_counted = depth > to_point.norm() * 22.5_f64.to_radians().sin();
                is_counted.then(|| to_point.norm_squared() / (2.0 * depth))
            };
            let expected = part.samples.points.iter().filter_map(radius);
            let expected = expected.fold(f64::INFINITY, f64::min);
            let share = ball / 2.0 / expected;
            // The dense points leave gaps, so the loop reads a little much beside edges.
            assert!(
                share > 0.9 && share < 1.04,
                "{name}: {share} at {}",
                few.points[sample]
            );
            balls += 1;
        }
        assert!(balls > 400, "{name}: {balls}");
    }
}
