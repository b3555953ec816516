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
use crate::part::Part;
use crate::part::draft::Formed;
use crate::part::grips;
use crate::part::undercut::CLEARANCE;

/// A face leans off the pull by less than this to be square to it.
pub const SQUARE_DEG: f64 = 1.0;

/// A pin whose tip is ground to the slope and kept from turning pushes on a face that leans by
/// up to this; on a steeper one it slips (judgment).
pub const SLOPED_DEG: f64 = 10.0;

/// The face around a pin may step by this much, mm: what a mill leaves.
const FLAT_MM: f64 = 0.05;

/// Between a pin and the edge of the face that it pushes on, mm.
const MARGIN_MM: f64 = 0.2;

/// Metal that is looked for between the hole of a pin and the core's flank, mm: 1, because a
/// thinner wall breaks out when the hole is reamed (judgment), and a tenth for what lies between
/// the places that are looked at.
pub const METAL_MM: f64 = 1.1;

/// Depths below the face of a pin at which the metal beside its hole is measured, mm.
const BELOW_MM: [f64; 4] = [0.3, 1.0, 3.0, 9.0];

/// Depths at which the metal beside the hole is measured whichever way it is thin: deep enough
/// that the face of the pin itself is farther off, mm.
const DEEP_MM: [f64; 4] = [1.5, 3.0, 6.0, 12.0];

/// Points asked on the rim of a pin; half as many halfway in, and its middle.
const RIM: u32 = 12;

/// With so many of the points off the face a candidate is moved at once.
const MOST_LOST: usize = 9;

/// A candidate is moved off edges and walls this many times before it is given up.
const MOVES: u32 = 6;

/// Ways to turn the sectors around the middle, in which one pin each is looked for.
const TURNS: u32 = 12;

/// Samples among which places are looked for: a place narrower than their spacing may be
/// missed, and each costs some forty rays.
const SAMPLES: usize = 10_000;

/// So many places are tried, evenly spread.
const PLACES: usize = 600;

/// Pins stand at least this many diameters apart.
const APART: f64 = 2.0;

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
    /// How far the face may lean off square to the pull, degrees.
    pub most_lean_deg: f64,
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
    /// How far its face leans off square to the pull, degrees.
    pub lean_deg: f64,
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

/// Points of the walls that the part grips, as [`Room::find`] asks for them.
pub fn gripped(part: &Part, formed: Formed<'_>) -> Vec<Point> {
    grips::points(part, formed, part.samples.stride(SAMPLES))
}

/// A core beside which no hole of an ejector pin may be drilled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KeptOff {
    /// Middle of its foot, mm.
    pub at: Point,
    /// Its radius there, mm.
    pub radius: f64,
}

/// Everywhere that a pin of one diameter can push.
#[derive(Clone)]
pub struct Room {
    pads: Vec<PinSite>,
    middle: Point,
    frame: Frame,
}

impl Room {
    /// Looks for room for pins of the diameter `wanted`, whatever their number, on a part
    /// that grips at the points `grips` (see [`gripped`]), off the cores `kept_off`.
    pub fn find(
        part: &Part,
        formed: Formed<'_>,
        grips: &[Point],
        kept_off: &[KeptOff],
        wanted: &Wanted,
    ) -> Self {
        let frame = Frame::along(formed.pull);
        let search = Search {
            part,
            out: formed.into_core(),
            frame: &frame,
            step: part.samples.stride(SAMPLES),
        };
        let (middle, mut pads) = (search.middle(grips), search.pads(grips, wanted));
        let least = wanted.diameter / 2.0 + wanted.least_metal;
        pads.retain(|pad| {
            let clear = |core: &KeptOff| across(&frame, &pad.at, &core.at) - core.radius;
            kept_off.iter().all(|core| clear(core) >= least)
        });
        Self { pads, middle, frame }
    }

    /// The places that `keep` wants.
    #[must_use]
    pub fn only(&self, keep: impl Fn(&PinSite) -> bool) -> Self {
        let pads = self.pads.iter().filter(|pad| keep(pad)).copied().collect();
        Self { pads, ..self.clone() }
    }

    /// The best places for the number of pins that is `wanted`.
    pub fn best(&self, wanted: &Wanted) -> PinSites {
        let Self { pads, middle, frame } = self;
        let sets = (0..TURNS).map(|turn| {
            let start = TAU / f64::from(wanted.count.max(1)) * f64::from(turn);
            let mut set = around(frame, pads, middle, start / f64::from(TURNS), wanted);
            fill(frame, pads, &mut set, wanted);
            set
        });
        // The most pins first, then balance, nearness to walls and spread together.
        let list = sets
            .min_by(|a, b| {
                let cost = |set: &[PinSite]| cost(frame, set, middle, wanted);
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
    start: f64,
    wanted: &Wanted,
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
fn cost(frame: &Frame, set: &[PinSite], middle: &Point, wanted: &Wanted) -> f64 {
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

/// Looks for places on the part, out of which the core half leaves along `out`.
struct Search<'a> {
    part: &'a Part,
    out: Direction,
    frame: &'a Frame,
    /// Every so many samples one is looked at.
    step: usize,
}

impl Search<'_> {
    fn middle(&self, grips: &[Point]) -> Point {
        let step = if grips.is_empty() { self.step } else { 1 };
        let of = if grips.is_empty() { &self.part.samples.points } else { grips };
        let sum: Vector = of.iter().step_by(step).map(|point| point.coords).sum();
        Point::from(sum / of.len().div_ceil(step).max(1) as f64)
    }

    /// Every sample that a pin can push on, moved off edges where that helps.
    fn pads(&self, grips: &[Point], wanted: &Wanted) -> Vec<PinSite> {
        let samples = &self.part.samples;
        let square = wanted.most_lean_deg.to_radians().cos();
        let is_square =
            |&sample: &usize| self.out.dot(&samples.normals[sample]) >= square;
        let few = (0..samples.len()).step_by(self.step);
        let on: Vec<usize> = few.filter(is_square).collect();
        let step = on.len().div_ceil(PLACES).max(1);
        on.into_par_iter()
            .step_by(step)
            .filter_map(|sample| {
                let (at, wall) = self.settle(samples.points[sample], wanted)?;
                let far = grips.iter().map(|grip| across(self.frame, &at, grip));
                let square = self.out.dot(&samples.normals[sample]).clamp(-1.0, 1.0);
                let lean_deg = square.acos().to_degrees();
                Some(PinSite { at, wall, to_grip: far.min_by(f64::total_cmp), lean_deg })
            })
            .collect()
    }

    /// The place nearest to `at` where the whole pin fits, and the thickness behind it.
    fn settle(&self, mut at: Point, wanted: &Wanted) -> Option<(Point, f64)> {
        let radius = wanted.diameter / 2.0 + MARGIN_MM;
        for _ in 0..MOVES {
            let (mut lost, thin) = self.lost(&at, radius, wanted);
            if lost.is_empty() {
                lost = self.too_near(&at, wanted);
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
    fn lost(&self, at: &Point, radius: f64, wanted: &Wanted) -> (Vec<Vector>, f64) {
        // A sloped face rises over the radius of the pin.
        let rise = if wanted.most_lean_deg > SQUARE_DEG {
            radius * wanted.most_lean_deg.to_radians().tan()
        } else {
            0.0
        };
        let (mut lost, mut thin) = (Vec::new(), f64::INFINITY);
        for ring in 0..=RIM + RIM / 2 {
            let (share, steps, step) = match ring {
                0 => (0.0, 1, 0),
                ring if ring <= RIM => (1.0, RIM, ring),
                ring => (0.5, RIM / 2, ring - RIM),
            };
            let turn = TAU * f64::from(step) / f64::from(steps);
            let way = self.frame.across(turn) * share;
            match self.behind(&(at + way * radius), FLAT_MM + rise * share) {
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
    fn too_near(&self, at: &Point, wanted: &Wanted) -> Vec<Vector> {
        let least = wanted.diameter / 2.0 + wanted.least_metal;
        let is_near = |way: &Vector| {
            let Some(look) = Direction::new(*way) else { return false };
            let is_thin_across = BELOW_MM.iter().any(|below| {
                let start = at + self.out.vector() * *below;
                let flank = self.part.bvh.first_hit(&start, look, 0.0);
                flank.is_some_and(|flank| flank.distance < least)
            });
            is_thin_across
                || DEEP_MM.iter().filter(|deep| **deep > wanted.least_metal).any(|deep| {
                    let rim =
                        at + self.out.vector() * *deep + way * (wanted.diameter / 2.0);
                    self.part.bvh.nearest(&rim, wanted.least_metal).is_some()
                })
        };
        let around = (0..2 * RIM).map(|step| TAU * f64::from(step) / f64::from(2 * RIM));
        around.map(|turn| self.frame.across(turn)).filter(is_near).collect()
    }

    /// Thickness behind a point of a pin's face, when it lies on the part and nothing stands
    /// between it and the core half; the face lies no more than `off` mm higher or lower than
    /// `at`.
    fn behind(&self, at: &Point, off: f64) -> Option<f64> {
        let (bvh, inward) = (&self.part.bvh, self.out.reversed());
        let lift = off + bvh.diagonal() * CLEARANCE;
        let start = at + self.out.vector() * lift;
        if bvh.is_hit(&start, self.out) {
            return None;
        }
        let face = bvh.first_hit(&start, inward, 0.0)?;
        if (face.distance - lift).abs() > off {
            return None;
        }
        let beyond = face.distance + bvh.diagonal() * CLEARANCE;
        let back = bvh.first_hit(&start, inward, beyond)?;
        Some(back.distance - face.distance)
    }
}

#[cfg(test)]
mod tests;
