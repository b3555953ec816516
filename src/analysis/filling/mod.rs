//! Does the melt reach the last corner: the part in cells, the best gate, the filling, and
//! how strong the ram must be.
//!
//! The gate stands where the loss on the way to the hardest corner is least, among points
//! of the parting line around the part that a straight runner reaches from outside (an edge
//! gate needs no third plate). Sprue, runner and gate cool as the part does; the nozzle is as
//! hot as the barrel. The least pressure is searched on coarser cells and checked on the fine
//! ones.

mod with_feed;
mod doubt;
pub mod cures;
mod not_filled;
mod alternatives;
mod study;
mod answering;

use crate::analysis::milling::MillingStudy;
use crate::analysis::{Opening, Setup};
use crate::fill::cells::{Cells, CellsError};
use crate::fill::dimensionless::{self, Numbers};
use crate::fill::distance;
use crate::fill::drive::Drive;
use crate::fill::feed_channels;
use crate::fill::feed_table::FeedTable;
use crate::fill::front;
use crate::fill::gate::Gate;
use crate::fill::gate_places;
pub use crate::fill::gate_places::GatePlace;
use crate::fill::melt::Melt;
use crate::fill::pockets::{self, Air, Pocket};
use crate::fill::prepared::{Case, PreparedCavity};
use crate::fill::required_pressure::{self, Doubt, RequiredPressure};
use crate::fill::shown_faces::ShownFaces;
use crate::fill::vent_places;
pub use crate::fill::vent_places::VentPlace;
use crate::fill::weld_lines::{self, Weld};
use crate::geom::Point;
use crate::part::Part;
use crate::part::wall_change::WallChange;
use crate::process::evaluation::{Choices, Evaluation, PartData};
use crate::process::feed;
use crate::settings::FillChoices;
use crate::units::{Quantity, in_mm};
pub use alternatives::NeededThrough;
pub use answering::prior;
use cures::{Cure, Trial};
pub use doubt::{
    KELVIN_DOUBT, MOLD_KELVIN_DOUBT, SUPPLY_DOUBT, VISCOSITY_DOUBT, viscosity_doubt,
};
pub use not_filled::NotFilled;

/// How the part fills.
pub struct FillingStudy {
    /// The part as cells.
    pub cells: Cells,
    /// The same in cells of twice the edge.
    pub coarse: Cells,
    /// Where the melt enters, on the surface, mm.
    pub gate: Point,
    /// How far that is from where the user wanted it, mm; `None` when it was chosen.
    pub gate_moved: Option<f64>,
    /// Places for the gate, best first; empty when the user named one.
    pub choices: Vec<GatePlace>,
    /// The filling at the pressure that fills in the worst case, or at all there is.
    pub run: front::Filling,
    /// Melt pressure at the ram of that filling, Pa.
    pub run_pa: f64,
    /// The least pressure that fills.
    pub least: RequiredPressure,
    /// What the part needs through the other layouts of the feed.
    pub alternatives: Vec<NeededThrough>,
    /// Where that is more than there surely is: the smallest changes that help.
    pub cures: Vec<Cure>,
    /// Where fronts meet, longest first.
    pub welds: Vec<Weld>,
    /// How long each of them is on faces that the user marked, mm; empty where none is.
    pub shown_welds_mm: Vec<f64>,
    /// Last places to fill, those with the most air first; the parting line around the part
    /// lets air out.
    pub pockets: Vec<Pocket>,
    /// Where vents belong, on the parting line, those with the most air first.
    pub vents: Vec<VentPlace>,
    /// The shortest way from the gate to each cell, mm; `None` where there is none.
    pub way_mm: Vec<Option<f64>>,
    /// How far the simplifications may be trusted.
    pub numbers: Option<Numbers>,
    /// The melt that was pushed in.
    pub melt: Melt,
}

/// What filling asks about.
#[derive(Clone, Copy)]
pub(super) struct FillCase<'a> {
    pub(super) part: &'a Part,
    pub(super) release: &'a Opening,
    pub(super) shape: &'a PartData,
    pub(super) evaluation: &'a Evaluation,
    pub(super) choices: &'a Choices,
    pub(super) setup: &'a Setup,
    /// What the cutters leave, where the part is filled as it will come out.
    pub(super) milled: Option<&'a MillingStudy>,
    /// Of a step of something varied: the walls after it. Nobody asks what would cure it.
    pub(super) walls: Option<WallChange>,
    /// How it fills without that step. Its coarse cells alone then answer, scaled by what
    /// they asked for there over what the fine ones did.
    pub(super) step_on: Option<&'a FillingStudy>,
}

/// Fills the part.
pub(super) fn simulate(
    input: FillCase<'_>,
    wanted: &FillChoices,
) -> Result<FillingStudy, NotFilled> {
    if wanted.skip {
        return Err(NotFilled::Skipped);
    }
    if !input.part.closed {
        return Err(NotFilled::Open);
    }
    let Setup { press, plastic, .. } = input.setup;
    let melt = Melt::typical(plastic)?;
    let feed_design = input.evaluation.feed_design.as_ref().map_err(Clone::clone)?;
    let table = FeedTable::new(&feed_design.feed, plastic, press)?;
    let channels = feed_channels::segments(&feed_design.feed.mold_links());
    let cut = cut(input, wanted)?;
    let cavities = f64::from(feed_design.feed.cavities);
    let take = |flow: f64| table.at(flow);
    let coarser = input.step_on.map_or(1.0, |before| before.least.rough_over_fine());
    let drive = Drive {
        pressure_pa: press.melt_pressure().si() * coarser,
        most_m3_s: press.flow_limit().map(|flow| flow.si() / cavities),
        feed: &take,
        channels: &channels,
    };
    let shown = ShownFaces::nearest(input.part, &wanted.show_faces);
    let injection =
        Injection { melt: &melt, drive: &drive, gate: &feed_design.feed.gate };
    let place = place(input, &cut.coarse, &injection, shown.as_ref(), wanted.gate);
    let filled = fill(input, &cut, &injection, place.at, wanted.gate)?;
    let watched = watch(input, &cut.cells, &filled.run, place.at);
    let on_shown = |shown: &ShownFaces| {
        let welds = watched.welds.iter();
        welds.map(|weld| shown.weld_mm(input.part, &cut.cells, weld)).collect()
    };
    Ok(FillingStudy {
        gate: place.at,
        gate_moved: place.moved,
        choices: place.choices,
        run: filled.run,
        run_pa: filled.run_pa,
        least: filled.least,
        alternatives: filled.alternatives,
        cures: filled.cures,
        shown_welds_mm: shown.as_ref().map_or_else(Vec::new, on_shown),
        welds: watched.welds,
        pockets: watched.pockets,
        vents: watched.vents,
        way_mm: watched.way_mm,
        numbers: filled.numbers,
        melt,
        cells: cut.cells,
        coarse: cut.coarse,
    })
}

/// What is pushed into the part, how hard, and through which gate.
struct Injection<'a> {
    melt: &'a Melt,
    drive: &'a Drive<'a>,
    gate: &'a feed::Gate,
}

/// The gate that the user wants, or the best one; where faces are marked, by the weld lines
/// that it leaves on them too.
fn place(
    input: FillCase<'_>,
    coarse: &Cells,
    injection: &Injection<'_>,
    shown: Option<&ShownFaces>,
    wanted: Option<Point>,
) -> gate_places::Chosen {
    let Injection { melt, drive, gate } = *injection;
    let Part { mesh, bvh, .. } = input.part;
    // A sprue straight onto a face has one place.
    if let Some(face) = input.shape.cavity_face.filter(|_| gate.is_round) {
        let [x, y, z] = face.at.map(in_mm);
        let at = Point::new(x, y, z);
        let moved = wanted.map(|wanted| nalgebra::distance(&wanted, &at));
        return gate_places::Chosen { at, moved, choices: Vec::new() };
    }
    let tried = |at: &Point| {
        let gates = [Gate::of_feed(*at, gate)];
        let case = Case { cells: coarse, mesh, bvh, gates: &gates, melt };
        let lines = front::fill(&case, drive).map(|run| weld_lines::lines(coarse, &run));
        let shown = shown.iter().zip(lines.iter().flatten());
        shown.map(|(shown, weld)| shown.weld_mm(input.part, coarse, weld)).sum()
    };
    let tried: Option<gate_places::ShownWelds<'_>> = shown.is_some().then_some(&tried);
    let Opening { parting, pull, .. } = input.release;
    gate_places::choose(input.part, parting, *pull, coarse, wanted, tried)
}

/// The filling itself, and how strong the ram must be.
struct Filled {
    run: front::Filling,
    run_pa: f64,
    least: RequiredPressure,
    alternatives: Vec<NeededThrough>,
    cures: Vec<Cure>,
    numbers: Option<Numbers>,
}

/// The filling itself, the least pressure, and what would bring that down.
fn fill(
    input: FillCase<'_>,
    cut: &Cut,
    injection: &Injection<'_>,
    at: Point,
    wanted: Option<Point>,
) -> Result<Filled, NotFilled> {
    let Injection { melt, drive, gate } = *injection;
    let Part { mesh, bvh, .. } = input.part;
    let gates = [Gate::of_feed(at, gate)];
    let case = Case { cells: &cut.cells, mesh, bvh, gates: &gates, melt };
    let rough =
        PreparedCavity::new(&Case { cells: &cut.coarse, ..case })?.in_long_steps();
    // A step has no finer cells.
    let fine = input
        .step_on
        .map_or_else(|| PreparedCavity::new(&case), |_| Ok(rough.clone()))?;
    // What heat does to the same melt is known from before.
    let is_same = input.step_on.is_some_and(|before| before.melt == *melt);
    let doubt =
        if is_same { Doubt::NONE } else { doubt::of_plastic(&input.setup.plastic) };
    let least = match input.step_on {
        None => required_pressure::least(&fine, &rough, melt, drive, doubt),
        Some(_) => required_pressure::least_roughly(&rough, melt, drive, doubt),
    };
    let least = as_on_fine(least?, input.step_on, is_same);
    let pressure_pa = pushed(&least, drive.pressure_pa);
    let trial = Trial { input, rough: &rough, at, drive, melt, least };
    let others = || match (input.step_on, input.walls) {
        (None, None) => rayon::join(
            || alternatives::needed(input, &cut.coarse, injection, &least, wanted),
            || cures::find(&trial),
        ),
        // Nobody asks what else would do for a step.
        _ => (Vec::new(), Vec::new()),
    };
    let (run, (alternatives, cures)) = rayon::join(
        || {
            let drive = Drive { pressure_pa, ..*drive };
            front::fill_watched(
                &fine,
                melt,
                &drive,
                &study::watches(&input.release.standing),
            )
        },
        others,
    );
    let run = run?;
    let numbers = dimensionless::estimate(&case, &run);
    Ok(Filled { run, run_pa: pressure_pa, least, alternatives, cures, numbers })
}

/// Pressure that the ram is run at, Pa: enough for the worst of the band, or all there is. More
/// would only be faster than any ram moves.
fn pushed(least: &RequiredPressure, has_pa: f64) -> f64 {
    match least {
        RequiredPressure::Pressure { band_pa, .. } => has_pa.min(band_pa[1]),
        RequiredPressure::Any | RequiredPressure::None => has_pa,
    }
}

/// The part in cells.
struct Cut {
    cells: Cells,
    /// Of twice the edge.
    coarse: Cells,
}

/// The part in cells, and in cells of twice their edge.
fn cut(input: FillCase<'_>, wanted: &FillChoices) -> Result<Cut, NotFilled> {
    if let Some(before) = input.step_on {
        let coarse = before.coarse.with_walls(&input.walls.unwrap_or_default());
        return Ok(Cut { cells: coarse.clone(), coarse });
    }
    let Part { mesh, bvh, .. } = input.part;
    let cells = Cells::new(mesh, bvh, wanted.cells)?;
    // Where the part is hardly wider than a cell, the fine cells must do.
    let coarse = cells.coarser(mesh, bvh, 2.0);
    let coarse = coarse.unwrap_or_else(|_| cells.clone());
    let mut both = [cells, coarse];
    if let Some(MillingStudy { milled, .. }) = input.milled {
        for cells in &mut both {
            let edge_mm = cells.edge_mm();
            *cells = cells
                .without(&|at| milled.stays(at))
                .ok_or(CellsError::Nothing { edge_mm })?;
        }
    }
    let [cells, coarse] = match input.walls {
        Some(walls) => both.map(|cells| cells.with_walls(&walls)),
        None => both,
    };
    Ok(Cut { cells, coarse })
}

/// Places to watch.
struct Watched {
    welds: Vec<Weld>,
    pockets: Vec<Pocket>,
    vents: Vec<VentPlace>,
    /// The shortest way from the gate to each cell, mm.
    way_mm: Vec<Option<f64>>,
}

/// The places to watch: welds, shut-in air, vents, the way to each cell.
fn watch(
    input: FillCase<'_>,
    cells: &Cells,
    run: &front::Filling,
    gate: Point,
) -> Watched {
    let Opening { parting, pull, .. } = input.release;
    let lets_out = vent_places::vented(cells, parting);
    let open = |at: &Point| lets_out.get(cells.nearest(at)).copied().unwrap_or(false);
    let mut pockets = pockets::pockets(cells, run, Some(&open));
    // Where the melt never comes, no air is shut in.
    pockets.retain(|pocket| run.fills || pocket.time_s.is_some());
    let vented = pockets.iter().filter(|pocket| pocket.air == Air::Vented);
    let air = vented.map(|pocket| (pocket.at, pocket.volume_mm3));
    let vents = vent_places::list(input.part, parting, *pull, cells, air);
    Watched {
        welds: weld_lines::lines(cells, run),
        pockets,
        vents,
        way_mm: distance::from(cells, &gate),
    }
}

/// What the fine cells would say, where the coarse ones alone answered; the band of the
/// same melt is as wide as it was before.
fn as_on_fine(
    least: RequiredPressure,
    step_on: Option<&FillingStudy>,
    is_same: bool,
) -> RequiredPressure {
    match (least, step_on) {
        (RequiredPressure::Pressure { pa, band_pa, rough_pa }, Some(before)) => {
            let fine = rough_pa / before.least.rough_over_fine();
            let wide = match before.least {
                RequiredPressure::Pressure { pa, band_pa, .. } if is_same => {
                    band_pa.map(|end| end / pa)
                }
                _ => band_pa.map(|end| end / pa),
            };
            RequiredPressure::Pressure {
                pa: fine,
                band_pa: wide.map(|end| end * fine),
                rough_pa,
            }
        }
        (least, _) => least,
    }
}

#[cfg(test)]
mod tests;
