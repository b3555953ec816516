//! Which half forms each point of the part: cavity, core, either or neither.

use crate::geom::{Direction, Point, Vector};
use crate::mesh::{bvh::Bvh, samples::Samples};
use crate::part::halves::{FormedFacets, Half, Role, Side};
use crate::part::undercut::{CLEARANCE, Release};

/// Within this of the pull a face is upright.
pub const UPRIGHT_DEG: f64 = 0.1;

/// Which half forms each point of a part, along one pull.
#[derive(Clone, Copy)]
pub struct Formed<'a> {
    /// Along which the + half leaves.
    pub pull: Direction,
    /// Which half is the core.
    pub core: Half,
    /// The side of every sample, as [`sides`] gives it.
    pub sides: &'a [Side],
    /// Where walls that either half could form are parted; not known before there is a
    /// parting.
    pub parted: Option<&'a FormedFacets>,
}

impl Formed<'_> {
    /// What forms the wall at `at` on `facet` of the part, where the parting says.
    pub fn role_at(&self, facet: u32, at: &Point) -> Option<Role> {
        let half = self.parted?.half_at(facet, self.pull.dot(&at.coords));
        Some(half.role(self.core))
    }

    /// Out of the part, into the core half: against the way that pins push.
    pub fn into_core(&self) -> Direction {
        self.core.leaves(self.pull)
    }
}

/// The side of every sample.
pub fn sides(
    samples: &Samples,
    release: &Release,
    pull: Direction,
    core: Half,
) -> Vec<Side> {
    let upright = UPRIGHT_DEG.to_radians().sin();
    (0..samples.len())
        .map(|sample| {
            let facing = pull.dot(&samples.normals[sample]);
            if release.is_trapped(sample) {
                Side::Trapped
            } else if facing.abs() < upright {
                Side::Upright
            } else {
                let half = if facing > 0.0 { Half::Plus } else { Half::Minus };
                half.role(core).into()
            }
        })
        .collect()
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
