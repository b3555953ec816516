//! How much faster a melt shears under the same stress when it is warmer.
//!
//! In every viscosity model here (power law, Cross, Carreau, each with its temperature law)
//! temperature scales the rate at a given stress by one factor, whatever the stress:
//! γ̇(τ, T) = γ̇(τ, T₀) φ(T) (the time–temperature superposition of Ferry, *Viscoelastic
//! Properties of Polymers*, 1980, ch. 11). So one table of φ serves every stress.

use crate::fill::fluidity::rate_at;
use crate::process::plastic::viscosity::Viscosity;
use crate::units::{Pressure, Quantity, Temperature};

/// Step of the table, K: between two entries φ differs from a straight line by less than
/// 0.1 % for the steepest melts.
const STEP_K: f64 = 0.5;

/// The table ends so far above the temperature of the melt, K: shear heats it by less.
const ABOVE_K: f64 = 80.0;

/// Stress at which the factors are read, Pa; any would do.
const AT_PA: f64 = 3e4;

/// φ against temperature.
#[derive(Clone, Debug)]
pub(super) struct TemperatureShift {
    /// Where nothing flows any more, K.
    no_flow_k: f64,
    factors: Vec<f64>,
}

impl TemperatureShift {
    /// The factors of a melt relative to those at `melt`; nothing flows below `no_flow`.
    pub(super) fn new(
        viscosity: &Viscosity,
        melt: Temperature,
        no_flow: Temperature,
        pressure: Pressure,
    ) -> Self {
        let log_rate = |kelvin: f64| {
            let stress_at = |rate: f64| {
                rate * viscosity.pa_s(rate, Temperature::from_si(kelvin), pressure)
            };
            rate_at(AT_PA, &stress_at)
        };
        let no_flow_k = no_flow.si();
        let reference = log_rate(melt.si());
        let count = ((melt.si() + ABOVE_K - no_flow_k) / STEP_K).max(1.0).ceil() as usize;
        let factor =
            |step: usize| (log_rate(no_flow_k + step as f64 * STEP_K) - reference).exp();
        Self { no_flow_k, factors: (0..=count).map(factor).collect() }
    }

    /// φ at a temperature, K.
    pub(super) fn at(&self, kelvin: f64) -> f64 {
        let place = (kelvin - self.no_flow_k) / STEP_K;
        if place < 0.0 {
            return 0.0;
        }
        let last = self.factors.len() - 2;
        let step = (place as usize).min(last);
        let share = (place - step as f64).min(1.0);
        self.factors[step] + share * (self.factors[step + 1] - self.factors[step])
    }

    /// Where nothing flows any more, K.
    pub(super) fn no_flow_k(&self) -> f64 {
        self.no_flow_k
    }
}

#[cfg(test)]
mod tests {
    use super::TemperatureShift;
    use crate::process::plastic::library::Plastics;
    use crate::units::{Pressure, Quantity, Temperature};

    /// Every built-in melt shears φ(T) times as fast under the same stress, whatever the
    /// stress: η(γ̇ φ, T) γ̇ φ = η(γ̇, T₀) γ̇.
    #[test]
    fn one_factor_serves_every_stress() {
        for (key, plastic) in Plastics::builtin().unwrap().iter() {
            let Some(viscosity) = plastic.viscosity.value else { continue };
            let melt = plastic.melt_temperature.value.unwrap().typical();
            let cold = Temperature::from_si(melt.si() - 60.0);
            let pressure = Pressure::from_si(0.0);
            let shift = TemperatureShift::new(&viscosity, melt, cold, pressure);
            for kelvin in [melt.si() - 40.3, melt.si() - 10.0, melt.si() + 20.2] {
                let factor = shift.at(kelvin);
                for rate in [1.0, 100.0, 5000.0] {
                    let hot = rate * viscosity.pa_s(rate, melt, pressure);
                    let at = Temperature::from_si(kelvin);
                    let own = rate * factor;
                    let stress = own * viscosity.pa_s(own, at, pressure);
                    assert!((stress / hot - 1.0).abs() < 2e-3, "{key} {kelvin} {rate}");
                }
            }
            assert!((shift.at(melt.si()) - 1.0).abs() < 1e-9, "{key}");
            assert!(shift.at(cold.si() - 0.1) <= 0.0);
        }
    }
}
