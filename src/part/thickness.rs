//! Wall thickness, along the inward normal and by inscribed ball.
//!
//! **Ray**: from the point along the inward normal to the next wall. It reads too much on
//! tapers and at corners. **Ball**: the diameter of the largest ball inside the part that
//! touches the point. It is found by shrinking ([`super::inscribed_ball`]) from the ball through the
//! point and its ray hit.
//!
//! A contact at less than [`PASS_OVER`] from the point, seen from the center, is a
//! neighboring facet of the same coarse curved wall or the fillet beside it, and does
//! not stop the ball. A ball that ends at less than [`ACROSS`] is held by the other side
//! of a convex edge; it shrinks with the distance to the edge and says nothing of the
//! wall, so the point carries no value. A ball between the two faces of a wedge of full
//! angle α touches them 180° − α apart, so wedges up to 75° keep their values.

use rayon::prelude::*;

use crate::geom::{Direction, Point, Vector};
use crate::mesh::{bvh::Bvh, sample_grid::SampleGrid, samples::Samples};
use crate::part::inscribed_ball::Shrink;
use crate::part::wall_change::WallChange;

/// Contacts nearer than 45° do not stop the ball: with 30° a coarse tube reads its
/// facets, with 60° a draft corner of 120° is no longer an edge.
const PASS_OVER: f64 = std::f64::consts::FRAC_PI_4;

/// Balls held at less than 105° are held by a convex edge: a right-angled edge with 5° of
/// draft on either side holds them at 100°.
pub const ACROSS: f64 = 105.0 * std::f64::consts::PI / 180.0;

/// The sides of a wall face each other within 30°.
const FACING: f64 = 150.0 * std::f64::consts::PI / 180.0;

/// A hit closer than this share of the diagonal is the facet under the point, or a body
/// that touches there: a wall of a part of 100 mm is never 1 µm.
const OWN_FACET: f64 = 1e-5;

/// A contact closer than this share of the diagonal is the edge that the point lies on.
const ON_EDGE: f64 = 1e-7;

/// The ball is done when nothing lies deeper inside it than this share of its radius:
/// well below the 1 % asked of a wall, well above single-precision noise of the file.
const SETTLED: f64 = 1e-5;

/// A thin or thick spot smaller than this share of a square of its limit is an edge
/// effect, not a wall.
pub const LEAST_REGION: f64 = 0.5;

/// The gap along a convex edge is about as wide as the wall is thick, a few dozen
/// spacings at most.
const FILLED: usize = 40;

/// The wall under every sample.
#[derive(Clone, Debug)]
pub struct Thickness {
    /// Along the inward normal, mm; `None` where an open surface lets the ray out.
    pub ray: Vec<Option<f64>>,
    /// Diameter of the inscribed ball, mm; `None` near convex edges and where `ray` is.
    pub ball: Vec<Option<f64>>,
    /// The inscribed ball itself, also where an edge holds it.
    pub inscribed: Vec<Option<Ball>>,
}

impl Thickness {
    /// Ball thickness where the two sides that hold the ball face each other within 30°,
    /// as the sides of a wall do; towards the tip of a wedge or a sharp corner the ball
    /// shrinks to nothing, and that is an edge, not a thin wall.
    pub fn of_walls(&self) -> Vec<Option<f64>> {
        let faces = |ball: &Ball| ball.contact >= FACING;
        self.inscribed
            .iter()
            .map(|ball| ball.filter(faces).map(|b| 2.0 * b.radius))
            .collect()
    }

    /// The same part with other walls.
    #[must_use]
    pub fn with_walls(&self, change: &WallChange) -> Self {
        let changed = |of: &[Option<f64>]| {
            of.iter().map(|it| it.map(|wall| change.apply(wall))).collect()
        };
        let ball = |ball: Ball| {
            let radius = change.apply(2.0 * ball.radius) / 2.0;
            Ball { radius, ..ball }
        };
        Self {
            ray: changed(&self.ray),
            ball: changed(&self.ball),
            inscribed: self.inscribed.iter().map(|it| it.map(ball)).collect(),
        }
    }

    /// Diameter of every inscribed ball, whatever holds it: the plastic is at least that
    /// thick there. A lump with edges all around has no other measure.
    pub fn of_lumps(&self) -> Vec<Option<f64>> {
        self.inscribed.iter().map(|ball| ball.map(|b| 2.0 * b.radius)).collect()
    }
}

/// A ball inside the part that touches the surface at a point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ball {
    /// Its radius, mm.
    pub radius: f64,
    /// Angle between the point and the contact that holds the ball, seen from its
    /// center, radians: π between the sides of a slab.
    pub contact: f64,
}

/// Measures the wall under every sample.
pub fn map(bvh: &Bvh, samples: &Samples) -> Thickness {
    let (ray, inscribed): (Vec<_>, Vec<_>) = (0..samples.len())
        .into_par_iter()
        .map(|sample| inscribed(bvh, &samples.points[sample], &samples.normals[sample]))
        .unzip();
    let ball =
        inscribed.iter().map(|ball: &Option<Ball>| ball.and_then(thickness)).collect();
    Thickness { ray, ball, inscribed }
}

/// Ray and ball thickness at one surface point.
pub fn at(bvh: &Bvh, point: &Point, normal: &Vector) -> (Option<f64>, Option<f64>) {
    let (ray, ball) = inscribed(bvh, point, normal);
    (ray, ball.and_then(thickness))
}

fn thickness(ball: Ball) -> Option<f64> {
    (ball.contact >= ACROSS).then_some(2.0 * ball.radius)
}

fn inscribed(bvh: &Bvh, point: &Point, normal: &Vector) -> (Option<f64>, Option<Ball>) {
    let ray = Direction::new(-normal)
        .and_then(|inward| bvh.first_hit(point, inward, bvh.diagonal() * OWN_FACET))
        .map(|hit| hit.distance);
    (ray, ray.map(|ray| largest_ball(bvh, point, normal, ray / 2.0)))
}

/// `values` with each gap filled from the nearest sample that has a value, going outward
/// from those that have one, at most [`FILLED`] steps. For pictures only: a rim shows the
/// wall that it ends.
pub fn filled(samples: &Samples, values: &[Option<f64>]) -> Vec<Option<f64>> {
    let reach = 2.0 * samples.spacing();
    let grid = SampleGrid::new(samples, reach);
    let mut filled = values.to_vec();
    for _ in 0..FILLED {
        let next: Vec<Option<f64>> = (0..samples.len())
            .into_par_iter()
            .map(|sample| {
                filled[sample].or_else(|| {
                    let point = &samples.points[sample];
                    let away =
                        |other: usize| (samples.points[other] - point).norm_squared();
                    let known = grid.near(point).filter_map(|other| {
                        filled[other].map(|value| (away(other), other, value))
                    });
                    let nearest = known
                        .filter(|(squared, ..)| *squared < reach * reach)
                        .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
                    nearest.map(|(.., value)| value)
                })
            })
            .collect();
        if next == filled {
            break;
        }
        filled = next;
    }
    filled
}

/// The largest ball inside that touches `point`, not larger than `start`, past contacts that
/// lie beside the point on the same edge.
fn largest_ball(bvh: &Bvh, point: &Point, normal: &Vector, start: f64) -> Ball {
    let on_edge = bvh.diagonal() * ON_EDGE;
    let least_sine = (PASS_OVER / 2.0).sin();
    let counts = |contact: &Point| {
        let to_point = point - contact;
        let length = to_point.norm();
        length > on_edge && normal.dot(&to_point) > least_sine * length
    };
    let inward = -normal;
    let found = Shrink { point: *point, inward, start, least: 0.0, settled: SETTLED }
        .run(bvh, counts);
    // Right on an edge the ball halves without end and says nothing.
    if found.radius > on_edge {
        Ball { radius: found.radius, contact: found.angle }
    } else {
        Ball { radius: 0.0, contact: 0.0 }
    }
}
