//! How a part has filled.

use crate::fill::melt_heat::EnergyBalance;
use crate::geom::Vector;

/// The part is full when less than this share of it is empty: slivers at the rim that
/// are connected to the rest by next to nothing.
pub(super) const FULL: f64 = 1e-3;

/// One instant of the filling.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Instant {
    /// Since the melt reached the gate, s.
    pub time_s: f64,
    /// Share of the part that is filled.
    pub filled: f64,
    /// Flow, m³/s.
    pub flow_m3_s: f64,
    /// Pressure at the gate, Pa.
    pub gate_pa: f64,
    /// Pressure at the ram, Pa.
    pub ram_pa: f64,
}

/// How the part fills.
#[derive(Clone, Debug)]
pub struct Filling {
    /// Whether every corner that the gate can reach is filled.
    pub fills: bool,
    /// Share of the part that is filled, 0 to 1.
    pub filled: f64,
    /// Share of the part that is connected to the gate; the rest is another body.
    pub reachable: f64,
    /// When it was full or came to rest, s.
    pub time_s: f64,
    /// When the front came by each cell, s; `None` where it never did.
    pub arrival_s: Vec<Option<f64>>,
    /// Pressure in each cell at the end, Pa.
    pub pressure_pa: Vec<f64>,
    /// Share of the half gap of each cell that was frozen at the end; 0 where no melt is.
    pub frozen: Vec<f64>,
    /// Temperature in the middle of the front as it filled each cell, K.
    pub front_k: Vec<f64>,
    /// Where the heat went; nothing for a melt that stays at its temperature.
    pub energy: EnergyBalance,
    /// Direction in which the melt came into each cell, not of unit length.
    pub heading: Vec<Vector>,
    /// For each piece of metal that was watched, the greatest pressure by which the melt
    /// pushed harder on one side of it, Pa.
    pub one_sided_pa: Vec<f64>,
    /// Every instant worked out, the first and the last included.
    pub history: Vec<Instant>,
}

impl Filling {
    /// Whether all that is connected to the gate is filled.
    pub fn is_full(&self) -> bool {
        self.filled >= (1.0 - FULL) * self.reachable
    }
}
