//! Loops of open edges, and lids over those that are flat and small.

use super::topology::Edges;
use super::triangulation;
use crate::geom::{Aabb, Direction, Frame, Point, Vector};

/// A lid is put only over a loop shorter than this share of the diagonal of the part: a
/// larger opening may be meant, or belongs to a missing wall.
const LONGEST_LOOP: f64 = 0.25;
/// A loop is flat if no corner is further from its plane than this share of its length.
const FLATNESS: f64 = 1e-3;
/// A slit is narrower than this share of the diagonal, the rounding that welding forgives.
const SLIT_WIDTH: f64 = 1e-5;
/// And than this share of its own length.
const SLIMNESS: f64 = 1e-2;
/// A loop of more corners is rather a torn surface than a hole (judgment).
const MOST_CORNERS: usize = 500;

/// An opening in the surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hole {
    /// The middle of its edges, mm.
    pub at: Point,
    /// Length of its edges, mm.
    pub perimeter_mm: f64,
    /// How many edges it has.
    pub edges: usize,
}

impl Hole {
    fn measure(corners: &[Point]) -> Self {
        let (mut sum, mut length) = (Vector::zeros(), 0.0);
        for (a, b) in ring(corners) {
            let edge = nalgebra::distance(a, b);
            sum += (a.coords + b.coords) * (0.5 * edge);
            length += edge;
        }
        let middle = corners.first().map_or_else(Point::origin, |&first| first);
        let at = if length > 0.0 { Point::from(sum / length) } else { middle };
        Self { at, perimeter_mm: length, edges: corners.len() }
    }
}

/// A loop of vertices around an opening, in the direction that facets to fill it must run.
pub(super) type Loop = Vec<u32>;

/// The loops around every opening, each visiting a vertex once.
///
/// The missing sides of a mesh always close up, because every facet is a closed walk.
pub(super) fn loops(edges: &Edges) -> Vec<Loop> {
    let mut missing: Vec<[u32; 2]> = Vec::new();
    for edge in edges.iter() {
        let net = edge.net();
        let side = if net > 0 { [edge.high, edge.low] } else { [edge.low, edge.high] };
        missing.extend((0..net.abs()).map(|_| side));
    }
    missing.sort_unstable();
    let mut used = vec![false; missing.len()];
    let mut found = Vec::new();
    for start in 0..missing.len() {
        if !used[start] {
            walk(start, &missing, &mut used, &mut found);
        }
    }
    found
}

/// Walks along unused sides from `start` and cuts off a loop whenever it meets its own way.
fn walk(start: usize, missing: &[[u32; 2]], used: &mut [bool], found: &mut Vec<Loop>) {
    let mut path: Vec<u32> = vec![missing[start][0]];
    let mut place = std::collections::HashMap::from([(path[0], 0_usize)]);
    while let Some(&at) = path.last() {
        let from = missing.partition_point(|side| side[0] < at);
        let onward = (from..missing.len())
            .take_while(|&i| missing[i][0] == at)
            .find(|&i| !used[i]);
        let Some(side) = onward else { return };
        used[side] = true;
        let to = missing[side][1];
        if let Some(&begin) = place.get(&to) {
            for vertex in &path[begin + 1..] {
                place.remove(vertex);
            }
            found.push(path[begin..].to_vec());
            path.truncate(begin + 1);
        } else {
            place.insert(to, path.len());
            path.push(to);
        }
    }
}

/// The opening inside `vertices`, or `None` when all its edges have an even number of
/// facets: then the facets are there and disagree about their outside.
pub(super) fn opening(vertices: &Loop, edges: &Edges, points: &[Point]) -> Option<Hole> {
    let next = vertices.iter().cycle().skip(1);
    let open =
        vertices.iter().zip(next).any(|(&a, &b)| edges.between(a, b).len() % 2 == 1);
    open.then(|| Hole::measure(&places(vertices, points)))
}

/// Facets that close the opening inside `vertices`, or `None` when it is large, not flat
/// or crosses itself. A slit, where one edge lies against a chain of shorter ones, is
/// closed whatever its length: there is nothing to guess.
pub(super) fn lid(
    vertices: &Loop,
    points: &[Point],
    bounds: &Aabb,
) -> Option<Vec<[u32; 3]>> {
    if vertices.len() < 3 || vertices.len() > MOST_CORNERS {
        return None;
    }
    let corners = places(vertices, points);
    if let Some(long) = long_side_of_slit(&corners, SLIT_WIDTH * bounds.diagonal()) {
        let at = |i: usize| vertices[(long + i) % vertices.len()];
        return Some((2..vertices.len()).map(|i| [at(0), at(i - 1), at(i)]).collect());
    }
    let hole = Hole::measure(&corners);
    if hole.perimeter_mm > LONGEST_LOOP * bounds.diagonal() {
        return None;
    }
    let origin = corners[0];
    let area: Vector =
        ring(&corners).map(|(a, b)| (a - origin).cross(&(b - origin))).sum();
    let frame = Frame::along(Direction::new(area)?);
    let height = frame.height(&hole.at);
    let off = |p: &Point| (frame.height(p) - height).abs();
    if corners.iter().any(|p| off(p) > FLATNESS * hole.perimeter_mm) {
        return None;
    }
    let flat: Vec<[f64; 2]> = corners.iter().map(|p| frame.flatten(p)).collect();
    let count = flat.len() as u32;
    let outline: Vec<[u32; 2]> = (0..count).map(|i| [i, (i + 1) % count]).collect();
    let triangles = triangulation::inside(&outline, &|i| flat[i as usize])?;
    Some(triangles.into_iter().map(|names| names.map(|i| vertices[i as usize])).collect())
}

/// The side from whose end the others lead back along it, no further off than `width`.
fn long_side_of_slit(corners: &[Point], width: f64) -> Option<usize> {
    let n = corners.len();
    let length = |i: usize| nalgebra::distance(&corners[i], &corners[(i + 1) % n]);
    let long = (0..n).fold(0, |best, i| if length(i) > length(best) { i } else { best });
    let (from, to) = (corners[long], corners[(long + 1) % n]);
    let along = Direction::new(from - to)?;
    let width = width.min(SLIMNESS * length(long));
    let mut reached = 0.0;
    for i in 2..n {
        let way = corners[(long + i) % n] - to;
        let distance = along.dot(&way);
        if (way - along.vector() * distance).norm() > width || distance < reached {
            return None;
        }
        reached = distance;
    }
    (reached < length(long)).then_some(long)
}

fn places(vertices: &Loop, points: &[Point]) -> Vec<Point> {
    vertices.iter().map(|&vertex| points[vertex as usize]).collect()
}

fn ring(corners: &[Point]) -> impl Iterator<Item = (&Point, &Point)> {
    corners.iter().zip(corners.iter().cycle().skip(1))
}

#[cfg(test)]
mod tests {
    use super::{lid, loops, opening};
    use crate::geom::{Aabb, Point};
    use crate::mesh::topology::Edges;

    #[test]
    fn two_openings_that_touch_in_a_corner_are_two_loops() {
        // Two triangles with one vertex in common: their outline is a figure of eight.
        let facets = [[0, 1, 2], [2, 3, 4]];
        let found = loops(&Edges::collect(&facets, 5));
        assert_eq!(found.iter().map(Vec::len).collect::<Vec<_>>(), [3, 3]);
    }

    #[test]
    fn an_opening_knows_its_place_and_perimeter() {
        let points = [(0.0, 0.0), (3.0, 0.0), (0.0, 4.0)];
        let points = points.map(|(x, y)| Point::new(x, y, 0.0));
        let edges = Edges::collect(&[[0, 1, 2]], 3);
        let hole = opening(&loops(&edges)[0], &edges, &points).unwrap();
        assert!((hole.perimeter_mm - 12.0).abs() < 1e-12);
        // Edge middles (1.5, 0), (1.5, 2), (0, 2) weighted by 3, 5, 4.
        assert!((hole.at - Point::new(1.0, 1.5, 0.0)).norm() < 1e-12);
        assert_eq!(hole.edges, 3);
    }

    #[test]
    fn a_lid_is_refused_where_the_loop_is_bent_or_large() {
        let square = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)];
        let mut points = square.map(|(x, y)| Point::new(x, y, 0.0));
        let around = vec![0, 1, 2, 3];
        let part =
            |size: f64| Aabb::around(&[Point::origin(), Point::new(size, size, size)]);
        assert_eq!(lid(&around, &points, &part(20.0)).unwrap().len(), 2);
        assert!(lid(&around, &points, &part(5.0)).is_none());
        points[2].z = 0.3;
        assert!(lid(&around, &points, &part(20.0)).is_none());
    }
}
