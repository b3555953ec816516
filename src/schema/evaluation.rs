//! What plastic, press and mill say; `None` where it is not worked out.

use serde::{Deserialize, Serialize};

use super::process::{Size, Step};
use crate::part::halves::Role;

/// The plastic that was assumed.
#[derive(Clone, Debug, Default, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
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
    /// Lowest and highest melt temperature, °C.
    pub melt_range_c: Option<[f64; 2]>,
    /// Lowest and highest mold temperature, °C.
    pub mold_range_c: Option<[f64; 2]>,
    /// How to dry it.
    pub drying: Option<String>,
    /// What must never lie hot in one barrel with it.
    pub never_with: Option<String>,
    /// Cautions for this plastic.
    pub cautions: Vec<String>,
}

/// The press that was assumed.
#[derive(Clone, Debug, Default, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
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
    /// Force with which the melt lifts the nozzle, N.
    pub nozzle_lift_n: Option<f64>,
    /// Force that holds the nozzle on the mold, N.
    pub nozzle_contact_n: Option<f64>,
    /// Energy of the air in the cylinders at full stroke, J.
    pub stored_air_j: Option<f64>,
    /// Energy of the nozzle spring during a shot, J.
    pub stored_spring_j: Option<f64>,
    /// Cautions for this press.
    pub cautions: Vec<String>,
}

/// One shot against the barrel.
#[derive(Clone, Debug, Default, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Shot {
    /// Equal parts of one shot.
    pub cavities: Option<u32>,
    /// Mass of the part, of all of them where a shot has several, g.
    pub part_g: Option<f64>,
    /// Sprue, runner and gate, and the melt in the nozzle, g.
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
#[derive(Clone, Debug, Default, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Clamp {
    /// Pressure that the mold is judged at, MPa: the one to begin with, or what is expected to
    /// fill where that is more; all that the press has while the filling is not known.
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
    /// Holding force over what keeps the whole land touching, where a vise or a force
    /// squeezes beside the middle of the melt; `null` where bolts hold the mold.
    pub squeeze_margin: Option<f64>,
    /// Stress on the land of the closed, empty mold, MPa.
    pub land_mpa: Option<f64>,
    /// What the land should withstand, MPa: a third of the proof stress of the metal.
    pub land_limit_mpa: Option<f64>,
    /// Projected area of the feed in the area, mm².
    pub feed_area_mm2: Option<f64>,
    /// What the nozzle adds to the opening force, N; negative where it presses the halves
    /// together, which is not counted.
    pub nozzle_push_n: Option<f64>,
    /// Load of the worst bolt, N.
    pub worst_bolt_n: Option<f64>,
    /// Sure preload of a bolt over that load.
    pub worst_bolt_margin: Option<f64>,
    /// Torque of each bolt, N m.
    pub bolt_torque_nm: Option<f64>,
    /// Thickness of each plate, mm.
    pub plate_mm: Option<f64>,
    /// Metal behind the cavity, mm.
    pub behind_mm: Option<f64>,
    /// How far both plates together bow in the middle, mm; `null` where neither bolts nor a
    /// vise hold them, and where bolts or plates are loaded beyond what they stand.
    pub bow_mm: Option<f64>,
    /// How far the halves open beside the cavity, mm; `null` for the same reasons.
    pub gap_mm: Option<f64>,
    /// Gap in which this plastic surely stays, mm.
    pub flash_limit_mm: Option<f64>,
    /// Each change that alone keeps the mold shut; empty where none is needed or none is
    /// enough, `null` where no bolts hold it.
    pub cures: Option<Vec<String>>,
}

/// Holding, cooling and cycle.
#[derive(Clone, Debug, Default, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Cooling {
    /// Until the gate is frozen, s.
    pub hold_s: Option<f64>,
    /// Until the thickest wall may leave the mold, s.
    pub cool_s: Option<f64>,
    /// From shot to shot, s.
    pub cycle_s: Option<f64>,
    /// Parts an hour.
    pub parts_per_hour: Option<f64>,
    /// What freezes first on the way to the cavity and so ends the holding.
    pub hold_by: Option<String>,
    /// What gets stiff last and so sets the cooling.
    pub cool_by: Option<String>,
    /// The step that rules the cycle.
    pub ruled_by: Option<String>,
    /// The cycle step by step.
    pub steps: Option<Vec<Step>>,
    /// What the mold does over a shift, in words.
    pub warming: Option<String>,
    /// Mold temperature after a shift, °C.
    pub mold_end_c: Option<f64>,
    /// Mean time of the melt in the heat, min.
    pub in_heat_min: Option<f64>,
    /// How long the plastic stands that, min.
    pub heat_limit_min: Option<f64>,
}

/// How much larger to cut.
#[derive(Clone, Debug, Default, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Shrinkage {
    /// Least linear shrinkage, as a fraction.
    pub low: Option<f64>,
    /// What to expect at the packing pressure of this press.
    pub nominal: Option<f64>,
    /// Greatest linear shrinkage.
    pub high: Option<f64>,
    /// Size of the cavity over size of the part: 1 / (1 − nominal).
    pub scale: Option<f64>,
    /// The same along each axis of the part, where it was given for one; else `null`.
    pub axes: Option<Vec<ShrinkAxis>>,
    /// Lengths of the part and what to cut for them: its box, then those asked for.
    pub sizes: Option<Vec<Size>>,
}

/// Shrinkage along one axis of the part.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct ShrinkAxis {
    /// `x`, `y` or `z`.
    pub axis: String,
    /// Least linear shrinkage, as a fraction.
    pub low: f64,
    /// What to expect.
    pub nominal: f64,
    /// Greatest linear shrinkage.
    pub high: f64,
    /// Size of the cavity over size of the part along this axis.
    pub scale: f64,
}

/// Getting the part out.
#[derive(Clone, Debug, Default, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Ejection {
    /// Force to push the part off its core, typically, N: what the pins are sized for. Rings
    /// of plastic around metal grip it, and walls that their root draws together, by what the
    /// plastic shrinks from its no-flow to its ejection temperature; slots that are open at
    /// their side and outsides do not.
    pub force_n: Option<f64>,
    /// The same with everything at its low end, N.
    pub force_low_n: Option<f64>,
    /// The same with everything at its high end, N.
    pub force_high_n: Option<f64>,
    /// Force that holds the part in the cavity half, counted alike, N.
    pub cavity_force_n: Option<f64>,
    /// Share of a vacuum under closed cores in the force, N.
    pub vacuum_n: Option<f64>,
    /// Which half keeps the part: `cavity` or `core`.
    pub keeps_to: Option<Role>,
    /// Places for pins, mm.
    pub pins: Option<Vec<[f64; 3]>>,
    /// Diameter of each pin, mm.
    pub pin_diameter_mm: Option<f64>,
    /// Pins that are needed.
    pub pin_count: Option<u32>,
    /// Which rule asks for that many: `fewest`, `shear`, `bearing` or `buckling`.
    pub pin_rule: Option<String>,
    /// Shear around the pins, MPa.
    pub push_through_mpa: Option<f64>,
    /// What the hot plastic stands, MPa.
    pub push_through_limit_mpa: Option<f64>,
    /// Force at which one pin buckles, N.
    pub buckling_n: Option<f64>,
    /// How far the pins go, mm.
    pub stroke_mm: Option<f64>,
    /// Distance of the mean pin from the middle of what the part grips, mm.
    pub off_middle_mm: Option<f64>,
    /// Least and greatest depth of slots to pry the halves apart, mm.
    pub pry_slot_mm: Option<[f64; 2]>,
}
