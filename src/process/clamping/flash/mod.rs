//! Does melt flash through the parting line: plate bow and bolt stretch against the depth
//! at which this plastic still stays in a vent.
//!
//! The safe choices, so that a verdict of *no flash* can be trusted:
//! - both plates bow: neither is known to lie on the press;
//! - a pocket is as deep over its whole plan as in its deepest place;
//! - the bolt on the side of the melt pressure counts, at the low end of its preload.

use super::alloys::Alloy;
use super::bolts::{BoltError, Bolts};
use super::mold_plates::Plates;
use crate::process::clamping::bolt_pattern::{self, Loads};
use crate::process::clamping::bolted_joint::{Joint, tapped_grip};
use crate::process::clamping::plate_bow::{
    BowedMold, LoadedArea, PlateBow, PlateHalf, Pressed,
};
use crate::process::sourced::Range;
use crate::units::{Area, Force, Length, Pressure, Quantity, Ratio};

/// What opens the mold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Opening {
    /// Pressure of the melt.
    pub pressure: Pressure,
    /// Projected area of part and feed.
    pub area: Area,
    /// Extents of that area, along and across.
    pub extents: [Length; 2],
    /// Where the middle of the pressure lies from the middle of the mold, along and across.
    pub middle: [Length; 2],
    /// What the nozzle adds; negative where it presses the halves together.
    pub nozzle: Force,
}

/// Where the sprue enters, and so what the nozzle does to the parting line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Sprue {
    /// Through one half, along the pull: the nozzle pushes that half onto the other.
    ThroughOneHalf,
    /// Split across the parting line, as in a vise, with a flat seat: the nozzle pushes
    /// along the joint and neither opens nor closes it; the sprue counts as area.
    SplitFlat,
}

/// Force with which a nozzle pushed onto the mold with `contact` opens the halves; negative
/// where it closes them.
pub fn nozzle_push(contact: Force, sprue: Sprue) -> Force {
    match sprue {
        Sprue::ThroughOneHalf => -contact,
        Sprue::SplitFlat => Force::default(),
    }
}

/// Metal and bolts that hold it.
#[derive(Clone, Copy, Debug)]
pub struct Held<'a> {
    /// The plates.
    pub plates: &'a Plates,
    /// Each of them with its pocket.
    pub halves: [PlateHalf; 2],
    /// Its bolts.
    pub bolts: &'a Bolts,
}

/// What is loaded beyond what it stands; no gap has a meaning then.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Overload {
    /// A bolt, beyond its proof load.
    Bolt {
        /// What it carries.
        carries: Force,
        /// What its class stands.
        stands: Force,
    },
    /// A plate, beyond the stress at which its metal yields.
    Plate {
        /// What it carries.
        carries: Pressure,
        /// What its metal stands.
        stands: Pressure,
    },
}

/// Whether the mold stays shut.
#[derive(Clone, Debug, PartialEq)]
pub struct Shut {
    /// Pressure on the area, and the nozzle where it opens.
    pub opening: Force,
    /// Load of each bolt.
    pub loads: Loads,
    /// The joint at one bolt.
    pub joint: Joint,
    /// Sure preload over load, of the worst bolt; `None` when nothing opens.
    pub margin: Option<f64>,
    /// Opening force at which the worst bolt lets the joint open.
    pub opens_at: Option<Force>,
    /// How far both plates together bow in the middle: so much thicker is the part.
    pub bow: Length,
    /// How far they open beside the cavity for that reason.
    pub bow_gap: Length,
    /// How far the worst bolt stretches beyond opening.
    pub stretch: Length,
    /// Both together.
    pub gap: Length,
    /// What bolts or plates do not stand; `None` where they stand it.
    pub overload: Option<Overload>,
}

/// Why it is not known whether the mold stays shut.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ShutError {
    /// The bolts say nothing.
    #[error("{0}")]
    Bolts(BoltError),
    /// All bolts in one line, the force beside it.
    #[error(
        "the bolts stand in one line and the melt pushes beside it: place bolts around it"
    )]
    OneLine,
    /// No metal, or no length of bolt.
    #[error("there is no metal behind the cavity: thicker plates, or a shallower cavity")]
    NoMetal,
}

impl From<BoltError> for ShutError {
    fn from(error: BoltError) -> Self {
        Self::Bolts(error)
    }
}

/// What each bolt carries, and the joint at one of them.
struct Bolted {
    loads: Loads,
    joint: Joint,
}

impl Bolted {
    fn new(opening: &Opening, held: &Held<'_>) -> Result<Self, ShutError> {
        let spots = bolt_pattern::places(held.bolts.count, held.plates.bolt_spacing);
        let loads = bolt_pattern::loads(&spots, opening.force(), opening.middle);
        let loads = loads.ok_or(ShutError::OneLine)?;
        Ok(Self { loads, joint: held.joint()? })
    }

    /// Sure preload over load, of the worst bolt; `None` when nothing opens.
    fn margin(&self, opening: &Opening) -> Option<f64> {
        let opens = opening.force().si() > 0.0;
        opens.then(|| self.joint.preload.si() / self.loads.worst.si())
    }
}

/// Sure preload over load, of the worst bolt; `None` when nothing opens.
///
/// # Errors
///
/// When the bolts say nothing, or stand in one line.
pub fn bolt_margin(opening: &Opening, held: &Held<'_>) -> Result<Option<f64>, ShutError> {
    Ok(Bolted::new(opening, held)?.margin(opening))
}

/// Whether bolts and plates keep the mold shut.
///
/// # Errors
///
/// When the bolts say nothing, stand in one line, or no metal is left.
pub fn shut(opening: &Opening, held: &Held<'_>) -> Result<Shut, ShutError> {
    let force = opening.force();
    let bolted = Bolted::new(opening, held)?;
    let margin = bolted.margin(opening);
    let Bolted { loads, joint } = bolted;
    let bow = held.mold(&joint)?.bow(&opening.loaded()).ok_or(ShutError::NoMetal)?;
    // The plates stretch all bolts alike; the worst one stretches more than that.
    let stretch = joint.gap(loads.worst);
    let alike = joint.gap(force / f64::from(held.bolts.count));
    let gap = bow.gap + (stretch - alike).max(Length::default());
    let ratio = loads.worst.si() / force.si();
    Ok(Shut {
        opening: force,
        margin,
        opens_at: (force.si() > 0.0).then(|| joint.opens_at() / ratio),
        bow: bow.middle,
        bow_gap: (gap - stretch).max(Length::default()),
        stretch,
        gap,
        overload: held.overload(&bow, loads.worst)?,
        loads,
        joint,
    })
}

impl Opening {
    /// Pressure on the area, and the nozzle where it opens; where it closes it is not
    /// counted, because nothing says that it lasts as long as the pressure.
    pub fn force(&self) -> Force {
        self.pressure * self.area + self.nozzle.max(Force::default())
    }

    /// Where the melt pushes on the plates.
    pub fn loaded(&self) -> LoadedArea {
        let Self { pressure, area, extents, .. } = *self;
        LoadedArea { pressure, area, extents }
    }
}

/// Metal behind the cavity, of the plate that has less.
pub fn least_behind([one, other]: [PlateHalf; 2]) -> Length {
    one.behind().min(other.behind())
}

impl Held<'_> {
    fn joint(&self) -> Result<Joint, ShutError> {
        let thread = self.bolts.thread()?;
        let each = self.bolts.low_preload()? / f64::from(self.bolts.count);
        let grip = tapped_grip(self.plates.thickness, &thread);
        let modulus = self.plates.alloy.metal().modulus;
        Joint::new(&thread, grip, modulus, each).ok_or(ShutError::NoMetal)
    }

    /// Metal behind the cavity, of the plate that has less.
    pub fn behind(&self) -> Length {
        least_behind(self.halves)
    }

    fn mold(&self, joint: &Joint) -> Result<BowedMold, ShutError> {
        if self.behind().si() <= 0.0 {
            return Err(ShutError::NoMetal);
        }
        let thread = self.bolts.thread()?;
        let places = bolt_pattern::places(self.bolts.count, self.plates.bolt_spacing);
        let (diameter, area) = (thread.diameter, thread.stress_area());
        let pressed = Pressed::Bolts { places, diameter, area, preload: joint.preload };
        Ok(bowed_mold(self.plates, self.halves, pressed))
    }

    fn overload(
        &self,
        bow: &PlateBow,
        worst: Force,
    ) -> Result<Option<Overload>, ShutError> {
        let stands = self.bolts.thread()?.stress_area() * self.bolts.strength()?.proof;
        let carries = bow.bolt.max(worst);
        let bolt = (carries > stands).then_some(Overload::Bolt { carries, stands });
        Ok(bolt.or(plate_overload(bow, self.plates.alloy)))
    }
}

fn bowed_mold(plates: &Plates, halves: [PlateHalf; 2], pressed: Pressed) -> BowedMold {
    BowedMold { halves, edges: plates.edges, alloy: plates.alloy, pressed }
}

/// A plate that is bent beyond what its metal stands.
fn plate_overload(bow: &PlateBow, alloy: Alloy) -> Option<Overload> {
    let (carries, stands) = (bow.stress, alloy.metal().proof);
    (carries > stands).then_some(Overload::Plate { carries, stands })
}

/// How far a mold opens that the jaws of a vise press together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Squeezed {
    /// In the middle: so much thicker is the part.
    pub bow: Length,
    /// Beside the cavity.
    pub gap: Length,
    /// What the plates do not stand; `None` where they stand it.
    pub overload: Option<Overload>,
}

/// How far a mold opens between jaws that press with `force`, over `jaw` of its length and its
/// whole width. `None` where no metal is left.
pub fn squeezed(
    opening: &Opening,
    plates: &Plates,
    halves: [PlateHalf; 2],
    jaw: Length,
    force: Force,
) -> Option<Squeezed> {
    if least_behind(halves).si() <= 0.0 {
        return None;
    }
    let pressed = Pressed::Jaws { length: jaw, force };
    let bow = bowed_mold(plates, halves, pressed).bow(&opening.loaded())?;
    let overload = plate_overload(&bow, plates.alloy);
    Some(Squeezed { bow: bow.middle, gap: bow.gap, overload })
}

/// Sure clamping force over the force needed to keep the whole land touching, for a vise or
/// toggle that squeezes evenly over `half` to either side of its middle, along and across,
/// while the melt pushes `off` that middle: H / F (1 + 3 e₁ / b₁ + 3 e₂ / b₂), from the stress
/// in the corner of a rectangle. `None` when nothing opens or nothing is squeezed.
pub fn squeeze_margin(
    holding: Force,
    opening: Force,
    off: [Length; 2],
    half: [Length; 2],
) -> Option<f64> {
    let tilt = |axis: usize| 3.0 * off[axis].si().abs() / half[axis].si();
    let margin = holding.si() / (opening.si() * (1.0 + tilt(0) + tilt(1)));
    let squeezes = half.iter().all(|half| half.si() > 0.0);
    (opening.si() > 0.0 && squeezes && margin.is_finite()).then_some(margin)
}

/// What a gap does with a plastic.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Flash {
    /// The plastic stays in.
    None,
    /// Deeper than the shallow end of its vents: it may creep out when hot.
    Likely,
    /// Deeper than any vent it stays in.
    Sure,
}

/// Whether a parting gap flashes, by the vent depths of the plastic.
pub fn flashes(gap: Length, vent_depth: &Range<Length>) -> Flash {
    match gap {
        gap if gap < vent_depth.low => Flash::None,
        gap if gap <= vent_depth.high => Flash::Likely,
        _ => Flash::Sure,
    }
}

/// Share of the proof stress that the land may carry: a third (common practice, from
/// memory); more and the land coins, so that vents and parting line close up or open.
pub const LAND_SHARE: f64 = 1.0 / 3.0;

/// Stress on the land.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Land {
    /// High end of the clamping force on the area of the land.
    pub stress: Pressure,
    /// What this alloy should withstand.
    pub allowed: Pressure,
    /// Stress over allowed.
    pub used: Ratio,
}

/// Stress that the clamping force, at its high end, puts on a land of this area; `None`
/// without a land.
pub fn land(force: Force, land: Area, alloy: Alloy) -> Option<Land> {
    if land.si() <= 0.0 {
        return None;
    }
    let stress = force / land;
    let allowed = alloy.metal().proof * LAND_SHARE;
    let used = Ratio::from_si(stress.si() / allowed.si());
    Some(Land { stress, allowed, used })
}

#[cfg(test)]
mod tests;
