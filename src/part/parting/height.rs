//! At which height the free walls are parted.
//!
//! Tried are the heights at which they end. The best makes the line short and keeps it
//! near one height: each piece costs its length, and more the farther it is from the
//! plane. Among equals the upright walls go to the cavity, so that the core stays simple.

use super::lines::{Cutter, Segment};
use super::sides::Side;
use crate::mesh::neighbors::NONE;
use crate::part::halves::Half;

/// So many heights are tried, those with the longest rims.
const TRIED: usize = 32;

/// A height must save this share of the cost to be better.
const BETTER: f64 = 1e-3;

/// The best plane for `cutter`, along the pull, mm.
pub(super) fn best(cutter: Cutter<'_>, core: Half) -> f64 {
    let edges = changing(&cutter);
    let mut tried = candidates(&cutter, &edges);
    if core == Half::Plus {
        tried.reverse();
    }
    let height = cutter.heights.extent(&cutter.part.mesh);
    let mut best = None::<(f64, f64)>;
    let mut segments = Vec::new();
    for plane in tried {
        segments.clear();
        let at = Cutter { plane, ..cutter };
        for &facet in &edges {
            at.add(facet, &mut segments);
        }
        let cost: f64 = segments.iter().map(|it| cost(it, plane, height)).sum();
        if best.is_none_or(|(least, _)| cost < least * (1.0 - BETTER)) {
            best = Some((cost, plane));
        }
    }
    best.map_or(0.0, |(_, plane)| plane)
}

fn cost(segment: &Segment, plane: f64, height: f64) -> f64 {
    let off = (f64::midpoint(segment.heights[0], segment.heights[1]) - plane).abs();
    segment.length * (1.0 + off / height)
}

/// The facets that are free or have a neighbor of another side: only there the line runs.
fn changing(cutter: &Cutter<'_>) -> Vec<u32> {
    let sides = cutter.sides;
    let differs = |facet: usize| {
        cutter.part.neighbors[facet]
            .iter()
            .any(|&other| other != NONE && sides[other as usize] != sides[facet])
    };
    (0..sides.len())
        .filter(|&facet| sides[facet] == Side::Free || differs(facet))
        .map(|facet| facet as u32)
        .collect()
}

/// Heights where the line may run level, ascending.
fn candidates(cutter: &Cutter<'_>, edges: &[u32]) -> Vec<f64> {
    let mut rims: Vec<(f64, f64)> = Vec::new();
    for &facet in edges {
        let corners = cutter.part.mesh.facets()[facet as usize];
        for side in 0..3 {
            let other = cutter.part.neighbors[facet as usize][side];
            let ends = [corners[side], corners[(side + 1) % 3]];
            if other == NONE
                || cutter.sides[other as usize] == cutter.sides[facet as usize]
            {
                continue;
            }
            let [a, b] = ends.map(|corner| cutter.part.mesh.points()[corner as usize]);
            let length = (b - a).norm();
            rims.extend(ends.map(|c| (cutter.heights.list[c as usize], length)));
        }
    }
    rims.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let level = cutter.heights.level;
    let mut groups: Vec<(f64, f64)> = rims
        .chunk_by(|a, b| b.0 - a.0 < level)
        .map(|group| {
            let total: f64 = group.iter().map(|(_, length)| length).sum();
            let sum: f64 = group.iter().map(|(height, length)| height * length).sum();
            (if total > 0.0 { sum / total } else { group[0].0 }, total)
        })
        .collect();
    groups.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.total_cmp(&b.0)));
    groups.truncate(TRIED);
    let mut heights: Vec<f64> = groups.into_iter().map(|(height, _)| height).collect();
    heights.sort_by(f64::total_cmp);
    heights
}
