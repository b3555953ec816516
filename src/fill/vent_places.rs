//! Where the parting line lets the air out, and where vents belong on it.

use crate::fill::cells::Cells;
use crate::geom::{Direction, Point};
use crate::part::Part;
use crate::part::parting::{self, Parting};
use crate::process::feed::vents;

/// A place for a vent.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VentPlace {
    /// On the parting line, mm.
    pub at: Point,
    /// Air that comes to it last, mm³.
    pub air_mm3: f64,
    /// Whether a straight relief reaches the open air from there; else, as inside a ring,
    /// it has to be led out through the plate.
    pub opens: bool,
}

/// Where vents for this air belong: the nearest place of the parting line, one where several
/// would overlap.
pub fn list(
    part: &Part,
    parting: &Parting,
    pull: Direction,
    cells: &Cells,
    air: impl Iterator<Item = (Point, f64)>,
) -> Vec<VentPlace> {
    let line = parting.places(cells.edge_mm() / 2.0);
    let mut places: Vec<VentPlace> = Vec::new();
    for (last, air_mm3) in air {
        let away = |at: &&Point| nalgebra::distance_squared(*at, &last);
        let near = line.iter().min_by(|a, b| away(a).total_cmp(&away(b)));
        let Some(&at) = near else { continue };
        let beside =
            |place: &&mut VentPlace| nalgebra::distance(&place.at, &at) < vents::WIDTH_MM;
        match places.iter_mut().find(beside) {
            Some(place) => place.air_mm3 += air_mm3,
            None => {
                let opens = parting::free_ways(part, pull, &at) > 0;
                places.push(VentPlace { at, air_mm3, opens });
            }
        }
    }
    places
}

/// Whether the parting line around the part touches each cell.
pub fn vented(cells: &Cells, parting: &Parting) -> Vec<bool> {
    let mut vented = vec![false; cells.len()];
    for at in parting.places(cells.edge_mm() / 2.0) {
        if let Some(cell) = vented.get_mut(cells.nearest(&at)) {
            *cell = true;
        }
    }
    vented
}
