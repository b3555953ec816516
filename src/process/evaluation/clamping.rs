//! Whether this mold stays shut: the force that opens it, the clamp, the plates, the worst
//! bolt, and what cures it.

use super::super::press::{Clamp, circle};
use super::super::sourced::Range;
use crate::process::clamping::flash::{
    self, Held, Land, Opening, Overload, Shut, ShutError, Sprue, Squeezed,
};
use crate::process::clamping::force::{self, ClampForce, Middles};
use crate::process::clamping::mold_plates::Plates;
use crate::process::clamping::plate_bow::PlateHalf;
use crate::process::clamping::remedies::{self, Cure};
use crate::process::evaluation::{EvaluationInput, PartData};
use crate::process::feed::layout::FeedLayout;
use crate::units::{Area, Force, Length, Pressure, Quantity};

/// Diameter of a bolt hole over that of its thread: medium clearance holes are 1.1 (ISO
/// 273).
const CLEARANCE: f64 = 1.1;

/// Whether the mold stays shut.
#[derive(Clone, Debug)]
pub struct MoldClamping {
    /// Opening against holding force, as a whole.
    pub force: ClampForce,
    /// Area of the feed in it.
    pub feed_area: Area,
    /// What the nozzle adds; negative where it presses the halves together; `None` when the
    /// press file does not say.
    pub nozzle: Option<Force>,
    /// The plates.
    pub plates: Plates,
    /// Clamping force over what keeps the whole land touching, where a vise or a force
    /// squeezes it: less than the margin of the whole when it pushes beside the melt.
    pub squeezed: Option<f64>,
    /// Stress on the land with the mold shut and empty; `None` where the force is not known or
    /// no land is left.
    pub land: Option<Land>,
    /// Bolts and plates; `None` where no bolts hold the mold.
    pub bolted: Option<Result<Bolted, ShutError>>,
    /// Plates between the jaws of a vise; `None` where none holds the mold, or no metal is left
    /// behind the cavity.
    pub between_jaws: Option<BetweenJaws>,
    /// Whether the cavity goes through a plate.
    pub is_cut_through: bool,
}

/// A mold that a vise holds.
#[derive(Clone, Debug)]
pub struct BetweenJaws {
    /// Bow and gap.
    pub squeezed: Squeezed,
    /// How much of the mold's length the jaws press on.
    pub jaw: Length,
    /// Metal behind the cavity.
    pub behind: Length,
    /// Depth of vents in which the plastic stays: below it no flash, above it sure.
    pub stays_in: Option<Range<Length>>,
}

/// A mold that bolts hold.
#[derive(Clone, Debug)]
pub struct Bolted {
    /// Loads, joint, bow and gap.
    pub shut: Shut,
    /// Metal behind the cavity.
    pub behind: Length,
    /// Depth of vents in which the plastic stays: below it no flash, above it sure.
    pub stays_in: Option<Range<Length>>,
    /// Each change that is enough alone.
    pub cures: Vec<Cure>,
}

/// Both plates with their pockets.
pub fn halves(plates: &Plates, depths: [Length; 2]) -> [PlateHalf; 2] {
    let deepest = depths[0].max(depths[1]);
    depths.map(|pocket| {
        let deeper = pocket >= deepest;
        let thickness = if deeper { plates.thickness } else { plates.shallower };
        PlateHalf { thickness, pocket }
    })
}

/// How far the plates bow and open, whatever presses them together.
#[derive(Clone, Copy, Debug)]
pub struct Bows {
    /// Metal behind the cavity.
    pub behind: Length,
    /// In the middle: so much thicker is the part; `None` where bolts or plates are loaded
    /// beyond what they stand.
    pub bow: Option<Length>,
    /// Beside the cavity; `None` for the same reason.
    pub gap: Option<Length>,
    /// Depth of vents in which the plastic stays.
    pub stays_in: Option<Range<Length>>,
}

/// A mold in its plates, at any pressure.
#[derive(Clone, Copy)]
pub(super) struct ClosedMold<'a> {
    /// The part in it.
    pub(super) shape: &'a PartData,
    /// Its plates.
    pub(super) plates: &'a Plates,
    /// Projected area of part and feed.
    pub(super) area: Area,
    /// With what.
    pub(super) with: &'a EvaluationInput<'a>,
}

impl ClosedMold<'_> {
    /// The margin that counts at this pressure; `None` where nothing opens, nothing is known
    /// to hold, or bolts and plates cannot hold this part at all.
    pub(super) fn margin(&self, pressure: Pressure) -> Option<f64> {
        let force = self.force(pressure);
        let worst = match self.held() {
            Some(held) if held.behind().si() <= 0.0 => return None,
            Some(held) => flash::bolt_margin(&self.opening(pressure), &held).ok()?,
            None => self.squeezed(&force),
        };
        least(worst, force.margin)
    }

    /// How far the halves open beside the cavity at this pressure, endlessly where bolts or
    /// plates do not stand it; `None` where neither bolts nor a vise hold the mold, or not at
    /// all.
    pub(super) fn gap(&self, pressure: Pressure) -> Option<Length> {
        let of = |gap: Length, overload: Option<Overload>| {
            overload.map_or(gap, |_| Length::from_si(f64::INFINITY))
        };
        match self.shut(pressure) {
            Some(shut) => shut.ok().map(|shut| of(shut.gap, shut.overload)),
            None => self.between_jaws(pressure).map(|it| {
                let Squeezed { gap, overload, .. } = it.squeezed;
                of(gap, overload)
            }),
        }
    }

    fn force(&self, pressure: Pressure) -> ClampForce {
        let holding = self.with.press.holding_force();
        let mut force = force::load(pressure, self.area, holding, Some(self.middles()));
        force.opening = self.opening(pressure).force();
        force.margin = holding.and_then(|holding| force::margin(holding, force.opening));
        force
    }

    fn shut(&self, pressure: Pressure) -> Option<Result<Shut, ShutError>> {
        let held = self.held()?;
        if held.behind().si() <= 0.0 {
            return Some(Err(ShutError::NoMetal));
        }
        Some(flash::shut(&self.opening(pressure), &held))
    }

    fn halves(&self) -> [PlateHalf; 2] {
        halves(self.plates, self.shape.depths)
    }

    fn held(&self) -> Option<Held<'_>> {
        let bolts = self.with.press.bolts()?;
        Some(Held { plates: self.plates, halves: self.halves(), bolts })
    }

    /// Between the jaws of a vise, at the force that it surely has.
    fn between_jaws(&self, pressure: Pressure) -> Option<BetweenJaws> {
        let clamp = self.with.press.clamp.as_ref().filter(|it| it.bolts.is_none())?;
        let (force, plates) = (clamp.vise?, self.plates);
        let jaw = self.jaw(clamp);
        let opening = self.opening(pressure);
        Some(BetweenJaws {
            squeezed: flash::squeezed(&opening, plates, self.halves(), jaw, force)?,
            jaw,
            behind: flash::least_behind(self.halves()),
            stays_in: self.with.plastic.vent_depth.value,
        })
    }

    /// How much of the mold's length the jaws press on: all of it if they are not given.
    fn jaw(&self, clamp: &Clamp) -> Length {
        let length = self.plates.edges[0];
        clamp.jaw.map_or(length, |jaw| jaw.min(length))
    }

    /// What opens it.
    fn opening(&self, pressure: Pressure) -> Opening {
        let Self { shape, area, .. } = *self;
        Opening {
            pressure,
            area,
            extents: longer_first(shape.extents, shape.extents),
            middle: longer_first(shape.off_middle, shape.extents),
            nozzle: nozzle(self.with).unwrap_or_default(),
        }
    }

    fn middles(&self) -> Middles {
        let Self { shape, with, .. } = *self;
        let clamp = with.press.clamp.as_ref();
        Middles {
            pressure: longer_first(shape.off_middle, shape.extents),
            clamping: clamp.and_then(|clamp| clamp.off_middle).unwrap_or_default(),
        }
    }

    /// The margin at the corner of the land, where no bolts hold it.
    fn squeezed(&self, force: &ClampForce) -> Option<f64> {
        let clamp = self.with.press.clamp.as_ref();
        let clamp = clamp.filter(|clamp| clamp.bolts.is_none())?;
        let half = [self.jaw(clamp) / 2.0, self.plates.edges[1] / 2.0];
        let middles = self.middles();
        let off = [0, 1].map(|axis| middles.pressure[axis] - middles.clamping[axis]);
        flash::squeeze_margin(force.holding?, force.opening, off, half)
    }

    /// Stress on all of the plate that is neither cavity nor bolt hole, from the high end of
    /// the clamping force.
    fn land(&self) -> Option<Land> {
        let Self { plates, with, .. } = *self;
        let left = plates.edges[0] * plates.edges[1] - self.area;
        let Some(bolts) = with.press.bolts() else {
            return flash::land(with.press.holding_force()?, left, plates.alloy);
        };
        let count = f64::from(bolts.count);
        let hole = circle(bolts.thread().ok()?.diameter * CLEARANCE);
        let force = bolts.high_preload().ok()?;
        flash::land(force, left - hole * count, plates.alloy)
    }

    /// Bolts and plates at this pressure, and what cures them. Less pressure than fills is
    /// no cure.
    fn bolted(&self, pressure: Pressure) -> Option<Result<Bolted, ShutError>> {
        let held = self.held()?;
        let behind = held.behind();
        let stays_in = self.with.plastic.vent_depth.value;
        let fills = self.with.filling.map(|known| known.required.expected);
        let is_cure = |cure: &Cure| match cure {
            Cure::Pressure(most) => fills.is_none_or(|expected| *most >= expected),
            _ => true,
        };
        Some(self.shut(pressure)?.map(|shut| {
            let mut cures = stays_in.map_or_else(Vec::new, |stays_in| {
                remedies::cures(&self.opening(pressure), &held, &shut, stays_in.low)
            });
            cures.retain(is_cure);
            Bolted { shut, behind, stays_in, cures }
        }))
    }
}

/// The lesser of two margins, or the one that is known.
fn least(one: Option<f64>, other: Option<f64>) -> Option<f64> {
    match (one, other) {
        (Some(one), Some(other)) => Some(one.min(other)),
        (one, other) => one.or(other),
    }
}

/// What the nozzle adds.
fn nozzle(with: &EvaluationInput<'_>) -> Option<Force> {
    let sprue = if with.choices.feed.layout == Some(FeedLayout::Split) {
        Sprue::SplitFlat
    } else {
        Sprue::ThroughOneHalf
    };
    with.press.contact_force().map(|contact| flash::nozzle_push(contact, sprue))
}

/// `of`, turned so that the longer of `extents` comes first.
pub(super) fn longer_first(of: [Length; 2], extents: [Length; 2]) -> [Length; 2] {
    if extents[0] >= extents[1] { of } else { [of[1], of[0]] }
}

/// Whether the mold stays shut at this pressure.
pub(super) fn evaluate(
    mold: &ClosedMold<'_>,
    feed_area: Area,
    pressure: Pressure,
) -> MoldClamping {
    let force = mold.force(pressure);
    MoldClamping {
        feed_area,
        nozzle: nozzle(mold.with),
        plates: mold.plates.clone(),
        squeezed: mold.squeezed(&force),
        land: mold.land(),
        bolted: mold.bolted(pressure),
        between_jaws: mold.between_jaws(pressure),
        is_cut_through: flash::least_behind(mold.halves()).si() <= 0.0,
        force,
    }
}

impl MoldClamping {
    /// The margin that counts: of the worst bolt where bolts hold, of the worst corner of the
    /// land where a vise or a force squeezes it.
    pub fn margin(&self) -> Option<f64> {
        let worst = self.bolted().and_then(|bolted| bolted.shut.margin).or(self.squeezed);
        least(worst, self.force.margin)
    }

    /// The bolted mold, where one is known.
    pub fn bolted(&self) -> Option<&Bolted> {
        self.bolted.as_ref()?.as_ref().ok()
    }

    /// Bow and gap of plates between bolts or jaws; `None` where neither holds them.
    pub fn bows(&self) -> Option<Bows> {
        let bolted = self.bolted().map(|it| {
            let Shut { bow, gap, overload, .. } = it.shut;
            let known = |length: Length| overload.is_none().then_some(length);
            let (bow, gap) = (known(bow), known(gap));
            Bows { behind: it.behind, bow, gap, stays_in: it.stays_in }
        });
        let jaws = || {
            let it = self.between_jaws.as_ref()?;
            let Squeezed { bow, gap, overload } = it.squeezed;
            let known = |length: Length| overload.is_none().then_some(length);
            let (bow, gap) = (known(bow), known(gap));
            Some(Bows { behind: it.behind, bow, gap, stays_in: it.stays_in })
        };
        bolted.or_else(jaws)
    }
}
