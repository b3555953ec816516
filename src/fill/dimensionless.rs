//! What heat does to the flow, in a few numbers.
//!
//! **Graetz** number v H²/(4 α L): heat carried along over heat lost to the wall; well
//! above 10 the core stays as hot as it came; near 1 it does not. **Nahme** number β η v²/k:
//! heat made by shear over heat lost; above 1 the melt heats itself enough to flow more
//! easily. The filling counts both. Both for the mean speed of the front along the longest way, the middling
//! wall, and the shear rate there.

use super::front::Filling;
use crate::fill::gate_search;
use crate::fill::prepared::Case;

/// What the filling was like, in a few numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Numbers {
    /// The easiest way from the first gate to the cell hardest to reach, mm.
    pub flow_length_mm: f64,
    /// The same over the wall along it: the L/t of the trade.
    pub length_over_wall: f64,
    /// Wall of the middling cell, mm.
    pub wall_mm: f64,
    /// Speed of the front over that length, m/s.
    pub velocity_m_s: f64,
    /// Shear rate at the wall at that speed, 1/s; of a melt that does not thin.
    pub shear_rate_1_s: f64,
    /// Graetz number.
    pub graetz: f64,
    /// Nahme number.
    pub nahme: f64,
}

/// The numbers of `filling`; `None` where nothing was filled or no time passed.
pub fn estimate(case: &Case<'_>, filling: &Filling) -> Option<Numbers> {
    let cells = case.cells;
    let gate = case.gates.first()?;
    let way = *gate_search::best(cells, &[nalgebra::center(&gate.from, &gate.to)], 1)
        .first()?;
    let mut walls = cells.wall_mm.clone();
    walls.sort_by(f64::total_cmp);
    let wall_mm = *walls.get(walls.len() / 2)?;
    // A part that stays short has run only so much of its way.
    let run = way.flow_length_mm * filling.filled / filling.reachable * 1e-3;
    let velocity = run / filling.time_s;
    let is_sure = velocity.is_finite() && velocity > 0.0;
    let pressure = filling.history.last().map_or(0.0, |last| last.ram_pa);
    let rate = 6.0 * velocity / (wall_mm * 1e-3);
    is_sure.then(|| Numbers {
        flow_length_mm: way.flow_length_mm,
        length_over_wall: way.length_over_wall,
        wall_mm,
        velocity_m_s: velocity,
        shear_rate_1_s: rate,
        graetz: case.melt.graetz(velocity, wall_mm * 1e-3, run),
        nahme: case.melt.nahme(velocity, rate, pressure),
    })
}
