//! A metric bolt: its thread, what its class stands, and how deep it must go into a plate
//! so that the bolt gives way before the thread in the plate does.

use crate::units::{Area, Length, Pressure, Quantity, from_mm, from_mpa};

/// An ISO metric thread.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thread {
    /// Nominal diameter.
    pub diameter: Length,
    /// Pitch.
    pub pitch: Length,
}

/// Diameter and pitch of the coarse series in millimeters, ISO 261.
pub const COARSE: [(f64, f64); 9] = [
    (3.0, 0.5),
    (4.0, 0.7),
    (5.0, 0.8),
    (6.0, 1.0),
    (8.0, 1.25),
    (10.0, 1.5),
    (12.0, 1.75),
    (14.0, 2.0),
    (16.0, 2.0),
];

/// What a property class promises.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Strength {
    /// No lasting stretch up to here.
    pub proof: Pressure,
    /// Stress at 0.2 % lasting stretch.
    pub yields: Pressure,
    /// Stress at which it breaks.
    pub breaks: Pressure,
}

/// Shear over tensile strength of a ductile metal (von Mises).
pub const SHEAR_SHARE: f64 = 0.577;
/// Depth of a thread in aluminum over its diameter that is advised for a mold, at least:
/// 1.5, the low end of the shop rule of 1.5 to 2 diameters (common practice); it is opened
/// often, so wire inserts pay.
pub const ADVISED_DEPTH: f64 = 1.5;

impl Thread {
    /// Reads "M8" or "M8x1"; `None` for anything else.
    pub fn read(size: &str) -> Option<Self> {
        let body = size.trim().to_ascii_lowercase();
        let body = body.strip_prefix('m')?;
        let (diameter, fine) = match body.split_once('x') {
            Some((diameter, pitch)) => (diameter, Some(pitch)),
            None => (body, None),
        };
        let number = |text: &str| text.trim().parse::<f64>().ok();
        let diameter = number(diameter)?;
        let coarse = COARSE.iter().find(|(known, _)| (known - diameter).abs() < 1e-9);
        let (_, coarse) = coarse?;
        let pitch = fine.map_or(Some(*coarse), number)?;
        (0.2..=*coarse).contains(&pitch).then(|| Self::of_mm(diameter, pitch))
    }

    /// The thread of this diameter and pitch in millimeters.
    pub fn of_mm(diameter: f64, pitch: f64) -> Self {
        Self { diameter: from_mm(diameter), pitch: from_mm(pitch) }
    }

    /// "M8" for a coarse thread, else "M8x1".
    pub fn name(&self) -> String {
        let [d, p] = [self.diameter, self.pitch].map(crate::units::in_mm);
        let is_coarse = |(diameter, pitch): &(f64, f64)| {
            (diameter - d).abs() < 1e-9 && (pitch - p).abs() < 1e-9
        };
        if COARSE.iter().any(is_coarse) {
            format!("M{}", crate::units::format::four_digits(d))
        } else {
            format!(
                "M{}x{}",
                crate::units::format::four_digits(d),
                crate::units::format::four_digits(p)
            )
        }
    }

    /// ISO 898-1: π/4 · (d − 0.9382 P)².
    pub fn stress_area(&self) -> Area {
        let effective = self.diameter - 0.9382 * self.pitch;
        std::f64::consts::FRAC_PI_4 * effective * effective
    }

    /// Pitch diameter d − 0.6495 P.
    pub fn pitch_diameter(&self) -> Length {
        self.diameter - 0.649_519 * self.pitch
    }

    /// Root diameter d − 1.2269 P.
    pub fn root_diameter(&self) -> Length {
        self.diameter - 1.226_869 * self.pitch
    }

    /// Area that shears in the plate for each unit of depth, at nominal dimensions:
    /// π d / P · (P/2 + (d − d₂) / √3) (FED-STD-H28, internal thread).
    pub fn shear_area_per_depth(&self) -> Length {
        let [d, p, d2] =
            [self.diameter, self.pitch, self.pitch_diameter()].map(|l| l.si());
        Length::from_si(
            std::f64::consts::PI * d / p * (p / 2.0 + (d - d2) / 3_f64.sqrt()),
        )
    }

    /// Depth of full thread in a plate of this tensile strength at which bolt and thread
    /// give way together.
    pub fn depth_to_break(&self, bolt: &Strength, plate_breaks: Pressure) -> Length {
        let bolt = self.stress_area() * bolt.breaks;
        bolt / (plate_breaks * SHEAR_SHARE * self.shear_area_per_depth())
    }

    /// Depth to cut into aluminum: [`Self::depth_to_break`], and at least
    /// [`ADVISED_DEPTH`] diameters.
    pub fn advised_depth(&self, bolt: &Strength, plate_breaks: Pressure) -> Length {
        self.depth_to_break(bolt, plate_breaks).max(self.diameter * ADVISED_DEPTH)
    }
}

/// Strength by property class, ISO 898-1 (to M16) and ISO 3506-1, from memory; tensile
/// strength and yield of steel are the class's own digits. `None` for an unknown class.
pub fn strength(class: &str) -> Option<Strength> {
    let (proof, yields, breaks) = match class.trim().to_ascii_uppercase().as_str() {
        "4.6" => (225.0, 240.0, 400.0),
        "5.8" => (380.0, 400.0, 500.0),
        "6.8" => (440.0, 480.0, 600.0),
        "8.8" => (580.0, 640.0, 800.0),
        "10.9" => (830.0, 900.0, 1000.0),
        "12.9" => (970.0, 1080.0, 1200.0),
        "A2-50" | "A4-50" => (210.0, 210.0, 500.0),
        "A2-70" | "A4-70" => (450.0, 450.0, 700.0),
        _ => return None,
    };
    Some(Strength {
        proof: from_mpa(proof),
        yields: from_mpa(yields),
        breaks: from_mpa(breaks),
    })
}

#[cfg(test)]
mod tests {
    use super::{SHEAR_SHARE, Thread, strength};
    use crate::units::{Pressure, in_mm};

    /// Jindal, Machine Design, Ex. 9-1: 156.7 mm² for M16x2 and 167.2 for M16x1.5.
    #[test]
    fn stress_areas_of_a_textbook() {
        for (size, printed) in [("M16", 156.7), ("M16x1.5", 167.2)] {
            let seen = Thread::read(size).unwrap().stress_area().value * 1e6;
            assert!((seen - printed).abs() < 0.1, "{size}: {seen}");
        }
    }

    /// A trade calculator prints 9.4 mm for M10 of class 8.8 in 6061-T6 (310 MPa) at
    /// factor 1; nominal dimensions and von Mises shear give 9.43.
    #[test]
    fn a_thread_in_aluminum_is_deep_enough_for_its_bolt() {
        let m10 = Thread::read("M10").unwrap();
        let bolt = strength("8.8").unwrap();
        let plate = Pressure::new::<uom::si::pressure::megapascal>(310.0);
        let depth = m10.depth_to_break(&bolt, plate);
        assert!((in_mm(depth) - 9.43).abs() < 0.02, "{}", in_mm(depth));
        assert!((in_mm(m10.advised_depth(&bolt, plate)) - 15.0).abs() < 1e-9);
        // At that depth both give way at the same force.
        let bolt_breaks = (m10.stress_area() * bolt.breaks).value;
        let sheared = (m10.shear_area_per_depth() * depth).value;
        assert!((plate.value * SHEAR_SHARE * sheared / bolt_breaks - 1.0).abs() < 1e-12);
    }

    #[test]
    fn names_read_back() {
        for size in ["M3", "M8", "M8x1", "M16x1.5"] {
            let thread = Thread::read(size).unwrap();
            assert_eq!(thread.name(), size);
            assert_eq!(Thread::read(&thread.name()), Some(thread));
        }
        assert_eq!(strength("cheese"), None);
    }
}
