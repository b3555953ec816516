//! The height of the parting surface beside the projection of a part, guessed from its
//! lines: that of the nearest line; around a part that is parted in one plane, that
//! plane.

use super::grid::{Grid, NoHalves};
use crate::part::parting::Parting;

/// The parting surface beside the projection.
pub(super) struct Beside {
    /// Of every cell, mm.
    pub(super) heights: Vec<f64>,
}

impl Beside {
    pub(super) fn new(
        parting: &Parting,
        grid: &Grid,
        filled: &[bool],
    ) -> Result<Self, NoHalves> {
        let mut seeds = seeds(parting, grid);
        if seeds.iter().all(Option::is_none) {
            return Err(NoHalves::NoParting);
        }
        spread(&mut seeds, grid.size);
        let mut heights: Vec<f64> =
            seeds.into_iter().map(|seed| seed.map_or(0.0, |seed| seed.height)).collect();
        if let Some(plane) = parting.height {
            for cell in outside(filled, grid.size) {
                heights[cell] = plane;
            }
        }
        Ok(Self { heights })
    }
}

/// A point of the parting line.
#[derive(Clone, Copy)]
struct Seed {
    /// In cells.
    at: [f64; 2],
    height: f64,
}

impl Seed {
    fn far(&self, [x, y]: [usize; 2]) -> f64 {
        (self.at[0] - x as f64 - 0.5).powi(2) + (self.at[1] - y as f64 - 0.5).powi(2)
    }
}

/// The parting line, a point at least each half cell.
fn seeds(parting: &Parting, grid: &Grid) -> Vec<Option<Seed>> {
    let mut seeds: Vec<Option<Seed>> = vec![None; grid.size[0] * grid.size[1]];
    let lines = parting.loops.iter().filter(|line| line.is_outer || line.is_shut_off);
    for line in lines {
        for pair in line.closed().windows(2) {
            let steps = ((pair[1] - pair[0]).norm() / (0.5 * grid.cell)).ceil().max(1.0);
            for step in 0..=steps as usize {
                let at = pair[0] + (pair[1] - pair[0]) * (step as f64 / steps);
                let flat = grid.frame.flatten(&at);
                let Some(cell) = grid.cell_at(flat) else { continue };
                let seed = Seed {
                    at: [0, 1].map(|axis| (flat[axis] - grid.corner[axis]) / grid.cell),
                    height: grid.frame.height(&at),
                };
                let place = [cell % grid.size[0], cell / grid.size[0]];
                if seeds[cell].is_none_or(|old| seed.far(place) < old.far(place)) {
                    seeds[cell] = Some(seed);
                }
            }
        }
    }
    seeds
}

/// Gives each cell the nearest seed, by sweeps in four directions (P. E. Danielsson, Euclidean
/// distance mapping, 1980: off by less than a tenth of a cell, and rarely).
fn spread(seeds: &mut [Option<Seed>], [wide, high]: [usize; 2]) {
    let take = |seeds: &mut [Option<Seed>], to: [usize; 2], from: [usize; 2]| {
        let other = seeds[from[1] * wide + from[0]];
        let own = &mut seeds[to[1] * wide + to[0]];
        if let Some(other) = other
            && own.is_none_or(|own| other.far(to) < own.far(to))
        {
            *own = Some(other);
        }
    };
    let along = |seeds: &mut [Option<Seed>], y: usize| {
        (1..wide).for_each(|x| take(seeds, [x, y], [x - 1, y]));
        (1..wide).rev().for_each(|x| take(seeds, [x - 1, y], [x, y]));
    };
    along(seeds, 0);
    for y in 1..high {
        (0..wide).for_each(|x| take(seeds, [x, y], [x, y - 1]));
        along(seeds, y);
    }
    for y in (1..high).rev() {
        (0..wide).for_each(|x| take(seeds, [x, y - 1], [x, y]));
        along(seeds, y - 1);
    }
}

/// The cells beside the projection that lie around the part, not in its holes.
fn outside(filled: &[bool], [wide, high]: [usize; 2]) -> Vec<usize> {
    let mut seen = vec![false; filled.len()];
    let mut list: Vec<usize> = Vec::new();
    if filled.first() == Some(&false) {
        seen[0] = true;
        list.push(0);
    }
    let mut next = 0;
    while let Some(&cell) = list.get(next) {
        next += 1;
        let (x, y) = (cell % wide, cell / wide);
        let beside = [
            (x > 0).then(|| cell - 1),
            (x + 1 < wide).then(|| cell + 1),
            (y > 0).then(|| cell - wide),
            (y + 1 < high).then(|| cell + wide),
        ];
        for other in beside.into_iter().flatten() {
            if !seen[other] && !filled[other] {
                seen[other] = true;
                list.push(other);
            }
        }
    }
    list
}
