//! Points spread evenly over the surface, whatever the tessellation.
//!
//! Every sample stands for the same area, so a statistic over samples is an
//! area-weighted statistic of the shape: cutting a facet into sixteen, turning the part
//! or shuffling the facets moves the points but not the answer (beyond the spacing).

use crate::geom::{Point, Vector};

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
    /// How many.
    pub fn len(&self) -> usize {
        self.points.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.points.is_empty()
    }

    /// Mean distance between neighbours, mm.
    pub fn spacing(&self) -> f64 {
        self.area_each.sqrt()
    }
}
