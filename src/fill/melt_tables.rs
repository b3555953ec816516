//! How a melt flows and cools at one pressure.

use crate::fill::fluidity::{Fluidity, FluidityError};
use crate::fill::melt::Melt;
use crate::fill::thermal_tables::ThermalTables;
use crate::units::{Pressure, Quantity};

/// The tables of one melt.
pub(super) struct MeltTables {
    pub(super) fluidity: Fluidity,
    /// As it comes in, K.
    pub(super) melt_k: f64,
    /// `None` for a melt that stays at its temperature.
    pub(super) thermal: Option<ThermalTables>,
}

impl MeltTables {
    pub(super) fn at_pressure(
        melt: &Melt,
        pressure_pa: f64,
    ) -> Result<Self, FluidityError> {
        let mean = Pressure::from_si(0.5 * pressure_pa);
        Ok(Self {
            fluidity: melt.fluidity(pressure_pa)?,
            melt_k: melt.temperature.si(),
            thermal: melt.no_flow.map(|no_flow| ThermalTables::new(melt, no_flow, mean)),
        })
    }
}
