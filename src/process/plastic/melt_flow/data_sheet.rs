//! A melt flow rate and its test as a data sheet writes them: "12 g/10min at 230 C, 2.16 kg".

use std::fmt;

use serde::{Deserialize, Deserializer, de};

use crate::process::sourced::Entry;
use crate::units::{
    self, Mass, Quantity, Temperature, Unit, format::four_digits, in_celsius,
};

/// At which temperature and under which load a melt flow rate is measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FlowTest {
    /// Temperature of the melt.
    pub temperature: Temperature,
    /// Load on the piston, the piston included.
    pub load: Mass,
}

/// A melt flow rate as a data sheet gives it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeltFlow {
    /// What comes out.
    pub rate: FlowRate,
    /// Temperature and load.
    pub test: FlowTest,
}

/// What comes out of the die.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FlowRate {
    /// MFR, weighed.
    Mass(MassFlow),
    /// MVR, by volume.
    Volume(VolumeFlow),
}

/// A mass flow in kg/s, written in g/10min.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MassFlow(f64);

/// A volume flow in m³/s, written in cm³/10min.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VolumeFlow(f64);

impl Quantity for MassFlow {
    const WHAT: &'static str = "melt flow rate";
    const EXAMPLE: &'static str = "12 g/10min";
    const UNITS: &'static [Unit] = &[units::unit(&["g/10min", "dg/min"], 1e-3 / 600.0)];
    fn from_si(value: f64) -> Self {
        Self(value)
    }
    fn si(self) -> f64 {
        self.0
    }
}

impl Quantity for VolumeFlow {
    const WHAT: &'static str = "melt volume rate";
    const EXAMPLE: &'static str = "19 cm3/10min";
    const UNITS: &'static [Unit] =
        &[units::unit(&["cm3/10min", "cm³/10min", "cc/10min", "ml/10min"], 1e-6 / 600.0)];
    fn from_si(value: f64) -> Self {
        Self(value)
    }
    fn si(self) -> f64 {
        self.0
    }
}

impl fmt::Display for FlowTest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let celsius = four_digits(in_celsius(self.temperature));
        write!(f, "{celsius} °C, {} kg", four_digits(self.load.si()))
    }
}

impl fmt::Display for MeltFlow {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.rate {
            FlowRate::Mass(rate) => {
                write!(f, "{} g/10min at {}", four_digits(rate.0 * 600e3), self.test)
            }
            FlowRate::Volume(rate) => {
                write!(f, "{} cm³/10min at {}", four_digits(rate.0 * 600e6), self.test)
            }
        }
    }
}

/// Reads "230 C, 2.16 kg".
fn read_test(text: &str) -> Result<FlowTest, String> {
    let wrong =
        || format!("\"{text}\" is no melt flow test: write as in \"230 C, 2.16 kg\"");
    let (heat, load) =
        text.split_once(',').or_else(|| text.split_once('/')).ok_or_else(wrong)?;
    let temperature = units::read_if(
        heat,
        |heat: Temperature| (100.0..=450.0).contains(&in_celsius(heat)),
        "a melt flow test runs at 100 °C to 450 °C",
    )?;
    let load = units::read_if(
        load,
        |load: Mass| (0.1..=50.0).contains(&load.si()),
        "the load of a melt flow test is 0.1 kg to 50 kg, most are 1.2, 2.16, 5, 10 and 21.6",
    )?;
    Ok(FlowTest { temperature, load })
}

/// Reads "12 g/10min at 230 C, 2.16 kg".
fn read_flow(text: &str) -> Result<MeltFlow, String> {
    let (rate, test) = text.split_once(" at ").ok_or_else(|| {
        format!(
            "\"{text}\" is no melt flow rate: write as in \"12 g/10min at 230 C, 2.16 kg\""
        )
    })?;
    let test = read_test(test)?;
    let rate = match units::read(rate) {
        Ok(rate) => FlowRate::Volume(rate),
        Err(_) => FlowRate::Mass(units::read(rate).map_err(|error| error.to_string())?),
    };
    let per_10_min = match rate {
        FlowRate::Mass(rate) => rate.0 * 600e3,
        FlowRate::Volume(rate) => rate.0 * 600e6,
    };
    if (1e-3..=1e4).contains(&per_10_min) {
        Ok(MeltFlow { rate, test })
    } else {
        Err("a melt flow rate is 0.001 to 10000 in ten minutes".to_owned())
    }
}

impl Entry for FlowTest {
    fn entry<'de, D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        read_test(&String::deserialize(from)?).map_err(de::Error::custom)
    }
}

/// One rate, or a list of them: `#[serde(deserialize_with = …)]`.
///
/// # Errors
///
/// In the words of the file's format, when a text is no rate.
pub fn given<'de, D: Deserializer<'de>>(from: D) -> Result<Vec<MeltFlow>, D::Error> {
    struct Visitor;
    impl<'de> de::Visitor<'de> for Visitor {
        type Value = Vec<MeltFlow>;
        fn expecting(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
            write!(to, "a rate as in \"12 g/10min at 230 C, 2.16 kg\", or a list of two")
        }
        fn visit_str<E: de::Error>(self, text: &str) -> Result<Vec<MeltFlow>, E> {
            read_flow(text).map(|flow| vec![flow]).map_err(E::custom)
        }
        fn visit_seq<A: de::SeqAccess<'de>>(
            self,
            mut list: A,
        ) -> Result<Vec<MeltFlow>, A::Error> {
            let mut flows = Vec::new();
            while let Some(text) = list.next_element::<String>()? {
                flows.push(read_flow(&text).map_err(de::Error::custom)?);
            }
            Ok(flows)
        }
    }
    from.deserialize_any(Visitor)
}
