//! Feed, vents, cycle steps, cavity sizes, the process sheet and the sources.

use schemars::JsonSchema;
use serde::Serialize;

/// Sprue, runner and gate, and what they cost.
#[derive(Clone, Debug, Default, Serialize, JsonSchema)]
pub struct Feed {
    /// Diameter of the sprue at the nozzle, mm.
    pub sprue_inlet_mm: Option<f64>,
    /// Diameter of the sprue at its foot, mm.
    pub sprue_foot_mm: Option<f64>,
    /// Length of the sprue, mm.
    pub sprue_length_mm: Option<f64>,
    /// Diameter of the runner, mm; `null` also where there is none.
    pub runner_diameter_mm: Option<f64>,
    /// Length of the runner, mm; 0 where there is none.
    pub runner_length_mm: Option<f64>,
    /// Depth of the gate, mm.
    pub gate_depth_mm: Option<f64>,
    /// Width of the gate, mm.
    pub gate_width_mm: Option<f64>,
    /// Length of the gate, mm.
    pub gate_land_mm: Option<f64>,
    /// Diameter of the cold-slug well, mm.
    pub well_diameter_mm: Option<f64>,
    /// Length of the cold-slug well, mm.
    pub well_length_mm: Option<f64>,
    /// Volume of sprue, runner, gate and well, mm³.
    pub volume_mm3: Option<f64>,
    /// Their area on the parting plane, mm².
    pub projected_area_mm2: Option<f64>,
    /// Time in which the cavity is to fill, s.
    pub fill_time_s: Option<f64>,
    /// Flow that takes, cm³/s.
    pub flow_cm3_s: Option<f64>,
    /// Pressure lost from the barrel to the cavity at that flow, MPa.
    pub lost_mpa: Option<f64>,
    /// The same link by link.
    pub links: Option<Vec<Link>>,
}

/// One link of the way to the cavity.
#[derive(Clone, Debug, Serialize, JsonSchema)]
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
#[derive(Clone, Debug, Default, Serialize, JsonSchema)]
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
#[derive(Clone, Debug, Serialize, JsonSchema)]
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
#[derive(Clone, Debug, Serialize, JsonSchema)]
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
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct SheetRow {
    /// What to set or to watch.
    pub what: String,
    /// To what.
    pub value: String,
    /// Why: rule or source.
    pub basis: String,
}

/// What a key in brackets stands for.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Source {
    /// The key.
    pub key: String,
    /// The citation.
    pub citation: String,
}
