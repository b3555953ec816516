//! Where the melt enters, and how the pressure spreads from there.
//!
//! A gate is round or, as a film gate, a line with a half width. Across a wall it holds
//! its pressure through the whole wall, as the thin-gap equations do; at the end of a wall
//! or rod it holds it on the surface. Its rim lies where it lies, not in the middle of the
//! nearest cell: the way from the rim to the next cell counts. A gate smaller than a cell
//! keeps its own radius through the law of a well in a grid (Peaceman, *SPE J.* 18, 1978).

use super::cells::Cells;
use crate::geom::{Direction, Point, Vector};
use crate::mesh::{TriMesh, bvh::Bvh};
use crate::process::feed;
use crate::units::in_mm2;

/// A gate on the surface of the part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gate {
    /// Its middle, or one end of a film gate, mm.
    pub from: Point,
    /// The same as `from`, or the other end of a film gate, mm.
    pub to: Point,
    /// Its radius, or half the height of a film gate, mm.
    pub radius_mm: f64,
}

impl Gate {
    /// A round gate.
    pub fn round(at: Point, radius_mm: f64) -> Self {
        Self { from: at, to: at, radius_mm }
    }

    /// The gate of a feed at this place. Wide ones count as round ones of the same area: how
    /// they lie is not known.
    pub fn of_feed(at: Point, gate: &feed::Gate) -> Self {
        let area = in_mm2(gate.area());
        Self::round(at, (area / std::f64::consts::PI).sqrt())
    }

    fn middle(&self) -> Point {
        nalgebra::center(&self.from, &self.to)
    }
}

/// The cells at gate pressure, and how much longer than a cell the way into the next is.
#[derive(Clone, Debug)]
pub(super) struct Mouth {
    /// Whether each cell is at gate pressure.
    pub(super) is_gate: Vec<bool>,
    /// Length of the way across each link from a gate cell, in cells; 1 for other links.
    pub(super) way: Vec<f64>,
}

/// Below this many cells of radius a gate is a well in one column of cells.
const WELL: f64 = 0.6;

/// Ways shorter than this are not believed, cells.
const SHORTEST: f64 = 0.2;

/// A wall is crossed when the ray meets its other side within this many thicknesses.
const CROSSED: f64 = 1.5;

/// Finds the mouth of all `gates`.
pub(super) fn mouth(cells: &Cells, mesh: &TriMesh, bvh: &Bvh, gates: &[Gate]) -> Mouth {
    let mut mouth =
        Mouth { is_gate: vec![false; cells.len()], way: vec![1.0; cells.links.len()] };
    for gate in gates {
        open(cells, &Place::locate(cells, mesh, bvh, gate), &mut mouth);
    }
    mouth
}

/// A gate in the frame of the wall it sits on.
struct Place {
    gate: Gate,
    inward: Vector,
    /// How deep its pressure reaches, mm; `None` where it only covers the surface.
    across: Option<f64>,
    edge: f64,
    /// For a gate smaller than a cell: where its column stands.
    column: Option<Point>,
}

impl Place {
    fn locate(cells: &Cells, mesh: &TriMesh, bvh: &Bvh, gate: &Gate) -> Self {
        let edge = cells.edge_mm();
        let near = bvh.nearest(&gate.middle(), f64::MAX.sqrt());
        let inward =
            near.map_or(-Vector::z(), |near| -mesh.normals()[near.facet as usize]);
        let start = near.map_or(gate.middle(), |near| near.point);
        let home = cells.nearest(&(start + inward * (0.5 * edge)));
        let hit = Direction::new(inward)
            .and_then(|inward| bvh.first_hit(&start, inward, bvh.diagonal() * 1e-5));
        let wall = CROSSED * cells.wall_mm[home];
        let across = hit.map(|hit| hit.distance).filter(|&deep| deep <= wall);
        let move_by = start - gate.middle();
        let gate = Gate { from: gate.from + move_by, to: gate.to + move_by, ..*gate };
        let is_well = gate.radius_mm < WELL * edge && gate.from == gate.to;
        let column = is_well.then(|| cells.middle(home));
        Self { gate, inward, across, edge, column }
    }

    /// Depth below the surface and distance from the gate's middle line, mm.
    fn seen(&self, point: &Point) -> (f64, f64) {
        let line = self.gate.to - self.gate.from;
        let middle = self.column.unwrap_or(self.gate.from);
        let v = point - middle;
        let length = line.norm_squared();
        let along =
            if length > 0.0 { (v.dot(&line) / length).clamp(0.0, 1.0) } else { 0.0 };
        let beside = v - line * along;
        let lateral = (beside - self.inward * beside.dot(&self.inward)).norm();
        ((point - self.gate.from).dot(&self.inward), lateral)
    }

    fn radius(&self) -> f64 {
        match self.column {
            Some(_) => 0.51 * self.edge,
            None => self.gate.radius_mm.max(0.51 * self.edge),
        }
    }

    fn holds(&self, point: &Point) -> bool {
        let (depth, lateral) = self.seen(point);
        let deep = self.across.unwrap_or(0.0).max(self.edge);
        depth > -self.edge && depth < deep && lateral <= self.radius()
    }

    /// Way from the rim to the far end of a link, cells.
    fn way(&self, near: &Point, far: &Point) -> f64 {
        let ((depth_near, lateral_near), (depth, lateral)) =
            (self.seen(near), self.seen(far));
        if self.column.is_some() && lateral > lateral_near {
            // Four sides of a square around a circle of the gate's radius.
            let radius = self.gate.radius_mm.max(1e-3 * self.edge);
            return (std::f64::consts::FRAC_2_PI * (self.edge / radius).ln())
                .max(SHORTEST);
        }
        if lateral > self.radius() && lateral - lateral_near > 1e-9 * self.edge {
            let way = (lateral - self.radius()) / (lateral - lateral_near);
            return way.clamp(SHORTEST, 2.0);
        }
        if self.across.is_none() && depth > depth_near + 1e-9 * self.edge {
            return (depth / (depth - depth_near)).clamp(SHORTEST, 2.0);
        }
        1.0
    }
}

fn open(cells: &Cells, place: &Place, mouth: &mut Mouth) {
    let mut own: Vec<usize> =
        (0..cells.len()).filter(|&cell| place.holds(&cells.middle(cell))).collect();
    if own.is_empty() {
        own.push(cells.nearest(&place.gate.middle()));
    }
    for &cell in &own {
        mouth.is_gate[cell] = true;
    }
    for (link, way) in cells.links.iter().zip(&mut mouth.way) {
        let [low, high] = [link.low, link.high].map(|cell| cell as usize);
        let (near, far) = match (mouth.is_gate[low], mouth.is_gate[high]) {
            (true, false) => (low, high),
            (false, true) => (high, low),
            _ => continue,
        };
        if own.binary_search(&near).is_ok() {
            *way = place.way(&cells.middle(near), &cells.middle(far));
        }
    }
}
