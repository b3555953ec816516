//! THE PIPELINE on one page: every stage in order, computes nothing itself.

mod walls;
mod opening;
mod process_input;
pub mod milling;
mod as_milled;
pub mod filling;
pub mod repeat;
pub mod mold;

use std::fmt;

use crate::analysis::filling::{FillingStudy, NotFilled};
use crate::analysis::milling::{MillingStudy, NotMilled};
use crate::mesh::heal::{self, HealError, HealRecord, HealSettings, Healed};
use crate::mesh::self_intersection::{self, Crossings};
use crate::mesh::stl::{self, Oddity, StlError};
use crate::part::mass::{self, Mass};
use crate::part::pin_sites::PinSites;
use crate::part::{Part, thickness};
use crate::process::ejection::pins::Pins;
use crate::process::evaluation::{self, Choices, Evaluation, EvaluationInput, PartData};
use crate::process::plastic::Plastic;
use crate::process::press::Press;
use crate::settings::{FileUnit, Settings};
use crate::units::Length;
pub use opening::Opening;
pub use walls::Walls;

/// What the part is to be made with.
#[derive(Clone, Debug)]
pub struct Setup {
    /// The press.
    pub press: Press,
    /// Whether the user named it.
    pub press_given: bool,
    /// The plastic.
    pub plastic: Plastic,
    /// Whether the user named it.
    pub plastic_given: bool,
    /// What the keys in the values' sources stand for: key and citation.
    pub sources: Vec<(String, String)>,
}

/// Why there is no analysis.
#[derive(Debug, thiserror::Error)]
pub enum AnalysisError {
    /// The bytes are not an STL.
    #[error(transparent)]
    Stl(#[from] StlError),
    /// The triangles are not a part.
    #[error(transparent)]
    Mesh(#[from] HealError),
    /// Somebody asked for its end.
    #[error("the check was stopped")]
    Stopped,
}

/// A step of the way, for a progress line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// Bytes to triangles to a mesh.
    Reading,
    /// Thickness.
    Walls,
    /// The pull and what it traps.
    Release,
    /// What the cutters leave.
    Milling,
    /// Shot and clamp.
    Press,
    /// Whether the melt reaches the last corner.
    Filling,
}

impl fmt::Display for Stage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Reading => "reading and repairing the mesh",
            Self::Walls => "measuring the walls",
            Self::Release => "looking for the way out of the mold",
            Self::Milling => "sending the cutters over the halves",
            Self::Press => "asking the press",
            Self::Filling => "filling the mold",
        })
    }
}

/// Every number about one part.
pub struct Analysis {
    /// Unit of the file.
    pub unit: FileUnit,
    /// Whether the user named it.
    pub unit_given: bool,
    /// Whether small flat holes were to be closed.
    pub close_holes: bool,
    /// What the user wants of the mold.
    pub choices: Choices,
    /// What was odd about the file.
    pub oddities: Vec<Oddity>,
    /// What was found in the file and repaired.
    pub healed: HealRecord,
    /// The healed part, ready to be measured.
    pub part: Part,
    /// Where the surface passes through itself.
    pub crossings: Crossings,
    /// Volume, area, centroid, inertia.
    pub mass: Mass,
    /// Walls.
    pub walls: Walls,
    /// Which way the mold opens, and what that means.
    pub release: Opening,
    /// What the cutters leave of the halves, or why that is not known.
    pub cutting: Result<MillingStudy, NotMilled>,
    /// Whether walls, draft, filling, shot and mass are those of the part as it will come out.
    pub as_milled: bool,
    /// Faces short of draft that do not come out as drawn; none where it is judged as drawn.
    pub hidden_faces: usize,
    /// The part, as far as plastic and press ask.
    pub shape: PartData,
    /// What the press makes of it.
    pub evaluation: Evaluation,
    /// Ejector pins on it; `None` when nothing has to be pushed, or nothing is known of it.
    pub pinned: Option<Pinned>,
    /// How it fills, or why that is not known.
    pub filling: Result<FillingStudy, NotFilled>,
    /// With what.
    pub setup: Setup,
}

/// Ejector pins and their places.
pub struct Pinned {
    /// Diameter, number, and the rule behind it; `None` when no number of pins does.
    pub pins: Option<Pins>,
    /// Thickness of the part where it is thinnest behind one of them.
    pub behind: Length,
    /// Their places.
    pub pads: PinSites,
}

/// Everything about the part in `bytes`; `tell` hears of each stage before it begins.
///
/// # Errors
/// When the bytes hold no part, or `settings.stop` was asked for meanwhile.
pub fn run(
    bytes: &[u8],
    setup: Setup,
    settings: &Settings,
    progress: &dyn Fn(Stage),
) -> Result<Analysis, AnalysisError> {
    let progress = |stage: Stage| progress_unless_stopped(settings, progress, stage);
    progress(Stage::Reading)?;
    let unit = settings.unit.unwrap_or(FileUnit::Millimeter);
    let stl = stl::read(bytes)?;
    let close_holes = settings.close_holes;
    let Healed { mesh, closed, record } =
        heal::heal(&stl.scaled(unit.in_mm()), HealSettings { close_holes })?;
    let part = Part::new(mesh, closed, settings.samples);
    let crossings = self_intersection::find(&part.mesh, &part.bvh);
    let mass = mass::measure(&part.mesh, closed);
    progress(Stage::Walls)?;
    let drawn = thickness::map(&part.bvh, &part.samples);
    progress(Stage::Release)?;
    let release = opening::find(&part, &setup, settings);
    progress(Stage::Milling)?;
    let cutting = milling::simulate(&part.mesh, &release, &settings.milling);
    let milled = milling::counted(&cutting, settings.milling.as_milled);
    let thickness = as_milled::thickness(drawn, &part.samples, milled);
    let walls = walls::judge(thickness, &part.samples, &setup);
    let (release, hidden_faces) = as_milled::without_hidden(release, &part, milled);
    progress(Stage::Press)?;
    let solid = milling::volume(mass.solid, milled);
    let shape = process_input::describe(&part, &walls, &release, solid);
    let evaluation = remake(&shape, &setup, settings);
    let diameter = settings.choices.pin_diameter;
    let pinned = process_input::pins(&evaluation, &part, release.formed(), diameter);
    progress(Stage::Filling)?;
    let case = filling::FillCase {
        part: &part,
        release: &release,
        shape: &shape,
        evaluation: &evaluation,
        choices: &settings.choices,
        setup: &setup,
        milled,
        walls: None,
        step_on: None,
        stop: Some(&settings.stop),
    };
    let filling = filling::simulate(case, &settings.fill);
    // What a stopped filling says is no answer.
    if settings.stop.is_asked() {
        return Err(AnalysisError::Stopped);
    }
    Ok(Analysis {
        unit,
        unit_given: settings.unit.is_some(),
        close_holes,
        choices: settings.choices.clone(),
        oddities: stl.oddities,
        healed: record,
        part,
        crossings,
        mass,
        walls,
        release,
        cutting,
        as_milled: settings.milling.as_milled,
        hidden_faces,
        shape,
        evaluation,
        pinned,
        filling,
        setup,
    })
}

/// Tells of the next stage, unless the run is to end.
fn progress_unless_stopped(
    settings: &Settings,
    progress: &dyn Fn(Stage),
    stage: Stage,
) -> Result<(), AnalysisError> {
    if settings.stop.is_asked() {
        return Err(AnalysisError::Stopped);
    }
    progress(stage);
    Ok(())
}

/// What this shop makes of a part that is measured already: cheap, so that it can be asked
/// for many presses, plastics and wishes.
pub fn remake(shape: &PartData, setup: &Setup, settings: &Settings) -> Evaluation {
    let with = EvaluationInput {
        press: &setup.press,
        plastic: &setup.plastic,
        choices: &settings.choices,
    };
    evaluation::evaluate(shape, &with)
}
