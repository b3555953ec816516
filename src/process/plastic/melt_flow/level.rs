//! The viscosity model that gives the melt flow rate of the bag.
//!
//! One rate sets the level and leaves the shape (see [`Viscosity::thickened`]): the rate is
//! inverse to the level, so nothing is searched. A second load sets the shape as well: the
//! index of a power law, the stress at which the other models begin to thin. That is one
//! number for one more number; the index that the others reach at high rates stays.

use super::capillary::volume_rate;
use super::data_sheet::{FlowRate, FlowTest, MeltFlow};
use crate::numeric::{bisect_to_ratio, geometric_mean};
use crate::process::plastic::viscosity::Viscosity;
use crate::units::{MassDensity, Quantity, VolumeRate, format::three_digits};

/// How far the stress at which a model begins to thin is moved at most, as a factor.
const ONSETS: [f64; 2] = [1e-3, 1e3];
/// The least index of a power law. Below it a melt slips rather than flows.
const LEAST_INDEX: f64 = 0.05;

/// Why a model cannot be brought to the rate of the bag, as a reason to stand after "mfr:".
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum FitError {
    /// There is nothing to scale.
    #[error(
        "there is no viscosity model to scale: give viscosity, or like = \"pp\" for the model of another plastic"
    )]
    NoModel,
    /// Grams do not become a volume.
    #[error("a rate in g/10min needs melt_density; or give the rate in cm3/10min")]
    NoDensity,
    /// The model is solid there.
    #[error(
        "the viscosity model gives no flow at {0}; is the test that of the data sheet?"
    )]
    NoFlow(FlowTest),
    /// More than two loads, or at two temperatures.
    #[error("give one rate, or two rates at one temperature under two loads")]
    NotTwoLoads,
    /// Two loads on a model without a shape.
    #[error(
        "a newtonian melt flows in proportion to the load: give one rate, or another viscosity model"
    )]
    NoShape,
    /// The two rates call for a melt that thickens, or thins more than the model can.
    #[error(
        "between the two loads the melt has the index {index} (1 is a melt that does not thin), and a {model} model reaches {low} to {high}: give one rate, or a viscosity model of your own"
    )]
    NoSuchShape {
        /// ln(load₂/load₁) / ln(rate₂/rate₁).
        index: String,
        /// The model.
        model: &'static str,
        /// The least index it reaches between the loads.
        low: String,
        /// The greatest.
        high: String,
    },
}

/// The model at the level of the bag, and with its shape where two loads are given. A rate
/// in grams becomes a volume by the melt density; that it is of another temperature than the
/// test's makes about 3 %.
///
/// # Errors
///
/// [`FitError`] when the model cannot give these rates.
pub fn fit(
    viscosity: Option<Viscosity>,
    given: &[MeltFlow],
    entry_loss: f64,
    melt_density: Option<MassDensity>,
) -> Result<Viscosity, FitError> {
    let viscosity = viscosity.ok_or(FitError::NoModel)?;
    let wanted = |flow: &MeltFlow| match flow.rate {
        FlowRate::Volume(rate) => Ok(rate.si()),
        FlowRate::Mass(rate) => {
            let density = melt_density.ok_or(FitError::NoDensity)?;
            Ok(rate.si() / density.si())
        }
    };
    let (first, shaped) = match given {
        [one] => (one, viscosity),
        [one, other] => {
            let rates = [wanted(one)?, wanted(other)?];
            (one, shape(viscosity, [one.test, other.test], rates, entry_loss)?)
        }
        _ => return Err(FitError::NotTwoLoads),
    };
    let implied = flow(&shaped, first.test, entry_loss)?;
    Ok(shaped.thickened(implied / wanted(first)?))
}

fn flow(viscosity: &Viscosity, test: FlowTest, entry_loss: f64) -> Result<f64, FitError> {
    let rate = volume_rate(viscosity, test, entry_loss).map(VolumeRate::si);
    rate.ok_or(FitError::NoFlow(test))
}

/// The model with the shape that two loads call for. The ratio of two rates does not depend
/// on the level.
fn shape(
    viscosity: Viscosity,
    tests: [FlowTest; 2],
    rates: [f64; 2],
    entry_loss: f64,
) -> Result<Viscosity, FitError> {
    let [one, other] = tests;
    let same_heat = (one.temperature.si() - other.temperature.si()).abs() < 0.01;
    let loads = (other.load.si() / one.load.si()).ln();
    if !same_heat || loads.abs() < 0.01 {
        return Err(FitError::NotTwoLoads);
    }
    let index = loads / (rates[1] / rates[0]).ln();
    let refuse = |low: f64, high: f64| FitError::NoSuchShape {
        index: three_digits(index),
        model: viscosity.name(),
        low: three_digits(low),
        high: three_digits(high),
    };
    match viscosity {
        Viscosity::Newtonian { .. } => Err(FitError::NoShape),
        Viscosity::PowerLaw { consistency, at, cooling, .. } => {
            if !(LEAST_INDEX..=1.0).contains(&index) {
                return Err(refuse(LEAST_INDEX, 1.0));
            }
            Ok(Viscosity::PowerLaw { consistency, index, at, cooling })
        }
        Viscosity::CrossWlf { .. }
        | Viscosity::CrossArrhenius { .. }
        | Viscosity::CarreauArrhenius { .. } => {
            let local = |times: f64| {
                let moved = viscosity.thinning_from(times);
                let between =
                    flow(&moved, other, entry_loss)? / flow(&moved, one, entry_loss)?;
                Ok(loads / between.ln())
            };
            let [low, high] = [local(ONSETS[0])?, local(ONSETS[1])?];
            if !(low..=high).contains(&index) {
                return Err(refuse(low, high));
            }
            // The later it begins to thin, the nearer the index between the loads is to 1.
            let is_low = |times: f64| local(times).is_ok_and(|seen| seen < index);
            let times = geometric_mean(bisect_to_ratio(ONSETS, 1.0 + 1e-10, is_low));
            Ok(viscosity.thinning_from(times))
        }
    }
}
