//! Whether a point lies in the plastic.

use crate::geom::{Direction, Point, Vector};
use crate::mesh::{TriMesh, bvh::Bvh};

/// A slanted look, so that it seldom runs along a face.
const LOOK: [f64; 3] = [0.123, 0.457, 0.881];

/// The part in the axes of the mold, ready to be asked.
pub struct Inside {
    bvh: Bvh,
    normals: Vec<Vector>,
}

impl Inside {
    /// Of a closed mesh.
    pub fn new(part: &TriMesh) -> Self {
        Self { bvh: Bvh::new(part), normals: part.normals().to_vec() }
    }

    /// Whether `at` lies in the plastic: the first wall on the way out is seen from behind.
    pub fn holds(&self, at: &Point) -> bool {
        let Some(look) = Direction::new(Vector::from(LOOK)) else { return false };
        let hit = self.bvh.first_hit(at, look, f64::INFINITY);
        hit.is_some_and(|hit| {
            let normal = self.normals.get(hit.facet as usize);
            normal.is_some_and(|normal| look.dot(normal) > 0.0)
        })
    }
}
