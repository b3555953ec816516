//! A test piece: a stepped strip, wound to a spiral, that shows by its length how far the melt
//! flowed.
//!
//! | question | file |
//! |---|---|
//! | where does its middle line run | `spiral` |
//! | which solid is it, and how much of it is full up to a mark | `solid` |
//! | how are its measures kept in a file | [`mod@file`] |
//!
//! The melt enters at the flat outer end, at the origin, and flows along +x first. Each step has
//! a thinner wall than the one before. Its back is flat, so that one half of the mold has the
//! channel and the other only the runner. Every [`MARK_EVERY_MM`] a raised line crosses one side
//! of the strip, every fourth one all of it: they are shallow grooves in the floor of the channel.

mod spiral;
mod solid;
pub mod file;

use crate::geom::Point;
use crate::mesh::TriMesh;

/// From mark to mark along the middle of the strip, mm.
pub const MARK_EVERY_MM: f64 = 5.0;
/// Height of a mark, mm: deep enough to see, shallow enough that it hardly helps the flow
/// (judgment).
pub const MARK_HIGH_MM: f64 = 0.15;
/// Every so many marks one runs across the whole strip.
pub const LONG_MARK: u32 = 4;
/// Walls of the steps that are tried, from the gate on, mm.
pub const WALLS_MM: [f64; 4] = [3.0, 2.0, 1.5, 1.0];
/// Metal between two turns of the strip, mm (judgment: as wide as what is left between other
/// cuts, and a little for the vents).
pub const BETWEEN_MM: f64 = 4.0;
/// Radius of the middle line where the spiral ends, mm: a gentle bend, so that the front stays
/// square to the strip (judgment).
pub const INNER_RADIUS_MM: f64 = 12.0;
/// Radius of the corners at the gate, mm.
pub const CORNER_MM: f64 = 2.0;

/// A piece of the strip with one wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// Thickness, mm.
    pub wall: f64,
    /// Length along the middle line, mm.
    pub length: f64,
}

/// The measures of a test piece, mm.
#[derive(Clone, Debug, PartialEq)]
pub struct TestPiece {
    /// The steps in the order of the flow.
    pub steps: Vec<Step>,
    /// Width of the strip at its back.
    pub width: f64,
    /// Draft of its sides, degrees.
    pub draft_deg: f64,
    /// Width of a mark.
    pub mark: f64,
}

impl TestPiece {
    /// Where the melt enters.
    pub const GATE: Point = Point::new(0.0, 0.0, 0.0);

    /// Length of the middle line, mm.
    pub fn length(&self) -> f64 {
        self.steps.iter().map(|step| step.length).sum()
    }

    /// The solid, closed, its back on the plane z = 0.
    pub fn mesh(&self) -> TriMesh {
        solid::mesh(self)
    }

    /// Share of its volume up to a length along the middle line, 0 to 1.
    pub fn share(&self, reached_mm: f64) -> f64 {
        solid::volume_to(self, reached_mm) / solid::volume_to(self, self.length())
    }

    /// Where each step ends along the middle line, mm.
    pub fn ends(&self) -> Vec<f64> {
        let along = self.steps.iter().scan(0.0, |end, step| {
            *end += step.length;
            Some(*end)
        });
        along.collect()
    }
}

#[cfg(test)]
mod tests {
    use super::{Step, TestPiece};
    use crate::mesh::solid::Solid;
    use crate::part::mass;

    fn piece() -> TestPiece {
        let steps = [(3.0, 60.0), (2.0, 40.0), (1.5, 30.0), (1.0, 20.0)];
        let steps = steps.map(|(wall, length)| Step { wall, length }).to_vec();
        TestPiece { steps, width: 8.0, draft_deg: 3.0, mark: 1.0 }
    }

    /// The volume of the mesh against steps of trapezoids by hand: wall × (width − wall × tan of
    /// the draft) each, less the rounded ends, plus ramps and marks: within 2 %.
    #[test]
    fn it_is_closed_and_as_heavy_as_its_steps() {
        let piece = piece();
        let mesh = piece.mesh();
        let solid =
            Solid { points: mesh.points().to_vec(), facets: mesh.facets().to_vec() };
        assert_eq!(solid.open_edges(), 0);
        let lean = 3.0_f64.to_radians().tan();
        let by_hand: f64 = piece
            .steps
            .iter()
            .map(|step| step.length * step.wall * (piece.width - step.wall * lean))
            .sum();
        let solid = mass::measure(&mesh, true).solid.unwrap();
        assert!(
            (solid.volume / by_hand - 1.0).abs() < 0.02,
            "{} {by_hand}",
            solid.volume
        );
    }

    /// In the middle of a step the share rises by its section over the whole volume; it ends at
    /// one, and begins at nothing.
    #[test]
    fn a_length_is_a_share_of_the_volume() {
        let piece = piece();
        assert!(piece.share(0.0).abs() < 1e-12);
        assert!((piece.share(150.0) - 1.0).abs() < 1e-12);
        assert!((piece.share(900.0) - 1.0).abs() < 1e-12);
        let lean = 3.0_f64.to_radians().tan();
        let whole = mass::measure(&piece.mesh(), true).solid.unwrap().volume;
        // From mark to mark: the section and one mark of 1 mm (with its slopes 1.15) over half
        // the width.
        let seen = (piece.share(84.0) - piece.share(79.0)) * whole;
        let by_hand = 5.0 * 2.0 * (8.0 - 2.0 * lean) + 1.15 * 0.15 * 8.0;
        assert!((seen / by_hand - 1.0).abs() < 0.02, "{seen} {by_hand}");
        let mid = piece.share(60.0) * whole / (60.0 * 3.0 * (8.0 - 3.0 * lean));
        assert!((0.97..1.02).contains(&mid), "{mid}");
    }

    /// Seen from above no turn meets another: the distance between points of two turns is the
    /// width and the metal between.
    #[test]
    fn turns_keep_their_distance() {
        let long =
            TestPiece { steps: vec![Step { wall: 2.0, length: 400.0 }], ..piece() };
        let mesh = long.mesh();
        let size = mesh.bounds().size();
        assert!(size.x < 120.0 && size.y < 120.0 && (size.z - 2.15).abs() < 1e-9);
        let line = super::spiral::Spiral::new(400.0, 12.0);
        for at in [0.0, 50.0, 100.0] {
            let [x, y] = line.at(at).at;
            let far = (0..400).map(f64::from).filter(|other| (other - at).abs() > 40.0);
            let least = far
                .map(|other| {
                    let [u, v] = line.at(other).at;
                    (u - x).hypot(v - y)
                })
                .fold(f64::INFINITY, f64::min);
            assert!((11.5..14.0).contains(&least), "{at} {least}");
        }
    }
}
