//! How much of each cell, and of each face between cells, is plastic.
//!
//! Lines along all three axes measure the same share. Lines across a wall measure it to
//! rounding; lines along it are wholly in or wholly out, and so are only as good as they
//! are close. So each axis counts by how little its own lines differ among themselves.

use rayon::prelude::*;

use super::grid::{Grid, Lattice};
use crate::fill::scan_lines::{self, FINE, Scan, Span};
use crate::mesh::TriMesh;

/// Added to the spread of the lines of an axis: about the error that is left when they
/// agree.
const LEAST_SPREAD: f32 = 2e-4;

/// Cells with less plastic than this are left out: they carry nothing, and the volume is
/// made up for.
const LEAST_SHARE: f32 = 0.01;

/// The cells and what of them is plastic.
pub(super) struct Fractions {
    /// The cells.
    pub(super) grid: Grid,
    /// Share of each that is plastic.
    pub(super) share: Vec<f32>,
    /// Share that is plastic of the faces towards +x, +y and +z of each.
    pub(super) open: Vec<[f32; 3]>,
}

/// Lines of one axis in one cell: sum of shares, of their squares, and the weight of the
/// lines that are lost; for the cell, and for its two faces along the lines.
type Sums = [[f32; 3]; 3];

/// Measures `mesh` on `lattice`.
pub(super) fn measure(mesh: &TriMesh, lattice: Lattice) -> Fractions {
    let scans = [0, 1, 2].map(|axis| scan_lines::along(mesh, &lattice, axis));
    let grid = Grid::new(lattice, |mark| {
        for (axis, span) in scans.iter().flat_map(|s| s.spans.iter().map(|p| (s.axis, p)))
        {
            each_piece(span, &mut |along, _| {
                for (u, v, _) in beside(span.line) {
                    mark(turned(axis, [along, u, v]));
                }
            });
        }
    });
    let sums: Vec<Vec<Sums>> = scans.par_iter().map(|scan| sums(&grid, scan)).collect();
    let share = (0..grid.cells.len())
        .into_par_iter()
        .map(|cell| blend([0, 1, 2].map(|axis| sums[axis][cell][0])))
        .collect();
    let open = (0..grid.cells.len())
        .into_par_iter()
        .map(|cell| {
            [0, 1, 2].map(|axis| {
                // The face across x is measured by the lines along y, for which x is the
                // second axis across, and those along z, for which it is the first.
                let [second, first] = [(axis + 1) % 3, (axis + 2) % 3];
                blend([sums[second][cell][2], sums[first][cell][1], [0.0, 0.0, 1.0]])
            })
        })
        .collect();
    Fractions { grid, share, open }.without_crumbs()
}

impl Fractions {
    /// The same without cells of next to no plastic.
    fn without_crumbs(self) -> Self {
        let kept: Vec<usize> = (0..self.share.len())
            .filter(|&cell| self.share[cell] > LEAST_SHARE)
            .collect();
        let old = self.grid;
        let grid = Grid::new(old.lattice.clone(), |mark| {
            for &cell in &kept {
                mark(old.cells[cell].map(usize::from));
            }
        });
        Self {
            grid,
            share: kept.iter().map(|&cell| self.share[cell]).collect(),
            open: kept.iter().map(|&cell| self.open[cell]).collect(),
        }
    }
}

/// The share that the three axes agree on.
fn blend(axes: [[f32; 3]; 3]) -> f32 {
    let (mut total, mut weights) = (0.0, 0.0);
    for [sum, squares, lost] in axes {
        let counted = 1.0 - lost;
        if counted > 0.1 {
            let mean = (sum / counted).min(1.0);
            let spread = (squares / counted - mean * mean).max(0.0);
            let weight = counted / (spread + LEAST_SPREAD);
            total += weight * mean;
            weights += weight;
        }
    }
    if weights > 0.0 { total / weights } else { 0.0 }
}

/// What the lines of `scan` say of each cell.
fn sums(grid: &Grid, scan: &Scan) -> Vec<Sums> {
    let mut sums = vec![Sums::default(); grid.cells.len()];
    // A line that leaves a cell and comes back counts twice in the squares: the spread is
    // a little off then, never the share.
    for span in &scan.spans {
        each_piece(span, &mut |along, share| {
            for_owners(grid, scan.axis, span.line, along, &mut |cell, what, weight| {
                sums[cell][what][0] += weight * share;
                sums[cell][what][1] += weight * share * share;
            });
        });
    }
    for &line in &scan.broken {
        for along in 0..grid.lattice.dims[scan.axis] {
            for_owners(grid, scan.axis, line, along, &mut |cell, what, weight| {
                sums[cell][what][2] += weight;
            });
        }
    }
    sums
}

/// Calls `found` for each cell along the line that `span` runs through, with the share of
/// its edge.
fn each_piece(span: &Span, found: &mut dyn FnMut(usize, f32)) {
    let (first, last) = (span.from.floor().max(0.0), span.to.floor());
    let mut step = first;
    while step <= last {
        let share = span.to.min(step + 1.0) - span.from.max(step);
        if share > 0.0 {
            found(step as usize, share);
        }
        step += 1.0;
    }
}

/// Calls `found` for what the line measures at `along`: the cells around it (0), the faces
/// in whose plane it runs across the first (1) and the second (2) axis, each named by the
/// cell below it, with the weight of this line among those that measure the same.
fn for_owners(
    grid: &Grid,
    axis: usize,
    line: [u32; 2],
    along: usize,
    found: &mut dyn FnMut(usize, usize, f32),
) {
    let in_plane = line.map(|step| (step as usize).is_multiple_of(FINE));
    let below = line.map(|step| (step as usize / FINE).wrapping_sub(1));
    for (u, v, weights) in beside(line) {
        let Some(cell) = grid.find(turned(axis, [along, u, v])) else { continue };
        found(cell, 0, weights[0] * weights[1]);
        if in_plane[0] && u == below[0] {
            found(cell, 1, weights[1]);
        }
        if in_plane[1] && v == below[1] {
            found(cell, 2, weights[0]);
        }
    }
}

/// The one, two or four columns of cells around a line, with its weight across each axis:
/// that of the trapezoid rule.
fn beside(line: [u32; 2]) -> impl Iterator<Item = (usize, usize, [f32; 2])> {
    let sides = line.map(|step| {
        let (cell, rest) = (step as usize / FINE, step as usize % FINE);
        let whole = 1.0 / FINE as f32;
        let above = (cell, if rest == 0 { whole / 2.0 } else { whole });
        let below = (rest == 0 && cell > 0).then(|| (cell - 1, whole / 2.0));
        [Some(above), below]
    });
    let [first, second] = sides;
    first.into_iter().flatten().flat_map(move |(u, wu)| {
        second.into_iter().flatten().map(move |(v, wv)| (u, v, [wu, wv]))
    })
}

/// Coordinates of the cell that is `[along, u, v]` seen along `axis`.
fn turned(axis: usize, [along, u, v]: [usize; 3]) -> [usize; 3] {
    let mut at = [0; 3];
    at[axis] = along;
    at[(axis + 1) % 3] = u;
    at[(axis + 2) % 3] = v;
    at
}
