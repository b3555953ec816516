//! How far melt runs in a strip that freezes, against a one-dimensional solution worked
//! out apart from this program with a numerical library (two discretizations agree): the
//! stop is at `X_f` L₀, with L₀ the isothermal length at the time `t_f` at which a plate is
//! frozen through. The strip freezes from its walls since the front came by.

use goodshot::fill::cells::{Cells, Resolution};
use goodshot::fill::melt::Melt;
use goodshot::fill::prepared::{Case, PreparedCavity};
use goodshot::fill::required_pressure::{self, Doubt, RequiredPressure};
use goodshot::mesh::bvh::Bvh;
use goodshot::mesh::shapes;
use goodshot::process::plastic::viscosity::{Consistency, Viscosity};

use super::{ALPHA, fill, film, melt, near, newtonian, push};

/// θ, the αt/b² at which a plate is frozen through, and `X_f` for n = 1, 0.5, 0.35, 0.25.
const STOPS: [(f64, f64, [f64; 4]); 3] = [
    (0.3, 0.58585, [0.6318, 0.6668, 0.6879, 0.7100]),
    (0.5, 0.37875, [0.5399, 0.5857, 0.6137, 0.6430]),
    (0.7, 0.24130, [0.4719, 0.5273, 0.5615, 0.5975]),
];

/// Pressure at which the stop is at `length` in a strip of 2 mm: from
/// `L₀ = [((n+1)/n) A t_f]^(n/(n+1))`, A = (n/(2n+1)) b^(1+1/n) (P/K)^(1/n).
fn pressure(length: f64, n: f64, k: f64, fourier: f64, stop: f64) -> f64 {
    let half: f64 = 1e-3;
    let freeze = fourier * half * half / ALPHA;
    let reach = (length / stop).powf((n + 1.0) / n) * n / ((n + 1.0) * freeze);
    k * (reach * (2.0 * n + 1.0) / n / half.powf(1.0 + 1.0 / n)).powf(n)
}

fn freezing(n: f64, theta: f64) -> (Melt, f64) {
    if n > 0.99 {
        return (melt(newtonian().viscosity, Some(theta)), 200.0);
    }
    let viscosity = Viscosity::PowerLaw {
        consistency: Consistency(1e4),
        index: n,
        at: None,
        cooling: None,
    };
    (melt(viscosity, Some(theta)), 1e4)
}

#[test]
fn a_strip_stops_where_it_should() {
    let mesh = shapes::cuboid(112.0, 30.0, 2.0);
    for (theta, fourier, stops) in STOPS {
        let indices = [1.0, 0.5, 0.35, 0.25].into_iter().zip(stops);
        // All four at the middle θ, the ends at the others.
        for (n, stop) in
            indices.filter(|(n, _)| (theta - 0.5).abs() < 0.1 || !(0.3..0.9).contains(n))
        {
            let (melt, k) = freezing(n, theta);
            let pressure = pressure(0.1, n, k, fourier, stop);
            let size = Resolution::EdgeMm(1.3);
            let (_, filling) = fill(&mesh, size, film(30.0), &melt, &push(pressure));
            assert!(!filling.fills);
            let length = filling.filled * 112.0;
            assert!((length / 100.0 - 1.0).abs() < 0.05, "{theta} {n}: {length}");
        }
    }
}

/// The other way round: what fills a strip of 100 mm.
#[test]
fn the_least_pressure_is_that_of_the_strip() {
    let mesh = shapes::cuboid(100.0, 40.0, 2.0);
    let bvh = Bvh::new(&mesh);
    let [fine, coarse] =
        [1.5, 2.5].map(|edge| Cells::new(&mesh, &bvh, Resolution::EdgeMm(edge)).unwrap());
    let gates = [film(40.0)];
    for (n, stop) in [(1.0, 0.5399), (0.35, 0.6137)] {
        let (melt, k) = freezing(n, 0.5);
        let wanted = pressure(0.1, n, k, 0.37875, stop);
        let case =
            Case { cells: &fine, mesh: &mesh, bvh: &bvh, gates: &gates, melt: &melt };
        let ready = PreparedCavity::new(&case).unwrap();
        let rough = PreparedCavity::new(&Case { cells: &coarse, ..case }).unwrap();
        let doubt = Doubt { viscosity: 2.0, kelvin: 10.0 };
        let least =
            required_pressure::least(&ready, &rough, &melt, &push(3e7), doubt).unwrap();
        let RequiredPressure::Pressure { pa, band_pa, .. } = least else {
            panic!("{least:?}")
        };
        near(pa, wanted, 0.08);
        // A factor of two either way, and a little for the temperature.
        assert!(band_pa[0] < pa / 2.0 && band_pa[0] > pa / 3.0, "{band_pa:?}");
        assert!(band_pa[1] > pa * 2.0 && band_pa[1] < pa * 3.0, "{band_pa:?}");
    }
    let melt = newtonian();
    let case = Case { cells: &fine, mesh: &mesh, bvh: &bvh, gates: &gates, melt: &melt };
    let ready = PreparedCavity::new(&case).unwrap();
    let doubt = Doubt { viscosity: 1.0, kelvin: 0.0 };
    let least = required_pressure::least(&ready, &ready, &melt, &push(1e7), doubt);
    assert_eq!(least, Ok(RequiredPressure::Any));
}

/// A ram with a slow limit gives the skin time: the same pressure no longer fills.
#[test]
fn a_slow_ram_freezes_where_a_quick_one_fills() {
    let mesh = shapes::cuboid(100.0, 40.0, 2.0);
    let (melt, _) = freezing(1.0, 0.5);
    let quick = push(1e7);
    let slow = goodshot::fill::flow_step::Drive { most_m3_s: Some(1.5e-6), ..quick };
    let run = |drive| fill(&mesh, Resolution::EdgeMm(2.0), film(40.0), &melt, drive).1;
    let (quick, slow) = (run(&quick), run(&slow));
    assert!(quick.fills && !slow.fills, "{} {}", quick.filled, slow.filled);
    assert!(
        slow.history.iter().all(|instant| instant.flow_m3_s <= 1.5e-6 * (1.0 + 1e-9))
    );
    let ends = slow.frozen.iter().fold(0.0_f64, |a, &b| a.max(b));
    assert!(ends > 0.9 && slow.arrival_s.iter().any(Option::is_none));
}
