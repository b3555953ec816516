//! Whether the melt reaches the last corner.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};

/// Filling; `null` where it was not worked out, and the reason is an assumption.
#[derive(Clone, Debug, Default, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Fill {
    /// Whether the melt reaches the last corner.
    pub fills: Option<bool>,
    /// Share of the part that fills.
    pub filled_fraction: Option<f64>,
    /// Until the part is full or the melt stands still, s.
    pub time_s: Option<f64>,
    /// Least melt pressure at the ram that fills, MPa; `null` also where none does.
    pub pressure_needed_mpa: Option<f64>,
    /// Pressure that the press has, MPa.
    pub pressure_available_mpa: Option<f64>,
    /// Force on the ram for the pressure needed, N.
    pub ram_force_needed_n: Option<f64>,
    /// Available over needed.
    pub margin: Option<f64>,
    /// The margin for pessimistic and optimistic inputs; 0 where the worst never fills.
    pub margin_band: Option<[f64; 2]>,
    /// Where the melt enters, mm.
    pub gate_mm: Option<[f64; 3]>,
    /// Whether the user named the gate.
    pub gate_given: Option<bool>,
    /// The smallest changes that help, each found by filling again; empty where there is
    /// pressure to spare.
    pub cures: Option<Vec<FillCure>>,
    /// The best places for a gate, the best first; `null` where the user named it.
    pub gate_choices: Option<Vec<GateChoice>>,
    /// Last places to fill, all of them, those with the most air first, mm.
    pub last_points: Option<Vec<[f64; 3]>>,
    /// Where the melt froze off, mm; `null` where it fills.
    pub stuck_at_mm: Option<[f64; 3]>,
    /// Where fronts meet, longest first.
    pub weld_lines: Option<Vec<WeldLine>>,
    /// Where air is shut in away from the parting line, the most first.
    pub trapped_air: Option<Vec<TrappedAir>>,
    /// Places on the parting line for a vent, those with the most air first, mm.
    pub vents_mm: Option<Vec<[f64; 3]>>,
    /// The same places, each with the vent that it needs.
    pub vents: Option<Vec<FillVent>>,
    /// Cells used.
    pub cells: Option<usize>,
    /// Size of a cell, mm.
    pub cell_mm: Option<f64>,
    /// The easiest way from the gate to the hardest corner, mm.
    pub flow_length_mm: Option<f64>,
    /// The same over the wall along it.
    pub length_over_wall: Option<f64>,
    /// Mean speed of the front, mm/s.
    pub front_mm_s: Option<f64>,
    /// Heat carried along over heat lost: above 10 the core stays hot as assumed.
    pub graetz: Option<f64>,
    /// Heat made by shear over heat lost: above 1 the melt flows more easily than assumed.
    pub nahme: Option<f64>,
}

/// A change that lets the melt go farther.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct FillCure {
    /// `wall`, `gate`, `melt`, `mold` or `plastic`.
    pub change: Cow<'static, str>,
    /// `sure`: fills with another lot and thermometer too; `fills`: with nothing to spare;
    /// `less`: takes less pressure, yet more than there is.
    pub help: Cow<'static, str>,
    /// Every wall at least so thick, mm.
    pub wall_mm: Option<f64>,
    /// Depth of the gate, mm.
    pub gate_depth_mm: Option<f64>,
    /// Width of the gate, mm.
    pub gate_width_mm: Option<f64>,
    /// Temperature of melt or mold, °C.
    pub celsius: Option<f64>,
    /// Name of the plastic, for `--plastic`.
    pub plastic: Option<String>,
    /// Least melt pressure that then fills, MPa; `null` where only filling was tried.
    pub pressure_needed_mpa: Option<f64>,
    /// The same in words.
    pub why: String,
}

/// A place for the gate.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct GateChoice {
    /// Where, mm.
    pub at_mm: [f64; 3],
    /// Loss on the way to the hardest corner over that of the best place.
    pub loss: f64,
    /// That way, mm.
    pub flow_length_mm: f64,
    /// The same over the wall along it.
    pub length_over_wall: f64,
    /// Wall at the gate, mm.
    pub wall_mm: f64,
    /// Weld lines that it leaves on faces named with `--show-face`, mm; `null` without.
    pub weld_on_shown_mm: Option<f64>,
    /// What speaks for and against it.
    pub why: String,
}

/// Where two fronts meet.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct WeldLine {
    /// Near its middle, mm.
    pub at_mm: [f64; 3],
    /// Its extent, mm.
    pub length_mm: f64,
    /// Between the two directions; 180 is head on, degrees.
    pub angle_deg: f64,
    /// When the first and the last of it closed, s.
    pub time_s: [f64; 2],
    /// In the middle of the wall when the fronts met, °C.
    pub celsius: f64,
    /// How much of it lies on faces named with `--show-face`, mm; `null` without.
    pub on_shown_mm: Option<f64>,
    /// Share of the wall that was frozen there at the end.
    pub frozen: f64,
}

/// Where air is shut in.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct TrappedAir {
    /// The last corner, mm.
    pub at_mm: [f64; 3],
    /// Air when the front closed it in, mm³.
    pub volume_mm3: f64,
    /// When that was, s.
    pub time_s: f64,
}

/// A vent.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct FillVent {
    /// On the parting line, mm.
    pub at_mm: [f64; 3],
    /// Air that comes to it last, mm³.
    pub air_mm3: f64,
    /// Whether a straight relief reaches the open air from there; where not, as inside a
    /// ring, it has to be led out through the plate.
    pub opens_to_air: bool,
    /// Depth to cut first, mm; `null` where the plastic does not say.
    pub depth_mm: Option<f64>,
    /// Depth not to go beyond, mm.
    pub most_depth_mm: Option<f64>,
    /// Width along the parting line, mm.
    pub width_mm: Option<f64>,
    /// Length of the shallow part, mm.
    pub land_mm: Option<f64>,
    /// Depth of the relief behind it, mm.
    pub relief_mm: Option<f64>,
}
