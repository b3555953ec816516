//! What an insert is cut from, seen along the pull: round bar or square bar.

use std::f64::consts::PI;

use crate::mesh::solid::Solid;
use crate::mold::primitives;

/// Round the corners of a bar with this radius, mm: those that a cutter of 6 mm leaves in the
/// pocket, and a little more.
const CORNER_MM: f64 = 3.2;
/// Points that a rounded corner is made of.
const CORNER_POINTS: u32 = 8;
/// A round bar is taken up to so many times the section of a square one: it is turned, and its
/// pocket has no corners (judgment).
const ROUND_IS_BETTER: f64 = 1.2;
/// Steps towards the smallest circle around.
const CIRCLE_STEPS: u32 = 400;

/// Diameters of round bar on the shelf, mm (common practice).
const ROUND_BAR_MM: [f64; 23] = [
    8.0, 10.0, 12.0, 14.0, 15.0, 16.0, 18.0, 20.0, 22.0, 25.0, 28.0, 30.0, 32.0, 35.0,
    40.0, 45.0, 50.0, 55.0, 60.0, 70.0, 80.0, 90.0, 100.0,
];

/// A section, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shape {
    /// Of round bar.
    Round {
        /// Its diameter.
        diameter: f64,
    },
    /// Of square or flat bar, with rounded corners.
    Bar {
        /// Along x and y of the mold.
        edges: [f64; 2],
    },
}

impl Shape {
    /// The section around `places` with its middle.
    pub(super) fn around(places: &[[f64; 2]]) -> (Self, [f64; 2]) {
        let spans = [0, 1].map(|axis| {
            let all = places.iter().map(|at| at[axis]);
            all.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], at| {
                [low.min(at), high.max(at)]
            })
        });
        let edges = spans.map(|[low, high]| high - low);
        let middle = spans.map(|[low, high]| f64::midpoint(low, high));
        let (center, radius) = circle(places, middle);
        if PI * radius * radius <= ROUND_IS_BETTER * edges[0] * edges[1] {
            (Self::Round { diameter: 2.0 * radius }, center)
        } else {
            (Self::Bar { edges }, middle)
        }
    }

    /// The same with `more` mm all around.
    #[must_use]
    pub(super) fn grown(self, more: f64) -> Self {
        match self {
            Self::Round { diameter } => Self::Round { diameter: diameter + 2.0 * more },
            Self::Bar { edges } => Self::Bar { edges: edges.map(|it| it + 2.0 * more) },
        }
    }

    /// How much has to be added all around for the next round bar of the shelf, mm.
    pub(super) fn to_shelf(self) -> Option<f64> {
        let Self::Round { diameter } = self else { return None };
        let next = ROUND_BAR_MM.into_iter().find(|bar| *bar >= diameter)?;
        Some((next - diameter) / 2.0)
    }

    /// How far `place`, as seen from the middle, lies outside, mm; below nothing inside. At the
    /// corners of a bar no more than that.
    pub fn outside(self, place: [f64; 2]) -> f64 {
        match self {
            Self::Round { diameter } => place[0].hypot(place[1]) - diameter / 2.0,
            Self::Bar { edges } => {
                let out = [0, 1].map(|axis| place[axis].abs() - edges[axis] / 2.0);
                if out[0] > 0.0 && out[1] > 0.0 {
                    out[0].hypot(out[1])
                } else {
                    out[0].max(out[1])
                }
            }
        }
    }

    /// Its longest and its shortest way through the middle, mm.
    pub fn widths(self) -> [f64; 2] {
        match self {
            Self::Round { diameter } => [diameter; 2],
            Self::Bar { edges: [x, y] } => [x.max(y), x.min(y)],
        }
    }

    /// Radius of its corners, mm; nothing of a round one.
    pub fn corner(self) -> f64 {
        match self {
            Self::Round { .. } => 0.0,
            Self::Bar { .. } => CORNER_MM.min(self.widths()[1] / 4.0),
        }
    }

    /// What it takes between two heights around `at`.
    pub(super) fn solid(self, at: [f64; 2], z: [f64; 2]) -> Solid {
        let edges = match self {
            Self::Round { diameter } => return primitives::round(at, diameter, z),
            Self::Bar { edges } => edges,
        };
        let round = self.corner();
        let signs = [[1.0, 1.0], [-1.0, 1.0], [-1.0, -1.0], [1.0, -1.0]];
        let outline = signs.into_iter().zip(0_u8..).flat_map(|(sign, quarter)| {
            let middle =
                [0, 1].map(|axis| at[axis] + sign[axis] * (edges[axis] / 2.0 - round));
            (0..=CORNER_POINTS).map(move |step| {
                let share = f64::from(step) / f64::from(CORNER_POINTS);
                let angle = PI / 2.0 * (f64::from(quarter) + share);
                [middle[0] + round * angle.cos(), middle[1] + round * angle.sin()]
            })
        });
        primitives::prism(&outline.collect::<Vec<_>>(), z)
    }

    /// Places spread over a line inside it that is turned by `turn`, `share` of the way out to
    /// either side, from the middle.
    pub(super) fn pair(self, turn: f64, share: f64) -> [[f64; 2]; 2] {
        let half = match self {
            Self::Round { diameter } => [diameter / 2.0; 2],
            Self::Bar { edges } => edges.map(|edge| edge / 2.0),
        };
        let out = [half[0] * turn.cos() * share, half[1] * turn.sin() * share];
        [out, out.map(|way| -way)]
    }
}

/// The smallest circle around `places` nearly: the middle moves towards the farthest place by ever
/// less (Badoiu and Clarkson 2003).
fn circle(places: &[[f64; 2]], start: [f64; 2]) -> ([f64; 2], f64) {
    let farthest = |from: [f64; 2]| {
        let far = |at: &[f64; 2]| (at[0] - from[0]).hypot(at[1] - from[1]);
        let place = places.iter().max_by(|a, b| far(a).total_cmp(&far(b)));
        place.map_or((start, 0.0), |at| (*at, far(at)))
    };
    let mut best = (start, farthest(start).1);
    let mut middle = start;
    for step in 1..=CIRCLE_STEPS {
        let (at, radius) = farthest(middle);
        if radius < best.1 {
            best = (middle, radius);
        }
        let share = 1.0 / f64::from(step + 1);
        middle = [0, 1].map(|axis| middle[axis] + (at[axis] - middle[axis]) * share);
    }
    best
}

#[cfg(test)]
mod tests {
    use super::{PI, Shape};

    /// A disc of 20 mm is turned from bar of 20; one of 20.4 from 22. A rectangle of 30 × 10 mm has a
    /// circle of 31.6 mm around it, 2.6 times its section: it is a bar.
    #[test]
    fn the_section_follows_what_it_goes_around() {
        let ring: Vec<[f64; 2]> = (0..36)
            .map(|step| (10.2 * (f64::from(step) * PI / 18.0).cos(), f64::from(step)))
            .map(|(x, step)| [x + 3.0, 10.2 * (step * PI / 18.0).sin() - 2.0])
            .collect();
        let (shape, at) = Shape::around(&ring);
        assert!((shape.widths()[0] - 20.4).abs() < 1e-2, "{shape:?}");
        assert!((at[0] - 3.0).hypot(at[1] + 2.0) < 1e-2);
        assert!((shape.to_shelf().unwrap() - 0.8).abs() < 1e-2);
        let (bar, at) =
            Shape::around(&[[0.0, 0.0], [30.0, 0.0], [30.0, 10.0], [0.0, 10.0]]);
        assert_eq!((bar, at), (Shape::Bar { edges: [30.0, 10.0] }, [15.0, 5.0]));
        assert!(bar.to_shelf().is_none());
    }

    /// By hand: 30 × 10 × 5 mm less what four corners of R 2.5 miss, (4 − π) R² each height.
    #[test]
    fn its_solid_has_its_corners_rounded() {
        let bar = Shape::Bar { edges: [30.0, 10.0] };
        let solid = bar.solid([1.0, 2.0], [-5.0, 0.0]);
        let known = (300.0 - (4.0 - PI) * 2.5 * 2.5) * 5.0;
        assert!((solid.volume() / known - 1.0).abs() < 1e-3, "{}", solid.volume());
        assert!((bar.outside([18.0, 9.0]) - 5.0).abs() < 1e-12);
        assert!((bar.outside([14.0, 0.0]) + 1.0).abs() < 1e-12);
    }
}
