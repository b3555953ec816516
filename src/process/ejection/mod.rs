//! What it takes to push the part off, and which half keeps it.
//!
//! The part shrinks onto metal that stands between its walls ([`crate::part::grips`]): as a
//! ring where it closes around the metal, by bending where walls are joined at their root
//! alone. The pressure follows from the strain that the metal forbids and the stiffness at
//! ejection; friction turns it into a force along the pull, and draft lowers that force.
//! Outside walls shrink away from their metal, so the core keeps the part unless the cavity
//! has cores of its own.
//!
//! Every input is loose: friction by a factor of two, stiffness when hot by as much. So the
//! answer is a band.

pub mod pins;

use std::f64::consts::TAU;

use super::plastic::{Plastic, Unknown};
use crate::part::grips::{self, POISSON};
use crate::part::halves::Role;
use crate::process::plastic::shrinkage::Shrinkage;
use crate::units::{
    Angle, Area, Force, Length, Pressure, Quantity, from_mpa, in_celsius, in_mm2,
};

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

/// At which mold shrinkage is measured.
const MEASURED_CELSIUS: f64 = 23.0;

/// Share of the mold shrinkage that has happened when the part is pushed off: of the way from
/// the temperature at which the plastic stops flowing to 23 °C, what it has cooled down to the
/// ejection temperature (shrinkage in proportion to temperature, an assumption). For PP 40 of
/// 107 K, 0.37; with the coefficients of expansion that handbooks give, 0.2 to 0.55 for most
/// plastics (from memory).
///
/// # Errors
///
/// [`Unknown`] when the plastic lacks one of the two temperatures.
pub fn shrunk(plastic: &Plastic) -> Result<f64, Unknown> {
    let no_flow = plastic.need(&plastic.no_flow_temperature, "no-flow temperature")?;
    let ejected = plastic.need(&plastic.ejection_temperature, "ejection temperature")?;
    let [from, to] = [no_flow, ejected].map(|at| in_celsius(*at));
    let share = (from - to) / (from - MEASURED_CELSIUS);
    Ok(if share.is_finite() { share.clamp(0.0, 1.0) } else { 0.0 })
}

/// How a plastic grips: modulus at 23 °C times what is left of it when ejected, friction, and
/// as the strain what it has shrunk until then ([`shrunk`]): what it shrinks on the bench
/// afterwards grips nothing.
///
/// # Errors
///
/// [`Unknown`] when the plastic lacks modulus, stiffness when hot, friction, or the
/// temperatures between which it shrinks in the mold.
pub fn hot(plastic: &Plastic, band: &Shrinkage) -> Result<Spread<Hot>, Unknown> {
    let modulus = *plastic.need(&plastic.modulus, "modulus")?;
    let left = plastic.need(&plastic.hot_stiffness, "stiffness when ejected")?;
    let friction = plastic.need(&plastic.friction, "friction at demolding")?;
    let shrunk = shrunk(plastic)?;
    let of = |left: crate::units::Ratio, strain: crate::units::Ratio, friction| Hot {
        modulus: modulus * left,
        strain: strain.si() * shrunk,
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

/// Plastic closed around a core, of any outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ring {
    /// Area of the walls that the part shrinks onto.
    pub walls: Area,
    /// Length of the core's outline across the pull.
    pub outline: Length,
    /// Share of that outline's turn that lies in sharp corners: 1 of a box, 0 of a circle.
    pub corners: f64,
    /// Thickness of the plastic around it.
    pub wall: Length,
    /// Draft of these walls.
    pub draft: Angle,
    /// Area of the closed end, on which a vacuum holds; none when air gets in through a pin, a
    /// poppet or a hole.
    pub closed: Area,
}

/// A wall that its root draws against metal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StandingWall {
    /// Area of its face on the metal.
    pub face: Area,
    /// From its root to its tip.
    pub height: Length,
    /// Along the way in which it is drawn.
    pub thickness: Length,
    /// Across that way.
    pub breadth: Length,
    /// From the place that stays where it is to the face on the metal.
    pub distance: Length,
    /// Thickness of the root.
    pub root: Length,
    /// Its share of the breadth of the root.
    pub root_breadth: Length,
    /// Draft of its face.
    pub draft: Angle,
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

/// What holds a ring on its core; `None` without an outline.
///
/// Around a circle of radius a, plastic out to b presses with
/// p = E ε / [(b² + a²)/(b² − a²) + ν] (Lamé, a rigid core), which is E ε t / a for a thin wall: 2π E ε t in all for each unit
/// of height, whatever the radius. Around a box with sharp corners it is at most 8 E ε t (Menges:
/// each of four corners pulls on two faces). By finite elements (plane stress, a rigid core
/// without friction) rectangles in an even wall press within 3 % as the circle of their outline,
/// sharp or rounded, so that the 8 is the safe side, and so is an uneven wall (by a sixth for a
/// hole that is much nearer to one side). A floor that closes the ring adds 1/(1 − ν/2)
/// (Glanvill and Denton).
pub fn ring(ring: &Ring, hot: &Hot) -> Option<Hold> {
    let radius = ring.outline.si() / TAU;
    if radius <= 0.0 || radius.is_nan() {
        return None;
    }
    let outer = 1.0 + ring.wall.si().max(0.0) / radius;
    // As a share of endless plastic, so that neither end divides by zero.
    let lame =
        (outer * outer - 1.0) / (outer * outer + 1.0 + POISSON * (outer * outer - 1.0));
    let lame = if lame.is_finite() { lame } else { 1.0 / (1.0 + POISSON) };
    let floor = if ring.closed.si() > 0.0 { 1.0 / (1.0 - POISSON / 2.0) } else { 1.0 };
    let shape = 1.0 + (8.0 / TAU - 1.0) * ring.corners.clamp(0.0, 1.0);
    let pressure = hot.modulus * (hot.strain * lame * floor * shape);
    let vacuum = from_mpa(VACUUM_MPA) * ring.closed;
    Some(Hold::new(pressure, ring.walls, draft_factor(hot.friction, ring.draft), vacuum))
}

/// What holds a standing wall on its metal: the root shrinks by ε times its distance, and the
/// wall gives way as [`grips::flexibility`] has it, the root by distance / (E × its section);
/// `None` of a wall without size. A low wall presses as hard as its root can pull, E ε times
/// its section, whatever the height; a high one hardly.
pub fn standing_wall(wall: &StandingWall, hot: &Hot) -> Option<Hold> {
    let slimness = (wall.height / wall.thickness).si();
    let give = grips::flexibility(slimness) / wall.breadth.si()
        + wall.distance.si() / (wall.root * wall.root_breadth).si();
    let force = hot.modulus.si() * hot.strain * wall.distance.si() / give;
    let pressure = Pressure::from_si(force / wall.face.si());
    let factor = draft_factor(hot.friction, wall.draft);
    (pressure.si().is_finite() && pressure.si() >= 0.0)
        .then(|| Hold::new(pressure, wall.face, factor, Force::default()))
}

impl Hold {
    fn new(pressure: Pressure, walls: Area, factor: f64, vacuum: Force) -> Self {
        let friction = pressure * walls * factor;
        let releases_itself = factor <= 0.0;
        Self { pressure, friction, vacuum, total: friction + vacuum, releases_itself }
    }
}

/// Walls of one half that the part shrinks away from.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Pocket {
    /// Their area.
    pub walls: Area,
    /// How far they reach along the pull.
    pub height: Length,
    /// Their mean draft.
    pub draft: Angle,
}

impl Pocket {
    /// Force with which it sticks there: [`STICKING_N_CM2`] of wall, less the more the walls are
    /// drafted, as friction is.
    pub fn sticking(&self, friction: f64) -> Force {
        let share = draft_factor(friction, self.draft) / friction.max(f64::MIN_POSITIVE);
        Force::from_si(in_mm2(self.walls) * 1e-2 * STICKING_N_CM2 * share)
    }
}

/// With what force walls stick that the part shrinks away from, N for each cm² (judgment: what a
/// hand pulls off; next to a grip it is little, and many walls of it are not).
pub const STICKING_N_CM2: f64 = 2.0;

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

/// What holds a part on the core half and on the cavity half: what it shrinks onto, and what
/// sticks besides.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Keeping {
    /// On the core half.
    pub core: Force,
    /// On the cavity half.
    pub cavity: Force,
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

/// Halves that hold by less than this factor apart do not say which one keeps the part; as
/// wide as friction is known between polished and machined (0.35 to 0.52 for most).
pub const SURE_RATIO: f64 = 1.5;

/// Forces below this, N, do not say which half keeps the part: as much as sticks to a half by
/// chance (judgment).
pub const LEAST_N: f64 = 5.0;

impl Keeping {
    /// How many times as much the core half holds as the cavity half; one where neither does.
    pub fn ratio(&self) -> f64 {
        if self.core.max(self.cavity).si() <= 0.0 {
            1.0
        } else {
            (self.core / self.cavity).si()
        }
    }

    /// Which half keeps the part.
    pub fn keeper(&self) -> Keeper {
        let Self { core, cavity } = *self;
        if core.max(cavity).si() < LEAST_N {
            Keeper::Unsure
        } else if core > cavity * SURE_RATIO {
            Keeper::Core
        } else if cavity > core * SURE_RATIO {
            Keeper::Cavity
        } else {
            Keeper::Unsure
        }
    }
}

#[cfg(test)]
mod tests;
