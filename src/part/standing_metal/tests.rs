//! Fins, pins and rings of known sizes, and parts whose metal is sturdy.

use super::{Ends, Form, StandingMetal, find};
use crate::geom::{Direction, Point, Vector};
use crate::mesh::{TriMesh, shapes};
use crate::part::Part;
use crate::part::draft::{self, Formed};
use crate::part::halves::Half;
use crate::part::undercut::Release;

fn along(mesh: TriMesh, pull: Direction) -> Vec<StandingMetal> {
    let part = Part::new(mesh, true, 20_000);
    let release = Release::along(&part.bvh, &part.samples, pull);
    let sides = draft::sides(&part.samples, &release, pull, Half::Plus);
    find(&part, Formed { pull, core: Half::Plus, sides: &sides, parted: None })
}

/// A block with a slot open upward: `steps` across it, 20 long, 15 tall, 12 deep.
fn slotted(steps: &[f64], ends: &[f64]) -> TriMesh {
    let slot = |i: usize, j: usize| i == 1 && (ends.len() == 2 || j == 1);
    shapes::blocks([steps, ends, &[0.0, 3.0, 15.0]], |i, j, k| k == 0 || !slot(i, j))
}

fn near(seen: f64, known: f64, within: f64) {
    assert!((seen - known).abs() <= within, "{seen} is not {known}");
}

/// By hand: the fin of a slot 2 wide and 12 deep, open at both ends, or closed there.
#[test]
fn the_metal_of_a_slot_is_a_fin() {
    for (ends, held) in
        [(&[0.0, 20.0][..], Ends::Both), (&[0.0, 3.0, 17.0, 20.0], Ends::Free)]
    {
        let found = along(slotted(&[0.0, 5.0, 7.0, 12.0], ends), Direction::Z);
        assert_eq!(found.len(), 1, "{found:?}");
        let fin = &found[0];
        let Form::Fin { length, ends: seen } = fin.form else { panic!("{:?}", fin.form) };
        assert_eq!((fin.half, seen, fin.through), (Half::Plus, held, false));
        near(fin.thickness[0], 2.0, 0.01);
        near(fin.height, 12.0, 0.05);
        near(length, if held == Ends::Both { 20.0 } else { 14.0 }, 0.5);
        near(fin.at.x, 6.0, 0.05);
        near(fin.at.z, 15.0, 0.05);
    }
}

/// A slot as wide as deep has sturdy metal.
#[test]
fn sturdy_metal_is_left_out() {
    assert_eq!(
        along(slotted(&[0.0, 5.0, 13.0, 18.0], &[0.0, 20.0]), Direction::Z),
        vec![]
    );
    assert_eq!(along(shapes::tray([30.0, 20.0, 10.0], 2.0), Direction::Z), vec![]);
}

/// A blind bore of 3 mm, 12 deep, tapering to 2 at its floor, in a round boss.
fn bored() -> TriMesh {
    shapes::revolve(
        &[[0.0, 0.0], [6.0, 0.0], [6.0, 15.0], [1.5, 15.0], [1.0, 3.0], [0.0, 3.0]],
        96,
    )
}

#[test]
fn the_metal_of_a_bore_is_a_pin() {
    let found = along(bored(), Direction::Z);
    assert_eq!(found.len(), 1, "{found:?}");
    let pin = &found[0];
    assert_eq!((pin.form, pin.half), (Form::Pin, Half::Plus));
    near(pin.thickness[0], 2.0, 0.06);
    near(pin.thickness[1], 3.0, 0.06);
    near(pin.height, 12.0, 0.05);
    near(pin.at.x.hypot(pin.at.y), 0.0, 0.05);
}

#[test]
fn a_hole_through_the_part_has_a_pin_that_stands_on_the_other_half() {
    let found = along(shapes::tube(1.5, 6.0, 12.0, 96), Direction::Z);
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].through && found[0].form == Form::Pin);
    near(found[0].height, 12.0, 0.1);
    near(found[0].thickness[0], 3.0, 0.05);
}

/// A slot through the part, open at one end, its other end drafted: rays down from beside that
/// end meet it, which makes no pin of the metal there.
#[test]
fn the_drafted_end_of_a_slot_is_no_pin() {
    let steps: [&[f64]; 3] = [&[0.0, 5.0, 7.0, 12.0], &[0.0, 4.0, 24.0], &[0.0, 12.0]];
    let straight = shapes::blocks(steps, |i, j, _| !(i == 1 && j == 1));
    let drafted = straight.map_points(|point| {
        let off = 0.03 * point.z;
        let side = |at: f64, wall: f64| if (at - wall).abs() < 1e-9 { off } else { 0.0 };
        let x = point.x - side(point.x, 5.0) + side(point.x, 7.0);
        Point::new(x, point.y - side(point.y, 4.0), point.z)
    });
    let found = along(drafted, Direction::Z);
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(matches!(found[0].form, Form::Fin { .. }), "{found:?}");
    assert!(found[0].through);
}

/// The metal around a boss of 30 × 20 mm is a frame, which no hoop holds: each side is held at
/// its corners, or all of it by the longest.
#[test]
fn a_frame_is_no_ring() {
    let x = [0.0, 3.0, 5.0, 35.0, 37.0, 40.0];
    let y = [0.0, 3.0, 5.0, 25.0, 27.0, 30.0];
    let is_groove = |i: usize, j: usize| {
        (1..=3).contains(&i) && (1..=3).contains(&j) && !(i == 2 && j == 2)
    };
    let part =
        shapes::blocks([&x, &y, &[0.0, 3.0, 15.0]], |i, j, k| k == 0 || !is_groove(i, j));
    let found = along(part, Direction::Z);
    assert!(!found.is_empty());
    for fin in &found {
        let Form::Fin { ends, .. } = fin.form else { panic!("{:?}", fin.form) };
        assert_eq!(ends, Ends::Both, "{found:?}");
    }
}

#[test]
fn the_metal_of_a_groove_around_a_boss_is_a_ring() {
    let grooved = shapes::revolve(
        &[
            [0.0, 0.0],
            [10.0, 0.0],
            [10.0, 15.0],
            [7.0, 15.0],
            [7.0, 3.0],
            [5.0, 3.0],
            [5.0, 15.0],
            [0.0, 15.0],
        ],
        96,
    );
    let found = along(grooved, Direction::Z);
    assert_eq!(found.len(), 1, "{found:?}");
    let Form::Ring { radius } = found[0].form else { panic!("{:?}", found[0].form) };
    near(radius, 6.0, 0.05);
    near(found[0].thickness[0], 2.0, 0.02);
    near(found[0].height, 12.0, 0.05);
}

/// Turned, moved, cut finer and with its facets in another order, the part has the same metal.
#[test]
fn another_pose_or_mesh_changes_nothing() {
    let known = &along(bored(), Direction::Z)[0];
    let turn = nalgebra::Rotation3::from_euler_angles(0.4, -0.7, 1.1);
    let shift = Vector::new(50.0, -20.0, 7.0);
    let moved = |mesh: &TriMesh| {
        let points = mesh.points().iter().map(|it| turn * it + shift).collect();
        TriMesh::new(points, mesh.facets().to_vec())
    };
    let pull = Direction::new(turn * Vector::z()).unwrap();
    let finer = shapes::shuffle(&shapes::split(&bored(), 1));
    for (mesh, pull) in [(moved(&bored()), pull), (finer, Direction::Z)] {
        let found = along(mesh, pull);
        assert_eq!(found.len(), 1);
        near(found[0].height, known.height, 0.06);
        near(found[0].thickness[1], known.thickness[1], 0.06);
        let back = if pull == Direction::Z {
            found[0].at
        } else {
            Point::from(turn.inverse() * (found[0].at.coords - shift))
        };
        near((back - known.at).norm(), 0.0, 0.15);
    }
}
