//! Points spread evenly over the surface, whatever the tessellation.
//!
//! Every sample stands for the same area, so a statistic over samples is an
//! area-weighted statistic of the shape: cutting a facet into sixteen, turning the part
//! or shuffling the facets moves the points but not the answer (beyond the spacing).
//! The facets are walked along a space-filling curve and a point is set after each equal
//! step of area, so the points are nearly as even as on a grid; features smaller than
//! the spacing may hold no point at all.

use crate::geom::{Point, Vector};
use crate::mesh::{TriMesh, bvh::Bvh};

/// Points on the surface, each standing for the same area.
#[derive(Clone, Debug, Default)]
pub struct Samples {
    /// Places, mm.
    pub points: Vec<Point>,
    /// Outward unit normal of the facet under each.
    pub normals: Vec<Vector>,
    /// The facet under each.
    pub facets: Vec<u32>,
    /// The area that each stands for, mm².
    pub area_each: f64,
}

impl Samples {
    /// `count` points spread over `mesh`.
    pub fn spread(mesh: &TriMesh, bvh: &Bvh, count: usize) -> Self {
        let total: f64 = mesh.areas().iter().sum();
        if mesh.facets().is_empty() || count == 0 || total <= 0.0 {
            return Self::default();
        }
        let area_each = total / count as f64;
        let mut samples = Self { area_each, ..Self::default() };
        let mut walked = 0.0;
        for &facet in bvh.order() {
            walked += mesh.areas()[facet as usize];
            while (samples.len() as f64 + 0.5) * area_each <= walked
                && samples.len() < count
            {
                let point = within(&mesh.corners(facet as usize), samples.len());
                samples.points.push(point);
                samples.normals.push(mesh.normals()[facet as usize]);
                samples.facets.push(facet);
            }
        }
        samples
    }

    /// Every n-th of the samples, so that about `count` are left.
    #[must_use]
    pub fn thinned(&self, count: usize) -> Self {
        let step = self.stride(count);
        Self {
            points: self.points.iter().step_by(step).copied().collect(),
            normals: self.normals.iter().step_by(step).copied().collect(),
            facets: self.facets.iter().step_by(step).copied().collect(),
            area_each: self.area_each * step as f64,
        }
    }

    /// Every so many samples are left when thinned to about `count`.
    pub fn stride(&self, count: usize) -> usize {
        (self.len() / count.max(1)).max(1)
    }

    /// How many.
    pub fn len(&self) -> usize {
        self.points.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.points.is_empty()
    }

    /// Those of the samples at `indices`, each still standing for the same area.
    #[must_use]
    pub fn only(&self, indices: impl Iterator<Item = usize>) -> Self {
        let mut few = Self { area_each: self.area_each, ..Self::default() };
        for sample in indices {
            few.points.push(self.points[sample]);
            few.normals.push(self.normals[sample]);
            few.facets.push(self.facets[sample]);
        }
        few
    }

    /// Mean distance between neighbors, mm.
    pub fn spacing(&self) -> f64 {
        self.area_each.sqrt()
    }
}

/// The point of a triangle for sample `index`: successive indices fill the triangle
/// evenly (the R2 sequence of the plastic number, Roberts 2018, folded at the diagonal).
fn within([a, b, c]: &[Point; 3], index: usize) -> Point {
    const STEP: [f64; 2] = [0.754_877_666_246_692_8, 0.569_840_290_998_053_3];
    let [mut u, mut v] = STEP.map(|step| (0.5 + index as f64 * step).fract());
    if u + v > 1.0 {
        (u, v) = (1.0 - u, 1.0 - v);
    }
    a + (b - a) * u + (c - a) * v
}
