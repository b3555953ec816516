//! Cells of a part: how much of it they hold, and what wall each is in.

use goodshot::fill::cells::{Cells, CellsError, Resolution};
use goodshot::mesh::bvh::Bvh;
use goodshot::mesh::{TriMesh, shapes};

use super::near;
use crate::common::{direction, every_shape, together, turned};

fn cut(mesh: &TriMesh, resolution: Resolution) -> Cells {
    Cells::new(mesh, &Bvh::new(mesh), resolution).unwrap()
}

/// A wall of two cells at 30°: thickness within 2 %, and it counts as a wall.
#[test]
fn a_slanted_wall_of_two_cells_is_known() {
    let plate = shapes::cuboid(40.0, 30.0, 2.0);
    for angle in [0.0, 30.0] {
        let mesh = turned(&plate, direction(1.0, 2.0, 0.5), angle);
        let cells = cut(&mesh, Resolution::EdgeMm(1.0));
        let off = |cell: &usize| (cells.wall_mm[*cell] - 2.0).abs() > 0.04;
        let wrong = (0..cells.len()).filter(off).count();
        assert!(wrong == 0, "{angle}: {wrong} of {}", cells.len());
        let walls = cells.section.iter().filter(|&&section| section == 0).count();
        assert!(walls as f64 > 0.75 * cells.len() as f64, "{angle}: {walls}");
    }
}

#[test]
fn a_rod_is_a_rod_and_a_step_keeps_both_walls() {
    for edge in [1.0, 0.6] {
        let rod = cut(&shapes::cone(2.0, 2.0, 40.0, 48), Resolution::EdgeMm(edge));
        let rods = rod.section.iter().filter(|&&section| section == 16).count();
        assert!(rods as f64 > 0.95 * rod.len() as f64, "{rods} of {}", rod.len());
        assert!(rod.wall_mm.iter().all(|wall| (wall - 4.0).abs() < 0.08));
    }
    let steps = [&[0.0, 20.0, 40.0][..], &[0.0, 30.0], &[0.0, 1.5, 4.0]];
    let stepped =
        cut(&shapes::blocks(steps, |i, _, k| i == 0 || k == 0), Resolution::EdgeMm(0.75));
    for (cell, &wall) in stepped.wall_mm.iter().enumerate() {
        let place = stepped.middle(cell);
        if place.x < 17.0 {
            near(wall, 4.0, 0.02);
        } else if place.x > 23.0 {
            near(wall, 1.5, 0.02);
        }
    }
}

/// A handbook value: a square bore of side a has the mean mobility 0.03514 a² (Shah and
/// London 1978), a flat gap 1/12, a round one 1/32. The section stands between.
#[test]
fn a_square_rod_lies_between() {
    let square = cut(&shapes::cuboid(40.0, 4.0, 4.0), Resolution::EdgeMm(0.5));
    let mobility: f64 = (0..square.len())
        .filter(|&cell| (10.0..30.0).contains(&square.middle(cell).x))
        .map(|cell| {
            let d = 1.0 + f64::from(square.section[cell]) / 16.0;
            let volume = square.volume_mm3[cell];
            square.wall_mm[cell].powi(2) / (4.0 * d * (d + 2.0)) * volume / 320.0
        })
        .sum();
    near(mobility, 0.035_14 * 16.0, 0.05);
}

/// Before the volume is set right it is right to a few parts in a thousand, and no cell is
/// cut off.
#[test]
fn every_shape_becomes_cells() {
    for (name, mesh) in every_shape() {
        let cells = cut(&mesh, Resolution::Budget(4000));
        let volume = goodshot::part::mass::measure(&mesh, true).solid.unwrap().volume;
        near(cells.total_mm3(), volume, 1e-9);
        let full = cells.edge_mm().powi(3);
        let most = cells.volume_mm3.iter().fold(0.0_f64, |a, &b| a.max(b));
        assert!((most / full - 1.0).abs() < 0.03, "{name}: {}", most / full);
        assert!(cells.links.len() as f64 > 1.5 * cells.len() as f64, "{name}");
        assert!(
            cells.wall_mm.iter().all(|wall| *wall > 0.0 && wall.is_finite()),
            "{name}"
        );
    }
}

/// With every 25th facet gone, the lines that meet no hole answer for the others.
#[test]
fn a_mesh_with_holes_still_has_an_inside() {
    let whole = shapes::split(&shapes::cuboid(30.0, 20.0, 6.0), 3);
    let torn = TriMesh::new(
        whole.points().to_vec(),
        whole
            .facets()
            .iter()
            .enumerate()
            .filter(|(i, _)| i % 25 != 0)
            .map(|(_, f)| *f)
            .collect(),
    );
    let cells = cut(&torn, Resolution::EdgeMm(1.0));
    near(cells.total_mm3(), 3600.0, 0.05);
}

#[test]
fn two_bodies_that_overlap_are_one_inside() {
    let both = together(&[
        shapes::cuboid(20.0, 10.0, 4.0),
        crate::common::moved(&shapes::cuboid(20.0, 10.0, 4.0), [10.0, 0.0, 0.0]),
    ]);
    let cells = cut(&both, Resolution::EdgeMm(1.0));
    near(cells.total_mm3(), 1200.0, 0.03);
}

#[test]
fn what_is_no_part_is_refused() {
    let nothing = TriMesh::new(Vec::new(), Vec::new());
    let bvh = Bvh::new(&nothing);
    assert!(Cells::new(&nothing, &bvh, Resolution::default()).is_err());
    let plate = shapes::cuboid(3.0, 2.0, 1.0);
    let bvh = Bvh::new(&plate);
    for edge_mm in [0.0, -1.0, f64::INFINITY] {
        let seen = Cells::new(&plate, &bvh, Resolution::EdgeMm(edge_mm));
        assert_eq!(seen.unwrap_err(), CellsError::Edge { edge_mm });
    }
}

/// The default takes two cells across the wall where the budget allows, and says so.
#[test]
fn the_default_size_follows_the_wall() {
    let tray = cut(&shapes::tray([30.0, 20.0, 10.0], 2.0), Resolution::default());
    near(tray.thin_wall_mm.unwrap(), 2.0, 0.02);
    let across = |cells: &Cells| cells.thin_wall_mm.unwrap() / cells.edge_mm();
    assert!(across(&tray) >= 2.0 && tray.len() < 80_000, "{}", tray.len());
    let sheet = cut(&shapes::cuboid(300.0, 200.0, 0.5), Resolution::Budget(2000));
    assert!(across(&sheet) < 0.5);
}
