//! Which cells of a cubic grid hold plastic, and where a cell stands.
//!
//! A part fills a few percent of the box around it, so only one bit is kept for each
//! place in the box; the cells that hold plastic are numbered in the order of their bits.

use crate::geom::{Aabb, Point, Vector};

/// No more places than this in the box: numbers of cells and places stay well in range,
/// and the bits take no more than 200 MB.
const MOST_PLACES: f64 = 1.0e9;

/// Cells along an edge of the box at most, so that a coordinate fits 16 bits.
const MOST_ALONG: f64 = 60_000.0;

/// The cubic lattice around a part.
#[derive(Clone, Debug)]
pub(super) struct Lattice {
    /// The corner that coordinates count from, mm.
    origin: Point,
    /// Edge of a cell, mm.
    pub(super) edge_mm: f64,
    /// Cells along each axis.
    pub(super) dims: [usize; 3],
}

impl Lattice {
    /// A lattice around `bounds` with cells of about `edge_mm`; larger ones where the box
    /// would have too many places.
    pub(super) fn around(bounds: &Aabb, edge_mm: f64) -> Self {
        let size = bounds.size();
        let crowded = (size.x * size.y * size.z / MOST_PLACES).cbrt();
        let edge_mm = edge_mm.max(crowded).max(size.amax() / MOST_ALONG);
        // The slack of the last cell is split evenly. The whole lattice is moved by parts
        // of a thousandth of a cell, so that walls on whole coordinates do not lie in its
        // planes.
        let along = |axis: usize| ((size[axis] / edge_mm - 1e-6).ceil() as usize).max(1);
        let dims = [0, 1, 2].map(along);
        let shift = [0.37e-3, 0.29e-3, 0.43e-3];
        let corner = |axis: usize| {
            let slack = dims[axis] as f64 * edge_mm - size[axis];
            bounds.min[axis] - 0.5 * slack - shift[axis] * edge_mm
        };
        let origin = Point::new(corner(0), corner(1), corner(2));
        // One cell more takes what the move has pushed out.
        Self { origin, edge_mm, dims: dims.map(|count| count + 1) }
    }

    /// `point` in cells from the corner.
    pub(super) fn in_cells(&self, point: &Point) -> Vector {
        (point - self.origin) / self.edge_mm
    }

    /// The middle of the cell `at`, mm.
    pub(super) fn middle(&self, at: [u16; 3]) -> Point {
        let steps = at.map(|step| (f64::from(step) + 0.5) * self.edge_mm);
        self.origin + Vector::from(steps)
    }

    fn place(&self, at: [usize; 3]) -> usize {
        (at[0] * self.dims[1] + at[1]) * self.dims[2] + at[2]
    }
}

/// The cells that hold plastic, numbered.
#[derive(Clone, Debug)]
pub(super) struct Grid {
    /// Where they stand.
    pub(super) lattice: Lattice,
    /// One bit a place.
    bits: Vec<u64>,
    /// How many cells come before each word.
    before: Vec<u32>,
    /// Coordinates of each cell.
    pub(super) cells: Vec<[u16; 3]>,
}

impl Grid {
    /// A grid of the cells that `mark` is called for by `fill`.
    pub(super) fn new(
        lattice: Lattice,
        fill: impl FnOnce(&mut dyn FnMut([usize; 3])),
    ) -> Self {
        let [x, y, z] = lattice.dims;
        let mut bits = vec![0_u64; (x * y * z).div_ceil(64)];
        fill(&mut |at| {
            let place = lattice.place(at);
            if let Some(word) = bits.get_mut(place / 64) {
                *word |= 1 << (place % 64);
            }
        });
        let mut before = Vec::with_capacity(bits.len());
        let mut cells = Vec::new();
        for (index, &word) in bits.iter().enumerate() {
            before.push(cells.len() as u32);
            let mut left = word;
            while left != 0 {
                let place = index * 64 + left.trailing_zeros() as usize;
                cells.push([place / (y * z), place / z % y, place % z].map(|c| c as u16));
                left &= left - 1;
            }
        }
        Self { lattice, bits, before, cells }
    }

    /// The number of the cell at `at`, when it holds plastic.
    pub(super) fn find(&self, at: [usize; 3]) -> Option<usize> {
        let inside = (0..3).all(|axis| at[axis] < self.lattice.dims[axis]);
        let place = if inside { self.lattice.place(at) } else { return None };
        let word = *self.bits.get(place / 64)?;
        let bit = 1_u64 << (place % 64);
        let below = (word & (bit - 1)).count_ones();
        (word & bit != 0).then(|| (self.before[place / 64] + below) as usize)
    }

    /// The cell beside `cell` along `axis`.
    pub(super) fn beyond(&self, cell: usize, axis: usize) -> Option<usize> {
        let mut at = self.cells[cell].map(usize::from);
        at[axis] += 1;
        self.find(at)
    }

    /// The middle of `cell`, mm.
    pub(super) fn middle(&self, cell: usize) -> Point {
        self.lattice.middle(self.cells[cell])
    }

    /// Calls `found` for each cell with its middle within `radius` mm of `center`, looking
    /// at every `stride`-th place along each axis.
    pub(super) fn within(
        &self,
        center: &Point,
        radius: f64,
        stride: usize,
        found: &mut dyn FnMut(usize),
    ) {
        let middle = self.lattice.in_cells(center).add_scalar(-0.5);
        let reach = radius / self.lattice.edge_mm;
        let span = |axis: usize| {
            let low = (middle[axis] - reach).ceil().max(0.0);
            let high = (middle[axis] + reach).floor();
            let last = self.lattice.dims[axis] as f64 - 1.0;
            (low as usize, if high < low { -1.0 } else { high.min(last) })
        };
        let [(x0, x1), (y0, y1), (z0, z1)] = [span(0), span(1), span(2)];
        let places = |low: usize, high: f64| {
            (low..).step_by(stride).take_while(move |&c| c as f64 <= high)
        };
        let columns = places(x0, x1).flat_map(|x| places(y0, y1).map(move |y| (x, y)));
        for (x, y) in columns {
            let flat = (x as f64 - middle.x).powi(2) + (y as f64 - middle.y).powi(2);
            let is_near =
                |z: &usize| flat + (*z as f64 - middle.z).powi(2) <= reach * reach;
            let column = places(z0, z1).filter(is_near);
            column.filter_map(|z| self.find([x, y, z])).for_each(&mut *found);
        }
    }
}
