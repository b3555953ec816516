//! The pressure field of one instant, once every conductance is known.
//!
//! Each filled cell passes on what it gets: Σ c (p − p′) = 0 over its neighbors, with the
//! gate at its pressure and the front at none. The matrix is symmetric and positive; conjugate
//! gradients solve it, with one multigrid cycle over the groups of [`crate::fill::multigrid_levels`] as
//! the preconditioner, so the work grows with the number of cells and no faster.
//!
//! Every sum runs in a fixed order, whatever the number of threads.

use std::ops::Range;

use rayon::prelude::*;

use crate::fill::multigrid_levels::{INNER, Level};

/// Cells summed or swept at a time. One thread has done that many before another wakes.
const CHUNK: usize = 8192;

/// A link of twice the length over four times the area, summed from four, conducts half
/// of that sum (Braess, *Computing* 55, 1995, has the same factor for algebraic groups).
const COARSER: f64 = 0.5;

/// The way from a cell to the front or the gate doubles too, but only in part.
const COARSER_END: f64 = 0.7;

/// Sweeps over both colors on the last level, with another half at the end, so that the cycle
/// stays symmetric.
const LAST_SWEEPS: usize = 10;

/// Rounds of conjugate gradients; ten to thirty are usual.
const ROUNDS: usize = 400;

/// The equations of one instant.
pub(super) struct System {
    matrices: Vec<Matrix>,
    /// Flow from the gate into every cell.
    right: Vec<f64>,
}

/// The rows of the unknown cells of one level: first those of one color of a checkerboard, the
/// red ones, then the black ones. No row has an entry of its own color.
struct Matrix {
    /// The cell of each row.
    cells: Vec<u32>,
    /// How many rows are red.
    red: usize,
    /// Where the entries of each row begin; one more than rows.
    start: Vec<u32>,
    /// Neighbors that are unknown too, each by its place among the rows of its color, with
    /// the conductance to it.
    entries: Vec<(u32, f64)>,
    /// Sum of all conductances of each row.
    diagonal: Vec<f64>,
    /// The row of the next level that each row goes into, or [`NONE`].
    group: Vec<u32>,
}

/// No row.
const NONE: u32 = u32::MAX;

impl System {
    /// Equations of the cells that `is_unknown` holds for, with the conductance `links` of each
    /// link between two of them (0 for any other), `ends` of each cell to the gate and the
    /// front together, and `right` the flow that each cell gets from the gate.
    pub(super) fn new(
        levels: &[Level],
        mut is_unknown: Vec<bool>,
        mut links: Vec<f64>,
        mut ends: Vec<f64>,
        right: Vec<f64>,
    ) -> Self {
        let mut matrices: Vec<Matrix> = Vec::with_capacity(levels.len());
        for (place, level) in levels.iter().enumerate() {
            let (matrix, row_of) = Matrix::new(level, &is_unknown, &links, &ends);
            if let Some(finer) = place.checked_sub(1) {
                matrices[finer].join(&levels[finer], &row_of);
            }
            let [groups, outer] = level.next;
            is_unknown = vec![false; groups];
            if groups > 0 {
                for &cell in &matrix.cells {
                    is_unknown[level.group[cell as usize] as usize] = true;
                }
            }
            matrices.push(matrix);
            let mut next = vec![0.0; outer];
            for (conductance, &to) in links.iter().zip(&level.merged) {
                if to != INNER && *conductance > 0.0 {
                    next[to as usize] += COARSER * conductance;
                }
            }
            let mut next_ends = vec![0.0; groups];
            for (end, &to) in ends.iter().zip(&level.group) {
                next_ends[to as usize] += COARSER_END * end;
            }
            (links, ends) = (next, next_ends);
        }
        Self { matrices, right }
    }

    /// Improves the `pressure` of every cell until what is left over is `tolerance` of the right
    /// side; cells that are not unknown get 0. Gives the rounds that took.
    pub(super) fn solve(&self, pressure: &mut [f64], tolerance: f64) -> usize {
        let Some(matrix) = self.matrices.first() else { return 0 };
        let cells = || matrix.cells.iter().map(|&cell| cell as usize);
        let mut solution: Vec<f64> = cells().map(|cell| pressure[cell]).collect();
        let right: Vec<f64> = cells().map(|cell| self.right[cell]).collect();
        let rounds = self.improve(matrix, &right, &mut solution, tolerance);
        pressure.fill(0.0);
        for (cell, value) in cells().zip(solution) {
            pressure[cell] = value;
        }
        rounds
    }

    /// Conjugate gradients from `pressure` on, row by row.
    fn improve(
        &self,
        matrix: &Matrix,
        right: &[f64],
        pressure: &mut [f64],
        tolerance: f64,
    ) -> usize {
        let goal = tolerance * dot(right, right).sqrt();
        let mut way = vec![0.0; right.len()];
        let mut drawn = way.clone();
        matrix.multiply(pressure, &mut drawn);
        let mut rest: Vec<f64> =
            right.iter().zip(&drawn).map(|(right, drawn)| right - drawn).collect();
        let mut scratch: Vec<Scratch> = self.matrices.iter().map(Scratch::new).collect();
        let mut last = f64::INFINITY;
        for round in 0..ROUNDS {
            if dot(&rest, &rest).sqrt() <= goal {
                return round;
            }
            let Some(finest) = scratch.first_mut() else { return round };
            finest.right.copy_from_slice(&rest);
            cycle(&self.matrices, &mut scratch);
            let Some(guess) = scratch.first().map(|own| &own.x) else { return round };
            let now = dot(&rest, guess);
            let keep = if last.is_finite() { now / last } else { 0.0 };
            update(&mut way, guess, |old, guess| guess + keep * old);
            matrix.multiply(&way, &mut drawn);
            let step = now / dot(&way, &drawn);
            if !step.is_finite() {
                return round;
            }
            update(pressure, &way, |old, way| old + step * way);
            update(&mut rest, &drawn, |old, drawn| old - step * drawn);
            last = now;
        }
        ROUNDS
    }

    /// The matrix as (row, column, value), the unknown cells only, and the right side of
    /// every cell: for a check by another program.
    pub(super) fn triplets(&self) -> (Vec<(u32, u32, f64)>, &[f64]) {
        let mut triplets = Vec::new();
        if let Some(matrix) = self.matrices.first() {
            for (row, (&cell, &diagonal)) in
                matrix.cells.iter().zip(&matrix.diagonal).enumerate()
            {
                triplets.push((cell, cell, diagonal));
                let others = &matrix.cells[matrix.other_color(row)];
                let entries = matrix.entries(row).iter();
                triplets.extend(
                    entries.map(|&(other, value)| (cell, others[other as usize], -value)),
                );
            }
        }
        (triplets, &self.right)
    }
}

impl Matrix {
    /// The rows of those cells of `level` that `is_unknown` holds for and that conduct, and the
    /// row of each of its cells or [`NONE`].
    fn new(
        level: &Level,
        is_unknown: &[bool],
        links: &[f64],
        ends: &[f64],
    ) -> (Self, Vec<u32>) {
        let conducts = |cell: usize| {
            ends[cell] > 0.0
                || level.beside(cell).iter().any(|&(_, link)| links[link as usize] > 0.0)
        };
        let [mut cells, mut black] = [Vec::new(), Vec::new()];
        for cell in (0..level.len()).filter(|&cell| is_unknown[cell] && conducts(cell)) {
            let color = if level.red[cell] { &mut cells } else { &mut black };
            color.push(cell as u32);
        }
        let red = cells.len();
        cells.append(&mut black);
        let mut row_of = vec![NONE; level.len()];
        for (row, &cell) in cells.iter().enumerate() {
            row_of[cell as usize] = row as u32;
        }
        let mut matrix = Self {
            start: Vec::with_capacity(cells.len() + 1),
            entries: Vec::with_capacity(6 * cells.len()),
            diagonal: Vec::with_capacity(cells.len()),
            group: Vec::new(),
            cells,
            red,
        };
        matrix.start.push(0);
        for (row, &cell) in matrix.cells.iter().enumerate() {
            let first = if row < red { red as u32 } else { 0 };
            let mut sum = ends[cell as usize];
            for &(other, link) in level.beside(cell as usize) {
                let conductance = links[link as usize];
                if conductance > 0.0 {
                    sum += conductance;
                    matrix.entries.push((row_of[other as usize] - first, conductance));
                }
            }
            matrix.diagonal.push(sum);
            matrix.start.push(matrix.entries.len() as u32);
        }
        (matrix, row_of)
    }

    /// Notes where each row goes; `row_of` are the rows of the next level.
    fn join(&mut self, level: &Level, row_of: &[u32]) {
        let to = |&cell: &u32| row_of[level.group[cell as usize] as usize];
        self.group = self.cells.iter().map(to).collect();
    }

    fn entries(&self, row: usize) -> &[(u32, f64)] {
        &self.entries[self.start[row] as usize..self.start[row + 1] as usize]
    }

    /// The rows of the color that `row` is not of.
    fn other_color(&self, row: usize) -> Range<usize> {
        if row < self.red { self.red..self.cells.len() } else { 0..self.red }
    }

    /// What the neighbors of `row` send to it, where `others` belongs to the other color.
    fn sent(&self, row: usize, others: &[f64]) -> f64 {
        self.entries(row)
            .iter()
            .map(|&(other, value)| value * others[other as usize])
            .sum()
    }

    /// Sets `out` to the matrix times `x`.
    fn multiply(&self, x: &[f64], out: &mut [f64]) {
        let (red, black) = x.split_at(self.red);
        let (red_out, black_out) = out.split_at_mut(self.red);
        for (first, own, others, out) in
            [(0, red, black, red_out), (self.red, black, red, black_out)]
        {
            each(out, |at| {
                let row = first + at;
                self.diagonal[row] * own[at] - self.sent(row, others)
            });
        }
    }

    /// Solves for the rows of one color, the others as they are.
    fn sweep(&self, right: &[f64], color: Color, x: &mut [f64]) {
        let (red, black) = x.split_at_mut(self.red);
        let (first, own, others) = match color {
            Color::Red => (0, red, black),
            Color::Black => (self.red, black, red),
        };
        let others = &*others;
        each(own, |at| {
            let row = first + at;
            (right[row] + self.sent(row, others)) / self.diagonal[row]
        });
    }

    /// What is left over in the red rows, into `out`.
    fn red_rest(&self, right: &[f64], x: &[f64], out: &mut [f64]) {
        let (red, black) = x.split_at(self.red);
        each(&mut out[..self.red], |row| {
            right[row] + self.sent(row, black) - self.diagonal[row] * red[row]
        });
    }
}

/// The two colors of a checkerboard.
#[derive(Clone, Copy)]
enum Color {
    Red,
    Black,
}

/// Sets each of `out` to the value at its place; several at once where they are many.
fn each(out: &mut [f64], value: impl Fn(usize) -> f64 + Sync) {
    if out.len() < 4 * CHUNK {
        for (at, out) in out.iter_mut().enumerate() {
            *out = value(at);
        }
        return;
    }
    out.par_iter_mut()
        .with_min_len(CHUNK)
        .enumerate()
        .for_each(|(at, out)| *out = value(at));
}

/// What one level works with.
struct Scratch {
    right: Vec<f64>,
    x: Vec<f64>,
    rest: Vec<f64>,
}

impl Scratch {
    fn new(matrix: &Matrix) -> Self {
        let zeros = |count: usize| vec![0.0; count];
        let rows = matrix.cells.len();
        Self { right: zeros(rows), x: zeros(rows), rest: zeros(matrix.red) }
    }
}

/// One multigrid cycle from nothing: one sweep over both colors down, one in the opposite
/// order up, so that the whole is symmetric.
fn cycle(matrices: &[Matrix], scratch: &mut [Scratch]) {
    let (Some((matrix, coarser)), Some((own, below))) =
        (matrices.split_first(), scratch.split_first_mut())
    else {
        return;
    };
    let Scratch { right, x, rest } = own;
    x.fill(0.0);
    matrix.sweep(right, Color::Red, x);
    matrix.sweep(right, Color::Black, x);
    let Some(next) = below.first_mut() else {
        for _ in 1..LAST_SWEEPS {
            matrix.sweep(right, Color::Red, x);
            matrix.sweep(right, Color::Black, x);
        }
        matrix.sweep(right, Color::Red, x);
        return;
    };
    // The black cells have just been solved and leave nothing over.
    matrix.red_rest(right, x, rest);
    next.right.fill(0.0);
    for (rest, &group) in rest.iter().zip(&matrix.group) {
        if let Some(right) = next.right.get_mut(group as usize) {
            *right += rest;
        }
    }
    cycle(coarser, below);
    if let Some(next) = below.first() {
        for (x, &group) in x.iter_mut().zip(&matrix.group) {
            *x += next.x.get(group as usize).copied().unwrap_or(0.0);
        }
    }
    matrix.sweep(right, Color::Black, x);
    matrix.sweep(right, Color::Red, x);
}

/// Sums in chunks, so that the order does not depend on the number of threads.
fn dot(a: &[f64], b: &[f64]) -> f64 {
    if a.len() <= CHUNK {
        return dot_chunk(a, b);
    }
    let chunks = a.par_chunks(CHUNK).zip(b.par_chunks(CHUNK));
    let sums: Vec<f64> = chunks.map(|(a, b)| dot_chunk(a, b)).collect();
    sums.iter().sum()
}

/// Four sums side by side: one alone would wait for each addition.
fn dot_chunk(a: &[f64], b: &[f64]) -> f64 {
    let (fours_a, rest_a) = a.as_chunks::<4>();
    let (fours_b, rest_b) = b.as_chunks::<4>();
    let mut sums = [0.0; 4];
    for (a, b) in fours_a.iter().zip(fours_b) {
        for lane in 0..4 {
            sums[lane] += a[lane] * b[lane];
        }
    }
    let rest: f64 = rest_a.iter().zip(rest_b).map(|(a, b)| a * b).sum();
    (sums[0] + sums[1]) + (sums[2] + sums[3]) + rest
}

fn update(values: &mut [f64], by: &[f64], new: impl Fn(f64, f64) -> f64 + Sync) {
    if values.len() <= CHUNK {
        for (value, &by) in values.iter_mut().zip(by) {
            *value = new(*value, by);
        }
        return;
    }
    let pairs = values.par_iter_mut().zip(by).with_min_len(CHUNK);
    pairs.for_each(|(value, &by)| *value = new(*value, by));
}
