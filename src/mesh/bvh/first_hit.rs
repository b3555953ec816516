//! What a ray meets.

use fearless_simd::prelude::*;
use fearless_simd::{Simd, dispatch};

use super::facets::{Block, RayLanes};
use super::nodes::{Child, CoarseLanes};
use super::waiting::Waiting;
use super::{Bvh, Hit, PADDING};
use crate::geom::{Direction, Point, Vector};

/// The first hit of a ray farther than `beyond` mm.
pub(super) fn find(
    bvh: &Bvh,
    start: &Point,
    direction: Direction,
    beyond: f64,
) -> Option<Hit> {
    let ray = Ray::new(bvh, start, direction, beyond)?;
    dispatch!(bvh.level, simd => search::<_, false>(simd, bvh, &ray))
}

/// Whether a ray hits anything.
pub(super) fn is_any(bvh: &Bvh, start: &Point, direction: Direction) -> bool {
    Ray::new(bvh, start, direction, 0.0).is_some_and(|ray| {
        dispatch!(bvh.level, simd => search::<_, true>(simd, bvh, &ray)).is_some()
    })
}

/// A ray about the center of the part.
struct Ray {
    start: Vector,
    along: Vector,
    inverse: Vector,
    /// Hits up to here do not count, mm.
    beyond: f64,
    /// Where it comes to the part: boxes are met from there, so that a start far away
    /// loses nothing when it is rounded.
    arrival: f64,
}

impl Ray {
    /// `None` when the ray passes the box around the part.
    fn new(bvh: &Bvh, start: &Point, direction: Direction, beyond: f64) -> Option<Self> {
        let start = start.coords - bvh.center;
        let along = direction.vector();
        // A component of zero would make 0 · ∞ where the start lies in the plane of a
        // box side, and the box would be missed; a tiny one cannot.
        let tilt = along.map(|c| if c.abs() < 1e-12 { 1e-12 } else { c });
        let inverse = tilt.map(|c| 1.0 / c);
        let half = bvh.half.add_scalar(bvh.diagonal * PADDING);
        let low = (-half - start).component_mul(&inverse);
        let high = (half - start).component_mul(&inverse);
        let arrival = low.inf(&high).max().max(0.0);
        let leave = low.sup(&high).min();
        (leave >= arrival).then_some(Self { start, along, inverse, beyond, arrival })
    }

    /// A distance along the ray as boxes are compared with it, not less.
    #[inline(always)]
    fn coarse(&self, distance: f64) -> f32 {
        ((distance - self.arrival) as f32).next_up()
    }
}

/// The first hit, or any when `ANY`: nearer boxes first.
#[inline(always)]
fn search<S: Simd, const ANY: bool>(simd: S, bvh: &Bvh, ray: &Ray) -> Option<Hit> {
    let at_part = ray.start + ray.along * ray.arrival;
    let least = (ray.beyond - ray.arrival) as f32;
    let least = if least > 0.0 { least.next_down() } else { 0.0 };
    let coarse = CoarseLanes::new(simd, &at_part, &ray.inverse, least);
    let lanes = RayLanes::new(simd, &ray.start, &ray.along);
    let mut best: Option<Hit> = None;
    let mut most = f32::MAX;
    let mut waiting = Waiting::new();
    let mut next = Some(Child::node(0));
    while let Some(child) = next {
        if child.is_leaf() {
            let block = &bvh.blocks[child.index()];
            if let Some(hit) = meet(block, &lanes, ray, best, bvh.slack()) {
                best = Some(hit);
                if ANY {
                    return best;
                }
                most = ray.coarse(hit.distance);
            }
            next = waiting.pop(most);
        } else {
            let node = &bvh.nodes[child.index()];
            let (enter, met) = node.enter(&coarse, most);
            let nearest = waiting.push(&node.children, enter.into(), met);
            next = nearest.or_else(|| waiting.pop(most));
        }
    }
    best
}

/// The first hit of the facets in `block` if it is before `best`.
#[inline(always)]
fn meet<S: Simd>(
    block: &Block,
    lanes: &RayLanes<S>,
    ray: &Ray,
    best: Option<Hit>,
    slack: f64,
) -> Option<Hit> {
    let (distances, is_met) = block.meet(lanes);
    let limit = best.map_or(f64::INFINITY, |hit| hit.distance);
    let mut met = (is_met & distances.simd_le(limit)).to_bitmask() as u32;
    if met == 0 {
        return None;
    }
    let mut first = best;
    while met != 0 {
        let lane = met.trailing_zeros() as usize;
        met &= met - 1;
        let hit = Hit { distance: distances[lane], facet: block.facets[lane] };
        let is_first = first.is_none_or(|first| {
            (hit.distance, hit.facet) < (first.distance, first.facet)
        });
        let at = ray.start + ray.along * hit.distance;
        if hit.distance > ray.beyond && is_first && block.is_near(lane, &at, slack) {
            first = Some(hit);
        }
    }
    first
}
