//! Where the surface passes through itself.

use goodshot::mesh::bvh::Bvh;
use goodshot::mesh::self_intersection::{self, Crossings};
use goodshot::mesh::{TriMesh, shapes};

use crate::common::{direction, every_shape, moved, together, turned};

fn crossings(mesh: &TriMesh) -> Crossings {
    self_intersection::find(mesh, &Bvh::new(mesh))
}

#[test]
fn boxes_that_overlap_cross_where_they_do() {
    let one = shapes::cuboid(4.0, 4.0, 4.0);
    let other = moved(&shapes::cuboid(2.0, 1.0, 1.0), [3.0, 1.3, 1.7]);
    let found = crossings(&together(&[one, other]));
    assert!(found.pairs > 0);
    // The facets that cross are the side at x = 4 and the four sides that pass through it.
    assert!(found.at.unwrap().x >= 3.0);
    let skew = turned(&shapes::cuboid(2.0, 2.0, 2.0), direction(1.0, 2.0, 3.0), 30.0);
    let found = crossings(&together(&[shapes::cuboid(2.0, 2.0, 2.0), skew]));
    assert!(found.pairs > 0);
}

#[test]
fn a_bar_through_a_plate_crosses_twice_all_around() {
    let plate = shapes::cuboid(10.0, 10.0, 1.0);
    let bar = moved(&shapes::cuboid(1.0, 1.0, 6.0), [6.1, 1.2, -3.0]);
    let found = crossings(&together(&[plate, bar]));
    // The bar misses the diagonals of the plate: eight facets through two.
    assert_eq!(found.pairs, 16);
}

#[test]
fn a_sound_solid_crosses_nowhere() {
    for (name, mesh) in every_shape() {
        for mesh in [shapes::split(&mesh, 1), mesh] {
            assert_eq!(crossings(&mesh), Crossings::default(), "{name}");
            let skew = turned(&mesh, direction(1.0, 2.0, 3.0), 30.0);
            assert_eq!(crossings(&skew), Crossings::default(), "{name}");
        }
    }
}

#[test]
fn boxes_that_touch_do_not_cross() {
    let one = shapes::cuboid(4.0, 4.0, 4.0);
    for by in [
        [4.0, 0.0, 0.0],
        [4.0, 1.0, 2.0],
        [4.0, 4.0, 1.0],
        [4.0, 4.0, 4.0],
        [0.0, 1.5, 4.0],
        [4.1, 0.0, 0.0],
    ] {
        let both = together(&[one.clone(), moved(&one, by)]);
        assert_eq!(crossings(&both).pairs, 0, "{by:?}");
    }
}

#[test]
fn one_box_inside_another_does_not_cross_it() {
    let inner = moved(&shapes::cuboid(1.0, 1.0, 1.0), [1.0, 1.0, 1.0]);
    let both = together(&[shapes::cuboid(4.0, 4.0, 4.0), inner]);
    assert_eq!(crossings(&both), Crossings::default());
}
