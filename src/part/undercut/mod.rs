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

mod access_probe;

use rayon::prelude::*;

use crate::geom::{Direction, Point};
use crate::mesh::{bvh::Bvh, samples::Samples};
use crate::part::surface_statistics::{self, Region};
use crate::part::undercut::access_probe::AccessProbe;

/// Distance outside the surface, as a share of the box diagonal.
pub const CLEARANCE: f64 = 1e-4;

/// A region's depth is taken from at most this many of its points, where it is among the
/// largest [`LARGE`]; from fewer in the many small ones that a scan or a gear has.
const DEPTH_POINTS: [usize; 2] = [24, 4];

/// Regions that are looked at closely, largest first.
const LARGE: usize = 24;

/// A trapped depth below this is noise on any part: less than a mill leaves.
pub const LEAST_DEPTH_MM: f64 = 0.02;

/// Depth from which on something is trapped, mm: the chord error of the mesh, and not
/// less than what a mill leaves.
pub fn least_depth(chord_error: Option<f64>) -> f64 {
    chord_error.unwrap_or(0.0).max(LEAST_DEPTH_MM)
}

/// A region of no more samples than this at a seam is noise, where twice the chord error of the
/// mesh explains its depth: both of the faces that meet there may be off.
const FEW_SAMPLES: usize = 4;

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
        let probe = AccessProbe::new(bvh, pull);
        let (to_plus, to_minus) = (0..samples.len())
            .into_par_iter()
            .map(|sample| probe.sees(&probe.outside(samples, sample)))
            .unzip();
        Self { to_plus, to_minus }
    }

    /// Whether neither half can leave `sample`.
    pub fn is_trapped(&self, sample: usize) -> bool {
        !self.to_plus[sample] && !self.to_minus[sample]
    }

    /// Projected area, mm², from the samples: over each of its points one
    /// point of the surface is seen from the + end, and one from the − end.
    pub fn projected_area(&self, samples: &Samples, pull: Direction) -> f64 {
        let seen = (0..samples.len()).map(|sample| {
            let facing = pull.dot(&samples.normals[sample]);
            let is_seen =
                if facing > 0.0 { self.to_plus[sample] } else { self.to_minus[sample] };
            if is_seen { facing.abs() } else { 0.0 }
        });
        seen.sum::<f64>() * samples.area_each / 2.0
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

/// Trapped volume along `pull`, mm³: the metal below the trapped ceilings.
pub fn volume(bvh: &Bvh, samples: &Samples, release: &Release, pull: Direction) -> f64 {
    let probe = AccessProbe::new(bvh, pull);
    let trapped = (0..samples.len()).filter(|&sample| release.is_trapped(sample));
    let gaps: f64 = trapped.map(|sample| probe.gap(samples, sample)).sum();
    gaps * samples.area_each + 0.0
}

/// Depth of the deepest of the `count` largest regions, mm: zero where nothing is trapped,
/// `None` where nothing across the pull frees one of them. To compare pulls by.
pub fn depth_of_largest(
    bvh: &Bvh,
    samples: &Samples,
    release: &Release,
    pull: Direction,
    count: usize,
) -> Option<f64> {
    let probe = AccessProbe::new(bvh, pull);
    let mut regions =
        surface_statistics::regions(samples, |sample| release.is_trapped(sample));
    regions.truncate(count);
    let depths: Vec<Option<f64>> = regions
        .into_par_iter()
        .map(|region| probe.measure(samples, region, DEPTH_POINTS[1]).depth)
        .collect();
    depths.into_iter().try_fold(0.0, |deepest: f64, depth| Some(deepest.max(depth?)))
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

impl Trapped {
    /// Whether the region is more than noise on a mesh that is so far off its curved faces, mm.
    pub fn is_real(&self, chord_error: Option<f64>) -> bool {
        let is_few = self.region.samples.len() <= FEW_SAMPLES;
        let seam = if is_few { 2.0 * chord_error.unwrap_or(0.0) } else { 0.0 };
        self.depth.is_none_or(|depth| depth > least_depth(chord_error).max(seam))
    }
}

/// Measures what `release` says is trapped along `pull`.
pub fn measure(
    bvh: &Bvh,
    samples: &Samples,
    release: &Release,
    pull: Direction,
) -> Undercut {
    let probe = AccessProbe::new(bvh, pull);
    let regions =
        surface_statistics::regions(samples, |sample| release.is_trapped(sample));
    let mut trapped: Vec<Trapped> = regions
        .into_par_iter()
        .enumerate()
        .map(|(rank, region)| {
            let points = DEPTH_POINTS[usize::from(rank >= LARGE)];
            probe.measure(samples, region, points)
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
