//! What the papers of a test piece say besides those of any mold.

use serde::Serialize;

use crate::analysis::test_piece::{PlannedShot, SizedPiece};
use crate::findings::pressure_window::set_to;
use crate::units::in_mpa;

/// A strip that shows how far the melt flows, and the shots to make with it.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct TestPieceSheet {
    /// Its steps in the order of the flow.
    pub steps: Vec<StripStep>,
    /// Width of the strip at its back.
    pub width_mm: f64,
    /// Length of its middle line.
    pub length_mm: f64,
    /// Whether the press surely fills all of it and the mold surely holds that.
    pub surely_fills: bool,
    /// Shots that are worth making first; none where the filling is not known.
    pub shots: Vec<ShotToMake>,
}

/// A piece of the strip with one wall.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct StripStep {
    /// Its thickness.
    pub wall_mm: f64,
    /// Where it begins, along the middle of the strip from the gate.
    pub from_mm: f64,
    /// Where it ends.
    pub to_mm: f64,
}

/// A shot that is worth making.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct ShotToMake {
    /// What the press is set to, in words.
    pub set_to: String,
    /// Melt pressure.
    pub pressure_mpa: f64,
    /// How far along the strip it is expected to reach before anything is calibrated.
    pub reaches_mm: f64,
    /// The wall there.
    pub wall_mm: f64,
}

/// The sheet of a test piece.
pub fn sheet(sized: &SizedPiece, shots: &[PlannedShot]) -> TestPieceSheet {
    let press = &sized.analysis.setup.press;
    let piece = &sized.piece;
    let step = |(step, end): (&crate::mold::test_piece::Step, f64)| StripStep {
        wall_mm: step.wall,
        from_mm: end - step.length,
        to_mm: end,
    };
    let shot = |shot: &PlannedShot| ShotToMake {
        set_to: set_to(press, shot.pressure),
        pressure_mpa: in_mpa(shot.pressure),
        reaches_mm: shot.reaches_mm,
        wall_mm: shot.wall_mm,
    };
    TestPieceSheet {
        steps: piece.steps.iter().zip(piece.ends()).map(step).collect(),
        width_mm: piece.width,
        length_mm: piece.length(),
        surely_fills: sized.is_sure,
        shots: shots.iter().map(shot).collect(),
    }
}
