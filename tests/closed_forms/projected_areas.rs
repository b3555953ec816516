//! Projected areas that are known.

use std::f64::consts::{PI, TAU};

use goodshot::geom::{Direction, Point};
use goodshot::mesh::{TriMesh, neighbors, shapes};
use goodshot::part::silhouette::{self, Silhouette};

use crate::common::{
    alike, direction, directions, moved, near, prism, together, turned, wedge,
};

const EXACT: f64 = 1e-9;

fn projected_area(mesh: &TriMesh, along: Direction) -> Silhouette {
    silhouette::along(mesh, &neighbors::find(mesh), along)
}

/// Every line through a convex solid enters once and leaves once.
fn half_of_all(mesh: &TriMesh, along: Direction) -> f64 {
    let facing = |(normal, area): (_, &f64)| along.dot(normal).abs() * area / 2.0;
    mesh.normals().iter().zip(mesh.areas()).map(facing).sum()
}

#[test]
fn a_convex_solid_throws_half_of_its_facing_area() {
    let convex = [
        shapes::cuboid(3.0, 4.0, 5.0),
        shapes::ball(9.0, 20),
        shapes::cone(5.0, 2.0, 8.0, 17),
        wedge(30.0, 40.0, 60.0),
        turned(
            &prism(&[[0.0, 0.0], [5.0, 1.0], [4.0, 6.0], [1.0, 4.0]], 9.0),
            direction(1.0, 2.0, 0.5),
            33.0,
        ),
    ];
    let axes = [Direction::X, Direction::Y, Direction::Z];
    for mesh in &convex {
        for along in directions(40).chain(axes).chain(axes.map(Direction::reversed)) {
            alike(projected_area(mesh, along).area, half_of_all(mesh, along), EXACT);
        }
    }
}

#[test]
fn a_box_throws_its_sides() {
    let block = shapes::cuboid(3.0, 4.0, 5.0);
    for (along, area) in
        [(Direction::X, 20.0), (Direction::Y, 15.0), (Direction::Z, 12.0)]
    {
        let found = projected_area(&block, along);
        alike(found.area, area, EXACT);
        assert_eq!((found.pieces.len(), found.pieces[0].len()), (1, 1));
        let middle = found.centroid_in_part(&block, along);
        near((middle - block.bounds().center()).norm(), 0.0, EXACT);
    }
}

#[test]
fn a_hole_through_the_part_has_no_projected_area() {
    for n in [12, 40] {
        let polygon = n as f64 / TAU * (TAU / n as f64).sin();
        let tube = projected_area(&shapes::tube(3.0, 5.0, 20.0, n), Direction::Z);
        alike(tube.area, polygon * PI * 16.0, EXACT);
        assert_eq!((tube.pieces.len(), tube.pieces[0].len()), (1, 2));
        let torus = shapes::torus(20.0, 5.0, n);
        let along = projected_area(&torus, Direction::Z);
        alike(along.area, polygon * PI * (25.0 * 25.0 - 15.0 * 15.0), EXACT);
        near(along.centroid[0].hypot(along.centroid[1]), 0.0, EXACT * 25.0);
        // From the side the hole is covered: a band with half a polygon at either end.
        let across = projected_area(&torus, Direction::X);
        alike(across.area, 4.0 * 20.0 * 5.0 + polygon * PI * 25.0, EXACT);
    }
}

#[test]
fn a_tray_throws_its_outline() {
    let tray = shapes::tray([30.0, 20.0, 10.0], 2.0);
    for (along, area) in
        [(Direction::X, 200.0), (Direction::Y, 300.0), (Direction::Z, 600.0)]
    {
        alike(projected_area(&tray, along).area, area, EXACT);
        alike(projected_area(&tray, along.reversed()).area, area, EXACT);
    }
}

#[test]
fn two_bodies_one_above_the_other_throw_their_union() {
    let low = shapes::cuboid(4.0, 4.0, 1.0);
    let stack = together(&[low.clone(), moved(&low, [1.0, 2.0, 3.0])]);
    alike(projected_area(&stack, Direction::Z).area, 32.0 - 3.0 * 2.0, EXACT);
    let apart = projected_area(&stack, Direction::X);
    assert_eq!(apart.pieces.len(), 2);
    alike(apart.area, 8.0, EXACT);
    // The overlap counts once for the centroid too.
    let found =
        projected_area(&stack, Direction::Z).centroid_in_part(&stack, Direction::Z);
    near(found.x, (16.0 * 2.0 + 16.0 * 3.0 - 6.0 * 2.5) / 26.0, EXACT * 5.0);
}

#[test]
fn an_open_box_throws_as_much_as_a_closed_one() {
    let block = shapes::cuboid(3.0, 4.0, 5.0);
    let open: Vec<[u32; 3]> = (0..block.facets().len())
        .filter(|&facet| block.normals()[facet].z < 0.5)
        .map(|facet| block.facets()[facet])
        .collect();
    assert_eq!(open.len(), 10);
    let open = TriMesh::new(block.points().to_vec(), open);
    for along in
        directions(40).chain([Direction::X, Direction::Z, Direction::Z.reversed()])
    {
        alike(projected_area(&open, along).area, half_of_all(&block, along), EXACT);
    }
}

#[test]
fn the_centroid_of_an_angle_lies_outside_its_middle() {
    // Legs of 10 and 6, 2 wide.
    let angle =
        shapes::blocks([&[0.0, 2.0, 10.0], &[0.0, 2.0, 6.0], &[0.0, 3.0]], |i, j, _| {
            i == 0 || j == 0
        });
    let found = projected_area(&angle, Direction::Z);
    alike(found.area, 20.0 + 8.0, EXACT);
    let middle = found.centroid_in_part(&angle, Direction::Z);
    near(middle.x, (20.0 * 5.0 + 8.0 * 1.0) / 28.0, EXACT * 10.0);
    near(middle.y, (20.0 * 1.0 + 8.0 * 4.0) / 28.0, EXACT * 10.0);
    near(middle.z, 1.5, EXACT);
}

#[test]
fn a_part_far_away_throws_the_same() {
    let there = moved(&shapes::torus(20.0, 5.0, 24), [1e4, -2e4, 5e3]);
    let here = shapes::torus(20.0, 5.0, 24);
    for along in directions(10).chain([Direction::X, Direction::Z]) {
        alike(
            projected_area(&there, along).area,
            projected_area(&here, along).area,
            EXACT,
        );
    }
}

/// Needles of 44 mm that are thinner than single precision can say cover nothing to speak of:
/// no more than their box, and never less than nothing. On a fine grid their union took minutes.
#[test]
fn needles_throw_next_to_nothing() {
    let share =
        |number: u32| f64::from(number.wrapping_mul(2_654_435_761) >> 8) / 2f64.powi(24);
    let corner = |number: u32| {
        Point::new(
            2e-10 * share(3 * number),
            44.0 * share(3 * number + 1),
            1e-6 * share(3 * number + 2),
        )
    };
    let points: Vec<Point> = (0..3 * 352).map(corner).collect();
    let facets =
        (0..352).map(|facet| [3 * facet, 3 * facet + 1, 3 * facet + 2]).collect();
    let area = projected_area(&TriMesh::new(points, facets), Direction::Z).area;
    assert!((0.0..=2e-10 * 44.0 + 1e-6).contains(&area), "{area}");
}
