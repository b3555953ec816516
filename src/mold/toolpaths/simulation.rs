//! A program run over the stock before anybody mills by it.
//!
//! The stock is a field of heights, flat on top, as if nothing was roughed. Each move lowers what lies
//! below the tool's edge. Afterwards no cell may be lower than the finished half, but where the tip
//! of a drill goes below the shoulder of its hole; a rapid move may meet no metal that still stands.
//! Blind: walls are seen to half a cell; chuck, clamps and screws are not known.

use super::path::{Motion, Move};
use super::setup::Setup;
use super::tool::Tool;
use crate::mold::milling::height_field::Field;

/// Metal of the finished half may be cut this deep, mm: less than a small mill repeats.
const GOUGE_MM: f64 = 0.03;
/// A sloped move goes by steps no deeper than this, mm.
const STEP_MM: f64 = 0.005;
/// The edge of a tool goes this far beyond the stock, mm, and its tip this far below the half
/// besides its own length.
pub(super) const BESIDE_MM: f64 = 2.0;
const BELOW_MM: f64 = 1.5;

/// What is wrong with a program; places in the axes of its setup, mm.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Fault {
    /// A rapid move meets metal.
    #[error("a rapid move meets metal at x {:.2}, y {:.2}, z {:.2}", .0[0], .0[1], .0[2])]
    Rapid([f64; 3]),
    /// Metal of the finished half is cut.
    #[error("the tool cuts {depth:.2} mm into the finished half at x {:.2}, y {:.2}", at[0], at[1])]
    Gouge {
        /// Where it is deepest.
        at: [f64; 2],
        /// How deep.
        depth: f64,
    },
    /// The tool leaves the stock.
    #[error("the tool leaves the stock at x {:.2}, y {:.2}, z {:.2}", .0[0], .0[1], .0[2])]
    Outside([f64; 3]),
}

/// Runs `moves` over stock with its top at `top`; the heights that are left.
///
/// # Errors
/// The first fault.
pub(super) fn run(
    setup: &Setup<'_>,
    tool: Tool,
    moves: &[Move],
    top: f64,
) -> Result<Field, Fault> {
    let mut stock = Field::flat(setup.grid.size, top);
    let Some(first) = moves.first() else { return Ok(stock) };
    let mut at = [first.to[0], first.to[1], setup.safe];
    for each in moves {
        stays_near(setup, tool, each.to)?;
        for (from, to) in pieces(at, each.to) {
            match each.motion {
                Motion::Rapid => clears(setup, tool, &stock, [from, to])?,
                Motion::Feed(_) => cut(setup, tool, &mut stock, [from, to]),
            }
        }
        at = each.to;
    }
    let allowed = setup.allowed();
    let depths =
        allowed.values.iter().zip(&stock.values).map(|(least, left)| least - left);
    let deepest = depths.enumerate().max_by(|a, b| a.1.total_cmp(&b.1));
    match deepest {
        Some((cell, depth)) if depth > GOUGE_MM => {
            let [x, y] = stock.place(cell);
            Err(Fault::Gouge { at: setup.grid.middle(x, y), depth })
        }
        _ => Ok(stock),
    }
}

/// A move in pieces that are nearly level, or upright.
fn pieces(from: [f64; 3], to: [f64; 3]) -> Vec<([f64; 3], [f64; 3])> {
    let is_upright = (to[0] - from[0]).hypot(to[1] - from[1]) < 1e-9;
    let rise = (to[2] - from[2]).abs();
    let count = if is_upright { 1.0 } else { (rise / STEP_MM).ceil().clamp(1.0, 1e5) };
    let place = |step: f64| {
        [0, 1, 2].map(|axis| from[axis] + (to[axis] - from[axis]) * step / count)
    };
    (0..count as u32)
        .map(|step| (place(step.into()), place(f64::from(step) + 1.0)))
        .collect()
}

fn flat(line: [[f64; 3]; 2]) -> [[f64; 2]; 2] {
    line.map(|[x, y, _]| [x, y])
}

fn cut(setup: &Setup<'_>, tool: Tool, stock: &mut Field, line: [[f64; 3]; 2]) {
    let z = line[0][2].min(line[1][2]);
    setup.under(flat(line), setup.counted_radius(tool), &mut |cell, r| {
        let left = &mut stock.values[cell];
        *left = left.min(z + Setup::edge(tool, r));
    });
}

fn clears(
    setup: &Setup<'_>,
    tool: Tool,
    stock: &Field,
    line: [[f64; 3]; 2],
) -> Result<(), Fault> {
    let z = line[0][2].min(line[1][2]);
    let mut meets = false;
    setup.under(flat(line), setup.counted_radius(tool), &mut |cell, r| {
        meets |= stock.values[cell] > z + Setup::edge(tool, r) + 1e-6;
    });
    if meets { Err(Fault::Rapid(line[1])) } else { Ok(()) }
}

fn stays_near(setup: &Setup<'_>, tool: Tool, at: [f64; 3]) -> Result<(), Fault> {
    let beyond = tool.radius() + BESIDE_MM + 1e-6;
    let spans = setup.stock();
    let is_beside = (0..2).any(|axis| {
        at[axis] < spans[axis][0] - beyond || at[axis] > spans[axis][1] + beyond
    });
    let is_below = at[2] < setup.underside - tool.tip() - BELOW_MM;
    if is_beside || is_below || !at.iter().all(|it| it.is_finite()) {
        return Err(Fault::Outside(at));
    }
    Ok(())
}
