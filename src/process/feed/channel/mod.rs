//! Pressure lost by a melt that flows through a channel.
//!
//! Steady, isothermal, laminar, no slip: what is blind here is the skin that freezes on the
//! wall and the heat of shear, which pull the answer up and down.
//!
//! **How.** Any viscosity model goes through the apparent-rate rule: the Newtonian formula
//! with the viscosity at *e* times the apparent wall rate, where
//! e = (4n/(3n+1))^(n/(1−n)) in a tube and (3n/(2n+1))^(n/(1−n)) in a slit, with the index
//! n = d ln τ / d ln γ̇ of the melt at that very rate (Schümmer and Worthoff, Giesekus and
//! Langer). For a power law this is the exact closed form to the last digit. For a Cross or
//! Carreau melt it differs from the integral over the section by less than 2 %: the tests
//! measure it. Cones sum the rule along the path by Gauss's quadrature.

use std::f64::consts::PI;

use crate::process::plastic::viscosity::Viscosity;
use crate::units::{Length, Pressure, Quantity, Temperature, VolumeRate};

/// A channel that melt flows through.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Channel {
    /// Round, of one diameter.
    Tube {
        /// Diameter.
        diameter: Length,
        /// Length.
        length: Length,
    },
    /// Round, of a diameter that grows or shrinks evenly; the melt is taken to follow the
    /// wall, which holds for a small taper.
    Cone {
        /// Diameter at one end.
        from: Length,
        /// Diameter at the other end; the flow may run either way.
        to: Length,
        /// Length along the axis.
        length: Length,
    },
    /// A rectangle whose side walls count, such as an edge gate. They are counted by the
    /// exact series for a Newtonian melt, taken as so much more flow.
    Slot {
        /// The shorter side; the sides may be given in any order.
        depth: Length,
        /// The longer side.
        width: Length,
        /// Length.
        length: Length,
    },
}

/// A melt at one temperature and pressure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Melt {
    /// Its viscosity.
    pub viscosity: Viscosity,
    /// Its temperature.
    pub temperature: Temperature,
    /// Its mean pressure along the way; only a `cross_wlf` melt feels it.
    pub pressure: Pressure,
}

/// Pressure lost at this flow. None at no flow; infinite where the channel is closed or the
/// viscosity model has the plastic solid.
pub fn loss(channel: Channel, melt: &Melt, flow: VolumeRate) -> Pressure {
    let q = flow.si();
    if q <= 0.0 {
        return Pressure::default();
    }
    let lost = match channel {
        Channel::Tube { diameter, length } => tube(melt, diameter.si(), length.si(), q),
        Channel::Cone { from, to, length } => {
            cone(melt, from.si(), to.si(), q) * length.si()
        }
        Channel::Slot { depth, width, length } => {
            let (thin, wide) = (depth.si().min(width.si()), depth.si().max(width.si()));
            strip(melt, thin, wide, q / side_walls(thin / wide)) * length.si()
        }
    };
    // A closed channel divides by nothing.
    Pressure::from_si(if lost.is_nan() { f64::INFINITY } else { lost })
}

/// The wall rate a Newtonian melt would have at the narrowest place, 1/s: what tables of
/// greatest shear rates are given in.
pub fn apparent_rate(channel: Channel, flow: VolumeRate) -> f64 {
    let q = flow.si();
    match channel {
        Channel::Tube { diameter, .. } => tube_rate(diameter.si(), q),
        Channel::Cone { from, to, .. } => tube_rate(from.si().min(to.si()), q),
        Channel::Slot { depth, width, .. } => {
            slit_rate(depth.si().min(width.si()), depth.si().max(width.si()), q)
        }
    }
}

fn tube(melt: &Melt, diameter: f64, length: f64, q: f64) -> f64 {
    let stress = wall_stress(melt, tube_rate(diameter, q), TUBE);
    4.0 * stress * length / diameter
}

/// Loss for each meter of length. With u = ln d, dx = L dd/(d₂ − d₁) and dp = 4 τ dx/d.
fn cone(melt: &Melt, from: f64, to: f64, q: f64) -> f64 {
    let (thin, wide) = (from.min(to), from.max(to));
    let stress = |log: f64| wall_stress(melt, tube_rate(log.exp(), q), TUBE);
    if wide - thin < 1e-6 * wide {
        return 4.0 * stress(wide.ln()) / wide;
    }
    4.0 * integral(stress, thin.ln(), wide.ln()) / (wide - thin)
}

/// Loss for each meter of a slit so wide that its side walls do not count.
fn strip(melt: &Melt, gap: f64, width: f64, q: f64) -> f64 {
    2.0 * wall_stress(melt, slit_rate(gap, width, q), SLIT) / gap
}

/// Share of a wide strip's flow that the side walls leave, for depth over width: the series
/// of Boussinesq for a Newtonian melt, from memory, held against tabled friction factors.
pub(crate) fn side_walls(depth_over_width: f64) -> f64 {
    let term = |k: f64| (k * PI / (2.0 * depth_over_width)).tanh() / k.powi(5);
    let sum: f64 = [1.0, 3.0, 5.0, 7.0, 9.0].into_iter().map(term).sum();
    1.0 - 192.0 / PI.powi(5) * depth_over_width * sum
}

fn tube_rate(diameter: f64, q: f64) -> f64 {
    32.0 * q / (PI * diameter.powi(3))
}

fn slit_rate(gap: f64, width: f64, q: f64) -> f64 {
    6.0 * q / (width * gap * gap)
}

/// The rule's e is (a n/((a−1) n + 1))^(n/(1−n)): a is 4 in a tube, 3 in a slit.
const TUBE: f64 = 4.0;
const SLIT: f64 = 3.0;

/// Shear stress at the wall for an apparent rate.
fn wall_stress(melt: &Melt, rate: f64, shape: f64) -> f64 {
    let pa_s = |rate: f64| melt.viscosity.pa_s(rate, melt.temperature, melt.pressure);
    let whole = pa_s(rate);
    if !whole.is_finite() {
        return f64::INFINITY;
    }
    // e varies so slowly with the rate that twice is enough.
    let mut at = 0.8 * rate;
    for _ in 0..2 {
        at = rate * representative(local_index(pa_s, at), shape);
    }
    pa_s(at) * rate
}

/// n = 1 + d ln η / d ln γ̇.
fn local_index(pa_s: impl Fn(f64) -> f64, rate: f64) -> f64 {
    const STEP: f64 = 0.01;
    let log = |side: f64| pa_s(rate * (side * STEP).exp()).ln();
    1.0 + (log(1.0) - log(-1.0)) / (2.0 * STEP)
}

fn representative(n: f64, shape: f64) -> f64 {
    if (n - 1.0).abs() < 1e-4 {
        // The limit for n → 1: exp(−1/a).
        return (-shape.recip()).exp();
    }
    let n = n.max(1e-3);
    (shape * n / ((shape - 1.0) * n + 1.0)).powf(n / (1.0 - n))
}

/// Gauss's rule of five points on eight equal pieces: for the smooth exponentials above,
/// exact to rounding.
fn integral(f: impl Fn(f64) -> f64, low: f64, high: f64) -> f64 {
    const RULE: [(f64, f64); 5] = [
        (0.0, 128.0 / 225.0),
        (0.538_469_310_105_683_1, 0.478_628_670_499_366_47),
        (-0.538_469_310_105_683_1, 0.478_628_670_499_366_47),
        (0.906_179_845_938_664, 0.236_926_885_056_189_08),
        (-0.906_179_845_938_664, 0.236_926_885_056_189_08),
    ];
    const PIECES: u32 = 8;
    let half = (high - low) / (2.0 * f64::from(PIECES));
    let piece = |i: u32| {
        let middle = low + half * f64::from(2 * i + 1);
        RULE.iter().map(|(x, weight)| weight * f(middle + half * x)).sum::<f64>()
    };
    half * (0..PIECES).map(piece).sum::<f64>()
}

#[cfg(test)]
mod tests;
