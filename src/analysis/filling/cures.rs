//! The smallest changes that make a part fill, each found by filling it again.
//!
//! A deeper gate, hotter melt or mold, another plastic, thicker walls: each is tried on the
//! coarse cells. Every trial is a whole filling, so few are made: changes that only help a
//! part that fills already are left at gate and heat, plastics are tried in the order of
//! their viscosity, and searches end where a drawing would round anyway. Coarse cells alone
//! take another pressure than the fine ones; what is tried is scaled by that ratio. Feed and
//! gate stay where the change does not touch them.

use rayon::prelude::*;

use crate::analysis::Setup;
use crate::analysis::filling::with_feed::with_feed;
use crate::analysis::filling::{FillCase, viscosity_doubt};
use crate::fill::drive::Drive;
use crate::fill::melt::Melt;
use crate::fill::prepared::{Case, PreparedCavity};
use crate::fill::required_pressure::RequiredPressure;
use crate::fill::{front, gate};
use crate::geom::Point;
use crate::numeric::{bisect_to_ratio, geometric_mean};
use crate::part::wall_change::WallChange;
use crate::process::evaluation::{self, Choices, EvaluationInput};
use crate::process::feed::{FeedChoices, Gate};
use crate::process::plastic::Plastic;
use crate::process::plastic::library::Plastics;
use crate::units::{Length, Pressure, Temperature, from_mm, in_mm};

/// A change that lets the melt go farther.
#[derive(Clone, Debug, PartialEq)]
pub enum Change {
    /// Every wall at least so thick, mm.
    Wall(f64),
    /// A gate so deep and wide.
    Gate(Gate),
    /// The melt as hot as its range goes.
    Melt(Temperature),
    /// The mold as hot as its range goes.
    Mold(Temperature),
    /// Another of the built-in plastics, by its name.
    Plastic(String),
}

/// How far a change helps.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Help {
    /// It takes less pressure, yet more than there is.
    Less,
    /// It fills.
    Fills,
    /// It fills with another lot and thermometer too.
    Sure,
}

/// A change and what it brings.
#[derive(Clone, Debug, PartialEq)]
pub struct Cure {
    /// What is changed.
    pub change: Change,
    /// How far that helps.
    pub help: Help,
    /// The least pressure that then fills, Pa; `None` where only filling was tried.
    pub needs_pa: Option<f64>,
}

/// Walls are tried up to so many times the thickest there is.
const THICKEST: f64 = 3.0;

/// A wall is searched to this share.
const APART: f64 = 1.08;

/// Steps in which depths of walls and gates are reported, mm: what a drawing says.
const STEP_MM: f64 = 0.1;

/// Fillings that search a gate between the deepest and the one there is.
const GATE_TRIALS: u32 = 3;

/// Fillings that search the pressure that a change brings.
const PRESSURE_TRIALS: u32 = 4;

/// No change brings the pressure below this share of what it was.
const MOST_GAIN: f64 = 0.5;

/// Less than this is no help.
const GAIN: f64 = 0.97;

/// Other plastics tried, those that flow best first.
const MOST_PLASTICS: usize = 4;

/// Plastics are compared at this shear rate, 1/s: that of a slow front in a wall of 2 mm.
const RATE_1_S: f64 = 100.0;

/// A filling that takes too much, and what may be changed about it.
#[derive(Clone, Copy)]
pub(super) struct Trial<'a> {
    pub(super) input: FillCase<'a>,
    pub(super) rough: &'a PreparedCavity<'a>,
    pub(super) at: Point,
    pub(super) drive: &'a Drive<'a>,
    pub(super) melt: &'a Melt,
    pub(super) least: RequiredPressure,
}

/// The changes that help, in the order in which they are worth trying; none where the
/// pressure surely does.
pub(super) fn find(trial: &Trial<'_>) -> Vec<Cure> {
    let available = trial.drive.pressure_pa;
    let fills = match trial.least {
        RequiredPressure::Any => return Vec::new(),
        RequiredPressure::Pressure { band_pa, .. } if band_pa[1] <= available => {
            return Vec::new();
        }
        RequiredPressure::Pressure { pa, .. } => pa <= available,
        RequiredPressure::None => false,
    };
    let (gate, heat) = rayon::join(|| trial.gate(fills), || trial.heat());
    let near: Vec<Cure> = gate.into_iter().chain(heat).collect();
    if fills {
        return near;
    }
    let (plastics, wall) = rayon::join(|| trial.plastics(), || trial.wall());
    [near, plastics, wall.into_iter().collect()].concat()
}

impl Trial<'_> {
    /// How much more the doubtful case takes than the typical one.
    fn doubt(&self) -> f64 {
        match self.least {
            RequiredPressure::Pressure { pa, band_pa, .. } if band_pa[1].is_finite() => {
                band_pa[1] / pa
            }
            _ => viscosity_doubt(&self.input.setup.plastic),
        }
    }

    /// Pressure to try on the coarse cells, Pa, for filling with typical inputs.
    fn has(&self) -> f64 {
        self.drive.pressure_pa * self.least.rough_over_fine()
    }

    /// The same for filling in the doubtful case too.
    fn sure(&self) -> f64 {
        self.has() / self.doubt()
    }

    /// How far a change helps that `fills` at a pressure on the coarse cells, and what it
    /// then takes: searched below what it takes now, where that is known.
    fn cure(&self, change: Change, fills: impl Fn(f64) -> bool) -> Option<Cure> {
        let RequiredPressure::Pressure { rough_pa, .. } = self.least else {
            let help = self.help(fills)?;
            return Some(Cure { change, help, needs_pa: None });
        };
        let bracket = [MOST_GAIN * rough_pa, rough_pa];
        let [low, high] = (0..PRESSURE_TRIALS).fold(bracket, |[low, high], _| {
            let middle = geometric_mean([low, high]);
            if fills(middle) { [low, middle] } else { [middle, high] }
        });
        let rough = geometric_mean([low, high]);
        let needs = rough / self.least.rough_over_fine();
        let has = self.drive.pressure_pa;
        let help = match needs {
            needs if needs * self.doubt() <= has => Help::Sure,
            needs if needs <= has => Help::Fills,
            _ => Help::Less,
        };
        let helps = rough < GAIN * rough_pa;
        helps.then_some(Cure { change, help, needs_pa: Some(needs) })
    }

    /// How far what `fills` helps at the pressure there is; `None` where it does not. Most
    /// that fail fail at once, so that is tried first.
    fn help(&self, fills: impl Fn(f64) -> bool) -> Option<Help> {
        if !fills(self.has()) {
            return None;
        }
        Some(if fills(self.sure()) { Help::Sure } else { Help::Fills })
    }

    /// The least wall with which the part fills.
    fn wall(&self) -> Option<Cure> {
        let cells = self.rough.cells();
        let fills = |least_mm: f64, pressure_pa: f64| {
            let thicker = cells.with_walls(&WallChange::at_least(least_mm));
            let drive = Drive { pressure_pa, ..*self.drive };
            is_full(&self.rough.with(&thicker), self.melt, &drive)
        };
        let thinnest = cells.wall_mm.iter().copied().fold(f64::INFINITY, f64::min);
        let thickest = cells.wall_mm.iter().copied().fold(0.0, f64::max);
        let has = self.has();
        let bracket = [thinnest, THICKEST * thickest];
        if !fills(bracket[1], has) {
            return None;
        }
        let [_, enough] = bisect_to_ratio(bracket, APART, |wall| !fills(wall, has));
        let least = (enough / STEP_MM).ceil() * STEP_MM;
        let help = if fills(least, self.sure()) { Help::Sure } else { Help::Fills };
        Some(Cure { change: Change::Wall(least), help, needs_pa: None })
    }

    /// A gate that helps enough, and where none does the deepest, with what it brings.
    /// Where the part `fills` already, enough is what fills surely.
    fn gate(&self, fills: bool) -> Option<Cure> {
        let feed_design = self.input.evaluation.feed_design.as_ref().ok()?;
        let now = feed_design.feed.gate;
        // The foot of a sprue on a face is no gate to deepen.
        let wall = self.input.shape.wall.filter(|_| !now.is_round)?;
        let last = (in_mm(wall) / STEP_MM + 1e-6).floor() as u32;
        let first = (in_mm(now.depth) / STEP_MM + 1e-6).floor() as u32 + 1;
        if first > last {
            return None;
        }
        let (help, pressure) =
            if fills { (Help::Sure, self.sure()) } else { (Help::Fills, self.has()) };
        if self.fills_by(depth(last), pressure).is_none() {
            return self.least_by(depth(last));
        }
        let (mut low, mut high) = (first, last);
        for _ in 0..GATE_TRIALS {
            let middle = u32::midpoint(low, high);
            let is_enough =
                low < high && self.fills_by(depth(middle), pressure).is_some();
            if is_enough { high = middle } else { low = (middle + 1).min(high) }
        }
        let gate = self.fills_by(depth(high), pressure)?;
        Some(Cure { change: Change::Gate(gate), help, needs_pa: None })
    }

    /// The gate of this depth, when it fills at this pressure.
    fn fills_by(&self, depth: Length, pressure_pa: f64) -> Option<Gate> {
        self.through(depth, |gate, ready, drive| {
            let drive = Drive { pressure_pa, ..*drive };
            is_full(ready, self.melt, &drive).then_some(gate)
        })
    }

    /// What the gate of this depth brings the least pressure down to.
    fn least_by(&self, depth: Length) -> Option<Cure> {
        self.through(depth, |gate, ready, drive| {
            let fills = |pressure_pa: f64| {
                is_full(ready, self.melt, &Drive { pressure_pa, ..*drive })
            };
            self.cure(Change::Gate(gate), fills)
        })
    }

    /// Asks with a gate of this depth, its feed sized anew.
    fn through<T>(
        &self,
        gate_depth: Length,
        ask: impl FnOnce(Gate, &PreparedCavity<'_>, &Drive<'_>) -> Option<T>,
    ) -> Option<T> {
        let input = &self.input;
        let own = FeedChoices {
            gate_depth: Some(gate_depth),
            gate_width: None,
            ..input.choices.feed.clone()
        };
        let choices = Choices { feed: own, ..input.choices.clone() };
        let Setup { press, plastic, .. } = input.setup;
        let made = evaluation::evaluate(
            input.shape,
            &EvaluationInput { press, plastic, choices: &choices, filling: None },
        );
        let feed = made.feed_design.ok()?.feed;
        let gates = [gate::Gate::of_feed(self.at, &feed.gate)];
        let case = Case {
            cells: self.rough.cells(),
            mesh: &input.part.mesh,
            bvh: &input.part.bvh,
            gates: &gates,
            melt: self.melt,
        };
        let ready = PreparedCavity::new(&case).ok()?.in_long_steps();
        let ask = |drive: &Drive<'_>| ask(feed.gate, &ready, drive);
        with_feed(self.input, &feed, plastic, self.drive, ask).ok()?
    }

    /// Melt and mold as hot as they may be.
    fn heat(&self) -> Vec<Cure> {
        let plastic = &self.input.setup.plastic;
        let (Some(melts), Some(molds)) =
            (plastic.melt_temperature.value, plastic.mold_temperature.value)
        else {
            return Vec::new();
        };
        let changes = [
            (Change::Melt(melts.high), Melt { temperature: melts.high, ..*self.melt }),
            (Change::Mold(molds.high), Melt { mold: molds.high, ..*self.melt }),
        ];
        let tried = changes.into_par_iter().filter_map(|(change, melt)| {
            self.cure(change, |pressure_pa| {
                is_full(self.rough, &melt, &Drive { pressure_pa, ..*self.drive })
            })
        });
        tried.collect()
    }

    /// Other built-in plastics that fill, each with its own feed and temperatures: of those
    /// that flow more easily the first [`MOST_PLASTICS`].
    fn plastics(&self) -> Vec<Cure> {
        let Ok(all) = Plastics::builtin() else { return Vec::new() };
        let own = viscosity(&self.input.setup.plastic);
        let mut others: Vec<(f64, &str, &Plastic)> = all
            .iter()
            .filter(|(_, other)| {
                // What is like another is a grade of it: what is at hand, not what is bought.
                other.like.is_none()
                    && other.refuse.is_none()
                    && other.name != self.input.setup.plastic.name
            })
            .filter_map(|(name, other)| Some((viscosity(other)?, name, other)))
            .filter(|(pa_s, ..)| own.is_none_or(|own| *pa_s < own))
            .collect();
        others.sort_by(|a, b| a.0.total_cmp(&b.0));
        others.truncate(MOST_PLASTICS);
        let tried = others.into_par_iter().filter_map(|(_, name, other)| {
            let help = self.plastic(other)?;
            let change = Change::Plastic(name.to_owned());
            Some(Cure { change, help, needs_pa: None })
        });
        tried.collect()
    }

    /// How far it helps to mold another plastic.
    fn plastic(&self, other: &Plastic) -> Option<Help> {
        let FillCase { shape, choices, setup: Setup { press, .. }, .. } = self.input;
        let made = evaluation::evaluate(
            shape,
            &EvaluationInput { press, plastic: other, choices, filling: None },
        );
        let feed = made.feed_design.ok()?.feed;
        let melt = Melt::typical(other).ok()?;
        let help = |drive: &Drive<'_>| {
            self.help(|pressure_pa| {
                is_full(self.rough, &melt, &Drive { pressure_pa, ..*drive })
            })
        };
        with_feed(self.input, &feed, other, self.drive, help).ok()?
    }
}

/// Viscosity of a plastic at its usual melt temperature and [`RATE_1_S`], Pa s.
fn viscosity(plastic: &Plastic) -> Option<f64> {
    let at = plastic.melt_temperature.value?.typical();
    Some(plastic.viscosity.value?.pa_s(RATE_1_S, at, Pressure::default()))
}

fn depth(step: u32) -> Length {
    from_mm(f64::from(step) * STEP_MM)
}

fn is_full(ready: &PreparedCavity<'_>, melt: &Melt, drive: &Drive<'_>) -> bool {
    front::fill_again(ready, melt, drive).is_ok_and(|filling| filling.is_full())
}
