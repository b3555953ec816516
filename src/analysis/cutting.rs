//! What the user's cutters leave of both halves.

use super::Opening;
use crate::measure::mass::Solid;
use crate::mesh::TriMesh;
use crate::mold::milling::halves::NoHalves;
use crate::mold::milling::milled::{self, Milled};
use crate::mold::milling::{CutterError, CutterList};
use crate::settings::MillChoices;

/// Both halves after the cutters.
pub struct Cutting {
    /// What is left.
    pub milled: Milled,
    /// The cutters.
    pub list: CutterList,
    /// Whether the user named them.
    pub given: bool,
}

/// Why it is not known what the cutters leave.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NotCut {
    /// The user did not want it.
    #[error("it was not asked for (--no-mill)")]
    Skipped,
    /// No cutters.
    #[error(transparent)]
    Cutters(#[from] CutterError),
    /// No halves.
    #[error(transparent)]
    Halves(#[from] NoHalves),
}

/// Sends the cutters over the halves.
pub(super) fn of(
    mesh: &TriMesh,
    release: &Opening,
    choices: &MillChoices,
) -> Result<Cutting, NotCut> {
    if choices.skip {
        return Err(NotCut::Skipped);
    }
    let list = choices.cutters.clone().map_or_else(CutterList::builtin, Ok)?;
    let milled =
        milled::of(mesh, &release.parting, release.pull, &list.cutters, choices.cell)?;
    Ok(Cutting { milled, list, given: choices.cutters.is_some() })
}

/// Volume of the part as drawn, or as the cutters leave it where that is wanted, mm³.
pub(super) fn volume(
    drawn: Option<Solid>,
    cutting: Option<&Cutting>,
    choices: &MillChoices,
) -> Option<f64> {
    let lost = cutting.filter(|_| choices.as_milled).map_or(0.0, |it| it.milled.lost);
    drawn.map(|solid| (solid.volume - lost).max(0.0))
}
