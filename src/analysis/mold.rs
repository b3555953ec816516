//! From an analysis to its mold: what the mold asks for, taken from measures, press and
//! plastic, and the checks that need them.

use crate::analysis::line_places::{from_gate, vent_places};
use crate::analysis::milling::{self, MillingStudy, NotMilled};
use crate::analysis::{Analysis, process_input, standing_metal};
use crate::geom::{Point, Vector};
use crate::mold::brep::{self, Brep, NoBrep};
use crate::mold::build::{self, Mold, MoldInput, NoMold};
use crate::mold::layout::{ChosenPlates, Layout, Without};
use crate::mold::mold_checks::{self, Check};
use crate::mold::pose::Pose;
use crate::mold::vents;
use crate::part::halves::Half;
use crate::part::undercut;
use crate::process::clamping::bolts::Bolts;
use crate::process::clamping::flash::LAND_SHARE;
use crate::process::clamping::mold_plates::Plates;
use crate::process::feed::layout::FeedLayout;
use crate::process::plastic::Unknown;
use crate::settings::MillChoices;
use crate::units::{Length, Quantity, format::four_digits, in_mm, in_mpa};

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
    pub for_cad: Vec<(&'static str, Result<Brep, NoBrep>)>,
    /// Every check.
    pub checks: Vec<Check>,
    /// What was not wanted.
    pub without: Without,
    /// How the halves lie in their files.
    pub pose: Pose,
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
    let feed = analysis.evaluation.feed_design.as_ref();
    if let Err(reason) = &feed {
        notes.push(format!("no feed is drawn: {reason}"));
    }
    let gates = |gate: Point| match choices.gate {
        None if !is_direct(analysis) => from_gate(analysis, gate),
        // A sprue on a face stands there or nowhere.
        _ => vec![gate],
    };
    let feed =
        feed.ok().zip(gate).map(|(feed_design, gate)| (&feed_design.feed, gates(gate)));
    let wanted = vent_places(analysis, gate);
    let vent = analysis.evaluation.vent.as_ref().ok();
    let count = vent_count(analysis, choices, &mut notes);
    let given = analysis.setup.press.mold.clone().unwrap_or_default();
    let input = MoldInput {
        skins: &release.skins,
        pull: release.pull,
        core: release.core,
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
    notes.extend(of_layout(&mold.layout));
    notes.extend(moved_gate(&mold));
    let least = undercut::least_depth(analysis.part.faces.chord_error);
    let mut noise = least;
    if let Some(deepest) = release.undercut.deepest().filter(|deepest| *deepest > noise) {
        notes.push(format!(
            "what is trapped by up to {deepest:.2} mm is stripped off (--strip); the mold has undercuts there that only a T-slot cutter or an insert forms"
        ));
        noise = deepest;
    }
    let mut checks = mold_checks::run(&mold, noise);
    checks.extend(press_checks(analysis, choices, &mold));
    let cutting = milling::of_mold(&mold, release.pull, &choices.milling);
    checks.extend(milling::checks(&cutting, &mold, noise > least));
    let MoldChoices { without, pose, .. } = *choices;
    let for_cad = brep::of_mold(&mold);
    Ok(MoldDesign { mold, cutting, for_cad, checks, without, pose, notes })
}

/// That the gate stands elsewhere than asked for.
fn moved_gate(mold: &Mold) -> Option<String> {
    let way = mold.way.as_ref().filter(|way| way.moved > 0.1)?;
    Some(format!(
        "the gate stands {:.1} mm from the first place asked for: gates stand on the line around the part, where a runner finds room and the gate opens; filling and vents are those of the first place (--gate sets another)",
        way.moved
    ))
}

/// What was assumed or left out in the block.
fn of_layout(layout: &Layout) -> Vec<String> {
    let plates = layout.plates.assumed.iter().map(|line| format!("[mold] {line}"));
    layout.notes.iter().cloned().chain(plates).collect()
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
    let regions = analysis.release.undercut.regions.iter();
    let trapped = regions
        .filter(|region| region.is_real(chord))
        .find(|region| region.depth.is_none() || !choices.strip);
    trapped.map_or(Ok(()), |region| {
        let depth = region.depth.map_or_else(
            || "and nothing across the pull frees it".to_owned(),
            |depth| format!("{depth:.2} mm deep"),
        );
        Err(NoDesign::Trapped { at: region.at, depth })
    })
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

/// What press and mill say to this block.
fn press_checks(analysis: &Analysis, choices: &MoldChoices, mold: &Mold) -> Vec<Check> {
    let block = mold.layout.block;
    let [x, y, z] = block.map(|[low, high]| high - low);
    let closed = "height of the closed mold against the opening of the press";
    let mut checks = vec![choices.opening.map_or_else(
        || Check::unknown(closed, None, "mm"),
        |opening| Check::at_most(closed, z, in_mm(opening), "mm"),
    )];
    let names = ["longer edge", "shorter edge", "thickness"];
    let thickest = mold.stock(Half::Plus).max(mold.stock(Half::Minus));
    let sizes = [x.max(y), x.min(y), thickest];
    let travel = choices.travel.map(|travel| {
        let [a, b, c] = travel.map(in_mm);
        [a.max(b), a.min(b), c]
    });
    for axis in 0..3 {
        let name = format!("{} of a plate against the travel of the mill", names[axis]);
        checks.push(travel.map_or_else(
            || Check::unknown(&name, None, "mm"),
            |travel| Check::at_most(&name, sizes[axis], travel[axis], "mm"),
        ));
    }
    let bounds = mold.part.bounds();
    let behind = (block[2][1] - bounds.max.z).min(bounds.min.z - block[2][0]);
    checks.push(Check::at_least("metal behind the part", behind, 3.0, "mm"));
    checks.push(bearing(analysis, mold));
    checks.push(gap_check(analysis));
    checks
}

/// How far the parting opens under the melt: not known where nothing is said of bolts or vise,
/// too much where they or the plates are overloaded.
fn gap_check(analysis: &Analysis) -> Check {
    let name = "gap of the parting under the melt";
    let bows = analysis.evaluation.clamping.bows();
    let limit = bows.and_then(|bows| bows.stays_in).map(|range| in_mm(range.low));
    let (Some(bows), Some(limit)) = (bows, limit) else {
        return Check::unknown(name, limit, "mm");
    };
    bows.gap.map_or_else(
        || Check {
            ok: Some(false),
            why: Some("bolts or plates are loaded beyond what they stand".to_owned()),
            ..Check::unknown(name, Some(limit), "mm")
        },
        |gap| Check::at_most(name, in_mm(gap), limit, "mm"),
    )
}

/// Pressure of all bolts at their highest preload on the land around part and feed.
fn bearing(analysis: &Analysis, mold: &Mold) -> Check {
    let name = "pressure of the bolts on the land";
    let proof = mold.layout.plates.alloy.metal().proof;
    let limit = in_mpa(proof) * LAND_SHARE;
    let preload = analysis.setup.press.bolts().map(Bolts::high_preload);
    let Some(Ok(preload)) = preload else {
        return Check::unknown(name, Some(limit), "MPa");
    };
    let [x, y, _] = mold.layout.block.map(|[low, high]| high - low);
    let projected_area = analysis.release.silhouette.area * mold.axes.area_scale_across();
    let round = |diameter: f64| std::f64::consts::FRAC_PI_4 * diameter * diameter;
    let holes: f64 = mold
        .layout
        .cuts
        .iter()
        .filter(|cut| cut.half == mold.core && cut.end.is_none())
        .map(|cut| round(cut.width))
        .sum();
    let land = x * y - projected_area - holes;
    Check::at_most(name, preload.si() / land, limit, "MPa")
}
