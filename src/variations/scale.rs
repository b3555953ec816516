//! In what each thing is counted, read and written.

use super::factors::Factor;
use crate::process::clamping::mold_plates::Bars;
use crate::process::clamping::thread::Thread;
use crate::process::press::Press;
use crate::process::press::drive::Gauge;
use crate::process::press::shelf;
use crate::units::{
    self, Angle, Force, Length, Pressure, Quantity, Torque, format::four_digits,
    in_celsius, in_mm, in_psi,
};

/// In what a thing is counted.
pub(super) struct Scale {
    /// Its unit.
    pub(super) unit: &'static str,
    /// SI value of one.
    pub(super) si: f64,
}

/// In what `factor` is counted.
pub(super) fn scale(factor: Factor) -> Scale {
    let (unit, si) = match factor {
        Factor::Wall
        | Factor::CylinderBore
        | Factor::Lever
        | Factor::RamDiameter
        | Factor::GateDepth
        | Factor::GateWidth
        | Factor::Runner
        | Factor::BoltSize
        | Factor::PlateThickness => ("mm", 1e-3),
        Factor::Draft => ("°", 1.0_f64.to_radians()),
        Factor::MeltTemperature | Factor::MoldTemperature => ("°C", 1.0),
        Factor::Air => ("bar", 1e5),
        Factor::RamForce | Factor::ClampForce => ("kN", 1e3),
        Factor::BoltTorque => ("N m", 1.0),
        Factor::Plastic | Factor::Bolts => ("", 1.0),
    };
    Scale { unit, si }
}

/// A value as a person reads it: pressure as the gauge of `press` shows it, sizes of what it has in
/// inches in inches.
pub(super) fn written(factor: Factor, value: f64, press: &Press) -> String {
    let Scale { unit, si } = scale(factor);
    if is_shown_in_inches(factor, press) {
        return shelf::written(value, true);
    }
    match factor {
        Factor::Air if gauge(press) == Gauge::Psi => {
            format!("{:.0} psi", in_psi(Pressure::from_si(value * si)))
        }
        Factor::Wall => format!("{} {unit} at the median", four_digits(value)),
        Factor::Draft => format!("{}{unit} more", four_digits(value)),
        Factor::Bolts => format!("{value:.0} bolts"),
        Factor::BoltSize => bolt_size(value),
        _ => format!("{} {unit}", four_digits(value)),
    }
}

/// What the gauge of the air shows; bar where there is none.
pub(super) fn gauge(press: &Press) -> Gauge {
    press.drive.air.as_ref().map_or_else(Gauge::default, |air| air.gauge)
}

/// Whether a size of the press is one in inches.
fn is_shown_in_inches(factor: Factor, press: &Press) -> bool {
    let now = match factor {
        Factor::CylinderBore => press.drive.air.as_ref().map(|air| air.bore),
        Factor::Lever => press.drive.lever.as_ref().map(|lever| lever.long_arm),
        Factor::RamDiameter => Some(press.ram.diameter),
        Factor::PlateThickness => {
            return press.mold.as_ref().is_some_and(|mold| mold.bars == Bars::Inches);
        }
        _ => None,
    };
    now.is_some_and(|now| shelf::is_in_inches(in_mm(now)))
}

/// The coarse thread of this diameter in millimeters, metric or in inches.
pub(super) fn bolt_size(diameter: f64) -> String {
    Thread::coarse_of(diameter)
        .map_or_else(|| format!("M{}", four_digits(diameter)), |thread| thread.name())
}

/// A value as a user writes it, in the unit of [`scale`].
pub(super) fn read(factor: Factor, text: &str) -> Result<f64, String> {
    let say = |error: units::UnitError| format!("{}: {error}", factor.name());
    let Scale { si, .. } = scale(factor);
    let value = match factor {
        Factor::Bolts => {
            let digits = text.trim_end_matches("bolts").trim();
            let count = digits.parse::<u32>().ok().filter(|count| *count > 0);
            count.map(f64::from).ok_or_else(|| {
                format!(
                    "bolts: {text:?} is no number of bolts; write as in \"bolts: 4, 6\""
                )
            })
        }
        Factor::BoltSize => {
            let size = Thread::read(text).map(|thread| in_mm(thread.diameter));
            size.ok_or_else(|| {
                format!(
                    "bolt size: {text:?} is no size; write as in \"bolt size: M8, M10\" or \"bolt size: 1/4-20, 5/16-18\""
                )
            })
        }
        Factor::Draft => units::read::<Angle>(text).map(|it| it.si() / si).map_err(say),
        Factor::MeltTemperature | Factor::MoldTemperature => {
            units::read(text).map(in_celsius).map_err(say)
        }
        Factor::Air => units::read::<Pressure>(text).map(|it| it.si() / si).map_err(say),
        Factor::RamForce | Factor::ClampForce => {
            units::read::<Force>(text).map(|it| it.si() / si).map_err(say)
        }
        Factor::BoltTorque => units::read::<Torque>(text).map(Quantity::si).map_err(say),
        _ => units::read::<Length>(text).map(|it| it.si() / si).map_err(say),
    }?;
    let is_free = matches!(factor, Factor::MeltTemperature | Factor::MoldTemperature);
    if value > 0.0 || is_free {
        Ok(value)
    } else {
        Err(format!("{}: {text:?} is not more than nothing", factor.name()))
    }
}
