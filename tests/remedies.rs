//! What can be done about a trapped region: each way is offered on a shape where it is
//! one, with numbers that the drawing gives, and kept back on a shape where it is none.

use goodshot::analysis;
use goodshot::analysis::{Analysis, Setup};
use goodshot::findings::release_remedies;
use goodshot::geom::{Direction, Point};
use goodshot::mesh::{TriMesh, shapes, stl};
use goodshot::part::remedies::Remedy;
use goodshot::process::plastic::library::Plastics;
use goodshot::process::press::Press;
use goodshot::settings::Settings;

fn analyze(mesh: &TriMesh, plastic: &str) -> Analysis {
    let mut bytes = Vec::new();
    let facets = (0..mesh.facets().len()).map(|facet| mesh.corners(facet));
    stl::write(facets, &mut bytes).unwrap();
    let setup = Setup {
        press: Press::builtin().unwrap(),
        press_given: true,
        plastic: Plastics::builtin().unwrap().find(plastic).unwrap().clone(),
        plastic_given: true,
        sources: Vec::new(),
        found: Vec::new(),
    };
    let settings =
        Settings { pull: Some(Direction::Z), samples: 12_000, ..Settings::default() };
    analysis::run(&bytes, setup, &settings, &|_| ()).unwrap()
}

/// Ways out of the deepest region, and its depth.
fn deepest(mesh: &TriMesh) -> (Vec<Remedy>, Option<f64>) {
    let analysis = analyze(mesh, "abs");
    let depth = analysis.release.undercut.regions[0].depth;
    (analysis.release.remedies[0].clone(), depth)
}

fn slot(ways: &[Remedy]) -> Option<(Direction, Point, f64, f64)> {
    ways.iter().find_map(|way| match *way {
        Remedy::Slot { toward, at, area, wall } => Some((toward, at, area, wall)),
        _ => None,
    })
}

fn drill(ways: &[Remedy]) -> Option<(Direction, f64, f64, bool)> {
    ways.iter().find_map(|way| match *way {
        Remedy::Drill { axis, diameter, length, through } => {
            Some((axis, diameter, length, through))
        }
        _ => None,
    })
}

fn strip(ways: &[Remedy]) -> Option<(f64, f64, f64)> {
    ways.iter().find_map(|way| match *way {
        Remedy::Strip { depth, radius, strain, .. } => Some((depth, radius, strain)),
        _ => None,
    })
}

fn near(value: f64, expected: f64, slack: f64) {
    assert!((value - expected).abs() <= slack, "{value} is not {expected} ± {slack}");
}

/// A plate upright in x and z, 20 mm square, with a round hole of radius `radius` along
/// y that is `deep` mm deep; a bottom closes it up to `thick`.
fn drilled_plate(radius: f64, deep: f64, thick: f64, around: usize) -> TriMesh {
    let at = |step: usize, y: f64, square: bool| {
        let angle = std::f64::consts::TAU * (step % around) as f64 / around as f64;
        let [x, z] = [angle.cos(), angle.sin()];
        let r = if square { 10.0 / x.abs().max(z.abs()) } else { radius };
        Point::new(r * x, y, r * z)
    };
    let blind = thick > deep;
    let mut soup: Vec<[Point; 3]> = Vec::new();
    for step in 0..around {
        let mut quad = |a: Point, b: Point, c: Point, d: Point| {
            soup.push([a, b, c]);
            soup.push([a, c, d]);
        };
        let next = step + 1;
        let [o0, o1] = [at(step, 0.0, true), at(next, 0.0, true)];
        let [i0, i1] = [at(step, 0.0, false), at(next, 0.0, false)];
        let [p0, p1] = [at(step, thick, true), at(next, thick, true)];
        let [j0, j1] = [at(step, deep, false), at(next, deep, false)];
        quad(i0, o0, o1, i1);
        quad(o0, p0, p1, o1);
        quad(i0, i1, j1, j0);
        if blind {
            soup.push([j0, j1, Point::new(0.0, deep, 0.0)]);
            soup.push([p1, p0, Point::new(0.0, thick, 0.0)]);
        } else {
            quad(p0, j0, j1, p1);
        }
    }
    let facets = (0..soup.len() as u32).map(|f| [3 * f, 3 * f + 1, 3 * f + 2]);
    TriMesh::new(soup.concat(), facets.collect())
}

/// A floor of 20 × 20 × 2 mm with a post on it and a hook of `reach` mm, 4 mm wide, 6 mm
/// above the floor; a second floor 3 mm below the first when `cellar`.
fn hook(reach: f64, cellar: bool) -> TriMesh {
    let x = [0.0, 2.0, 6.0, 8.0, 8.0 + reach, 20.0];
    let y = [0.0, 8.0, 12.0, 20.0];
    let z = [-5.0, -3.0, 0.0, 2.0, 8.0, 10.0];
    shapes::blocks([&x, &y, &z], |i, j, k| match k {
        0 => cellar,
        1 => cellar && i == 0,
        2 => true,
        3 => i == 2 && j == 1,
        _ => (i == 2 || i == 3) && j == 1,
    })
}

#[test]
fn a_round_side_hole_is_drilled_afterwards() {
    let (ways, depth) = deepest(&drilled_plate(3.0, 4.0, 4.0, 48));
    let (axis, diameter, length, through) = drill(&ways).unwrap();
    near(axis.vector().y.abs(), 1.0, 1e-9);
    near(diameter, 6.0, 1e-3);
    near(length, 4.0, 1e-6);
    assert!(through);
    // Taken out along y, the far rim travels the thickness of the plate.
    near(depth.unwrap(), 4.0, 0.2);
}

/// Below the hole stand 7 mm of plate; opened, the hole is a slot.
#[test]
fn a_side_hole_may_become_a_slot() {
    let (ways, _) = deepest(&drilled_plate(3.0, 4.0, 4.0, 48));
    let (toward, _, area, wall) = slot(&ways).unwrap();
    near(toward.vector().z.abs(), 1.0, 1e-9);
    near(area, 6.0 * 4.0, 1.0);
    assert!((7.0..8.5).contains(&wall), "{wall}");
    let drilled = ways.iter().position(|way| matches!(way, Remedy::Drill { .. }));
    assert!(drilled > Some(0), "the slot costs less and stands first: {ways:?}");
}

#[test]
fn a_blind_hole_is_drilled_from_its_mouth() {
    let (ways, _) = deepest(&drilled_plate(3.0, 4.0, 6.0, 48));
    let (axis, _, length, through) = drill(&ways).unwrap();
    assert!(axis.vector().y > 0.999, "{axis:?}");
    near(length, 4.0, 1e-6);
    assert!(!through);
}

#[test]
fn a_square_hole_is_not_drilled() {
    let steps = [-10.0, -3.0, 3.0, 10.0];
    let plate = shapes::blocks([&steps, &[0.0, 4.0], &steps], |i, _, k| i != 1 || k != 1);
    let (ways, _) = deepest(&plate);
    assert!(drill(&ways).is_none(), "{ways:?}");
    assert!(slot(&ways).is_some(), "{ways:?}");
}

/// The slot is as large as the hook's underside and pierces the floor below it.
#[test]
fn a_hook_is_formed_through_the_floor_below_it() {
    for reach in [0.8, 1.5, 3.0] {
        let (ways, depth) = deepest(&hook(reach, false));
        near(depth.unwrap(), reach, 0.05);
        let (toward, at, area, wall) = slot(&ways).unwrap();
        near(toward.vector().z, -1.0, 1e-9);
        near(wall, 2.0, 1e-6);
        near(area, 4.0 * reach, 0.12 * 4.0 * reach + 0.2);
        near(at.z, 1.0, 1e-3);
        assert!(at.x > 8.0 && at.x < 8.0 + reach, "{at}");
    }
}

#[test]
fn a_hook_above_two_floors_has_no_slot() {
    let analysis = analyze(&hook(3.0, true), "abs");
    let regions = &analysis.release.undercut.regions;
    let above = |rank: &usize| regions[*rank].region.bounds.max.z > 7.9;
    let rank = (0..regions.len()).find(above).unwrap();
    let ways = &analysis.release.remedies[rank];
    assert!(slot(ways).is_none(), "{ways:?}");
    assert!(ways.iter().any(|way| matches!(way, Remedy::Insert { .. })), "{ways:?}");
}

/// A plug of radius 10 mm with a groove 0.5 mm deep all around.
fn grooved_plug() -> TriMesh {
    let outline = [
        [0.0, 0.0],
        [10.0, 0.0],
        [10.0, 4.0],
        [9.5, 4.0],
        [9.5, 6.0],
        [10.0, 6.0],
        [10.0, 10.0],
        [0.0, 10.0],
    ];
    shapes::revolve(&outline, 96)
}

/// 0.5 mm over 10 mm is 5 %. A slot all around would cut the plug in two.
#[test]
fn a_groove_strains_by_depth_over_radius() {
    let (ways, depth) = deepest(&grooved_plug());
    near(depth.unwrap(), 0.5, 0.05);
    let (_, radius, strain) = strip(&ways).unwrap();
    near(radius, 10.0, 0.05);
    near(strain, 0.05, 0.005);
    assert!(slot(&ways).is_none() && drill(&ways).is_none(), "{ways:?}");
}

/// Polyethylene withstands 10 to 12 %, ABS 1 to 3 % (from memory).
#[test]
fn a_groove_strips_off_in_polyethylene_and_not_in_abs() {
    let says = |plastic: &str| {
        release_remedies::remedies(&analyze(&grooved_plug(), plastic), 0).join("\n")
    };
    let soft = says("hdpe");
    assert!(soft.contains("strip it off") && soft.contains("MEMORY"), "{soft}");
    assert!(!soft.contains("only just"), "{soft}");
    let stiff = says("abs");
    assert!(!stiff.contains("strip it off"), "{stiff}");
    let unknown = says("pc");
    assert!(!unknown.contains("strip it off"), "{unknown}");
}

/// A lid of inner radius 10 mm whose snap ridge leaves 9.7 mm: 0.3 mm over 9.7 mm.
#[test]
fn a_snap_ridge_strains_the_lid() {
    let outline = [
        [0.0, 8.0],
        [10.0, 8.0],
        [10.0, 2.0],
        [9.7, 2.0],
        [9.7, 0.0],
        [12.0, 0.0],
        [12.0, 10.0],
        [0.0, 10.0],
    ];
    let (ways, depth) = deepest(&shapes::revolve(&outline, 96));
    near(depth.unwrap(), 0.3, 0.05);
    let (_, radius, strain) = strip(&ways).unwrap();
    near(radius, 9.7, 0.05);
    near(strain, 0.3 / 9.7, 0.006);
}
