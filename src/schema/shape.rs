//! What the shape says: pull, walls, draft, undercuts and parting.

use serde::{Deserialize, Serialize};

use super::part::BoundingBox;
use crate::part::halves::{Half, Side};

/// Which way the mold opens.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Pull {
    /// Unit vector along which the + half leaves the part.
    pub direction: [f64; 3],
    /// Whether the user named it; otherwise it was chosen.
    pub given: bool,
    /// Which side's half forms the faces that the part shrinks onto: `+` or `-`.
    pub core_side: Half,
    /// Extent of the part along the pull, mm.
    pub height_mm: f64,
    /// Projected area along the pull, mm².
    pub projected_area_mm2: f64,
    /// Centroid of the projection, at mid-height of the part, mm.
    pub projected_centroid_mm: [f64; 3],
    /// The best directions found, best first, the chosen one among them.
    pub alternatives: Vec<Alternative>,
}

/// One direction that was scored.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Alternative {
    /// Unit vector.
    pub direction: [f64; 3],
    /// Area that is trapped, mm².
    pub undercut_area_mm2: f64,
    /// Volume that is trapped, mm³.
    pub undercut_volume_mm3: f64,
    /// How deep it is trapped, mm; `null` where nothing across the pull frees it.
    pub undercut_depth_mm: Option<f64>,
    /// Area of walls with less draft than they need, upright ones left out, mm².
    pub short_area_mm2: f64,
    /// Least draft of the walls that are not trapped, degrees; `null` where no face
    /// stands along the pull.
    pub lowest_draft_deg: Option<f64>,
    /// How far the parting line is from flat, mm.
    pub parting_rise_mm: Option<f64>,
    /// Extent of the part along it, mm.
    pub height_mm: f64,
    /// Projected area along it, mm².
    pub projected_area_mm2: f64,
    /// Lower is better.
    pub score: f64,
    /// Whether it is as good as the best: the other direction of a symmetric part.
    pub tied: bool,
}

/// Walls.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
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
#[derive(Clone, Copy, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Bin {
    /// From this value (included).
    pub from: f64,
    /// To this value.
    pub to: f64,
    /// Share of the measured area, 0 to 1.
    pub share: f64,
}

/// Area-weighted quantiles.
#[derive(Clone, Copy, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Quantiles {
    /// 5 % of the area is below.
    pub p05: f64,
    /// The median.
    pub p50: f64,
    /// 95 % of the area is below.
    pub p95: f64,
}

/// A connected piece of the surface.
#[derive(Clone, Copy, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
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
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Draft {
    /// What an outside wall as tall as the part needs, degrees.
    pub required_deg: Option<f64>,
    /// Area formed by the cavity half, mm².
    pub cavity_area_mm2: f64,
    /// Area formed by the core half, mm².
    pub core_area_mm2: f64,
    /// Area within 0.1° of the pull, mm².
    pub upright_area_mm2: f64,
    /// Area with less draft than it needs, mm².
    pub short_area_mm2: f64,
    /// Share of the area of walls for each degree of draft from −10° (and below) to 30°;
    /// faces that slope more are no walls and are left out, negative is trapped.
    pub histogram: Vec<Bin>,
    /// Faces with less draft than they need, worst first.
    pub faces: Vec<ShortFace>,
}

/// A face with less draft than it needs.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct ShortFace {
    /// Its area, mm².
    pub area_mm2: f64,
    /// Its least draft, degrees; negative when it slopes back.
    pub draft_deg: f64,
    /// Its extent along the pull, mm.
    pub height_mm: f64,
    /// What it needs, degrees.
    pub required_deg: f64,
    /// Whether it faces another wall of the part, so that the part shrinks onto it and it
    /// needs more draft.
    pub inside: bool,
    /// `cavity`, `core` or `upright`.
    pub side: Side,
    /// A point on it, mm.
    pub at_mm: [f64; 3],
}

/// What neither half can leave.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
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
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
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
    /// The one direction across the pull along which all of it comes free after its
    /// depth; `null` where there is none, as in a groove all around.
    pub release_direction: Option<[f64; 3]>,
    /// Ways out, cheapest first.
    pub ways_out: Vec<String>,
    /// Number of its cause, from 1: regions of one cause are freed by one change.
    pub cause: usize,
}

/// Where the halves meet; `null` until it is measured.
#[derive(Clone, Debug, Default, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
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
    /// The loops as polylines of part coordinates (mm), around the part first; the last
    /// point of a closed loop is its first again.
    pub lines: Vec<Vec<[f64; 3]>>,
    /// The shut-offs, largest first.
    pub shut_off_list: Vec<ShutOff>,
}

/// A hole that the halves shut off against each other.
#[derive(Clone, Copy, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct ShutOff {
    /// The middle of its line, mm.
    pub at_mm: [f64; 3],
    /// Area inside its line across the pull, mm².
    pub area_mm2: f64,
    /// Angle to the pull of the surface where the halves meet, degrees: 90 where they butt
    /// on a plane across it, less where one slides past the other.
    pub angle_deg: f64,
    /// Least angle to the pull of the walls beside it: the draft of the pin that forms the
    /// hole, degrees.
    pub wall_deg: f64,
    /// How far its line is from one plane across the pull, mm.
    pub rise_mm: f64,
    /// Mean height of its line along the pull, mm.
    pub height_mm: f64,
}
