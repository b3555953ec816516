//! How a shape has to be moved to lie on another one: a shift, and a turn where that helps.
//!
//! Files that lie well stay as they are; else a mere shift is tried, and only where that
//! does not do, turns. A turn is looked for among those that bring the principal axes of
//! both surfaces together, in all their signs and orders, and those by right angles. Where
//! moments are alike, as of a round, square or cubic part, axes say nothing: then turns all
//! around are tried as well. The best are drawn onto the surface (points to planes: Chen and
//! Medioni 1992, "Object modelling by registration of multiple range images") and the one
//! that leaves the least distance is taken; of several as good that by the least angle, and
//! how many there were is reported. Mirrored parts are not the same part. Blind: a change of the
//! part that looks like a turn of it, such as a boss that went to the mirror place of a
//! symmetric plate, is taken for a turn.

mod registration;
mod rotations;

use nalgebra::{Rotation3, UnitQuaternion};
use rayon::prelude::*;

use crate::geom::{Aabb, Point, Vector};
use crate::mesh::{bvh::Bvh, samples::Samples};
use crate::part::Part;

/// Samples of each shape that decide how well they lie.
const LAID_OVER: usize = 400;

/// Nobody cuts a mold finer, so shapes this near at the median lie well as they are, mm.
const LIES_WELL: f64 = 0.02;

/// They do so only if the mean is within this share of the diagonal too: a square of
/// a long plate lies well on the plate across it (judgment).
const LIES_WELL_SHARE: f64 = 0.01;

/// A shift counts when it leaves the shapes this much nearer at the median.
const NEARER: f64 = 0.1;

/// A turn counts when it leaves them this much nearer in the mean (judgment): a revision
/// that was not turned comes nowhere near that by turning it.
const TURNED_NEARER: f64 = 1.0 / 3.0;

/// Whatever is farther counts as this share of the diagonal: one large new feature must not
/// outvote all the rest.
const FAR: f64 = 0.1;

/// Shapes that stay farther apart than this share of the diagonal at the median are not
/// revisions of one part, or were not laid on each other (judgment).
const NO_MATCH: f64 = 0.01;

/// Less is no turn, degrees: coordinates in a file have single precision.
const LEAST_TURN_DEG: f64 = 1e-4;

/// A motion of a rigid body: turned about the origin, then shifted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pose {
    /// The turn.
    pub turn: Rotation3<f64>,
    /// The shift, mm.
    pub shift: Vector,
}

impl Pose {
    /// No motion.
    pub fn still() -> Self {
        Self::shifted(Vector::zeros())
    }

    /// A mere shift, mm.
    pub fn shifted(shift: Vector) -> Self {
        Self { turn: Rotation3::identity(), shift }
    }

    /// Where a point goes.
    pub fn point(&self, point: &Point) -> Point {
        self.turn * point + self.shift
    }

    /// Where a direction goes.
    pub fn way(&self, way: &Vector) -> Vector {
        self.turn * way
    }

    /// The motion back.
    #[must_use]
    pub fn back(&self) -> Self {
        let turn = self.turn.inverse();
        Self { turn, shift: -(turn * self.shift) }
    }

    /// The box around a box that goes along.
    pub fn bounds(&self, bounds: &Aabb) -> Aabb {
        let corner = |i: usize| {
            let end = |axis: usize| {
                if i >> axis & 1 == 1 { bounds.max[axis] } else { bounds.min[axis] }
            };
            self.point(&Point::new(end(0), end(1), end(2)))
        };
        let corners: Vec<Point> = (0..8).map(corner).collect();
        Aabb::around(&corners)
    }

    /// Angle of the turn, degrees, and its axis; `None` where nothing is turned.
    pub fn turned(&self) -> Option<(f64, Vector)> {
        let turn = UnitQuaternion::from_rotation_matrix(&self.turn);
        let angle = rotations::angle(&self.turn).to_degrees();
        // Both signs of a quaternion are the same turn; this is that of at most half a turn.
        let along = turn.imag() * turn.scalar().signum();
        (angle > LEAST_TURN_DEG).then(|| (angle, along.normalize()))
    }
}

/// How the old shape lies on the new one.
#[derive(Clone, Copy, Debug)]
pub struct Laid {
    /// The motion of the old shape.
    pub pose: Pose,
    /// Median distance that is left, mm; `None` when there is no shape.
    pub apart: Option<f64>,
    /// Whether that is little enough for two states of one part.
    pub is_match: bool,
    /// Other turns, among those tried, that leave no more distance.
    pub as_good: usize,
}

/// How far apart two shapes are.
#[derive(Clone, Copy, Debug)]
struct Apart {
    median: f64,
    mean: f64,
}

/// The two shapes and the points of them that are asked.
struct Pair<'a> {
    old: &'a Part,
    new: &'a Part,
    few_old: Samples,
    few_new: Samples,
    diagonal: f64,
}

impl<'a> Pair<'a> {
    fn new(old: &'a Part, new: &'a Part, count: usize) -> Self {
        let [few_old, few_new] = [old, new].map(|part| part.samples.thinned(count));
        let diagonal = new.bvh.diagonal().max(old.bvh.diagonal());
        Self { old, new, few_old, few_new, diagonal }
    }

    fn far(&self) -> f64 {
        FAR * self.diagonal
    }

    /// How far they are apart once the old one is moved by `pose`.
    fn apart(&self, pose: &Pose) -> Apart {
        let most = self.far();
        let away = |bvh: &Bvh, point: &Point| {
            bvh.nearest(point, most).map_or(most, |near| near.distance)
        };
        let back = pose.back();
        let of_new = self.few_new.points.iter();
        let of_old = self.few_old.points.iter();
        let mut far: Vec<f64> = of_new
            .map(|point| away(&self.old.bvh, &back.point(point)))
            .chain(of_old.map(|point| away(&self.new.bvh, &pose.point(point))))
            .collect();
        let mean = far.iter().sum::<f64>() / far.len() as f64;
        far.sort_by(f64::total_cmp);
        Apart { median: far[far.len() / 2], mean }
    }

    fn lies_well(&self, apart: Apart) -> bool {
        apart.median <= LIES_WELL && apart.mean <= LIES_WELL_SHARE * self.diagonal
    }
}

/// The motion of `old` that lays it on `new`; none where it lies well or none helps.
pub fn align(old: &Part, new: &Part) -> Laid {
    if old.samples.is_empty() || new.samples.is_empty() {
        return Laid { pose: Pose::still(), apart: None, is_match: true, as_good: 0 };
    }
    let pair = Pair::new(old, new, LAID_OVER);
    let (pose, apart) = unturned(&pair);
    let laid = |pose: Pose, apart: Apart, as_good: usize| Laid {
        pose,
        apart: Some(apart.median),
        is_match: apart.median <= NO_MATCH * pair.diagonal,
        as_good,
    };
    if pair.lies_well(apart) {
        return laid(pose, apart, 0);
    }
    match turned(&pair) {
        Some((turned, left, as_good))
            if left.mean < TURNED_NEARER * apart.mean
                && left.median <= apart.median.max(LIES_WELL) =>
        {
            laid(turned, left, as_good)
        }
        _ => laid(pose, apart, 0),
    }
}

/// As the files have them, or shifted where that clearly brings them nearer.
fn unturned(pair: &Pair<'_>) -> (Pose, Apart) {
    let still = pair.apart(&Pose::still());
    if pair.lies_well(still) {
        return (Pose::still(), still);
    }
    let [from, to] = [pair.old, pair.new].map(|part| part.mesh.bounds());
    let shifts = [
        to.min - from.min,
        to.max - from.max,
        to.center() - from.center(),
        middle(&pair.new.samples) - middle(&pair.old.samples),
    ];
    let tried = shifts.into_par_iter().map(Pose::shifted);
    let tried: Vec<(Pose, Apart)> = tried.map(|pose| (pose, pair.apart(&pose))).collect();
    let best = tried.into_iter().min_by(|a, b| a.1.median.total_cmp(&b.1.median));
    best.filter(|(_, left)| left.median < NEARER * still.median)
        .unwrap_or((Pose::still(), still))
}

/// The best motion with a turn, how far apart it leaves the shapes, and how many other turns
/// do as well.
fn turned(pair: &Pair<'_>) -> Option<(Pose, Apart, usize)> {
    let drawn = rotations::likely(pair).into_par_iter().map(|pose| {
        let pose = registration::onto(pair, pose);
        (pose, pair.apart(&pose))
    });
    let drawn: Vec<(Pose, Apart)> = drawn.collect();
    let least = drawn.iter().map(|(_, left)| left.mean).min_by(f64::total_cmp)?;
    let enough = least + (0.05 * least).max(0.25 * LIES_WELL);
    let mut good: Vec<(Pose, Apart)> =
        drawn.into_iter().filter(|(_, left)| left.mean <= enough).collect();
    // Stable, and to a hundredth of a degree: of two that are alike the first leads.
    let rounded =
        |pose: &Pose| (rotations::angle(&pose.turn).to_degrees() * 100.0).round();
    good.sort_by(|a, b| rounded(&a.0).total_cmp(&rounded(&b.0)));
    let mut apart: Vec<Pose> = Vec::new();
    for (pose, _) in &good {
        if apart.iter().all(|other| rotations::between(other, pose) > rotations::SAME) {
            apart.push(*pose);
        }
    }
    let (pose, left) = *good.first()?;
    Some((rotations::tidied(pose, &middle(&pair.old.samples)), left, apart.len() - 1))
}

/// Middle of the surface.
fn middle(samples: &Samples) -> Vector {
    let sum: Vector = samples.points.iter().map(|point| point.coords).sum();
    sum / samples.len() as f64
}

#[cfg(test)]
mod tests;
