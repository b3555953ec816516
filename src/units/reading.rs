//! Reads quantities the way a workshop writes them, and lists the units understood.

use super::format::shortened;
use super::number::{self, NumberError};
use super::{
    Angle, Area, DiffusionCoefficient, DynamicViscosity, Energy, Force, Length, Mass,
    MassDensity, Pressure, Ratio, SpecificHeat, SpringRate, Temperature,
    TemperatureCoefficient, TemperatureInterval, Time, Torque, Velocity, Volume,
    VolumeRate,
};

/// A quantity that can be read from a text with a unit.
pub trait Quantity: Copy {
    /// What it is called in messages.
    const WHAT: &'static str;
    /// A text that would be understood.
    const EXAMPLE: &'static str;
    /// The units understood; the first spelling of each is the one shown.
    const UNITS: &'static [Unit];
    /// Whether a number without a unit has one clear meaning.
    const BARE: bool = false;
    /// The quantity of `value` SI base units.
    fn from_si(value: f64) -> Self;
    /// Its value in SI base units.
    fn si(self) -> f64;
}

/// One unit: SI value = number × `scale` + `offset`.
#[derive(Clone, Copy, Debug)]
pub struct Unit {
    names: &'static [&'static str],
    scale: f64,
    offset: f64,
}

/// A unit that starts at zero, with the spellings understood.
pub const fn unit(names: &'static [&'static str], scale: f64) -> Unit {
    Unit { names, scale, offset: 0.0 }
}

/// Reads `text` as [`read`] does, where it must also be sound; `otherwise` says what is.
///
/// # Errors
///
/// In one line, when it cannot be read or is not sound.
pub fn read_if<Q: Quantity>(
    text: &str,
    is_sound: impl Fn(Q) -> bool,
    otherwise: &str,
) -> Result<Q, String> {
    let value: Q = read(text).map_err(|error| error.to_string())?;
    is_sound(value).then_some(value).ok_or_else(|| otherwise.to_owned())
}

/// Reads `text`, a number and a unit, as a `Q`. Fractions, a decimal comma and units in any
/// case are understood.
///
/// # Errors
///
/// When there is no number, no unit where one is needed, or an unknown unit.
pub fn read<Q: Quantity>(text: &str) -> Result<Q, UnitError> {
    let refuse = |problem| UnitError::new::<Q>(text, problem);
    let plain = number::plain(text);
    let (number, unit) = number::leading(&plain).map_err(|error| {
        refuse(match error {
            NumberError::Missing => Problem::NoNumber,
            NumberError::Comma => Problem::Comma,
        })
    })?;
    if !number.is_finite() {
        return Err(refuse(Problem::NotFinite));
    }
    if unit.is_empty() {
        return bare(number).map_err(refuse);
    }
    let known = known(Q::UNITS, unit);
    let known = known.ok_or_else(|| refuse(Problem::UnknownUnit(unit.to_owned())))?;
    let value = number * known.scale + known.offset;
    if value.is_finite() {
        Ok(Q::from_si(value))
    } else {
        Err(refuse(Problem::NotFinite))
    }
}

/// Whether `text` is a force in tons without saying which: read as short tons of 2000 lbf.
pub fn is_short_ton(text: &str) -> bool {
    let plain = number::plain(text);
    let unit = number::leading(&plain).map_or("", |(_, unit)| unit);
    known(Force::UNITS, unit).is_some_and(|unit| unit.names == SHORT_TON)
}

/// The unit that is written so: as it is listed, or in another case. Spaces, dots and hyphens
/// do not matter: "35 N m", "35 N·m", "35 Nm" and "35 N-m" are the same.
fn known(units: &'static [Unit], written: &str) -> Option<&'static Unit> {
    let plain = |name: &str| -> String {
        name.chars().filter(|c| !matches!(c, ' ' | '·' | '*' | '-')).collect()
    };
    let wanted = plain(written);
    let find = |same: &dyn Fn(&str) -> bool| {
        units.iter().find(|unit| unit.names.iter().any(|name| same(&plain(name))))
    };
    find(&|name| name == wanted).or_else(|| {
        // Millipascals are a unit of their own, and nobody at a press means them.
        let is_other = wanted == "mPa";
        let any_case = || find(&|name| name.to_lowercase() == wanted.to_lowercase());
        (!is_other).then(any_case).flatten()
    })
}

/// A number without a unit, where that has one clear meaning.
fn bare<Q: Quantity>(number: f64) -> Result<Q, Problem> {
    match (Q::BARE, Q::WHAT) {
        (false, _) => Err(Problem::NoUnit),
        // "30" for a share means 30 % to some and 3000 % to none: ask.
        (true, SHARE) if number.abs() > 1.0 => Err(Problem::MoreThanWhole),
        (true, _) => Ok(Q::from_si(number)),
    }
}

/// Why a text could not be read as a quantity.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("\"{seen}\" is not a {what}: {problem}; write for example \"{example}\"")]
pub struct UnitError {
    seen: String,
    what: &'static str,
    problem: String,
    example: &'static str,
}

#[derive(Debug)]
enum Problem {
    NoNumber,
    NotFinite,
    Comma,
    NoUnit,
    MoreThanWhole,
    UnknownUnit(String),
}

impl UnitError {
    fn new<Q: Quantity>(seen: &str, problem: Problem) -> Self {
        let known = || {
            let names = Q::UNITS.iter().filter_map(|unit| unit.names.first().copied());
            names.collect::<Vec<_>>().join(", ")
        };
        let problem = match problem {
            Problem::NoNumber => "it does not start with a number".to_owned(),
            Problem::NotFinite => "the number is not finite".to_owned(),
            Problem::Comma => {
                "its comma may be a decimal point or part thousands: leave it out or write a point"
                    .to_owned()
            }
            Problem::NoUnit => format!("it has no unit (known: {})", known()),
            Problem::MoreThanWhole => "more than the whole".to_owned(),
            Problem::UnknownUnit(unit) => {
                let unit = shortened(&unit);
                format!("unknown unit \"{unit}\" (known: {})", known())
            }
        };
        Self {
            seen: shortened(seen).into_owned(),
            what: Q::WHAT,
            problem,
            example: Q::EXAMPLE,
        }
    }
}

/// What [`Ratio`] is called.
const SHARE: &str = "share";
/// Tons of force as they are sold in the trade of the United States, 2000 lbf each.
const SHORT_TON: &[&str] = &["ton", "tons", "tonf", "short ton", "short tons"];
const KGF: f64 = 9.806_65;
const POUND: f64 = 0.453_592_37;
const IN3: f64 = 0.0254 * 0.0254 * 0.0254;
pub(super) const LBF: f64 = 4.448_221_615_260_5;
pub(super) const OUNCE: f64 = 0.028_349_523_125;
pub(super) const PSI: f64 = LBF / (0.0254 * 0.0254);

macro_rules! quantities {
    ($($type:ty, $base:path, $what:expr, $example:literal, [$($units:expr),*];)*) => {$(
        impl Quantity for $type {
            const WHAT: &'static str = $what;
            const EXAMPLE: &'static str = $example;
            const UNITS: &'static [Unit] = &[$($units),*];
            fn from_si(value: f64) -> Self { <$type>::new::<$base>(value) }
            fn si(self) -> f64 { self.value }
        }
    )*};
}

quantities! {
    Time, uom::si::time::second, "time", "12 s", [
        unit(&["s", "sec"], 1.0), unit(&["min"], 60.0), unit(&["h"], 3600.0)];
    Length, uom::si::length::meter, "length", "63 mm", [
        unit(&["mm"], 1e-3), unit(&["cm"], 1e-2), unit(&["m"], 1.0),
        unit(&["in", "inch", "inches", "\""], 0.0254), unit(&["ft"], 0.3048),
        unit(&["mil", "mils", "thou"], 25.4e-6), unit(&["um", "µm", "μm"], 1e-6)];
    Area, uom::si::area::square_meter, "area", "12 cm2", [
        unit(&["mm2", "mm²"], 1e-6), unit(&["cm2", "cm²"], 1e-4),
        unit(&["in2", "in²"], 0.0254 * 0.0254), unit(&["m2", "m²"], 1.0)];
    Volume, uom::si::volume::cubic_meter, "volume", "30 cm3", [
        unit(&["mm3", "mm³"], 1e-9), unit(&["cm3", "cm³", "cc"], 1e-6),
        unit(&["in3", "in³", "cu in"], IN3), unit(&["m3", "m³"], 1.0)];
    Velocity, uom::si::velocity::meter_per_second, "speed", "20 mm/s", [
        unit(&["mm/s"], 1e-3), unit(&["in/s", "ips"], 0.0254), unit(&["mm/min"], 1e-3 / 60.0),
        unit(&["in/min", "ipm"], 0.0254 / 60.0), unit(&["m/min"], 1.0 / 60.0),
        unit(&["ft/min", "sfm"], 0.3048 / 60.0), unit(&["m/s"], 1.0)];
    VolumeRate, uom::si::volume_rate::cubic_meter_per_second, "flow", "5 cm3/s", [
        unit(&["cm3/s", "cm³/s"], 1e-6), unit(&["in3/s", "in³/s"], IN3),
        unit(&["cm3/h", "cm³/h"], 1e-6 / 3600.0), unit(&["m3/s", "m³/s"], 1.0)];
    SpringRate, uom::si::surface_tension::newton_per_meter, "spring rate", "50 N/mm", [
        unit(&["N/mm"], 1e3), unit(&["lbf/in", "lb/in"], LBF / 0.0254),
        unit(&["N/m"], 1.0)];
    Energy, uom::si::energy::joule, "energy", "500 J", [unit(&["J"], 1.0), unit(&["kJ"], 1e3),
        unit(&["ft lbf", "ft lb"], LBF * 0.3048)];
    Pressure, uom::si::pressure::pascal, "pressure", "7 bar", [
        unit(&["bar"], 1e5), unit(&["psi", "psig", "lbf/in2", "lb/in2"], PSI), unit(&["ksi"], 1e3 * PSI),
        unit(&["MPa", "N/mm2", "N/mm²"], 1e6), unit(&["kPa"], 1e3),
        unit(&["GPa"], 1e9), unit(&["Pa"], 1.0)];
    Force, uom::si::force::newton, "force", "12 kN", [
        unit(&["N"], 1.0), unit(&["kN"], 1e3), unit(&["lbf", "lb", "lbs"], LBF),
        unit(&["kgf"], KGF), unit(SHORT_TON, 2000.0 * LBF),
        unit(&["t", "tf", "tonne", "tonnes", "metric ton", "metric tons"], 1000.0 * KGF)];
    Torque, uom::si::torque::newton_meter, "torque", "35 N m", [
        unit(&["N m"], 1.0), unit(&["lbf ft", "lb ft", "ft lbf", "ft lb", "ft lbs"], LBF * 0.3048),
        unit(&["lbf in", "lb in", "in lbf", "in lb", "in lbs"], LBF * 0.0254)];
    Mass, uom::si::mass::kilogram, "mass", "12 g", [
        unit(&["g"], 1e-3), unit(&["kg"], 1.0), unit(&["oz"], OUNCE),
        unit(&["lb", "lbs"], POUND)];
    MassDensity, uom::si::mass_density::kilogram_per_cubic_meter, "density", "1.05 g/cm3", [
        unit(&["g/cm3", "g/cm³", "g/cc"], 1e3), unit(&["kg/m3", "kg/m³"], 1.0),
        unit(&["lb/in3", "lb/in³"], POUND / IN3)];
    DiffusionCoefficient, uom::si::diffusion_coefficient::square_meter_per_second,
        "diffusivity", "0.09 mm2/s", [
        unit(&["mm2/s", "mm²/s"], 1e-6), unit(&["m2/s", "m²/s"], 1.0),
        unit(&["in2/s", "in²/s"], 0.0254 * 0.0254)];
    DynamicViscosity, uom::si::dynamic_viscosity::pascal_second, "viscosity", "200 Pa s", [
        unit(&["Pa s"], 1.0)];
    TemperatureInterval, uom::si::temperature_interval::kelvin, "temperature step", "50 K", [
        unit(&["K", "C", "°C"], 1.0), unit(&["F", "°F"], 5.0 / 9.0)];
    TemperatureCoefficient, uom::si::temperature_coefficient::per_kelvin,
        "change per kelvin", "0.02 1/K", [unit(&["1/K", "/K"], 1.0)];
    SpecificHeat, uom::si::specific_heat_capacity::joule_per_kilogram_kelvin,
        "specific heat", "2300 J/(kg K)", [
        unit(&["J/(kg K)", "J/kgK", "J/kg/K"], 1.0),
        unit(&["kJ/(kg K)", "kJ/kgK", "kJ/kg/K"], 1e3),
        unit(&["BTU/(lb F)", "BTU/lb/F"], 4186.8)];
    Angle, uom::si::angle::radian, "angle", "1.5 deg", [
        unit(&["deg", "°"], std::f64::consts::PI / 180.0), unit(&["rad"], 1.0)];
    Temperature, uom::si::thermodynamic_temperature::kelvin, "temperature", "220 C", [
        Unit { names: &["C", "°C", "degC"], scale: 1.0, offset: 273.15 },
        Unit { names: &["F", "°F", "degF"], scale: 5.0 / 9.0, offset: 459.67 * 5.0 / 9.0 },
        unit(&["K"], 1.0)];
}

impl Quantity for Ratio {
    const WHAT: &'static str = SHARE;
    const EXAMPLE: &'static str = "80 %";
    const UNITS: &'static [Unit] = &[unit(&["%"], 1e-2)];
    const BARE: bool = true;
    fn from_si(value: f64) -> Self {
        Self::new::<uom::si::ratio::ratio>(value)
    }
    fn si(self) -> f64 {
        self.value
    }
}

impl Quantity for f64 {
    const WHAT: &'static str = "number";
    const EXAMPLE: &'static str = "0.5";
    const UNITS: &'static [Unit] = &[];
    const BARE: bool = true;
    fn from_si(value: f64) -> Self {
        value
    }
    fn si(self) -> f64 {
        self
    }
}

#[cfg(test)]
mod tests {
    use super::{
        Force, Length, MassDensity, Pressure, Quantity, Ratio, SpringRate, Temperature,
        Torque, Velocity, VolumeRate, is_short_ton, read,
    };
    use crate::units::{in_lbf, in_psi};

    fn close(left: f64, right: f64) {
        // The unit library rounds its psi to seven digits.
        assert!((left - right).abs() <= 1e-7 * right.abs(), "{left} is not {right}");
    }

    /// Against `uom`'s own reader, which somebody else wrote.
    #[test]
    fn agrees_with_the_reader_of_the_unit_library() {
        for text in ["120 psi", "7 bar", "3 MPa", "5 Pa"] {
            close(
                read::<Pressure>(text).unwrap().si(),
                text.parse::<Pressure>().unwrap().si(),
            );
        }
        for text in ["2 in", "63 mm", "1.5 m", "12 cm"] {
            close(
                read::<Length>(text).unwrap().si(),
                text.parse::<Length>().unwrap().si(),
            );
        }
        for text in ["900 lbf", "12 kN", "5 N", "3 kgf"] {
            close(read::<Force>(text).unwrap().si(), text.parse::<Force>().unwrap().si());
        }
        for text in ["220 °C", "428 °F", "500 K"] {
            let theirs = text.parse::<Temperature>().unwrap().si();
            close(read::<Temperature>(text).unwrap().si(), theirs);
        }
    }

    #[test]
    fn reads_what_a_workshop_writes() {
        close(read::<Temperature>("220 C").unwrap().si(), 493.15);
        close(read::<Temperature>("428F").unwrap().si(), 493.15);
        close(read::<Temperature>("-10 C").unwrap().si(), 263.15);
        for text in ["35 N m", "35 Nm", "35 N·m", " 35 N*m "] {
            close(read::<Torque>(text).unwrap().si(), 35.0);
        }
        close(read::<Ratio>("80 %").unwrap().si(), 0.8);
        close(read::<Ratio>("0.8").unwrap().si(), 0.8);
        close(read::<MassDensity>("9.5 g/cm3").unwrap().si(), 9500.0);
        close(read::<Length>("2.5e1mm").unwrap().si(), 0.025);
        close(read::<Velocity>("2 in/s").unwrap().si(), 0.0508);
        close(read::<VolumeRate>("1 in3/s").unwrap().si(), 16.387_064e-6);
        close(read::<SpringRate>("10 lbf/in").unwrap().si(), 1_751.268_4);
        close(in_psi(read("120 psi").unwrap()), 120.0);
        close(in_lbf(read("4.448221615 N").unwrap()), 1.0);
    }

    /// Factors of NIST Special Publication 811 (2008), appendix B; a ton-force there is the
    /// short one, 8.896 443 kN.
    #[test]
    fn a_shop_in_inches_writes_as_it_speaks() {
        close(read::<Length>("5/8 in").unwrap().si(), 0.015_875);
        close(read::<Length>("1 1/2 IN").unwrap().si(), 0.0381);
        close(read::<Length>("1\"").unwrap().si(), 0.0254);
        close(read::<Length>("1½”").unwrap().si(), 0.0381);
        close(read::<Length>("2 thou").unwrap().si(), 50.8e-6);
        close(read::<Velocity>("60 in/min").unwrap().si(), 0.0254);
        close(read::<Force>("2 ton").unwrap().si(), 17_792.886);
        close(read::<Force>("2 t").unwrap().si(), 19_613.3);
        close(read::<Torque>("18 ft-lbs").unwrap().si(), 24.404_723_2);
        close(read::<Torque>("24 NM").unwrap().si(), 24.0);
        close(read::<Pressure>("120 PSI").unwrap().si(), 827_370.875);
        close(read::<Pressure>("5 mpa").unwrap().si(), 5e6);
        close(read::<Temperature>("428 f").unwrap().si(), 493.15);
        close(read::<Length>("2,5 mm").unwrap().si(), 0.0025);
        assert!(is_short_ton("2 Ton") && !is_short_ton("2 t") && !is_short_ton("2 kN"));
        let error = read::<Pressure>("1,500 psi").unwrap_err().to_string();
        assert!(error.contains("part thousands"), "{error}");
    }

    #[test]
    fn a_long_text_is_quoted_by_its_start() {
        for text in ["x".repeat(200_000), format!("1 {}", "x".repeat(200_000))] {
            assert!(read::<Length>(&text).unwrap_err().to_string().len() < 400);
        }
    }

    #[test]
    fn refuses_in_one_line_with_an_example() {
        for text in
            ["", "mm", "63", "63 furlong", "inf mm", "1e999 mm", "1,500 mm", "-", "µ"]
        {
            let error = read::<Length>(text).unwrap_err().to_string();
            assert!(error.contains("\"63 mm\"") && !error.contains('\n'), "{error}");
        }
        assert!(read::<Ratio>("30").is_err());
        assert!(read::<Force>("1e308 kN").is_err());
        // Nobody at a press means millipascal.
        assert!(read::<Pressure>("5 mPa").is_err());
    }

    proptest::proptest! {
        #[test]
        fn no_text_is_too_odd_to_be_answered(text in "[-+0-9.eE ]{0,6}.{0,6}") {
            if let Ok(length) = read::<Length>(&text) {
                assert!(length.si().is_finite(), "{text}");
            }
        }
    }
}
