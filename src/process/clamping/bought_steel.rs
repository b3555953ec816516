//! Steel that is bought in place of metal that would be too thin to mill: dowel pins, drill
//! blanks and blades.

use crate::process::clamping::standing_metal::Strength;
use crate::units::{Length, Pressure, Quantity, from_mm, from_mpa, in_mm};

/// Diameters of hardened dowel pins, mm (ISO 8734; from memory).
pub const DOWEL_PINS_MM: [f64; 11] =
    [1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0];

/// Thicknesses of ground flat stock, mm (common practice).
pub const BLADES_MM: [f64; 9] = [0.5, 0.8, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0];

/// Least and greatest diameter of drill blanks, mm.
const BLANKS_MM: [f64; 2] = [0.5, 13.0];

/// A blade is at most this share thicker or thinner than what it replaces (judgment).
const NEAR: f64 = 0.2;

/// A pin is as wide as the core that it replaces within this share: what a hole in plastic
/// differs by from shot to shot, and more (judgment).
const SAME: f64 = 0.05;

/// Stress that hardened steel stands for ten thousand shots, MPa (judgment).
const STEEL_MPA: f64 = 400.0;

/// Stress at which it breaks, MPa (judgment, from 55 HRC and more).
const STEEL_YIELDS_MPA: f64 = 1400.0;

/// Young's modulus of steel, 10⁹ Pa.
const STEEL_GPA: f64 = 205.0;

/// Hardened steel, of a dowel pin or a blade.
pub fn of_hardened_steel() -> Strength {
    Strength {
        name: "hardened steel",
        allowed: from_mpa(STEEL_MPA),
        yields: from_mpa(STEEL_YIELDS_MPA),
        modulus: Pressure::from_si(STEEL_GPA * 1e9),
    }
}

/// The bought pin for a round core of this diameter: the nearest dowel pin, else a drill blank,
/// which comes in tenths of a millimeter (common practice); `None` where neither is made.
pub fn bought_pin(diameter: Length) -> Option<Length> {
    let tenth = (in_mm(diameter) * 10.0).round() / 10.0;
    let is_made = (BLANKS_MM[0]..=BLANKS_MM[1]).contains(&tenth);
    nearest(&DOWEL_PINS_MM, diameter, SAME).or_else(|| is_made.then(|| from_mm(tenth)))
}

/// Whether dowel pins of this diameter are made.
pub fn is_dowel(diameter: Length) -> bool {
    nearest(&DOWEL_PINS_MM, diameter, 1e-6).is_some()
}

/// What a pin of this diameter is bought as.
pub fn pin_name(diameter: Length) -> &'static str {
    if is_dowel(diameter) { "hardened dowel pin" } else { "drill blank" }
}

/// The ground flat stock nearest to this thickness; `None` where none is within a fifth of it.
pub fn blade(thickness: Length) -> Option<Length> {
    nearest(&BLADES_MM, thickness, NEAR)
}

fn nearest(sizes: &[f64], wanted: Length, share: f64) -> Option<Length> {
    let off = |size: &f64| (from_mm(*size) - wanted).si().abs();
    let nearest = sizes.iter().copied().min_by(|a, b| off(a).total_cmp(&off(b)))?;
    (off(&nearest) <= share * wanted.si()).then(|| from_mm(nearest))
}

#[cfg(test)]
mod tests {
    use super::{blade, bought_pin, pin_name};
    use crate::units::{from_mm, in_mm};

    #[test]
    fn the_nearest_size_of_the_shelf_is_taken_where_one_is_near() {
        assert_eq!(blade(from_mm(1.6)), Some(from_mm(1.5)));
        assert_eq!(blade(from_mm(7.0)), None);
        for (core, pin, name) in [
            (2.6, 2.5, "hardened dowel pin"),
            (3.42, 3.4, "drill blank"),
            (0.62, 0.6, "drill blank"),
        ] {
            let bought = bought_pin(from_mm(core)).unwrap();
            assert!((in_mm(bought) - pin).abs() < 1e-9, "{bought:?}");
            assert_eq!(pin_name(bought), name);
        }
        assert_eq!([0.3, 20.0].map(|core| bought_pin(from_mm(core))), [None; 2]);
    }
}
