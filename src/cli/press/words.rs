//! Numbers as the press screen writes them: SI first, then what a gauge in inches shows.

use crate::units::{
    Area, Force, Mass, Pressure, Quantity, Time, Torque, Volume, VolumeRate,
    format::four_digits, in_cm3, in_cm3_s, in_foot_pounds, in_grams, in_kn, in_lbf,
    in_mm2, in_mpa, in_ounces, in_psi,
};

/// "3.928 kN (883 lbf)".
pub(super) fn force(force: Force) -> String {
    let newtons = force.si();
    let pounds = in_lbf(force);
    if newtons >= 1000.0 {
        format!("{} kN ({pounds:.0} lbf)", four_digits(in_kn(force)))
    } else {
        format!("{newtons:.0} N ({pounds:.0} lbf)")
    }
}

/// "5.601 MPa (812 psi)".
pub(super) fn pressure(pressure: Pressure) -> String {
    format!("{} MPa ({:.0} psi)", four_digits(in_mpa(pressure)), in_psi(pressure))
}

/// "35.5 g (1.25 oz)".
pub(super) fn mass(mass: Mass) -> String {
    format!("{:.1} g ({:.2} oz)", in_grams(mass), in_ounces(mass))
}

/// "52.03 cm3".
pub(super) fn volume(volume: Volume) -> String {
    format!("{} cm3", four_digits(in_cm3(volume)))
}

/// "59.99 cm2".
pub(super) fn area(area: Area) -> String {
    format!("{} cm2", four_digits(in_mm2(area) / 100.0))
}

/// "5 cm3/s".
pub(super) fn flow(flow: VolumeRate) -> String {
    format!("{} cm3/s", four_digits(in_cm3_s(flow)))
}

/// "24 N m (17.7 lbf ft)".
pub(super) fn torque(torque: Torque) -> String {
    format!("{} N m ({:.1} lbf ft)", four_digits(torque.si()), in_foot_pounds(torque))
}

/// "8.4 s", "12 min".
pub(super) fn time(time: Time) -> String {
    let seconds = time.si();
    if seconds < 100.0 {
        format!("{seconds:.1} s")
    } else {
        format!("{:.0} min", seconds / 60.0)
    }
}
