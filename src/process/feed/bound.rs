//! Which bound keeps the feed from costing less pressure.

use super::{Feed, FeedChoices, Loss};
use crate::units::{Length, Quantity, format::four_digits, in_mm};

/// What stops the feed from losing less.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FeedBound {
    /// The orifice of the nozzle, which belongs to the press.
    Nozzle(Length),
    /// A thicker sprue or runner would more than double the shortest cycle; the
    /// diameter that it has.
    Cooling(Length),
    /// No wider ball cutter is at hand; the diameter of the widest.
    Cutter(Length),
    /// The gate is as deep and wide as can be trimmed; its depth and width.
    Gate([Length; 2]),
    /// The flat place of the face that the sprue stands on; its diameter.
    Face(Length),
    /// A measure that the user gave: its name.
    Given(&'static str),
}

impl FeedBound {
    /// The key of it in a report.
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Nozzle(_) => "nozzle",
            Self::Cooling(_) => "cooling",
            Self::Cutter(_) => "cutter",
            Self::Gate(_) => "gate",
            Self::Face(_) => "face",
            Self::Given(_) => "given",
        }
    }

    /// The bound in one line.
    pub fn text(&self) -> String {
        let mm = |length: &Length| four_digits(in_mm(*length));
        match self {
            Self::Nozzle(orifice) => {
                format!("nozzle orifice {} mm, which belongs to the press", mm(orifice))
            }
            Self::Cooling(diameter) => format!(
                "cooling: sprue or runner thicker than {} mm would more than double the shortest cycle",
                mm(diameter)
            ),
            Self::Cutter(diameter) => {
                format!(
                    "cutters: no ball cutter wider than {} mm is at hand",
                    mm(diameter)
                )
            }
            Self::Gate([depth, width]) => format!(
                "trimming: a gate of {} × {} mm is as deep and wide as this edge allows",
                mm(depth),
                mm(width)
            ),
            Self::Face(diameter) => format!(
                "the face that the sprue stands on is flat for {} mm only",
                mm(diameter)
            ),
            Self::Given(what) => format!("{what}, as given"),
        }
    }

    /// What moves this bound.
    pub fn remedy(&self) -> String {
        match self {
            Self::Nozzle(_) => {
                "bore the nozzle wider and its land shorter; the sprue follows".to_owned()
            }
            Self::Cooling(_) => {
                "shorten sprue and runner, or accept more cooling with a thicker one"
                    .to_owned()
            }
            Self::Cutter(_) => "use a wider ball cutter for the runner".to_owned(),
            Self::Gate(_) => "a wider or deeper gate, cut off with a saw".to_owned(),
            Self::Face(_) => "another layout: sprue, runner and edge gate".to_owned(),
            Self::Given(what) => format!("leave {what} to the program, or widen it"),
        }
    }
}

/// The bound that the costliest piece of `feed` stands at. `losses` are those of its links,
/// in their order; `widest` is the widest cutter at hand.
pub fn find(
    feed: &Feed,
    losses: &[Loss],
    choices: &FeedChoices,
    widest: Length,
    room: Option<Length>,
) -> FeedBound {
    let of_nozzle = feed.nozzle_links().len();
    let sum = |links: &[&str]| -> f64 {
        let rest = losses.iter().skip(of_nozzle);
        rest.filter(|it| links.contains(&it.name)).map(|it| it.loss.si()).sum()
    };
    let nozzle: f64 = losses.iter().take(of_nozzle).map(|it| it.loss.si()).sum();
    let [sprue, runner, gate] =
        [sum(&["sprue"]), sum(&["runner"]), sum(&["into the gate", "gate"])];
    let most = nozzle.max(sprue).max(runner).max(gate);
    if let Some(own) = feed.nozzle.as_ref().filter(|_| nozzle >= most) {
        return FeedBound::Nozzle(own.orifice);
    }
    if gate >= most {
        if choices.gate_depth.or(choices.gate_width).or(choices.gate_land).is_some() {
            return FeedBound::Given("the gate");
        }
        return FeedBound::Gate([feed.gate.depth, feed.gate.width]);
    }
    if let Some(own) = feed.runner.filter(|_| runner >= most) {
        return if choices.runner_diameter.is_some() {
            FeedBound::Given("the runner")
        } else if own.diameter >= widest * (1.0 - 1e-9) {
            FeedBound::Cutter(own.diameter)
        } else {
            FeedBound::Cooling(own.diameter)
        };
    }
    if choices.sprue_inlet.is_some() || choices.sprue_taper.is_some() {
        return FeedBound::Given("the sprue");
    }
    match room.filter(|room| feed.sprue.foot >= *room * 0.95) {
        Some(room) => FeedBound::Face(room),
        None => FeedBound::Cooling(feed.sprue.foot),
    }
}
