//! The faceted solids have formulas of their own, which tend to those of the smooth ones.

use std::f64::consts::{PI, TAU};

use goodshot::geom::Point;
use goodshot::mesh::topology::Edges;
use goodshot::mesh::{TriMesh, shapes};
use goodshot::part::mass;
use nalgebra::Matrix3;

use crate::common::{alike, every_shape, near};

/// Exact to this share.
const EXACT: f64 = 1e-9;

/// What an outline turned about z in flat steps encloses.
#[derive(Default)]
struct Swept {
    volume: f64,
    area: f64,
    height: f64,
    about_z: f64,
    about_x: f64,
}

/// Integrates over the height: across it lies a regular polygon, whose circumradius is
/// linear in the height, so three Gauss points an edge are exact.
fn swept(outline: &[[f64; 2]], around: usize) -> Swept {
    let n = around as f64;
    let (sin, cos) = (TAU / n).sin_cos();
    // Area and polar second moment of a regular polygon of circumradius 1.
    let (polygon, polar) = (n * sin / 2.0, n * sin * (2.0 + cos) / 12.0);
    let mut sums = Swept::default();
    let mut moment = 0.0;
    for (from, to) in outline.iter().zip(outline.iter().cycle().skip(1)) {
        let (wider, rise) = (to[0] - from[0], to[1] - from[1]);
        for (place, weight) in [
            (-0.6_f64.sqrt(), 5.0 / 18.0),
            (0.0, 8.0 / 18.0),
            (0.6_f64.sqrt(), 5.0 / 18.0),
        ] {
            let along = (1.0 + place) / 2.0;
            let (r, z) = (from[0] + along * wider, from[1] + along * rise);
            let slice = rise * weight;
            sums.volume += polygon * r * r * slice;
            moment += polygon * r * r * z * slice;
            sums.about_z += polar * r.powi(4) * slice;
            sums.about_x += (polar * r.powi(4) / 2.0 + polygon * r * r * z * z) * slice;
        }
        let slant = rise.hypot(wider * (PI / n).cos());
        sums.area += n * (PI / n).sin() * (from[0] + to[0]) * slant;
    }
    sums.height = moment / sums.volume;
    sums.about_x -= sums.volume * sums.height * sums.height;
    sums
}

#[track_caller]
fn check_swept(mesh: &TriMesh, outline: &[[f64; 2]], around: usize) {
    let expected = swept(outline, around);
    let found = mass::measure(mesh, true);
    let solid = found.solid.unwrap();
    alike(solid.volume, expected.volume, EXACT);
    alike(found.area, expected.area, EXACT);
    let size = mesh.bounds().diagonal();
    let centroid = found.centroid.coords;
    near(centroid.x.hypot(centroid.y), 0.0, EXACT * size);
    near(centroid.z, expected.height, EXACT * size);
    let moments = [expected.about_x, expected.about_x, expected.about_z];
    let expected = Matrix3::from_diagonal(&moments.into());
    near((solid.inertia - expected).norm(), 0.0, EXACT * expected.norm());
}

#[test]
fn turned_solids_measure_what_their_outline_says() {
    for n in [12, 17, 64] {
        let tube = [[3.0, 0.0], [5.0, 0.0], [5.0, 20.0], [3.0, 20.0]];
        check_swept(&shapes::tube(3.0, 5.0, 20.0, n), &tube, n);
        let cone = [[0.0, 0.0], [5.0, 0.0], [2.0, 8.0], [0.0, 8.0]];
        check_swept(&shapes::cone(5.0, 2.0, 8.0, n), &cone, n);
        let wide = |z: f64| 15.0 + z * 2.0_f64.to_radians().tan();
        let cup = [
            [0.0, 0.0],
            [15.0, 0.0],
            [wide(30.0), 30.0],
            [wide(30.0) - 2.0, 30.0],
            [wide(2.0) - 2.0, 2.0],
            [0.0, 2.0],
        ];
        check_swept(&shapes::cup(15.0, 30.0, 2.0, 2.0, n), &cup, n);
        let circle = |steps: usize, from: f64, to: f64| {
            (0..steps).map(move |step| from + (to - from) * step as f64 / steps as f64)
        };
        let ring: Vec<[f64; 2]> = circle(n, 0.0, TAU)
            .map(|angle| [20.0 + 5.0 * angle.cos(), 5.0 * angle.sin()])
            .collect();
        check_swept(&shapes::torus(20.0, 5.0, n), &ring, n);
        let mut arc: Vec<[f64; 2]> = circle(n / 2, -PI / 2.0, PI / 2.0)
            .map(|angle| [9.0 * angle.cos(), 9.0 * angle.sin()])
            .collect();
        arc.push([0.0, 9.0]);
        check_swept(&shapes::ball(9.0, n), &arc, n);
    }
}

#[test]
fn a_polygon_fills_its_circle_by_the_known_share() {
    for n in [3, 12, 100] {
        let step = TAU / n as f64;
        let found = mass::measure(&shapes::cone(5.0, 5.0, 7.0, n), true);
        let disc = PI * 25.0 * step.sin() / step;
        alike(found.solid.unwrap().volume, disc * 7.0, EXACT);
        let wall = 2.0 * 5.0 * (step / 2.0).sin() * n as f64 * 7.0;
        alike(found.area, 2.0 * disc + wall, EXACT);
    }
}

#[test]
fn finer_facets_tend_to_the_smooth_solid() {
    let n = 360;
    let frustum = |a: f64, b: f64, h: f64| PI * h / 3.0 * (a * a + a * b + b * b);
    let cup_wide = |z: f64| 15.0 + z * 2.0_f64.to_radians().tan();
    let cup = frustum(15.0, cup_wide(30.0), 30.0)
        - frustum(cup_wide(2.0) - 2.0, cup_wide(30.0) - 2.0, 28.0);
    for (mesh, volume) in [
        (shapes::tube(3.0, 5.0, 20.0, n), PI * 16.0 * 20.0),
        (shapes::cone(5.0, 2.0, 8.0, n), frustum(5.0, 2.0, 8.0)),
        (shapes::cup(15.0, 30.0, 2.0, 2.0, n), cup),
        (shapes::ball(9.0, n), 4.0 / 3.0 * PI * 729.0),
        (shapes::torus(20.0, 5.0, n), 2.0 * PI * PI * 20.0 * 25.0),
    ] {
        alike(mass::measure(&mesh, true).solid.unwrap().volume, volume, 2e-4);
    }
    let area = |mesh: &TriMesh| mass::measure(mesh, true).area;
    alike(area(&shapes::ball(9.0, n)), 4.0 * PI * 81.0, 2e-4);
    alike(area(&shapes::torus(20.0, 5.0, n)), 4.0 * PI * PI * 100.0, 2e-4);
    let ball = mass::measure(&shapes::ball(9.0, n), true).solid.unwrap();
    let moment = 0.4 * ball.volume * 81.0;
    near((ball.inertia - Matrix3::identity() * moment).norm(), 0.0, 1e-3 * moment);
}

#[test]
fn a_tray_is_a_box_less_a_box() {
    let found = mass::measure(&shapes::tray([30.0, 20.0, 10.0], 2.0), true);
    let solid = found.solid.unwrap();
    let (outer, inner) = (30.0 * 20.0 * 10.0, 26.0 * 16.0 * 8.0);
    alike(solid.volume, outer - inner, EXACT);
    let walls = 2.0 * (30.0 + 20.0) * 10.0 + 2.0 * (26.0 + 16.0) * 8.0;
    alike(found.area, 2.0 * 30.0 * 20.0 + walls, EXACT);
    let z = (outer * 5.0 - inner * 6.0) / (outer - inner);
    near((found.centroid - Point::new(15.0, 10.0, z)).norm(), 0.0, EXACT * 30.0);
    // Box about its middle, moved to the common centroid.
    let about_x = |volume: f64, y: f64, h: f64, middle: f64| {
        volume * ((y * y + h * h) / 12.0 + (middle - z).powi(2))
    };
    let expected = about_x(outer, 20.0, 10.0, 5.0) - about_x(inner, 16.0, 8.0, 6.0);
    alike(solid.inertia[(0, 0)], expected, EXACT);
    let box_only = mass::measure(&shapes::cuboid(3.0, 4.0, 5.0), true).solid.unwrap();
    for (axis, squares) in [(0, 41.0), (1, 34.0), (2, 25.0)] {
        alike(box_only.inertia[(axis, axis)], 60.0 * squares / 12.0, EXACT);
    }
}

#[test]
fn an_open_surface_has_an_area_and_no_volume() {
    let found = mass::measure(&shapes::cuboid(3.0, 4.0, 5.0), false);
    assert!(found.solid.is_none());
    alike(found.area, 94.0, EXACT);
    near((found.centroid - Point::new(1.5, 2.0, 2.5)).norm(), 0.0, EXACT);
}

#[test]
fn every_shape_is_closed_and_faces_outward() {
    for (name, mesh) in every_shape() {
        for mesh in [shapes::split(&mesh, 1), shapes::shuffle(&mesh), mesh] {
            let edges = Edges::collect(mesh.facets(), mesh.points().len());
            for edge in edges.iter() {
                assert_eq!((edge.uses.len(), edge.net()), (2, 0), "{name}");
            }
            // Run through consistently, a surface of one piece faces outward everywhere
            // or nowhere.
            assert!(mass::measure(&mesh, true).solid.unwrap().volume > 0.0, "{name}");
        }
    }
}

#[test]
fn splitting_and_shuffling_keep_the_solid() {
    for (name, mesh) in every_shape() {
        let before = mass::measure(&mesh, true);
        for other in [shapes::split(&mesh, 2), shapes::shuffle(&mesh)] {
            let after = mass::measure(&other, true);
            let [a, b] = [before, after].map(|mass| mass.solid.unwrap());
            assert!((a.volume - b.volume).abs() < EXACT * a.volume, "{name}");
            assert!((before.area - after.area).abs() < EXACT * before.area, "{name}");
            assert!((a.inertia - b.inertia).norm() < EXACT * a.inertia.norm(), "{name}");
        }
        assert_eq!(shapes::split(&mesh, 2).facets().len(), 16 * mesh.facets().len());
    }
}
