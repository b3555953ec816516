//! Whether the designer drew draft for a direction: many walls that lean to it by one angle.
//!
//! Nobody leans the walls all around a part by two degrees without a reason: the reason is
//! the pull. A single slope, two that face each other as on a wedge or a sheared block, or
//! the taper of one turned handle say nothing.

use nalgebra::Matrix3;

use crate::geom::{Direction, Vector};
use crate::mesh::TriMesh;
use crate::part::faces::Face;

/// Draft that is drawn for release, degrees, least and most: below it is a slip of the
/// drawing, above it a shape (common practice: 0.5 to 5, textures up to 8).
const DRAWN_DEG: [f64; 2] = [0.3, 10.0];

/// Walls lean by one angle when they do within this, degrees.
const COMMON_DEG: f64 = 0.15;

/// They are many when they have this share of all that stands along the direction.
const MANY: f64 = 0.25;

/// And when they are at least so many faces.
const LEAST_FACES: usize = 3;

/// They stand around the direction when the part of their area that looks across the way
/// that most of it looks is at least this share.
const AROUND: f64 = 0.1;

/// The pull is tilted where the walls, each counted by the end that it leans to, look one way
/// by more than this share.
const TILTED: f64 = 0.3;

/// A fitted face that stands along a direction.
pub(super) struct Wall<'a> {
    pub(super) face: &'a Face,
    /// Its least draft, degrees.
    pub(super) draft_deg: f64,
}

/// The draft that was drawn for a direction.
#[derive(Clone, Copy, Debug)]
pub(super) struct DrawnDraft {
    /// The common angle, degrees.
    deg: f64,
    /// Share of the walls that have it, by area.
    pub(super) share: f64,
}

impl DrawnDraft {
    /// Whether the wall leans by it.
    pub(super) fn has(&self, wall: &Wall<'_>) -> bool {
        (wall.draft_deg - self.deg).abs() <= COMMON_DEG
    }
}

/// The draft that was drawn for `pull`; `None` where its walls do not lean by one angle.
pub(super) fn find(
    mesh: &TriMesh,
    walls: &[Wall<'_>],
    pull: Direction,
) -> Option<DrawnDraft> {
    let all: f64 = walls.iter().map(|wall| wall.face.area).sum();
    let [least, most] = DRAWN_DEG;
    let mut leaning: Vec<&Wall<'_>> =
        walls.iter().filter(|wall| (least..=most).contains(&wall.draft_deg)).collect();
    leaning.sort_by(|a, b| a.draft_deg.total_cmp(&b.draft_deg));
    let area = |walls: &[&Wall<'_>]| walls.iter().map(|wall| wall.face.area).sum::<f64>();
    let groups = leaning.iter().enumerate().map(|(start, first)| {
        let within =
            |wall: &&Wall<'_>| wall.draft_deg <= first.draft_deg + 2.0 * COMMON_DEG;
        let count = leaning[start..].partition_point(within);
        &leaning[start..start + count]
    });
    let largest = groups.max_by(|a, b| area(a).total_cmp(&area(b)))?;
    let share = area(largest) / all;
    if largest.len() < LEAST_FACES || share < MANY || !stand_around(mesh, largest, pull) {
        return None;
    }
    let deg = largest.iter().map(|wall| wall.face.area * wall.draft_deg).sum::<f64>()
        / area(largest);
    Some(DrawnDraft { deg, share })
}

/// Whether walls look all ways across the pull, not along one line of it alone, and lean
/// alike on opposite sides. Where one of two opposite walls leans to one end of the pull and
/// the other to the other end, the pull is tilted.
fn stand_around(mesh: &TriMesh, walls: &[&Wall<'_>], pull: Direction) -> bool {
    let (mut spread, mut tilt, mut total) = (Matrix3::zeros(), Vector::zeros(), 0.0);
    for &facet in walls.iter().flat_map(|wall| &wall.face.facets) {
        let normal = &mesh.normals()[facet as usize];
        let area = mesh.areas()[facet as usize];
        let along = pull.dot(normal);
        let across = normal - pull.vector() * along;
        spread += across * across.transpose() * area;
        tilt += across * (area * along.signum());
        total += area;
    }
    let mut values: Vec<f64> = spread.symmetric_eigenvalues().iter().copied().collect();
    values.sort_by(f64::total_cmp);
    // The least is that along the pull, which nothing has.
    matches!(values[..], [_, mid, high] if mid >= AROUND * (mid + high) && high > 0.0)
        && tilt.norm() <= TILTED * total
}
