//! What the user's cutters leave standing of a finished mold: both blanks with runner and gate,
//! over the whole block, whatever the shape of the parting. Holes, vents
//! and the slots at the rim are left out: a drill, a light cut or a file makes them.

use super::build::Mold;
use super::milling::cutter::Cutter;
use super::milling::grid::{Grid, NoHalves};
use super::milling::halves::{Halves, SetIn};
use crate::geom::{Direction, Point};
use crate::mesh::TriMesh;
use crate::mesh::solid::Solid;
use crate::mold::cut_feature::Kind;
use crate::mold::inserts::Insert;
use crate::mold::milling::outcome::{self, CellSize, MillingOutcome};
use crate::mold::{core_pins, primitives};
use crate::part::halves::Half;

/// Cells of a block where the user does not say: more than for a check, because this is the
/// last look before metal is cut.
const CELLS: f64 = 600_000.0;
/// As many where the smallest cutter asks for finer ones.
const MOST_CELLS: f64 = 2_400_000.0;
/// A cutter is seen apart from the next size where it is so many cells wide (judgment).
const CELLS_A_CUTTER: f64 = 10.0;

/// Sends the cutters of `list` over the halves of `mold`, in the pose of the part, which opens
/// along `pull`.
///
/// # Errors
/// When the grid is too fine.
pub fn simulate(
    mold: &Mold,
    pull: Direction,
    list: &[Cutter],
    size: CellSize,
) -> Result<MillingOutcome, NoHalves> {
    let posed = |solid: &Solid| solid.map(|point| mold.axes.in_pose(point)).mesh();
    let [x, y, _] = mold.layout.block;
    let [low, high] = [[x[0], y[0]], [x[1], y[1]]].map(|at| mold.axes.flat_in_pose(at));
    let span = [0, 1].map(|axis| [low[axis], high[axis]]);
    let cell = match size {
        CellSize::Edge(cell) => cell,
        CellSize::Budget => cell_for(span.map(|[low, high]| high - low), list),
    };
    let grid = Grid::on_block(pull, span, cell)?;
    let blanks = mold.blanks.each_ref().map(posed);
    let mut pockets: Vec<(Half, TriMesh)> = Vec::new();
    for cut in &mold.layout.cuts {
        match cut.kind {
            // Half in each plate.
            Kind::Runner if cut.in_both => pockets
                .extend([Half::Plus, Half::Minus].map(|half| (half, posed(&cut.solid)))),
            Kind::Runner | Kind::Gate => pockets.push((cut.half, posed(&cut.solid))),
            // The core that a bought pin stands for is not milled around.
            Kind::CorePin => {
                let [x, y, _] = mold.layout.block;
                let left_out = primitives::block([x, y, core_pins::core_span(cut)]);
                let left_out = cut.solid.meet(&left_out).ok();
                pockets.extend(left_out.map(|it| (cut.half, posed(&it))));
            }
            _ => {}
        }
    }
    let part = posed(&mold.part);
    let mut halves = Halves::of_blanks(blanks.each_ref(), &part, &pockets, grid);
    halves.set_in =
        mold.inserts.iter().map(|it| set_in(mold, it, &halves.grid)).collect();
    Ok(outcome::after(halves, list))
}

/// The cells of an insert.
fn set_in(mold: &Mold, insert: &Insert, grid: &Grid) -> SetIn {
    let [wide, high] = grid.size;
    let place = |cell: usize| {
        let flat = grid.middle(cell % wide, cell / wide);
        let at = mold.axes.of_pose(&grid.frame.raise(flat, 0.0));
        insert.holds([at.x, at.y])
    };
    let up = if insert.half == Half::Plus { 1.0 } else { -1.0 };
    let floor = Point::new(insert.at[0], insert.at[1], up * insert.depth);
    let floor = grid.frame.height(&mold.axes.in_pose(&floor));
    SetIn {
        half: insert.half,
        cells: (0..wide * high).map(place).collect(),
        floor: -up * floor,
    }
}

/// The edge of a cell over a block with these edges, mm: as fine as the smallest cutter asks for,
/// within reason.
fn cell_for(edges: [f64; 2], list: &[Cutter]) -> f64 {
    let [usual, finest] =
        [CELLS, MOST_CELLS].map(|cells| outcome::size_for(edges, cells));
    let smallest = list.iter().map(|it| it.diameter).fold(f64::INFINITY, f64::min);
    usual.min(finest.max(smallest / CELLS_A_CUTTER))
}

#[cfg(test)]
mod tests {
    use super::cell_for;
    use crate::mold::milling::CutterList;

    /// By hand: 600 000 cells of 100 × 100 mm are 0.13 mm, 2 400 000 are 0.07; a cutter of 1 mm
    /// asks for 0.1, one of 0.5 mm for 0.05, one of 6 mm for no finer than usual.
    #[test]
    fn cells_follow_the_smallest_cutter() {
        let list = CutterList::builtin().unwrap().cutters;
        let down_to = |least: f64| -> Vec<_> {
            list.iter().filter(|it| it.diameter >= least).cloned().collect()
        };
        for (least, cell) in [(6.0, 0.13), (1.0, 0.1), (0.5, 0.07)] {
            let found = cell_for([100.0, 100.0], &down_to(least));
            assert!((found - cell).abs() < 1e-9, "{least}: {found}");
        }
        assert!((cell_for([50.0, 50.0], &list) - 0.05).abs() < 1e-9);
    }
}
