//! What a person can do about a trapped region: slot, drill, strip, insert.
//!
//! Each way is offered only where the geometry confirms it:
//!
//! - **Pass-through slot**: seen from the region along the pull, one wall of the part and
//!   no more stands between it and one half. Cut through that wall, metal of that half
//!   reaches in. The wall must go on beyond the slot on two opposite sides, else the cut
//!   takes the wall (or the hook itself) away; and a slot that runs all around cuts the
//!   part in two.
//! - **Drill afterwards**: the region lies in a round hole, its cylinder closed all
//!   around, and a drill gets at one end of it.
//! - **Strip off**: how much the plastic is strained when the region is pulled over the
//!   metal: depth / radius for a ring, depth over half the solid section behind it for
//!   anything else. Half the section is on the safe side for a lug that bends. Whether a
//!   plastic withstands that is not asked here.
//! - **Hand-loaded insert**: one direction across the pull frees all of it.
//!
//! A moved or stepped parting is not among them: a point counts as free when *either*
//! half can reach it, wherever the halves meet, so what is trapped stays trapped by both
//! halves however the parting runs.

use rayon::prelude::*;

use crate::geom::{Direction, Frame, Point, Vector};
use crate::part::Part;
use crate::part::faces::Face;
use crate::part::holes::{self, Hole};
use crate::part::undercut::{CLEARANCE, Trapped};

/// Points of a region that are asked; fewer in the many small ones of a scan.
const PROBES: [usize; 2] = [64, 8];

/// Regions that are looked at closely, deepest first.
const LARGE: usize = 24;

/// So many of the points must agree; the rest lie on edges.
const NEARLY_ALL: f64 = 0.95;

/// A smaller slot no cutter makes: a hole of 0.8 mm, mm².
const LEAST_SLOT_MM2: f64 = 0.5;

/// Directions in which the surroundings of a region are looked at.
const AROUND: usize = 16;

/// A hole's axis leans at least this from the pull, degrees; else a half drills it.
const ACROSS_DEG: f64 = 30.0;

/// One remedy.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Remedy {
    /// Open the wall between the region and one half.
    Slot {
        /// Where that half leaves to, and where the wall is seen from the region.
        toward: Direction,
        /// Middle of the slot, halfway through the wall, mm.
        at: Point,
        /// Area of the slot across the pull, mm².
        area: f64,
        /// Wall to pierce, mm; the median where it varies.
        wall: f64,
    },
    /// Mold it solid, then drill it.
    Drill {
        /// Along which the drill enters.
        axis: Direction,
        /// Of the hole, mm.
        diameter: f64,
        /// Of the hole, mm.
        length: f64,
        /// Whether it has no bottom.
        through: bool,
    },
    /// Pull the part over the metal.
    Strip {
        /// What the plastic must give, mm.
        depth: f64,
        /// Over which it gives, mm.
        radius: f64,
        /// depth / radius.
        strain: f64,
        /// Whether it runs around, so that all of a ring gives; a hook or a lip bends, and is
        /// strained less.
        is_ring: bool,
    },
    /// A loose piece of the mold that leaves with the part.
    Insert {
        /// Along which it is taken off.
        way: Direction,
        /// After so many mm it is free.
        stroke: f64,
    },
}

/// The remedies of each of `regions`, cheapest first.
pub fn list(part: &Part, regions: &[Trapped], pull: Direction) -> Vec<Vec<Remedy>> {
    regions
        .par_iter()
        .enumerate()
        .map(|(rank, trapped)| {
            let most = PROBES[usize::from(rank >= LARGE)];
            let probe = RegionProbe::new(part, trapped, pull, most);
            let insert = trapped
                .way
                .zip(trapped.depth)
                .map(|(way, stroke)| Remedy::Insert { way, stroke });
            [probe.slot(), probe.drill(), probe.strip(), insert]
                .into_iter()
                .flatten()
                .collect()
        })
        .collect()
}

/// Looks at one region.
struct RegionProbe<'a> {
    part: &'a Part,
    trapped: &'a Trapped,
    pull: Direction,
    /// Some of its samples.
    probes: Vec<usize>,
    clearance: f64,
    frame: Frame,
    /// Middle of the region across the pull.
    middle: [f64; 2],
}

/// A wall on the remedy: where it begins and how thick it is along the way, mm.
struct Wall {
    begins: f64,
    thick: f64,
}

impl<'a> RegionProbe<'a> {
    fn new(part: &'a Part, trapped: &'a Trapped, pull: Direction, most: usize) -> Self {
        let own = &trapped.region.samples;
        let step = own.len().div_ceil(most).max(1);
        let frame = Frame::along(pull);
        let count = own.len().max(1) as f64;
        let middle = own.iter().fold([0.0; 2], |sum, &sample| {
            let [x, y] = frame.flatten(&part.samples.points[sample]);
            [sum[0] + x / count, sum[1] + y / count]
        });
        Self {
            part,
            trapped,
            pull,
            probes: own.iter().step_by(step).copied().collect(),
            clearance: part.bvh.diagonal() * CLEARANCE,
            frame,
            middle,
        }
    }

    fn outside(&self, sample: usize) -> Point {
        self.part.samples.points[sample]
            + self.part.samples.normals[sample] * self.clearance
    }

    /// From the middle of the region to `sample` across the pull: angle and distance.
    fn polar(&self, sample: usize) -> (f64, f64) {
        let [x, y] = self.frame.flatten(&self.part.samples.points[sample]);
        let [dx, dy] = [x - self.middle[0], y - self.middle[1]];
        (dy.atan2(dx), dx.hypot(dy))
    }

    /// Reach of the region from its middle in each of [`AROUND`] directions.
    fn reach(&self) -> [Option<f64>; AROUND] {
        let mut reach = [None::<f64>; AROUND];
        for &sample in &self.trapped.region.samples {
            let (angle, distance) = self.polar(sample);
            let known = &mut reach[sector(angle)];
            *known = Some(known.map_or(distance, |far| far.max(distance)));
        }
        reach
    }

    /// Nearest and farthest sample from the middle, when the region runs all around it
    /// and leaves it clear.
    fn ring(&self) -> Option<(f64, f64)> {
        if self.reach().contains(&None) {
            return None;
        }
        let distances =
            self.trapped.region.samples.iter().map(|&sample| self.polar(sample).1);
        let (near, far) = distances
            .fold((f64::INFINITY, 0.0_f64), |(low, high), d| (low.min(d), high.max(d)));
        (near > 2.0 * self.part.samples.spacing() && near > 0.25 * far)
            .then_some((near, far))
    }

    fn slot(&self) -> Option<Remedy> {
        if self.ring().is_some() || self.projected_area() < LEAST_SLOT_MM2 {
            return None;
        }
        [self.pull.reversed(), self.pull]
            .into_iter()
            .filter_map(|toward| self.slot_toward(toward))
            .min_by(|a, b| {
                // A slot that the wall frames beats one that is open at its sides.
                let framed = |share: f64| share >= 0.75;
                framed(b.1).cmp(&framed(a.1)).then(a.2.total_cmp(&b.2))
            })
            .map(|(slot, ..)| slot)
    }

    /// The slot, the share of its surroundings where the wall goes on, and the wall.
    fn slot_toward(&self, toward: Direction) -> Option<(Remedy, f64, f64)> {
        let mut walls: Vec<(Wall, usize)> = self
            .probes
            .iter()
            .filter_map(|&sample| Some((self.only_wall(sample, toward)?, sample)))
            .collect();
        if walls.is_empty()
            || (walls.len() as f64) < NEARLY_ALL * self.probes.len() as f64
        {
            return None;
        }
        walls.sort_by(|a, b| a.0.thick.total_cmp(&b.0.thick));
        let (wall, sample) = &walls[walls.len() / 2];
        let halfway =
            self.outside(*sample) + toward.vector() * (wall.begins + wall.thick / 2.0);
        let level = self.frame.height(&halfway);
        let goes_on = self.goes_on_at(level);
        let opposite = (0..AROUND / 2).any(|d| goes_on[d] && goes_on[d + AROUND / 2]);
        if !opposite {
            return None;
        }
        let share = goes_on.iter().filter(|on| **on).count() as f64 / AROUND as f64;
        let slot = Remedy::Slot {
            toward,
            at: self.frame.raise(self.middle, level),
            area: self.projected_area(),
            wall: wall.thick,
        };
        Some((slot, share, wall.thick))
    }

    /// The one wall between `sample` and infinity; `None` where there is none or more.
    fn only_wall(&self, sample: usize, toward: Direction) -> Option<Wall> {
        let from = self.outside(sample);
        let bvh = &self.part.bvh;
        let begins = bvh.first_hit(&from, toward, 0.0)?.distance;
        let ends = bvh.first_hit(&from, toward, begins + self.clearance)?;
        let is_free =
            bvh.first_hit(&from, toward, ends.distance + self.clearance).is_none();
        is_free.then_some(Wall { begins, thick: ends.distance - begins })
    }

    /// Whether there is plastic at `level` just beyond the region, in each direction.
    fn goes_on_at(&self, level: f64) -> [bool; AROUND] {
        let beyond = self.part.samples.spacing() + self.clearance;
        let mut goes_on = [false; AROUND];
        for (direction, reach) in self.reach().into_iter().enumerate() {
            let angle = std::f64::consts::TAU * direction as f64 / AROUND as f64;
            let far = reach.unwrap_or(0.0) + beyond;
            let flat =
                [self.middle[0] + far * angle.cos(), self.middle[1] + far * angle.sin()];
            goes_on[direction] = self.is_plastic(&self.frame.raise(flat, level));
        }
        goes_on
    }

    fn is_plastic(&self, point: &Point) -> bool {
        let hit = self.part.bvh.first_hit(point, self.pull, 0.0);
        hit.is_some_and(|hit| {
            self.pull.dot(&self.part.mesh.normals()[hit.facet as usize]) > 0.0
        })
    }

    /// Area of the region across the pull, mm²: of its ceilings or its floors, whichever
    /// is more.
    fn projected_area(&self) -> f64 {
        let (up, down) =
            self.trapped.region.samples.iter().fold((0.0, 0.0), |(up, down), &sample| {
                let facing = self.pull.dot(&self.part.samples.normals[sample]);
                (up + facing.max(0.0), down - facing.min(0.0))
            });
        up.max(down) * self.part.samples.area_each
    }

    /// The cylinder that holds all of the region, when a drill gets at it.
    fn drill(&self) -> Option<Remedy> {
        let mut owners: Vec<u32> = self
            .trapped
            .region
            .samples
            .iter()
            .map(|&s| self.part.faces.of_facet[self.part.samples.facets[s] as usize])
            .collect();
        owners.sort_unstable();
        owners.dedup();
        let faces = owners.iter().map(|&face| &self.part.faces.list[face as usize]);
        let round: Vec<(&Face, Direction)> =
            faces.filter_map(|face| Some((face, holes::axis(face)?))).collect();
        let largest = round.iter().max_by(|a, b| a.0.area.total_cmp(&b.0.area))?;
        let axis = largest.1;
        if self.pull.dot(&axis.vector()).abs() > ACROSS_DEG.to_radians().cos() {
            return None;
        }
        let about = round.iter().filter(|(_, other)| {
            axis.vector().cross(&other.vector()).norm() < 1.0_f64.to_radians().sin()
        });
        let facets: Vec<u32> =
            about.flat_map(|(face, _)| &face.facets).copied().collect();
        let hole = Hole::fit(&self.part.mesh, &facets, axis)?;
        let holds = |&sample: &usize| {
            hole.holds(&self.part.samples.points[sample], self.clearance)
        };
        if !self.trapped.region.samples.iter().all(holds) {
            return None;
        }
        let [ahead, behind] =
            [axis, axis.reversed()].map(|way| self.first_in_bore(&hole, way));
        let half = hole.length / 2.0;
        // A bottom stands at the end of the hole, or a drill point beyond it.
        let through =
            [ahead, behind].iter().flatten().all(|&hit| hit > half + hole.radius);
        let enters = match (ahead, behind) {
            (_, None) => axis,
            (None, _) => axis.reversed(),
            _ => return None,
        };
        Some(Remedy::Drill {
            axis: enters,
            diameter: 2.0 * hole.radius,
            length: hole.length,
            through,
        })
    }

    /// How far from the middle of the hole the first thing stands in the way of a drill.
    fn first_in_bore(&self, hole: &Hole, way: Direction) -> Option<f64> {
        let frame = Frame::along(way);
        let around = (0..8).map(|step| {
            let angle = std::f64::consts::FRAC_PI_4 * f64::from(step);
            frame.across(angle) * (0.9 * hole.radius)
        });
        let starts = std::iter::once(Vector::zeros()).chain(around);
        starts
            .filter_map(|aside| self.part.bvh.first_hit(&(hole.middle + aside), way, 0.0))
            .map(|hit| hit.distance)
            .min_by(f64::total_cmp)
    }

    fn strip(&self) -> Option<Remedy> {
        let depth = self.trapped.depth?;
        let ring = self.ring();
        let radius = match ring {
            Some((near, _)) if self.faces_out() => near + depth,
            Some((_, far)) => far - depth,
            None => self.section_behind()? / 2.0,
        };
        let (strain, is_ring) = (depth / radius, ring.is_some());
        (radius > 0.0).then_some(Remedy::Strip { depth, radius, strain, is_ring })
    }

    /// Whether the sides of the region look away from its middle: a groove outside.
    fn faces_out(&self) -> bool {
        let outward: f64 = self
            .trapped
            .region
            .samples
            .iter()
            .map(|&sample| {
                let (angle, _) = self.polar(sample);
                let normal = self.part.samples.normals[sample];
                self.frame.right.dot(&normal) * angle.cos()
                    + self.frame.up.dot(&normal) * angle.sin()
            })
            .sum();
        outward > 0.0
    }

    /// Solid section across the pull behind the side of the region that faces the way
    /// off, mm.
    fn section_behind(&self) -> Option<f64> {
        let way = self.trapped.way?;
        let facing = |&sample: &usize| way.dot(&self.part.samples.normals[sample]);
        let side = self.probes.iter().copied().filter(|sample| facing(sample) > 0.7).map(
            |sample| {
                let from =
                    self.part.samples.points[sample] - way.vector() * self.clearance;
                let behind = self.part.bvh.first_hit(&from, way.reversed(), 0.0);
                behind.map_or(0.0, |hit| hit.distance + self.clearance)
            },
        );
        side.min_by(f64::total_cmp)
    }
}

fn sector(angle: f64) -> usize {
    let turn = angle / std::f64::consts::TAU * AROUND as f64;
    (turn.round().rem_euclid(AROUND as f64) as usize) % AROUND
}
