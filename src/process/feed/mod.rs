//! Sprue, runner, gate and cold-slug well, sized from the part and the press, and what they
//! cost in pressure.
//!
//! - The **runner** by the rule and the cutters of [`crate::process::feed::runner`], then up to the first
//!   cutter whose runner stays open longer than the gate.
//! - The **gate** is an edge gate: 60 % of the wall deep, twice as wide, its land short.
//! - The **sprue** starts wider than the nozzle's orifice and opens by 2.4°.
//! - The **well** catches the cold slug opposite the sprue.
//!
//! Every measure may be chosen instead ([`FeedChoices`]). One gate, one straight runner: a
//! branched feed is not sized here. The bend from sprue to runner costs nothing here.

pub mod channel;
pub mod nozzle;
pub mod runner;
mod losses;
pub mod vents;

use super::plastic::{Plastic, Unknown};
use super::press::{Nozzle, Press, circle};
use crate::process::thermal::cooling::{self, Section};
use crate::units::format::four_digits;
use crate::units::{
    Angle, Area, Length, Mass, Quantity, Ratio, Time, Volume, from_degrees, from_mm,
    in_mm,
};
pub use losses::Loss;

/// Depth of the gate as a share of the wall: 60 % (sources give 40 to 80 %; a low pressure
/// asks for the high end).
pub const GATE_DEPTH: f64 = 0.6;
/// Width of the gate over its depth (trade rule).
pub const GATE_WIDTH: f64 = 2.0;
/// Length of the gate: 1.25 mm, of 1.0 to 1.5 mm in two guides.
pub const GATE_LAND_MM: f64 = 1.25;
/// How much wider the sprue starts than the orifice, so that the slug pulls out: 0.5 mm (0.4
/// to 0.8 mm in two guides).
pub const SPRUE_STEP_MM: f64 = 0.5;
/// Included angle of the sprue: 2.4° (common practice).
pub const SPRUE_TAPER_DEG: f64 = 2.4;
/// Length of the cold-slug well over its diameter, that of the sprue's foot: 1.25 (common
/// practice 1 to 1.5).
pub const WELL_LENGTH: f64 = 1.25;
/// Orifice taken when the press file names no nozzle, mm.
pub const USUAL_ORIFICE_MM: f64 = 3.0;

/// What the feed is for.
#[derive(Clone, Copy, Debug)]
pub struct FeedTask<'a> {
    /// Mass of the part.
    pub part: Mass,
    /// Wall thickness where the gate meets it.
    pub wall: Length,
    /// From the sprue to the gate; none when the sprue stands at the part.
    pub runner_length: Length,
    /// From the nozzle to the runner; none when the nozzle meets the runner.
    pub sprue_length: Length,
    /// What is molded.
    pub plastic: &'a Plastic,
    /// With what.
    pub press: &'a Press,
}

/// Measures that the user chose; the rule where `None`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FeedChoices {
    /// Diameters of the ball cutters at hand; [`runner::CUTTERS_MM`] when empty.
    pub cutters: Vec<Length>,
    /// The runner one cutter wider than by the rule, for a low pressure.
    pub one_cutter_up: bool,
    /// Diameter of the runner.
    pub runner_diameter: Option<Length>,
    /// Depth of the gate.
    pub gate_depth: Option<Length>,
    /// Width of the gate.
    pub gate_width: Option<Length>,
    /// Length of the gate.
    pub gate_land: Option<Length>,
    /// Diameter of the sprue at the nozzle.
    pub sprue_inlet: Option<Length>,
    /// Included angle of the sprue.
    pub sprue_taper: Option<Angle>,
    /// Diameter of the cold-slug well.
    pub well_diameter: Option<Length>,
    /// Length of the cold-slug well.
    pub well_length: Option<Length>,
    /// The sprue lies in the parting line, half in each plate.
    pub sprue_split: bool,
}

/// A feed, sized.
#[derive(Clone, Debug, PartialEq)]
pub struct Feed {
    /// The sprue.
    pub sprue: Sprue,
    /// The runner; `None` when the sprue stands at the part.
    pub runner: Option<Runner>,
    /// The gate.
    pub gate: Gate,
    /// The cold-slug well.
    pub well: Well,
    /// The nozzle before it, when the press file names one.
    pub nozzle: Option<Nozzle>,
    /// Whether the sprue lies in the parting line.
    pub sprue_split: bool,
    /// When each section freezes; the reason when the plastic does not say.
    pub freezing: Result<Freezing, Unknown>,
    /// What was assumed, and what looks wrong, each in one line.
    pub notes: Vec<String>,
}

/// A cone that opens toward the part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sprue {
    /// Diameter at the nozzle.
    pub inlet: Length,
    /// Diameter at the foot.
    pub foot: Length,
    /// Length.
    pub length: Length,
}

/// A full round.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Runner {
    /// Diameter.
    pub diameter: Length,
    /// Length.
    pub length: Length,
}

/// A rectangle at the edge of the part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gate {
    /// Along the pull.
    pub depth: Length,
    /// Along the edge.
    pub width: Length,
    /// Along the flow.
    pub land: Length,
}

/// A blind round hole opposite the sprue.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Well {
    /// Diameter.
    pub diameter: Length,
    /// Length.
    pub length: Length,
}

/// When the middle of each section no longer flows, on a wall at mold temperature; `None`
/// when the mold is too warm for it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Freezing {
    /// The gate, as a plate of its depth.
    pub gate: Option<Time>,
    /// The runner, as a rod.
    pub runner: Option<Time>,
    /// The sprue where it is thinnest, as a rod.
    pub sprue: Option<Time>,
    /// The part's wall at the gate, as a plate.
    pub wall: Option<Time>,
}

/// Why no feed could be sized.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("feed: {what} {problem}")]
pub struct FeedError {
    /// Which measure.
    pub what: &'static str,
    /// What is wrong with it.
    pub problem: &'static str,
}

/// Sizes the feed.
///
/// # Errors
///
/// [`FeedError`] for a measure that cannot be: nothing or less, or a gate deeper than its
/// wall.
pub fn design(task: &FeedTask<'_>, choices: &FeedChoices) -> Result<Feed, FeedError> {
    check(task, choices)?;
    let mut notes = Vec::new();
    let gate = gate(task, choices);
    let sprue = sprue(task, choices, &mut notes);
    let heat = cooling::to_freeze(task.plastic);
    let time = |section, measure| {
        let heat = heat.as_ref().ok()?;
        cooling::time(section, measure, heat)
    };
    let rod = |diameter| time(Section::Rod, diameter);
    let gate_time = time(Section::Plate, gate.depth);
    let outlasts = |diameter| match (rod(diameter), gate_time) {
        (Some(runner), Some(gate)) => runner >= gate,
        _ => true,
    };
    let runner = (task.runner_length.si() > 0.0).then(|| Runner {
        diameter: runner_diameter(task, choices, &outlasts, &mut notes),
        length: task.runner_length,
    });
    let freezing = Freezing {
        gate: gate_time,
        runner: runner.and_then(|runner| rod(runner.diameter)),
        sprue: rod(sprue.inlet),
        wall: time(Section::Plate, task.wall),
    };
    let well_diameter = choices.well_diameter.unwrap_or(sprue.foot);
    let well_length = choices.well_length.unwrap_or(WELL_LENGTH * well_diameter);
    let freezing = heat.map(|_| freezing);
    notes.extend(freezing.iter().flat_map(Freezing::faults));
    Ok(Feed {
        sprue,
        runner,
        gate,
        well: Well { diameter: well_diameter, length: well_length },
        nozzle: task.press.nozzle.clone(),
        sprue_split: choices.sprue_split,
        freezing,
        notes,
    })
}

fn check(task: &FeedTask<'_>, choices: &FeedChoices) -> Result<(), FeedError> {
    let refuse = |what, problem| Err(FeedError { what, problem });
    let own = [
        ("wall", Some(task.wall)),
        ("runner_diameter", choices.runner_diameter),
        ("gate_depth", choices.gate_depth),
        ("gate_width", choices.gate_width),
        ("gate_land", choices.gate_land),
        ("sprue_inlet", choices.sprue_inlet),
        ("well_diameter", choices.well_diameter),
    ];
    let whole = |value: Length| value.si() > 0.0 && value.si().is_finite();
    if let Some((what, _)) =
        own.iter().find(|(_, value)| value.is_some_and(|v| !whole(v)))
    {
        return refuse(what, "must be more than nothing");
    }
    if choices.cutters.iter().any(|cutter| !whole(*cutter)) {
        return refuse("cutters", "must all be more than nothing");
    }
    let ways =
        [task.runner_length, task.sprue_length, choices.well_length.unwrap_or_default()];
    if ways.iter().any(|way| !(way.si() >= 0.0 && way.si().is_finite())) {
        return refuse("length of runner, sprue or well", "must not be below nothing");
    }
    let taper = choices.sprue_taper.map_or(0.0, Quantity::si);
    if !(0.0..=1.0).contains(&taper) {
        return refuse("sprue_taper", "is 0 to 57 deg, most are 2 to 4");
    }
    if choices.gate_depth.is_some_and(|depth| depth > task.wall) {
        return refuse("gate_depth", "must not be more than the wall");
    }
    Ok(())
}

fn gate(task: &FeedTask<'_>, choices: &FeedChoices) -> Gate {
    let depth = choices.gate_depth.unwrap_or(GATE_DEPTH * task.wall);
    Gate {
        depth,
        width: choices.gate_width.unwrap_or(GATE_WIDTH * depth),
        land: choices.gate_land.unwrap_or(from_mm(GATE_LAND_MM)),
    }
}

fn sprue(task: &FeedTask<'_>, choices: &FeedChoices, notes: &mut Vec<String>) -> Sprue {
    let step = from_mm(SPRUE_STEP_MM);
    let orifice = task.press.nozzle.as_ref().map(|nozzle| nozzle.orifice);
    let inlet = choices.sprue_inlet.unwrap_or_else(|| {
        let usual = || {
            notes.push(format!(
                "the press file names no nozzle: an orifice of {USUAL_ORIFICE_MM} mm is taken"
            ));
            from_mm(USUAL_ORIFICE_MM)
        };
        orifice.unwrap_or_else(usual) + step
    });
    if orifice.is_some_and(|orifice| inlet <= orifice) {
        notes.push(
            "the sprue is no wider than the orifice: its slug will not pull".to_owned(),
        );
    }
    let taper = choices.sprue_taper.unwrap_or(from_degrees(SPRUE_TAPER_DEG));
    let foot = inlet + 2.0 * task.sprue_length * (taper.si() / 2.0).tan();
    Sprue { inlet, foot, length: task.sprue_length }
}

fn runner_diameter(
    task: &FeedTask<'_>,
    choices: &FeedChoices,
    outlasts_the_gate: &dyn Fn(Length) -> bool,
    notes: &mut Vec<String>,
) -> Length {
    if let Some(own) = choices.runner_diameter {
        return own;
    }
    let usual = runner::usual_cutters();
    let cutters = if choices.cutters.is_empty() { &usual } else { &choices.cutters };
    let allowance = task.plastic.runner_allowance.value.unwrap_or(Ratio::from_si(0.0));
    let wanted = runner::wanted(task.part, task.runner_length, allowance);
    let Some(mut diameter) = runner::cutter(wanted, cutters) else {
        let text = four_digits(in_mm(wanted));
        notes.push(format!("no cutter is as wide as the runner of {text} mm: it is made so by two passes or a larger cutter"));
        return wanted;
    };
    if choices.one_cutter_up {
        diameter = runner::one_up(diameter, cutters);
    }
    let by_rule = diameter;
    while !outlasts_the_gate(diameter) {
        let wider = runner::one_up(diameter, cutters);
        if wider <= diameter {
            break;
        }
        diameter = wider;
    }
    if diameter > by_rule {
        notes.push(format!(
            "runner {} mm instead of {}: it has to stay open longer than the gate",
            four_digits(in_mm(diameter)),
            four_digits(in_mm(by_rule))
        ));
    }
    diameter
}

impl Freezing {
    /// What freezes in the wrong order: the gate has to freeze before the wall behind it, and
    /// everything before the gate after it.
    pub fn faults(&self) -> Vec<String> {
        let early = |one: Option<Time>, other: Option<Time>| match (one, other) {
            (Some(one), Some(other)) => one < other,
            _ => false,
        };
        [
            (early(self.wall, self.gate), "the gate freezes after the wall behind it: it sets the cycle"),
            (early(self.runner, self.gate), "the runner freezes before the gate: the part cannot be packed to the end"),
            (early(self.sprue, self.gate), "the sprue freezes before the gate: the part cannot be packed to the end"),
        ]
        .into_iter()
        .filter(|(wrong, _)| *wrong)
        .map(|(_, text)| text.to_owned())
        .collect()
    }
}

impl Feed {
    /// Volume of sprue, runner, gate and well.
    pub fn volume(&self) -> Volume {
        let Sprue { inlet, foot, length } = self.sprue;
        // A frustum: π/12 (d₁² + d₁d₂ + d₂²) L.
        let cone: Volume = std::f64::consts::PI / 12.0
            * (inlet * inlet + inlet * foot + foot * foot)
            * length;
        let runner = self
            .runner
            .map_or(Volume::default(), |runner| circle(runner.diameter) * runner.length);
        let gate: Volume = self.gate.depth * self.gate.width * self.gate.land;
        cone + runner + gate + circle(self.well.diameter) * self.well.length
    }

    /// Area of the feed on the parting plane, on which the melt opens the mold. A sprue that
    /// lies in the parting line counts with its whole length, and its well with it.
    pub fn projected_area(&self) -> Area {
        let runner =
            self.runner.map_or(Area::default(), |runner| runner.diameter * runner.length);
        let gate: Area = self.gate.width * self.gate.land;
        let Sprue { inlet, foot, length } = self.sprue;
        let sprue = if self.sprue_split {
            (inlet + foot) / 2.0 * length + self.well.diameter * self.well.length
        } else {
            circle(foot.max(self.well.diameter))
        };
        runner + gate + sprue
    }
}

#[cfg(test)]
mod tests;
