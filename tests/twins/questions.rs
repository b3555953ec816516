//! First hit, any hit, nearest point, pairs, neighbors and samples near a point.

use std::collections::BTreeSet;

use goodshot::geom::{Direction, Point, Vector};
use goodshot::mesh::bvh::Bvh;
use goodshot::mesh::sample_grid::SampleGrid;
use goodshot::mesh::{TriMesh, neighbors, shapes};
use rayon::prelude::*;

use super::{first, nearest, small_parts};
use crate::common::{Noise, Part, near};

/// The same to this share of the diagonal.
const SAME: f64 = 1e-9;

/// Rays that pass an edge by less than this share of a facet may go either way.
const EDGE: f64 = 1e-7;

const AXES: [Direction; 3] = [Direction::X, Direction::Y, Direction::Z];

/// The hit must be the one of the loop; where edges decide, one of the two that the loop
/// finds with and without them.
#[track_caller]
fn check_ray(mesh: &TriMesh, bvh: &Bvh, from: &Point, way: Direction) -> bool {
    let found = bvh.first_hit(from, way, 0.0).map(|hit| hit.distance);
    assert_eq!(bvh.is_hit(from, way), found.is_some());
    let [generous, strict] = [-EDGE, EDGE].map(|inset| first(mesh, from, way, inset));
    let is = |expected: Option<f64>| match (found, expected) {
        (Some(a), Some(b)) => (a - b).abs() < SAME * bvh.diagonal() + 1e-9 * a,
        (a, b) => a.is_none() && b.is_none(),
    };
    assert!(
        is(generous) || is(strict),
        "{found:?} {generous:?} {strict:?} {from} {way:?}"
    );
    generous.is_some()
}

#[test]
fn the_first_hit_is_that_of_a_loop() {
    let mut noise = Noise(1);
    for (name, mesh) in small_parts() {
        let bvh = Bvh::new(&mesh);
        let mut hits = 0;
        for _ in 0..1500 {
            let from = noise.around(&mesh, 1.6);
            let way = noise.direction();
            hits += usize::from(check_ray(&mesh, &bvh, &from, way));
            let axis = AXES[noise.below(3)];
            let axis = if noise.unit() < 0.5 { axis } else { axis.reversed() };
            check_ray(&mesh, &bvh, &from, axis);
            // A ray in one of the axis planes has one component of zero.
            let flat = way.vector().cross(&axis.vector());
            check_ray(&mesh, &bvh, &from, Direction::new(flat).unwrap());
        }
        assert!(hits > 100 && hits < 1500, "{name}: {hits}");
    }
}

/// Corners and edge middles of `mesh`.
fn marks(mesh: &TriMesh) -> Vec<Point> {
    let sides = |facet: usize| {
        let [a, b, c] = mesh.corners(facet);
        [a, nalgebra::center(&a, &b), nalgebra::center(&b, &c), nalgebra::center(&c, &a)]
    };
    (0..mesh.facets().len()).flat_map(sides).collect()
}

#[test]
fn a_ray_at_a_corner_or_an_edge_from_inside_never_slips_through() {
    let parts = [
        shapes::cuboid(3.0, 4.0, 5.0),
        shapes::split(&shapes::cuboid(3.0, 4.0, 5.0), 2),
        shapes::ball(9.0, 16),
        shapes::cone(20.0, 0.0, 0.3, 90),
    ];
    let mut noise = Noise(2);
    for mesh in parts {
        let bvh = Bvh::new(&mesh);
        let middle = Point::from(
            mesh.points().iter().map(|point| point.coords).sum::<Vector>()
                / mesh.points().len() as f64,
        );
        for mark in marks(&mesh) {
            // Convex, so that between its middle and a corner all is inside.
            let other = mesh.points()[noise.below(mesh.points().len())];
            let from = middle + (other - middle) * (0.9 * noise.unit());
            let way = Direction::new(mark - from).unwrap();
            let hit = bvh.first_hit(&from, way, 0.0).unwrap();
            near(hit.distance, (mark - from).norm(), 1e-7 * bvh.diagonal());
            assert!(bvh.is_hit(&from, way));
        }
    }
}

#[test]
fn rays_at_corners_and_edges_are_those_of_a_loop() {
    let mut noise = Noise(3);
    for (_, mesh) in small_parts() {
        let bvh = Bvh::new(&mesh);
        for mark in marks(&mesh) {
            let from = noise.around(&mesh, 1.6);
            check_ray(&mesh, &bvh, &from, Direction::new(mark - from).unwrap());
        }
    }
}

/// A start in the plane of a box side makes 0 · ∞ in the usual test of a ray and a box.
#[test]
fn a_ray_that_starts_in_the_plane_of_a_side_is_that_of_a_loop() {
    let mesh = shapes::split(&shapes::cuboid(3.0, 4.0, 5.0), 1);
    let bvh = Bvh::new(&mesh);
    let grid = [-1.0, 0.0, 0.75, 1.5, 2.2, 3.0, 4.0, 5.0, 6.0];
    let mut hits = 0;
    for x in grid {
        for (y, z) in grid.iter().flat_map(|&y| grid.map(|z| (y, z))) {
            for way in AXES.into_iter().chain(AXES.map(Direction::reversed)) {
                hits += usize::from(check_ray(&mesh, &bvh, &Point::new(x, y, z), way));
            }
        }
    }
    assert!(hits > 500, "{hits}");
    // From one side straight to the other, along it and through it.
    for (from, way, distance) in [
        ([0.0, 1.1, 1.3], Direction::X, 3.0),
        ([3.0, 4.0, 1.3], Direction::Y.reversed(), 4.0),
        ([1.1, 1.3, 0.0], Direction::Z, 5.0),
    ] {
        let hit = bvh.first_hit(&Point::from(from), way, 0.0);
        near(hit.unwrap().distance, distance, 1e-12);
    }
}

#[test]
fn hits_before_the_given_distance_are_passed_over() {
    let mesh = shapes::tube(3.0, 5.0, 20.0, 16);
    let bvh = Bvh::new(&mesh);
    let from = Point::new(-9.0, 0.2, 7.3);
    let mut beyond = 0.0;
    let mut walls = Vec::new();
    while let Some(hit) = bvh.first_hit(&from, Direction::X, beyond) {
        walls.push(hit.distance);
        beyond = hit.distance;
    }
    assert_eq!(walls.len(), 4);
    near(walls[3] - walls[0] + walls[1] - walls[2], (walls[1] - walls[0]) * 2.0, 1e-9);
}

#[test]
fn the_nearest_point_is_that_of_a_loop() {
    let mut noise = Noise(4);
    for (name, mesh) in small_parts() {
        let bvh = Bvh::new(&mesh);
        let random: Vec<Point> = (0..1500).map(|_| noise.around(&mesh, 1.6)).collect();
        for from in random.into_iter().chain(marks(&mesh)) {
            let expected = (nearest(&mesh, &from) - from).norm();
            let found = bvh.nearest(&from, f64::INFINITY).unwrap();
            let same = SAME * bvh.diagonal().max(from.coords.norm() * 1e-3);
            assert!((found.distance - expected).abs() < same, "{name}");
            assert!(((found.point - from).norm() - expected).abs() < same, "{name}");
            assert!(
                bvh.nearest(&from, (expected * 0.999 - same).max(0.0)).is_none(),
                "{name}"
            );
            assert!(bvh.nearest(&from, expected * 1.001 + same).is_some(), "{name}");
        }
    }
}

#[test]
fn close_pairs_are_those_whose_boxes_touch() {
    for (name, mesh) in small_parts() {
        let bvh = Bvh::new(&mesh);
        let found: Vec<(u32, u32)> =
            bvh.close_pairs().map(|(a, b)| (a.min(b), a.max(b))).collect();
        let pairs: BTreeSet<(u32, u32)> = found.iter().copied().collect();
        assert_eq!(pairs.len(), found.len(), "{name}: a pair twice");
        let boxes: Vec<_> = (0..mesh.facets().len())
            .map(|facet| goodshot::geom::Aabb::around(&mesh.corners(facet)))
            .collect();
        let overlap = |a: usize, b: usize, slack: f64| {
            (0..3).all(|k| {
                boxes[a].min[k] <= boxes[b].max[k] + slack
                    && boxes[b].min[k] <= boxes[a].max[k] + slack
            })
        };
        let slack = 1e-5 * bvh.diagonal();
        for b in 0..boxes.len() {
            for a in 0..b {
                let is_found = pairs.contains(&(a as u32, b as u32));
                assert!(is_found || !overlap(a, b, 0.0), "{name}: {a} {b} missed");
                assert!(!is_found || overlap(a, b, slack), "{name}: {a} {b} too many");
            }
        }
    }
}

/// An open box and a fan of three facets on one edge besides the sound ones.
#[test]
fn neighbors_are_those_of_a_double_loop() {
    let block = shapes::cuboid(3.0, 4.0, 5.0);
    let open = TriMesh::new(block.points().to_vec(), block.facets()[1..].to_vec());
    let fan = TriMesh::new(
        [[0.0; 3], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]]
            .map(Point::from)
            .to_vec(),
        vec![[0, 1, 2], [0, 1, 3], [1, 0, 4]],
    );
    let parts = small_parts().into_iter().map(|(_, mesh)| mesh).chain([open, fan]);
    for mesh in parts {
        let found = neighbors::find(&mesh);
        let has =
            |facet: &[u32; 3], a: u32, b: u32| facet.contains(&a) && facet.contains(&b);
        for (facet, corners) in mesh.facets().iter().enumerate() {
            for side in 0..3 {
                let (a, b) = (corners[side], corners[(side + 1) % 3]);
                let others: Vec<usize> = (0..mesh.facets().len())
                    .filter(|&other| other != facet && has(&mesh.facets()[other], a, b))
                    .collect();
                let expected = match others[..] {
                    [one] => one as u32,
                    _ => neighbors::NONE,
                };
                assert_eq!(found[facet][side], expected);
            }
        }
    }
}

#[test]
fn the_grid_finds_every_sample_within_reach() {
    let mut noise = Noise(5);
    for (name, mesh) in small_parts() {
        let part = Part::new(mesh, true, 1500);
        let reach = 2.0 * part.samples.spacing();
        let grid = SampleGrid::new(&part.samples, reach);
        for _ in 0..200 {
            let from = noise.around(&part.mesh, 1.2);
            let near: BTreeSet<usize> = grid.near(&from).collect();
            let away = |sample: usize| (part.samples.points[sample] - from).norm();
            for sample in (0..part.samples.len()).filter(|&s| away(s) < reach) {
                assert!(near.contains(&sample), "{name}");
            }
            let normal = noise.direction().vector();
            let facing = |s: &usize| part.samples.normals[*s].dot(&normal) > 0.5;
            let expected = (0..part.samples.len())
                .filter(facing)
                .min_by(|&a, &b| away(a).total_cmp(&away(b)))
                .filter(|&sample| away(sample) < reach);
            if let Some(expected) = expected {
                let found = grid.nearest_facing(&from, &normal).unwrap();
                assert!((away(found) - away(expected)).abs() < 1e-12, "{name}");
            }
        }
    }
}

/// Many at once, as the measures ask: the answers do not depend on who asks meanwhile.
#[test]
fn answers_are_the_same_when_asked_at_once() {
    let mesh = shapes::torus(20.0, 5.0, 24);
    let bvh = Bvh::new(&mesh);
    let mut noise = Noise(6);
    let input: Vec<(Point, Direction)> =
        (0..5000).map(|_| (noise.around(&mesh, 1.2), noise.direction())).collect();
    let ask = |(from, way): &(Point, Direction)| {
        (bvh.first_hit(from, *way, 0.0), bvh.nearest(from, 5.0))
    };
    let one_by_one: Vec<_> = input.iter().map(ask).collect();
    let at_once: Vec<_> = input.par_iter().map(ask).collect();
    assert_eq!(one_by_one, at_once);
}
