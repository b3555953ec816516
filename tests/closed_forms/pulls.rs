//! Parts that can leave the mold one way only, and parts where one way is plainly best.

use goodshot::geom::Direction;
use goodshot::measure::draft::Rule;
use goodshot::measure::parting;
use goodshot::measure::pull::{self, Scored};
use goodshot::mesh::{TriMesh, shapes};

use crate::common::{Part, box_with_side_hole, direction, near, turn, turned};

fn best(mesh: TriMesh, given: Option<Direction>) -> Vec<Scored> {
    let part = Part::of(mesh, 20_000);
    let asked = parting::Part {
        mesh: &part.mesh,
        neighbors: &part.neighbors,
        bvh: &part.bvh,
        faces: &part.faces,
    };
    pull::best(asked, &part.samples, Rule::DEFAULT, given)
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
        // In the steps in which equals are told apart.
        assert!(found.is_sorted_by_key(|scored| (scored.score * 100.0).round() as i64));
    }
}
