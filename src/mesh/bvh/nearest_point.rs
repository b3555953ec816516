//! Which point of the surface is nearest.

use fearless_simd::prelude::*;
use fearless_simd::{Simd, dispatch};

use super::facets::{Block, LANES, closest_on_edges};
use super::nodes::{Child, splat};
use super::waiting::Waiting;
use super::{Bvh, Nearest};
use crate::geom::{Point, Vector};

/// A search looks at this many leaves, the most promising first. Only a ball that
/// already touches thousands of facets at once (the center of a round part) gets there,
/// and then the best so far is as good as any. Points anywhere in a bracket of 512 thousand
/// facets get the same answers as without a bound; with 400, some in a hundred thousand
/// are farther.
const MOST_LEAVES: u32 = 1600;

/// What rounding to single precision can take from a squared distance, as a share.
const ROUNDING: f64 = 2e-6;

/// The point of the surface closest to `point` of those closer than `within` that
/// `counts` holds for.
pub(super) fn find(
    bvh: &Bvh,
    point: &Point,
    within: f64,
    counts: impl Fn(&Point) -> bool,
) -> Option<Nearest> {
    let from = point.coords - bvh.center;
    let counts = |on: &Vector| counts(&Point::from(on + bvh.center));
    let best = dispatch!(bvh.level, simd => search(simd, bvh, &from, within, &counts));
    best.facet.map(|facet| Nearest {
        point: Point::from(best.on + bvh.center),
        distance: best.squared.sqrt(),
        facet,
    })
}

/// The nearest so far.
#[derive(Clone, Copy)]
struct Best {
    squared: f64,
    on: Vector,
    facet: Option<u32>,
}

impl Best {
    /// The squared distance as boxes are compared with it, not less.
    #[inline(always)]
    fn coarse(&self) -> f32 {
        let most = ((self.squared * (1.0 + ROUNDING)) as f32).next_up();
        if most < f32::MAX { most } else { f32::MAX }
    }

    /// Whether a point of `facet` comes before it.
    #[inline(always)]
    fn is_after(&self, squared: f64, facet: u32) -> bool {
        let ties = |best| facet < best;
        squared < self.squared
            || (squared <= self.squared && self.facet.is_some_and(ties))
    }
}

#[inline(always)]
fn search<S: Simd>(
    simd: S,
    bvh: &Bvh,
    from: &Vector,
    within: f64,
    counts: &impl Fn(&Vector) -> bool,
) -> Best {
    let coarse = splat(simd, from);
    let mut best = Best { squared: within * within, on: Vector::zeros(), facet: None };
    let mut most = best.coarse();
    let mut waiting = Waiting::new();
    let mut next = Some(Child::node(0));
    let mut seen = 0;
    while let Some(child) = next {
        if child.is_leaf() {
            best = nearer(simd, &bvh.blocks[child.index()], from, best, counts);
            most = best.coarse();
            seen += 1;
            next = if seen < MOST_LEAVES { waiting.pop(most) } else { None };
        } else {
            let node = &bvh.nodes[child.index()];
            let (away, near) = node.distances(simd, &coarse, most);
            let nearest = waiting.push(&node.children, away.into(), near);
            next = nearest.or_else(|| waiting.pop(most));
        }
    }
    best
}

/// The nearest of `best` and the facets in `block`.
#[inline(always)]
fn nearer<S: Simd>(
    simd: S,
    block: &Block,
    from: &Vector,
    mut best: Best,
    counts: &impl Fn(&Vector) -> bool,
) -> Best {
    let found = block.nearest(simd, from);
    let is_near = found.squared.simd_le(best.squared);
    let mut near = (is_near | !found.is_sound).to_bitmask() as u32;
    while near != 0 {
        let lane = near.trailing_zeros() as usize;
        near &= near - 1;
        if lane >= LANES || block.facets[lane] == u32::MAX {
            continue;
        }
        let is_sound = found.is_sound.to_bitmask() as u32 >> lane & 1 == 1;
        let (on, squared) = if is_sound {
            (found.on.lane(lane), found.squared[lane])
        } else {
            let on = closest_on_edges(from, &block.corners(lane));
            (on, (on - from).norm_squared())
        };
        if best.is_after(squared, block.facets[lane]) && counts(&on) {
            best = Best { squared, on, facet: Some(block.facets[lane]) };
        }
    }
    best
}
