//! Directions that are worth a try.
//!
//! In this order: the part axes; the normals of planes and the axes of cylinders and
//! cones, those that share a direction counted together, largest area first; the faces of
//! the convex hull, on which the part can stand; the principal axes of its surface; a
//! sphere of directions.

use nalgebra::{Matrix3, SymmetricEigen};
use parry3d::math::Vector as HullPoint;
use parry3d::transformation::try_convex_hull;

use super::are_one;
use crate::geom::{Direction, Point, Vector};
use crate::mesh::TriMesh;
use crate::part::Part;
use crate::part::faces::{Faces, Surface};

/// The part axes come first.
pub(super) const AXES: usize = 3;

/// Directions on the half sphere: about 10° apart.
const SPHERE: usize = 128;

/// Faces that are looked at, largest first.
const FACES: usize = 2000;

/// Directions of planes, of axes and of hull faces that are tried, largest area first.
const OF_A_KIND: usize = 40;

/// Corners that the hull is made of; of more, every so many.
const HULL_CORNERS: usize = 200_000;

/// A hull face smaller than this share of the hull is none to stand on.
const HULL_SHARE: f64 = 0.01;

/// A direction to try.
#[derive(Clone, Copy, Debug)]
pub(super) struct Candidate {
    pub(super) direction: Direction,
    /// Place in the list: earlier ones win ties.
    pub(super) place: usize,
    /// Whether the part suggests it, so that turning it a little would lose its meaning.
    pub(super) named: bool,
}

impl Candidate {
    pub(super) fn named(direction: Direction, place: usize) -> Self {
        Self { direction: forward(direction), place, named: true }
    }

    pub(super) fn free(direction: Direction, place: usize) -> Self {
        Self { named: false, ..Self::named(direction, place) }
    }
}

/// All candidates for `part`, none twice.
pub(super) fn list(part: &Part) -> Vec<Candidate> {
    let axes = [Direction::Z, Direction::X, Direction::Y];
    let named = axes
        .into_iter()
        .chain(of_faces(&part.faces))
        .chain(of_hull(&part.mesh))
        .chain(principal_axes(&part.mesh));
    let all = named.map(|it| (it, true)).chain(half_sphere().map(|it| (it, false)));
    let mut kept: Vec<Candidate> = Vec::new();
    for (direction, named) in all {
        if !kept.iter().any(|known| are_one(known.direction, direction)) {
            let place = kept.len();
            kept.push(Candidate { named, ..Candidate::named(direction, place) });
        }
    }
    kept
}

/// The one of a direction and its opposite whose largest component is positive.
fn forward(direction: Direction) -> Direction {
    let vector = direction.vector();
    if vector[vector.iamax()] < 0.0 { direction.reversed() } else { direction }
}

/// Normals of planes, then axes of what is round.
fn of_faces(faces: &Faces) -> impl Iterator<Item = Direction> {
    let list = || faces.list.iter().take(FACES);
    let planes = list().filter_map(|face| match face.surface {
        Surface::Plane(normal) => Some((normal, face.area)),
        _ => None,
    });
    let axes = list().filter_map(|face| match face.surface {
        Surface::Round { axis, .. } => Some((axis, face.area)),
        _ => None,
    });
    grouped(planes, 0.0).into_iter().chain(grouped(axes, 0.0))
}

/// Directions with their areas summed where they are one, largest first; those below
/// `least` of the whole are left out.
fn grouped(all: impl Iterator<Item = (Direction, f64)>, least: f64) -> Vec<Direction> {
    let mut groups: Vec<(Direction, f64)> = Vec::new();
    for (direction, area) in all {
        match groups.iter_mut().find(|(known, _)| are_one(*known, direction)) {
            Some((_, sum)) => *sum += area,
            None => groups.push((direction, area)),
        }
    }
    let total: f64 = groups.iter().map(|(_, area)| area).sum();
    groups.retain(|(_, area)| *area >= least * total);
    groups.sort_by(|a, b| b.1.total_cmp(&a.1));
    groups.truncate(OF_A_KIND);
    groups.into_iter().map(|(direction, _)| direction).collect()
}

/// Normals of the faces of the convex hull.
fn of_hull(mesh: &TriMesh) -> Vec<Direction> {
    // Single precision is enough about the middle of the part.
    let middle = mesh.bounds().center();
    let step = mesh.points().len().div_ceil(HULL_CORNERS).max(1);
    let single = |point: &Point| {
        let from_middle = (point - middle).cast::<f32>();
        HullPoint::new(from_middle.x, from_middle.y, from_middle.z)
    };
    let corners: Vec<HullPoint> =
        mesh.points().iter().step_by(step).map(single).collect();
    // A part without volume has no hull: then there is nothing to stand on.
    let Ok((corners, facets)) = try_convex_hull(&corners) else { return Vec::new() };
    let mut faces: Vec<(Direction, f64)> = facets
        .iter()
        .filter_map(|facet| {
            let [a, b, c] = facet.map(|corner| {
                let at = corners[corner as usize];
                Vector::new(f64::from(at.x), f64::from(at.y), f64::from(at.z))
            });
            let across = (b - a).cross(&(c - a));
            Some((Direction::new(across)?, across.norm() / 2.0))
        })
        .collect();
    // The largest facet of a face tells its direction best.
    faces.sort_by(|a, b| b.1.total_cmp(&a.1));
    faces.truncate(FACES);
    grouped(faces.into_iter(), HULL_SHARE)
}

/// The principal axes of the facet normals: where a part is round or symmetric, its axis
/// is one of them, whatever its faces are (a torus is all blend).
fn principal_axes(mesh: &TriMesh) -> Vec<Direction> {
    let total: f64 = mesh.areas().iter().sum();
    let weighted = mesh.normals().iter().zip(mesh.areas());
    let spread: Matrix3<f64> =
        weighted.map(|(normal, area)| normal * normal.transpose() * (area / total)).sum();
    let eigen = SymmetricEigen::new(spread);
    eigen
        .eigenvectors
        .column_iter()
        .filter_map(|axis| Direction::new(axis.into_owned()))
        .collect()
}

/// Evenly spread directions with z ≥ 0 (a Fibonacci sphere: González, *Mathematical
/// Geosciences* 42, 2010).
fn half_sphere() -> impl Iterator<Item = Direction> {
    let golden = std::f64::consts::PI * (3.0 - 5.0_f64.sqrt());
    (0..SPHERE).filter_map(move |index| {
        let z = (index as f64 + 0.5) / SPHERE as f64;
        let radius = (1.0 - z * z).sqrt();
        let angle = golden * index as f64;
        Direction::new(Vector::new(radius * angle.cos(), radius * angle.sin(), z))
    })
}
