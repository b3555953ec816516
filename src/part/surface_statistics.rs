//! One value a sample: area-weighted quantiles, histogram, and connected regions.
//!
//! A value may be missing (`None`); statistics are over the samples that have one. As
//! every sample stands for the same area, plain order statistics are area-weighted.

use crate::mesh::disjoint_sets::DisjointSets;
use std::collections::BTreeMap;

use crate::geom::{Aabb, Point};
use crate::mesh::{sample_grid::SampleGrid, samples::Samples};

/// Neighbors are samples nearer than this many spacings. Even points on a flat face
/// have their neighbors within about 1.5 spacings; at 2.5 two regions that are clearly
/// apart would join.
const REACH: f64 = 2.0;

/// 5 %, 50 % and 95 % of the measured area lie below these values.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Quantiles {
    /// 5 % of the area is below.
    pub p05: f64,
    /// The median.
    pub p50: f64,
    /// 95 % of the area is below.
    pub p95: f64,
}

/// The quantiles of `values`; `None` when no sample has a value.
pub fn quantiles(values: &[Option<f64>]) -> Option<Quantiles> {
    let mut known: Vec<f64> = values.iter().flatten().copied().collect();
    known.sort_unstable_by(f64::total_cmp);
    let last = known.len().checked_sub(1)?;
    let at = |share: f64| {
        let place = share * last as f64;
        let below = known[place.floor() as usize];
        let above = known[place.ceil() as usize];
        below + (above - below) * place.fract()
    };
    Some(Quantiles { p05: at(0.05), p50: at(0.5), p95: at(0.95) })
}

/// The greatest of `values`.
pub fn greatest(values: &[Option<f64>]) -> Option<f64> {
    values.iter().flatten().copied().max_by(f64::total_cmp)
}

/// Shares of the measured area in `bins` equal steps from zero to `top`; what lies above
/// counts in the last step.
pub fn histogram(values: &[Option<f64>], top: f64, bins: usize) -> Vec<f64> {
    let mut shares = vec![0.0; bins];
    let known = values.iter().flatten().count();
    if known == 0 || bins == 0 || top <= 0.0 {
        return shares;
    }
    for value in values.iter().flatten() {
        let bin = (value / top * bins as f64) as usize;
        shares[bin.min(bins - 1)] += 1.0 / known as f64;
    }
    shares
}

/// A connected piece of the surface.
#[derive(Clone, Debug)]
pub struct Region {
    /// Its samples, ascending.
    pub samples: Vec<usize>,
    /// Its area, mm².
    pub area: f64,
    /// The box around it.
    pub bounds: Aabb,
}

/// The connected pieces of those samples for which `chosen` holds, largest first.
/// Samples join when they are near each other and face the same half-space, so the two
/// sides of a thin wall stay apart.
pub fn regions(samples: &Samples, chosen: impl Fn(usize) -> bool) -> Vec<Region> {
    let reach = REACH * samples.spacing();
    let members: Vec<bool> = (0..samples.len()).map(chosen).collect();
    if !members.contains(&true) {
        return Vec::new();
    }
    let grid = SampleGrid::new(samples, reach);
    let mut sets = DisjointSets::new(samples.len());
    for sample in (0..samples.len()).filter(|&sample| members[sample]) {
        let point = &samples.points[sample];
        for other in grid.near(point).filter(|&other| other < sample && members[other]) {
            let is_near = (samples.points[other] - point).norm_squared() < reach * reach;
            if is_near && samples.normals[other].dot(&samples.normals[sample]) > -0.5 {
                sets.join(sample, other);
            }
        }
    }
    collect(samples, &members, &mut sets)
}

fn collect(samples: &Samples, members: &[bool], sets: &mut DisjointSets) -> Vec<Region> {
    let mut found: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for sample in (0..samples.len()).filter(|&sample| members[sample]) {
        found.entry(sets.root(sample)).or_default().push(sample);
    }
    let mut regions: Vec<Region> = found
        .into_values()
        .map(|own| Region {
            area: own.len() as f64 * samples.area_each,
            bounds: Aabb::around(own.iter().map(|&sample| &samples.points[sample])),
            samples: own,
        })
        .collect();
    regions.sort_by(|a, b| b.area.total_cmp(&a.area).then(a.samples.cmp(&b.samples)));
    regions
}

/// A region and the worst value in it.
#[derive(Clone, Debug)]
pub struct Extreme {
    /// The region.
    pub region: Region,
    /// The worst value in it.
    pub value: f64,
    /// Where that is.
    pub at: Point,
}

/// Which values are bad.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Bad {
    /// Those below.
    Below(f64),
    /// Those above.
    Above(f64),
}

impl Bad {
    /// The value that parts good from bad.
    pub fn limit(self) -> f64 {
        match self {
            Self::Below(limit) | Self::Above(limit) => limit,
        }
    }

    fn holds(self, value: f64) -> bool {
        match self {
            Self::Below(limit) => value < limit,
            Self::Above(limit) => value > limit,
        }
    }

    /// Larger is worse.
    fn badness(self, value: f64) -> f64 {
        match self {
            Self::Below(_) => -value,
            Self::Above(_) => value,
        }
    }
}

/// The regions of at least `least_area` mm² where `values` are bad, worst first.
pub fn extremes(
    samples: &Samples,
    values: &[Option<f64>],
    bad: Bad,
    least_area: f64,
) -> Vec<Extreme> {
    let regions =
        regions(samples, |sample| values[sample].is_some_and(|value| bad.holds(value)));
    let mut extremes: Vec<Extreme> = regions
        .into_iter()
        .filter(|region| region.area >= least_area)
        .filter_map(|region| {
            let known =
                region.samples.iter().filter_map(|&s| values[s].map(|value| (s, value)));
            let worst =
                known.max_by(|a, b| bad.badness(a.1).total_cmp(&bad.badness(b.1)))?;
            Some(Extreme { value: worst.1, at: samples.points[worst.0], region })
        })
        .collect();
    extremes.sort_by(|a, b| bad.badness(b.value).total_cmp(&bad.badness(a.value)));
    extremes
}
