//! The best places for a gate among those that the mold allows.
//!
//! From each candidate the melt is followed along the easiest way to every cell; what it
//! loses at an even speed on the way to the hardest one is the proxy for pressure:
//! ∫ dx d(d+2)/H², with the wall H and d = 1 for walls to 2 for rods (the Newtonian loss
//! at a speed of one). Filling from thick to thin lets the gate stay open while the
//! part is packed, so a gate in a thin spot counts as harder. The ranking is a guide: fill
//! the best few and compare.

use rayon::prelude::*;

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::cells::Cells;
use crate::fill::local_walls::SECTIONS;
use crate::geom::Point;
use crate::numeric::TotalOrder;

/// Candidates that are weighed; more are thinned out evenly.
const MOST: usize = 96;

/// Places that differ by less than this share of the farthest flow length are one place.
const APART: f64 = 0.15;

/// A gate in half the thickest wall counts as this much harder than one in the thickest.
const THIN_COST: f64 = 0.25;

/// A place for a gate, and what speaks for it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Choice {
    /// The candidate, mm.
    pub at: Point,
    /// Its index among the candidates given.
    pub candidate: usize,
    /// Loss on the way to the hardest cell over that of the best candidate; 1 is best.
    pub loss: f64,
    /// The way to that cell, mm.
    pub flow_length_mm: f64,
    /// Way over wall, summed along it: the L/t of the trade.
    pub length_over_wall: f64,
    /// That cell, mm.
    pub hardest: Point,
    /// Wall at the gate, mm.
    pub wall_mm: f64,
    /// Wall at the gate over the thickest of the part, 0 to 1; below about a half the
    /// thick places are packed through thin ones.
    pub thickest: f64,
}

impl Choice {
    /// The loss, more for a gate in a thin place.
    pub fn cost(&self) -> f64 {
        self.loss * (1.0 + THIN_COST * 2.0 * (1.0 - self.thickest))
    }
}

/// The best of `candidates`, points on the surface that the mold can gate; `most` of them,
/// the best first, fewer where the candidates are few or close together.
pub fn best(cells: &Cells, candidates: &[Point], most: usize) -> Vec<Choice> {
    let ways = Ways::new(cells);
    let step = candidates.len().div_ceil(MOST).max(1);
    let tried: Vec<usize> = (0..candidates.len()).step_by(step).collect();
    let mut walls = cells.wall_mm.clone();
    walls.sort_by(f64::total_cmp);
    // The thickest but for a hundredth of the cells.
    let thickest = walls.get(walls.len() * 99 / 100).copied().unwrap_or(1.0);
    let mut choices: Vec<Choice> = tried
        .par_iter()
        .map(|&candidate| {
            let at = candidates[candidate];
            let home = cells.nearest(&at);
            let hardest = ways.hardest(home);
            let wall_mm = cells.wall_mm[home];
            Choice {
                at,
                candidate,
                loss: hardest.loss,
                flow_length_mm: hardest.length,
                length_over_wall: hardest.slender,
                hardest: cells.middle(hardest.cell),
                wall_mm,
                thickest: (wall_mm / thickest).min(1.0),
            }
        })
        .collect();
    choices.sort_by(|a, b| {
        a.cost().total_cmp(&b.cost()).then(a.candidate.cmp(&b.candidate))
    });
    let least = choices.iter().map(|c| c.loss).fold(f64::INFINITY, f64::min);
    let longest = choices.iter().map(|c| c.flow_length_mm).fold(0.0, f64::max);
    let mut kept: Vec<Choice> = Vec::new();
    for mut choice in choices {
        let is_new = |other: &Choice| (other.at - choice.at).norm() > APART * longest;
        if kept.len() < most && kept.iter().all(is_new) {
            choice.loss /= least.max(f64::MIN_POSITIVE);
            kept.push(choice);
        }
    }
    kept
}

/// What each link costs.
struct Ways<'a> {
    cells: &'a Cells,
    /// Neighbors of each cell.
    beside: Vec<Vec<u32>>,
    /// Loss per millimeter in each cell.
    loss: Vec<f64>,
}

/// The end of the hardest way.
#[derive(Clone, Copy)]
struct End {
    cell: usize,
    loss: f64,
    length: f64,
    slender: f64,
}

impl<'a> Ways<'a> {
    fn new(cells: &'a Cells) -> Self {
        let mut ways = Self { cells, beside: cells.neighbors(), loss: Vec::new() };
        let loss = (0..cells.len()).map(|cell| {
            let d = 1.0 + f64::from(cells.section[cell]) / (SECTIONS - 1) as f64;
            d * (d + 2.0) / ways.wall(cell).powi(2)
        });
        ways.loss = loss.collect();
        ways
    }

    /// The cell that the melt from `home` loses most on its way to (Dijkstra 1959). Steps
    /// go along the axes, so the loss on a slanted way counts up to √3 too high.
    fn hardest(&self, home: usize) -> End {
        let count = self.cells.len();
        let edge = self.cells.edge_mm();
        let mut loss = vec![f64::INFINITY; count];
        let mut done = vec![false; count];
        let mut came: Vec<u32> = (0..count as u32).collect();
        let mut heap = BinaryHeap::new();
        loss[home] = 0.0;
        heap.push(Reverse((TotalOrder(0.0), home)));
        let mut last = home;
        while let Some(Reverse((_, cell))) = heap.pop() {
            if std::mem::replace(&mut done[cell], true) {
                continue;
            }
            last = cell;
            for &other in &self.beside[cell] {
                let other = other as usize;
                let next = loss[cell] + 0.5 * edge * (self.loss[cell] + self.loss[other]);
                if next < loss[other] {
                    loss[other] = next;
                    came[other] = cell as u32;
                    heap.push(Reverse((TotalOrder(next), other)));
                }
            }
        }
        self.end(last, loss[last], &came)
    }

    /// Length of the way back from `cell`, pulled tight inside the part.
    fn end(&self, cell: usize, loss: f64, came: &[u32]) -> End {
        let mut way = vec![cell];
        let mut at = cell;
        while came[at] as usize != at {
            at = came[at] as usize;
            way.push(at);
        }
        let (mut length, mut slender) = (0.0, 0.0);
        let mut from = 0;
        while from + 1 < way.len() {
            let mut to = from + 1;
            while to + 1 < way.len() && self.is_straight(way[from], way[to + 1]) {
                to += 1;
            }
            let stride =
                (self.cells.middle(way[to]) - self.cells.middle(way[from])).norm();
            length += stride;
            let thin: f64 = way[from..to].iter().map(|&cell| 1.0 / self.wall(cell)).sum();
            slender += stride * thin / (to - from) as f64;
            from = to;
        }
        End { cell, loss, length, slender }
    }

    /// No wall counts as thinner than half a cell: slivers at the rim are no way.
    fn wall(&self, cell: usize) -> f64 {
        self.cells.wall_mm[cell].max(0.5 * self.cells.edge_mm())
    }

    /// Whether the straight way between two cells stays in cells.
    fn is_straight(&self, from: usize, to: usize) -> bool {
        let (from, to) = (self.cells.middle(from), self.cells.middle(to));
        let steps = (2.0 * (to - from).norm() / self.cells.edge_mm()).ceil();
        (1..steps as usize)
            .all(|step| self.cells.holds(&(from + (to - from) * (step as f64 / steps))))
    }
}
