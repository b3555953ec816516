//! How long this shot takes: hold, cool, the cycle by its steps, the mold over a shift, the
//! melt in the barrel.

use super::super::feed::Feed;
use super::super::plastic::Unknown;
use crate::process::clamping::mold_plates::Plates;
use crate::process::evaluation::feed::FeedDesign;
use crate::process::evaluation::{EvaluationInput, PartData};
use crate::process::plastic::residence;
use crate::process::press::shot::Shot;
use crate::process::thermal::cooling::{self, Conditions, Section};
use crate::process::thermal::cycle::{self, Bench, Cycle, Link, Ruled, Shooting};
use crate::process::thermal::heat_up::{self, Block, Shift};
use crate::units::{Length, Mass, Quantity, Temperature, Time};

/// A shift is this long: eight hours.
pub const SHIFT_S: f64 = 8.0 * 3600.0;
/// No shift has more shots than this; the mold has settled long before.
const MOST_SHOTS: usize = 1000;

/// How long things take; each `None` while something that it needs is not known.
#[derive(Clone, Debug, Default)]
pub struct Timing {
    /// Until the first link on the way freezes.
    pub hold: Option<Ruled>,
    /// Until the last link is stiff.
    pub cool: Option<Ruled>,
    /// From shot to shot.
    pub cycle: Option<Cycle>,
    /// The mold over a shift.
    pub shift: Option<Shift>,
    /// Mean time of the melt in the heat.
    pub in_heat: Option<Time>,
    /// How long the plastic stands that, when a source says.
    pub heat_limit: Option<Time>,
    /// The plastic's value that hold and cool need and that is not known.
    pub unknown: Option<Unknown>,
}

/// What was worked out before.
#[derive(Clone, Copy)]
pub struct ShotInput<'a> {
    /// The feed, where one could be sized.
    pub feed_design: Option<&'a FeedDesign>,
    /// The shot, where it is known.
    pub shot: Option<&'a Shot>,
    /// The plates.
    pub plates: &'a Plates,
}

/// All times of this shot.
pub fn evaluate(
    shape: &PartData,
    input: ShotInput<'_>,
    with: &EvaluationInput<'_>,
) -> Timing {
    let to_freeze = cooling::to_freeze(with.plastic);
    let to_ejection = cooling::to_ejection(with.plastic);
    let unknown = [to_freeze.as_ref().err(), to_ejection.as_ref().err()];
    let unknown = unknown.into_iter().flatten().next().cloned();
    let feed = input.feed_design.map(|feed_design| &feed_design.feed);
    let hold =
        feed.zip(to_freeze.ok()).and_then(|(feed, to)| cycle::hold(&way(feed), &to));
    let hot = hot(shape, feed);
    let to_ejection = to_ejection.ok();
    let cool = to_ejection.and_then(|to| cycle::cool(&hot, &to));
    let maker = Maker { input, with, hold: hold.as_ref().map(|hold| hold.time) };
    let cycle = cool.as_ref().and_then(|cool| maker.cycle(cool.time));
    let shift = cycle.as_ref().zip(to_ejection).and_then(|(cycle, to)| {
        let at = |mold: Temperature| {
            let cool = cycle::cool(&hot, &Conditions { mold, ..to })?;
            Some(maker.cycle(cool.time)?.total)
        };
        maker.shift(cycle.total, &at)
    });
    let in_heat = maker.in_heat(cycle.as_ref());
    let melt = with.plastic.melt_temperature.value;
    let heat_limit = melt.and_then(|melt| residence::limit(with.plastic, melt.typical()));
    Timing { hold, cool, cycle, shift, in_heat, heat_limit, unknown }
}

fn link(name: &str, section: Section, measure: Length) -> Link {
    Link { name: name.to_owned(), section, measure }
}

fn runner(feed: &Feed) -> Option<Link> {
    feed.runner.map(|it| link("runner", Section::Rod, it.diameter))
}

/// The sprue, by one of its diameters; `None` when there is none.
fn sprue(feed: &Feed, name: &str, diameter: Length) -> Option<Link> {
    (feed.sprue.length.si() > 0.0).then(|| link(name, Section::Rod, diameter))
}

/// The links that freeze on the way to the cavity.
fn way(feed: &Feed) -> Vec<Link> {
    let gate = feed.gate;
    let gate = (!gate.is_round)
        .then(|| link("gate", Section::Plate, gate.depth.min(gate.width)));
    let sprue = sprue(feed, "sprue", feed.sprue.inlet);
    [gate, runner(feed), sprue].into_iter().flatten().collect()
}

/// All that has to get stiff: the largest ball in the part, as a wall of its diameter, and
/// the thick pieces of the feed.
fn hot(shape: &PartData, feed: Option<&Feed>) -> Vec<Link> {
    // Without the part no time is worth telling.
    let Some(wall) = shape.thickest else { return Vec::new() };
    let lump = link("thickest place of the part", Section::Plate, wall);
    let rods = feed.into_iter().flat_map(|feed| {
        let foot = sprue(feed, "foot of the sprue", feed.sprue.foot);
        runner(feed).into_iter().chain(foot)
    });
    std::iter::once(lump).chain(rods).collect()
}

struct Maker<'a> {
    input: ShotInput<'a>,
    with: &'a EvaluationInput<'a>,
    hold: Option<Time>,
}

impl Maker<'_> {
    fn cycle(&self, cool: Time) -> Option<Cycle> {
        let shot = self.input.shot?;
        let solid = self.with.plastic.solid_density.value?;
        let charge: Mass = self.with.press.granule_charge(solid);
        let filling = self.input.feed_design?.filling.as_ref().ok()?;
        let shooting = Shooting {
            fill: filling.time,
            hold: self.hold?,
            cool,
            shots_per_charge: cycle::shots_per_charge(charge, shot.total)?,
        };
        let bolts = self.with.press.bolts();
        let bench = Bench::of_bolts(bolts.map_or(0, |bolts| bolts.count));
        Some(cycle::cycle(&shooting, &bench))
    }

    /// As many shots as a shift has at the first cycle.
    fn shift(
        &self,
        first: Time,
        cycle: &dyn Fn(Temperature) -> Option<Time>,
    ) -> Option<Shift> {
        let shot = self.input.shot?.total;
        let plates = self.input.plates;
        heat_up::heat_per_shot(self.with.plastic, shot, plates.start).ok()?;
        let block = Block::new(plates, plates.start, 0.0);
        let heat = |mold: Temperature| {
            heat_up::heat_per_shot(self.with.plastic, shot, mold).unwrap_or(0.0)
        };
        let wanted = SHIFT_S / first.si();
        let shots = wanted.ceil().clamp(1.0, MOST_SHOTS as f64) as usize;
        Some(heat_up::shift(&block, shots, &heat, cycle))
    }

    fn in_heat(&self, cycle: Option<&Cycle>) -> Option<Time> {
        let melt = self.with.plastic.melt_density.value?;
        let inventory = self.with.press.inventory(melt);
        residence::time(inventory, self.input.shot?.total, cycle?.total)
    }
}
