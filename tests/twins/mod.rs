//! The quick way against the plain loop over all facets, on small meshes.

/// First hit, any hit, nearest point, pairs, neighbors and samples near a point.
mod questions;
/// First hit and nearest point to the last bit.
mod exact;
/// What is asked of the answers: inscribed balls and what sees out.
mod measures;

use goodshot::geom::{Direction, Point, Vector};
use goodshot::mesh::{TriMesh, shapes};

use crate::common::{
    box_with_side_hole, direction, hook, inverted, moved, together, turned,
};

/// Few enough facets for a loop over them, in every awkward place.
fn small_parts() -> Vec<(&'static str, TriMesh)> {
    let torus = shapes::torus(20.0, 5.0, 16);
    vec![
        ("box", shapes::cuboid(3.0, 4.0, 5.0)),
        ("hole", box_with_side_hole(2.0, 6.0)),
        ("hook", hook(2.5)),
        ("cup", shapes::cup(15.0, 30.0, 2.0, 1.0, 20)),
        ("shell", together(&[shapes::ball(9.0, 12), inverted(&shapes::ball(7.0, 12))])),
        ("skew", turned(&torus, direction(1.0, 2.0, 0.5), 50.0)),
        ("far", moved(&torus, [1e4, -2e4, 3e3])),
        ("needles", shapes::cone(20.0, 0.0, 0.3, 90)),
    ]
}

/// Distance to a facet along a ray and how far inside its edges the ray passes, as a
/// share of the longest edge: the plane first, then the three edges one by one.
fn meets(
    mesh: &TriMesh,
    facet: usize,
    from: &Point,
    way: Direction,
) -> Option<(f64, f64)> {
    let [a, b, c] = mesh.corners(facet);
    let normal = mesh.normals()[facet];
    let steep = way.dot(&normal);
    if steep.abs() < 1e-14 {
        return None;
    }
    let distance = normal.dot(&(a - from)) / steep;
    let at = from + way.vector() * distance;
    let longest = (b - a).norm().max((c - b).norm()).max((a - c).norm());
    let inside = [(a, b), (b, c), (c, a)]
        .map(|(p, q)| normal.cross(&(q - p)).dot(&(at - p)) / (q - p).norm() / longest);
    Some((distance, inside.into_iter().fold(f64::INFINITY, f64::min)))
}

/// The nearest hit of those facets that the ray passes at least `inset` inside.
fn first(mesh: &TriMesh, from: &Point, way: Direction, inset: f64) -> Option<f64> {
    (0..mesh.facets().len())
        .filter_map(|facet| meets(mesh, facet, from, way))
        .filter(|&(distance, inside)| distance > 0.0 && inside >= inset)
        .map(|(distance, _)| distance)
        .min_by(f64::total_cmp)
}

/// The nearest point of the surface: over each facet its foot, where that lies inside, or
/// else the nearest point of an edge.
fn nearest(mesh: &TriMesh, from: &Point) -> Point {
    let of_facet = |facet: usize| {
        let corners = mesh.corners(facet);
        let normal = mesh.normals()[facet];
        let foot = from - normal * normal.dot(&(from - corners[0]));
        let sides = [0, 1, 2].map(|side| (corners[side], corners[(side + 1) % 3]));
        let is_inside =
            |&(p, q): &(Point, Point)| normal.cross(&(q - p)).dot(&(foot - p)) >= 0.0;
        if sides.iter().all(is_inside) {
            return foot;
        }
        let on_edges = sides.map(|(p, q)| {
            let along: Vector = q - p;
            let share = along.dot(&(from - p)) / along.norm_squared();
            p + along * share.clamp(0.0, 1.0)
        });
        closest(from, on_edges)
    };
    closest(from, (0..mesh.facets().len()).map(of_facet))
}

fn closest(from: &Point, points: impl IntoIterator<Item = Point>) -> Point {
    let away = |point: &Point| (point - from).norm_squared();
    points.into_iter().min_by(|a, b| away(a).total_cmp(&away(b))).unwrap()
}
