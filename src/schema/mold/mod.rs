//! `mold.json`: everything that any form of the mold may say.

pub(crate) mod drill;
pub(crate) mod programs;
pub(crate) mod sheets;
pub mod test_piece;
pub mod assemble;

use serde::Serialize;

use crate::findings::Verdict;
use crate::mold::cut_feature;
use crate::part::halves::{Half, Role};
use crate::schema::mold::test_piece::TestPieceSheet;
use crate::schema::{BoundingBox, CutterUse, Tool, Unreached};
use crate::units::us_words::ShownUnits;

/// Grows by one when the meaning of a key changes.
pub const SCHEMA: u32 = 1;

/// A mold.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct MoldReport {
    /// Version of this schema.
    pub schema: u32,
    /// The program that wrote it.
    pub tool: Tool,
    /// Name of the part's file.
    pub file: String,
    /// Units of what people read; the keys of this file say theirs and stay metric.
    pub shown_units: ShownUnits,
    /// What the whole check says of the part in this mold.
    pub check: PartCheck,
    /// Cavity length over part length, 1 / (1 − S); where it differs along the axes, the edge
    /// of a cube that grows as much in volume.
    pub scale: f64,
    /// The same along x, y and z of the part.
    pub scale_axes: [f64; 3],
    /// The point of the part that stays where it is.
    pub scale_about_mm: [f64; 3],
    /// Along which the + half leaves.
    pub pull: [f64; 3],
    /// The half with the core, which keeps the part and has the pins: "+" or "-".
    pub core_side: Half,
    /// The axes of the plates in the pose of the part.
    pub axes: Axes,
    /// The box around the block in the pose of the part.
    pub block_mm: BoundingBox,
    /// Edges of the block: along x and y of the plates, and both plates together.
    pub size_mm: [f64; 3],
    /// Thickness of the plates.
    pub plates_mm: PlateThickness,
    /// What the plates are made of.
    pub alloy: String,
    /// Equal cavities, around one sprue.
    pub cavities: u32,
    /// Where the halves meet.
    pub parting: MoldParting,
    /// Volumes.
    pub volumes_mm3: MoldVolumes,
    /// What was checked on the finished halves.
    pub checks: Vec<MoldCheck>,
    /// Cutters, the widest first, and whether each is needed; `null` when it was not asked.
    pub cutters: Option<Vec<CutterUse>>,
    /// What the cutters cannot reach; `null` when it was not asked.
    pub unreached: Option<Standing>,
    /// Where the feed lies; `null` when there is none.
    pub feed: Option<MoldFeed>,
    /// Everything to drill, ream and mill besides the part.
    pub drill: Vec<Hole>,
    /// What to buy.
    pub bill: Vec<Item>,
    /// Tall cores that are set into their plate.
    pub inserts: Vec<SetIn>,
    /// One sheet for each half.
    pub sheets: Vec<HalfSheet>,
    /// Programs for the mill, in the order of the sheets; `null` when they were not asked for.
    pub programs: Option<Vec<MoldProgram>>,
    /// How the halves lie in their files: "part", around the part in the pose of its file, or "milling", parting face
    /// up with the datum of the drill table at 0, 0, 0.
    pub pose: &'static str,
    /// Of a test piece: its steps, and the shots to make with it; `null` for any other part.
    pub test_piece: Option<TestPieceSheet>,
    /// The solids as STEP.
    pub step_files: Vec<StepFile>,
    /// Every default used, and every reason for a `null`.
    pub assumptions: Vec<String>,
}

/// A core that is made of bar and set into its plate.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct SetIn {
    /// Name of its files without their endings.
    pub name: String,
    /// The half that it belongs to.
    pub half: Role,
    /// Its middle as in the drill table, mm.
    pub at_mm: [f64; 2],
    /// Its section, mm: one diameter, or two edges.
    pub section_mm: Vec<f64>,
    /// Radius of its corners, mm.
    pub corner_mm: f64,
    /// How deep it sits in its plate, mm.
    pub depth_mm: f64,
    /// How far it stands out of the parting face, mm.
    pub height_mm: f64,
    /// What it is made from.
    pub bar: String,
    /// How many screws draw it down.
    pub screws: usize,
    /// Their thread.
    pub thread: String,
}

/// The answer of the whole check: the same part, press and plastic, with the cutters sent over
/// the finished halves.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct PartCheck {
    /// Its verdict on the part.
    pub verdict: Verdict,
    /// Why, in one sentence.
    pub why: String,
    /// With what it was judged.
    pub judged_with: String,
    /// What to do first, at most three changes.
    pub do_first: Vec<String>,
    /// What is left after these.
    pub then: String,
}

/// The axes of the plates.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Axes {
    /// The datum: one corner of the block, at the height of the parting.
    pub datum_mm: [f64; 3],
    /// x.
    pub x: [f64; 3],
    /// y.
    pub y: [f64; 3],
}

/// Thickness of the plates.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct PlateThickness {
    /// Of the cavity half.
    pub cavity: f64,
    /// Of the core half.
    pub core: f64,
}

/// Where the halves meet.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct MoldParting {
    /// Whether the whole parting surface lies in one plane.
    pub flat: bool,
    /// From its lowest to its highest point.
    pub rise_mm: f64,
    /// Lines where the halves meet at the part, around it and around its holes.
    pub loops: usize,
    /// Those around holes, where metal meets metal inside the part.
    pub shut_offs: usize,
}

/// Volumes.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct MoldVolumes {
    /// The block.
    pub block: f64,
    /// Of the cavity half.
    pub cavity: f64,
    /// Of the core half.
    pub core: f64,
    /// The part as cut.
    pub part: f64,
    /// Sprue, runner, gate and well, without the part.
    pub feed: f64,
    /// All that melt does not fill.
    pub holes: f64,
}

/// One check.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct MoldCheck {
    /// What was asked.
    pub name: String,
    /// What was measured; `null` when it is not known.
    pub value: Option<f64>,
    /// What it may be; `null` when no limit is known.
    pub limit: Option<f64>,
    /// Of both.
    pub unit: String,
    /// Whether it holds; `null` when it is not known.
    pub ok: Option<bool>,
    /// Where it is worst, in the pose of the part.
    pub at_mm: Option<[f64; 3]>,
}

/// What the cutters leave standing.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Standing {
    /// In the cavity half.
    pub cavity_mm3: f64,
    /// In the core half.
    pub core_mm3: f64,
    /// Where most is left: how thick.
    pub worst_mm: f64,
    /// And where.
    pub at_mm: Option<[f64; 3]>,
    /// Edge of a cell of the height fields.
    pub cell_mm: f64,
    /// Metal that is thinner is not reported.
    pub least_told_mm: f64,
    /// Milling of both halves, min; without tool changes and moves through the air.
    pub time_min: f64,
    /// Every place, the thickest metal first.
    pub places: Vec<Unreached>,
}

/// Where the feed lies, in the pose of the part.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct MoldFeed {
    /// Where the gate meets the part.
    pub gate_mm: [f64; 3],
    /// How far that is from where it was wanted; `null` where nobody named a place.
    pub gate_moved_mm: Option<f64>,
    /// Middle of the sprue where it meets the runner.
    pub sprue_mm: [f64; 3],
    /// From the middle of the block to the sprue.
    pub sprue_off_middle_mm: f64,
}

/// One hole or slot. Places are seen on the parting face of its half, from the datum.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Hole {
    /// Number on the plan.
    pub number: usize,
    /// "cavity" or "core".
    pub half: Role,
    /// What it is for.
    pub kind: cut_feature::Kind,
    /// Middle, or where it begins.
    pub x_mm: f64,
    /// Middle, or where it begins.
    pub y_mm: f64,
    /// Where it ends, when it runs along the face.
    pub end_mm: Option<[f64; 2]>,
    /// Diameter of a hole, width of a slot.
    pub width_mm: f64,
    /// How deep from the parting face, or from the outer face for the nozzle's seat.
    pub depth_mm: f64,
    /// Whether it goes through the plate.
    pub through: bool,
    /// How to make it.
    pub how: String,
}

/// How one half is made.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct HalfSheet {
    /// "cavity" or "core".
    pub half: Role,
    /// Stock along x, y and z.
    pub stock_mm: [f64; 3],
    /// What it is milled to.
    pub size_mm: [f64; 3],
    /// All operations; without tool changes, moves through the air and setting up.
    pub time_min: f64,
    /// Stock, clamping, datum and heights in words.
    pub setup: Vec<SheetLine>,
    /// The operations in their order.
    pub steps: Vec<MillStep>,
}

/// A line of a sheet.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct SheetLine {
    /// What it is about.
    pub name: String,
    /// What it says.
    pub text: String,
}

/// One operation.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct MillStep {
    /// Which face lies up: "outer" or "parting".
    pub up: &'static str,
    /// What is done.
    pub what: String,
    /// With what.
    pub tool: String,
    /// How deep in all; `null` where the solid says.
    pub depth_mm: Option<f64>,
    /// Depth of one cut, of a drill how far it goes before it is cleared of chips; `null` where it
    /// follows the surface.
    pub pass_mm: Option<f64>,
    /// Side step; `null` for holes and slots.
    pub side_step_mm: Option<f64>,
    /// Feed; `null` by hand.
    pub feed_mm_min: Option<f64>,
    /// How long it takes.
    pub time_min: f64,
    /// Numbers of the drill table that it makes.
    pub rows: Vec<usize>,
    /// The file of the program that makes it; `null` where there is none.
    pub program: Option<String>,
    /// What makes it where there is no program, "CAM" or "by hand", and why; `null` where there is one,
    /// and when none was asked for.
    pub no_program: Option<String>,
}

/// A program for the mill: G-code (ISO 6983, RS-274) for one tool on one half with one face up. Heights
/// and places are those of its zero.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct MoldProgram {
    /// Name of the file.
    pub file: String,
    /// "cavity" or "core".
    pub half: Role,
    /// Which face lies up: "outer" or "parting".
    pub up: &'static str,
    /// Where zero is, in words.
    pub zero: String,
    /// With what.
    pub tool: String,
    /// Diameter of the tool; of a spotting drill the widest that has room.
    pub diameter_mm: f64,
    /// Turns a minute.
    pub spindle_rpm: f64,
    /// Height of rapid moves.
    pub rapid_height_mm: f64,
    /// The lowest place of its tip.
    pub lowest_mm: f64,
    /// How far its tip goes below the half.
    pub below_half_mm: f64,
    /// From the tip to the chuck at least, so that the chuck stays above the metal.
    pub stick_out_mm: f64,
    /// Time of the moves that cut.
    pub time_min: f64,
    /// Steps of the half's sheet that it makes, numbered from 1.
    pub steps: Vec<usize>,
    /// Numbers of the drill table that it makes.
    pub rows: Vec<usize>,
    /// What of these steps it leaves out, and why.
    pub left_out: Vec<String>,
    /// What is to be minded besides.
    pub notes: Vec<String>,
}

/// A solid as STEP.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct StepFile {
    /// Name of the file.
    pub file: String,
    /// Its faces; `null` when it is left out.
    pub faces: Option<usize>,
    /// Round holes that were drilled in it.
    pub round_holes: usize,
    /// Those of them whose walls are true cylinders and cones; the others have flat sides.
    pub true_round_holes: usize,
    /// Why it is left out.
    pub left_out: Option<String>,
}

/// Something to buy.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Item {
    /// How many.
    pub count: u32,
    /// What.
    pub item: String,
    /// Its measures.
    pub size: String,
    /// What for.
    pub purpose: String,
}
