//! What can be varied, and how a user asks for it: "air", or "air: 6 bar, 8 bar".

use std::str::FromStr;

use crate::names::{read_by, written_by};

/// Something that can be varied.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Factor {
    /// All walls of the part, by its median wall.
    Wall,
    /// Draft on top of what the walls have.
    Draft,
    /// The plastic.
    Plastic,
    /// Temperature of the melt.
    MeltTemperature,
    /// Temperature of the mold.
    MoldTemperature,
    /// Air pressure at the cylinders.
    Air,
    /// Bore of the cylinders.
    CylinderBore,
    /// The long arm of the lever.
    Lever,
    /// The force on the ram, of a jack or as stated.
    RamForce,
    /// Diameter of the ram.
    RamDiameter,
    /// Depth of the gate.
    GateDepth,
    /// Width of the gate.
    GateWidth,
    /// Diameter of the runner.
    Runner,
    /// Number of bolts.
    Bolts,
    /// Size of the bolts, tightened to the same share of what they stand.
    BoltSize,
    /// Torque of each bolt.
    BoltTorque,
    /// Force of a vise or of what else holds the mold.
    ClampForce,
    /// Thickness of each plate.
    PlateThickness,
}

/// All of them, with the names they go by.
const NAMES: [(Factor, &str); 18] = [
    (Factor::Wall, "wall"),
    (Factor::Draft, "draft"),
    (Factor::Plastic, "plastic"),
    (Factor::MeltTemperature, "melt temperature"),
    (Factor::MoldTemperature, "mold temperature"),
    (Factor::Air, "air"),
    (Factor::CylinderBore, "cylinder bore"),
    (Factor::Lever, "lever"),
    (Factor::RamForce, "ram force"),
    (Factor::RamDiameter, "ram diameter"),
    (Factor::GateDepth, "gate depth"),
    (Factor::GateWidth, "gate width"),
    (Factor::Runner, "runner"),
    (Factor::Bolts, "bolts"),
    (Factor::BoltSize, "bolt size"),
    (Factor::BoltTorque, "bolt torque"),
    (Factor::ClampForce, "clamp force"),
    (Factor::PlateThickness, "plate thickness"),
];

impl Factor {
    /// As the user writes it and the report says it.
    pub fn name(self) -> &'static str {
        NAMES.iter().find(|(factor, _)| *factor == self).map_or("", |(_, name)| name)
    }

    /// All names.
    pub fn names() -> impl Iterator<Item = &'static str> {
        NAMES.iter().map(|(_, name)| *name)
    }

    /// What must be rated for it where a step asks more of the press than it gives now; `None`
    /// where no step does.
    pub fn beware(self) -> Option<&'static str> {
        match self {
            Self::Air => Some(
                "more air than a common compressor gives (8.27 bar, 120 psi) only where compressor, hoses, valves and cylinders are all rated for it",
            ),
            Self::CylinderBore => {
                Some("a larger bore only where rod and frame are rated for it")
            }
            Self::Lever => {
                Some("a longer lever only where pivot, link and frame are rated for it")
            }
            Self::RamForce => {
                Some("more force only where drive, ram and frame are rated for it")
            }
            Self::RamDiameter => Some(
                "a thinner ram only where barrel and nozzle are rated for the pressure; a thin ram buckles",
            ),
            Self::BoltTorque => Some(
                "no more torque than the bolts may have: \"goodshot press\" says how much",
            ),
            Self::ClampForce => {
                Some("more force only where vise or clamp is rated for it")
            }
            Self::Wall
            | Self::Draft
            | Self::Plastic
            | Self::MeltTemperature
            | Self::MoldTemperature
            | Self::GateDepth
            | Self::GateWidth
            | Self::Runner
            | Self::Bolts
            | Self::BoltSize
            | Self::PlateThickness => None,
        }
    }

    /// Whether the melt flows otherwise when it is changed.
    pub fn reaches_the_melt(self) -> bool {
        match self {
            Self::Draft
            | Self::Bolts
            | Self::BoltSize
            | Self::BoltTorque
            | Self::ClampForce => false,
            // A thicker plate has a longer sprue.
            Self::Wall
            | Self::Plastic
            | Self::MeltTemperature
            | Self::MoldTemperature
            | Self::Air
            | Self::CylinderBore
            | Self::Lever
            | Self::RamForce
            | Self::RamDiameter
            | Self::GateDepth
            | Self::GateWidth
            | Self::Runner
            | Self::PlateThickness => true,
        }
    }
}

written_by!(Factor, name);
read_by!(Factor, name, NAMES.map(|(factor, _)| factor));

/// What is to be varied, and over which values.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FactorRequest {
    /// What.
    pub factor: Factor,
    /// The values as written; those of the shelf when empty.
    pub values: Vec<String>,
}

/// A wish that cannot be read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum FactorError {
    /// No such thing.
    #[error(
        "{0:?} cannot be varied: write one of {names}; with values of your own as in \"air: 6 bar, 8 bar\"",
        names = Factor::names().collect::<Vec<_>>().join(", ")
    )]
    Unknown(String),
    /// A colon and nothing after it.
    #[error(
        "{0:?} names no value: leave the colon out, or write as in \"air: 6 bar, 8 bar\""
    )]
    NoValue(String),
    /// Each value is a run of the model.
    #[error("{0} values are too many: at most {MOST_VALUES}")]
    TooMany(usize),
}

/// More steps than this nobody reads.
const MOST_VALUES: usize = 40;

impl FromStr for FactorRequest {
    type Err = FactorError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let (name, values) =
            text.split_once(':').map_or((text, None), |(name, list)| (name, Some(list)));
        let plain = name.trim().to_lowercase().replace(['-', '_'], " ");
        let plain = plain.split_whitespace().collect::<Vec<_>>().join(" ");
        let found = NAMES.iter().find(|(_, known)| *known == plain);
        let (factor, _) =
            found.ok_or_else(|| FactorError::Unknown(name.trim().to_owned()))?;
        let values: Option<Vec<String>> = values.map(|list| {
            let values = list.split(',').map(str::trim).filter(|value| !value.is_empty());
            values.map(str::to_owned).collect()
        });
        match values {
            Some(values) if values.is_empty() => {
                Err(FactorError::NoValue(text.to_owned()))
            }
            Some(values) if values.len() > MOST_VALUES => {
                Err(FactorError::TooMany(values.len()))
            }
            values => Ok(Self { factor: *factor, values: values.unwrap_or_default() }),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Factor, FactorRequest, NAMES};

    #[test]
    fn a_wish_is_a_name_with_values_or_without() {
        for (text, factor, values) in [
            ("air", Factor::Air, &[][..]),
            ("Cylinder-Bore: 63 mm , 80 mm", Factor::CylinderBore, &["63 mm", "80 mm"]),
            ("plastic: abs", Factor::Plastic, &["abs"]),
            (" melt  temperature ", Factor::MeltTemperature, &[]),
        ] {
            let wish: FactorRequest = text.parse().unwrap();
            assert_eq!(
                (wish.factor, wish.values.as_slice().len()),
                (factor, values.len())
            );
            assert!(wish.values.iter().eq(values.iter()), "{text}");
        }
        let unknown = "speed".parse::<FactorRequest>().unwrap_err().to_string();
        assert!(unknown.contains("cylinder bore") && unknown.contains("6 bar"));
        assert!(
            "air:".parse::<FactorRequest>().is_err()
                && "air: ,".parse::<FactorRequest>().is_err()
        );
        assert!(
            format!("air: {}", "1 bar,".repeat(99)).parse::<FactorRequest>().is_err()
        );
    }

    #[test]
    fn every_knob_is_found_by_its_name() {
        for (factor, name) in NAMES {
            assert_eq!(name.parse::<FactorRequest>().unwrap().factor, factor);
            assert_eq!(factor.name(), name);
        }
    }
}
