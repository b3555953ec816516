//! The round walls that a cut leaves: rings of corners around its axis, and the sides between them.

use std::collections::BTreeSet;
use std::f64::consts::TAU;

use crate::geom::{Point, Vector};
use crate::mold::cut_feature::Cut;

/// Corners that lie nearer than this to a side lie on it, mm.
const ON_SIDE_MM: f64 = 2e-5;

/// Fewer sides are no round.
const LEAST_SIDES: usize = 12;

/// A wall of flat sides whose corners lie on a cylinder or cone along z.
pub(super) struct RoundWall {
    /// Middle across z.
    pub(super) at: [f64; 2],
    /// Radius and height at its lower and upper end.
    pub(super) ends: [[f64; 2]; 2],
    /// Its sides.
    pub(super) sides: u32,
    /// The angle of one of its corners.
    turn: f64,
    /// Which of the cuts it belongs to.
    pub(super) cut: usize,
}

/// A ring as it is compared: radius and height in steps of a nanometer.
type Ring = [i64; 2];

/// The walls of `cut`, which is number `number`.
pub(super) fn of_cut(cut: &Cut, number: usize) -> Vec<RoundWall> {
    if cut.end.is_some() {
        return Vec::new();
    }
    let off = |point: &Point| [point.x - cut.at[0], point.y - cut.at[1]];
    let radius = |point: &Point| off(point)[0].hypot(off(point)[1]);
    let step = |value: f64| (value * 1e6).round() as i64;
    let ring = |point: &Point| [step(radius(point)), step(point.z)];
    let mut pairs: BTreeSet<[Ring; 2]> = BTreeSet::new();
    for corners in cut.solid.triangles() {
        let rings: BTreeSet<Ring> = corners.iter().map(ring).collect();
        let mut rings: Vec<Ring> = rings.into_iter().collect();
        rings.sort_by_key(|ring| ring[1]);
        if let [low, high] = rings[..]
            && low[1] < high[1]
            && low[0].min(high[0]) > 0
        {
            pairs.insert([low, high]);
        }
    }
    let on = |wanted: Ring| cut.solid.points.iter().filter(move |it| ring(it) == wanted);
    pairs
        .into_iter()
        .filter_map(|[low, high]| {
            let sides = on(low).count();
            let first = on(low).next()?;
            (sides >= LEAST_SIDES && on(high).count() == sides).then(|| RoundWall {
                at: cut.at,
                ends: [low, high].map(|ring| ring.map(|it| it as f64 / 1e6)),
                sides: sides as u32,
                turn: off(first)[1].atan2(off(first)[0]),
                cut: number,
            })
        })
        .collect()
}

impl RoundWall {
    /// Angle between neighboring corners.
    fn step(&self) -> f64 {
        TAU / f64::from(self.sides)
    }

    /// How far a place is from the axis.
    pub(super) fn radius_at(&self, point: &Point) -> f64 {
        (point.x - self.at[0]).hypot(point.y - self.at[1])
    }

    /// How much the radius grows per millimeter of height.
    pub(super) fn slope(&self) -> f64 {
        let [[low, z], [high, top]] = self.ends;
        (high - low) / (top - z)
    }

    /// The radius at a height.
    pub(super) fn radius(&self, z: f64) -> f64 {
        self.ends[0][0] + self.slope() * (z - self.ends[0][1])
    }

    /// Share of the radius that the middle of a side has.
    pub(super) fn flat_share(&self) -> f64 {
        (self.step() / 2.0).cos()
    }

    /// Whether a facet lies on one of the sides.
    pub(super) fn holds(&self, corners: &[Point; 3]) -> bool {
        let [[low, z], [high, top]] = self.ends;
        let wide = low.max(high) + ON_SIDE_MM;
        let near = |point: &Point| {
            point.z > z - ON_SIDE_MM
                && point.z < top + ON_SIDE_MM
                && (point.x - self.at[0]).abs() < wide
                && (point.y - self.at[1]).abs() < wide
        };
        if !corners.iter().all(near) {
            return false;
        }
        let middle = corners.iter().map(|it| it.coords).sum::<Vector>() / 3.0;
        let angle = (middle.y - self.at[1]).atan2(middle.x - self.at[0]) - self.turn;
        let side = (angle / self.step()).floor() + 0.5;
        let (sin, cos) = (self.turn + side * self.step()).sin_cos();
        let half_chord = (self.step() / 2.0).sin() * wide;
        corners.iter().all(|point| {
            let [x, y] = [point.x - self.at[0], point.y - self.at[1]];
            let out = x * cos + y * sin - self.radius(point.z) * self.flat_share();
            let along = y * cos - x * sin;
            out.abs() < ON_SIDE_MM && along.abs() < half_chord + ON_SIDE_MM
        })
    }

    /// Which corner of its rings stands at the angle of `point`, when one does.
    pub(super) fn corner(&self, point: &Point) -> Option<u32> {
        let angle = (point.y - self.at[1]).atan2(point.x - self.at[0]) - self.turn;
        let nearest = (angle / self.step()).round();
        let off = (angle - nearest * self.step()).abs() * self.radius(point.z);
        let is_on = (self.radius_at(point) - self.radius(point.z)).abs() < ON_SIDE_MM;
        (off < ON_SIDE_MM && is_on)
            .then(|| (nearest as i64).rem_euclid(i64::from(self.sides)) as u32)
    }
}
