//! Shapes whose grip is known in closed form.

use super::{Grips, behind, find};
use crate::geom::{Direction, Point, Vector};
use crate::mesh::{TriMesh, shapes};
use crate::part::Part;
use crate::part::draft::{self, Formed};
use crate::part::halves::Half;
use crate::part::undercut::Release;

fn along(mesh: TriMesh, pull: Direction, core: Half) -> Grips {
    let part = Part::new(mesh, true, 3000);
    let release = Release::along(&part.bvh, &part.samples, pull);
    let sides = draft::sides(&part.samples, &release, pull, core);
    find(&part, Formed { pull, core, sides: &sides, parted: None })
}

fn grips(mesh: TriMesh, core: Half) -> Grips {
    along(mesh, Direction::Z, core)
}

fn near(seen: f64, known: f64, share: f64) {
    assert!((seen / known - 1.0).abs() < share, "{seen} is not {known}");
}

/// A cup of 12 mm with walls and floor of 3 mm, 15 high, 3° of draft: a core 12 high, mean
/// radius 9 + 9 tan 3°, with a floor at its end.
#[test]
fn a_cup_has_one_closed_core() {
    let grips = grips(shapes::cup(12.0, 15.0, 3.0, 3.0, 96), Half::Plus);
    assert_eq!((grips.rings.core.len(), grips.rings.cavity.len()), (1, 0));
    assert!(grips.walls.core.is_empty() && grips.walls.cavity.is_empty());
    let core = grips.rings.core[0];
    let slant = 3_f64.to_radians();
    let radius = 9.0 + 9.0 * slant.tan();
    near(core.area, std::f64::consts::TAU * radius * 12.0 / slant.cos(), 0.002);
    near(core.perimeter, std::f64::consts::TAU * radius, 0.002);
    assert!(core.corners.abs() < 1e-9);
    near(core.height, 12.0, 1e-6);
    near(core.draft_deg, 3.0, 0.01);
    near(core.wall, 3.0, 0.01);
    let widest = 9.0 + 15.0 * slant.tan();
    near(core.closed, std::f64::consts::PI * widest * widest, 0.03);
}

/// A tray of 60 × 40 × 20 mm with walls of 2 mm: a core of 56 × 36 × 18.
#[test]
fn a_tray_is_a_box_around_its_core() {
    let grips = grips(shapes::tray([60.0, 40.0, 20.0], 2.0), Half::Plus);
    let core = grips.rings.core[0];
    near(core.perimeter, 184.0, 1e-6);
    near(core.corners, 1.0, 1e-9);
    near(core.area, 184.0 * 18.0, 1e-6);
    near(core.wall, 2.0, 1e-3);
    near(core.closed, 56.0 * 36.0, 1e-6);
    // The same tray in the other half.
    let turned = self::grips(shapes::tray([60.0, 40.0, 20.0], 2.0), Half::Minus);
    assert!(turned.rings.core.is_empty());
    near(turned.rings.cavity[0].area, core.area, 1e-9);
}

#[test]
fn a_floor_is_as_thick_as_it_is() {
    let part = Part::new(shapes::tray([40.0, 30.0, 12.0], 2.0), true, 500);
    let formed =
        Formed { pull: Direction::Z, core: Half::Plus, sides: &[], parted: None };
    let floor = behind(&part, formed, &Point::new(21.0, 13.0, 2.0)).unwrap();
    assert!((floor - 2.0).abs() < 1e-9, "{floor}");
    let rim = behind(&part, formed, &Point::new(1.0, 15.0, 12.0)).unwrap();
    assert!((rim - 12.0).abs() < 1e-9, "{rim}");
}

#[test]
fn a_tube_lets_air_in_and_a_box_grips_nothing() {
    let tube = grips(shapes::tube(5.0, 8.0, 20.0, 64), Half::Minus);
    assert_eq!(tube.rings.core.len(), 1);
    let core = tube.rings.core[0];
    assert!(core.closed.abs() < f64::EPSILON);
    near(core.wall, 3.0, 0.005);
    near(core.height, 20.0, 1e-9);
    assert_eq!(grips(shapes::cuboid(10.0, 10.0, 10.0), Half::Minus), Grips::default());
}

/// A plate with a boss, a comb and a bracket shrink away from all metal around them.
#[test]
fn what_is_open_grips_nothing() {
    let plate = [0.0, 10.0, 14.0, 24.0];
    let boss = shapes::blocks([&plate, &plate, &[0.0, 2.0, 12.0]], |i, j, k| {
        k == 0 || (i == 1 && j == 1)
    });
    let slot = shapes::blocks([&plate, &[0.0, 10.0, 30.0], &[0.0, 3.0]], |i, j, _| {
        j == 0 || i != 1
    });
    let bracket = shapes::blocks(
        [&[0.0, 2.0, 30.0], &[0.0, 20.0], &[0.0, 2.0, 30.0]],
        |i, _, k| i == 0 || k == 0,
    );
    for mesh in [boss, slot, comb(), bracket] {
        for core in Half::BOTH {
            assert_eq!(grips(mesh.clone(), core), Grips::default());
        }
    }
}

/// A spine of 120 × 8 × 3 mm with 17 teeth, 4 mm wide, 20 mm long.
fn comb() -> TriMesh {
    let steps: Vec<f64> = (0..17)
        .flat_map(|tooth| [f64::from(tooth) * 7.25, f64::from(tooth) * 7.25 + 4.0])
        .collect();
    shapes::blocks([&steps, &[0.0, 8.0, 28.0], &[0.0, 3.0]], |i, j, _| {
        j == 0 || i % 2 == 0
    })
}

/// Two ribs of 2 × 30 mm, 10 high, 20 mm apart, on a plate of 2 mm.
fn ribs() -> TriMesh {
    let across = [0.0, 10.0, 12.0, 32.0, 34.0, 44.0];
    shapes::blocks([&across, &[0.0, 30.0], &[0.0, 2.0, 12.0]], |i, _, k| {
        k == 0 || i == 1 || i == 3
    })
}

#[test]
fn two_ribs_are_drawn_together() {
    let grips = grips(ribs(), Half::Plus);
    assert!(grips.rings.core.is_empty() && grips.walls.cavity.is_empty());
    assert_eq!(grips.walls.core.len(), 2);
    for wall in &grips.walls.core {
        near(wall.thickness, 2.0, 1e-6);
        near(wall.breadth, 30.0, 1e-6);
        near(wall.height, 10.0, 1e-6);
        near(wall.distance, 10.0, 1e-6);
        near(wall.root, 2.0, 1e-6);
        near(wall.root_breadth, 30.0, 1e-6);
        near(wall.area, 300.0, 1e-6);
        assert!(wall.draft_deg.abs() < 1e-9);
    }
}

/// Of a thick and a thin rib the thin one is drawn nearly all the way.
#[test]
fn the_softer_rib_moves() {
    let across = [0.0, 10.0, 11.0, 31.0, 37.0, 44.0];
    let mesh = shapes::blocks([&across, &[0.0, 30.0], &[0.0, 2.0, 12.0]], |i, _, k| {
        k == 0 || i == 1 || i == 3
    });
    let mut walls = grips(mesh, Half::Plus).walls.core;
    walls.sort_by(|a, b| a.thickness.total_cmp(&b.thickness));
    assert!(walls[0].distance > 18.0, "{}", walls[0].distance);
    assert!(walls[0].distance + walls[1].distance < 20.0 + 1e-6);
}

/// A window across the pull holds its posts together above, so that they do not stand free.
#[test]
fn posts_under_a_lintel_do_not_stand_free() {
    let across = [0.0, 10.0, 12.0, 32.0, 34.0, 44.0];
    let mesh =
        shapes::blocks([&across, &[0.0, 30.0], &[0.0, 2.0, 12.0, 14.0]], |i, _, k| {
            k != 1 || i == 1 || i == 3
        });
    assert!(grips(mesh, Half::Plus).walls.core.is_empty());
}

/// A tray with a boss that has a bore: core and bore are two, and the boss grips nothing.
#[test]
fn a_bore_in_a_boss_is_a_core_of_its_own() {
    let across = [0.0, 2.0, 15.0, 18.0, 22.0, 25.0, 38.0, 40.0];
    let mesh = shapes::blocks([&across, &across, &[0.0, 2.0, 10.0]], |i, j, k| {
        let edge = |i: usize| i == 0 || i == 6;
        let boss = (2..=4).contains(&i) && (2..=4).contains(&j) && !(i == 3 && j == 3);
        k == 0 || edge(i) || edge(j) || boss
    });
    let grips = grips(mesh, Half::Plus);
    let areas: Vec<f64> = grips.rings.core.iter().map(|ring| ring.area).collect();
    assert_eq!(areas.len(), 2);
    near(areas[0], 144.0 * 8.0, 1e-6);
    near(areas[1], 16.0 * 8.0, 1e-6);
    assert!(grips.walls.core.is_empty());
}

/// A pin that stands on the end of a core is a core of its own, and what the core's end is
/// beside it: a cap of 40 mm with a boss of 14 mm around a bore of 4 mm, 5 mm below its rim.
#[test]
fn a_pin_on_a_core_is_a_core_of_its_own() {
    let across = [0.0, 2.0, 13.0, 18.0, 22.0, 27.0, 38.0, 40.0];
    let mesh = shapes::blocks([&across, &across, &[0.0, 2.0, 10.0, 15.0]], |i, j, k| {
        let edge = |i: usize| i == 0 || i == 6;
        let boss = (2..=4).contains(&i) && (2..=4).contains(&j) && !(i == 3 && j == 3);
        k == 0 || edge(i) || edge(j) || (boss && k == 1)
    });
    let rings = grips(mesh, Half::Plus).rings.core;
    assert_eq!(rings.len(), 2);
    near(rings[0].area, 144.0 * 13.0, 1e-6);
    near(rings[0].closed, 36.0 * 36.0 - 16.0, 1e-6);
    near(rings[0].wall, 2.0, 1e-3);
    near(rings[1].area, 16.0 * 8.0, 1e-6);
    near(rings[1].perimeter, 16.0, 1e-6);
    near(rings[1].closed, 16.0, 1e-6);
}

/// A hole in its floor lets air in under a tray.
#[test]
fn a_hole_in_the_floor_ends_the_vacuum() {
    let across = [0.0, 2.0, 18.0, 22.0, 38.0, 40.0];
    let mesh = shapes::blocks([&across, &across, &[0.0, 2.0, 10.0]], |i, j, k| {
        let edge = |i: usize| i == 0 || i == 4;
        (k == 0 && !(i == 2 && j == 2)) || edge(i) || edge(j)
    });
    let grips = grips(mesh, Half::Plus);
    assert_eq!(grips.rings.core.len(), 1);
    assert!(grips.rings.core[0].closed.abs() < f64::EPSILON);
}

/// Turned in space with its pull the part grips the same.
#[test]
fn a_turned_part_grips_the_same() {
    let axis = nalgebra::Unit::new_normalize(Vector::new(1.0, 2.0, -0.7));
    let turn = nalgebra::Rotation3::from_axis_angle(&axis, 0.9);
    let pull = Direction::new(turn * Vector::z()).unwrap();
    for mesh in [shapes::cup(12.0, 15.0, 3.0, 3.0, 48), ribs()] {
        let straight = grips(mesh.clone(), Half::Plus);
        let turned = along(mesh.map_points(|point| turn * point), pull, Half::Plus);
        assert_eq!(straight.rings.core.len(), turned.rings.core.len());
        assert_eq!(straight.walls.core.len(), turned.walls.core.len());
        for (a, b) in straight.rings.core.iter().zip(&turned.rings.core) {
            near(a.area, b.area, 0.01);
            near(a.wall, b.wall, 0.01);
            near(a.closed, b.closed, 0.01);
        }
        for (a, b) in straight.walls.core.iter().zip(&turned.walls.core) {
            near(a.thickness, b.thickness, 0.01);
            near(a.distance, b.distance, 0.01);
            near(a.root, b.root, 0.01);
        }
    }
}
