//! One plastic: every value that decides about a shot, each with its source.
//!
//! Nothing here is guessed: what no source gave is absent and says why. Data are typical
//! of the family; the bag in the workshop may differ, so single values can be overridden
//! (see [`crate::process::plastic::library`]).

pub mod viscosity;
pub mod library;
pub mod shrinkage;
pub mod cavity_sizes;
pub mod residence;

use serde::{Deserialize, Deserializer};

use super::sourced::{Entry, Range, Sourced};
use crate::process::plastic::viscosity::Viscosity;
use crate::units::{
    self, Angle, DiffusionCoefficient, Length, MassDensity, Pressure, Quantity, Ratio,
    Temperature, Time,
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
    /// How to dry it.
    pub drying: Sourced<String>,
    /// How thick the melt is.
    pub viscosity: Sourced<Viscosity>,
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
            viscosity: self.viscosity.or(base.viscosity),
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
        }
    }

    /// What makes no sense in this plastic, as "key: what is wrong".
    pub fn nonsense(&self) -> Option<String> {
        self.out_of_bounds().or_else(|| self.out_of_order())
    }

    fn out_of_bounds(&self) -> Option<String> {
        [
            bounded("solid_density", &self.solid_density, 100.0, 5000.0),
            bounded("melt_density", &self.melt_density, 100.0, 5000.0),
            bounded("ejection_temperature", &self.ejection_temperature, 200.0, 800.0),
            bounded("no_flow_temperature", &self.no_flow_temperature, 200.0, 800.0),
            bounded("diffusivity", &self.diffusivity, 1e-9, 1e-5),
            bounded("draft", &self.draft, 0.0, 1.0),
            bounded("modulus", &self.modulus, 1e5, 1e12),
            bounded("runner_allowance", &self.runner_allowance, 0.0, 2.0),
            within("melt_temperature", &self.melt_temperature, 200.0, 800.0),
            within("mold_temperature", &self.mold_temperature, 200.0, 800.0),
            within("shrinkage", &self.shrinkage, 0.0, 0.2),
            within("wall_manual", &self.wall_manual, 1e-5, 0.5),
            within("wall_industrial", &self.wall_industrial, 1e-5, 0.5),
            within("vent_depth", &self.vent_depth, 1e-7, 1e-3),
            within("strip_strain", &self.strip_strain, 0.0, 1.0),
            within("friction", &self.friction, 0.0, 5.0),
            within("hot_stiffness", &self.hot_stiffness, 0.0, 1.0),
        ]
        .into_iter()
        .find_map(|found| found)
    }

    fn out_of_order(&self) -> Option<String> {
        if self.viscosity.value.is_some_and(|viscosity| !viscosity.plausible()) {
            return Some("viscosity: its parameters describe no melt".to_owned());
        }
        let limits = self.residence_limit.value.as_deref().unwrap_or_default();
        let limit_off = |limit: &HeatLimit| {
            !((200.0..=800.0).contains(&limit.at.si()) && limit.time.si() > 0.0)
        };
        if limits.iter().any(limit_off) {
            return Some(
                "residence_limit: no plastic has that; is the unit right?".to_owned(),
            );
        }
        if !limits.is_sorted_by(|a, b| a.at < b.at && a.time >= b.time) {
            return Some(
                "residence_limit: write the coolest and longest first".to_owned(),
            );
        }
        let melt = self.melt_temperature.value.map(|range| range.low.si());
        let mold = self.mold_temperature.value.map(|range| range.typical().si());
        let ejection = self.ejection_temperature.value.map(Quantity::si);
        match (melt, ejection, mold) {
            (Some(melt), Some(ejection), _) if ejection >= melt => {
                Some("ejection_temperature: not below the melt temperature".to_owned())
            }
            (_, Some(ejection), Some(mold)) if mold >= ejection => {
                Some("mold_temperature: typical is not below the ejection temperature, so the part never gets stiff".to_owned())
            }
            _ => None,
        }
    }
}

/// A complaint when the value lies outside what any plastic has (SI).
fn bounded<Q: Quantity>(
    key: &str,
    of: &Sourced<Q>,
    low: f64,
    high: f64,
) -> Option<String> {
    let outside = of.value.is_some_and(|value| !(low..=high).contains(&value.si()));
    outside.then(|| format!("{key}: no plastic has that; is the unit right?"))
}

fn within<Q: Quantity>(
    key: &str,
    of: &Sourced<Range<Q>>,
    low: f64,
    high: f64,
) -> Option<String> {
    let range = of.value?;
    if !range.in_order() {
        return Some(format!("{key}: low, typical and high are not in that order"));
    }
    let outside = range.low.si() < low || range.high.si() > high;
    outside.then(|| format!("{key}: no plastic has that; is the unit right?"))
}
