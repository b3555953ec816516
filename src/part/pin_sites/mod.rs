//! Where ejector pins can push: flat places square to the pull, on the half that keeps the
//! part, each as wide as a pin and thick enough behind.
//!
//! The part grips the walls that it shrinks onto, so pins belong beside them, spread around
//! the middle of those walls: a pin in the middle of a floor bows the floor, and pins on one
//! side tip the part. Candidates are the surface samples; a place narrower than the spacing
//! of the samples may be missed, and a pin that overhangs an edge is not offered.

use std::f64::consts::TAU;

use rayon::prelude::*;

use crate::geom::{Direction, Frame, Point, Vector};
use crate::mesh::{bvh::Bvh, samples::Samples};
use crate::part::draft::{self, CoreSide, Side};
use crate::part::undercut::CLEARANCE;

/// A face leans off the pull by less than this to be square to it: a pin on a steeper one
/// slips and needs a keyed head.
const SQUARE_DEG: f64 = 1.0;

/// A wall stands along the pull while its normal has less than this share along it.
const STANDING: f64 = 0.5;

/// The face around a pin may step by this much, mm: what a mill leaves.
const FLAT_MM: f64 = 0.05;

/// Between a pin and the edge of the face that it pushes on, mm.
const MARGIN_MM: f64 = 0.2;

/// Metal that should stand between the hole of a pin and the core's flank, mm (judgement: a
/// thinner wall breaks out when the hole is reamed).
pub const METAL_MM: f64 = 1.0;

/// Depths below the face of a pin at which the metal beside its hole is measured, mm.
const BELOW_MM: [f64; 4] = [0.3, 1.0, 3.0, 9.0];

/// Points asked on the rim of a pin; half as many halfway in, and its middle.
const RIM: u32 = 12;

/// With so many of the points off the face a candidate is moved at once.
const MOST_LOST: usize = 9;

/// A candidate is moved off edges and walls this many times before it is given up.
const MOVES: u32 = 6;

/// Ways to turn the sectors around the middle, in which one pin each is looked for.
const TURNS: u32 = 12;

/// So many places are tried, evenly spread: each costs some forty rays.
const PLACES: usize = 600;

/// Pins stand at least this many diameters apart.
const APART: f64 = 2.0;

/// The part in its mold.
#[derive(Clone, Copy)]
pub struct Kept<'a> {
    /// The surface.
    pub bvh: &'a Bvh,
    /// Points on it.
    pub samples: &'a Samples,
    /// The side of each, by [`draft::sides`].
    pub sides: &'a [Side],
    /// Along which the + half leaves.
    pub pull: Direction,
    /// Which half has the pins: the core.
    pub core: CoreSide,
}

/// The pins asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wanted {
    /// Of each, mm.
    pub diameter: f64,
    /// How many.
    pub count: u32,
    /// Least thickness of the part where a pin pushes, mm.
    pub least_wall: f64,
    /// Least metal between the hole of a pin and the core's flank, mm.
    pub least_metal: f64,
}

/// A place for a pin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PinSite {
    /// Middle of the pin's face, on the part, mm.
    pub at: Point,
    /// Thickness of the part behind it, mm.
    pub wall: f64,
    /// Across the pull, to the nearest wall that the part grips, mm; `None` when it grips
    /// none.
    pub to_grip: Option<f64>,
}

/// Places for pins.
#[derive(Clone, Debug, PartialEq)]
pub struct PinSites {
    /// One for each pin that found a place; fewer than wanted where there is no room.
    pub list: Vec<PinSite>,
    /// Middle of the walls that the part grips, mm; of all its surface when it grips none.
    pub middle: Point,
    /// How far the mean of the pins lies from that middle, across the pull, mm: times the
    /// force, the moment that tips the part. `None` without pins.
    pub off: Option<f64>,
}

/// Everywhere that a pin of one diameter can push.
pub struct Room {
    pads: Vec<PinSite>,
    middle: Point,
    frame: Frame,
}

impl Room {
    /// Looks for room for pins of the diameter `wanted`, whatever their number.
    /// `grips` as of [`Kept::grips`].
    pub fn find(part: &Kept<'_>, grips: &[Point], wanted: &Wanted) -> Self {
        let middle = part.middle(grips);
        let pads = part.pads(grips, wanted);
        Self { pads, middle, frame: Frame::along(part.pull) }
    }

    /// The best places for the number of pins that is `wanted`.
    pub fn best(&self, wanted: &Wanted) -> PinSites {
        let Self { pads, middle, frame } = self;
        let sets = (0..TURNS).map(|turn| {
            let start = TAU / f64::from(wanted.count.max(1)) * f64::from(turn);
            let mut set = around(frame, pads, middle, (start / f64::from(TURNS), wanted));
            fill(frame, pads, &mut set, wanted);
            set
        });
        // The most pins first, then balance, nearness to walls and spread together.
        let list = sets
            .min_by(|a, b| {
                let cost = |set: &[PinSite]| cost(frame, set, (middle, wanted));
                b.len().cmp(&a.len()).then(cost(a).total_cmp(&cost(b)))
            })
            .unwrap_or_default();
        let off = off_middle(frame, &list, middle);
        PinSites { list, middle: *middle, off }
    }
}

/// Adds pins where there is most room, for sectors in which none found a place.
fn fill(frame: &Frame, pads: &[PinSite], chosen: &mut Vec<PinSite>, wanted: &Wanted) {
    while chosen.len() < wanted.count as usize {
        let room = |pad: &PinSite| {
            let others = chosen.iter().map(|other| across(frame, &pad.at, &other.at));
            others.fold(f64::INFINITY, f64::min)
        };
        let next = pads
            .iter()
            .map(|pad| (room(pad), pad))
            .filter(|(room, _)| *room >= APART * wanted.diameter)
            .max_by(|a, b| a.0.total_cmp(&b.0));
        let Some((_, pad)) = next else { break };
        chosen.push(*pad);
    }
}

/// One pad in each of the sectors around the middle that start at this angle.
fn around(
    frame: &Frame,
    pads: &[PinSite],
    middle: &Point,
    (start, wanted): (f64, &Wanted),
) -> Vec<PinSite> {
    let count = f64::from(wanted.count.max(1));
    let mut chosen: Vec<PinSite> = Vec::new();
    for sector in 0..wanted.count {
        // How far off the middle of this sector, in turns of half a sector.
        let aside = |pad: &PinSite| {
            let turned = (angle(frame, &pad.at, middle) - start).rem_euclid(TAU);
            (turned / TAU * count - f64::from(sector) - 0.5) * 2.0
        };
        let inside =
            pads.iter().filter(|pad| wanted.count == 1 || aside(pad).abs() <= 1.0);
        let free = inside.filter(|pad| {
            let apart = APART * wanted.diameter;
            chosen.iter().all(|other| across(frame, &pad.at, &other.at) >= apart)
        });
        let rank = |pad: &PinSite| {
            let radius = across(frame, &pad.at, middle);
            pad.rank(radius, aside(pad).abs() * std::f64::consts::PI / count, wanted)
        };
        let best = free.min_by(|a, b| rank(a).total_cmp(&rank(b)));
        chosen.extend(best);
    }
    chosen
}

impl PinSite {
    /// The smaller the better: near the walls that hold the part, far out, and in the middle
    /// of its sector (`aside` radians off it); a pin alone only near their middle.
    fn rank(&self, radius: f64, aside: f64, wanted: &Wanted) -> f64 {
        if wanted.count == 1 {
            return radius;
        }
        // Nearer than a pin's width is near enough; then the farther out the steadier.
        let near = self.to_grip.unwrap_or(0.0).max(wanted.diameter);
        near - 0.5 * radius * (1.0 - aside)
    }
}

/// Imbalance of a set of pads, and on the mean how far they are from walls and how little
/// they spread, mm.
fn cost(frame: &Frame, set: &[PinSite], (middle, wanted): (&Point, &Wanted)) -> f64 {
    let rank = |pad: &PinSite| pad.rank(across(frame, &pad.at, middle), 0.0, wanted);
    let ranks: f64 = set.iter().map(rank).sum();
    off_middle(frame, set, middle).unwrap_or(0.0) + ranks / set.len().max(1) as f64
}

fn off_middle(frame: &Frame, set: &[PinSite], middle: &Point) -> Option<f64> {
    let sum: Vector = set.iter().map(|pad| pad.at.coords).sum();
    let mean = Point::from(sum / set.len().max(1) as f64);
    (!set.is_empty()).then(|| across(frame, &mean, middle))
}

/// Distance across the pull.
fn across(frame: &Frame, a: &Point, b: &Point) -> f64 {
    let [[ax, ay], [bx, by]] = [frame.flatten(a), frame.flatten(b)];
    (ax - bx).hypot(ay - by)
}

/// Angle of a point around the middle, across the pull.
fn angle(frame: &Frame, at: &Point, middle: &Point) -> f64 {
    let [[x, y], [mx, my]] = [frame.flatten(at), frame.flatten(middle)];
    (y - my).atan2(x - mx)
}

impl Kept<'_> {
    /// Out of the part, into the core half: against the way that pins push.
    pub(super) fn out(&self) -> Direction {
        match self.core {
            CoreSide::Plus => self.pull,
            CoreSide::Minus => self.pull.reversed(),
        }
    }

    /// Whether a sample is on a wall that stands along the pull and looks across it at
    /// another wall of the part, so that metal between them is gripped.
    pub(super) fn is_gripped(&self, sample: usize) -> bool {
        let (point, normal) =
            (&self.samples.points[sample], &self.samples.normals[sample]);
        self.pull.dot(normal).abs() < STANDING
            && draft::looks_in(self.bvh, point, normal, self.pull)
    }

    /// Samples of the walls that the part shrinks onto in the core half.
    pub fn grips(&self) -> Vec<Point> {
        let is_held = |&sample: &usize| {
            matches!(self.sides.get(sample), Some(Side::Core | Side::Upright))
                && self.is_gripped(sample)
        };
        let held = (0..self.samples.len()).into_par_iter().filter(is_held);
        held.map(|sample| self.samples.points[sample]).collect()
    }

    fn middle(&self, grips: &[Point]) -> Point {
        let of = if grips.is_empty() { &self.samples.points } else { grips };
        let sum: Vector = of.iter().map(|point| point.coords).sum();
        Point::from(sum / of.len().max(1) as f64)
    }

    /// Every sample that a pin can push on, moved off edges where that helps.
    fn pads(&self, grips: &[Point], wanted: &Wanted) -> Vec<PinSite> {
        let frame = Frame::along(self.pull);
        let square = SQUARE_DEG.to_radians().cos();
        let is_square =
            |&sample: &usize| self.out().dot(&self.samples.normals[sample]) >= square;
        let on: Vec<usize> = (0..self.samples.len()).filter(is_square).collect();
        let step = on.len().div_ceil(PLACES).max(1);
        on.into_par_iter()
            .step_by(step)
            .filter_map(|sample| self.settle(self.samples.points[sample], wanted))
            .map(|(at, wall)| {
                let far = grips.iter().map(|grip| across(&frame, &at, grip));
                PinSite { at, wall, to_grip: far.min_by(f64::total_cmp) }
            })
            .collect()
    }

    /// The place nearest to `at` where the whole pin fits, and the thickness behind it.
    fn settle(&self, mut at: Point, wanted: &Wanted) -> Option<(Point, f64)> {
        let frame = Frame::along(self.pull);
        let radius = wanted.diameter / 2.0 + MARGIN_MM;
        for _ in 0..MOVES {
            let (mut lost, thin) = self.lost(&frame, &at, radius);
            if lost.is_empty() {
                lost = self.too_near(&frame, &at, wanted);
            }
            if lost.is_empty() {
                return (thin >= wanted.least_wall).then_some((at, thin));
            }
            // Away from the points that found no footing.
            let push: Vector = lost.iter().sum::<Vector>();
            let away = Direction::new(-push)?;
            at += away.vector() * (radius * 0.3);
        }
        None
    }

    /// Ways from `at` to the points of a pin's face that do not lie on the face of the part,
    /// and the least thickness behind those that do.
    fn lost(&self, frame: &Frame, at: &Point, radius: f64) -> (Vec<Vector>, f64) {
        let (mut lost, mut thin) = (Vec::new(), f64::INFINITY);
        for ring in 0..=RIM + RIM / 2 {
            let (share, steps, step) = match ring {
                0 => (0.0, 1, 0),
                ring if ring <= RIM => (1.0, RIM, ring),
                ring => (0.5, RIM / 2, ring - RIM),
            };
            let turn = TAU * f64::from(step) / f64::from(steps);
            let way = frame.across(turn) * share;
            match self.behind(&(at + way * radius)) {
                Some(wall) => thin = thin.min(wall),
                None => lost.push(way),
            }
            // Enough to know which way to move it.
            if lost.len() > MOST_LOST {
                return (lost, thin);
            }
        }
        (lost, thin)
    }

    /// Ways from the hole of a pin at `at` to flanks of the core that leave too little metal.
    fn too_near(&self, frame: &Frame, at: &Point, wanted: &Wanted) -> Vec<Vector> {
        let out = self.out();
        let least = wanted.diameter / 2.0 + wanted.least_metal;
        let is_near = |way: &Vector| {
            let Some(look) = Direction::new(*way) else { return false };
            BELOW_MM.iter().any(|below| {
                let start = at + out.vector() * *below;
                let flank = self.bvh.first_hit(&start, look, 0.0);
                flank.is_some_and(|flank| flank.distance < least)
            })
        };
        let around = (0..RIM).map(|step| TAU * f64::from(step) / f64::from(RIM));
        around.map(|turn| frame.across(turn)).filter(is_near).collect()
    }

    /// Thickness behind a point of a pin's face, when it lies on the part and nothing stands
    /// between it and the core half.
    fn behind(&self, at: &Point) -> Option<f64> {
        let out = self.out();
        let lift = FLAT_MM + self.bvh.diagonal() * CLEARANCE;
        let start = at + out.vector() * lift;
        if self.bvh.is_hit(&start, out) {
            return None;
        }
        let face = self.bvh.first_hit(&start, out.reversed(), 0.0)?;
        if (face.distance - lift).abs() > FLAT_MM {
            return None;
        }
        let beyond = face.distance + self.bvh.diagonal() * CLEARANCE;
        let back = self.bvh.first_hit(&start, out.reversed(), beyond)?;
        Some(back.distance - face.distance)
    }
}

#[cfg(test)]
mod tests;
