//! The mesh that the measures trust.

use std::sync::Arc;

use crate::geom::{Aabb, Point, Vector};

/// Triangles over shared corners, in millimeters.
///
/// Invariants: every index is in range, every coordinate is finite, and every facet has
/// an area, so that every facet has a unit normal. Corners run counter-clockwise seen
/// from outside the plastic wherever [`crate::mesh`] could tell the outside.
///
/// A copy shares all of it with what it was copied from.
#[derive(Clone, Debug)]
pub struct TriMesh(Arc<Data>);

#[derive(Debug)]
struct Data {
    points: Vec<Point>,
    facets: Vec<[u32; 3]>,
    normals: Vec<Vector>,
    areas: Vec<f64>,
    bounds: Aabb,
}

impl TriMesh {
    /// A mesh of `facets` over `points`. Facets without area, with an index out of range
    /// or with a corner that is not finite are left out; [`crate::mesh`] reports them
    /// before it comes here.
    pub fn new(points: Vec<Point>, facets: Vec<[u32; 3]>) -> Self {
        let mut kept = Vec::with_capacity(facets.len());
        let mut normals = Vec::with_capacity(facets.len());
        let mut areas = Vec::with_capacity(facets.len());
        for facet in facets {
            let corners = facet.map(|corner| points.get(corner as usize));
            let [Some(a), Some(b), Some(c)] = corners else { continue };
            if let Some((normal, area)) = normal_and_area(a, b, c) {
                kept.push(facet);
                normals.push(normal);
                areas.push(area);
            }
        }
        let used = kept.iter().flatten().map(|&corner| &points[corner as usize]);
        let bounds = Aabb::around(used);
        Self(Arc::new(Data { points, facets: kept, normals, areas, bounds }))
    }

    /// Corners, shared between facets.
    pub fn points(&self) -> &[Point] {
        &self.0.points
    }

    /// Corner indices of each facet.
    pub fn facets(&self) -> &[[u32; 3]] {
        &self.0.facets
    }

    /// Outward unit normal of each facet.
    pub fn normals(&self) -> &[Vector] {
        &self.0.normals
    }

    /// Area of each facet in mm².
    pub fn areas(&self) -> &[f64] {
        &self.0.areas
    }

    /// The box around all facets.
    pub fn bounds(&self) -> Aabb {
        self.0.bounds
    }

    /// The three corners of `facet`.
    pub fn corners(&self, facet: usize) -> [Point; 3] {
        self.0.facets[facet].map(|corner| self.0.points[corner as usize])
    }

    /// The middle of `facet`.
    pub fn middle(&self, facet: usize) -> Point {
        let [a, b, c] = self.corners(facet);
        Point::from((a.coords + b.coords + c.coords) / 3.0)
    }

    /// How far rounding to single precision can move a corner, mm: STL files hold no more.
    pub fn rounding(&self) -> f64 {
        let farthest =
            self.0.bounds.min.coords.amax().max(self.0.bounds.max.coords.amax());
        if farthest.is_finite() { farthest * f64::from(f32::EPSILON) } else { 0.0 }
    }

    /// The least of the three heights of `facet`, mm.
    pub fn least_height(&self, facet: usize) -> f64 {
        let [a, b, c] = self.corners(facet);
        let longest = (b - a).norm().max((c - b).norm()).max((a - c).norm());
        2.0 * self.0.areas[facet] / longest
    }

    /// The same facets with every corner moved by `change`.
    #[must_use]
    pub fn map_points(&self, change: impl Fn(&Point) -> Point) -> Self {
        Self::new(self.0.points.iter().map(change).collect(), self.0.facets.clone())
    }
}

/// Unit normal and area of a triangle; `None` when it has no area.
pub(crate) fn normal_and_area(a: &Point, b: &Point, c: &Point) -> Option<(Vector, f64)> {
    let cross = (b - a).cross(&(c - a));
    let twice = cross.norm();
    (twice.is_finite() && twice > 0.0).then(|| (cross / twice, twice / 2.0))
}
