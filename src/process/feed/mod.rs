//! Sprue, runner, gate and cold-slug well, sized for the part and the press at hand, and what
//! they cost in pressure.
//!
//! | question | file |
//! |---|---|
//! | what does a channel cost in pressure | [`channel`] |
//! | does the nozzle hold, lose, freeze | [`nozzle`] |
//! | how wide a runner by the rule, with which cutter | [`runner`] |
//! | what is a sprue, a runner, a gate, a well | `pieces` |
//! | which layouts are there | [`layout`] |
//! | when does each section freeze | [`freezing`] |
//! | what does each link cost | [`losses`] |
//! | what stops the feed from losing less | [`bound`] |
//! | which sprues, runners and gates can be cut | [`options`] |
//! | how thick is each piece | [`sizing`] |
//! | how deep a vent, how many | [`vents`] |
//!
//! - The **sprue** starts wider than the nozzle's orifice and opens by 2.4°. It is short: the
//!   nozzle stands in a counterbore of the plate.
//! - The **runner** is a full round, as wide as a ball cutter at hand, or a trapezoid in one plate.
//! - The **gate** is an edge gate, or the foot of a sprue that stands on a face of the part.
//! - The **well** catches the cold slug opposite a sprue that ends at a runner.
//!
//! Every measure may be chosen instead ([`FeedChoices`]). One gate and one straight runner for each
//! cavity, all alike and from one sprue: no other branched feed is sized here. The bend from sprue to runner costs nothing here.

pub mod channel;
pub mod nozzle;
pub mod runner;
mod pieces;
pub mod layout;
pub mod freezing;
pub mod losses;
pub mod bound;
pub mod options;
pub mod sizing;
pub mod vents;

use super::plastic::{Plastic, Unknown};
use super::press::{Nozzle, Press, circle};
pub use crate::process::feed::freezing::Freezing;
use crate::process::feed::layout::FeedLayout;
pub use crate::process::feed::losses::Loss;
pub use crate::process::feed::pieces::{
    Gate, Runner, RunnerSection, Sprue, TRAPEZOID_LEAN_DEG, Well,
};
use crate::process::feed::sizing::Sizes;
use crate::units::format::four_digits;
use crate::units::{
    Angle, Area, Length, Mass, Quantity, Volume, VolumeRate, from_mm, in_mm,
};

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
/// The tip of a nozzle is this much wider than its seat when the press file does not say, mm
/// (judgment: wall of a brass tip on both sides).
pub const NOSE_WALL_MM: f64 = 6.0;
/// Width of the tip when the press file names no seat either, mm (from memory).
pub const USUAL_NOSE_MM: f64 = 14.0;
/// The counterbore is this much wider than the tip, mm (judgment).
pub const NOSE_CLEARANCE_MM: f64 = 2.0;
/// How far the tip reaches into a counterbore when the press file does not say, mm (judgment).
pub const NOSE_REACH_MM: f64 = 30.0;

/// What the feed is for.
#[derive(Clone, Copy, Debug)]
pub struct FeedTask<'a> {
    /// How it lies.
    pub layout: FeedLayout,
    /// Mass of the part.
    pub part: Mass,
    /// Wall thickness where the gate meets it.
    pub wall: Length,
    /// Diameter of the largest ball in the part.
    pub thickest: Length,
    /// The gate is no deeper than this.
    pub most_gate_depth: Length,
    /// The gate is no wider than this, unless that was chosen.
    pub most_gate_width: Length,
    /// Diameter of the flat place that a direct sprue stands on.
    pub room: Option<Length>,
    /// How many cavities it feeds, each by a runner of its own from one sprue.
    pub cavities: u32,
    /// From the sprue to each gate; none when the sprue stands at the part.
    pub runner_length: Length,
    /// From the nozzle to the runner; none when the nozzle meets the runner.
    pub sprue_length: Length,
    /// The flow that it has to carry; sizes follow rules of thumb when not known.
    pub flow: Option<VolumeRate>,
    /// What is molded.
    pub plastic: &'a Plastic,
    /// With what.
    pub press: &'a Press,
}

/// Measures that the user chose; sized for the press where `None`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FeedChoices {
    /// How the feed lies.
    pub layout: Option<FeedLayout>,
    /// Diameters of the ball cutters at hand; [`runner::CUTTERS_MM`] when empty.
    pub cutters: Vec<Length>,
    /// Diameter of the runner.
    pub runner_diameter: Option<Length>,
    /// Section of the runner.
    pub runner_section: RunnerSection,
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
}

impl FeedChoices {
    /// The ball cutters at hand.
    pub fn cutters_at_hand(&self) -> Vec<Length> {
        if self.cutters.is_empty() {
            runner::usual_cutters()
        } else {
            self.cutters.clone()
        }
    }

    /// Whether a measure of runner, gate or well was chosen, which a direct sprue has not.
    pub fn has_edge_measures(&self) -> bool {
        let own = [
            self.runner_diameter,
            self.gate_depth,
            self.gate_width,
            self.gate_land,
            self.well_diameter,
            self.well_length,
        ];
        own.iter().any(Option::is_some)
    }
}

/// A feed, sized.
#[derive(Clone, Debug, PartialEq)]
pub struct Feed {
    /// How it lies.
    pub layout: FeedLayout,
    /// How many cavities it feeds: runner and gate are there once for each.
    pub cavities: u32,
    /// The sprue.
    pub sprue: Sprue,
    /// The runner; `None` when the sprue stands at the part or at the gate.
    pub runner: Option<Runner>,
    /// The gate.
    pub gate: Gate,
    /// The cold-slug well; of no length where none is cut.
    pub well: Well,
    /// Diameter of the counterbore that the nozzle stands in.
    pub counterbore: Length,
    /// The nozzle before it, when the press file names one.
    pub nozzle: Option<Nozzle>,
    /// When each section freezes; the reason when the plastic does not say.
    pub freezing: Result<Freezing, Unknown>,
    /// What was assumed, and what looks wrong, each in one line.
    pub notes: Vec<String>,
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
    let sizes = sizing::choose(task, choices, &mut notes);
    let mut feed = Feed::new(task, &sizes);
    if task.layout == FeedLayout::Edge {
        if let Some(own) = choices.well_diameter {
            feed.well = Well { diameter: own, length: WELL_LENGTH * own };
        }
        if let Some(own) = choices.well_length {
            feed.well.length = own;
        }
    }
    let runner = sizes.runner.map(|runner| runner.diameter);
    feed.freezing = Freezing::estimate(
        task.plastic,
        &sizes.gate,
        runner,
        sizes.sprue.inlet,
        task.wall,
    );
    notes.extend(feed.freezing.iter().flat_map(Freezing::faults));
    feed.notes = notes;
    Ok(feed)
}

fn check(task: &FeedTask<'_>, choices: &FeedChoices) -> Result<(), FeedError> {
    let refuse = |what, problem| Err(FeedError { what, problem });
    let own = [
        ("wall", Some(task.wall)),
        ("thickest place", Some(task.thickest)),
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

/// Width of the tip of this press's nozzle.
pub fn nose_diameter(press: &Press) -> Length {
    let nozzle = press.nozzle.as_ref();
    let own = nozzle.and_then(|nozzle| nozzle.nose_diameter);
    let seat = nozzle.and_then(|nozzle| nozzle.seat_diameter);
    own.or(seat.map(|seat| seat + from_mm(NOSE_WALL_MM)))
        .unwrap_or(from_mm(USUAL_NOSE_MM))
}

/// How far the tip of this press's nozzle reaches into a counterbore.
pub fn nose_reach(press: &Press) -> Length {
    let own = press.nozzle.as_ref().and_then(|nozzle| nozzle.nose_length);
    own.unwrap_or(from_mm(NOSE_REACH_MM))
}

impl Feed {
    /// A feed of these sizes with the well of the rule.
    fn new(task: &FeedTask<'_>, sizes: &Sizes) -> Self {
        let FeedTask { layout, cavities, press, .. } = *task;
        let Sizes { sprue, runner, gate } = *sizes;
        let length = match layout {
            FeedLayout::Edge => WELL_LENGTH * sprue.foot,
            FeedLayout::Direct | FeedLayout::Split => Length::default(),
        };
        Self {
            layout,
            cavities,
            sprue,
            runner,
            gate,
            well: Well { diameter: sprue.foot, length },
            counterbore: nose_diameter(press) + from_mm(NOSE_CLEARANCE_MM),
            nozzle: press.nozzle.clone(),
            freezing: Err(Unknown {
                what: "time in which the feed freezes",
                plastic: String::new(),
                reason: "not estimated".to_owned(),
            }),
            notes: Vec::new(),
        }
    }

    /// Its sizes, as "sprue 3.7 to 4.3 × 15 mm, runner 4 × 10 mm, gate 1.8 × 6 mm".
    pub fn sizes_in_words(&self) -> String {
        let mm = |length: Length| four_digits(in_mm(length));
        let Sprue { inlet, foot, length } = self.sprue;
        let mut pieces =
            vec![format!("sprue {} to {} × {} mm", mm(inlet), mm(foot), mm(length))];
        let each = match self.cavities {
            1 => String::new(),
            count => format!("{count} of: "),
        };
        if let Some(Runner { diameter, length, section }) = self.runner {
            let form = match section {
                RunnerSection::Round => "",
                RunnerSection::Trapezoid => "trapezoid ",
            };
            pieces.push(format!(
                "{each}runner {form}{} × {} mm",
                mm(diameter),
                mm(length)
            ));
        }
        if !self.gate.is_round {
            let Gate { depth, width, .. } = self.gate;
            pieces.push(format!("{each}gate {} × {} mm", mm(depth), mm(width)));
        }
        pieces.join(", ")
    }

    /// Volume of sprue, all runners and gates, and well.
    pub fn volume(&self) -> Volume {
        let cone = self.sprue.volume();
        let runner =
            self.runner.map_or(Volume::default(), |runner| runner.area() * runner.length);
        let gate: Volume = self.gate.depth * self.gate.width * self.gate.land;
        let each = (runner + gate) * f64::from(self.cavities);
        cone + each + circle(self.well.diameter) * self.well.length
    }

    /// Area of the feed on the parting plane, on which the melt opens the mold. A sprue that
    /// lies in the parting line counts with its whole length; one that stands on the part adds
    /// nothing to the part's own.
    pub fn projected_area(&self) -> Area {
        let runner = self
            .runner
            .map_or(Area::default(), |runner| runner.widths()[0] * runner.length);
        let gate: Area = self.gate.width * self.gate.land;
        let Sprue { inlet, foot, length } = self.sprue;
        let sprue = match self.layout {
            FeedLayout::Direct => Area::default(),
            FeedLayout::Edge => circle(foot.max(self.well.diameter)),
            FeedLayout::Split => (inlet + foot) / 2.0 * length,
        };
        (runner + gate) * f64::from(self.cavities) + sprue
    }
}

#[cfg(test)]
mod tests;
