//! What a gauge in US units shows.

use super::reading::{LBF, OUNCE, PSI};
use super::{Force, Mass, Pressure, Torque};

/// Pounds-force per square inch.
pub fn in_psi(pressure: Pressure) -> f64 {
    pressure.value / PSI
}

/// Pounds-force.
pub fn in_lbf(force: Force) -> f64 {
    force.value / LBF
}

/// Pound-force feet.
pub fn in_foot_pounds(torque: Torque) -> f64 {
    torque.value / (LBF * 0.3048)
}

/// Ounces.
pub fn in_ounces(mass: Mass) -> f64 {
    mass.value / OUNCE
}
