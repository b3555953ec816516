//! Metal of the mold that stands alone between plastic.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};

use crate::part::halves::Half;

/// A fin, pin or ring of metal that plastic surrounds.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct StandingMetal {
    /// `pin`, `fin` or `ring`.
    pub kind: Cow<'static, str>,
    /// Middle of its foot, mm.
    pub at_mm: [f64; 3],
    /// `+` or `-`: its half.
    pub half: Half,
    /// Thickness or diameter at its tip and at its foot, mm.
    pub thickness_mm: [f64; 2],
    /// From tip to foot, mm.
    pub height_mm: f64,
    /// Length across the pull, mm; `null` of a pin.
    pub length_mm: Option<f64>,
    /// Whether its tip stands on the other half.
    pub through: bool,
    /// How many of its ends join the half: 0 to 2.
    pub ends_held: u8,
    /// By how much the melt pushes harder on one side in the filling, MPa; `null` without one.
    pub filling_mpa: Option<f64>,
    /// With what fills in the worst case, all of it on one side: the pressure, MPa; `null` where
    /// no pressure is known to fill.
    pub in_use_mpa: Option<f64>,
    /// Stress at that, MPa.
    pub in_use_stress_mpa: Option<f64>,
    /// What is pushed harder on one side at all the pressure of the press, with doubt, MPa.
    pub most_mpa: f64,
    /// Greatest stress at that, MPa.
    pub stress_mpa: f64,
    /// Stress that the metal stands for ten thousand shots, MPa.
    pub limit_mpa: f64,
    /// How far its tip moves, mm.
    pub deflection_mm: f64,
    /// Melt pressure at the ram up to which it holds, MPa.
    pub holds_to_mpa: f64,
    /// Diameter of a bought pin, thickness of a blade for its place, mm; `null` where none fits.
    pub steel_mm: Option<f64>,
    /// Stress in that steel, MPa.
    pub steel_stress_mpa: Option<f64>,
}
