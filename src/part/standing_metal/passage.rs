//! The metal before one point of the surface: how thick, how deep, of which half.

use rayon::prelude::*;

use crate::geom::{Direction, Point, Vector};
use crate::part::Part;
use crate::part::draft::Formed;
use crate::part::halves::{Half, Side};
use crate::part::standing_metal::{SLENDER, across};
use crate::part::undercut::CLEARANCE;

/// A wall leans off the pull by at most this, degrees: more is a slope that holds itself up.
const STEEP_DEG: f64 = 30.0;

/// The opposite wall faces back within this of the ray, as a cosine (60°).
const FACES_BACK: f64 = 0.5;

/// At the foot the gap may be so many times as wide as where it was measured.
const WIDENS: f64 = 1.3;

/// The foot lies within so many spacings of the last sample.
const REACH: f64 = 3.0;

/// Halvings of that reach.
const HALVINGS: usize = 12;

/// Metal between two walls.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Passage {
    /// The point of the wall that it was measured from.
    pub(super) wall: Point,
    /// Normal of the surface there.
    pub(super) normal: Vector,
    /// Middle of the metal.
    pub(super) middle: Point,
    /// From wall to wall, mm.
    pub(super) thickness: f64,
    /// From the middle to the tip along the pull, mm; `None` where it goes through.
    pub(super) to_tip: Option<f64>,
    /// The half that it belongs to.
    pub(super) half: Half,
    /// Whether it goes through the part.
    pub(super) through: bool,
}

/// Looks across the pull.
pub(super) struct Probe<'a> {
    part: &'a Part,
    formed: Formed<'a>,
    clearance: f64,
    widest: f64,
}

impl<'a> Probe<'a> {
    pub(super) fn new(part: &'a Part, formed: Formed<'a>) -> Self {
        let pull = formed.pull;
        let heights = part.mesh.points().iter().map(|point| pull.dot(&point.coords));
        let [low, high] = heights.fold([f64::INFINITY, f64::NEG_INFINITY], |ends, it| {
            [ends[0].min(it), ends[1].max(it)]
        });
        let clearance = part.bvh.diagonal() * CLEARANCE;
        // Wider metal cannot be slender.
        let widest = if high > low { (high - low) / SLENDER } else { 0.0 };
        Self { part, formed, clearance, widest }
    }

    pub(super) fn pull(&self) -> Direction {
        self.formed.pull
    }

    pub(super) fn spacing(&self) -> f64 {
        self.part.samples.spacing()
    }

    /// The metal before every sample, in their order.
    pub(super) fn passages(&self) -> Vec<Passage> {
        let samples = &self.part.samples;
        (0..samples.len()).into_par_iter().filter_map(|it| self.passage(it)).collect()
    }

    fn passage(&self, sample: usize) -> Option<Passage> {
        let samples = &self.part.samples;
        let (wall, normal) = (samples.points[sample], samples.normals[sample]);
        let pull = self.formed.pull;
        if self.formed.sides[sample] == Side::Trapped
            || pull.dot(&normal).abs() > STEEP_DEG.to_radians().sin()
        {
            return None;
        }
        let way = across(pull, &normal)?;
        let start = wall + normal * self.clearance;
        let hit = self.part.bvh.first_hit(&start, way, 0.0)?;
        let thickness = hit.distance + self.clearance;
        let opposite = self.part.mesh.normals()[hit.facet as usize];
        if thickness > self.widest || way.dot(&opposite) > -FACES_BACK {
            return None;
        }
        let middle = start + way.vector() * (hit.distance / 2.0);
        let ends = [pull, pull.reversed()];
        let [up, down] = ends.map(|way| self.part.bvh.first_hit(&middle, way, 0.0));
        let (half, to_tip) = match (up, down) {
            (None, Some(tip)) => (Half::Plus, Some(tip.distance)),
            (Some(tip), None) => (Half::Minus, Some(tip.distance)),
            (None, None) => (self.formed.core, None),
            (Some(_), Some(_)) => return None,
        };
        let through = to_tip.is_none();
        Some(Passage { wall, normal, middle, thickness, to_tip, half, through })
    }

    /// How much farther than its middle the metal of `passage` stands between walls, mm.
    pub(super) fn more_foot(&self, passage: &Passage, foot_way: Direction) -> f64 {
        let Some(way) = across(self.formed.pull, &passage.normal) else { return 0.0 };
        let most = WIDENS * passage.thickness / 2.0;
        let stands = |up: f64| {
            let at = passage.middle + foot_way.vector() * up;
            [way, way.reversed()].into_iter().all(|look| {
                let wall = self.part.bvh.first_hit(&at, look, 0.0);
                wall.is_some_and(|wall| wall.distance <= most)
            })
        };
        let (mut low, mut high) = (0.0, REACH * self.spacing());
        for _ in 0..HALVINGS {
            let half = f64::midpoint(low, high);
            if stands(half) { low = half } else { high = half }
        }
        low
    }

    /// How far metal reaches from `middle` along `way`, mm; `None` where it meets no part.
    pub(super) fn to_plastic(&self, middle: &Point, way: Direction) -> Option<f64> {
        self.part.bvh.first_hit(middle, way, 0.0).map(|hit| hit.distance)
    }
}
