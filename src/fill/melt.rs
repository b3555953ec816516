//! The melt as it enters the part: how it flows, how it freezes.

use super::fluidity::{Fluidity, FluidityError};
use crate::fill::frozen_layer::FrozenLayer;
use crate::process::plastic::viscosity::Viscosity;
use crate::process::plastic::{Plastic, Unknown};
use crate::process::sourced::Range;
use crate::units::{DiffusionCoefficient, Pressure, Quantity, Temperature};

/// Thermal conductivity of a melt, W/(m K): 0.2, from memory (unfilled melts 0.15–0.3).
const CONDUCTIVITY: f64 = 0.2;

/// What is known of the melt.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Melt {
    /// How thick it is.
    pub viscosity: Viscosity,
    /// Its temperature at the gate.
    pub temperature: Temperature,
    /// Temperature of the mold wall.
    pub mold: Temperature,
    /// Below it nothing flows; `None` where no frozen layer freezes.
    pub no_flow: Option<Temperature>,
    /// Effective thermal diffusivity.
    pub diffusivity: DiffusionCoefficient,
}

impl Melt {
    /// The melt of a plastic at its typical temperature in a mold at its own.
    ///
    /// # Errors
    /// When the plastic lacks a value.
    pub fn typical(plastic: &Plastic) -> Result<Self, Unknown> {
        let typical = |range: &Range<Temperature>| range.typical();
        let no_flow = if plastic.freezing == Some(false) {
            None
        } else {
            Some(*plastic.need(&plastic.no_flow_temperature, "no-flow temperature")?)
        };
        Ok(Self {
            viscosity: *plastic.need(&plastic.viscosity, "viscosity")?,
            temperature: typical(
                plastic.need(&plastic.melt_temperature, "melt temperature")?,
            ),
            mold: typical(plastic.need(&plastic.mold_temperature, "mold temperature")?),
            no_flow,
            diffusivity: *plastic.need(&plastic.diffusivity, "thermal diffusivity")?,
        })
    }

    /// (no-flow − mold) / (melt − mold); `None` where no frozen layer grows.
    pub fn theta(&self) -> Option<f64> {
        let whole = self.temperature.si() - self.mold.si();
        self.no_flow.map(|no_flow| (no_flow.si() - self.mold.si()) / whole)
    }

    /// The frozen layer that grows from it.
    pub fn frozen_layer(&self) -> FrozenLayer {
        self.theta().map_or_else(FrozenLayer::none, |theta| {
            FrozenLayer::new(theta, self.diffusivity.si())
        })
    }

    /// How it moves when pushed by `pressure_pa`; where pressure thickens it, half of that
    /// counts, the mean along the way.
    ///
    /// # Errors
    ///
    /// [`FluidityError`] when it is solid at its temperature, or its model is no melt.
    pub fn fluidity(&self, pressure_pa: f64) -> Result<Fluidity, FluidityError> {
        Fluidity::new(
            &self.viscosity,
            self.temperature,
            Pressure::from_si(pressure_pa / 2.0),
        )
    }

    /// Nahme number β η v² / k of a mean velocity (m/s) at a shear rate (1/s), with
    /// β = −∂ln η/∂T: above 1 the melt heats itself enough to flow more easily.
    pub fn nahme(&self, velocity: f64, rate: f64, pressure_pa: f64) -> f64 {
        let at = |step: f64| {
            let temperature = Temperature::from_si(self.temperature.si() + step);
            self.viscosity.pa_s(rate, temperature, Pressure::from_si(pressure_pa / 2.0))
        };
        let thins = (at(-0.5) / at(0.5)).ln();
        thins * at(0.0) * velocity * velocity / CONDUCTIVITY
    }

    /// Graetz number v H² / (4 α L) of a mean velocity (m/s) in a wall (m) over a flow
    /// length (m): well above 10 the core stays hot on its way.
    pub fn graetz(&self, velocity: f64, wall: f64, length: f64) -> f64 {
        velocity * wall * wall / (4.0 * self.diffusivity.si() * length)
    }
}
