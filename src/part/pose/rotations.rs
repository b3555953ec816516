//! Turns that may lay one shape on another, the likeliest first.

use nalgebra::{Matrix3, Rotation3, SymmetricEigen, UnitQuaternion};
use rayon::prelude::*;

use super::{Pair, Pose, middle};
use crate::geom::Vector;
use crate::mesh::samples::Samples;

/// Samples of each shape that sort out most turns.
const TRIED: usize = 120;

/// So many of them are drawn onto the surface.
const LIKELY: usize = 16;

/// Moments within this share of each other may be alike: a revision changes them.
const ALIKE: f64 = 0.15;

/// Steps around an axis whose moments are alike.
const AROUND: usize = 48;

/// Directions, and steps around each, where all three are alike.
const ALL_AROUND: [usize; 2] = [48, 12];

/// Turns nearer than this are one, radians (2°).
pub(super) const SAME: f64 = 0.035;

/// A turn this near to one by right angles is that one, radians (0.005°): coordinates in a
/// file have single precision.
const TIDY: f64 = 1e-4;

/// The motions that are worth a closer look.
pub(super) fn likely(pair: &Pair<'_>) -> Vec<Pose> {
    let [from, to] = [&pair.old.samples, &pair.new.samples].map(middle);
    let pose = |turn: Rotation3<f64>| Pose { turn, shift: to - turn * from };
    let few = Pair::new(pair.old, pair.new, TRIED);
    let tried = all(&pair.old.samples, &pair.new.samples).into_par_iter().map(|turn| {
        let pose = pose(turn);
        (pose, few.apart(&pose).mean)
    });
    let mut tried: Vec<(Pose, f64)> = tried.collect();
    tried.sort_by(|a, b| a.1.total_cmp(&b.1));
    let mut likely: Vec<Pose> = Vec::new();
    for (pose, _) in tried {
        if likely.len() == LIKELY {
            break;
        }
        if likely.iter().all(|other| between(other, &pose) > SAME) {
            likely.push(pose);
        }
    }
    likely
}

/// Angle of a turn, radians; by the arc tangent, which neither half a turn nor none upsets.
pub(super) fn angle(turn: &Rotation3<f64>) -> f64 {
    let turn = UnitQuaternion::from_rotation_matrix(turn);
    2.0 * turn.imag().norm().atan2(turn.scalar().abs())
}

/// Angle between the turns of two motions, radians.
pub(super) fn between(a: &Pose, b: &Pose) -> f64 {
    angle(&a.turn.rotation_to(&b.turn))
}

/// The same motion, by right angles where it nearly is; the middle stays where it was.
pub(super) fn tidied(pose: Pose, middle: &Vector) -> Pose {
    let near = |turn: &Rotation3<f64>| angle(&turn.rotation_to(&pose.turn)) < TIDY;
    match right_angles().into_iter().find(near) {
        Some(turn) => {
            Pose { turn, shift: pose.shift + pose.turn * middle - turn * middle }
        }
        None => pose,
    }
}

/// Every turn that is tried.
fn all(old: &Samples, new: &Samples) -> Vec<Rotation3<f64>> {
    let (from, _) = axes(old);
    let (to, moments) = axes(new);
    let back = from.inverse();
    let right = right_angles();
    let mut turns = right.clone();
    turns.extend(right.iter().map(|turn| to * turn * back));
    let is_alike = |a: usize, b: usize| {
        (moments[a] - moments[b]).abs() <= ALIKE * moments[a].max(moments[b])
    };
    let pairs = [(0, 1, 2), (1, 2, 0), (2, 0, 1)];
    let round = pairs.into_iter().filter(|&(_, a, b)| is_alike(a, b));
    let round: Vec<usize> = round.map(|(axis, ..)| axis).collect();
    for &axis in &round {
        for step in 0..AROUND {
            let spin = about(axis, step as f64 / AROUND as f64);
            let over = about((axis + 1) % 3, 0.5);
            turns.extend([to * spin * back, to * spin * over * back]);
        }
    }
    if round.len() == 3 {
        let [directions, steps] = ALL_AROUND;
        for direction in 0..directions {
            let way = fibonacci(direction, directions);
            let lean = Rotation3::rotation_between(&Vector::z(), &way)
                .unwrap_or_else(|| about(0, 0.5));
            turns.extend(
                (0..steps)
                    .map(|step| to * lean * about(2, step as f64 / steps as f64) * back),
            );
        }
    }
    turns
}

/// Principal axes of a surface as a turn, and its second moments along them, the least
/// first.
fn axes(samples: &Samples) -> (Rotation3<f64>, [f64; 3]) {
    let middle = middle(samples);
    let mut second = Matrix3::zeros();
    for point in &samples.points {
        let from = point.coords - middle;
        second += from * from.transpose();
    }
    let eigen = SymmetricEigen::new(second / samples.len() as f64);
    let mut order = [0, 1, 2];
    order.sort_by(|&a, &b| eigen.eigenvalues[a].total_cmp(&eigen.eigenvalues[b]));
    let [a, b] = [0, 1].map(|i| eigen.eigenvectors.column(order[i]).into_owned());
    let turn =
        Rotation3::from_matrix_unchecked(Matrix3::from_columns(&[a, b, a.cross(&b)]));
    (turn, order.map(|i| eigen.eigenvalues[i].max(0.0)))
}

/// The 24 turns of a cube onto itself.
fn right_angles() -> Vec<Rotation3<f64>> {
    let orders = [[0, 1, 2], [0, 2, 1], [1, 0, 2], [1, 2, 0], [2, 0, 1], [2, 1, 0]];
    let mut turns = Vec::new();
    for order in orders {
        for signs in 0..8 {
            let mut matrix = Matrix3::zeros();
            for (row, &column) in order.iter().enumerate() {
                matrix[(row, column)] = if signs >> row & 1 == 1 { -1.0 } else { 1.0 };
            }
            if matrix.determinant() > 0.0 {
                turns.push(Rotation3::from_matrix_unchecked(matrix));
            }
        }
    }
    turns
}

/// A turn about an axis by a share of the whole.
fn about(axis: usize, share: f64) -> Rotation3<f64> {
    let unit = [Vector::x_axis(), Vector::y_axis(), Vector::z_axis()][axis];
    Rotation3::from_axis_angle(&unit, std::f64::consts::TAU * share)
}

/// One of `count` directions that are spread evenly (a spiral of golden angles).
fn fibonacci(index: usize, count: usize) -> Vector {
    let z = 1.0 - (2.0 * index as f64 + 1.0) / count as f64;
    let angle = index as f64 * std::f64::consts::PI * (3.0 - 5.0_f64.sqrt());
    let across = (1.0 - z * z).sqrt();
    Vector::new(across * angle.cos(), across * angle.sin(), z)
}
