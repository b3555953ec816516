//! A half as it lies on the mill with one of its faces up: its axes, what it is to become, and
//! where there is metal.
//!
//! With the parting face up the axes are those of [`crate::mold::pose`]. With the outer face up
//! the half is turned over about y: x has the other sign, and z is zero at the finished outer face.

use std::f64::consts::PI;

use super::tool::{Form, Tool};
use crate::geom::{Direction, Point};
use crate::mesh::bvh::Bvh;
use crate::mesh::solid::Solid;
use crate::mold::build::Mold;
use crate::mold::cut_feature::{Cut, Kind};
use crate::mold::milling::grid::Grid;
use crate::mold::milling::halves::surface_heights;
use crate::mold::milling::height_field::Field;
use crate::mold::operations::{Plan, SAWN_MM, Up};
use crate::mold::pose::Pose;
use crate::part::halves::Half;

/// Sides of a round form in the solids.
const SIDES: f64 = 48.0;

/// Edge of a cell, mm, and no more cells than this.
const CELL_MM: f64 = 0.1;
const MOST_CELLS: f64 = 3e6;

/// A tool has room where no finished metal lies higher than this above its edge, mm: less than the
/// shallowest vent is deep.
const ROOM_MM: f64 = 0.002;

/// A half with one face up.
pub(super) struct Setup<'a> {
    pub(super) mold: &'a Mold,
    pub(super) half: Half,
    pub(super) up: Up,
    /// Cells over the stock.
    pub(super) grid: Grid,
    /// Highest finished metal of each cell.
    pub(super) finished: Field,
    /// Spans of the finished block.
    pub(super) block: [[f64; 2]; 2],
    /// Top of the stock: as it comes, and once it is faced.
    pub(super) tops: [f64; 2],
    /// Where the half ends below: at its outer face, or where its core does.
    pub(super) underside: f64,
    /// Height of rapid moves.
    pub(super) safe: f64,
    /// The half with nothing but the part in it.
    blank: Bvh,
    above: f64,
}

impl<'a> Setup<'a> {
    /// `half` with `up` up, which is `solid` when it is done; `None` where the mold is far larger than
    /// any mill.
    pub(super) fn new(
        mold: &'a Mold,
        half: Half,
        up: Up,
        plan: &Plan,
        solid: &Solid,
    ) -> Option<Self> {
        let at = usize::from(half == Half::Minus);
        let place = |point: &Point| place(mold, half, up, point);
        let [x, y, _] = mold.layout.block;
        let corners =
            [[x[0], y[0]], [x[1], y[1]]].map(|[x, y]| place(&Point::new(x, y, 0.0)));
        let span = |axis: usize| {
            let [a, b] = [corners[0][axis], corners[1][axis]];
            [a.min(b), a.max(b)]
        };
        let block = [span(0), span(1)];
        let stock = sawn(block);
        let area = stock.iter().map(|[low, high]| high - low).product::<f64>();
        let cell = CELL_MM.max((area / MOST_CELLS).sqrt());
        let grid = Grid::on_block(Direction::Z, stock, cell).ok()?;
        let finished = surface_heights(&solid.map(place).mesh(), &grid).0;
        let tops = match up {
            Up::Outer => [plan.outer_facing, 0.0],
            Up::Parting => [plan.above + plan.parting_facing(), plan.above],
        };
        let thickness = mold.layout.thickness(half);
        let underside = match up {
            Up::Outer => -thickness - plan.above,
            Up::Parting => -thickness,
        };
        let blank = mold.blanks[at].map(place);
        let above = blank.bounds().max.z + 1.0;
        let safe = plan.rapid_height(up);
        let blank = Bvh::new(&blank.mesh());
        Some(Self {
            mold,
            half,
            up,
            grid,
            finished,
            block,
            tops,
            underside,
            safe,
            blank,
            above,
        })
    }

    /// Spans of the stock.
    pub(super) fn stock(&self) -> [[f64; 2]; 2] {
        sawn(self.block)
    }

    /// Where a place of the mold lies.
    pub(super) fn place(&self, at: &Point) -> Point {
        place(self.mold, self.half, self.up, at)
    }

    /// The same of a place across the pull.
    pub(super) fn flat(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let at = self.place(&Point::new(x, y, 0.0));
        [at.x, at.y]
    }

    /// Lowest and highest point of a cut.
    pub(super) fn heights(&self, cut: &Cut) -> [f64; 2] {
        let bounds = cut.solid.bounds();
        let [a, b] = [bounds.min, bounds.max].map(|at| self.place(&at).z);
        [a.min(b), a.max(b)]
    }

    /// Height of the half at a place, with nothing but the part in it.
    pub(super) fn surface(&self, at: [f64; 2]) -> Option<f64> {
        let start = Point::new(at[0], at[1], self.above);
        let hit = self.blank.first_hit(&start, Direction::Z.reversed(), 0.0)?;
        Some(self.above - hit.distance)
    }

    /// Radius with which a tool counts: a hole as wide as the tool is open to it.
    pub(super) fn counted_radius(&self, tool: Tool) -> f64 {
        (tool.radius() - 0.5 * self.grid.cell).max(0.5 * self.grid.cell)
    }

    /// Height of a tool's edge above its tip as it counts: in the solids a groove has 48 sides, so a ball
    /// counts as wide as these are inside.
    pub(super) fn edge(tool: Tool, r: f64) -> f64 {
        if tool.form != Form::Ball {
            return tool.rise(r);
        }
        let radius = tool.radius();
        let inside = radius * (PI / SIDES).cos();
        radius - (inside * inside - r * r).max(0.0).sqrt()
    }

    /// Whether a tool may stand with its tip here: no finished metal is in its way.
    pub(super) fn has_room(&self, tip: [f64; 3], tool: Tool) -> bool {
        let at = [tip[0], tip[1]];
        let mut is_free = true;
        self.under([at, at], self.counted_radius(tool), &mut |cell, r| {
            is_free &=
                self.finished.values[cell] <= tip[2] + Self::edge(tool, r) + ROOM_MM;
        });
        is_free
    }

    /// Whether a tool with its tip here keeps off what stands higher than `above`: a wall may begin
    /// a cell before the middle of the one that shows it.
    pub(super) fn clears_walls(&self, tip: [f64; 3], tool: Tool, above: f64) -> bool {
        let at = [tip[0], tip[1]];
        let cell = self.grid.cell;
        let mut is_free = true;
        self.under([at, at], tool.radius() + cell, &mut |place, r| {
            let height = self.finished.values[place];
            let edge = tip[2] + Self::edge(tool, (r - cell).max(0.0));
            is_free &= height <= above + ROOM_MM || height <= edge + ROOM_MM;
        });
        is_free
    }

    /// Shows every cell within `radius` of a line across the pull, and how far from it.
    pub(super) fn under(
        &self,
        line: [[f64; 2]; 2],
        radius: f64,
        show: &mut dyn FnMut(usize, f64),
    ) {
        let grid = &self.grid;
        let [from, to] = line;
        let way = [to[0] - from[0], to[1] - from[1]];
        let square = (way[0] * way[0] + way[1] * way[1]).max(f64::MIN_POSITIVE);
        let cells = [0, 1].map(|axis| {
            let [low, high] = [from[axis].min(to[axis]), from[axis].max(to[axis])];
            let cell = |at: f64| (at - grid.corner[axis]) / grid.cell - 0.5;
            let first = cell(low - radius).ceil().max(0.0) as usize;
            let end = (cell(high + radius).floor() + 1.0).max(0.0) as usize;
            first..end.min(grid.size[axis])
        });
        for row in cells[1].clone() {
            for column in cells[0].clone() {
                let at = grid.middle(column, row);
                let off = [at[0] - from[0], at[1] - from[1]];
                let share = (off[0] * way[0] + off[1] * way[1]) / square;
                let share = share.clamp(0.0, 1.0);
                let r = (off[0] - share * way[0]).hypot(off[1] - share * way[1]);
                if r <= radius {
                    show(row * grid.size[0] + column, r);
                }
            }
        }
    }

    /// The finished half, lower where the tips of drills may go below the shoulders of holes.
    pub(super) fn allowed(&self) -> Field {
        let mut allowed = self.finished.clone();
        let own = self.mold.layout.cuts.iter().filter(|cut| {
            let is_hole =
                cut.end.is_none() && !matches!(cut.kind, Kind::Pry | Kind::Seat);
            cut.half == self.half && is_hole
        });
        for cut in own {
            let at = self.flat(cut.at);
            let tip = Tool { form: Form::Drill, diameter: cut.width }.tip();
            let floor = self.heights(cut)[0];
            self.under([at, at], cut.width / 2.0, &mut |cell, _| {
                if (self.finished.values[cell] - floor).abs() < ROOM_MM {
                    allowed.values[cell] = floor - tip;
                }
            });
        }
        allowed
    }
}

fn sawn(block: [[f64; 2]; 2]) -> [[f64; 2]; 2] {
    block.map(|[low, high]| [low - SAWN_MM, high + SAWN_MM])
}

fn place(mold: &Mold, half: Half, up: Up, at: &Point) -> Point {
    let at = Pose::Milling.place(mold, Some(half), at);
    match up {
        Up::Parting => at,
        Up::Outer => Point::new(-at.x, at.y, -at.z - mold.layout.thickness(half)),
    }
}
