//! The pressure field of one instant, once every conductance is known.
//!
//! Each filled cell passes on what it gets: Σ c (p − p_beside) = 0, with the gate at its
//! pressure and the front at none. The matrix is symmetric and positive; conjugate
//! gradients solve it, with one multigrid cycle over the groups of [`super::levels`] as
//! the preconditioner, so the work grows with the number of cells and no faster.
//!
//! Every sum runs in a fixed order, whatever the number of threads.

use rayon::prelude::*;

use super::levels::{INNER, Level};

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

#[derive(Default)]
struct Matrix {
    /// Conductance to each entry of `Level::beside`; 0 to cells that are not unknown.
    beside: Vec<f64>,
    /// Sum of all conductances of a cell; 0 for cells that are not unknown.
    diagonal: Vec<f64>,
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
            let groups = level.group.iter().max().map_or(0, |&last| last as usize + 1);
            let outer = level.merged.iter().filter(|&&link| link != INNER).max();
            let mut next = vec![0.0; outer.map_or(0, |&last| last as usize + 1)];
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
        let (Some(level), Some(matrix)) = (self.levels.first(), self.matrices.first())
        else {
            return 0;
        };
        for (p, diagonal) in pressure.iter_mut().zip(&matrix.diagonal) {
            if *diagonal <= 0.0 {
                *p = 0.0;
            }
        }
        let goal = tolerance * dot(&self.right, &self.right).sqrt();
        let mut rest = matrix.rest(level, &self.right, pressure);
        let mut scratch: Vec<Scratch> = self.levels.iter().map(Scratch::new).collect();
        let mut way: Vec<f64> = vec![0.0; rest.len()];
        let mut last = f64::INFINITY;
        let zeros = vec![0.0; rest.len()];
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
            // A·way is what is left of nothing, with the sign turned.
            let drawn = matrix.rest(level, &zeros, &way);
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
        if let (Some(level), Some(matrix)) = (self.levels.first(), self.matrices.first())
        {
            for (cell, &diagonal) in
                matrix.diagonal.iter().enumerate().filter(|d| *d.1 > 0.0)
            {
                triplets.push((cell as u32, cell as u32, diagonal));
                let first = level.start[cell] as usize;
                for (step, &(other, _)) in level.beside(cell).iter().enumerate() {
                    let value = matrix.beside[first + step];
                    if value > 0.0 {
                        triplets.push((cell as u32, other, -value));
                    }
                }
            }
        }
        (triplets, &self.right)
    }
}

impl Matrix {
    fn new(level: &Level, links: &[f64], ends: &[f64]) -> Self {
        let beside: Vec<f64> = level
            .beside
            .par_iter()
            .with_min_len(CHUNK)
            .map(|&(_, link)| links[link as usize])
            .collect();
        let sum = |cell: usize| {
            let [from, to] = [level.start[cell], level.start[cell + 1]];
            ends[cell] + beside[from as usize..to as usize].iter().sum::<f64>()
        };
        let diagonal =
            (0..level.len()).into_par_iter().with_min_len(CHUNK).map(sum).collect();
        Self { beside, diagonal }
    }

    /// What the neighbors of `cell` send to it.
    fn sent(&self, level: &Level, cell: usize, x: &[f64]) -> f64 {
        let [from, to] = [level.start[cell], level.start[cell + 1]].map(|at| at as usize);
        let entries = level.beside[from..to].iter().zip(&self.beside[from..to]);
        entries.map(|(&(other, _), value)| value * x[other as usize]).sum()
    }

    /// `right` less the matrix times `x`; 0 where nothing is unknown.
    fn rest(&self, level: &Level, right: &[f64], x: &[f64]) -> Vec<f64> {
        let rest = |cell: usize| {
            let diagonal = self.diagonal[cell];
            if diagonal > 0.0 {
                right[cell] + self.sent(level, cell, x) - diagonal * x[cell]
            } else {
                0.0
            }
        };
        (0..level.len()).into_par_iter().with_min_len(CHUNK).map(rest).collect()
    }

    /// Solves for the cells of one color, the others as in `old`.
    fn sweep(
        &self,
        level: &Level,
        right: &[f64],
        red: bool,
        (old, new): (&[f64], &mut [f64]),
    ) {
        new.par_iter_mut().with_min_len(CHUNK).enumerate().for_each(|(cell, new)| {
            let diagonal = self.diagonal[cell];
            *new = if level.red[cell] != red {
                old[cell]
            } else if diagonal > 0.0 {
                (right[cell] + self.sent(level, cell, old)) / diagonal
            } else {
                0.0
            };
        });
    }
}

/// What one level works with.
struct Scratch {
    right: Vec<f64>,
    x: Vec<f64>,
    y: Vec<f64>,
}

impl Scratch {
    fn new(level: &Level) -> Self {
        let zeros = || vec![0.0; level.len()];
        Self { right: zeros(), x: zeros(), y: zeros() }
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
    let Scratch { right, x, y } = own;
    y.fill(0.0);
    matrix.sweep(level, right, true, (y, x));
    matrix.sweep(level, right, false, (x, y));
    let Some(next) = below.first_mut() else {
        for sweep in 2..LAST_SWEEPS {
            matrix.sweep(level, right, sweep % 2 == 0, (y, x));
            std::mem::swap(x, y);
        }
        std::mem::swap(x, y);
        return;
    };
    let rest = matrix.rest(level, right, y);
    next.right.fill(0.0);
    for (&group, rest) in level.group.iter().zip(&rest) {
        next.right[group as usize] += rest;
    }
    cycle(coarser, coarser_matrices, below);
    if let Some(next) = below.first() {
        let groups = level.group.par_iter().with_min_len(CHUNK);
        y.par_iter_mut().with_min_len(CHUNK).zip(groups).for_each(|(y, &group)| {
            *y += next.x[group as usize];
        });
    }
    matrix.sweep(level, right, false, (y, x));
    matrix.sweep(level, right, true, (x, y));
    std::mem::swap(x, y);
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
