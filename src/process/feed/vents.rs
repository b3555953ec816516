//! Vents: how deep, how wide, and how much air they let out.
//!
//! Depth is the plastic's: it lets air out and keeps the melt in. Start at the low end and
//! deepen until nothing burns; at a low melt pressure the high end seldom flashes.

use crate::process::plastic::{Plastic, Unknown};
use crate::units::{Length, Quantity, VolumeRate};

/// Viscosity of warm air, Pa s.
pub const AIR_PA_S: f64 = 1.8e-5;
/// Width of one vent: 6 mm, of the 3 to 12 mm of a mold maker's standard.
pub const WIDTH_MM: f64 = 6.0;
/// Length of the shallow part: 1.5 mm (the same standard); longer lands coin shut.
pub const LAND_MM: f64 = 1.5;
/// Depth of the relief behind it, which must reach the open air: 0.5 mm (the same standard;
/// a trade columnist finds 0.25 to 0.38 enough).
pub const RELIEF_MM: f64 = 0.5;
/// Back pressure of the air that a filling melt does not feel, and at which air still flows
/// as if it were incompressible: 10 kPa, a tenth of an atmosphere.
pub const BACK_PRESSURE_PA: f64 = 10_000.0;

/// The shape of each vent.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vent {
    /// Depth to cut first.
    pub start: Length,
    /// Depth not to go beyond.
    pub most: Length,
    /// Width along the parting line.
    pub width: Length,
    /// Length of the shallow part.
    pub land: Length,
    /// Depth of the relief behind it.
    pub relief: Length,
}

/// A vent for this plastic.
///
/// # Errors
///
/// [`Unknown`] when the plastic has no vent depth.
pub fn vent(plastic: &Plastic) -> Result<Vent, Unknown> {
    let depth = plastic.need(&plastic.vent_depth, "vent depth")?;
    let mm = |value: f64| Length::from_si(value * 1e-3);
    Ok(Vent {
        start: depth.low,
        most: depth.high,
        width: mm(WIDTH_MM),
        land: mm(LAND_MM),
        relief: mm(RELIEF_MM),
    })
}

impl Vent {
    /// Air that one vent lets out at [`BACK_PRESSURE_PA`].
    pub fn capacity(&self) -> VolumeRate {
        VolumeRate::from_si(BACK_PRESSURE_PA / self.resistance())
    }

    /// Vents that let out this much air at [`BACK_PRESSURE_PA`]; one at least.
    pub fn count(&self, air: VolumeRate) -> u32 {
        let wanted = (air.si() / self.capacity().si() - 1e-9).ceil();
        // Counted up rather than cast; a mold with a thousand vents has no parting line left.
        (1..1000).find(|&count| f64::from(count) >= wanted).unwrap_or(1000)
    }

    /// Pressure for each flow of air through one vent at its first depth, Pa s/m³: laminar
    /// flow in a slot, Δp = 12 μ Q l/(w h³). Above some tens of kPa air is compressed and the
    /// answer too high.
    fn resistance(&self) -> f64 {
        12.0 * AIR_PA_S * self.land.si() / (self.width.si() * self.start.si().powi(3))
    }
}

#[cfg(test)]
mod tests {
    use super::{Vent, vent};
    use crate::process::plastic::library::Plastics;
    use crate::units::{Quantity, in_mm, read};

    /// Worked by hand from Kazmer's bezel flow (ch. 8): 125 cm³/s through 10 × 0.02 mm over
    /// 2 mm would take 0.675 MPa; a slow ram of 5 cm³/s takes a 25th.
    #[test]
    fn air_of_a_fast_and_of_a_slow_ram() {
        let vent = Vent {
            start: read("0.02 mm").unwrap(),
            most: read("0.03 mm").unwrap(),
            width: read("10 mm").unwrap(),
            land: read("2 mm").unwrap(),
            relief: read("0.5 mm").unwrap(),
        };
        let seen = vent.resistance() * 125e-6 / 1e6;
        assert!((seen - 0.675).abs() < 1e-9, "{seen}");
        assert_eq!(vent.count(read("125 cm3/s").unwrap()), 68);
        assert_eq!(vent.count(read("5 cm3/s").unwrap()), 3);
        assert_eq!(vent.count(read("0 cm3/s").unwrap()), 1);
        let one = vent.capacity().si();
        assert!((vent.resistance() * one - 10_000.0).abs() < 1e-6);
    }

    /// A mold maker's standard: PP 0.013 to 0.030 mm, land 1.5 mm, relief 0.5 mm.
    #[test]
    fn a_vent_for_polypropylene() {
        let plastics = Plastics::builtin().unwrap();
        let vent = vent(plastics.find("pp").unwrap()).unwrap();
        assert!((in_mm(vent.start) - 0.013).abs() < 1e-9);
        assert!((in_mm(vent.most) - 0.030).abs() < 1e-9);
        assert!((in_mm(vent.land) - 1.5).abs() < 1e-9);
        assert!((in_mm(vent.relief) - 0.5).abs() < 1e-9);
        let half = Vent { start: vent.start / 2.0, ..vent };
        let ratio = vent.capacity().si() / half.capacity().si();
        assert!((ratio - 8.0).abs() < 1e-9);
    }
}
