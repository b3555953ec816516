//! How thick the melt is: the common viscosity models, each with its parameters as a
//! plastic file writes them.
//!
//! ```toml
//! viscosity = { value = { newtonian = { viscosity = "200 Pa s" } } }
//! viscosity = { value = { power_law = { consistency = "39300 Pa s^n", index = 0.25 } }, source = "…" }
//! ```
//!
//! Published parameters belong to one grade; the level of another grade of the same
//! plastic may be half or double. Pressure in the melt is ignored except in `cross_wlf`.

use serde::{Deserialize, Deserializer};

use crate::process::sourced::Entry;
use crate::units::{
    self, DynamicViscosity, Pressure, Quantity, Temperature, TemperatureCoefficient,
    TemperatureInterval, Time, Unit,
};

/// Gas constant, J/(mol K), CODATA 2018.
const GAS: f64 = 8.314_462_618;

/// A viscosity model and its parameters.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Viscosity {
    /// The same at every rate and temperature.
    Newtonian {
        /// The viscosity.
        #[serde(deserialize_with = "units::given")]
        viscosity: DynamicViscosity,
    },
    /// η = m · exp(−b (T − T₀)) · γ̇^(n−1).
    PowerLaw {
        /// m, at the temperature `at`.
        #[serde(deserialize_with = "units::given")]
        consistency: Consistency,
        /// n.
        index: f64,
        /// T₀; without it the melt is as thick at every temperature.
        #[serde(default, deserialize_with = "units::given_maybe")]
        at: Option<Temperature>,
        /// b, how much thicker each kelvin of cooling makes it.
        #[serde(default, deserialize_with = "units::given_maybe")]
        cooling: Option<TemperatureCoefficient>,
    },
    /// η = η₀ / (1 + (η₀ γ̇ / τ*)^(1−n)), η₀ = D1 · exp(−A1 (T − D2 − D3 p) / (A2 + T − D2)).
    CrossWlf {
        /// n.
        n: f64,
        /// τ*.
        #[serde(deserialize_with = "units::given")]
        tau_star: Pressure,
        /// D1.
        #[serde(deserialize_with = "units::given")]
        d1: DynamicViscosity,
        /// D2.
        #[serde(deserialize_with = "units::given")]
        d2: Temperature,
        /// D3, how much a pressure raises D2.
        #[serde(default, deserialize_with = "units::given_maybe")]
        d3: Option<PressureShift>,
        /// A1.
        a1: f64,
        /// A2.
        #[serde(deserialize_with = "units::given")]
        a2: TemperatureInterval,
    },
    /// Cross as above with η₀ = B · exp(Tb / T).
    CrossArrhenius {
        /// n.
        n: f64,
        /// τ*.
        #[serde(deserialize_with = "units::given")]
        tau_star: Pressure,
        /// B.
        #[serde(deserialize_with = "units::given")]
        b: DynamicViscosity,
        /// Tb.
        #[serde(deserialize_with = "units::given")]
        tb: TemperatureInterval,
    },
    /// η = k1 a / (1 + k2 a γ̇)^k3, a = exp(E/R (1/T − 1/T₀)).
    CarreauArrhenius {
        /// k1.
        #[serde(deserialize_with = "units::given")]
        k1: DynamicViscosity,
        /// k2.
        #[serde(deserialize_with = "units::given")]
        k2: Time,
        /// k3.
        k3: f64,
        /// T₀.
        #[serde(deserialize_with = "units::given")]
        at: Temperature,
        /// E.
        #[serde(deserialize_with = "units::given")]
        activation: Activation,
    },
}

impl Viscosity {
    /// The viscosity in Pa s at a shear rate (1/s, above 0), a temperature and a pressure;
    /// infinite where the model has the plastic solid.
    pub fn pa_s(&self, rate: f64, at: Temperature, pressure: Pressure) -> f64 {
        match *self {
            Self::Newtonian { viscosity } => viscosity.si(),
            Self::PowerLaw { consistency, index, at: reference, cooling } => {
                let step = reference.map_or(0.0, |reference| at.si() - reference.si());
                let b = cooling.map_or(0.0, Quantity::si);
                consistency.0 * (-b * step).exp() * rate.powf(index - 1.0)
            }
            Self::CrossWlf { n, tau_star, d1, d2, d3, a1, a2 } => {
                let shift = d3.map_or(0.0, |d3| d3.0 * pressure.si());
                let above = at.si() - d2.si();
                if a2.si() + above <= 0.0 {
                    // Below the model's own limit the plastic is a glass.
                    return f64::INFINITY;
                }
                let zero = d1.si() * (-a1 * (above - shift) / (a2.si() + above)).exp();
                cross(zero, rate, n, tau_star)
            }
            Self::CrossArrhenius { n, tau_star, b, tb } => {
                cross(b.si() * (tb.si() / at.si()).exp(), rate, n, tau_star)
            }
            Self::CarreauArrhenius { k1, k2, k3, at: reference, activation } => {
                let inverse = at.si().recip() - reference.si().recip();
                let shift = (activation.0 / GAS * inverse).exp();
                k1.si() * shift / (1.0 + k2.si() * shift * rate).powf(k3)
            }
        }
    }

    /// The same melt of another grade: at every stress it is sheared `1/times` as fast, so
    /// its viscosity at low rates is `times` as high and the stress at which it begins to
    /// thin stays. A melt flow test then gives `1/times` of the rate, whatever the model.
    #[must_use]
    pub fn thickened(self, times: f64) -> Self {
        match self {
            Self::Newtonian { viscosity } => {
                Self::Newtonian { viscosity: viscosity * times }
            }
            Self::PowerLaw { consistency, index, at, cooling } => {
                let consistency = Consistency(consistency.0 * times.powf(index));
                Self::PowerLaw { consistency, index, at, cooling }
            }
            Self::CrossWlf { n, tau_star, d1, d2, d3, a1, a2 } => {
                Self::CrossWlf { n, tau_star, d1: d1 * times, d2, d3, a1, a2 }
            }
            Self::CrossArrhenius { n, tau_star, b, tb } => {
                Self::CrossArrhenius { n, tau_star, b: b * times, tb }
            }
            Self::CarreauArrhenius { k1, k2, k3, at, activation } => {
                let (k1, k2) = (k1 * times, k2 * times);
                Self::CarreauArrhenius { k1, k2, k3, at, activation }
            }
        }
    }

    /// The same melt, so many times as thick at every rate and heat: it takes so many times the
    /// pressure for the same flow.
    #[must_use]
    pub fn scaled(self, times: f64) -> Self {
        match self {
            Self::Newtonian { viscosity } => {
                Self::Newtonian { viscosity: viscosity * times }
            }
            Self::PowerLaw { consistency, index, at, cooling } => {
                let consistency = Consistency(consistency.0 * times);
                Self::PowerLaw { consistency, index, at, cooling }
            }
            // What thins does so at a stress, which grows as the viscosity does.
            Self::CrossWlf { n, tau_star, d1, d2, d3, a1, a2 } => {
                let (tau_star, d1) = (tau_star * times, d1 * times);
                Self::CrossWlf { n, tau_star, d1, d2, d3, a1, a2 }
            }
            Self::CrossArrhenius { n, tau_star, b, tb } => {
                let (tau_star, b) = (tau_star * times, b * times);
                Self::CrossArrhenius { n, tau_star, b, tb }
            }
            Self::CarreauArrhenius { k1, k2, k3, at, activation } => {
                let k1 = k1 * times;
                Self::CarreauArrhenius { k1, k2, k3, at, activation }
            }
        }
    }

    /// The same melt, beginning to thin at `times` the stress; a Newtonian melt and a power
    /// law have no such stress and stay as they are.
    #[must_use]
    pub fn thinning_from(self, times: f64) -> Self {
        match self {
            Self::Newtonian { .. } | Self::PowerLaw { .. } => self,
            Self::CrossWlf { n, tau_star, d1, d2, d3, a1, a2 } => {
                Self::CrossWlf { n, tau_star: tau_star * times, d1, d2, d3, a1, a2 }
            }
            Self::CrossArrhenius { n, tau_star, b, tb } => {
                Self::CrossArrhenius { n, tau_star: tau_star * times, b, tb }
            }
            Self::CarreauArrhenius { k1, k2, k3, at, activation } => {
                Self::CarreauArrhenius { k1, k2: k2 / times, k3, at, activation }
            }
        }
    }

    /// The model's name as in a plastic file.
    pub fn name(&self) -> &'static str {
        match self {
            Self::Newtonian { .. } => "newtonian",
            Self::PowerLaw { .. } => "power_law",
            Self::CrossWlf { .. } => "cross_wlf",
            Self::CrossArrhenius { .. } => "cross_arrhenius",
            Self::CarreauArrhenius { .. } => "carreau_arrhenius",
        }
    }

    /// Whether the parameters describe a melt: positive, and thinning at most to a slip.
    pub fn plausible(&self) -> bool {
        let index = |n: f64| n > 0.0 && n <= 2.0;
        match *self {
            Self::Newtonian { viscosity } => viscosity.si() > 0.0,
            Self::PowerLaw { consistency, index: n, .. } => {
                consistency.0 > 0.0 && index(n)
            }
            Self::CrossWlf { n, tau_star, d1, a2, .. } => {
                index(n) && tau_star.si() > 0.0 && d1.si() > 0.0 && a2.si() > 0.0
            }
            Self::CrossArrhenius { n, tau_star, b, .. } => {
                index(n) && tau_star.si() > 0.0 && b.si() > 0.0
            }
            Self::CarreauArrhenius { k1, k2, k3, .. } => {
                k1.si() > 0.0 && k2.si() >= 0.0 && (0.0..1.0).contains(&k3)
            }
        }
    }
}

fn cross(zero: f64, rate: f64, n: f64, tau_star: Pressure) -> f64 {
    zero / (1.0 + (zero * rate / tau_star.si()).powf(1.0 - n))
}

impl Entry for Viscosity {
    fn entry<'de, D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        Self::deserialize(from)
    }
}

macro_rules! plain {
    ($($(#[$doc:meta])* $name:ident, $what:literal, $example:literal, $units:expr;)*) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq)]
        pub struct $name(pub f64);
        impl Quantity for $name {
            const WHAT: &'static str = $what;
            const EXAMPLE: &'static str = $example;
            const UNITS: &'static [Unit] = $units;
            fn from_si(value: f64) -> Self { Self(value) }
            fn si(self) -> f64 { self.0 }
        }
    )*};
}

plain! {
    /// The m of a power law, Pa s^n.
    Consistency, "consistency", "39300 Pa s^n", &[units::unit(&["Pa s^n"], 1.0)];
    /// The D3 of a Cross-WLF model, K/Pa.
    PressureShift, "rise with pressure", "0.5e-6 K/Pa", &[units::unit(&["K/Pa"], 1.0)];
    /// An activation energy, J/mol.
    Activation, "activation energy", "42.7 kJ/mol",
        &[units::unit(&["kJ/mol"], 1e3), units::unit(&["J/mol"], 1.0)];
}

#[cfg(test)]
mod tests {
    use super::Viscosity;
    use crate::units::{Pressure, Quantity, from_celsius, from_toml};

    fn at(text: &str, rate: f64, celsius: f64) -> f64 {
        #[derive(serde::Deserialize)]
        struct File {
            v: Viscosity,
        }
        let v = from_toml::<File>(&format!("v = {{ {text} }}")).unwrap().v;
        assert!(v.plausible());
        v.pa_s(rate, from_celsius(celsius), Pressure::from_si(0.0))
    }

    fn near(seen: f64, printed: f64, share: f64) {
        assert!((seen - printed).abs() <= share * printed, "{seen} is not {printed}");
    }

    /// Rao and Schumacher, Design Formulas for Plastics Engineers, 2nd ed., Eq. 1.32 and
    /// its example: 373.1 Pa s at 200 °C and 500 1/s.
    /// Twice as thick at every rate, whatever the model.
    #[test]
    fn a_scaled_melt_is_so_much_thicker_at_every_rate() {
        let plastics = crate::process::plastic::library::Plastics::builtin().unwrap();
        let pressure = Pressure::from_si(2e6);
        let mut models = std::collections::BTreeSet::new();
        for (_, plastic) in plastics.iter() {
            let Some(viscosity) = plastic.viscosity.value else { continue };
            models.insert(viscosity.name());
            let at = plastic.melt_temperature.value.unwrap().typical();
            for rate in [0.1, 10.0, 1e3, 1e5] {
                let before = viscosity.pa_s(rate, at, pressure);
                let after = viscosity.scaled(2.0).pa_s(rate, at, pressure);
                assert!(
                    (after / before - 2.0).abs() < 1e-9,
                    "{} at {rate}",
                    plastic.name
                );
            }
        }
        assert!(models.len() >= 4, "{models:?}");
    }

    #[test]
    fn power_law_of_a_low_density_polyethylene() {
        let consistency = 135_990.0 * f64::exp(-0.00863 * 200.0);
        let text = format!(
            "power_law = {{ consistency = '{consistency} Pa s^n', index = 0.3286, \
             at = '200 C', cooling = '0.00863 1/K' }}"
        );
        near(at(&text, 500.0, 200.0), 373.1, 1e-3);
        near(at(&text, 500.0, 220.0), 373.1 * f64::exp(-0.1726), 1e-3);
    }

    /// PMC7388655 Table 1 gives the parameters; the values at 240 and 250 °C were worked
    /// out apart from this program: η₀ 3640, η(1000/s) 269 and 206 Pa s.
    #[test]
    fn cross_with_exponential_temperature_of_an_acrylic() {
        let text = "cross_arrhenius = { n = 0.21, tau_star = '1.48e5 Pa', \
                    b = '1e-17 Pa s', tb = '24294 K' }";
        near(at(text, 1e-9, 240.0), 3640.0, 3e-3);
        near(at(text, 1000.0, 240.0), 269.0, 3e-3);
        near(at(text, 1000.0, 250.0), 206.0, 3e-3);
    }

    /// Osswald and Hernandez-Ortiz 2006, row PP with 42.7 kJ/mol: 64 Pa s at 220 °C and
    /// 74 at 200 °C, both at 1000 1/s, worked out apart from this program.
    #[test]
    fn carreau_of_a_polypropylene() {
        let text = "carreau_arrhenius = { k1 = '1386 Pa s', k2 = '0.091 s', k3 = 0.68, \
                    at = '220 C', activation = '42.7 kJ/mol' }";
        near(at(text, 1000.0, 220.0), 64.0, 0.01);
        near(at(text, 1000.0, 200.0), 74.0, 0.01);
    }

    /// Parameters from memory; the values 1860 (zero rate), 111, 83 and 64 Pa s were
    /// worked out apart from this program.
    #[test]
    fn cross_wlf_of_a_polystyrene() {
        let text = "cross_wlf = { n = 0.252, tau_star = '3.08e4 Pa', d1 = '4.76e10 Pa s', \
                    d2 = '373.15 K', a1 = 25.74, a2 = '61.06 K' }";
        near(at(text, 1e-9, 220.0), 1860.0, 5e-3);
        for (celsius, printed) in [(200.0, 111.0), (220.0, 83.0), (240.0, 64.0)] {
            near(at(text, 1000.0, celsius), printed, 0.01);
        }
    }

    #[test]
    fn a_newtonian_melt_knows_no_rate() {
        near(at("newtonian = { viscosity = '200 Pa s' }", 7.0, 20.0), 200.0, 1e-12);
    }
}
