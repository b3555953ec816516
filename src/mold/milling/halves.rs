//! Each half of the mold as the spindle sees it, from the part itself.
//!
//! Where the part casts its shadow along the pull, the + half ends on the highest surface of
//! the part and the − half on its lowest; what lies between is plastic, or trapped. Beside the
//! shadow both end on the parting surface: at the height of the parting line that is nearest,
//! which is exact where the parting is flat and in holes that are shut off at one height.
//! Heights of a half grow toward the spindle: those of the + half are turned over.
//!
//! Where the halves are built already their own surface is taken, stepped or not, and what is
//! milled into it for the feed ([`Halves::of_blanks`]).

use super::field::Field;
use crate::geom::{Direction, Frame, Point};
use crate::measure::parting::{Half, Parting};
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

/// Both halves on one grid.
#[derive(Clone, Debug)]
pub struct Halves {
    /// Where the cells are.
    pub grid: Grid,
    /// Height of the + half over the part, growing against the pull, mm.
    pub plus: Field,
    /// Height of the − half over the part, growing along the pull, mm.
    pub minus: Field,
    /// Whether a cell lies in the shadow of the part, or of what else the melt fills.
    pub shadow: Vec<bool>,
    /// Whether the height of the parting surface around the part is known, not guessed.
    pub flat: bool,
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
    /// A grid over the shadow of `mesh` along `pull`, with `margin` mm around it.
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

impl Halves {
    /// The halves for `mesh` on `grid`.
    ///
    /// # Errors
    /// When the part has no parting line.
    pub fn of(mesh: &TriMesh, parting: &Parting, grid: Grid) -> Result<Self, NoHalves> {
        let (mut high, mut low) = shadow(mesh, &grid);
        let shadow: Vec<bool> = high.values.iter().map(|it| it.is_finite()).collect();
        let beside = Beside::new(parting, &grid, &shadow)?;
        for (cell, height) in beside.heights.into_iter().enumerate() {
            if !shadow[cell] {
                high.values[cell] = height;
                low.values[cell] = height;
            }
        }
        let flat = parting.height.is_some();
        Ok(Self { grid, plus: high.negated(), minus: low, shadow, flat })
    }

    /// The halves as built: `blanks` are the + and the − half around `part`, and `pockets` are
    /// milled into them besides.
    pub fn of_blanks(
        blanks: [&TriMesh; 2],
        part: &TriMesh,
        pockets: &[(Half, TriMesh)],
        grid: Grid,
    ) -> Self {
        let [(_, low), (high, _)] = blanks.map(|blank| shadow(blank, &grid));
        let mut plus = open_sided(low.negated());
        let mut minus = open_sided(high);
        let of_part = shadow(part, &grid).0;
        let mut shadowed: Vec<bool> =
            of_part.values.iter().map(|it| it.is_finite()).collect();
        for (half, pocket) in pockets {
            let (high, low) = shadow(pocket, &grid);
            let (half, floor) = match half {
                Half::Plus => (&mut plus, high.negated()),
                Half::Minus => (&mut minus, low),
            };
            for (cell, floor) in floor.values.into_iter().enumerate() {
                if floor.is_finite() {
                    half.values[cell] = half.values[cell].min(floor);
                    shadowed[cell] = true;
                }
            }
        }
        Self { grid, plus, minus, shadow: shadowed, flat: true }
    }

    /// One of them.
    pub fn half(&self, half: Half) -> &Field {
        match half {
            Half::Plus => &self.plus,
            Half::Minus => &self.minus,
        }
    }

    /// The place of the part at `cell` where `half` stands `height` high.
    pub fn point(&self, half: Half, cell: usize, height: f64) -> Point {
        let [x, y] = self.plus.place(cell);
        let along = match half {
            Half::Plus => -height,
            Half::Minus => height,
        };
        self.grid.frame.raise(self.grid.middle(x, y), along)
    }
}

/// The same, with cells that hold no metal as low as the lowest that do.
fn open_sided(mut field: Field) -> Field {
    let finite = field.values.iter().copied().filter(|it| it.is_finite());
    let least = finite.fold(f64::INFINITY, f64::min);
    for value in &mut field.values {
        *value = if value.is_finite() { *value } else { least };
    }
    field
}

/// The highest and the lowest surface of `mesh` over the middle of each cell; plus and minus
/// infinity turned over where there is none.
fn shadow(mesh: &TriMesh, grid: &Grid) -> (Field, Field) {
    let mut high = Field::flat(grid.size, f64::NEG_INFINITY);
    let mut low = Field::flat(grid.size, f64::INFINITY);
    for facet in 0..mesh.facets().len() {
        let corners = mesh.corners(facet).map(|corner| {
            let [x, y] = grid.frame.flatten(&corner);
            [x - grid.corner[0], y - grid.corner[1], grid.frame.height(&corner)]
        });
        cover(corners, grid, &mut |cell, height| {
            high.values[cell] = high.values[cell].max(height);
            low.values[cell] = low.values[cell].min(height);
        });
    }
    (high, low)
}

/// Tells every cell whose middle lies under a triangle, and how high the triangle is there.
fn cover(corners: [[f64; 3]; 3], grid: &Grid, tell: &mut dyn FnMut(usize, f64)) {
    let [a, b, c] = corners;
    let edges = [[b[0] - a[0], b[1] - a[1]], [c[0] - a[0], c[1] - a[1]]];
    let twice = edges[0][0] * edges[1][1] - edges[0][1] * edges[1][0];
    let spans = [0, 1, 2].map(|axis| {
        let of = corners.map(|corner| corner[axis]);
        [of[0].min(of[1]).min(of[2]), of[0].max(of[1]).max(of[2])]
    });
    // A wall along the pull covers nothing.
    if twice.abs() < 1e-12 * (1.0 + spans[0][1] - spans[0][0]) {
        return;
    }
    let rise = [b[2] - a[2], c[2] - a[2]];
    let slope = [
        (rise[0] * edges[1][1] - rise[1] * edges[0][1]) / twice,
        (rise[1] * edges[0][0] - rise[0] * edges[1][0]) / twice,
    ];
    let first = |low: f64| (low / grid.cell - 0.5 - 1e-7).ceil().max(0.0) as usize;
    let last = |high: f64| (high / grid.cell - 0.5 + 1e-7).floor();
    for row in first(spans[1][0])..=last(spans[1][1]).max(-1.0) as usize {
        let y = (row as f64 + 0.5) * grid.cell;
        if row >= grid.size[1] || last(spans[1][1]) < row as f64 {
            break;
        }
        let Some([left, right]) = across(corners, y) else { continue };
        let end = last(right);
        for column in first(left)..grid.size[0] {
            if column as f64 > end {
                break;
            }
            let x = (column as f64 + 0.5) * grid.cell;
            let height = a[2] + slope[0] * (x - a[0]) + slope[1] * (y - a[1]);
            tell(row * grid.size[0] + column, height.clamp(spans[2][0], spans[2][1]));
        }
    }
}

/// Where the line at `y` enters and leaves a triangle.
fn across(corners: [[f64; 3]; 3], y: f64) -> Option<[f64; 2]> {
    let mut span: Option<[f64; 2]> = None;
    let mut grow = |x: f64| {
        let [low, high] = span.unwrap_or([x; 2]);
        span = Some([low.min(x), high.max(x)]);
    };
    for i in 0..3 {
        let [from, to] = [corners[i], corners[(i + 1) % 3]];
        let run = to[1] - from[1];
        // A touch of slack: a middle right on an edge of two facets belongs to both.
        let slack = 1e-9;
        if y < from[1].min(to[1]) - slack || y > from[1].max(to[1]) + slack {
            continue;
        }
        if run.abs() <= slack {
            grow(from[0]);
            grow(to[0]);
        } else {
            let share = ((y - from[1]) / run).clamp(0.0, 1.0);
            grow(from[0] + share * (to[0] - from[0]));
        }
    }
    span
}

/// The parting surface beside the shadow.
struct Beside {
    heights: Vec<f64>,
}

impl Beside {
    fn new(parting: &Parting, grid: &Grid, shadow: &[bool]) -> Result<Self, NoHalves> {
        let mut seeds = seeds(parting, grid);
        if seeds.iter().all(Option::is_none) {
            return Err(NoHalves::NoParting);
        }
        spread(&mut seeds, grid.size);
        let mut heights: Vec<f64> =
            seeds.into_iter().map(|seed| seed.map_or(0.0, |seed| seed.height)).collect();
        if let Some(plane) = parting.height {
            for cell in outside(shadow, grid.size) {
                heights[cell] = plane;
            }
        }
        Ok(Self { heights })
    }
}

/// A point of the parting line.
#[derive(Clone, Copy)]
struct Seed {
    /// In cells.
    at: [f64; 2],
    height: f64,
}

impl Seed {
    fn far(&self, [x, y]: [usize; 2]) -> f64 {
        (self.at[0] - x as f64 - 0.5).powi(2) + (self.at[1] - y as f64 - 0.5).powi(2)
    }
}

/// The parting line, a point at least each half cell.
fn seeds(parting: &Parting, grid: &Grid) -> Vec<Option<Seed>> {
    let mut seeds: Vec<Option<Seed>> = vec![None; grid.size[0] * grid.size[1]];
    let lines = parting.loops.iter().filter(|line| line.is_outer || line.is_shut_off);
    for line in lines {
        for pair in line.closed().windows(2) {
            let steps = ((pair[1] - pair[0]).norm() / (0.5 * grid.cell)).ceil().max(1.0);
            for step in 0..=steps as usize {
                let at = pair[0] + (pair[1] - pair[0]) * (step as f64 / steps);
                let flat = grid.frame.flatten(&at);
                let Some(cell) = grid.cell_at(flat) else { continue };
                let seed = Seed {
                    at: [0, 1].map(|axis| (flat[axis] - grid.corner[axis]) / grid.cell),
                    height: grid.frame.height(&at),
                };
                let place = [cell % grid.size[0], cell / grid.size[0]];
                if seeds[cell].is_none_or(|old| seed.far(place) < old.far(place)) {
                    seeds[cell] = Some(seed);
                }
            }
        }
    }
    seeds
}

/// Gives each cell the nearest seed, by sweeps in four directions (P. E. Danielsson, Euclidean
/// distance mapping, 1980: off by less than a tenth of a cell, and rarely).
fn spread(seeds: &mut [Option<Seed>], [wide, high]: [usize; 2]) {
    let take = |seeds: &mut [Option<Seed>], to: [usize; 2], from: [usize; 2]| {
        let other = seeds[from[1] * wide + from[0]];
        let own = &mut seeds[to[1] * wide + to[0]];
        if let Some(other) = other
            && own.is_none_or(|own| other.far(to) < own.far(to))
        {
            *own = Some(other);
        }
    };
    let along = |seeds: &mut [Option<Seed>], y: usize| {
        (1..wide).for_each(|x| take(seeds, [x, y], [x - 1, y]));
        (1..wide).rev().for_each(|x| take(seeds, [x - 1, y], [x, y]));
    };
    along(seeds, 0);
    for y in 1..high {
        (0..wide).for_each(|x| take(seeds, [x, y], [x, y - 1]));
        along(seeds, y);
    }
    for y in (1..high).rev() {
        (0..wide).for_each(|x| take(seeds, [x, y - 1], [x, y]));
        along(seeds, y - 1);
    }
}

/// The cells beside the shadow that lie around the part, not in its holes.
fn outside(shadow: &[bool], [wide, high]: [usize; 2]) -> Vec<usize> {
    let mut seen = vec![false; shadow.len()];
    let mut list: Vec<usize> = Vec::new();
    if shadow.first() == Some(&false) {
        seen[0] = true;
        list.push(0);
    }
    let mut next = 0;
    while let Some(&cell) = list.get(next) {
        next += 1;
        let (x, y) = (cell % wide, cell / wide);
        let beside = [
            (x > 0).then(|| cell - 1),
            (x + 1 < wide).then(|| cell + 1),
            (y > 0).then(|| cell - wide),
            (y + 1 < high).then(|| cell + wide),
        ];
        for other in beside.into_iter().flatten() {
            if !seen[other] && !shadow[other] {
                seen[other] = true;
                list.push(other);
            }
        }
    }
    list
}
