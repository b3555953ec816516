//! Metal that a section of the part closes around: the plastic there is a ring, which
//! shrinks onto it. A slot that is open at its side closes around nothing.

use std::collections::BTreeSet;

use rayon::prelude::*;

use super::sections::{Place, Section, left_of};
use super::{Gripping, Ring};
use crate::geom::{Direction, Frame, Vector};
use crate::mesh::disjoint_sets::DisjointSets;
use crate::part::Part;
use crate::part::draft::{Formed, UPRIGHT_DEG};
use crate::part::halves::Role;
use crate::part::undercut::CLEARANCE;

/// Places on the rim of a hole that are asked for the wall behind and the way out.
const PROBES: usize = 16;

/// A ring that takes more than this share of the pressure of endless plastic counts as that
/// share, so that its thickness stays a number.
const ENDLESS: f64 = 0.9999;

/// From the wall into the metal or the plastic, mm at least: what a mill leaves.
const BESIDE_MM: f64 = 0.02;

/// One hole in one section.
struct Hole {
    section: usize,
    place: [usize; 2],
    perimeter: f64,
    area: f64,
    corners: f64,
    /// (b² − a²) / (b² + a²) of a round ring from radius a to b as thick as this one: 0 without
    /// a wall, 1 in endless plastic. The harmonic mean over the rim, since the tension goes
    /// around through every wall.
    thickness_share: f64,
    draft_deg: f64,
    role: Role,
    /// Places in the hole, close to its rim.
    inside: Vec<[f64; 2]>,
}

/// A place on the rim of a hole.
struct Probe {
    /// In the hole, beside the rim.
    inside: [f64; 2],
    /// Thickness of the wall behind the rim, mm; `None` when it has no other face.
    wall: Option<f64>,
    /// Angle of the wall to the pull, positive when it faces the core half, radians.
    lean: f64,
    /// Whether the way into the core half and into the cavity half is free.
    free: [bool; 2],
    /// The half that forms the wall, where the parting says.
    parted: Option<Role>,
}

/// The rings of a part in `sections` along `frame`, which stands on its core half.
pub(super) fn find(
    part: &Part,
    formed: Formed<'_>,
    frame: &Frame,
    sections: &[Section],
) -> Gripping<Ring> {
    let cut = Cut { part, formed, frame, sections };
    let per_section = |index: usize| {
        let section = &sections[index];
        let holes = section.outlines.iter().enumerate().flat_map(|(outline, it)| {
            (0..it.holes.len()).map(move |hole| [outline, hole])
        });
        holes.filter_map(|place| cut.hole(index, place)).collect()
    };
    let by_section: Vec<Vec<Hole>> =
        (0..sections.len()).into_par_iter().map(per_section).collect();
    let holes: Vec<Hole> = by_section.into_iter().flatten().collect();
    let mut found = Gripping::default();
    for (members, closed) in strands(&holes, sections) {
        let members: Vec<&Hole> = members.into_iter().map(|it| &holes[it]).collect();
        let ring = ring(&members, sections, closed);
        match members.first().map(|hole| hole.role) {
            Some(Role::Core) => found.core.push(ring),
            Some(Role::Cavity) => found.cavity.push(ring),
            None => {}
        }
    }
    found
}

/// A part in sections across its pull.
#[derive(Clone, Copy)]
struct Cut<'a> {
    part: &'a Part,
    formed: Formed<'a>,
    frame: &'a Frame,
    sections: &'a [Section],
}

impl Cut<'_> {
    fn hole(&self, index: usize, place: [usize; 2]) -> Option<Hole> {
        let section = &self.sections[index];
        let rim = &section.outlines[place[0]].holes[place[1]];
        let (perimeter, area) = (rim.length, rim.area.abs());
        let beside = beside(self.part);
        if perimeter < 8.0 * beside || area < perimeter * beside {
            return None;
        }
        let places = rim.places(PROBES).into_iter();
        let probes: Vec<Probe> = places
            .filter_map(|[at, along]| self.probe(section.height, at, along))
            .collect();
        let count = probes.len().max(1) as f64;
        let radius = perimeter / std::f64::consts::TAU;
        let share = |probe: &Probe| {
            let outer = (1.0 + probe.wall? / radius).powi(2);
            Some((outer - 1.0) / (outer + 1.0))
        };
        let shares: Vec<f64> = probes.iter().filter_map(share).collect();
        let role = role(&probes)?;
        let draft = probes.iter().map(|probe| probe.lean.abs()).sum::<f64>() / count;
        (!shares.is_empty()).then(|| Hole {
            section: index,
            place,
            perimeter,
            area,
            corners: rim.sharp_share(),
            thickness_share: shares.len() as f64
                / shares.iter().map(|share| share.recip()).sum::<f64>(),
            draft_deg: draft.to_degrees(),
            role,
            inside: probes.iter().map(|probe| probe.inside).collect(),
        })
    }

    /// What is at the rim; the plastic lies to the left of its way.
    fn probe(&self, height: f64, at: [f64; 2], along: [f64; 2]) -> Option<Probe> {
        let Self { part, formed, frame, .. } = self;
        let beside = beside(part);
        let way = Direction::new(frame.up * along[0] - frame.right * along[1])?;
        let out = Direction::new(frame.along)?;
        let inside = left_of(at, along, -beside);
        let start = frame.raise(inside, height);
        let face = part.bvh.first_hit(&start, way, 0.0);
        let lean =
            face.map_or(0.0, |face| lean(out, &part.mesh.normals()[face.facet as usize]));
        let behind = part.bvh.first_hit(&frame.raise(at, height), way, beside.min(1e-3));
        Some(Probe {
            inside,
            wall: behind.map(|hit| hit.distance),
            lean,
            free: [out, out.reversed()].map(|way| !part.bvh.is_hit(&start, way)),
            parted: face.and_then(|face| formed.role_at(face.facet, &start)),
        })
    }
}

/// How far beside a wall a ray starts, mm.
pub(super) fn beside(part: &Part) -> f64 {
    (part.bvh.diagonal() * CLEARANCE).max(BESIDE_MM)
}

/// Angle of a wall to the pull, positive when it faces along `out`, radians.
pub(super) fn lean(out: Direction, normal: &Vector) -> f64 {
    out.dot(normal).clamp(-1.0, 1.0).asin()
}

/// Which half has the metal in a hole; `None` where neither can leave it. An upright hole that
/// both could leave goes where the parting puts most of it, to the core where that is not known.
fn role(probes: &[Probe]) -> Option<Role> {
    let most = |half: usize| {
        let free = probes.iter().filter(|probe| probe.free[half]).count();
        2 * free > probes.len()
    };
    let (core, cavity) = (most(0), most(1));
    let lean = probes.iter().map(|probe| probe.lean).sum::<f64>();
    let upright = UPRIGHT_DEG.to_radians() * probes.len() as f64;
    let in_cavity = probes.iter().filter(|it| it.parted == Some(Role::Cavity)).count();
    match (core, cavity) {
        (true, true) if lean < -upright => Some(Role::Cavity),
        (true, true) if lean <= upright && 2 * in_cavity > probes.len() => {
            Some(Role::Cavity)
        }
        (true, _) => Some(Role::Core),
        (false, true) => Some(Role::Cavity),
        (false, false) => None,
    }
}

/// How the holes of neighboring sections hang together.
struct Joints {
    /// Holes that one piece of metal fills, the lower first.
    pairs: Vec<[usize; 2]>,
    /// For each hole, whether air reaches its end.
    leaks: Vec<bool>,
}

fn joints(holes: &[Hole], sections: &[Section]) -> Joints {
    let mut pairs = BTreeSet::new();
    let mut leaks = vec![false; holes.len()];
    for (index, hole) in holes.iter().enumerate() {
        let to_core = hole.section + 1;
        let to_cavity = hole.section.checked_sub(1);
        for (next, towards_core) in [(to_cavity, false), (Some(to_core), true)] {
            // A core comes from its half and ends the other way.
            let is_end = towards_core == (hole.role == Role::Cavity);
            let Some(section) = next.and_then(|next| sections.get(next)) else {
                leaks[index] |= is_end;
                continue;
            };
            for place in hole.inside.iter().map(|&inside| section.place(inside)) {
                let beyond = match place {
                    Place::Plastic(_) => continue,
                    Place::Outside => None,
                    Place::Hole(place) => {
                        find_hole(holes, next.unwrap_or_default(), place)
                    }
                };
                match beyond {
                    Some(other) if holes[other].role == hole.role => {
                        pairs.insert([index.min(other), index.max(other)]);
                    }
                    Some(other) => {
                        leaks[index] = true;
                        leaks[other] = true;
                    }
                    None => leaks[index] |= is_end,
                }
            }
        }
    }
    Joints { pairs: pairs.into_iter().collect(), leaks }
}

fn find_hole(holes: &[Hole], section: usize, place: [usize; 2]) -> Option<usize> {
    let key = |hole: &Hole| (hole.section, hole.place);
    holes.binary_search_by_key(&(section, place), key).ok()
}

/// The holes of each core from end to end, and the area of its closed end, 0 where air gets
/// in. Where a core forks, as at a pin on its end, each hole goes on in its largest neighbor,
/// and the others begin cores of their own, whose ends are no part of its end.
fn strands(holes: &[Hole], sections: &[Section]) -> Vec<(Vec<usize>, f64)> {
    let Joints { pairs, leaks } = joints(holes, sections);
    let (metal, pieces) = joined(holes.len(), pairs.iter());
    let mut is_open = vec![false; pieces];
    for (&piece, leaks) in metal.iter().zip(leaks) {
        is_open[piece as usize] |= leaks;
    }
    let next = [largest(holes, &pairs, 0), largest(holes, &pairs, 1)];
    let goes_on = |&&[low, high]: &&[usize; 2]| {
        next[0][low] == Some(high) && next[1][high] == Some(low)
    };
    let (numbers, count) = joined(holes.len(), pairs.iter().filter(goes_on));
    let mut members = vec![Vec::new(); count];
    let mut widest = vec![0.0_f64; count];
    for (hole, &number) in numbers.iter().enumerate() {
        let number = number as usize;
        members[number].push(hole);
        widest[number] = widest[number].max(holes[hole].area);
    }
    let mut ends = widest.clone();
    let forks: BTreeSet<[u32; 2]> =
        pairs.iter().map(|pair| pair.map(|hole| numbers[hole])).collect();
    for [a, b] in forks.into_iter().map(|pair| pair.map(|it| it as usize)) {
        let (wide, narrow) = if widest[a] >= widest[b] { (a, b) } else { (b, a) };
        ends[wide] -= if a == b { 0.0 } else { widest[narrow] };
    }
    for (end, its) in ends.iter_mut().zip(&members) {
        let open = its.iter().any(|&hole| is_open[metal[hole] as usize]);
        *end = if open { 0.0 } else { end.max(0.0) };
    }
    members.into_iter().zip(ends).collect()
}

/// The number of the set of each hole when these pairs are joined, and how many there are.
fn joined<'a>(
    count: usize,
    pairs: impl Iterator<Item = &'a [usize; 2]>,
) -> (Vec<u32>, usize) {
    let mut sets = DisjointSets::new(count);
    for &[low, high] in pairs {
        sets.join(low, high);
    }
    sets.numbered()
}

/// For each hole the largest that is paired with it, where it is the one at `this` end.
fn largest(holes: &[Hole], pairs: &[[usize; 2]], this: usize) -> Vec<Option<usize>> {
    let mut largest: Vec<Option<usize>> = vec![None; holes.len()];
    for pair in pairs {
        let (of, other) = (pair[this], pair[1 - this]);
        if largest[of].is_none_or(|it| holes[it].area < holes[other].area) {
            largest[of] = Some(other);
        }
    }
    largest
}

/// One core from its holes; `closed` is the area of its closed end, mm².
fn ring(holes: &[&Hole], sections: &[Section], closed: f64) -> Ring {
    let step = |hole: &Hole| sections[hole.section].step;
    let sum = |of: &dyn Fn(&Hole) -> f64| -> f64 {
        holes.iter().map(|hole| of(hole) * step(hole)).sum()
    };
    let rim = sum(&|hole| hole.perimeter);
    let mean = |of: &dyn Fn(&Hole) -> f64| sum(&|hole| hole.perimeter * of(hole)) / rim;
    let perimeter = rim / sum(&|_| 1.0);
    let draft_deg = mean(&|hole| hole.draft_deg);
    let share = mean(&|hole| hole.thickness_share).clamp(0.0, ENDLESS);
    let outer = ((1.0 + share) / (1.0 - share)).sqrt();
    let low = holes.iter().map(|hole| sections[hole.section].height - step(hole) / 2.0);
    let high = holes.iter().map(|hole| sections[hole.section].height + step(hole) / 2.0);
    Ring {
        area: rim / draft_deg.to_radians().cos(),
        height: high.fold(f64::NEG_INFINITY, f64::max)
            - low.fold(f64::INFINITY, f64::min),
        perimeter,
        corners: mean(&|hole| hole.corners),
        wall: perimeter / std::f64::consts::TAU * (outer - 1.0),
        draft_deg,
        closed,
    }
}
