//! The blocks hold every facet once, and answers do not depend on the processor.

use fearless_simd::Level;

use super::Bvh;
use crate::geom::{Direction, Point, Vector};
use crate::mesh::{TriMesh, shapes};

fn parts() -> Vec<TriMesh> {
    vec![
        shapes::split(&shapes::cuboid(3.0, 4.0, 5.0), 3),
        shapes::torus(20.0, 5.0, 40),
        shapes::cone(20.0, 0.0, 0.3, 90),
    ]
}

#[test]
fn every_facet_is_in_one_block() {
    for mesh in parts() {
        let bvh = Bvh::new(&mesh);
        let mut facets: Vec<u32> =
            bvh.blocks.iter().flat_map(|block| block.facets).collect();
        facets.retain(|&facet| facet != u32::MAX);
        facets.sort_unstable();
        assert!(facets.into_iter().eq(0..mesh.facets().len() as u32));
        let mut order = bvh.order.clone();
        order.sort_unstable();
        assert!(order.into_iter().eq(0..mesh.facets().len() as u32));
    }
}

/// The widest instructions of this processor and those that every processor has give the
/// same bits.
#[test]
fn answers_do_not_depend_on_the_processor() {
    for mesh in parts() {
        let wide = Bvh::new(&mesh);
        let narrow = Bvh { level: Level::baseline(), ..Bvh::new(&mesh) };
        let size = mesh.bounds().size();
        let mut hits = 0;
        for step in 0..2000 {
            // Steps of the square roots of 2, 3 and 5 spread points evenly.
            let share =
                [2.0_f64, 3.0, 5.0].map(|root| (f64::from(step) * root.sqrt()) % 1.0);
            let from = mesh.bounds().min + size.component_mul(&Vector::from(share)) * 1.2;
            let way = Vector::new(share[1] - 0.5, share[2] - 0.5, share[0] - 0.5);
            let way = Direction::new(way).unwrap();
            let hit = wide.first_hit(&from, way, 0.0);
            hits += usize::from(hit.is_some());
            assert_eq!(hit, narrow.first_hit(&from, way, 0.0));
            assert_eq!(wide.is_hit(&from, way), narrow.is_hit(&from, way));
            let upper = |on: &Point| on.z > mesh.bounds().center().z;
            assert_eq!(
                wide.nearest_where(&from, f64::INFINITY, upper),
                narrow.nearest_where(&from, f64::INFINITY, upper)
            );
        }
        assert!(hits > 100 && hits < 2000, "{hits}");
    }
}

#[test]
fn a_mesh_without_facets_answers_nothing() {
    let bvh = Bvh::new(&TriMesh::new(Vec::new(), Vec::new()));
    assert!(bvh.first_hit(&Point::origin(), Direction::X, 0.0).is_none());
    assert!(bvh.nearest(&Point::origin(), f64::INFINITY).is_none());
}

/// Facets with their middles in one place leave nothing to sort by.
#[test]
fn many_facets_in_one_place_are_cut_in_halves() {
    let one =
        [Point::new(0.0, 0.0, 0.0), Point::new(1.0, 0.0, 0.0), Point::new(0.0, 1.0, 0.0)];
    let mesh = TriMesh::new(one.to_vec(), vec![[0, 1, 2]; 5000]);
    let bvh = Bvh::new(&mesh);
    let from = Point::new(0.2, 0.2, 1.0);
    let hit = bvh.first_hit(&from, Direction::Z.reversed(), 0.0).unwrap();
    assert_eq!((hit.distance, hit.facet), (1.0, 0));
    let near = bvh.nearest(&from, 2.0).unwrap();
    assert_eq!((near.distance, near.facet), (1.0, 0));
}
