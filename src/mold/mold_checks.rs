//! Whether the mold that was built is one: checked on the finished solids, not of the way
//! in which they were made.

use rayon::prelude::*;

use super::build::Mold;
use super::feed::INTO_MM;
use crate::geom::{Direction, Point};
use crate::mesh::samples::Samples;
use crate::mesh::self_intersection;
use crate::mesh::solid::{NotCut, Solid};
use crate::mold::cut_feature::Kind;
use crate::mold::entry::Obstacle;
use crate::mold::pin_metal;
use crate::part::halves::{Half, Role};
use crate::part::surface_statistics::{self, Bad};
use crate::part::thickness;

/// Volumes that should be alike may differ by this share of the block.
pub const BALANCE: f64 = 1e-6;

/// No wall of metal is thinner, mm: 1; thinner fins bend under the cutter and under the
/// melt (judgment). The land of a vent, 1.5 mm, is the thinnest that is drawn.
pub const LEAST_WALL_MM: f64 = 1.0;

/// Points on each half at which its metal is measured.
const SAMPLES: usize = 20_000;

/// The gate opens where this share of its end lies in the part: on a curved wall not all of it
/// does.
const LEAST_OPENING: f64 = 0.3;

/// Metal may get into the part, or into the other half, by so much as they open, mm: what a
/// mill leaves.
const ENTRY_MM: f64 = 0.02;

/// One question and its answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Check {
    /// What was checked.
    pub name: String,
    /// What was measured; `None` when it could not be.
    pub value: Option<f64>,
    /// What it may be.
    pub limit: Option<f64>,
    /// Of both.
    pub unit: &'static str,
    /// Whether it holds; `None` when that is not known.
    pub ok: Option<bool>,
    /// Where it is worst, in the axes of the mold.
    pub at: Option<Point>,
    /// Why there is no answer.
    pub why: Option<String>,
}

impl Check {
    /// A value that may not exceed its limit.
    pub fn at_most(name: &str, value: f64, limit: f64, unit: &'static str) -> Self {
        Self {
            name: name.to_owned(),
            value: Some(value),
            limit: Some(limit),
            unit,
            ok: Some(value <= limit),
            at: None,
            why: None,
        }
    }

    /// A value that may not fall below its limit.
    pub fn at_least(name: &str, value: f64, limit: f64, unit: &'static str) -> Self {
        Self { ok: Some(value >= limit), ..Self::at_most(name, value, limit, unit) }
    }

    /// A question without an answer.
    pub fn unknown(name: &str, limit: Option<f64>, unit: &'static str) -> Self {
        let name = name.to_owned();
        Self { name, value: None, limit, unit, ok: None, at: None, why: None }
    }

    fn at(self, at: Option<Point>) -> Self {
        Self { at, ..self }
    }
}

/// Volumes of a mold, mm³.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Volumes {
    /// The block, from its measures.
    pub block: f64,
    /// The half with the cavity.
    pub cavity: f64,
    /// The half with the core.
    pub core: f64,
    /// The part as cut.
    pub part: f64,
    /// The feed without the part.
    pub feed: f64,
    /// All holes that melt does not fill.
    pub holes: f64,
}

impl Volumes {
    /// Of a mold.
    pub fn measure(mold: &Mold) -> Self {
        let [cavity, core] = sides(mold).map(|(_, solid)| solid.volume());
        Self {
            block: mold.layout.block.iter().map(|[low, high]| high - low).product(),
            cavity,
            core,
            part: mold.part.volume(),
            feed: mold.feed.volume(),
            holes: mold.holes_mm3,
        }
    }

    /// What is missing or too much, as a share of the block.
    pub fn imbalance(&self) -> f64 {
        let sum = self.cavity + self.core + self.part + self.feed + self.holes;
        (sum - self.block).abs() / self.block
    }
}

/// The cavity half and the core half, by name.
fn sides(mold: &Mold) -> [(&'static str, &Solid); 2] {
    let [plus, minus] = &mold.halves;
    match mold.core {
        Half::Plus => [("cavity half", minus), ("core half", plus)],
        Half::Minus => [("cavity half", plus), ("core half", minus)],
    }
}

/// The surfaces that several checks ask.
struct Surfaces {
    part: Obstacle,
    /// The + half and the − half.
    halves: [Obstacle; 2],
}

impl Surfaces {
    fn of(mold: &Mold) -> Self {
        let [plus, minus] = &mold.halves;
        let (part, (plus, minus)) = rayon::join(
            || Obstacle::new(&mold.part),
            || rayon::join(|| Obstacle::new(plus), || Obstacle::new(minus)),
        );
        Self { part, halves: [plus, minus] }
    }

    fn half(&self, half: Half) -> &Obstacle {
        &self.halves[usize::from(half == Half::Minus)]
    }
}

/// Every check. `noise_mm` is how far the part's own mesh is off, and `is_stripped` tells whether it
/// is stripped off metal that traps it.
pub fn run(mold: &Mold, noise_mm: f64, is_stripped: bool) -> Vec<Check> {
    let surfaces = Surfaces::of(mold);
    let mut checks = Vec::new();
    let all =
        [sides(mold)[0], sides(mold)[1], ("part", &mold.part), ("feed", &mold.feed)];
    for (name, solid) in all {
        let open = solid.open_edges() as f64;
        checks.push(Check::at_most(&format!("open edges, {name}"), open, 0.0, "edges"));
    }
    let deep: Vec<[Check; 2]> = Role::BOTH
        .par_iter()
        .map(|role| own(&format!("{role} half"), surfaces.half(role.half(mold.core))))
        .collect();
    checks.extend(deep.into_iter().flatten());
    let share = Volumes::measure(mold).imbalance();
    let name = "cavity + core + part + feed + holes against the block";
    checks.push(Check::at_most(name, share, BALANCE, "of the block"));
    if !mold.feed.is_empty() {
        let gates = mold.layout.cuts.iter().filter(|cut| cut.kind == Kind::Gate);
        let whole: f64 = gates.map(|gate| gate.width * gate.depth * INTO_MM).sum();
        let share = (mold.opens_mm3 / whole.max(f64::MIN_POSITIVE)).min(1.0);
        let name = "how much of the end of the gate lies in the part";
        checks.push(Check::at_least(name, share, LEAST_OPENING, "of its end"));
    }
    if let Some((metal, at)) = pin_metal::least(mold, &surfaces.part.bvh) {
        // The face that a pin pushes on lies at most this deep in the rounding of the file.
        let limit = pin_metal::LEAST_MM * (1.0 - 1e-3);
        let name = "metal between the hole of an ejector pin and the cavity";
        checks.push(Check::at_least(name, metal, limit, "mm").at(Some(at)));
    }
    checks.extend(apart(mold, &surfaces, noise_mm, is_stripped));
    checks
}

/// Whether a half passes through itself, and its thinnest wall.
fn own(name: &str, Obstacle { mesh, bvh }: &Obstacle) -> [Check; 2] {
    let crossings = self_intersection::find(mesh, bvh);
    let pairs = crossings.pairs as f64;
    let crossing =
        Check::at_most(&format!("self-intersections, {name}"), pairs, 0.0, "pairs");
    let samples = Samples::spread(mesh, bvh, SAMPLES);
    let walls = thickness::map(bvh, &samples).of_walls();
    let bad = Bad::Below(LEAST_WALL_MM);
    let area = thickness::LEAST_REGION * LEAST_WALL_MM.powi(2);
    let thin = surface_statistics::extremes(&samples, &walls, bad, area);
    let wall = format!("least wall of metal, {name}");
    let metal = match thin.first() {
        Some(thin) => {
            Check::at_least(&wall, thin.value, LEAST_WALL_MM, "mm").at(Some(thin.at))
        }
        // Below the limit are only edges, if any.
        None => {
            let rest =
                walls.iter().flatten().copied().filter(|wall| *wall >= LEAST_WALL_MM);
            let least = rest.fold(f64::INFINITY, f64::min);
            Check::at_least(&wall, least, LEAST_WALL_MM, "mm")
        }
    };
    [crossing.at(crossings.at), metal]
}

/// Whether the halves touch on the parting surface only, and come off the part and off each
/// other.
fn apart(
    mold: &Mold,
    surfaces: &Surfaces,
    noise_mm: f64,
    is_stripped: bool,
) -> Vec<Check> {
    let [plus, minus] = &mold.halves;
    let block = Volumes::measure(mold).block;
    let overlap = || {
        let shared = plus.meet(minus).map(|shared| shared.volume().abs());
        answer("overlap of the halves", shared, BALANCE * block, "mm³")
    };
    let (overlap, entries) =
        rayon::join(overlap, || entries(mold, surfaces, noise_mm, is_stripped));
    [overlap].into_iter().chain(entries).collect()
}

/// How deep each half gets into the part, and one half into the other, over all of the way on
/// which they open. `noise_mm` is how far the part's own mesh is off.
fn entries(
    mold: &Mold,
    surfaces: &Surfaces,
    noise_mm: f64,
    is_stripped: bool,
) -> Vec<Check> {
    let Surfaces { part, halves: [plus, minus] } = surfaces;
    let limit = noise_mm.max(ENTRY_MM);
    let name = |half: Half| if half == mold.core { "core half" } else { "cavity half" };
    let (up, down) = (Direction::Z, Direction::Z.reversed());
    let (one, other) = (name(Half::Plus), name(Half::Minus));
    [
        (format!("how deep the {one} enters the part as it opens"), part, plus, up),
        (format!("how deep the {other} enters the part as it opens"), part, minus, down),
        ("how deep one half enters the other as they open".to_owned(), minus, plus, up),
    ]
    .into_iter()
    .map(|(name, into, mover, way)| {
        let entry = into.entered_by(mover, way);
        let check = Check::at_most(&name, entry.depth, limit, "mm").at(entry.at);
        // What is stripped off passes through metal: how deep says nothing then.
        if is_stripped && std::ptr::eq(into, part) && check.ok == Some(false) {
            let why = Some("the part is stripped off that metal".to_owned());
            return Check { ok: None, why, ..check };
        }
        check
    })
    .collect()
}

fn answer(
    name: &str,
    value: Result<f64, NotCut>,
    limit: f64,
    unit: &'static str,
) -> Check {
    value.map_or_else(
        |NotCut(why)| Check { why: Some(why), ..Check::unknown(name, Some(limit), unit) },
        |value| Check::at_most(name, value, limit, unit),
    )
}
