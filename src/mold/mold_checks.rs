//! Whether the mold that was built is one: checked on the finished solids, not of the way
//! in which they were made.

use rayon::prelude::*;

use super::build::Mold;
use super::feed::INTO_MM;
use crate::geom::{Point, Vector};
use crate::mesh::bvh::Bvh;
use crate::mesh::samples::Samples;
use crate::mesh::self_intersection;
use crate::mesh::solid::{NotCut, Solid};
use crate::mold::cut_feature::Kind;
use crate::part::halves::Half;
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

/// How far a half is moved off, as shares of the part's height.
const MOVES: [f64; 2] = [0.02, 0.4];

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

/// Every check. `noise_mm` is how far the part's own mesh is off.
pub fn run(mold: &Mold, noise_mm: f64) -> Vec<Check> {
    let mut checks = Vec::new();
    let all =
        [sides(mold)[0], sides(mold)[1], ("part", &mold.part), ("feed", &mold.feed)];
    for (name, solid) in all {
        let open = solid.open_edges() as f64;
        checks.push(Check::at_most(&format!("open edges, {name}"), open, 0.0, "edges"));
    }
    let deep: Vec<[Check; 2]> =
        sides(mold).par_iter().map(|(name, solid)| own(name, solid)).collect();
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
    checks.extend(apart(mold, noise_mm));
    checks
}

/// Whether a half passes through itself, and its thinnest wall.
fn own(name: &str, solid: &Solid) -> [Check; 2] {
    let mesh = solid.mesh();
    let bvh = Bvh::new(&mesh);
    let crossings = self_intersection::find(&mesh, &bvh);
    let pairs = crossings.pairs as f64;
    let crossing =
        Check::at_most(&format!("self-intersections, {name}"), pairs, 0.0, "pairs");
    let samples = Samples::spread(&mesh, &bvh, SAMPLES);
    let walls = thickness::map(&bvh, &samples).of_walls();
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

/// Whether the halves touch on the parting surface only, and move off the part.
fn apart(mold: &Mold, noise_mm: f64) -> Vec<Check> {
    let [low, high] = [mold.part.bounds().min.z, mold.part.bounds().max.z];
    let area: f64 = mold.part.mesh().areas().iter().sum();
    let [plus, minus] = &mold.halves;
    let block = Volumes::measure(mold).block;
    let overlap = || {
        let shared = plus.meet(minus).map(|shared| shared.volume().abs());
        answer("overlap of the halves", shared, BALANCE * block, "mm³")
    };
    let leaves = |half: Half| {
        let (solid, up) = if half == Half::Plus { (plus, 1.0) } else { (minus, -1.0) };
        let name = if half == mold.core { "core half" } else { "cavity half" };
        let most = MOVES
            .iter()
            .map(|share| {
                let way = Vector::new(0.0, 0.0, up * share * (high - low));
                let moved = solid.map(|point| point + way);
                let entered = moved.meet(&mold.part)?;
                Ok(entered.volume().abs())
            })
            .collect::<Result<Vec<f64>, NotCut>>()
            .map(|entered| entered.into_iter().fold(0.0, f64::max) / area);
        let name =
            format!("how deep the {name} enters the part as it opens, on the mean");
        answer(&name, most, noise_mm, "mm")
    };
    let (overlap, (one, other)) = rayon::join(overlap, || {
        rayon::join(|| leaves(Half::Plus), || leaves(Half::Minus))
    });
    vec![overlap, one, other]
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
