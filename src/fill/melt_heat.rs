//! How warm the melt is, through every wall, from one instant to the next.
//!
//! Each cell carries the temperature through its half gap (`gap_profile`). During a step the
//! cells are visited in the order of falling pressure, so each gets what the ones before it
//! send, along its own velocities. Shear heats where it happens, by the pressure lost in the
//! cell. At the front the middle moves faster than the front itself and turns outward (the
//! fountain of Rose, *Nature* 191, 1961): a new cell takes from each node what it carries,
//! and fills the rest of the slow nodes from the fast ones.

use crate::fill::flow_step::{Cavity, Field};
use crate::fill::front_advance::Step;
use crate::fill::gap_nodes::{ByNode, NODES};
use crate::fill::gap_profile::{self, Exchange};
use crate::fill::node_rates::Passing;
use crate::fill::thermal_tables::ThermalTables;

/// Energy of a filling, J, counted from the temperature of the mold.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct EnergyBalance {
    /// Brought in by the melt at the gate.
    pub entered_j: f64,
    /// Made by shear.
    pub sheared_j: f64,
    /// Lost to the mold.
    pub lost_j: f64,
    /// Still in the part at the end.
    pub held_j: f64,
}

/// The temperature in every cell.
pub(super) struct MeltHeat {
    /// K at each node of each cell.
    pub(super) kelvin: Vec<ByNode>,
    /// Share of what leaves a cell that leaves from each node.
    passing: Vec<ByNode>,
    /// Melt in cells that are not full yet, m³; all of it in the others.
    held_m3: Vec<f64>,
    /// In the middle of the front when it came by, K.
    pub(super) front_k: Vec<f64>,
    /// What has gone in and out.
    pub(super) balance: EnergyBalance,
}

/// A step of the front, and the field that drove it.
pub(super) struct Passed<'a> {
    pub(super) cavity: &'a Cavity<'a>,
    pub(super) tables: &'a ThermalTables,
    pub(super) field: &'a Field,
    /// The cells that are full of melt, those of this step included.
    pub(super) wet: &'a [bool],
    pub(super) step: &'a Step,
    /// How long it took, s.
    pub(super) lasts_s: f64,
    /// The melt at the gate, K.
    pub(super) gate_k: &'a ByNode,
}

impl MeltHeat {
    /// Everywhere at melt temperature.
    pub(super) fn new(cavity: &Cavity<'_>, tables: &ThermalTables) -> Self {
        let cells = cavity.cells;
        let hot = tables.hot();
        let full = |cell: usize| {
            let volume = cells.volume_mm3[cell] * 1e-9;
            if cavity.mouth.is_gate[cell] { volume } else { 0.0 }
        };
        Self {
            kelvin: vec![hot; cells.len()],
            passing: (0..cells.len())
                .map(|cell| tables.nodes(cells.section[cell]).share)
                .collect(),
            held_m3: (0..cells.len()).map(full).collect(),
            front_k: vec![tables.melt_k; cells.len()],
            balance: EnergyBalance::default(),
        }
    }

    /// Lets a step pass; writes how fast the nodes shear now into `warmth`.
    pub(super) fn pass(&mut self, passed: &Passed<'_>, warmth: &mut [ByNode]) {
        let Passed { cavity, field, step, .. } = passed;
        // Full cells have melt everywhere; those at the front come after.
        let mut was_full: Vec<bool> = passed.wet.to_vec();
        for &(cell, _) in &step.filled {
            was_full[cell as usize] = false;
        }
        let mut order: Vec<u32> = (0..cavity.cells.len() as u32)
            .filter(|&cell| was_full[cell as usize])
            .collect();
        order.sort_unstable_by(|&a, &b| {
            let share = |cell: u32| field.share[cell as usize];
            share(b).total_cmp(&share(a)).then(a.cmp(&b))
        });
        let scale = if step.through > 0.0 { step.placed_m3 / step.through } else { 0.0 };
        for &cell in &order {
            let cell = cell as usize;
            self.pass_full(passed, &was_full, scale, cell, &warmth[cell]);
        }
        self.cross(passed);
        // Cells that had melt before have it for the whole step.
        let mut since = vec![0.0; cavity.cells.len()];
        for &(cell, moment) in &step.entered {
            since[cell as usize] = moment;
        }
        for cell in 0..cavity.cells.len() {
            if was_full[cell] || self.held_m3[cell] <= 0.0 || cavity.mouth.is_gate[cell] {
                continue;
            }
            self.rest(passed, cell, (1.0 - since[cell]) * passed.lasts_s);
        }
        for &(cell, _) in &step.filled {
            self.front_k[cell as usize] = self.kelvin[cell as usize][0];
        }
        for (cell, warmth) in warmth.iter_mut().enumerate() {
            if self.held_m3[cell] > 0.0 && !cavity.mouth.is_gate[cell] {
                let wall_m = cavity.cells.wall_mm[cell] * 1e-3;
                let section = cavity.cells.section[cell];
                *warmth = passed.tables.warmth(&self.kelvin[cell], section, wall_m);
            }
        }
    }

    /// A cell that was full before the step: melt passes through it.
    fn pass_full(
        &mut self,
        passed: &Passed<'_>,
        was_full: &[bool],
        scale: f64,
        cell: usize,
        warmth: &ByNode,
    ) {
        let Passed { cavity, tables, field, .. } = passed;
        let Some(level) = cavity.levels.first() else { return };
        if cavity.mouth.is_gate[cell] {
            self.kelvin[cell] = *passed.gate_k;
            return;
        }
        let cells = cavity.cells;
        let (section, wall_m) = (cells.section[cell], cells.wall_mm[cell] * 1e-3);
        let nodes = tables.nodes(section);
        let log_stress = field.log_stress(cell);
        let Passing { flow, heat } =
            cavity.fluidity().passing(section, log_stress, warmth, nodes);
        let volume = cells.volume_mm3[cell] * 1e-9;
        let (mut inflow, mut inflow_k) = ([0.0; NODES], [0.0; NODES]);
        let mut sheared_j = 0.0;
        for &(other, link) in level.beside(cell) {
            let (other, link) = (other as usize, link as usize);
            let fall = field.share[other] - field.share[cell];
            let comes = field.links[link] * fall * scale;
            let is_gate = cavity.mouth.is_gate[other];
            // Half of what is lost between two cells is lost in each; all of what is lost on
            // the way from the gate or to the front is lost here.
            let own = if is_gate || !was_full[other] { 1.0 } else { 0.5 };
            sheared_j += own * comes * fall * field.gate_pa;
            if comes <= 0.0 {
                continue;
            }
            let before = &self.kelvin[other];
            for node in 0..NODES {
                let own = comes * flow[node];
                inflow[node] += own / volume;
                inflow_k[node] += own * before[node] / volume;
            }
            if is_gate {
                self.balance.entered_j += entered(tables, comes, &flow, before);
            }
        }
        let warms = sheared_j / (volume * tables.heat_j_m3_k);
        let exchange =
            Exchange { inflow, inflow_k, sheared_k: heat.map(|share| share * warms) };
        let wall = tables.wall(wall_m, passed.lasts_s);
        let lost =
            gap_profile::step(&mut self.kelvin[cell], nodes, wall, Some(&exchange));
        self.balance.sheared_j += sheared_j;
        self.balance.lost_j += lost * volume * tables.heat_j_m3_k;
        self.passing[cell] = flow;
    }

    /// Melt crosses the front and goes on from cell to cell.
    fn cross(&mut self, passed: &Passed<'_>) {
        let Passed { cavity, tables, step, .. } = passed;
        let cells = cavity.cells;
        for transfer in &step.transfers {
            let [from, to] = [transfer.from, transfer.to].map(|cell| cell as usize);
            let nodes = tables.nodes(cells.section[to]);
            let before = self.kelvin[from];
            let is_gate = cavity.mouth.is_gate[from];
            let brings = if transfer.crosses_front && !is_gate {
                gap_profile::turned_outward(&before, &self.passing[from], &nodes.share)
            } else {
                before
            };
            if is_gate {
                self.balance.entered_j +=
                    entered(tables, transfer.amount_m3, &nodes.share, &brings);
            }
            if self.held_m3[to] <= 0.0 {
                self.passing[to] = self.passing[from];
            }
            let held = self.held_m3[to];
            let whole = held + transfer.amount_m3;
            if whole > 0.0 {
                let share = transfer.amount_m3 / whole;
                for (own, brought) in self.kelvin[to].iter_mut().zip(brings) {
                    *own += share * (brought - *own);
                }
            }
            self.held_m3[to] = whole.min(cells.volume_mm3[to] * 1e-9);
        }
    }

    /// A cell at the front, in which nothing passes on, for so long.
    fn rest(&mut self, passed: &Passed<'_>, cell: usize, lasts_s: f64) {
        let Passed { cavity, tables, .. } = passed;
        let cells = cavity.cells;
        let wall = tables.wall(cells.wall_mm[cell] * 1e-3, lasts_s);
        let nodes = tables.nodes(cells.section[cell]);
        let lost = gap_profile::step(&mut self.kelvin[cell], nodes, wall, None);
        self.balance.lost_j += lost * self.held_m3[cell] * tables.heat_j_m3_k;
    }

    /// The balance with what the part holds.
    pub(super) fn settled(
        &self,
        cavity: &Cavity<'_>,
        tables: &ThermalTables,
    ) -> EnergyBalance {
        let held = (0..cavity.cells.len()).filter(|&cell| !cavity.mouth.is_gate[cell]);
        let held_j = held
            .map(|cell| {
                let share = &tables.nodes(cavity.cells.section[cell]).share;
                entered(tables, self.held_m3[cell], share, &self.kelvin[cell])
            })
            .sum();
        EnergyBalance { held_j, ..self.balance }
    }
}

/// Heat of a volume (m³) of melt above mold temperature, J, by the share of each node.
fn entered(
    tables: &ThermalTables,
    volume_m3: f64,
    shares: &ByNode,
    kelvin: &ByNode,
) -> f64 {
    let mean: f64 = shares
        .iter()
        .zip(kelvin)
        .map(|(share, kelvin)| share * (kelvin - tables.mold_k))
        .sum();
    volume_m3 * tables.heat_j_m3_k * mean
}
