//! The melt that came in since the last instant finds its cells.
//!
//! Each cell at the front takes what flows into it; what it has no room for goes on to
//! the empty cells beside it, so a step may be longer than a cell. Nothing is lost: what
//! finds no room at all was not pushed in.

use super::cells::Cells;
use crate::fill::flow_step::Field;
use crate::fill::instant::Reach;
use crate::fill::multigrid_levels::Level;
use crate::geom::Vector;

/// Rounds in which melt is passed on; more than a step is ever cells long.
const ROUNDS: usize = 200;

/// A cell is full when less than this share of it is free.
const FULL: f64 = 1e-9;

/// What a step has done. Times within it run from 0 to 1.
#[derive(Default)]
pub(super) struct Step {
    /// Volume placed, m³.
    pub(super) placed_m3: f64,
    /// Cells that the melt entered, and when.
    pub(super) entered: Vec<(u32, f64)>,
    /// Cells that it filled, and when.
    pub(super) filled: Vec<(u32, f64)>,
    /// Melt that went from cell to cell, in the order in which it did.
    pub(super) transfers: Vec<Transfer>,
    /// Flow through the front for one pascal at the gate, m³/(s Pa).
    pub(super) through: f64,
}

/// Melt on its way from one cell into an empty one.
#[derive(Clone, Copy, Debug)]
pub(super) struct Transfer {
    pub(super) from: u32,
    pub(super) to: u32,
    /// m³.
    pub(super) amount_m3: f64,
    /// Whether it came through the front itself, out of a cell that was full before.
    pub(super) crosses_front: bool,
}

/// Melt on its way into one cell.
#[derive(Clone, Copy, Default)]
struct Inflow {
    /// m³.
    amount: f64,
    /// Amount times the moment at which it begins to come.
    moment: f64,
}

/// Melt that a full cell has no room for.
struct Spill {
    /// The full cell.
    cell: u32,
    /// m³.
    amount: f64,
    /// When the cell was full: the moment at which the spill begins.
    begins: f64,
}

/// Places `volume_m3` and adds the direction it came from to `heading`.
pub(super) fn advance(
    cells: &Cells,
    level: &Level,
    field: &Field,
    reach: &mut Reach<'_>,
    heading: &mut [Vector],
    volume_m3: f64,
) -> Step {
    let mut inflow = vec![Inflow::default(); cells.len()];
    let mut step = Step::default();
    let crossed;
    (crossed, step.through) = cross_front(cells, field, reach, heading, volume_m3);
    let mut touched = Vec::with_capacity(crossed.len());
    for transfer in &crossed {
        inflow[transfer.to as usize].amount += transfer.amount_m3;
        touched.push(transfer.to);
    }
    step.transfers = crossed;
    for _ in 0..ROUNDS {
        if touched.is_empty() {
            break;
        }
        touched.sort_unstable();
        touched.dedup();
        let mut spills = Vec::new();
        for &cell in &touched {
            let inflow = std::mem::take(&mut inflow[cell as usize]);
            spills.extend(fill_cell(cells, reach, &mut step, cell, inflow));
        }
        touched.clear();
        for spill in spills {
            let transfers = &mut step.transfers;
            pass_on(cells, level, reach, heading, &spill, &mut |other, amount| {
                let from = spill.cell;
                let crosses_front = false;
                let amount_m3 = amount;
                transfers.push(Transfer { from, to: other, amount_m3, crosses_front });
                let next = &mut inflow[other as usize];
                next.amount += amount;
                next.moment += amount * spill.begins;
                touched.push(other);
            });
        }
    }
    for &(cell, _) in &step.filled {
        reach.wet[cell as usize] = true;
    }
    step
}

/// What flows through the front itself, and how much that is for one pascal at the gate.
fn cross_front(
    cells: &Cells,
    field: &Field,
    reach: &Reach<'_>,
    heading: &mut [Vector],
    volume_m3: f64,
) -> (Vec<Transfer>, f64) {
    let ahead = |index: usize| {
        let link = &cells.links[index];
        let (behind, ahead, sign) =
            match [link.low, link.high].map(|c| reach.wet[c as usize]) {
                [true, false] => (link.low, link.high, 1.0),
                [false, true] => (link.high, link.low, -1.0),
                _ => return None,
            };
        let flow = field.links[index] * field.share[behind as usize];
        (flow > 0.0).then_some((Front { behind, ahead, flow }, sign))
    };
    let front: Vec<(usize, (Front, f64))> =
        (0..cells.links.len()).filter_map(|index| Some((index, ahead(index)?))).collect();
    let whole: f64 = front.iter().map(|(_, (front, _))| front.flow).sum();
    let cross =
        |&(index, (Front { behind, ahead, flow }, sign)): &(usize, (Front, f64))| {
            let amount_m3 = volume_m3 * flow / whole;
            heading[ahead as usize][usize::from(cells.links[index].axis)] +=
                sign * amount_m3;
            Transfer { from: behind, to: ahead, amount_m3, crosses_front: true }
        };
    (front.iter().map(cross).collect(), whole)
}

/// A link at the front.
#[derive(Clone, Copy)]
struct Front {
    behind: u32,
    ahead: u32,
    /// Up to a factor.
    flow: f64,
}

/// Lets melt into one cell. Gives what it has no room for.
fn fill_cell(
    cells: &Cells,
    reach: &mut Reach<'_>,
    step: &mut Step,
    cell: u32,
    Inflow { amount, moment }: Inflow,
) -> Option<Spill> {
    let index = cell as usize;
    let begins = if amount > 0.0 { moment / amount } else { 0.0 };
    let volume = cells.volume_mm3[index] * 1e-9;
    let room = volume * (1.0 - reach.filled[index]);
    if reach.filled[index] <= 0.0 && amount > 0.0 {
        step.entered.push((cell, begins));
    }
    if amount < room - FULL * volume {
        reach.filled[index] += amount / volume;
        step.placed_m3 += amount;
        return None;
    }
    let placed = amount.min(room);
    let full =
        if amount > 0.0 { begins + (1.0 - begins) * placed / amount } else { begins };
    reach.filled[index] = 1.0;
    step.placed_m3 += placed;
    step.filled.push((cell, full));
    Some(Spill { cell, amount: amount - placed, begins: full })
}

/// Shares `spill` among the empty cells beside its own by how well they conduct.
fn pass_on(
    cells: &Cells,
    level: &Level,
    reach: &Reach<'_>,
    heading: &mut [Vector],
    spill: &Spill,
    give: &mut dyn FnMut(u32, f64),
) {
    let ease = |other: u32, link: u32| {
        let is_free = reach.filled[other as usize] < 1.0 && !reach.wet[other as usize];
        let open = f64::from(cells.links[link as usize].open);
        if is_free { open * cells.wall_mm[other as usize].powi(2) } else { 0.0 }
    };
    let beside = level.beside(spill.cell as usize);
    let whole: f64 = beside.iter().map(|&(other, link)| ease(other, link)).sum();
    if spill.amount <= 0.0 || whole <= 0.0 {
        return;
    }
    for &(other, link) in beside {
        let amount = spill.amount * ease(other, link) / whole;
        if amount > 0.0 {
            let link = &cells.links[link as usize];
            let sign = if link.low == spill.cell { 1.0 } else { -1.0 };
            heading[other as usize][usize::from(link.axis)] += sign * amount;
            give(other, amount);
        }
    }
}
