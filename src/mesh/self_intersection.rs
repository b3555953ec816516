//! Where the surface passes through itself.
//!
//! Two facets cross when an edge of one pierces the inside of the other. Facets that
//! share a corner are not compared, nor such as only touch or lie in one plane; so a
//! crossing is always real, and a fold right at a shared corner may be missed.

use rayon::prelude::*;

use super::bvh::Bvh;
use super::tri_mesh::TriMesh;
use crate::geom::{Point, Vector};

/// Facets that pass through others.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Crossings {
    /// Pairs of facets that cross.
    pub pairs: usize,
    /// A point on the first.
    pub at: Option<Point>,
}

/// Looks at every pair of facets that lie near each other.
pub fn find(mesh: &TriMesh, bvh: &Bvh) -> Crossings {
    // Corners closer to a plane than they are rounded in the file do not pierce it.
    let slack = 4.0 * mesh.rounding();
    let found: Vec<(u32, u32)> = bvh
        .close_pairs()
        .filter(|&(a, b)| cross(mesh, a as usize, b as usize, slack))
        .collect();
    let first = found.iter().map(|&(a, b)| a.min(b)).min();
    Crossings { pairs: found.len(), at: first.map(|facet| mesh.middle(facet as usize)) }
}

fn cross(mesh: &TriMesh, a: usize, b: usize, slack: f64) -> bool {
    let [of_a, of_b] = [mesh.facets()[a], mesh.facets()[b]];
    if of_a.iter().any(|corner| of_b.contains(corner)) {
        return false;
    }
    let corners = |facet: usize| mesh.corners(facet);
    let normal = |facet: usize| &mesh.normals()[facet];
    pierces(&corners(a), &corners(b), normal(b), slack)
        || pierces(&corners(b), &corners(a), normal(a), slack)
}

/// Whether an edge of the first triangle pierces the inside of the second, `facet`, which has
/// this normal.
fn pierces(edges: &[Point; 3], facet: &[Point; 3], normal: &Vector, slack: f64) -> bool {
    let heights = edges.map(|corner| normal.dot(&(corner - facet[0])));
    if heights.iter().all(|&h| h > -slack) || heights.iter().all(|&h| h < slack) {
        return false;
    }
    (0..3).any(|side| {
        let [from, to] = [side, (side + 1) % 3];
        let [low, high] = [heights[from], heights[to]];
        if low.min(high) > -slack || low.max(high) < slack {
            return false;
        }
        let through = edges[from] + (edges[to] - edges[from]) * (low / (low - high));
        (0..3).all(|edge| {
            let along = facet[(edge + 1) % 3] - facet[edge];
            let inward = normal.cross(&along);
            inward.dot(&(through - facet[edge])) > slack * along.norm()
        })
    })
}
