//! What if: one thing varied, and which step turns which finding.

use serde::{Deserialize, Serialize};

use crate::findings::{Kind, Verdict};
use crate::variations::Turn;
use crate::variations::factors::Factor;

/// One thing, varied.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct WhatIf {
    /// What is varied, such as `air`.
    pub vary: Factor,
    /// What it is in this check, such as "7 bar"; `null` where it cannot be varied.
    pub now: Option<String>,
    /// Why it cannot be varied; `null` where it can.
    pub reason: Option<String>,
    /// The steps, in the order of their values.
    pub steps: Vec<WhatIfStep>,
    /// For each kind of finding the least step that turns it, worst first.
    pub turns: Vec<Turn>,
    /// What must be rated for one of these steps; `null` where each is within what the press gives
    /// now, or a common compressor.
    pub beware: Option<String>,
}

/// One step; its numbers are `null` where they are not known or the step cannot be.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct WhatIfStep {
    /// The step, such as "8 bar".
    pub text: String,
    /// Its value in mm, bar, kN, N m, ° or °C, or a number of bolts; `null` for a name. `text` is in the
    /// units of the press file.
    pub value: Option<f64>,
    /// Why it cannot be; `null` where it can.
    pub reason: Option<String>,
    /// The answer.
    pub verdict: Option<Verdict>,
    /// Findings (by `id`) that keep the mold from being cut now, and not at this step.
    pub gone: Vec<Kind>,
    /// Findings that keep it from being cut at this step, and not now.
    pub new: Vec<Kind>,
    /// Melt pressure, MPa.
    pub melt_pressure_mpa: Option<f64>,
    /// Mass of a shot, g.
    pub shot_g: Option<f64>,
    /// Holding over opening force.
    pub clamp_margin: Option<f64>,
    /// Share of the part that fills.
    pub filled_fraction: Option<f64>,
    /// Melt pressure over the least that fills.
    pub fill_margin: Option<f64>,
    /// From shot to shot, s.
    pub cycle_s: Option<f64>,
    /// Force to push the part off its core, N.
    pub ejection_force_n: Option<f64>,
}
