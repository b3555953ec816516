//! What the user's cutters leave standing of a finished mold: both blanks with runner and gate,
//! over the whole block, whatever the shape of the parting. Holes, vents
//! and the slots at the rim are left out: a drill, a light cut or a file makes them.

use super::build::Mold;
use super::milling::cutter::Cutter;
use super::milling::grid::{Grid, NoHalves};
use super::milling::halves::Halves;
use crate::geom::Direction;
use crate::mesh::TriMesh;
use crate::mesh::solid::Solid;
use crate::mold::cut_feature::Kind;
use crate::mold::milling::outcome::{self, CellSize, MillingOutcome};
use crate::mold::{core_pins, primitives};
use crate::part::halves::Half;

/// Cells of a block where the user does not say: more than for a check, because this is the
/// last look before metal is cut.
const CELLS: f64 = 600_000.0;

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
        CellSize::Budget => outcome::size_for(span.map(|[low, high]| high - low), CELLS),
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
    let halves = Halves::of_blanks(blanks.each_ref(), &posed(&mold.part), &pockets, grid);
    Ok(outcome::after(halves, list))
}
