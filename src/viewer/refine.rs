//! Cuts long facets, so that values at corners say what lies between.
//!
//! A wall may be two facets however much lies behind it. Every edge longer than asked for
//! is halved, on both sides alike, so that no crack opens.

use std::collections::HashMap;

use crate::geom::Point;
use crate::mesh::TriMesh;

/// A point nearer to an edge than this share of a facet is not set into it.
const INSIDE: f64 = 1e-3;

/// Facets over shared points, each a piece of a facet of another mesh.
#[derive(Clone, Debug)]
pub(crate) struct Pieces {
    /// Corners, mm.
    pub(crate) points: Vec<Point>,
    /// Corner indices of each facet.
    pub(crate) facets: Vec<[u32; 3]>,
    /// The facet of the other mesh that each is a piece of.
    pub(crate) origins: Vec<u32>,
}

impl Pieces {
    /// The facets of `mesh` as they are.
    pub(crate) fn new(mesh: &TriMesh) -> Self {
        Self {
            points: mesh.points().to_vec(),
            facets: mesh.facets().to_vec(),
            origins: (0..mesh.facets().len() as u32).collect(),
        }
    }

    /// Sets `at` as a corner into that piece of one of `origins` which holds it; `None`
    /// where it lies on an edge or beside them all.
    pub(crate) fn set(&mut self, at: &Point, origins: &[u32]) -> Option<u32> {
        let depth = |facet: usize| {
            origins
                .contains(&self.origins[facet])
                .then(|| inside(at, &self.facets[facet].map(|c| self.points[c as usize])))
        };
        let best = (0..self.facets.len())
            .filter_map(|facet| Some((facet, depth(facet)?)))
            .max_by(|a, b| a.1.total_cmp(&b.1))?;
        if best.1 < INSIDE {
            return None;
        }
        let corner = self.points.len() as u32;
        self.points.push(*at);
        let [a, b, c] = self.facets[best.0];
        self.facets[best.0] = [a, b, corner];
        for piece in [[b, c, corner], [c, a, corner]] {
            self.facets.push(piece);
            self.origins.push(self.origins[best.0]);
        }
        Some(corner)
    }

    /// Halves edges until none is longer than `longest` mm, or until there are `most`
    /// facets.
    pub(crate) fn refine(&mut self, longest: f64, most: usize) {
        while self.facets.len() < most && self.halve(longest) {}
    }

    /// Halves every edge longer than `longest` once; whether there was one.
    fn halve(&mut self, longest: f64) -> bool {
        let mut middles: HashMap<[u32; 2], u32> = HashMap::new();
        let mut pieces = Vec::with_capacity(self.facets.len());
        let mut origins = Vec::with_capacity(self.facets.len());
        for (facet, &origin) in self.facets.iter().zip(&self.origins) {
            let cuts = [0, 1, 2].map(|side| {
                let [a, b] = [facet[side], facet[(side + 1) % 3]];
                let points = &mut self.points;
                // Short ones, nearly all on a fine mesh, need not be remembered.
                is_longer(points, [a, b], longest).then(|| {
                    *middles
                        .entry([a.min(b), a.max(b)])
                        .or_insert_with(|| middle(points, [a, b]))
                })
            });
            let before = pieces.len();
            cut(*facet, cuts, &self.points, &mut pieces);
            origins.extend((before..pieces.len()).map(|_| origin));
        }
        let grew = pieces.len() > self.facets.len();
        (self.facets, self.origins) = (pieces, origins);
        grew
    }
}

fn is_longer(points: &[Point], [a, b]: [u32; 2], longest: f64) -> bool {
    (points[b as usize] - points[a as usize]).norm() > longest
}

/// A new corner in the middle of an edge.
fn middle(points: &mut Vec<Point>, ends: [u32; 2]) -> u32 {
    let [a, b] = ends.map(|end| points[end as usize]);
    points.push(nalgebra::center(&a, &b));
    points.len() as u32 - 1
}

/// The pieces of a facet whose edges may have a new corner each, turning as it does.
fn cut(
    facet: [u32; 3],
    cuts: [Option<u32>; 3],
    points: &[Point],
    pieces: &mut Vec<[u32; 3]>,
) {
    if let [Some(ab), Some(bc), Some(ca)] = cuts {
        let [a, b, c] = facet;
        pieces.extend([[a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca]]);
        return;
    }
    // Turned so that an edge without a new corner comes last, two with one first.
    for by in 0..3 {
        let [a, b, c] = [0, 1, 2].map(|at| facet[(at + by) % 3]);
        match [0, 1, 2].map(|at| cuts[(at + by) % 3]) {
            [Some(ab), Some(bc), None] => {
                pieces.push([ab, b, bc]);
                let apart = |a: u32, b: u32| {
                    (points[a as usize] - points[b as usize]).norm_squared()
                };
                if apart(a, bc) < apart(ab, c) {
                    pieces.extend([[a, ab, bc], [a, bc, c]]);
                } else {
                    pieces.extend([[a, ab, c], [ab, bc, c]]);
                }
                return;
            }
            [Some(ab), None, None] => {
                pieces.extend([[a, ab, c], [ab, b, c]]);
                return;
            }
            _ => {}
        }
    }
    pieces.push(facet);
}

/// The least of the three barycentric coordinates of the foot of `at` on a triangle:
/// negative outside.
fn inside(at: &Point, [a, b, c]: &[Point; 3]) -> f64 {
    let normal = (b - a).cross(&(c - a));
    let whole = normal.norm_squared();
    let share = |p: &Point, q: &Point| {
        (p - at).cross(&(q - at)).dot(&normal) / whole.max(f64::MIN_POSITIVE)
    };
    share(a, b).min(share(b, c)).min(share(c, a))
}

#[cfg(test)]
mod tests {
    use super::Pieces;
    use crate::geom::Point;
    use crate::mesh::TriMesh;
    use crate::schema::fixtures;

    /// Volume and area of a closed mesh, and whether each edge has two sides.
    fn measured(pieces: &Pieces) -> ([f64; 2], bool) {
        let mesh = TriMesh::new(pieces.points.clone(), pieces.facets.clone());
        let volume: f64 = (0..mesh.facets().len())
            .map(|facet| {
                let [a, b, c] = mesh.corners(facet).map(|p| p.coords);
                a.dot(&b.cross(&c)) / 6.0
            })
            .sum();
        let mut edges = std::collections::BTreeMap::new();
        for [a, b, c] in mesh.facets() {
            for [from, to] in [[a, b], [b, c], [c, a]] {
                *edges.entry([from.min(to), from.max(to)]).or_insert(0) +=
                    if from < to { 1 } else { -1 };
            }
        }
        let area = mesh.areas().iter().sum();
        ([volume, area], edges.values().all(|&sides| sides == 0))
    }

    #[test]
    fn pieces_are_short_close_up_and_measure_the_same() {
        for mesh in fixtures::solids() {
            let mut pieces = Pieces::new(&mesh);
            let ([volume, area], _) = measured(&pieces);
            pieces.refine(2.0, 1_000_000);
            let ([fine_volume, fine_area], closed) = measured(&pieces);
            assert!(closed);
            assert!((fine_volume - volume).abs() < 1e-9 * volume);
            assert!((fine_area - area).abs() < 1e-9 * area);
            let point = |corner: u32| pieces.points[corner as usize];
            for (facet, &origin) in pieces.facets.iter().zip(&pieces.origins) {
                let [a, b, c] = facet.map(point);
                assert!((b - a).norm().max((c - b).norm()).max((a - c).norm()) <= 2.0);
                let normal = (b - a).cross(&(c - a)).normalize();
                assert!(normal.dot(&mesh.normals()[origin as usize]) > 1.0 - 1e-9);
            }
        }
    }

    #[test]
    fn a_place_becomes_a_corner_unless_it_lies_on_an_edge() {
        let mut pieces = Pieces::new(&fixtures::block([2.0, 2.0, 2.0]));
        let all: Vec<u32> = (0..12).collect();
        let at = Point::new(0.3, 0.1, 1.0);
        let corner = pieces.set(&at, &all).unwrap();
        assert!((pieces.points[corner as usize] - at).norm() < 1e-12);
        assert_eq!(pieces.facets.len(), 14);
        assert!(measured(&pieces).1);
        assert_eq!(pieces.set(&Point::new(1.0, 0.2, 1.0), &all), None);
    }
}
