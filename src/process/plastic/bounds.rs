//! Whether the values of a plastic can be right: bounds that every plastic keeps, and the
//! order of its temperatures.

use super::{HeatLimit, Plastic};
use crate::process::sourced::{Range, Sourced};
use crate::units::{Quantity, Temperature};

impl Plastic {
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
            bounded("heat_capacity", &self.heat_capacity, 500.0, 5000.0),
            bounded("viscosity_doubt", &self.viscosity_doubt, 1.0, 10.0),
            bounded("entry_loss", &self.entry_loss, 0.0, 20.0),
            bounded("draft", &self.draft, 0.0, 1.0),
            bounded("modulus", &self.modulus, 1e5, 1e12),
            bounded("runner_allowance", &self.runner_allowance, 0.0, 2.0),
            heat_within("melt_temperature", &self.melt_temperature),
            heat_within("mold_temperature", &self.mold_temperature),
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

/// As [`within`], but the value to use may lie outside the range: it can be one that was
/// given for this run (see [`Plastic::at_temperatures`]).
fn heat_within(key: &str, of: &Sourced<Range<Temperature>>) -> Option<String> {
    let range = of.value.map(|range| Range { typical: None, ..range });
    within(key, &Sourced { value: range, ..Sourced::default() }, 200.0, 800.0)
}
