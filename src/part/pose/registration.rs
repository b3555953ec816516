//! Draws one shape onto another, from a motion that nearly does it.

use nalgebra::{Matrix6, Rotation3, SymmetricEigen, Vector6};

use super::{LIES_WELL, Pair, Pose};
use crate::geom::{Point, Vector};

/// Steps at most.
const STEPS: usize = 40;

/// A step smaller than this share of the diagonal is the last.
const DONE: f64 = 1e-9;

/// At first points pull that are within this share of the diagonal, and each step those
/// within this part of that: what is new or gone pulls no more in the end.
const FIRST: f64 = 0.05;
const FEWER: f64 = 0.7;

/// It ends where fewer than this share of the points pull.
const LEAST_PULLING: f64 = 0.25;

/// Points pull on surfaces that face the same way within 60°.
const SAME_WAY: f64 = 0.5;

/// Motions that the surface resists less than this share of the most do not happen: along
/// them, as around the axis of a round part, the surface slides on itself.
const SLIDES: f64 = 1e-5;

/// Where a point of the new shape meets the old one: the place, which way the surface faces
/// there, and how far the point lies above it.
struct Meeting {
    place: Point,
    normal: Vector,
    above: f64,
}

/// A small turn about a point, as axis times angle, and a shift.
struct Step {
    lean: Vector,
    shift: Vector,
    about: Vector,
}

/// The motion that lays the old shape on the new one, from `pose` on.
pub(super) fn onto(pair: &Pair<'_>, pose: Pose) -> Pose {
    let mut pose = pose;
    let size = pair.diagonal.max(f64::MIN_POSITIVE);
    let mut pulls = FIRST * size;
    for _ in 0..STEPS {
        let meetings = meetings(pair, &pose, pulls);
        let least = (LEAST_PULLING * pair.few_new.len() as f64).max(6.0);
        if (meetings.len() as f64) < least {
            break;
        }
        let Step { lean, shift, about } = step(&meetings, size);
        let turn = Rotation3::new(lean);
        pose = Pose {
            turn: turn * pose.turn,
            shift: turn * (pose.shift - about) + about + shift,
        };
        if lean.norm() + shift.norm() / size < DONE && pulls <= LIES_WELL {
            break;
        }
        pulls = (FEWER * pulls).max(LIES_WELL);
    }
    // Many small steps leave a matrix that is no longer quite a turn.
    pose.turn.renormalize();
    pose
}

fn meetings(pair: &Pair<'_>, pose: &Pose, pulls: f64) -> Vec<Meeting> {
    let back = pose.back();
    let points = pair.few_new.points.iter().zip(&pair.few_new.normals);
    let meeting = |(point, way): (&Point, &Vector)| {
        let near = pair.old.bvh.nearest(&back.point(point), pulls)?;
        let normal = pose.way(&pair.old.mesh.normals()[near.facet as usize]);
        let place = pose.point(&near.point);
        let above = (point - place).dot(&normal);
        (normal.dot(way) > SAME_WAY).then_some(Meeting { place, normal, above })
    };
    points.filter_map(meeting).collect()
}

/// The small turn about a point and the shift that bring the surface nearest to all points,
/// in least squares of their distances from its planes.
fn step(meetings: &[Meeting], size: f64) -> Step {
    let sum: Vector = meetings.iter().map(|meeting| meeting.place.coords).sum();
    let about = sum / meetings.len() as f64;
    let (mut left, mut right) = (Matrix6::zeros(), Vector6::zeros());
    for Meeting { place, normal, above } in meetings {
        let lever = (place.coords - about).cross(normal) / size;
        let row = Vector6::new(lever.x, lever.y, lever.z, normal.x, normal.y, normal.z);
        left += row * row.transpose();
        right += row * *above;
    }
    let eigen = SymmetricEigen::new(left);
    let most = eigen.eigenvalues.max();
    let mut moved = Vector6::zeros();
    for (value, way) in eigen.eigenvalues.iter().zip(eigen.eigenvectors.column_iter()) {
        if *value > SLIDES * most {
            moved += way * (way.dot(&right) / value);
        }
    }
    let lean = Vector::new(moved[0], moved[1], moved[2]) / size;
    Step { lean, shift: Vector::new(moved[3], moved[4], moved[5]), about }
}
