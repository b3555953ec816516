//! What it takes to push the part off, and which half keeps it.
//!
//! The part shrinks onto whatever metal stands inside its walls. The pressure there follows
//! from the strain that the metal forbids and the stiffness at ejection; friction turns it
//! into a force along the pull, and draft lowers that force. Outside walls shrink away from
//! their metal, so the core keeps the part unless the cavity has cores of its own.
//!
//! Every input is loose: friction by a factor of two, stiffness when hot by as much. So the
//! answer is a band.

pub mod pins;

use super::plastic::{Plastic, Unknown};
use crate::part::halves::Role;
use crate::process::plastic::shrinkage::Shrinkage;
use crate::units::{Angle, Area, Force, Length, Pressure, Quantity, from_mpa};

/// The plastic as it grips.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hot {
    /// Modulus at the ejection temperature.
    pub modulus: Pressure,
    /// Strain that the core forbids.
    pub strain: f64,
    /// Friction on the core.
    pub friction: f64,
}

/// Low, typical and high end of a value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread<T> {
    /// Everything at its low end.
    pub low: T,
    /// Everything at its typical value.
    pub typical: T,
    /// Everything at its high end.
    pub high: T,
}

impl<T: Copy> Spread<T> {
    /// The same of each of the three.
    pub fn map<U>(&self, of: impl Fn(T) -> U) -> Spread<U> {
        Spread { low: of(self.low), typical: of(self.typical), high: of(self.high) }
    }
}

/// How a plastic grips: modulus at 23 °C times what is left of it when ejected, its mold
/// shrinkage as the strain (an upper bound: some of it happens after ejection), friction.
///
/// # Errors
///
/// [`Unknown`] when the plastic lacks modulus, stiffness when hot, or friction.
pub fn hot(plastic: &Plastic, band: &Shrinkage) -> Result<Spread<Hot>, Unknown> {
    let modulus = *plastic.need(&plastic.modulus, "modulus")?;
    let left = plastic.need(&plastic.hot_stiffness, "stiffness when ejected")?;
    let friction = plastic.need(&plastic.friction, "friction at demolding")?;
    let of = |left: crate::units::Ratio, strain: crate::units::Ratio, friction| Hot {
        modulus: modulus * left,
        strain: strain.si(),
        friction,
    };
    Ok(Spread {
        low: of(left.low, band.low, friction.low),
        typical: of(left.typical(), band.nominal, friction.typical()),
        high: of(left.high, band.high, friction.high),
    })
}

/// What draft leaves of friction: (µ cos φ − sin φ) / (1 + µ sin φ cos φ), nothing from
/// tan φ = µ on, where the part falls off by itself.
pub fn draft_factor(friction: f64, draft: Angle) -> f64 {
    let (sin, cos) = draft.si().sin_cos();
    ((friction * cos - sin) / (1.0 + friction * sin * cos)).max(0.0)
}

/// Walls closed around a core, of any outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grip {
    /// Area of the walls that the part shrinks onto, both halves apart.
    pub walls: Area,
    /// Length of their outline across the pull, all cores together.
    pub outline: Length,
    /// How many separate cores: each is gripped all around.
    pub cores: u32,
    /// Thickness of the plastic around them.
    pub wall: Length,
    /// Draft of these walls.
    pub draft: Angle,
    /// Shadow of the closed ends: under a closed cup a vacuum holds; none when air gets in
    /// through a pin, a poppet or a hole.
    pub closed: Area,
}

/// What holds a part on one half.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hold {
    /// Mean pressure of the walls on the core.
    pub pressure: Pressure,
    /// Force along the pull from friction.
    pub friction: Force,
    /// Force of a vacuum.
    pub vacuum: Force,
    /// Both.
    pub total: Force,
    /// Whether draft alone lets the part fall off.
    pub releases_itself: bool,
}

/// Air pressure on a closed end without air behind it, 0.1 MPa.
pub const VACUUM_MPA: f64 = 0.1;

/// What holds an arbitrary part: mean pressure p = 8 E ε t n / P on the core walls of outline
/// P and n cores, force p A f.
///
/// A wall closed around a core is a hoop with tension E ε t for each unit of height. Around
/// a circle it presses inward with 2π E ε t in all, whatever the radius; around a box with 8
/// E ε t (each of four corners pulls on two faces). The larger, 8, is taken for every outline;
/// a floor that closes the cup adds 1/(1 − ν/2), which the 8 nearly holds already. `None`
/// without an outline.
pub fn of_part(grip: &Grip, hot: &Hot) -> Option<Hold> {
    let hoop = hot.modulus * (hot.strain * grip.wall.si());
    let pressure =
        Pressure::from_si(8.0 * f64::from(grip.cores) * hoop.si() / grip.outline.si());
    let factor = draft_factor(hot.friction, grip.draft);
    let friction = pressure * grip.walls * factor;
    let vacuum = from_mpa(VACUUM_MPA) * grip.closed;
    let total = friction + vacuum;
    let releases_itself = factor <= 0.0;
    (pressure.si().is_finite() && grip.outline.si() > 0.0).then_some(Hold {
        pressure,
        friction,
        vacuum,
        total,
        releases_itself,
    })
}

/// The half that a part stays on when the mold opens.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Keeper {
    /// The core half.
    Core,
    /// The cavity half.
    Cavity,
    /// Too near to tell: add draft on one side, or a small undercut on the other.
    Unsure,
}

impl Keeper {
    /// What that half is for; `None` where it is open which one it is.
    pub const fn role(self) -> Option<Role> {
        match self {
            Self::Core => Some(Role::Core),
            Self::Cavity => Some(Role::Cavity),
            Self::Unsure => None,
        }
    }
}

/// Forces that differ by less than this factor do not say which half keeps the part; as
/// wide as friction is known between polished and machined (0.35 to 0.52 for most).
pub const SURE_RATIO: f64 = 1.5;

/// Which half keeps the part, from what holds it on each.
pub fn keeper(core: Force, cavity: Force) -> Keeper {
    if core > cavity * SURE_RATIO {
        Keeper::Core
    } else if cavity > core * SURE_RATIO {
        Keeper::Cavity
    } else {
        Keeper::Unsure
    }
}

#[cfg(test)]
mod tests;
