//! What a file is off by and a mill cannot tell: walls that lean by micrometers stand along
//! the pull, and lines of the parting that hardly rise and fall are level.
//!
//! A drawn extrusion that was turned, or exported in single precision, has walls that wobble
//! along the pull, and a rim that is not quite level. Cut as it is, it would ask for steps
//! that nobody mills.

use crate::geom::Point;
use crate::mesh::disjoint_sets::DisjointSets;
use crate::mold::rings::Ring;

/// Corners of a wall that lie this near to one line along the pull lie on it, mm.
const UPRIGHT_MM: f64 = 0.003;

/// An edge leans by less than this share of its height to belong to a wall along the pull.
const UPRIGHT_SHARE: f64 = 0.1;

/// Lines of the parting that rise and fall by no more than this are level, mm: lower steps
/// close worse than they part (judgment).
const LEVEL_MM: f64 = 0.2;

/// But no more than this share of the height of the part, of which they are a step then.
const LEVEL_SHARE: f64 = 0.05;

/// How far corners were moved, mm.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Snapped {
    /// Across the pull.
    pub across: f64,
    /// Along it.
    pub along: f64,
}

/// Moves `points` of the surface with these `facets`, whose halves meet along `rings`; the
/// pull is z, and the plates meet at zero.
pub fn snap(points: &mut [Point], facets: &[[u32; 3]], rings: &[Ring]) -> Snapped {
    Snapped { across: upright(points, facets), along: level(points, rings) }
}

/// Sets the corners of each line along the pull one above the other.
fn upright(points: &mut [Point], facets: &[[u32; 3]]) -> f64 {
    let mut sets = DisjointSets::new(points.len());
    for facet in facets {
        for side in 0..3 {
            let [a, b] = [facet[side] as usize, facet[(side + 1) % 3] as usize];
            let way = points[b] - points[a];
            let aside = way.x.hypot(way.y);
            if aside < UPRIGHT_MM && aside < UPRIGHT_SHARE * way.z.abs() {
                sets.join(a, b);
            }
        }
    }
    let (numbers, count) = sets.numbered();
    let mut middles = vec![[0.0; 3]; count];
    for (point, &number) in points.iter().zip(&numbers) {
        let [x, y, corners] = &mut middles[number as usize];
        *x += point.x;
        *y += point.y;
        *corners += 1.0;
    }
    let middle = |number: u32| {
        let [x, y, corners] = middles[number as usize];
        [x / corners, y / corners]
    };
    let mut widest = vec![0.0_f64; count];
    for (point, &number) in points.iter().zip(&numbers) {
        let [x, y] = middle(number);
        let off = (point.x - x).hypot(point.y - y);
        widest[number as usize] = widest[number as usize].max(off);
    }
    let mut most = 0.0_f64;
    for (point, &number) in points.iter_mut().zip(&numbers) {
        let (off, corners) = (widest[number as usize], middles[number as usize][2]);
        // A wall with draft is a long chain of short edges, and ends far off.
        if corners > 1.0 && off <= UPRIGHT_MM {
            [point.x, point.y] = middle(number);
            most = most.max(off);
        }
    }
    most
}

/// Sets the corners of each level line to one height, to that of the plates where it is near.
fn level(points: &mut [Point], rings: &[Ring]) -> f64 {
    let mut most = 0.0_f64;
    let all = || points.iter().map(|point| point.z);
    let tall =
        all().fold(f64::NEG_INFINITY, f64::max) - all().fold(f64::INFINITY, f64::min);
    let limit = LEVEL_MM.min(LEVEL_SHARE * tall);
    for ring in rings {
        let heights = || ring.corners.iter().map(|&corner| points[corner as usize].z);
        let low = heights().fold(f64::INFINITY, f64::min);
        let high = heights().fold(f64::NEG_INFINITY, f64::max);
        let at = if low.abs().max(high.abs()) <= limit {
            0.0
        } else if high - low <= limit {
            f64::midpoint(low, high)
        } else {
            continue;
        };
        most = most.max((high - at).abs()).max((low - at).abs());
        for &corner in &ring.corners {
            points[corner as usize].z = at;
        }
    }
    most
}

#[cfg(test)]
mod tests {
    use super::snap;
    use crate::geom::Point;
    use crate::mesh::shapes;
    use crate::mold::rings::Ring;

    /// A prism whose corners wobble by a micrometer stands along the pull again, its rim is
    /// level; one with half a degree of draft and one that is stepped by half a millimeter
    /// stay as they are.
    #[test]
    fn a_wobble_goes_and_draft_stays() {
        let prism = shapes::cone(10.0, 10.0, 6.0, 24);
        let mut points: Vec<Point> = prism.points().to_vec();
        for (i, point) in (0_u32..).zip(points.iter_mut()) {
            point.x += 1e-3 * f64::from(i * 7 % 5) / 5.0;
            point.z += 1e-2 * f64::from(i * 3 % 4) / 4.0;
        }
        let top: Vec<u32> = (0..points.len() as u32)
            .filter(|corner| {
                let at = &points[*corner as usize];
                at.z > 5.0 && at.x.hypot(at.y) > 5.0
            })
            .collect();
        let ring = Ring { corners: top };
        let moved = snap(&mut points, prism.facets(), std::slice::from_ref(&ring));
        assert!(moved.across > 1e-5 && moved.across < 1e-3, "{moved:?}");
        assert!(moved.along > 1e-4 && moved.along < 1e-2, "{moved:?}");
        let heights: Vec<f64> =
            ring.corners.iter().map(|corner| points[*corner as usize].z).collect();
        assert!(heights.iter().all(|z| z.to_bits() == heights[0].to_bits()));
        let places = |corners: &[u32]| -> Vec<[u64; 2]> {
            let at = |corner: &u32| points[*corner as usize];
            corners.iter().map(at).map(|p| [p.x.to_bits(), p.y.to_bits()]).collect()
        };
        let all: Vec<u32> = (0..points.len() as u32).collect();
        let rim = places(&ring.corners);
        let below = places(&all).into_iter().filter(|place| rim.contains(place)).count();
        assert_eq!(below, 2 * rim.len(), "each corner of the rim has one below it");

        let drafted = shapes::cone(10.0, 9.9, 11.0, 24);
        let mut points = drafted.points().to_vec();
        points[0].z += 0.5;
        let before = points.clone();
        let stepped = Ring { corners: vec![0, 1, 2] };
        let moved = snap(&mut points, drafted.facets(), &[stepped]);
        assert_eq!((moved.across, moved.along), (0.0, 0.0));
        assert_eq!(points, before);
    }
}
