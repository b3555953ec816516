//! The part as it will come out: where the cutters leave metal in the mold there is no
//! plastic, so walls are thinner there and faces that the metal hides are not formed.

use rayon::prelude::*;

use crate::analysis::milling::MillingStudy;
use crate::analysis::{Setup, Walls, judged};
use crate::geom::{Point, Vector};
use crate::mesh::samples::Samples;
use crate::mold::milling::outcome::MillingOutcome;
use crate::part::draft::FaceDraft;
use crate::part::faces::Faces;
use crate::part::thickness::{Ball, Thickness};

/// A face is not formed when metal stands before more than this share of its points.
const HIDDEN: f64 = 0.5;

/// Judges walls and draft as they come out of what the cutters leave; the number of faces
/// that do not.
pub(super) fn come_out(
    walls: &mut Walls,
    short: &mut Vec<FaceDraft>,
    (faces, samples): (&Faces, &Samples),
    (cutting, setup): (&MillingStudy, &Setup),
) -> usize {
    let left = thickness(&walls.thickness, samples, &cutting.milled);
    *walls = judged(left, samples, setup);
    formed(short, faces, samples, &cutting.milled)
}

/// `drawn` with what is left of each wall. What a wall loses along its ray it loses in its
/// ball; where nothing is left there is no wall.
fn thickness(drawn: &Thickness, samples: &Samples, milled: &MillingOutcome) -> Thickness {
    let left: Vec<Option<f64>> = (0..samples.len())
        .into_par_iter()
        .map(|sample| {
            let ray = drawn.ray[sample]?;
            let inward = -samples.normals[sample];
            left_of(&samples.points[sample], &inward, ray, milled)
        })
        .collect();
    let less = |of: &[Option<f64>]| -> Vec<Option<f64>> {
        of.iter().zip(&left).map(|(it, left)| Some(it.as_ref()?.min((*left)?))).collect()
    };
    let ball = |(ball, left): (&Option<Ball>, &Option<f64>)| {
        let (ball, left) = ((*ball)?, (*left)?);
        Some(Ball { radius: ball.radius.min(left / 2.0), ..ball })
    };
    Thickness {
        ray: less(&drawn.ray),
        ball: less(&drawn.ball),
        inscribed: drawn.inscribed.iter().zip(&left).map(ball).collect(),
    }
}

/// The longest piece of plastic on the way of `length` mm from `start`; `None` where there is
/// none longer than a cell.
fn left_of(
    start: &Point,
    inward: &Vector,
    length: f64,
    milled: &MillingOutcome,
) -> Option<f64> {
    let cell = milled.cell();
    let steps = (2.0 * length / cell).ceil().clamp(1.0, 4000.0);
    let step = length / steps;
    let (mut longest, mut run) = (0.0_f64, 0.0);
    let mut at = 0.5;
    while at < steps {
        let is_metal = milled.is_metal(&(start + inward * (at * step)));
        run = if is_metal { 0.0 } else { run + step };
        longest = longest.max(run);
        at += 1.0;
    }
    (longest > cell.min(length / 2.0)).then_some(longest)
}

/// Leaves only the faces of `short` that come out as drawn; the number of those that do not.
pub(super) fn formed(
    short: &mut Vec<FaceDraft>,
    faces: &Faces,
    samples: &Samples,
    milled: &MillingOutcome,
) -> usize {
    let mut votes = vec![[0_usize; 2]; faces.list.len()];
    let hidden: Vec<bool> = (0..samples.len())
        .into_par_iter()
        .map(|sample| {
            let inward = samples.normals[sample] * milled.cell();
            milled.is_metal(&(samples.points[sample] - inward))
        })
        .collect();
    for (sample, hidden) in hidden.into_iter().enumerate() {
        let face = faces.of_facet[samples.facets[sample] as usize] as usize;
        votes[face][usize::from(hidden)] += 1;
    }
    let before = short.len();
    short.retain(|face| {
        let [seen, hidden] = votes[face.face];
        hidden as f64 <= HIDDEN * (seen + hidden) as f64
    });
    before - short.len()
}
