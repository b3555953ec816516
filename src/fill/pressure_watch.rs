//! How much harder the melt pushes on one side of a piece of metal than on the other, while
//! it fills.
//!
//! Around a piece of metal the pressures p of N points with outward normals n of the plastic
//! push with the mean Σ p n / N. On a fin, half of the points lie on either side, so the
//! difference is twice that; on a round pin of diameter d the force is π d Σ p n / N on each
//! length, as if π Σ p n / N acted on its diameter. Of metal that is
//! closed around plastic the directions are only inward and outward, as on a fin.

use crate::fill::cells::Cells;
use crate::geom::{Point, Vector};

/// How the pressures around a piece of metal add up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Around {
    /// Two sides.
    Fin,
    /// A circle.
    Pin,
}

/// A piece of metal to watch.
#[derive(Clone, Debug, PartialEq)]
pub struct PressureWatch {
    /// Places on the surface beside it, mm, and the normal there, out of the plastic.
    pub beside: Vec<(Point, Vector)>,
    /// How they add up.
    pub around: Around,
}

/// The same in cells.
#[derive(Clone, Debug)]
pub(super) struct WatchedCells {
    /// Cell and weight of each place.
    places: Vec<(u32, Vector)>,
}

impl WatchedCells {
    /// The cells beside the metal of `watch`.
    pub(super) fn find(cells: &Cells, watch: &PressureWatch) -> Self {
        let factor = match watch.around {
            Around::Fin => 2.0,
            Around::Pin => std::f64::consts::PI,
        };
        let share = factor / watch.beside.len().max(1) as f64;
        let inside = 0.5 * cells.edge_mm();
        let place = |(at, normal): &(Point, Vector)| {
            (cells.nearest(&(at - normal * inside)) as u32, normal * share)
        };
        Self { places: watch.beside.iter().map(place).collect() }
    }

    /// The one-sided pressure as a share of that at the gate, where `share` is that of each
    /// cell.
    pub(super) fn one_sided(&self, share: &[f64]) -> f64 {
        let pushed = |&(cell, weight): &(u32, Vector)| weight * share[cell as usize];
        self.places.iter().map(pushed).sum::<Vector>().norm()
    }
}
