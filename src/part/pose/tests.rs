//! Known motions of known solids come back.

use nalgebra::{Rotation3, Unit};

use crate::geom::{Point, Vector};
use crate::mesh::{TriMesh, shapes};
use crate::part::Part;
use crate::part::pose::{Laid, Pose, align, rotations};

fn laid(old: &TriMesh, new: &TriMesh) -> Laid {
    let [old, new] = [old, new].map(|mesh| Part::new(mesh.clone(), true, 6000));
    align(&old, &new)
}

/// Rodrigues: a turn about an axis.
fn turn(axis: [f64; 3], degrees: f64) -> Rotation3<f64> {
    let axis = Unit::new_normalize(Vector::from(axis));
    Rotation3::from_axis_angle(&axis, degrees.to_radians())
}

/// The mesh moved, its coordinates in the single precision of a file.
fn moved(mesh: &TriMesh, pose: &Pose) -> TriMesh {
    mesh.map_points(|point| pose.point(point).map(|x| f64::from(x as f32)))
}

/// A floor of 60 × 40 with walls on two sides and a boss off the middle: no turn lays it on
/// itself.
fn bracket(floor: f64) -> TriMesh {
    let x = [0.0, 2.0, 12.0, 20.0, 60.0];
    let y = [0.0, 3.0, 9.0, 15.0, 40.0];
    shapes::blocks([&x, &y, &[0.0, floor, 10.0, 22.0]], |i, j, k| {
        k == 0 || i == 0 || (j == 0 && k == 1) || (k == 1 && (i, j) == (2, 2))
    })
}

/// The greatest distance by which corners of the old part miss where they went.
fn miss(mesh: &TriMesh, found: &Pose, true_pose: &Pose) -> f64 {
    let apart =
        |point: &Point| nalgebra::distance(&found.point(point), &true_pose.point(point));
    mesh.points().iter().map(apart).fold(0.0, f64::max)
}

#[test]
fn a_known_turn_and_shift_come_back() {
    let part = bracket(2.0);
    for (axis, degrees, shift) in [
        ([1.0, 2.0, 3.0], 37.0, [40.0, -25.0, 310.0]),
        ([0.0, 0.0, 1.0], 90.0, [0.0, 0.0, 0.0]),
        ([1.0, 0.0, 0.0], 180.0, [5.0, 0.0, 0.0]),
        ([1.0, 1.0, 1.0], 120.0, [-7.0, 8.0, 9.0]),
        ([-2.0, 0.5, 1.0], 171.0, [100.0, 0.0, 0.0]),
        // So little that the principal axes of the files nearly agree.
        ([0.0, 1.0, 0.2], 4.0, [0.0, 0.0, 0.0]),
    ] {
        let pose = Pose { turn: turn(axis, degrees), shift: Vector::from(shift) };
        let seen = laid(&part, &moved(&part, &pose));
        let apart = rotations::between(&seen.pose, &pose).to_degrees();
        assert!(apart < 1e-3, "{degrees}: {apart}");
        assert!(miss(&part, &seen.pose, &pose) < 1e-3, "{degrees}");
        let (angle, about) = seen.pose.turned().unwrap();
        assert!((angle - degrees).abs() < 1e-3, "{angle}");
        let axis = Vector::from(axis).normalize();
        assert!(about.dot(&axis).abs() > 1.0 - 1e-6, "{about}");
        assert!(seen.is_match && seen.as_good == 0, "{degrees}: {seen:?}");
    }
}

#[test]
fn a_revision_is_laid_by_what_did_not_change() {
    let pose =
        Pose { turn: turn([0.3, -1.0, 0.4], 77.0), shift: Vector::new(9.0, 1.0, -30.0) };
    let (old, new) = (bracket(2.0), bracket(3.0));
    let seen = laid(&old, &moved(&new, &pose));
    assert!(miss(&old, &seen.pose, &pose) < 0.02, "{:?}", seen.pose);
    assert!(seen.is_match);
    // As exported, the same revision lies as it should.
    assert_eq!(laid(&old, &new).pose, Pose::still());
}

/// A quarter turn of a plate leaves a square of it, most of its surface, where it was.
#[test]
fn a_plate_across_itself_is_turned_back_by_the_least_angle() {
    let plate = shapes::tray([60.0, 40.0, 6.0], 2.0);
    let middle = plate.bounds().center().coords;
    let quarter = turn([0.0, 0.0, 1.0], 90.0);
    let pose = Pose { turn: quarter, shift: middle - quarter * middle };
    let seen = laid(&plate, &moved(&plate, &pose));
    let exact = seen.pose.way(&Vector::x());
    assert!((exact - Vector::y()).norm() < 1e-15, "right angles are exact: {exact}");
    // A tray lies on itself after half a turn.
    assert_eq!(seen.as_good, 1);
    assert!(seen.apart.unwrap() < 1e-4 && seen.is_match);
}

/// Around the axis of a cup every turn is as good; that of the axis itself is known.
#[test]
fn a_round_part_is_turned_by_its_axis_and_says_that_others_are_as_good() {
    let cup = shapes::cup(12.0, 30.0, 2.0, 2.0, 96);
    let pose =
        Pose { turn: turn([0.0, 1.0, 0.0], 90.0), shift: Vector::new(1.0, 2.0, 3.0) };
    let seen = laid(&cup, &moved(&cup, &pose));
    let axis = seen.pose.way(&Vector::z());
    assert!(axis.x > 1.0 - 1e-6, "{axis}");
    assert!(seen.as_good > 5, "{}", seen.as_good);
    // Chords of 96 are off by 0.007 of a radius of 12.
    assert!(seen.apart.unwrap() < 0.01, "{seen:?}");
    let (angle, _) = seen.pose.turned().unwrap();
    assert!(angle < 92.0, "{angle}");
}

/// All moments of a cube are alike, so its axes say nothing; a mark tells its turns apart.
#[test]
fn a_marked_cube_is_turned_although_its_axes_say_nothing() {
    let ends = [0.0, 6.0, 14.0, 20.0, 23.0];
    let cube = shapes::blocks([&ends[..4], &[0.0, 2.0, 9.0, 20.0], &ends], |i, j, k| {
        k < 3 || (i, j) == (1, 1)
    });
    let pose =
        Pose { turn: turn([1.0, -0.4, 0.2], 130.0), shift: Vector::new(0.0, 50.0, 0.0) };
    let seen = laid(&cube, &moved(&cube, &pose));
    assert!(miss(&cube, &seen.pose, &pose) < 1e-3, "{seen:?}");
    assert_eq!(seen.as_good, 0);
}

#[test]
fn what_is_another_part_or_its_mirror_image_is_not_turned_onto_it() {
    let part = bracket(2.0);
    let other = shapes::cup(12.0, 30.0, 2.0, 2.0, 96);
    let seen = laid(&part, &other);
    assert!(!seen.is_match, "{seen:?}");
    // The mirror image of a turned part: nothing lays one on the other.
    let pose = Pose { turn: turn([1.0, 2.0, 3.0], 37.0), shift: Vector::zeros() };
    let soup = part.facets().iter().map(|&[a, b, c]| [a, c, b]).collect();
    let points = part.points().iter().map(|p| Point::new(-p.x, p.y, p.z)).collect();
    let mirror = TriMesh::new(points, soup);
    let seen = laid(&part, &moved(&mirror, &pose));
    let best = miss(&part, &seen.pose, &pose);
    assert!(best > 1.0, "{seen:?}");
}

#[test]
fn a_motion_and_its_way_back_cancel() {
    let pose =
        Pose { turn: turn([1.0, 2.0, 3.0], 37.0), shift: Vector::new(1.0, -2.0, 5.0) };
    let point = Point::new(3.0, 4.0, 5.0);
    assert!(nalgebra::distance(&pose.back().point(&pose.point(&point)), &point) < 1e-12);
    assert!(Pose::still().turned().is_none());
}
