//! Cells of a part that comes out smaller than it was drawn: where cutters left metal in the
//! mold there is no plastic.
//!
//! A cell keeps the share of its plastic that stays; the wall around it shrinks as the plastic
//! does along the axis on which it is shortest there. A lump that is cut off from the rest stays, because
//! the melt will not reach it; crumbs do not.

use rayon::prelude::*;

use super::cells::{Cells, Link};
use super::grid::Grid;
use crate::fill::local_walls::SECTIONS;
use crate::geom::{Point, Vector};

/// Points tested along each edge of a cell.
const PROBES: usize = 5;

/// Whether the plastic at a place stays; `None` where there was none.
pub(super) type Stays<'a> = dyn Fn(&Point) -> Option<bool> + Sync + 'a;

/// Cells that keep less than this of their plastic are left out.
const LEAST_KEPT: f64 = 0.05;

/// Loose pieces smaller than this share of the whole are crumbs of the grid.
const CRUMB: f64 = 1e-3;

impl Cells {
    /// The same part where `stays` says for each place of the plastic as drawn whether it
    /// stays, and nothing for places beside it; `None` where none stays.
    pub fn without(&self, stays: &Stays<'_>) -> Option<Self> {
        let sampled: Vec<Option<f64>> = (0..self.len())
            .into_par_iter()
            .map(|cell| self.remaining(cell, stays))
            .collect();
        let remaining = self.spread(&sampled);
        if remaining.iter().all(|share| *share >= 1.0) {
            return Some(self.clone());
        }
        let in_piece = self.pieces(&remaining);
        let names: Vec<usize> = (0..self.len()).filter(|&cell| in_piece[cell]).collect();
        let mut new = vec![u32::MAX; self.len()];
        for (&old, name) in names.iter().zip(0..) {
            new[old] = name;
        }
        let links = self.links.iter().filter(|link| {
            [link.low, link.high].iter().all(|cell| in_piece[*cell as usize])
        });
        let links = links.map(|link| {
            let least = remaining[link.low as usize].min(remaining[link.high as usize]);
            Link {
                low: new[link.low as usize],
                high: new[link.high as usize],
                open: link.open * least as f32,
                ..*link
            }
        });
        let grid = Grid::new(self.grid.lattice.clone(), |mark| {
            for &cell in &names {
                mark(self.at(cell).map(usize::from));
            }
        });
        let wall_mm = names.par_iter().map(|&cell| self.wall(cell, &remaining)).collect();
        (!names.is_empty()).then(|| Self {
            grid,
            volume_mm3: names
                .iter()
                .map(|&it| self.volume_mm3[it] * remaining[it])
                .collect(),
            wall_mm,
            section: names.iter().map(|&cell| self.section[cell]).collect(),
            links: links.collect(),
            thin_wall_mm: self.thin_wall_mm,
        })
    }

    /// The share of the plastic in `cell` that stays; `None` where no point hits plastic.
    fn remaining(&self, cell: usize, stays: &Stays<'_>) -> Option<f64> {
        let middle = self.middle(cell);
        let off =
            |step: usize| ((step as f64 + 0.5) / PROBES as f64 - 0.5) * self.edge_mm();
        let places = (0..PROBES.pow(3)).map(|at| {
            let [x, y, z] = [at % PROBES, at / PROBES % PROBES, at / PROBES / PROBES];
            middle + Vector::new(off(x), off(y), off(z))
        });
        let (mut all, mut left) = (0_u32, 0_u32);
        for it in places.filter_map(|place| stays(&place)) {
            all += 1;
            left += u32::from(it);
        }
        (all > 0).then(|| f64::from(left) / f64::from(all))
    }

    /// The same for slivers, which keep what the cells beside them keep.
    fn spread(&self, sampled: &[Option<f64>]) -> Vec<f64> {
        let mut sums = vec![(0.0, 0.0); self.len()];
        for link in &self.links {
            let ends = [link.low as usize, link.high as usize];
            for [own, other] in [ends, [ends[1], ends[0]]] {
                if let Some(remaining) = sampled[other] {
                    sums[own].0 += remaining * f64::from(link.open);
                    sums[own].1 += f64::from(link.open);
                }
            }
        }
        let of_cell = |(sampled, (sum, weight)): (&Option<f64>, (f64, f64))| {
            sampled.unwrap_or(if weight > 0.0 { sum / weight } else { 1.0 })
        };
        sampled.iter().zip(sums).map(of_cell).collect()
    }

    /// Whether each cell stays: it keeps plastic and is connected to enough others.
    fn pieces(&self, remaining: &[f64]) -> Vec<bool> {
        let neighbors = self.neighbors();
        let mut piece = vec![usize::MAX; self.len()];
        let mut volumes = Vec::new();
        for seed in 0..self.len() {
            if piece[seed] != usize::MAX || remaining[seed] < LEAST_KEPT {
                continue;
            }
            let mut list = vec![seed];
            piece[seed] = volumes.len();
            let mut next = 0;
            while let Some(&cell) = list.get(next) {
                next += 1;
                let beside = neighbors[cell].iter().map(|&other| other as usize);
                let fresh = beside.filter(|&other| {
                    remaining[other] >= LEAST_KEPT && piece[other] == usize::MAX
                });
                let fresh: Vec<usize> = fresh.collect();
                fresh.iter().for_each(|&other| piece[other] = volumes.len());
                list.extend(fresh);
            }
            let volume = |&cell: &usize| self.volume_mm3[cell] * remaining[cell];
            volumes.push(list.iter().map(volume).sum::<f64>());
        }
        let whole: f64 = volumes.iter().sum();
        let is_piece = |name: &usize| {
            volumes.get(*name).is_some_and(|volume| *volume > CRUMB * whole)
        };
        piece.iter().map(is_piece).collect()
    }

    /// The wall around `cell`, mm.
    fn wall(&self, cell: usize, remaining: &[f64]) -> f64 {
        let reach = (self.wall_mm[cell] / self.edge_mm()).ceil() as usize + 1;
        let runs = [0, 1, 2].map(|axis| self.run(cell, axis, reach, remaining));
        let shortest = runs.into_iter().min_by(|a, b| a[0].total_cmp(&b[0]));
        let [drawn, left] = shortest.unwrap_or([1.0; 2]);
        let section = f64::from(self.section[cell]) / (SECTIONS - 1) as f64;
        self.wall_mm[cell] * (left / drawn).min(1.0).powf(1.0 / (1.0 + section))
    }

    /// Plastic in line with `cell` along `axis`, as drawn and as it stays, mm³.
    fn run(&self, cell: usize, axis: usize, reach: usize, remaining: &[f64]) -> [f64; 2] {
        let own = self.volume_mm3[cell];
        let mut sums = [own, own * remaining[cell]];
        for up in [false, true] {
            let mut at = self.at(cell).map(usize::from);
            let (mut joined, mut steps) = (true, 0);
            while steps < reach && (up || at[axis] > 0) {
                at[axis] = if up { at[axis] + 1 } else { at[axis] - 1 };
                steps += 1;
                let Some(next) = self.grid.find(at) else { break };
                joined &= remaining[next] >= LEAST_KEPT;
                sums[0] += self.volume_mm3[next];
                sums[1] +=
                    if joined { self.volume_mm3[next] * remaining[next] } else { 0.0 };
            }
        }
        sums
    }
}

#[cfg(test)]
mod tests {
    use crate::fill::cells::{Cells, Resolution};
    use crate::mesh::{bvh::Bvh, shapes};

    /// A plate of 20 × 10 × 2 of which the upper half is not there: half the volume, half
    /// the wall. Without a strip across it, two pieces; without a film, as it was.
    #[test]
    fn a_carved_plate_is_a_thinner_plate() {
        let mesh = shapes::cuboid(20.0, 10.0, 2.0);
        let bvh = Bvh::new(&mesh);
        let cells = Cells::new(&mesh, &bvh, Resolution::EdgeMm(0.25)).unwrap();
        let thin = cells.without(&|at| Some(at.z < 1.0)).unwrap();
        assert!((thin.total_mm3() - 200.0).abs() < 4.0, "{}", thin.total_mm3());
        let middle = thin.nearest(&crate::geom::Point::new(10.0, 5.0, 0.5));
        assert!((thin.wall_mm[middle] - 1.0).abs() < 0.15, "{}", thin.wall_mm[middle]);
        let split = cells.without(&|at| Some((at.x - 10.0).abs() > 1.0)).unwrap();
        assert!((split.total_mm3() - 360.0).abs() < 4.0, "{}", split.total_mm3());
        let crosses = |link: &crate::fill::cells::Link| {
            let [a, b] = [link.low, link.high].map(|it| split.middle(it as usize).x);
            (a - 10.0) * (b - 10.0) < 0.0
        };
        assert!(!split.links.iter().any(crosses));
        let same = cells.without(&|_| Some(true)).unwrap();
        assert_eq!(same.volume_mm3, cells.volume_mm3);
        assert!(cells.without(&|_| Some(false)).is_none());
    }
}
