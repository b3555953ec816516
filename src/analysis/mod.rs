//! The pipeline on one page: [`run`] calls every stage in order.
//!
//! | question | file |
//! |---|---|
//! | what is being worked on, for a progress line | [`stage`] |
//! | what do plastic and press need to know of the part | [`process_input`] |
//! | what do the cutters leave of the halves | [`milling`] |
//! | what does the part look like as milled | [`as_milled`] |
//! | does the melt reach the last corner, and which change makes it | [`mod@filling`] |
//! | what does another press, plastic or wall make of the measured part | [`repeat`] |
//! | which mold does the part get | [`mod@mold`] |
//!
//! The formulas are those of the rooms above. What is worked out here joins several of them:
//! walls and draft against the limits of the plastic, and searches that measure, fill and ask
//! the press in turn.

mod stage;
mod process_input;
pub mod milling;
mod as_milled;
pub mod filling;
pub mod repeat;
pub mod mold;

use crate::analysis::filling::{FillingStudy, NotFilled};
use crate::analysis::milling::{MillingStudy, NotMilled};
use crate::geom::Direction;
use crate::mesh::bvh::Bvh;
use crate::mesh::heal::{self, HealError, HealSettings, Healed};
use crate::mesh::neighbors;
use crate::mesh::samples::Samples;
use crate::mesh::self_intersection::{self, Crossings};
use crate::mesh::stl::{self, Oddity, StlError};
use crate::part::draft::{CoreSide, Drafted, FaceDraft, Rule, Side};
use crate::part::faces::Faces;
use crate::part::field::{Bad, Extreme};
use crate::part::mass::Mass;
use crate::part::parting::{Part, Parting, Skins};
use crate::part::pin_sites::PinSites;
use crate::part::pull::{Criteria, Scored};
use crate::part::remedies::{self, Remedy};
use crate::part::silhouette::Silhouette;
use crate::part::thickness::Thickness;
use crate::part::undercut::{Release, Undercut};
use crate::part::{draft, faces, field, mass, parting, pull};
use crate::part::{silhouette, thickness, undercut};
use crate::process::clamping::force;
use crate::process::ejection::pins::Pins;
use crate::process::evaluation::{self, Choices, Evaluation, EvaluationInput, PartData};
use crate::process::part_limits::{self, DraftLimit, WallLimits};
use crate::process::plastic::{Plastic, Unknown};
use crate::process::press::Press;
use crate::settings::{FileUnit, Settings};
use crate::units::{self, Length, Ratio};

pub use stage::Stage;

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
    /// The mesh and its repairs.
    pub healed: Healed,
    /// Where the surface passes through itself.
    pub crossings: Crossings,
    /// The mesh, ready to be asked.
    pub bvh: Bvh,
    /// Its faces.
    pub faces: Faces,
    /// Points on it.
    pub samples: Samples,
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

/// Walls against their limits.
pub struct Walls {
    /// Of every sample.
    pub thickness: Thickness,
    /// For this plastic on this class of press.
    pub limits: Result<WallLimits, Unknown>,
    /// Too thin, worst first.
    pub thin: Vec<Extreme>,
    /// Too thick, worst first.
    pub thick: Vec<Extreme>,
}

/// The part along its pull.
pub struct Opening {
    /// Along which the + half leaves.
    pub pull: Direction,
    /// Whether the user named it.
    pub pull_given: bool,
    /// The best directions, best first.
    pub alternatives: Vec<Scored>,
    /// Extent along the pull, mm.
    pub height: f64,
    /// The projected area.
    pub silhouette: Silhouette,
    /// Which half is the core.
    pub core: CoreSide,
    /// The side of every sample.
    pub sides: Vec<Side>,
    /// Where the halves meet.
    pub parting: Parting,
    /// The surface that each half forms.
    pub skins: Skins,
    /// What is trapped.
    pub undercut: Undercut,
    /// For each trapped region, what can be done about it, cheapest first.
    pub remedies: Vec<Vec<Remedy>>,
    /// What the plastic asks of walls along the pull.
    pub draft_limit: Result<DraftLimit, Unknown>,
    /// The same as a rule.
    pub rule: Rule,
    /// Depth of the texture on the part, where the user gave one.
    pub texture: Option<Length>,
    /// Faces short of it, worst first.
    pub short: Vec<FaceDraft>,
}

/// Everything about the part in `bytes`; `tell` hears of each stage before it begins. The
/// example of the [crate] calls it.
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
    let healed = heal::heal(&stl.scaled(unit.in_mm()), HealSettings { close_holes })?;
    let mesh = &healed.mesh;
    let neighbors = neighbors::find(mesh);
    let bvh = Bvh::new(mesh);
    let crossings = self_intersection::find(mesh, &bvh);
    let mass = mass::measure(mesh, healed.closed);
    let faces = faces::fit(mesh, &neighbors);
    let samples = Samples::spread(mesh, &bvh, settings.samples);
    progress(Stage::Walls)?;
    let mut walls = judged(thickness::map(&bvh, &samples), &samples, &setup);
    progress(Stage::Release)?;
    let part = Part { mesh, neighbors: &neighbors, bvh: &bvh, faces: &faces };
    let mut release = opening(part, &samples, &setup, settings);
    progress(Stage::Milling)?;
    let cutting = milling::simulate(mesh, &release, &settings.milling);
    let milled = milling::counted(&cutting, settings.milling.as_milled);
    let surface = (&faces, &samples);
    let hidden_faces = milled.map_or(0, |cutting| {
        as_milled::come_out(&mut walls, &mut release.short, surface, (cutting, &setup))
    });
    progress(Stage::Press)?;
    let solid = milling::volume(mass.solid, milled);
    let measured =
        process_input::Measured { mesh, walls: &walls, release: &release, solid };
    let kept = process_input::kept(&bvh, &samples, &release);
    let shape = process_input::describe(&measured, &kept);
    let evaluation = remake(&shape, &setup, settings);
    let pinned = process_input::pins(&evaluation, &kept, settings.choices.pin_diameter);
    let mut analysis = Analysis {
        unit,
        unit_given: settings.unit.is_some(),
        close_holes,
        choices: settings.choices.clone(),
        oddities: stl.oddities,
        healed,
        crossings,
        bvh,
        faces,
        samples,
        mass,
        walls,
        release,
        cutting,
        as_milled: settings.milling.as_milled,
        hidden_faces,
        shape,
        evaluation,
        pinned,
        filling: Err(NotFilled::Skipped),
        setup,
    };
    progress(Stage::Filling)?;
    let input = filling::FillCase { stop: Some(&settings.stop), ..analysis.fill_case() };
    analysis.filling = filling::simulate(input, &settings.fill);
    // What a stopped filling says is no answer.
    if settings.stop.is_asked() { Err(AnalysisError::Stopped) } else { Ok(analysis) }
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

impl Analysis {
    /// What filling asks about.
    fn fill_case(&self) -> filling::FillCase<'_> {
        filling::FillCase {
            mesh: &self.healed.mesh,
            bvh: &self.bvh,
            faces: &self.faces,
            closed: self.healed.closed,
            parting: &self.release.parting,
            pull: self.release.pull,
            shape: &self.shape,
            evaluation: &self.evaluation,
            choices: &self.choices,
            press: &self.setup.press,
            plastic: &self.setup.plastic,
            milled: milling::counted(&self.cutting, self.as_milled),
            walls: None,
            step_on: None,
            stop: None,
        }
    }
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

/// Walls against what this plastic stands on this press.
fn judged(thickness: Thickness, samples: &Samples, setup: &Setup) -> Walls {
    let limits = part_limits::wall(&setup.plastic, setup.press.class());
    let beyond = |values: &[Option<f64>], bad: Bad| {
        let least_area = thickness::LEAST_REGION * bad.limit().powi(2);
        field::extremes(samples, values, bad, least_area)
    };
    let (thin, thick) = limits.as_ref().map_or_else(
        |_| (Vec::new(), Vec::new()),
        |limits| {
            let thin = beyond(&thickness.of_walls(), Bad::Below(units::mm(limits.low)));
            let thick = beyond(&thickness.of_lumps(), Bad::Above(units::mm(limits.high)));
            (thin, thick)
        },
    );
    Walls { thickness, limits, thin, thick }
}

fn opening(
    part: Part<'_>,
    samples: &Samples,
    setup: &Setup,
    settings: &Settings,
) -> Opening {
    let Part { mesh, neighbors, bvh, faces } = part;
    let (draft_limit, rule) = draft_rule(setup, settings);
    let held_area = held_area(&setup.press, settings.choices.usual_feed_share());
    let criteria = Criteria { rule, held_area };
    let mut alternatives = pull::best(part, samples, criteria, settings.pull);
    let best = alternatives.first().map(|best| best.direction);
    let pull = settings.pull.or(best).unwrap_or(Direction::Z);
    let release = Release::along(bvh, samples, pull);
    let core = draft::core_side(bvh, samples, &release, pull);
    let sides = draft::sides(samples, &release, pull, core);
    let undercut = undercut::measure(bvh, samples, &release, pull);
    let silhouette = silhouette::along(mesh, neighbors, pull);
    pull::settle(&mut alternatives, pull, &undercut, silhouette.area);
    let (parting, skins) = parting::with_skins(part, pull, core);
    let drafted = Drafted { mesh, faces, samples, sides: &sides };
    Opening {
        pull,
        pull_given: settings.pull.is_some(),
        alternatives,
        height: draft::height(mesh, pull),
        silhouette,
        core,
        parting,
        skins,
        remedies: remedies::list(part, samples, &undercut.regions, pull),
        undercut,
        draft_limit,
        rule,
        texture: settings.texture,
        short: draft::short(&drafted, bvh, pull, rule),
        sides,
    }
}

/// What plastic and texture ask of the walls along the pull.
fn draft_rule(setup: &Setup, settings: &Settings) -> (Result<DraftLimit, Unknown>, Rule) {
    let draft_limit = part_limits::draft(&setup.plastic);
    let mut rule = draft_limit.as_ref().map_or(Rule::DEFAULT, |limit| Rule {
        least_deg: units::degrees(limit.required),
        deg_per_mm: part_limits::DRAFT_DEG_PER_MM,
        ..Rule::DEFAULT
    });
    rule.inside_deg = part_limits::DRAFT_INSIDE_DEG;
    rule.texture_deg = settings
        .texture
        .map_or(0.0, |depth| units::degrees(part_limits::texture_draft(depth)));
    (draft_limit, rule)
}

/// The projected area of a part that the clamp holds shut with its feed, mm². The feed is not sized
/// before the pull is known, so it counts by its usual share.
fn held_area(press: &Press, feed_share: Ratio) -> Option<f64> {
    let held = force::holdable_area(press.holding_force()?, press.melt_pressure())?;
    Some(units::mm2(force::without_feed(held, feed_share)))
}
