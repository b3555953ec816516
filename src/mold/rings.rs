//! The lines where the two skins of the part meet, as closed rings of its corners.
//!
//! Taken from the facets alone, corner by corner, so that surfaces hung on a ring share
//! every edge with both skins.

use std::collections::BTreeMap;

use crate::geom::Point;
use crate::part::halves::Half;
use crate::part::parting::Skins;

/// A closed line; seen from the + end the skin of the + half lies on its left.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ring {
    /// Its corners, as indices into the points of the skins.
    pub corners: Vec<u32>,
}

/// Every ring, by its least corner.
///
/// # Errors
/// A corner where the skins do not close, or where more than two facets share an edge.
pub fn trace(skins: &Skins) -> Result<Vec<Ring>, u32> {
    let facets = skins.mesh.facets();
    let mut inside: BTreeMap<[u32; 2], u32> = BTreeMap::new();
    let mut against: BTreeMap<[u32; 2], u32> = BTreeMap::new();
    for (index, (facet, half)) in facets.iter().zip(&skins.halves).enumerate() {
        let edges = if *half == Half::Plus { &mut inside } else { &mut against };
        for side in 0..3 {
            let edge = [facet[side], facet[(side + 1) % 3]];
            if edges.insert(edge, index as u32).is_some() {
                return Err(edge[0]);
            }
        }
    }
    let is_border = |[a, b]: [u32; 2]| !inside.contains_key(&[b, a]);
    let ends = inside
        .keys()
        .filter(|edge| is_border(**edge))
        .find(|[a, b]| !against.contains_key(&[*b, *a]));
    let begins = against
        .keys()
        .filter(|[a, b]| !against.contains_key(&[*b, *a]))
        .find(|[a, b]| !inside.contains_key(&[*b, *a]));
    if let Some([corner, _]) = ends.or(begins) {
        return Err(*corner);
    }
    // From an edge of the border, turn around its end through the facets of the skin until
    // the next one: rings that touch at a corner stay apart.
    let onward = |[from, at]: [u32; 2]| {
        let mut edge = [from, at];
        loop {
            let facet = facets[*inside.get(&edge)? as usize];
            let here = facet.iter().position(|&corner| corner == at)?;
            let next = [at, facet[(here + 1) % 3]];
            if is_border(next) {
                return Some(next);
            }
            edge = [next[1], at];
        }
    };
    let mut left: BTreeMap<[u32; 2], ()> =
        inside.keys().filter(|edge| is_border(**edge)).map(|&edge| (edge, ())).collect();
    let mut rings = Vec::new();
    while let Some((start, ())) = left.pop_first() {
        let mut corners = vec![start[0]];
        let mut edge = onward(start).ok_or(start[0])?;
        while edge != start {
            left.remove(&edge).ok_or(edge[0])?;
            corners.push(edge[0]);
            edge = onward(edge).ok_or(edge[0])?;
        }
        rings.push(Ring { corners });
    }
    Ok(rings)
}

/// The lines around the part and those around its holes, corner by corner.
pub fn sorted(lines: &[Ring], points: &[Point]) -> (Vec<Vec<Point>>, Vec<Vec<Point>>) {
    let places = |ring: &Ring| -> Vec<Point> {
        ring.corners.iter().map(|&corner| points[corner as usize]).collect()
    };
    let area = |ring: &Vec<Point>| {
        let pairs = ring.iter().zip(ring.iter().cycle().skip(1));
        pairs.map(|(a, b)| a.x * b.y - a.y * b.x).sum::<f64>()
    };
    lines.iter().map(places).partition(|ring| area(ring) > 0.0)
}
