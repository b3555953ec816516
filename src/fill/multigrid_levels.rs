//! The cells, and ever coarser groups of them, for the pressure solver.
//!
//! Cells of one block of two by two by two that are connected become one cell of the next
//! level, and so on until few are left. Two walls that pass through one block without
//! touching stay apart. The structure depends on the shape only and serves every instant.

use rayon::prelude::*;

use super::cells::{Cells, Link};

/// Fewer cells than this are not grouped further.
const FEW: usize = 48;

/// Levels at most; grouping halves every axis each time.
const MOST_LEVELS: usize = 16;

/// A link between two members of one group.
pub(super) const INNER: u32 = u32::MAX;

/// One level: cells, their neighbors, and where they go on the next level.
#[derive(Clone, Debug, Default)]
pub(super) struct Level {
    /// Where the neighbors of each cell begin in `beside`; one more than cells.
    pub(super) start: Vec<u32>,
    /// Neighbor and link to it.
    pub(super) beside: Vec<(u32, u32)>,
    /// The group of each cell; empty on the last level.
    pub(super) group: Vec<u32>,
    /// The link that each link becomes, or [`INNER`]; empty on the last level.
    pub(super) merged: Vec<u32>,
    /// Cells of a checkerboard: neighbors are never of the same color.
    pub(super) red: Vec<bool>,
    /// How many groups and links the next level has; none on the last level.
    pub(super) next: [usize; 2],
}

impl Level {
    /// How many cells there are.
    pub(super) fn len(&self) -> usize {
        self.red.len()
    }

    /// Neighbors of `cell`, with the link to each.
    pub(super) fn beside(&self, cell: usize) -> &[(u32, u32)] {
        let [from, to] = [self.start[cell], self.start[cell + 1]].map(|at| at as usize);
        &self.beside[from..to]
    }
}

/// All levels of `cells`, the cells themselves first.
pub(super) fn coarsen(cells: &Cells) -> Vec<Level> {
    let ends = |link: &Link| [link.low, link.high];
    let mut pairs: Vec<[u32; 2]> = cells.links.iter().map(ends).collect();
    let mut at: Vec<[u16; 3]> = (0..cells.len()).map(|cell| cells.at(cell)).collect();
    let mut levels = Vec::new();
    loop {
        let mut level = level(&at, &pairs);
        if at.len() <= FEW || levels.len() + 1 == MOST_LEVELS {
            levels.push(level);
            return levels;
        }
        let (group, coarse_at) = groups(&at, &level);
        let (merged, coarse_pairs) = merge(&pairs, &group);
        let stalled = coarse_at.len() == at.len();
        if !stalled {
            level.next = [coarse_at.len(), coarse_pairs.len()];
            (level.group, level.merged) = (group, merged);
        }
        levels.push(level);
        // Blocks of cells that nowhere touch: nothing to group.
        if stalled {
            return levels;
        }
        (at, pairs) = (coarse_at, coarse_pairs);
    }
}

fn level(at: &[[u16; 3]], pairs: &[[u32; 2]]) -> Level {
    let mut start = vec![0_u32; at.len() + 1];
    for &end in pairs.iter().flatten() {
        start[end as usize + 1] += 1;
    }
    for cell in 0..at.len() {
        start[cell + 1] += start[cell];
    }
    let mut next = start.clone();
    let mut beside = vec![(0, 0); 2 * pairs.len()];
    for (link, &[low, high]) in pairs.iter().enumerate() {
        for (own, other) in [(low, high), (high, low)] {
            let place = &mut next[own as usize];
            beside[*place as usize] = (other, link as u32);
            *place += 1;
        }
    }
    let red = at.iter().map(|at| at.map(u32::from).iter().sum::<u32>().is_multiple_of(2));
    Level { start, beside, red: red.collect(), ..Level::default() }
}

/// The group of each cell, and where the groups stand.
fn groups(at: &[[u16; 3]], level: &Level) -> (Vec<u32>, Vec<[u16; 3]>) {
    let block = |cell: u32| at[cell as usize].map(|step| step / 2);
    let mut order: Vec<u32> = (0..at.len() as u32).collect();
    order.par_sort_unstable_by_key(|&cell| (block(cell), cell));
    let mut group = vec![INNER; at.len()];
    let mut coarse_at = Vec::new();
    let mut stack = Vec::new();
    for &first in &order {
        if group[first as usize] != INNER {
            continue;
        }
        let (name, place) = (coarse_at.len() as u32, block(first));
        coarse_at.push(place);
        group[first as usize] = name;
        stack.push(first);
        while let Some(cell) = stack.pop() {
            for &(other, _) in level.beside(cell as usize) {
                if group[other as usize] == INNER && block(other) == place {
                    group[other as usize] = name;
                    stack.push(other);
                }
            }
        }
    }
    (group, coarse_at)
}

/// What each link becomes between groups, and the links between groups.
fn merge(pairs: &[[u32; 2]], group: &[u32]) -> (Vec<u32>, Vec<[u32; 2]>) {
    let mut outer: Vec<([u32; 2], u32)> = pairs
        .iter()
        .enumerate()
        .map(|(link, ends)| (ends.map(|end| group[end as usize]), link as u32))
        .filter(|([low, high], _)| low != high)
        .map(|([a, b], link)| ([a.min(b), a.max(b)], link))
        .collect();
    outer.par_sort_unstable();
    let mut merged = vec![INNER; pairs.len()];
    let mut coarse: Vec<[u32; 2]> = Vec::new();
    for (ends, link) in outer {
        if coarse.last() != Some(&ends) {
            coarse.push(ends);
        }
        merged[link as usize] = coarse.len() as u32 - 1;
    }
    (merged, coarse)
}
