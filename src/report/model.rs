//! The one schema: everything that any renderer may say.
//!
//! Key names carry their unit and keep their meaning (see `goodshot check --schema`).
//! `None` becomes `null` and means *not known*; the reason stands in `assumptions` or in
//! a finding. Pictures and files are made from the same [`Report`].

use schemars::JsonSchema;
use serde::Serialize;

use crate::findings::{Finding, Verdict};

/// Grows by one when the meaning of a key changes.
pub const SCHEMA: u32 = 1;

/// The whole answer for one part.
#[derive(Clone, Debug, Serialize, JsonSchema)]
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
    /// What the cutters leave.
    pub milling: Milling,
    /// What the user should know, worst first.
    pub findings: Vec<Finding>,
    /// The answer.
    pub verdict: Verdict,
    /// Every default used, and every reason for a `null`.
    pub assumptions: Vec<String>,
}

/// The program that wrote the report.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Tool {
    /// Its name.
    pub name: String,
    /// Its version.
    pub version: String,
}

/// What was read, and how sound it is.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Part {
    /// File name, without folders.
    pub file: String,
    /// Unit of the file's numbers: `mm`, `cm`, `m` or `in`.
    pub unit: String,
    /// Whether the user named the unit; otherwise mm was taken.
    pub unit_given: bool,
    /// Facets kept after the repairs.
    pub facets: usize,
    /// Separate closed or open surfaces, voids included.
    pub bodies: usize,
    /// Whether the surface encloses a volume.
    pub closed: bool,
    /// Volume of the plastic in mm³; `null` when the surface is open.
    pub volume_mm3: Option<f64>,
    /// Area of the surface in mm².
    pub area_mm2: f64,
    /// Centre of volume (of area when open), mm.
    pub centroid_mm: [f64; 3],
    /// Extent along the part axes.
    pub bounding_box_mm: BoundingBox,
    /// Moments of inertia about the centroid for unit density, mm⁵: the rows of the
    /// symmetric matrix; `null` when the surface is open.
    pub inertia_mm5: Option<[[f64; 3]; 3]>,
    /// Largest distance between the facets and the curved surface that they stand for,
    /// estimated from the mesh, mm; `null` when nothing is curved.
    pub chord_error_mm: Option<f64>,
    /// What is wrong with the file.
    pub defects: Vec<Defect>,
    /// What was done about it.
    pub repairs: Vec<Repair>,
}

/// Extent along the part axes, mm.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub struct BoundingBox {
    /// Least coordinates.
    pub min: [f64; 3],
    /// Greatest coordinates.
    pub max: [f64; 3],
}

/// One kind of defect of the file.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Defect {
    /// Which, such as `hole` or `non_manifold_edge`.
    pub kind: String,
    /// How many.
    pub count: usize,
    /// Where the first one is, mm; `null` where it has no place.
    pub at_mm: Option<[f64; 3]>,
}

/// One kind of repair that was made.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Repair {
    /// Which, such as `drop_duplicate_facets`.
    pub kind: String,
    /// How many.
    pub count: usize,
}

/// Which way the mold opens.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Pull {
    /// Unit vector along which the + half leaves the part.
    pub direction: [f64; 3],
    /// Whether the user named it; otherwise it was chosen.
    pub given: bool,
    /// Which side's half forms the faces that the part shrinks onto: `+` or `-`.
    pub core_side: String,
    /// Extent of the part along the pull, mm.
    pub height_mm: f64,
    /// Area of the shadow along the pull, mm².
    pub projected_area_mm2: f64,
    /// Centroid of that shadow, at mid-height of the part, mm.
    pub projected_centroid_mm: [f64; 3],
    /// The best directions found, best first, the chosen one among them.
    pub alternatives: Vec<Alternative>,
}

/// One direction that was scored.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Alternative {
    /// Unit vector.
    pub direction: [f64; 3],
    /// Area that is trapped, mm².
    pub undercut_area_mm2: f64,
    /// How deep it is trapped, mm; `null` where nothing across the pull frees it.
    pub undercut_depth_mm: Option<f64>,
    /// Least draft of the walls that are not trapped, degrees; `null` where no face
    /// stands along the pull.
    pub lowest_draft_deg: Option<f64>,
    /// How far the parting line is from flat, mm.
    pub parting_rise_mm: Option<f64>,
    /// Extent of the part along it, mm.
    pub height_mm: f64,
    /// Lower is better.
    pub score: f64,
}

/// Walls.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Thickness {
    /// How many surface points were measured.
    pub samples: usize,
    /// Mean distance between them, mm.
    pub spacing_mm: f64,
    /// Along the inward normal, mm; `null` when nothing could be measured.
    pub ray_mm: Option<Quantiles>,
    /// Diameter of the largest inscribed ball that touches the point, mm.
    pub ball_mm: Option<Quantiles>,
    /// Least wall for this plastic on this class of press, mm.
    pub limit_low_mm: Option<f64>,
    /// Greatest wall for this plastic on this class of press, mm.
    pub limit_high_mm: Option<f64>,
    /// Walls below the least, worst first.
    pub thin: Vec<Region>,
    /// Walls above the greatest, worst first.
    pub thick: Vec<Region>,
    /// Share of the area for each step of ray thickness.
    pub ray_histogram: Vec<Bin>,
}

/// One bar of a histogram.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub struct Bin {
    /// From this value (included).
    pub from: f64,
    /// To this value.
    pub to: f64,
    /// Share of the measured area, 0 to 1.
    pub share: f64,
}

/// Area-weighted quantiles.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub struct Quantiles {
    /// 5 % of the area is below.
    pub p05: f64,
    /// The median.
    pub p50: f64,
    /// 95 % of the area is below.
    pub p95: f64,
}

/// A connected piece of the surface.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub struct Region {
    /// Its area, mm².
    pub area_mm2: f64,
    /// The worst value in it, mm.
    pub value_mm: f64,
    /// Where the worst value is.
    pub at_mm: [f64; 3],
    /// The box around it.
    pub box_mm: BoundingBox,
}

/// Taper of the walls to the pull.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Draft {
    /// What an average wall of this part needs, degrees.
    pub required_deg: Option<f64>,
    /// Area formed by the cavity half, mm².
    pub cavity_area_mm2: f64,
    /// Area formed by the core half, mm².
    pub core_area_mm2: f64,
    /// Area within 0.1° of the pull, mm².
    pub upright_area_mm2: f64,
    /// Area with less draft than it needs, mm².
    pub short_area_mm2: f64,
    /// Faces with less draft than they need, worst first.
    pub faces: Vec<ShortFace>,
}

/// A face with less draft than it needs.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ShortFace {
    /// Its area, mm².
    pub area_mm2: f64,
    /// Its least draft, degrees; negative when it leans back.
    pub draft_deg: f64,
    /// Its extent along the pull, mm.
    pub height_mm: f64,
    /// What it needs, degrees.
    pub required_deg: f64,
    /// `cavity`, `core` or `upright`.
    pub side: String,
    /// A point on it, mm.
    pub at_mm: [f64; 3],
}

/// What neither half can leave.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Undercut {
    /// Trapped area, mm².
    pub area_mm2: f64,
    /// Volume of the mold metal that is trapped, mm³; `null` when the surface is open.
    pub volume_mm3: Option<f64>,
    /// How deep the deepest region is trapped, mm; `null` where nothing across the pull
    /// frees it.
    pub depth_mm: Option<f64>,
    /// Trapped regions, deepest first.
    pub regions: Vec<UndercutRegion>,
}

/// One trapped region.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct UndercutRegion {
    /// Its area, mm².
    pub area_mm2: f64,
    /// How far it must move across the pull to come free, mm; `null` where nothing across
    /// the pull frees it.
    pub depth_mm: Option<f64>,
    /// Volume of the mold metal that is trapped there, mm³; `null` when open.
    pub volume_mm3: Option<f64>,
    /// Its deepest point, mm.
    pub at_mm: [f64; 3],
    /// Ways out, cheapest first.
    pub ways_out: Vec<String>,
}

/// Where the halves meet; `null` until it is measured.
#[derive(Clone, Debug, Default, Serialize, JsonSchema)]
pub struct Parting {
    /// Closed loops.
    pub loops: Option<usize>,
    /// Their length, mm.
    pub length_mm: Option<f64>,
    /// Whether they lie in one plane across the pull.
    pub flat: Option<bool>,
    /// How far from flat, mm.
    pub rise_mm: Option<f64>,
    /// Where the plane lies along the pull, mm; `null` when not flat.
    pub height_mm: Option<f64>,
    /// Through-holes where metal meets metal.
    pub shut_offs: Option<usize>,
}

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
    /// Distance between the centre of pressure and the centre of clamping, mm.
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
