//! How hard the melt strains the metal that stands alone between plastic.
//!
//! The filling says how much harder the melt pushes on one side; which of it counts is
//! [`greatest_one_sided`].

use crate::analysis::Opening;
use crate::analysis::filling::FillingStudy;
use crate::mold::core_pins::CorePin;
use crate::part::standing_metal::{Ends, Form, StandingMetal};
use crate::process::clamping::standing_metal::{
    self, Bent, LEAST_SHARE, OneSided, Shape, Standing, Strength, bend,
    greatest_one_sided, of_alloy, of_hardened_steel,
};
use crate::process::evaluation::Evaluation;
use crate::process::press::Press;
use crate::units::{Length, Pressure, Quantity, from_mm, in_mm};

/// A round core thinner than this is bought, not milled, mm (judgement: aluminum of this
/// diameter gives way to the cutter that turns around it).
const BOUGHT_MM: f64 = 3.5;

/// Where it is at least so many times as tall as thick.
const BOUGHT_RATIO: f64 = 2.5;

/// One piece of standing metal under the melt.
#[derive(Clone, Debug, PartialEq)]
pub struct StrainedMetal {
    /// What is pushed harder on one side at the pressure of the filling; `None` where no
    /// filling was run.
    pub filling: Option<Pressure>,
    /// The same at all the pressure that the press has, with doubt.
    pub most: Pressure,
    /// Stress at the pressure of the filling.
    pub stress_filling: Option<Pressure>,
    /// Stress and deflection at all that the press has.
    pub bent: Bent,
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
}

impl StrainedMetal {
    /// Whether it bends more than it stands at all the pressure that the press has.
    pub fn bends(&self) -> bool {
        self.bent.stress > self.strength.allowed
    }

    /// The bought pin that takes its place, where it should be one and one holds.
    pub fn replaced_by(&self) -> Option<SteelInstead> {
        self.steel.filter(|steel| {
            self.is_pin && steel.holds && (self.is_bought || self.bends())
        })
    }
}

/// Bought steel in place of milled metal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SteelInstead {
    /// Diameter of a pin, thickness of a blade.
    pub size: Length,
    /// Stress in it at all the pressure that the press has.
    pub stress: Pressure,
    /// Whether it stands that.
    pub holds: bool,
}

/// What the melt of `press` does to each piece of [`Opening::standing`], in their order.
pub(super) fn strain(
    release: &Opening,
    press: &Press,
    evaluation: &Evaluation,
    filling: Option<&FillingStudy>,
) -> Vec<StrainedMetal> {
    let has = press.melt_pressure();
    let strength = of_alloy(evaluation.clamping.plates.alloy);
    let each = release.standing.iter().enumerate();
    each.map(|(index, metal)| {
        let known = filling.and_then(|study| {
            let pa = study.run.one_sided_pa.get(index).copied()?;
            Some(OneSided {
                more: Pressure::from_si(pa),
                run_with: Pressure::from_si(study.run_pa),
            })
        });
        strain_one(metal, has, known, strength)
    })
    .collect()
}

fn strain_one(
    metal: &StandingMetal,
    has: Pressure,
    known: Option<OneSided>,
    strength: Strength,
) -> StrainedMetal {
    let most = greatest_one_sided(known, has);
    let standing = in_process(metal);
    let bent = bend(&standing, most, &strength);
    let spare = strength.allowed.si() / bent.stress.si().max(f64::MIN_POSITIVE);
    let is_pin = metal.form == Form::Pin;
    let is_bought = is_pin
        && metal.mean_thickness() <= BOUGHT_MM
        && metal.slenderness() >= BOUGHT_RATIO;
    let filling = known.map(|it| it.more);
    StrainedMetal {
        filling,
        most,
        stress_filling: filling.map(|q| bend(&standing, q, &strength).stress),
        bent,
        strength,
        holds_to: Pressure::from_si(has.si() * spare),
        is_pin,
        from_filling: most > has * LEAST_SHARE,
        steel: steel_instead(&standing, most),
        is_bought,
        height_that_holds: standing.height * spare.min(1.0).sqrt(),
    }
}

/// The bought pins that stand for round cores.
pub(super) fn core_pins(release: &Opening, strained: &[StrainedMetal]) -> Vec<CorePin> {
    let all = release.standing.iter().zip(strained);
    all.filter_map(|(metal, strained)| {
        let pin = strained.replaced_by()?;
        Some(CorePin {
            half: metal.half,
            foot: metal.at,
            height: metal.height,
            widest: metal.thickness[0].max(metal.thickness[1]),
            diameter: in_mm(pin.size),
        })
    })
    .collect()
}

/// Bought steel as thick as the middle of what it replaces; a ring is none.
fn steel_instead(standing: &Standing, q: Pressure) -> Option<SteelInstead> {
    let mean = (standing.tip + standing.foot) * 0.5;
    let size = match standing.shape {
        Shape::Pin => standing_metal::bought_pin(mean)?,
        Shape::Fin | Shape::HeldFin { .. } => standing_metal::blade(mean)?,
        Shape::Ring { .. } => return None,
    };
    let strength = of_hardened_steel();
    let straight = Standing { tip: size, foot: size, ..*standing };
    let stress = bend(&straight, q, &strength).stress;
    Some(SteelInstead { size, stress, holds: stress <= strength.allowed })
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
