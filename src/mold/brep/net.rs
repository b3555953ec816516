//! A closed surface with the half edge that runs against each half edge: half edge `3 f + i` runs from
//! corner `i` of facet `f` to the next.

use crate::geom::{Point, Vector};

/// A closed surface.
pub(super) struct Net {
    /// Corners, mm.
    pub(super) points: Vec<Point>,
    /// Corners of each facet, counter-clockwise seen from outside.
    pub(super) facets: Vec<[u32; 3]>,
    twins: Vec<u32>,
}

/// The next half edge around the facet of `edge`.
pub(super) fn next(edge: u32) -> u32 {
    edge - edge % 3 + (edge + 1) % 3
}

impl Net {
    /// `None` where an edge has not as many facets on either side.
    pub(super) fn new(points: Vec<Point>, facets: Vec<[u32; 3]>) -> Option<Self> {
        let mut sides: Vec<([u32; 2], bool, u32)> = Vec::with_capacity(facets.len() * 3);
        for (facet, corners) in (0_u32..).zip(&facets) {
            for side in 0..3 {
                let [a, b] = [corners[side], corners[(side + 1) % 3]];
                let ends = if a < b { [a, b] } else { [b, a] };
                sides.push((ends, a < b, 3 * facet + side as u32));
            }
        }
        sides.sort_unstable();
        let mut twins = vec![0; sides.len()];
        for alike in sides.chunk_by(|a, b| a.0 == b.0) {
            let up = alike.partition_point(|side| !side.1);
            let (down, up) = alike.split_at(up);
            if down.len() != up.len() {
                return None;
            }
            for (one, other) in down.iter().zip(up) {
                twins[one.2 as usize] = other.2;
                twins[other.2 as usize] = one.2;
            }
        }
        Some(Self { points, facets, twins })
    }

    /// All half edges.
    pub(super) fn half_edges(&self) -> std::ops::Range<u32> {
        0..self.twins.len() as u32
    }

    /// The half edge against it.
    pub(super) fn twin(&self, edge: u32) -> u32 {
        self.twins[edge as usize]
    }

    /// The corner from which it runs.
    pub(super) fn from(&self, edge: u32) -> u32 {
        self.facets[(edge / 3) as usize][(edge % 3) as usize]
    }

    /// The corner to which it runs.
    pub(super) fn to(&self, edge: u32) -> u32 {
        self.from(next(edge))
    }

    /// The place of a corner.
    pub(super) fn at(&self, corner: u32) -> Point {
        self.points[corner as usize]
    }

    /// Corners of a facet.
    pub(super) fn corners(&self, facet: usize) -> [Point; 3] {
        self.facets[facet].map(|corner| self.at(corner))
    }

    /// Twice the area of a facet, along its normal.
    pub(super) fn across(&self, facet: usize) -> Vector {
        let [a, b, c] = self.corners(facet);
        (b - a).cross(&(c - a))
    }

    /// The loops around the facets for which `is_in` holds, each as its half edges in their order.
    pub(super) fn loops_around(
        &self,
        facets: &[u32],
        is_in: &dyn Fn(u32) -> bool,
    ) -> Vec<Vec<u32>> {
        let is_rim = |edge: u32| !is_in(self.twin(edge) / 3);
        let all = facets.iter().flat_map(|facet| 3 * facet..3 * facet + 3);
        let rim: Vec<u32> = all.filter(|edge| is_rim(*edge)).collect();
        let mut done = std::collections::HashSet::new();
        let mut loops = Vec::new();
        for &start in &rim {
            if done.contains(&start) {
                continue;
            }
            let mut around = Vec::new();
            let mut edge = start;
            while done.insert(edge) {
                around.push(edge);
                edge = next(edge);
                while !is_rim(edge) {
                    edge = next(self.twin(edge));
                }
            }
            loops.push(around);
        }
        loops
    }
}
