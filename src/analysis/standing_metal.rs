//! How hard the melt strains the metal that stands alone between plastic.
//!
//! Two loads count. With what fills in the worst case, all of it on one side, the metal must
//! stand ten thousand shots. With what the press can push besides ([`greatest_one_sided`]), as
//! when a regulator stands too high, it must not stay bent.

use crate::analysis::Analysis;
use crate::analysis::filling::FillingStudy;
use crate::mold::core_pins::CorePin;
use crate::part::standing_metal::{Ends, Form, StandingMetal};
use crate::process::clamping::bought_steel;
use crate::process::clamping::standing_metal::{
    Bent, LEAST_SHARE, OneSided, Shape, Standing, Strength, bend, greatest_one_sided,
    height_that_holds, of_alloy, wider_by,
};
use crate::units::{Length, Pressure, Quantity, from_mm, in_mm};

/// A round core thinner than this is bought, not milled, mm (judgement: aluminum of this
/// diameter gives way to the cutter that turns around it).
const BOUGHT_MM: f64 = 3.5;

/// Where it is at least so many times as tall as thick.
const BOUGHT_RATIO: f64 = 2.5;

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
    /// Melt pressure at the ram up to which it holds.
    pub holds_to: Pressure,
    /// Whether it is the core of a round hole.
    pub is_pin: bool,
    /// Whether it is the filling that says how hard it is pushed.
    pub from_filling: bool,
    /// A hardened dowel pin in place of a round core, a blade in place of a fin; `None` where
    /// none fits.
    pub steel: Option<SteelInstead>,
    /// Whether a core so thin is bought, not milled.
    pub is_bought: bool,
    /// Height at which it would hold.
    pub height_that_holds: Length,
    /// By how much thicker it would; `None` where it would be another part.
    pub wider_by: Option<Length>,
}

impl StrainedMetal {
    /// The load that it does not hold, else the greatest.
    pub fn load(&self) -> Load {
        let exceeded = self.in_use.filter(|it| it.bent.stress > it.limit);
        exceeded.unwrap_or(self.most)
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

impl Analysis {
    /// What the melt does to each piece of [`crate::analysis::Opening::standing`], in their
    /// order. Follows press, plates and filling as they are now: another press is asked for
    /// after the part is measured.
    pub fn strained_metal(&self) -> Vec<StrainedMetal> {
        let has = self.setup.press.melt_pressure();
        let strength = of_alloy(self.evaluation.clamping.plates.alloy);
        let filling = self.filling.as_ref().ok();
        let worst = filling.and_then(FillingStudy::known).map(|it| it.required.worst);
        let fills = worst.map(|worst| worst.min(has));
        let each = self.release.standing.iter().enumerate();
        each.map(|(index, metal)| {
            let known = filling.and_then(|study| {
                let pa = study.run.one_sided_pa.get(index).copied()?;
                Some(OneSided {
                    more: Pressure::from_si(pa),
                    run_with: Pressure::from_si(study.run_pa),
                })
            });
            strain_one(metal, Pushed { has, fills, known }, strength)
        })
        .collect()
    }
}

/// How hard one piece is pushed.
#[derive(Clone, Copy)]
struct Pushed {
    has: Pressure,
    fills: Option<Pressure>,
    known: Option<OneSided>,
}

fn strain_one(
    metal: &StandingMetal,
    pushed: Pushed,
    strength: Strength,
) -> StrainedMetal {
    let Pushed { has, fills, known } = pushed;
    let standing = in_process(metal);
    let stress = |q: Pressure| bend(&standing, q, &strength);
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
    let spare = strength.allowed.si() / bent.stress.si().max(f64::MIN_POSITIVE);
    let is_pin = metal.form == Form::Pin;
    let filling = known.map(|it| it.more);
    let mut strained = StrainedMetal {
        filling,
        stress_filling: filling.map(|q| stress(q).stress),
        in_use,
        most,
        holding,
        strength,
        holds_to: Pressure::from_si(has.si() * spare),
        is_pin,
        from_filling: most.pressure > has * LEAST_SHARE,
        steel: steel_instead(&standing, most.pressure, metal.through),
        is_bought: is_pin
            && metal.mean_thickness() <= BOUGHT_MM
            && metal.slenderness() >= BOUGHT_RATIO,
        height_that_holds: standing.height,
        wider_by: None,
    };
    let Load { pressure: q, limit, .. } = strained.load();
    strained.height_that_holds = height_that_holds(&standing, q, &strength, limit);
    strained.wider_by = wider_by(&standing, q, &strength, limit);
    strained
}

/// The bought pins that stand for round cores.
pub(super) fn core_pins(analysis: &Analysis) -> Vec<CorePin> {
    let strained = analysis.strained_metal();
    let all = analysis.release.standing.iter().zip(&strained);
    // A core that both halves share is milled in both.
    let whole = all.filter(|(metal, _)| !metal.is_split);
    whole
        .filter_map(|(metal, strained)| {
            let pin = strained.replaced_by()?;
            Some(CorePin {
                half: metal.half,
                foot: metal.at,
                height: metal.height,
                widest: metal.thickness[0].max(metal.thickness[1]),
                diameter: in_mm(pin.size),
                is_seated: metal.through,
            })
        })
        .collect()
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

fn in_process(metal: &StandingMetal) -> Standing {
    let shape = match metal.form {
        Form::Pin => Shape::Pin,
        Form::Ring { radius } => Shape::Ring { radius: from_mm(radius) },
        Form::Fin { length, ends: Ends::Both } => {
            Shape::HeldFin { length: from_mm(length) }
        }
        Form::Fin { .. } => Shape::Fin,
    };
    let [tip, foot] = metal.thickness.map(from_mm);
    Standing { shape, tip, foot, height: from_mm(metal.height) }
}
