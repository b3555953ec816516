//! How far what is trapped must travel, and what lies below it.

use super::{CLEARANCE, Trapped};
use crate::geom::{Direction, Frame, Point, Vector};
use crate::mesh::{bvh::Bvh, samples::Samples};
use crate::numeric::bisect_to_width;
use crate::part::surface_statistics::Region;

/// Where nothing frees a region, its depth is looked for from this share of the clearance.
const CLOSER: f64 = 0.01;

/// Directions across the pull that are tried for the depth, one every 10°, besides those
/// that the region itself names; between two of them a travel is read at most 0.4 % long.
const ACROSS: usize = 36;

/// The travel is found to this share of the diagonal.
const TRAVEL_STEP: f64 = 1e-5;

/// Looks along one pull.
pub(super) struct AccessProbe<'a> {
    bvh: &'a Bvh,
    pull: Direction,
    clearance: f64,
}

impl<'a> AccessProbe<'a> {
    pub(super) fn new(bvh: &'a Bvh, pull: Direction) -> Self {
        Self { bvh, pull, clearance: bvh.diagonal() * CLEARANCE }
    }

    pub(super) fn outside(&self, samples: &Samples, sample: usize) -> Point {
        samples.points[sample] + samples.normals[sample] * self.clearance
    }

    /// Whether a point outside the part sees out along + and along − the pull.
    pub(super) fn sees(&self, from: &Point) -> (bool, bool) {
        (!self.bvh.is_hit(from, self.pull), !self.bvh.is_hit(from, self.pull.reversed()))
    }

    fn is_free(&self, from: &Point) -> bool {
        !self.bvh.is_hit(from, self.pull) || !self.bvh.is_hit(from, self.pull.reversed())
    }

    pub(super) fn measure(
        &self,
        samples: &Samples,
        region: Region,
        most_points: usize,
    ) -> Trapped {
        let volume =
            region.samples.iter().map(|&sample| self.gap(samples, sample)).sum::<f64>()
                * samples.area_each;
        let first = region.samples.first().copied();
        let mut trapped = Trapped {
            at: first.map_or_else(Point::origin, |sample| samples.points[sample]),
            region,
            volume,
            depth: None,
            way: None,
        };
        self.find_depth(samples, &mut trapped, most_points);
        if trapped.depth.is_none() {
            // In a seam narrower than the clearance the points start inside the part.
            let closer = AccessProbe { clearance: self.clearance * CLOSER, ..*self };
            closer.find_depth(samples, &mut trapped, most_points);
        }
        trapped
    }

    /// Length of mold metal below a ceiling times the share of it that lies across the
    /// pull; zero for anything that is not a ceiling.
    pub(super) fn gap(&self, samples: &Samples, sample: usize) -> f64 {
        let facing = self.pull.dot(&samples.normals[sample]);
        if facing >= 0.0 {
            return 0.0;
        }
        let from = self.outside(samples, sample);
        let below = self.bvh.first_hit(&from, self.pull.reversed(), 0.0);
        below.map_or(0.0, |hit| -facing * hit.distance)
    }

    fn find_depth(&self, samples: &Samples, trapped: &mut Trapped, most_points: usize) {
        let own = &trapped.region.samples;
        let step = own.len().div_ceil(most_points).max(1);
        let points: Vec<usize> = own.iter().step_by(step).copied().collect();
        let ways = self.ways(samples, own);
        let mut best: Option<(f64, usize)> = None;
        for &way in &ways {
            let known = best.map(|(travel, _)| travel);
            let found =
                self.stroke(samples, &with_last(samples, &points, own, way), way, known);
            if let Some((travel, point)) = found {
                best = Some((travel, point));
                trapped.way = Some(way);
            }
        }
        if let Some(way) = trapped.way {
            let last = self.rearmost(samples, own, way, most_points);
            let travels = last
                .into_iter()
                .filter_map(|point| Some((self.travel(samples, point, way)?, point)));
            best = best.into_iter().chain(travels).max_by(|a, b| a.0.total_cmp(&b.0));
        }
        let found = best.or_else(|| self.strip(samples, &points, &ways));
        if let Some((travel, point)) = found {
            trapped.depth = Some(travel);
            trapped.at = samples.points[point];
        }
    }

    /// The `count` points that start farthest back along `way`, and so travel farthest.
    fn rearmost(
        &self,
        samples: &Samples,
        own: &[usize],
        way: Direction,
        count: usize,
    ) -> Vec<usize> {
        let place = |sample: usize| way.dot(&self.outside(samples, sample).coords);
        let mut sorted = own.to_vec();
        sorted.sort_by(|&a, &b| place(a).total_cmp(&place(b)));
        sorted.truncate(count);
        sorted
    }

    /// The travel along `way` that frees all `points`, and the point that needs it;
    /// `None` where it does not free them all in less than `known`.
    fn stroke(
        &self,
        samples: &Samples,
        points: &[usize],
        way: Direction,
        known: Option<f64>,
    ) -> Option<(f64, usize)> {
        let mut farthest = None::<(f64, usize)>;
        for &point in points {
            let travel = self.travel(samples, point, way)?;
            if known.is_some_and(|known| travel >= known) {
                return None;
            }
            if farthest.is_none_or(|(far, _)| travel > far) {
                farthest = Some((travel, point));
            }
        }
        farthest
    }

    /// The farthest of the least travels of all `points`; `None` where none comes free.
    fn strip(
        &self,
        samples: &Samples,
        points: &[usize],
        ways: &[Direction],
    ) -> Option<(f64, usize)> {
        // Those every 10°, in order: every third first, then the two beside the best.
        let around = &ways[ways.len().saturating_sub(ACROSS)..];
        let least = points.iter().filter_map(|&point| {
            let travel = |way: usize| {
                let way = way % around.len();
                Some((self.travel(samples, point, around[way])?, way))
            };
            let coarse = (0..around.len()).step_by(3).filter_map(travel);
            let (least, way) = coarse.min_by(|a, b| a.0.total_cmp(&b.0))?;
            let beside = [way + 1, way + around.len() - 1];
            let least = beside
                .into_iter()
                .filter_map(travel)
                .fold(least, |least, (travel, _)| least.min(travel));
            Some((least, point))
        });
        least.max_by(|a, b| a.0.total_cmp(&b.0))
    }

    /// Directions across the pull: the one that the region faces on the whole first, then
    /// those along which its walls run, last one every 10°. A hole lets go along its walls
    /// only, and at an angle to them hardly at all.
    fn ways(&self, samples: &Samples, own: &[usize]) -> Vec<Direction> {
        let frame = Frame::along(self.pull);
        let across = |normal: &Vector| normal - frame.along * frame.along.dot(normal);
        let mean: Vector =
            own.iter().map(|&sample| across(&samples.normals[sample])).sum();
        let facing =
            Direction::new(mean).filter(|_| mean.norm() > 0.05 * own.len() as f64);
        let around = (0..ACROSS).filter_map(|step| {
            let angle = std::f64::consts::TAU * step as f64 / ACROSS as f64;
            Direction::new(frame.across(angle))
        });
        let along = along_walls(samples, own, &frame);
        facing.into_iter().chain(along).chain(around).collect()
    }

    /// How far a trapped point must travel along `way` until it is free; `None` when the
    /// part is in the way or it never is.
    fn travel(&self, samples: &Samples, sample: usize, way: Direction) -> Option<f64> {
        let from = self.outside(samples, sample);
        let open = self
            .bvh
            .first_hit(&from, way, 0.0)
            .map_or(2.0 * self.bvh.diagonal(), |hit| hit.distance - self.clearance);
        let is_free_at = |travel: f64| self.is_free(&(from + way.vector() * travel));
        let precision = self.bvh.diagonal() * TRAVEL_STEP;
        let mut stuck = 0.0;
        let mut travel = self.clearance.max(precision);
        while !is_free_at(travel) {
            stuck = travel;
            travel *= 1.5;
            if travel >= open {
                travel = open;
                if open <= stuck || !is_free_at(open) {
                    return None;
                }
                break;
            }
        }
        let [_, travel] =
            bisect_to_width([stuck, travel], precision, |travel| !is_free_at(travel));
        // Counted from the surface, not from where the point was set outside it.
        let ahead = way.dot(&samples.normals[sample]) * self.clearance;
        Some((travel + ahead).max(0.0))
    }
}

/// `points` and the one of `own` that lies farthest back along `way`, which as a rule has
/// the farthest to go.
fn with_last(
    samples: &Samples,
    points: &[usize],
    own: &[usize],
    way: Direction,
) -> Vec<usize> {
    let along = |sample: &usize| way.dot(&samples.points[*sample].coords);
    let last = own.iter().copied().min_by(|a, b| along(a).total_cmp(&along(b)));
    last.into_iter().chain(points.iter().copied()).collect()
}

/// The principal axes, across the pull, of the normals of `own`, both ways each.
fn along_walls(samples: &Samples, own: &[usize], frame: &Frame) -> Vec<Direction> {
    let [mut right, mut mixed, mut up] = [0.0; 3];
    for &sample in own {
        let normal = samples.normals[sample];
        let [a, b] = [frame.right.dot(&normal), frame.up.dot(&normal)];
        right += a * a;
        mixed += a * b;
        up += b * b;
    }
    let major = (2.0 * mixed).atan2(right - up) / 2.0;
    (0..4)
        .filter_map(|quarter| {
            let angle = major + std::f64::consts::FRAC_PI_2 * f64::from(quarter);
            Direction::new(frame.across(angle))
        })
        .collect()
}
