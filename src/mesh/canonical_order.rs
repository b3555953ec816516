//! The same solid, always written the same way: corners in order, facets in order, and every
//! flat piece triangulated anew.
//!
//! `boolmesh` walks a table without order, so a flat piece may come back in other triangles
//! from run to run; its corners are always the same. Only which triangles fill a flat piece
//! is decided here, never its outline.

use std::collections::BTreeMap;

use super::triangulation;
use crate::geom::{Point, Vector};

/// Facets whose normals differ by less than this lie in one plane.
const FLAT: f64 = 1e-9;

/// Corners and facets of a closed surface.
pub type Surface = (Vec<Point>, Vec<[u32; 3]>);

/// `surface` in its own order.
pub fn sort(surface: &Surface) -> Surface {
    let (points, old) = sorted(surface);
    let normals: Vec<Option<Vector>> = old
        .iter()
        .map(|facet| facet.map(|corner| points[corner as usize]))
        .map(|[a, b, c]| (b - a).cross(&(c - a)).try_normalize(f64::MIN_POSITIVE))
        .collect();
    let pieces = pieces(&old, &normals);
    let mut facets = Vec::with_capacity(old.len());
    for piece in pieces {
        let own: Vec<[u32; 3]> = piece.iter().map(|&facet| old[facet]).collect();
        let normal = piece.first().and_then(|&facet| normals[facet]);
        let anew = normal
            .filter(|_| own.len() > 1)
            .and_then(|normal| fill(&points, &own, &normal));
        facets.extend(anew.unwrap_or(own));
    }
    sorted(&(points, facets))
}

/// Corners by place, each facet from its least corner, facets by corners.
fn sorted((points, facets): &Surface) -> Surface {
    let key = |point: &Point| [point.x, point.y, point.z];
    let mut order: Vec<usize> = (0..points.len()).collect();
    order.sort_by(|&a, &b| {
        let [a, b] = [a, b].map(|index| key(&points[index]));
        a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])).then(a[2].total_cmp(&b[2]))
    });
    let mut fresh = vec![0_u32; order.len()];
    for (place, &old) in (0..).zip(&order) {
        fresh[old] = place;
    }
    let mut facets: Vec<[u32; 3]> = facets
        .iter()
        .map(|facet| {
            let mut facet = facet.map(|corner| fresh[corner as usize]);
            let least = (0..3).min_by_key(|&at| facet[at]).unwrap_or(0);
            facet.rotate_left(least);
            facet
        })
        .collect();
    facets.sort_unstable();
    (order.iter().map(|&old| points[old]).collect(), facets)
}

/// Facets that lie side by side in one plane, by their least.
fn pieces(facets: &[[u32; 3]], normals: &[Option<Vector>]) -> Vec<Vec<usize>> {
    let mut across: BTreeMap<[u32; 2], usize> = BTreeMap::new();
    for (index, facet) in facets.iter().enumerate() {
        for side in 0..3 {
            across.insert([facet[side], facet[(side + 1) % 3]], index);
        }
    }
    let mut seen = vec![false; facets.len()];
    let mut pieces = Vec::new();
    for start in 0..facets.len() {
        if seen[start] {
            continue;
        }
        seen[start] = true;
        let mut piece = vec![start];
        let mut next = 0;
        while let Some(&facet) = piece.get(next) {
            next += 1;
            let corners = facets[facet];
            for side in 0..3 {
                let beyond = across.get(&[corners[(side + 1) % 3], corners[side]]);
                let Some(&other) = beyond.filter(|other| !seen[**other]) else {
                    continue;
                };
                // All against the first, so that a curved face does not creep in.
                let flat = normals[start].zip(normals[other]);
                if flat.is_some_and(|(a, b)| (a - b).norm() < FLAT) {
                    seen[other] = true;
                    piece.push(other);
                }
            }
        }
        piece.sort_unstable();
        pieces.push(piece);
    }
    pieces
}

/// The flat piece in new triangles; `None` where its outline cannot be drawn flat.
fn fill(points: &[Point], own: &[[u32; 3]], normal: &Vector) -> Option<Vec<[u32; 3]>> {
    let mut edges: BTreeMap<[u32; 2], i32> = BTreeMap::new();
    for facet in own {
        for side in 0..3 {
            let [a, b] = [facet[side], facet[(side + 1) % 3]];
            if a < b {
                *edges.entry([a, b]).or_default() += 1;
            } else {
                *edges.entry([b, a]).or_default() -= 1;
            }
        }
    }
    let outline: Vec<[u32; 2]> = edges
        .iter()
        .filter(|(_, net)| **net != 0)
        .map(|(&[a, b], net)| if *net > 0 { [a, b] } else { [b, a] })
        .collect();
    // Seen along the axis that the plane faces most, not mirrored.
    let axis = normal.iamax();
    let [u, v] = if normal[axis] > 0.0 {
        [(axis + 1) % 3, (axis + 2) % 3]
    } else {
        [(axis + 2) % 3, (axis + 1) % 3]
    };
    let place = |corner: u32| {
        let point = points[corner as usize];
        [point[u], point[v]]
    };
    let made = triangulation::inside(&outline, &place)?;
    // Fewer or more triangles would mean corners lost or lines crossed.
    (made.len() == own.len() || keeps_area(points, own, &made)).then_some(made)
}

fn keeps_area(points: &[Point], own: &[[u32; 3]], made: &[[u32; 3]]) -> bool {
    let area = |facets: &[[u32; 3]]| {
        let twice = facets.iter().map(|facet| {
            let [a, b, c] = facet.map(|corner| points[corner as usize]);
            (b - a).cross(&(c - a)).norm()
        });
        twice.sum::<f64>()
    };
    let [a, b] = [area(own), area(made)];
    (a - b).abs() <= 1e-9 * a
}
