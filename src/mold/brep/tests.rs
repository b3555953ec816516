//! Faces of solids whose volume, faces and edges are known by hand.

use std::f64::consts::PI;

use super::{Brep, Curve, Shape, of_solid};
use crate::geom::Point;
use crate::mesh::shapes;
use crate::mesh::solid::Solid;
use crate::mold::cut_feature::{Cut, Kind};
use crate::mold::primitives;
use crate::part::halves::Half;

fn hole(at: [f64; 2], diameter: f64, z: [f64; 2]) -> Cut {
    Cut::new(Kind::Pin, Half::Minus, at, primitives::round(at, diameter, z))
}

fn drilled(solid: &Solid, cuts: &[&Cut]) -> Brep {
    let made =
        cuts.iter().fold(solid.clone(), |made, cut| made.minus(&cut.solid).unwrap());
    let brep = of_solid(&made, cuts).unwrap();
    assert_well_formed(&brep);
    brep
}

/// Every edge is run once each way, and every loop closes.
fn assert_well_formed(brep: &Brep) {
    let mut runs = vec![[0, 0]; brep.edges.len()];
    for around in brep.faces.iter().flat_map(|face| &face.loops) {
        let end = |&(edge, is_forward): &(usize, bool), at: usize| {
            brep.edges[edge].ends[if is_forward { at } else { 1 - at }]
        };
        for (one, next) in around.iter().zip(around.iter().cycle().skip(1)) {
            assert_eq!(end(one, 1), end(next, 0));
            runs[one.0][usize::from(one.1)] += 1;
        }
    }
    assert!(runs.iter().all(|run| *run == [1, 1]));
}

fn rounds(brep: &Brep) -> Vec<(Point, f64, f64)> {
    let round = |face: &super::Face| match face.shape {
        Shape::Round { at, radius, lean, .. } => Some((at, radius, lean)),
        Shape::Plane { .. } => None,
    };
    brep.faces.iter().filter_map(round).collect()
}

fn ellipses(brep: &Brep) -> Vec<[f64; 2]> {
    let axes = |edge: &super::Edge| match edge.curve {
        Curve::Ellipse { half_axes, .. } => Some(half_axes),
        Curve::Line => None,
    };
    brep.edges.iter().filter_map(axes).collect()
}

#[test]
fn a_block_has_six_faces_and_a_hole_through_it_one_more() {
    let block = Solid::from(&shapes::cuboid(20.0, 10.0, 8.0));
    let plain = drilled(&block, &[]);
    assert_eq!([plain.corners.len(), plain.edges.len(), plain.faces.len()], [8, 12, 6]);
    assert_eq!(plain.sharp_edges(0.5).len(), 12);
    let cut = hole([5.0, 4.0], 3.0, [-1.0, 9.0]);
    let through = drilled(&block, &[&cut]);
    // Two circles and their seam.
    assert_eq!(
        [through.corners.len(), through.edges.len(), through.faces.len()],
        [10, 15, 7]
    );
    assert_eq!((through.holes.all, through.holes.true_round, through.bodies), (1, 1, 1));
    assert_eq!(ellipses(&through), [[1.5, 1.5]; 2]);
    let [(at, radius, lean)] = rounds(&through)[..] else { panic!("one wall") };
    assert!((at.x - 5.0).abs() < 1e-9 && (at.y - 4.0).abs() < 1e-9);
    assert!((radius - 1.5).abs() < 1e-9 && lean == 0.0);
    assert_eq!(through.sharp_edges(0.5).len(), 12);
}

#[test]
fn a_blind_counterbored_and_a_leaning_hole_are_true() {
    let block = Solid::from(&shapes::cuboid(30.0, 20.0, 10.0));
    let wide = hole([8.0, 8.0], 6.0, [6.0, 11.0]);
    let solid = primitives::cone([8.0, 8.0], [4.0, 3.0], [-1.0, 7.0]);
    let cone = Cut::new(Kind::Sprue, Half::Minus, [8.0, 8.0], solid);
    let blind = hole([20.0, 10.0], 4.0, [4.0, 11.0]);
    let brep = drilled(&block, &[&wide, &cone, &blind]);
    assert_eq!((brep.holes.all, brep.holes.true_round), (3, 3));
    let leans: Vec<f64> =
        rounds(&brep).iter().map(|it| it.2).filter(|it| *it > 0.0).collect();
    // Half a millimeter of radius over eight.
    assert_eq!(leans.len(), 1);
    assert!((leans[0] - (0.5_f64 / 8.0).atan()).abs() < 1e-6);
}

/// A hole of radius r that ends in a plane which leans by 30° ends in an ellipse of half axes
/// r / cos 30° and r.
#[test]
fn a_hole_in_a_slope_ends_in_an_ellipse() {
    let tan = 30_f64.to_radians().tan();
    let wedge = Solid::from(&shapes::cuboid(20.0, 10.0, 8.0)).map(|at| {
        let z = if at.z > 4.0 { at.z + tan * at.x } else { at.z };
        Point::new(at.x, at.y, z)
    });
    let brep = drilled(&wedge, &[&hole([10.0, 5.0], 4.0, [-1.0, 30.0])]);
    assert_eq!((brep.holes.all, brep.holes.true_round), (1, 1));
    let mut axes = ellipses(&brep);
    axes.sort_by(|a, b| a[0].total_cmp(&b[0]));
    let long = 2.0 / (PI / 6.0).cos();
    assert!((axes[0][0] - 2.0).abs() < 1e-9 && (axes[1][0] - long).abs() < 1e-6);
}

/// The mouth of a hole over the ridge of a roof is two arcs that meet on the ridge, at the radius.
#[test]
fn a_hole_over_a_ridge_has_two_arcs() {
    let roof = Solid::from(&shapes::cuboid(10.0, 10.0, 8.0));
    let upper = roof.map(|at| {
        let z = if at.z > 4.0 { at.z - 0.2 * at.x } else { at.z };
        Point::new(at.x, at.y, z)
    });
    let lower = upper.map(|at| Point::new(-at.x, at.y, at.z));
    let turned = lower.facets.iter().map(|[a, b, c]| [*a, *c, *b]).collect();
    let both = upper.plus(&Solid { facets: turned, ..lower }).unwrap();
    let brep = drilled(&both, &[&hole([0.5, 5.0], 4.0, [-1.0, 30.0])]);
    assert_eq!((brep.holes.all, brep.holes.true_round), (1, 1));
    let on_ridge: Vec<&Point> = brep
        .corners
        .iter()
        .filter(|at| at.x.abs() < 1e-9 && (at.y - 5.0).abs() < 2.5)
        .collect();
    assert_eq!(on_ridge.len(), 2);
    for at in on_ridge {
        assert!(((at.x - 0.5).hypot(at.y - 5.0) - 2.0).abs() < 1e-9, "{at}");
    }
}

/// What lies between chord and arc keeps the hole as it is: here an edge of the block 0.5 µm from the
/// middle of a side.
#[test]
fn a_hole_that_would_break_out_stays_flat() {
    let block = Solid::from(&shapes::cuboid(20.0, 10.0, 8.0));
    let flat = 3.0 * (PI / 48.0).cos();
    let brep = drilled(&block, &[&hole([flat + 0.000_5, 5.0], 6.0, [-1.0, 9.0])]);
    assert_eq!((brep.holes.all, brep.holes.true_round), (1, 0));
    assert!(rounds(&brep).is_empty());
    assert_eq!(brep.faces.len(), 6 + 48);
}

#[test]
fn a_curved_face_keeps_its_facets() {
    let ball = Solid::from(&shapes::ball(5.0, 12));
    let brep = drilled(&ball, &[]);
    assert!(brep.faces.len() > 50 && brep.bodies == 1);
    let open = Solid { facets: ball.facets[1..].to_vec(), ..ball };
    assert!(of_solid(&open, &[]).is_err());
}
