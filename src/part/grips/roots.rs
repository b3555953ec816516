//! Walls that stand free on one root, as two ribs on a plate. As the root shrinks, it draws
//! their feet together, and they press on the metal between them as far as they are stiff.
//!
//! What stands alone, as a boss, shrinks away from its metal and presses on nothing.

use std::collections::BTreeSet;

use rayon::prelude::*;

use super::rings::{beside, lean};
use super::sections::{Outline, Place, Section, left_of};
use super::{Gripping, StandingWall};
use crate::geom::{Direction, Frame};
use crate::part::Part;

/// Places beside the rim of an outline by which it is found in the next section.
const PROBES: usize = 16;

/// Poisson's ratio of plastics, 0.35 to 0.42 (from memory).
pub const POISSON: f64 = 0.4;

/// How far a standing wall gives way to the metal that it is drawn against: deflection times
/// modulus times breadth over the whole force, for a wall so many times as high as thick.
///
/// The pressure falls in a straight line from the root, where the metal meets the wall first,
/// to nothing at the tip; the deflection is its mean weighted by that pressure. A cantilever
/// bends by h³/(63 E I) (from the deflection line in Roark's Formulas, cantilever with a load
/// that falls to nothing at its free end), shears by h/(5 κ G A), κ = 5/6, and turns at its
/// root, an elastic half-space, by 16.67 M (1 − ν²)/(π E t²) for each breadth (O'Donnell 1960,
/// from memory), with M = N h/3.
pub fn flexibility(slimness: f64) -> f64 {
    let bending = 12.0 / 63.0 * slimness.powi(3);
    let root = 16.67 * (1.0 - POISSON * POISSON) / (9.0 * std::f64::consts::PI)
        * slimness.powi(2);
    let shear = 0.48 * (1.0 + POISSON) * slimness;
    bending + root + shear
}

/// The walls of a part in `sections` along `frame`, which stands on its core half.
pub(super) fn find(
    part: &Part,
    frame: &Frame,
    sections: &[Section],
) -> Gripping<StandingWall> {
    let pairs = sections.par_windows(2);
    let links: Vec<Vec<[usize; 2]>> =
        pairs.map(|pair| links(&pair[0], &pair[1], beside(part))).collect();
    let up: Vec<&Section> = sections.iter().collect();
    let down: Vec<&Section> = sections.iter().rev().collect();
    let turned = |links: &Vec<[usize; 2]>| links.iter().map(|&[a, b]| [b, a]).collect();
    let back: Vec<Vec<[usize; 2]>> = links.iter().rev().map(turned).collect();
    let walls = |sections, links, upward| Ladder { part, frame, sections, links, upward };
    Gripping {
        core: walls(&up, &links, true).walls(),
        cavity: walls(&down, &back, false).walls(),
    }
}

/// Which outline of one section lies over which of the next.
fn links(low: &Section, high: &Section, beside: f64) -> Vec<[usize; 2]> {
    let mut links = BTreeSet::new();
    let under = |from: &Section, other: &Section| -> Vec<[usize; 2]> {
        let outlines = from.outlines.iter().enumerate();
        let found = outlines.flat_map(|(index, outline)| {
            let places = outline.outer.places(PROBES).into_iter();
            let near = places.map(|[at, along]| other.place(left_of(at, along, beside)));
            near.filter_map(move |place| match place {
                Place::Plastic(other) => Some([index, other]),
                _ => None,
            })
        });
        found.collect()
    };
    links.extend(under(low, high));
    links.extend(under(high, low).into_iter().map(|[high, low]| [low, high]));
    links.into_iter().collect()
}

/// The sections from the roots to the tips of walls on one half.
struct Ladder<'a> {
    part: &'a Part,
    frame: &'a Frame,
    sections: &'a [&'a Section],
    links: &'a [Vec<[usize; 2]>],
    upward: bool,
}

/// A piece of plastic that stands on a root.
struct Piece<'a> {
    outline: &'a Outline,
    area: f64,
    middle: [f64; 2],
    /// Second moments of area about its middle: xx, xy, yy, mm⁴.
    moments: [f64; 3],
    height: f64,
}

impl<'a> Ladder<'a> {
    fn walls(&self) -> Vec<StandingWall> {
        let levels = 0..self.links.len();
        levels.flat_map(|level| self.walls_on(level)).collect()
    }

    /// The walls whose roots end at one section.
    fn walls_on(&self, level: usize) -> Vec<StandingWall> {
        let mut walls = Vec::new();
        for root in 0..self.sections[level].outlines.len() {
            let standing = self.standing(level, root);
            let pieces: Vec<Piece<'_>> =
                standing.iter().filter_map(|&it| self.piece(level + 1, it)).collect();
            if pieces.len() > 1 {
                walls.extend(self.drawn_together(level + 1, &pieces));
            }
        }
        walls
    }

    fn roots(&self, level: usize, outline: usize) -> impl Iterator<Item = usize> {
        let links = self.links[level - 1].iter();
        links.filter(move |link| link[1] == outline).map(|link| link[0])
    }

    /// The outlines above one of `level` that rest on it alone and in no other's hole: a wall
    /// all around keeps the root from shrinking.
    fn standing(&self, level: usize, root: usize) -> Vec<usize> {
        let over = self.links[level].iter().filter(|link| link[0] == root);
        let alone: Vec<usize> = over
            .map(|link| link[1])
            .filter(|&it| self.roots(level + 1, it).all(|other| other == root))
            .collect();
        let outlines = &self.sections[level + 1].outlines;
        let in_hole = |&it: &usize| {
            let at = outlines[it].outer.corners.first();
            at.is_some_and(|&at| {
                let holes = alone.iter().flat_map(|&other| &outlines[other].holes);
                holes.into_iter().any(|hole| hole.holds(at))
            })
        };
        alone.iter().copied().filter(|it| !in_hole(it)).collect()
    }

    /// A piece that stands free: `None` where it joins another above.
    fn piece(&self, level: usize, outline: usize) -> Option<Piece<'a>> {
        let mut at = level;
        let mut now = BTreeSet::from([outline]);
        while let Some(links) = self.links.get(at) {
            let over = links.iter().filter(|link| now.contains(&link[0]));
            let next: BTreeSet<usize> = over.map(|link| link[1]).collect();
            if next.is_empty() {
                break;
            }
            let mut beneath = links.iter().filter(|link| next.contains(&link[1]));
            if beneath.any(|link| !now.contains(&link[0])) {
                return None;
            }
            (at, now) = (at + 1, next);
        }
        let [foot, tip] = [level, at].map(|level| self.sections[level]);
        let height =
            (tip.height - foot.height).abs() + f64::midpoint(foot.step, tip.step);
        Piece::new(&foot.outlines[outline], height)
    }

    /// The walls that one root draws together.
    fn drawn_together(&self, level: usize, pieces: &[Piece<'_>]) -> Vec<StandingWall> {
        let mean = |weight: &dyn Fn(&Piece<'_>) -> f64,
                    at: &dyn Fn(&Piece<'_>) -> [f64; 2]| {
            let whole: f64 = pieces.iter().map(weight).sum();
            [0, 1].map(|axis| {
                let sum: f64 = pieces.iter().map(|it| weight(it) * at(it)[axis]).sum();
                sum / whole
            })
        };
        // The forces on the root cancel, so that a stiffer wall stays where it is and draws
        // the softer ones; the second middle is the one about which all shrinks.
        let rough = mean(&|_| 1.0, &|piece| piece.middle);
        let middle = mean(&|piece| piece.stiffness(rough), &|piece| piece.face(rough));
        let wall = |piece| self.wall(level, piece, pieces, middle);
        pieces.iter().filter_map(wall).collect()
    }

    fn wall(
        &self,
        level: usize,
        piece: &Piece<'_>,
        pieces: &[Piece<'_>],
        middle: [f64; 2],
    ) -> Option<StandingWall> {
        let away = piece.away(middle)?;
        let [thickness, breadth] = piece.rectangle(away);
        let distance = piece.least_along(middle, away);
        if distance <= 0.0 {
            return None;
        }
        let beyond = pieces.iter().filter(|it| it.least_along(middle, away) > 0.0);
        let [mut low, mut high] = [f64::INFINITY, f64::NEG_INFINITY];
        let mut all = 0.0;
        for other in beyond {
            let across = [-away[1], away[0]];
            let along = other.outline.outer.corners.iter();
            for [x, y] in along {
                let at = x * across[0] + y * across[1];
                (low, high) = (low.min(at), high.max(at));
            }
            all += other.rectangle(away)[1];
        }
        let section = self.sections[level];
        let from = beside(self.part);
        let foot = piece.face(middle);
        let foot = [0, 1].map(|axis| foot[axis] - from * away[axis]);
        let start = self.frame.raise(foot, section.height);
        let out = Direction::new(self.frame.along)?;
        let out = if self.upward { out } else { out.reversed() };
        let towards =
            Direction::new(self.frame.right * away[0] + self.frame.up * away[1])?;
        let face = self.part.bvh.first_hit(&start, towards, 0.0);
        let normals = self.part.mesh.normals();
        let draft =
            face.map_or(0.0, |face| lean(out, &normals[face.facet as usize]).abs());
        let floor = self.part.bvh.first_hit(&start, out.reversed(), 0.0);
        let back = floor.and_then(|floor| {
            let below = floor.distance + from;
            let hit = self.part.bvh.first_hit(&start, out.reversed(), below)?;
            Some(hit.distance - floor.distance)
        });
        Some(StandingWall {
            area: breadth * piece.height,
            height: piece.height,
            thickness,
            breadth,
            distance,
            root: back.unwrap_or(thickness),
            root_breadth: (high - low) * breadth / all,
            draft_deg: draft.to_degrees(),
        })
    }
}

impl<'a> Piece<'a> {
    fn new(outline: &'a Outline, height: f64) -> Option<Self> {
        let loops = || std::iter::once(&outline.outer).chain(&outline.holes);
        let origin = *outline.outer.corners.first()?;
        let mut sums = [0.0; 6];
        for corners in loops().map(|it| &it.corners) {
            for (a, b) in corners.iter().zip(corners.iter().cycle().skip(1)) {
                let [a, b] = [a, b].map(|at| [at[0] - origin[0], at[1] - origin[1]]);
                let cross = a[0] * b[1] - b[0] * a[1];
                let square = |i: usize, j: usize| {
                    2.0 * (a[i] * a[j] + b[i] * b[j]) + a[i] * b[j] + a[j] * b[i]
                };
                let terms = [
                    cross / 2.0,
                    cross * (a[0] + b[0]) / 6.0,
                    cross * (a[1] + b[1]) / 6.0,
                    cross * square(0, 0) / 24.0,
                    cross * square(0, 1) / 24.0,
                    cross * square(1, 1) / 24.0,
                ];
                for (sum, term) in sums.iter_mut().zip(terms) {
                    *sum += term;
                }
            }
        }
        let [area, x, y, xx, xy, yy] = sums;
        let [x, y] = [x / area, y / area];
        (area > 0.0 && height > 0.0).then(|| Self {
            outline,
            area,
            middle: [origin[0] + x, origin[1] + y],
            moments: [xx - area * x * x, xy - area * x * y, yy - area * y * y],
            height,
        })
    }

    /// The way from `middle` to the middle of this piece.
    fn away(&self, middle: [f64; 2]) -> Option<[f64; 2]> {
        let way = [0, 1].map(|axis| self.middle[axis] - middle[axis]);
        let long = way[0].hypot(way[1]);
        (long > 0.0).then(|| way.map(|it| it / long))
    }

    /// Thickness along `away` and breadth across it of the rectangle that has this area and
    /// bends alike, mm.
    fn rectangle(&self, away: [f64; 2]) -> [f64; 2] {
        let [xx, xy, yy] = self.moments;
        let inertia =
            xx * away[0].powi(2) + 2.0 * xy * away[0] * away[1] + yy * away[1].powi(2);
        let thickness = (12.0 * inertia.max(0.0) / self.area).sqrt();
        [thickness, self.area / thickness.max(f64::MIN_POSITIVE)]
    }

    /// How far it reaches towards `middle`, from there along `away`, mm.
    fn least_along(&self, middle: [f64; 2], away: [f64; 2]) -> f64 {
        let corners = self.outline.outer.corners.iter();
        corners
            .map(|at| (at[0] - middle[0]) * away[0] + (at[1] - middle[1]) * away[1])
            .fold(f64::INFINITY, f64::min)
    }

    /// Where it meets the metal towards `middle`.
    fn face(&self, middle: [f64; 2]) -> [f64; 2] {
        let Some(away) = self.away(middle) else { return self.middle };
        let long: f64 = [0, 1]
            .map(|axis| (self.middle[axis] - middle[axis]) * away[axis])
            .iter()
            .sum();
        let back = long - self.least_along(middle, away);
        [0, 1].map(|axis| self.middle[axis] - back * away[axis])
    }

    /// What it takes to bend it towards `middle`, over the modulus, mm.
    fn stiffness(&self, middle: [f64; 2]) -> f64 {
        let Some(away) = self.away(middle) else { return self.area };
        let [thickness, breadth] = self.rectangle(away);
        breadth / flexibility(self.height / thickness.max(f64::MIN_POSITIVE))
    }
}
