//! What is trapped, where area, volume and depth have formulas.

use std::f64::consts::PI;

use goodshot::geom::Direction;
use goodshot::mesh::{TriMesh, shapes};
use goodshot::part::undercut::{self, Release, Undercut};

use crate::common::{
    Part, alike, box_with_side_hole, direction, directions, hook, near, prism, turn,
    turned,
};

/// What is asked of a trapped volume or area, which samples measure.
const ASKED: f64 = 0.01;

fn part(mesh: TriMesh) -> Part {
    Part::new(mesh, true, 100_000)
}

fn trapped(part: &Part, pull: Direction) -> Undercut {
    let release = Release::along(&part.bvh, &part.samples, pull);
    undercut::measure(&part.bvh, &part.samples, &release, pull)
}

#[track_caller]
fn is_free(part: &Part, pull: Direction) {
    let found = trapped(part, pull);
    assert_eq!((found.regions.len(), found.area.to_bits()), (0, 0), "along {pull:?}");
}

#[test]
fn a_convex_solid_is_never_trapped() {
    let skew = prism(&[[0.0, 0.0], [5.0, 1.0], [4.0, 6.0], [1.0, 4.0]], 9.0);
    for mesh in [
        shapes::cuboid(3.0, 4.0, 5.0),
        shapes::ball(10.0, 32),
        shapes::cone(5.0, 2.0, 20.0, 24),
        shapes::cone(5.0, 0.0, 20.0, 24),
        turned(&skew, direction(1.0, 2.0, 0.5), 33.0),
    ] {
        let part = Part::new(mesh, true, 3000);
        for pull in directions(50).chain([Direction::X, Direction::Y, Direction::Z]) {
            is_free(&part, pull);
        }
    }
}

#[test]
fn a_torus_leaves_along_its_axis() {
    is_free(&part(shapes::torus(20.0, 5.0, 48)), Direction::Z);
    is_free(&part(shapes::torus(20.0, 5.0, 48)), Direction::Z.reversed());
}

/// Across its axis the inner half is trapped: at height z the hole is a disc of radius
/// R − √(r² − z²), which sums to π (2 r R² − π R r² + 4/3 r³); the inner half of the
/// surface is 2 π r (π R − 2 r). A point of the equator travels r to leave; the upper
/// half leaves up and the lower down, so no single way frees all.
#[test]
fn a_torus_is_trapped_across_its_axis() {
    let (large, small) = (20.0, 5.0);
    let ring = part(shapes::torus(large, small, 120));
    let found = trapped(&ring, Direction::X);
    let volume = PI
        * (2.0 * small * large * large - PI * large * small * small
            + 4.0 / 3.0 * small.powi(3));
    alike(found.volume, volume, ASKED);
    // Points are looked from a little outside; from the crests, lower than that, they see out.
    let clearance = ring.bvh.diagonal() * undercut::CLEARANCE;
    let crests = 4.0 * PI * large * small * (2.0 * clearance / small).sqrt();
    let inner_half = 2.0 * PI * small * (PI * large - 2.0 * small);
    alike(found.area, inner_half - crests, ASKED);
    assert_eq!(found.regions.len(), 1);
    assert!(found.regions[0].way.is_none());
    alike(found.regions[0].depth.unwrap(), small, 0.05);
}

#[test]
fn a_cup_leaves_along_its_axis() {
    for draft in [0.0, 1.0] {
        is_free(&part(shapes::cup(15.0, 30.0, 2.0, draft, 40)), Direction::Z);
    }
}

/// Of a square hole through a wall the mold must give a² t of metal and four sides a t.
#[test]
fn a_side_hole_traps_its_own_volume() {
    for (wall, hole) in [(2.0, 6.0), (3.0, 4.0)] {
        let found = trapped(&part(box_with_side_hole(wall, hole)), Direction::Z);
        alike(found.volume, hole * hole * wall, 0.02);
        alike(found.area, 4.0 * hole * wall, 0.02);
        assert_eq!(found.regions.len(), 1);
        let region = &found.regions[0];
        alike(region.depth.unwrap(), wall, ASKED);
        let way = region.way.unwrap();
        near(way.vector().y.abs(), 1.0, 1e-9);
        let at = region.at;
        assert!((at.x - 20.0).abs() < hole / 2.0 + 1e-6, "{at}");
        assert!((at.z - 13.0).abs() < hole / 2.0 + 1e-6, "{at}");
        assert!(at.y >= 0.0 && at.y <= wall, "{at}");
    }
}

#[test]
fn a_hook_is_as_deep_as_it_hangs_over() {
    for overhang in [0.5, 2.5, 6.0] {
        let found = trapped(&part(hook(overhang)), Direction::Z);
        assert_eq!(found.regions.len(), 1);
        let region = &found.regions[0];
        near(region.depth.unwrap(), overhang, 0.05_f64.min(ASKED * overhang));
        near(region.way.unwrap().vector().x, 1.0, 0.004);
        alike(found.volume, overhang * 10.0 * 8.0, ASKED);
        // The ceiling, the foot below it and the arm between them.
        alike(found.area, 10.0 * (overhang + 8.0 + overhang), ASKED);
    }
}

/// A ring cut into the inside of a tube: its ceiling frees no metal, and what strips it
/// must give by the depth of the ring.
#[test]
fn a_groove_all_around_is_as_deep_as_it_is_cut() {
    for cut in [0.5, 2.0] {
        let n = 60;
        let outline = [
            [10.0, 0.0],
            [15.0, 0.0],
            [15.0, 20.0],
            [10.0, 20.0],
            [10.0, 14.0],
            [10.0 + cut, 14.0],
            [10.0 + cut, 8.0],
            [10.0, 8.0],
        ];
        let found = trapped(&part(shapes::revolve(&outline, n)), Direction::Z);
        assert_eq!(found.regions.len(), 1);
        let region = &found.regions[0];
        assert!(region.way.is_none());
        alike(region.depth.unwrap(), cut, ASKED);
        let step = 2.0 * PI / f64::from(n as u32);
        let ring = step.sin() / step * PI * ((10.0 + cut).powi(2) - 100.0);
        alike(found.volume, ring * 6.0, ASKED);
    }
}

#[test]
fn a_closed_void_is_trapped_for_good() {
    let steps = [0.0, 2.0, 8.0, 12.0];
    let hollow = shapes::blocks([&steps, &steps, &steps], |i, j, k| [i, j, k] != [1; 3]);
    let found = trapped(&part(hollow), Direction::Z);
    alike(found.volume, 216.0, ASKED);
    alike(found.area, 216.0, ASKED);
    assert_eq!(found.regions.len(), 1);
    assert_eq!(found.regions[0].depth, None);
    assert!(found.regions[0].way.is_none());
}

#[test]
fn deeper_regions_come_first() {
    // A shallow and a deep hook on one foot, arms at its two ends.
    let x = [0.0, 3.0, 4.0, 16.0, 20.0, 23.0];
    let both = shapes::blocks([&x, &[0.0, 10.0], &[0.0, 2.0, 10.0, 12.0]], |i, _, k| {
        k == 0 || i == 0 || i == 4 || (k == 2 && i != 2)
    });
    let found = trapped(&part(both), Direction::Z);
    let depths: Vec<f64> =
        found.regions.iter().filter_map(|region| region.depth).collect();
    assert_eq!(depths.len(), 2);
    near(depths[0], 4.0, 0.04);
    near(depths[1], 1.0, 0.01);
}

/// A hole lets go along its own axis, however that lies in the part.
#[test]
fn a_slanted_hole_is_as_deep_as_a_straight_one() {
    for angle in [7.0, 17.0, 45.0] {
        let slanted = turned(&box_with_side_hole(2.0, 6.0), Direction::Z, angle);
        let found = trapped(&part(slanted), Direction::Z);
        assert_eq!(found.regions.len(), 1, "{angle}");
        alike(found.regions[0].depth.unwrap(), 2.0, ASKED);
        let axis = turn(Direction::Z, angle) * Direction::Y.vector();
        near(found.regions[0].way.unwrap().dot(&axis).abs(), 1.0, 1e-6);
    }
}
