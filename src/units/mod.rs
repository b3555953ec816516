//! What the process side speaks: quantities with their unit, read the way a workshop
//! writes them ("120 psi", "5/8 in", "900 lbf", "220 C") and never guessed: a text without a
//! unit is refused with an example of what would do. Inside, each is a `uom` type in SI.
//!
//! | question | file |
//! |---|---|
//! | what is a number in a text: fractions, commas, quotes | `number` |
//! | which units are understood, how is a text read | [`reading`] |
//! | what is wrong in a TOML file, in words | `toml_words` |
//! | what do quantities in a TOML file say, where is one wrong | [`mod@file`] |
//! | how are metric numbers made and read off | [`metric`] |
//! | what does a gauge in US units show | [`us`] |
//! | how is a number written for a person | [`mod@format`] |
//! | how does a metric sentence read in US customary units | [`us_words`] |

pub mod format;
mod number;
mod reading;
mod toml_words;
mod file;
mod us;
mod metric;
pub mod us_words;

pub use file::{FileError, from_toml, given, given_maybe};
pub use metric::{
    from_celsius, from_degrees, from_grams, from_mm, from_mm2, from_mm3, from_mpa,
    in_bar, in_celsius, in_cm3, in_cm3_s, in_degrees, in_grams, in_kn, in_mm, in_mm2,
    in_mpa,
};
pub use reading::{Quantity, Unit, UnitError, is_short_ton, read, read_if, unit};
pub use uom::si::f64::{
    Angle, Area, DiffusionCoefficient, DynamicViscosity, Energy, Force, Length, Mass,
    MassDensity, Pressure, Ratio, SpecificHeatCapacity as SpecificHeat,
    SurfaceTension as SpringRate, TemperatureCoefficient, TemperatureInterval,
    ThermodynamicTemperature as Temperature, Time, Torque, Velocity, Volume, VolumeRate,
};
pub use us::{in_foot_pounds, in_lbf, in_ounces, in_psi};
