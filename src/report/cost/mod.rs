//! What mold and parts cost, in every form.
//!
//! | question | file |
//! |---|---|
//! | which lines and tables | [`outline`] |
//! | `cost.html` | [`html`] |
//! | all files | [`bundle`] |

pub mod outline;
mod html;
pub mod bundle;

use serde::Serialize;

use crate::process::cost::break_even::Costs;
use crate::units::us_words::ShownUnits;

/// The costs of one part, to be written.
#[derive(Clone, Debug, Serialize)]
pub struct CostReport {
    /// Name of the part's file.
    pub file: String,
    /// Units of what people read; the keys of this file say theirs and stay metric.
    pub shown_units: ShownUnits,
    /// Name of the press.
    pub press: String,
    /// Name of the plastic.
    pub plastic: String,
    /// The sign or word for money.
    pub currency: String,
    /// Time of the cutters in both halves, min; that of the check.
    pub milling_min: f64,
    /// Mass of a shot, g; that of the check.
    pub shot_g: f64,
    /// From shot to shot, s; that of the check.
    pub cycle_s: f64,
    /// The costs.
    pub costs: Costs,
    /// What was taken for known.
    pub assumptions: Vec<String>,
}
