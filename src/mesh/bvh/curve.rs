//! Facets along a space-filling curve.

use std::ops::Range;

use rayon::prelude::*;

use crate::geom::Aabb;
use crate::mesh::TriMesh;

/// Facets of a cell at most, unless their middles are all in one place.
const CELL: usize = 32;

/// Facets with their places on the curve, sorted by the Z-order of their middles (Morton
/// 1966).
pub(super) fn sort(mesh: &TriMesh, bounds: &Aabb) -> Vec<(u64, u32)> {
    let longest = bounds.size().amax().max(f64::MIN_POSITIVE);
    let scale = f64::from((1_u32 << 20) - 1) / longest;
    let mut keyed: Vec<(u64, u32)> = (0..mesh.facets().len() as u32)
        .into_par_iter()
        .map(|facet| {
            let at = (mesh.middle(facet as usize) - bounds.min) * scale;
            (spread(at.x) | spread(at.y) << 1 | spread(at.z) << 2, facet)
        })
        .collect();
    keyed.par_sort_unstable();
    keyed
}

/// Ranges of facets that share a cell of the grid behind the curve, the largest cells of
/// no more than [`CELL`].
pub(super) fn cells(keyed: &[(u64, u32)]) -> Vec<Range<usize>> {
    let mut cells = Vec::new();
    let mut waiting: Vec<Range<usize>> = std::iter::once(0..keyed.len()).collect();
    while let Some(range) = waiting.pop() {
        let codes = &keyed[range.clone()];
        let [Some(first), Some(last)] = [codes.first(), codes.last()] else { continue };
        let differing = first.0 ^ last.0;
        if codes.len() <= CELL || differing == 0 {
            cells.push(range);
            continue;
        }
        // All codes share the bits above the highest that differs.
        let bit = 1 << differing.ilog2();
        let middle = range.start + codes.partition_point(|(code, _)| code & bit == 0);
        waiting.extend([middle..range.end, range.start..middle]);
    }
    cells
}

/// The low 20 bits of a grid coordinate, two zeros between each.
fn spread(coordinate: f64) -> u64 {
    let mut bits = coordinate as u64 & 0x000f_ffff;
    bits = (bits | bits << 32) & 0x001f_0000_0000_ffff;
    bits = (bits | bits << 16) & 0x001f_0000_ff00_00ff;
    bits = (bits | bits << 8) & 0x100f_00f0_0f00_f00f;
    bits = (bits | bits << 4) & 0x10c3_0c30_c30c_30c3;
    (bits | bits << 2) & 0x1249_2492_4924_9249
}
