//! One plastic: every value that decides about a shot, each with its source.
//!
//! Nothing here is guessed: what no source gave is absent and says why. Data are typical
//! of the family; the bag in the workshop may differ, so single values can be overridden
//! (see [`crate::process::plastic::library`]).

pub mod viscosity;
pub mod melt_flow;
pub mod bounds;
pub mod temperatures;
pub mod library;
pub mod shrinkage;
pub mod cavity_sizes;
pub mod residence;

use serde::{Deserialize, Deserializer};

use super::sourced::{Entry, Range, Sourced};
use crate::process::calibration::file::Calibration;
use crate::process::plastic::melt_flow::capillary::{self, ImpliedFlow};
use crate::process::plastic::melt_flow::data_sheet::{FlowTest, MeltFlow};
use crate::process::plastic::viscosity::Viscosity;
use crate::units::{
    self, Angle, DiffusionCoefficient, Length, MassDensity, Pressure, Ratio,
    SpecificHeat, Temperature, Time,
};

/// A plastic and what is known of it.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Plastic {
    /// The name to show, as "ABS".
    pub name: String,
    /// Other names it answers to.
    pub also: Vec<String>,
    /// What it is good for, in one line.
    pub description: String,
    /// The plastic that it takes every value from that it does not give itself.
    pub like: Option<String>,
    /// Amorphous or semicrystalline.
    pub family: Option<Family>,
    /// Why it must not be molded on a small press.
    pub refuse: Option<String>,
    /// Whether a skin freezes on the mold wall; only a closed form wants `false`.
    pub freezing: Option<bool>,
    /// Density of the part at 23 °C.
    pub solid_density: Sourced<MassDensity>,
    /// Density of the melt at the typical melt temperature, unless the note says otherwise.
    pub melt_density: Sourced<MassDensity>,
    /// Temperature of the melt in the barrel.
    pub melt_temperature: Sourced<Range<Temperature>>,
    /// Temperature of the mold wall.
    pub mold_temperature: Sourced<Range<Temperature>>,
    /// Below it the middle of the wall is stiff enough to push.
    pub ejection_temperature: Sourced<Temperature>,
    /// Below it the melt no longer flows.
    pub no_flow_temperature: Sourced<Temperature>,
    /// Effective thermal diffusivity between melt and ejection.
    pub diffusivity: Sourced<DiffusionCoefficient>,
    /// Specific heat of the melt.
    pub heat_capacity: Sourced<SpecificHeat>,
    /// How to dry it.
    pub drying: Sourced<String>,
    /// How thick the melt is.
    pub viscosity: Sourced<Viscosity>,
    /// By which factor, 1 or more, the melt of a bag may be thicker or thinner than
    /// [`Self::viscosity`] says; where no value is given, 1.5 is usual.
    pub viscosity_doubt: Sourced<f64>,
    /// The melt flow rate of the bag: one, or two under two loads. The level of
    /// [`Self::viscosity`] has followed it when the plastic was read.
    #[serde(deserialize_with = "melt_flow::data_sheet::given")]
    pub mfr: Vec<MeltFlow>,
    /// The melt flow test that data sheets of this plastic use.
    pub flow_test: Sourced<FlowTest>,
    /// Loss at the entry of the die of that test, in radii of the die; see
    /// [`capillary::ENTRY_LOSS`].
    pub entry_loss: Sourced<f64>,
    /// Linear shrinkage as a share of the cavity.
    pub shrinkage: Sourced<Range<Ratio>>,
    /// Wall thickness that works on a manual or small press.
    pub wall_manual: Sourced<Range<Length>>,
    /// Wall thickness that works in industry, for reference.
    pub wall_industrial: Sourced<Range<Length>>,
    /// Draft a side needs.
    pub draft: Sourced<Angle>,
    /// Depth of a vent that lets air out and keeps the plastic in.
    pub vent_depth: Sourced<Range<Length>>,
    /// Strain at which an undercut strips off unharmed.
    pub strip_strain: Sourced<Range<Ratio>>,
    /// Friction on the core at demolding, polished to rough.
    pub friction: Sourced<Range<f64>>,
    /// Tensile modulus at 23 °C.
    pub modulus: Sourced<Pressure>,
    /// Share of the modulus that is left at the ejection temperature.
    pub hot_stiffness: Sourced<Range<Ratio>>,
    /// What it gives off.
    pub fume: Sourced<String>,
    /// How long it may stay hot, in words.
    pub residence: Sourced<String>,
    /// The longest times at temperatures that a source gives.
    pub residence_limit: Sourced<Vec<HeatLimit>>,
    /// How much wider than by the usual rule its runner has to be.
    pub runner_allowance: Sourced<Ratio>,
    /// What must never lie hot in one barrel with it.
    pub never_with: Sourced<String>,
    /// What shots of this bag on this press said; [`Self::calibrated_by`] puts it here.
    #[serde(skip)]
    pub calibrated: Option<Calibration>,
}

/// The longest that a melt may stay at a temperature.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HeatLimit {
    /// The temperature.
    #[serde(deserialize_with = "units::given")]
    pub at: Temperature,
    /// The time.
    #[serde(deserialize_with = "units::given")]
    pub time: Time,
}

impl Entry for Vec<HeatLimit> {
    fn entry<'de, D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        Self::deserialize(from)
    }
}

/// How a plastic solidifies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Family {
    /// Stiffens over a range of temperature; shrinks little.
    Amorphous,
    /// Crystallizes at one temperature; shrinks much.
    Semicrystalline,
}

impl Family {
    /// The word for it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Amorphous => "amorphous",
            Self::Semicrystalline => "semicrystalline",
        }
    }
}

/// A value of this plastic that an answer needs and that is not known.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the {what} of {plastic} is not known ({reason}): give it in a plastics file")]
pub struct Unknown {
    /// Which value.
    pub what: &'static str,
    /// Of which plastic.
    pub plastic: String,
    /// Why it is not known.
    pub reason: String,
}

impl Plastic {
    /// The value of `of`, called `what` in the message when it is not known.
    ///
    /// # Errors
    ///
    /// [`Unknown`] when the plastic has no such value.
    pub fn need<'a, T>(
        &self,
        of: &'a Sourced<T>,
        what: &'static str,
    ) -> Result<&'a T, Unknown> {
        of.value.as_ref().ok_or_else(|| Unknown {
            what,
            plastic: self.name.clone(),
            reason: of.reason().to_owned(),
        })
    }

    /// This plastic with the gaps filled from `base`.
    pub(crate) fn over(self, base: Self) -> Self {
        let text = |own: String, other: String| if own.is_empty() { other } else { own };
        Self {
            name: text(self.name, base.name),
            also: if self.also.is_empty() { base.also } else { self.also },
            description: text(self.description, base.description),
            like: self.like.or(base.like),
            family: self.family.or(base.family),
            refuse: self.refuse.or(base.refuse),
            freezing: self.freezing.or(base.freezing),
            solid_density: self.solid_density.or(base.solid_density),
            melt_density: self.melt_density.or(base.melt_density),
            melt_temperature: self.melt_temperature.or(base.melt_temperature),
            mold_temperature: self.mold_temperature.or(base.mold_temperature),
            ejection_temperature: self.ejection_temperature.or(base.ejection_temperature),
            no_flow_temperature: self.no_flow_temperature.or(base.no_flow_temperature),
            diffusivity: self.diffusivity.or(base.diffusivity),
            drying: self.drying.or(base.drying),
            heat_capacity: self.heat_capacity.or(base.heat_capacity),
            viscosity: self.viscosity.or(base.viscosity),
            viscosity_doubt: self.viscosity_doubt.or(base.viscosity_doubt),
            mfr: if self.mfr.is_empty() { base.mfr } else { self.mfr },
            flow_test: self.flow_test.or(base.flow_test),
            entry_loss: self.entry_loss.or(base.entry_loss),
            shrinkage: self.shrinkage.or(base.shrinkage),
            wall_manual: self.wall_manual.or(base.wall_manual),
            wall_industrial: self.wall_industrial.or(base.wall_industrial),
            draft: self.draft.or(base.draft),
            vent_depth: self.vent_depth.or(base.vent_depth),
            strip_strain: self.strip_strain.or(base.strip_strain),
            friction: self.friction.or(base.friction),
            modulus: self.modulus.or(base.modulus),
            hot_stiffness: self.hot_stiffness.or(base.hot_stiffness),
            fume: self.fume.or(base.fume),
            residence: self.residence.or(base.residence),
            residence_limit: self.residence_limit.or(base.residence_limit),
            runner_allowance: self.runner_allowance.or(base.runner_allowance),
            never_with: self.never_with.or(base.never_with),
            calibrated: self.calibrated.or(base.calibrated),
        }
    }

    /// This plastic as shots said: so much thicker that it takes the pressure that they took, the
    /// press's share of that included.
    #[must_use]
    pub fn calibrated_by(mut self, calibration: Calibration) -> Self {
        let thicker = |it: Viscosity| it.scaled(calibration.pressure_factor);
        self.viscosity.value = self.viscosity.value.map(thicker);
        self.calibrated = Some(calibration);
        self
    }

    /// The melt flow rate that the viscosity model implies at the usual test of this
    /// plastic; `None` where model or test are not known, or the model is solid there.
    pub fn implied_flow(&self) -> Option<ImpliedFlow> {
        let viscosity = self.viscosity.value?;
        let test = self.flow_test.value?;
        capillary::imply(&viscosity, test, self.entry_radii(), self.melt_density.value)
    }

    /// Loss at the entry of the die of the melt flow test, in radii.
    pub fn entry_radii(&self) -> f64 {
        self.entry_loss.value.unwrap_or(capillary::ENTRY_LOSS)
    }
}
