//! Which facets lie across the three edges of each.

use super::topology::Edges;
use super::tri_mesh::TriMesh;

/// No facet lies across: the edge is open, or more than two facets meet there.
pub const NONE: u32 = u32::MAX;

/// For each facet the facets across its edges, edge `i` running from corner `i` to the
/// next; [`NONE`] where there is not exactly one.
pub fn find(mesh: &TriMesh) -> Vec<[u32; 3]> {
    let edges = Edges::collect(mesh.facets(), mesh.points().len());
    let mut neighbors = vec![[NONE; 3]; mesh.facets().len()];
    for edge in edges.iter() {
        if let [a, b] = edge.uses {
            neighbors[a.facet()][a.side()] = b.facet() as u32;
            neighbors[b.facet()][b.side()] = a.facet() as u32;
        }
    }
    neighbors
}
