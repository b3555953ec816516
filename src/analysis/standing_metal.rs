//! How hard the melt strains the metal that stands alone between plastic.
//!
//! The filling says how much harder it pushes on one side, at the pressure that it was run
//! with; at all the pressure that the press has everything is as much higher as that is, and a
//! half more for what the filling does not know (judgement). Without a filling half of the
//! pressure of the press stands on one side (judgement: one side full, the other empty, the
//! rest lost on the way).

use crate::analysis::Analysis;
use crate::part::standing_metal::{Ends, Form, StandingMetal};
use crate::process::clamping::standing_metal::{
    self, Bent, Shape, Standing, Strength, bend, of_alloy, of_dowel_pin,
};
use crate::units::{Length, Pressure, Quantity, from_mm};

/// What the filling does not know: a side that fills before the other by chance.
const DOUBT: f64 = 1.5;

/// Share of the pressure of the press on one side where no filling was run.
pub const UNKNOWN_SHARE: f64 = 0.5;

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
    /// A hardened dowel pin in place of a round core; `None` where none fits.
    pub pin: Option<PinInstead>,
    /// Whether a core so thin is bought, not milled.
    pub is_bought: bool,
    /// Height at which it would hold.
    pub height_that_holds: Length,
}

/// A bought pin in place of milled metal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PinInstead {
    /// Its diameter.
    pub diameter: Length,
    /// Stress in it at all the pressure that the press has.
    pub stress: Pressure,
    /// Whether it stands that.
    pub holds: bool,
}

impl Analysis {
    /// What the melt does to each piece of [`Analysis::standing`], in their order.
    pub fn strained_metal(&self) -> Vec<StrainedMetal> {
        let each = self.standing.iter().enumerate();
        each.map(|(index, metal)| self.strained(index, metal)).collect()
    }

    fn strained(&self, index: usize, metal: &StandingMetal) -> StrainedMetal {
        let has = self.setup.press.melt_pressure();
        let known = self.filling.as_ref().ok().and_then(|study| {
            let pa = study.run.one_sided_pa.get(index).copied()?;
            Some((Pressure::from_si(pa), Pressure::from_si(study.run_pa)))
        });
        let most = match known {
            Some((filling, run)) if run.si() > 0.0 => {
                has.min(filling * (DOUBT * (has.si() / run.si()).max(1.0)))
            }
            _ => has * UNKNOWN_SHARE,
        };
        let filling = known.map(|(filling, _)| filling);
        let standing = in_process(metal);
        let strength = of_alloy(self.evaluation.clamping.plates.alloy);
        let bent = bend(&standing, most, &strength);
        let spare = strength.allowed.si() / bent.stress.si().max(f64::MIN_POSITIVE);
        let is_pin = metal.form == Form::Pin;
        let is_bought = is_pin
            && metal.mean_thickness() <= BOUGHT_MM
            && metal.slenderness() >= BOUGHT_RATIO;
        StrainedMetal {
            filling,
            most,
            stress_filling: filling.map(|q| bend(&standing, q, &strength).stress),
            bent,
            strength,
            holds_to: Pressure::from_si(has.si() * spare),
            pin: is_pin.then(|| pin_instead(&standing, most)).flatten(),
            is_bought,
            height_that_holds: standing.height * spare.min(1.0).sqrt(),
        }
    }
}

/// A bought pin of the diameter at the middle of the core.
fn pin_instead(standing: &Standing, q: Pressure) -> Option<PinInstead> {
    let mean = (standing.tip + standing.foot) * 0.5;
    let diameter = standing_metal::dowel_pin(mean)?;
    let strength = of_dowel_pin();
    let straight = Standing { tip: diameter, foot: diameter, ..*standing };
    let stress = bend(&straight, q, &strength).stress;
    Some(PinInstead { diameter, stress, holds: stress <= strength.allowed })
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
