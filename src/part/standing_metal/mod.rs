//! Metal of the mold that stands alone between plastic: fins, blades and pins that form the
//! slots, grooves and holes of the part.
//!
//! | question | file |
//! |---|---|
//! | how thick and how deep is the metal before a point of the surface | `passage` |
//! | which form has a piece of it | `form` |
//!
//! From a wall that stands along the pull a ray goes across the pull into the metal. Where it
//! meets the part again soon, the metal between both walls stands alone: its thickness is the
//! length of the ray, its height the way along the pull from there to its tip. Neighboring
//! middles of such metal are one piece. Pieces that are less than [`SLENDER`] times as tall as
//! thick are sturdy and left out.
//!
//! What is not seen: metal narrower than the spacing of the samples; pieces that curve or
//! branch count as straight ones of their whole length that only their foot holds; a tip that
//! rests on the other half counts as free.

mod passage;
mod form;

use crate::geom::{Direction, Frame, Point, Vector};
use crate::mesh::disjoint_sets::DisjointSets;
use crate::mesh::sample_grid::SampleGrid;
use crate::mesh::samples::Samples;
use crate::part::Part;
use crate::part::draft::Formed;
use crate::part::halves::Half;
use crate::part::parting::Skins;
pub use form::{Ends, Form};
use passage::{Passage, Probe};

/// Metal less than this many times as tall as thick is sturdy: at 5 MPa from one side 6061-T6
/// holds fins of 2.6 and pins of 2 (`3 p (h/t)²` and `16/π p (h/d)²` against 100 MPa).
pub const SLENDER: f64 = 2.0;

/// Metal lower than this is a step of the surface, mm.
const LEAST_HEIGHT_MM: f64 = 0.5;

/// Middles within so many spacings of the samples belong together.
const TOGETHER: f64 = 2.0;

/// And where one is at most so many times as thick as the other.
const ALIKE: f64 = 1.6;

/// Fewer samples are an accident.
const LEAST_SAMPLES: usize = 6;

/// Metal is split between the halves where either forms more than this share of its walls.
const SPLIT: f64 = 0.1;

/// So many of the samples of a piece are kept to ask the filling about it.
const BESIDE: usize = 64;

/// Metal that stands alone between plastic.
#[derive(Clone, Debug, PartialEq)]
pub struct StandingMetal {
    /// Its half.
    pub half: Half,
    /// Whether it goes through the part, so that its tip stands on the other half.
    pub through: bool,
    /// Whether the halves meet somewhere along it.
    pub is_split: bool,
    /// Its shape across the pull.
    pub form: Form,
    /// Thickness of a fin, diameter of a pin, at its tip and at its foot, mm.
    pub thickness: [f64; 2],
    /// From its tip to its foot, where it joins the half, mm.
    pub height: f64,
    /// Middle of its foot, mm.
    pub at: Point,
    /// Where the part shows it: below its tip; of metal that goes through, beside its foot.
    pub on_part: Point,
    /// Places of the surface beside it, and which way the plastic there pushes it: the normal of
    /// the surface, of a ring only whether outward (+x) or inward.
    pub beside: Vec<(Point, Vector)>,
}

impl StandingMetal {
    /// Mean of tip and foot, mm.
    pub fn mean_thickness(&self) -> f64 {
        f64::midpoint(self.thickness[0], self.thickness[1])
    }

    /// How many times as tall as thick.
    pub fn slenderness(&self) -> f64 {
        self.height / self.mean_thickness()
    }
}

/// Every slender piece of metal in a mold for `part`, the most slender first.
pub fn find(part: &Part, formed: Formed<'_>) -> Vec<StandingMetal> {
    let probe = Probe::new(part, formed);
    let passages = probe.passages();
    let frame = Frame::along(formed.pull);
    let mut pieces: Vec<StandingMetal> = grouped(&passages, part.samples.spacing())
        .iter()
        .filter_map(|members| measure(&probe, &frame, members))
        .filter(|piece| piece.slenderness() >= SLENDER)
        .collect();
    pieces.sort_by(|a, b| {
        let place = |it: &StandingMetal| it.at.coords;
        b.slenderness()
            .total_cmp(&a.slenderness())
            .then(place(a).x.total_cmp(&place(b).x))
            .then(place(a).y.total_cmp(&place(b).y))
            .then(place(a).z.total_cmp(&place(b).z))
    });
    without_crossed(pieces, &frame)
}

/// Metal that goes through the part on the half whose surface its walls are.
pub fn on_formed_half(
    piece: StandingMetal,
    part: &Part,
    skins: &Skins,
    pull: Direction,
) -> StandingMetal {
    if !piece.through {
        return piece;
    }
    let forms = |(wall, _): &(Point, Vector)| {
        let facet = part.bvh.nearest(wall, f64::INFINITY)?.facet;
        Some(skins.formed.half_at(facet, pull.dot(&wall.coords)))
    };
    let halves: Vec<Half> = piece.beside.iter().filter_map(forms).collect();
    let own = halves.iter().filter(|half| **half == piece.half).count();
    let other = halves.len() - own;
    let is_split = own.min(other) as f64 > SPLIT * halves.len() as f64;
    if own >= other {
        return StandingMetal { is_split, ..piece };
    }
    let [tip, foot] = piece.thickness;
    StandingMetal {
        half: piece.half.other(),
        is_split,
        thickness: [foot, tip],
        at: piece.at - piece.half.leaves(pull).vector() * piece.height,
        ..piece
    }
}

/// Passages that lie beside each other, of one half and about as wide.
fn grouped(passages: &[Passage], spacing: f64) -> Vec<Vec<Passage>> {
    let reach = TOGETHER * spacing;
    let middles = Samples {
        points: passages.iter().map(|it| it.middle).collect(),
        normals: passages.iter().map(|it| it.normal).collect(),
        facets: vec![0; passages.len()],
        area_each: spacing * spacing,
    };
    let grid = SampleGrid::new(&middles, reach);
    let mut sets = DisjointSets::new(passages.len());
    for (index, own) in passages.iter().enumerate() {
        for other in grid.near(&own.middle).filter(|&other| other > index) {
            let beside = &passages[other];
            let near = (own.middle - beside.middle).norm_squared() <= reach * reach;
            let wide = own.thickness.max(beside.thickness);
            let alike = wide <= ALIKE * own.thickness.min(beside.thickness);
            let same = own.half == beside.half;
            if near && alike && same {
                sets.join(index, other);
            }
        }
    }
    let (numbers, count) = sets.numbered();
    let mut groups = vec![Vec::new(); count];
    for (passage, number) in passages.iter().zip(numbers) {
        groups[number as usize].push(passage.clone());
    }
    groups
}

/// The piece of metal between these passages; `None` where it is none to speak of.
fn measure(
    probe: &Probe<'_>,
    frame: &Frame,
    members: &[Passage],
) -> Option<StandingMetal> {
    if members.len() < LEAST_SAMPLES {
        return None;
    }
    let first = members.first()?;
    let through = 2 * members.iter().filter(|it| it.through).count() > members.len();
    let foot_way = first.half.leaves(probe.pull());
    let along = |it: &Passage| foot_way.dot(&it.middle.coords);
    let foot = members.iter().max_by(|a, b| along(a).total_cmp(&along(b)))?;
    // Heights count from the tip: below the deepest middle the metal ends at the part.
    let tips = members.iter().map(|it| along(it) - it.to_tip.unwrap_or(0.0));
    let tip = tips.fold(f64::INFINITY, f64::min);
    let top = along(foot) + probe.more_foot(foot, foot_way);
    let height = top - tip;
    if height < LEAST_HEIGHT_MM {
        return None;
    }
    let thickness =
        taper(members.iter().map(|it| (along(it) - tip, it.thickness)), height);
    let mean = f64::midpoint(thickness[0], thickness[1]);
    let form = form::find(probe, frame, members, mean)?;
    let step = members.len().div_ceil(BESIDE).max(1);
    let middle = members.iter().map(|it| it.middle.coords).sum::<Vector>();
    let middle = middle / members.len() as f64;
    let rise = foot_way.vector() * (top - foot_way.dot(&middle));
    let at = if form.is_closed_curve() {
        foot.middle + foot_way.vector() * (top - along(foot))
    } else {
        Point::from(middle + rise)
    };
    let push = |it: &Passage| {
        let outward = frame.flatten(&(it.middle - middle)).map(|it| it / mean);
        let [x, y] = frame.flatten(&Point::from(it.normal));
        let side = if outward[0] * x + outward[1] * y > 0.0 { 1.0 } else { -1.0 };
        if form.is_closed_curve() { Vector::x() * side } else { it.normal }
    };
    let on_part = if through { foot.wall } else { at - foot_way.vector() * height };
    Some(StandingMetal {
        half: first.half,
        through,
        is_split: false,
        form,
        thickness,
        height,
        at,
        on_part,
        beside: members
            .iter()
            .step_by(step)
            .flat_map(|it| both_walls(it, push(it)))
            .collect(),
    })
}

/// The wall that `passage` was measured from and the one across, with what the plastic there
/// pushes to: as many places on either side, so that a pressure all around pushes nothing.
fn both_walls(passage: &Passage, push: Vector) -> [(Point, Vector); 2] {
    let across = passage.middle + (passage.middle - passage.wall);
    [(passage.wall, push), (across, -push)]
}

/// Thickness at tip and foot by the line of least squares through (height, thickness), never
/// outside of what was measured.
fn taper(pairs: impl Iterator<Item = (f64, f64)> + Clone, height: f64) -> [f64; 2] {
    let count = pairs.clone().count().max(1) as f64;
    let [sum_y, sum_t] = pairs.clone().fold([0.0, 0.0], |s, (y, t)| [s[0] + y, s[1] + t]);
    let [mean_y, mean_t] = [sum_y / count, sum_t / count];
    let cross: f64 = pairs.clone().map(|(y, t)| (y - mean_y) * (t - mean_t)).sum();
    let square: f64 = pairs.clone().map(|(y, _)| (y - mean_y).powi(2)).sum();
    let slope = if square > 0.0 { cross / square } else { 0.0 };
    let least = pairs.clone().map(|(_, t)| t).fold(f64::INFINITY, f64::min);
    let most = pairs.map(|(_, t)| t).fold(0.0, f64::max);
    [0.0, height].map(|y| (mean_t + slope * (y - mean_y)).clamp(least, most))
}

/// A blade whose length is seen across as thickness of another is that same blade.
fn without_crossed(pieces: Vec<StandingMetal>, frame: &Frame) -> Vec<StandingMetal> {
    let flat = |it: &StandingMetal| frame.flatten(&it.at);
    let mut kept: Vec<StandingMetal> = Vec::new();
    for piece in pieces {
        let [x, y] = flat(&piece);
        let is_seen = kept.iter().any(|other| {
            let [ox, oy] = flat(other);
            let near = (x - ox).hypot(y - oy) <= other.mean_thickness() / 2.0;
            near && other.half == piece.half && !piece.form.is_closed_curve()
        });
        if !is_seen {
            kept.push(piece);
        }
    }
    kept
}

/// Across the pull.
fn across(pull: Direction, vector: &Vector) -> Option<Direction> {
    Direction::new(vector - pull.vector() * pull.dot(vector))
}

#[cfg(test)]
mod tests;
