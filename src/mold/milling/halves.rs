//! Each half of the mold as the spindle sees it, from the part itself.
//!
//! Where the part lies along the pull, the + half ends on the highest surface of the part
//! and the − half on its lowest; what lies between is plastic, or trapped. Beside the
//! projection both end on the parting surface: at the height of the parting line that is
//! nearest, which is exact where the parting is flat and in holes that are shut off at
//! one height. Heights of a half grow toward the spindle: those of the + half are turned
//! over.
//!
//! Where the halves are built already their own surface is taken, stepped or not, and what is
//! milled into it for the feed ([`Halves::of_blanks`]).

use std::borrow::Cow;

use super::grid::{Grid, NoHalves};
use crate::geom::Point;
use crate::mesh::TriMesh;
use crate::mold::milling::height_field::Field;
use crate::mold::milling::parting_height::Beside;
use crate::part::halves::Half;
use crate::part::parting::Parting;

/// Both halves on one grid.
#[derive(Clone, Debug)]
pub struct Halves {
    /// Where the cells are.
    pub grid: Grid,
    /// Height of the + half over the part, growing against the pull, mm.
    pub plus: Field,
    /// Height of the − half over the part, growing along the pull, mm.
    pub minus: Field,
    /// Whether melt fills anything at a cell along the pull: the part, or a runner.
    pub filled: Vec<bool>,
    /// Whether the height of the parting surface around the part is known, not guessed.
    pub flat: bool,
    /// Cores that are milled apart from their plate.
    pub set_in: Vec<SetIn>,
}

/// A core that is set into its plate.
#[derive(Clone, Debug)]
pub struct SetIn {
    /// The half that it belongs to.
    pub half: Half,
    /// Its cells.
    pub cells: Vec<bool>,
    /// Height of the floor of its pocket, as the heights of its half grow, mm.
    pub floor: f64,
}

/// What is milled in one clamping: a half, its plate, or an insert.
pub struct Body<'a> {
    /// What it should become.
    pub wanted: Cow<'a, Field>,
    /// Its cells, where not all are.
    pub own: Option<Vec<bool>>,
}

/// What a half is milled from.
pub struct Bodies<'a> {
    /// All of it, or its plate.
    pub plate: Body<'a>,
    /// What is set into the plate.
    pub inserts: Vec<Body<'a>>,
}

impl<'a> Bodies<'a> {
    /// Its plate first.
    pub fn all(&self) -> impl Iterator<Item = &Body<'a>> {
        std::iter::once(&self.plate).chain(&self.inserts)
    }
}

impl Body<'_> {
    /// Its cells.
    pub fn cells(&self) -> Vec<usize> {
        (0..self.wanted.values.len()).filter(|&cell| self.owns(cell)).collect()
    }

    /// Whether a cell is its own.
    pub fn owns(&self, cell: usize) -> bool {
        self.own.as_ref().is_none_or(|own| own[cell])
    }
}

impl Halves {
    /// The halves for `mesh` on `grid`.
    ///
    /// # Errors
    /// When the part has no parting line.
    pub fn from_part(
        mesh: &TriMesh,
        parting: &Parting,
        grid: Grid,
    ) -> Result<Self, NoHalves> {
        let (mut high, mut low) = surface_heights(mesh, &grid);
        let filled: Vec<bool> = high.values.iter().map(|it| it.is_finite()).collect();
        let beside = Beside::new(parting, &grid, &filled)?;
        for (cell, height) in beside.heights.into_iter().enumerate() {
            if !filled[cell] {
                high.values[cell] = height;
                low.values[cell] = height;
            }
        }
        let flat = parting.height.is_some();
        let set_in = Vec::new();
        Ok(Self { grid, plus: high.negated(), minus: low, filled, flat, set_in })
    }

    /// The halves as built: `blanks` are the + and the − half around `part`, and `pockets` are
    /// milled into them besides.
    pub fn of_blanks(
        blanks: [&TriMesh; 2],
        part: &TriMesh,
        pockets: &[(Half, TriMesh)],
        grid: Grid,
    ) -> Self {
        let [(_, low), (high, _)] = blanks.map(|blank| surface_heights(blank, &grid));
        let mut plus = open_sided(low.negated());
        let mut minus = open_sided(high);
        let of_part = surface_heights(part, &grid).0;
        let mut filled: Vec<bool> =
            of_part.values.iter().map(|it| it.is_finite()).collect();
        for (half, pocket) in pockets {
            let (high, low) = surface_heights(pocket, &grid);
            let (half, floor) = match half {
                Half::Plus => (&mut plus, high.negated()),
                Half::Minus => (&mut minus, low),
            };
            for (cell, floor) in floor.values.into_iter().enumerate() {
                if floor.is_finite() {
                    half.values[cell] = half.values[cell].min(floor);
                    filled[cell] = true;
                }
            }
        }
        Self { grid, plus, minus, filled, flat: true, set_in: Vec::new() }
    }

    /// One of them.
    pub fn half(&self, half: Half) -> &Field {
        match half {
            Half::Plus => &self.plus,
            Half::Minus => &self.minus,
        }
    }

    /// What of `half` is milled apart. Around an insert lies the floor of its pocket.
    pub fn bodies(&self, half: Half) -> Bodies<'_> {
        let whole = self.half(half);
        let own: Vec<&SetIn> = self.set_in.iter().filter(|it| it.half == half).collect();
        if own.is_empty() {
            let plate = Body { wanted: Cow::Borrowed(whole), own: None };
            return Bodies { plate, inserts: Vec::new() };
        }
        let mut plate = whole.clone();
        let mut of_plate = vec![true; plate.values.len()];
        for insert in &own {
            for cell in (0..of_plate.len()).filter(|&cell| insert.cells[cell]) {
                of_plate[cell] = false;
                plate.values[cell] = insert.floor;
            }
        }
        let insert = |it: &SetIn| {
            let mut wanted = whole.clone();
            for cell in (0..wanted.values.len()).filter(|&cell| !it.cells[cell]) {
                wanted.values[cell] = it.floor;
            }
            Body { wanted: Cow::Owned(wanted), own: Some(it.cells.clone()) }
        };
        let plate = Body { wanted: Cow::Owned(plate), own: Some(of_plate) };
        Bodies { plate, inserts: own.into_iter().map(insert).collect() }
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
pub fn surface_heights(mesh: &TriMesh, grid: &Grid) -> (Field, Field) {
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
fn cover(corners: [[f64; 3]; 3], grid: &Grid, progress: &mut dyn FnMut(usize, f64)) {
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
            progress(row * grid.size[0] + column, height.clamp(spans[2][0], spans[2][1]));
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
