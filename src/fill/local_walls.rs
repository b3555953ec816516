//! How thick the wall is around each cell, and whether it is a wall or a rod.
//!
//! **Thickness** is the diameter of the largest ball inside the part that contains the
//! cell (Hildebrand & Rüegsegger, *J. Microscopy* 185, 1997). Each cell proposes the
//! largest ball that touches its nearest surface point: exact, however few cells lie
//! across the wall. The balls are painted into the cells, largest first. A ball held by
//! the two sides of a convex edge says nothing of a wall: a cell that no other ball has
//! reached climbs away from the edge until its ball no longer grows.
//!
//! **Section** is a number from 1 to 2: a flat gap grows in one direction away from its
//! middle, a round rod in two. It is read from how much plastic lies within twice the
//! radius around the middle of the ball: 69 % in a flat wall, 35 % in a rod. Walls that
//! end or rods that are square lie between. Near either end it counts as that end, so
//! that a coarse grid still finds a wall a wall; in between the slope is such that a
//! square bore conducts as it should.

use rayon::prelude::*;

use super::fractions::Fractions;
use crate::geom::{Direction, Point, Vector};
use crate::mesh::{TriMesh, bvh::Bvh};
use crate::part::inscribed_ball::{Inscribed, Shrink};
use crate::part::thickness::ACROSS;

/// Steps of the section between wall and rod.
pub(super) const SECTIONS: usize = 17;

/// A ball is done when nothing lies deeper inside it than this share of its radius.
const SETTLED: f64 = 1e-3;

/// Each climb at least halves its step or grows its ball.
const CLIMBS: usize = 16;

/// Balls with their middles closer than this share of the larger radius are one ball.
const SAME: f64 = 0.25;

/// A ball smaller than this share of a cell is no wall but two facets that touch.
const LEAST: f64 = 0.05;

/// Steps along a radius when plastic around a ball is weighed.
const GRAIN: f64 = 3.0;

const NONE: u32 = u32::MAX;

/// What is around each cell.
pub(super) struct Walls {
    /// Thickness, mm.
    pub(super) wall_mm: Vec<f64>,
    /// Section: 0 a wall, [`SECTIONS`] − 1 a rod.
    pub(super) section: Vec<u8>,
}

#[derive(Clone, Copy)]
struct Ball {
    middle: Point,
    radius: f64,
    /// Held by a convex edge.
    at_edge: bool,
    /// Away from what holds it, of unit length.
    rises: Vector,
}

impl Ball {
    fn new(shrink: &Shrink, found: Inscribed) -> Self {
        let to_middle = shrink.inward * found.radius;
        let middle = shrink.point + to_middle;
        let rises = (middle - shrink.point) + (middle - found.contact);
        let rises = rises.try_normalize(1e-6 * found.radius).unwrap_or_default();
        Self { middle, radius: found.radius, at_edge: found.angle < ACROSS, rises }
    }
}

/// Finds the wall around every cell of `mesh`.
pub(super) fn measure(fractions: &Fractions, mesh: &TriMesh, bvh: &Bvh) -> Walls {
    let grid = &fractions.grid;
    let own: Vec<Ball> = (0..grid.cells.len())
        .into_par_iter()
        .map(|cell| largest(mesh, bvh, &grid.middle(cell), grid.lattice.edge_mm))
        .collect();
    let (owner, same) = (vec![NONE; own.len()], vec![NONE; own.len()]);
    let mut painting = Painting { fractions, own, balls: Vec::new(), owner, same };
    painting.paint((0..grid.cells.len()).filter(|&c| !painting.own[c].at_edge).collect());
    let left: Vec<usize> =
        (0..grid.cells.len()).filter(|&c| painting.owner[c] == NONE).collect();
    let climbed: Vec<Ball> = left
        .par_iter()
        .map(|&cell| climb(mesh, bvh, painting.own[cell], grid.lattice.edge_mm))
        .collect();
    for (&cell, ball) in left.iter().zip(climbed) {
        painting.own[cell] = ball;
    }
    painting.paint(left);
    painting.walls()
}

/// Follows the ball away from the edge that holds it for as long as it grows.
fn climb(mesh: &TriMesh, bvh: &Bvh, start: Ball, edge_mm: f64) -> Ball {
    let (mut best, mut step) = (start, (0.95 * start.radius).max(0.25 * edge_mm));
    for _ in 0..CLIMBS {
        if !best.at_edge || step < 0.02 * best.radius {
            break;
        }
        let next = largest(mesh, bvh, &(best.middle + best.rises * step), edge_mm);
        if next.radius > 1.001 * best.radius {
            (best, step) = (next, 0.95 * next.radius);
        } else {
            step *= 0.5;
        }
    }
    best
}

/// The largest ball inside that touches the surface point nearest to `cell`.
fn largest(mesh: &TriMesh, bvh: &Bvh, cell: &Point, edge_mm: f64) -> Ball {
    let none = Ball {
        middle: *cell,
        radius: 0.5 * edge_mm,
        at_edge: true,
        rises: Vector::zeros(),
    };
    let Some(near) = bvh.nearest(cell, 2.0 * bvh.diagonal() + edge_mm) else {
        return none;
    };
    let outward = mesh.normals()[near.facet as usize];
    let away = cell - near.point;
    let is_inside = away.dot(&outward) < 0.0;
    let to_middle =
        if is_inside && near.distance > 1e-3 * edge_mm { away } else { -outward };
    let Some(inward) = Direction::new(to_middle) else { return none };
    let least = if is_inside { near.distance } else { 0.0 };
    let hit = bvh.first_hit(&near.point, inward, bvh.diagonal() * 1e-5);
    let Some(hit) = hit else { return Ball { radius: near.distance, ..none } };
    let shrink = Shrink {
        point: near.point,
        inward: inward.vector(),
        start: hit.distance / 2.0,
        least,
        settled: SETTLED,
    };
    let ball = Ball::new(&shrink, shrink.run(bvh, |_| true));
    if ball.radius < LEAST * edge_mm {
        // On an edge itself: the climb starts there.
        let radius = LEAST * edge_mm;
        return Ball {
            middle: near.point,
            radius,
            at_edge: true,
            rises: inward.vector(),
        };
    }
    ball
}

struct Painting<'a> {
    fractions: &'a Fractions,
    /// The ball that each cell proposes.
    own: Vec<Ball>,
    /// Balls that were painted.
    balls: Vec<Ball>,
    /// The painted ball that each cell belongs to.
    owner: Vec<u32>,
    /// The painted ball that a ball with its middle in this cell is the same as.
    same: Vec<u32>,
}

impl Painting<'_> {
    /// Paints the balls of the cells `order`, largest first; one that is nearly painted
    /// already only lends its cell to that.
    fn paint(&mut self, mut order: Vec<usize>) {
        order.sort_by(|&a, &b| {
            self.own[b].radius.total_cmp(&self.own[a].radius).then(a.cmp(&b))
        });
        for cell in order {
            let ball = self.own[cell];
            let home = self.home(&ball);
            let same = home.map(|home| self.same[home]).filter(|&name| name != NONE);
            let name = same.unwrap_or_else(|| self.keep(ball, home));
            if self.owner[cell] == NONE {
                self.owner[cell] = name;
            }
        }
    }

    /// The cell that the middle of `ball` lies in.
    fn home(&self, ball: &Ball) -> Option<usize> {
        let grid = &self.fractions.grid;
        let at = grid.lattice.in_cells(&ball.middle).map(f64::floor);
        let inside = at.min() >= 0.0;
        inside.then(|| grid.find([at.x, at.y, at.z].map(|c| c as usize))).flatten()
    }

    /// Paints `ball` into the cells that no larger one holds.
    fn keep(&mut self, ball: Ball, home: Option<usize>) -> u32 {
        let name = self.balls.len() as u32;
        self.balls.push(ball);
        let Self { fractions, owner, same, .. } = self;
        let mut mark = |inside: usize| {
            if same[inside] == NONE {
                same[inside] = name;
            }
        };
        fractions.grid.within(&ball.middle, SAME * ball.radius, 1, &mut mark);
        home.into_iter().for_each(mark);
        let mut paint = |inside: usize| {
            if owner[inside] == NONE {
                owner[inside] = name;
            }
        };
        fractions.grid.within(&ball.middle, ball.radius, 1, &mut paint);
        home.into_iter().for_each(paint);
        name
    }

    fn walls(&self) -> Walls {
        let sections: Vec<u8> =
            self.balls.par_iter().map(|ball| section(self.fractions, ball)).collect();
        let wall = |cell: usize| {
            let painted = self.balls[self.owner[cell] as usize].radius;
            let own = self.own[cell];
            2.0 * if own.at_edge { painted } else { painted.max(own.radius) }
        };
        Walls {
            wall_mm: (0..self.owner.len()).map(wall).collect(),
            section: self.owner.iter().map(|&ball| sections[ball as usize]).collect(),
        }
    }
}

/// Whether `ball` lies in a wall, a rod or between.
fn section(fractions: &Fractions, ball: &Ball) -> u8 {
    let grid = &fractions.grid;
    let edge = grid.lattice.edge_mm;
    // In a wall of less than two cells the look goes farther than twice the radius.
    let ratio = (2.0 * edge / ball.radius).max(2.0);
    let reach = ratio * ball.radius;
    let stride = ((ball.radius / (GRAIN * edge)) as usize).max(1);
    let grain = edge * stride as f64;
    let mut plastic = 0.0;
    grid.within(&ball.middle, reach + 0.5 * grain, stride, &mut |cell| {
        let away = (grid.middle(cell) - ball.middle).norm();
        let inside = ((reach - away) / grain + 0.5).clamp(0.0, 1.0);
        plastic += inside * f64::from(fractions.share[cell]);
    });
    let whole = 4.0 / 3.0 * std::f64::consts::PI * reach.powi(3);
    let seen = plastic * grain.powi(3) / whole;
    // Plane gap and round bore through the middle of the larger ball, in closed form.
    let flat = (1.5 * ratio * ratio - 0.5) / ratio.powi(3);
    let round = 1.0 - (1.0 - 1.0 / (ratio * ratio)).powf(1.5);
    let turn = ((flat - seen) / (flat - round) - 0.2) / 0.65;
    (turn.clamp(0.0, 1.0) * (SECTIONS - 1) as f64).round() as u8
}
