//! The feed of this part on this press: its layout and sizes, the flow it has to carry, what
//! it costs, and what the other layouts would cost.

use super::super::feed::{Feed, FeedError, Loss};
use super::super::plastic::{Plastic, Unknown};
use crate::process::clamping::mold_plates::Plates;
use crate::process::evaluation::feed_layouts::Sizer;
pub use crate::process::evaluation::feed_layouts::{FeedAlternative, FeedCost};
use crate::process::evaluation::{Choices, EvaluationInput, PartData};
use crate::process::feed::bound::FeedBound;
use crate::process::feed::layout::FeedLayout;
use crate::process::feed::nozzle;
use crate::process::thermal::cooling::{self, Section};
use crate::units::{Length, Pressure, Quantity, Time, Volume, VolumeRate};

/// The cavity has to be full after this share of the time in which its median wall freezes
/// through: a quarter, so that about half of the wall still flows (the skin grows with the
/// square root of time). An assumption.
pub const FILL_SHARE: f64 = 0.25;
/// A feed and what it costs.
#[derive(Clone, Debug, PartialEq)]
pub struct FeedDesign {
    /// Sprue, runner, gate, well.
    pub feed: Feed,
    /// The flow it has to carry.
    pub filling: Result<Filling, Unknown>,
    /// What each link costs at that flow.
    pub losses: Result<Vec<Loss>, Unknown>,
    /// What it costs besides.
    pub cost: FeedCost,
    /// Why nozzle to gate lose more than [`LOSS_GOAL`](crate::process::feed::sizing::LOSS_GOAL) of the melt pressure; `None` where they
    /// do not, or that is not known.
    pub bound: Option<FeedBound>,
    /// The other layouts that this part and press allow.
    pub alternatives: Vec<FeedAlternative>,
    /// The layouts that they do not, and why.
    pub not_offered: Vec<(FeedLayout, &'static str)>,
    /// Whether the layout was chosen here.
    pub layout_assumed: bool,
    /// Whether the length of the runner was assumed.
    pub runner_assumed: bool,
    /// Whether the length of the sprue was assumed.
    pub sprue_assumed: bool,
}

/// How fast the cavity fills.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Filling {
    /// Time for it.
    pub time: Time,
    /// Melt into each cavity.
    pub flow: VolumeRate,
    /// Time in which the median wall freezes through.
    pub freezes: Time,
    /// Whether the ram is too slow for [`FILL_SHARE`], so that its speed sets both.
    pub ram_limits: bool,
    /// Whether the filling was computed; a rule of thumb where not.
    pub is_computed: bool,
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

/// The feed for a part in these plates. Sizes and layout follow the flow of the rule
/// ([`filling`]), whether or not the filling is known; losses are those at the known flow.
///
/// # Errors
///
/// [`NoFeed`] when the part gives no measure for it, or a wanted measure cannot be.
pub fn size(
    shape: &PartData,
    plates: &Plates,
    with: &EvaluationInput<'_>,
) -> Result<FeedDesign, NoFeed> {
    refuse_cavities(with.choices)?;
    let volume = shape.volume.ok_or(NoFeed::Open)?;
    let wall = shape.wall.ok_or(NoFeed::NoWall)?;
    let density = *with.plastic.need(&with.plastic.solid_density, "solid density")?;
    let most = with.press.flow_limit();
    let most = most.map(|most| most / f64::from(with.choices.count()));
    let rule = filling(volume, wall, with.plastic, most);
    let reported = reported(&rule, most, with);
    let wanted = rule.as_ref().ok().map(|rule| rule.flow);
    let melt = nozzle::melt(with.plastic, with.press);
    let sizer = Sizer {
        density,
        melt: melt.as_ref().ok().copied(),
        shape,
        plates,
        with,
        part: volume * density,
        wall,
        wanted,
    };
    let mut trials = Vec::new();
    let mut not_offered = Vec::new();
    for layout in FeedLayout::ALL {
        match sizer.refusal(layout) {
            Some(why) => not_offered.push((layout, why)),
            None => trials.push(sizer.trial(layout)?),
        }
    }
    let own = with.choices.feed.layout;
    let at = sizer.choose(&trials);
    let flow = reported.as_ref().ok().map(|filling| filling.flow);
    let judged = trials.into_iter().map(|trial| sizer.judge(trial, flow));
    let mut judged: Vec<FeedAlternative> = judged.collect();
    let FeedAlternative { feed, cost, bound, .. } = judged.remove(at);
    let losses = match (&reported, &melt) {
        (Ok(filling), Ok(melt)) => Ok(feed.losses(melt, filling.flow)),
        (Err(unknown), _) | (_, Err(unknown)) => Err(unknown.clone()),
    };
    Ok(FeedDesign {
        feed,
        filling: reported,
        losses,
        cost,
        bound,
        alternatives: judged,
        not_offered,
        layout_assumed: own.is_none(),
        runner_assumed: with.choices.runner_length.is_none(),
        sprue_assumed: with.choices.sprue_length.is_none(),
    })
}

/// Whether several cavities can be fed as wanted.
fn refuse_cavities(choices: &Choices) -> Result<(), FeedError> {
    let refuse = |problem| Err(FeedError { what: "cavities:", problem });
    let is_other = choices.feed.layout.is_some_and(|own| own != FeedLayout::Edge);
    let has_none = choices.runner_length.is_some_and(|length| length.si() <= 0.0);
    match choices.count() {
        1 => Ok(()),
        _ if is_other => refuse(
            "several are fed by a sprue through a plate and a runner each: leave the layout to the program or choose edge",
        ),
        _ if has_none => refuse("each of several needs a runner: leave out --no-runner"),
        _ => Ok(()),
    }
}

/// The known filling where there is one, else that of the rule.
fn reported(
    rule: &Result<Filling, Unknown>,
    most: Option<VolumeRate>,
    with: &EvaluationInput<'_>,
) -> Result<Filling, Unknown> {
    let rule = rule.clone()?;
    let Some(known) = with.filling else { return Ok(rule) };
    let is_most = |most: VolumeRate| known.flow >= most * 0.99;
    let ram_limits = most.is_some_and(is_most);
    let (time, flow) = (known.time, known.flow);
    Ok(Filling { time, flow, ram_limits, is_computed: true, ..rule })
}

/// How fast a cavity of this volume and wall has to fill, by a rule of thumb, where the ram gives
/// it at most so much.
///
/// # Errors
///
/// [`Unknown`] when the plastic does not say when it freezes.
pub fn filling(
    cavity: Volume,
    wall: Length,
    plastic: &Plastic,
    most: Option<VolumeRate>,
) -> Result<Filling, Unknown> {
    let heat = cooling::to_freeze(plastic)?;
    let freezes = cooling::time(Section::Plate, wall, &heat);
    let freezes = freezes.ok_or_else(|| Unknown {
        what: "time in which a wall freezes",
        plastic: plastic.name.clone(),
        reason: "the mold is warmer than where it stops to flow".to_owned(),
    })?;
    let rule = Filling {
        time: freezes * FILL_SHARE,
        flow: cavity / (freezes * FILL_SHARE),
        freezes,
        ram_limits: false,
        is_computed: false,
    };
    match most {
        Some(most) if most < rule.flow => {
            Ok(Filling { time: cavity / most, flow: most, ram_limits: true, ..rule })
        }
        _ => Ok(rule),
    }
}

impl FeedDesign {
    /// Pressure lost in all links at the flow of its filling; `None` when it is not known.
    pub fn lost(&self) -> Option<Pressure> {
        self.cost.lost
    }

    /// The link that costs most.
    pub fn dearest(&self) -> Option<&Loss> {
        let losses = self.losses.as_ref().ok()?;
        losses.iter().max_by(|a, b| a.loss.si().total_cmp(&b.loss.si()))
    }
}
