//! The whole set over one half, the largest cutter first: what each cuts that no larger one
//! does, and what none does.

use super::closing::{self, Mask, Profile};
use super::cutter::Cutter;
use crate::mold::milling::halves::{Bodies, Body};
use crate::mold::milling::height_field::Field;
use crate::mold::milling::leftover;

/// Shank and holder are checked on cells of at least this, mm: their clearance is coarser.
const HOLDER_CELL_MM: f64 = 0.5;

/// A cutter that goes deeper by less does not count as the one that cuts, mm.
const LOWER_MM: f64 = 1e-3;

/// One cutter after all larger ones.
#[derive(Clone, Debug, Default)]
pub struct Turn {
    /// Area seen along the spindle that it finishes and no larger one does, mm².
    pub finished: f64,
    /// The same on the surface, mm².
    pub surface: f64,
    /// Metal that it takes and no larger one can, mm³.
    pub volume: f64,
    /// How far its tip goes below what stands within its holder, where it finishes, mm.
    pub depth: f64,
}

impl Turn {
    fn add(&mut self, other: &Self) {
        self.finished += other.finished;
        self.surface += other.surface;
        self.volume += other.volume;
        self.depth = self.depth.max(other.depth);
    }
}

/// What a set does to one half.
#[derive(Clone, Debug)]
pub struct Cut {
    /// The height that is left, mm.
    pub cut: Field,
    /// Thickness of the metal left over what was wanted, mm.
    pub left: Field,
    /// One entry a cutter, as in the list.
    pub turns: Vec<Turn>,
    /// The cutter that leaves least over each cell, as an index into the list; of equal ones
    /// the largest.
    pub nearest: Vec<u8>,
}

/// What `cutter` would leave if it were as long as needed.
pub fn endless(wanted: &Field, cutter: &Cutter, cell: f64) -> Field {
    closing::closed(wanted, &Profile::rasterize(&cutter.narrowed(0.5 * cell), cell))
}

/// Where the tip may be so that neither shank nor holder touches.
fn clear_of_shank(wanted: &Field, cutter: &Cutter, cell: f64) -> Field {
    let mut clear = Field::flat(wanted.size, f64::NEG_INFINITY);
    if cutter.shank > 2.0 * cutter.widest() + 1e-9 {
        let disc = Profile::disc(cutter.shank / 2.0 / cell - 0.5);
        let mut shank = closing::dilated(wanted, &disc);
        shank.values.iter_mut().for_each(|value| *value -= cutter.reach);
        clear.raise_to(&shank);
    }
    let around = highest_within(wanted, cutter.holder / 2.0, cell);
    for (value, around) in clear.values.iter_mut().zip(around.values) {
        *value = value.max(around - cutter.stickout);
    }
    clear
}

/// The highest of `field` within `radius` mm of each cell, to half a millimeter.
pub fn highest_within(field: &Field, radius: f64, cell: f64) -> Field {
    let by = ((HOLDER_CELL_MM / cell) as usize).max(1);
    let pooled = field.pooled(by);
    let disc = Profile::disc(radius / (cell * by as f64));
    let around = closing::dilated(&pooled, &disc);
    Field::from_fn(field.size, |x, y| around.at(x / by, y / by))
}

/// What `cutter` alone leaves of a half that should become `wanted`, shank and holder included, on
/// the tiles of `on`; endless elsewhere.
pub fn alone(wanted: &Field, cutter: &Cutter, cell: f64, on: &Mask) -> Field {
    let edge = Profile::rasterize(&cutter.narrowed(0.5 * cell), cell);
    closing::closed_above(wanted, &edge, &clear_of_shank(wanted, cutter, cell), on)
}

/// Sends the `chosen` ones of the cutters of `list` over each of `bodies`, which together are a half;
/// metal of less than `limit` mm that is left counts as finished. A cutter goes only where no
/// larger one finished.
pub fn run(
    bodies: &Bodies<'_>,
    list: &[Cutter],
    chosen: &[bool],
    cell: f64,
    limit: f64,
) -> Cut {
    let mut whole = one(&bodies.plate, list, chosen, [cell, limit]);
    for body in &bodies.inserts {
        let cut = one(body, list, chosen, [cell, limit]);
        for at in body.cells() {
            whole.cut.values[at] = cut.cut.values[at];
            whole.left.values[at] = cut.left.values[at];
            whole.nearest[at] = cut.nearest[at];
        }
        for (whole, turn) in whole.turns.iter_mut().zip(cut.turns) {
            whole.add(&turn);
        }
    }
    whole
}

/// The same over one body; `cell` and `limit` in mm.
fn one(
    body: &Body<'_>,
    list: &[Cutter],
    chosen: &[bool],
    [cell, limit]: [f64; 2],
) -> Cut {
    let wanted = body.wanted.as_ref();
    let own: Vec<bool> = (0..wanted.values.len()).map(|at| body.owns(at)).collect();
    let top = wanted.greatest();
    let mut state = State {
        wanted,
        cell,
        limit,
        cut: Field::flat(wanted.size, top),
        nearest: vec![0; wanted.values.len()],
        open: own.clone(),
        own,
        slope: slopes(wanted, cell),
    };
    let turn = |(at, (cutter, chosen)): (usize, (&Cutter, &bool))| {
        if *chosen { state.turn(at, cutter) } else { Turn::default() }
    };
    let turns = list.iter().zip(chosen).enumerate().map(turn).collect();
    let State { cut, nearest, own, .. } = state;
    let left = leftover::thickness_on(wanted, &cut, cell, |at| own[at]);
    Cut { cut, left, turns, nearest }
}

struct State<'a> {
    wanted: &'a Field,
    cell: f64,
    limit: f64,
    cut: Field,
    nearest: Vec<u8>,
    /// Whether a cell is its own, and whether no cutter has finished it yet.
    own: Vec<bool>,
    open: Vec<bool>,
    /// Area of the surface over the area of its cell.
    slope: Vec<f64>,
}

impl State<'_> {
    fn turn(&mut self, at: usize, cutter: &Cutter) -> Turn {
        let mut turn = Turn::default();
        let cells: Vec<usize> =
            (0..self.open.len()).filter(|&it| self.open[it]).collect();
        if cells.is_empty() {
            return turn;
        }
        let on = Mask::holding(self.wanted.size, &cells);
        let own = alone(self.wanted, cutter, self.cell, &on);
        let area = self.cell * self.cell;
        for (cell, &own) in own.values.iter().enumerate() {
            let taken = self.cut.values[cell] - own;
            if taken > 0.0 {
                turn.volume += if self.own[cell] { taken * area } else { 0.0 };
                self.cut.values[cell] = own;
            }
            if taken > LOWER_MM {
                self.nearest[cell] = at as u8;
            }
        }
        let thin =
            leftover::thin_at([self.wanted, &self.cut], &cells, self.cell, self.limit);
        // The axis stands within the cutter's radius of what its edge cuts.
        let within = (cutter.holder / 2.0 - cutter.widest()).max(cutter.widest());
        let around = highest_within(self.wanted, within, self.cell);
        for (cell, _) in cells.into_iter().zip(thin).filter(|(_, thin)| *thin) {
            self.open[cell] = false;
            turn.finished += area;
            turn.surface += area * self.slope[cell];
            if usize::from(self.nearest[cell]) == at {
                turn.depth = turn.depth.max(around.values[cell] - own.values[cell]);
            }
        }
        turn
    }
}

/// The surface of each cell over its area: more where it is steep. A step to the next cell
/// is a wall.
pub(super) fn slopes(field: &Field, cell: f64) -> Vec<f64> {
    let [wide, high] = field.size;
    let slope = |at: usize| {
        let [x, y] = field.place(at);
        let along =
            if x + 1 < wide { field.values[at + 1] - field.values[at] } else { 0.0 };
        let up =
            if y + 1 < high { field.values[at + wide] - field.values[at] } else { 0.0 };
        (1.0 + (along * along + up * up) / (cell * cell)).sqrt()
    };
    (0..field.values.len()).map(slope).collect()
}
