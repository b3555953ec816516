//! How deep one solid gets into another as it moves away along one direction.
//!
//! Every corner and many points of the moving surface go along a ray to the end of the way.
//! Where that ray runs inside the other solid, the point farthest from its surface says how
//! deep. So metal that catches in a small place counts as much as metal that catches
//! everywhere, and surfaces that only slide along each other count for nothing.

use rayon::prelude::*;

use crate::geom::{Direction, Point};
use crate::mesh::TriMesh;
use crate::mesh::bvh::Bvh;
use crate::mesh::samples::Samples;
use crate::mesh::solid::Solid;

/// Points spread over the moving surface, besides its corners.
const SAMPLES: usize = 40_000;

/// Places along each piece of a ray inside the other solid at which the depth is measured.
const PLACES: u32 = 9;

/// A ray that meets more faces goes on outside.
const MOST_FACES: usize = 64;

/// A solid that others may get into.
pub struct Obstacle {
    /// Its surface.
    pub mesh: TriMesh,
    /// The same, for rays and nearest points.
    pub bvh: Bvh,
}

/// The deepest entry of a solid into another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Entry {
    /// How far from the surface, mm.
    pub depth: f64,
    /// Where, on the other solid, mm; `None` where there is none.
    pub at: Option<Point>,
}

impl Obstacle {
    /// Prepares `solid`.
    pub fn new(solid: &Solid) -> Self {
        let mesh = solid.mesh();
        let bvh = Bvh::new(&mesh);
        Self { mesh, bvh }
    }

    /// The deepest entry of `mover` as it goes along `way` until it is free.
    pub fn entered_by(&self, mover: &Self, way: Direction) -> Entry {
        let spread = Samples::spread(&mover.mesh, &mover.bvh, SAMPLES);
        let starts: Vec<&Point> =
            mover.mesh.points().iter().chain(&spread.points).collect();
        let none = Entry { depth: 0.0, at: None };
        let entries: Vec<Entry> =
            starts.into_par_iter().map(|start| self.along(start, way)).collect();
        entries.into_iter().fold(none, Entry::or_deeper)
    }

    fn along(&self, start: &Point, way: Direction) -> Entry {
        let mut deepest = Entry { depth: 0.0, at: None };
        let mut from = 0.0;
        for _ in 0..MOST_FACES {
            let Some(hit) = self.bvh.first_hit(start, way, from) else { break };
            let normal = &self.mesh.normals()[hit.facet as usize];
            // A ray that leaves was inside since the face before.
            if way.dot(normal) > 0.0 {
                let inside = self.deepest_between(start, way, [from, hit.distance]);
                deepest = deepest.or_deeper(inside);
            }
            from = hit.distance.next_up();
        }
        deepest
    }

    /// The deepest of some places on a piece of a ray that runs inside.
    fn deepest_between(
        &self,
        start: &Point,
        way: Direction,
        [from, to]: [f64; 2],
    ) -> Entry {
        let none = Entry { depth: 0.0, at: None };
        (1..=PLACES).fold(none, |deepest, place| {
            let share = f64::from(place) / f64::from(PLACES + 1);
            let at = start + way.vector() * (from + (to - from) * share);
            let near = self.bvh.nearest(&at, f64::INFINITY);
            let depth = near.map_or(0.0, |near| near.distance);
            deepest.or_deeper(Entry { depth, at: Some(at) })
        })
    }
}

impl Entry {
    fn or_deeper(self, other: Self) -> Self {
        if other.depth > self.depth { other } else { self }
    }
}

#[cfg(test)]
mod tests {
    use super::Obstacle;
    use crate::geom::{Direction, Vector};
    use crate::mesh::shapes;
    use crate::mesh::solid::Solid;

    fn block(edges: [f64; 3], at: Vector) -> Obstacle {
        let [x, y, z] = edges;
        let mesh = shapes::cuboid(x, y, z);
        let points = mesh.points().iter().map(|point| point + at).collect();
        Obstacle::new(&Solid { points, facets: mesh.facets().to_vec() })
    }

    /// A plate of 10 × 10 × 2 mm under another one goes up: 1 mm in the middle of the upper
    /// one, as much from below as from above. Beside it, nothing; overlapping by 0.3 mm,
    /// that much; away, nothing.
    #[test]
    fn a_plate_gets_as_deep_as_half_of_what_it_passes() {
        let upper = block([10.0, 10.0, 2.0], Vector::new(0.0, 0.0, 5.0));
        let deep = |aside: f64, way: Direction| {
            let lower = block([10.0, 10.0, 2.0], Vector::new(aside, 0.0, 0.0));
            upper.entered_by(&lower, way).depth
        };
        assert!((deep(0.0, Direction::Z) - 1.0).abs() < 1e-9);
        assert!(deep(10.0, Direction::Z) < 1e-9);
        assert!(
            (deep(9.7, Direction::Z) - 0.3).abs() < 0.01,
            "{}",
            deep(9.7, Direction::Z)
        );
        assert!(deep(0.0, Direction::Z.reversed()) < 1e-12);
    }

    /// A peg of 0.4 mm on a face of 10 000 mm² is as deep as one on a small face.
    #[test]
    fn a_small_place_is_not_averaged_away() {
        let bar = block([0.4, 0.4, 5.0], Vector::new(50.0, 50.0, 10.0));
        let face = block([100.0, 100.0, 1.0], Vector::zeros());
        let entry = face.entered_by(&bar, Direction::Z.reversed());
        assert!((entry.depth - 0.5).abs() < 0.01, "{}", entry.depth);
    }
}
