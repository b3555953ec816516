//! The pressure field of one instant, once every conductance is known.
//!
//! Each filled cell passes on what it gets: Σ c (p − p′) = 0 over its neighbors, with the
//! gate at its pressure and the front at none. The matrix is symmetric and positive; conjugate
//! gradients solve it, with one multigrid cycle over the groups of [`crate::fill::multigrid_levels`] as
//! the preconditioner, so the work grows with the number of cells and no faster.
//!
//! Every sum runs in a fixed order, whatever the number of threads.

use rayon::prelude::*;

use crate::fill::multigrid_levels::{INNER, Level};

/// Cells summed or swept at a time. One thread has done that many before another wakes.
const CHUNK: usize = 8192;

/// A link of twice the length over four times the area, summed from four, conducts half
/// of that sum (Braess, *Computing* 55, 1995, has the same factor for algebraic groups).
const COARSER: f64 = 0.5;

/// The way from a cell to the front or the gate doubles too, but only in part.
const COARSER_END: f64 = 0.7;

/// Half sweeps on the last level; odd, so that the cycle stays symmetric.
const LAST_SWEEPS: usize = 21;

/// Rounds of conjugate gradients; ten to thirty are usual.
const ROUNDS: usize = 400;

/// The equations of one instant.
pub(super) struct System<'a> {
    levels: &'a [Level],
    matrices: Vec<Matrix>,
    right: Vec<f64>,
}

/// The rows of the unknown cells of one level.
struct Matrix {
    /// Where the entries of each cell begin; one more than cells.
    start: Vec<u32>,
    /// Neighbors that are unknown too, with the conductance to each.
    entries: Vec<(u32, f64)>,
    /// Sum of all conductances of a cell; 0 for cells that are not unknown.
    diagonal: Vec<f64>,
    /// The unknown cells, red and black.
    colors: [Vec<u32>; 2],
}

impl<'a> System<'a> {
    /// Equations with the conductance `links` of each link between two unknown cells (0
    /// for any other), `ends` of each cell to the gate and the front together, and `right`
    /// the flow that each cell gets from the gate.
    pub(super) fn new(
        levels: &'a [Level],
        links: &[f64],
        ends: &[f64],
        right: Vec<f64>,
    ) -> Self {
        let mut matrices = Vec::with_capacity(levels.len());
        let (mut links, mut ends) = (links.to_vec(), ends.to_vec());
        for level in levels {
            matrices.push(Matrix::new(level, &links, &ends));
            let [groups, outer] = level.next;
            let mut next = vec![0.0; outer];
            for (link, &to) in level.merged.iter().enumerate() {
                if to != INNER {
                    next[to as usize] += COARSER * links[link];
                }
            }
            let mut next_ends = vec![0.0; groups];
            for (cell, &to) in level.group.iter().enumerate() {
                next_ends[to as usize] += COARSER_END * ends[cell];
            }
            (links, ends) = (next, next_ends);
        }
        Self { levels, matrices, right }
    }

    /// Improves `pressure` until what is left over is `tolerance` of the right side. Gives
    /// the rounds that took.
    pub(super) fn solve(&self, pressure: &mut [f64], tolerance: f64) -> usize {
        let Some(matrix) = self.matrices.first() else { return 0 };
        for (p, diagonal) in pressure.iter_mut().zip(&matrix.diagonal) {
            if *diagonal <= 0.0 {
                *p = 0.0;
            }
        }
        let goal = tolerance * dot(&self.right, &self.right).sqrt();
        let zeros = vec![0.0; pressure.len()];
        let [mut rest, mut way, mut drawn] =
            [zeros.clone(), zeros.clone(), zeros.clone()];
        for color in [RED, BLACK] {
            matrix.rest(&self.right, pressure, color, &mut rest);
        }
        let mut scratch: Vec<Scratch> = self.levels.iter().map(Scratch::new).collect();
        let mut last = f64::INFINITY;
        for round in 0..ROUNDS {
            if dot(&rest, &rest).sqrt() <= goal {
                return round;
            }
            let Some(finest) = scratch.first_mut() else { return round };
            finest.right.copy_from_slice(&rest);
            cycle(self.levels, &self.matrices, &mut scratch);
            let Some(guess) = scratch.first().map(|own| &own.x) else { return round };
            let now = dot(&rest, guess);
            let keep = if last.is_finite() { now / last } else { 0.0 };
            update(&mut way, |i, old| guess[i] + keep * old);
            // What is left of nothing is the matrix times the way with its sign turned.
            for color in [RED, BLACK] {
                matrix.rest(&zeros, &way, color, &mut drawn);
            }
            let step = -now / dot(&way, &drawn);
            if !step.is_finite() {
                return round;
            }
            update(pressure, |i, old| old + step * way[i]);
            update(&mut rest, |i, old| old + step * drawn[i]);
            last = now;
        }
        ROUNDS
    }

    /// The matrix as (row, column, value), the unknown cells only, and the right side of
    /// every cell: for a check by another program.
    pub(super) fn triplets(&self) -> (Vec<(u32, u32, f64)>, &[f64]) {
        let mut triplets = Vec::new();
        if let Some(matrix) = self.matrices.first() {
            for (cell, &diagonal) in
                matrix.diagonal.iter().enumerate().filter(|d| *d.1 > 0.0)
            {
                let cell = cell as u32;
                triplets.push((cell, cell, diagonal));
                let others = matrix.entries(cell).iter();
                triplets.extend(others.map(|&(other, value)| (cell, other, -value)));
            }
        }
        (triplets, &self.right)
    }
}

/// Places of the colors in [`Matrix::colors`].
const RED: usize = 0;
const BLACK: usize = 1;

impl Matrix {
    fn new(level: &Level, links: &[f64], ends: &[f64]) -> Self {
        let count = level.len();
        let mut matrix = Self {
            start: Vec::with_capacity(count + 1),
            entries: Vec::with_capacity(level.beside.len()),
            diagonal: Vec::with_capacity(count),
            colors: [Vec::with_capacity(count / 2), Vec::with_capacity(count / 2)],
        };
        matrix.start.push(0);
        for (cell, &end) in ends.iter().enumerate() {
            let mut sum = end;
            for &(other, link) in level.beside(cell) {
                let conductance = links[link as usize];
                if conductance > 0.0 {
                    sum += conductance;
                    matrix.entries.push((other, conductance));
                }
            }
            if sum > 0.0 {
                let color = if level.red[cell] { RED } else { BLACK };
                matrix.colors[color].push(cell as u32);
            }
            matrix.diagonal.push(sum);
            matrix.start.push(matrix.entries.len() as u32);
        }
        matrix
    }

    fn entries(&self, cell: u32) -> &[(u32, f64)] {
        let [from, to] = [0, 1].map(|step| self.start[cell as usize + step] as usize);
        &self.entries[from..to]
    }

    /// What the neighbors of `cell` send to it.
    fn sent(&self, cell: u32, x: &[f64]) -> f64 {
        self.entries(cell).iter().map(|&(other, value)| value * x[other as usize]).sum()
    }

    /// Sets `out` to `right` less the matrix times `x` in the unknown cells of `color`.
    fn rest(&self, right: &[f64], x: &[f64], color: usize, out: &mut [f64]) {
        scatter(&self.colors[color], out, x, |cell, x| {
            let at = cell as usize;
            right[at] + self.sent(cell, x) - self.diagonal[at] * x[at]
        });
    }

    /// Solves for the cells of one color, the others as they are.
    fn sweep(&self, right: &[f64], color: usize, x: &mut [f64]) {
        let rows = &self.colors[color];
        let solved = |cell: u32, x: &[f64]| {
            (right[cell as usize] + self.sent(cell, x)) / self.diagonal[cell as usize]
        };
        if rows.len() < 4 * CHUNK {
            for &cell in rows {
                x[cell as usize] = solved(cell, x);
            }
            return;
        }
        let seen: &[f64] = x;
        let new: Vec<f64> =
            rows.par_iter().with_min_len(CHUNK).map(|&cell| solved(cell, seen)).collect();
        for (&cell, new) in rows.iter().zip(new) {
            x[cell as usize] = new;
        }
    }
}

/// Sets `out` at each of `rows` to a value that does not depend on `out`.
fn scatter(
    rows: &[u32],
    out: &mut [f64],
    x: &[f64],
    value: impl Fn(u32, &[f64]) -> f64 + Sync,
) {
    if rows.len() < 4 * CHUNK {
        for &cell in rows {
            out[cell as usize] = value(cell, x);
        }
        return;
    }
    let new: Vec<f64> =
        rows.par_iter().with_min_len(CHUNK).map(|&cell| value(cell, x)).collect();
    for (&cell, new) in rows.iter().zip(new) {
        out[cell as usize] = new;
    }
}

/// What one level works with.
struct Scratch {
    right: Vec<f64>,
    x: Vec<f64>,
    rest: Vec<f64>,
}

impl Scratch {
    fn new(level: &Level) -> Self {
        let zeros = || vec![0.0; level.len()];
        Self { right: zeros(), x: zeros(), rest: zeros() }
    }
}

/// One multigrid cycle from nothing: one sweep over both colors down, one in the opposite
/// order up, so that the whole is symmetric.
fn cycle(levels: &[Level], matrices: &[Matrix], scratch: &mut [Scratch]) {
    let (Some((level, coarser)), Some((matrix, coarser_matrices)), Some((own, below))) =
        (levels.split_first(), matrices.split_first(), scratch.split_first_mut())
    else {
        return;
    };
    let Scratch { right, x, rest } = own;
    x.fill(0.0);
    matrix.sweep(right, RED, x);
    matrix.sweep(right, BLACK, x);
    let Some(next) = below.first_mut() else {
        for sweep in 2..LAST_SWEEPS {
            matrix.sweep(right, sweep % 2, x);
        }
        return;
    };
    // The black cells have just been solved and leave nothing over.
    matrix.rest(right, x, RED, rest);
    next.right.fill(0.0);
    for &cell in &matrix.colors[RED] {
        next.right[level.group[cell as usize] as usize] += rest[cell as usize];
    }
    cycle(coarser, coarser_matrices, below);
    if let Some(next) = below.first() {
        for &cell in matrix.colors.iter().flatten() {
            x[cell as usize] += next.x[level.group[cell as usize] as usize];
        }
    }
    matrix.sweep(right, BLACK, x);
    matrix.sweep(right, RED, x);
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    let chunks = a.par_chunks(CHUNK).zip(b.par_chunks(CHUNK));
    let sums: Vec<f64> =
        chunks.map(|(a, b)| a.iter().zip(b).map(|(a, b)| a * b).sum()).collect();
    sums.iter().sum()
}

fn update(values: &mut [f64], new: impl Fn(usize, f64) -> f64 + Sync) {
    values
        .par_iter_mut()
        .with_min_len(CHUNK)
        .enumerate()
        .for_each(|(index, value)| *value = new(index, *value));
}
