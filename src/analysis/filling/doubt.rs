//! How sure the inputs of a filling are: by judgment, or by what shots left of it.

use crate::fill::melt::CONTACT_RANGE_W_M2_K;
use crate::fill::required_pressure::Doubt;
use crate::process::plastic::Plastic;

/// The melt may be thicker or thinner by this factor than the grade that was measured:
/// grades sold for molding differ by more, the same grade from lot to lot by less
/// (judgment).
pub const VISCOSITY_DOUBT: f64 = 1.5;
/// A barrel under hand control keeps its temperature within about this, K (judgment).
pub const KELVIN_DOUBT: f64 = 10.0;
/// A mold is within about this of its temperature from shot to shot, K (judgment).
pub const MOLD_KELVIN_DOUBT: f64 = 10.0;
/// The pressure at the ram may be off by this factor: what is lost in the granules and on the
/// seals is known to a tenth of the force (judgment).
pub const SUPPLY_DOUBT: f64 = 1.15;

/// By which factor the melt may be thicker or thinner.
pub fn viscosity_doubt(plastic: &Plastic) -> f64 {
    plastic.viscosity_doubt.value.unwrap_or(VISCOSITY_DOUBT)
}

/// How sure the inputs for this plastic are.
pub(super) fn of_plastic(plastic: &Plastic) -> Doubt {
    Doubt {
        viscosity: viscosity_doubt(plastic),
        kelvin: KELVIN_DOUBT,
        mold_kelvin: MOLD_KELVIN_DOUBT,
        contact_w_m2_k: Some(CONTACT_RANGE_W_M2_K),
        supply: SUPPLY_DOUBT,
        known: plastic.calibrated.as_ref().map(|it| it.knowledge().covariance),
    }
}
