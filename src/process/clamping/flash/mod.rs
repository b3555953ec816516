//! Does melt flash through the parting line: plate bow and bolt stretch against the depth
//! at which this plastic still stays in a vent.
//!
//! The safe choices, so that a verdict of *no flash* can be trusted:
//! - both plates bow unless one lies on the press;
//! - each plate rests on its bolts alone and turns freely there; the bow along and the bow
//!   across add up (a crossed grillage, a tenth above a plate on four corner columns);
//! - only the metal behind the cavity bends; the preload of the land helps nothing;
//! - the bolt on the side of the melt pressure counts, at the low end of its preload.

use super::alloys::Alloy;
use super::bolts::{BoltError, Bolts};
use super::mold_plates::Plates;
use crate::process::clamping::bolt_pattern::{self, Loads};
use crate::process::clamping::bolted_joint::{Joint, tapped_grip};
use crate::process::clamping::plate_bending::{Stiff, Strip, strip};
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
    /// Metal behind the cavity, of the plate that has less.
    pub behind: Length,
    /// Its bolts.
    pub bolts: &'a Bolts,
    /// How many of the two plates bow: one when the other lies on the press.
    pub free_plates: u32,
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

/// Whether bolts and plates keep the mold shut.
///
/// # Errors
///
/// When the bolts say nothing, stand in one line, or no metal is left.
pub fn shut(opening: &Opening, held: &Held<'_>) -> Result<Shut, ShutError> {
    let force = opening.force();
    let spots = bolt_pattern::places(held.bolts.count, held.plates.bolt_spacing);
    let loads =
        bolt_pattern::loads(&spots, force, opening.middle).ok_or(ShutError::OneLine)?;
    let joint = held.joint()?;
    let ratio = loads.worst.si() / force.si();
    let [bow, bow_gap] = held.bow(opening).ok_or(ShutError::NoMetal)?;
    let stretch = joint.gap(loads.worst);
    let opens = force.si() > 0.0;
    Ok(Shut {
        opening: force,
        margin: opens.then(|| joint.preload.si() / loads.worst.si()),
        opens_at: opens.then(|| joint.opens_at() / ratio),
        bow,
        bow_gap,
        stretch,
        gap: bow_gap + stretch,
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
}

impl Held<'_> {
    fn joint(&self) -> Result<Joint, ShutError> {
        let thread = self.bolts.thread()?;
        let each = self.bolts.low_preload()? / f64::from(self.bolts.count);
        let grip = tapped_grip(self.plates.thickness, &thread);
        let modulus = self.plates.alloy.metal().modulus;
        Joint::new(&thread, grip, modulus, each).ok_or(ShutError::NoMetal)
    }

    /// Bow in the middle and at the rim of the cavity, of all plates that bow.
    fn bow(&self, opening: &Opening) -> Option<[Length; 2]> {
        let metal = self.plates.alloy.metal();
        let stiff = Stiff { modulus: metal.modulus, thickness: self.behind };
        let force = opening.pressure * opening.area;
        let one_way = |axis: usize, off: Length| {
            let span = Strip {
                span: self.plates.bolt_spacing[axis],
                width: self.plates.edges[1 - axis],
                loaded: opening.extents[axis],
            };
            strip(&span, force, off, &stiff)
        };
        let none = Length::default();
        let middle = [one_way(0, none)?, one_way(1, none)?];
        let half = opening.extents.map(|extent| extent / 2.0);
        let rim = [one_way(0, half[0])?, one_way(1, half[1])?];
        // At the end of the cavity along one axis it still bows fully along the other.
        let gap = (rim[0] + middle[1]).max(middle[0] + rim[1]);
        let free = f64::from(self.free_plates.min(2));
        Some([(middle[0] + middle[1]) * free, gap * free])
    }
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

/// Share of the proof stress that the land may bear: a third (common practice, from
/// memory); more and the land coins, so that vents and parting line close up or open.
pub const LAND_SHARE: f64 = 1.0 / 3.0;

/// Stress on the land.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Land {
    /// High end of the clamping force on the area of the land.
    pub stress: Pressure,
    /// What this alloy should bear.
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
