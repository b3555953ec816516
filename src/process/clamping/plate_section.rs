//! How stiff a strip of a plate is, with and without a pocket in its parting face.

use crate::units::{Length, Pressure, Quantity};

/// Poisson's ratio of aluminum, 0.33 (handbook value).
pub const POISSON: f64 = 0.33;

/// Cross section of a strip of plate: a rectangle, less a pocket in its parting face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlateSection {
    /// Across the strip.
    pub width: Length,
    /// Of the plate.
    pub thickness: Length,
    /// Of the pocket, across the strip.
    pub pocket_width: Length,
    /// Of the pocket, from the parting face.
    pub pocket_depth: Length,
}

/// What resists bending and shear.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SectionStiffness {
    /// E I / (1 − ν²), N m²: a wide strip cannot narrow across.
    pub bending_n_m2: f64,
    /// G times the area that shears, N.
    pub shear_n: f64,
    /// Bending stress in the outermost fiber for each N m, 1/m³.
    pub stress_per_moment: f64,
}

/// A layer of one width.
struct Layer {
    width: f64,
    from: f64,
    to: f64,
}

impl Layer {
    fn area(&self) -> f64 {
        self.width * (self.to - self.from)
    }

    fn middle(&self) -> f64 {
        0.5 * (self.from + self.to)
    }
}

/// Nodes and weights of Gauss and Legendre on [−1, 1]: exact up to the fifth power.
const GAUSS: [[f64; 2]; 3] = [
    [-0.774_596_669_241_483_4, 5.0 / 9.0],
    [0.0, 8.0 / 9.0],
    [0.774_596_669_241_483_4, 5.0 / 9.0],
];

impl PlateSection {
    /// Stiffness in a metal of this modulus; `None` where no section is left.
    ///
    /// The area that shears is I² / ∫ Q²/t dy, with the first moment Q of what lies beyond y
    /// and the width t there (Castigliano on the shear formula of beams; 5/6 of a rectangle).
    pub fn stiffness(&self, modulus: Pressure) -> Option<SectionStiffness> {
        let [width, thickness] = [self.width.si(), self.thickness.si()];
        let depth = self.pocket_depth.si().clamp(0.0, thickness);
        let beside = width - self.pocket_width.si().max(0.0);
        let layers = [
            Layer { width: beside, from: 0.0, to: depth },
            Layer { width, from: depth, to: thickness },
        ];
        let layers: Vec<Layer> =
            layers.into_iter().filter(|layer| layer.area() > 0.0).collect();
        let area: f64 = layers.iter().map(Layer::area).sum();
        let middle = layers.iter().map(|it| it.area() * it.middle()).sum::<f64>() / area;
        let inertia: f64 = layers
            .iter()
            .map(|it| {
                let high = it.to - it.from;
                it.area() * (high * high / 12.0 + (it.middle() - middle).powi(2))
            })
            .sum();
        let mut sheared = 0.0;
        let mut below = 0.0;
        for layer in &layers {
            let half = 0.5 * (layer.to - layer.from);
            for [node, weight] in GAUSS {
                let y = layer.middle() + half * node;
                let part =
                    layer.width * (y - layer.from) * (middle - 0.5 * (y + layer.from));
                sheared += weight * half * (below + part).powi(2) / layer.width;
            }
            below += layer.area() * (middle - layer.middle());
        }
        let rigidity = modulus.si() / (2.0 * (1.0 + POISSON));
        let found = SectionStiffness {
            bending_n_m2: plane_strain(modulus) * inertia,
            shear_n: rigidity * inertia * inertia / sheared,
            stress_per_moment: middle.max(thickness - middle) / inertia,
        };
        let is_sound = |value: f64| value.is_finite() && value > 0.0;
        (is_sound(found.bending_n_m2) && is_sound(found.shear_n)).then_some(found)
    }
}

/// E / (1 − ν²), Pa: of a strip that cannot narrow across.
pub fn plane_strain(modulus: Pressure) -> f64 {
    modulus.si() / (1.0 - POISSON * POISSON)
}

#[cfg(test)]
mod tests {
    use super::{PlateSection, plane_strain};
    use crate::units::{Pressure, Quantity, from_mm};

    fn near(seen: f64, printed: f64, share: f64) {
        assert!((seen / printed - 1.0).abs() <= share, "{seen} is not {printed}");
    }

    fn section(pocket_width: f64, pocket_depth: f64) -> PlateSection {
        PlateSection {
            width: from_mm(60.0),
            thickness: from_mm(20.0),
            pocket_width: from_mm(pocket_width),
            pocket_depth: from_mm(pocket_depth),
        }
    }

    /// Beam tables: b h³/12, 5/6 of the area in shear, h/2 over I.
    #[test]
    fn a_rectangle_as_in_the_tables() {
        let modulus = Pressure::from_si(69e9);
        let seen = section(0.0, 0.0).stiffness(modulus).unwrap();
        let inertia = 0.06 * 0.02_f64.powi(3) / 12.0;
        near(seen.bending_n_m2, plane_strain(modulus) * inertia, 1e-12);
        near(seen.shear_n, 69e9 / 2.66 * 0.06 * 0.02 * 5.0 / 6.0, 1e-12);
        near(seen.stress_per_moment, 0.01 / inertia, 1e-12);
    }

    /// By Steiner: a pocket of 40 × 10 mm leaves a T of 60 × 10 and 20 × 10 mm, 65 000 / 4
    /// mm⁴ apart worked: areas 600 and 200, middles 15 and 5, common middle 12.5 mm,
    /// I = 5000 + 600 · 2.5² + 1666.7 + 200 · 7.5² = 21 666.7 mm⁴.
    #[test]
    fn a_pocket_by_steiner() {
        let modulus = Pressure::from_si(69e9);
        let seen = section(40.0, 10.0).stiffness(modulus).unwrap();
        near(seen.bending_n_m2, plane_strain(modulus) * 21_666.67e-12, 1e-6);
        near(seen.stress_per_moment, 12.5e-3 / 21_666.67e-12, 1e-6);
        let through = section(60.0, 10.0).stiffness(modulus).unwrap();
        near(through.bending_n_m2, plane_strain(modulus) * 5000e-12, 1e-9);
        assert!(section(60.0, 20.0).stiffness(modulus).is_none());
    }

    /// A thousand layers summed, as a twin of the three nodes a layer.
    #[test]
    fn the_shear_of_a_pocketed_section_is_that_of_many_layers() {
        let modulus = Pressure::from_si(69e9);
        let seen = section(40.0, 10.0).stiffness(modulus).unwrap();
        let (mut first, mut sum) = (0.0, 0.0);
        let count = 20_000;
        let step = 0.02 / f64::from(count);
        for layer in 0..count {
            let y = (f64::from(layer) + 0.5) * step;
            let width = if y < 0.01 { 0.02 } else { 0.06 };
            let half = 0.5 * width * (0.0125 - y) * step;
            sum += (first + half) * (first + half) / width * step;
            first += 2.0 * half;
        }
        let inertia = 21_666.666_67e-12;
        near(seen.shear_n, 69e9 / 2.66 * inertia * inertia / sum, 1e-4);
    }
}
