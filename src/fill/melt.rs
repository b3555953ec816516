//! The melt as it enters the part: how it flows, how it freezes.

use super::fluidity::{Fluidity, FluidityError};
use crate::process::plastic::viscosity::Viscosity;
use crate::process::plastic::{Plastic, Unknown};
use crate::process::sourced::Range;
use crate::process::thermal::heat_up;
use crate::units::{DiffusionCoefficient, Pressure, Quantity, Temperature};

/// Heat transfer from melt to mold while it fills, W/(m² K): 2000, for the 4 to 20 MPa of a
/// small press (from memory: 5000 to 10 000 under tens of megapascals, 1000 to 5000 while the
/// melt is hardly pressed; air of 10 µm under the skin alone gives 3000).
pub const CONTACT_W_M2_K: f64 = 2000.0;
/// It may be as little and as much as this, W/(m² K).
pub const CONTACT_RANGE_W_M2_K: [f64; 2] = [1000.0, 6000.0];

/// What is known of the melt.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Melt {
    /// How thick it is.
    pub viscosity: Viscosity,
    /// Its temperature at the gate.
    pub temperature: Temperature,
    /// Temperature of the mold wall.
    pub mold: Temperature,
    /// Below it nothing flows; `None` for a melt that stays at its temperature.
    pub no_flow: Option<Temperature>,
    /// Effective thermal diffusivity.
    pub diffusivity: DiffusionCoefficient,
    /// Heat that warms a volume of it by one kelvin, J/(m³ K).
    pub heat_j_m3_k: f64,
    /// Heat transfer to the mold, W/(m² K).
    pub contact_w_m2_k: f64,
}

impl Melt {
    /// The melt of a plastic at its typical temperature in a mold at its own, as shots have said
    /// where there were some.
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
        let capacity = plastic.heat_capacity.value.map(Quantity::si);
        let capacity = capacity.unwrap_or_else(|| heat_up::heat_of(plastic.family).0);
        let melt_density = plastic.need(&plastic.melt_density, "melt density")?;
        let melt = Self {
            viscosity: *plastic.need(&plastic.viscosity, "viscosity")?,
            temperature: typical(
                plastic.need(&plastic.melt_temperature, "melt temperature")?,
            ),
            mold: typical(plastic.need(&plastic.mold_temperature, "mold temperature")?),
            no_flow,
            diffusivity: *plastic.need(&plastic.diffusivity, "thermal diffusivity")?,
            heat_j_m3_k: melt_density.si() * capacity,
            contact_w_m2_k: CONTACT_W_M2_K,
        };
        // What shots said of contact and thermometers.
        Ok(plastic.calibrated.as_ref().map_or(melt, |it| {
            melt.shifted(it.contact_factor, it.mold_offset_k, it.melt_offset_k)
        }))
    }

    /// The same with so many times the heat transfer, in a mold so much warmer, itself so much
    /// hotter, K.
    #[must_use]
    pub fn shifted(self, contact: f64, mold_k: f64, melt_k: f64) -> Self {
        let warmer = |at: Temperature, by: f64| Temperature::from_si(at.si() + by);
        Self {
            contact_w_m2_k: self.contact_w_m2_k * contact,
            mold: warmer(self.mold, mold_k),
            temperature: warmer(self.temperature, melt_k),
            ..self
        }
    }

    /// Whether it freezes in its mold.
    pub fn freezes(&self) -> bool {
        self.no_flow.is_some_and(|no_flow| {
            (self.mold.si()..self.temperature.si()).contains(&no_flow.si())
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
        let conductivity = self.diffusivity.si() * self.heat_j_m3_k;
        thins * at(0.0) * velocity * velocity / conductivity
    }

    /// Graetz number v H² / (4 α L) of a mean velocity (m/s) in a wall (m) over a flow
    /// length (m): well above 10 the core stays hot on its way.
    pub fn graetz(&self, velocity: f64, wall: f64, length: f64) -> f64 {
        velocity * wall * wall / (4.0 * self.diffusivity.si() * length)
    }
}
