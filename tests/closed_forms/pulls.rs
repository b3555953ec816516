//! Parts that can leave the mold one way only, and parts where one way is plainly best.

use goodshot::geom::{Direction, Point, Vector};
use goodshot::mesh::{TriMesh, shapes};
use goodshot::part::pull::{self, Criteria, Scored};

use crate::common::{
    Part, box_with_side_hole, direction, moved, near, together, turn, turned,
};

fn best(mesh: TriMesh, given: Option<Direction>) -> Vec<Scored> {
    let part = Part::new(mesh, true, 20_000);
    pull::best(&part, Criteria::DEFAULT, given)
}

/// Degrees between two lines.
fn between(a: Direction, b: Direction) -> f64 {
    a.vector().cross(&b.vector()).norm().atan2(a.dot(&b.vector()).abs()).to_degrees()
}

/// Leaves along y only.
fn block_with_hole() -> TriMesh {
    let across = [0.0, 7.0, 13.0, 20.0];
    shapes::blocks([&across, &[0.0, 30.0], &across], |i, _, k| [i, k] != [1, 1])
}

#[test]
fn the_mold_opens_along_the_axis_of_what_is_round() {
    for (name, mesh, height) in [
        ("cup", shapes::cup(15.0, 30.0, 2.0, 1.0, 36), 30.0),
        ("disc", shapes::cone(20.0, 20.0, 3.0, 36), 3.0),
        ("torus", shapes::torus(20.0, 5.0, 36), 10.0),
        ("tube", shapes::tube(8.0, 10.0, 30.0, 36), 30.0),
    ] {
        let upright = best(mesh.clone(), None);
        assert_eq!(upright[0].direction, Direction::Z, "{name}");
        assert!(upright[0].trapped_area.abs() < 1e-12, "{name}");
        assert_eq!(upright[0].trapped_depth, Some(0.0), "{name}");
        near(upright[0].height, height, 1e-9);
        let axis = direction(1.0, 2.0, 0.5);
        let found = best(turned(&mesh, axis, 50.0), None)[0].direction;
        let expected = Direction::new(turn(axis, 50.0) * Direction::Z.vector()).unwrap();
        assert!(between(found, expected) < 0.1, "{name}: {found:?}");
    }
}

#[test]
fn a_hole_through_a_block_is_opened_along_the_hole() {
    let found = best(block_with_hole(), None);
    assert_eq!(found[0].direction, Direction::Y);
    assert!(found[0].trapped_area.abs() < 1e-12);
    assert!(found[1].trapped_area > 0.0);
}

/// Along the hole the whole inside of the box would be trapped.
#[test]
fn a_box_with_a_hole_in_its_side_opens_upward_and_traps_the_hole() {
    let found = best(box_with_side_hole(2.0, 6.0), None);
    assert_eq!(found[0].direction, Direction::Z);
    assert!(found[0].trapped_area > 0.0);
    // On the few samples of the list, whose outermost lies a spacing inside the hole.
    near(found[0].trapped_depth.unwrap(), 2.0, 0.3);
}

#[test]
fn a_cup_lists_the_draft_of_its_walls() {
    let found = best(shapes::cup(15.0, 30.0, 2.0, 1.5, 60), None);
    near(found[0].lowest_draft_deg.unwrap(), 1.5, 0.01);
}

#[test]
fn the_direction_asked_for_is_in_the_list() {
    let odd = direction(0.3, -0.2, 0.9);
    let found = best(block_with_hole(), Some(odd));
    assert_eq!(found[0].direction, Direction::Y);
    assert_eq!(found.last().unwrap().direction, odd);
    // One that is there anyway is not listed twice, whichever way it points.
    let again = best(block_with_hole(), Some(Direction::Y.reversed()));
    let same =
        again.iter().filter(|scored| between(scored.direction, Direction::Y) < 0.1);
    assert_eq!(same.count(), 1);
}

#[test]
fn the_list_is_sorted_best_first() {
    for mesh in [block_with_hole(), shapes::torus(20.0, 5.0, 24)] {
        let found = best(mesh, None);
        assert!(found.len() > 1);
        // As far as equals are reported apart.
        assert!(found.is_sorted_by(|a, b| a.score <= b.score + 0.02));
    }
}

#[test]
fn symmetric_directions_are_ties() {
    // A cube opens along all its axes alike, a brick along its least edge only.
    let found = best(shapes::cuboid(20.0, 20.0, 20.0), None);
    assert_eq!(found[0].direction, Direction::Z);
    let ties: Vec<Direction> =
        found.iter().filter(|one| one.tied).map(|one| one.direction).collect();
    assert!(ties.contains(&Direction::X) && ties.contains(&Direction::Y), "{ties:?}");
    let found = best(shapes::cuboid(10.0, 20.0, 30.0), None);
    assert_eq!(found[0].direction, Direction::X);
    assert!(found.iter().all(|one| !one.tied));
}

#[test]
fn of_two_directions_close_together_one_is_listed() {
    for mesh in [block_with_hole(), shapes::cup(15.0, 30.0, 2.0, 1.0, 36)] {
        let found = best(mesh, None);
        for (at, one) in found.iter().enumerate() {
            for other in &found[at + 1..] {
                assert!(between(one.direction, other.direction) > 14.9);
            }
        }
    }
}

/// Balls of one size part flat only across the plane through their middles, which no face
/// of the part names: it is a face of the hull that does.
#[test]
fn three_balls_open_across_the_plane_that_they_rest_on() {
    let ball = shapes::ball(3.0, 24);
    let slope = turn(direction(1.0, 0.4, 0.0), 25.0);
    let places = [[0.0, 0.0], [30.0, 2.0], [8.0, 22.0]];
    let balls = places.map(|[x, y]| moved(&ball, [x, y, 0.0]));
    let mesh = together(&balls).map_points(|point| slope * point);
    let found = best(mesh, None);
    let across = Direction::new(slope * Direction::Z.vector()).unwrap();
    assert!(between(found[0].direction, across) < 0.1, "{:?}", found[0]);
    near(found[0].parting_rise.unwrap(), 0.0, 1e-9);
}

/// A cup with walls of 3° that leans by 16.7°: only pulls within 3° of its lean free it,
/// and no face names one.
#[test]
fn a_leaning_cup_is_found_between_the_directions_that_are_tried() {
    let lean = Direction::new(Vector::new(0.3, 0.0, 1.0)).unwrap();
    let mesh = shapes::cup(15.0, 40.0, 2.0, 3.0, 48)
        .map_points(|point| Point::new(point.x + 0.3 * point.z, point.y, point.z));
    let found = best(mesh, None);
    assert!(between(found[0].direction, lean) < 3.5, "{:?}", found[0]);
    assert!(found[0].trapped_depth.unwrap() < 0.02, "{:?}", found[0]);
}

/// A groove 0.015 deep around a brick is less than a mill leaves, however much area it has.
#[test]
fn a_shallow_groove_does_not_cost_the_natural_pull_its_place() {
    let groove = 0.015;
    let edges = |length: f64| [0.0, groove, length - groove, length];
    let z = [0.0, 2.0, 6.0, 8.0];
    let mesh = shapes::blocks([&edges(30.0), &edges(20.0), &z], |i, j, k| {
        k != 1 || (i == 1 && j == 1)
    });
    let found = best(mesh, None);
    assert_eq!(found[0].direction, Direction::Z, "{found:?}");
    assert!(found[0].trapped_depth.unwrap() < 0.02);
}

/// A clamp that holds too little speaks for the smaller projected area where nothing else does.
#[test]
fn a_weak_clamp_prefers_the_smaller_projected_area() {
    let mesh = || shapes::cuboid(20.0, 20.0, 21.0);
    let with = |held_area| {
        let part = Part::new(mesh(), true, 20_000);
        let requests = Criteria { held_area, ..Criteria::DEFAULT };
        pull::best(&part, requests, None)[0].direction
    };
    assert!(with(None).vector().z.abs() < 0.5, "the lower mold");
    assert_eq!(with(Some(220.0)), Direction::Z, "the smaller area");
}

/// The frustum of a pyramid between z = 0 and `height`, its walls leaning by `draft_deg`.
fn frustum([x, y]: [f64; 2], height: f64, draft_deg: f64) -> TriMesh {
    let block = shapes::cuboid(x, y, height);
    let narrowing = height * draft_deg.to_radians().tan();
    block.map_points(|point| {
        let share = point.z / height * narrowing;
        let toward = |at: f64, middle: f64| at - (at - middle).signum() * share;
        Point::new(toward(point.x, x / 2.0), toward(point.y, y / 2.0), point.z)
    })
}

/// A tall block is pulled across its height, unless its walls were drawn with draft: then
/// along it, also where the draft is less than asked.
#[test]
fn draft_that_was_drawn_says_which_way_the_mold_opens() {
    let upright = best(frustum([14.0, 20.0], 30.0, 0.0), None);
    assert!(upright[0].direction.vector().z.abs() < 0.1, "{:?}", upright[0]);
    for draft_deg in [0.5, 1.0, 2.0, 4.0] {
        let drawn = best(frustum([14.0, 20.0], 30.0, draft_deg), None);
        assert!(between(drawn[0].direction, Direction::Z) < 0.1, "{:?}", drawn[0]);
    }
}

/// Two walls of a sheared block lean by one angle, and a handle tapers: that is a shape.
#[test]
fn a_slope_is_no_draft() {
    let shear = 2.0_f64.to_radians().tan();
    for mesh in [
        shapes::cuboid(14.0, 20.0, 30.0)
            .map_points(|point| Point::new(point.x + shear * point.z, point.y, point.z)),
        shapes::cone(6.0, 5.0, 40.0, 36),
    ] {
        let found = best(mesh, None);
        assert!(found[0].direction.vector().z.abs() < 0.1, "{:?}", found[0]);
    }
}
