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

/// ln of the rate at which the melt bears `stress`.
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
mod tests {
    use super::{Fluidity, FluidityError, log_lever};
    use crate::fill::gap_nodes::{ByNode, NODES, Nodes, boundary};
    use crate::process::plastic::viscosity::{Consistency, Viscosity};
    use crate::units::{
        DynamicViscosity, Pressure, Quantity, Temperature, TemperatureInterval,
    };

    fn tabulate(viscosity: &Viscosity) -> Result<Fluidity, FluidityError> {
        Fluidity::new(viscosity, Temperature::from_si(493.15), Pressure::from_si(0.0))
    }

    fn power_law(k: f64, index: f64) -> Viscosity {
        Viscosity::PowerLaw {
            consistency: Consistency(k),
            index,
            at: None,
            cooling: None,
        }
    }

    fn velocity(fluidity: &Fluidity, section: u8, wall: f64, gradient: f64) -> f64 {
        fluidity.motion(section, wall, gradient, None).mobility * gradient
    }

    /// Closed forms of slit and tube (methods of any polymer text; Bird, Armstrong and
    /// Hassager 1987, §4.2): a slit of 2 mm, 20 wide and 100 long at 5 cm³/s loses
    /// 7.5000 MPa at 200 Pa s, 9.4222 MPa at 1e4 Pa s^0.35.
    #[test]
    fn a_slit_loses_what_the_formula_says() {
        let newtonian =
            Viscosity::Newtonian { viscosity: DynamicViscosity::from_si(200.0) };
        for (viscosity, loss) in [(newtonian, 7.5e6), (power_law(1e4, 0.35), 9.4222e6)] {
            let seen = velocity(&tabulate(&viscosity).unwrap(), 0, 2e-3, loss / 0.1);
            assert!((seen / 0.125 - 1.0).abs() < 2e-4, "{seen}");
        }
    }

    /// Runner of 2 MPa over 50 mm at 5 cm³/s: radius 2.8247 mm at 200 Pa s, 3.3953 mm at
    /// 1e4 Pa s^0.35 (Kazmer, Injection Mold Design Engineering, Eq. 6.7 and 6.8).
    #[test]
    fn a_tube_loses_what_the_formula_says() {
        let newtonian =
            Viscosity::Newtonian { viscosity: DynamicViscosity::from_si(200.0) };
        for (viscosity, radius) in
            [(newtonian, 2.8247e-3), (power_law(1e4, 0.35), 3.3953e-3)]
        {
            let seen = velocity(&tabulate(&viscosity).unwrap(), 16, 2.0 * radius, 4e7);
            let wanted = 5e-6 / (std::f64::consts::PI * radius * radius);
            assert!((seen / wanted - 1.0).abs() < 5e-4, "{seen} {wanted}");
        }
    }

    /// The rate at which a melt of viscosity `eta` bears `stress`, by halving.
    fn rate_bearing(stress: f64, eta: &impl Fn(f64) -> f64) -> f64 {
        let is_low = |log: f64| log.exp() * eta(log.exp()) < stress;
        crate::numeric::bisect([-40.0, 40.0], 60, is_low)[0].exp()
    }

    /// A Cross-WLF melt against plain quadrature of ∫ z² / η dz, the rate at each height
    /// found by halving.
    #[test]
    fn a_thinning_melt_agrees_with_quadrature() {
        let viscosity = Viscosity::CrossWlf {
            n: 0.252,
            tau_star: Pressure::from_si(3.08e4),
            d1: DynamicViscosity::from_si(4.76e10),
            d2: Temperature::from_si(373.15),
            d3: None,
            a1: 25.74,
            a2: TemperatureInterval::from_si(61.06),
        };
        let fluidity = tabulate(&viscosity).unwrap();
        let eta = |rate: f64| {
            viscosity.pa_s(rate, Temperature::from_si(493.15), Pressure::from_si(0.0))
        };
        for gradient in [1e6, 1e7, 1e8, 4e8] {
            let half = 1e-3;
            let steps = 4000;
            let sum: f64 = (0..steps)
                .map(|step| {
                    let z = half * (f64::from(step) + 0.5) / f64::from(steps);
                    z * rate_bearing(z * gradient, &eta) * half / f64::from(steps)
                })
                .sum();
            let wanted = sum / 1e-3;
            let seen = fluidity.motion(0, 2e-3, gradient, None).mobility * gradient;
            assert!((seen / wanted - 1.0).abs() < 2e-3, "{gradient}: {seen} {wanted}");
        }
    }

    /// Nodes that stand still leave a gap that conducts as its half width to the 2 + 1/n (a
    /// bore to the 3 + 1/n) under the same gradient, the velocity counted over the whole
    /// section: the closed forms of slit and tube again.
    #[test]
    fn still_nodes_narrow_the_gap_as_its_power_says() {
        for index in [1.0, 0.5, 0.25] {
            let fluidity = tabulate(&power_law(1e4, index)).unwrap();
            for (section, d) in [(0, 1.0), (16, 2.0)] {
                let warmth = std::array::from_fn(|node| if node < 6 { 1.0 } else { 0.0 });
                let at = |warmth: Option<&ByNode>| {
                    fluidity.motion(section, 2e-3, 1e8, warmth).mobility
                };
                let wanted = boundary(6).powf(d + 1.0 + 1.0 / index);
                let seen = at(Some(&warmth)) / at(None);
                assert!(
                    (seen / wanted - 1.0).abs() < 1e-6,
                    "{index} {d}: {seen} {wanted}"
                );
                // The way back: the gradient that drives this velocity.
                let velocity = at(Some(&warmth)) * 1e8;
                let back = fluidity.gradient(section, 2e-3, velocity, Some(&warmth));
                assert!((back / 1e8 - 1.0).abs() < 1e-6, "{back}");
                // All of the flow passes through the nodes that move.
                let nodes = Nodes::new(d);
                let log_stress = log_lever(section, 2e-3) + 1e8_f64.ln();
                let passing = fluidity.passing(section, log_stress, &warmth, &nodes);
                assert!((passing.flow.iter().sum::<f64>() - 1.0).abs() < 1e-9);
                assert!(passing.flow[6..].iter().all(|share| share.abs() < 1e-9));
            }
            let motion = fluidity.motion(0, 2e-3, 1e8, None);
            assert!((motion.index - index).abs() < 1e-6);
        }
        let still = tabulate(&power_law(1e4, 0.5)).unwrap();
        assert!(still.motion(0, 2e-3, 1e8, Some(&[0.0; NODES])).mobility.abs() < 1e-300);
        assert!(still.gradient(0, 2e-3, 1.0, Some(&[0.0; NODES])).is_infinite());
    }

    /// Newtonian flow in a slit: the velocity is 1.5 (1 − s²) of the mean, so s₀ to s₁ carries
    /// 1.5 [(s − s³/3)] of it.
    #[test]
    fn the_middle_carries_more_than_its_share() {
        let newtonian =
            Viscosity::Newtonian { viscosity: DynamicViscosity::from_si(200.0) };
        let nodes = Nodes::new(1.0);
        let log_stress = log_lever(0, 2e-3) + 1e8_f64.ln();
        let passing =
            tabulate(&newtonian).unwrap().passing(0, log_stress, &[1.0; NODES], &nodes);
        let inside = |s: f64| 1.5 * (s - s.powi(3) / 3.0);
        for (node, seen) in passing.flow.into_iter().enumerate() {
            let wanted = inside(boundary(node + 1)) - inside(boundary(node));
            assert!((seen - wanted).abs() < 1e-4, "{node}: {seen} {wanted}");
        }
    }

    #[test]
    fn a_solid_and_a_model_that_is_no_melt_are_refused() {
        let wlf = |a2| Viscosity::CrossWlf {
            n: 0.3,
            tau_star: Pressure::from_si(3e4),
            d1: DynamicViscosity::from_si(1e10),
            d2: Temperature::from_si(600.0),
            d3: None,
            a1: 25.0,
            a2: TemperatureInterval::from_si(a2),
        };
        assert!(matches!(tabulate(&wlf(50.0)), Err(FluidityError::Solid { .. })));
        assert!(matches!(tabulate(&power_law(1e4, -0.5)), Err(FluidityError::Falling)));
    }
}
