//! What neither half can leave: area, depth, volume.
//!
//! A surface point is free when it can travel to infinity along + or along − the pull
//! without entering the part, started a little outside the surface ([`CLEARANCE`]):
//! meshed upright walls are never quite upright. The rest is trapped.
//!
//! **Volume**: on every line along the pull, the gap below a ceiling is mold metal that
//! cannot leave; summed over the trapped ceilings. **Depth** of a region: how far it must
//! travel across the pull, in one direction and without entering the part, until all of
//! it is free (a slide's stroke); where no single direction frees it (a groove all
//! around), the farthest that any of its points must travel (what stripping it off must
//! stretch). `None` where nothing across the pull frees it.

use rayon::prelude::*;

use crate::geom::{Direction, Frame, Point, Vector};
use crate::measure::field::{self, Region};
use crate::mesh::{bvh::Bvh, samples::Samples};

/// Distance outside the surface, as a share of the box diagonal.
pub const CLEARANCE: f64 = 1e-4;

/// Where nothing frees a region, its depth is looked for from this share of the clearance.
const CLOSER: f64 = 0.01;

/// Directions across the pull that are tried for the depth, one every 10°, besides those
/// that the region itself names; between two of them a travel is read at most 0.4 % long.
const ACROSS: usize = 36;

/// A region's depth is taken from at most this many of its points, where it is among the
/// largest [`LARGE`]; from fewer in the many small ones that a scan or a gear has.
const DEPTH_POINTS: [usize; 2] = [24, 4];

/// Regions that are looked at closely, largest first.
const LARGE: usize = 24;

/// The travel is found to this share of the diagonal.
const TRAVEL_STEP: f64 = 1e-5;

/// A trapped depth below this is noise on any part: less than a mill leaves.
pub const LEAST_DEPTH_MM: f64 = 0.02;

/// Depth from which on something is trapped, mm: the chord error of the mesh, and not
/// less than what a mill leaves.
pub fn least_depth(chord_error: Option<f64>) -> f64 {
    chord_error.unwrap_or(0.0).max(LEAST_DEPTH_MM)
}

/// What the halves can leave and what not, along one pull.
#[derive(Clone, Debug)]
pub struct Release {
    /// For each sample, whether the half on the + side can leave it.
    pub to_plus: Vec<bool>,
    /// For each sample, whether the half on the − side can leave it.
    pub to_minus: Vec<bool>,
}

impl Release {
    /// Looks from every sample both ways along `pull`.
    pub fn along(bvh: &Bvh, samples: &Samples, pull: Direction) -> Self {
        let looker = Looker::new(bvh, pull);
        let (to_plus, to_minus) = (0..samples.len())
            .into_par_iter()
            .map(|sample| looker.sees(&looker.outside(samples, sample)))
            .unzip();
        Self { to_plus, to_minus }
    }

    /// Whether neither half can leave `sample`.
    pub fn is_trapped(&self, sample: usize) -> bool {
        !self.to_plus[sample] && !self.to_minus[sample]
    }

    /// Area that neither half can leave, mm².
    pub fn trapped_area(&self, samples: &Samples) -> f64 {
        let trapped =
            (0..samples.len()).filter(|&sample| self.is_trapped(sample)).count();
        trapped as f64 * samples.area_each
    }
}

/// Everything that is trapped along one pull.
#[derive(Clone, Debug)]
pub struct Undercut {
    /// Trapped area, mm².
    pub area: f64,
    /// Trapped volume, mm³.
    pub volume: f64,
    /// Regions, deepest first.
    pub regions: Vec<Trapped>,
}

impl Undercut {
    /// Depth of the deepest region, mm: zero where nothing is trapped, `None` where
    /// nothing across the pull frees it.
    pub fn deepest(&self) -> Option<f64> {
        self.regions.first().map_or(Some(0.0), |deepest| deepest.depth)
    }
}

/// One trapped region.
#[derive(Clone, Debug)]
pub struct Trapped {
    /// Its samples, area and box.
    pub region: Region,
    /// Trapped volume below its ceilings, mm³.
    pub volume: f64,
    /// Travel that frees it, mm; `None` where nothing across the pull does.
    pub depth: Option<f64>,
    /// The single direction across the pull that frees all of it, where there is one.
    pub way: Option<Direction>,
    /// Its deepest point, mm.
    pub at: Point,
}

/// Measures what `release` says is trapped along `pull`.
pub fn of(bvh: &Bvh, samples: &Samples, release: &Release, pull: Direction) -> Undercut {
    let looker = Looker::new(bvh, pull);
    let regions = field::regions(samples, |sample| release.is_trapped(sample));
    let mut trapped: Vec<Trapped> = regions
        .into_par_iter()
        .enumerate()
        .map(|(rank, region)| {
            let points = DEPTH_POINTS[usize::from(rank >= LARGE)];
            looker.measure(samples, region, points)
        })
        .collect();
    let key = |trapped: &Trapped| trapped.depth.unwrap_or(f64::INFINITY);
    trapped.sort_by(|a, b| {
        key(b).total_cmp(&key(a)).then(b.region.area.total_cmp(&a.region.area))
    });
    Undercut {
        area: release.trapped_area(samples),
        // Adding zero turns the −0 of an empty sum into 0.
        volume: trapped.iter().map(|region| region.volume).sum::<f64>() + 0.0,
        regions: trapped,
    }
}

/// Looks along one pull.
struct Looker<'a> {
    bvh: &'a Bvh,
    pull: Direction,
    clearance: f64,
}

impl<'a> Looker<'a> {
    fn new(bvh: &'a Bvh, pull: Direction) -> Self {
        Self { bvh, pull, clearance: bvh.diagonal() * CLEARANCE }
    }

    fn outside(&self, samples: &Samples, sample: usize) -> Point {
        samples.points[sample] + samples.normals[sample] * self.clearance
    }

    /// Whether a point outside the part sees out along + and along − the pull.
    fn sees(&self, from: &Point) -> (bool, bool) {
        (!self.bvh.is_hit(from, self.pull), !self.bvh.is_hit(from, self.pull.reversed()))
    }

    fn is_free(&self, from: &Point) -> bool {
        !self.bvh.is_hit(from, self.pull) || !self.bvh.is_hit(from, self.pull.reversed())
    }

    fn measure(&self, samples: &Samples, region: Region, most_points: usize) -> Trapped {
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
            let closer = Looker { clearance: self.clearance * CLOSER, ..*self };
            closer.find_depth(samples, &mut trapped, most_points);
        }
        trapped
    }

    /// Length of mold metal below a ceiling times the share of it that lies across the
    /// pull; zero for anything that is not a ceiling.
    fn gap(&self, samples: &Samples, sample: usize) -> f64 {
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
            Direction::new(frame.right * angle.cos() + frame.up * angle.sin())
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
        while travel - stuck > precision {
            let middle = f64::midpoint(stuck, travel);
            if is_free_at(middle) { travel = middle } else { stuck = middle }
        }
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
            Direction::new(frame.right * angle.cos() + frame.up * angle.sin())
        })
        .collect()
}
