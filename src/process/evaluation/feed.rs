//! The feed of this part on this press, the flow it has to carry, and what it costs.

use super::super::feed::{self, Feed, FeedError, FeedTask, Loss};
use super::super::plastic::{Plastic, Unknown};
use super::super::press::Press;
use crate::process::clamping::mold_plates::Plates;
use crate::process::evaluation::{EvaluationInput, PartData};
use crate::process::feed::nozzle;
use crate::process::thermal::cooling::{self, Section};
use crate::units::{Length, Pressure, Quantity, Time, Volume, VolumeRate, from_mm};

/// The cavity has to be full after this share of the time in which its median wall freezes
/// through: a quarter, so that about half of the wall still flows (the skin grows with the
/// square root of time). An assumption.
pub const FILL_SHARE: f64 = 0.25;
/// From the sprue to the gate when nothing is said: 15 mm, the land between sprue and
/// cavity (common practice 10 to 20).
pub const RUNNER_MM: f64 = 15.0;
/// A feed and what it costs.
#[derive(Clone, Debug, PartialEq)]
pub struct FeedDesign {
    /// Sprue, runner, gate, well.
    pub feed: Feed,
    /// The flow it has to carry.
    pub filling: Result<Filling, Unknown>,
    /// What each link costs at that flow.
    pub losses: Result<Vec<Loss>, Unknown>,
    /// What all of them cost at the slowest flow that fills the cavity before its median
    /// wall has frozen through.
    pub lost_at_slowest: Option<Pressure>,
    /// Whether the length of the runner was assumed.
    pub runner_assumed: bool,
    /// Whether the length of the sprue was assumed.
    pub sprue_assumed: bool,
}

/// How fast the cavity has to fill.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Filling {
    /// Time for it.
    pub time: Time,
    /// Melt into the cavity.
    pub flow: VolumeRate,
    /// Time in which the median wall freezes through.
    pub freezes: Time,
    /// Whether the ram is too slow for [`FILL_SHARE`], so that its speed sets both.
    pub ram_limits: bool,
}

/// Why there is no feed.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoFeed {
    /// The part has no volume.
    #[error("feed: the surface is open, so the part has no mass to size it by")]
    Open,
    /// No wall was measured.
    #[error("feed: no wall was measured")]
    NoWall,
    /// The plastic lacks a value.
    #[error(transparent)]
    Unknown(#[from] Unknown),
    /// A measure cannot be.
    #[error(transparent)]
    Measure(#[from] FeedError),
}

/// The feed for a part in these plates.
///
/// # Errors
///
/// [`NoFeed`] when the part gives no measure for it, or a wanted measure cannot be.
pub fn size(
    shape: &PartData,
    plates: &Plates,
    with: &EvaluationInput<'_>,
) -> Result<FeedDesign, NoFeed> {
    let volume = shape.volume.ok_or(NoFeed::Open)?;
    let wall = shape.wall.ok_or(NoFeed::NoWall)?;
    let solid = *with.plastic.need(&with.plastic.solid_density, "solid density")?;
    let runner = with.choices.runner_length;
    let sprue = with.choices.sprue_length;
    let task = FeedTask {
        part: volume * solid,
        wall,
        runner_length: runner.unwrap_or(from_mm(RUNNER_MM)),
        sprue_length: sprue.unwrap_or(plates.thickness),
        plastic: with.plastic,
        press: with.press,
    };
    let feed = feed::design(&task, &with.choices.feed)?;
    let filling = filling(volume, wall, with.plastic, with.press);
    let melt = nozzle::melt(with.plastic, with.press);
    let lost_at_slowest =
        filling.as_ref().ok().zip(melt.as_ref().ok()).map(|(filling, melt)| {
            nozzle::loss(&feed.links(), melt, volume / filling.freezes)
        });
    let losses = match (&filling, melt) {
        (Ok(filling), Ok(melt)) => Ok(feed.losses(&melt, filling.flow)),
        (Err(unknown), _) => Err(unknown.clone()),
        (_, Err(unknown)) => Err(unknown),
    };
    Ok(FeedDesign {
        feed,
        filling,
        losses,
        lost_at_slowest,
        runner_assumed: runner.is_none(),
        sprue_assumed: sprue.is_none(),
    })
}

/// How fast a cavity of this volume and wall has to fill.
///
/// # Errors
///
/// [`Unknown`] when the plastic does not say when it freezes.
pub fn filling(
    cavity: Volume,
    wall: Length,
    plastic: &Plastic,
    press: &Press,
) -> Result<Filling, Unknown> {
    let heat = cooling::to_freeze(plastic)?;
    let freezes = cooling::time(Section::Plate, wall, &heat);
    let freezes = freezes.ok_or_else(|| Unknown {
        what: "time in which a wall freezes",
        plastic: plastic.name.clone(),
        reason: "the mold is warmer than where it stops to flow".to_owned(),
    })?;
    let time = freezes * FILL_SHARE;
    let wanted: VolumeRate = cavity / time;
    match press.flow_limit() {
        Some(most) if most < wanted => {
            Ok(Filling { time: cavity / most, flow: most, freezes, ram_limits: true })
        }
        _ => Ok(Filling { time, flow: wanted, freezes, ram_limits: false }),
    }
}

impl FeedDesign {
    /// Pressure lost in all links at the needed flow; `None` when it is not known.
    pub fn lost(&self) -> Option<Pressure> {
        let losses = self.losses.as_ref().ok()?;
        let whole: Pressure = losses.iter().map(|loss| loss.loss).sum();
        whole.si().is_finite().then_some(whole)
    }

    /// The link that costs most.
    pub fn dearest(&self) -> Option<&Loss> {
        let losses = self.losses.as_ref().ok()?;
        losses.iter().max_by(|a, b| a.loss.si().total_cmp(&b.loss.si()))
    }
}
