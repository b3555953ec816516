//! What a change does to what a part is made with, where the model can follow it.

use crate::analysis::filling::cures::Change;
use crate::process::clamping::remedies::Cure;
use crate::process::press::{Clamp, Press};
use crate::units::Force;

/// A change that the model can make. What only helps (draft, a parting at one height) is none.
#[derive(Clone, Debug, PartialEq)]
pub enum Effect {
    /// A change of gate, heat, plastic or thin walls.
    Fill(Change),
    /// No wall thicker than this, mm.
    MostWall(f64),
    /// The press is changed or set so.
    Press(Box<Press>),
    /// What holds the mold is changed so.
    Clamp(Box<Clamp>),
}

impl Effect {
    /// Of a change to the bolts. Thicker metal and less area ask for another mold, less pressure
    /// is for the work at the press.
    pub(super) fn of_bolts(cure: &Cure, now: &Clamp) -> Option<Self> {
        let mut clamp = now.clone();
        let bolts = clamp.bolts.as_mut()?;
        match cure {
            Cure::Bolts(count) => bolts.count = *count,
            Cure::Torque(torque) | Cure::Size { torque, .. } => {
                bolts.torque = Some(*torque);
                bolts.preload = None;
            }
            Cure::Metal(_) | Cure::Pressure(_) | Cure::Area(_) => return None,
        }
        if let Cure::Size { name, .. } = cure {
            bolts.size.clone_from(name);
        }
        Some(Self::Clamp(Box::new(clamp)))
    }

    /// A vise or another clamp that squeezes with `force`.
    pub(super) fn of_force(force: Force, now: &Clamp) -> Option<Self> {
        let mut clamp = now.clone();
        *clamp.vise.as_mut().or(clamp.force.as_mut())? = force;
        Some(Self::Clamp(Box::new(clamp)))
    }
}

/// One change, short: an order with a size, without a place.
#[derive(Clone, Debug, PartialEq)]
pub struct ShortChange {
    /// In words.
    pub words: String,
    /// What it does; `None` where the model cannot follow it.
    pub effect: Option<Effect>,
}
