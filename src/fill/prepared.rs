//! All that does not change from one filling of a part to the next.

use std::sync::Arc;

use super::cells::Cells;
use super::fluidity::FluidityError;
use super::gate::{self, Gate, Mouth};
use super::melt::Melt;
use crate::fill::flow_step::Cavity;
use crate::fill::melt_tables::MeltTables;
use crate::fill::multigrid_levels::{self, Level};
use crate::mesh::{TriMesh, bvh::Bvh};

/// The part, where it is gated, and what comes in.
#[derive(Clone, Copy)]
pub struct Case<'a> {
    /// The part as cells.
    pub cells: &'a Cells,
    /// The same part.
    pub mesh: &'a TriMesh,
    /// Its surface.
    pub bvh: &'a Bvh,
    /// Where melt enters, all at one pressure.
    pub gates: &'a [Gate],
    /// The melt.
    pub melt: &'a Melt,
}

/// Why filling could not be worked out.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum FillError {
    /// There is no gate.
    #[error("no gate was given; name at least one point where the melt enters")]
    NoGate,
    /// The melt does not move.
    #[error(transparent)]
    Melt(#[from] FluidityError),
}

/// A part in cells and its gates, prepared to be filled by any melt at any pressure.
#[derive(Clone)]
pub struct PreparedCavity<'a> {
    cells: &'a Cells,
    shared: Arc<(Vec<Level>, Mouth)>,
    /// Share of the part that one step fills.
    step: f64,
}

/// Share of the part that one step fills.
const STEP: f64 = 0.0125;

/// The same where fillings are only compared with each other.
const LONG_STEP: f64 = 0.05;

impl<'a> PreparedCavity<'a> {
    /// Prepares `case`.
    ///
    /// # Errors
    ///
    /// [`FillError::NoGate`] when there is no gate.
    pub fn new(case: &Case<'a>) -> Result<Self, FillError> {
        if case.gates.is_empty() {
            return Err(FillError::NoGate);
        }
        let mouth = gate::mouth(case.cells, case.mesh, case.bvh, case.gates);
        let shared = Arc::new((multigrid_levels::coarsen(case.cells), mouth));
        Ok(Self { cells: case.cells, shared, step: STEP })
    }

    /// The same filled in longer steps, to be compared with fillings in such steps: about 60 steps
    /// instead of 100.
    #[must_use]
    pub fn in_long_steps(self) -> Self {
        Self { step: LONG_STEP, ..self }
    }

    /// The same places with other walls: `cells` are those of before but for walls,
    /// volumes and how open their links are.
    #[must_use]
    pub fn with(&self, cells: &'a Cells) -> Self {
        Self { cells, shared: Arc::clone(&self.shared), step: self.step }
    }

    /// The cells.
    pub fn cells(&self) -> &'a Cells {
        self.cells
    }

    pub(super) fn cavity<'b>(&'b self, tables: &'b MeltTables) -> Cavity<'b> {
        let (levels, mouth) = &*self.shared;
        Cavity { cells: self.cells, levels, mouth, tables, step: self.step }
    }
}
