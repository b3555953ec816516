//! What another shape of the same part changed: its walls, and how far its surface moved.
//!
//! **Walls**: at each sample of the new shape the inscribed ball there minus that at the
//! nearest place of the old shape. Only a place that faces the same way within 60° is the
//! same wall; where there is none, as on the sides of a new rib, there is no difference.
//! **Surface**: how far each sample lies from the other shape, positive outside of it.
//!
//! Both shapes are laid over each other as their files have them, or as [`pose`] lays them: a
//! part that was only moved or turned has not changed. Blind: whatever is smaller than the
//! spacing of samples.

use rayon::prelude::*;

use crate::geom::{Direction, Point, Vector};
use crate::mesh::{bvh::Bvh, samples::Samples};
use crate::part::Part;
use crate::part::pose::{self, Laid, Pose};
use crate::part::thickness;

/// Places that are the same wall face the same way within 60°.
const SAME_WAY: f64 = 0.5;

/// What changed from one shape to the other.
#[derive(Clone, Debug)]
pub struct Revision {
    /// How the old shape was moved to lie on the new one; not at all where the files lie
    /// well as they are.
    pub laid: Laid,
    /// At each sample of the new shape, its wall minus the old one, mm.
    pub wall: Vec<Option<f64>>,
    /// Whether the old shape has a wall that corresponds to that of each sample.
    pub same_wall: Vec<bool>,
    /// For each sample of the new shape its distance from the old one, mm: positive
    /// outside, where plastic was added, negative inside, where it was taken away.
    pub moved: Distances,
    /// The same for each sample of the old shape and the new one: positive where plastic
    /// was taken away.
    pub left: Distances,
}

/// How far samples lie from another surface.
#[derive(Clone, Debug)]
pub struct Distances {
    /// Of each sample, mm; without a sign where the other surface is open.
    pub values: Vec<f64>,
    /// Whether the values have a sign.
    pub signed: bool,
}

impl Distances {
    /// The farthest sample and its distance, mm; `None` when there is no sample.
    pub fn farthest(&self) -> Option<(usize, f64)> {
        let far = self.values.iter().map(|value| value.abs()).enumerate();
        far.max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)))
    }

    /// Mean distance without sign, mm.
    pub fn mean(&self) -> f64 {
        let sum: f64 = self.values.iter().map(|value| value.abs()).sum();
        sum / self.values.len().max(1) as f64
    }

    /// Share of the samples that are farther than `least` mm.
    pub fn share_beyond(&self, least: f64) -> f64 {
        let beyond = self.values.iter().filter(|value| value.abs() > least).count();
        beyond as f64 / self.values.len().max(1) as f64
    }
}

/// What changed from `old` to `new`; `balls` are the diameters of the inscribed balls at the
/// samples of the new shape, mm.
pub fn compare(old: &Part, new: &Part, balls: &[Option<f64>]) -> Revision {
    let laid = pose::align(old, new);
    let (pose, back) = (laid.pose, laid.pose.back());
    let walls = walls(old, new, balls, &pose);
    Revision {
        laid,
        same_wall: walls.iter().map(|(_, is_same)| *is_same).collect(),
        wall: walls.into_iter().map(|(change, _)| change).collect(),
        moved: distances(new, old, &back),
        left: distances(old, new, &pose),
    }
}

fn away(bvh: &Bvh, point: &Point) -> f64 {
    bvh.nearest(point, f64::INFINITY).map_or(f64::INFINITY, |near| near.distance)
}

/// The change of the wall at each sample of the new shape, and whether the old one has that
/// wall.
fn walls(
    old: &Part,
    new: &Part,
    balls: &[Option<f64>],
    pose: &Pose,
) -> Vec<(Option<f64>, bool)> {
    let back = pose.back();
    let change = |sample: usize| {
        let place = back.point(&new.samples.points[sample]);
        let near = old.bvh.nearest(&place, f64::INFINITY)?;
        let normal = old.mesh.normals()[near.facet as usize];
        let is_same = pose.way(&normal).dot(&new.samples.normals[sample]) > SAME_WAY;
        is_same.then(|| {
            let now = balls[sample]?;
            Some(now - thickness::at(&old.bvh, &near.point, &normal).1?)
        })
    };
    (0..new.samples.len())
        .into_par_iter()
        .map(|sample| change(sample).map_or((None, false), |change| (change, true)))
        .collect()
}

/// How far the samples of `of`, moved by `by`, lie from `other`.
fn distances(of: &Part, other: &Part, by: &Pose) -> Distances {
    let Samples { points, normals, .. } = &of.samples;
    let value = |(point, normal): (&Point, &Vector)| {
        let place = by.point(point);
        let far = away(&other.bvh, &place);
        let far = if far.is_finite() { far } else { 0.0 };
        let inside = other.closed && is_inside(other, &place, &by.way(normal));
        if inside { -far } else { far }
    };
    let values = points.par_iter().zip(normals).map(value).collect();
    Distances { values, signed: other.closed }
}

/// Whether the first wall met on the remedy of the one shape is met from inside the other.
fn is_inside(other: &Part, place: &Point, way: &Vector) -> bool {
    let hit = Direction::new(*way).and_then(|way| other.bvh.first_hit(place, way, 0.0));
    hit.is_some_and(|hit| other.mesh.normals()[hit.facet as usize].dot(way) > 0.0)
}

#[cfg(test)]
mod tests {
    use super::{Revision, compare};
    use crate::geom::Vector;
    use crate::mesh::{TriMesh, shapes};
    use crate::part::Part;
    use crate::part::thickness;

    fn revision(old: &TriMesh, new: &TriMesh) -> Revision {
        let [old, new] = [old, new].map(|mesh| Part::new(mesh.clone(), true, 6000));
        compare(&old, &new, &thickness::map(&new.bvh, &new.samples).ball)
    }

    fn known(values: &[Option<f64>]) -> Vec<f64> {
        values.iter().flatten().copied().collect()
    }

    #[test]
    fn the_same_part_has_not_changed_wherever_it_stands() {
        let part = shapes::tray([60.0, 40.0, 15.0], 2.0);
        for by in [[0.0; 3], [35.0, -20.0, 1000.0]] {
            let there = part.map_points(|point| point + Vector::from(by));
            let seen = revision(&part, &there);
            let shift = seen.laid.pose.shift;
            assert!((shift - Vector::from(by)).norm() < 1e-6, "{shift}");
            assert!(seen.laid.pose.turned().is_none() && seen.laid.is_match);
            let walls = known(&seen.wall);
            assert!(walls.len() > 3000, "{}", walls.len());
            assert!(walls.iter().all(|change| change.abs() < 1e-6));
            let far =
                seen.moved.farthest().unwrap().1.max(seen.left.farthest().unwrap().1);
            assert!(far < 1e-6, "{far}");
        }
    }

    /// A floor of 3 in place of 2, grown inwards: 1 thicker under the floor and on it, the
    /// surface of the floor 1 further out of the old plastic.
    #[test]
    fn a_thicker_floor_is_thicker_by_as_much() {
        let tray = |floor: f64| {
            let x = [0.0, 2.0, 58.0, 60.0];
            let y = [0.0, 2.0, 38.0, 40.0];
            shapes::blocks([&x, &y, &[0.0, floor, 15.0]], |i, j, k| {
                k == 0 || i != 1 || j != 1
            })
        };
        let seen = revision(&tray(2.0), &tray(3.0));
        assert!(seen.laid.pose.shift.norm() < 1e-12);
        let walls = known(&seen.wall);
        let count = |value: f64| {
            walls.iter().filter(|change| (**change - value).abs() < 1e-3).count() as f64
                / walls.len() as f64
        };
        // Floor 56 × 36 twice, of it less what lies near the walls.
        assert!(count(1.0) > 0.35 && count(0.0) > 0.3, "{} {}", count(1.0), count(0.0));
        assert!(walls.iter().all(|change| *change < 1.3), "rounds of corners at most");
        let added: Vec<f64> =
            seen.moved.values.iter().copied().filter(|far| far.abs() > 1e-6).collect();
        assert!(added.iter().all(|far| *far > 0.0 && *far < 1.0 + 1e-9));
        assert!((seen.moved.farthest().unwrap().1 - 1.0).abs() < 1e-9);
        // The old floor lies inside the new plastic.
        let (sample, far) = seen.left.farthest().unwrap();
        assert!((far - 1.0).abs() < 1e-9 && seen.left.values[sample] < 0.0);
    }

    /// A boss of 6 × 6 × 8 that is gone: nothing of the new part is away from the old, and
    /// the old top stands 8 out of the new.
    #[test]
    fn what_was_taken_away_is_seen_on_the_old_part() {
        let boss = shapes::blocks(
            [&[0.0, 12.0, 18.0, 30.0], &[0.0, 12.0, 18.0, 30.0], &[0.0, 3.0, 11.0]],
            |i, j, k| k == 0 || (i == 1 && j == 1),
        );
        let plate = shapes::cuboid(30.0, 30.0, 3.0);
        let seen = revision(&boss, &plate);
        assert!(seen.moved.values.iter().all(|far| *far < 1e-9));
        let (sample, far) = seen.left.farthest().unwrap();
        assert!((far - 8.0).abs() < 1e-6 && seen.left.values[sample] > 0.0, "{far}");
        assert!(seen.left.share_beyond(0.05) > 0.08);
        // And back: what is new has no wall to be compared with on its sides.
        let back = revision(&plate, &boss);
        assert!((back.moved.farthest().unwrap().1 - 8.0).abs() < 1e-6);
        let sides = back.same_wall.iter().filter(|same| !**same).count() as f64;
        // 4 × 6 × 8 of all: 2 × 900 + 4 × 30 × 3 + 4 × 6 × 8.
        let share = sides / back.same_wall.len() as f64;
        assert!((share / (192.0 / 2352.0) - 1.0).abs() < 0.1, "{share}");
    }

    #[test]
    fn an_open_surface_has_no_inside_and_nothing_has_no_change() {
        let open = Part::new(shapes::cuboid(3.0, 4.0, 5.0), false, 100);
        let balls = vec![None; 100];
        let seen = compare(&open, &open, &balls);
        assert!(!seen.moved.signed && seen.wall.iter().all(Option::is_none));
        let nothing = Part::new(TriMesh::new(Vec::new(), Vec::new()), false, 0);
        let seen = compare(&nothing, &open, &balls);
        assert!(seen.moved.values.iter().all(|far| *far == 0.0));
        assert!(seen.left.farthest().is_none());
    }
}
