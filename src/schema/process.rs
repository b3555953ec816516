//! Feed, vents, cycle steps, cavity sizes, the process sheet and the sources.

use serde::{Deserialize, Serialize};

/// Sprue, runner and gate, and what they cost.
#[derive(Clone, Debug, Default, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Feed {
    /// How it lies: `direct` (the sprue stands on a face of the part), `edge` (sprue, runner
    /// and edge gate) or `split` (the sprue lies in the parting line); `null` without a feed.
    pub layout: Option<String>,
    /// Diameter of the sprue at the nozzle, mm.
    pub sprue_inlet_mm: Option<f64>,
    /// Diameter of the sprue at its foot, mm.
    pub sprue_foot_mm: Option<f64>,
    /// Length of the sprue, mm; the nozzle stands in a counterbore for the rest of the plate.
    pub sprue_length_mm: Option<f64>,
    /// Diameter of that counterbore, mm.
    pub counterbore_mm: Option<f64>,
    /// Cavities that it feeds, each by its own runner and gate.
    pub cavities: Option<u32>,
    /// `round` or `trapezoid`; `null` where there is no runner.
    pub runner_section: Option<String>,
    /// Diameter of the runner, mm, of a trapezoid that of the circle in it, as which it is deep; `null` also
    /// where there is none.
    pub runner_diameter_mm: Option<f64>,
    /// Length of the runner, mm; 0 where there is none.
    pub runner_length_mm: Option<f64>,
    /// Depth of the gate, mm; `null` where the sprue stands on the part.
    pub gate_depth_mm: Option<f64>,
    /// Width of the gate, mm; `null` as its depth.
    pub gate_width_mm: Option<f64>,
    /// Length of the gate, mm; `null` as its depth.
    pub gate_land_mm: Option<f64>,
    /// Diameter of the cold-slug well, mm.
    pub well_diameter_mm: Option<f64>,
    /// Length of the cold-slug well, mm; 0 where there is none.
    pub well_length_mm: Option<f64>,
    /// Volume of sprue, runner, gate and well, mm³.
    pub volume_mm3: Option<f64>,
    /// Their area on the parting plane, mm².
    pub projected_area_mm2: Option<f64>,
    /// Time in which the cavity fills, s: computed where the filling is known, else by a rule of
    /// thumb.
    pub fill_time_s: Option<f64>,
    /// Mean flow into each cavity in that time, cm³/s.
    pub flow_cm3_s: Option<f64>,
    /// Pressure lost from the barrel to the cavity at that flow, MPa.
    pub lost_mpa: Option<f64>,
    /// The part of it that is lost in the nozzle, which belongs to the press, MPa; `null` where
    /// the press file names no nozzle.
    pub lost_in_nozzle_mpa: Option<f64>,
    /// A feed should lose no more than this at that flow: a quarter of the melt pressure, MPa.
    pub goal_mpa: Option<f64>,
    /// What stops the feed from losing less, in one line; `null` where the goal is reached or
    /// the loss is not known.
    pub bound: Option<String>,
    /// The same link by link.
    pub links: Option<Vec<Link>>,
    /// The layout as chosen, then the others that part and press allow.
    pub layouts: Vec<FeedOption>,
    /// The layouts that they do not allow, each with its reason.
    pub not_offered: Vec<String>,
}

/// One layout of the feed and what it costs.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct FeedOption {
    /// `direct`, `edge` or `split`.
    pub layout: String,
    /// Whether the mold has this one.
    pub chosen: bool,
    /// Its sizes in words.
    pub sizes: String,
    /// Plastic in it, g.
    pub mass_g: f64,
    /// By how much it cools longer than the thickest place of the part, s.
    pub extra_cooling_s: Option<f64>,
    /// What is cut off the part by hand.
    pub trimming: String,
    /// Pressure lost from the barrel to the cavity at the flow of the feed, MPa.
    pub lost_mpa: Option<f64>,
    /// Melt pressure at the ram that fills the part through it, MPa; `null` where that was not
    /// worked out.
    pub needed_mpa: Option<f64>,
    /// What stops it from losing less than the goal.
    pub bound: Option<String>,
}

/// One link of the way to the cavity.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Link {
    /// What it is.
    pub name: String,
    /// Its size in words.
    pub size: String,
    /// Pressure lost in it, MPa; `null` where the melt does not get through.
    pub lost_mpa: Option<f64>,
    /// Apparent shear rate where it is narrowest, 1/s.
    pub shear_rate_1_s: Option<f64>,
}

/// How to let the air out.
#[derive(Clone, Debug, Default, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Vents {
    /// Depth to cut first, mm.
    pub depth_mm: Option<f64>,
    /// Depth not to go beyond, mm.
    pub most_depth_mm: Option<f64>,
    /// Width of each, mm.
    pub width_mm: Option<f64>,
    /// Length of the shallow part, mm.
    pub land_mm: Option<f64>,
    /// Depth of the relief behind it, mm.
    pub relief_mm: Option<f64>,
    /// How many let the air of the cavity out.
    pub count: Option<u32>,
}

/// One step of the cycle.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Step {
    /// What is done.
    pub what: String,
    /// How long, s.
    pub time_s: f64,
    /// Whether the mold waits for it.
    pub mold: bool,
    /// Whether the barrel waits for it.
    pub barrel: bool,
}

/// One length of the part and what to cut for it.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Size {
    /// `x`, `y`, `z` for the box of the part, `given` for a length that was asked for.
    pub of: String,
    /// What forms it: `outside`, `inside` or `between`.
    pub kind: String,
    /// On the part, mm.
    pub part_mm: f64,
    /// In the cavity at the expected shrinkage, mm.
    pub cavity_mm: f64,
    /// To cut first, with metal left, mm.
    pub first_cut_mm: f64,
    /// Part from the cavity should it shrink least, mm.
    pub part_if_low_mm: f64,
    /// Part from the cavity should it shrink most, mm.
    pub part_if_high_mm: f64,
}

/// One line of the process sheet.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct SheetRow {
    /// What to set or to watch.
    pub what: String,
    /// To what.
    pub value: String,
    /// Why: rule or source.
    pub basis: String,
}

/// What a key in brackets stands for.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Source {
    /// The key.
    pub key: String,
    /// The citation.
    pub citation: String,
}
