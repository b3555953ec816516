//! The part as cubic cells, each knowing its wall.
//!
//! Cells that the surface cuts carry the share of them that is plastic, and each face
//! between two cells the share that is open. A flat wall at any angle then conducts as
//! the smooth one does, and the volume is that of the part. Where the mesh has holes, the
//! lines that miss them answer (see `scan`). Blind to features much thinner than a cell:
//! [`Cells::thin_wall_mm`] over [`Cells::edge_mm`] says how many lie across the thinnest wall
//! that counts, and below 2 the answer is rough.

use super::fractions::{self, Fractions};
use super::grid::{Grid, Lattice};
use crate::fill::local_walls;
use crate::geom::Point;
use crate::mesh::{TriMesh, bvh::Bvh, samples::Samples};
use crate::part::wall_change::WallChange;
use crate::part::{mass, thickness};

/// Cells of a part unless the user says otherwise: a whole part then answers in seconds,
/// and the closed forms in the tests come within 3 %.
pub const BUDGET: usize = 60_000;

/// Cells across the thinnest wall that counts, when the budget allows.
const ACROSS: f64 = 2.0;

/// Surface points at which the wall is measured to choose the size of the cells.
const PROBES: usize = 1500;

/// Share of the surface that may be thinner than the wall that counts.
const THIN_SHARE: f64 = 0.1;

/// How fine the cells are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Resolution {
    /// About so many cells at most, fewer where two across the thinnest wall need fewer.
    Budget(usize),
    /// Edge of a cell, mm.
    EdgeMm(f64),
}

impl Default for Resolution {
    fn default() -> Self {
        Self::Budget(BUDGET)
    }
}

/// An open face between two cells.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Link {
    /// The cell with the lower coordinate.
    pub low: u32,
    /// The cell with the higher coordinate.
    pub high: u32,
    /// The axis that the face is across.
    pub axis: u8,
    /// Share of the face that is open.
    pub open: f32,
}

/// The part as cells.
#[derive(Clone, Debug)]
pub struct Cells {
    pub(super) grid: Grid,
    /// Volume of plastic in each cell, mm³.
    pub volume_mm3: Vec<f64>,
    /// Wall around each cell, mm: the diameter of the largest ball that contains it.
    pub wall_mm: Vec<f64>,
    /// Shape of the section around each cell: 0 a flat wall, 16 a round rod.
    pub section: Vec<u8>,
    /// Open faces, by `low`.
    pub links: Vec<Link>,
    /// Wall that counts as the thinnest, mm: a tenth of the surface has a thinner one.
    /// `None` where no wall could be measured.
    pub thin_wall_mm: Option<f64>,
}

/// Why a part cannot be filled with cells.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum CellsError {
    /// No line through the mesh ran inside.
    #[error(
        "no cell of {edge_mm} mm lies inside the part; give a closed mesh or smaller cells"
    )]
    Nothing {
        /// Edge of the cells tried.
        edge_mm: f64,
    },
    /// The edge asked for is not a length.
    #[error("cells of {edge_mm} mm were asked for; give an edge above 0 mm")]
    Edge {
        /// What was asked for.
        edge_mm: f64,
    },
}

impl Cells {
    /// Cuts `mesh` into cells.
    ///
    /// # Errors
    ///
    /// [`CellsError`] when nothing of the part lies inside, or the edge is no length.
    pub fn new(
        mesh: &TriMesh,
        bvh: &Bvh,
        resolution: Resolution,
    ) -> Result<Self, CellsError> {
        let thin_wall_mm = thin_wall(mesh, bvh);
        let volume = mass::measure(mesh, true).solid.map_or(0.0, |solid| solid.volume);
        let edge_mm = match resolution {
            Resolution::EdgeMm(edge_mm) => edge_mm,
            Resolution::Budget(most) => edge(mesh, volume, thin_wall_mm, most),
        };
        if !(edge_mm > 0.0 && edge_mm.is_finite()) {
            return Err(CellsError::Edge { edge_mm });
        }
        Self::cut(mesh, bvh, edge_mm, volume, thin_wall_mm)
    }

    /// The same part in cells of `times` the edge.
    ///
    /// # Errors
    ///
    /// [`CellsError`] when nothing of the part lies inside so coarse cells.
    pub fn coarser(
        &self,
        mesh: &TriMesh,
        bvh: &Bvh,
        times: f64,
    ) -> Result<Self, CellsError> {
        let edge_mm = times * self.edge_mm();
        Self::cut(mesh, bvh, edge_mm, self.total_mm3(), self.thin_wall_mm)
    }

    fn cut(
        mesh: &TriMesh,
        bvh: &Bvh,
        edge_mm: f64,
        volume: f64,
        thin_wall_mm: Option<f64>,
    ) -> Result<Self, CellsError> {
        let fractions =
            fractions::measure(mesh, Lattice::around(&mesh.bounds(), edge_mm));
        if fractions.share.is_empty() {
            return Err(CellsError::Nothing { edge_mm });
        }
        let walls = local_walls::measure(&fractions, mesh, bvh);
        let volume_mm3 = volumes(&fractions, volume);
        let links = links(&fractions);
        let local_walls::Walls { wall_mm, section } = walls;
        Ok(Self {
            grid: fractions.grid,
            volume_mm3,
            wall_mm,
            section,
            links,
            thin_wall_mm,
        })
    }

    /// The same part with other walls. Cells keep their places: a thicker wall holds more
    /// and passes more, a rod by the square of that.
    #[must_use]
    pub fn with_walls(&self, change: &WallChange) -> Self {
        let wall = |wall_mm: f64| change.apply(wall_mm);
        let mut other = self.clone();
        other.thin_wall_mm = self.thin_wall_mm.map(wall);
        let wider = |cell: usize| {
            let section =
                f64::from(self.section[cell]) / (local_walls::SECTIONS - 1) as f64;
            (wall(self.wall_mm[cell]) / self.wall_mm[cell]).powf(1.0 + section)
        };
        let wider: Vec<f64> = (0..self.len()).map(wider).collect();
        for (cell, &wider) in wider.iter().enumerate() {
            other.volume_mm3[cell] *= wider;
            other.wall_mm[cell] = wall(self.wall_mm[cell]);
        }
        for link in &mut other.links {
            let both = wider[link.low as usize] * wider[link.high as usize];
            link.open *= both.sqrt() as f32;
        }
        other
    }

    /// How many cells there are.
    pub fn len(&self) -> usize {
        self.volume_mm3.len()
    }

    /// Whether there are none; never so after [`Self::new`].
    pub fn is_empty(&self) -> bool {
        self.volume_mm3.is_empty()
    }

    /// Edge of a cell, mm.
    pub fn edge_mm(&self) -> f64 {
        self.grid.lattice.edge_mm
    }

    /// The middle of `cell`, mm.
    pub fn middle(&self, cell: usize) -> Point {
        self.grid.middle(cell)
    }

    /// Coordinates of `cell` in the grid.
    pub fn at(&self, cell: usize) -> [u16; 3] {
        self.grid.cells[cell]
    }

    /// Volume of all cells, mm³: that of the mesh where it is closed.
    pub fn total_mm3(&self) -> f64 {
        self.volume_mm3.iter().sum()
    }

    /// The cells that melt reaches from each cell in one step.
    pub fn neighbors(&self) -> Vec<Vec<u32>> {
        let mut neighbors = vec![Vec::new(); self.len()];
        for link in &self.links {
            neighbors[link.low as usize].push(link.high);
            neighbors[link.high as usize].push(link.low);
        }
        neighbors
    }

    /// Whether `point` lies in a cell.
    pub fn holds(&self, point: &Point) -> bool {
        let at = self.grid.lattice.in_cells(point).map(f64::floor);
        at.min() >= 0.0
            && self.grid.find([at.x, at.y, at.z].map(|c| c as usize)).is_some()
    }

    /// The cell nearest to `point`.
    pub fn nearest(&self, point: &Point) -> usize {
        let away = |cell: usize| (self.middle(cell) - point).norm_squared();
        if let Some(cell) = self.beside(point) {
            return cell;
        }
        let near = (0..self.len()).min_by(|&a, &b| away(a).total_cmp(&away(b)));
        near.unwrap_or(0)
    }
}

impl Cells {
    /// The cell nearest to `point` where it is sure to be among those around it.
    fn beside(&self, point: &Point) -> Option<usize> {
        let lattice = &self.grid.lattice;
        let home = lattice.in_cells(point).map(f64::floor);
        let around = |axis: usize, reach: f64| {
            let last = lattice.dims[axis] as f64 - 1.0;
            let ends = [home[axis] - reach, home[axis] + reach];
            let [low, high] = ends.map(|end| end.clamp(0.0, last) as usize);
            low..=high
        };
        [1.0, 2.0, 4.0].into_iter().find_map(|reach| {
            let mut near: Option<(f64, usize)> = None;
            for x in around(0, reach) {
                for y in around(1, reach) {
                    let found =
                        around(2, reach).filter_map(|z| self.grid.find([x, y, z]));
                    let apart = |cell| ((self.middle(cell) - point).norm_squared(), cell);
                    near = found
                        .map(apart)
                        .chain(near)
                        .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
                }
            }
            // Whatever lies farther out than those looked at is farther than this.
            let sure = (reach + 0.5) * self.edge_mm();
            near.filter(|near| near.0 <= sure * sure).map(|near| near.1)
        })
    }
}

/// The wall that a tenth of the surface is thinner than.
fn thin_wall(mesh: &TriMesh, bvh: &Bvh) -> Option<f64> {
    let samples = Samples::spread(mesh, bvh, PROBES);
    let walls = thickness::map(bvh, &samples);
    let mut known: Vec<f64> = walls.of_walls().into_iter().flatten().collect();
    if known.is_empty() {
        known = walls.of_lumps().into_iter().flatten().collect();
    }
    known.sort_by(f64::total_cmp);
    let thin = (known.len() as f64 * THIN_SHARE) as usize;
    known.get(thin).copied().filter(|&wall| wall > 0.0)
}

/// Edge of the cells for a budget of `most`.
fn edge(mesh: &TriMesh, volume: f64, thin_wall_mm: Option<f64>, most: usize) -> f64 {
    let size = mesh.bounds().size();
    let volume = if volume > 0.0 { volume } else { size.x * size.y * size.z };
    let most = most.max(64) as f64;
    let [finest, coarsest] = [most, most / 4.0].map(|count| (volume / count).cbrt());
    let wanted = thin_wall_mm.map_or(coarsest, |wall| wall / ACROSS);
    wanted.clamp(finest, coarsest)
}

/// Volume of each cell, together `whole` where the mesh has that.
fn volumes(fractions: &Fractions, whole: f64) -> Vec<f64> {
    let full = fractions.grid.lattice.edge_mm.powi(3);
    let seen: f64 = fractions.share.iter().map(|&share| f64::from(share) * full).sum();
    // A mesh that is open or overlaps itself has another volume than its inside.
    let factor = whole / seen;
    let factor = if (0.8..1.25).contains(&factor) { factor } else { 1.0 };
    fractions.share.iter().map(|&share| f64::from(share) * full * factor).collect()
}

/// A face this little open is none.
const LEAST_OPEN: f32 = 1e-3;

fn links(fractions: &Fractions) -> Vec<Link> {
    let grid = &fractions.grid;
    let mut links = Vec::new();
    for (low, open) in fractions.open.iter().enumerate() {
        for (axis, &open) in
            open.iter().enumerate().filter(|(_, open)| **open > LEAST_OPEN)
        {
            if let Some(high) = grid.beyond(low, axis) {
                let [low, high] = [low, high].map(|cell| cell as u32);
                links.push(Link { low, high, axis: axis as u8, open });
            }
        }
    }
    links
}

#[cfg(test)]
mod tests {
    use super::{Cells, Resolution};
    use crate::mesh::bvh::Bvh;
    use crate::mesh::shapes;
    use crate::part::wall_change::WallChange;

    /// A strip of 2 mm made 3 mm holds 1.5 times as much and conducts through 1.5 times the
    /// face; one of 2 mm that has to be 1 mm stays as it is.
    #[test]
    fn a_thicker_wall_holds_and_passes_more() {
        let mesh = shapes::cuboid(80.0, 40.0, 2.0);
        let cells = Cells::new(&mesh, &Bvh::new(&mesh), Resolution::EdgeMm(1.0)).unwrap();
        let same = cells.with_walls(&WallChange::at_least(1.0));
        assert_eq!((&same.wall_mm, &same.links), (&cells.wall_mm, &cells.links));
        let thicker = cells.with_walls(&WallChange::at_least(3.0));
        assert!(thicker.wall_mm.iter().all(|&wall| (wall - 3.0).abs() < 1e-9));
        let ratio = thicker.total_mm3() / cells.total_mm3();
        // The rims count a little as rods.
        assert!((1.49..1.6).contains(&ratio), "{ratio}");
        let flat = |link: &usize| {
            let ends = [cells.links[*link].low, cells.links[*link].high];
            ends.iter().all(|&cell| cells.section[cell as usize] == 0)
        };
        let link = (0..cells.links.len()).find(flat).unwrap();
        let opened = thicker.links[link].open / cells.links[link].open;
        let seen = cells.wall_mm[cells.links[link].low as usize];
        assert!((f64::from(opened) - 3.0 / seen).abs() < 0.02, "{opened}");
    }
}
