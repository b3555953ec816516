//! Facets without area, which cuts along a face leave: short edges are drawn together, and where a corner
//! lies on the edge of a neighbor, that neighbor gets the corner.

use std::collections::HashSet;

use super::net::{Net, next};
use crate::geom::Point;
use crate::mesh::solid::Solid;

/// Edges that are shorter go, mm: far below what a mill holds, above what single precision moves.
const LEAST_EDGE_MM: f64 = 2e-5;

/// Facets that are lower over their longest edge go, mm.
const LEAST_HEIGHT_MM: f64 = 1e-5;

/// Flips make room for others; in the solids seen three rounds were enough.
const ROUNDS: usize = 12;

/// The surface of `solid` without facets that have no area; `None` where it does not close.
pub(super) fn clean(solid: &Solid) -> Option<Net> {
    let facets = without_short_edges(solid);
    let mut net = Net::new(solid.points.clone(), facets)?;
    for _ in 0..ROUNDS {
        let (facets, count) = flipped(&net);
        if count == 0 {
            break;
        }
        net = Net::new(net.points, facets)?;
    }
    Some(net)
}

fn without_short_edges(solid: &Solid) -> Vec<[u32; 3]> {
    let mut names: Vec<u32> = (0..solid.points.len() as u32).collect();
    let root = |names: &[u32], mut corner: u32| {
        while names[corner as usize] != corner {
            corner = names[corner as usize];
        }
        corner
    };
    for facet in &solid.facets {
        for side in 0..3 {
            let ends = [facet[side], facet[(side + 1) % 3]];
            let [a, b] = ends.map(|corner| root(&names, corner));
            let [p, q] = [a, b].map(|corner| solid.points[corner as usize]);
            if a != b && nalgebra::distance(&p, &q) < LEAST_EDGE_MM {
                names[a.max(b) as usize] = a.min(b);
            }
        }
    }
    let named = solid.facets.iter().map(|facet| facet.map(|it| root(&names, it)));
    let facets = named.filter(|[a, b, c]| a != b && b != c && c != a).collect();
    without_pairs(facets)
}

/// Without facets that lie on each other back to back.
fn without_pairs(facets: Vec<[u32; 3]>) -> Vec<[u32; 3]> {
    let key = |facet: &[u32; 3]| {
        let mut sorted = *facet;
        sorted.sort_unstable();
        sorted
    };
    let turns = |[a, b, c]: [u32; 3]| (a < b) ^ (b < c) ^ (c < a);
    let mut order: Vec<usize> = (0..facets.len()).collect();
    order.sort_by_key(|&at| (key(&facets[at]), turns(facets[at]), at));
    let mut kept = vec![true; facets.len()];
    for alike in order.chunk_by(|&a, &b| key(&facets[a]) == key(&facets[b])) {
        let split = alike.partition_point(|&at| !turns(facets[at]));
        let (one, other) = alike.split_at(split);
        for (&a, &b) in one.iter().zip(other) {
            kept[a] = false;
            kept[b] = false;
        }
    }
    let kept = facets.into_iter().zip(kept).filter(|(_, kept)| *kept);
    kept.map(|(facet, _)| facet).collect()
}

/// The longest side of a facet and its height over that side.
fn longest([a, b, c]: [Point; 3]) -> (u32, f64) {
    let lengths = [(b - a).norm(), (c - b).norm(), (a - c).norm()];
    let mut side = 0;
    for at in 1..3 {
        if lengths[at] > lengths[side] {
            side = at;
        }
    }
    let twice = (b - a).cross(&(c - a)).norm();
    (side as u32, twice / lengths[side].max(f64::MIN_POSITIVE))
}

/// The facets with the longest edge of each flat one given to the corner over it, and how many were.
fn flipped(net: &Net) -> (Vec<[u32; 3]>, usize) {
    let mut facets = net.facets.clone();
    let mut touched = vec![false; facets.len()];
    let sorted = |a: u32, b: u32| [a.min(b), a.max(b)];
    let mut known: HashSet<[u32; 2]> = HashSet::new();
    let mut count = 0;
    for facet in 0..facets.len() {
        let (side, height) = longest(net.corners(facet));
        if height >= LEAST_HEIGHT_MM || touched[facet] {
            continue;
        }
        if known.is_empty() {
            let edges = net.half_edges().map(|it| sorted(net.from(it), net.to(it)));
            known.extend(edges);
        }
        let edge = 3 * facet as u32 + side;
        let twin = net.twin(edge);
        let other = (twin / 3) as usize;
        let apex = |edge: u32| net.to(next(edge));
        let [a, c, b, z] = [net.from(edge), net.to(edge), apex(edge), apex(twin)];
        if touched[other] || b == z || known.contains(&sorted(b, z)) {
            continue;
        }
        let new = [[a, z, b], [z, c, b]];
        let low = |facet: [u32; 3]| longest(facet.map(|corner| net.at(corner))).1;
        if low(new[0]).min(low(new[1])) <= height {
            continue;
        }
        [facets[facet], facets[other]] = new;
        (touched[facet], touched[other]) = (true, true);
        known.insert(sorted(b, z));
        count += 1;
    }
    (facets, count)
}
