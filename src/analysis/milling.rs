//! What the user's cutters leave of both halves.

use super::Opening;
use crate::geom::Point;
use crate::mold::build::Mold;
use crate::mold::milled_halves;
use crate::mold::milling::cutter::Cutter;
use crate::mold::milling::grid::NoHalves;
use crate::mold::milling::outcome::{self, FAR_TOO_MUCH_MM, MillingOutcome};
use crate::mold::milling::ridges::{self, Place, Ridges};
use crate::mold::milling::{CutterError, CutterList};
use crate::mold::mold_checks::Check;
use crate::part::Part;
use crate::part::mass::Solid;
use crate::settings::MillChoices;

/// Both halves after the cutters.
#[derive(Clone, Debug)]
pub struct MillingStudy {
    /// What is left.
    pub milled: MillingOutcome,
    /// The cutters.
    pub list: CutterList,
    /// Whether the user named them.
    pub given: bool,
    /// The ridges that each leaves on slopes.
    pub ridges: Vec<Ridges>,
}

impl MillingStudy {
    /// Time of all cutters in both halves, min; without tool changes and moves through the air.
    pub fn time_min(&self) -> f64 {
        let uses = self.milled.uses.iter();
        let cutting = uses.filter(|it| it.needed || it.rough_min > 0.0);
        cutting.map(|it| it.rough_min + it.finish_min).sum()
    }
}

/// Why it is not known what the cutters leave.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NotMilled {
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

/// Sends the cutters over the halves of `part`.
pub(super) fn simulate(
    part: &Part,
    release: &Opening,
    choices: &MillChoices,
) -> Result<MillingStudy, NotMilled> {
    let Opening { parting, pull, .. } = release;
    let mill = |cutters: &[Cutter]| {
        outcome::simulate(&part.mesh, parting, *pull, cutters, choices.cell)
    };
    sent(choices, release, &places(part, release, |at| *at), mill)
}

/// Sends the cutters over the finished `mold` of `part`.
pub(super) fn of_mold(
    mold: &Mold,
    part: &Part,
    release: &Opening,
    choices: &MillChoices,
) -> Result<MillingStudy, NotMilled> {
    let grown = |at: &Point| mold.axes.in_pose(&mold.axes.in_mold(at));
    let mill = |cutters: &[Cutter]| {
        milled_halves::simulate(mold, release.pull, cutters, choices.cell)
    };
    sent(choices, release, &places(part, release, grown), mill)
}

/// The surface of the part as cutters finish it; `posed` is where the halves have a point of it.
fn places(part: &Part, release: &Opening, posed: impl Fn(&Point) -> Point) -> Vec<Place> {
    let samples = &part.samples;
    let place = |sample: usize| {
        let at = &samples.points[sample];
        let height = release.pull.dot(&at.coords);
        let half = release.skins.formed.half_at(samples.facets[sample], height);
        let (at, normal) = (posed(at), samples.normals[sample]);
        Place { at, normal, half, area: samples.area_each }
    };
    (0..samples.len()).map(place).collect()
}

/// What the cutters at hand, else those of the built-in list, leave where `mill` sends them, and
/// their ridges over `places`.
fn sent(
    choices: &MillChoices,
    release: &Opening,
    places: &[Place],
    mill: impl FnOnce(&[Cutter]) -> Result<MillingOutcome, NoHalves>,
) -> Result<MillingStudy, NotMilled> {
    if choices.skip {
        return Err(NotMilled::Skipped);
    }
    let list = choices.cutters.clone().map_or_else(CutterList::builtin, Ok)?;
    let milled = mill(&list.cutters)?;
    let ridges = ridges::measure(&milled, &list.cutters, places, release.pull);
    Ok(MillingStudy { milled, list, given: choices.cutters.is_some(), ridges })
}

/// What the part is judged by: what the cutters leave, or nothing where it is judged as drawn.
pub(super) fn counted(
    cutting: &Result<MillingStudy, NotMilled>,
    as_milled: bool,
) -> Option<&MillingStudy> {
    cutting.as_ref().ok().filter(|_| as_milled)
}

/// What the cutters leave on the parting and in the cavity, against what may be left.
/// `is_stripped` means that it has undercuts, which no spindle along the pull sees.
pub(super) fn checks(
    cutting: &Result<MillingStudy, NotMilled>,
    mold: &Mold,
    is_stripped: bool,
) -> [Check; 2] {
    let of = |name: &str, on_parting: bool| {
        let limit = |cutting: &MillingStudy| {
            if on_parting { cutting.milled.limit } else { FAR_TOO_MUCH_MM }
        };
        match cutting {
            Err(reason) => {
                let why = Some(reason.to_string());
                Check { why, ..Check::unknown(name, None, "mm") }
            }
            Ok(cutting) => {
                let worst = cutting.milled.worst(on_parting);
                let left = worst.map_or(0.0, |place| place.left);
                let at = worst.map(|place| mold.axes.of_pose(&place.at));
                Check { at, ..Check::at_most(name, left, limit(cutting), "mm") }
            }
        }
    };
    let parting =
        of("metal on the parting that no cutter reaches, seen from the limit on", true);
    let inside = of("metal in cavity and core that no cutter reaches", false);
    let hidden = is_stripped && inside.ok == Some(true);
    let why = "undercuts that are stripped off are not seen along the pull".to_owned();
    let inside =
        if hidden { Check { ok: None, why: Some(why), ..inside } } else { inside };
    [parting, inside]
}

/// Volume of the part as drawn, less what the cutters leave where it is judged as `milled`,
/// mm³.
pub(super) fn volume(drawn: Option<Solid>, milled: Option<&MillingStudy>) -> Option<f64> {
    let lost = milled.map_or(0.0, |it| it.milled.lost);
    drawn.map(|solid| (solid.volume - lost).max(0.0))
}
