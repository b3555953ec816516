//! The holes that a bolt asks for, and the lengths that it is sold in, metric or in inches.

use crate::process::clamping::thread::{Standard, Thread};
use crate::units::format::{four_digits, inches};
use crate::units::in_mm;

/// Lengths of metric screws and dowels on the shelf, mm (ISO 4762 and ISO 2338, from memory).
pub const LENGTHS_MM: [f64; 19] = [
    8.0, 10.0, 12.0, 16.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 55.0, 60.0, 65.0,
    70.0, 80.0, 90.0, 100.0, 120.0,
];

/// Lengths of screws in inches on the shelf (ASME B18.3, from memory).
const LENGTHS_IN: [f64; 18] = [
    0.375, 0.5, 0.625, 0.75, 0.875, 1.0, 1.25, 1.5, 1.75, 2.0, 2.25, 2.5, 2.75, 3.0,
    3.25, 3.5, 4.0, 4.5,
];

/// Clearance hole of a metric bolt by its diameter, medium series of ISO 273 (from memory), mm.
const MEDIUM_MM: [(f64, f64); 9] = [
    (3.0, 3.4),
    (4.0, 4.5),
    (5.0, 5.5),
    (6.0, 6.6),
    (8.0, 9.0),
    (10.0, 11.0),
    (12.0, 13.5),
    (14.0, 15.5),
    (16.0, 17.5),
];

/// Holes of the unified series: thread, tap drill for 75 % of the thread and its diameter, free
/// clearance hole, inches. As trade tables print them; 6, 7/16, 9/16, 5/8 and fine threads from
/// memory.
const UNIFIED_IN: [(&str, &str, f64, f64); 20] = [
    ("6-32", "#36", 0.1065, 0.1495),
    ("6-40", "#33", 0.113, 0.1495),
    ("8-32", "#29", 0.136, 0.177),
    ("8-36", "#29", 0.136, 0.177),
    ("10-24", "#25", 0.1495, 0.201),
    ("10-32", "#21", 0.159, 0.201),
    ("1/4-20", "#7", 0.201, 0.266),
    ("1/4-28", "#3", 0.213, 0.266),
    ("5/16-18", "F", 0.257, 0.332),
    ("5/16-24", "I", 0.272, 0.332),
    ("3/8-16", "5/16", 0.3125, 0.397),
    ("3/8-24", "Q", 0.332, 0.397),
    ("7/16-14", "U", 0.368, 0.469),
    ("7/16-20", "25/64", 0.390_625, 0.469),
    ("1/2-13", "27/64", 0.421_875, 0.531),
    ("1/2-20", "29/64", 0.453_125, 0.531),
    ("9/16-12", "31/64", 0.484_375, 0.594),
    ("9/16-18", "33/64", 0.515_625, 0.594),
    ("5/8-11", "17/32", 0.531_25, 0.656),
    ("5/8-18", "37/64", 0.578_125, 0.656),
];

/// A drill.
#[derive(Clone, Debug, PartialEq)]
pub struct Drill {
    /// Diameter, mm.
    pub diameter: f64,
    /// As the shop calls it: "6.75 mm", "#7 (0.201 in)".
    pub name: String,
}

/// The drills of a bolt: through which it slips, and in which its thread is cut.
#[derive(Clone, Debug, PartialEq)]
pub struct BoltHoles {
    /// Clearance.
    pub free: Drill,
    /// Tap drill.
    pub tap: Drill,
}

/// The holes of a thread; of a metric one the tap drill is its diameter less the pitch.
pub fn holes(thread: &Thread) -> BoltHoles {
    let [diameter, pitch] = [thread.diameter, thread.pitch].map(in_mm);
    let name = thread.name();
    let unified = UNIFIED_IN.iter().find(|(own, ..)| *own == name);
    if let (Standard::Unified, Some((_, drill, tap, free))) = (thread.standard, unified) {
        let [tap, free] = [tap, free].map(|inches| 25.4 * inches);
        // A drill of a fraction says its size itself.
        let name = match drill.contains('/') {
            true => format!("{drill} in"),
            false => format!("{drill} ({})", inches(tap)),
        };
        return BoltHoles {
            free: Drill { diameter: free, name: inches(free) },
            tap: Drill { diameter: tap, name },
        };
    }
    let known = MEDIUM_MM.iter().find(|(own, _)| (own - diameter).abs() < 1e-9);
    let free = known.map_or(1.1 * diameter, |(_, free)| *free);
    let tap = diameter - pitch;
    BoltHoles {
        free: Drill { diameter: free, name: format!("{free:.1} mm") },
        tap: Drill { diameter: tap, name: format!("{tap:.2} mm") },
    }
}

/// Lengths in which screws of a thread are sold, mm.
pub fn lengths(thread: &Thread) -> Vec<f64> {
    match thread.standard {
        Standard::Iso => LENGTHS_MM.to_vec(),
        Standard::Unified => LENGTHS_IN.map(|inches| 25.4 * inches).to_vec(),
    }
}

/// A length of so many millimeters as the shop of this thread writes it.
pub fn length_in_words(standard: Standard, mm: f64) -> String {
    match standard {
        Standard::Iso => format!("{} mm", four_digits(mm)),
        Standard::Unified => inches(mm),
    }
}

#[cfg(test)]
mod tests {
    use super::holes;
    use crate::process::clamping::thread::Thread;

    /// A tap drill of the unified series leaves 60 to 80 % of the full thread, whose depth is
    /// 1.299 P (ASME B1.1); a clearance hole is wider than the bolt.
    #[test]
    fn drills_of_the_unified_series_leave_three_quarters_of_the_thread() {
        for size in ["6-32", "10-24", "1/4-20", "1/4-28", "3/8-16", "1/2-13", "5/8-18"] {
            let thread = Thread::read(size).unwrap();
            let [d, pitch] = [thread.diameter, thread.pitch].map(|it| it.value * 1e3);
            let holes = holes(&thread);
            let share = (d - holes.tap.diameter) / (1.299 * pitch);
            assert!((0.6..0.82).contains(&share), "{size}: {share}");
            assert!(holes.free.diameter > 1.03 * d && holes.free.diameter < 1.12 * d);
        }
    }

    #[test]
    fn holes_are_named_as_the_shop_names_them() {
        let quarter = holes(&Thread::read("1/4-20").unwrap());
        assert_eq!(
            [&*quarter.tap.name, &*quarter.free.name],
            ["#7 (0.201 in)", "0.266 in"]
        );
        assert_eq!(holes(&Thread::read("1/2-13").unwrap()).tap.name, "27/64 in");
        let m8 = holes(&Thread::read("M8").unwrap());
        assert_eq!([&*m8.tap.name, &*m8.free.name], ["6.75 mm", "9.0 mm"]);
    }
}
