//! How much of a wall has frozen, so long after the melt came by.
//!
//! Melt at its temperature meets a wall held at mold temperature; what has cooled below
//! the no-flow temperature stands still. The gap is finite and both sides cool, so it
//! closes: the series of the plate and of the rod are solved for where the no-flow
//! temperature stands (Carslaw and Jaeger, *Conduction of Heat in Solids*, 1959, §3.4 and
//! §7.6). A section between wall and rod lies between them. No latent heat beyond what
//! the effective diffusivity holds, and no heat brought by the melt that flows on: on the
//! late side of a thin frozen layer, on the early side of a hot stream.

use crate::fill::local_walls::SECTIONS;
use crate::numeric;
use crate::process::thermal::cooling::{self, Section};

/// Steps of the open share from closed to full.
const STEPS: usize = 128;

/// Below αt/b² = 0.02 the plate does not feel its other side, and the frozen layer grows
/// with the root of time; for the rod, whose frozen layer feels its curvature, below
/// 0.001.
const EARLY: [f64; 2] = [0.02, 0.001];

/// Frozen layer against time.
#[derive(Clone, Debug)]
pub struct FrozenLayer {
    /// m²/s.
    diffusivity: f64,
    /// αt/b² at which the open share is i / [`STEPS`], for each section; empty when
    /// nothing freezes.
    fourier: Vec<Vec<f64>>,
    /// Counts from the begin of the filling, wherever the melt is.
    pub(super) everywhere: bool,
}

impl FrozenLayer {
    /// The frozen layer of a melt that nothing freezes.
    pub fn none() -> Self {
        Self { diffusivity: 0.0, fourier: Vec::new(), everywhere: false }
    }

    /// The frozen layer where `theta` = (no-flow − mold) / (melt − mold), for
    /// `diffusivity` in m²/s. Outside 0 < `theta` < 1, or without diffusivity, nothing
    /// freezes: the mold is hotter than the no-flow temperature, or a number is off.
    pub fn new(theta: f64, diffusivity: f64) -> Self {
        if !(theta > 0.0 && theta < 1.0 && diffusivity > 0.0 && diffusivity.is_finite()) {
            return Self::none();
        }
        let ends = [
            closing(Section::Plate, theta, EARLY[0], f64::cos),
            closing(Section::Rod, theta, EARLY[1], |x| cooling::bessel(0, x)),
        ];
        let fourier = (0..SECTIONS)
            .map(|section| {
                let turn = section as f64 / (SECTIONS - 1) as f64;
                let between =
                    |(plate, rod): (&f64, &f64)| plate.powf(1.0 - turn) * rod.powf(turn);
                ends[0].iter().zip(&ends[1]).map(between).collect()
            })
            .collect();
        Self { diffusivity, fourier, everywhere: false }
    }

    /// Whether anything freezes at all.
    pub fn freezes(&self) -> bool {
        !self.fourier.is_empty()
    }

    /// Share of the half gap that is still open `age_s` after the melt came; `section` is
    /// 0 for a wall and 16 for a rod, `wall_m` the thickness or diameter.
    pub fn open(&self, section: u8, wall_m: f64, age_s: f64) -> f64 {
        let Some(table) = self.fourier.get(usize::from(section)) else { return 1.0 };
        let half = 0.5 * wall_m;
        let fourier = self.diffusivity * age_s.max(0.0) / (half * half);
        // The times fall as the open share grows.
        let above = table.partition_point(|&time| time > fourier);
        let (Some(&late), Some(&early)) =
            (above.checked_sub(1).and_then(|i| table.get(i)), table.get(above))
        else {
            return if above == 0 { 0.0 } else { 1.0 };
        };
        let step = 1.0 / STEPS as f64;
        if above == 1 {
            // It closes with the root of the time that is left.
            return step * ((late - fourier) / (late - early)).max(0.0).sqrt();
        }
        let [late, early, now] = [late, early, fourier].map(f64::sqrt);
        step * (above as f64 - (now - early) / (late - early))
    }

    /// Time until a section is frozen through, s; infinite when nothing freezes.
    pub fn freeze_s(&self, section: u8, wall_m: f64) -> f64 {
        let closed =
            self.fourier.get(usize::from(section)).and_then(|table| table.first());
        closed.map_or(f64::INFINITY, |fourier| {
            fourier * (0.5 * wall_m).powi(2) / self.diffusivity
        })
    }
}

/// αt/b² at which `theta` stands at y = i / [`STEPS`] from the middle, for each i.
fn closing(
    section: Section,
    theta: f64,
    early: f64,
    shape: impl Fn(f64) -> f64,
) -> Vec<f64> {
    let terms = cooling::terms(section);
    let at = |y: f64| -> Vec<(f64, f64)> {
        terms.iter().map(|&(weight, beta)| (weight * shape(beta * y), beta)).collect()
    };
    // How deep the frozen layer is at the end of the early time.
    let deep = turning_point([0.0, 1.0], |y| cooling::share_at(&at(y), early) > theta);
    let times = (0..=STEPS).map(|step| {
        let y = step as f64 / STEPS as f64;
        if y >= deep {
            return early * ((1.0 - y) / (1.0 - deep).max(1e-12)).powi(2);
        }
        let weights = at(y);
        // The first term alone outlasts the others.
        let longest =
            (2.0 / theta).ln() / terms.first().map_or(1.0, |(_, beta)| beta * beta);
        turning_point([early, early + longest], |fourier| {
            cooling::share_at(&weights, fourier) > theta
        })
    });
    times.collect()
}

/// Where `is_low` turns false between two numbers.
fn turning_point(bracket: [f64; 2], is_low: impl Fn(f64) -> bool) -> f64 {
    numeric::mean(numeric::bisect(bracket, 50, is_low))
}

#[cfg(test)]
mod tests {
    use super::FrozenLayer;

    /// αt/b² at which a plate is frozen through: worked out apart from this program with a
    /// numerical library.
    #[test]
    fn a_plate_freezes_through_in_time() {
        for (theta, fourier) in [(0.3, 0.58585), (0.5, 0.37875), (0.7, 0.24130)] {
            let seen = FrozenLayer::new(theta, 1e-7).freeze_s(0, 2e-3) * 1e-7 / 1e-6;
            assert!((seen - fourier).abs() < 2e-5, "{theta}: {seen}");
        }
    }

    /// Frozen layer over half gap at shares of the closing time, from the same library.
    #[test]
    fn the_skin_grows_as_the_series_says() {
        let frozen_layer = FrozenLayer::new(0.5, 1e-7);
        let closing = frozen_layer.freeze_s(0, 2e-3);
        for (share, frozen) in
            [(0.1, 0.1856), (0.25, 0.2936), (0.5, 0.4252), (0.75, 0.5809), (0.9, 0.7290)]
        {
            let seen = 1.0 - frozen_layer.open(0, 2e-3, share * closing);
            assert!((seen - frozen).abs() < 2e-4, "{share}: {seen}");
        }
    }

    /// Above αt/b² = 0.2 one term is enough: ln(1.601975 / θ) / 5.783186 for a rod, from
    /// tables of Bessel functions; at 0.2 the middle is at 0.501487.
    #[test]
    fn a_rod_freezes_through_in_time() {
        let seen = FrozenLayer::new(0.3, 1e-7).freeze_s(16, 2e-3) * 0.1;
        let one_term = (1.601_975_f64 / 0.3).ln() / 5.783_186;
        assert!((seen - one_term).abs() < 1e-3 * one_term, "{seen}");
        let early = FrozenLayer::new(0.501_487, 1e-7).freeze_s(16, 2e-3) * 0.1;
        assert!((early - 0.2).abs() < 1e-4, "{early}");
    }

    #[test]
    fn the_open_share_only_falls() {
        for theta in [0.01, 0.3, 0.6, 0.95, 0.999] {
            let frozen_layer = FrozenLayer::new(theta, 1e-7);
            for section in 0..17 {
                let closing = frozen_layer.freeze_s(section, 2e-3);
                let at = |step: u32| {
                    frozen_layer.open(section, 2e-3, closing * f64::from(step) / 300.0)
                };
                assert!((at(0) - 1.0).abs() < 1e-12 && at(301).abs() < 1e-12);
                assert!(
                    (0..299).all(|step| at(step + 1) < at(step)),
                    "{theta} {section}"
                );
            }
        }
    }

    #[test]
    fn nothing_freezes_in_a_hot_mold() {
        for frozen_layer in [
            FrozenLayer::none(),
            FrozenLayer::new(-0.1, 1e-7),
            FrozenLayer::new(f64::NAN, 1e-7),
        ] {
            assert!(
                !frozen_layer.freezes() && frozen_layer.freeze_s(0, 1e-3).is_infinite()
            );
            assert!((frozen_layer.open(3, 1e-3, 1e9) - 1.0).abs() < 1e-12);
        }
    }
}
