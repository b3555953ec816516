//! Triangle soup → shared vertices.
//!
//! An STL repeats every corner in every facet that touches it. Corners with equal
//! coordinates become one vertex here; [`near`] finds those that differ by rounding. The
//! order of vertices is the order in which the file first names them.

use std::collections::HashMap;

use crate::geom::{Aabb, Point};

/// Facets over shared vertices. Nothing is dropped: facet *i* is triangle *i*.
#[derive(Clone, Debug, Default)]
pub struct Welded {
    /// Vertices, mm.
    pub points: Vec<Point>,
    /// Vertex indices of each facet; a facet may name one vertex twice.
    pub facets: Vec<[u32; 3]>,
}

impl Welded {
    /// Lets every facet name `replacement[vertex]` for `vertex`.
    #[must_use]
    pub fn renamed(&self, replacement: &[u32]) -> Self {
        let rename = |facet: &[u32; 3]| facet.map(|vertex| replacement[vertex as usize]);
        Self {
            points: self.points.clone(),
            facets: self.facets.iter().map(rename).collect(),
        }
    }
}

/// Joins corners of exactly equal coordinates; −0 equals 0.
///
/// Takes time in proportion to the number of corners. There must be fewer than 2³² of
/// them; more are left out.
pub fn weld(triangles: &[[Point; 3]]) -> Welded {
    let mut vertices = Vertices::with_room_for(triangles.len() / 2);
    let most = u32::MAX as usize / 3;
    let facets = triangles
        .iter()
        .take(most)
        .map(|corners| corners.map(|corner| vertices.index_of(corner)))
        .collect();
    Welded { points: vertices.points, facets }
}

/// For every vertex the one that it should become: each of `candidates`, in the given
/// order, joins the nearest earlier one within `tolerance` that joined no other.
///
/// A vertex thus moves by at most the tolerance, however many lie in a row.
pub fn near(points: &[Point], candidates: &[u32], tolerance: f64) -> Vec<u32> {
    // Vertices are counted in u32.
    let mut replacement: Vec<u32> = (0..points.len() as u32).collect();
    let mut kept: HashMap<[i64; 3], Vec<u32>> = HashMap::new();
    let origin = Aabb::around(candidates.iter().map(|&i| &points[i as usize])).min;
    // Cells of four tolerances hold few kept vertices, which lie apart, and most searches
    // end in the cell where they begin.
    // The cast saturates.
    let cell = |x: f64| (x / (4.0 * tolerance)).floor() as i64;
    for &candidate in candidates {
        let place = points[candidate as usize];
        let offset = place - origin;
        let low = offset.map(|x| cell(x - tolerance));
        let high = offset.map(|x| cell(x + tolerance));
        let mut nearest = (tolerance, candidate);
        for key in cells_between(low.into(), high.into()) {
            for &other in kept.get(&key).map_or(&[][..], Vec::as_slice) {
                let distance = nalgebra::distance(&place, &points[other as usize]);
                if distance < nearest.0 {
                    nearest = (distance, other);
                }
            }
        }
        if nearest.1 == candidate {
            kept.entry(offset.map(cell).into()).or_default().push(candidate);
        }
        replacement[candidate as usize] = nearest.1;
    }
    replacement
}

fn cells_between(low: [i64; 3], high: [i64; 3]) -> impl Iterator<Item = [i64; 3]> {
    (low[0]..=high[0]).flat_map(move |x| {
        (low[1]..=high[1]).flat_map(move |y| (low[2]..=high[2]).map(move |z| [x, y, z]))
    })
}

/// Vertices by their coordinates: an open table of indices, at most half full.
struct Vertices {
    points: Vec<Point>,
    table: Vec<u32>,
}

const EMPTY: u32 = u32::MAX;

impl Vertices {
    fn with_room_for(vertices: usize) -> Self {
        let slots = (vertices * 2).next_power_of_two().max(16);
        Self { points: Vec::with_capacity(vertices), table: vec![EMPTY; slots] }
    }

    fn index_of(&mut self, corner: Point) -> u32 {
        // Adding zero turns −0 into 0.
        let corner = Point::from(corner.coords.map(|x| x + 0.0));
        let slot = self.slot_of(&corner);
        let found = self.table[slot];
        if found != EMPTY {
            return found;
        }
        // Weld takes no more than u32.
        let index = self.points.len() as u32;
        self.table[slot] = index;
        self.points.push(corner);
        if self.points.len() * 2 > self.table.len() {
            self.grow();
        }
        index
    }

    /// The slot that holds `corner`, or the empty one where it belongs.
    fn slot_of(&self, corner: &Point) -> usize {
        let mask = self.table.len() - 1;
        let mut slot = hash(corner) & mask;
        while let Some(point) = self.points.get(self.table[slot] as usize) {
            if same_bits(point, corner) {
                break;
            }
            slot = (slot + 1) & mask;
        }
        slot
    }

    fn grow(&mut self) {
        self.table = vec![EMPTY; self.table.len() * 2];
        for index in 0..self.points.len() {
            let slot = self.slot_of(&self.points[index]);
            // As in index_of.
            let index = index as u32;
            self.table[slot] = index;
        }
    }
}

fn same_bits(a: &Point, b: &Point) -> bool {
    a.coords.map(f64::to_bits) == b.coords.map(f64::to_bits)
}

/// Spreads the bits of the coordinates, whose low halves are often all zero.
fn hash(corner: &Point) -> usize {
    let mixed = corner.coords.iter().fold(0_u64, |hash, x| {
        let hash = (hash ^ x.to_bits()).wrapping_mul(0x9E37_79B9_7F4A_7C15);
        hash ^ (hash >> 32)
    });
    // Any bits will do.
    mixed.wrapping_mul(0xD6E8_FEB8_6659_FD93).rotate_right(32) as usize
}

#[cfg(test)]
mod tests {
    use super::{near, weld};
    use crate::geom::Point;

    #[test]
    fn equal_corners_become_one_vertex_in_file_order() {
        let p = |x: f64, y: f64| Point::new(x, y, 0.0);
        let welded = weld(&[
            [p(0.0, 0.0), p(1.0, 0.0), p(0.0, 1.0)],
            [p(1.0, -0.0), p(1.0, 1.0), p(-0.0, 1.0)],
        ]);
        assert_eq!(welded.facets, [[0, 1, 2], [1, 3, 2]]);
        assert_eq!(welded.points.len(), 4);
    }

    #[test]
    fn many_vertices_are_found_again_after_the_table_grew() {
        let p = |i: u32| Point::new(f64::from(i % 97), f64::from(i / 97), 0.5);
        let triangles: Vec<_> = (0..9000).map(|i| [p(i), p(i + 1), p(i + 98)]).collect();
        let welded = weld(&triangles);
        assert_eq!(welded.points.len(), 9098);
        for (facet, corners) in welded.facets.iter().zip(&triangles) {
            assert_eq!(facet.map(|i| welded.points[i as usize]), *corners);
        }
    }

    #[test]
    fn a_row_of_near_points_does_not_melt_into_one() {
        let points: Vec<_> =
            (0..10_u32).map(|i| Point::new(f64::from(i) * 0.8, 0.0, 0.0)).collect();
        let all: Vec<u32> = (0..10).collect();
        assert_eq!(near(&points, &all, 1.0), [0, 0, 2, 2, 4, 4, 6, 6, 8, 8]);
        assert_eq!(near(&points, &all, 0.5), all);
    }
}
