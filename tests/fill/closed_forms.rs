//! Closed forms of isothermal thin-gap filling (Bird, Armstrong and Hassager, *Dynamics of
//! Polymeric Liquids* 1, 1987, §4.2, integrated over the front); numbers worked out apart
//! from this program.

use goodshot::fill::cells::Resolution;
use goodshot::fill::drive::Drive;
use goodshot::fill::front::Filling;
use goodshot::fill::gate::Gate;
use goodshot::fill::melt::Melt;
use goodshot::geom::Point;
use goodshot::mesh::{TriMesh, shapes};

use super::{NO_FEED, fill, film, near, newtonian, power_law, push};

/// A part and where melt comes in.
struct GatedPart {
    mesh: TriMesh,
    gate: Gate,
}

/// 100 long, 40 wide, 2 thick; long enough beside its thickness that the side walls, which
/// the closed form does not know, take less than 1.6 %.
fn strip() -> GatedPart {
    GatedPart { mesh: shapes::cuboid(100.0, 40.0, 2.0), gate: film(40.0) }
}

fn tube() -> GatedPart {
    let gate = Gate::round(Point::origin(), 2.0);
    GatedPart { mesh: shapes::cone(2.0, 2.0, 100.0, 48), gate }
}

/// Radius 50, 2 thick, gated through a radius of 2.
fn disc() -> GatedPart {
    let gate = Gate::round(Point::new(0.0, 0.0, 2.0), 2.0);
    GatedPart { mesh: shapes::cone(50.0, 50.0, 2.0, 96), gate }
}

fn run(part: &GatedPart, melt: &Melt, drive: &Drive<'_>) -> Filling {
    let (_, filling) = fill(&part.mesh, Resolution::default(), part.gate, melt, drive);
    assert!(filling.fills, "{}", filling.filled);
    filling
}

/// 10 MPa: a strip of 2 mm runs 57.735 mm in 0.1 s at 200 Pa s, and 100 mm in 0.17497 s at
/// 1e4 Pa s^0.35.
#[test]
fn a_strip_at_constant_pressure() {
    let seconds = 0.1 * (100.0_f64 / 57.735).powi(2);
    near(run(&strip(), &newtonian(), &push(1e7)).time_s, seconds, 0.03);
    near(run(&strip(), &power_law(0.35), &push(1e7)).time_s, 0.17497, 0.03);
}

/// L = (R/2) √(P t/μ); 179.16 mm in 1 s at 1e4 Pa s^0.35, R = 2 mm, L ~ t^(n/(n+1)).
#[test]
fn a_tube_at_constant_pressure() {
    let seconds = 200.0 * (2.0 * 0.1 / 2e-3_f64).powi(2) / 1e7;
    near(run(&tube(), &newtonian(), &push(1e7)).time_s, seconds, 0.03);
    let seconds = (100.0 / 179.16_f64).powf(1.35 / 0.35);
    near(run(&tube(), &power_law(0.35), &push(1e7)).time_s, seconds, 0.03);
}

/// From a radius of 2 to 50 mm: 0.20398 s at 200 Pa s, 0.02621 s at 1e4 Pa s^0.35.
#[test]
fn a_disc_at_constant_pressure() {
    near(run(&disc(), &newtonian(), &push(1e7)).time_s, 0.20398, 0.03);
    near(run(&disc(), &power_law(0.35), &push(1e7)).time_s, 0.02621, 0.03);
}

/// Strip: 12 μ Q L/(W H³) and (2 K L/H) [(2(2n+1)/n) Q/(W H²)]ⁿ.
#[test]
fn a_strip_at_constant_flow() {
    let drive =
        Drive { pressure_pa: 1e9, most_m3_s: Some(5e-6), feed: NO_FEED, channels: &[] };
    let newton = 12.0 * 200.0 * 5e-6 * 0.1 / (0.04 * 8e-9);
    let n = 0.35_f64;
    let rate = 2.0 * (2.0 * n + 1.0) / n * 5e-6 / (0.04 * 4e-6);
    let thinning = 2.0 * 1e4 * 0.1 / 2e-3 * rate.powf(n);
    for (melt, pressure) in [(newtonian(), newton), (power_law(n), thinning)] {
        let filling = run(&strip(), &melt, &drive);
        near(filling.time_s, 8e-6 / 5e-6, 0.03);
        // What is at the gate grows with the length filled; the last instant has not quite
        // all of it.
        let last = filling.history.iter().rev().find(|i| i.filled < 0.99).unwrap();
        near(last.gate_pa, pressure * last.filled, 0.03);
    }
}

/// Tube: 8 μ Q L/(π R⁴) and (2 K L/R) [((3n+1)/n) Q/(π R³)]ⁿ.
#[test]
fn a_tube_at_constant_flow() {
    let drive =
        Drive { pressure_pa: 1e9, most_m3_s: Some(1e-6), feed: NO_FEED, channels: &[] };
    let pi = std::f64::consts::PI;
    let newton = 8.0 * 200.0 * 1e-6 * 0.1 / (pi * 16e-12);
    let n = 0.35_f64;
    let rate = (3.0 * n + 1.0) / n * 1e-6 / (pi * 8e-9);
    let thinning = 2.0 * 1e4 * 0.1 / 2e-3 * rate.powf(n);
    for (melt, pressure) in [(newtonian(), newton), (power_law(n), thinning)] {
        let filling = run(&tube(), &melt, &drive);
        let last = filling.history.iter().rev().find(|i| i.filled < 0.99).unwrap();
        near(last.gate_pa, pressure * last.filled, 0.03);
    }
}

/// Disc: 6 μ Q ln(R/Ri)/(π H³) and (2K/H) [((2n+1)/(nπ)) Q/H²]ⁿ (R^(1−n) − Ri^(1−n))/(1−n),
/// R from the volume filled.
#[test]
fn a_disc_at_constant_flow() {
    let drive =
        Drive { pressure_pa: 1e9, most_m3_s: Some(5e-6), feed: NO_FEED, channels: &[] };
    let pi = std::f64::consts::PI;
    let n = 0.35_f64;
    for melt in [newtonian(), power_law(n)] {
        let filling = run(&disc(), &melt, &drive);
        for instant in filling.history.iter().filter(|i| (0.3..0.9).contains(&i.filled)) {
            let radius = 0.05 * instant.filled.sqrt();
            let pressure = if melt == newtonian() {
                6.0 * 200.0 * 5e-6 * (radius / 2e-3).ln() / (pi * 8e-9)
            } else {
                let rate = (2.0 * n + 1.0) / (n * pi) * 5e-6 / 4e-6;
                let reach = radius.powf(1.0 - n) - 2e-3_f64.powf(1.0 - n);
                2.0 * 1e4 / 2e-3 * rate.powf(n) * reach / (1.0 - n)
            };
            near(instant.gate_pa, pressure, 0.03);
        }
    }
}

/// Every instant by itself: the flow of a strip filled to L is
/// (W H²/2) (n/(2n+1)) (P H/(2 K L))^(1/n). The power 1/n of this melt makes three times
/// as much of every error in the wall or the length.
#[test]
fn every_instant_of_a_strip_flows_as_it_should() {
    let GatedPart { mesh, gate } = strip();
    let n = 0.35_f64;
    for edge in [1.0, 0.8] {
        let resolution = Resolution::EdgeMm(edge);
        let (_, filling) = fill(&mesh, resolution, gate, &power_law(n), &push(1e7));
        for instant in filling.history.iter().filter(|i| (0.3..0.99).contains(&i.filled))
        {
            let stress = 1e7 * 2e-3 / (2.0 * 1e4 * 0.1 * instant.filled);
            let flow = 0.04 * 4e-6 / 2.0 * n / (2.0 * n + 1.0) * stress.powf(1.0 / n);
            near(instant.flow_m3_s, flow, 0.1);
        }
    }
}

/// Half the cells along each axis at most double the error, half a percent aside.
#[test]
fn finer_cells_come_closer() {
    let seconds = 0.20398;
    let GatedPart { mesh, gate } = disc();
    let error = |edge: f64| {
        let resolution = Resolution::EdgeMm(edge);
        let (_, filling) = fill(&mesh, resolution, gate, &newtonian(), &push(1e7));
        (filling.time_s / seconds - 1.0).abs()
    };
    let errors = [2.0, 1.0, 0.67].map(error);
    assert!(errors[2] < 0.02, "{errors:?}");
    assert!(errors[1] < 0.5 * errors[0] + 5e-3, "{errors:?}");
}

/// A feed that loses R Q before the cavity adds R V / P to the time of a Newtonian strip,
/// exactly.
#[test]
fn a_feed_in_series_takes_its_time() {
    let free = run(&strip(), &newtonian(), &push(1e7)).time_s;
    let feed = |flow: f64| 4e11 * flow;
    let drive = Drive { pressure_pa: 1e7, most_m3_s: None, feed: &feed, channels: &[] };
    let filling = run(&strip(), &newtonian(), &drive);
    near(filling.time_s, free + 4e11 * 8e-6 / 1e7, 0.01);
    for instant in &filling.history[..filling.history.len() - 1] {
        near(instant.ram_pa, 1e7, 1e-6);
    }
}

/// ∫ Q dt by the mean of 1/Q of each step is the volume filled.
#[test]
fn volume_is_conserved() {
    for melt in [newtonian(), power_law(0.35)] {
        let filling = run(&disc(), &melt, &push(1e7));
        let volume = std::f64::consts::PI * 2.5e-3 * 2e-3;
        for pair in filling.history.windows(2) {
            let mean = 2.0 / (1.0 / pair[0].flow_m3_s + 1.0 / pair[1].flow_m3_s);
            let pushed = mean * (pair[1].time_s - pair[0].time_s) / volume;
            let filled = pair[1].filled - pair[0].filled;
            assert!(filled > 0.0);
            // The disc of 96 sides has a little less volume than the round one.
            near(pushed * 1.000_714, filled, 1e-4);
        }
    }
}

/// Ways side by side: at one pressure a strip of 3 mm runs 1.5 times as far as one of 2.
#[test]
fn fronts_in_two_walls_keep_the_ratio_of_the_walls() {
    use goodshot::fill::cells::Cells;
    use goodshot::fill::front::fill;
    use goodshot::fill::prepared::Case;
    use goodshot::mesh::bvh::Bvh;
    let thick = crate::common::moved(&shapes::cuboid(100.0, 40.0, 3.0), [0.0, 0.0, 10.0]);
    let mesh = crate::common::together(&[shapes::cuboid(100.0, 40.0, 2.0), thick]);
    let bvh = Bvh::new(&mesh);
    let cells = Cells::new(&mesh, &bvh, Resolution::EdgeMm(1.0)).unwrap();
    let upper = Gate {
        from: Point::new(0.0, 0.0, 11.5),
        to: Point::new(0.0, 40.0, 11.5),
        radius_mm: 1.5,
    };
    let gates = [film(40.0), upper];
    for melt in [newtonian(), power_law(0.35)] {
        let case =
            Case { cells: &cells, mesh: &mesh, bvh: &bvh, gates: &gates, melt: &melt };
        let filling = fill(&case, &push(1e7)).unwrap();
        let time = |x: f64, z: f64| {
            filling.arrival_s[cells.nearest(&Point::new(x, 20.0, z))].unwrap()
        };
        // Where is the thin front when the thick one is at 90?
        let moment = time(90.0, 11.5);
        let thin = (10..100).map(f64::from).find(|&x| time(x, 1.0) > moment).unwrap();
        near(90.0 / thin, 1.5, 0.05);
    }
}
