//! Nothing that is measured may change when only place, order of facets, fineness of the
//! mesh or number of threads change.

/// Everything that is measured of a part along one pull.
mod measured;

use std::sync::LazyLock;

use goodshot::geom::{Direction, Point};
use goodshot::mesh::heal::{HealSettings, heal};
use goodshot::mesh::{TriMesh, shapes, stl};

use crate::common::{
    Part, box_with_side_hole, direction, moved, tray_with_rib, turn, turned,
};
use measured::{Measured, sampled_bits};

/// Samples of each part: a trapped hole of 1 % of the surface gets some hundreds.
const SAMPLES: usize = 40_000;

/// What the mesh says itself must come out the same to this share.
const EXACT: f64 = 1e-9;

/// What samples say, to this.
const SAMPLED: f64 = 0.01;

/// A part, the pull that it is measured along, and what is measured as it stands.
struct Standing {
    name: &'static str,
    mesh: TriMesh,
    pull: Direction,
    before: Measured,
}

static STANDING: LazyLock<Vec<Standing>> = LazyLock::new(|| {
    let measure = |(name, mesh, pull): (&'static str, TriMesh, Direction)| {
        let before = measured(mesh.clone(), pull);
        Standing { name, mesh, pull, before }
    };
    parts().into_iter().map(measure).collect()
});

fn parts() -> Vec<(&'static str, TriMesh, Direction)> {
    let torus = shapes::torus(20.0, 5.0, 48);
    vec![
        ("tray with rib", tray_with_rib(1.2), Direction::Z),
        ("cup", shapes::cup(15.0, 30.0, 2.0, 0.5, 36), Direction::Z),
        ("box with side hole", box_with_side_hole(2.0, 12.0), Direction::Z),
        ("torus", torus.clone(), Direction::Z),
        ("torus on edge", torus, Direction::X),
    ]
}

fn measured(mesh: TriMesh, pull: Direction) -> Measured {
    Measured::measure(&Part::new(mesh, true, SAMPLES), pull)
}

#[test]
fn a_turned_part_measures_the_same() {
    for Standing { name, mesh, pull, before } in STANDING.iter() {
        let pull = *pull;
        for (axis, angle) in
            [(direction(1.0, 2.0, 0.5), 50.0), (direction(-0.3, 0.1, 1.0), 201.0)]
        {
            let along = |way: Direction| Direction::new(turn(axis, angle) * way.vector());
            let after = measured(turned(mesh, axis, angle), along(pull).unwrap());
            after.is(before, EXACT, SAMPLED, name);
            after.opens_along(along(before.opening).unwrap(), name);
        }
    }
}

#[test]
fn a_part_ten_meters_away_measures_the_same() {
    for Standing { name, mesh, pull, before } in STANDING.iter() {
        let pull = *pull;
        let after = measured(moved(mesh, [1e4, -7e3, 3e3]), pull);
        after.is(before, EXACT, SAMPLED, name);
        after.opens_along(before.opening, name);
    }
}

/// Single precision rounds by half a micrometer there.
#[test]
fn a_part_ten_meters_away_comes_through_a_file() {
    for Standing { name, mesh, pull, before } in STANDING.iter() {
        let pull = *pull;
        let far = moved(mesh, [1e4, -7e3, 3e3]);
        let facets: Vec<[Point; 3]> =
            (0..far.facets().len()).map(|facet| far.corners(facet)).collect();
        let mut bytes = Vec::new();
        stl::write(facets.into_iter(), &mut bytes).unwrap();
        let read = stl::read(&bytes).unwrap();
        let healed = heal(read.scaled(1.0), HealSettings::default()).unwrap();
        assert!(healed.closed, "{name}");
        assert_eq!(healed.mesh.facets().len(), mesh.facets().len(), "{name}");
        let after = measured(healed.mesh, pull);
        after.is(before, SAMPLED, SAMPLED, name);
        after.opens_along(before.opening, name);
    }
}

#[test]
fn the_order_of_facets_changes_nothing() {
    for Standing { name, mesh, pull, before } in STANDING.iter() {
        let pull = *pull;
        let after = measured(shapes::shuffle(mesh), pull);
        after.is(before, EXACT, SAMPLED, name);
        after.opens_along(before.opening, name);
    }
}

#[test]
fn sixteen_facets_for_one_change_nothing() {
    for Standing { name, mesh, pull, before } in STANDING.iter() {
        let pull = *pull;
        let after = measured(shapes::split(mesh, 2), pull);
        after.is(before, EXACT, SAMPLED, name);
        after.opens_along(before.opening, name);
    }
}

#[test]
fn one_thread_gives_the_bits_of_many() {
    for (name, mesh, pull) in parts() {
        let with = |threads: usize| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build();
            pool.unwrap().install(|| {
                let part = Part::new(mesh.clone(), true, 5000);
                (sampled_bits(&part, pull), Measured::measure(&part, pull))
            })
        };
        let (one, many) = (with(1), with(7));
        assert!(one.0 == many.0, "{name}");
        assert_eq!(one.1.bits(), many.1.bits(), "{name}");
    }
}
