//! How far a plate bows between its supports: a strip of it, loaded over its middle.
//!
//! Small deflections of thin plates (Timoshenko). A plate as thick as a
//! third of its span also shears, which adds some 10 to 20 % and is left out; the safe
//! supports chosen in [`super::flash`] are larger than that.

use crate::units::{Force, Length, Pressure, Quantity};

/// What a plate is made of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stiff {
    /// Young's modulus.
    pub modulus: Pressure,
    /// Thickness of the plate.
    pub thickness: Length,
}

/// A strip of the plate on two supports, loaded over its middle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Strip {
    /// From support to support.
    pub span: Length,
    /// Across the span.
    pub width: Length,
    /// How much of the span is loaded, in its middle.
    pub loaded: Length,
}

/// Bow of a strip of the plate that turns freely on its supports, at `off` from its middle
/// (outside the loaded stretch, or just in the middle for `off` of nothing).
///
/// For a force F spread over c in the middle of the span L: w = F (8 L³ − 4 L c² + c³) /
/// 384 E I in the middle, F x (3 L² − c² − 4 x²) / 48 E I at x from a support outside c.
pub fn strip(strip: &Strip, force: Force, off: Length, of: &Stiff) -> Option<Length> {
    let (l, c, off) = (strip.span.si(), strip.loaded.si().min(strip.span.si()), off.si());
    if l <= 0.0 {
        return Some(Length::default());
    }
    let bends = of.modulus.si() * strip.width.si() * of.thickness.si().powi(3) / 12.0;
    let f = force.si() / bends;
    let w = if off <= 0.0 {
        f * (8.0 * l.powi(3) - 4.0 * l * c * c + c.powi(3)) / 384.0
    } else {
        let x = (l / 2.0 - off.max(c / 2.0)).max(0.0);
        f * x * (3.0 * l * l - c * c - 4.0 * x * x) / 48.0
    };
    w.is_finite().then(|| Length::from_si(w))
}

#[cfg(test)]
mod tests {
    use super::{Stiff, Strip, strip};
    use crate::units::{Force, Length, Pressure, Quantity};

    fn stiff(gpa: f64, h_mm: f64) -> Stiff {
        let thickness = Length::from_si(h_mm * 1e-3);
        Stiff { modulus: Pressure::from_si(gpa * 1e9), thickness }
    }

    fn length(mm: f64) -> Length {
        Length::from_si(mm * 1e-3)
    }

    fn near(seen: f64, printed: f64, share: f64) {
        assert!((seen / printed - 1.0).abs() <= share, "{seen} is not {printed}");
    }

    /// Beam tables: 5 F L³/384 EI under a spread load, F L³/48 EI under a force in the
    /// middle, and at a quarter of the span 11/16 of that.
    #[test]
    fn strips_of_the_beam_tables() {
        let plate = stiff(70.0, 20.0);
        let inertia = 0.05 * 0.02_f64.powi(3) / 12.0;
        let unit = 1000.0 * 0.1_f64.powi(3) / (70e9 * inertia);
        let beam = |loaded: f64, off: f64| {
            let span = Strip {
                span: length(100.0),
                width: length(50.0),
                loaded: length(loaded),
            };
            strip(&span, Force::from_si(1000.0), length(off), &plate).unwrap().si() / unit
        };
        near(beam(100.0, 0.0), 5.0 / 384.0, 1e-9);
        near(beam(0.0, 0.0), 1.0 / 48.0, 1e-9);
        near(beam(0.0, 25.0), 11.0 / 16.0 / 48.0, 1e-9);
    }
}
