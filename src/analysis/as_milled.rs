//! The part as it will come out: where the cutters leave metal in the mold there is no
//! plastic, so walls are thinner there and faces that the metal hides are not formed.

use rayon::prelude::*;

use crate::analysis::Opening;
use crate::analysis::milling::MillingStudy;
use crate::geom::{Point, Vector};
use crate::mesh::samples::Samples;
use crate::mold::milling::outcome::MillingOutcome;
use crate::part::Part;
use crate::part::draft::FaceDraft;
use crate::part::thickness::{Ball, Thickness};

/// A face is not formed when metal stands before more than this share of its points.
const HIDDEN: f64 = 0.5;

/// `drawn` with what is left of each wall where the part is judged as `milled`. What a wall
/// loses along its ray it loses in its ball; where nothing is left there is no wall.
pub(super) fn thickness(
    drawn: Thickness,
    samples: &Samples,
    milled: Option<&MillingStudy>,
) -> Thickness {
    let Some(MillingStudy { milled, .. }) = milled else { return drawn };
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

/// The opening without the faces short of draft that do not come out as drawn where the part
/// is judged as `milled`, and the number of those.
pub(super) fn without_hidden(
    release: Opening,
    part: &Part,
    milled: Option<&MillingStudy>,
) -> (Opening, usize) {
    let Some(MillingStudy { milled, .. }) = milled else { return (release, 0) };
    let Opening { short, .. } = release;
    let (short, hidden) = formed(short, part, milled);
    (Opening { short, ..release }, hidden)
}

/// Only the faces of `short` that come out as drawn, and the number of those that do not.
pub(super) fn formed(
    short: Vec<FaceDraft>,
    part: &Part,
    milled: &MillingOutcome,
) -> (Vec<FaceDraft>, usize) {
    let Part { faces, samples, .. } = part;
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
    let comes_out = |face: &FaceDraft| {
        let [seen, hidden] = votes[face.face];
        hidden as f64 <= HIDDEN * (seen + hidden) as f64
    };
    let short: Vec<FaceDraft> = short.into_iter().filter(comes_out).collect();
    let hidden = before - short.len();
    (short, hidden)
}
