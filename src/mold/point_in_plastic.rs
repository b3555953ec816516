//! Whether a point lies in the plastic.

use crate::geom::{Direction, Point, Vector};
use crate::mesh::{TriMesh, bvh::Bvh};

/// A slanted look, so that it seldom runs along a face.
const LOOK: [f64; 3] = [0.123, 0.457, 0.881];

/// The part in the axes of the mold, prepared for queries.
pub struct Inside {
    bvh: Bvh,
    normals: Vec<Vector>,
}

impl Inside {
    /// Of a closed mesh.
    pub fn new(part: &TriMesh) -> Self {
        Self { bvh: Bvh::new(part), normals: part.normals().to_vec() }
    }

    /// Whether `at` lies in the plastic: the first wall on the remedy is seen from behind.
    pub fn holds(&self, at: &Point) -> bool {
        let Some(look) = Direction::new(Vector::from(LOOK)) else { return false };
        let hit = self.bvh.first_hit(at, look, 0.0);
        hit.is_some_and(|hit| {
            let normal = self.normals.get(hit.facet as usize);
            normal.is_some_and(|normal| look.dot(normal) > 0.0)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::Inside;
    use crate::geom::Point;
    use crate::mesh::shapes;

    #[test]
    fn the_wall_of_a_tray_is_inside_and_its_hollow_is_not() {
        let inside = Inside::new(&shapes::tray([10.0, 10.0, 5.0], 1.0));
        for (at, wanted) in [
            ([0.5, 5.0, 3.0], true),
            ([5.0, 5.0, 0.5], true),
            ([5.0, 5.0, 3.0], false),
            ([-0.5, 5.0, 3.0], false),
            ([5.0, 5.0, -1.0], false),
        ] {
            assert_eq!(inside.holds(&Point::from(at)), wanted, "{at:?}");
        }
    }
}
