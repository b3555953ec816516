//! One instant of a filling: the part that fills, and how far the melt is.

use crate::fill::cells::Cells;
use crate::fill::feed_channels::FeedChannels;
use crate::fill::fluidity::Fluidity;
use crate::fill::gap_nodes::ByNode;
use crate::fill::gate::Mouth;
use crate::fill::melt_tables::MeltTables;
use crate::fill::multigrid_levels::Level;

/// What does not change while the part fills.
pub(super) struct Cavity<'a> {
    pub(super) cells: &'a Cells,
    pub(super) levels: &'a [Level],
    pub(super) mouth: &'a Mouth,
    pub(super) tables: &'a MeltTables,
    /// Share of the part that one step fills.
    pub(super) step: f64,
}

impl Cavity<'_> {
    /// How the melt moves.
    pub(super) fn fluidity(&self) -> &Fluidity {
        &self.tables.fluidity
    }
}

/// How far the melt is.
pub(super) struct Reach<'a> {
    /// Cells full of melt.
    pub(super) wet: Vec<bool>,
    /// Share of each cell that holds melt.
    pub(super) filled: Vec<f64>,
    /// How many times as fast each node of each cell shears as at melt temperature; empty
    /// for a melt that stays at it.
    pub(super) warmth: Vec<ByNode>,
    /// The feed and the melt in it.
    pub(super) channels: FeedChannels<'a>,
}

impl Reach<'_> {
    /// Pressure lost in the channels of the mold at a flow (m³/s), Pa.
    pub(super) fn lost(&self, cavity: &Cavity<'_>, flow: f64) -> f64 {
        self.channels.loss(cavity.fluidity(), flow)
    }

    /// How many times as fast each node of a cell shears; `None` at melt temperature.
    pub(super) fn warmth(&self, cell: usize) -> Option<&ByNode> {
        self.warmth.get(cell)
    }
}
