//! Pressure, gradient and flow of one instant: ram, feed and cavity in series.
//!
//! How well a cell conducts depends on the gradient in it, and that on how well all cells
//! conduct. The two are brought together by turns. Each turn moves the gradients as a
//! whole by what ram, feed and melt agree on, and what one differs from the whole by a
//! share of its logarithm: walls one after another would settle fastest with the share n,
//! ways side by side with 1, and the shares taken are the best for both. The ram pushes with a limited force, perhaps at a limited speed; the
//! feed takes its loss; the cavity gets the rest.

use super::cells::{Cells, Link};
use super::fluidity::{Fluidity, Motion, log_lever};
use super::gate::Mouth;
use crate::fill::drive::{Drive, Intake};
use crate::fill::feed_channels::FeedChannels;
use crate::fill::gap_nodes::ByNode;
use crate::fill::melt_tables::MeltTables;
use crate::fill::multigrid_levels::Level;
use crate::fill::pressure_solver::System;
use rayon::prelude::*;

/// What does not change while the part fills.
pub(super) struct Cavity<'a> {
    pub(super) cells: &'a Cells,
    pub(super) levels: &'a [Level],
    pub(super) mouth: &'a Mouth,
    pub(super) tables: &'a MeltTables,
    /// Share of the part that one step fills.
    pub(super) step: f64,
}

impl Cavity<'_> {
    /// How the melt moves.
    pub(super) fn fluidity(&self) -> &Fluidity {
        &self.tables.fluidity
    }
}

/// How far the melt is.
pub(super) struct Reach<'a> {
    /// Cells full of melt.
    pub(super) wet: Vec<bool>,
    /// Share of each cell that holds melt.
    pub(super) filled: Vec<f64>,
    /// How many times as fast each node of each cell shears as at melt temperature; empty
    /// for a melt that stays at it.
    pub(super) warmth: Vec<ByNode>,
    /// The feed and the melt in it.
    pub(super) channels: FeedChannels<'a>,
}

impl Reach<'_> {
    /// Pressure lost in the channels of the mold at a flow (m³/s), Pa.
    pub(super) fn lost(&self, cavity: &Cavity<'_>, flow: f64) -> f64 {
        self.channels.loss(cavity.fluidity(), flow)
    }

    fn warmth(&self, cell: usize) -> Option<&ByNode> {
        self.warmth.get(cell)
    }
}

/// What flows.
pub(super) struct Field {
    /// Pressure as a share of that at the gate.
    pub(super) share: Vec<f64>,
    /// Natural logarithm of the gradient in each cell, in Pa/m; [`NEVER`] where the melt never
    /// was.
    log_gradient: Vec<f64>,
    /// That of the stress at its wall for a gradient of 1 Pa/m.
    log_lever: Vec<f64>,
    /// Conductance of each link, m³/(s Pa).
    pub(super) links: Vec<f64>,
    /// Pressure at the gate, Pa.
    pub(super) gate_pa: f64,
    /// Flow through it, m³/s.
    pub(super) flow_m3_s: f64,
}

/// The logarithm of no gradient.
const NEVER: f64 = f64::NEG_INFINITY;

/// Turns between gradient and conductance, at the first instant and later.
const TURNS: [usize; 2] = [60, 12];

/// They have met when flow and pressure change by less than this share; what is left over
/// is made up in the next steps.
const MET: f64 = 1e-2;

/// Strides of two turns: the roots of the second Chebyshev polynomial.
const STRIDES: [f64; 2] =
    [std::f64::consts::FRAC_1_SQRT_2, -std::f64::consts::FRAC_1_SQRT_2];

/// Cells that one thread does before another is woken: one alone is faster for fewer.
const CELLS_AT_ONCE: usize = 4096;

/// What the linear solver leaves over, relative to the flow from the gate.
const REST: f64 = 1e-4;

/// The nearest that the front counts to the middle of its cell, cells.
const HALF: f64 = 0.5;

impl Field {
    pub(super) fn new(cells: &Cells) -> Self {
        let walls = cells.section.iter().zip(&cells.wall_mm);
        Self {
            share: vec![0.0; cells.len()],
            log_gradient: vec![NEVER; cells.len()],
            log_lever: walls.map(|(&it, wall)| log_lever(it, wall * 1e-3)).collect(),
            links: vec![0.0; cells.links.len()],
            gate_pa: 0.0,
            flow_m3_s: 0.0,
        }
    }

    /// Brings the field to the instant `reach`.
    pub(super) fn settle(
        &mut self,
        cavity: &Cavity<'_>,
        reach: &Reach<'_>,
        drive: &Drive<'_>,
    ) {
        let turns = TURNS[usize::from(self.flow_m3_s > 0.0)];
        for turn in 0..turns {
            let before = [self.flow_m3_s, self.gate_pa];
            let motions = self.motions(cavity, reach);
            self.conduct(cavity, reach, &motions);
            self.press(cavity, reach);
            let thins = self.follow(cavity, reach, drive, &motions, STRIDES[turn % 2]);
            // The force sets one, the speed limit the other.
            let now = [self.flow_m3_s, self.gate_pa];
            let met = before.iter().zip(&now).all(|(a, b)| (a - b).abs() <= MET * b);
            if !thins || (met && turn > 0) {
                break;
            }
        }
    }

    /// Gives cells that filled without ever being at the front the gradient beside them;
    /// with none they would stand in the way as if the melt did not thin.
    pub(super) fn seed(&mut self, level: &Level, filled: impl Iterator<Item = usize>) {
        for cell in filled {
            if self.log_gradient[cell] <= NEVER {
                let beside = level.beside(cell).iter();
                let known = beside.map(|&(other, _)| self.log_gradient[other as usize]);
                self.log_gradient[cell] = known.fold(NEVER, f64::max);
            }
        }
    }

    /// Motion in each cell that melt is in or about to enter.
    fn motions(&self, cavity: &Cavity<'_>, reach: &Reach<'_>) -> Vec<Motion> {
        let of = |cell: usize| {
            let log_gradient = self.log_gradient[cell];
            if !reach.wet[cell] && log_gradient <= NEVER {
                return Motion::NONE;
            }
            self.motion(cavity, reach, cell, log_gradient)
        };
        (0..cavity.cells.len())
            .into_par_iter()
            .with_min_len(CELLS_AT_ONCE)
            .map(of)
            .collect()
    }

    /// Conductance of each link from the mobility at both ends.
    fn conduct(&mut self, cavity: &Cavity<'_>, reach: &Reach<'_>, motions: &[Motion]) {
        let mobility = |cell: usize| motions[cell].mobility;
        let edge = cavity.cells.edge_mm() * 1e-3;
        let links = cavity.cells.links.par_iter().zip(&cavity.mouth.way);
        let links = links.with_min_len(CELLS_AT_ONCE);
        let conduct = links.map(|(link, way)| {
            let [low, high] = [link.low, link.high].map(|cell| cell as usize);
            let (wet, other) = if reach.wet[low] { (low, high) } else { (high, low) };
            let [behind, ahead] = [wet, other].map(mobility);
            if !reach.wet[wet] || behind <= 0.0 {
                return 0.0;
            }
            let resists = if reach.wet[other] {
                if ahead <= 0.0 {
                    return 0.0;
                }
                (HALF / behind + HALF / ahead) * way
            } else {
                let ahead = if ahead > 0.0 { ahead } else { behind };
                (HALF / behind + reach.filled[other] / ahead) * way
            };
            f64::from(link.open) * edge / resists
        });
        conduct.collect_into_vec(&mut self.links);
    }

    /// The equations of this instant: conductance between unknown cells, to the gate and
    /// the front, and flow from the gate.
    pub(super) fn system(&self, cavity: &Cavity<'_>, reach: &Reach<'_>) -> System {
        let count = cavity.cells.len();
        let wet = reach.wet.iter().zip(&cavity.mouth.is_gate);
        let is_unknown: Vec<bool> = wet.map(|(wet, gate)| *wet && !gate).collect();
        let mut inner = vec![0.0; self.links.len()];
        let (mut ends, mut right) = (vec![0.0; count], vec![0.0; count]);
        for (index, link) in cavity.cells.links.iter().enumerate() {
            let conductance = self.links[index];
            if conductance <= 0.0 {
                continue;
            }
            let [low, high] = [link.low, link.high].map(|cell| cell as usize);
            match (is_unknown[low], is_unknown[high]) {
                (true, true) => inner[index] = conductance,
                (false, false) => {}
                (low_is_unknown, _) => {
                    let (own, other) =
                        if low_is_unknown { (low, high) } else { (high, low) };
                    ends[own] += conductance;
                    if cavity.mouth.is_gate[other] {
                        right[own] += conductance;
                    }
                }
            }
        }
        System::new(cavity.levels, is_unknown, inner, ends, right)
    }

    fn press(&mut self, cavity: &Cavity<'_>, reach: &Reach<'_>) {
        let system = self.system(cavity, reach);
        for (cell, share) in self.share.iter_mut().enumerate() {
            if cavity.mouth.is_gate[cell] {
                *share = 0.0;
            }
        }
        system.solve(&mut self.share, REST);
        for (cell, share) in self.share.iter_mut().enumerate() {
            if cavity.mouth.is_gate[cell] {
                *share = 1.0;
            } else if !reach.wet[cell] {
                *share = 0.0;
            }
        }
    }

    /// Flow into the front for one pascal at the gate, m³/(s Pa).
    fn conductance(&self, cavity: &Cavity<'_>) -> f64 {
        let links = cavity.cells.links.iter().zip(&self.links);
        let through = links.map(|(link, conductance)| {
            let [low, high] = [link.low, link.high].map(|cell| cell as usize);
            match (cavity.mouth.is_gate[low], cavity.mouth.is_gate[high]) {
                (true, false) => conductance * (1.0 - self.share[high]),
                (false, true) => conductance * (1.0 - self.share[low]),
                _ => 0.0,
            }
        });
        through.sum()
    }

    /// Lets the gradients follow the pressures, and flow and gate pressure each other;
    /// whether any melt thins under stress.
    fn follow(
        &mut self,
        cavity: &Cavity<'_>,
        reach: &Reach<'_>,
        drive: &Drive<'_>,
        motions: &[Motion],
        stride: f64,
    ) -> bool {
        let falls = self.falls(cavity, reach);
        let turned: Vec<Turned> = (0..cavity.cells.len())
            .into_par_iter()
            .with_min_len(CELLS_AT_ONCE)
            .map(|cell| self.turned(cavity, reach, motions, &falls, cell))
            .collect();
        // Cells count by what they lose: gradient times flow.
        let (mut weights, mut logs, mut exponents) = (0.0, 0.0, 0.0);
        for (turned, &old) in turned.iter().zip(&self.log_gradient) {
            if old > NEVER && turned.log_slope > NEVER {
                weights += turned.loss;
                logs += turned.loss * (turned.log_slope - old);
                exponents += turned.loss * (1.0 / turned.index - 1.0);
            }
        }
        let conductance = self.conductance(cavity);
        let mut intake = Intake { conductance, reference_pa: 1.0, exponent: 0.0 };
        if weights > 0.0 {
            intake.reference_pa = (-logs / weights).exp();
            intake.exponent = exponents / weights;
        }
        let channels = |flow: f64| reach.lost(cavity, flow);
        (self.flow_m3_s, self.gate_pa) = drive.balance(&intake, &channels);
        let log_gate = self.gate_pa.ln();
        let whole = if weights > 0.0 { log_gate - intake.reference_pa.ln() } else { 0.0 };
        let mut thins = false;
        for (gradient, turned) in self.log_gradient.iter_mut().zip(&turned) {
            let new = turned.log_slope + log_gate;
            if new <= NEVER {
                continue;
            }
            thins |= (turned.index - 1.0).abs() > 1e-6;
            let share = share(turned.index, stride);
            *gradient = if *gradient > NEVER {
                let moved = *gradient + whole;
                moved + (new - moved) * share
            } else {
                new
            };
        }
        thins
    }

    /// What the pressures of this turn say of one cell.
    fn turned(
        &self,
        cavity: &Cavity<'_>,
        reach: &Reach<'_>,
        motions: &[Motion],
        falls: &[f64],
        cell: usize,
    ) -> Turned {
        let slope = slope(cavity, reach, falls, cell);
        if slope <= 0.0 {
            return Turned { log_slope: NEVER, index: 1.0, loss: 0.0 };
        }
        let log_slope = slope.ln();
        let motion = if self.log_gradient[cell] > NEVER {
            motions[cell]
        } else {
            self.motion(cavity, reach, cell, log_slope + self.gate_pa.ln())
        };
        let loss = motion.mobility * slope * slope * cavity.cells.volume_mm3[cell];
        Turned { log_slope, index: motion.index, loss }
    }

    /// Motion in one cell under a gradient given by its logarithm.
    fn motion(
        &self,
        cavity: &Cavity<'_>,
        reach: &Reach<'_>,
        cell: usize,
        log_gradient: f64,
    ) -> Motion {
        let half_m = 0.5e-3 * cavity.cells.wall_mm[cell];
        if half_m <= 0.0 {
            return Motion::NONE;
        }
        cavity.fluidity().motion_by_logs(
            cavity.cells.section[cell],
            half_m,
            self.log_lever[cell],
            log_gradient,
            reach.warmth(cell),
        )
    }

    /// ln of the stress at the wall of a cell, in Pa.
    pub(super) fn log_stress(&self, cell: usize) -> f64 {
        self.log_lever[cell] + self.log_gradient[cell]
    }

    /// How much the pressure falls from the lower to the higher cell of each link, for one pascal
    /// at the gate and an edge of a cell, times the open share of the face; of no meaning
    /// between two cells without melt.
    fn falls(&self, cavity: &Cavity<'_>, reach: &Reach<'_>) -> Vec<f64> {
        let links = cavity.cells.links.par_iter().zip(&cavity.mouth.way);
        let fall = |(link, way): (&Link, &f64)| {
            let [low, high] = [link.low, link.high].map(|cell| cell as usize);
            let apart = match (reach.wet[low], reach.wet[high]) {
                (true, true) => 1.0,
                (false, false) => return 0.0,
                (true, false) => HALF + reach.filled[high],
                (false, true) => HALF + reach.filled[low],
            };
            f64::from(link.open) * (self.share[low] - self.share[high]) / (apart * way)
        };
        links.with_min_len(CELLS_AT_ONCE).map(fall).collect()
    }
}

/// Gradient in one cell for one pascal at the gate, 1/m: across each axis the mean of its open
/// faces, by what falls over each.
fn slope(cavity: &Cavity<'_>, reach: &Reach<'_>, falls: &[f64], cell: usize) -> f64 {
    let Some(level) = cavity.levels.first() else { return 0.0 };
    let (is_gate, is_wet) = (&cavity.mouth.is_gate, reach.wet[cell]);
    let (mut slopes, mut opens) = ([0.0; 3], [0.0; 3]);
    for &(other, index) in level.beside(cell) {
        let (other, index) = (other as usize, index as usize);
        // Melt leaves a gate to all sides, and none of them takes from another.
        if (!is_wet && !reach.wet[other]) || (is_gate[cell] && is_gate[other]) {
            continue;
        }
        let link = &cavity.cells.links[index];
        let axis = usize::from(link.axis);
        slopes[axis] += if is_gate[cell] { falls[index].abs() } else { falls[index] };
        opens[axis] += f64::from(link.open);
    }
    let squares = (0..3).filter(|&axis| opens[axis] > 0.0).map(|axis| {
        let slope: f64 = slopes[axis] / opens[axis];
        slope * slope
    });
    squares.sum::<f64>().sqrt() / (cavity.cells.edge_mm() * 1e-3)
}

/// How much of its own change a gradient follows where the melt has the index `n`: the
/// Chebyshev stride for what lies between walls in series (1/n) and side by side (1).
fn share(n: f64, stride: f64) -> f64 {
    let [middle, reach] = [0.5 * (1.0 / n + 1.0), 0.5 * (1.0 / n - 1.0)];
    1.0 / (middle + stride * reach)
}

/// What one turn says of a cell.
struct Turned {
    /// ln of the gradient for one pascal at the gate, in 1/m.
    log_slope: f64,
    /// The n of its melt.
    index: f64,
    /// What it loses, up to a factor.
    loss: f64,
}
