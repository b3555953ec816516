//! Which metal the part shrinks onto, on either half, and how.
//!
//! | question | file |
//! |---|---|
//! | what are the outlines of the part across the pull? | `sections` |
//! | which metal does plastic close around? | `rings` |
//! | which walls does their common root draw against metal? | `roots` |
//!
//! Plastic grips only metal that stands between two of its walls. Where a section across the
//! pull closes around metal, the ring grips as a hoop. Walls that are joined at their root
//! alone grip by their bending. A slot that is open at its side and the outside of a boss
//! shrink away from their metal.
//!
//! Not counted: what holds beside friction (an undercut, a rough wall), a slot with walls on
//! three sides, and plastic that shrinks between two cores.

mod sections;
mod rings;
mod roots;

use rayon::prelude::*;

use crate::geom::{Direction, Frame, Point};
use crate::part::Part;
use crate::part::draft::{self, Formed};
use crate::part::halves::{Role, Side};
use crate::part::undercut::CLEARANCE;
pub use roots::{POISSON, flexibility};

/// Gripping walls below this area, mm², are lettering, not cores.
const LEAST_AREA: f64 = 2.0;

/// A wall stands along the pull while its normal has less than this share along it.
const STANDING: f64 = 0.5;

/// Of both halves, what grips their metal.
#[derive(Clone, Debug, PartialEq)]
pub struct Gripping<T> {
    /// That of the core half, largest wall first.
    pub core: Vec<T>,
    /// That of the cavity half.
    pub cavity: Vec<T>,
}

/// Plastic that closes around one piece of metal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ring {
    /// Area of the walls on the metal, mm².
    pub area: f64,
    /// How far they reach along the pull, mm.
    pub height: f64,
    /// Mean length of the outline of the metal across the pull, mm.
    pub perimeter: f64,
    /// Share of that outline's turn that lies in sharp corners: 1 of a box, 0 of a circle.
    pub corners: f64,
    /// Thickness of the plastic around it, mm: of a round ring that grips alike.
    pub wall: f64,
    /// Mean angle of the walls to the pull, degrees.
    pub draft_deg: f64,
    /// Area of the end that the part closes, so that a vacuum can hold it, mm²; 0 where air
    /// gets in.
    pub closed: f64,
}

/// A wall that its root draws against metal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StandingWall {
    /// Area of its face on the metal, mm².
    pub area: f64,
    /// From its root to its tip, mm.
    pub height: f64,
    /// Along the way in which it is drawn, mm: of the rectangle that bends alike.
    pub thickness: f64,
    /// Across that way, mm.
    pub breadth: f64,
    /// From the place that stays where it is to the face on the metal, mm.
    pub distance: f64,
    /// Thickness of the root, along the pull, mm.
    pub root: f64,
    /// Its share of the breadth of the root, mm.
    pub root_breadth: f64,
    /// Angle of its face to the pull, degrees.
    pub draft_deg: f64,
}

/// All that the part grips.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Grips {
    /// Closed around metal.
    pub rings: Gripping<Ring>,
    /// Drawn against metal by their root.
    pub walls: Gripping<StandingWall>,
}

impl<T> Default for Gripping<T> {
    fn default() -> Self {
        Self { core: Vec::new(), cavity: Vec::new() }
    }
}

impl<T> Gripping<T> {
    /// Without what is too small to grip, largest first.
    fn sorted(mut self, area: impl Fn(&T) -> f64) -> Self {
        for list in [&mut self.core, &mut self.cavity] {
            list.retain(|it| area(it) >= LEAST_AREA);
            list.sort_by(|a, b| area(b).total_cmp(&area(a)));
        }
        self
    }
}

/// The walls of one half that the part shrinks away from, as the outside of a block: friction
/// alone holds it there.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Pocket {
    /// Area, mm².
    pub area: f64,
    /// How far they reach along the pull, mm.
    pub height: f64,
    /// Mean angle of the walls to the pull, degrees.
    pub draft_deg: f64,
}

/// So many samples are asked about the pockets.
const POCKET_SAMPLES: usize = 10_000;

/// The pockets of the core half and of the cavity half.
pub fn pockets(part: &Part, formed: Formed<'_>) -> [Pocket; 2] {
    let samples = &part.samples;
    let step = samples.stride(POCKET_SAMPLES);
    let wall = |sample: usize| {
        let (at, normal) = (&samples.points[sample], &samples.normals[sample]);
        let facing = formed.pull.dot(normal);
        let role = match formed.sides.get(sample)? {
            Side::Trapped => return None,
            Side::Core => Role::Core,
            Side::Cavity => Role::Cavity,
            Side::Upright => formed.role_at(samples.facets[sample], at)?,
        };
        let holds = facing.abs() < STANDING
            && !draft::looks_in(&part.bvh, at, normal, formed.pull);
        let lean = facing.abs().min(1.0).asin().to_degrees();
        holds.then(|| (role, lean, formed.pull.dot(&at.coords)))
    };
    let walls: Vec<(Role, f64, f64)> =
        (0..samples.len()).into_par_iter().step_by(step).filter_map(wall).collect();
    [Role::Core, Role::Cavity].map(|role| {
        let own = || walls.iter().filter(|(its, ..)| *its == role);
        let count = own().count() as f64;
        let high = own().map(|wall| wall.2).fold(f64::NEG_INFINITY, f64::max);
        let low = own().map(|wall| wall.2).fold(f64::INFINITY, f64::min);
        Pocket {
            area: count * samples.area_each * step as f64,
            height: (high - low).max(0.0),
            draft_deg: own().map(|wall| wall.1).sum::<f64>() / count.max(1.0),
        }
    })
}

/// All that the part grips.
pub fn find(part: &Part, formed: Formed<'_>) -> Grips {
    let frame = Frame::along(formed.into_core());
    let sections = sections::cut(&part.mesh, &frame);
    Grips {
        rings: rings::find(part, formed, &frame, &sections).sorted(|ring| ring.area),
        walls: roots::find(part, &frame, &sections).sorted(|wall| wall.area),
    }
}

/// Points of the walls that the part shrinks onto in the core half, from every `step`-th
/// sample.
pub fn points(part: &Part, formed: Formed<'_>, step: usize) -> Vec<Point> {
    let on_core = |sample: usize| match formed.sides.get(sample) {
        Some(Side::Core) => true,
        Some(Side::Upright) => {
            let (facet, at) = (part.samples.facets[sample], &part.samples.points[sample]);
            formed.role_at(facet, at) != Some(Role::Cavity)
        }
        _ => false,
    };
    let is_held =
        |&sample: &usize| on_core(sample) && is_gripped(part, sample, formed.pull);
    let input = (0..part.samples.len()).into_par_iter().step_by(step);
    input.filter(is_held).map(|sample| part.samples.points[sample]).collect()
}

/// Whether a sample is on a wall that stands along the pull and looks across it at another
/// wall of the part, so that metal between them is gripped.
fn is_gripped(part: &Part, sample: usize, pull: Direction) -> bool {
    let (point, normal) = (&part.samples.points[sample], &part.samples.normals[sample]);
    pull.dot(normal).abs() < STANDING && draft::looks_in(&part.bvh, point, normal, pull)
}

/// Thickness of the part along the pull behind a place on its core side, mm; `None` where
/// there is no part.
pub fn behind(part: &Part, formed: Formed<'_>, at: &Point) -> Option<f64> {
    let out = formed.into_core();
    let lift = part.bvh.diagonal() * CLEARANCE;
    let start = at + out.vector() * lift;
    let face = part.bvh.first_hit(&start, out.reversed(), 0.0)?;
    let back = part.bvh.first_hit(&start, out.reversed(), face.distance + lift)?;
    Some(back.distance - face.distance)
}

#[cfg(test)]
mod tests;
