//! Turns a direction that the part does not suggest until it gets no better.
//!
//! A compass search on the sphere: six directions around the best so far, at an angle
//! that is halved when none of them is better (Kolda, Lewis & Torczon, *SIAM Review* 45,
//! 2003). On parts with planes or axes those win and there is nothing to do.

use rayon::prelude::*;

use super::candidates::Candidate;
use super::ranking::by_score;
use super::trial::{Trials, Tried};
use super::{DISTINCT_DEG, are_within};
use crate::geom::{Direction, Frame};
use crate::mesh::samples::Samples;

/// Samples that each trial looks from.
const SAMPLES: usize = 1000;

/// First and last angle, degrees: the sphere is 10° fine, the chosen pull is reported to 0.1°.
const ANGLES_DEG: [f64; 2] = [5.0, 0.05];

/// Directions that are refined.
const STARTS: usize = 2;

/// Trials around the best so far.
const AROUND: usize = 6;

/// A step must gain this much.
const GAIN: f64 = 1e-4;

/// Better directions near those of `tried` that the part does not suggest, where they are
/// at least as good as those that it does; tried on as many samples.
pub(super) fn refine(trials: &Trials<'_>, tried: &[Tried]) -> Vec<Tried> {
    let samples = &trials.part.samples;
    let (mut free, named): (Vec<Tried>, Vec<Tried>) =
        tried.iter().partition(|one| one.is_tilted);
    let best = named.iter().map(|one| one.score).fold(f64::INFINITY, f64::min);
    free.retain(|one| one.score < best);
    free.sort_by(by_score);
    let mut starts: Vec<Tried> = Vec::new();
    for one in free {
        let is_new = |known: &Tried| {
            !are_within(known.direction, one.direction, 2.0 * DISTINCT_DEG)
        };
        if starts.len() < STARTS && starts.iter().all(is_new) {
            starts.push(one);
        }
    }
    let few = samples.thinned(SAMPLES);
    let more = samples.thinned(super::ROUNDS[1].0);
    starts
        .iter()
        .map(|start| {
            let direction = turned(trials, &few, start);
            trials.quick(&more, &Candidate::free(direction, start.place))
        })
        .collect()
}

fn turned(trials: &Trials<'_>, samples: &Samples, start: &Tried) -> Direction {
    let at = |direction| trials.quick(samples, &Candidate::free(direction, start.place));
    let mut best = at(start.direction);
    let mut angle = ANGLES_DEG[0];
    while angle >= ANGLES_DEG[1] {
        let frame = Frame::along(best.direction);
        let tried: Vec<Tried> = (0..AROUND)
            .into_par_iter()
            .filter_map(|step| {
                let turn = std::f64::consts::TAU * step as f64 / AROUND as f64;
                let aside = frame.across(turn);
                Direction::new(frame.along + aside * angle.to_radians().tan()).map(at)
            })
            .collect();
        match tried.into_iter().min_by(|a, b| a.score.total_cmp(&b.score)) {
            Some(better) if better.score < best.score - GAIN => best = better,
            _ => angle /= 2.0,
        }
    }
    best.direction
}
