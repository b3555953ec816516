//! The smallest changes that make a part fill, each found by filling it again.
//!
//! Thicker walls, a deeper gate, hotter melt or mold, another plastic: each is tried on the
//! coarse cells, once for filling at all and once with what inputs may be off by. Coarse
//! cells alone ask for another pressure than the fine ones; what is tried is scaled by that
//! ratio. Feed and gate stay where the change does not touch them.

use rayon::prelude::*;

use crate::analysis::Setup;
use crate::analysis::filling::{FillCase, VISCOSITY_DOUBT, feed_loss};
use crate::fill::feed_channels;
use crate::fill::feed_table::FeedTable;
use crate::fill::flow_step::Drive;
use crate::fill::melt::Melt;
use crate::fill::prepared::{Case, PreparedCavity};
use crate::fill::required_pressure::{self, RequiredPressure};
use crate::fill::{front, gate};
use crate::geom::Point;
use crate::numeric::bisect_to_ratio;
use crate::process::evaluation::{self, Choices, EvaluationInput};
use crate::process::feed::{FeedChoices, Gate};
use crate::process::plastic::Plastic;
use crate::process::plastic::library::Plastics;
use crate::units::{Length, Temperature, from_mm, in_mm};

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

/// A wall is reported to this share.
const APART: f64 = 1.04;

/// Steps in which depths of walls and gates are reported, mm: what a drawing says.
const STEP_MM: f64 = 0.1;

/// Less than this is no help.
const GAIN: f64 = 0.97;

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

/// The changes that help; none where the pressure surely does.
pub(super) fn find(trial: &Trial<'_>) -> Vec<Cure> {
    let available = trial.drive.pressure_pa;
    let has_room = match trial.least {
        RequiredPressure::Any => true,
        RequiredPressure::Pressure { band_pa, .. } => band_pa[1] <= available,
        RequiredPressure::None => false,
    };
    if has_room {
        return Vec::new();
    }
    let (walls_and_gate, (heat, plastics)) = rayon::join(
        || rayon::join(|| trial.walls(), || trial.gates()),
        || rayon::join(|| trial.heat(), || trial.plastics()),
    );
    let (walls, gates) = walls_and_gate;
    [walls, gates, heat, plastics].concat()
}

impl Trial<'_> {
    /// How much more the doubtful case takes than the typical one.
    fn doubt(&self) -> f64 {
        match self.least {
            RequiredPressure::Pressure { pa, band_pa, .. } if band_pa[1].is_finite() => {
                band_pa[1] / pa
            }
            _ => VISCOSITY_DOUBT,
        }
    }

    /// Pressures to try on the coarse cells, Pa: what there is, and what is left of it in
    /// the doubtful case.
    fn targets(&self) -> [(Help, f64); 2] {
        let has = self.drive.pressure_pa * self.least.rough_over_fine();
        [(Help::Fills, has), (Help::Sure, has / self.doubt())]
    }

    /// How far a change helps that lets the coarse cells fill at this pressure.
    fn cure(&self, change: Change, rough_pa: f64) -> Option<Cure> {
        let needs = rough_pa / self.least.rough_over_fine();
        let has = self.drive.pressure_pa;
        let now = match self.least {
            RequiredPressure::Pressure { pa, .. } => pa,
            _ => f64::INFINITY,
        };
        let help = match needs {
            needs if needs * self.doubt() <= has => Help::Sure,
            needs if needs <= has => Help::Fills,
            _ => Help::Less,
        };
        let helps = needs < GAIN * now;
        helps.then_some(Cure { change, help, needs_pa: Some(needs) })
    }

    /// The least wall, for filling at all and for filling surely.
    fn walls(&self) -> Vec<Cure> {
        let cells = self.rough.cells();
        let fills = |least_mm: f64, pressure_pa: f64| {
            let thicker = cells.thickened(least_mm);
            let drive = Drive { pressure_pa, ..*self.drive };
            is_full(&self.rough.with(&thicker), self.melt, &drive)
        };
        let thinnest = cells.wall_mm.iter().copied().fold(f64::INFINITY, f64::min);
        let thickest = cells.wall_mm.iter().copied().fold(0.0, f64::max);
        let found = self.targets().into_par_iter().filter_map(|(help, pressure)| {
            let [short, enough] = [thinnest, THICKEST * thickest];
            if !fills(enough, pressure) || fills(short, pressure) {
                return None;
            }
            let [_, enough] =
                bisect_to_ratio([short, enough], APART, |wall| !fills(wall, pressure));
            let least = (enough / STEP_MM).ceil() * STEP_MM;
            Some(Cure { change: Change::Wall(least), help, needs_pa: None })
        });
        let mut found: Vec<Cure> = found.collect();
        found.dedup_by(|sure, fills| {
            let same = sure.change == fills.change;
            fills.help = if same { sure.help } else { fills.help };
            same
        });
        found
    }

    /// The least gate that helps enough, and where none does the deepest.
    fn gates(&self) -> Vec<Cure> {
        let Ok(feed_design) = &self.input.evaluation.feed_design else {
            return Vec::new();
        };
        let now = feed_design.feed.gate;
        // The foot of a sprue on a face is no gate to deepen.
        let wall = self.input.shape.wall.filter(|_| !now.is_round);
        let Some(wall) = wall else { return Vec::new() };
        let last = (in_mm(wall) / STEP_MM + 1e-6).floor() as u32;
        let first = (in_mm(now.depth) / STEP_MM + 1e-6).floor() as u32 + 1;
        let mut found: Vec<Cure> = Vec::new();
        for (help, pressure) in self.targets() {
            let fills = |step: u32| self.fills_by(depth(step), pressure).is_some();
            if first > last || !fills(last) {
                continue;
            }
            let (mut low, mut high) = (first, last);
            while low < high {
                let middle = u32::midpoint(low, high);
                if fills(middle) { high = middle } else { low = middle + 1 }
            }
            let gate = self.fills_by(depth(high), pressure);
            found.extend(gate.map(|gate| Cure {
                change: Change::Gate(gate),
                help,
                needs_pa: None,
            }));
        }
        if found.is_empty() && first <= last {
            found.extend(self.least_by(depth(last)));
        }
        found
    }

    /// The gate of this depth, when it fills at this pressure.
    fn fills_by(&self, depth: Length, pressure_pa: f64) -> Option<Gate> {
        let trial = |gate: Gate, ready: &PreparedCavity<'_>, drive: &Drive<'_>| {
            let drive = Drive { pressure_pa, ..*drive };
            is_full(ready, self.melt, &drive).then_some(gate)
        };
        self.through(depth, trial)
    }

    /// What the gate of this depth brings the least pressure down to.
    fn least_by(&self, depth: Length) -> Option<Cure> {
        self.through(depth, |gate, ready, drive| {
            let least = required_pressure::least_of(ready, self.melt, drive).ok()??;
            self.cure(Change::Gate(gate), least)
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
        let table = FeedTable::new(&feed, plastic, press).ok()?;
        let take = |flow: f64| feed_loss(&table, self.input.stop, flow);
        let gates = [gate::Gate::of_feed(self.at, &feed.gate)];
        let case = Case {
            cells: self.rough.cells(),
            mesh: &input.part.mesh,
            bvh: &input.part.bvh,
            gates: &gates,
            melt: self.melt,
        };
        let ready = PreparedCavity::new(&case).ok()?;
        let channels = feed_channels::segments(&feed.mold_links());
        ask(feed.gate, &ready, &Drive { feed: &take, channels: &channels, ..*self.drive })
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
        let start = match self.least {
            RequiredPressure::Pressure { rough_pa, .. } => rough_pa,
            _ => self.drive.pressure_pa,
        };
        let drive = Drive { pressure_pa: start, ..*self.drive };
        let tried = changes.into_par_iter().filter_map(|(change, melt)| {
            let least = required_pressure::least_of(self.rough, &melt, &drive).ok()??;
            self.cure(change, least)
        });
        tried.collect()
    }

    /// The other built-in plastics that fill, each with its own feed and temperatures.
    fn plastics(&self) -> Vec<Cure> {
        let Ok(all) = Plastics::builtin() else { return Vec::new() };
        let others: Vec<(&str, &Plastic)> = all
            .iter()
            .filter(|(_, other)| {
                // What is like another is a grade of it: what is at hand, not what is bought.
                other.like.is_none() && other.name != self.input.setup.plastic.name
            })
            .collect();
        let tried = others.into_par_iter().filter_map(|(name, other)| {
            let help = self.plastic(other)?;
            let change = Change::Plastic(name.to_owned());
            Some(Cure { change, help, needs_pa: None })
        });
        tried.collect()
    }

    /// How far it helps to mold another plastic.
    fn plastic(&self, other: &Plastic) -> Option<Help> {
        let FillCase { shape, choices, setup: Setup { press, .. }, .. } = self.input;
        if other.refuse.is_some() {
            return None;
        }
        let made = evaluation::evaluate(
            shape,
            &EvaluationInput { press, plastic: other, choices, filling: None },
        );
        let feed = made.feed_design.ok()?.feed;
        let table = FeedTable::new(&feed, other, press).ok()?;
        let channels = feed_channels::segments(&feed.mold_links());
        let take = |flow: f64| feed_loss(&table, self.input.stop, flow);
        let melt = Melt::typical(other).ok()?;
        let fills = |pressure_pa: f64| {
            let drive =
                Drive { pressure_pa, feed: &take, channels: &channels, ..*self.drive };
            is_full(self.rough, &melt, &drive)
        };
        let [has, sure] = self.targets().map(|(_, pressure)| pressure);
        // Most that fail fail at once, so that is asked first.
        if !fills(has) {
            return None;
        }
        Some(if fills(sure) { Help::Sure } else { Help::Fills })
    }
}

fn depth(step: u32) -> Length {
    from_mm(f64::from(step) * STEP_MM)
}

fn is_full(ready: &PreparedCavity<'_>, melt: &Melt, drive: &Drive<'_>) -> bool {
    front::fill_again(ready, melt, drive).is_ok_and(|filling| filling.is_full())
}
