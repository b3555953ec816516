//! The metal of a half that stands out of its parting plane, piece by piece, and what a cut around
//! one of them would run into.

use std::collections::BTreeMap;

use super::shape::Shape;
use crate::geom::Point;
use crate::mesh::disjoint_sets::DisjointSets;
use crate::mesh::solid::Solid;
use crate::part::halves::Half;

/// What stands out by less lies in the parting plane, mm.
const PLANE_MM: f64 = 0.02;
/// Edges are asked at places so far apart, mm.
const STEP_MM: f64 = 0.5;
/// No edge is asked at more places.
const MOST_PLACES: f64 = 256.0;

/// A piece of metal that stands out.
#[derive(Clone, Debug)]
pub(super) struct Piece {
    /// Corners of its surface, across the pull.
    pub(super) places: Vec<[f64; 2]>,
    /// How far it stands out, mm.
    pub(super) height: f64,
}

/// How far a place stands out of the parting plane of `half`, mm.
pub(super) fn out(half: Half, at: &Point) -> f64 {
    match half {
        Half::Plus => -at.z,
        Half::Minus => at.z,
    }
}

/// The pieces of `blank`, the tallest first.
pub(super) fn pieces(blank: &Solid, half: Half) -> Vec<Piece> {
    let height = |corner: u32| out(half, &blank.points[corner as usize]);
    let stands = |facet: &&[u32; 3]| facet.iter().any(|&it| height(it) > PLANE_MM);
    let own: Vec<&[u32; 3]> = blank.facets.iter().filter(stands).collect();
    let mut sets = DisjointSets::new(blank.points.len());
    for [a, b, c] in own.iter().copied() {
        // Two that only share a corner of the plane are two.
        for (a, b) in [(*a, *b), (*b, *c)] {
            sets.join(a as usize, b as usize);
        }
    }
    let mut found: BTreeMap<usize, Piece> = BTreeMap::new();
    for corner in own.into_iter().flatten() {
        let at = &blank.points[*corner as usize];
        let piece = found
            .entry(sets.root(*corner as usize))
            .or_insert_with(|| Piece { places: Vec::new(), height: 0.0 });
        piece.places.push([at.x, at.y]);
        piece.height = piece.height.max(height(*corner));
    }
    let mut all: Vec<Piece> = found.into_values().collect();
    all.sort_by(|a, b| b.height.total_cmp(&a.height));
    all
}

/// How deep the surface of `blank` lies below its parting plane within `shape` about `at`, mm; without
/// its outer face, which lies at `outer`.
pub(super) fn depth_within(
    blank: &Solid,
    half: Half,
    shape: Shape,
    at: [f64; 2],
    outer: f64,
) -> f64 {
    let inside = blank.points.iter().filter(|point| {
        let is_face = (out(half, point) + outer).abs() < 1e-6;
        !is_face && shape.outside([point.x - at[0], point.y - at[1]]) <= 0.0
    });
    inside.map(|point| -out(half, point)).fold(0.0, f64::max)
}

/// The least distance in the plan from the edge of `shape` about `at` to anything that `blank` forms of
/// the part, mm: nothing where it crosses the edge.
pub(super) fn room(
    blank: &Solid,
    half: Half,
    shape: Shape,
    at: [f64; 2],
    outer: f64,
) -> f64 {
    let off = |place: [f64; 2]| shape.outside([place[0] - at[0], place[1] - at[1]]);
    let mut room = f64::INFINITY;
    for facet in &blank.facets {
        let corners = facet.map(|corner| &blank.points[corner as usize]);
        let is_formed = |at: &&Point| {
            let height = out(half, at);
            height.abs() > PLANE_MM && (height + outer).abs() > 1e-6
        };
        // Walls of the block lead from the parting plane to the outer face.
        if !corners.iter().any(is_formed) {
            continue;
        }
        let near = corners.map(|at| off([at.x, at.y]).abs());
        let nearest = near.iter().copied().fold(f64::INFINITY, f64::min);
        let long = [(0, 1), (1, 2), (2, 0)]
            .map(|(a, b)| nalgebra::distance(corners[a], corners[b]));
        if nearest - long.into_iter().fold(0.0, f64::max) > room {
            continue;
        }
        let mut side = None;
        for (a, b) in [(0, 1), (1, 2), (2, 0)] {
            let [a, b] = [corners[a], corners[b]];
            let long = (a.x - b.x).hypot(a.y - b.y);
            let steps = (long / STEP_MM).ceil().clamp(1.0, MOST_PLACES);
            let mut step = 0.0;
            while step <= steps {
                let share = step / steps;
                let off = off([a.x + (b.x - a.x) * share, a.y + (b.y - a.y) * share]);
                let was = *side.get_or_insert(off > 0.0);
                if was != (off > 0.0) {
                    return 0.0;
                }
                room = room.min(off.abs());
                step += 1.0;
            }
        }
    }
    room
}
