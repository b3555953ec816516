//! Samples by place, so that those near a point are found at once.

use rayon::prelude::*;

use super::samples::Samples;
use super::tri_mesh::TriMesh;
use crate::geom::{Aabb, Point, Vector};

/// A grid has at most this many cells along an edge: a part like a wire would otherwise
/// ask for billions.
const MOST_CELLS: f64 = 256.0;

/// Samples sorted into cubic cells.
pub struct SampleGrid<'a> {
    samples: &'a Samples,
    bounds: Aabb,
    cell: f64,
    cells: [usize; 3],
    /// Where the samples of each cell start in `order`.
    starts: Vec<u32>,
    order: Vec<u32>,
}

impl<'a> SampleGrid<'a> {
    /// Sorts `samples` into cells of about `reach` mm, so that all within `reach` of a
    /// point lie in the cells around it.
    pub fn new(samples: &'a Samples, reach: f64) -> Self {
        let bounds = if samples.is_empty() {
            Aabb { min: Point::origin(), max: Point::origin() }
        } else {
            Aabb::around(&samples.points)
        };
        let size = bounds.size();
        let cell = reach.max(size.amax() / MOST_CELLS).max(f64::MIN_POSITIVE);
        let cells = [size.x, size.y, size.z].map(|edge| (edge / cell) as usize + 1);
        let mut grid =
            Self { samples, bounds, cell, cells, starts: Vec::new(), order: Vec::new() };
        let homes: Vec<usize> =
            samples.points.iter().map(|point| grid.index(grid.home(point))).collect();
        let mut starts = vec![0_u32; cells.iter().product::<usize>() + 1];
        for &home in &homes {
            starts[home + 1] += 1;
        }
        for cell in 1..starts.len() {
            starts[cell] += starts[cell - 1];
        }
        let mut next = starts.clone();
        let mut order = vec![0; homes.len()];
        for (sample, &home) in homes.iter().enumerate() {
            order[next[home] as usize] = sample as u32;
            next[home] += 1;
        }
        grid.starts = starts;
        grid.order = order;
        grid
    }

    /// The samples in the cells around `point`: all within the reach, and some more.
    pub fn near(&self, point: &Point) -> impl Iterator<Item = usize> {
        let home = self.home(point);
        let around = [0, 1, 2].map(|axis| {
            home[axis].saturating_sub(1)..(home[axis] + 2).min(self.cells[axis])
        });
        let [x, y, z] = around;
        x.flat_map(move |i| y.clone().map(move |j| [i, j])).flat_map(move |[i, j]| {
            // Cells along z lie one after another.
            let first = self.index([i, j, z.start]);
            let last = self.index([i, j, z.end - 1]);
            let span = self.starts[first] as usize..self.starts[last + 1] as usize;
            self.order[span].iter().map(|&sample| sample as usize)
        })
    }

    /// The nearest sample around `point` that faces the same way as `normal`.
    pub fn nearest_facing(&self, point: &Point, normal: &Vector) -> Option<usize> {
        let facing = |&sample: &usize| self.samples.normals[sample].dot(normal) > 0.5;
        let away = |sample: usize| (self.samples.points[sample] - point).norm_squared();
        self.near(point)
            .filter(facing)
            .min_by(|&a, &b| away(a).total_cmp(&away(b)).then(a.cmp(&b)))
    }

    fn home(&self, point: &Point) -> [usize; 3] {
        let offset = (point - self.bounds.min) / self.cell;
        // A negative number becomes zero.
        [0, 1, 2].map(|axis| (offset[axis] as usize).min(self.cells[axis] - 1))
    }

    fn index(&self, [i, j, k]: [usize; 3]) -> usize {
        (i * self.cells[1] + j) * self.cells[2] + k
    }
}

/// For every corner of `mesh`, the outward normal (the mean of the facets around it) and
/// the nearest sample that faces the same way.
pub fn at_corners(mesh: &TriMesh, samples: &Samples) -> Vec<(Vector, Option<usize>)> {
    let mut normals = vec![Vector::zeros(); mesh.points().len()];
    for (facet, corners) in mesh.facets().iter().enumerate() {
        for &corner in corners {
            normals[corner as usize] += mesh.normals()[facet] * mesh.areas()[facet];
        }
    }
    let grid = SampleGrid::new(samples, 2.0 * samples.spacing());
    normals
        .into_par_iter()
        .zip(mesh.points())
        .map(|(normal, point)| {
            let unit = normal.try_normalize(0.0).unwrap_or_default();
            (unit, grid.nearest_facing(point, &unit))
        })
        .collect()
}
