//! Round holes: the cylinder that faces make, closed all around and hollow.

use crate::geom::{Direction, Frame, Point};
use crate::mesh::TriMesh;
use crate::part::faces::{Face, Surface};

/// A cylinder is closed when its normals leave no gap wider than this, degrees: a bit more
/// than the coarsest step that still counts as curved.
const CLOSED_GAP_DEG: f64 = 45.0;

/// Points of a cylinder keep its radius within this share.
const ROUND: f64 = 0.02;

/// A round hole.
pub(super) struct Hole {
    pub(super) axis: Direction,
    /// Halfway along it, mm.
    pub(super) middle: Point,
    /// mm.
    pub(super) radius: f64,
    /// mm.
    pub(super) length: f64,
}

impl Hole {
    /// The cylinder about `axis` through the corners of `facets`; `None` when they do
    /// not make one, closed all around and hollow.
    pub(super) fn fit(mesh: &TriMesh, facets: &[u32], axis: Direction) -> Option<Self> {
        let frame = Frame::along(axis);
        let corners: Vec<Point> =
            facets.iter().flat_map(|&facet| mesh.corners(facet as usize)).collect();
        let flat: Vec<[f64; 2]> =
            corners.iter().map(|corner| frame.flatten(corner)).collect();
        let (center, radius) = circle(&flat)?;
        let strays = |at: &[f64; 2]| {
            let distance = (at[0] - center[0]).hypot(at[1] - center[1]);
            (distance - radius).abs() > ROUND * radius
        };
        if flat.iter().any(strays) {
            return None;
        }
        let mut angles = Vec::with_capacity(facets.len());
        for &facet in facets {
            let normal = mesh.normals()[facet as usize];
            let [x, y] = frame.flatten(&mesh.middle(facet as usize));
            let [nx, ny] = [frame.right.dot(&normal), frame.up.dot(&normal)];
            if nx * (x - center[0]) + ny * (y - center[1]) > 0.0 {
                return None;
            }
            angles.push(ny.atan2(nx));
        }
        if widest_gap(&mut angles) > CLOSED_GAP_DEG.to_radians() {
            return None;
        }
        let heights = corners.iter().map(|corner| frame.height(corner));
        let (low, high) = heights.fold((f64::INFINITY, f64::NEG_INFINITY), |span, h| {
            (span.0.min(h), span.1.max(h))
        });
        let middle = frame.raise(center, f64::midpoint(low, high));
        Some(Self { axis, middle, radius, length: high - low })
    }

    /// Whether `point` lies on or in the hole, or on a drill point at its end.
    pub(super) fn holds(&self, point: &Point, slack: f64) -> bool {
        let from = point - self.middle;
        let along = self.axis.dot(&from);
        let aside = (from - self.axis.vector() * along).norm();
        aside <= self.radius * (1.0 + ROUND) + slack
            && along.abs() <= self.length / 2.0 + self.radius
    }
}

/// Diameter of the round hole that `face` is, mm; `None` where it is none.
pub fn diameter(mesh: &TriMesh, face: &Face) -> Option<f64> {
    Some(2.0 * Hole::fit(mesh, &face.facets, axis(face)?)?.radius)
}

/// The axis of a cylinder.
pub(super) fn axis(face: &Face) -> Option<Direction> {
    match face.surface {
        Surface::Round { axis, lean } if lean.abs() < 1.0_f64.to_radians().sin() => {
            Some(axis)
        }
        Surface::Plane(_) | Surface::Round { .. } | Surface::Blend => None,
    }
}

/// The widest step from one of `angles` to the next, radians.
fn widest_gap(angles: &mut [f64]) -> f64 {
    angles.sort_unstable_by(f64::total_cmp);
    let around = match (angles.first(), angles.last()) {
        (Some(first), Some(last)) => first + std::f64::consts::TAU - last,
        _ => std::f64::consts::TAU,
    };
    angles.windows(2).map(|pair| pair[1] - pair[0]).fold(around, f64::max)
}

/// Center and radius of the circle nearest to `points` (least squares of Kåsa, *IEEE
/// Transactions on Instrumentation and Measurement* 25, 1976).
fn circle(points: &[[f64; 2]]) -> Option<([f64; 2], f64)> {
    let count = points.len() as f64;
    let mean = points
        .iter()
        .fold([0.0; 2], |sum, at| [sum[0] + at[0] / count, sum[1] + at[1] / count]);
    let [mut xx, mut xy, mut yy, mut xz, mut yz] = [0.0; 5];
    for at in points {
        let [x, y] = [at[0] - mean[0], at[1] - mean[1]];
        let z = x * x + y * y;
        xx += x * x;
        xy += x * y;
        yy += y * y;
        xz += x * z;
        yz += y * z;
    }
    let determinant = xx * yy - xy * xy;
    if determinant <= 1e-12 * (xx + yy).powi(2) || !determinant.is_finite() {
        return None;
    }
    let x = (xz * yy - yz * xy) / (2.0 * determinant);
    let y = (yz * xx - xz * xy) / (2.0 * determinant);
    let radius = (x * x + y * y + (xx + yy) / count).sqrt();
    Some(([mean[0] + x, mean[1] + y], radius))
}
