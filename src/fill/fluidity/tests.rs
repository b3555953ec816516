//! Velocities against closed forms of slit and tube, and against quadrature.

use super::{Fluidity, FluidityError, log_lever};
use crate::fill::gap_nodes::{ByNode, NODES, Nodes, boundary};
use crate::process::plastic::viscosity::{Consistency, Viscosity};
use crate::units::{
    DynamicViscosity, Pressure, Quantity, Temperature, TemperatureInterval,
};

fn tabulate(viscosity: &Viscosity) -> Result<Fluidity, FluidityError> {
    Fluidity::new(viscosity, Temperature::from_si(493.15), Pressure::from_si(0.0))
}

fn power_law(k: f64, index: f64) -> Viscosity {
    Viscosity::PowerLaw { consistency: Consistency(k), index, at: None, cooling: None }
}

fn velocity(fluidity: &Fluidity, section: u8, wall: f64, gradient: f64) -> f64 {
    fluidity.motion(section, wall, gradient, None).mobility * gradient
}

/// Closed forms of slit and tube (methods of any polymer text; Bird, Armstrong and
/// Hassager 1987, §4.2): a slit of 2 mm, 20 wide and 100 long at 5 cm³/s loses
/// 7.5000 MPa at 200 Pa s, 9.4222 MPa at 1e4 Pa s^0.35.
#[test]
fn a_slit_loses_what_the_formula_says() {
    let newtonian = Viscosity::Newtonian { viscosity: DynamicViscosity::from_si(200.0) };
    for (viscosity, loss) in [(newtonian, 7.5e6), (power_law(1e4, 0.35), 9.4222e6)] {
        let seen = velocity(&tabulate(&viscosity).unwrap(), 0, 2e-3, loss / 0.1);
        assert!((seen / 0.125 - 1.0).abs() < 2e-4, "{seen}");
    }
}

/// Runner of 2 MPa over 50 mm at 5 cm³/s: radius 2.8247 mm at 200 Pa s, 3.3953 mm at
/// 1e4 Pa s^0.35 (Kazmer, Injection Mold Design Engineering, Eq. 6.7 and 6.8).
#[test]
fn a_tube_loses_what_the_formula_says() {
    let newtonian = Viscosity::Newtonian { viscosity: DynamicViscosity::from_si(200.0) };
    for (viscosity, radius) in [(newtonian, 2.8247e-3), (power_law(1e4, 0.35), 3.3953e-3)]
    {
        let seen = velocity(&tabulate(&viscosity).unwrap(), 16, 2.0 * radius, 4e7);
        let wanted = 5e-6 / (std::f64::consts::PI * radius * radius);
        assert!((seen / wanted - 1.0).abs() < 5e-4, "{seen} {wanted}");
    }
}

/// The rate at which a melt of viscosity `eta` shears under `stress`, by halving.
fn rate_under(stress: f64, eta: &impl Fn(f64) -> f64) -> f64 {
    let is_low = |log: f64| log.exp() * eta(log.exp()) < stress;
    crate::numeric::bisect([-40.0, 40.0], 60, is_low)[0].exp()
}

/// A Cross-WLF melt against plain quadrature of ∫ z² / η dz, the rate at each height
/// found by halving.
#[test]
fn a_thinning_melt_agrees_with_quadrature() {
    let viscosity = Viscosity::CrossWlf {
        n: 0.252,
        tau_star: Pressure::from_si(3.08e4),
        d1: DynamicViscosity::from_si(4.76e10),
        d2: Temperature::from_si(373.15),
        d3: None,
        a1: 25.74,
        a2: TemperatureInterval::from_si(61.06),
    };
    let fluidity = tabulate(&viscosity).unwrap();
    let eta = |rate: f64| {
        viscosity.pa_s(rate, Temperature::from_si(493.15), Pressure::from_si(0.0))
    };
    for gradient in [1e6, 1e7, 1e8, 4e8] {
        let half = 1e-3;
        let steps = 4000;
        let sum: f64 = (0..steps)
            .map(|step| {
                let z = half * (f64::from(step) + 0.5) / f64::from(steps);
                z * rate_under(z * gradient, &eta) * half / f64::from(steps)
            })
            .sum();
        let wanted = sum / 1e-3;
        let seen = fluidity.motion(0, 2e-3, gradient, None).mobility * gradient;
        assert!((seen / wanted - 1.0).abs() < 2e-3, "{gradient}: {seen} {wanted}");
    }
}

/// Nodes that stand still leave a gap that conducts as its half width to the 2 + 1/n (a
/// bore to the 3 + 1/n) under the same gradient, the velocity counted over the whole
/// section: the closed forms of slit and tube again.
#[test]
fn still_nodes_narrow_the_gap_as_its_power_says() {
    for index in [1.0, 0.5, 0.25] {
        let fluidity = tabulate(&power_law(1e4, index)).unwrap();
        for (section, d) in [(0, 1.0), (16, 2.0)] {
            let warmth = std::array::from_fn(|node| if node < 6 { 1.0 } else { 0.0 });
            let at = |warmth: Option<&ByNode>| {
                fluidity.motion(section, 2e-3, 1e8, warmth).mobility
            };
            let wanted = boundary(6).powf(d + 1.0 + 1.0 / index);
            let seen = at(Some(&warmth)) / at(None);
            assert!((seen / wanted - 1.0).abs() < 1e-6, "{index} {d}: {seen} {wanted}");
            // The way back: the gradient that drives this velocity.
            let velocity = at(Some(&warmth)) * 1e8;
            let back = fluidity.gradient(section, 2e-3, velocity, Some(&warmth));
            assert!((back / 1e8 - 1.0).abs() < 1e-6, "{back}");
            // All of the flow passes through the nodes that move.
            let nodes = Nodes::new(d);
            let log_stress = log_lever(section, 2e-3) + 1e8_f64.ln();
            let passing = fluidity.passing(section, log_stress, &warmth, &nodes);
            assert!((passing.flow.iter().sum::<f64>() - 1.0).abs() < 1e-9);
            assert!(passing.flow[6..].iter().all(|share| share.abs() < 1e-9));
        }
        let motion = fluidity.motion(0, 2e-3, 1e8, None);
        assert!((motion.index - index).abs() < 1e-6);
    }
    let still = tabulate(&power_law(1e4, 0.5)).unwrap();
    assert!(still.motion(0, 2e-3, 1e8, Some(&[0.0; NODES])).mobility.abs() < 1e-300);
    assert!(still.gradient(0, 2e-3, 1.0, Some(&[0.0; NODES])).is_infinite());
}

/// Newtonian flow in a slit: the velocity is 1.5 (1 − s²) of the mean, so s₀ to s₁ carries
/// 1.5 [(s − s³/3)] of it.
#[test]
fn the_middle_carries_more_than_its_share() {
    let newtonian = Viscosity::Newtonian { viscosity: DynamicViscosity::from_si(200.0) };
    let nodes = Nodes::new(1.0);
    let log_stress = log_lever(0, 2e-3) + 1e8_f64.ln();
    let passing =
        tabulate(&newtonian).unwrap().passing(0, log_stress, &[1.0; NODES], &nodes);
    let inside = |s: f64| 1.5 * (s - s.powi(3) / 3.0);
    for (node, seen) in passing.flow.into_iter().enumerate() {
        let wanted = inside(boundary(node + 1)) - inside(boundary(node));
        assert!((seen - wanted).abs() < 1e-4, "{node}: {seen} {wanted}");
    }
}

#[test]
fn a_solid_and_a_model_that_is_no_melt_are_refused() {
    let wlf = |a2| Viscosity::CrossWlf {
        n: 0.3,
        tau_star: Pressure::from_si(3e4),
        d1: DynamicViscosity::from_si(1e10),
        d2: Temperature::from_si(600.0),
        d3: None,
        a1: 25.0,
        a2: TemperatureInterval::from_si(a2),
    };
    assert!(matches!(tabulate(&wlf(50.0)), Err(FluidityError::Solid { .. })));
    assert!(matches!(tabulate(&power_law(1e4, -0.5)), Err(FluidityError::Falling)));
}
