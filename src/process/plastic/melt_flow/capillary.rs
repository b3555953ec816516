//! What a viscosity model lets out of the die of the test.
//!
//! **The test.** A weight pushes the melt out of a cylinder through a die of
//! 2.095 mm × 8 mm; what comes out in ten minutes is weighed (MFR) or measured (MVR).
//!
//! **How.** Wall stress τ = load · g / A · R / 2L, over 1 + e R/L for the loss at the entry
//! of e radii (Bagley). The flow is the integral over the section (Rabinowitsch), turned so
//! that the model needs an inverse at the wall alone:
//! Q = π R³/τ³ ∫ τ² γ̇ dτ = π R³/3 · (γ̇ − ∫ (τ(γ̇′)/τ)³ dγ̇′), both up to the wall.
//! Left out: the loss in the cylinder, heat of shear, swell.

use std::f64::consts::PI;
use std::fmt;

use super::data_sheet::FlowTest;
use crate::numeric::{bisect_to_ratio, geometric_mean};
use crate::process::plastic::viscosity::Viscosity;
use crate::units::{MassDensity, Pressure, Quantity, VolumeRate, format::three_digits};

/// Radius of the die, m (ISO 1133: 2.095 mm across).
const RADIUS: f64 = 1.0475e-3;
/// Length of the die, m.
const LENGTH: f64 = 8e-3;
/// Diameter of the piston, m. (The standard has the cylinder at 9.55 mm, from memory.)
const PISTON: f64 = 9.55e-3;
/// Standard gravity, m/s².
const GRAVITY: f64 = 9.806_65;
/// Loss at the entry of the die in radii where a plastic says nothing: 1 for melts that thin
/// little, 2 to 3 for those that thin much (from memory; polystyrene supports it).
pub const ENTRY_LOSS: f64 = 2.0;
/// Steps of the integral, an even number; see [`relative_flow`].
const STEPS: u32 = 128;
/// Shear rates at the wall between which the rate is looked for, 1/s: below is a solid, and
/// what is far above occurs only while a model is fitted.
const RATES: [f64; 2] = [1e-6, 1e30];

/// The rate that a model implies at a test.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ImpliedFlow {
    /// The test.
    pub test: FlowTest,
    /// What comes out in ten minutes, cm³.
    pub cm3: f64,
    /// The same in g; `None` without a melt density.
    pub grams: Option<f64>,
}

impl fmt::Display for ImpliedFlow {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let cm3 = three_digits(self.cm3);
        match self.grams.map(three_digits) {
            Some(grams) => {
                write!(f, "{grams} g/10min ({cm3} cm³/10min) at {}", self.test)
            }
            None => write!(f, "{cm3} cm³/10min at {}", self.test),
        }
    }
}

/// What the model lets out of the die; `None` where it has the plastic solid. `entry_loss`
/// is in radii.
pub fn volume_rate(
    viscosity: &Viscosity,
    test: FlowTest,
    entry_loss: f64,
) -> Option<VolumeRate> {
    let area = PI / 4.0 * PISTON * PISTON;
    let pressure = test.load.si() * GRAVITY / area;
    let wall = pressure * RADIUS / (2.0 * LENGTH) / (1.0 + entry_loss * RADIUS / LENGTH);
    let stress = |rate: f64| {
        rate * viscosity.pa_s(rate, test.temperature, Pressure::from_si(pressure / 2.0))
    };
    if stress(RATES[0]) >= wall || stress(RATES[1]) <= wall {
        return None;
    }
    let rate =
        geometric_mean(bisect_to_ratio(RATES, 1.0 + 1e-12, |rate| stress(rate) < wall));
    let flow = PI * RADIUS.powi(3) / 3.0 * rate * relative_flow(stress, rate);
    flow.is_finite().then(|| VolumeRate::from_si(flow))
}

/// 1 − ∫ (τ(x γ̇)/τ(γ̇))³ dx from 0 to 1 for a melt sheared with `rate` at the wall, by
/// Simpson's rule over x = u⁴, which is smooth at the axis for every index above 0.15.
fn relative_flow(stress: impl Fn(f64) -> f64, rate: f64) -> f64 {
    let wall = stress(rate);
    let term = |step: u32| {
        let u = f64::from(step) / f64::from(STEPS);
        let share = if step == 0 { 0.0 } else { stress(rate * u.powi(4)) / wall };
        share.powi(3) * 4.0 * u.powi(3)
    };
    let sum: f64 = (0..STEPS)
        .step_by(2)
        .map(|step| term(step) + 4.0 * term(step + 1) + term(step + 2))
        .sum();
    1.0 - sum / (3.0 * f64::from(STEPS))
}

/// What the model implies at a test; `None` where it has the plastic solid.
pub fn imply(
    viscosity: &Viscosity,
    test: FlowTest,
    entry_loss: f64,
    melt_density: Option<MassDensity>,
) -> Option<ImpliedFlow> {
    let cm3 = volume_rate(viscosity, test, entry_loss)?.si() * 600e6;
    let grams = melt_density.map(|density| cm3 * density.si() * 1e-3);
    Some(ImpliedFlow { test, cm3, grams })
}
