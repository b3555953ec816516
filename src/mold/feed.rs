//! Where sprue, runner and gate lie, and what they hollow out.
//!
//! The gate stands on the line around the part and leaves it at a right angle, or as near to
//! that as plastic in the way allows. The runner is a full round with round ends, half in
//! each plate; the sprue comes through the cavity half, the well for the cold slug lies
//! opposite in the core half. A sprue that lies in the parting line runs from the gate to the
//! wall of the block; one that stands on the part has no gate of its own. What each piece takes
//! of the metal is in [`crate::mold::feed_cuts`].

use crate::geom::Point;
use crate::mold::cavities::Star;
use crate::mold::clearance::PartingFace;
use crate::mold::point_in_plastic::Inside;
use crate::part::halves::Half;
use crate::process::feed::layout::FeedLayout;
use crate::process::feed::{Feed, RunnerSection};
use crate::units::in_mm;

/// How far off a right angle the runner may leave, and in which steps, degrees.
const TURNS_DEG: [f64; 11] =
    [0.0, 15.0, -15.0, 30.0, -30.0, 45.0, -45.0, 60.0, -60.0, 75.0, -75.0];

/// Metal between runner and part, mm: 3, thin enough to keep the plate small, thick enough
/// not to break out under the cutter (judgment).
pub const BESIDE_MM: f64 = 3.0;

/// Metal between two cavities at the least, mm: 5, more than between other cuts, because melt
/// presses on both sides (judgment).
pub const APART_MM: f64 = 5.0;

/// So many corners of a line around the part are held against the other cavities.
const MOST_CORNERS: usize = 400;

/// The gate reaches into the plastic by this beyond where the wall is behind it, mm.
pub const INTO_MM: f64 = 0.4;

/// Where the feed lies, in the axes of the mold.
#[derive(Clone, Copy, Debug)]
pub struct Way {
    /// Where the gate meets the part.
    pub gate: Point,
    /// How far that is from where it was wanted first, mm.
    pub moved: f64,
    /// Away from the part, across the pull.
    pub way: [f64; 2],
    /// Middle of the sprue.
    pub sprue: [f64; 2],
    /// Middle of the ball at the end of the runner by the gate; that of the sprue without
    /// a runner.
    pub runner_end: [f64; 2],
    /// The half that the gate is cut into.
    pub half: Half,
    /// How far the gate begins in the plastic, so that it meets a wall whole that is curved or
    /// stands askew, mm.
    pub into: f64,
    /// How far the gate reaches beyond the parting plane, mm, so that no film of metal stays
    /// there: nothing where the lines around the part lie at one height.
    pub over: f64,
}

/// Why there is no way for the feed.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoWay {
    /// No line runs around the part.
    #[error("no line runs around the part that a gate could stand on")]
    NoLine,
    /// The sprue does not meet the part from outside.
    #[error(
        "no sprue can stand on the part here: it needs a flat face of the cavity half; leave out --gate or choose --feed-layout edge"
    )]
    NoFace,
    /// Several cavities in each other's way.
    #[error(
        "with {0:.1} mm from sprue to gate the cavities come nearer than {APART_MM} mm to each other: name another place with --gate, or a longer runner with --runner-length"
    )]
    Crowded(f64),
    /// Plastic in the way.
    #[error(
        "gate and runner, {0:.1} mm long, find no way past the part: name another place with --gate or a shorter one with --runner-length"
    )]
    Blocked(f64),
}

/// Measures of a feed, mm.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sizes {
    /// Land, width, depth.
    pub(super) gate: [f64; 3],
    /// Diameter, length.
    pub(super) runner: Option<[f64; 2]>,
    /// Width in the parting plane and at the floor of a runner that is a trapezoid.
    pub(super) trapezoid: Option<[f64; 2]>,
    /// Diameters at the nozzle and at the foot.
    pub(super) sprue: [f64; 2],
    pub(super) sprue_length: f64,
    /// Diameter, length.
    pub(super) well: [f64; 2],
    pub(super) counterbore: f64,
}

impl Sizes {
    pub(super) fn from_feed(feed: &Feed) -> Self {
        let runner =
            feed.runner.map(|runner| [in_mm(runner.diameter), in_mm(runner.length)]);
        let trapezoid =
            feed.runner.filter(|runner| runner.section == RunnerSection::Trapezoid);
        Self {
            trapezoid: trapezoid.map(|runner| runner.widths().map(in_mm)),
            gate: [in_mm(feed.gate.land), in_mm(feed.gate.width), in_mm(feed.gate.depth)],
            runner,
            sprue: [in_mm(feed.sprue.inlet), in_mm(feed.sprue.foot)],
            sprue_length: in_mm(feed.sprue.length),
            counterbore: in_mm(feed.counterbore),
            well: [in_mm(feed.well.diameter), in_mm(feed.well.length)],
        }
    }

    /// From the part to the middle of the sprue.
    fn reach(&self) -> f64 {
        let [land, ..] = self.gate;
        land + self.runner.map_or(self.sprue[1] / 2.0, |[_, length]| length)
    }

    /// Half the width of the runner, or of the foot of a sprue at the gate.
    fn beside(&self) -> f64 {
        self.wide() / 2.0
    }

    /// Width of the runner in the parting plane, or of the foot of a sprue at the gate.
    fn wide(&self) -> f64 {
        let round = self.runner.map_or(self.sprue[1], |[diameter, _]| diameter);
        self.trapezoid.map_or(round, |[top, _]| top)
    }

    /// Half the width of the widest piece that runs across the pull.
    pub(super) fn half_width(&self) -> f64 {
        self.wide().max(self.gate[1]) / 2.0
    }
}

/// Where the end of a gate is looked at: this far inside the line, mm, and at these shares of
/// its depth.
const INWARD_MM: [f64; 3] = [0.05, INTO_MM / 2.0, INTO_MM];
const HEIGHTS: [f64; 4] = [0.1, 0.35, 0.65, 0.9];

/// A gate opens well where this share of the points tested lies in the plastic.
const OPENS_WELL: f64 = 0.5;

/// The way from the place on `outer` that is nearest to the first of `wanted` from which one
/// leads out and where the gate opens well; else from where it opens widest. `core` is the half
/// that keeps the part: the gate goes there when the part does.
///
/// # Errors
/// When no way leads out.
pub fn way(
    feed: &Feed,
    outer: &[Vec<Point>],
    wanted: &[Point],
    inside: &Inside,
    core: Half,
) -> Result<Way, NoWay> {
    // The part itself, but for what lies right at the gate.
    let parting_face = PartingFace::new([[0.0; 2]; 2], outer);
    let (sizes, layout) = (Sizes::from_feed(feed), feed.layout);
    let cavities = feed.cavities;
    let site = Site { sizes, layout, cavities, outer, parting_face, inside, core };
    let first = wanted.first().ok_or(NoWay::NoLine)?;
    if layout == FeedLayout::Direct {
        return site.locate_on_face(first);
    }
    let mut widest: Option<(f64, Way)> = None;
    let mut refused = None;
    for at in wanted {
        match site.way(at) {
            Ok((opens, way)) => {
                if widest.as_ref().is_none_or(|(most, _)| opens > *most) {
                    widest = Some((opens, way));
                }
                if opens >= OPENS_WELL {
                    break;
                }
            }
            Err(why) => {
                refused.get_or_insert(why);
            }
        }
    }
    let (_, way) = widest.ok_or(refused.unwrap_or(NoWay::NoLine))?;
    Ok(Way { moved: nalgebra::distance(&way.gate, first), ..way })
}

/// Where a feed is to lie.
struct Site<'a> {
    sizes: Sizes,
    layout: FeedLayout,
    cavities: u32,
    outer: &'a [Vec<Point>],
    parting_face: PartingFace,
    inside: &'a Inside,
    core: Half,
}

impl Site<'_> {
    /// The way from the place nearest to `wanted`, and the share of its gate that opens.
    fn way(&self, wanted: &Point) -> Result<(f64, Way), NoWay> {
        let (sizes, core) = (&self.sizes, self.core);
        let (gate, normal) = nearest(self.outer, wanted).ok_or(NoWay::NoLine)?;
        let at = [gate.x, gate.y];
        let land = sizes.gate[0];
        let reach = sizes.reach();
        let free = TURNS_DEG.iter().map(|turn| turned(normal, *turn)).find(|way| {
            let place = |along: f64| [at[0] + way[0] * along, at[1] + way[1] * along];
            let wide =
                if sizes.runner.is_some() { sizes.half_width() } else { sizes.beside() };
            let start = (land + wide).min(reach);
            let metal = self.parting_face.metal_along(place(start), place(reach), wide);
            metal >= land.min(BESIDE_MM) * 0.9
                && self.parting_face.metal(place(reach), sizes.sprue[1] / 2.0)
                    >= 0.9 * land
                && (self.layout != FeedLayout::Split || self.leads_out(&place))
                && self.keeps_apart(place(reach), place((land + wide).min(reach)))
        });
        let blocked =
            if self.cavities > 1 { NoWay::Crowded(reach) } else { NoWay::Blocked(reach) };
        let way = free.ok_or(blocked)?;
        let place = |along: f64| [at[0] + way[0] * along, at[1] + way[1] * along];
        let [own, opposite] =
            [core, core.other()].map(|half| self.opens(&gate, way, half));
        let half = if own >= opposite { core } else { core.other() };
        let runner_end =
            place(sizes.runner.map_or(reach, |[d, _]| (land + d / 2.0).min(reach)));
        let way = Way {
            gate,
            moved: 0.0,
            way,
            sprue: place(reach),
            runner_end,
            half,
            into: INTO_MM + self.parting_face.recedes(at, way, sizes.gate[1]),
            over: over(self.outer),
        };
        Ok((own.max(opposite), way))
    }

    /// Whether a sprue in the parting line, and the nozzle behind it, pass the part.
    fn leads_out(&self, place: &dyn Fn(f64) -> [f64; 2]) -> bool {
        let sizes = &self.sizes;
        let [start, end] = [0.0, sizes.sprue_length].map(|more| sizes.reach() + more);
        let metal = |from: f64, to: f64, radius: f64| {
            self.parting_face.metal_along(place(from), place(to), radius)
        };
        metal(start, end, sizes.sprue[1] / 2.0) >= 0.9 * sizes.gate[0]
            && metal(end, end + sizes.counterbore, sizes.counterbore / 2.0) >= BESIDE_MM
    }

    /// Whether the cavities around a sprue here keep metal between each other and beside the
    /// runners of the others, each of which ends like this one, at `end`.
    fn keeps_apart(&self, about: [f64; 2], end: [f64; 2]) -> bool {
        let star = Star { count: self.cavities, about };
        let wide = self.sizes.half_width();
        star.turns().skip(1).all(|turn| {
            let runner = self.parting_face.metal_along(about, turn.place(end), wide);
            let corners = self.outer.iter().map(Vec::len).sum::<usize>();
            let edges = self.outer.iter().flatten().step_by(1 + corners / MOST_CORNERS);
            runner >= 0.9 * BESIDE_MM
                && edges
                    .map(|at| turn.place([at.x, at.y]))
                    .all(|at| self.parting_face.metal(at, 0.0) >= APART_MM)
        })
    }

    /// A sprue that stands on the part.
    fn locate_on_face(&self, at: &Point) -> Result<Way, NoWay> {
        let cavity = self.core.other();
        let out = if cavity == Half::Plus { 1.0 } else { -1.0 };
        let probe = |off: f64| Point::new(at.x, at.y, at.z + out * off);
        if !self.inside.holds(&probe(-INTO_MM / 2.0))
            || self.inside.holds(&probe(INTO_MM))
        {
            return Err(NoWay::NoFace);
        }
        let sprue = [at.x, at.y];
        let (way, runner_end, moved, into, over) = ([1.0, 0.0], sprue, 0.0, 0.0, 0.0);
        Ok(Way { gate: *at, moved, way, sprue, runner_end, half: cavity, into, over })
    }

    /// The share of the end of a gate in `half` that lies in the plastic. A rim may lean or be
    /// rounded: what counts is the plastic that it meets.
    fn opens(&self, gate: &Point, way: [f64; 2], half: Half) -> f64 {
        let depth = self.sizes.gate[2];
        let up = if half == Half::Plus { depth } else { -depth };
        let probes = INWARD_MM.into_iter().flat_map(|inward| {
            HEIGHTS.map(|height| {
                let [x, y] = [gate.x - way[0] * inward, gate.y - way[1] * inward];
                Point::new(x, y, gate.z + up * height)
            })
        });
        let met = probes.filter(|probe| self.inside.holds(probe)).count();
        met as f64 / (INWARD_MM.len() * HEIGHTS.len()) as f64
    }
}

/// Heights that differ by less than this are rounded, mm.
const ROUNDED_MM: f64 = 0.01;

/// The gate reaches beyond the parting plane by this where the lines around the part rise and
/// fall, mm.
const OVER_MM: f64 = 0.01;

/// And by this at least where they are only rounded, mm: what single precision still tells in a
/// file.
pub const OVER_ROUNDED_MM: f64 = 0.002;

/// How far the gate reaches beyond the parting plane.
fn over(outer: &[Vec<Point>]) -> f64 {
    let start = [f64::INFINITY, f64::NEG_INFINITY];
    let [low, high] = outer
        .iter()
        .flatten()
        .fold(start, |[low, high], point| [low.min(point.z), high.max(point.z)]);
    match high - low {
        // However little it is: a film may be thinner than any number in a file tells.
        0.0 => 0.0,
        off if off < ROUNDED_MM => OVER_ROUNDED_MM.max(2.0 * off),
        _ => OVER_MM,
    }
}

/// The place on the rings nearest to `wanted`, and the direction across the pull that leads
/// away from the part there.
fn nearest(outer: &[Vec<Point>], wanted: &Point) -> Option<(Point, [f64; 2])> {
    let mut best: Option<(f64, Point, [f64; 2])> = None;
    for ring in outer {
        for (from, to) in ring.iter().zip(ring.iter().cycle().skip(1)) {
            let along = to - from;
            let flat = along.x.hypot(along.y);
            if flat < 1e-6 {
                continue;
            }
            let share = (wanted - from).dot(&along) / along.norm_squared();
            let at = from + along * share.clamp(0.0, 1.0);
            let far = nalgebra::distance(&at, wanted);
            // The skin lies on the left, so the block lies on the right.
            let normal = [along.y / flat, -along.x / flat];
            match &mut best {
                Some((least, _, own)) if (far - *least).abs() < 1e-6 => {
                    // A corner: halfway between its edges.
                    *own = [own[0] + normal[0], own[1] + normal[1]];
                }
                Some((least, ..)) if far > *least => {}
                _ => best = Some((far, at, normal)),
            }
        }
    }
    best.map(|(_, at, [x, y])| {
        let length = x.hypot(y);
        (at, if length > 1e-9 { [x / length, y / length] } else { [1.0, 0.0] })
    })
}

fn turned([x, y]: [f64; 2], degrees: f64) -> [f64; 2] {
    let (sin, cos) = degrees.to_radians().sin_cos();
    [x * cos - y * sin, x * sin + y * cos]
}
