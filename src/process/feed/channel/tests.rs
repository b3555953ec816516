//! Worked values of textbooks, the closed forms of a power law, and the integral over the
//! section for the other models.

use std::f64::consts::PI;

use proptest::prelude::proptest;

use super::{
    Channel, Melt, SLIT, TUBE, apparent_rate, local_index, loss, representative,
    side_walls, strip,
};
use crate::process::plastic::viscosity::{Consistency, Viscosity};
use crate::units::{
    DynamicViscosity, Length, Pressure, Quantity, Temperature, VolumeRate, from_toml,
};

fn melt(viscosity: Viscosity) -> Melt {
    Melt {
        viscosity,
        temperature: Temperature::from_si(493.15),
        pressure: Pressure::default(),
    }
}

fn newton(pa_s: f64) -> Melt {
    melt(Viscosity::Newtonian { viscosity: DynamicViscosity::from_si(pa_s) })
}

fn power(consistency: f64, index: f64) -> Melt {
    let consistency = Consistency(consistency);
    melt(Viscosity::PowerLaw { consistency, index, at: None, cooling: None })
}

fn polystyrene() -> Melt {
    #[derive(serde::Deserialize)]
    struct File {
        v: Viscosity,
    }
    let text = "v = { cross_wlf = { n = 0.252, tau_star = '3.08e4 Pa', d1 = '4.76e10 Pa s', \
                d2 = '373.15 K', a1 = 25.74, a2 = '61.06 K' } }";
    melt(from_toml::<File>(text).unwrap().v)
}

fn m(value: f64) -> Length {
    Length::from_si(value)
}

fn lost(channel: Channel, melt: &Melt, q: f64) -> f64 {
    loss(channel, melt, VolumeRate::from_si(q)).si()
}

fn tube(diameter: f64, length: f64) -> Channel {
    Channel::Tube { diameter: m(diameter), length: m(length) }
}

fn near(seen: f64, printed: f64, slack: f64) {
    assert!((seen - printed).abs() <= slack, "{seen} is not {printed}");
}

/// Imperial College ME4 Polymer Processing Technology, Problem 3.1 (2008): a sprue of 3 to
/// 6 mm over 60 mm at 10 cm³/s loses 8.96 MPa, and 290 MPa/m at its inlet.
#[test]
fn a_conical_sprue_of_a_course_problem() {
    let melt = power(16e3, 0.3);
    let sprue = |from, to| Channel::Cone { from: m(from), to: m(to), length: m(0.060) };
    near(lost(sprue(0.003, 0.006), &melt, 1e-5), 8.963e6, 500.0);
    near(lost(sprue(0.006, 0.003), &melt, 1e-5), 8.963e6, 500.0);
    near(lost(tube(0.003, 1.0), &melt, 1e-5), 289.68e6, 5e3);
}

/// Steffe, Rheological Methods in Food Process Engineering, Table 4.4: the shear part in a
/// cone of 45° from 7.5 to 1.59 mm radius.
#[test]
fn a_steep_cone_of_a_rheology_table() {
    let (radius, wide) = (1.59e-3, 7.5e-3);
    let cone = Channel::Cone {
        from: m(2.0 * wide),
        to: m(2.0 * radius),
        length: m(wide - radius),
    };
    for (rate, kpa) in [(47.4, 139.50), (94.8, 170.56), (190.0, 208.67), (948.0, 332.57)]
    {
        let q = rate * PI * f64::powi(radius, 3) / 4.0;
        near(lost(cone, &power(23_300.0, 0.29), q), kpa * 1e3, 6.0);
        near(apparent_rate(cone, VolumeRate::from_si(q)), rate, 1e-9);
    }
}

/// Geankoplis, Transport Processes, Ex. 3.5-1, p. 158: 45 390 Pa; de Nevers, Fluid
/// Mechanics, Ex. 13.1, p. 432: 61.23 Pa/m (61.24 worked again).
#[test]
fn tubes_of_two_textbooks() {
    let n = 0.40_f64;
    let consistency = 15.23 / ((3.0 * n + 1.0) / (4.0 * n)).powf(n);
    let q = 0.0728 * PI * 0.0524_f64.powi(2) / 4.0;
    near(lost(tube(0.0524, 14.9), &power(consistency, n), q), 45_391.0, 1.0);
    let (foot, d) = (0.3048, 0.1524);
    let q = foot * PI * f64::powi(d, 2) / 4.0;
    near(lost(tube(d, 1.0), &power(0.66, 0.41), q), 61.24, 0.005);
}

/// Worked apart from this program: a strip at 5 cm³/s.
#[test]
fn values_worked_apart() {
    let (thick, thin) = (newton(200.0), power(1e4, 0.35));
    near(0.1 * strip(&thick, 2e-3, 20e-3, 5e-6), 7.5e6, 1.0);
    near(0.1 * strip(&thin, 2e-3, 20e-3, 5e-6), 9.4222e6, 50.0);
}

/// Hand arithmetic Δp = 12 η v L/h² for 200 Pa s, 50 mm/s, 80 mm: why 2 mm is thin.
#[test]
fn walls_that_a_small_press_fills() {
    for (wall, mpa) in [(1.0, 9.6), (1.5, 4.3), (2.0, 2.4), (2.5, 1.5), (3.0, 1.1)] {
        let gap = wall * 1e-3;
        let seen = 0.080 * strip(&newton(200.0), gap, 1.0, 0.05 * gap);
        near(seen * 1e-6, mpa, 0.05);
    }
}

/// Schümmer and Worthoff, Giesekus and Langer: the textbook constants 0.815 and 0.772, here
/// at n = 0.35.
#[test]
fn constants_of_the_apparent_rate_rule() {
    near(representative(0.35, TUBE), 0.81436, 5e-6);
    near(representative(0.35, SLIT), 0.77147, 5e-6);
    near(representative(1.0 + 1e-9, TUBE), representative(1.0 + 2e-4, TUBE), 1e-4);
}

/// Tabled friction factors f·Re of ducts (Shah and London, from memory): square 56.91,
/// 2:1 62.19, 4:1 72.93, against 96 between plates.
#[test]
fn side_walls_of_a_slot() {
    for (ratio, f_re) in [(1.0, 56.91), (0.5, 62.19), (0.25, 72.93)] {
        // f·Re is taken on the hydraulic diameter 2WH/(W + H).
        let seen = 96.0 / (side_walls(ratio) * (1.0 + ratio) * (1.0 + ratio));
        near(seen, f_re, 0.01);
    }
    let slot = |depth, width| Channel::Slot {
        depth: m(depth),
        width: m(width),
        length: m(1e-3),
    };
    let (one, other) = (slot(1e-3, 2e-3), slot(2e-3, 1e-3));
    near(lost(one, &newton(1.0), 1e-6), lost(other, &newton(1.0), 1e-6), 1e-9);
}

/// The properties of a Cross melt that need no data: η₀/2 at η₀ γ̇ = τ*, η₀ = D1 at D2, and
/// the slope n − 1 at high rates.
#[test]
fn a_cross_melt_bends_where_it_should() {
    let ps = polystyrene();
    let glass = Temperature::from_si(373.15);
    let pa_s = |rate: f64, at| ps.viscosity.pa_s(rate, at, Pressure::default());
    near(pa_s(1e-30, glass) / 4.76e10, 1.0, 1e-9);
    let zero = pa_s(1e-30, ps.temperature);
    near(pa_s(3.08e4 / zero, ps.temperature) / zero, 0.5, 1e-9);
    near(local_index(|rate| pa_s(rate, ps.temperature), 1e12), 0.252, 1e-4);
}

/// The rule against the integral over the section, (π R³/τ³) ∫ τ² γ̇ dτ in a tube and
/// (W H²/2 τ²) ∫ τ γ̇ dτ in a slit, which it stands in for: within 2 % for a Cross melt from
/// creeping to fast.
#[test]
fn the_rule_agrees_with_the_integral_over_the_section() {
    let ps = polystyrene();
    let stress = |rate: f64| rate * ps.viscosity.pa_s(rate, ps.temperature, ps.pressure);
    let mut worst = 0.0_f64;
    for exponent in -2..=5 {
        let at_wall = 10.0_f64.powi(exponent);
        let wall = stress(at_wall);
        // By parts, so that the rate is the variable: ∫ τ^k γ̇ dτ over τ^(k+1).
        let flow = |k: i32| {
            let steps = 20_000;
            let step = at_wall / f64::from(steps);
            let rest: f64 = (0..steps)
                .map(|i| stress(step * (f64::from(i) + 0.5)).powi(k + 1) * step)
                .sum();
            (at_wall - rest / wall.powi(k + 1)) / f64::from(k + 1)
        };
        let (r, l) = (2e-3, 0.05);
        let q = PI * f64::powi(r, 3) * flow(2);
        worst =
            worst.max((lost(tube(2.0 * r, l), &ps, q) * r / (2.0 * l) / wall).ln().abs());
        let q = 0.02 * f64::powi(2e-3, 2) / 2.0 * flow(1);
        worst = worst.max((strip(&ps, 2e-3, 0.02, q) * 1e-3 / wall).ln().abs());
    }
    assert!(worst < 0.02, "{worst}");
}

#[test]
fn no_flow_loses_nothing_and_a_closed_channel_all() {
    for melt in [newton(200.0), power(1e4, 0.35), polystyrene()] {
        assert!(lost(tube(3e-3, 0.05), &melt, 0.0).abs() < 1e-300);
        assert!(lost(tube(0.0, 0.05), &melt, 1e-6).is_infinite());
        let closed = Channel::Slot { depth: m(0.0), width: m(0.0), length: m(0.05) };
        assert!(lost(closed, &melt, 1e-6).is_infinite());
    }
    let frozen = Melt { temperature: Temperature::from_si(293.15), ..polystyrene() };
    assert!(lost(tube(3e-3, 0.05), &frozen, 1e-6).is_infinite());
}

proptest! {
    #[test]
    fn loss_grows_with_flow_and_length_and_falls_with_the_width(
        (d, l, q) in (1e-4..0.02_f64, 1e-3..0.3_f64, 1e-9..1e-4_f64),
        more in 1.001..5.0_f64,
        which in 0..3_usize,
    ) {
        let melt = [newton(200.0), power(1e4, 0.35), polystyrene()][which];
        let shapes = |d: f64, l: f64| [
            tube(d, l),
            Channel::Cone { from: m(d), to: m(1.5 * d), length: m(l) },
            Channel::Slot { depth: m(d), width: m(2.0 * d), length: m(l) },
        ];
        let before = shapes(d, l).map(|shape| lost(shape, &melt, q));
        let faster = shapes(d, l).map(|shape| lost(shape, &melt, q * more));
        let longer = shapes(d, l * more).map(|shape| lost(shape, &melt, q));
        let wider = shapes(d * more, l).map(|shape| lost(shape, &melt, q));
        for i in 0..before.len() {
            assert!(faster[i] > before[i] && longer[i] > before[i], "{i}");
            assert!(wider[i] < before[i] && before[i].is_finite(), "{i}");
        }
    }

    /// Along a straight way the loss is that of its pieces.
    #[test]
    fn a_cone_is_the_sum_of_its_parts(from in 1e-3..5e-3_f64, grown in 1.1..3.0_f64) {
        let melt = polystyrene();
        let cone = |from, to, l| Channel::Cone { from: m(from), to: m(to), length: m(l) };
        let to = from * grown;
        let whole = lost(cone(from, to, 0.06), &melt, 1e-5);
        let half = (from + to) / 2.0;
        let parts = lost(cone(from, half, 0.03), &melt, 1e-5)
            + lost(cone(half, to, 0.03), &melt, 1e-5);
        assert!((parts / whole - 1.0).abs() < 1e-7);
    }
}
