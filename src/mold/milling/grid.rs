//! Square cells across the pull, over a part or over a block.

use crate::geom::{Direction, Frame};
use crate::mesh::TriMesh;

/// A grid across the pull.
#[derive(Clone, Debug)]
pub struct Grid {
    /// Its axes.
    pub frame: Frame,
    /// Its corner on the plane across the pull, mm.
    pub corner: [f64; 2],
    /// Edge of a cell, mm.
    pub cell: f64,
    /// Cells along each axis.
    pub size: [usize; 2],
}

/// Why there are no height fields.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoHalves {
    /// Nothing says where the halves meet.
    #[error("the part has no parting line that closes")]
    NoParting,
    /// More than memory and patience hold.
    #[error(
        "{cells} cells of {cell} mm are too many: ask for larger ones with --mill-cell"
    )]
    TooFine {
        /// How many there would be.
        cells: u64,
        /// Their edge.
        cell: f64,
    },
}

/// No grid has more cells.
const MOST_CELLS: f64 = 4e7;

impl Grid {
    /// A grid over the projection of `mesh` along `pull`, with `margin` mm around it.
    ///
    /// # Errors
    /// When there would be far too many cells.
    pub fn over(
        mesh: &TriMesh,
        pull: Direction,
        cell: f64,
        margin: f64,
    ) -> Result<Self, NoHalves> {
        let frame = Frame::along(pull);
        let mut span = [[f64::INFINITY, f64::NEG_INFINITY]; 2];
        for point in mesh.facets().iter().flatten().map(|&it| &mesh.points()[it as usize])
        {
            let flat = frame.flatten(point);
            for (span, at) in span.iter_mut().zip(flat) {
                *span = [span[0].min(at), span[1].max(at)];
            }
        }
        Self::spanning(frame, span, cell, (margin / cell).ceil() + 1.0)
    }

    /// A grid over a block with these spans on the plane across `pull`, whole cells only.
    ///
    /// # Errors
    /// When there would be far too many cells.
    pub fn on_block(
        pull: Direction,
        span: [[f64; 2]; 2],
        cell: f64,
    ) -> Result<Self, NoHalves> {
        let whole = |[low, high]: [f64; 2]| {
            // Where the edges are whole cells already none may be lost to rounding.
            let cells = ((high - low) / cell + 1e-6).floor().max(1.0);
            [low, low + cells * cell - 0.5 * cell]
        };
        Self::spanning(Frame::along(pull), span.map(whole), cell, 0.0)
    }

    /// Whole cells, so that a wall along an axis lies between cells.
    fn spanning(
        frame: Frame,
        span: [[f64; 2]; 2],
        cell: f64,
        border: f64,
    ) -> Result<Self, NoHalves> {
        let counts = span.map(|[low, high]| ((high - low) / cell).ceil() + 2.0 * border);
        let cells = counts[0] * counts[1];
        if !cells.is_finite() || cells > MOST_CELLS {
            return Err(NoHalves::TooFine { cells: cells as u64, cell });
        }
        Ok(Self {
            frame,
            corner: span.map(|[low, _]| low - border * cell),
            cell,
            size: counts.map(|count| count as usize),
        })
    }

    /// The middle of the cell at (`x`, `y`) on the plane across the pull, mm.
    pub fn middle(&self, x: usize, y: usize) -> [f64; 2] {
        [
            self.corner[0] + (x as f64 + 0.5) * self.cell,
            self.corner[1] + (y as f64 + 0.5) * self.cell,
        ]
    }

    /// The cell that holds `flat`, if there is one.
    pub fn cell_at(&self, flat: [f64; 2]) -> Option<usize> {
        let at =
            [0, 1].map(|axis| ((flat[axis] - self.corner[axis]) / self.cell).floor());
        let inside =
            (0..2).all(|axis| at[axis] >= 0.0 && at[axis] < self.size[axis] as f64);
        inside.then(|| at[1] as usize * self.size[0] + at[0] as usize)
    }
}
