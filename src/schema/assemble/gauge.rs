//! Quantities as the sheet for the press writes them: SI first, then what a gauge in US units
//! shows.

use crate::units::format;
use crate::units::{
    self, Force, Length, Mass, Quantity, Temperature, Torque, in_foot_pounds, in_grams,
    in_lbf, in_mm, in_ounces,
};

/// "220 °C (428 °F)".
pub(crate) fn heat(temperature: Temperature) -> String {
    let celsius = units::in_celsius(temperature);
    format!("{celsius:.0} °C ({:.0} °F)", celsius * 1.8 + 32.0)
}

/// "12.4 g (0.44 oz)".
pub(crate) fn mass(mass: Mass) -> String {
    format!("{} ({:.2} oz)", format::quantity(in_grams(mass), "g"), in_ounces(mass))
}

/// "640 N (144 lbf)".
pub(crate) fn force(force: Force) -> String {
    format!("{} ({:.0} lbf)", format::force(Some(force.si())), in_lbf(force))
}

/// "24 N m (17.7 lbf ft)".
pub(crate) fn torque(torque: Torque) -> String {
    format!(
        "{} ({:.1} lbf ft)",
        format::quantity(torque.si(), "N m"),
        in_foot_pounds(torque)
    )
}

/// "0.02 mm (0.0008 in)".
pub(crate) fn depth(depth: Length) -> String {
    format!("{} mm ({:.4} in)", format::number(in_mm(depth)), in_mm(depth) / 25.4)
}

#[cfg(test)]
mod tests {
    use crate::units::read;

    /// NIST SP 811: 1 lbf = 4.448222 N, 1 oz = 28.34952 g, °F = 1.8 °C + 32.
    #[test]
    fn us_units_stand_beside_si() {
        assert_eq!(super::heat(read("220 C").unwrap()), "220 °C (428 °F)");
        assert_eq!(super::mass(read("12.4 g").unwrap()), "12.4 g (0.44 oz)");
        assert_eq!(super::force(read("640 N").unwrap()), "640 N (144 lbf)");
        assert_eq!(super::torque(read("24 N m").unwrap()), "24 N m (17.7 lbf ft)");
        assert_eq!(super::depth(read("0.02 mm").unwrap()), "0.02 mm (0.0008 in)");
    }
}
