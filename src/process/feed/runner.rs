//! How wide a runner, and with which cutter it is milled.
//!
//! A full round, half in each plate, by a ball cutter of its diameter. The rule is Pye's, of
//! the industry's pressures; a community workshop on a small press went to 4 mm for its
//! smallest part before it filled, so one cutter up is a choice to take there.

use crate::units::{Length, Mass, Quantity, Ratio, from_mm, in_grams, in_mm};

/// Diameters of cutters taken to be at hand when no list is given, mm.
pub const CUTTERS_MM: [f64; 10] = [1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0];
/// The rule gives no narrower runner, mm.
pub const NARROWEST_MM: f64 = 2.0;
/// The rule gives no wider runner, mm.
pub const WIDEST_MM: f64 = 10.0;

/// D = √W · ⁴√L / 3.7 in mm and g, for parts below 200 g with walls below 3 mm (R. G. W. Pye,
/// Injection Mould Design, Eq. 4.1a); nothing else yet.
pub fn by_rule(part: Mass, length: Length) -> Length {
    let wide_mm =
        in_grams(part).max(0.0).sqrt() * in_mm(length).max(0.0).powf(0.25) / 3.7;
    from_mm(wide_mm)
}

/// The rule with the plastic's allowance (25 % for rigid PVC and acrylics), from 2 to 10 mm.
pub fn wanted(part: Mass, length: Length, allowance: Ratio) -> Length {
    let wide_mm = in_mm(by_rule(part, length)) * (1.0 + allowance.si());
    from_mm(wide_mm.clamp(NARROWEST_MM, WIDEST_MM))
}

/// The smallest cutter that is at least this wide; `None` when all are smaller.
pub fn cutter(wide: Length, cutters: &[Length]) -> Option<Length> {
    // A cutter that is the wanted one but for rounding is the wanted one.
    let fits = cutters.iter().copied().filter(|cutter| *cutter >= wide * (1.0 - 1e-9));
    fits.min_by(|a, b| a.si().total_cmp(&b.si()))
}

/// The next larger cutter; the same when there is none.
pub fn one_up(from: Length, cutters: &[Length]) -> Length {
    cutter(from * (1.0 + 1e-6), cutters).unwrap_or(from)
}

/// The list that is used when none is given.
pub fn usual_cutters() -> Vec<Length> {
    CUTTERS_MM.iter().map(|diameter| from_mm(*diameter)).collect()
}

#[cfg(test)]
mod tests {
    use super::{by_rule, cutter, one_up, usual_cutters, wanted};
    use crate::units::{Length, Mass, Quantity, Ratio, in_mm, read};

    fn rule(grams: &str, length: &str) -> f64 {
        in_mm(by_rule(read(grams).unwrap(), read(length).unwrap()))
    }

    /// Pye's example of 120 g and 50 mm (2 in): 7.873 mm worked again (the book prints "7 mm
    /// (5/16 in)", of which 5/16 in = 7.94 mm is the rule rounded up). His inch form
    /// √W ⁴√L/8 gives 0.306 in, 1.3 % less.
    #[test]
    fn the_example_of_the_handbook() {
        assert!((rule("120 g", "50 mm") - 7.873).abs() < 5e-4);
        let inch = (120.0_f64 / 28.349_523).sqrt() * 2.0_f64.powf(0.25) / 8.0;
        assert!((inch - 0.306).abs() < 5e-4, "{inch}");
        assert!((rule("120 g", "50 mm") / 25.4 / inch - 1.0).abs() < 0.02);
        let wide = by_rule(read("120 g").unwrap(), read("50 mm").unwrap());
        assert!((in_mm(cutter(wide, &usual_cutters()).unwrap()) - 8.0).abs() < 1e-9);
    }

    /// The rule for small parts, worked by hand: 10, 20, 40 g over 50 mm.
    #[test]
    fn runners_of_small_parts() {
        for (grams, wide, milled) in
            [("10 g", 2.3, 2.5), ("20 g", 3.2, 4.0), ("40 g", 4.5, 5.0)]
        {
            assert!((rule(grams, "50 mm") - wide).abs() < 0.05, "{grams}");
            let wide = by_rule(read(grams).unwrap(), read("50 mm").unwrap());
            let seen = cutter(wide, &usual_cutters()).unwrap();
            assert!((in_mm(seen) - milled).abs() < 1e-9, "{grams}");
        }
    }

    #[test]
    fn allowance_limits_and_cutters() {
        let wide = |grams: &str, share: f64| {
            let part: Mass = read(grams).unwrap();
            in_mm(wanted(part, read("50 mm").unwrap(), Ratio::from_si(share)))
        };
        assert!((wide("20 g", 0.25) / rule("20 g", "50 mm") - 1.25).abs() < 1e-12);
        assert!((wide("1 g", 0.0) - 2.0).abs() < 1e-12);
        assert!((wide("900 g", 0.0) - 10.0).abs() < 1e-12);
        let own: Vec<Length> =
            ["6 mm", "1/8"].iter().filter_map(|t| read(t).ok()).collect();
        assert_eq!(cutter(read("7 mm").unwrap(), &own), None);
        assert!((in_mm(cutter(read("6 mm").unwrap(), &own).unwrap()) - 6.0).abs() < 1e-9);
        let up = one_up(read("4 mm").unwrap(), &usual_cutters());
        assert!((in_mm(up) - 5.0).abs() < 1e-9);
        assert!(
            (in_mm(one_up(read("10 mm").unwrap(), &usual_cutters())) - 10.0).abs() < 1e-9
        );
    }
}
