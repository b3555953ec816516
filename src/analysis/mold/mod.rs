//! From an analysis to its mold: what the mold asks for, taken from measures, press and
//! plastic, and the checks that need them: `ejection_checks`,
//! `press_checks`; what is to be said besides: `notes`.

mod ejection_checks;
mod press_checks;
mod notes;

use ejection_checks::ejection_checks;
use notes::{of_layout, of_moved_gate, of_snapping, stripped};
use press_checks::press_checks;

use crate::analysis::line_places::{from_gate, vent_places};
use crate::analysis::milling::{self, MillingStudy, NotMilled};
use crate::analysis::{Analysis, process_input, standing_metal};
use crate::geom::{Point, Vector};
use crate::mold::brep::{self, Made};
use crate::mold::build::{self, Mold, MoldInput, NoMold};
use crate::mold::layout::{ChosenPlates, Without};
use crate::mold::mold_checks::{self, Check};
use crate::mold::pose::Pose;
use crate::mold::toolpaths::{self, Programs};
use crate::mold::vents;
use crate::part::ejector_pin_sites::SQUARE_DEG;
use crate::part::remedies::Remedy;
use crate::process::clamping::mold_plates::Plates;
use crate::process::feed::Feed;
use crate::process::feed::layout::FeedLayout;
use crate::process::plastic::Unknown;
use crate::settings::MillChoices;
use crate::units::{Length, format::four_digits, in_mm};

/// No part of a small press is longer than this, mm.
pub const LARGE_MM: f64 = 1000.0;

/// No mold is milled for a part that is thinner than this across, mm: the finest cutters are.
const THIN_MM: f64 = 0.1;

/// What the user wants of the mold besides the part's own choices.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MoldChoices {
    /// What is not wanted.
    pub without: Without,
    /// Trapped places are stripped off.
    pub strip: bool,
    /// How far the press opens for the closed mold.
    pub opening: Option<Length>,
    /// How far the mill travels: along x, y and z.
    pub travel: Option<[Length; 3]>,
    /// Diameter of the dowels; follows the plates when not given.
    pub dowel: Option<Length>,
    /// How many vents are cut; as many as the melt asks for, within reason, when not given.
    pub vents: Option<u32>,
    /// Where the user wants the gate; it moves to where there is room only when not given.
    pub gate: Option<Point>,
    /// How the halves lie in their files.
    pub pose: Pose,
    /// Whether programs for the mill are wanted.
    pub programs: bool,
    /// The cutters that are sent over the finished halves.
    pub milling: MillChoices,
}

/// A mold and what is known of it.
pub struct MoldDesign {
    /// The mold.
    pub mold: Mold,
    /// What the cutters leave of its halves, or why that is not known.
    pub cutting: Result<MillingStudy, NotMilled>,
    /// Its solids for CAD, each with its name, or why there is none.
    pub for_cad: Vec<Made>,
    /// Every check.
    pub checks: Vec<Check>,
    /// What was not wanted.
    pub without: Without,
    /// How far the gate was moved from where the user wanted it, mm; `None` where nobody did.
    pub gate_moved: Option<f64>,
    /// How the halves lie in their files.
    pub pose: Pose,
    /// Programs for the mill, when they are wanted.
    pub programs: Option<Programs>,
    /// What was assumed, and what was left out.
    pub notes: Vec<String>,
}

/// Why there is no mold.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoDesign {
    /// It is too large or too thin for any mold of a small press.
    #[error(
        "the part measures {0} mm: no mold is milled for a part over {LARGE_MM} mm long or under {THIN_MM} mm \
         thin; is the unit right (--unit)?"
    )]
    Size(String),
    /// The surface is open.
    #[error(
        "the surface is open, so it has no inside: mend it in CAD, or try --close-holes"
    )]
    Open,
    /// It passes through itself.
    #[error(
        "the surface passes through itself near ({:.1}, {:.1}, {:.1}) mm, so what is plastic there is not clear: unite the bodies in CAD",
        .0.x, .0.y, .0.z
    )]
    Crosses(Point),
    /// A place is trapped.
    #[error(
        "the part is trapped at ({:.1}, {:.1}, {:.1}) mm, {depth}: \"goodshot check\" lists ways out; --strip accepts it when the part can be stripped off",
        at.x, at.y, at.z
    )]
    Trapped {
        /// Where it is deepest.
        at: Point,
        /// How deep, in words.
        depth: String,
    },
    /// Stripping it off would tear it.
    #[error(
        "the part cannot be stripped off at ({:.1}, {:.1}, {:.1}) mm: {depth:.2} mm strain it by {:.1} %, and {plastic} withstands {:.1} %; \"goodshot check\" lists other ways out",
        at.x, at.y, at.z, 100.0 * strain, 100.0 * most
    )]
    Torn {
        /// Where it is strained.
        at: Point,
        /// How deep it is trapped, mm.
        depth: f64,
        /// By how much that strains it.
        strain: f64,
        /// How much it withstands.
        most: f64,
        /// Name of the plastic.
        plastic: String,
    },
    /// The plastic lacks a value.
    #[error(transparent)]
    Unknown(#[from] Unknown),
    /// None could be built.
    #[error(transparent)]
    NoMold(#[from] NoMold),
}

/// Builds the mold of `analysis` and checks it.
///
/// # Errors
/// With place and reason, when none can be.
pub fn design(
    analysis: &Analysis,
    choices: &MoldChoices,
) -> Result<MoldDesign, NoDesign> {
    may_measure(analysis.part.mesh.bounds().size())?;
    may_be(analysis, choices)?;
    let whole = analysis.evaluation.shrinkage.as_ref().map_err(Clone::clone)?.scale;
    let axes = analysis.evaluation.shrink_axes.as_ref();
    let scales = axes.map_or([whole; 3], |axes| axes.each_ref().map(|axis| axis.scale));
    let release = &analysis.release;
    let height = process_input::parting_height(release).ok_or(NoMold::NoLine)?;
    let mut notes = Vec::new();
    let gate = gate(analysis, &mut notes);
    let feed = feed(analysis, choices, gate, &mut notes);
    let wanted = vent_places(analysis, gate);
    let vent = analysis.evaluation.vent.as_ref().ok();
    let count = vent_count(analysis, choices, &mut notes);
    let given = analysis.setup.press.mold.clone().unwrap_or_default();
    let input = MoldInput {
        skins: &release.skins,
        pull: release.pull,
        core: release.core,
        cavities: analysis.choices.count(),
        height,
        scales,
        plates: &given,
        chosen: chosen(&analysis.evaluation.clamping.plates),
        bolts: analysis.setup.press.bolts(),
        feed,
        pins: pins(analysis, &mut notes),
        core_pins: standing_metal::core_pins(analysis),
        dowel: choices.dowel.map(in_mm),
        vents: vent.zip(count).map(|(vent, count)| (vent, count, wanted)),
        without: choices.without,
    };
    let mold = build::build(&input)?;
    notes.extend(of_layout(&mold.layout).into_iter().chain(of_snapping(&mold.snapped)));
    notes.extend(mold.way.as_ref().and_then(of_moved_gate));
    let (noise, is_stripped) = stripped(analysis, &mut notes);
    let mut checks = mold_checks::run(&mold, noise, is_stripped);
    checks.extend(ejection_checks(analysis, choices, &mold));
    checks.extend(press_checks(analysis, choices, &mold));
    let cutting = milling::of_mold(&mold, &analysis.part, release, &choices.milling);
    checks.extend(milling::checks(&cutting, &mold, is_stripped));
    let for_cad = brep::of_mold(&mold);
    let cutters = cutting.as_ref().ok().map(|it| (&it.milled, &it.list.cutters[..]));
    let programs = choices.programs.then(|| toolpaths::write(&mold, cutters));
    let gate_moved = gate_moved(&mold, choices);
    let MoldChoices { without, pose, .. } = *choices;
    Ok(MoldDesign {
        mold,
        cutting,
        for_cad,
        checks,
        without,
        gate_moved,
        pose,
        programs,
        notes,
    })
}

/// The feed with the places for its gate.
fn feed<'a>(
    analysis: &'a Analysis,
    choices: &MoldChoices,
    gate: Option<Point>,
    notes: &mut Vec<String>,
) -> Option<(&'a Feed, Vec<Point>)> {
    let design = analysis.evaluation.feed_design.as_ref();
    if let Err(reason) = &design {
        notes.push(format!("no feed is drawn: {reason}"));
    }
    let (design, gate) = design.ok().zip(gate)?;
    Some((&design.feed, gates(analysis, choices, gate)))
}

/// How far the gate is from where the user wanted it, mm.
fn gate_moved(mold: &Mold, choices: &MoldChoices) -> Option<f64> {
    let gate = mold.axes.in_part(&mold.way.as_ref()?.gate);
    Some(nalgebra::distance(&gate, &choices.gate?))
}

/// Whether a part of this size can get a mold, mm along its axes.
///
/// # Errors
/// [`NoDesign::Size`].
pub fn may_measure(size: Vector) -> Result<(), NoDesign> {
    if size.amax() > LARGE_MM || size.min() < THIN_MM {
        let edges: Vec<String> = size.iter().map(|edge| four_digits(*edge)).collect();
        return Err(NoDesign::Size(edges.join(" x ")));
    }
    Ok(())
}

/// Whether a mold may be tried at all.
fn may_be(analysis: &Analysis, choices: &MoldChoices) -> Result<(), NoDesign> {
    if !analysis.part.closed {
        return Err(NoDesign::Open);
    }
    if let Some(at) = analysis.crossings.at {
        return Err(NoDesign::Crosses(at));
    }
    let chord = analysis.part.faces.chord_error;
    let regions = analysis.release.undercut.regions.iter().enumerate();
    for (rank, region) in regions.filter(|(_, region)| region.is_real(chord)) {
        match region.depth {
            Some(depth) if choices.strip => may_strip(analysis, rank, region.at, depth)?,
            Some(depth) => {
                let depth = format!("{depth:.2} mm deep");
                return Err(NoDesign::Trapped { at: region.at, depth });
            }
            None => {
                let depth = "and nothing across the pull frees it".to_owned();
                return Err(NoDesign::Trapped { at: region.at, depth });
            }
        }
    }
    Ok(())
}

/// Whether trapped region `rank` may be stripped off, as far as it is known what that strains
/// and what the plastic withstands.
fn may_strip(
    analysis: &Analysis,
    rank: usize,
    at: Point,
    depth: f64,
) -> Result<(), NoDesign> {
    let plastic = &analysis.setup.plastic;
    let strains = analysis.release.remedies.get(rank).into_iter().flatten();
    let strain = strains.into_iter().find_map(|way| match way {
        // What a hook that bends is strained by is not known here.
        Remedy::Strip { strain, is_ring: true, .. } => Some(*strain),
        _ => None,
    });
    let most = plastic.strip_strain.value.as_ref().map(|range| range.high.value);
    match strain.zip(most).filter(|(strain, most)| strain > most) {
        Some((strain, most)) => {
            let plastic = plastic.name.clone();
            Err(NoDesign::Torn { at, depth, strain, most, plastic })
        }
        None => Ok(()),
    }
}

/// Places for the gate, the best first.
fn gates(analysis: &Analysis, choices: &MoldChoices, gate: Point) -> Vec<Point> {
    match choices.gate {
        None if !is_direct(analysis) => from_gate(analysis, gate),
        // A sprue on a face stands there or nowhere.
        _ => vec![gate],
    }
}

/// The gate that filling found or the user named; else the middle of the longest straight
/// piece of the line around the part.
fn gate(analysis: &Analysis, notes: &mut Vec<String>) -> Option<Point> {
    if let Ok(filled) = &analysis.filling {
        return Some(filled.gate);
    }
    if let Some(face) = analysis.shape.cavity_face.filter(|_| is_direct(analysis)) {
        let [x, y, z] = face.at.map(in_mm);
        return Some(Point::new(x, y, z));
    }
    let lines: Vec<Vec<Point>> =
        analysis.release.parting.outer().map(|line| line.closed()).collect();
    let pieces = lines.iter().flat_map(|line| line.windows(2));
    let longest = pieces.max_by(|a, b| {
        let length = |ends: &[Point]| nalgebra::distance(&ends[0], &ends[1]);
        length(a).total_cmp(&length(b))
    })?;
    notes.push(
        "the gate stands in the middle of the longest straight edge of the parting line: where it fills best was not asked"
            .to_owned(),
    );
    Some(nalgebra::center(&longest[0], &longest[1]))
}

/// Whether the sprue stands on the part.
fn is_direct(analysis: &Analysis) -> bool {
    let feed_design = analysis.evaluation.feed_design.as_ref();
    feed_design.is_ok_and(|it| it.feed.layout == FeedLayout::Direct)
}

/// The plates that were chosen; `None` where the press file has them.
fn chosen(plates: &Plates) -> Option<ChosenPlates<'_>> {
    let Plates { thickness, shallower, .. } = plates;
    let thickness = [*thickness, *shallower].map(in_mm);
    plates.thickness_why.as_deref().map(|why| ChosenPlates { thickness, why })
}

/// How many vents are cut.
fn vent_count(
    analysis: &Analysis,
    choices: &MoldChoices,
    notes: &mut Vec<String>,
) -> Option<u32> {
    let count = choices.vents.or(analysis.evaluation.vent_count())?;
    if choices.vents.is_some() || count <= vents::MOST {
        return Some(count);
    }
    notes.push(format!(
        "vents: {} of the {count} that the melt asks for are cut (--vents); scratch more at the end of the flow path while testing",
        vents::MOST
    ));
    Some(vents::MOST)
}

/// Diameter and places of the ejector pins.
fn pins(
    analysis: &Analysis,
    notes: &mut Vec<String>,
) -> Option<(f64, Vec<(Point, f64)>)> {
    let pinned = analysis.pinned.as_ref()?;
    let Some(pins) = pinned.pins else {
        notes.push(
            "no ejector pins are drawn: no number of them pushes the part off".to_owned(),
        );
        return None;
    };
    let places: Vec<(Point, f64)> =
        pinned.pads.list.iter().map(|pad| (pad.at, pad.wall)).collect();
    let sloped = pinned.pads.list.iter().map(|pad| pad.lean_deg).fold(0.0, f64::max);
    if sloped > SQUARE_DEG {
        notes.push(format!(
            "ejector pins push on a slope of {} degrees: grind their tips to it, and keep them from turning with a flat on the head",
            four_digits(sloped)
        ));
    }
    if places.len() < pins.count as usize {
        notes.push(format!(
            "ejector pins: {} of {} of {} mm find a flat place with metal around (--pin-diameter)",
            places.len(),
            pins.count,
            four_digits(in_mm(pins.diameter))
        ));
    }
    Some((in_mm(pins.diameter), places)).filter(|(_, places)| !places.is_empty())
}
