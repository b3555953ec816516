//! Which half forms each facet.
//!
//! A facet that faces one end of the pull belongs to the half on that end, if that half
//! can leave it. An upright one belongs to the half that can leave all of it, or to either.
//! Facets that neither can leave are joined to regions, and each region goes with the side
//! that it borders on most.

use super::Heights;
use crate::geom::{Direction, Point};
use crate::mesh::disjoint_sets::DisjointSets;
use crate::mesh::neighbors::NONE;
use crate::part::Part;
use crate::part::draft::{self, UPRIGHT_DEG};
use crate::part::faces::{Face, Surface};
use crate::part::undercut::CLEARANCE;
use rayon::prelude::*;
use std::collections::BTreeMap;

/// A facet smaller than this share of the diagonal is looked at in its middle only.
const SMALL: f64 = 0.02;

/// Leaning by less than so many chord errors is not reported from upright, where as much of
/// the face leans the other way. The chord error is estimated from even strips; facets
/// twisted by half a step lean by 4.3 of it.
const NOISE: f64 = 6.0;

/// A facet narrower than this many steps of single precision has no direction: about a
/// thousandth of a millimeter in a part of 100 mm.
const SLIVER: f64 = 100.0;

/// Slivers that lie side by side are settled in so many rounds.
const ROUNDS: usize = 4;

/// A region that borders on both sides about alike (the shorter border at least this
/// share of the longer) belongs to neither: its facets keep to the side that they face.
const ALIKE: f64 = 0.9;

/// The half that forms a facet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Side {
    /// The + half.
    Plus,
    /// The − half.
    Minus,
    /// Either: an upright wall that can be parted at any height.
    Free,
    /// Either, but not parted: a trapped region in the middle of a free wall, at this
    /// height.
    Whole(f64),
}

/// The side of every facet.
pub(super) fn assign(part: &Part, heights: &Heights, pull: Direction) -> Vec<Side> {
    let clearance = part.bvh.diagonal() * CLEARANCE;
    let blends =
        part.faces.list.iter().map(|face| blend(part, heights, pull, face)).collect();
    let probe = FacetProbe { part, blends, pull, clearance };
    let seen: Vec<Option<Side>> = (0..part.mesh.facets().len())
        .into_par_iter()
        .map(|facet| probe.side(facet as u32))
        .collect();
    let mut sides = join_trapped(part, pull, &seen);
    settle_slivers(part, &mut sides);
    sides
}

/// Gives each sliver, whose normal is rounding, the side of the widest facet across its
/// two long edges.
fn settle_slivers(part: &Part, sides: &mut [Side]) {
    let mesh = &part.mesh;
    let least = SLIVER * mesh.rounding();
    let slivers: Vec<usize> =
        (0..sides.len()).filter(|&facet| mesh.least_height(facet) < least).collect();
    for _ in 0..ROUNDS {
        for &sliver in &slivers {
            let corners = mesh.corners(sliver);
            let length = |side: usize| (corners[(side + 1) % 3] - corners[side]).norm();
            let shortest =
                (0..3).min_by(|&a, &b| length(a).total_cmp(&length(b))).unwrap_or(0);
            let widest = (0..3)
                .filter(|&side| side != shortest)
                .map(|side| part.neighbors[sliver][side])
                .filter(|&other| other != NONE)
                .max_by(|&a, &b| {
                    let width = |facet: u32| mesh.least_height(facet as usize);
                    width(a).total_cmp(&width(b))
                });
            if let Some(widest) = widest {
                sides[sliver] = sides[widest as usize];
            }
        }
    }
}

/// The height of a blend that on the whole stands upright.
fn blend(part: &Part, heights: &Heights, pull: Direction, face: &Face) -> Option<f64> {
    let spans = face.facets.iter().map(|&facet| heights.of_facet(&part.mesh, facet));
    let [low, high] = spans
        .reduce(|[low, high], [least, most]| [low.min(least), high.max(most)])
        .filter(|_| face.surface == Surface::Blend)?;
    let lean: f64 = face
        .facets
        .iter()
        .map(|&facet| facet as usize)
        .map(|facet| pull.dot(&part.mesh.normals()[facet]) * part.mesh.areas()[facet])
        .sum();
    let off = (high - low) * lean.abs() / face.area.max(f64::MIN_POSITIVE);
    (off < part.faces.chord_error?).then_some(high - low)
}

struct FacetProbe<'a> {
    part: &'a Part,
    /// The height of each face that is an upright blend, mm.
    blends: Vec<Option<f64>>,
    pull: Direction,
    clearance: f64,
}

impl FacetProbe<'_> {
    /// `None` where neither half can leave the facet.
    fn side(&self, facet: u32) -> Option<Side> {
        let normal = self.part.mesh.normals()[facet as usize];
        let points = self.points(facet as usize);
        let angle = draft::facet_deg(self.part, facet, self.pull);
        let is_noise = angle >= UPRIGHT_DEG && self.is_noise(facet, angle);
        let outside = if is_noise { NOISE * self.chord_error() } else { 0.0 };
        let outside = self.clearance.max(outside);
        let leaves = |way: Direction| {
            move |point: &&Point| {
                !self.part.bvh.is_hit(&(**point + normal * outside), way)
            }
        };
        let [up, down] = [self.pull, self.pull.reversed()];
        if angle >= UPRIGHT_DEG && !is_noise {
            let faces_up = self.pull.dot(&normal) > 0.0;
            let (way, side) =
                if faces_up { (up, Side::Plus) } else { (down, Side::Minus) };
            return points.iter().any(|point| leaves(way)(&point)).then_some(side);
        }
        let [plus, minus] =
            [up, down].map(|way| points.iter().filter(leaves(way)).count());
        let all = points.len();
        match (plus, minus) {
            (0, 0) => None,
            _ if plus == all && minus == all => Some(Side::Free),
            _ if plus >= minus => Some(Side::Plus),
            _ => Some(Side::Minus),
        }
    }

    /// Whether a facet of a blend leans less over the height of its whole face than the
    /// facets are off the true surface: the twisted facets of a coarse upright bore lean
    /// to and fro.
    fn is_noise(&self, facet: u32, angle: f64) -> bool {
        let face = self.part.faces.of_facet[facet as usize] as usize;
        self.blends[face].is_some_and(|height| {
            height * angle.to_radians().tan() < NOISE * self.chord_error()
        })
    }

    fn chord_error(&self) -> f64 {
        self.part.faces.chord_error.unwrap_or(0.0)
    }

    /// Its middle; of a large facet also three places near its corners.
    fn points(&self, facet: usize) -> Vec<Point> {
        let corners = self.part.mesh.corners(facet);
        let middle = self.part.mesh.middle(facet);
        let reach = self.part.bvh.diagonal() * SMALL;
        let mut points = vec![middle];
        if corners.iter().any(|corner| (corner - middle).norm() > reach) {
            points.extend(corners.iter().map(|corner| middle + (corner - middle) * 0.8));
        }
        points
    }
}

/// Lengths of the border of a trapped region, mm.
#[derive(Clone, Copy, Default)]
struct Border {
    plus: f64,
    minus: f64,
    free: f64,
    /// Least and greatest height of the region.
    span: Option<[f64; 2]>,
}

fn join_trapped(part: &Part, pull: Direction, seen: &[Option<Side>]) -> Vec<Side> {
    let mut sets = DisjointSets::new(seen.len());
    let trapped: Vec<usize> = (0..seen.len()).filter(|&f| seen[f].is_none()).collect();
    let across = |facet: usize| {
        (0..3).map(move |side| (side, part.neighbors[facet][side] as usize))
    };
    for &facet in &trapped {
        for (_, other) in across(facet).filter(|&(_, other)| other < seen.len()) {
            if seen[other].is_none() {
                sets.join(facet, other);
            }
        }
    }
    let mut borders: BTreeMap<usize, Border> = BTreeMap::new();
    for &facet in &trapped {
        let border = borders.entry(sets.root(facet)).or_default();
        let corners = part.mesh.corners(facet);
        for (side, other) in across(facet).filter(|&(_, other)| other != NONE as usize) {
            let length = (corners[(side + 1) % 3] - corners[side]).norm();
            match seen.get(other).copied().flatten() {
                Some(Side::Plus) => border.plus += length,
                Some(Side::Minus) => border.minus += length,
                Some(Side::Free | Side::Whole(_)) => border.free += length,
                None => {}
            }
        }
        for corner in corners {
            let height = pull.dot(&corner.coords);
            let [low, high] = border.span.unwrap_or([height; 2]);
            border.span = Some([low.min(height), high.max(height)]);
        }
    }
    (0..seen.len())
        .map(|facet| {
            seen[facet].unwrap_or_else(|| {
                let border = borders.get(&sets.root(facet)).copied().unwrap_or_default();
                let faces_up = pull.dot(&part.mesh.normals()[facet]) > 0.0;
                border.side(faces_up)
            })
        })
        .collect()
}

impl Border {
    fn side(self, faces_up: bool) -> Side {
        let [less, more] = [self.plus.min(self.minus), self.plus.max(self.minus)];
        if more <= 0.0 && self.free > 0.0 {
            let [low, high] = self.span.unwrap_or([0.0; 2]);
            return Side::Whole(f64::midpoint(low, high));
        }
        // Nothing around it: a closed void, where nothing parts.
        if more <= 0.0 {
            return Side::Plus;
        }
        let plus = if less >= ALIKE * more { faces_up } else { self.plus > self.minus };
        if plus { Side::Plus } else { Side::Minus }
    }
}
