//! What the cutters leave.

use serde::{Deserialize, Serialize};

use crate::names::{read_by, written_by};
use crate::part::halves::Half;

/// What the cutters leave; `null` where it is not known, and the reason is an assumption.
#[derive(Clone, Debug, Default, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Milling {
    /// Places where metal is left that no cutter reaches, thickest first.
    pub unreached: Option<Vec<Unreached>>,
    /// Radius of the smallest cutter that the halves ask for, mm; 0 where only an insert
    /// forms a corner.
    pub smallest_radius_mm: Option<f64>,
    /// Greatest depth over diameter of a cutter that is needed.
    pub deepest_reach_ratio: Option<f64>,
    /// The cutters, the widest first.
    pub cutters: Option<Vec<CutterUse>>,
    /// Whether the user named the cutters.
    pub cutters_given: Option<bool>,
    /// Edge of a cell of the height fields, mm.
    pub cell_mm: Option<f64>,
    /// Metal that is thinner is not reported, mm.
    pub least_told_mm: Option<f64>,
    /// Plastic that the metal left takes away from the part, mm³.
    pub lost_mm3: Option<f64>,
    /// Whether walls, draft, filling, shot and mass are those of the part as milled.
    pub as_milled: Option<bool>,
    /// Milling of both halves, min; without tool changes and moves through the air.
    pub time_min: Option<f64>,
}

/// A place that no cutter reaches.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Unreached {
    /// Where the metal is thickest, mm.
    pub at_mm: [f64; 3],
    /// `+` or `-`: the half.
    pub half: Half,
    /// Thickness of the metal, mm: from the wanted surface to the nearest place that a cutter
    /// comes to.
    pub left_mm: f64,
    /// Its area across the pull, mm².
    pub area_mm2: f64,
    /// Its volume, mm³.
    pub volume_mm3: f64,
    /// How deep the place lies below what stands around it, mm.
    pub depth_mm: f64,
    /// Whether it stands on the parting surface and keeps the halves apart.
    pub on_parting: bool,
    /// Radius of the cutter that comes nearest, mm.
    pub radius_mm: f64,
    /// The part there along the pull, as drawn and as milled, mm.
    pub wall_mm: [f64; 2],
    /// What would take it: `further`, `longer`, `narrower` or `insert`.
    pub cure: MillingCure,
    /// Radius of the flat cutter that would, mm.
    pub cure_radius_mm: Option<f64>,
    /// Reach that it needs, mm.
    pub cure_reach_mm: Option<f64>,
}

/// What would take metal that no cutter of the list reaches.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MillingCure {
    /// A cutter of the list that is not worth a change for it.
    Further,
    /// A cutter of the list with a longer reach.
    Longer,
    /// A narrower cutter.
    Narrower,
    /// No cutter: an insert, or a radius on the part.
    Insert,
}

impl MillingCure {
    /// Its name in the report.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Further => "further",
            Self::Longer => "longer",
            Self::Narrower => "narrower",
            Self::Insert => "insert",
        }
    }
}

written_by!(MillingCure, as_str);
read_by!(MillingCure, as_str, [Self::Longer, Self::Narrower, Self::Insert]);

/// One cutter.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct CutterUse {
    /// What it is called.
    pub name: String,
    /// Whether it is in the smallest set: without it metal that matters would be left, or the
    /// work would take longer than a change of cutters.
    pub needed: bool,
    /// Area across the pull that one more change, to this cutter, would finish, mm²; 0 where it
    /// is needed.
    pub gain_mm2: f64,
    /// How long that takes with the change, min.
    pub gain_min: f64,
    /// Area across the pull that it finishes and no larger one does, mm².
    pub finishes_mm2: f64,
    /// Greatest depth of that area below what stands within the holder, over its diameter.
    pub reach_ratio: f64,
    /// How far its tip gives way to a light cut, µm.
    pub bend_um: f64,
    /// Side step of finishing, mm.
    pub step_over_mm: f64,
    /// Roughing of both halves, min.
    pub rough_min: f64,
    /// Finishing of both halves, min.
    pub finish_min: f64,
    /// Height of the ridges that this side step leaves on slopes, square to them, mm; 0 where no
    /// slope asks for more than it leaves on a floor.
    pub ridge_mm: f64,
    /// More minutes for steps that leave ridges of 0.02 mm at most.
    pub smooth_min: f64,
}
