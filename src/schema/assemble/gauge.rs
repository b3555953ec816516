//! Quantities as the sheet for the press writes them; another system of units is a matter of what
//! shows the sheet ([`crate::units::us_words`]).

use crate::units::format;
use crate::units::{
    self, Force, Length, Mass, Quantity, Temperature, Torque, in_grams, in_mm,
};

/// "220 °C".
pub(crate) fn heat(temperature: Temperature) -> String {
    format!("{:.0} °C", units::in_celsius(temperature))
}

/// "12.4 g".
pub(crate) fn mass(mass: Mass) -> String {
    format::quantity(in_grams(mass), "g")
}

/// "640 N".
pub(crate) fn force(force: Force) -> String {
    format::force(Some(force.si()))
}

/// "24 N m".
pub(crate) fn torque(torque: Torque) -> String {
    format::quantity(torque.si(), "N m")
}

/// "0.02 mm".
pub(crate) fn depth(depth: Length) -> String {
    format!("{} mm", format::number(in_mm(depth)))
}
