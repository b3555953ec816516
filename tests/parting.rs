//! The parting line of solids whose answer can be drawn by hand.

use goodshot::geom::{Direction, Point, Vector};
use goodshot::mesh::{TriMesh, shapes};
use goodshot::part::Part;
use goodshot::part::halves::Half;

use goodshot::part::parting::{self, Parting};
use nalgebra::{Rotation3, Unit};

fn part_along(mesh: &TriMesh, pull: Direction, core: Half) -> Parting {
    let parting = parting::find(&Part::new(mesh.clone(), true, 0), pull, core);
    assert!(parting.loops.iter().all(|line| line.is_closed && line.points.len() > 2));
    parting
}

fn upright(mesh: &TriMesh) -> Parting {
    part_along(mesh, Direction::Z, Half::Minus)
}

/// The same solid in other poses and other triangles parts the same; heights are taken
/// from the pose; `height` is that in the first pose.
fn check(
    mesh: &TriMesh,
    core: Half,
    rise: f64,
    length: f64,
    shut_offs: usize,
    height: Option<f64>,
) {
    let axis = Unit::new_normalize(Vector::new(0.3, -1.0, 0.7));
    let turn = Rotation3::from_axis_angle(&axis, 1.1);
    let away = Vector::new(4000.0, -7000.0, 2500.0);
    let turned = mesh.map_points(|point| turn * point);
    let far = mesh.map_points(|point| point + away);
    let pull = Direction::new(turn * Vector::z()).unwrap();
    let up = |point: &TriMesh| (point.clone(), Direction::Z, 0.0);
    let poses = [
        up(mesh),
        up(&shapes::split(mesh, 2)),
        up(&shapes::shuffle(mesh)),
        (turned, pull, 0.0),
        (far, Direction::Z, away.z),
    ];
    for (pose, (mesh, pull, moved)) in poses.iter().enumerate() {
        let found = part_along(mesh, *pull, core);
        let close = |a: f64, b: f64| (a - b).abs() < 1e-6 * b.abs().max(1.0);
        assert!(close(found.rise.unwrap(), rise), "{pose}: rise {:?}", found.rise);
        assert_eq!(found.flat, rise <= 0.0, "{pose}");
        assert!(close(found.length, length), "{pose}: {} {length}", found.length);
        assert_eq!(found.shut_offs.len(), shut_offs, "{pose}");
        let at = found.height.map(|height| height - moved);
        assert_eq!(at.is_some(), height.is_some(), "{pose}");
        assert!(at.zip(height).is_none_or(|(a, b)| close(a, b)), "{pose}: {at:?}");
    }
}

/// Perimeter of a regular polygon within a circle.
fn around(radius: f64, steps: usize) -> f64 {
    let half = std::f64::consts::PI / steps as f64;
    2.0 * radius * steps as f64 * half.sin()
}

#[test]
fn a_drafted_cup_parts_at_its_rim() {
    let cup = shapes::cup(20.0, 30.0, 2.0, 2.0, 48);
    let rim = 20.0 + 30.0 * 2.0_f64.to_radians().tan();
    check(&cup, Half::Plus, 0.0, around(rim, 48), 0, Some(30.0));
}

#[test]
fn upright_walls_go_to_the_cavity() {
    let mesh = shapes::cuboid(30.0, 20.0, 10.0);
    check(&mesh, Half::Minus, 0.0, 100.0, 0, Some(0.0));
    check(&mesh, Half::Plus, 0.0, 100.0, 0, Some(10.0));
    let tray = shapes::tray([30.0, 20.0, 10.0], 2.0);
    check(&tray, Half::Plus, 0.0, 100.0, 0, Some(10.0));
}

#[test]
fn a_ring_parts_at_mid_height_and_shuts_off_inside() {
    let mesh = shapes::torus(20.0, 5.0, 48);
    let both = around(25.0, 48) + around(15.0, 48);
    check(&mesh, Half::Minus, 0.0, both, 1, Some(0.0));
    let found = upright(&mesh);
    let hole = &found.shut_offs[0];
    let area = 24.0 * 225.0 * (std::f64::consts::TAU / 48.0).sin();
    assert!((hole.area - area).abs() < 1e-6, "{} {area}", hole.area);
    assert!(hole.height.abs() < 1e-9 && hole.at.coords.norm() < 1e-9);
    assert!(found.loops[0].is_outer && !found.loops[1].is_outer);
}

/// An S in profile: its left end is 4 below its right end at top and bottom, so that
/// upright walls at the ends do not share a height.
fn stepped() -> TriMesh {
    let xs = [0.0, 10.0, 14.0, 24.0];
    shapes::blocks([&xs, &[0.0, 8.0], &[0.0, 3.0, 5.0, 8.0]], |i, _, k| match i {
        0 => k == 0,
        1 => true,
        _ => k == 2,
    })
}

#[test]
fn a_stepped_part_rises_by_what_it_must() {
    // The left plate ends at 3, the right one begins at 5: the plane stands at one of
    // them, and the line climbs the other 2.
    let found = upright(&stepped());
    assert!(!found.flat && found.height.is_none());
    assert!((found.rise.unwrap() - 2.0).abs() < 1e-9, "{:?}", found.rise);
    check(&stepped(), Half::Minus, 2.0, found.length, 0, None);
    // Both long sides climb once.
    assert!((found.length - (2.0 * (24.0 + 8.0) + 4.0)).abs() < 1e-9);
    assert_eq!(found.loops.len(), 1);
}

#[test]
fn an_overhang_that_shares_a_height_parts_flat() {
    // An L: its underside is at 0 and at 5, and all walls reach from 5 to 10.
    let steps: [&[f64]; 3] = [&[0.0, 10.0, 20.0], &[0.0, 8.0], &[0.0, 5.0, 10.0]];
    let mesh = shapes::blocks(steps, |i, _, k| i == 0 || k == 1);
    check(&mesh, Half::Minus, 0.0, 56.0, 0, Some(5.0));
    check(&mesh, Half::Plus, 0.0, 56.0, 0, Some(10.0));
}

#[test]
fn through_holes_are_shut_offs_and_blind_ones_not() {
    let xs = [0.0, 5.0, 9.0, 14.0, 18.0, 24.0, 27.0, 30.0];
    let steps: [&[f64]; 3] = [&xs, &[0.0, 5.0, 8.0, 14.0], &[0.0, 2.0, 4.0]];
    let mesh = shapes::blocks(steps, |i, j, k| {
        let blind = i == 5 && k == 1;
        !(j == 1 && (i == 1 || i == 3 || blind))
    });
    check(&mesh, Half::Minus, 0.0, 88.0 + 2.0 * 14.0, 2, Some(0.0));
    for (hole, x) in upright(&mesh).shut_offs.iter().zip([7.0, 16.0]) {
        assert!((hole.area - 12.0).abs() < 1e-9 && hole.wall_deg < 1e-6);
        // The pin's end butts on the other half.
        assert!((hole.angle_deg - 90.0).abs() < 1e-9 && hole.rise < 1e-9);
        assert!((hole.at - Point::new(x, 6.5, 0.0)).norm() < 1e-9, "{}", hole.at);
    }
}

#[test]
fn a_tapered_hole_shuts_off_at_its_narrow_end() {
    let narrow = 5.0;
    let wide = narrow + 10.0 * 3.0_f64.to_radians().tan();
    let outline = [[narrow, 0.0], [20.0, 0.0], [20.0, 10.0], [wide, 10.0]];
    let found = part_along(&shapes::revolve(&outline, 60), Direction::Z, Half::Plus);
    let hole = &found.shut_offs[0];
    assert!(hole.height.abs() < 1e-9);
    // The facets of a cone stand steeper than it by the cosine of half a step, squared.
    assert!((hole.wall_deg - 3.0).abs() < 0.02, "{}", hole.wall_deg);
    assert!((hole.angle_deg - 90.0).abs() < 1e-9);
    // The outer wall is upright and could part at 10; at 0 one plane holds both lines.
    assert!(found.height.unwrap().abs() < 1e-9, "{:?}", found.height);
}

#[test]
fn a_tilted_box_parts_along_six_edges() {
    let mesh = shapes::cuboid(30.0, 20.0, 10.0);
    let pull = Direction::new(Vector::new(0.2, 0.3, 1.0)).unwrap();
    let found = part_along(&mesh, pull, Half::Minus);
    // Of a convex body the line is where faces turn away: all but the corners (0, 0, 0)
    // and (30, 20, 10), and twice every edge.
    assert!((found.length - 120.0).abs() < 1e-9 && found.loops[0].points.len() == 6);
    let [x, y, z] = [30.0 * 0.2, 20.0 * 0.3, 10.0].map(|at| at / 1.13_f64.sqrt());
    let heights = [x, x + y, y, y + z, z, x + z];
    let spread = heights.iter().copied().fold(f64::NEG_INFINITY, f64::max)
        - heights.iter().copied().fold(f64::INFINITY, f64::min);
    assert!((found.rise.unwrap() - spread).abs() < 1e-9, "{:?} {spread}", found.rise);
}

#[test]
fn a_coarse_ball_parts_in_one_flat_line_whatever_its_pose() {
    for (around, vector) in
        [(12, [0.0, 0.0, 1.0]), (16, [1.0, 2.0, 0.5]), (40, [3.0, 1.0, 2.0])]
    {
        let mesh = shapes::ball(10.0, around);
        let pull = Direction::new(Vector::from(vector)).unwrap();
        let found = part_along(&mesh, pull, Half::Minus);
        assert_eq!((found.loops.len(), found.shut_offs.len()), (1, 0), "{around}");
        assert!(found.flat, "{around}: {:?}", found.rise);
        let facet = 10.0 * std::f64::consts::TAU / f64::from(around as u32);
        assert!(found.height.unwrap().abs() < facet / 2.0, "{:?}", found.height);
        let line = &found.loops[0];
        assert!(line.height_low > -facet && line.height_high < facet);
    }
}

#[test]
fn a_side_hole_and_a_void_add_no_line() {
    let steps: [&[f64]; 3] =
        [&[0.0, 30.0], &[0.0, 8.0, 12.0, 20.0], &[0.0, 3.0, 7.0, 10.0]];
    let side_hole = shapes::blocks(steps, |_, j, k| j != 1 || k != 1);
    let found = upright(&side_hole);
    assert_eq!((found.loops.len(), found.flat), (1, true));
    assert!((found.length - 100.0).abs() < 1e-9);
    let steps: [&[f64]; 3] =
        [&[0.0, 9.0, 21.0, 30.0], &[0.0, 8.0, 12.0, 20.0], &[0.0, 3.0, 7.0, 10.0]];
    let hollow = shapes::blocks(steps, |i, j, k| i != 1 || j != 1 || k != 1);
    let found = upright(&hollow);
    assert_eq!((found.loops.len(), found.shut_offs.len()), (1, 0));
}

#[test]
fn open_surfaces_and_nothing_do_not_panic() {
    let ball = shapes::ball(10.0, 16);
    for count in [0, 1, 7, ball.facets().len() - 3] {
        let mesh = TriMesh::new(ball.points().to_vec(), ball.facets()[..count].to_vec());
        let part = Part::new(mesh, false, 0);
        let found = parting::find(&part, Direction::Z, Half::Plus);
        assert!(found.length.is_finite() && found.rise.is_none_or(f64::is_finite));
        assert_eq!(found.loops.is_empty(), count < 8);
    }
}

#[test]
fn twisted_facets_of_an_upright_bore_part_in_one_line() {
    // The upper ring of corners stands half a step on, so that every second facet of the
    // bore leans up and every other down by 1.2°, as far as a chord is off the circle.
    let half = std::f64::consts::PI / 60.0;
    let turn = Rotation3::from_axis_angle(&Vector::z_axis(), half);
    let mesh = shapes::tube(15.0, 20.0, 2.0, 60)
        .map_points(|point| if point.z > 1.0 { turn * point } else { *point });
    check(&mesh, Half::Minus, 0.0, around(20.0, 60) + around(15.0, 60), 1, Some(0.0));
}
