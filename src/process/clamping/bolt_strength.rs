//! What a bolt withstands, by its property class or grade.

use super::thread::{Standard, Strength, Thread};
use crate::units::{Pressure, Quantity, from_mpa, in_mm};

/// What a bolt of this class or grade withstands in this thread; `None` for one that is not
/// made in it.
pub fn strength(class: &str, thread: &Thread) -> Option<Strength> {
    match thread.standard {
        Standard::Iso => metric(class),
        Standard::Unified => unified(class, in_mm(thread.diameter)),
    }
}

/// By property class, ISO 898-1 (to M16) and ISO 3506-1, from memory; tensile strength and
/// yield of steel are the class's own digits.
fn metric(class: &str) -> Option<Strength> {
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

/// SAE J429 has its grades from a quarter of an inch on; thinner screws count as the weakest
/// of them, whatever is stamped on them.
const THINNEST_GRADED_MM: f64 = 6.35;

/// By grade: SAE J429 for 1/4 to 5/8 in and, for socket heads to 1/2 in, ASTM A574, in ksi (as
/// trade tables print both). No yield was seen for A574: its proof stress counts for it.
fn unified(class: &str, diameter_mm: f64) -> Option<Strength> {
    let grade = match grade(class)? {
        "5" | "8" if diameter_mm < THINNEST_GRADED_MM - 1e-6 => "2",
        grade => grade,
    };
    let (proof, yields, breaks) = match grade {
        "2" => (55.0, 57.0, 74.0),
        "5" => (85.0, 92.0, 120.0),
        "8" => (120.0, 130.0, 150.0),
        // Above half an inch it is a little weaker.
        _ if diameter_mm > 12.7 + 1e-6 => return None,
        _ => (140.0, 140.0, 180.0),
    };
    let ksi = |stress: f64| Pressure::from_si(stress * KSI);
    Some(Strength { proof: ksi(proof), yields: ksi(yields), breaks: ksi(breaks) })
}

/// A thousand pounds-force per square inch in pascals.
const KSI: f64 = 6_894_757.293;

/// "2", "5", "8" or "a574", however it is written: "SAE grade 5", "Gr. 5", "5".
fn grade(class: &str) -> Option<&'static str> {
    let written = class.trim().to_ascii_lowercase();
    let kept = |word: &&str| !matches!(*word, "sae" | "j429" | "astm" | "grade" | "gr");
    let words = written.split([' ', '.']).filter(|word| !word.is_empty());
    let mut words = words.filter(kept);
    let (first, rest) = (words.next()?, words.next());
    let known = ["2", "5", "8", "a574"].into_iter().find(|known| *known == first);
    known.filter(|_| rest.is_none())
}

/// A class as it stands behind "of": "class 8.8", "SAE grade 5", "ASTM A574".
pub fn class_in_words(class: &str, thread: Option<&Thread>) -> String {
    let is_unified = thread.is_some_and(|it| it.standard == Standard::Unified);
    match grade(class).filter(|_| is_unified) {
        Some("a574") => "ASTM A574".to_owned(),
        Some(grade) => format!("SAE grade {grade}"),
        None => format!("class {class}"),
    }
}

#[cfg(test)]
mod tests {
    use super::{class_in_words, strength};
    use crate::process::clamping::thread::Thread;

    /// SAE J429 and ASTM A574 as trade tables print them: preload at 75 % of proof, kN.
    #[test]
    fn preloads_of_a_trade_table_in_inches() {
        for (size, class, kn) in [
            ("8-32", "2", 2.6),
            ("10-24", "grade 5", 3.2),
            ("1/4-20", "2", 5.8),
            ("1/4-20", "SAE grade 5", 9.0),
            ("1/4-20", "Gr. 8", 12.7),
            ("1/4-20", "A574", 14.9),
            ("5/16-18", "5", 14.9),
            ("3/8-16", "8", 31.0),
            ("1/2-13", "5", 40.2),
            ("1/2-13", "ASTM A574", 66.3),
        ] {
            let thread = Thread::read(size).unwrap();
            let proof = strength(class, &thread).unwrap().proof;
            let seen = 0.75 * (thread.stress_area() * proof).value / 1e3;
            assert!((seen - kn).abs() < 0.06, "{size} {class}: {seen}");
        }
    }

    #[test]
    fn a_class_belongs_to_its_thread() {
        let [m8, quarter] = ["M8", "1/4-20"].map(|size| Thread::read(size).unwrap());
        assert!(strength("8.8", &m8).is_some() && strength("8.8", &quarter).is_none());
        assert!(strength("5", &m8).is_none() && strength("cheese", &quarter).is_none());
        let wide = Thread::read("5/8-11").unwrap();
        assert!(strength("A574", &wide).is_none() && strength("8", &wide).is_some());
        assert_eq!(class_in_words("gr 5", Some(&quarter)), "SAE grade 5");
        assert_eq!(class_in_words("8.8", Some(&m8)), "class 8.8");
    }
}
