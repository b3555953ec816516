//! How far a cutter comes down, and what it leaves: gray-scale dilation and closing.
//!
//! Dilation by a profile t is max over u of z(x+u) − t(|u|), over all u for which the profile
//! is; cells off the grid do not count. The closing dilates, turns over, dilates and turns
//! back: min over u of CL(x−u) + t(|u|). The flat of a cutter's end goes row by row: a disc is
//! a stack of runs, and the greatest of a run of any length is that of two runs of 2^k that
//! cover it. What rises goes tile by tile, lowest first, and ends where what is left of the
//! profile stands higher than the tile is deep. Both give what the plain loop gives, to the
//! last bit.

use rayon::prelude::*;

use super::cutter::Cutter;
use crate::mold::milling::height_field::Field;

/// Edge of a tile, cells.
const TILE: usize = 64;
/// After so many offsets a tile is checked for whether it can still change.
const CHECK_EVERY: usize = 32;

/// A cutter on a grid.
#[derive(Clone, Debug)]
pub struct Profile {
    /// Half the length of each run of the flat end: first the middle one, then those beside it.
    /// Empty when there is no flat.
    runs: Vec<usize>,
    /// Column, row and height of the edge above the tip, lowest first, without the flat.
    offsets: Vec<([i32; 2], f64)>,
    /// Farthest offset, cells.
    reach: usize,
}

impl Profile {
    /// `cutter` on cells of `cell` mm.
    pub fn rasterize(cutter: &Cutter, cell: f64) -> Self {
        let core = cutter.core() / cell + 1e-9;
        let runs: Vec<usize> = (0..=core.max(0.0) as usize)
            .map(|dy| (core * core - (dy * dy) as f64).max(0.0).sqrt() as usize)
            .collect();
        let reach = (cutter.widest() / cell + 1e-6) as i32;
        let mut offsets = Vec::new();
        for dy in -reach..=reach {
            for dx in -reach..=reach {
                let run = runs.get(dy.unsigned_abs() as usize);
                if run.is_some_and(|&run| dx.unsigned_abs() as usize <= run) {
                    continue;
                }
                let r = f64::from(dx).hypot(f64::from(dy)) * cell;
                offsets.extend(cutter.profile(r).map(|rise| ([dx, dy], rise)));
            }
        }
        offsets.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
        Self { runs, offsets, reach: reach as usize }
    }

    /// A disc of `radius` cells.
    pub fn disc(radius: f64) -> Self {
        let core = radius + 1e-9;
        let run = |dy: usize| (core * core - (dy * dy) as f64).max(0.0).sqrt() as usize;
        let runs: Vec<usize> = (0..=core as usize).map(run).collect();
        Self { reach: runs.len() - 1, runs, offsets: Vec::new() }
    }

    /// Every offset (column, row) with the height of the edge there.
    pub fn all(&self) -> Vec<([i32; 2], f64)> {
        let flat = self.runs.iter().enumerate().flat_map(|(dy, &run)| {
            let (dy, run) = (dy as i32, run as i32);
            let both = if dy == 0 { vec![0] } else { vec![-dy, dy] };
            both.into_iter()
                .flat_map(move |dy| (-run..=run).map(move |dx| ([dx, dy], 0.0)))
        });
        flat.chain(self.offsets.iter().copied()).collect()
    }
}

/// Which tiles of a grid are chosen.
#[derive(Clone, Debug, PartialEq)]
pub struct Mask {
    across: usize,
    tiles: Vec<bool>,
}

impl Mask {
    /// All of a grid.
    pub fn whole(size: [usize; 2]) -> Self {
        let across = size[0].div_ceil(TILE);
        Self { across, tiles: vec![true; across * size[1].div_ceil(TILE)] }
    }

    /// The tiles that hold one of `cells`.
    pub fn holding(size: [usize; 2], cells: &[usize]) -> Self {
        let mut mask = Self::whole(size);
        mask.tiles.fill(false);
        for cell in cells {
            let [x, y] = [cell % size[0], cell / size[0]];
            mask.tiles[y / TILE * mask.across + x / TILE] = true;
        }
        mask
    }

    /// The same and all tiles within `reach` cells.
    fn grown(&self, reach: usize) -> Self {
        let by = reach.div_ceil(TILE);
        let down = self.tiles.len() / self.across.max(1);
        let mut grown =
            Self { across: self.across, tiles: vec![false; self.tiles.len()] };
        for tile in (0..self.tiles.len()).filter(|&tile| self.tiles[tile]) {
            let [x, y] = [tile % self.across, tile / self.across];
            for row in y.saturating_sub(by)..(y + by + 1).min(down) {
                for column in x.saturating_sub(by)..(x + by + 1).min(self.across) {
                    grown.tiles[row * self.across + column] = true;
                }
            }
        }
        grown
    }

    /// First and last tile of row `band` that is chosen.
    fn span(&self, band: usize) -> Option<[usize; 2]> {
        let row = &self.tiles[band * self.across..(band + 1) * self.across];
        Some([row.iter().position(|&it| it)?, row.iter().rposition(|&it| it)?])
    }

    /// Whether the tile of (`x`, `y`) is chosen.
    fn has(&self, [x, y]: [usize; 2]) -> bool {
        self.tiles[y / TILE * self.across + x / TILE]
    }
}

/// Where the tip of a cutter can come down to.
pub fn dilated(field: &Field, by: &Profile) -> Field {
    dilated_on(field, by, &Mask::whole(field.size))
}

fn dilated_on(field: &Field, by: &Profile, on: &Mask) -> Field {
    let flat = runs(field, &by.runs, on);
    if by.offsets.is_empty() { flat } else { rims(field, flat, by, on) }
}

/// What a cutter leaves of `field` on the tiles of `on`, endless elsewhere; its tip stays
/// above `clear` everywhere.
pub fn closed_above(field: &Field, by: &Profile, clear: &Field, on: &Mask) -> Field {
    let mut tips = dilated_on(field, by, &on.grown(by.reach));
    tips.raise_to(clear);
    let mut left = dilated_on(&tips.negated(), by, on).negated();
    for cell in 0..left.values.len() {
        if !on.has(left.place(cell)) {
            left.values[cell] = f64::INFINITY;
        }
    }
    left
}

/// What a cutter leaves of `field` where nothing but its own edge is in its way.
pub fn closed(field: &Field, by: &Profile) -> Field {
    dilated(&dilated(field, by).negated(), by).negated()
}

/// The greatest value within the disc of `runs` around each cell.
fn runs(field: &Field, runs: &[usize], on: &Mask) -> Field {
    let [wide, high] = field.size;
    let (tall, most) = (runs.len() - 1, runs.iter().copied().max().unwrap_or(0));
    let mut values = vec![f64::NEG_INFINITY; wide * high];
    values.par_chunks_mut(wide.max(1) * TILE).enumerate().for_each(|(band, to)| {
        let Some([left, right]) = on.span(band) else { return };
        let columns = left * TILE..((right + 1) * TILE).min(wide);
        let first = band * TILE;
        let last = first + to.len() / wide;
        let mut row = Row::new(wide, most);
        for source in first.saturating_sub(tall)..(last + tall).min(high) {
            row.load(&field.values[source * wide..(source + 1) * wide]);
            for (dy, &run) in runs.iter().enumerate() {
                let above = source.checked_sub(dy).filter(|_| dy > 0);
                let both = [Some(source + dy), above];
                let both = both.into_iter().flatten();
                for target in both.filter(|row| (first..last).contains(row)) {
                    let start = (target - first) * wide;
                    let to = &mut to[start..start + wide][columns.clone()];
                    row.raise(to, columns.start, run);
                }
            }
        }
    });
    Field { size: field.size, values }
}

/// One row with nothing on both sides, and the greatest of each run of 2^k in it.
struct Row {
    pad: usize,
    levels: Vec<Vec<f64>>,
}

impl Row {
    fn new(wide: usize, pad: usize) -> Self {
        let count = (2 * pad + 1).ilog2() as usize + 1;
        Self { pad, levels: vec![vec![f64::NEG_INFINITY; wide + 2 * pad]; count] }
    }

    fn load(&mut self, row: &[f64]) {
        self.levels[0][self.pad..self.pad + row.len()].copy_from_slice(row);
        for level in 1..self.levels.len() {
            let half = 1 << (level - 1);
            let (below, above) = self.levels.split_at_mut(level);
            let (from, to) = (&below[level - 1], &mut above[0]);
            let count = from.len().saturating_sub(2 * half - 1);
            for (to, (a, b)) in to[..count].iter_mut().zip(from.iter().zip(&from[half..]))
            {
                *to = greater(*a, *b);
            }
        }
    }

    /// Raises each of `to`, the cells from `first` on, to the greatest within `run` cells on
    /// either side.
    fn raise(&self, to: &mut [f64], first: usize, run: usize) {
        let length = 2 * run + 1;
        let power = length.ilog2() as usize;
        let level = &self.levels[power];
        let start = first + self.pad - run;
        let left = &level[start..start + to.len()];
        let right = &level[start + length - (1 << power)..][..to.len()];
        for (to, (a, b)) in to.iter_mut().zip(left.iter().zip(right)) {
            *to = greater(*to, greater(*a, *b));
        }
    }
}

/// Without the care for NaN that keeps the compiler from doing several at once.
fn greater(a: f64, b: f64) -> f64 {
    if a > b { a } else { b }
}

/// `flat` raised by what stands at the offsets of the profile.
fn rims(field: &Field, flat: Field, by: &Profile, on: &Mask) -> Field {
    let [wide, high] = field.size;
    let across = wide.div_ceil(TILE);
    let padded = Padded::new(field, by.reach);
    let chosen: Vec<usize> = (0..on.tiles.len()).filter(|&tile| on.tiles[tile]).collect();
    let tiles: Vec<(Tile, Vec<f64>)> = chosen
        .into_par_iter()
        .map(|index| {
            let [left, top] = [index % across * TILE, index / across * TILE];
            let tile = Tile {
                left,
                top,
                wide: TILE.min(wide - left),
                high: TILE.min(high - top),
            };
            let values = tile.raised(&flat, &padded, by);
            (tile, values)
        })
        .collect();
    let mut raised = flat;
    for (tile, values) in tiles {
        for (row, from) in values.chunks(tile.wide).enumerate() {
            let start = (tile.top + row) * wide + tile.left;
            raised.values[start..start + tile.wide].copy_from_slice(from);
        }
    }
    raised
}

/// A field with a border of nothing.
struct Padded {
    pad: usize,
    wide: usize,
    values: Vec<f64>,
}

impl Padded {
    fn new(field: &Field, pad: usize) -> Self {
        let [wide, high] = [field.size[0] + 2 * pad, field.size[1] + 2 * pad];
        let mut values = vec![f64::NEG_INFINITY; wide * high];
        for (row, from) in field.values.chunks(field.size[0].max(1)).enumerate() {
            let start = (row + pad) * wide + pad;
            values[start..start + from.len()].copy_from_slice(from);
        }
        Self { pad, wide, values }
    }
}

struct Tile {
    left: usize,
    top: usize,
    wide: usize,
    high: usize,
}

impl Tile {
    fn raised(&self, flat: &Field, from: &Padded, by: &Profile) -> Vec<f64> {
        let rows = self.top..self.top + self.high;
        let mut values: Vec<f64> = rows
            .flat_map(|row| {
                let start = row * flat.size[0] + self.left;
                flat.values[start..start + self.wide].iter().copied()
            })
            .collect();
        let most = self.greatest_around(from, by.reach);
        for some in by.offsets.chunks(CHECK_EVERY) {
            let least = values.iter().copied().fold(f64::INFINITY, f64::min);
            if some.first().is_none_or(|first| most - first.1 <= least) {
                break;
            }
            for &([dx, dy], rise) in some {
                self.raise(&mut values, from, [dx, dy], rise);
            }
        }
        values
    }

    fn raise(&self, values: &mut [f64], from: &Padded, [dx, dy]: [i32; 2], rise: f64) {
        let shifted =
            |at: usize, by: i32| (at + from.pad).wrapping_add_signed(by as isize);
        let left = shifted(self.left, dx);
        for (row, to) in values.chunks_mut(self.wide).enumerate() {
            let start = shifted(self.top + row, dy) * from.wide + left;
            for (to, value) in to.iter_mut().zip(&from.values[start..start + self.wide]) {
                *to = greater(value - rise, *to);
            }
        }
    }

    fn greatest_around(&self, from: &Padded, reach: usize) -> f64 {
        let rows = self.top..self.top + self.high + 2 * reach;
        rows.flat_map(|row| {
            let start =
                (row + from.pad - reach) * from.wide + self.left + from.pad - reach;
            &from.values[start..start + self.wide + 2 * reach]
        })
        .copied()
        .fold(f64::NEG_INFINITY, greater)
    }
}

#[cfg(test)]
mod tests;
