//! How long the way is from the gate to every cell: the flow length.
//!
//! The shortest way inside the part, by fast marching: the distance grows by one for each
//! millimeter of way, |∇s| = 1, each cell worked out once from the nearer ones beside it
//! (Sethian, *PNAS* 93, 1996; first order). From a point it reads up to a few percent long
//! across the diagonals of the grid.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::cells::Cells;
use crate::geom::Point;
use crate::numeric::TotalOrder;

/// No cell.
const NONE: u32 = u32::MAX;

/// The shortest way inside from `start` to each cell, mm; `None` where there is none.
pub fn from(cells: &Cells, start: &Point) -> Vec<Option<f64>> {
    let edge = cells.edge_mm();
    let mut beside = vec![[NONE; 6]; cells.len()];
    for link in &cells.links {
        let axis = 2 * usize::from(link.axis);
        beside[link.low as usize][axis] = link.high;
        beside[link.high as usize][axis + 1] = link.low;
    }
    let mut way = vec![f64::INFINITY; cells.len()];
    let mut done = vec![false; cells.len()];
    let mut heap = BinaryHeap::new();
    // Cells near the start see it directly.
    let home = cells.nearest(start);
    let seen = beside[home].iter().copied().filter(|&other| other != NONE);
    for cell in std::iter::once(home as u32).chain(seen) {
        way[cell as usize] = (cells.middle(cell as usize) - start).norm();
        heap.push(Reverse((TotalOrder(way[cell as usize]), cell)));
    }
    while let Some(Reverse((_, cell))) = heap.pop() {
        if std::mem::replace(&mut done[cell as usize], true) {
            continue;
        }
        for &other in beside[cell as usize].iter().filter(|&&other| other != NONE) {
            let known = |next: u32| match next {
                NONE => f64::INFINITY,
                next if done[next as usize] => way[next as usize],
                _ => f64::INFINITY,
            };
            let nearer = beside[other as usize];
            let sides = [0, 2, 4].map(|at| known(nearer[at]).min(known(nearer[at + 1])));
            let next = upwind(sides, edge);
            if !done[other as usize] && next < way[other as usize] {
                way[other as usize] = next;
                heap.push(Reverse((TotalOrder(next), other)));
            }
        }
    }
    way.into_iter().map(|way| way.is_finite().then_some(way)).collect()
}

/// The distance whose upwind differences to the nearer neighbors `sides` of the three axes
/// have the length 1.
fn upwind(mut sides: [f64; 3], edge: f64) -> f64 {
    sides.sort_by(f64::total_cmp);
    let mut found = sides[0] + edge;
    let (mut sum, mut squares) = (sides[0], sides[0] * sides[0]);
    for (count, &side) in sides.iter().enumerate().skip(1) {
        // A farther neighbor counts only if it is nearer than the answer without it.
        if side >= found {
            break;
        }
        (sum, squares) = (sum + side, squares + side * side);
        let count = count as f64 + 1.0;
        let root = sum * sum - count * (squares - edge * edge);
        found = (sum + root.max(0.0).sqrt()) / count;
    }
    found
}

#[cfg(test)]
mod tests {
    use super::{from, upwind};
    use crate::fill::cells::{Cells, Resolution};
    use crate::geom::Point;
    use crate::mesh::bvh::Bvh;
    use crate::mesh::shapes;

    #[test]
    fn a_plane_front_moves_by_the_edge_over_the_root_of_the_axes() {
        let far = f64::INFINITY;
        assert!((upwind([0.0, far, far], 2.0) - 2.0).abs() < 1e-12);
        assert!((upwind([1.0, 1.0, far], 2.0) - 1.0 - 2.0_f64.sqrt()).abs() < 1e-12);
        assert!((upwind([0.0; 3], 3.0) - 3.0_f64.sqrt()).abs() < 1e-12);
        assert!((upwind([0.0, 5.0, far], 2.0) - 2.0).abs() < 1e-12);
    }

    /// Straight along a strip; around the far wall of a box it is as long as the way is.
    #[test]
    fn the_way_along_a_strip_is_its_length() {
        let mesh = shapes::cuboid(80.0, 10.0, 2.0);
        let cells = Cells::new(&mesh, &Bvh::new(&mesh), Resolution::EdgeMm(0.5)).unwrap();
        let start = Point::new(0.0, 5.0, 1.0);
        let way = from(&cells, &start);
        for (cell, way) in way.iter().enumerate() {
            let straight = (cells.middle(cell) - start).norm();
            let way = way.unwrap();
            assert!(way > straight * 0.999, "{way} {straight}");
            assert!(way < straight * 1.05 + 0.5, "{way} {straight}");
        }
    }
}
