//! Nodes with eight children, whose boxes are tested at once.
//!
//! Wide nodes over single-precision boxes after Wald, Benthin and Boulos, "Getting rid
//! of packets", 2008. Boxes only prune; their padding covers what rounding moves.

use fearless_simd::prelude::*;
use fearless_simd::{Simd, f32x8};

use crate::geom::Vector;

/// Children a node.
pub(super) const WIDTH: usize = 8;

/// A box in single precision, about the center of the part, mm.
#[derive(Clone, Copy, Debug)]
pub(super) struct Box32 {
    pub(super) low: [f32; 3],
    pub(super) high: [f32; 3],
}

impl Box32 {
    /// Holds nothing; joined with another gives that.
    pub(super) const EMPTY: Self =
        Self { low: [f32::INFINITY; 3], high: [f32::NEG_INFINITY; 3] };

    #[inline(always)]
    pub(super) fn joined(&self, other: &Self) -> Self {
        let mut joined = *self;
        for axis in 0..3 {
            joined.low[axis] = lesser(self.low[axis], other.low[axis]);
            joined.high[axis] = greater(self.high[axis], other.high[axis]);
        }
        joined
    }

    /// Half of the surface.
    #[inline(always)]
    pub(super) fn half_area(&self) -> f32 {
        let ([i, j, k], [x, y, z]) = (self.low, self.high);
        let [x, y, z] = [x - i, y - j, z - k];
        x * y + y * z + z * x
    }

    pub(super) fn touches(&self, other: &Self) -> bool {
        (0..3).all(|axis| {
            self.low[axis] <= other.high[axis] && other.low[axis] <= self.high[axis]
        })
    }
}

/// One machine instruction each, unlike `f32::min`, which looks for NaN.
#[inline(always)]
pub(super) fn lesser(a: f32, b: f32) -> f32 {
    if a < b { a } else { b }
}

#[inline(always)]
pub(super) fn greater(a: f32, b: f32) -> f32 {
    if a > b { a } else { b }
}

/// Which node or block a child is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Child(u32);

impl Child {
    pub(super) const NONE: Self = Self(u32::MAX);
    const LEAF: u32 = 1 << 31;

    pub(super) const fn node(index: u32) -> Self {
        Self(index)
    }

    pub(super) const fn leaf(index: u32) -> Self {
        Self(index | Self::LEAF)
    }

    pub(super) const fn is_leaf(self) -> bool {
        self.0 & Self::LEAF != 0
    }

    /// The same after so many nodes or blocks were put before it.
    pub(super) fn moved(self, nodes: u32, blocks: u32) -> Self {
        match self {
            Self::NONE => self,
            _ if self.is_leaf() => Self(self.0 + blocks),
            _ => Self(self.0 + nodes),
        }
    }

    /// Place of the node or the block.
    pub(super) const fn index(self) -> usize {
        (self.0 & !Self::LEAF) as usize
    }
}

/// Boxes of up to eight children, by side, axis and child.
#[derive(Clone)]
#[repr(C, align(32))]
pub(super) struct Node {
    /// Low sides along x, y, z, then high sides.
    sides: [[f32; WIDTH]; 6],
    pub(super) children: [Child; WIDTH],
}

impl Node {
    /// No children; boxes that nothing meets.
    pub(super) fn empty() -> Self {
        let (low, high) = ([f32::INFINITY; WIDTH], [f32::NEG_INFINITY; WIDTH]);
        Self { sides: [low, low, low, high, high, high], children: [Child::NONE; WIDTH] }
    }

    pub(super) fn set(&mut self, place: usize, child: Child, around: &Box32) {
        self.children[place] = child;
        for axis in 0..3 {
            self.sides[axis][place] = around.low[axis];
            self.sides[axis + 3][place] = around.high[axis];
        }
    }

    /// Distances at which the ray enters the boxes, and a bit for each it meets between
    /// `least` and `most`.
    #[inline(always)]
    pub(super) fn enter<S: Simd>(
        &self,
        ray: &CoarseLanes<S>,
        most: f32,
    ) -> (f32x8<S>, u32) {
        let most = f32x8::splat(ray.simd, most);
        let [x, y, z] = ray.near;
        let (x, y, z) = (self.at(ray, x, 0), self.at(ray, y, 1), self.at(ray, z, 2));
        let enter = x.max(y).max(z.max(ray.least));
        let [x, y, z] = ray.far;
        let (x, y, z) = (self.at(ray, x, 0), self.at(ray, y, 1), self.at(ray, z, 2));
        let leave = x.min(y).min(z.min(most));
        (enter, enter.simd_le(leave).to_bitmask() as u32)
    }

    /// Distances at which the ray meets the planes of one `side` of the boxes.
    #[inline(always)]
    fn at<S: Simd>(&self, ray: &CoarseLanes<S>, side: usize, axis: usize) -> f32x8<S> {
        let plane = f32x8::simd_from(ray.simd, self.sides[side]);
        (plane - ray.start[axis]) * ray.inverse[axis]
    }

    /// Squared distances of the boxes from a point, and a bit for each no farther than
    /// `most`.
    #[inline(always)]
    pub(super) fn distances<S: Simd>(
        &self,
        simd: S,
        from: &[f32x8<S>; 3],
        most: f32,
    ) -> (f32x8<S>, u32) {
        let (x, y, z) = (self.gap(from, 0), self.gap(from, 1), self.gap(from, 2));
        let squared = x * x + y * y + z * z;
        (squared, squared.simd_le(f32x8::splat(simd, most)).to_bitmask() as u32)
    }

    /// How far a point is beside the boxes along `axis`; zero between their sides.
    #[inline(always)]
    fn gap<S: Simd>(&self, from: &[f32x8<S>; 3], axis: usize) -> f32x8<S> {
        let from = from[axis];
        let simd = from.simd;
        let low = f32x8::simd_from(simd, self.sides[axis]);
        let high = f32x8::simd_from(simd, self.sides[axis + 3]);
        (low - from).max(from - high).max(f32x8::splat(simd, 0.0))
    }

    /// The children whose boxes touch `other`.
    pub(super) fn touching(&self, other: &Box32) -> impl Iterator<Item = Child> {
        (0..WIDTH)
            .filter(|&child| {
                (0..3).all(|axis| {
                    self.sides[axis][child] <= other.high[axis]
                        && other.low[axis] <= self.sides[axis + 3][child]
                })
            })
            .map(|child| self.children[child])
    }
}

/// A ray in single precision, the same in every lane.
pub(super) struct CoarseLanes<S: Simd> {
    simd: S,
    start: [f32x8<S>; 3],
    inverse: [f32x8<S>; 3],
    least: f32x8<S>,
    /// The sides it meets first and last.
    near: [usize; 3],
    far: [usize; 3],
}

impl<S: Simd> CoarseLanes<S> {
    /// The ray from `start` with the inverse of its direction; hits before `least` do
    /// not count.
    #[inline(always)]
    pub(super) fn new(simd: S, start: &Vector, inverse: &Vector, least: f32) -> Self {
        let side = |axis: usize| if inverse[axis] < 0.0 { axis + 3 } else { axis };
        let near = [side(0), side(1), side(2)];
        Self {
            simd,
            start: splat(simd, start),
            inverse: splat(simd, inverse),
            least: f32x8::splat(simd, least),
            near,
            far: [(near[0] + 3) % 6, (near[1] + 3) % 6, (near[2] + 3) % 6],
        }
    }
}

/// A vector in single precision, the same in every lane.
#[inline(always)]
pub(super) fn splat<S: Simd>(simd: S, vector: &Vector) -> [f32x8<S>; 3] {
    [
        f32x8::splat(simd, vector.x as f32),
        f32x8::splat(simd, vector.y as f32),
        f32x8::splat(simd, vector.z as f32),
    ]
}
