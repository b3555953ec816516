//! Which half forms each point of the part: cavity, core, either or neither; and which half
//! is the core.

use rayon::prelude::*;

use crate::geom::{Direction, Point, Vector};
use crate::mesh::{bvh::Bvh, samples::Samples};
use crate::part::undercut::{CLEARANCE, Release};

/// Within this of the pull a face is upright.
pub const UPRIGHT_DEG: f64 = 0.1;

/// Sampling cannot tell grips apart that differ by less than this factor.
const ALIKE: f64 = 1.05;

/// A surface point, as the mold sees it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Formed by the cavity half.
    Cavity,
    /// Formed by the core half.
    Core,
    /// Within 0.1° of the pull: either half could form it.
    Upright,
    /// Neither half can leave it.
    Trapped,
}

/// Which end of the pull the core half leaves to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CoreSide {
    /// Along the pull.
    Plus,
    /// Against the pull.
    Minus,
}

/// Which half forms each point of a part, along one pull.
#[derive(Clone, Copy)]
pub struct Formed<'a> {
    /// Along which the + half leaves.
    pub pull: Direction,
    /// Which half is the core.
    pub core: CoreSide,
    /// The side of every sample, as [`sides`] gives it.
    pub sides: &'a [Side],
}

impl Formed<'_> {
    /// Out of the part, into the core half: against the way that pins push.
    pub fn into_core(&self) -> Direction {
        match self.core {
            CoreSide::Plus => self.pull,
            CoreSide::Minus => self.pull.reversed(),
        }
    }
}

/// The side of every sample.
pub fn sides(
    samples: &Samples,
    release: &Release,
    pull: Direction,
    core: CoreSide,
) -> Vec<Side> {
    let upright = UPRIGHT_DEG.to_radians().sin();
    (0..samples.len())
        .map(|sample| {
            let facing = pull.dot(&samples.normals[sample]);
            match (facing.abs() < upright, facing > 0.0, core) {
                _ if release.is_trapped(sample) => Side::Trapped,
                (true, ..) => Side::Upright,
                (_, true, CoreSide::Plus) | (_, false, CoreSide::Minus) => Side::Core,
                _ => Side::Cavity,
            }
        })
        .collect()
}

/// The side whose half forms the faces that the part shrinks onto: those that look
/// across the pull at another wall of the part, by their area across the pull. A part
/// that grips nothing, or both halves alike, has its core on the − side.
pub fn core_side(
    bvh: &Bvh,
    samples: &Samples,
    release: &Release,
    pull: Direction,
) -> CoreSide {
    let grips: Vec<(f64, f64)> = (0..samples.len())
        .into_par_iter()
        .map(|sample| {
            let normal = samples.normals[sample];
            let looks_in = looks_in(bvh, &samples.points[sample], &normal, pull);
            let across = normal - pull.vector() * pull.dot(&normal);
            let grip = if looks_in { across.norm() } else { 0.0 };
            match (release.to_plus[sample], release.to_minus[sample]) {
                (true, false) => (grip, 0.0),
                (false, true) => (0.0, grip),
                _ => (0.0, 0.0),
            }
        })
        .collect();
    let (plus, minus) =
        grips.iter().fold((0.0, 0.0), |sum, grip| (sum.0 + grip.0, sum.1 + grip.1));
    if plus > ALIKE * minus { CoreSide::Plus } else { CoreSide::Minus }
}

/// Whether the surface at `at` faces another wall of the part across the pull.
pub(in crate::part) fn looks_in(
    bvh: &Bvh,
    at: &Point,
    normal: &Vector,
    pull: Direction,
) -> bool {
    let from = at + normal * (bvh.diagonal() * CLEARANCE);
    let across = normal - pull.vector() * pull.dot(normal);
    Direction::new(across).is_some_and(|way| bvh.is_hit(&from, way))
}
