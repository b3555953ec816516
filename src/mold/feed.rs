//! Where sprue, runner and gate lie, and what they hollow out.
//!
//! The gate stands on the line around the part and leaves it at a right angle, or as near to
//! that as plastic in the way allows. The runner is a full round with round ends, half in
//! each plate; the sprue comes through the cavity half, the well for the cold slug lies
//! opposite in the core half.

use crate::geom::Point;
use crate::mold::clearance::PartingFace;
use crate::mold::cut_feature::{Cut, Kind};
use crate::mold::point_in_plastic::Inside;
use crate::mold::primitives;
use crate::part::halves::Half;
use crate::process::feed::Feed;
use crate::units::{format::four_digits, in_mm};

/// How far off a right angle the runner may leave, and in which steps, degrees.
const TURNS_DEG: [f64; 11] =
    [0.0, 15.0, -15.0, 30.0, -30.0, 45.0, -45.0, 60.0, -60.0, 75.0, -75.0];

/// Metal between runner and part, mm: 3, thin enough to keep the plate small, thick enough
/// not to break out under the cutter (judgement).
pub const BESIDE_MM: f64 = 3.0;

/// The gate reaches into the plastic by this, mm, so that it meets a curved wall whole.
pub const INTO_MM: f64 = 0.4;

/// Depth of the seat for the nozzle in the outer face, mm (common practice: 1 to 3; the
/// shallow end keeps the sprue long enough to be gripped).
pub const SEAT_MM: f64 = 1.0;

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
    /// Plastic in the way.
    #[error(
        "gate and runner, {0:.1} mm long, find no way past the part: name another place with --gate or a shorter one with --runner-length"
    )]
    Blocked(f64),
}

/// Measures of a feed, mm.
#[derive(Clone, Copy, Debug)]
struct Sizes {
    gate: [f64; 3],
    runner: Option<[f64; 2]>,
    sprue: [f64; 2],
    well: [f64; 2],
}

impl Sizes {
    fn from_feed(feed: &Feed) -> Self {
        let runner =
            feed.runner.map(|runner| [in_mm(runner.diameter), in_mm(runner.length)]);
        Self {
            gate: [in_mm(feed.gate.land), in_mm(feed.gate.width), in_mm(feed.gate.depth)],
            runner,
            sprue: [in_mm(feed.sprue.inlet), in_mm(feed.sprue.foot)],
            well: [in_mm(feed.well.diameter), in_mm(feed.well.length)],
        }
    }

    /// From the part to the middle of the sprue.
    fn reach(&self) -> f64 {
        let [land, ..] = self.gate;
        land + self.runner.map_or(self.sprue[1] / 2.0, |[_, length]| length)
    }

    /// Half the width of the widest piece that runs across the pull.
    fn half_width(&self) -> f64 {
        self.runner.map_or(self.sprue[1], |[diameter, _]| diameter).max(self.gate[1])
            / 2.0
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
    let site = Site { sizes: Sizes::from_feed(feed), outer, parting_face, inside, core };
    let first = wanted.first().ok_or(NoWay::NoLine)?;
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
            let start = (land + sizes.half_width()).min(reach);
            let metal = self.parting_face.metal_along(
                place(start),
                place(reach),
                sizes.half_width(),
            );
            metal >= land.min(BESIDE_MM) * 0.9
                && self.parting_face.metal(place(reach), sizes.sprue[1] / 2.0)
                    >= 0.9 * land
        });
        let way = free.ok_or(NoWay::Blocked(reach))?;
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
            over: over(self.outer),
        };
        Ok((own.max(opposite), way))
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
/// fall, and by the second at least where they are only rounded, mm: what single precision
/// still tells in a file.
const OVER_MM: [f64; 2] = [0.01, 0.002];

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
        off if off < ROUNDED_MM => OVER_MM[1].max(2.0 * off),
        _ => OVER_MM[0],
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

impl Way {
    /// What the feed takes of the parting face, for bounds and as obstacles: the middle of
    /// the sprue, that of the gate, and half the width around them.
    pub fn taken(&self, feed: &Feed) -> ([f64; 2], [f64; 2], f64) {
        let sizes = Sizes::from_feed(feed);
        let round = self.sprue_radius(feed);
        (self.sprue, [self.gate.x, self.gate.y], round.max(sizes.half_width()))
    }

    /// Radius of the widest round piece around the sprue.
    pub fn sprue_radius(&self, feed: &Feed) -> f64 {
        let sizes = Sizes::from_feed(feed);
        let seat = feed
            .nozzle
            .as_ref()
            .and_then(|nozzle| nozzle.seat_diameter)
            .map_or(0.0, in_mm);
        sizes.sprue[1].max(sizes.well[0]).max(seat) / 2.0
    }

    /// The pieces of the feed and the seat, in a block of these spans.
    pub fn cuts(&self, feed: &Feed, core: Half, block: [[f64; 2]; 3]) -> Vec<Cut> {
        let sizes = Sizes::from_feed(feed);
        let z = self.gate.z;
        let mut cuts = if feed.sprue_split {
            vec![self.split_sprue(&sizes, core, block)]
        } else {
            self.upright(feed, core, block[2])
        };
        if let Some([diameter, _]) = sizes.runner {
            let solid = primitives::groove(self.sprue, self.runner_end, diameter, z);
            let cut = Cut::new(Kind::Runner, core.other(), self.sprue, solid);
            let cut = cut.to(self.runner_end).sized(diameter, diameter / 2.0);
            let text = format!(
                "ball cutter of {} mm, half in each plate",
                four_digits(diameter)
            );
            cuts.push(cut.noted(text));
        }
        cuts.push(self.gate(&sizes));
        cuts
    }

    /// A sprue in the parting face, from the wall of the block to the runner.
    fn split_sprue(&self, sizes: &Sizes, core: Half, block: [[f64; 2]; 3]) -> Cut {
        let [inlet, foot] = sizes.sprue;
        let reach = (0..2).map(|axis| {
            let wall = block[axis][usize::from(self.way[axis] > 0.0)];
            let way = self.way[axis];
            if way.abs() < 1e-9 { f64::INFINITY } else { (wall - self.sprue[axis]) / way }
        });
        // A little beyond the wall, so that a slanted end opens whole.
        let length = reach.fold(f64::INFINITY, f64::min) + inlet;
        let end = [0, 1].map(|axis| self.sprue[axis] + self.way[axis] * length);
        let solid = primitives::rod(self.sprue, end, [foot, inlet], self.gate.z);
        let cut = Cut::new(Kind::Sprue, core.other(), self.sprue, solid).to(end);
        cut.sized(inlet, foot / 2.0)
            .noted("half in each plate, from the wall of the block")
    }

    /// A sprue along the pull through the cavity half, its seat, and the well below it.
    fn upright(&self, feed: &Feed, core: Half, faces: [f64; 2]) -> Vec<Cut> {
        let sizes = Sizes::from_feed(feed);
        let z = self.gate.z;
        let nozzle_up = core == Half::Minus;
        let cavity = core.other();
        let face = faces[usize::from(nozzle_up)];
        let out = if nozzle_up { 1.0 } else { -1.0 };
        let [inlet, foot] = sizes.sprue;
        let seat =
            feed.nozzle.as_ref().and_then(|nozzle| nozzle.seat_diameter).map(in_mm);
        let seat = seat.filter(|_| (face - z).abs() > 2.0 * SEAT_MM);
        let top = face - out * seat.map_or(0.0, |_| SEAT_MM);
        let span = |a: f64, b: f64| [a.min(b), a.max(b)];
        let diameters = if nozzle_up { [foot, inlet] } else { [inlet, foot] };
        let sprue = primitives::cone(self.sprue, diameters, span(z, top));
        let depth = (top - z).abs();
        let text = format!(
            "from {} mm at the nozzle to {} mm, polished along the pull",
            four_digits(inlet),
            four_digits(foot)
        );
        let cut = Cut::new(Kind::Sprue, cavity, self.sprue, sprue);
        let mut cuts = vec![cut.sized(inlet, depth).noted(text)];
        if let Some(seat) = seat {
            let solid = primitives::round(self.sprue, seat, span(top, face));
            cuts.push(
                Cut::new(Kind::Seat, cavity, self.sprue, solid).sized(seat, SEAT_MM),
            );
        }
        let [width, length] = sizes.well;
        if length > 0.0 {
            let solid = primitives::round(self.sprue, width, span(z, z - out * length));
            cuts.push(Cut::new(Kind::Well, core, self.sprue, solid).sized(width, length));
        }
        cuts
    }

    fn gate(&self, sizes: &Sizes) -> Cut {
        let [land, width, depth] = sizes.gate;
        let at = [self.gate.x, self.gate.y];
        let far = land + sizes.runner.map_or(sizes.sprue[1] / 2.0, |[d, _]| d / 2.0);
        let spans = [[-INTO_MM, far], [-width / 2.0, width / 2.0]];
        let z = self.gate.z;
        let over = self.over;
        let span = match self.half {
            Half::Plus => [z - over, z + depth],
            Half::Minus => [z - depth, z + over],
        };
        let solid = primitives::bar(at, self.way, spans, span);
        let end = [at[0] + self.way[0] * far, at[1] + self.way[1] * far];
        let cut = Cut::new(Kind::Gate, self.half, at, solid).to(end).sized(width, depth);
        cut.noted(format!(
            "{} mm wide and deep as said, {} mm long",
            four_digits(width),
            four_digits(land)
        ))
    }
}
