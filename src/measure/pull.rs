//! Candidate directions, their scores, the best few.
//!
//! Candidates are the part axes, the normals of its planes, the axes of its cylinders and
//! cones, the principal axes of its surface, and a sphere of directions; a direction and
//! its opposite are one. All are tried on few samples, the better ones again on more. The
//! score, lower is better, is
//!
//! 1000 × trapped area / area  +  2 × area of walls short of draft / area  +
//! 2 × area not in planes square to the pull / area  +  height along the pull / diagonal.
//!
//! So a pull that traps nothing beats any that does; then draft, a flat parting and a low
//! mold decide. Upright walls do not count as short: draft can be added to them, and
//! tilting the whole part to give them some is no answer. What is trapped by less than
//! the chord error is not trapped. Among equals the first candidate wins, part axes
//! before others.

use nalgebra::{Matrix3, SymmetricEigen};
use rayon::prelude::*;

use crate::geom::{Direction, Vector};
use crate::measure::draft::{self, CoreSide, Rule};
use crate::measure::faces::{Faces, Surface};
use crate::measure::parting::{self, Part};
use crate::measure::undercut::{self, Release, Undercut};
use crate::mesh::{TriMesh, samples::Samples};

/// Directions on the half sphere: about 10° apart.
const SPHERE: usize = 128;

/// Faces whose normals and axes are tried, largest first.
const FACES: usize = 40;

/// Faces whose draft counts in the score, largest first.
const FITTED: usize = 2000;

/// On larger meshes the parting of the directions that are only weighed is left out: it
/// looks from every upright facet and would cost more than all the rest.
const PARTED: usize = 200_000;

/// Candidates closer than this are one.
const SAME_DEG: f64 = 0.1;

/// Weight of the trapped share against everything else.
const TRAPPED: f64 = 1000.0;

/// Walls that lean more than this are not walls.
const STANDING_DEG: f64 = 45.0;

/// Samples and survivors of each round: a trapped share is told to about 1 % on the
/// first, to 0.1 % on the last.
const ROUNDS: [(usize, usize); 2] = [(600, 24), (4000, 5)];

/// One direction and what it would mean.
#[derive(Clone, Copy, Debug)]
pub struct Scored {
    /// The direction, its largest component positive.
    pub direction: Direction,
    /// Trapped area, mm².
    pub trapped_area: f64,
    /// Depth of the deepest trapped region, mm; `None` where nothing frees it.
    pub trapped_depth: Option<f64>,
    /// Least draft of any wall that stands along it, degrees; `None` without such walls.
    pub lowest_draft_deg: Option<f64>,
    /// How far the parting line is from flat, mm; `None` without a line around the part.
    pub parting_rise: Option<f64>,
    /// Extent along it, mm.
    pub height: f64,
    /// Lower is better.
    pub score: f64,
}

/// The best directions for `part`, best first; then `given`, where it is not among them.
pub fn best(
    part: Part<'_>,
    samples: &Samples,
    rule: Rule,
    given: Option<Direction>,
) -> Vec<Scored> {
    let mut candidates = candidates(part.mesh, part.faces);
    let mut scored: Vec<Scored> = Vec::new();
    for (count, survivors) in ROUNDS {
        let few = samples.thinned(count);
        scored = candidates
            .par_iter()
            .map(|&direction| score(part, &few, direction, rule))
            .collect();
        // Stable, so that the earlier candidate wins among equals.
        scored.sort_by_key(rank);
        scored.truncate(survivors);
        candidates = scored.iter().map(|scored| scored.direction).collect();
    }
    let mut best: Vec<Scored> =
        scored.iter().map(|scored| finish(part, samples, scored)).collect();
    best.sort_by_key(rank);
    let is_new =
        |given: &Direction| !best.iter().any(|known| are_one(known.direction, *given));
    if let Some(given) = given.filter(is_new) {
        let few = samples.thinned(ROUNDS[1].0);
        best.push(finish(part, samples, &score(part, &few, given, rule)));
    }
    best
}

/// Gives the direction that was chosen what was measured along it on all samples.
pub fn settle(alternatives: &mut [Scored], pull: Direction, undercut: &Undercut) {
    for chosen in alternatives.iter_mut().filter(|one| are_one(one.direction, pull)) {
        chosen.trapped_area = undercut.area;
        chosen.trapped_depth = undercut.deepest();
    }
}

/// Whether two directions are the same or opposite, within what is told apart.
fn are_one(a: Direction, b: Direction) -> bool {
    a.vector().cross(&b.vector()).norm() < SAME_DEG.to_radians()
}

/// Adds what takes longer: the exact height, the parting, how deep it is trapped.
fn finish(part: Part<'_>, samples: &Samples, scored: &Scored) -> Scored {
    let few = samples.thinned(ROUNDS[1].0);
    let release = Release::along(part.bvh, &few, scored.direction);
    let undercut = undercut::of(part.bvh, &few, &release, scored.direction);
    let trapped_depth = undercut.deepest();
    let noise = undercut::least_depth(part.faces.chord_error);
    let area = few.area_each * few.len().max(1) as f64;
    let excused = if trapped_depth.is_some_and(|depth| depth <= noise) {
        TRAPPED * scored.trapped_area / area
    } else {
        0.0
    };
    Scored {
        height: draft::height(part.mesh, scored.direction),
        // Which half is the core moves the line along upright walls, not its rise.
        parting_rise: (part.mesh.facets().len() <= PARTED)
            .then(|| parting::of(part, scored.direction, CoreSide::Minus).rise)
            .flatten(),
        trapped_depth,
        score: scored.score - excused,
        ..*scored
    }
}

/// What `direction` would mean, on `samples`.
fn score(part: Part<'_>, samples: &Samples, direction: Direction, rule: Rule) -> Scored {
    let trapped_area = Release::along(part.bvh, samples, direction).trapped_area(samples);
    let area = samples.area_each * samples.len().max(1) as f64;
    // The samples reach within a spacing of the ends, which is enough to compare by.
    let height = draft::extent(samples.points.iter().copied(), direction);
    let mut short_area = 0.0;
    let mut square_area = 0.0;
    let mut lowest = None::<f64>;
    for face in part.faces.list.iter().take(FITTED) {
        let Some(draft) = draft::fitted_deg(face, direction) else { continue };
        if draft > 90.0 - draft::UPRIGHT_DEG {
            square_area += face.area;
        } else if draft < STANDING_DEG {
            lowest = Some(lowest.map_or(draft, |known| known.min(draft)));
            let is_short = draft >= draft::UPRIGHT_DEG && draft < rule.required_deg(0.0);
            short_area += if is_short { face.area } else { 0.0 };
        }
    }
    let score = 2.0 * short_area / area
        + 2.0 * (1.0 - square_area / area)
        + height / part.bvh.diagonal().max(f64::MIN_POSITIVE);
    let score = score + TRAPPED * trapped_area / area;
    Scored {
        direction,
        trapped_area,
        trapped_depth: Some(0.0),
        lowest_draft_deg: lowest,
        parting_rise: None,
        height,
        score,
    }
}

/// Scores in steps of 0.01, so that sampling noise does not choose between equals.
fn rank(scored: &Scored) -> i64 {
    (scored.score * 100.0).round() as i64
}

fn candidates(mesh: &TriMesh, faces: &Faces) -> Vec<Direction> {
    let of_faces = faces.list.iter().take(FACES).filter_map(|face| match face.surface {
        Surface::Plane(normal) => Some(normal),
        Surface::Round { axis, .. } => Some(axis),
        Surface::Blend => None,
    });
    let axes = [Direction::Z, Direction::X, Direction::Y];
    let mut kept: Vec<Direction> = Vec::new();
    let named = axes.into_iter().chain(of_faces).chain(principal_axes(mesh));
    for direction in named.chain(half_sphere()) {
        let direction = forward(direction);
        if !kept.iter().any(|&known| are_one(known, direction)) {
            kept.push(direction);
        }
    }
    kept
}

/// The one of a direction and its opposite whose largest component is positive.
fn forward(direction: Direction) -> Direction {
    let vector = direction.vector();
    if vector[vector.iamax()] < 0.0 { direction.reversed() } else { direction }
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
