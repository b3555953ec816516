//! Numbers of the metric units in use: `from_mm` makes a quantity, `in_mm` reads it.

use super::{
    Angle, Area, Force, Length, Mass, Pressure, Quantity, Temperature, Volume, VolumeRate,
};

/// A length of so many millimeters.
pub fn from_mm(value: f64) -> Length {
    Length::from_si(value * 1e-3)
}

/// An area of so many square millimeters.
pub fn from_mm2(value: f64) -> Area {
    Area::from_si(value * 1e-6)
}

/// A volume of so many cubic millimeters.
pub fn from_mm3(value: f64) -> Volume {
    Volume::from_si(value * 1e-9)
}

/// A mass of so many grams.
pub fn from_grams(value: f64) -> Mass {
    Mass::from_si(value * 1e-3)
}

/// A pressure of so many megapascals.
pub fn from_mpa(value: f64) -> Pressure {
    Pressure::from_si(value * 1e6)
}

/// A temperature of so many degrees Celsius.
pub fn from_celsius(value: f64) -> Temperature {
    Temperature::from_si(value + 273.15)
}

/// An angle of so many degrees.
pub fn from_degrees(value: f64) -> Angle {
    Angle::from_si(value.to_radians())
}

/// Megapascals.
pub fn in_mpa(pressure: Pressure) -> f64 {
    pressure.value * 1e-6
}

/// Bar.
pub fn in_bar(pressure: Pressure) -> f64 {
    pressure.value * 1e-5
}

/// Millimeters.
pub fn in_mm(length: Length) -> f64 {
    length.value * 1e3
}

/// Square millimeters.
pub fn in_mm2(area: Area) -> f64 {
    area.value * 1e6
}

/// Cubic centimeters.
pub fn in_cm3(volume: Volume) -> f64 {
    volume.value * 1e6
}

/// Cubic centimeters per second.
pub fn in_cm3_s(flow: VolumeRate) -> f64 {
    flow.value * 1e6
}

/// Grams.
pub fn in_grams(mass: Mass) -> f64 {
    mass.value * 1e3
}

/// Kilonewtons.
pub fn in_kn(force: Force) -> f64 {
    force.value / 1000.0
}

/// Degrees Celsius.
pub fn in_celsius(temperature: Temperature) -> f64 {
    temperature.value - 273.15
}

/// Degrees of angle.
pub fn in_degrees(angle: Angle) -> f64 {
    angle.value.to_degrees()
}

#[cfg(test)]
mod tests {
    use super::{
        from_celsius, from_degrees, from_grams, from_mm, from_mm2, from_mm3, from_mpa,
        in_celsius, in_cm3, in_degrees, in_grams, in_mm, in_mm2, in_mpa,
    };

    #[test]
    fn a_reader_gives_back_what_its_constructor_took() {
        for value in [-40.0, 0.0, 0.02, 63.0, 1250.0] {
            for seen in [
                in_mm(from_mm(value)),
                in_mm2(from_mm2(value)),
                in_cm3(from_mm3(value)) * 1000.0,
                in_grams(from_grams(value)),
                in_mpa(from_mpa(value)),
                in_celsius(from_celsius(value)),
                in_degrees(from_degrees(value)),
            ] {
                assert!((seen - value).abs() < 1e-9, "{seen} is not {value}");
            }
        }
    }

    /// Against the reader of texts, whose scales stand apart from these.
    #[test]
    fn numbers_mean_what_the_same_texts_mean() {
        use crate::units::{
            Force, Length, Pressure, Temperature, VolumeRate, in_bar, in_cm3_s, in_kn,
            read,
        };
        let near = |seen: f64, right: f64| assert!((seen - right).abs() < 1e-9, "{seen}");
        near(in_mm(read::<Length>("2 in").unwrap()), 50.8);
        near(in_mpa(read::<Pressure>("70 bar").unwrap()), 7.0);
        near(in_bar(read::<Pressure>("0.7 MPa").unwrap()), 7.0);
        near(in_kn(read::<Force>("1200 N").unwrap()), 1.2);
        near(in_cm3_s(read::<VolumeRate>("5 cm3/s").unwrap()), 5.0);
        near(in_celsius(read::<Temperature>("212 F").unwrap()), 100.0);
    }
}
