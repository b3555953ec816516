//! How thick sprue, runner and gate are for this press: every combination of what can be cut
//! is weighed by pressure, plastic, cooling and trimming.
//!
//! The goal is that nozzle to gate lose at most [`LOSS_GOAL`] of the melt pressure at the
//! wanted flow. Among the combinations that reach it the cheapest is taken. Where none does,
//! the cheapest of those that lose no more than [`NEAR_LEAST`] of the pressure above the least.

use super::options::{self, HANDS_S, Options, cooling_time};
use super::{Feed, FeedChoices, FeedTask, Gate, Runner, Sprue};
use crate::process::feed::channel::Melt;
use crate::process::feed::layout::FeedLayout;
use crate::process::feed::nozzle;
use crate::process::feed::nozzle::Link;
use crate::process::press::circle;
use crate::process::thermal::cooling::{self, Section};
use crate::units::{Quantity, Ratio, Time, Volume, from_mm, in_mm, in_mm2};

/// Share of the melt pressure that nozzle, sprue, runner and gate may take: a quarter
/// (judgment).
pub const LOSS_GOAL: f64 = 0.25;
/// Where the goal is out of reach, a cheaper feed may lose this share of the melt pressure more
/// than the widest one (judgment).
pub const NEAR_LEAST: f64 = 0.01;
/// A tenth of the melt pressure weighs as much as doubling the cycle, as doubling the plastic
/// of a shot, or as trimming a gate of [`TRIM_MM2`] (judgment).
pub const WEIGHT: f64 = 0.1;
/// A gate of this area is a saw cut, mm² (judgment).
pub const TRIM_MM2: f64 = 20.0;
/// Thickness of every piece.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sizes {
    /// The sprue.
    pub sprue: Sprue,
    /// The runner; `None` when the sprue stands at the part or at the gate.
    pub runner: Option<Runner>,
    /// The gate.
    pub gate: Gate,
}

/// What one piece costs.
#[derive(Clone, Copy, Debug, Default)]
struct Piece {
    /// Loss as a share of the melt pressure; nothing where it is not known.
    loss: f64,
    /// Its plastic as a share of the part's.
    mass: f64,
    /// Until it freezes shut, s.
    freezes: Option<f64>,
    /// Until it is stiff, s.
    cools: f64,
    /// Area to trim over [`TRIM_MM2`].
    trimmed: f64,
}

/// What every piece is priced by.
struct Prices<'a> {
    task: &'a FeedTask<'a>,
    melt: Option<Melt>,
    /// Seconds in which a rod and a plate of 1 mm freeze; both grow with its square.
    freeze: [Option<f64>; 2],
    /// Seconds in which they are stiff.
    cool: [Option<f64>; 2],
}

/// The sizes for `task`; what the user gave is kept.
pub fn choose(
    task: &FeedTask<'_>,
    choices: &FeedChoices,
    notes: &mut Vec<String>,
) -> Sizes {
    let options = options::list(task, choices, notes);
    let prices = Prices::new(task);
    let mut all: Vec<(Sizes, [Piece; 3])> = options.combine(&prices);
    let outlasts = |pieces: &[Piece; 3]| {
        let [sprue, runner, gate] = pieces.map(|piece| piece.freezes);
        let early =
            |one: Option<f64>| one.zip(gate).is_some_and(|(one, gate)| one < gate);
        !early(sprue) && !early(runner)
    };
    if all.iter().any(|(_, pieces)| outlasts(pieces)) {
        all.retain(|(_, pieces)| outlasts(pieces));
    }
    if all.iter().any(|(sizes, _)| runs_into(sizes)) {
        all.retain(|(sizes, _)| runs_into(sizes));
    }
    if all.iter().any(|(sizes, _)| feeds(sizes)) {
        all.retain(|(sizes, _)| feeds(sizes));
    }
    let thinnest = all.first().map(|(sizes, _)| *sizes);
    let chosen = if prices.melt.is_some() { prices.cheapest(&all) } else { None };
    // There is at least one option of each piece.
    chosen.or(thinnest).unwrap_or_else(|| {
        let sprue = options::sprue(from_mm(super::USUAL_ORIFICE_MM), task, choices);
        Sizes { sprue, runner: None, gate: options::foot_gate(&sprue) }
    })
}

/// Whether the gate is no deeper than what of the runner lies in its plate: below
/// that a step would stand before the sprue.
fn runs_into(sizes: &Sizes) -> bool {
    let deep = sizes.gate.depth;
    sizes.runner.is_none_or(|runner| deep <= runner.depth() * (1.0 + 1e-9))
}

/// Whether the foot of the sprue is no thinner than the runner that it feeds.
fn feeds(sizes: &Sizes) -> bool {
    let foot = sizes.sprue.foot * (1.0 + 1e-9);
    sizes.runner.is_none_or(|runner| runner.diameter <= foot)
}

impl<'a> Prices<'a> {
    fn new(task: &'a FeedTask<'a>) -> Self {
        let has_pressure = task.press.melt_pressure().si() > 0.0;
        let melt = nozzle::melt(task.plastic, task.press).ok();
        let melt = melt.filter(|_| has_pressure && task.flow.is_some());
        let heats =
            [cooling::to_freeze(task.plastic), cooling::to_ejection(task.plastic)];
        let [freeze, cool] = heats.map(|heat| {
            [Section::Rod, Section::Plate].map(|section| {
                let heat = heat.as_ref().ok()?;
                cooling::time(section, from_mm(1.0), heat).map(Quantity::si)
            })
        });
        Self { task, melt, freeze, cool }
    }

    fn price(&self, links: &[Link], volume: Volume) -> Piece {
        let pressure = self.task.press.melt_pressure();
        let lost = self.melt.as_ref().zip(self.task.flow).map(|(melt, flow)| {
            let share: Ratio = nozzle::loss(links, melt, flow) / pressure;
            share.si()
        });
        let density = self.task.plastic.solid_density.value;
        let mass = density.map(|density| {
            let share: Ratio = volume * density / self.task.part;
            share.si()
        });
        Piece { loss: lost.unwrap_or(0.0), mass: mass.unwrap_or(0.0), ..Piece::default() }
    }

    fn sprue(&self, sprue: &Sprue) -> Piece {
        // What all cavities share counts for each by its part of the plastic.
        let cavities = self.task.cavities;
        let links: Vec<Link> =
            sprue.link().map(|link| link.shared_by(cavities)).into_iter().collect();
        let feed_well = match self.task.layout {
            FeedLayout::Edge => circle(sprue.foot) * (super::WELL_LENGTH * sprue.foot),
            FeedLayout::Direct | FeedLayout::Split => Volume::default(),
        };
        let [inlet, foot] = [sprue.inlet, sprue.foot].map(in_mm);
        let is_gate = self.task.layout == FeedLayout::Direct;
        Piece {
            freezes: self.freeze[0].map(|time| time * inlet * inlet),
            cools: self.cool[0].unwrap_or(0.0) * foot * foot,
            trimmed: if is_gate { in_mm2(circle(sprue.foot)) / TRIM_MM2 } else { 0.0 },
            ..self.price(&links, (sprue.volume() + feed_well) / f64::from(cavities))
        }
    }

    fn runner(&self, runner: &Runner) -> Piece {
        let wide = in_mm(runner.diameter);
        Piece {
            freezes: self.freeze[0].map(|time| time * wide * wide),
            cools: self.cool[0].unwrap_or(0.0) * wide * wide,
            ..self.price(&[runner.link()], runner.area() * runner.length)
        }
    }

    fn gate(&self, gate: &Gate) -> Piece {
        let thin = in_mm(gate.depth.min(gate.width));
        Piece {
            freezes: self.freeze[1].map(|time| time * thin * thin),
            trimmed: in_mm2(gate.area()) / TRIM_MM2,
            ..self.price(&gate.links(), gate.depth * gate.width * gate.land)
        }
    }

    fn cheapest(&self, all: &[(Sizes, [Piece; 3])]) -> Option<Sizes> {
        let own = self.task.press.nozzle.as_ref().map(nozzle::links).unwrap_or_default();
        let own: Vec<Link> =
            own.into_iter().map(|link| link.shared_by(self.task.cavities)).collect();
        let before = self.price(&own, Volume::default()).loss;
        let loss = |pieces: &[Piece; 3]| {
            before + pieces.iter().map(|piece| piece.loss).sum::<f64>()
        };
        let losses = all.iter().map(|(_, pieces)| loss(pieces));
        let least = losses.fold(f64::INFINITY, f64::min);
        let enough = LOSS_GOAL.max(least + NEAR_LEAST);
        let allowed = all.iter().filter(|(_, pieces)| loss(pieces) <= enough);
        let cost = |pieces: &[Piece; 3]| loss(pieces) + self.cost(pieces);
        allowed
            .min_by(|(_, a), (_, b)| cost(a).total_cmp(&cost(b)))
            .map(|(sizes, _)| *sizes)
    }

    /// What plastic, cooling and trimming cost, as a share of the melt pressure.
    fn cost(&self, pieces: &[Piece; 3]) -> f64 {
        let sum = |of: fn(&Piece) -> f64| pieces.iter().map(of).sum::<f64>();
        let thickest = in_mm(self.task.thickest);
        let longest = pieces.iter().map(|piece| piece.cools).fold(0.0, f64::max);
        let part = self.cool[1].map(|time| time * thickest * thickest);
        let longer =
            part.map_or(0.0, |part| (longest - part).max(0.0) / (part + HANDS_S));
        WEIGHT * (sum(|piece| piece.mass) + longer + sum(|piece| piece.trimmed))
    }
}

/// What plastic, cooling and trimming of a feed cost, as a share of the melt pressure.
pub fn weigh(feed: &Feed, task: &FeedTask<'_>) -> f64 {
    let prices = Prices::new(task);
    let runner = feed.runner.map(|runner| prices.runner(&runner));
    let gate = Some(feed.gate).filter(|gate| !gate.is_round);
    let gate = gate.map(|gate| prices.gate(&gate));
    prices.cost(&[
        prices.sprue(&feed.sprue),
        runner.unwrap_or_default(),
        gate.unwrap_or_default(),
    ])
}

/// By how much sprue and runner cool longer than the thickest place of the part; `None` where
/// the plastic does not say.
pub fn extra_cooling(feed: &Feed, task: &FeedTask<'_>) -> Option<Time> {
    let part = cooling_time(task, Section::Plate, task.thickest)?;
    let foot = cooling_time(task, Section::Rod, feed.sprue.foot)?;
    let runner = match feed.runner {
        Some(runner) => cooling_time(task, Section::Rod, runner.diameter)?,
        None => Time::default(),
    };
    Some((foot.max(runner) - part).max(Time::default()))
}

impl Options {
    fn combine(&self, prices: &Prices<'_>) -> Vec<(Sizes, [Piece; 3])> {
        let sprues = self.sprues.iter().map(|it| (*it, prices.sprue(it)));
        let runner = |it: &Option<Runner>| {
            (*it, it.map_or_else(Piece::default, |runner| prices.runner(&runner)))
        };
        let runners: Vec<(Option<Runner>, Piece)> =
            self.runners.iter().map(runner).collect();
        let gates: Vec<(Gate, Piece)> =
            self.gates.iter().map(|it| (*it, prices.gate(it))).collect();
        let mut all = Vec::new();
        for (sprue, own) in sprues {
            let foot = [(options::foot_gate(&sprue), Piece::default())];
            let gates = if gates.is_empty() { &foot[..] } else { &gates[..] };
            for (runner, middle) in &runners {
                for (gate, last) in gates {
                    let sizes = Sizes { sprue, runner: *runner, gate: *gate };
                    all.push((sizes, [own, *middle, *last]));
                }
            }
        }
        all
    }
}
