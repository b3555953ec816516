//! What plastic, press and mill say; `None` where it is not worked out.

use schemars::JsonSchema;
use serde::Serialize;

/// The plastic that was assumed.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Plastic {
    /// Its short name.
    pub name: String,
    /// Whether the user named it.
    pub given: bool,
    /// What it is.
    pub description: String,
    /// Density at room temperature, g/cm³.
    pub solid_density_g_cm3: Option<f64>,
    /// Density of the melt, g/cm³.
    pub melt_density_g_cm3: Option<f64>,
    /// Melt temperature, °C.
    pub melt_c: Option<f64>,
    /// Mold temperature, °C.
    pub mold_c: Option<f64>,
    /// Cautions for this plastic.
    pub cautions: Vec<String>,
}

/// The press that was assumed.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Press {
    /// Its name in the press file.
    pub name: String,
    /// Whether the user gave the file; otherwise the built-in example was taken.
    pub given: bool,
    /// Class that the wall limits go by.
    pub class: String,
    /// Pressure on the melt after the stated losses, MPa.
    pub melt_pressure_mpa: Option<f64>,
    /// Force on the ram, N.
    pub ram_force_n: Option<f64>,
    /// What one stroke can push out, cushion left, cm³.
    pub shot_capacity_cm3: Option<f64>,
    /// Ram diameter, mm.
    pub ram_diameter_mm: Option<f64>,
    /// Ram stroke, mm.
    pub stroke_mm: Option<f64>,
    /// What holds the halves shut, in words.
    pub clamp: Option<String>,
    /// Cautions for this press.
    pub cautions: Vec<String>,
}

/// One shot against the barrel.
#[derive(Clone, Debug, Default, Serialize, JsonSchema)]
pub struct Shot {
    /// Mass of the part, g.
    pub part_g: Option<f64>,
    /// Allowance for sprue, runner and gate, g.
    pub feed_g: Option<f64>,
    /// Mass of the shot, g.
    pub total_g: Option<f64>,
    /// Volume of melt that the shot takes from the barrel, cm³.
    pub melt_cm3: Option<f64>,
    /// What one stroke can push out of this plastic, g.
    pub capacity_g: Option<f64>,
    /// Share of the capacity, 0 to 1 and above.
    pub fraction: Option<f64>,
    /// Fillings of the barrel with granules that one shot takes.
    pub charges: Option<u32>,
}

/// What opens the mold against what holds it.
#[derive(Clone, Debug, Default, Serialize, JsonSchema)]
pub struct Clamp {
    /// Pressure in the cavity that the mold must hold, MPa.
    pub pressure_mpa: Option<f64>,
    /// Area it acts on, mm².
    pub area_mm2: Option<f64>,
    /// Force that opens, N.
    pub opening_force_n: Option<f64>,
    /// Force that holds, N.
    pub holding_force_n: Option<f64>,
    /// Holding over opening.
    pub margin: Option<f64>,
    /// Distance between the center of pressure and the center of clamping, mm.
    pub yaw_mm: Option<f64>,
}

/// Filling; `null` until it is simulated.
#[derive(Clone, Debug, Default, Serialize, JsonSchema)]
pub struct Fill {
    /// Whether the melt reaches the last corner.
    pub fills: Option<bool>,
    /// Share of the cavity that fills.
    pub filled_fraction: Option<f64>,
    /// Fill time, s.
    pub time_s: Option<f64>,
    /// Least pressure that fills, MPa.
    pub pressure_needed_mpa: Option<f64>,
    /// Pressure that the press has, MPa.
    pub pressure_available_mpa: Option<f64>,
    /// Available over needed.
    pub margin: Option<f64>,
    /// The margin for pessimistic and optimistic inputs.
    pub margin_band: Option<[f64; 2]>,
    /// Where the melt enters, mm.
    pub gate_mm: Option<[f64; 3]>,
    /// Last places to fill, mm.
    pub last_points: Vec<[f64; 3]>,
    /// Places where fronts meet, mm.
    pub weld_lines: Vec<[f64; 3]>,
    /// Places where air is caught, mm.
    pub trapped_air: Vec<[f64; 3]>,
    /// Cells used.
    pub cells: Option<usize>,
    /// Size of a cell, mm.
    pub cell_mm: Option<f64>,
}

/// Holding, cooling and cycle.
#[derive(Clone, Debug, Default, Serialize, JsonSchema)]
pub struct Cooling {
    /// Until the gate is frozen, s.
    pub hold_s: Option<f64>,
    /// Until the thickest wall may leave the mold, s.
    pub cool_s: Option<f64>,
    /// From shot to shot, s.
    pub cycle_s: Option<f64>,
    /// Parts an hour.
    pub parts_per_hour: Option<f64>,
}

/// How much larger to cut.
#[derive(Clone, Debug, Default, Serialize, JsonSchema)]
pub struct Shrinkage {
    /// Least linear shrinkage, as a fraction.
    pub low: Option<f64>,
    /// What to expect at the packing pressure of this press.
    pub nominal: Option<f64>,
    /// Greatest linear shrinkage.
    pub high: Option<f64>,
    /// Size of the cavity over size of the part: 1 / (1 − nominal).
    pub scale: Option<f64>,
}

/// Getting the part out; `null` until it is worked out.
#[derive(Clone, Debug, Default, Serialize, JsonSchema)]
pub struct Ejection {
    /// Force to push the part off, N.
    pub force_n: Option<f64>,
    /// Which half keeps the part: `cavity` or `core`.
    pub keeps_to: Option<String>,
    /// Places for pins, mm.
    pub pins: Vec<[f64; 3]>,
}

/// What the cutters leave; `null` until it is worked out.
#[derive(Clone, Debug, Default, Serialize, JsonSchema)]
pub struct Milling {
    /// Places that no cutter reaches, mm.
    pub unreached: Vec<[f64; 3]>,
    /// Least inside radius, mm.
    pub smallest_radius_mm: Option<f64>,
    /// Greatest depth over cutter diameter.
    pub deepest_reach_ratio: Option<f64>,
    /// Cutters that are needed.
    pub cutters: Vec<String>,
}
