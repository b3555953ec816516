//! From what was measured to what plastic and press ask ([`Shape`]), and from the pins that
//! they ask for to places on the part.

use crate::analysis::{Opening, Pinned, Walls};
use crate::geom::{Frame, Point};
use crate::measure::field;
use crate::measure::grips;
use crate::measure::pads::{self, Kept, Pads, Wanted};
use crate::mesh::{TriMesh, bvh::Bvh, samples::Samples};
use crate::process::making::{Core, Making, Shape};
use crate::process::pins::Pins;
use crate::units::{self, Angle, Area, Length, Quantity, Volume};

/// A pin may stand where the part is thinner than its median wall by this share, which is
/// about how much the median differs from place to place on an even wall.
const THINNER: f64 = 0.9;

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

fn mm(value: f64) -> Length {
    Length::from_si(value * 1e-3)
}

/// The part as plastic and press ask for it.
pub(super) fn of(measured: &Measured<'_>, kept: &Kept<'_>) -> Shape {
    let Measured { mesh, walls, release, solid } = measured;
    let frame = Frame::along(release.pull);
    let spans = spans(mesh, &frame);
    let [right, up, along] = spans;
    let middle = [right, up].map(|[low, high]| f64::midpoint(low, high));
    let shadow = &release.silhouette;
    let parting = parting_height(release).unwrap_or(f64::midpoint(along[0], along[1]));
    let grips = grips::of(kept);
    let size = mesh.bounds().size();
    Shape {
        volume: solid.map(|volume| Volume::from_si(volume * 1e-9)),
        size: [size.x, size.y, size.z].map(mm),
        shadow: Area::from_si(shadow.area * 1e-6),
        extents: [right, up].map(|[low, high]| mm(high - low)),
        off_middle: [0, 1].map(|axis| mm(shadow.centroid[axis] - middle[axis])),
        depths: [along[1] - parting, parting - along[0]].map(|depth| mm(depth.max(0.0))),
        wall: field::quantiles(&walls.thickness.ball)
            .or_else(|| field::quantiles(&walls.thickness.ray))
            .map(|wall| mm(wall.p50)),
        thickest: field::greatest(&walls.thickness.of_lumps()).map(mm),
        cores: grips.core.iter().map(core).collect(),
        cavity_cores: grips.cavity.iter().map(core).collect(),
    }
}

fn core(core: &grips::Core) -> Core {
    Core {
        walls: Area::from_si(core.area * 1e-6),
        height: mm(core.height),
        draft: Angle::from_si(core.draft_deg.to_radians()),
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
fn parting_height(release: &Opening) -> Option<f64> {
    let outer = release.parting.loops.iter().filter(|line| line.is_outer);
    let longest = outer.max_by(|a, b| a.length.total_cmp(&b.length));
    release
        .parting
        .height
        .or(longest.map(|line| f64::midpoint(line.height_low, line.height_high)))
}

/// The thinnest pins that do and find a place each; where no choice finds all its places,
/// the one that misses fewest. `None` when nothing is to be pushed.
pub(super) fn pins(making: &Making, part: &Kept<'_>) -> Option<Pinned> {
    let pushing = making.pushing.as_ref().ok()?;
    let mut best: Option<(Pins, Pads)> = None;
    for pins in &pushing.choices {
        let wanted = Wanted {
            diameter: units::mm(pins.diameter),
            count: pins.count,
            least_wall: THINNER * units::mm(pushing.push.wall),
        };
        let pads = pads::best(part, &wanted);
        let missing = |pins: &Pins, pads: &Pads| pins.count as usize - pads.list.len();
        let fewer = best
            .as_ref()
            .is_none_or(|(other, had)| missing(pins, &pads) < missing(other, had));
        let complete = missing(pins, &pads) == 0;
        if fewer {
            best = Some((*pins, pads));
        }
        if complete {
            break;
        }
    }
    let none = || Pads { list: Vec::new(), middle: Point::origin(), off: None };
    let (pins, pads) =
        best.map_or_else(|| (None, none()), |(pins, pads)| (Some(pins), pads));
    Some(Pinned { pins, pads })
}
