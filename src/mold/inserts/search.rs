//! Where an insert fits: its section, its depth, its screws.

use std::f64::consts::PI;

use super::screw::{SCREWS, Screw};
use super::{Insert, Shape, standing};
use crate::geom::Point;
use crate::mesh::bvh::Bvh;
use crate::mesh::solid::Solid;
use crate::mold::bolt_holes;
use crate::mold::cut_feature::{Cut, Kind};
use crate::mold::layout::Layout;
use crate::part::halves::Half;

/// The seam keeps so far from what is formed of the part, mm (judgment).
const SEAM_MM: f64 = 0.4;
/// An insert is no more than so much larger than its core all around, mm.
const MOST_AROUND_MM: f64 = 25.0;
/// Sections that are tried grow by so much, mm.
const GROWS_MM: f64 = 0.2;
/// Metal between the seam and a hole, mm, and between two holes (judgment).
const METAL_MM: f64 = 2.0;
/// Metal between the seam and the edge of the block, mm.
const EDGE_MM: f64 = 5.0;
/// A pocket is a third as deep as its core stands out, and at least so deep, mm (judgment);
const LEAST_DEPTH_MM: f64 = 10.0;
/// so much metal stays below what is formed in it,
const BELOW_FORM_MM: f64 = 8.0;
/// and below the heads of its screws, mm.
const FLOOR_MM: f64 = 4.0;
/// From this width on two screws hold it, mm.
const TWO_SCREWS_MM: f64 = 24.0;
/// Turns and shares of the way out at which screws are tried.
const TURNS: u32 = 12;
const SHARES: [f64; 4] = [0.6, 0.45, 0.75, 0.3];
/// Places along a thread at which its metal is asked for.
const THREAD_STEPS: u32 = 6;

/// The search for the insert of one piece.
pub(super) struct Search<'a> {
    pub(super) layout: &'a Layout,
    pub(super) blank: &'a Solid,
    pub(super) surface: &'a Bvh,
    pub(super) half: Half,
    pub(super) piece: &'a standing::Piece,
}

impl Search<'_> {
    pub(super) fn find(&self) -> Option<(Insert, Vec<[f64; 2]>)> {
        let (core, at) = Shape::around(&self.piece.places);
        let grown = |more: f64| core.grown(more);
        // The next bar of the shelf, if the seam may run there; else the closest section.
        let shelf = grown(SEAM_MM).to_shelf().map(|more| grown(SEAM_MM + more));
        let steps = (MOST_AROUND_MM / GROWS_MM) as u32;
        let closer = (0..steps).map(|step| grown(SEAM_MM + f64::from(step) * GROWS_MM));
        let free = shelf.into_iter().chain(closer);
        free.filter(|shape| self.is_free(*shape, at))
            .find_map(|shape| self.fastened(shape, at))
    }

    /// Whether the seam may run around `shape` about `at`.
    fn is_free(&self, shape: Shape, at: [f64; 2]) -> bool {
        let [x, y, _] = self.layout.block;
        let in_block = [x, y].iter().zip(at).zip(extents(shape)).all(
            |(([low, high], middle), half)| {
                middle - half >= low + EDGE_MM && middle + half <= high - EDGE_MM
            },
        );
        let is_clear = |cut: &Cut| {
            let off = shape.outside([cut.at[0] - at[0], cut.at[1] - at[1]]);
            off.abs() >= cut.width / 2.0 + METAL_MM
        };
        let holes = self.holes();
        in_block
            && holes.into_iter().all(is_clear)
            && standing::room(self.blank, self.half, shape, at, self.thickness())
                >= SEAM_MM - 1e-6
    }

    /// The round holes along the pull in this half.
    fn holes(&self) -> Vec<&Cut> {
        let own = self.layout.cuts.iter();
        own.filter(|cut| {
            cut.half == self.half && cut.end.is_none() && cut.kind != Kind::Pry
        })
        .collect()
    }

    fn thickness(&self) -> f64 {
        self.layout.thickness(self.half)
    }

    /// With its depth and its screws.
    fn fastened(&self, shape: Shape, at: [f64; 2]) -> Option<(Insert, Vec<[f64; 2]>)> {
        let [long, narrow] = shape.widths();
        let screw = SCREWS.iter().find(|screw| narrow >= screw.from)?;
        let formed =
            standing::depth_within(self.blank, self.half, shape, at, self.thickness());
        let height = self.piece.height;
        let wanted = (height / 3.0).max(LEAST_DEPTH_MM).max(formed + BELOW_FORM_MM);
        let depth = wanted.min(self.thickness() - screw.head[1] - FLOOR_MM);
        if depth < LEAST_DEPTH_MM.min(wanted) || depth < formed + BELOW_FORM_MM / 2.0 {
            return None;
        }
        let seat = Seat { shape, at, depth };
        let places = self.screw_places(&seat, screw, long >= TWO_SCREWS_MM)?;
        // From below its head up to its thread.
        let through = self.thickness() - depth - screw.head[1];
        let least = through + 1.5 * screw.diameter;
        let most = through + screw.thread_hole();
        let fits = |length: &&f64| (least..=most).contains(*length);
        let length = bolt_holes::LENGTHS_MM.iter().find(fits).copied().unwrap_or(least);
        let insert = Insert {
            half: self.half,
            shape,
            at,
            depth,
            height,
            screws: (places.len(), screw.name),
            screw_length: length,
            solid: Solid::default(),
        };
        Some((insert, places))
    }

    /// Whether metal is left around the hole of a thread at `place` that begins `depth` below the
    /// parting plane.
    fn has_metal(&self, place: [f64; 2], depth: f64, screw: &Screw) -> bool {
        let up = if self.half == Half::Plus { 1.0 } else { -1.0 };
        let least = screw.diameter / 2.0 + METAL_MM;
        let deep = screw.thread_hole();
        (0..=THREAD_STEPS)
            .map(|step| deep * f64::from(step) / f64::from(THREAD_STEPS))
            .all(|deep| {
                let at = Point::new(place[0], place[1], up * (depth - deep));
                let metal = self.surface.nearest(&at, least);
                metal.is_none_or(|near| near.distance >= least)
            })
    }

    /// Where the screws go, clear of every other hole: two of them, or one in the middle of a small
    /// insert.
    fn screw_places(
        &self,
        seat: &Seat,
        screw: &Screw,
        two: bool,
    ) -> Option<Vec<[f64; 2]>> {
        let Seat { shape, at, .. } = *seat;
        let radius = screw.head[0] / 2.0;
        let holes = self.holes();
        let is_free = |place: &[f64; 2]| {
            let own = shape.outside([place[0] - at[0], place[1] - at[1]]);
            let thread = screw.diameter / 2.0 + METAL_MM;
            own <= -thread
                && holes.iter().all(|cut| {
                    let off = (cut.at[0] - place[0]).hypot(cut.at[1] - place[1]);
                    off >= radius + cut.width / 2.0 + METAL_MM / 2.0
                })
                && self.has_metal(*place, seat.depth, screw)
        };
        let turns = (0..TURNS).map(|turn| PI * f64::from(turn) / f64::from(TURNS));
        let pairs = SHARES
            .into_iter()
            .flat_map(|share| turns.clone().map(move |turn| shape.pair(turn, share)));
        let moved =
            |pair: [[f64; 2]; 2]| pair.map(|place| [place[0] + at[0], place[1] + at[1]]);
        let pairs: Vec<[[f64; 2]; 2]> = pairs.map(moved).collect();
        if two {
            let apart = |[a, b]: &[[f64; 2]; 2]| (a[0] - b[0]).hypot(a[1] - b[1]);
            let both = pairs.iter().find(|pair| {
                pair.iter().all(is_free) && apart(pair) >= 2.0 * radius + METAL_MM
            });
            return both.map(|pair| pair.to_vec());
        }
        let one = std::iter::once(at).chain(pairs.into_iter().flatten());
        one.into_iter().find(is_free).map(|place| vec![place])
    }
}

/// Where an insert sits.
struct Seat {
    shape: Shape,
    at: [f64; 2],
    depth: f64,
}

/// Half of what a section spans along x and y.
fn extents(shape: Shape) -> [f64; 2] {
    match shape {
        Shape::Round { diameter } => [diameter / 2.0; 2],
        Shape::Bar { edges } => edges.map(|edge| edge / 2.0),
    }
}
