//! The middle line: a spiral of Archimedes, wound inward from its outer end.
//!
//! With r = r₀ + aφ its length is a closed form, so that a place is found by its length from the
//! outer end: F(r) = (r √(r² + a²) + a² asinh(r/a)) / 2a, and from r₀ to r the line is
//! F(r) − F(r₀) long.

use std::f64::consts::TAU;

use super::INNER_RADIUS_MM;
use crate::numeric::false_position;

/// A place on the line.
#[derive(Clone, Copy, Debug)]
pub(super) struct Place {
    /// Where it is.
    pub(super) at: [f64; 2],
    /// Along the flow, of unit length.
    pub(super) along: [f64; 2],
}

/// The line, its outer end at the origin and leaving along +x.
pub(super) struct Spiral {
    /// Radius gained with each radian.
    a: f64,
    length: f64,
    /// The outer end about the middle of the spiral.
    start: Place,
}

impl Spiral {
    /// So long, with so much from turn to turn, mm.
    pub(super) fn new(length: f64, pitch: f64) -> Self {
        let blank = Place { at: [0.0; 2], along: [1.0, 0.0] };
        let mut spiral = Self { a: pitch / TAU, length, start: blank };
        spiral.start = spiral.about_middle(0.0);
        spiral
    }

    /// The place so far from the outer end.
    pub(super) fn at(&self, reached: f64) -> Place {
        let Place { at, along } = self.about_middle(reached);
        let [cos, sin] = self.start.along;
        let turned = |[x, y]: [f64; 2]| [x * cos + y * sin, y * cos - x * sin];
        let off = [at[0] - self.start.at[0], at[1] - self.start.at[1]];
        Place { at: turned(off), along: turned(along) }
    }

    fn about_middle(&self, reached: f64) -> Place {
        let radius = self.radius(reached);
        let (sin, cos) = ((radius - INNER_RADIUS_MM) / self.a).sin_cos();
        // Inward: against the growing angle.
        let along = [radius * sin - self.a * cos, -self.a * sin - radius * cos];
        let norm = along[0].hypot(along[1]);
        Place { at: [radius * cos, radius * sin], along: along.map(|it| it / norm) }
    }

    fn radius(&self, reached: f64) -> f64 {
        let a = self.a;
        let grown = |r: f64| (r * r.hypot(a) + a * a * (r / a).asinh()) / (2.0 * a);
        let wanted = grown(INNER_RADIUS_MM) + self.length - reached;
        let most = INNER_RADIUS_MM + self.length;
        let least = INNER_RADIUS_MM / 2.0;
        false_position([least, most], 1e-12, |r| grown(r) - wanted)
    }
}

#[cfg(test)]
mod tests {
    use super::Spiral;

    /// The chords of many short pieces add up to the length, each end lies where it should.
    #[test]
    fn it_is_as_long_as_wanted() {
        let line = Spiral::new(250.0, 12.0);
        let start = line.at(0.0);
        assert!(start.at[0].hypot(start.at[1]) < 1e-9);
        assert!((start.along[0] - 1.0).abs() < 1e-9);
        let places: Vec<[f64; 2]> =
            (0..=25_000).map(|step| line.at(f64::from(step) * 0.01).at).collect();
        let chords = places
            .windows(2)
            .map(|two| (two[1][0] - two[0][0]).hypot(two[1][1] - two[0][1]));
        let sum: f64 = chords.sum();
        assert!((sum - 250.0).abs() < 1e-3, "{sum}");
    }
}
