//! Where a bundle of parallel lines runs inside the part.
//!
//! The lines stand four to a cell along each of the other two axes, and some of them in
//! the planes between cells. Each crossing of the surface counts up or down by the side
//! the facet shows (the winding number), and the line is inside where the count is above
//! zero. Two facets that share an edge are distinguished by the same comparison of the same
//! numbers, so no line slips through an edge or meets it twice. A line whose count does
//! not come back to zero has gone through a hole of the mesh: it says nothing, and the
//! lines along the other two axes answer.

use rayon::prelude::*;

use super::grid::Lattice;
use crate::mesh::TriMesh;

/// Lines a cell along each axis.
pub(super) const FINE: usize = 4;

/// The lines along one axis.
pub(super) struct Scan {
    /// The axis they run along.
    pub(super) axis: usize,
    /// Stretches inside the part, in the order of the lines.
    pub(super) spans: Vec<Span>,
    /// Lines that met a hole of the mesh.
    pub(super) broken: Vec<[u32; 2]>,
}

/// A stretch of a line inside the part.
#[derive(Clone, Copy)]
pub(super) struct Span {
    /// The line, by its place in the fine lattice across the axis.
    pub(super) line: [u32; 2],
    /// Where it begins, in cells.
    pub(super) from: f32,
    /// Where it ends, in cells.
    pub(super) to: f32,
}

struct Crossing {
    line: [u32; 2],
    at: f32,
    enters: bool,
}

/// Sends the lines along `axis` through `mesh`.
pub(super) fn along(mesh: &TriMesh, lattice: &Lattice, axis: usize) -> Scan {
    let facets: Vec<usize> = (0..mesh.facets().len()).collect();
    let mut crossings: Vec<Crossing> = facets
        .par_chunks(1024)
        .flat_map_iter(|chunk| {
            let mut found = Vec::new();
            for &facet in chunk {
                cross(mesh, lattice, facet, axis, &mut found);
            }
            found
        })
        .collect();
    crossings.par_sort_unstable_by(|a, b| {
        let place = a.line.cmp(&b.line).then(a.at.total_cmp(&b.at));
        place.then(a.enters.cmp(&b.enters))
    });
    let mut scan = Scan { axis, spans: Vec::new(), broken: Vec::new() };
    for line in crossings.chunk_by(|a, b| a.line == b.line) {
        scan.walk(line);
    }
    scan
}

impl Scan {
    fn walk(&mut self, line: &[Crossing]) {
        let Some(first) = line.first() else { return };
        let before = self.spans.len();
        let (mut winding, mut from) = (0, 0.0);
        for crossing in line {
            let was_inside = winding > 0;
            winding += if crossing.enters { 1 } else { -1 };
            match (was_inside, winding > 0) {
                (false, true) => from = crossing.at,
                (true, false) if crossing.at > from => {
                    self.spans.push(Span { line: first.line, from, to: crossing.at });
                }
                _ => {}
            }
        }
        if winding != 0 {
            self.spans.truncate(before);
            self.broken.push(first.line);
        }
    }
}

/// Adds the crossings of one facet.
fn cross(
    mesh: &TriMesh,
    lattice: &Lattice,
    facet: usize,
    axis: usize,
    found: &mut Vec<Crossing>,
) {
    let (u, v) = ((axis + 1) % 3, (axis + 2) % 3);
    let fine = FINE as f64;
    let corners = mesh.corners(facet).map(|corner| {
        let at = lattice.in_cells(&corner);
        [at[u] * fine, at[v] * fine, at[axis]]
    });
    let normal = mesh.normals()[facet];
    let [nu, nv, na] = [normal[u] / fine, normal[v] / fine, normal[axis]];
    let depth = |c: usize| corners.iter().map(move |corner| corner[c]);
    let least = |c: usize| depth(c).fold(f64::INFINITY, f64::min);
    let most = |c: usize| depth(c).fold(f64::NEG_INFINITY, f64::max);
    let (shallow, deep) = (least(2), most(2));
    let across = |axis: usize| (lattice.dims[axis] * FINE) as f64;
    let rows = least(1).ceil().max(0.0)..=most(1).floor().min(across(v));
    let mut row = *rows.start();
    while row <= *rows.end() {
        if let Some((from, to)) = stretch(&corners, row) {
            let mut step = from.ceil().max(0.0);
            while step < to && step <= across(u) {
                let [u0, v0, a0] = corners[0];
                let at = a0 - (nu * (step - u0) + nv * (row - v0)) / na;
                // A facet nearly along the line has no sure depth but its own.
                let at = if at.is_finite() { at.clamp(shallow, deep) } else { shallow };
                let line = [step as u32, row as u32];
                found.push(Crossing { line, at: at as f32, enters: na < 0.0 });
                step += 1.0;
            }
        }
        row += 1.0;
    }
}

/// Where the row runs through the flat facet.
fn stretch(corners: &[[f64; 3]; 3], row: f64) -> Option<(f64, f64)> {
    let mut met = [0.0; 2];
    let mut count = 0;
    for (from, to) in [(0, 1), (1, 2), (2, 0)] {
        let (mut a, mut b) = (corners[from], corners[to]);
        if b[1] < a[1] {
            std::mem::swap(&mut a, &mut b);
        }
        // Half open, so that a corner belongs to one of its two edges.
        if a[1] <= row && row < b[1] && count < 2 {
            met[count] = a[0] + (b[0] - a[0]) * ((row - a[1]) / (b[1] - a[1]));
            count += 1;
        }
    }
    (count == 2).then(|| (met[0].min(met[1]), met[0].max(met[1])))
}
