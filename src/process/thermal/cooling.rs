//! How long to hold and cool: heat leaving a plate or a rod into the mold wall.
//!
//! One-dimensional conduction with a constant diffusivity, the wall held at mold
//! temperature, perfect contact. The full series is solved.
//! Blind to: air gaps after shrinkage, a mold that warms up from shot to shot, and heat of
//! crystallization beyond what the effective diffusivity holds.

use std::sync::OnceLock;

use crate::process::plastic::{Plastic, Unknown};
use crate::units::{DiffusionCoefficient, Length, Quantity, Temperature, Time};

/// The shape that cools, by its thinnest measure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Section {
    /// A wall; the measure is its thickness.
    Plate,
    /// A round runner or pin; the measure is its diameter.
    Rod,
}

/// What the heat does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conditions {
    /// Effective thermal diffusivity.
    pub diffusivity: DiffusionCoefficient,
    /// Temperature of the melt at the start.
    pub melt: Temperature,
    /// Temperature of the mold wall.
    pub mold: Temperature,
    /// Temperature to reach.
    pub target: Temperature,
}

/// Below αt/a² = 0.001 the series needs more terms than are kept; such times are reported
/// as this one, which is late by less than a thousandth of the usual cooling time.
const SHORTEST: f64 = 1e-3;
const PLATE_TERMS: u32 = 200;
const ROD_TERMS: u32 = 60;

/// Time until the middle of `section` of thickness (or diameter) `measure` has cooled to the target.
/// `None` when it never does: the mold is not colder than the target, or a number is off.
pub fn time(section: Section, measure: Length, conditions: &Conditions) -> Option<Time> {
    let theta = conditions.share_left()?;
    if theta >= 1.0 {
        return Some(Time::default());
    }
    let terms = terms(section);
    let (first, beta) = *terms.first()?;
    let mut low = SHORTEST;
    let mut high = ((first / theta).ln() / (beta * beta)).max(SHORTEST) + 1.0;
    if share_at(terms, low) > theta {
        // Sixty halvings leave no digit to gain; the share only falls with time.
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if share_at(terms, middle) > theta { low = middle } else { high = middle }
        }
    }
    conditions.scaled(low, measure)
}

/// Cooling of a plastic at its typical temperatures down to ejection.
///
/// # Errors
///
/// [`Unknown`] when the plastic lacks a value that this needs.
pub fn to_ejection(plastic: &Plastic) -> Result<Conditions, Unknown> {
    let target = *plastic.need(&plastic.ejection_temperature, "ejection temperature")?;
    to(plastic, target)
}

/// Cooling of a plastic at its typical temperatures down to where it no longer flows: how
/// long a gate of this section stays open, and so how long to hold.
///
/// # Errors
///
/// [`Unknown`] when the plastic lacks a value that this needs.
pub fn to_freeze(plastic: &Plastic) -> Result<Conditions, Unknown> {
    let target = *plastic.need(&plastic.no_flow_temperature, "no-flow temperature")?;
    to(plastic, target)
}

fn to(plastic: &Plastic, target: Temperature) -> Result<Conditions, Unknown> {
    Ok(Conditions {
        diffusivity: *plastic.need(&plastic.diffusivity, "diffusivity")?,
        melt: plastic.need(&plastic.melt_temperature, "melt temperature")?.typical(),
        mold: plastic.need(&plastic.mold_temperature, "mold temperature")?.typical(),
        target,
    })
}

impl Conditions {
    /// (target − mold) / (melt − mold), when cooling can reach it.
    fn share_left(&self) -> Option<f64> {
        let whole = self.melt.si() - self.mold.si();
        let left = self.target.si() - self.mold.si();
        let theta = left / whole;
        let sane = whole > 0.0 && left > 0.0 && theta.is_finite();
        (sane && self.diffusivity.si() > 0.0).then_some(theta)
    }

    fn scaled(&self, fourier: f64, measure: Length) -> Option<Time> {
        let half = measure.si() / 2.0;
        let time = fourier * half * half / self.diffusivity.si();
        (measure.si() >= 0.0 && time.is_finite()).then(|| Time::from_si(time))
    }
}

/// Share of the temperature difference left after αt/a² = `fourier`: the sum of weight ·
/// exp(−β² Fo).
pub fn share_at(terms: &[(f64, f64)], fourier: f64) -> f64 {
    let rates = terms.iter().map(|(weight, beta)| (weight, beta * beta * fourier));
    // Beyond, a term is less than rounding.
    let counts = rates.take_while(|(_, rate)| *rate < 40.0);
    counts.map(|(weight, rate)| weight * (-rate).exp()).sum()
}

/// Weights and eigenvalues β of the series (Carslaw and Jaeger) for the center, for
/// [`share_at`]. Times cos(βy) in a plate and J0(βy) in a rod, are those of the place y
/// half gaps from it.
pub fn terms(section: Section) -> &'static [(f64, f64)] {
    // The roots of a rod take milliseconds, and a shift of shots asks a thousand times.
    static KNOWN: [OnceLock<Vec<(f64, f64)>>; 2] = [const { OnceLock::new() }; 2];
    KNOWN[section as usize].get_or_init(|| match section {
        Section::Plate => (0..PLATE_TERMS).map(plate_term).collect(),
        Section::Rod => (1..=ROD_TERMS).map(rod_term).collect(),
    })
}

fn plate_term(k: u32) -> (f64, f64) {
    let beta = (f64::from(k) + 0.5) * std::f64::consts::PI;
    let sign = if k.is_multiple_of(2) { 1.0 } else { -1.0 };
    (sign * 2.0 / beta, beta)
}

fn rod_term(k: u32) -> (f64, f64) {
    // McMahon's start, then Newton on J0, whose derivative is −J1.
    let start = (f64::from(k) - 0.25) * std::f64::consts::PI;
    let mut beta = start + 1.0 / (8.0 * start);
    for _ in 0..3 {
        beta += bessel(0, beta) / bessel(1, beta);
    }
    (2.0 / (beta * bessel(1, beta)), beta)
}

/// Bessel function of the first kind, by its integral. The trapezoid rule is exact to
/// rounding for a periodic function once the points well outnumber `x`.
pub fn bessel(order: u8, x: f64) -> f64 {
    let points = 2 * (x.abs() as u32) + 32;
    let angle = |i: u32| std::f64::consts::TAU * f64::from(i) / f64::from(points);
    let value = |i: u32| (f64::from(order) * angle(i) - x * angle(i).sin()).cos();
    (0..points).map(value).sum::<f64>() / f64::from(points)
}

#[cfg(test)]
mod tests {
    use super::{Conditions, Section, bessel, share_at, terms, time};
    use crate::units::{DiffusionCoefficient, Length, Quantity, Temperature, Time};

    fn heat(diffusivity: f64, melt: f64, mold: f64, target: f64) -> Conditions {
        let celsius = |value: f64| Temperature::from_si(value + 273.15);
        Conditions {
            diffusivity: DiffusionCoefficient::from_si(diffusivity),
            melt: celsius(melt),
            mold: celsius(mold),
            target: celsius(target),
        }
    }

    fn near(seen: Option<Time>, printed: f64, slack: f64) {
        let seen = seen.unwrap().si();
        assert!((seen - printed).abs() <= slack, "{seen} is not {printed}");
    }

    fn mm(value: f64) -> Length {
        Length::from_si(value * 1e-3)
    }

    /// Tables of Bessel functions (Abramowitz and Stegun, Table 9.5): zeros 2.404826 and
    /// 5.520078 of J0, with J1 = 0.5191475 and −0.3402648 there.
    #[test]
    fn the_series_of_a_rod_starts_as_in_the_tables() {
        let rod = terms(Section::Rod);
        assert!((rod[0].1 - 2.404_825_56).abs() < 1e-8);
        assert!((rod[1].1 - 5.520_078_11).abs() < 1e-8);
        assert!((bessel(1, rod[0].1) - 0.519_147_5).abs() < 1e-7);
        assert!((bessel(1, rod[1].1) + 0.340_264_8).abs() < 1e-7);
        assert!((rod[0].0 - 1.601_975).abs() < 1e-6);
    }

    /// Shares left, summed apart from this program with a numerical library.
    #[test]
    fn the_series_agrees_with_a_numerical_library() {
        use Section::{Plate, Rod};
        let fourier = [0.05, 0.1, 0.2, 0.5, 1.0];
        for (section, shares) in [
            (Plate, &[0.996_869, 0.949_305, 0.772_312, 0.370_777, 0.107_977][..]),
            (Rod, &[0.987_099, 0.848_355, 0.501_487, 0.088_890]),
        ] {
            let terms = terms(section);
            for (fourier, share) in fourier.iter().zip(shares) {
                let seen = share_at(terms, *fourier);
                assert!((seen - share).abs() < 1e-6, "{section:?}: {seen}");
            }
        }
    }

    /// Times worked out apart from this program: 2 mm, 1e-7 m²/s, 220/40/90 °C.
    #[test]
    fn a_wall_and_a_pin_of_two_millimeters() {
        let heat = heat(1e-7, 220.0, 40.0, 90.0);
        near(time(Section::Plate, mm(2.0), &heat), 6.1704, 1.5e-4);
        near(time(Section::Rod, mm(2.0), &heat), 3.0291, 1.5e-4);
    }

    /// Worked apart: 3 mm, 0.9e-7 m²/s, 240/60/105 °C; a land and a pin of 1 mm at
    /// 0.8e-7 m²/s, 220/40 °C down to no flow at 130 °C. Those values take one term of the
    /// series, which needs αt/a² above 0.2 to be as good as all.
    #[test]
    fn a_wall_of_three_millimeters_and_two_gates() {
        let wall = heat(0.9e-7, 240.0, 60.0, 105.0);
        near(time(Section::Plate, mm(3.0), &wall), 16.4937, 1e-3);
        let gate = heat(0.8e-7, 220.0, 40.0, 130.0);
        near(time(Section::Plate, mm(1.0), &gate), 1.1838, 2e-3);
        near(time(Section::Rod, mm(1.0), &gate), 0.6292, 3e-3);
    }

    /// Imperial College ME4 Polymer Processing Technology, solutions of 2008, Problem 5.1:
    /// a sprue foot of 5.59 mm, 1e-7 m²/s, 240/60/105 °C cools in 24.6 s by the fitted law
    /// exp(−4.4 Fo); the exact center gives 25.09 s (worked apart).
    #[test]
    fn the_sprue_of_a_course_problem() {
        let foot = 2.97 + 2.0 * 30.0 * 2.5_f64.to_radians().tan();
        assert!((foot - 5.59).abs() < 1e-3);
        let heat = heat(1e-7, 240.0, 60.0, 105.0);
        near(time(Section::Rod, mm(5.59), &heat), 25.09, 0.01);
        near(time(Section::Rod, mm(5.59), &heat), 24.6, 0.025 * 24.6);
    }

    /// Workshop table: PP at 220/40/90 °C with 0.09 mm²/s: 7, 15, 27, 43, 62 s for 2 to 6 mm;
    /// in a mold grown to 70 °C 23 s for 3 mm and 64 s for 5 mm.
    #[test]
    fn polypropylene_walls_of_a_workshop() {
        let cold = heat(0.9e-7, 220.0, 40.0, 90.0);
        for (wall, seconds) in
            [(2.0, 7.0), (3.0, 15.0), (4.0, 27.0), (5.0, 43.0), (6.0, 62.0)]
        {
            near(time(Section::Plate, mm(wall), &cold), seconds, 0.6);
        }
        let warm = heat(0.9e-7, 220.0, 70.0, 90.0);
        near(time(Section::Plate, mm(3.0), &warm), 23.0, 0.6);
        near(time(Section::Plate, mm(5.0), &warm), 64.0, 0.6);
    }

    #[test]
    fn twice_the_wall_takes_four_times_as_long() {
        let heat = heat(1e-7, 220.0, 40.0, 90.0);
        for section in [Section::Plate, Section::Rod] {
            let at = |wall| time(section, mm(wall), &heat).unwrap().si();
            assert!((at(4.0) / at(2.0) - 4.0).abs() < 1e-12);
        }
    }

    #[test]
    fn says_nothing_where_nothing_cools() {
        let center = |heat| time(Section::Plate, mm(2.0), &heat);
        assert_eq!(center(heat(1e-7, 220.0, 90.0, 90.0)), None);
        assert_eq!(center(heat(1e-7, 40.0, 90.0, 60.0)), None);
        assert_eq!(center(heat(0.0, 220.0, 40.0, 90.0)), None);
        assert_eq!(center(heat(1e-7, 220.0, 40.0, 230.0)), Some(Time::default()));
    }

    /// At first the middle cools as between two half-spaces (Carslaw and Jaeger, *Conduction of
    /// Heat in Solids*): 1 − θ = 2 erfc(a / 2√(αt)), and erfc 2.570 = 2.78e-4.
    #[test]
    fn the_middle_of_a_plate_stays_hot_at_first() {
        let short = time(Section::Plate, mm(2.0), &heat(1e-7, 220.0, 40.0, 219.9));
        let expected = 1e-6 / (4.0 * 1e-7 * 2.57 * 2.57);
        assert!((short.unwrap().si() / expected - 1.0).abs() < 0.01, "{short:?}");
    }
}
