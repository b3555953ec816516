//! Another pose, other triangles, other threads, another solver: the same filling.

use goodshot::fill::cells::{Cells, Resolution};
use goodshot::fill::front::{equations, fill};
use goodshot::fill::gate::Gate;
use goodshot::fill::prepared::{Case, FillError};
use goodshot::geom::Point;
use goodshot::mesh::bvh::Bvh;
use goodshot::mesh::shapes;

use super::{film, near, newtonian, power_law, push};
use crate::common::{direction, turn};

/// Turned by 30° about a slanted axis and cut into other triangles, an L of two walls
/// fills in the same time within 10 %, and finer cells come closer.
#[test]
fn pose_and_triangles_do_not_matter() {
    let x = [0.0, 2.0, 40.0];
    let plain =
        shapes::blocks([&x, &[0.0, 25.0], &[0.0, 2.0, 25.0]], |i, _, k| i == 0 || k == 0);
    let axis = direction(1.0, 2.0, 0.7);
    let gate = Point::new(39.0, 12.5, 2.0);
    let rotation = turn(axis, 30.0);
    let other = shapes::shuffle(&shapes::split(&plain, 1)).map_points(|p| rotation * p);
    let melt = power_law(0.5);
    let time = |mesh: &goodshot::mesh::TriMesh, gate: Point, edge: f64| {
        let gate = Gate::round(gate, 2.0);
        super::fill(mesh, Resolution::EdgeMm(edge), gate, &melt, &push(1e7)).1.time_s
    };
    let apart =
        |edge: f64| time(&other, rotation * gate, edge) / time(&plain, gate, edge) - 1.0;
    let (coarse, fine) = (apart(1.0), apart(0.6));
    assert!(coarse.abs() < 0.10 && fine.abs() < 0.05, "{coarse} {fine}");
}

/// The pressures of one instant against a dense factorization.
#[test]
fn a_dense_solver_agrees() {
    let mesh = shapes::cuboid(24.0, 16.0, 2.0);
    let bvh = Bvh::new(&mesh);
    let cells = Cells::new(&mesh, &bvh, Resolution::EdgeMm(1.1)).unwrap();
    let gates = [Gate::round(Point::new(5.0, 6.0, 2.0), 1.0)];
    for melt in [newtonian(), power_law(0.35)] {
        let case =
            Case { cells: &cells, mesh: &mesh, bvh: &bvh, gates: &gates, melt: &melt };
        let seen = equations(&case, &push(1e7), 0.6).unwrap();
        let mut rows: Vec<u32> = seen.triplets.iter().map(|(row, ..)| *row).collect();
        rows.sort_unstable();
        rows.dedup();
        assert!(rows.len() > 200, "{}", rows.len());
        let at = |cell: u32| rows.binary_search(&cell).unwrap();
        let mut matrix = nalgebra::DMatrix::zeros(rows.len(), rows.len());
        for &(row, column, value) in &seen.triplets {
            matrix[(at(row), at(column))] += value;
        }
        let right = nalgebra::DVector::from_iterator(
            rows.len(),
            rows.iter().map(|&cell| seen.right[cell as usize]),
        );
        let exact = matrix.cholesky().unwrap().solve(&right);
        for (&cell, &wanted) in rows.iter().zip(exact.iter()) {
            assert!((seen.pressure[cell as usize] - wanted).abs() < 1e-6);
            assert!((-1e-9..=1.0 + 1e-9).contains(&wanted));
        }
    }
}

/// The equations of a cup half full go to a file, for `tests/outside` to solve once more.
#[test]
fn the_equations_are_written_for_an_outside_solver() {
    use std::fmt::Write;
    let mesh = shapes::cup(12.0, 15.0, 2.0, 3.0, 48);
    let bvh = Bvh::new(&mesh);
    let cells = Cells::new(&mesh, &bvh, Resolution::Budget(4000)).unwrap();
    let gates = [Gate::round(Point::new(0.0, 0.0, 0.0), 1.0)];
    let melt = power_law(0.35);
    let case = Case { cells: &cells, mesh: &mesh, bvh: &bvh, gates: &gates, melt: &melt };
    let seen = equations(&case, &push(1e7), 0.6).unwrap();
    let mut text = String::from("{\"triplets\": [");
    for (index, (row, column, value)) in seen.triplets.iter().enumerate() {
        let comma = if index > 0 { "," } else { "" };
        write!(text, "{comma}[{row},{column},{value:e}]").unwrap();
    }
    write!(text, "], \"right\": {:?}, \"pressure\": {:?}}}", seen.right, seen.pressure)
        .unwrap();
    let path = concat!(env!("CARGO_TARGET_TMPDIR"), "/fill_equations.json");
    std::fs::write(path, text).unwrap();
    assert!(seen.triplets.len() > 2000 && seen.pressure.iter().any(|&p| p > 0.5));
}

/// Way and arrival in a plate with a slot go to a file, for `tests/outside` to march again.
#[test]
fn ways_and_arrivals_are_written_for_an_outside_march() {
    use goodshot::fill::distance;
    let steps = [&[0.0, 30.0, 34.0, 60.0][..], &[0.0, 28.0, 40.0], &[0.0, 2.0]];
    let slotted = shapes::blocks(steps, |i, j, _| (i, j) != (1, 0));
    let disc = shapes::cone(30.0, 30.0, 2.0, 96);
    let mut texts = Vec::new();
    for (mesh, at) in
        [(slotted, Point::new(4.0, 4.0, 2.0)), (disc, Point::new(0.0, 0.0, 2.0))]
    {
        let (gate, melt) = (Gate::round(at, 1.0), newtonian());
        let (cells, filling) =
            super::fill(&mesh, Resolution::EdgeMm(1.0), gate, &melt, &push(1e7));
        let ways = distance::from(&cells, &at);
        assert!(ways.iter().all(Option::is_some) && filling.fills);
        let places: Vec<[u16; 3]> = (0..cells.len()).map(|cell| cells.at(cell)).collect();
        let home = cells.nearest(&at);
        let ways: Vec<f64> = ways.into_iter().flatten().collect();
        let times: Vec<f64> = filling.arrival_s.into_iter().flatten().collect();
        let edge = cells.edge_mm();
        texts.push(format!(
            "{{\"at\": {places:?}, \"edge\": {edge}, \"home\": {home}, \"way\": {ways:?}, \
             \"time\": {times:?}}}"
        ));
    }
    let path = concat!(env!("CARGO_TARGET_TMPDIR"), "/fill_order.json");
    std::fs::write(path, format!("[{}]", texts.join(","))).unwrap();
}

#[test]
fn the_number_of_threads_does_not_matter() {
    let mesh = shapes::cuboid(60.0, 60.0, 3.0);
    let bvh = Bvh::new(&mesh);
    let run = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| {
            let cells = Cells::new(&mesh, &bvh, Resolution::EdgeMm(1.5)).unwrap();
            let gates = [Gate::round(Point::new(10.0, 20.0, 3.0), 1.0)];
            let melt = super::melt(power_law(0.4).viscosity, Some(0.5));
            let case = Case {
                cells: &cells,
                mesh: &mesh,
                bvh: &bvh,
                gates: &gates,
                melt: &melt,
            };
            fill(&case, &push(3e6)).unwrap()
        })
    };
    let (one, three) = (run(1), run(3));
    assert_eq!(one.history, three.history);
    assert_eq!(one.arrival_s, three.arrival_s);
    assert_eq!(one.pressure_pa, three.pressure_pa);
}

#[test]
fn a_part_without_a_gate_is_refused() {
    let mesh = shapes::cuboid(20.0, 10.0, 2.0);
    let bvh = Bvh::new(&mesh);
    let cells = Cells::new(&mesh, &bvh, Resolution::EdgeMm(1.0)).unwrap();
    let melt = newtonian();
    let case = Case { cells: &cells, mesh: &mesh, bvh: &bvh, gates: &[], melt: &melt };
    assert_eq!(fill(&case, &push(1e7)).unwrap_err(), FillError::NoGate);
}

/// What hangs together with no gate is not counted as short, but as another body.
#[test]
fn a_second_body_stays_empty() {
    let far = crate::common::moved(&shapes::cuboid(20.0, 10.0, 2.0), [0.0, 0.0, 20.0]);
    let mesh = crate::common::together(&[shapes::cuboid(20.0, 30.0, 2.0), far]);
    let (gate, melt) = (film(30.0), newtonian());
    let (_, filling) =
        super::fill(&mesh, Resolution::EdgeMm(1.0), gate, &melt, &push(1e7));
    near(filling.reachable, 0.75, 3e-3);
    near(filling.filled, 0.75, 3e-3);
    assert!(!filling.fills);
}
