//! A bolt: its thread, metric or of the unified series, and how deep it must go into a plate
//! so that the bolt gives way before the thread in the plate does.

use crate::units::format::four_digits;
use crate::units::{Area, Length, Pressure, Quantity, from_mm, in_mm};

/// A thread.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thread {
    /// Nominal diameter.
    pub diameter: Length,
    /// Pitch.
    pub pitch: Length,
    /// Whose standard it follows.
    pub standard: Standard,
}

/// Whose standard a thread follows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standard {
    /// ISO 261, metric.
    Iso,
    /// ASME B1.1, the unified series in inches.
    Unified,
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

/// Sizes of the unified series: name, diameter in inches, threads an inch of the coarse (UNC)
/// and of the fine (UNF) series, ASME B1.1.
const UNIFIED: [(&str, f64, [f64; 2]); 10] = [
    ("6", 0.138, [32.0, 40.0]),
    ("8", 0.164, [32.0, 36.0]),
    ("10", 0.190, [24.0, 32.0]),
    ("1/4", 0.25, [20.0, 28.0]),
    ("5/16", 0.3125, [18.0, 24.0]),
    ("3/8", 0.375, [16.0, 24.0]),
    ("7/16", 0.4375, [14.0, 20.0]),
    ("1/2", 0.5, [13.0, 20.0]),
    ("9/16", 0.5625, [12.0, 18.0]),
    ("5/8", 0.625, [11.0, 18.0]),
];

/// What a class promises.
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
    /// Reads "M8", "M8x1", "1/4-20" or "#10-32 UNF"; `None` for anything else.
    pub fn read(size: &str) -> Option<Self> {
        let body = size.trim().to_ascii_lowercase();
        match body.strip_prefix('m') {
            Some(metric) => Self::read_iso(metric),
            None => Self::read_unified(&body),
        }
    }

    fn read_iso(body: &str) -> Option<Self> {
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

    /// A size without its threads an inch is either of two, so it says which.
    fn read_unified(body: &str) -> Option<Self> {
        let body = body.trim_start_matches(['#', ' ']);
        let (body, series) = match (body.strip_suffix("unc"), body.strip_suffix("unf")) {
            (Some(body), _) => (body, Some(0)),
            (_, Some(body)) => (body, Some(1)),
            (None, None) => (body, None),
        };
        let body: String = body.chars().filter(|c| !matches!(c, ' ' | '"')).collect();
        let (name, threads) = match body.split_once('-') {
            Some((name, threads)) => (name, Some(threads.parse::<f64>().ok()?)),
            None => (body.as_str(), None),
        };
        let (_, inches, known) = UNIFIED.iter().find(|(own, ..)| *own == name)?;
        let is_meant = |at: usize| {
            let alike = |threads: f64| (threads - known[at]).abs() < 1e-9;
            series.is_none_or(|series| series == at) && threads.is_none_or(alike)
        };
        let at = match (is_meant(0), is_meant(1)) {
            (true, false) => 0,
            (false, true) => 1,
            _ => return None,
        };
        Some(Self::of_inches(*inches, known[at]))
    }

    /// The metric thread of this diameter and pitch in millimeters.
    pub fn of_mm(diameter: f64, pitch: f64) -> Self {
        let [diameter, pitch] = [diameter, pitch].map(from_mm);
        Self { diameter, pitch, standard: Standard::Iso }
    }

    fn of_inches(diameter: f64, threads: f64) -> Self {
        let [diameter, pitch] = [25.4 * diameter, 25.4 / threads].map(from_mm);
        Self { diameter, pitch, standard: Standard::Unified }
    }

    /// The coarse thread of this diameter in millimeters, metric or unified.
    pub fn coarse_of(diameter: f64) -> Option<Self> {
        let metric = COARSE.iter().map(|&(d, pitch)| Self::of_mm(d, pitch));
        let unified =
            UNIFIED.iter().map(|&(_, d, [threads, _])| Self::of_inches(d, threads));
        let same = |it: &Self| (in_mm(it.diameter) - diameter).abs() < 1e-6;
        metric.chain(unified).find(same)
    }

    /// The sizes beside it on the shelf, the thinnest first: of ISO and UNC the coarse threads,
    /// of UNF the fine ones.
    pub fn shelf(&self) -> Vec<Self> {
        if self.standard == Standard::Iso {
            return COARSE.iter().map(|&(d, pitch)| Self::of_mm(d, pitch)).collect();
        }
        let series = usize::from(self.unified().is_some_and(|(_, fine)| fine));
        let of = |&(_, d, threads): &(&str, f64, [f64; 2])| {
            Self::of_inches(d, threads[series])
        };
        UNIFIED.iter().map(of).collect()
    }

    /// Its name in the unified series, and whether it is a fine one.
    fn unified(&self) -> Option<(&'static str, bool)> {
        let [d, pitch] = [self.diameter, self.pitch].map(in_mm);
        let (name, _, [_, fine]) =
            UNIFIED.iter().find(|(_, inches, _)| (25.4 * inches - d).abs() < 1e-6)?;
        Some((name, (25.4 / fine - pitch).abs() < 1e-6))
    }

    /// "M8" for a metric coarse thread, else "M8x1"; "1/4-20" of the unified series.
    pub fn name(&self) -> String {
        let [d, p] = [self.diameter, self.pitch].map(in_mm);
        if let (Standard::Unified, Some((name, _))) = (self.standard, self.unified()) {
            return format!("{name}-{}", four_digits(25.4 / p));
        }
        let is_coarse = |(diameter, pitch): &(f64, f64)| {
            (diameter - d).abs() < 1e-9 && (pitch - p).abs() < 1e-9
        };
        if COARSE.iter().any(is_coarse) {
            format!("M{}", four_digits(d))
        } else {
            format!("M{}x{}", four_digits(d), four_digits(p))
        }
    }

    /// π/4 · (d − c P)², c 0.9382 (ISO 898-1) or 0.9743 (ASME B1.1).
    pub fn stress_area(&self) -> Area {
        let share = match self.standard {
            Standard::Iso => 0.9382,
            Standard::Unified => 0.9743,
        };
        let effective = self.diameter - share * self.pitch;
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

#[cfg(test)]
mod tests {
    use super::{SHEAR_SHARE, Strength, Thread};
    use crate::units::{Pressure, from_mpa, in_mm};

    /// Jindal, Machine Design, Ex. 9-1: 156.7 mm² for M16x2 and 167.2 for M16x1.5.
    #[test]
    fn stress_areas_of_a_textbook() {
        for (size, printed) in [("M16", 156.7), ("M16x1.5", 167.2)] {
            let seen = Thread::read(size).unwrap().stress_area().value * 1e6;
            assert!((seen - printed).abs() < 0.1, "{size}: {seen}");
        }
    }

    /// ASME B1.1, as makers of screws print it, in square inches.
    #[test]
    fn stress_areas_of_the_unified_series() {
        for (size, printed) in [
            ("8-32", 0.0140),
            ("#10-24", 0.0175),
            ("10-32 UNF", 0.0200),
            ("1/4-20", 0.0318),
            ("1/4\" UNC", 0.0318),
            ("1/4-28", 0.0364),
            ("5/16-18", 0.0524),
            ("3/8-16", 0.0775),
            ("1/2-13", 0.1419),
            ("1/2-20", 0.1599),
        ] {
            let area =
                Thread::read(size).unwrap().stress_area().value / (0.0254 * 0.0254);
            assert!((area - printed).abs() < 6e-5, "{size}: {area}");
        }
        for size in ["1/4", "1/4-22", "#12-24", "10", "1/4-20 UNF", "M1/4-20"] {
            assert_eq!(Thread::read(size), None, "{size}");
        }
    }

    /// The next sizes of a bolt are those of its own series.
    #[test]
    fn the_shelf_is_that_of_the_thread() {
        let names = |size: &str| -> Vec<String> {
            let shelf = Thread::read(size).unwrap().shelf();
            shelf.iter().map(Thread::name).collect()
        };
        assert!(names("M8x1").contains(&"M10".to_owned()));
        assert!(names("1/4-20").contains(&"5/16-18".to_owned()));
        assert!(names("1/4-28").contains(&"5/16-24".to_owned()));
        assert_eq!(Thread::coarse_of(9.525).unwrap().name(), "3/8-16");
    }

    /// A trade calculator prints 9.4 mm for M10 of class 8.8 in 6061-T6 (310 MPa) at
    /// factor 1; nominal dimensions and von Mises shear give 9.43.
    #[test]
    fn a_thread_in_aluminum_is_deep_enough_for_its_bolt() {
        let m10 = Thread::read("M10").unwrap();
        let [proof, yields, breaks] = [580.0, 640.0, 800.0].map(from_mpa);
        let bolt = Strength { proof, yields, breaks };
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
        for size in ["M3", "M8", "M8x1", "M16x1.5", "1/4-20", "10-32", "3/8-24"] {
            let thread = Thread::read(size).unwrap();
            assert_eq!(thread.name(), size);
            assert_eq!(Thread::read(&thread.name()), Some(thread));
        }
    }
}
