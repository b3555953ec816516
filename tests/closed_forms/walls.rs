//! Walls whose thickness is known.

use goodshot::geom::{Point, Vector};
use goodshot::mesh::bvh::Bvh;
use goodshot::mesh::{TriMesh, shapes};
use goodshot::part::thickness;

use crate::common::{Part, alike, inverted, together, tray_with_rib, wedge};

/// What is asked of a wall.
const ASKED: f64 = 0.01;

fn at(mesh: &TriMesh, point: [f64; 3], normal: [f64; 3]) -> (Option<f64>, Option<f64>) {
    thickness::at(&Bvh::new(mesh), &Point::from(point), &Vector::from(normal))
}

/// Least and greatest ray and ball of those samples whose normals hold `chosen`.
fn spans(part: &Part, chosen: impl Fn(usize) -> bool) -> [[f64; 2]; 2] {
    let found = thickness::map(&part.bvh, &part.samples);
    [&found.ray, &found.ball].map(|values| {
        let known = || {
            let chosen = (0..values.len()).filter(|&sample| chosen(sample));
            chosen.filter_map(|sample| values[sample])
        };
        assert!(known().count() > 100, "nothing measured");
        [known().fold(f64::INFINITY, f64::min), known().fold(0.0, f64::max)]
    })
}

#[test]
fn a_slab_is_as_thick_as_it_is() {
    for wall in [0.4, 2.0, 7.0] {
        let slab = shapes::cuboid(60.0, 50.0, wall);
        let (ray, ball) = at(&slab, [30.1, 25.2, wall], [0.0, 0.0, 1.0]);
        alike(ray.unwrap(), wall, 1e-9);
        alike(ball.unwrap(), wall, 1e-4);
    }
}

/// 10 mm from the apex of full angle α: the ray runs 10 tan α, the ball spans
/// 20 tan(α/2).
#[test]
fn a_wedge_reads_by_its_angle() {
    for (angle, ray_mm, ball_mm) in
        [(10.0, 1.7633, 1.7498), (30.0, 5.7735, 5.3590), (60.0, 17.3205, 11.5470)]
    {
        let wedge = wedge(angle, 60.0, 100.0);
        let (ray, ball) = at(&wedge, [10.0, 0.0, 50.3], [0.0, -1.0, 0.0]);
        alike(ray.unwrap(), ray_mm, 1e-4);
        alike(ball.unwrap(), ball_mm, 1e-3);
    }
}

/// D = t + r² / 4t for a rib of r.
#[test]
fn a_rib_thickens_the_wall_behind_it() {
    let tray = tray_with_rib(1.2);
    let (_, ball) = at(&tray, [30.0, 20.3, 0.0], [0.0, 0.0, -1.0]);
    alike(ball.unwrap(), 2.18, ASKED);
    let found = {
        let part = Part::new(tray, true, 60_000);
        let of_floor = |sample: usize| {
            part.samples.normals[sample].z < -0.5
                && (part.samples.points[sample].y - 20.0).abs() < 10.0
                && (part.samples.points[sample].x - 30.0).abs() < 10.0
        };
        spans(&part, of_floor)[1]
    };
    alike(found[1], 2.18, ASKED);
    alike(found[0], 2.0, ASKED);
}

/// The ball in the outer corner touches both outer walls and the inner corner:
/// D = 2√2 / (1 + √2) t. A hair farther from the corner only the inner corner holds it.
#[test]
fn a_sharp_corner_is_thicker_than_its_walls() {
    let wall = 2.0;
    let steps = [0.0, wall, 40.0];
    let corner =
        shapes::blocks([&steps, &steps, &[0.0, 50.0]], |i, j, _| i == 0 || j == 0);
    let from_corner = 1.171_573 * wall / 2.0 * 1.001;
    let (_, ball) = at(&corner, [from_corner, 0.0, 25.3], [0.0, -1.0, 0.0]);
    alike(ball.unwrap(), 1.171_573 * wall, ASKED);
}

#[test]
fn a_shell_reads_its_wall_within_the_chord_error() {
    let around = 48;
    let shell =
        together(&[shapes::ball(10.0, around), inverted(&shapes::ball(8.0, around))]);
    let part = Part::new(shell, true, 4000);
    let chord = 18.0 * (1.0 - (std::f64::consts::PI / around as f64).cos());
    // The facets lean by up to 3.75° to the radius as well.
    let [ray, ball] = spans(&part, |_| true);
    for [low, high] in [ray, ball] {
        assert!(low > 2.0 - chord, "{low}");
        assert!(high < 2.0 + 2.0 * chord, "{high}");
    }
}

/// Between an outer and an inner polygon of n corners, walls apart by t at the corners and
/// by t cos(π/n) across the flats; the ball of an outer corner spans t / cos(π/n).
#[test]
fn the_neighbor_facet_of_a_coarse_tube_does_not_stop_the_ball() {
    for around in [12, 13, 16, 24, 60] {
        let part = Part::new(shapes::tube(8.0, 10.0, 60.0, around), true, 20_000);
        let flat = (std::f64::consts::PI / around as f64).cos();
        let of_wall = |sample: usize| {
            let [point, normal] =
                [part.samples.points[sample].coords, part.samples.normals[sample]];
            (point.z - 30.0).abs() < 25.0 && normal.z.abs() < 0.5
        };
        let [_, [low, high]] = spans(&part, of_wall);
        assert!(low > 2.0 * flat * (1.0 - 1e-4), "{around}: {low}");
        assert!(high < 2.0 / flat * (1.0 + 1e-4), "{around}: {high}");
    }
}

#[test]
fn a_round_bar_is_as_thick_as_it_is_across_the_flats() {
    for around in [12, 16, 48, 200] {
        let flat = (std::f64::consts::PI / f64::from(around)).cos();
        let bar = shapes::cone(5.0, 5.0, 60.0, around as usize);
        let angle = std::f64::consts::PI / f64::from(around);
        let normal = [angle.cos(), angle.sin(), 0.0];
        let middle = normal.map(|x| 5.0 * flat * x);
        let (ray, ball) = at(&bar, [middle[0], middle[1], 30.2], normal);
        alike(ray.unwrap(), 10.0 * flat, 1e-9);
        alike(ball.unwrap(), 10.0 * flat, 1e-4);
    }
}

#[test]
fn beside_a_right_angled_edge_the_ball_says_nothing() {
    let block = shapes::cuboid(30.0, 30.0, 20.0);
    for inset in [0.1, 1.0, 5.0] {
        let (ray, ball) = at(&block, [inset, 15.2, 20.0], [0.0, 0.0, 1.0]);
        alike(ray.unwrap(), 20.0, 1e-9);
        assert_eq!(ball, None, "{inset}");
    }
    let (_, ball) = at(&block, [15.1, 15.2, 20.0], [0.0, 0.0, 1.0]);
    alike(ball.unwrap(), 20.0, 1e-4);
}

#[test]
fn a_ray_that_leaves_an_open_surface_has_no_value() {
    let lid = TriMesh::new(
        [[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]].map(Point::from).to_vec(),
        vec![[0, 1, 2]],
    );
    assert_eq!(at(&lid, [0.2, 0.2, 0.0], [0.0, 0.0, 1.0]), (None, None));
}
