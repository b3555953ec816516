//! First hit, any hit, nearest point: how the measures ask the surface.
//!
//! A tree of nodes with eight children over blocks of four facets. Its boxes are single
//! precision, padded outwards, and only prune; every answer comes from double-precision
//! corners, four facets at a time, so it is as exact as the mesh and the same on every
//! processor. The part is centered first, so a part far from the origin answers the same.
//! A ray that meets an edge or a corner counts as a hit; none slips through.
//!
//! Every answer is that of a loop over all facets: of several as near, the facet with the
//! lowest index. Two kinds of facet answers are rounding and nothing else, and both the
//! tree and the loop pass them over: a hit that lies outside of the facet's box (the ray
//! runs within rounding of the plane of the facet), and a nearest point inside a needle
//! that lies outside of it (the edges answer instead).

mod curve;
mod facets;
mod nodes;
mod build;
mod waiting;
mod first_hit;
mod nearest_point;
mod close_pairs;
#[cfg(test)]
mod tests;

use fearless_simd::Level;
use rayon::prelude::*;

use crate::geom::{Direction, Point, Vector};
use crate::mesh::TriMesh;
use build::Tree;
use facets::Block;
use nodes::{Box32, Node};

/// Boxes grow by this share of the diagonal. A quarter is for answers that rounding puts
/// beside their facet; the rest is more than single precision moves a side of a box, the
/// start of a ray at the box around the part (2⁻²⁵ each) and the distance between them
/// (3 · 2⁻²⁴).
const PADDING: f64 = 1e-6;

/// Where a ray met the surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hit {
    /// Distance from the start, mm.
    pub distance: f64,
    /// The facet met.
    pub facet: u32,
}

/// The surface point nearest to another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nearest {
    /// That point, mm.
    pub point: Point,
    /// How far, mm.
    pub distance: f64,
    /// The facet it lies on.
    pub facet: u32,
}

/// The surface, ready to be asked.
pub struct Bvh {
    /// What the processor can do at once.
    level: Level,
    center: Vector,
    /// Half the size of the part along each axis.
    half: Vector,
    diagonal: f64,
    nodes: Vec<Node>,
    /// The leaves, corners about the center.
    blocks: Vec<Block>,
    /// Facet indices along a space-filling curve.
    order: Vec<u32>,
}

impl Bvh {
    /// Sorts the facets of `mesh` along a space-filling curve and builds the tree.
    pub fn new(mesh: &TriMesh) -> Self {
        let bounds = mesh.bounds();
        let (center, half, diagonal) = if mesh.facets().is_empty() {
            (Vector::zeros(), Vector::zeros(), 0.0)
        } else {
            (bounds.center().coords, bounds.size() / 2.0, bounds.diagonal())
        };
        let keyed = curve::sort(mesh, &bounds);
        let pad = diagonal * PADDING;
        let boxes: Vec<Box32> = (0..mesh.facets().len())
            .into_par_iter()
            .map(|facet| padded_box(&corners_about(&center, mesh, facet), pad))
            .collect();
        let tree = Tree::build(&keyed, &boxes);
        let blocks = tree
            .leaves()
            .into_par_iter()
            .map(|leaf| {
                let corners =
                    |&facet: &u32| (facet, corners_about(&center, mesh, facet as usize));
                Block::new(leaf.iter().map(corners))
            })
            .collect();
        let order = keyed.iter().map(|&(_, facet)| facet).collect();
        let nodes = tree.nodes;
        Self { level: Level::new(), center, half, diagonal, nodes, blocks, order }
    }

    /// Length of the space diagonal of the part, mm.
    pub fn diagonal(&self) -> f64 {
        self.diagonal
    }

    /// Facet indices along a space-filling curve: neighbors in it are neighbors on the
    /// part.
    pub fn order(&self) -> &[u32] {
        &self.order
    }

    /// The first facet met from `start` along `direction`, farther than `beyond` mm; of
    /// several as far, the one with the lowest index.
    pub fn first_hit(
        &self,
        start: &Point,
        direction: Direction,
        beyond: f64,
    ) -> Option<Hit> {
        first_hit::find(self, start, direction, beyond)
    }

    /// Whether anything is met from `start` along `direction`.
    pub fn is_hit(&self, start: &Point, direction: Direction) -> bool {
        first_hit::is_any(self, start, direction)
    }

    /// The surface point nearest to `point` if it is closer than `within` mm; of several
    /// as near, that of the facet with the lowest index.
    pub fn nearest(&self, point: &Point, within: f64) -> Option<Nearest> {
        self.nearest_where(point, within, |_| true)
    }

    /// As [`Self::nearest`], of the points nearest on each facet those that `counts`
    /// holds for.
    pub fn nearest_where(
        &self,
        point: &Point,
        within: f64,
        counts: impl Fn(&Point) -> bool,
    ) -> Option<Nearest> {
        nearest_point::find(self, point, within, counts)
    }

    /// Pairs of facets whose boxes touch, each pair once.
    pub fn close_pairs(&self) -> impl ParallelIterator<Item = (u32, u32)> {
        close_pairs::find(self)
    }

    /// As far as a point may be from the box of the facet it lies on.
    fn slack(&self) -> f64 {
        self.diagonal * (PADDING / 4.0)
    }
}

fn corners_about(center: &Vector, mesh: &TriMesh, facet: usize) -> [Vector; 3] {
    let [a, b, c] = mesh.corners(facet);
    [a.coords - center, b.coords - center, c.coords - center]
}

/// The box around `corners`, grown on every side.
fn padded_box(corners: &[Vector; 3], pad: f64) -> Box32 {
    let [a, b, c] = corners;
    let (low, high) = (a.inf(b).inf(c), a.sup(b).sup(c));
    let (low, high) = (low.add_scalar(-pad), high.add_scalar(pad));
    Box32 { low: single(&low), high: single(&high) }
}

fn single(vector: &Vector) -> [f32; 3] {
    [vector.x as f32, vector.y as f32, vector.z as f32]
}
