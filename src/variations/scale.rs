//! In what each thing is counted, read and written.

use super::knobs::Knob;
use crate::process::clamping::thread::Thread;
use crate::units::{
    self, Angle, Force, Length, Pressure, Quantity, Torque, celsius, mm, short,
};

/// In what a thing is counted.
pub(super) struct Scale {
    /// Its unit.
    pub(super) unit: &'static str,
    /// SI value of one.
    pub(super) si: f64,
}

/// In what `knob` is counted.
pub(super) fn scale(knob: Knob) -> Scale {
    let (unit, si) = match knob {
        Knob::Wall
        | Knob::CylinderBore
        | Knob::Lever
        | Knob::RamDiameter
        | Knob::GateDepth
        | Knob::GateWidth
        | Knob::Runner
        | Knob::BoltSize
        | Knob::PlateThickness => ("mm", 1e-3),
        Knob::Draft => ("°", 1.0_f64.to_radians()),
        Knob::MeltTemperature | Knob::MoldTemperature => ("°C", 1.0),
        Knob::Air => ("bar", 1e5),
        Knob::RamForce | Knob::ClampForce => ("kN", 1e3),
        Knob::BoltTorque => ("N m", 1.0),
        Knob::Plastic | Knob::Bolts => ("", 1.0),
    };
    Scale { unit, si }
}

/// A value as a person reads it.
pub(super) fn written(knob: Knob, value: f64, unit: &str) -> String {
    match knob {
        Knob::Wall => format!("{} {unit} at the median", short(value)),
        Knob::Draft => format!("{}{unit} more", short(value)),
        Knob::Bolts => format!("{value:.0} bolts"),
        Knob::BoltSize => format!("M{}", short(value)),
        _ => format!("{} {unit}", short(value)),
    }
}

/// A value as a user writes it, in the unit of [`scale`].
pub(super) fn read(knob: Knob, text: &str) -> Result<f64, String> {
    let say = |error: units::UnitError| format!("{}: {error}", knob.name());
    let Scale { si, .. } = scale(knob);
    let value = match knob {
        Knob::Bolts => {
            let digits = text.trim_end_matches("bolts").trim();
            let count = digits.parse::<u32>().ok().filter(|count| *count > 0);
            count.map(f64::from).ok_or_else(|| {
                format!(
                    "bolts: {text:?} is no number of bolts; write as in \"bolts: 4, 6\""
                )
            })
        }
        Knob::BoltSize => {
            let size = Thread::read(text).map(|thread| mm(thread.diameter));
            size.ok_or_else(|| {
                format!(
                    "bolt size: {text:?} is no size; write as in \"bolt size: M8, M10\""
                )
            })
        }
        Knob::Draft => units::read::<Angle>(text).map(|it| it.si() / si).map_err(say),
        Knob::MeltTemperature | Knob::MoldTemperature => {
            units::read(text).map(celsius).map_err(say)
        }
        Knob::Air => units::read::<Pressure>(text).map(|it| it.si() / si).map_err(say),
        Knob::RamForce | Knob::ClampForce => {
            units::read::<Force>(text).map(|it| it.si() / si).map_err(say)
        }
        Knob::BoltTorque => units::read::<Torque>(text).map(Quantity::si).map_err(say),
        _ => units::read::<Length>(text).map(|it| it.si() / si).map_err(say),
    }?;
    let is_free = matches!(knob, Knob::MeltTemperature | Knob::MoldTemperature);
    if value > 0.0 || is_free {
        Ok(value)
    } else {
        Err(format!("{}: {text:?} is not more than nothing", knob.name()))
    }
}
