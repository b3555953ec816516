//! Every layout of the feed that part and press allow, sized and weighed: pressure, plastic,
//! cooling and trimming.

use super::super::feed::{self, Feed, FeedError, FeedTask, Loss};
use crate::process::clamping::mold_plates::Plates;
use crate::process::evaluation::{EvaluationInput, PartData, cavities};
use crate::process::feed::NOSE_CLEARANCE_MM;
use crate::process::feed::bound::{self, FeedBound};
use crate::process::feed::channel::Melt;
use crate::process::feed::layout::FeedLayout;
use crate::process::feed::options::GATE_DEPTHS;
use crate::process::feed::sizing::{self, LOSS_GOAL};
use crate::units::format::four_digits;
use crate::units::{
    Length, Mass, MassDensity, Pressure, Quantity, Time, VolumeRate, from_degrees,
    from_mm, in_mm,
};

/// From the sprue to the gate when nothing is said: 10 mm, the low end of the land between
/// sprue and cavity (common practice 10 to 20).
pub const RUNNER_MM: f64 = 10.0;
/// Length of the sprue when nothing is said: the nozzle stands in a counterbore as deep as the
/// plate is thicker than that (common practice 12 to 20).
pub const SPRUE_MM: f64 = 15.0;
/// Metal left between counterbore and cavity, mm (judgment: twice what is left between other
/// cuts).
pub const BESIDE_NOZZLE_MM: f64 = 6.0;
/// No gate is wider, mm: what a hand cuts off and cleans (judgment).
pub const WIDEST_GATE_MM: f64 = 12.0;
/// A gate is no wider than this share of the shorter edge that it may stand on (common practice:
/// a third).
const GATE_OF_EDGE: f64 = 1.0 / 3.0;
/// A gate on a round edge is no wider than where the edge has receded by this, mm: so far the
/// gate reaches into the plastic.
const RECEDES_MM: f64 = 0.4;
/// Another layout than the usual one is taken when it weighs this much less, as a share of the
/// melt pressure (judgment).
pub const BETTER_BY: f64 = 0.1;
/// The mark of a sprue on a face weighs this much, as a share of the melt pressure (judgment).
pub const MARK: f64 = 0.1;
/// A sprue on a face that was filled both ways is taken when the part needs no more than this
/// share of the pressure through it, and saves more than [`MARK`]: common practice for cups, caps
/// and discs, whose middle is as near to all of the rim (the share is judgment).
pub const FACE_NEEDS: f64 = 0.75;

/// Another layout for the same part.
#[derive(Clone, Debug, PartialEq)]
pub struct FeedAlternative {
    /// The feed, sized for this press.
    pub feed: Feed,
    /// What it costs.
    pub cost: FeedCost,
    /// Why it loses more than [`LOSS_GOAL`] of the melt pressure.
    pub bound: Option<FeedBound>,
    /// Melt pressure at the ram that fills the part through it; `None` until the filling was
    /// worked out for it.
    pub needed: Option<Pressure>,
}

/// What a feed costs.
#[derive(Clone, Debug, PartialEq)]
pub struct FeedCost {
    /// Plastic in it, cold.
    pub mass: Mass,
    /// By how much it cools longer than the thickest place of the part; `None` where the
    /// plastic does not say.
    pub extra_cooling: Option<Time>,
    /// What is cut off the part by hand.
    pub trimming: String,
    /// Pressure lost from barrel to cavity; `None` where it is not known.
    pub lost: Option<Pressure>,
    /// The part of it that the nozzle takes, which belongs to the press.
    pub lost_in_nozzle: Option<Pressure>,
}

/// A layout, sized.
pub(super) struct Trial {
    pub(super) feed: Feed,
    /// The pressure it loses at the wanted flow with all that it costs besides, as a share
    /// of the melt pressure.
    weight: f64,
    /// Why it misses the goal at the wanted flow.
    bound: Option<FeedBound>,
}

/// What every layout is sized by.
pub(super) struct Sizer<'a> {
    /// Density of the cold plastic.
    pub(super) density: MassDensity,
    /// The melt, where the plastic says how it flows.
    pub(super) melt: Option<Melt>,
    pub(super) shape: &'a PartData,
    pub(super) plates: &'a Plates,
    pub(super) with: &'a EvaluationInput<'a>,
    pub(super) part: Mass,
    pub(super) wall: Length,
    pub(super) wanted: Option<VolumeRate>,
}

impl Sizer<'_> {
    /// Why this layout is not offered; one that the user wants is, where it can be cut.
    pub(super) fn refusal(&self, layout: FeedLayout) -> Option<&'static str> {
        let is_wanted = self.with.choices.feed.layout == Some(layout);
        match layout {
            FeedLayout::Direct | FeedLayout::Split if self.with.choices.count() > 1 => {
                Some("several cavities are fed by runners from one sprue through a plate")
            }
            FeedLayout::Direct if self.shape.cavity_face.is_none() && !is_wanted => Some(
                "the cavity half forms no flat face across the pull that a sprue could stand on",
            ),
            FeedLayout::Direct if self.is_narrow() && !is_wanted => Some(
                "the flat face of the cavity half is narrower than the foot of the sprue",
            ),
            FeedLayout::Split if !self.is_vise() && !is_wanted => {
                Some("no vise holds the mold, so the nozzle comes through a plate")
            }
            _ => None,
        }
    }

    /// Whether the thinnest sprue is wider than the face that it would stand on.
    fn is_narrow(&self) -> bool {
        let nozzle = self.with.press.nozzle.as_ref();
        let orifice = nozzle.map_or(from_mm(feed::USUAL_ORIFICE_MM), |it| it.orifice);
        let opens = from_degrees(feed::SPRUE_TAPER_DEG).si() / 2.0;
        let length = self.sprue_length(FeedLayout::Direct);
        let foot = orifice + from_mm(feed::SPRUE_STEP_MM) + 2.0 * length * opens.tan();
        self.shape.cavity_face.is_some_and(|face| face.room < foot)
    }

    fn is_vise(&self) -> bool {
        self.with.press.clamp.as_ref().is_some_and(|clamp| clamp.vise.is_some())
    }

    fn task(&self, layout: FeedLayout) -> FeedTask<'_> {
        let EvaluationInput { press, plastic, .. } = *self.with;
        let least = self.shape.extents[0].min(self.shape.extents[1]);
        // A chord of a circle of this diameter whose rise is what the edge may recede.
        let round = (4.0 * RECEDES_MM * in_mm(least).max(0.0)).sqrt();
        let deepest = self.shape.deepest();
        let is_flat = deepest.si() <= 0.0;
        let [_, _, deep] = GATE_DEPTHS;
        FeedTask {
            layout,
            part: self.part,
            wall: self.wall,
            thickest: self.shape.thickest.unwrap_or(self.wall),
            most_gate_depth: if is_flat { self.wall } else { deepest * deep },
            most_gate_width: from_mm(if round > 0.0 {
                round.min(WIDEST_GATE_MM).min(in_mm(least) * GATE_OF_EDGE)
            } else {
                WIDEST_GATE_MM
            }),
            room: self
                .shape
                .cavity_face
                .filter(|_| layout == FeedLayout::Direct)
                .map(|face| face.room),
            cavities: self.with.choices.count(),
            runner_length: self.runner_length(layout),
            sprue_length: self.sprue_length(layout),
            flow: self.wanted,
            plastic,
            press,
        }
    }

    /// Short, as far as the nozzle reaches into its counterbore.
    fn sprue_length(&self, layout: FeedLayout) -> Length {
        let short = from_mm(SPRUE_MM);
        let face = self.shape.cavity_face.filter(|_| layout == FeedLayout::Direct);
        let above = face.map_or(Length::default(), |face| face.depth);
        let through = (self.plates.thickness - above).max(Length::default());
        self.with.choices.sprue_length.unwrap_or_else(|| match layout {
            FeedLayout::Split => short,
            FeedLayout::Direct | FeedLayout::Edge => {
                let reach = feed::nose_reach(self.with.press);
                short.max(through - reach).min(through)
            }
        })
    }

    /// Long enough that metal is left between the counterbore and a deep cavity.
    fn runner_length(&self, layout: FeedLayout) -> Length {
        let usual = from_mm(RUNNER_MM);
        self.with.choices.runner_length.unwrap_or_else(|| match layout {
            FeedLayout::Direct | FeedLayout::Split => Length::default(),
            FeedLayout::Edge => {
                let land = from_mm(feed::GATE_LAND_MM);
                let apart = cavities::least_reach(self.shape, self.with.choices.count());
                let usual = usual.max(apart - land);
                let deepest = self.shape.deepest();
                let sprue = self.sprue_length(layout);
                if sprue >= self.plates.thickness {
                    return usual;
                }
                // The corner of the cavity's floor against that of the counterbore.
                let above = in_mm((sprue - deepest).max(Length::default()));
                let beside = (BESIDE_NOZZLE_MM.powi(2) - above.powi(2)).max(0.0).sqrt();
                let nose = feed::nose_diameter(self.with.press);
                let counterbore = nose + from_mm(NOSE_CLEARANCE_MM);
                usual.max(counterbore / 2.0 + from_mm(beside - feed::GATE_LAND_MM))
            }
        })
    }

    /// This layout, sized, and what it weighs at the wanted flow.
    pub(super) fn trial(&self, layout: FeedLayout) -> Result<Trial, FeedError> {
        let face = "a sprue on a face needs a flat face across the pull in the cavity half, and this part has none: leave the layout to the program or choose edge";
        if layout == FeedLayout::Direct && self.shape.cavity_face.is_none() {
            return Err(FeedError { what: "layout direct:", problem: face });
        }
        let task = self.task(layout);
        let feed = feed::design(&task, &self.with.choices.feed)?;
        let cost = self.cost(&feed, self.wanted);
        let pressure = self.with.press.melt_pressure();
        let is_known = self.melt.is_some() && self.wanted.is_some();
        let unknown = if is_known { f64::INFINITY } else { 0.0 };
        let lost = cost.lost.map_or(unknown, |lost| (lost / pressure).si());
        let mark = if layout == FeedLayout::Direct { MARK } else { 0.0 };
        let weight = lost + sizing::weigh(&feed, &task) + mark;
        let bound = self.bound(&feed, self.wanted);
        Ok(Trial { feed, weight, bound })
    }

    /// Which of the layouts is taken: the one that the user wants; else the usual one for this
    /// clamp, unless another weighs less by [`BETTER_BY`].
    pub(super) fn choose(&self, trials: &[Trial]) -> usize {
        let place = |layout| trials.iter().position(|it| it.feed.layout == layout);
        let choices = &self.with.choices;
        if let Some(own) = choices.feed.layout {
            return place(own).unwrap_or(0);
        }
        let wants_runner =
            choices.runner_length.is_some() || choices.feed.has_edge_measures();
        // What both fillings said outweighs what the feed alone costs.
        let face = place(FeedLayout::Direct).filter(|_| self.shape.face_shortens);
        if let Some(face) = face.filter(|_| !wants_runner) {
            return face;
        }
        let usual = if self.is_vise() { FeedLayout::Split } else { FeedLayout::Edge };
        let allowed = |trial: &Trial| {
            !(wants_runner && trial.feed.layout == FeedLayout::Direct)
                && trial.weight.is_finite()
        };
        let first = place(usual).unwrap_or(0);
        let weight = trials.get(first).map_or(f64::INFINITY, |trial| trial.weight);
        let others = trials.iter().enumerate().filter(|(_, trial)| allowed(trial));
        let best = others.min_by(|(_, a), (_, b)| a.weight.total_cmp(&b.weight));
        best.filter(|(_, trial)| trial.weight < weight - BETTER_BY)
            .map_or(first, |(at, _)| at)
    }

    /// The same at the flow that is reported.
    pub(super) fn judge(
        &self,
        trial: Trial,
        flow: Option<VolumeRate>,
    ) -> FeedAlternative {
        let cost = self.cost(&trial.feed, flow);
        let bound = trial.bound;
        FeedAlternative { feed: trial.feed, cost, bound, needed: None }
    }

    fn bound(&self, feed: &Feed, flow: Option<VolumeRate>) -> Option<FeedBound> {
        let (melt, flow) = self.melt.as_ref().zip(flow)?;
        let losses = feed.losses(melt, flow);
        let lost: Pressure = losses.iter().map(|loss| loss.loss).sum();
        let is_over = lost > self.with.press.melt_pressure() * LOSS_GOAL;
        let choices = &self.with.choices.feed;
        let cutters = choices.cutters_at_hand();
        let widest = cutters.into_iter().fold(Length::default(), Length::max);
        let room = self.shape.cavity_face.filter(|_| feed.layout == FeedLayout::Direct);
        let room = room.map(|face| face.room);
        is_over.then(|| bound::find(feed, &losses, choices, widest, room))
    }

    fn cost(&self, feed: &Feed, flow: Option<VolumeRate>) -> FeedCost {
        let losses =
            self.melt.as_ref().zip(flow).map(|(melt, flow)| feed.losses(melt, flow));
        let sum = |losses: &[Loss]| {
            let whole: Pressure = losses.iter().map(|loss| loss.loss).sum();
            Some(whole).filter(|whole| whole.si().is_finite())
        };
        let of_nozzle = feed.nozzle_links().len();
        let nozzle = losses.as_ref().and_then(|losses| losses.get(..of_nozzle));
        FeedCost {
            mass: feed.volume() * self.density,
            extra_cooling: sizing::extra_cooling(feed, &self.task(feed.layout)),
            trimming: trimming(feed),
            lost: losses.as_deref().and_then(sum),
            lost_in_nozzle: nozzle.filter(|_| of_nozzle > 0).and_then(sum),
        }
    }
}

/// What is cut off by hand, and what is left to see.
fn trimming(feed: &Feed) -> String {
    let mm = |length: Length| four_digits(in_mm(length));
    let gate = feed.gate;
    if gate.is_round {
        format!("a stub of {} mm, sawn off the face; its mark stays", mm(gate.depth))
    } else {
        format!("a gate of {} × {} mm, cut off the edge", mm(gate.depth), mm(gate.width))
    }
}
