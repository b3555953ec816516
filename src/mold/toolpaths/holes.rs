//! Spotting, drilling and reaming, one hole after the other.

use std::f64::consts::TAU;

use super::path::Path;
use super::setup::Setup;
use super::tool::{Form, Tool};
use crate::geom::Point;
use crate::mold::core_pins;
use crate::mold::cut_feature::{Cut, Kind};
use crate::mold::operations::{self, Up};
use crate::part::halves::Half;

/// Feed begins this far above the metal, mm: roughing may have left some.
pub(super) const ABOVE_MM: f64 = 2.0;
/// After chips are cleared a drill goes fast down to this far above where it was, mm (judgment).
const PECK_GAP_MM: f64 = 0.5;
/// A drill goes this far out of a through hole besides its tip, and a reamer this far, mm (judgment).
const THROUGH_MM: f64 = 0.5;
const REAM_THROUGH_MM: f64 = 1.0;
/// Metal that stays below the tip of a drill in a blind hole, mm (judgment).
const BELOW_TIP_MM: f64 = 0.5;
/// A drill runs off where the metal around its place is less level than this share of the width of
/// its hole and this much, mm (judgment).
const LEVEL: [f64; 2] = [0.2, 0.05];
/// Diameters of spotting drills, mm.
const SPOTS_MM: [f64; 3] = [6.0, 4.0, 3.0];

/// A hole in the axes of a setup; lengths in mm.
pub(super) struct Hole {
    at: [f64; 2],
    /// Height of the metal where it begins.
    surface: f64,
    /// Where its shoulder ends.
    floor: f64,
    is_through: bool,
    spot: f64,
}

/// The hole of a cut.
///
/// # Errors
/// Why it is no plain one.
pub(super) fn hole(setup: &Setup<'_>, cut: &Cut) -> Result<Hole, String> {
    let at = setup.flat(cut.at);
    let surface = match (setup.up, cut.kind) {
        (Up::Outer, _) => 0.0,
        // The core that its pin stands for is not milled.
        (Up::Parting, Kind::CorePin) => {
            let [low, high] = core_pins::core_span(cut);
            let foot = if setup.half == Half::Plus { high } else { low };
            setup.place(&Point::new(cut.at[0], cut.at[1], foot)).z
        }
        (Up::Parting, _) => level_surface(setup, at, cut.width)?,
    };
    // A sprue ends in the counterbore of the nozzle.
    let is_through = cut.through || cut.kind == Kind::Sprue;
    let floor = setup.heights(cut)[0];
    Ok(Hole { at, surface, floor, is_through, spot: operations::spot_depth(cut) })
}

/// Height of the metal around a hole.
fn level_surface(setup: &Setup<'_>, at: [f64; 2], width: f64) -> Result<f64, String> {
    let around = (0..8).map(|step| {
        let (sin, cos) = (TAU * f64::from(step) / 8.0).sin_cos();
        [at[0] + 0.45 * width * cos, at[1] + 0.45 * width * sin]
    });
    let mut span = [f64::INFINITY, f64::NEG_INFINITY];
    for place in around.chain([at]) {
        let height = setup.surface(place).ok_or("it begins beside the metal")?;
        span = [span[0].min(height), span[1].max(height)];
    }
    if span[1] - span[0] > LEVEL[0] * width + LEVEL[1] {
        return Err("it begins on a slope or a step".to_owned());
    }
    Ok(span[1])
}

/// The widest spotting drill that has room at most of these places.
pub(super) fn spotting_drill(setup: &Setup<'_>, holes: &[Hole]) -> Tool {
    let tools = SPOTS_MM.map(|diameter| Tool { form: Form::Spot, diameter });
    let places = |tool: &Tool| {
        holes.iter().filter(|hole| may_spot(setup, hole, *tool).is_ok()).count()
    };
    // Of as good ones the first is the widest.
    let best = tools.iter().rev().max_by_key(|tool| places(tool));
    *best.unwrap_or(&tools[0])
}

/// Marks a hole.
///
/// # Errors
/// Where the drill has no room.
pub(super) fn spot(
    setup: &Setup<'_>,
    path: &mut Path,
    hole: &Hole,
    tool: Tool,
    feed: f64,
) -> Result<(), String> {
    may_spot(setup, hole, tool)?;
    let [x, y] = hole.at;
    path.approach(hole.at, hole.surface + ABOVE_MM);
    path.cut([x, y, hole.surface - hole.spot], feed);
    path.lift();
    Ok(())
}

fn may_spot(setup: &Setup<'_>, hole: &Hole, tool: Tool) -> Result<(), String> {
    let [x, y] = hole.at;
    let tip = [x, y, hole.surface - hole.spot];
    // What stands above the surface is a wall beside the hole.
    if setup.has_room(tip, tool) && setup.clears_walls(tip, tool, hole.surface) {
        Ok(())
    } else {
        Err("a wall is in its way".to_owned())
    }
}

/// Drills a hole in steps of one diameter.
///
/// # Errors
/// Where the tip would come out of a blind hole.
pub(super) fn drill(
    setup: &Setup<'_>,
    path: &mut Path,
    hole: &Hole,
    tool: Tool,
    feed: f64,
) -> Result<(), String> {
    let through = if hole.is_through { THROUGH_MM } else { 0.0 };
    let bottom = hole.floor - tool.tip() - through;
    if !hole.is_through && bottom < setup.underside + BELOW_TIP_MM {
        return Err(format!(
            "the tip of its drill leaves less than {BELOW_TIP_MM} mm of metal below"
        ));
    }
    let [x, y] = hole.at;
    let start = hole.surface + ABOVE_MM;
    path.approach(hole.at, start);
    let mut reached = hole.surface;
    loop {
        let next = (reached - tool.diameter).max(bottom);
        path.cut([x, y, next], feed);
        if next <= bottom {
            break;
        }
        path.slide(start);
        path.slide(next + PECK_GAP_MM);
        reached = next;
    }
    path.lift();
    Ok(())
}

/// Reams a hole in one go, and comes out as slowly; a pin only as far as it is guided.
pub(super) fn ream(
    setup: &Setup<'_>,
    path: &mut Path,
    hole: &Hole,
    cut: &Cut,
    feed: f64,
) {
    let relief = setup.mold.layout.cuts.iter().find(|other| {
        other.kind == Kind::PinRelief
            && (other.half, other.at) == (cut.half, cut.at)
            && cut.kind == Kind::Pin
    });
    let floor = relief.map_or(hole.floor, |relief| setup.heights(relief)[1]);
    let through = if hole.is_through { REAM_THROUGH_MM } else { 0.0 };
    let [x, y] = hole.at;
    let start = hole.surface + ABOVE_MM;
    path.approach(hole.at, start);
    path.cut([x, y, floor - through], feed);
    path.cut([x, y, start], feed);
    path.lift();
}
