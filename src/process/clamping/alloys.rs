//! The metal of the mold: three aluminum series that small workshops mill.
//!
//! The dear alloy is stronger, not stiffer: all three bow alike.

use crate::units::{MassDensity, Pressure, Quantity, from_mpa};
use serde::Deserialize;

/// An aluminum alloy by series and temper.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
pub enum Alloy {
    /// The usual one.
    #[default]
    #[serde(rename = "6061-T6")]
    Wrought6061,
    /// Harder and stronger.
    #[serde(rename = "7075-T6")]
    Wrought7075,
    /// Cast tooling plate: flat and free of stress, softer.
    #[serde(rename = "cast 5083")]
    Cast5083,
}

/// What an alloy is worth. Proof stress, modulus and conductivity of the wrought alloys as
/// an online materials comparison lists them (proof 270 and 480 MPa, 69 to 70 kN/mm², 170 and
/// 130 W/(m K)); the rest, and all of cast 5083, from memory.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Metal {
    /// Series and temper.
    pub name: &'static str,
    /// Young's modulus.
    pub modulus: Pressure,
    /// Stress at 0.2 % lasting strain.
    pub proof: Pressure,
    /// Tensile strength.
    pub breaks: Pressure,
    /// Density.
    pub density: MassDensity,
    /// Specific heat, J/(kg K).
    pub heat_capacity_j_kg_k: f64,
    /// Thermal conductivity, W/(m K).
    pub conductivity_w_m_k: f64,
    /// Thermal expansion, 1/K.
    pub expansion_per_k: f64,
    /// Where the values are from.
    pub source: &'static str,
}

impl Alloy {
    /// Its values.
    pub fn metal(self) -> Metal {
        match self {
            Self::Wrought6061 => metal(
                "6061-T6",
                [69.0, 270.0, 310.0, 2700.0, 896.0, 170.0],
                "modulus, proof and conductivity: materials comparison seen online; else memory",
            ),
            Self::Wrought7075 => metal(
                "7075-T6",
                [70.0, 480.0, 560.0, 2810.0, 960.0, 130.0],
                "modulus, proof and conductivity: materials comparison seen online; else memory",
            ),
            Self::Cast5083 => metal(
                "cast 5083",
                [70.0, 110.0, 230.0, 2660.0, 900.0, 110.0],
                "from memory: softer than 6061-T6, flat and free of stress",
            ),
        }
    }
}

/// kN/mm², MPa, MPa, kg/m³, J/(kg K), W/(m K).
fn metal(name: &'static str, values: [f64; 6], source: &'static str) -> Metal {
    let [modulus, proof, breaks, density, heat, conductivity] = values;
    Metal {
        name,
        modulus: Pressure::from_si(modulus * 1e9),
        proof: from_mpa(proof),
        breaks: from_mpa(breaks),
        density: MassDensity::from_si(density),
        heat_capacity_j_kg_k: heat,
        conductivity_w_m_k: conductivity,
        expansion_per_k: 24e-6,
        source,
    }
}

#[cfg(test)]
mod tests {
    use super::Alloy;
    use crate::units::Quantity;

    /// Callister, Materials Science: aluminum alloys lie near 2.7 g/cm³, 69 to 72 kN/mm² and
    /// 0.9 kJ/(kg K), and thermal diffusivity k/(ρ c) of pure aluminum is 97 mm²/s, less
    /// alloyed (from memory).
    #[test]
    fn the_values_are_those_of_aluminum() {
        for alloy in [Alloy::Wrought6061, Alloy::Wrought7075, Alloy::Cast5083] {
            let metal = alloy.metal();
            assert!((69e9..=72e9).contains(&metal.modulus.si()), "{}", metal.name);
            assert!((2600.0..2850.0).contains(&metal.density.si()));
            assert!(metal.proof < metal.breaks);
            let heat = metal.density.si() * metal.heat_capacity_j_kg_k;
            let diffusivity = metal.conductivity_w_m_k / heat * 1e6;
            assert!((40.0..80.0).contains(&diffusivity), "{diffusivity}");
        }
    }
}
