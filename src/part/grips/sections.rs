//! The part cut across the pull at many heights: its outlines there, and the holes in them.
//!
//! Heights lie midway between the faces that are square to the pull, and closer where these
//! are far apart, so that a floor or a rim is never cut along its face and what is summed over
//! the heights is exact for walls along the pull.

use std::f64::consts::TAU;

use i_overlay::core::fill_rule::FillRule;
use i_overlay::float::simplify::SimplifyShape;
use rayon::prelude::*;

use crate::geom::{Frame, winding};
use crate::mesh::TriMesh;

/// Sections over the height of the part, at least.
const SECTIONS: f64 = 24.0;

/// Faces square to the pull that sections keep off, at most; the largest count.
const FACES: usize = 24;

/// A facet is square to the pull when the cosine between its normal and the pull is above this.
const SQUARE: f64 = 0.999;

/// Faces whose heights differ by less than this share of the part's height are one.
const SAME_HEIGHT: f64 = 1e-3;

/// A line that turns by more than this at one place has a corner there; a curve has steps
/// below it.
const SHARP_DEG: f64 = 30.0;

/// A closed line on the plane across the pull, with the plastic on its left.
#[derive(Clone, Debug)]
pub(super) struct Loop {
    /// Its corners, mm.
    pub corners: Vec<[f64; 2]>,
    /// Its length, mm.
    pub length: f64,
    /// Area inside, mm²; negative around a hole.
    pub area: f64,
    low: [f64; 2],
    high: [f64; 2],
}

/// One piece of plastic in a section.
#[derive(Clone, Debug)]
pub(super) struct Outline {
    /// Its outside.
    pub outer: Loop,
    /// The holes in it.
    pub holes: Vec<Loop>,
}

/// The part at one height.
#[derive(Clone, Debug)]
pub(super) struct Section {
    /// Along the frame, mm.
    pub height: f64,
    /// Height of the slice that it stands for, mm.
    pub step: f64,
    /// The pieces of plastic.
    pub outlines: Vec<Outline>,
}

/// What lies at a place of a section.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Place {
    /// Neither plastic nor a hole in it.
    Outside,
    /// The plastic of this outline.
    Plastic(usize),
    /// The hole of this number in the outline of this number.
    Hole([usize; 2]),
}

impl Section {
    /// What lies at `at`: the smallest loop around it says so.
    pub(super) fn place(&self, at: [f64; 2]) -> Place {
        let mut least = (f64::INFINITY, Place::Outside);
        for (index, outline) in self.outlines.iter().enumerate() {
            if !outline.outer.holds(at) {
                continue;
            }
            let hole = outline.holes.iter().position(|hole| hole.holds(at));
            let (size, place) = match hole {
                Some(hole) => {
                    (outline.holes[hole].area.abs(), Place::Hole([index, hole]))
                }
                None => (outline.outer.area.abs(), Place::Plastic(index)),
            };
            if size < least.0 {
                least = (size, place);
            }
        }
        least.1
    }
}

impl Loop {
    fn new(corners: Vec<[f64; 2]>) -> Self {
        let mut found =
            Self { corners, length: 0.0, area: 0.0, low: [0.0; 2], high: [0.0; 2] };
        found.low = found.extreme(f64::INFINITY, f64::min);
        found.high = found.extreme(f64::NEG_INFINITY, f64::max);
        let sides = || {
            let next = found.corners.iter().cycle().skip(1);
            found.corners.iter().zip(next)
        };
        let length = sides().map(|(a, b)| (b[0] - a[0]).hypot(b[1] - a[1])).sum();
        let area = sides().map(|(a, b)| (a[0] * b[1] - b[0] * a[1]) / 2.0).sum();
        Self { length, area, ..found }
    }

    fn extreme(&self, from: f64, take: impl Fn(f64, f64) -> f64) -> [f64; 2] {
        [0, 1].map(|axis| self.corners.iter().map(|at| at[axis]).fold(from, &take))
    }

    /// Whether `at` lies inside.
    pub(super) fn holds(&self, at: [f64; 2]) -> bool {
        let near = |axis: usize| (self.low[axis]..=self.high[axis]).contains(&at[axis]);
        near(0) && near(1) && winding(&self.corners, at) != 0
    }

    /// Share of its whole turn that lies in sharp corners: 1 of a box, 0 of a circle.
    pub(super) fn sharp_share(&self) -> f64 {
        let (at, count) = (&self.corners, self.corners.len());
        let turn = |index: usize| {
            let [a, b, c] = [index, index + 1, index + 2].map(|it| at[it % count]);
            let (to, on) = ([b[0] - a[0], b[1] - a[1]], [c[0] - b[0], c[1] - b[1]]);
            let turn =
                (to[0] * on[1] - to[1] * on[0]).atan2(to[0] * on[0] + to[1] * on[1]);
            if turn.abs() > SHARP_DEG.to_radians() { turn } else { 0.0 }
        };
        let sharp: f64 = (0..count).map(turn).sum();
        (self.area.signum() * sharp / TAU).clamp(0.0, 1.0)
    }

    /// `count` places evenly along the line, each with the way of the line there.
    pub(super) fn places(&self, count: usize) -> Vec<[[f64; 2]; 2]> {
        let each = self.length / count as f64;
        let (mut wanted, mut passed) = (each / 2.0, 0.0);
        let mut places = Vec::new();
        for (a, b) in self.corners.iter().zip(self.corners.iter().cycle().skip(1)) {
            let way = [b[0] - a[0], b[1] - a[1]];
            let long = way[0].hypot(way[1]);
            while each > 0.0 && long > 0.0 && wanted <= passed + long {
                let share = (wanted - passed) / long;
                let at = [a[0] + share * way[0], a[1] + share * way[1]];
                places.push([at, [way[0] / long, way[1] / long]]);
                wanted += each;
            }
            passed += long;
        }
        places
    }
}

/// `at`, moved by so much to the left of the way `along`.
pub(super) fn left_of(at: [f64; 2], along: [f64; 2], by: f64) -> [f64; 2] {
    [at[0] - by * along[1], at[1] + by * along[0]]
}

/// The part in slices along `frame`, lowest first; none of a part without height.
pub(super) fn cut(mesh: &TriMesh, frame: &Frame) -> Vec<Section> {
    let heights: Vec<f64> =
        mesh.points().iter().map(|point| frame.height(point)).collect();
    let slices = slices(mesh, frame, &heights);
    slices
        .into_par_iter()
        .map(|[low, high]| {
            let height = f64::midpoint(low, high);
            let outlines = outlines(mesh, frame, &heights, height);
            Section { height, step: high - low, outlines }
        })
        .collect()
}

/// Lowest and highest point of each slice.
fn slices(mesh: &TriMesh, frame: &Frame, heights: &[f64]) -> Vec<[f64; 2]> {
    let used = || mesh.facets().iter().flatten().map(|&corner| heights[corner as usize]);
    let low = used().fold(f64::INFINITY, f64::min);
    let high = used().fold(f64::NEG_INFINITY, f64::max);
    let whole = high - low;
    if !whole.is_finite() || whole <= 0.0 {
        return Vec::new();
    }
    let inner = faces(mesh, frame, heights, whole * SAME_HEIGHT);
    let apart = |&height: &f64| {
        height - low > whole * SAME_HEIGHT && high - height > whole * SAME_HEIGHT
    };
    let mut breaks = vec![low];
    breaks.extend(inner.into_iter().filter(apart));
    breaks.push(high);
    let between = |pair: &[f64]| {
        let (from, gap) = (pair[0], pair[1] - pair[0]);
        let count = (gap / whole * SECTIONS).ceil().max(1.0);
        (0..count as usize).map(move |slice| {
            let at = |slice: f64| from + gap * slice / count;
            [at(slice as f64), at(slice as f64 + 1.0)]
        })
    };
    breaks.windows(2).flat_map(between).collect()
}

/// Heights of the largest faces that are square to the pull, lowest first.
fn faces(mesh: &TriMesh, frame: &Frame, heights: &[f64], same: f64) -> Vec<f64> {
    let mut flat: Vec<[f64; 2]> = (0..mesh.facets().len())
        .filter(|&facet| frame.along.dot(&mesh.normals()[facet]).abs() > SQUARE)
        .map(|facet| {
            let corners = mesh.facets()[facet].map(|corner| heights[corner as usize]);
            [corners.iter().sum::<f64>() / 3.0, mesh.areas()[facet]]
        })
        .collect();
    flat.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    let mut faces: Vec<[f64; 2]> = Vec::new();
    for [height, area] in flat {
        match faces.last_mut() {
            Some([mean, whole]) if height - *mean < same => {
                *mean += (height - *mean) * area / (*whole + area);
                *whole += area;
            }
            _ => faces.push([height, area]),
        }
    }
    faces.sort_by(|a, b| b[1].total_cmp(&a[1]).then(a[0].total_cmp(&b[0])));
    faces.truncate(FACES);
    let mut heights: Vec<f64> = faces.into_iter().map(|face| face[0]).collect();
    heights.sort_by(f64::total_cmp);
    heights
}

/// From one edge of the mesh to another through a facet, with the plastic on its left.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Crossing {
    from: [u32; 2],
    to: [u32; 2],
}

/// The outlines at one height; where solids overlap, those of their union.
fn outlines(mesh: &TriMesh, frame: &Frame, heights: &[f64], height: f64) -> Vec<Outline> {
    let is_above = |corner: u32| heights[corner as usize] >= height;
    let mut crossings: Vec<Crossing> = Vec::new();
    for corners in mesh.facets() {
        if corners.iter().all(|&it| is_above(it))
            || !corners.iter().any(|&it| is_above(it))
        {
            continue;
        }
        let mut crossing = Crossing { from: [0; 2], to: [0; 2] };
        for (side, &a) in corners.iter().enumerate() {
            let b = corners[(side + 1) % 3];
            let edge = [a.min(b), a.max(b)];
            // A facet runs counter-clockwise seen from outside, so that its section runs from
            // the edge that goes down to the edge that goes up, plastic on the left.
            match (is_above(a), is_above(b)) {
                (true, false) => crossing.from = edge,
                (false, true) => crossing.to = edge,
                _ => {}
            }
        }
        crossings.push(crossing);
    }
    crossings.sort_unstable();
    let at = |[a, b]: [u32; 2]| {
        let [low, high] = [a, b].map(|corner| heights[corner as usize]);
        let share = ((height - low) / (high - low)).clamp(0.0, 1.0);
        let [from, to] = [a, b].map(|it| frame.flatten(&mesh.points()[it as usize]));
        [from[0] + share * (to[0] - from[0]), from[1] + share * (to[1] - from[1])]
    };
    let loops: Vec<Vec<[f64; 2]>> = chains(&crossings)
        .into_iter()
        .map(|edges| edges.into_iter().map(at).collect())
        .collect();
    let pieces = loops.simplify_shape_as::<i64>(FillRule::Positive);
    let piece = |loops: Vec<Vec<[f64; 2]>>| {
        let mut loops = loops.into_iter().map(Loop::new);
        Some(Outline { outer: loops.next()?, holes: loops.collect() })
    };
    pieces.into_iter().filter_map(piece).collect()
}

/// Closed ways through sorted crossings; what does not close, at an open edge, is left out.
fn chains(crossings: &[Crossing]) -> Vec<Vec<[u32; 2]>> {
    let mut used = vec![false; crossings.len()];
    let mut closed = Vec::new();
    for seed in 0..crossings.len() {
        if used[seed] {
            continue;
        }
        let mut edges = Vec::new();
        let mut next = Some(seed);
        while let Some(index) = next {
            used[index] = true;
            edges.push(crossings[index].from);
            let to = crossings[index].to;
            let first = crossings.partition_point(|it| it.from < to);
            next = (first..crossings.len())
                .take_while(|&it| crossings[it].from == to)
                .find(|&it| !used[it]);
            if next.is_none() && to == crossings[seed].from {
                closed.push(std::mem::take(&mut edges));
            }
        }
    }
    closed
}
