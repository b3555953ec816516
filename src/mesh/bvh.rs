//! First hit, any hit, nearest point: how the measures ask the surface.
//!
//! The tree is `parry3d`'s, over leaves of a few facets that lie close together. Its
//! boxes are single precision, padded outwards, and only prune; every answer comes from
//! double-precision corners, so it is as exact as the mesh. The part is centered first,
//! so a part far from the origin answers the same. A ray that meets an edge or a corner
//! counts as a hit; none slips through.

use parry3d::bounding_volume::{Aabb as Box32, BoundingVolume};
use parry3d::math::Vector as Vector32;
use parry3d::partitioning::{Bvh as Tree, BvhBuildStrategy, BvhNode};
use rayon::prelude::*;
use std::cell::Cell;

use crate::geom::{Aabb, Direction, Point, Vector};
use crate::mesh::TriMesh;

/// Facets a leaf. Measured on a part of 1.8 M facets: with 1 the tree takes three times
/// as long to build and answers slower; with 8 the nearest point slows down.
const LEAF: usize = 4;

/// Boxes grow by this share of the diagonal, which is several times what rounding to
/// single precision can move a corner or the start of a ray.
const PADDING: f64 = 1e-6;

/// Barycentric slack of a hit, so that a ray through an edge meets at least one facet.
const EDGE_SLACK: f64 = 1e-9;

/// A nearest-point search looks at this many leaves, the most promising first. Only a
/// ball that already touches thousands of facets at once (the center of a round part)
/// gets there, and then the best so far is as good as any.
const NEAREST_LEAVES: u32 = 400;

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
    tree: Tree,
    center: Vector,
    diagonal: f64,
    /// Corners about the center, in leaf order.
    corners: Vec<[Vector; 3]>,
    /// Facet indices in leaf order.
    order: Vec<u32>,
}

impl Bvh {
    /// Sorts the facets of `mesh` along a space-filling curve and builds the tree.
    pub fn new(mesh: &TriMesh) -> Self {
        let bounds = mesh.bounds();
        let center = if mesh.facets().is_empty() {
            Vector::zeros()
        } else {
            bounds.center().coords
        };
        let diagonal = if mesh.facets().is_empty() { 0.0 } else { bounds.diagonal() };
        let order = curve_order(mesh, &bounds);
        let corners: Vec<[Vector; 3]> = order
            .par_iter()
            .map(|&facet| {
                mesh.corners(facet as usize).map(|corner| corner.coords - center)
            })
            .collect();
        let pad = Vector::repeat(diagonal * PADDING);
        let boxes: Vec<Box32> = corners
            .par_chunks(LEAF)
            .map(|leaf| {
                let around = Aabb::around(
                    leaf.iter()
                        .flatten()
                        .map(|c| Point::from(*c))
                        .collect::<Vec<_>>()
                        .iter(),
                );
                Box32::new(
                    single(&(around.min.coords - pad)),
                    single(&(around.max.coords + pad)),
                )
            })
            .collect();
        let tree = Tree::from_leaves(BvhBuildStrategy::Binned, &boxes);
        Self { tree, center, diagonal, corners, order }
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

    /// The first facet met from `start` along `direction`, farther than `beyond` mm.
    pub fn first_hit(
        &self,
        start: &Point,
        direction: Direction,
        beyond: f64,
    ) -> Option<Hit> {
        let ray = self.ray(start, direction);
        let best = Cell::new((f64::INFINITY, usize::MAX));
        self.tree.find_best(
            f32::MAX,
            |node, _| ray.enters(node),
            |leaf, _| {
                for index in self.leaf(leaf) {
                    if let Some(distance) = ray.meets(&self.corners[index])
                        && distance > beyond
                        && distance < best.get().0
                    {
                        best.set((distance, index));
                    }
                }
                Some(Cost((best.get().0 as f32).next_up()))
            },
        );
        let (distance, index) = best.get();
        (index != usize::MAX).then(|| Hit { distance, facet: self.order[index] })
    }

    /// Whether anything is met from `start` along `direction`.
    pub fn is_hit(&self, start: &Point, direction: Direction) -> bool {
        let ray = self.ray(start, direction);
        self.tree
            .find_best(
                f32::MAX,
                |node, _| ray.enters(node),
                |leaf, _| {
                    let mut met = self
                        .leaf(leaf)
                        .filter_map(|index| ray.meets(&self.corners[index]));
                    // The least cost there is ends the search.
                    met.next().map(|_| Cost(f32::MIN))
                },
            )
            .is_some()
    }

    /// The surface point nearest to `point` if it is closer than `within` mm.
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
        let center = point.coords - self.center;
        let from = single(&center);
        let seen = Cell::new(0);
        let best = Cell::new((within * within, usize::MAX, Vector::zeros()));
        let limit = (within * within) as f32;
        self.tree.find_best(
            limit.next_up(),
            |node, _| distance_squared(node, from),
            |leaf, _| {
                seen.set(seen.get() + 1);
                for index in self.leaf(leaf) {
                    let on = closest_on_facet(&center, &self.corners[index]);
                    let squared = (on - center).norm_squared();
                    let is_nearer = squared < best.get().0;
                    if is_nearer && counts(&Point::from(on + self.center)) {
                        best.set((squared, index, on));
                    }
                }
                let (squared, _, _) = best.get();
                let enough = seen.get() >= NEAREST_LEAVES;
                Some(Cost(if enough { f32::MIN } else { (squared as f32).next_up() }))
            },
        );
        let (squared, index, on) = best.get();
        (index != usize::MAX).then(|| Nearest {
            point: Point::from(on + self.center),
            distance: squared.sqrt(),
            facet: self.order[index],
        })
    }

    /// Pairs of facets whose boxes touch, each pair once.
    pub fn close_pairs(&self) -> impl ParallelIterator<Item = (u32, u32)> {
        let leaves = self.order.len().div_ceil(LEAF) as u32;
        (0..leaves).into_par_iter().flat_map_iter(move |leaf| {
            let own: Vec<(usize, Box32)> =
                self.leaf(leaf).map(|i| (i, self.facet_box(i))).collect();
            let around = own.iter().map(|(_, own)| *own).reduce(|a, b| a.merged(&b));
            let around = around.map(|around| BvhNode::leaf(around, 0));
            let beside = around.into_iter().flat_map(|around| {
                self.tree.leaves(move |node| node.intersects(&around))
            });
            let pairs = beside
                .filter(move |&other| other >= leaf)
                .flat_map(move |other| self.touching(own.clone(), other));
            pairs.map(|(i, j)| (self.order[i], self.order[j]))
        })
    }

    /// Pairs of a facet of `own` and a later one of `leaf` whose boxes touch.
    fn touching(
        &self,
        own: Vec<(usize, Box32)>,
        leaf: u32,
    ) -> impl Iterator<Item = (usize, usize)> {
        self.leaf(leaf).flat_map(move |j| {
            let box_of_j = self.facet_box(j);
            let near = own.clone().into_iter();
            near.filter(move |(i, box_of_i)| *i < j && box_of_i.intersects(&box_of_j))
                .map(move |(i, _)| (i, j))
        })
    }

    fn facet_box(&self, index: usize) -> Box32 {
        let [a, b, c] = self.corners[index].map(|corner| single(&corner));
        Box32::new(a.min(b).min(c), a.max(b).max(c))
    }

    /// Places in leaf order of the facets of `leaf`.
    fn leaf(&self, leaf: u32) -> std::ops::Range<usize> {
        let start = leaf as usize * LEAF;
        start..(start + LEAF).min(self.order.len())
    }

    fn ray(&self, start: &Point, direction: Direction) -> Ray {
        let start = start.coords - self.center;
        let along = direction.vector();
        // A component of zero would make 0 · ∞ where the start lies in the plane of a
        // box side, and the box would be missed; a tiny one cannot.
        let tilt = along.map(|c| if c.abs() < 1e-12 { 1e-12 } else { c });
        let inverse = single(&tilt.map(|c| 1.0 / c));
        Ray { start, along, coarse: single(&start), inverse }
    }
}

/// What a leaf costs; the search passes over boxes that cost as much or more.
struct Cost(f32);

impl parry3d::partitioning::BvhLeafCost for Cost {
    fn cost(&self) -> f32 {
        self.0
    }
}

struct Ray {
    start: Vector,
    along: Vector,
    coarse: Vector32,
    inverse: Vector32,
}

impl Ray {
    /// Distance at which the ray enters the box of `node`; the greatest number when it
    /// misses.
    fn enters(&self, node: &BvhNode) -> f32 {
        let low = (node.mins() - self.coarse) * self.inverse;
        let high = (node.maxs() - self.coarse) * self.inverse;
        let enter = low.min(high).max_element();
        let leave = low.max(high).min_element();
        if leave >= enter && leave >= 0.0 { enter } else { f32::MAX }
    }

    /// Distance to the plane of a facet where the ray meets it (Möller & Trumbore 1997);
    /// a ray in the plane of the facet meets nothing.
    fn meets(&self, [a, b, c]: &[Vector; 3]) -> Option<f64> {
        let [ab, ac] = [b - a, c - a];
        let across = self.along.cross(&ac);
        let determinant = ab.dot(&across);
        if determinant == 0.0 {
            return None;
        }
        let to_start = self.start - a;
        let u = to_start.dot(&across) / determinant;
        if !(-EDGE_SLACK..=1.0 + EDGE_SLACK).contains(&u) {
            return None;
        }
        let turned = to_start.cross(&ab);
        let v = self.along.dot(&turned) / determinant;
        if v < -EDGE_SLACK || u + v > 1.0 + EDGE_SLACK {
            return None;
        }
        let distance = ac.dot(&turned) / determinant;
        (distance > 0.0).then_some(distance)
    }
}

/// Facets sorted by the Z-order of their middles (Morton 1966).
fn curve_order(mesh: &TriMesh, bounds: &Aabb) -> Vec<u32> {
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
    keyed.into_iter().map(|(_, facet)| facet).collect()
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

fn single(vector: &Vector) -> Vector32 {
    Vector32::new(vector.x as f32, vector.y as f32, vector.z as f32)
}

fn distance_squared(node: &BvhNode, from: Vector32) -> f32 {
    let outside = (node.mins() - from).max(from - node.maxs()).max(Vector32::ZERO);
    outside.length_squared()
}

/// The point of a facet nearest to `point` (Ericson, *Real-Time Collision Detection*,
/// 2005, §5.1.5).
fn closest_on_facet(point: &Vector, [a, b, c]: &[Vector; 3]) -> Vector {
    let [ab, ac, ap] = [b - a, c - a, point - a];
    let [d1, d2] = [ab.dot(&ap), ac.dot(&ap)];
    if d1 <= 0.0 && d2 <= 0.0 {
        return *a;
    }
    let bp = point - b;
    let [d3, d4] = [ab.dot(&bp), ac.dot(&bp)];
    if d3 >= 0.0 && d4 <= d3 {
        return *b;
    }
    let vc = d1 * d4 - d3 * d2;
    if vc <= 0.0 && d1 >= 0.0 && d3 <= 0.0 {
        return a + ab * (d1 / (d1 - d3));
    }
    let cp = point - c;
    let [d5, d6] = [ab.dot(&cp), ac.dot(&cp)];
    if d6 >= 0.0 && d5 <= d6 {
        return *c;
    }
    let vb = d5 * d2 - d1 * d6;
    if vb <= 0.0 && d2 >= 0.0 && d6 <= 0.0 {
        return a + ac * (d2 / (d2 - d6));
    }
    let va = d3 * d6 - d5 * d4;
    if va <= 0.0 && d4 - d3 >= 0.0 && d5 - d6 >= 0.0 {
        return b + (c - b) * ((d4 - d3) / ((d4 - d3) + (d5 - d6)));
    }
    let scale = 1.0 / (va + vb + vc);
    a + ab * (vb * scale) + ac * (vc * scale)
}
