//! A frozen layer of the same thickness everywhere, against the clock that it slows.

use super::{Case, MeltTables, PreparedCavity, run};
use crate::fill::cells::{Cells, Resolution};
use crate::fill::flow_step::Drive;
use crate::fill::frozen_layer::FrozenLayer;
use crate::fill::gate::Gate;
use crate::fill::melt::Melt;
use crate::geom::Point;
use crate::mesh::{bvh::Bvh, shapes};
use crate::process::plastic::viscosity::{Consistency, Viscosity};
use crate::units::{DiffusionCoefficient, Quantity, Temperature};

/// A frozen layer that is equally thick everywhere only slows the clock: what is full at
/// t is full at τ = ∫ s^(2+1/n) dt without it, s the open share of the gap (a power law
/// in a gap conducts as its half width to the 2 + 1/n; Bird, Armstrong and Hassager 1987,
/// §4.2).
#[test]
fn a_uniform_skin_only_slows_the_clock() {
    let mesh = shapes::cuboid(100.0, 40.0, 2.0);
    let bvh = Bvh::new(&mesh);
    let cells = Cells::new(&mesh, &bvh, Resolution::EdgeMm(1.0)).unwrap();
    let end = |y: f64| Point::new(0.0, y, 1.0);
    let gates = [Gate { from: end(0.0), to: end(40.0), radius_mm: 1.0 }];
    for n in [1.0, 0.4] {
        let melt = Melt {
            viscosity: Viscosity::PowerLaw {
                consistency: Consistency(1e4),
                index: n,
                at: None,
                cooling: None,
            },
            temperature: Temperature::from_si(493.15),
            mold: Temperature::from_si(313.15),
            no_flow: None,
            diffusivity: DiffusionCoefficient::from_si(8e-8),
        };
        let case =
            Case { cells: &cells, mesh: &mesh, bvh: &bvh, gates: &gates, melt: &melt };
        let prepared = PreparedCavity::new(&case).unwrap();
        let drive = Drive { pressure_pa: 2e7, most_m3_s: None, feed: &|_| 0.0 };
        let bare = MeltTables::at_pressure(&melt, 2e7).unwrap();
        let plain = run(&prepared.cavity(&bare), &drive);
        // It would be frozen through after 30 times that.
        let freezes = 0.37875 * 1e-6 / 8e-8;
        let alpha = 8e-8 * freezes / (30.0 * plain.time_s);
        let mut frozen_layer = FrozenLayer::new(0.5, alpha);
        frozen_layer.everywhere = true;
        let frozen =
            MeltTables { frozen_layer, ..MeltTables::at_pressure(&melt, 2e7).unwrap() };
        let slowed = run(&prepared.cavity(&frozen), &drive);
        let slower = slowed.time_s / plain.time_s;
        assert!(slowed.fills && slower > 1.2, "{} {slower}", slowed.filled);
        let power = 2.0 + 1.0 / n;
        let rate = |time: f64| frozen.frozen_layer.open(0, 2e-3, time).powf(power);
        let clock = |time: f64| -> f64 {
            let steps = 4000;
            let step = time / f64::from(steps);
            (0..steps).map(|i| rate((f64::from(i) + 0.5) * step) * step).sum()
        };
        let tau = clock(slowed.time_s);
        assert!((tau / plain.time_s - 1.0).abs() < 0.02, "{n}: {tau} {}", plain.time_s);
        let half = |filling: &super::Filling| {
            let full = filling.history.iter().find(|at| at.filled >= 0.5);
            full.map(|at| (at.time_s, at.filled)).unwrap()
        };
        let ((early, filled), (plain_s, plain_filled)) = (half(&slowed), half(&plain));
        // L ~ t^(n/(n+1)).
        let wanted = plain_s * (filled / plain_filled).powf((n + 1.0) / n);
        assert!((clock(early) / wanted - 1.0).abs() < 0.02, "{n}: {wanted}");
    }
}
