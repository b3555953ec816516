//! How hard the melt strains the metal that stands alone between plastic, whether that holds,
//! and which bought steel would.
//!
//! Two loads count. With what fills in the worst case, all of it on one side, the metal must
//! stand ten thousand shots. With what the press can push besides ([`greatest_one_sided`]), as
//! when a regulator stands too high, it must not stay bent.

use crate::process::clamping::standing_metal::{
    Bent, LEAST_SHARE, OneSided, Shape, Standing, Strength, bend, greatest_one_sided,
};
use crate::process::clamping::{bought_steel, standing_metal};
use crate::units::{Length, Pressure, Quantity, in_mm};

/// A round core up to this diameter, mm, that is at least so many times as tall as thick is bought,
/// not milled: aluminum of this diameter gives way to the cutter that turns around it
/// (judgment), and no cutter turns well around one that is deeper than three diameters.
const BOUGHT: [(f64, f64); 2] = [(3.5, 2.5), (6.0, 3.0)];

/// Whether standing metal holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Holding {
    /// Whatever the press pushes with.
    Always,
    /// As long as no more is pushed than fills: beyond, it tires.
    WhatFills,
    /// Not for long, or not even once.
    Never,
}

/// A pressure on one side, and what it does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Load {
    /// How much harder the melt pushes on one side.
    pub pressure: Pressure,
    /// Stress and deflection.
    pub bent: Bent,
    /// The stress that must not be exceeded.
    pub limit: Pressure,
}

/// One piece of standing metal under the melt.
#[derive(Clone, Debug, PartialEq)]
pub struct StrainedMetal {
    /// What is pushed harder on one side at the pressure of the filling; `None` where no
    /// filling was run.
    pub filling: Option<Pressure>,
    /// Stress at that.
    pub stress_filling: Option<Pressure>,
    /// With what fills in the worst case, all of it on one side; `None` where no pressure is
    /// known to fill.
    pub in_use: Option<Load>,
    /// With all the pressure that the press has, with doubt.
    pub most: Load,
    /// Whether it holds.
    pub holding: Holding,
    /// The metal of the mold.
    pub strength: Strength,
    /// Melt pressure at the ram up to which it holds ten thousand shots: all of it on one side
    /// once it is known what fills, else [`LEAST_SHARE`] of it.
    pub holds_to: Pressure,
    /// Melt pressure at the ram beyond which it stays bent.
    pub bends_at: Pressure,
    /// Whether it is the core of a round hole.
    pub is_pin: bool,
    /// Whether it is the filling that says how hard it is pushed.
    pub from_filling: bool,
    /// A hardened dowel pin in place of a round core, a blade in place of a fin; `None` where
    /// none fits.
    pub steel: Option<SteelInstead>,
    /// Whether a core so thin is bought, not milled.
    pub is_bought: bool,
    /// The piece itself.
    standing: Standing,
}

impl StrainedMetal {
    /// The load that it does not hold, else the greatest.
    pub fn load(&self) -> Load {
        let exceeded = self.in_use.filter(|it| it.bent.stress > it.limit);
        exceeded.unwrap_or(self.most)
    }

    /// Height at which it would hold.
    pub fn height_that_holds(&self) -> Length {
        let Load { pressure, limit, .. } = self.load();
        standing_metal::height_that_holds(&self.standing, pressure, &self.strength, limit)
    }

    /// By how much thicker it would; `None` where it would be another part.
    pub fn wider_by(&self) -> Option<Length> {
        let Load { pressure, limit, .. } = self.load();
        standing_metal::wider_by(&self.standing, pressure, &self.strength, limit)
    }

    /// The bought pin that takes its place, where it should be one and one holds.
    pub fn replaced_by(&self) -> Option<SteelInstead> {
        let is_asked = self.is_bought || self.holding == Holding::Never;
        self.steel.filter(|steel| self.is_pin && steel.holds && is_asked)
    }
}

/// Bought steel in place of milled metal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SteelInstead {
    /// Diameter of a pin, thickness of a blade.
    pub size: Length,
    /// Stress in it at all the pressure that the press has.
    pub stress: Pressure,
    /// Whether it stands that; a pin through the part is seated in the other half.
    pub holds: bool,
    /// Whether a pin stands it once it is seated in the other half.
    pub holds_seated: bool,
}

/// How hard metal is pushed.
#[derive(Clone, Copy, Debug)]
pub struct Pushed {
    /// Melt pressure that the press has.
    pub has: Pressure,
    /// Melt pressure that fills in the worst case, no more than the press has, where that is
    /// known.
    pub fills: Option<Pressure>,
    /// What the filling says about this piece.
    pub known: Option<OneSided>,
}

/// What the melt does to one piece; `through` where its tip lies on the other half.
pub fn strain(
    standing: &Standing,
    through: bool,
    pushed: Pushed,
    strength: Strength,
) -> StrainedMetal {
    let Pushed { has, fills, known } = pushed;
    let stress = |q: Pressure| bend(standing, q, &strength);
    let in_use =
        fills.map(|q| Load { pressure: q, bent: stress(q), limit: strength.allowed });
    let most = greatest_one_sided(known, has);
    let bent = stress(most);
    let (tires, yields) = (bent.stress > strength.allowed, bent.stress > strength.yields);
    let holding = match in_use {
        Some(it) if it.bent.stress > it.limit || yields => Holding::Never,
        Some(_) if tires => Holding::WhatFills,
        None if tires => Holding::Never,
        _ => Holding::Always,
    };
    // Above what fills it is pushed now and then, and must only not stay bent.
    let is_rare = in_use.is_some() && yields;
    let limit = if is_rare { strength.yields } else { strength.allowed };
    let most = Load { pressure: most, bent, limit };
    let up_to = |pushed: Pressure, stress: Pressure, limit: Pressure| {
        pushed * (limit.si() / stress.si().max(f64::MIN_POSITIVE))
    };
    let holds_to = in_use.map_or_else(
        || up_to(has, bent.stress, strength.allowed),
        |it| up_to(it.pressure, it.bent.stress, strength.allowed),
    );
    let bends_at = up_to(has, bent.stress, strength.yields);
    let is_pin = standing.shape == Shape::Pin;
    let mean = (standing.tip + standing.foot) * 0.5;
    let filling = known.map(|it| it.more);
    StrainedMetal {
        filling,
        stress_filling: filling.map(|q| stress(q).stress),
        in_use,
        most,
        holding,
        strength,
        holds_to,
        bends_at,
        is_pin,
        from_filling: most.pressure > has * LEAST_SHARE,
        steel: steel_instead(standing, most.pressure, through),
        is_bought: is_pin
            && BOUGHT.iter().any(|(widest, ratio)| {
                in_mm(mean) <= *widest && (standing.height / mean).value >= *ratio
            }),
        standing: *standing,
    }
}

/// Bought steel as thick as the middle of what it replaces; a ring is none.
fn steel_instead(
    standing: &Standing,
    q: Pressure,
    through: bool,
) -> Option<SteelInstead> {
    let mean = (standing.tip + standing.foot) * 0.5;
    let (size, seated) = match standing.shape {
        Shape::Pin => (bought_steel::bought_pin(mean)?, Shape::SeatedPin),
        Shape::SeatedPin | Shape::Ring { .. } => return None,
        shape => (bought_steel::blade(mean)?, shape),
    };
    let strength = bought_steel::of_hardened_steel();
    let straight = Standing { tip: size, foot: size, ..*standing };
    let [free, seated] = [standing.shape, seated]
        .map(|shape| bend(&Standing { shape, ..straight }, q, &strength).stress);
    let stress = if through { seated } else { free };
    let holds = |stress: Pressure| stress <= strength.allowed;
    Some(SteelInstead { size, stress, holds: holds(stress), holds_seated: holds(seated) })
}
