//! Where streams meet, where air is shut in, where a gate is best.

use goodshot::fill::cells::{Cells, Resolution};
use goodshot::fill::gate::Gate;
use goodshot::fill::pockets::{self, Air};
use goodshot::fill::{gate_search, weld_lines};
use goodshot::geom::Point;
use goodshot::mesh::bvh::Bvh;
use goodshot::mesh::shapes;

use super::{fill, film, near, newtonian, push};

/// A plate with a square hole, filled from one end: the streams meet behind the hole, in
/// the middle, nearly head on, and nowhere before it.
#[test]
fn streams_meet_behind_a_hole() {
    let steps = [&[0.0, 25.0, 35.0, 60.0][..], &[0.0, 15.0, 25.0, 40.0], &[0.0, 2.0]];
    let mesh = shapes::blocks(steps, |i, j, _| (i, j) != (1, 1));
    let (gate, melt) = (film(40.0), newtonian());
    let (cells, filling) = fill(&mesh, Resolution::EdgeMm(1.0), gate, &melt, &push(1e7));
    let welds = weld_lines::lines(&cells, &filling);
    let longest = welds.first().unwrap();
    assert!(longest.angle_deg > 120.0, "{}", longest.angle_deg);
    for weld in &welds {
        for &cell in &weld.cells {
            let at = cells.middle(cell as usize);
            assert!((at.y - 20.0).abs() < 2.5 && at.x > 34.0, "{at}");
        }
    }
    assert!(longest.length_mm > 4.0 && longest.at.x < 60.0, "{longest:?}");
    // Without the hole nothing meets.
    let plate = shapes::cuboid(60.0, 40.0, 2.0);
    let (cells, filling) = fill(&plate, Resolution::EdgeMm(1.0), gate, &melt, &push(1e7));
    assert_eq!(weld_lines::lines(&cells, &filling), Vec::new());
}

/// A thin window in a thick frame: the frame fills first and shuts in the air of the
/// window.
#[test]
fn a_thick_frame_shuts_in_the_air_of_a_thin_window() {
    let steps = [&[0.0, 8.0, 40.0, 48.0][..], &[0.0, 8.0, 40.0, 48.0], &[0.0, 1.0, 5.0]];
    let mesh = shapes::blocks(steps, |i, j, k| k == 0 || (i, j) != (1, 1));
    let gate = Gate::round(Point::new(4.0, 24.0, 5.0), 1.5);
    let melt = newtonian();
    let (cells, filling) = fill(&mesh, Resolution::EdgeMm(1.0), gate, &melt, &push(1e7));
    let is_window =
        |at: &Point| (9.0..39.0).contains(&at.x) && (9.0..39.0).contains(&at.y);
    assert!(filling.fills, "{}", filling.filled);
    let reported = pockets::pockets(&cells, &filling, None);
    assert!(
        reported.iter().any(|p| is_window(&p.at) && p.air == Air::Last),
        "{reported:?}"
    );
    // Vents along the outer rim are passed before the window is full.
    let rim = |at: &Point| at.x < 1.0 || at.x > 47.0 || at.y < 1.0 || at.y > 47.0;
    let seen = pockets::pockets(&cells, &filling, Some(&rim));
    let worst = seen.first().unwrap();
    assert!(worst.air == Air::PastVent && is_window(&worst.at), "{seen:?}");
    assert!((200.0..1100.0).contains(&worst.volume_mm3), "{}", worst.volume_mm3);
    assert!(worst.closed_s < worst.time_s.unwrap());
    // A vent in the window lets it out.
    let everywhere = |_: &Point| true;
    let seen = pockets::pockets(&cells, &filling, Some(&everywhere));
    assert!(!seen.is_empty() && seen.iter().all(|p| p.air == Air::Vented), "{seen:?}");
}

/// A strip is best gated in its middle; the loss from one end is twice that.
#[test]
fn a_strip_is_best_gated_in_its_middle() {
    let mesh = shapes::cuboid(100.0, 10.0, 2.0);
    let cells = Cells::new(&mesh, &Bvh::new(&mesh), Resolution::EdgeMm(1.0)).unwrap();
    let candidates: Vec<Point> =
        (0..=10).map(|i| Point::new(f64::from(i) * 10.0, 5.0, 2.0)).collect();
    let best = gate_search::best(&cells, &candidates, 3);
    assert_eq!(best.len(), 3);
    assert_eq!(best[0].candidate, 5);
    assert!((best[0].loss - 1.0).abs() < 1e-12);
    assert!((best[0].flow_length_mm - 50.0).abs() < 5.0, "{:?}", best[0]);
    assert!((best[0].length_over_wall - 25.0).abs() < 3.0, "{:?}", best[0]);
    let ends = gate_search::best(&cells, &[candidates[0]], 3);
    assert!((ends[0].flow_length_mm - 100.0).abs() < 6.0, "{:?}", ends[0]);
    assert_eq!(gate_search::best(&cells, &[], 3), Vec::new());
}

/// A strip of 2 mm, 100 long, filled in 0.3 s: v = 0.333 m/s, Graetz v H²/(4 α L) = 41.5;
/// a melt that gets 2 % thinner a kelvin and conducts 0.16 W/(m K): Nahme
/// 0.02 · 200 · v² / 0.16 = 2.8.
#[test]
fn the_numbers_of_a_strip() {
    use goodshot::fill::dimensionless;
    use goodshot::fill::front::fill;
    use goodshot::fill::prepared::Case;
    use goodshot::process::plastic::viscosity::{Consistency, Viscosity};
    use goodshot::units::{Quantity, Temperature, TemperatureCoefficient};
    let mesh = shapes::cuboid(100.0, 40.0, 2.0);
    let bvh = Bvh::new(&mesh);
    let cells = Cells::new(&mesh, &bvh, Resolution::EdgeMm(1.5)).unwrap();
    let viscosity = Viscosity::PowerLaw {
        consistency: Consistency(200.0),
        index: 1.0,
        at: Some(Temperature::from_si(493.15)),
        cooling: Some(TemperatureCoefficient::from_si(0.02)),
    };
    let melt = super::melt(viscosity, None);
    let gates = [Gate::round(Point::new(0.0, 20.0, 1.0), 1.0)];
    let case = Case { cells: &cells, mesh: &mesh, bvh: &bvh, gates: &gates, melt: &melt };
    let filling = fill(&case, &push(1e7)).unwrap();
    let seen = dimensionless::estimate(&case, &filling).unwrap();
    near(seen.wall_mm, 2.0, 0.01);
    near(seen.flow_length_mm, 100.0_f64.hypot(20.0), 0.03);
    let v = seen.flow_length_mm * 1e-3 / filling.time_s;
    near(seen.velocity_m_s, v, 2e-3);
    near(seen.graetz, v * 4e-6 / (4.0 * super::ALPHA * seen.flow_length_mm * 1e-3), 4e-3);
    near(seen.nahme, 0.02 * 200.0 * v * v / 0.16, 5e-3);
}
