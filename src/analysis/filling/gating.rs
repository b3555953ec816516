//! Where the melt enters, and where the parting line lets the air out.

use rayon::prelude::*;

use crate::analysis::filling::{FillCase, GatePlace, VentPlace};
use crate::fill::cells::Cells;
use crate::fill::gate::Gate;
use crate::fill::gate_search;
use crate::geom::{Direction, Frame, Point};
use crate::mesh::samples::Samples;
use crate::part::parting::Parting;
use crate::process::feed::{self, vents};
use crate::units::in_mm;

/// How many places for the gate are reported.
const BEST: usize = 3;

/// Places for the gate that are compared.
const CANDIDATES: usize = 90;

/// Directions across the pull from which a runner may come.
const LOOKS: u32 = 24;

/// Of these so many must be free: a straight edge has about twelve, the corner inside an L about six.
const LEAST_FREE: usize = 5;

/// Looks start so far from the edge, as a share of the diagonal: facets wobble.
const SIDEWAYS_OFF: f64 = 1e-4;

/// Where the gate stands.
pub(super) struct Place {
    pub(super) at: Point,
    pub(super) moved: Option<f64>,
    pub(super) choices: Vec<GatePlace>,
}

/// How long the weld lines on marked faces are with a gate there, mm.
pub(super) type ShownWelds<'a> = &'a (dyn Fn(&Point) -> f64 + Sync);

/// The gate that the user wants, moved onto the surface, or the best one.
pub(super) fn place(
    input: FillCase<'_>,
    cells: &Cells,
    wanted: Option<Point>,
    shown: Option<ShownWelds<'_>>,
) -> Place {
    if let Some(wanted) = wanted {
        let near = input.bvh.nearest(&wanted, f64::INFINITY);
        let at = near.map_or(wanted, |near| near.point);
        let moved = Some(nalgebra::distance(&at, &wanted));
        return Place { at, moved, choices: Vec::new() };
    }
    let length: f64 = input.parting.outer().map(|line| line.length).sum();
    let mut candidates = along(input.parting, length / CANDIDATES as f64);
    let reached = candidates.iter().copied().filter(|at| is_open(input, at));
    let reached: Vec<Point> = reached.collect();
    if !reached.is_empty() {
        candidates = reached;
    }
    if candidates.is_empty() {
        candidates = Samples::spread(input.mesh, input.bvh, CANDIDATES).points;
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
    Place { at, moved: None, choices }
}

/// Where vents for this air belong: the nearest place of the parting line, one where several
/// would overlap.
pub(super) fn vents(
    input: FillCase<'_>,
    cells: &Cells,
    air: impl Iterator<Item = (Point, f64)>,
) -> Vec<VentPlace> {
    let line = along(input.parting, cells.edge_mm() / 2.0);
    let mut places: Vec<VentPlace> = Vec::new();
    for (last, air_mm3) in air {
        let away = |at: &&Point| nalgebra::distance_squared(*at, &last);
        let near = line.iter().min_by(|a, b| away(a).total_cmp(&away(b)));
        let Some(&at) = near else { continue };
        let beside =
            |place: &&mut VentPlace| nalgebra::distance(&place.at, &at) < vents::WIDTH_MM;
        match places.iter_mut().find(beside) {
            Some(place) => place.air_mm3 += air_mm3,
            None => {
                let opens = free_ways(input, &at) > 0;
                places.push(VentPlace { at, air_mm3, opens });
            }
        }
    }
    places
}

/// Whether straight runners reach a place of the parting line from outside: not from a few
/// directions only, as inside a clip.
fn is_open(input: FillCase<'_>, at: &Point) -> bool {
    free_ways(input, at) >= LEAST_FREE
}

/// Directions across the pull in which nothing of the part lies before a place.
fn free_ways(input: FillCase<'_>, at: &Point) -> usize {
    let frame = Frame::along(input.pull);
    let off = SIDEWAYS_OFF * input.bvh.diagonal();
    let free = (0..LOOKS).filter(|&look| {
        let angle = std::f64::consts::TAU * f64::from(look) / f64::from(LOOKS);
        let way = frame.across(angle);
        let start = at + way * off;
        Direction::new(way).is_some_and(|way| !input.bvh.is_hit(&start, way))
    });
    free.count()
}

/// The gate of a feed at this place. Wide ones count as round ones of the same area: how
/// they lie is not known.
pub(super) fn shape(at: Point, gate: &feed::Gate) -> Gate {
    let area = in_mm(gate.depth) * in_mm(gate.width);
    Gate::round(at, (area / std::f64::consts::PI).sqrt())
}

/// Whether the parting line around the part touches each cell.
pub(super) fn vented(cells: &Cells, parting: &Parting) -> Vec<bool> {
    let mut vented = vec![false; cells.len()];
    for at in along(parting, cells.edge_mm() / 2.0) {
        if let Some(cell) = vented.get_mut(cells.nearest(&at)) {
            *cell = true;
        }
    }
    vented
}

/// Points on the lines around the part, about `step` apart.
fn along(parting: &Parting, step: f64) -> Vec<Point> {
    let mut points = Vec::new();
    for line in parting.outer() {
        let corners = line.closed();
        // What is left of the step when a corner is passed.
        let mut next = 0.0;
        for (from, to) in corners.iter().zip(corners.iter().skip(1)) {
            let length = nalgebra::distance(from, to);
            while step > 0.0 && next < length {
                points.push(from + (to - from) * (next / length));
                next += step;
            }
            next -= length;
        }
    }
    points
}
