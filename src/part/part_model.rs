//! The part as every measure asks it: its mesh, and what is made of that once.

use crate::mesh::bvh::Bvh;
use crate::mesh::samples::Samples;
use crate::mesh::{TriMesh, neighbors};
use crate::part::faces::{self, Faces};

/// A healed part.
pub struct Part {
    /// Its surface, mm.
    pub mesh: TriMesh,
    /// Whether the surface is closed, so that inside and outside are known.
    pub closed: bool,
    /// For each facet the facets across its edges, as [`neighbors::find`] gives them.
    pub neighbors: Vec<[u32; 3]>,
    /// The surface, for rays and nearest points.
    pub bvh: Bvh,
    /// What a designer calls a face.
    pub faces: Faces,
    /// Points on the surface, evenly spread.
    pub samples: Samples,
}

impl Part {
    /// The part with this surface and about `samples` points on it.
    pub fn new(mesh: TriMesh, closed: bool, samples: usize) -> Self {
        let neighbors = neighbors::find(&mesh);
        let bvh = Bvh::new(&mesh);
        let faces = faces::fit(&mesh, &neighbors);
        let samples = Samples::spread(&mesh, &bvh, samples);
        Self { mesh, closed, neighbors, bvh, faces, samples }
    }
}
