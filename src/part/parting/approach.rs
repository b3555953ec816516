//! Places on the lines around the part, and how freely they are reached from outside: where
//! runners come in and air goes out.

use super::Parting;
use crate::geom::{Direction, Frame, Point};
use crate::part::Part;

/// Directions across the pull from which a runner may come.
const LOOKS: u32 = 24;

/// Looks start so far from the edge, as a share of the diagonal: facets wobble.
const SIDEWAYS_OFF: f64 = 1e-4;

impl Parting {
    /// Points on the lines around the part, about `step` mm apart; none where `step` is zero.
    pub fn places(&self, step: f64) -> Vec<Point> {
        let mut points = Vec::new();
        for line in self.outer() {
            let corners = line.closed();
            // What is left of the step when a corner is passed.
            let mut next = 0.0;
            for (from, to) in corners.iter().zip(corners.iter().skip(1)) {
                let length = nalgebra::distance(from, to);
                while step > 0.0 && next < length {
                    points.push(from + (to - from) * (next / length));
                    next += step;
                }
                next -= length;
            }
        }
        points
    }
}

/// Of 24 directions across `pull`, evenly spread, the number of those in which nothing of the
/// part lies before a place.
pub fn free_ways(part: &Part, pull: Direction, at: &Point) -> usize {
    let frame = Frame::along(pull);
    let off = SIDEWAYS_OFF * part.bvh.diagonal();
    let free = (0..LOOKS).filter(|&look| {
        let angle = std::f64::consts::TAU * f64::from(look) / f64::from(LOOKS);
        let way = frame.across(angle);
        let start = at + way * off;
        Direction::new(way).is_some_and(|way| !part.bvh.is_hit(&start, way))
    });
    free.count()
}
