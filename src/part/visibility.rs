//! Which surface points an eye far away sees.

use rayon::prelude::*;

use crate::geom::Direction;
use crate::mesh::{bvh::Bvh, samples::Samples};

/// For each of the directions in which an eye looks, which samples it sees. A sample is
/// looked at from a little outside the surface, as for
/// [`crate::part::undercut`].
pub fn seen(bvh: &Bvh, samples: &Samples, looks: &[Direction]) -> Vec<Vec<bool>> {
    let clearance = bvh.diagonal() * super::undercut::CLEARANCE;
    looks
        .par_iter()
        .map(|look| {
            let to_eye = look.reversed();
            (0..samples.len())
                .map(|sample| {
                    let normal = samples.normals[sample];
                    let from = samples.points[sample] + normal * clearance;
                    // Seen edge-on a surface shows nothing.
                    to_eye.dot(&normal) > 0.15 && !bvh.is_hit(&from, to_eye)
                })
                .collect()
        })
        .collect()
}
