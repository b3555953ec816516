//! How long the steps of a test piece are on this press: as long as the press surely fills and
//! the mold surely holds, so that every smaller setting stops the melt on its way.
//!
//! The steps keep their proportions, each about as hard to fill as the next; their common length
//! is searched by the same check as that of any part, on coarser cells.

use super::{Analysis, AnalysisError, Setup, run};
use crate::fill::cells::Resolution;
use crate::geom::{Direction, Point};
use crate::mesh::stl;
use crate::mold::milling::CutterList;
use crate::mold::milling::cutter::Cutter;
use crate::mold::test_piece::{MARK_EVERY_MM, Step, TestPiece, WALLS_MM};
use crate::process::feed::layout::FeedLayout;
use crate::process::press::Press;
use crate::process::press::shot::ADVISED;
use crate::settings::{FileUnit, Settings};
use crate::units::{Pressure, Quantity, in_mm};

/// Width of the strip, mm: wide enough that its edges hardly count on walls up to 3 mm, narrow
/// enough for a small shot (judgment).
const WIDTH_MM: f64 = 8.0;
/// Draft of its sides, degrees: it lets go without polishing (judgment).
const DRAFT_DEG: f64 = 3.0;
/// Length of the thinnest step of the first piece tried, mm.
const FIRST_MM: f64 = 25.0;
/// The length of a step grows with its wall by this power: a wall twice as thick flows so much
/// farther under the same pressure before it freezes, roughly.
const FARTHER: f64 = 1.3;
/// A step is no shorter than four marks, mm.
const SHORTEST_MM: f64 = 20.0;
/// Common factors that are tried.
const SCALES: [f64; 2] = [0.4, 2.0];
/// Pieces tried for one set of walls.
const TRIES: u32 = 5;
/// A piece that takes at least this share of what there is, is long enough.
const USED: f64 = 0.85;
/// Cells of the pieces that are tried.
const CELLS: usize = 3000;
/// Samples of the pieces that are tried.
const SAMPLES: usize = 8000;

/// A test piece for a press.
pub struct SizedPiece {
    /// The piece.
    pub piece: TestPiece,
    /// Its check, on coarse cells and without cutters.
    pub analysis: Analysis,
    /// Whether the press surely fills all of it and the mold surely holds that.
    pub is_sure: bool,
}

/// A shot of a test piece that is worth making.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlannedShot {
    /// Melt pressure.
    pub pressure: Pressure,
    /// How far it is expected to reach, mm.
    pub reaches_mm: f64,
    /// The wall there, mm.
    pub wall_mm: f64,
}

/// The bytes of its STL file.
pub fn stl_bytes(piece: &TestPiece) -> Vec<u8> {
    let mesh = piece.mesh();
    let corners: Vec<[Point; 3]> =
        (0..mesh.facets().len()).map(|facet| mesh.corners(facet)).collect();
    let mut bytes = Vec::new();
    // Memory takes all that is written, and no strip has so many facets.
    let _ = stl::write(corners.into_iter(), &mut bytes);
    bytes
}

/// `settings` as a test piece is looked at: in mm, opened along z, its gate at the outer end.
pub fn settings_for(settings: &Settings, press: &Press) -> Settings {
    let mut own = settings.clone();
    // A sprue on its back would stand in the middle of the strip.
    let is_vise = press.clamp.as_ref().is_some_and(|clamp| clamp.vise.is_some());
    let layout = if is_vise { FeedLayout::Split } else { FeedLayout::Edge };
    own.choices.feed.layout = Some(layout);
    own.choices.cavities = None;
    own.unit = Some(FileUnit::Millimeter);
    own.pull = Some(Direction::Z);
    own.fill.gate = Some(TestPiece::GATE);
    own
}

/// The test piece for this press, plastic and cutters; `show` hears which length is tried.
///
/// # Errors
/// As a check.
pub fn size(
    setup: &Setup,
    settings: &Settings,
    show: &dyn Fn(f64),
) -> Result<SizedPiece, AnalysisError> {
    let mut walls = WALLS_MM.to_vec();
    loop {
        let found = longest(&walls, setup, settings, show)?;
        if found.is_sure || walls.len() == 1 {
            return Ok(found);
        }
        // The thinnest step is out of reach of this press.
        walls.pop();
    }
}

/// The longest piece with these walls that the press surely fills, or the shortest one.
fn longest(
    walls: &[f64],
    setup: &Setup,
    settings: &Settings,
    show: &dyn Fn(f64),
) -> Result<SizedPiece, AnalysisError> {
    let [least, most] = SCALES;
    let mut scale = 1.0;
    let mut sure: Option<SizedPiece> = None;
    let mut before: Option<TestPiece> = None;
    for _ in 0..TRIES {
        let piece = piece(walls, scale, settings);
        if before.as_ref() == Some(&piece) {
            break;
        }
        before = Some(piece.clone());
        show(piece.length());
        let analysis = check(&piece, setup, settings)?;
        let load = load(&analysis);
        let is_sure = load <= 1.0;
        let is_longer =
            |best: &SizedPiece| piece.length() > best.piece.length() || !best.is_sure;
        if sure.as_ref().is_none_or(is_longer) && (is_sure || sure.is_none()) {
            sure = Some(SizedPiece { piece, analysis, is_sure });
        }
        let at_end = (is_sure && scale >= most) || (!is_sure && scale <= least);
        if at_end || (USED..=1.0).contains(&load) {
            break;
        }
        // The pressure grows a little faster than the length.
        let aim = 0.5 * (USED + 1.0);
        let change = (aim / load).powf(0.8).clamp(0.5, 2.0);
        scale = (scale * change).clamp(least, most);
    }
    match sure {
        Some(found) => Ok(found),
        None => {
            let piece = piece(walls, least, settings);
            let analysis = check(&piece, setup, settings)?;
            Ok(SizedPiece { piece, analysis, is_sure: false })
        }
    }
}

/// The piece with these walls, its lengths in whole marks.
fn piece(walls: &[f64], scale: f64, settings: &Settings) -> TestPiece {
    let [.., thinnest] = WALLS_MM;
    let step = |wall: &f64| {
        let wanted = scale * FIRST_MM * (wall / thinnest).powf(FARTHER);
        let marks = (wanted / MARK_EVERY_MM).round();
        Step { wall: *wall, length: (marks * MARK_EVERY_MM).max(SHORTEST_MM) }
    };
    let smallest = smallest_cutter(settings);
    TestPiece {
        steps: walls.iter().map(step).collect(),
        // A cutter has to pass the narrowest place of the channel.
        width: WIDTH_MM.max((1.5 * smallest).ceil()),
        draft_deg: DRAFT_DEG,
        mark: smallest.clamp(1.0, 2.5),
    }
}

/// Diameter of the smallest cutter at hand, mm.
fn smallest_cutter(settings: &Settings) -> f64 {
    let own = settings.milling.cutters.clone();
    let list = own.or_else(|| CutterList::builtin().ok());
    let straight = |cutter: &&Cutter| cutter.taper <= 0.0;
    let widths = list.iter().flat_map(|list| &list.cutters).filter(straight);
    let least = widths.map(|cutter| cutter.diameter).fold(f64::INFINITY, f64::min);
    if least.is_finite() { least } else { 1.0 }
}

fn check(
    piece: &TestPiece,
    setup: &Setup,
    settings: &Settings,
) -> Result<Analysis, AnalysisError> {
    let mut coarse = settings_for(settings, &setup.press);
    coarse.milling.skip = true;
    coarse.fill.cells = Resolution::Budget(CELLS);
    coarse.samples = SAMPLES;
    run(stl_bytes(piece), setup.clone(), &coarse, &|_| ())
}

/// What the piece takes of what there is: of the pressure that the press has and the mold surely
/// holds, in the worst case, and of the shot.
fn load(analysis: &Analysis) -> f64 {
    let evaluation = &analysis.evaluation;
    let window = &evaluation.window;
    let pressure =
        window.fills.map_or(f64::INFINITY, |fills| fills.worst.si() / window.most().si());
    let shot = evaluation.shot.as_ref().and_then(|shot| shot.as_ref().ok());
    let barrel = shot.map_or(0.0, |shot| shot.fraction.si() / ADVISED);
    pressure.max(barrel)
}

/// One shot for each step, each to the middle of its step, the gentlest first; none where that is
/// not known.
pub fn planned_shots(sized: &SizedPiece) -> Vec<PlannedShot> {
    let SizedPiece { piece, analysis, .. } = sized;
    let Ok(Some(answering)) = analysis.answering() else { return Vec::new() };
    let shots = piece.steps.iter().zip(piece.ends()).filter_map(|(step, end)| {
        let reaches_mm = end - 0.5 * step.length;
        let pa = answering.pressure_pa(piece.share(reaches_mm))?;
        Some(PlannedShot {
            pressure: Pressure::from_si(pa),
            reaches_mm,
            wall_mm: step.wall,
        })
    });
    shots.collect()
}

/// Diameter that the spiral takes, mm.
pub fn diameter_mm(analysis: &Analysis) -> f64 {
    analysis.shape.extents.map(in_mm).into_iter().fold(0.0, f64::max)
}
