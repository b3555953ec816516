//! The pipeline on one page: [`run`] calls every stage in order.
//!
//! | question | file |
//! |---|---|
//! | what is being worked on, for a progress line | [`stage`] |
//! | are the walls too thin or too thick | `walls` |
//! | what holds the part, and which half keeps it | `holding` |
//! | which way does the mold open, and what does that mean | `opening` |
//! | what do plastic and press need to know of the part | [`process_input`] |
//! | what do the cutters leave of the halves | [`milling`] |
//! | what does the part look like as milled | [`as_milled`] |
//! | does the melt reach the last corner, and which change makes it | [`mod@filling`] |
//! | what does another press, plastic or wall make of the measured part | [`repeat`] |
//! | how hard does the melt strain metal that stands alone | [`mod@standing_metal`] |
//! | where may gate and vents lie on the lines around the part | `line_places` |
//! | which mold does the part get | [`mod@mold`] |
//! | which work do mold and parts ask for, to be paid | [`cost`] |
//! | what do real shots say | [`calibration`] |
//! | how long is a test piece on this press | [`mod@test_piece`] |
//!
//! The formulas are those of the rooms above. What is worked out here joins several of them:
//! walls and draft against the limits of the plastic, and searches that measure, fill and ask
//! the press in turn.

mod stage;
mod walls;
mod holding;
mod opening;
mod process_input;
pub mod milling;
mod as_milled;
pub mod filling;
pub mod repeat;
pub mod standing_metal;
mod line_places;
pub mod mold;
pub mod cost;
pub mod calibration;
pub mod test_piece;

use crate::analysis::filling::{FillingStudy, NotFilled};
use crate::analysis::milling::{MillingStudy, NotMilled};
use crate::geom::{Aabb, Point, Vector};
use crate::mesh::heal::{self, HealError, HealRecord, HealSettings};
use crate::mesh::self_intersection::{self, Crossings};
use crate::mesh::stl::{self, Oddity, Stl, StlError};
use crate::mold::ejector_pin_search;
pub use crate::mold::ejector_pin_search::Pinned;
use crate::part::ejector_pin_sites::KeptOff;
use crate::part::mass::{self, Mass};
use crate::part::standing_metal::Form;
use crate::part::{Part, thickness};
use crate::process::evaluation::{
    self, Choices, Evaluation, EvaluationInput, KnownFilling, PartData,
};
use crate::process::plastic::Plastic;
use crate::process::press::Press;
use crate::settings::{FileUnit, Settings};
use crate::units::format::ascii_point;
pub use holding::Holding;
pub use opening::Opening;
pub use stage::Stage;
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
    /// What of the user's shop was found and used: nobody gave it.
    pub found: Vec<Found>,
}

/// Something of the user's shop that is used because nobody named another one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    /// What it is, such as `press.toml`.
    pub what: String,
    /// The folder or file that it stands in; `None` for the working folder.
    pub folder: Option<String>,
}

/// Nothing larger is measured, mm: a slip in the unit or in the file.
const MOST_MM: f64 = 1e5;

/// Why there is no analysis.
#[derive(Debug, thiserror::Error)]
pub enum AnalysisError {
    /// The bytes are not an STL.
    #[error(transparent)]
    Stl(#[from] StlError),
    /// The triangles are not a part.
    #[error(transparent)]
    Mesh(#[from] HealError),
    /// It is larger than anything that is molded.
    #[error(
        "the part measures {0} mm: nothing over {MOST_MM} mm is molded; is the unit right (--unit)?"
    )]
    TooLarge(String),
    /// The gate is wanted where the part is not.
    #[error(
        "the gate at {} mm lies {off:.1} mm from the part, which spans {span}: name a point on its surface (--gate)",
        ascii_point(*at)
    )]
    GateOff {
        /// Where it was wanted.
        at: Point,
        /// How far from the surface, mm.
        off: f64,
        /// From where to where the part reaches.
        span: String,
    },
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

/// Everything about the part in `bytes`; `progress` hears of each stage before it begins. Bytes that are
/// given away are let go of as soon as they are read.
///
/// # Errors
/// When the bytes hold no part.
pub fn run(
    bytes: impl AsRef<[u8]>,
    setup: Setup,
    settings: &Settings,
    progress: &dyn Fn(Stage),
) -> Result<Analysis, AnalysisError> {
    progress(Stage::Reading);
    let File { unit, oddities, record, part } = read(bytes, settings)?;
    check_gate(&part, settings.fill.gate)?;
    let crossings = self_intersection::find(&part.mesh, &part.bvh);
    let mass = mass::measure(&part.mesh, part.closed);
    progress(Stage::Walls);
    let drawn = thickness::map(&part.bvh, &part.samples);
    progress(Stage::Release);
    let release = opening::find(&part, &setup, settings);
    progress(Stage::Milling);
    let cutting = milling::simulate(&part, &release, &settings.milling);
    let milled = milling::counted(&cutting, settings.milling.as_milled);
    let walls = as_milled::thickness(drawn, &part.samples, milled);
    let walls = walls::judge(walls, &part.samples, &setup);
    let (release, hidden_faces) = as_milled::without_hidden(release, &part, milled);
    progress(Stage::Press);
    let volume = milling::volume(mass.solid, milled);
    let mut shape = process_input::describe(&part, &walls, &release, volume);
    let mut first = remake(&shape, &setup, settings, None);
    let pinned = pins(&first, &part, &release, &settings.choices);
    progress(Stage::Filling);
    let measured = Measured { part: &part, release: &release, milled };
    let filling = measured.fill(&mut shape, &mut first, &setup, settings);
    let filled = filling.as_ref().ok();
    let evaluation = follow(filled, &shape, &setup, settings).unwrap_or(first);
    Ok(Analysis {
        unit,
        unit_given: settings.unit.is_some(),
        close_holes: settings.close_holes,
        choices: settings.choices.clone(),
        oddities,
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

/// What the filling needs of a part.
struct Measured<'a> {
    part: &'a Part,
    release: &'a Opening,
    milled: Option<&'a MillingStudy>,
}

impl Measured<'_> {
    /// The filling; where a sprue on a face shortens the way, `shape` says so and it is filled again
    /// with the feed of `first` sized for that.
    fn fill(
        &self,
        shape: &mut PartData,
        first: &mut Evaluation,
        setup: &Setup,
        settings: &Settings,
    ) -> Result<FillingStudy, NotFilled> {
        let fill = |shape: &PartData, evaluation: &Evaluation| {
            let case = filling::FillCase {
                part: self.part,
                release: self.release,
                shape,
                evaluation,
                choices: &settings.choices,
                setup,
                milled: self.milled,
                walls: None,
                step_on: None,
            };
            filling::simulate(case, &settings.fill)
        };
        let filling = fill(shape, first);
        if !filling.as_ref().is_ok_and(|it| it.face_shortens(first, setup, settings)) {
            return filling;
        }
        shape.face_shortens = true;
        *first = remake(shape, setup, settings, None);
        fill(shape, first)
    }
}

/// A file that was read.
struct File {
    unit: FileUnit,
    oddities: Vec<Oddity>,
    record: HealRecord,
    part: Part,
}

/// How large the part in `bytes` is along its axes, mm: all that is known before it is healed.
///
/// # Errors
/// When the bytes are not an STL.
pub fn extents(bytes: &[u8], settings: &Settings) -> Result<Vector, AnalysisError> {
    let unit = settings.unit.unwrap_or(FileUnit::Millimeter);
    let triangles = stl::read(bytes)?.scaled(unit.in_mm());
    // Facets without area are taken out when a part is healed, and may lie anywhere.
    let has_area = |[a, b, c]: &&[Point; 3]| a != b && b != c && c != a;
    Ok(Aabb::around(triangles.iter().filter(has_area).flatten()).size())
}

/// The part in `bytes`, and what was odd about them and repaired.
fn read(bytes: impl AsRef<[u8]>, settings: &Settings) -> Result<File, AnalysisError> {
    let unit = settings.unit.unwrap_or(FileUnit::Millimeter);
    let close_holes = HealSettings { close_holes: settings.close_holes };
    let stl = stl::read(bytes.as_ref())?;
    drop(bytes);
    let triangles = stl.scaled(unit.in_mm());
    let Stl { triangles: single, oddities, .. } = stl;
    drop(single);
    let healed = heal::heal(triangles, close_holes)?;
    let longest = healed.mesh.bounds().size().amax();
    if longest > MOST_MM {
        return Err(AnalysisError::TooLarge(format!("{longest:.3e}")));
    }
    let part = Part::new(healed.mesh, healed.closed, settings.samples);
    Ok(File { unit, oddities, record: healed.record, part })
}

/// A gate that was typed this far off the surface is a slip, mm.
const GATE_OFF_MM: f64 = 5.0;

/// Whether the gate that the user wants is on the part, or so near that it can be moved there.
fn check_gate(part: &Part, gate: Option<Point>) -> Result<(), AnalysisError> {
    let Some(at) = gate else { return Ok(()) };
    let near = part.bvh.nearest(&at, f64::INFINITY);
    match near.map(|near| near.distance).filter(|off| *off > GATE_OFF_MM) {
        Some(off) => {
            let bounds = part.mesh.bounds();
            let span =
                format!("{} to {} mm", ascii_point(bounds.min), ascii_point(bounds.max));
            Err(AnalysisError::GateOff { at, off, span })
        }
        None => Ok(()),
    }
}

/// Ejector pins, where the force that they push against is known.
fn pins(
    evaluation: &Evaluation,
    part: &Part,
    release: &Opening,
    choices: &Choices,
) -> Option<Pinned> {
    let ejection = evaluation.ejection.as_ref().ok()?;
    let formed = release.formed();
    let on_core = release.standing.iter().filter(|metal| metal.half == formed.core);
    let kept_off: Vec<KeptOff> = on_core
        .filter(|metal| metal.form == Form::Pin)
        .map(|metal| KeptOff {
            at: metal.at,
            radius: metal.thickness[0].max(metal.thickness[1]) / 2.0,
        })
        .collect();
    let only = choices.pin_diameter;
    Some(ejector_pin_search::find(ejection, part, formed, &kept_off, only))
}

/// What this shop makes of a part that fills so; `None` where no pressure is known to fill it.
fn follow(
    filling: Option<&FillingStudy>,
    shape: &PartData,
    setup: &Setup,
    settings: &Settings,
) -> Option<Evaluation> {
    let filling = filling?;
    let mut evaluation = remake(shape, setup, settings, Some(filling.known()?));
    if let Ok(design) = &mut evaluation.feed_design {
        for alternative in &mut design.alternatives {
            alternative.needed = filling.needed_through(alternative.feed.layout);
        }
    }
    Some(evaluation)
}

/// What this shop makes of a part that is measured already: cheap, so that it can be asked
/// for many presses, plastics and wishes. `filling` is how it fills, once that is known.
pub fn remake(
    shape: &PartData,
    setup: &Setup,
    settings: &Settings,
    filling: Option<KnownFilling>,
) -> Evaluation {
    let with = EvaluationInput {
        press: &setup.press,
        plastic: &setup.plastic,
        choices: &settings.choices,
        filling,
    };
    evaluation::evaluate(shape, &with)
}
