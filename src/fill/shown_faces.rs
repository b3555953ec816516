//! Faces that the user marked as seen or loaded, where no weld line should lie.

use crate::fill::cells::Cells;
use crate::fill::weld_lines::Weld;
use crate::geom::{Aabb, Point};
use crate::part::Part;

/// The marked faces.
pub struct ShownFaces {
    /// Whether each facet belongs to one.
    marked: Vec<bool>,
}

impl ShownFaces {
    /// The faces nearest to `points`; `None` where there are none.
    pub fn nearest(part: &Part, points: &[Point]) -> Option<Self> {
        let of_facet = &part.faces.of_facet;
        let face = |point: &Point| {
            let near = part.bvh.nearest(point, f64::INFINITY)?;
            of_facet.get(near.facet as usize)
        };
        let faces: Vec<&u32> = points.iter().filter_map(face).collect();
        let marked = of_facet.iter().map(|face| faces.contains(&face)).collect();
        (!faces.is_empty()).then_some(Self { marked })
    }

    /// How long `weld` is on them, mm.
    pub fn weld_mm(&self, part: &Part, cells: &Cells, weld: &Weld) -> f64 {
        let on_face = |at: &Point| {
            let near = part.bvh.nearest(at, f64::INFINITY);
            near.is_some_and(|near| {
                self.marked.get(near.facet as usize).copied().unwrap_or(false)
            })
        };
        let places = weld.cells.iter().map(|&cell| cells.middle(cell as usize));
        let places: Vec<Point> = places.filter(on_face).collect();
        if places.len() < 2 { 0.0 } else { Aabb::around(&places).diagonal() }
    }
}
