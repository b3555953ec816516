//! From what was measured to what plastic and press ask ([`PartData`]), and from the pins that
//! they ask for to places on the part.

use crate::analysis::{Opening, Pinned, Walls};
use crate::geom::{Frame, Point};
use crate::mesh::{TriMesh, bvh::Bvh, samples::Samples};
use crate::part::draft::Side;
use crate::part::field;
use crate::part::grips;
use crate::part::pin_sites::{Kept, METAL_MM, PinSites, Room, Wanted};
use crate::process::ejection::pins::{DIAMETERS_MM, Pins};
use crate::process::evaluation::ejection::EjectionForces;
use crate::process::evaluation::{Core, Evaluation, PartData};
use crate::units::{self, Length, from_degrees, from_mm, from_mm2, from_mm3};

/// A pin may stand where the part is thinner than its median wall by this share, which is
/// about how much the median differs from place to place on an even wall.
const THINNER: f64 = 0.9;

/// Samples among which places for pins are looked for: a place narrower than their spacing
/// may be missed, and each costs some forty rays.
const PAD_SAMPLES: usize = 10_000;

/// So thick that no pin punches through, mm.
const SOLID_MM: f64 = 1000.0;

/// What was measured before.
pub(super) struct Measured<'a> {
    /// The part.
    pub mesh: &'a TriMesh,
    /// Its walls.
    pub walls: &'a Walls,
    /// The part along its pull.
    pub release: &'a Opening,
    /// Its volume, mm³.
    pub solid: Option<f64>,
}

/// The part in its mold.
pub(super) fn kept<'a>(
    bvh: &'a Bvh,
    samples: &'a Samples,
    release: &'a Opening,
) -> Kept<'a> {
    let Opening { sides, pull, core, .. } = release;
    Kept { bvh, samples, sides, pull: *pull, core: *core }
}

/// The part as plastic and press ask for it.
pub(super) fn describe(measured: &Measured<'_>, kept: &Kept<'_>) -> PartData {
    let Measured { mesh, walls, release, solid } = measured;
    let frame = Frame::along(release.pull);
    let spans = spans(mesh, &frame);
    let [right, up, along] = spans;
    let middle = [right, up].map(|[low, high]| f64::midpoint(low, high));
    let projected_area = &release.silhouette;
    let parting = parting_height(release).unwrap_or(f64::midpoint(along[0], along[1]));
    let grips = grips::find(kept);
    let size = mesh.bounds().size();
    PartData {
        volume: solid.map(from_mm3),
        size: [size.x, size.y, size.z].map(from_mm),
        projected_area: from_mm2(projected_area.area),
        extents: [right, up].map(|[low, high]| from_mm(high - low)),
        off_middle: [0, 1]
            .map(|axis| from_mm(projected_area.centroid[axis] - middle[axis])),
        depths: [along[1] - parting, parting - along[0]]
            .map(|depth| from_mm(depth.max(0.0))),
        wall: field::quantiles(&walls.thickness.ball)
            .or_else(|| field::quantiles(&walls.thickness.ray))
            .map(|wall| from_mm(wall.p50)),
        thickest: field::greatest(&walls.thickness.of_lumps()).map(from_mm),
        cores: grips.core.iter().map(core).collect(),
        cavity_cores: grips.cavity.iter().map(core).collect(),
    }
}

fn core(core: &grips::Core) -> Core {
    Core {
        walls: from_mm2(core.area),
        height: from_mm(core.height),
        draft: from_degrees(core.draft_deg),
        closed: core.closed,
    }
}

/// Lowest and highest coordinate along each axis of `frame`.
fn spans(mesh: &TriMesh, frame: &Frame) -> [[f64; 2]; 3] {
    let mut spans = [[f64::INFINITY, f64::NEG_INFINITY]; 3];
    for point in mesh.points() {
        let [x, y] = frame.flatten(point);
        for (span, value) in spans.iter_mut().zip([x, y, frame.height(point)]) {
            *span = [span[0].min(value), span[1].max(value)];
        }
    }
    spans
}

/// Where the halves meet along the pull: the plane of a flat parting, else the middle of
/// the longest line around the part.
pub(super) fn parting_height(release: &Opening) -> Option<f64> {
    let outer = release.parting.outer();
    let longest = outer.max_by(|a, b| a.length.total_cmp(&b.length));
    release
        .parting
        .height
        .or(longest.map(|line| f64::midpoint(line.height_low, line.height_high)))
}

/// Metal that is left beside the hole of a pin where no place leaves [`METAL_MM`], mm: the
/// hole must not break into the core's flank.
const THIN_METAL_MM: f64 = 0.2;

/// Pins of the diameter `only`, else the thinnest of the shelf that do and find a place each,
/// with sturdy metal beside their holes if they can; where no diameter finds all its places,
/// the one that misses fewest. `None` when nothing is known of the force.
///
/// How many are needed depends on how thick the part is where they push, and where they push
/// on how many there are: the number that would do on solid plastic is asked for first, then
/// the number that the places found ask for.
pub(super) fn pins(
    evaluation: &Evaluation,
    part: &Kept<'_>,
    only: Option<Length>,
) -> Option<Pinned> {
    let ejection = evaluation.ejection.as_ref().ok()?;
    let least_wall = THINNER * units::in_mm(ejection.push.wall);
    let samples = part.samples.thinned(PAD_SAMPLES);
    let step = part.samples.stride(PAD_SAMPLES);
    let sides: Vec<Side> = part.sides.iter().copied().step_by(step).collect();
    let few = Kept { samples: &samples, sides: &sides, ..*part };
    let grips = few.grips();
    let diameters = only.map_or(DIAMETERS_MM.to_vec(), |only| vec![units::in_mm(only)]);
    let mut best: Option<(usize, Pinned)> = None;
    'found: for least_metal in [METAL_MM, THIN_METAL_MM] {
        for &diameter in &diameters {
            let wanted = Wanted { diameter, count: 1, least_wall, least_metal };
            let Some(tried) = place(ejection, (&few, &grips), &wanted) else {
                continue;
            };
            let count = tried.pins.map_or(usize::MAX, |pins| pins.count as usize);
            let missing = count.saturating_sub(tried.pads.list.len());
            if best.as_ref().is_none_or(|(least, _)| missing < *least) {
                best = Some((missing, tried));
            }
            if missing == 0 {
                break 'found;
            }
        }
    }
    let none = || PinSites { list: Vec::new(), middle: Point::origin(), off: None };
    let none = || Pinned { pins: None, behind: Length::default(), pads: none() };
    Some(best.map_or_else(none, |(_, pinned)| pinned))
}

/// Pins of one diameter; `None` when too many are needed.
fn place(
    ejection: &EjectionForces,
    (part, grips): (&Kept<'_>, &[Point]),
    wanted: &Wanted,
) -> Option<Pinned> {
    let room = Room::find(part, grips, wanted);
    let ask = |pins: Pins| room.best(&Wanted { count: pins.count, ..*wanted });
    let thinnest = |pads: &PinSites| {
        let behind = pads.list.iter().filter_map(|pad| grips::behind(part, &pad.at));
        behind.min_by(f64::total_cmp).unwrap_or(wanted.least_wall)
    };
    let needed = |behind: f64| ejection.pins(from_mm(wanted.diameter), from_mm(behind));
    let least = needed(SOLID_MM)?;
    let first = ask(least);
    let enough = needed(thinnest(&first))?;
    let pads = if enough.count <= least.count { first } else { ask(enough) };
    // More pins may have to stand where the part is thinner still.
    let behind = thinnest(&pads);
    Some(Pinned { pins: needed(behind), behind: from_mm(behind), pads })
}
