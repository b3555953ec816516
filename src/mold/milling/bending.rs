//! How far a long cutter bends, and how long is long.

use super::cutter::Cutter;

/// Side force of a finishing cut on a small router, N (judgment).
pub const SIDE_FORCE_N: f64 = 10.0;
/// Modulus of cemented carbide, MPa (handbooks give 550 to 650 kN/mm²; from memory).
const CARBIDE_MPA: f64 = 600_000.0;
/// The flutes leave a core that is as stiff as a rod of this share of the diameter (common
/// practice).
const CORE: f64 = 0.8;

/// Steps in which a tapered cutter is cut along its reach.
const STEPS: f64 = 256.0;

/// Beyond so many diameters it is hard to use (common practice: 3 to 6 can be done).
pub const HARD: f64 = 6.0;

/// How far the tip of `cutter` gives way to [`SIDE_FORCE_N`], µm: a cantilever whose section
/// changes along it, F/E ∫ x²/I dx from the tip. Up to its reach it is as stiff as the core of
/// the flutes, which a tapered cutter widens, from there on as the shank.
pub fn at_tip(cutter: &Cutter) -> f64 {
    let inertia = |diameter: f64| std::f64::consts::PI * diameter.powi(4) / 64.0;
    let (thin, long) = (cutter.reach.min(cutter.stickout), cutter.stickout);
    let shank = cutter.shank.max(CORE * cutter.diameter);
    let step = thin / STEPS;
    let mut bend = (long.powi(3) - thin.powi(3)) / 3.0 / inertia(shank);
    let mut from = 0.0;
    while from < STEPS {
        // Within a step the section is that of its middle; x² is integrated as it is.
        let [near, far] = [from, from + 1.0].map(|at| at * step);
        let wide = cutter.diameter + cutter.taper.tan() * (near + far);
        let core = (CORE * wide).min(shank);
        bend += (far.powi(3) - near.powi(3)) / 3.0 / inertia(core);
        from += 1.0;
    }
    SIDE_FORCE_N / CARBIDE_MPA * bend * 1000.0
}

/// Side step at which a ball or a rounded corner of radius `corner` leaves ridges of `scallop`
/// on a flat floor, mm: 2 √(2 R h − h²).
pub fn step_over(corner: f64, scallop: f64) -> f64 {
    let scallop = scallop.min(corner);
    2.0 * (2.0 * corner * scallop - scallop * scallop).max(0.0).sqrt()
}

#[cfg(test)]
mod tests {
    use super::{at_tip, step_over};
    use crate::mold::milling::cutter::{Cutter, Kind};

    fn rod(diameter: f64, length: f64) -> Cutter {
        Cutter {
            name: String::new(),
            kind: Kind::Flat,
            diameter,
            corner: 0.0,
            taper: 0.0,
            flute: length,
            reach: length,
            shank: diameter,
            stickout: length,
            holder: 20.0,
            feed: None,
        }
    }

    /// Twice the overhang bends by 8, half the diameter by 16 (tool makers' rule); 3 mm and
    /// 20 mm by hand: I = π 2.4⁴/64 = 1.62860 mm⁴, 10 N · 8000 mm³ / (3 · 600 kN/mm² · I) = 27.29 µm.
    #[test]
    fn bending_goes_by_length_cubed_over_diameter_to_the_fourth() {
        assert!((at_tip(&rod(3.0, 40.0)) / at_tip(&rod(3.0, 20.0)) - 8.0).abs() < 1e-9);
        assert!((at_tip(&rod(3.0, 20.0)) / at_tip(&rod(6.0, 20.0)) - 16.0).abs() < 1e-9);
        assert!(
            (at_tip(&rod(3.0, 20.0)) - 27.29).abs() < 0.01,
            "{}",
            at_tip(&rod(3.0, 20.0))
        );
        // A sturdy shank behind a short tip is nearly all of the stiffness.
        let stub = Cutter { reach: 5.0, shank: 6.0, ..rod(3.0, 20.0) };
        assert!(at_tip(&stub) < 0.2 * at_tip(&rod(3.0, 20.0)));
    }

    /// A cone bends by ∫ x²/(d₀ + 2 x tan α)⁴ dx = L³/(3 d₀ d₁³): from 1 mm to 2 mm an eighth
    /// of what an even one bends.
    #[test]
    fn a_taper_stiffens() {
        let taper = 0.05_f64.atan();
        let cone = Cutter { taper, shank: 4.0, ..rod(1.0, 10.0) };
        let even = Cutter { taper: 0.0, ..cone.clone() };
        assert!((at_tip(&cone) / at_tip(&even) - 0.125).abs() < 1e-4);
    }

    /// By hand: a ball of 3 mm radius leaves 0.01 mm at 2 √(0.06 − 0.0001) = 0.48949 mm.
    #[test]
    fn ridges_by_hand() {
        assert!((step_over(3.0, 0.01) - 0.489_49).abs() < 1e-5);
        assert!(step_over(0.0, 0.01).abs() < 1e-12);
    }
}
