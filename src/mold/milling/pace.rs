//! How fast a cutter roughs and finishes: its side step, its depth of cut, its feed.

use super::bending;
use super::cutter::Cutter;

/// Ridges that are left between two passes over a floor, mm (judgment: they polish out).
pub const SCALLOP_MM: f64 = 0.01;
/// Side step of a flat cutter, and of roughing, as a share of the diameter (common practice).
pub const SIDE_STEP: f64 = 0.4;
/// Depth of a roughing pass on a router in aluminum, as a share of the diameter (judgment).
pub const PASS_DEPTH: f64 = 0.25;
/// Feed where the list does not say, mm/s (judgment: 600 mm/min in aluminum).
pub const FEED_MM_S: f64 = 10.0;

/// How a cutter works, as far as time goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pace {
    /// Side step of finishing, mm.
    pub step: f64,
    /// Volume that it roughs, mm³/min.
    pub rough: f64,
    /// Area that it finishes, mm²/min.
    pub finish: f64,
}

impl Pace {
    /// That of `cutter`.
    pub fn of(cutter: &Cutter) -> Self {
        let step = if cutter.corner > 0.0 {
            bending::step_over(cutter.corner, SCALLOP_MM)
        } else {
            SIDE_STEP * cutter.diameter
        };
        let feed = 60.0 * cutter.feed.unwrap_or(FEED_MM_S);
        let pass = SIDE_STEP * PASS_DEPTH * cutter.diameter.powi(2);
        Self { step, rough: pass * feed, finish: step * feed }
    }
}
