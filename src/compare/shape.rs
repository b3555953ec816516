//! What the surface did, from two analyses.

use crate::analysis::Analysis;
use crate::compare::comparison::{Shape, Turn};
use crate::geom::{Aabb, Point};
use crate::mesh::samples::Samples;
use crate::part::pose::Pose;
use crate::part::revision::{self, Distances, Revision};
use crate::part::surface_statistics::{self, Bad, Extreme};
use crate::schema::{BoundingBox, Region};

/// Least change that counts, mm: what a small mill holds at best (common practice).
const LEAST_MM: f64 = 0.05;

/// The same as a share of the median wall: as much as one wall reads from tessellation to
/// tessellation.
const LEAST_OF_WALL: f64 = 0.02;

/// A change of wall on fewer points than these is noise along an edge.
const LEAST_POINTS: f64 = 12.0;

/// Of thinner and of thicker walls so many are listed.
const MOST: usize = 6;

/// What was seen, point by point, and what is reported of it.
pub struct Seen {
    /// At every point.
    pub revision: Revision,
    /// In a few numbers.
    pub shape: Shape,
}

/// Lays the part of `before` over that of `after`.
pub fn measure(before: &Analysis, after: &Analysis) -> Seen {
    let revision =
        revision::compare(&before.part, &after.part, &after.walls.thickness.ball);
    let least = least(before, after);
    let shape = summarize(before, after, &revision, least);
    Seen { revision, shape }
}

/// Coarse facets may be off by their chord error on either part.
fn least(before: &Analysis, after: &Analysis) -> f64 {
    let wall = surface_statistics::quantiles(&after.walls.thickness.ball)
        .map_or(0.0, |wall| wall.p50);
    let chord = |analysis: &Analysis| analysis.part.faces.chord_error.unwrap_or(0.0);
    LEAST_MM.max(LEAST_OF_WALL * wall).max(chord(before) + chord(after))
}

fn summarize(
    before: &Analysis,
    after: &Analysis,
    revision: &Revision,
    least: f64,
) -> Shape {
    let Revision { laid, wall, moved, left, .. } = revision;
    let pose = laid.pose;
    let samples = &after.part.samples;
    let least_area = LEAST_POINTS * samples.area_each;
    let regions = |bad: Bad| -> Vec<Region> {
        surface_statistics::extremes(samples, wall, bad, least_area)
            .iter()
            .take(MOST)
            .map(region)
            .collect()
    };
    let both = [
        farthest(samples, moved, Pose::still()),
        farthest(&before.part.samples, left, pose),
    ];
    let (farthest_mm, farthest_at) =
        both.into_iter().flatten().max_by(|a, b| a.0.total_cmp(&b.0)).unzip();
    let farthest_mm = farthest_mm.unwrap_or(0.0);
    let area = |far: &Distances, of: &Analysis| far.share_beyond(least) * of.mass.area;
    Shape {
        turn: pose.turned().map(|(angle_deg, axis)| Turn {
            angle_deg,
            axis: axis.into(),
            as_good: laid.as_good,
        }),
        shift_mm: pose.shift.into(),
        apart_mm: laid.apart,
        is_match: laid.is_match,
        least_mm: least,
        spacing_mm: samples.spacing(),
        farthest_mm,
        farthest_at_mm: farthest_at.filter(|_| farthest_mm > least).map(Into::into),
        mean_mm: moved.mean(),
        moved_area_mm2: area(moved, after),
        left_area_mm2: area(left, before),
        thinner: regions(Bad::Below(-least)),
        thicker: regions(Bad::Above(least)),
    }
}

/// The farthest of some points from the other surface, in the place of the new part.
fn farthest(samples: &Samples, far: &Distances, by: Pose) -> Option<(f64, Point)> {
    let (sample, far) = far.farthest()?;
    Some((far, by.point(&samples.points[sample])))
}

fn region(extreme: &Extreme) -> Region {
    let Aabb { min, max } = extreme.region.bounds;
    Region {
        area_mm2: extreme.region.area,
        value_mm: extreme.value,
        at_mm: extreme.at.into(),
        box_mm: BoundingBox { min: min.into(), max: max.into() },
    }
}
