//! The one schema: everything that any renderer may say.
//!
//! | question | file |
//! |---|---|
//! | which words stand for a verdict, a number, a place | [`words`] |
//! | which part was read, and is its file sound | [`part`] |
//! | what does the shape say | [`shape`] |
//! | what do feed, vents, cycle, cavity sizes and process sheet say | [`process`] |
//! | what do plastic and press say | [`evaluation`] |
//! | does the melt reach the last corner | [`filling`] |
//! | which pressure to push with, how to begin | [`first_shots`] |
//! | what does varying one thing change | [`what_if`] |
//! | what do the cutters leave | [`milling`] |
//! | does metal that stands alone in the cavity hold | [`standing_metal`] |
//! | which number of an analysis stands under which key | [`assemble`] |
//! | what may be said of a mold | [`mold`] |
//!
//! Key names carry their unit and keep their meaning (see `goodshot check --schema`).
//! `None` becomes `null` and means *not known*; the reason stands in `assumptions` or in
//! a finding. Pictures and files are made from the same [`Report`].

pub mod words;
mod part;
mod shape;
mod process;
mod evaluation;
mod filling;
mod first_shots;
mod what_if;
mod milling;
mod standing_metal;
pub mod assemble;
#[cfg(test)]
pub(crate) mod fixtures;
pub mod mold;

use serde::{Deserialize, Serialize};

use crate::findings::answer::Answer;
use crate::findings::causes::Cause;
use crate::findings::{Finding, Verdict};
pub use crate::schema::evaluation::{Clamp, Cooling, Ejection, Plastic, Press, Shot};
pub use crate::schema::evaluation::{ShrinkAxis, Shrinkage};
pub use crate::schema::filling::{
    Fill, FillCure, FillVent, GateChoice, TrappedAir, WeldLine,
};
use crate::units::us_words::ShownUnits;
pub use first_shots::{FirstShotChange, FirstShots, PressureLimit, PressureWindow};
pub use milling::{CutterUse, Milling, MillingCure, Unreached};
pub use part::{BoundingBox, Defect, Part, Repair};
pub use process::{Feed, FeedOption, Link, SheetRow, Size, Source, Step, Vents};
pub use shape::{
    Alternative, Bin, Draft, Parting, Pull, Quantiles, Region, ShortFace, ShutOff,
    Thickness, Undercut, UndercutRegion,
};
pub use standing_metal::StandingMetal;
pub use what_if::{WhatIf, WhatIfStep};

/// Grows by one when the meaning of a key changes.
pub const SCHEMA: u32 = 1;

/// The whole answer for one part.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Report {
    /// Version of this schema.
    pub schema: u32,
    /// The program that wrote it.
    pub tool: Tool,
    /// What was read, and how sound it is.
    pub part: Part,
    /// Which way the mold opens.
    pub pull: Pull,
    /// Walls.
    pub thickness: Thickness,
    /// Taper of the walls to the pull.
    pub draft: Draft,
    /// What neither half can leave.
    pub undercut: Undercut,
    /// Where the halves meet.
    pub parting: Parting,
    /// The plastic.
    pub plastic: Plastic,
    /// The press.
    pub press: Press,
    /// Sprue, runner and gate.
    pub feed: Feed,
    /// One shot against the barrel.
    pub shot: Shot,
    /// What opens the mold against what holds it.
    pub clamp: Clamp,
    /// Filling.
    pub fill: Fill,
    /// Holding, cooling and cycle.
    pub cooling: Cooling,
    /// How much larger to cut.
    pub shrinkage: Shrinkage,
    /// Getting the part out.
    pub ejection: Ejection,
    /// How to let the air out.
    pub vents: Vents,
    /// What the cutters leave.
    pub milling: Milling,
    /// Metal of the mold that stands alone between plastic, the most slender first.
    pub standing_metal: Vec<StandingMetal>,
    /// Which melt pressure fills, which one everything holds, and which one is there.
    pub pressure_window: PressureWindow,
    /// How to make the first shots.
    pub first_shots: FirstShots,
    /// What to set and to watch at the press.
    pub sheet: Vec<SheetRow>,
    /// Units of what people read; the keys of this file say theirs and stay metric.
    pub shown_units: ShownUnits,
    /// What a person reads first.
    pub answer: Answer,
    /// What the findings come from, worst first: one change each.
    pub causes: Vec<Cause>,
    /// What the user should know, worst first.
    pub findings: Vec<Finding>,
    /// What was varied, and which step turns which finding; empty where nothing was.
    pub what_if: Vec<WhatIf>,
    /// The answer.
    pub verdict: Verdict,
    /// Every default used, and every reason for a `null`.
    pub assumptions: Vec<String>,
    /// What the keys in brackets stand for.
    pub sources: Vec<Source>,
}

/// The program that wrote the report.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Tool {
    /// Its name.
    pub name: String,
    /// Its version.
    pub version: String,
}
