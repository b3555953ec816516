//! Four facets at a time, in double precision.
//!
//! Every lane does the operations of the scalar formula in their order, so an answer
//! does not depend on the width of the processor.

use fearless_simd::prelude::*;
use fearless_simd::{Simd, f64x4, mask64x4};

use crate::geom::Vector;

/// Facets a block.
pub(super) const LANES: usize = 4;

/// Barycentric slack of a hit, so that a ray through an edge meets at least one facet.
const EDGE_SLACK: f64 = 1e-9;

/// The nearest point inside a facet may leave it by this share of its edges; one farther
/// out is what rounding makes of a needle.
const INSIDE_SLACK: f64 = 1e-7;

/// Corners of up to four facets: by corner, axis and lane. A lane without a facet holds
/// no number, which compares as false and so is never an answer.
#[derive(Clone)]
pub(super) struct Block {
    corners: [[[f64; LANES]; 3]; 3],
    /// Index of each facet in the mesh.
    pub(super) facets: [u32; LANES],
}

impl Block {
    /// A block of at most four `facets` with these corners.
    pub(super) fn new(facets: impl Iterator<Item = (u32, [Vector; 3])>) -> Self {
        let mut block =
            Self { corners: [[[f64::NAN; LANES]; 3]; 3], facets: [u32::MAX; LANES] };
        for (lane, (facet, corners)) in facets.take(LANES).enumerate() {
            block.facets[lane] = facet;
            for (rows, corner) in block.corners.iter_mut().zip(corners) {
                for axis in 0..3 {
                    rows[axis][lane] = corner[axis];
                }
            }
        }
        block
    }

    /// How many facets it holds.
    pub(super) fn len(&self) -> usize {
        self.facets.iter().filter(|&&facet| facet != u32::MAX).count()
    }

    /// The corners of the facet in `lane`.
    pub(super) fn corners(&self, lane: usize) -> [Vector; 3] {
        let [a, b, c] = &self.corners;
        let corner = |rows: &[[f64; LANES]; 3]| {
            Vector::new(rows[0][lane], rows[1][lane], rows[2][lane])
        };
        [corner(a), corner(b), corner(c)]
    }

    /// Whether `at` lies in the box of the facet in `lane`, or no farther beside it than
    /// `slack`.
    #[inline(always)]
    pub(super) fn is_near(&self, lane: usize, at: &Vector, slack: f64) -> bool {
        let [a, b, c] = self.corners(lane);
        let (low, high) = (a.inf(&b).inf(&c), a.sup(&b).sup(&c));
        (0..3).all(|axis| at[axis] >= low[axis] - slack && at[axis] <= high[axis] + slack)
    }

    #[inline(always)]
    fn load<S: Simd>(&self, simd: S) -> [Lanes<S>; 3] {
        let [a, b, c] = &self.corners;
        [Lanes::load(simd, a), Lanes::load(simd, b), Lanes::load(simd, c)]
    }

    /// Distances at which a ray meets the planes of the facets (Möller & Trumbore 1997),
    /// and a bit for each facet that it meets. A ray in the plane of a facet divides by
    /// zero and meets nothing.
    #[inline(always)]
    pub(super) fn meet<S: Simd>(&self, ray: &RayLanes<S>) -> (f64x4<S>, mask64x4<S>) {
        let simd = ray.simd;
        let [a, b, c] = self.load(simd);
        let (ab, ac) = (b.minus(a), c.minus(a));
        let across = ray.along.cross(ac);
        let determinant = ab.dot(across);
        let to_start = ray.start.minus(a);
        let turned = to_start.cross(ab);
        let u = to_start.dot(across) / determinant;
        let v = ray.along.dot(turned) / determinant;
        let distance = ac.dot(turned) / determinant;
        let least = f64x4::splat(simd, -EDGE_SLACK);
        let most = f64x4::splat(simd, 1.0 + EDGE_SLACK);
        let is_met = u.simd_ge(least)
            & u.simd_le(most)
            & v.simd_ge(least)
            & (u + v).simd_le(most)
            & distance.simd_gt(f64x4::splat(simd, 0.0));
        (distance, is_met)
    }

    /// The points of the facets nearest to `point` and their squared distances (Ericson,
    /// *Real-Time Collision Detection*, 2005, §5.1.5), all regions at once.
    #[inline(always)]
    pub(super) fn nearest<S: Simd>(&self, simd: S, point: &Vector) -> NearestLanes<S> {
        let [a, b, c] = self.load(simd);
        let from = Lanes::splat(simd, point);
        let zero = f64x4::splat(simd, 0.0);
        let (ab, ac) = (b.minus(a), c.minus(a));
        let (ap, bp, cp) = (from.minus(a), from.minus(b), from.minus(c));
        let [d1, d2] = [ab.dot(ap), ac.dot(ap)];
        let [d3, d4] = [ab.dot(bp), ac.dot(bp)];
        let [d5, d6] = [ab.dot(cp), ac.dot(cp)];
        let vc = d1 * d4 - d3 * d2;
        let vb = d5 * d2 - d1 * d6;
        let va = d3 * d6 - d5 * d4;
        let [past_b, past_c] = [d4 - d3, d5 - d6];
        let scale = f64x4::splat(simd, 1.0) / (va + vb + vc);
        let [v, w] = [vb * scale, vc * scale];
        let inside = a.plus(ab.times(v)).plus(ac.times(w));
        let on_bc = va.simd_le(zero) & past_b.simd_ge(zero) & past_c.simd_ge(zero);
        let on_ac = vb.simd_le(zero) & d2.simd_ge(zero) & d6.simd_le(zero);
        let on_ab = vc.simd_le(zero) & d1.simd_ge(zero) & d3.simd_le(zero);
        let at_a = d1.simd_le(zero) & d2.simd_le(zero);
        let at_b = d3.simd_ge(zero) & d4.simd_le(d3);
        let at_c = d6.simd_ge(zero) & d5.simd_le(d6);
        // The last choice stands: the order of the regions in the source, reversed.
        let on = inside
            .or(on_bc, b.plus(c.minus(b).times(past_b / (past_b + past_c))))
            .or(on_ac, a.plus(ac.times(d2 / (d2 - d6))))
            .or(at_c, c)
            .or(on_ab, a.plus(ab.times(d1 / (d1 - d3))))
            .or(at_b, b)
            .or(at_a, a);
        let slack = f64x4::splat(simd, -INSIDE_SLACK);
        let most = f64x4::splat(simd, 1.0 + INSIDE_SLACK);
        let is_sound = on_bc
            | on_ac
            | on_ab
            | at_a
            | at_b
            | at_c
            | (v.simd_ge(slack) & w.simd_ge(slack) & (v + w).simd_le(most));
        let away = on.minus(from);
        NearestLanes { on, squared: away.dot(away), is_sound }
    }
}

/// Nearest points of the facets of a block.
pub(super) struct NearestLanes<S: Simd> {
    /// The points.
    pub(super) on: Lanes<S>,
    /// Their squared distances, mm².
    pub(super) squared: f64x4<S>,
    /// Unset where rounding put the point outside of the facet, and in lanes without one.
    pub(super) is_sound: mask64x4<S>,
}

/// A ray, the same in every lane.
pub(super) struct RayLanes<S: Simd> {
    simd: S,
    start: Lanes<S>,
    along: Lanes<S>,
}

impl<S: Simd> RayLanes<S> {
    #[inline(always)]
    pub(super) fn new(simd: S, start: &Vector, along: &Vector) -> Self {
        Self { simd, start: Lanes::splat(simd, start), along: Lanes::splat(simd, along) }
    }
}

/// Four vectors by axis.
#[derive(Clone, Copy)]
pub(super) struct Lanes<S: Simd>([f64x4<S>; 3]);

impl<S: Simd> Lanes<S> {
    #[inline(always)]
    fn splat(simd: S, vector: &Vector) -> Self {
        Self([
            f64x4::splat(simd, vector.x),
            f64x4::splat(simd, vector.y),
            f64x4::splat(simd, vector.z),
        ])
    }

    #[inline(always)]
    fn load(simd: S, [x, y, z]: &[[f64; LANES]; 3]) -> Self {
        Self([
            f64x4::simd_from(simd, *x),
            f64x4::simd_from(simd, *y),
            f64x4::simd_from(simd, *z),
        ])
    }

    /// The vector of one lane.
    #[inline(always)]
    pub(super) fn lane(&self, lane: usize) -> Vector {
        let [x, y, z] = self.0;
        Vector::new(x[lane], y[lane], z[lane])
    }

    #[inline(always)]
    fn minus(self, other: Self) -> Self {
        let ([x, y, z], [i, j, k]) = (self.0, other.0);
        Self([x - i, y - j, z - k])
    }

    #[inline(always)]
    fn plus(self, other: Self) -> Self {
        let ([x, y, z], [i, j, k]) = (self.0, other.0);
        Self([x + i, y + j, z + k])
    }

    #[inline(always)]
    fn times(self, factor: f64x4<S>) -> Self {
        let [x, y, z] = self.0;
        Self([x * factor, y * factor, z * factor])
    }

    #[inline(always)]
    fn dot(self, other: Self) -> f64x4<S> {
        let ([x, y, z], [i, j, k]) = (self.0, other.0);
        x * i + y * j + z * k
    }

    #[inline(always)]
    fn cross(self, other: Self) -> Self {
        let ([x, y, z], [i, j, k]) = (self.0, other.0);
        Self([y * k - z * j, z * i - x * k, x * j - y * i])
    }

    /// `other` in the lanes that are set in `is_other`.
    #[inline(always)]
    fn or(self, is_other: mask64x4<S>, other: Self) -> Self {
        let ([x, y, z], [i, j, k]) = (self.0, other.0);
        Self([is_other.select(i, x), is_other.select(j, y), is_other.select(k, z)])
    }
}

/// The point nearest to `point` on the edges of a facet.
pub(super) fn closest_on_edges(point: &Vector, [a, b, c]: &[Vector; 3]) -> Vector {
    let on = |from: &Vector, to: &Vector| {
        let along = to - from;
        let share = along.dot(&(point - from)) / along.norm_squared();
        from + along * share.clamp(0.0, 1.0)
    };
    let away = |at: &Vector| (at - point).norm_squared();
    let [ab, bc, ca] = [on(a, b), on(b, c), on(c, a)];
    let nearer = |p: Vector, q: Vector| if away(&q) < away(&p) { q } else { p };
    nearer(nearer(ab, bc), ca)
}
