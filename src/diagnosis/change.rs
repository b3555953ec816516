//! The one change to try next, as far as the model can follow it.

use crate::process::press::Press;
use crate::units::{Length, Pressure, Temperature};
use crate::variations::steps::Case;

/// A change, for the model.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Change {
    /// Push with this melt pressure.
    Pressure(Pressure),
    /// Run the melt at this temperature.
    Melt(Temperature),
    /// Run the mold at this temperature.
    Mold(Temperature),
    /// Leave the gate to the tool, which sizes it for press and part.
    SizedGate,
    /// Make every wall at least so thick.
    Walls(Length),
    /// Hold the mold with so many times the force.
    Clamp(f64),
    /// Make each plate so thick.
    Plates(Length),
}

impl Change {
    /// `case` after the change; a change of pressure leaves it as it is.
    pub fn applied_to(self, case: &Case) -> Case {
        let mut case = case.clone();
        match self {
            Self::Pressure(_) => {}
            Self::Melt(at) => run_at(&mut case, Some(at), None),
            Self::Mold(at) => run_at(&mut case, None, Some(at)),
            Self::SizedGate => {
                let feed = &mut case.settings.choices.feed;
                (feed.gate_depth, feed.gate_width) = (None, None);
            }
            Self::Walls(least) => {
                case.part.walls.least_mm =
                    case.part.walls.least_mm.max(crate::units::in_mm(least));
            }
            Self::Clamp(times) => hold_harder(&mut case.setup.press, times),
            Self::Plates(thickness) => {
                case.setup.press.mold.get_or_insert_default().thickness = Some(thickness);
            }
        }
        case
    }
}

fn run_at(case: &mut Case, melt: Option<Temperature>, mold: Option<Temperature>) {
    // Where the melt would not flow or the part never gets stiff, the case stays as it is.
    if let Ok(plastic) = case.setup.plastic.clone().at_temperatures(melt, mold) {
        case.setup.plastic = plastic;
    }
}

fn hold_harder(press: &mut Press, times: f64) {
    let Some(clamp) = &mut press.clamp else { return };
    if let Some(bolts) = &mut clamp.bolts {
        bolts.torque = bolts.torque.map(|torque| torque * times);
    }
    clamp.vise = clamp.vise.map(|force| force * times);
    clamp.force = clamp.force.map(|force| force * times);
}
