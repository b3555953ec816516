//! Which facets lie across the three edges of each.

use rayon::prelude::*;

use crate::mesh::TriMesh;

/// No facet lies across: the edge is open, or more than two facets meet there.
pub const NONE: u32 = u32::MAX;

/// For each facet the facets across its edges, edge `i` running from corner `i` to the
/// next; [`NONE`] where there is not exactly one.
pub fn of(mesh: &TriMesh) -> Vec<[u32; 3]> {
    let mut sides: Vec<(u64, u32)> = mesh
        .facets()
        .par_iter()
        .enumerate()
        .flat_map_iter(|(facet, corners)| {
            (0..3).map(move |side| {
                let [a, b] = [corners[side], corners[(side + 1) % 3]];
                let edge = u64::from(a.min(b)) << 32 | u64::from(a.max(b));
                (edge, (facet * 3 + side) as u32)
            })
        })
        .collect();
    sides.par_sort_unstable();
    let mut neighbors = vec![[NONE; 3]; mesh.facets().len()];
    for run in sides.chunk_by(|a, b| a.0 == b.0) {
        if let [(_, a), (_, b)] = *run {
            neighbors[a as usize / 3][a as usize % 3] = b / 3;
            neighbors[b as usize / 3][b as usize % 3] = a / 3;
        }
    }
    neighbors
}
