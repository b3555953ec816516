//! How fast the melt moves through a gap under a pressure gradient.
//!
//! The stress in a gap grows linearly from its middle: τ = z G / d, with the gradient G
//! and d = 1 in a flat gap, 2 in a round bore. The mean velocity is
//!
//! ```text
//! v = (1 / bᵈ) ∫₀ᵇ zᵈ γ̇(τ(z)) dz = b F(τ_w),   F(τ) = τ^−(d+1) ∫₀^τ sᵈ γ̇(s) ds
//! ```
//!
//! (Weissenberg, Rabinowitsch and Mooney; for a flat gap S = ∫ z²/η dz of Hieber & Shen,
//! *J. Non-Newtonian Fluid Mech.* 7, 1980, is v b / G), so one table of F against the
//! stress at the wall serves every thickness. For a power law it gives
//! v = b^(1+1/n) (G / d K)^(1/n) / (d + 1 + 1/n), which is the slit for d = 1 and the tube
//! for d = 2; sections between take a d between. The tables are for a melt at one temperature
//! and pressure; where the temperature differs through the gap, `node_rates` says how much
//! slower it moves.

use crate::fill::gap_nodes::{ByNode, Nodes, dimension};
use crate::fill::local_walls::SECTIONS;
use crate::fill::node_rates::{NodeRates, Passing};
use crate::numeric::{self, bisect};
use crate::process::plastic::viscosity::Viscosity;
use crate::units::{Pressure, Quantity, Temperature};

/// Stresses covered, Pa: below, the melt creeps; above, no press pushes.
const STRESS: [f64; 2] = [10.0, 1e9];

const STEPS: usize = 256;

/// Natural logarithms of the rates searched, 1/s.
const RATES: [f64; 2] = [-60.0, 60.0];

/// Velocity against stress at the wall, for every section.
#[derive(Clone, Debug)]
pub struct Fluidity {
    /// ln F at each stress, for each section.
    tables: Vec<Vec<f64>>,
    nodes: NodeRates,
}

/// How the melt moves in one cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Motion {
    /// Mean velocity over the whole section for a gradient of 1, m²/(Pa s).
    pub mobility: f64,
    /// The n of the power law that the melt follows here; 1 when it does not thin.
    pub index: f64,
}

impl Motion {
    /// That of a place where no melt flows.
    pub const NONE: Self = Self { mobility: 0.0, index: 1.0 };
}

/// Why a melt cannot be pushed.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum FluidityError {
    /// The model has it solid.
    #[error("the plastic does not flow at {celsius:.0} °C; raise the melt temperature")]
    Solid {
        /// The temperature asked for.
        celsius: f64,
    },
    /// More stress does not give more flow.
    #[error(
        "the viscosity model does not flow faster under more stress; check its index"
    )]
    Falling,
}

impl Fluidity {
    /// The table of `viscosity` at one temperature and pressure.
    ///
    /// # Errors
    ///
    /// [`FluidityError`] when the plastic is solid there, or its model is no melt.
    pub fn new(
        viscosity: &Viscosity,
        at: Temperature,
        pressure: Pressure,
    ) -> Result<Self, FluidityError> {
        let stress_at = |rate: f64| rate * viscosity.pa_s(rate, at, pressure);
        let middle = stress_at(1.0);
        if !middle.is_finite() || middle <= 0.0 {
            return Err(FluidityError::Solid { celsius: at.si() - 273.15 });
        }
        let rates: Vec<f64> =
            (0..STEPS).map(|step| rate_at(stress(step), &stress_at)).collect();
        // A rate that is no number is not above the one before it either.
        if !rates.is_sorted_by(|below, above| below < above) {
            return Err(FluidityError::Falling);
        }
        let tables: Vec<Vec<f64>> =
            (0..SECTIONS).map(|section| table(dimension(section), &rates)).collect();
        let slip = table(0.0, &rates);
        let log_flow = |d: f64, log_stress: f64| {
            if d < 1.0 {
                return looked_up(&slip, log_stress);
            }
            let section = ((d - 1.0) * (SECTIONS - 1) as f64).round() as usize;
            looked_up(&tables[section], log_stress)
        };
        let nodes = NodeRates::new(STRESS.map(f64::ln), &log_flow);
        Ok(Self { tables, nodes })
    }

    /// Motion in a section (0 a wall, 16 a rod) of `wall_m` under a gradient in Pa/m. Its
    /// nodes shear `warmth` times as fast as at melt temperature; all at that where `None`.
    pub fn motion(
        &self,
        section: u8,
        wall_m: f64,
        gradient: f64,
        warmth: Option<&ByNode>,
    ) -> Motion {
        let half = 0.5 * wall_m;
        if half <= 0.0 {
            return Motion::NONE;
        }
        let log_lever = log_lever(section, wall_m);
        self.motion_by_logs(section, half, log_lever, gradient.ln(), warmth)
    }

    /// The same in a half gap of `half_m`, from the logarithms of its lever ([`log_lever`]) and
    /// of the gradient: what is worked out turn by turn needs no others.
    pub(super) fn motion_by_logs(
        &self,
        section: u8,
        half_m: f64,
        log_lever: f64,
        log_gradient: f64,
        warmth: Option<&ByNode>,
    ) -> Motion {
        let section = usize::from(section).min(SECTIONS - 1);
        let log_stress = (log_lever + log_gradient).max(STRESS[0].ln());
        let (at, step) = place(log_stress);
        let slope = self.tables[section][step + 1] - self.tables[section][step];
        let log = self.tables[section][step] + slope * (at - step as f64);
        let slowed =
            warmth.map_or(1.0, |warmth| self.nodes.slowed(section, log_stress, warmth));
        let mobility = half_m * (log + log_lever - log_stress).exp() * slowed;
        Motion { mobility, index: log_step() / slope }
    }

    /// The gradient, Pa/m, that drives a mean velocity (m/s) through a section; infinite
    /// where it is frozen.
    pub(super) fn gradient(
        &self,
        section: u8,
        wall_m: f64,
        velocity: f64,
        warmth: Option<&ByNode>,
    ) -> f64 {
        let section = usize::from(section).min(SECTIONS - 1);
        let half = 0.5 * wall_m;
        let wanted = (velocity / half).ln();
        let mut log_stress = self.log_stress_at(section, wanted);
        if let Some(warmth) = warmth {
            // The shares change so little with the stress that a few turns are enough.
            for _ in 0..4 {
                let slowed = self.nodes.slowed(section, log_stress, warmth);
                if slowed <= 0.0 {
                    return f64::INFINITY;
                }
                log_stress = self.log_stress_at(section, wanted - slowed.ln());
            }
        }
        log_stress.exp() * dimension(section) / half
    }

    /// ln of the stress at which ln F is `log`.
    fn log_stress_at(&self, section: usize, log: f64) -> f64 {
        let table = &self.tables[section];
        let above = table.partition_point(|&own| own < log).clamp(1, STEPS - 1);
        let slope = table[above] - table[above - 1];
        let at = (above - 1) as f64 + (log - table[above - 1]) / slope;
        STRESS[0].ln() + at * log_step()
    }

    /// What passes through the nodes of a section under a stress at the wall, given by its
    /// logarithm.
    pub(super) fn passing(
        &self,
        section: u8,
        log_stress: f64,
        warmth: &ByNode,
        nodes: &Nodes,
    ) -> Passing {
        let section = usize::from(section).min(SECTIONS - 1);
        self.nodes.passing(section, log_stress.max(STRESS[0].ln()), warmth, nodes)
    }
}

/// ln of the stress at the wall of a section for a gradient of 1 Pa/m: half its wall over d.
pub(super) fn log_lever(section: u8, wall_m: f64) -> f64 {
    let section = usize::from(section).min(SECTIONS - 1);
    (0.5 * wall_m / dimension(section)).ln()
}

fn log_step() -> f64 {
    (STRESS[1] / STRESS[0]).ln() / (STEPS - 1) as f64
}

fn stress(step: usize) -> f64 {
    STRESS[0] * (log_step() * step as f64).exp()
}

/// Where the stress of this logarithm stands in the tables, and the step below; past either
/// end the last slope goes on.
fn place(log_stress: f64) -> (f64, usize) {
    let at = (log_stress - STRESS[0].ln()) / log_step();
    (at, (at.max(0.0) as usize).min(STEPS - 2))
}

/// The entry of a table at the stress of this logarithm.
fn looked_up(table: &[f64], log_stress: f64) -> f64 {
    let (at, step) = place(log_stress);
    table[step] + (table[step + 1] - table[step]) * (at - step as f64)
}

/// ln of the rate at which the melt shears under `stress`.
pub(super) fn rate_at(stress: f64, stress_at: &impl Fn(f64) -> f64) -> f64 {
    numeric::mean(bisect(RATES, 60, |log| stress_at(log.exp()) < stress))
}

/// ln F at each stress: between two of them the rate is a power of the stress, so each
/// piece of the integral is exact for a power law.
fn table(d: f64, rates: &[f64]) -> Vec<f64> {
    // Everything relative to τ^(d+1) γ̇ of the step, so that no number grows huge.
    let mut share = f64::NAN;
    let mut logs = Vec::with_capacity(rates.len());
    for (step, &rate) in rates.iter().enumerate() {
        let before = step.saturating_sub(1);
        let power = (rates[before + 1] - rates[before]) / log_step();
        let piece = 1.0 / (d + 1.0 + power);
        share = if step == 0 {
            piece
        } else {
            piece + (share - piece) * (-(d + 1.0 + power) * log_step()).exp()
        };
        logs.push(rate + share.ln());
    }
    logs
}

#[cfg(test)]
mod tests;
