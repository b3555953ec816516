//! What the temperature of a melt follows from: its nodes, its mold, and how its flow answers.

use crate::fill::gap_nodes::{ByNode, NODES, Nodes, dimension};
use crate::fill::gap_profile::{self, Wall};
use crate::fill::local_walls::SECTIONS;
use crate::fill::melt::Melt;
use crate::fill::temperature_shift::TemperatureShift;
use crate::process::thermal::cooling::{self, Section};
use crate::units::{Pressure, Quantity, Temperature};

/// Constants of one melt in one mold.
#[derive(Clone, Debug)]
pub(super) struct ThermalTables {
    /// Of the melt as it comes in, K.
    pub(super) melt_k: f64,
    /// Of the mold, K.
    pub(super) mold_k: f64,
    /// Heat that warms a volume by one kelvin, J/(m³ K).
    pub(super) heat_j_m3_k: f64,
    diffusivity: f64,
    contact_w_m2_k: f64,
    shift: TemperatureShift,
    nodes: Vec<Nodes>,
}

impl ThermalTables {
    /// The tables of `melt` below its no-flow temperature, pushed by `pressure`.
    pub(super) fn new(melt: &Melt, no_flow: Temperature, pressure: Pressure) -> Self {
        let Melt { viscosity, temperature, mold, .. } = melt;
        Self {
            melt_k: temperature.si(),
            mold_k: mold.si(),
            heat_j_m3_k: melt.heat_j_m3_k,
            diffusivity: melt.diffusivity.si(),
            contact_w_m2_k: melt.contact_w_m2_k,
            shift: TemperatureShift::new(viscosity, *temperature, no_flow, pressure),
            nodes: (0..SECTIONS).map(|section| Nodes::new(dimension(section))).collect(),
        }
    }

    /// The nodes of a section.
    pub(super) fn nodes(&self, section: u8) -> &Nodes {
        &self.nodes[usize::from(section).min(SECTIONS - 1)]
    }

    /// The mold as a wall of `wall_m` meets it for `lasts_s`.
    pub(super) fn wall(&self, wall_m: f64, lasts_s: f64) -> Wall {
        let half = 0.5 * wall_m;
        Wall {
            fourier: self.diffusivity * lasts_s.max(0.0) / (half * half),
            biot: self.contact_w_m2_k * half / (self.diffusivity * self.heat_j_m3_k),
            mold_k: self.mold_k,
        }
    }

    /// How many times as fast each node shears as at melt temperature: the mean over the
    /// node by Simpson's rule.
    pub(super) fn warmth(&self, kelvin: &ByNode, section: u8, wall_m: f64) -> ByNode {
        let nodes = self.nodes(section);
        let at = gap_profile::boundaries(kelvin, nodes, self.wall(wall_m, 0.0));
        let ends = at.map(|kelvin| self.shift.at(kelvin));
        std::array::from_fn(|node| {
            let middle = self.shift.at(kelvin[node]);
            (ends[node] + 4.0 * middle + ends[node + 1]) / 6.0
        })
    }

    /// Share of a half gap that no longer flows.
    pub(super) fn frozen(&self, kelvin: &ByNode, section: u8, wall_m: f64) -> f64 {
        let wall = self.wall(wall_m, 0.0);
        gap_profile::frozen(kelvin, self.nodes(section), wall, self.shift.no_flow_k())
    }

    /// About how long a section of standing melt flows, s: the series of plate and rod on a
    /// wall at mold temperature, and what the contact adds (that of a lump, b/h over its
    /// heat).
    pub(super) fn freeze_s(&self, section: u8, wall_m: f64) -> f64 {
        let theta = (self.shift.no_flow_k() - self.mold_k) / (self.melt_k - self.mold_k);
        if !(theta > 0.0 && theta < 1.0) {
            return f64::INFINITY;
        }
        let rod = f64::from(section) / (SECTIONS - 1) as f64;
        let first = |section: Section| {
            let (weight, beta) =
                cooling::terms(section).first().copied().unwrap_or((1.0, 1.0));
            (weight / theta).max(1.0).ln() / (beta * beta)
        };
        let fourier = (1.0 - rod) * first(Section::Plate) + rod * first(Section::Rod);
        let Wall { biot, .. } = self.wall(wall_m, 0.0);
        let contact = theta.recip().ln() / (biot * (1.0 + rod));
        (fourier + contact) * (0.5 * wall_m).powi(2) / self.diffusivity
    }

    /// The temperatures of a node each at melt temperature.
    pub(super) fn hot(&self) -> ByNode {
        [self.melt_k; NODES]
    }
}
