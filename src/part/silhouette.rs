//! The exact projected area of the part along a direction: outline with holes, area, centroid.
//!
//! Facets that face the direction are one layer or more over every point of the projected area.
//! Their outline (the edges where the next facet faces away) winds once around the
//! projected area for each layer, so the projected area is where the winding is positive. Only these
//! edges, a small share of all, go into the polygon union; it works on 64-bit integers
//! and is exact to about 1e-9 of the size of the part. Where most of many loops are needles thinner
//! than the file is exact, the union takes 32-bit integers: on the fine grid needles that cross at no
//! angle to speak of take minutes, and what the coarse one moves, 1e-9 of the size, is less than
//! what the file leaves open.

use i_overlay::core::fill_rule::FillRule;
use i_overlay::float::simplify::SimplifyShape;

use crate::geom::{Direction, Frame, Point};
use crate::mesh::{TriMesh, neighbors::NONE};

/// Facets of one upright patch are this alike; a wider patch could wrap around a tilted
/// cylinder and lose its lean.
const PATCH_DEG: f64 = 2.0;

/// A projected area.
#[derive(Clone, Debug)]
pub struct Silhouette {
    /// Separate pieces, each an outer outline and then its holes, as corners on the
    /// plane of [`Frame::along`] the direction, mm.
    pub pieces: Vec<Vec<Vec<[f64; 2]>>>,
    /// Area, holes taken out, mm².
    pub area: f64,
    /// Centroid of the area on the same plane; the origin of an empty projected area.
    pub centroid: [f64; 2],
}

/// The projected area of `mesh` along `direction`; `neighbors` as of
/// [`crate::mesh::neighbors::find`]. The facets of an open mesh count on both sides.
pub fn along(mesh: &TriMesh, neighbors: &[[u32; 3]], direction: Direction) -> Silhouette {
    let frame = Frame::along(direction);
    let edges = outline(mesh, neighbors, direction);
    // About the middle of the part, so that a part far away keeps its digits.
    let middle =
        if edges.is_empty() { [0.0; 2] } else { frame.flatten(&mesh.bounds().center()) };
    let flat = |corner: u32| {
        let [x, y] = frame.flatten(&mesh.points()[corner as usize]);
        [x - middle[0], y - middle[1]]
    };
    let loops: Vec<Vec<[f64; 2]>> = chain(edges)
        .into_iter()
        .map(|ring| ring.into_iter().map(flat).collect())
        .collect();
    let finest = mesh.rounding();
    let needles = loops.iter().filter(|ring| is_needle(ring, finest)).count();
    let mut pieces = if needles > FEW_NEEDLES && 2 * needles > loops.len() {
        loops.simplify_shape_as::<i32>(FillRule::Positive)
    } else {
        loops.simplify_shape_as::<i64>(FillRule::Positive)
    };
    let mut area: f64 = 0.0;
    let mut moment = [0.0; 2];
    for ring in pieces.iter().flatten() {
        for (from, to) in ring.iter().zip(ring.iter().cycle().skip(1)) {
            let cross = (from[0] * to[1] - to[0] * from[1]) / 2.0;
            area += cross;
            for axis in 0..2 {
                moment[axis] += cross * (from[axis] + to[axis]) / 3.0;
            }
        }
    }
    let centroid = if area > 0.0 {
        [moment[0] / area + middle[0], moment[1] / area + middle[1]]
    } else {
        middle
    };
    for corner in pieces.iter_mut().flatten().flatten() {
        *corner = [corner[0] + middle[0], corner[1] + middle[1]];
    }
    // The sum of nothing has a sign too.
    Silhouette { pieces, area: area.max(0.0), centroid }
}

/// So many needles cost nothing to speak of on the fine grid: upright walls of a turned part are
/// such.
const FEW_NEEDLES: usize = 64;

/// Whether a loop is thinner than `finest` in the mean: twice its area over its perimeter.
fn is_needle(ring: &[[f64; 2]], finest: f64) -> bool {
    let mut twice_area = 0.0;
    let mut perimeter = 0.0;
    for (from, to) in ring.iter().zip(ring.iter().cycle().skip(1)) {
        twice_area += from[0] * to[1] - to[0] * from[1];
        perimeter += (to[0] - from[0]).hypot(to[1] - from[1]);
    }
    twice_area.abs() < finest * perimeter
}

impl Silhouette {
    /// The centroid as a point of the part, at mid-height along `direction`.
    pub fn centroid_in_part(&self, mesh: &TriMesh, direction: Direction) -> Point {
        let frame = Frame::along(direction);
        frame.raise(self.centroid, frame.height(&mesh.bounds().center()))
    }
}

/// Directed edges around the facets that face `direction`; where the neighbor is
/// missing, the facet counts from whichever side it shows.
fn outline(
    mesh: &TriMesh,
    neighbors: &[[u32; 3]],
    direction: Direction,
) -> Vec<[u32; 2]> {
    let facing = facing(mesh, neighbors, direction);
    let is_open = neighbors.iter().flatten().any(|&across| across == NONE);
    let mut edges = Vec::new();
    for (facet, corners) in mesh.facets().iter().enumerate() {
        if !facing[facet] && !is_open {
            continue;
        }
        for side in 0..3 {
            let across = neighbors[facet][side];
            if across != NONE && facing[across as usize] == facing[facet] {
                continue;
            }
            let [from, to] = [corners[side], corners[(side + 1) % 3]];
            edges.push(if facing[facet] { [from, to] } else { [to, from] });
        }
    }
    edges
}

/// Which facets face `direction`. Rounding tilts the facets of an upright wall to and
/// fro; one by one they would fray the outline into thousands of overlapping slivers. So
/// those whose tilt is within rounding are decided patch by patch, by which way the patch
/// leans as a whole. What this shifts is less than the rounding itself.
fn facing(mesh: &TriMesh, neighbors: &[[u32; 3]], direction: Direction) -> Vec<bool> {
    let lean: Vec<f64> =
        mesh.normals().iter().map(|normal| direction.dot(normal)).collect();
    let rounding = mesh.rounding();
    let unsure: Vec<bool> = lean
        .iter()
        .enumerate()
        .map(|(facet, lean)| lean.abs() * mesh.least_height(facet) < 2.0 * rounding)
        .collect();
    let mut facing: Vec<bool> = lean.iter().map(|&lean| lean > 0.0).collect();
    let mut decided: Vec<bool> = unsure.iter().map(|unsure| !unsure).collect();
    let alike = PATCH_DEG.to_radians().cos();
    let mut patch = Vec::new();
    for seed in 0..lean.len() {
        if decided[seed] {
            continue;
        }
        decided[seed] = true;
        patch.clear();
        patch.push(seed);
        let mut projected_area = 0.0;
        let mut next = 0;
        while let Some(&facet) = patch.get(next) {
            next += 1;
            projected_area += lean[facet] * mesh.areas()[facet];
            for &across in neighbors[facet].iter().filter(|&&across| across != NONE) {
                let across = across as usize;
                if !decided[across]
                    && mesh.normals()[across].dot(&mesh.normals()[seed]) > alike
                {
                    decided[across] = true;
                    patch.push(across);
                }
            }
        }
        for &facet in &patch {
            facing[facet] = projected_area > 0.0;
        }
    }
    facing
}

/// Closed loops through directed edges that leave each corner as often as they enter it.
fn chain(mut edges: Vec<[u32; 2]>) -> Vec<Vec<u32>> {
    edges.sort_unstable();
    let mut taken = vec![false; edges.len()];
    let mut loops = Vec::new();
    for start in 0..edges.len() {
        if taken[start] {
            continue;
        }
        let mut ring = Vec::new();
        let mut edge = start;
        loop {
            taken[edge] = true;
            ring.push(edges[edge][0]);
            let next = edges[edge][1];
            let first = edges.partition_point(|&[from, _]| from < next);
            let onward = (first..edges.len())
                .take_while(|&other| edges[other][0] == next)
                .find(|&other| !taken[other]);
            match onward {
                Some(other) => edge = other,
                None => break,
            }
        }
        loops.push(ring);
    }
    loops
}
