//! Where the melt enters: where the user wants it, else where the loss on the way to the
//! hardest corner is least, among points of the parting line around the part that a straight
//! runner reaches from outside (an edge gate needs no third plate).

use rayon::prelude::*;

use crate::fill::cells::Cells;
use crate::fill::gate_search::{self, Choice};
use crate::geom::{Direction, Point};
use crate::mesh::samples::Samples;
use crate::part::Part;
use crate::part::parting::{self, Parting};

/// How many places for the gate are reported.
const BEST: usize = 3;

/// Places for the gate that are compared.
const CANDIDATES: usize = 90;

/// Of the 24 directions of [`parting::free_ways`] so many must be free: a straight edge has
/// about twelve, the corner inside an L about six.
const LEAST_FREE: usize = 5;

/// A place for the gate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GatePlace {
    /// Where, and what speaks for it.
    pub choice: Choice,
    /// Length of weld lines that it leaves on faces that the user marked, mm; `None` where
    /// none is marked.
    pub shown_weld_mm: Option<f64>,
}

impl GatePlace {
    /// What the choice costs; a weld line on a marked face counts as so much more way.
    fn cost(&self) -> f64 {
        let way = self.choice.flow_length_mm.max(f64::MIN_POSITIVE);
        self.choice.cost() * (1.0 + self.shown_weld_mm.unwrap_or(0.0) / way)
    }
}

/// Where the gate stands.
pub struct Chosen {
    /// On the surface, mm.
    pub at: Point,
    /// How far that is from where the user wanted it, mm; `None` when it was chosen.
    pub moved: Option<f64>,
    /// The places that were weighed, best first; empty when the user named one.
    pub choices: Vec<GatePlace>,
}

/// How long the weld lines on marked faces are with a gate there, mm.
pub type ShownWelds<'a> = &'a (dyn Fn(&Point) -> f64 + Sync);

/// The gate that the user wants, moved onto the surface, or the best one on the parting line
/// around the part, which opens along `pull`.
pub fn choose(
    part: &Part,
    parting: &Parting,
    pull: Direction,
    cells: &Cells,
    wanted: Option<Point>,
    shown: Option<ShownWelds<'_>>,
) -> Chosen {
    if let Some(wanted) = wanted {
        let near = part.bvh.nearest(&wanted, f64::INFINITY);
        let at = near.map_or(wanted, |near| near.point);
        let moved = Some(nalgebra::distance(&at, &wanted));
        return Chosen { at, moved, choices: Vec::new() };
    }
    let length: f64 = parting.outer().map(|line| line.length).sum();
    let mut candidates = parting.places(length / CANDIDATES as f64);
    let reached = candidates.iter().copied().filter(|at| is_open(part, pull, at));
    let reached: Vec<Point> = reached.collect();
    if !reached.is_empty() {
        candidates = reached;
    }
    if candidates.is_empty() {
        candidates = Samples::spread(&part.mesh, &part.bvh, CANDIDATES).points;
    }
    let most = if shown.is_some() { 2 * BEST } else { BEST };
    let choices = gate_search::best(cells, &candidates, most);
    let weighed = choices.into_par_iter().map(|choice| {
        let shown_weld_mm = shown.map(|shown| shown(&choice.at));
        GatePlace { choice, shown_weld_mm }
    });
    let mut choices: Vec<GatePlace> = weighed.collect();
    // Stable: of equals the easier one leads.
    choices.sort_by(|a, b| a.cost().total_cmp(&b.cost()));
    choices.truncate(BEST);
    let first = choices.first().map(|place| place.choice.at);
    let at = first.unwrap_or_else(|| cells.middle(0));
    Chosen { at, moved: None, choices }
}

/// Whether straight runners reach a place of the parting line from outside: not from a few
/// directions only, as inside a clip.
fn is_open(part: &Part, pull: Direction, at: &Point) -> bool {
    parting::free_ways(part, pull, at) >= LEAST_FREE
}
