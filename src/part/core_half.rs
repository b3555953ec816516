//! Which half has the core: the one that forms what the part shrinks onto.
//!
//! A part stays on its core when the mold opens, so the ejector pins go there. Compared are
//! the areas of the walls that look across the pull at another wall of the part. Draft and
//! roughness of those walls are not weighed. This says how the part is to be parted; where the
//! parted halves surely hold it the other way round, they change their roles.

use rayon::prelude::*;

use crate::geom::Direction;
use crate::mesh::{bvh::Bvh, samples::Samples};
use crate::part::draft::looks_in;
use crate::part::halves::Half;
use crate::part::undercut::Release;

/// Sampling cannot tell grips apart that differ by less than this factor.
const ALIKE: f64 = 1.05;

/// The half that forms the faces that the part shrinks onto: those that look across the
/// pull at another wall of the part, by their area across the pull. A part that grips
/// nothing, or both halves alike, has its core in the − half.
pub fn find(bvh: &Bvh, samples: &Samples, release: &Release, pull: Direction) -> Half {
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
    if plus > ALIKE * minus { Half::Plus } else { Half::Minus }
}
