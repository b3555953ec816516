//! What heal makes of small solids with known volume and known damage.

use goodshot::geom::{Point, Vector};
use goodshot::mesh::heal::{
    BodyRole, DefectKind, HealSettings, Healed, RepairKind, heal,
};

type Soup = Vec<[Point; 3]>;

/// A box between two corners, outside out.
fn block(low: [f64; 3], high: [f64; 3]) -> Soup {
    let corner = |i: usize| {
        Point::from([0, 1, 2].map(|k| if i >> k & 1 == 1 { high[k] } else { low[k] }))
    };
    let quads = [
        [0, 2, 3, 1],
        [4, 5, 7, 6],
        [0, 1, 5, 4],
        [2, 6, 7, 3],
        [0, 4, 6, 2],
        [1, 3, 7, 5],
    ];
    quads
        .iter()
        .flat_map(|&[a, b, c, d]| [[a, b, c], [a, c, d]])
        .map(|facet| facet.map(corner))
        .collect()
}

fn cube(low: f64, high: f64) -> Soup {
    block([low; 3], [high; 3])
}

fn inverted(soup: Soup) -> Soup {
    soup.into_iter().map(|[a, b, c]| [a, c, b]).collect()
}

fn healed(soup: &[[Point; 3]]) -> Healed {
    heal(soup, HealSettings::default()).unwrap()
}

fn volume(part: &Healed) -> f64 {
    part.record.bodies.iter().filter_map(|body| body.volume_mm3).sum()
}

fn repairs(part: &Healed) -> Vec<(RepairKind, usize)> {
    part.record.repairs.iter().map(|repair| (repair.kind, repair.count)).collect()
}

#[test]
fn a_sound_box_is_left_alone() {
    let part = healed(&block([0.0; 3], [2.0, 3.0, 4.0]));
    assert!(
        part.closed && part.record.defects.is_empty() && part.record.repairs.is_empty()
    );
    assert_eq!((part.mesh.points().len(), part.mesh.facets().len()), (8, 12));
    assert!((volume(&part) - 24.0).abs() < 1e-12);
}

#[test]
fn a_part_inside_out_with_its_void_comes_out_right() {
    let hollow = [cube(0.0, 4.0), inverted(cube(1.0, 2.0))].concat();
    for soup in [hollow.clone(), inverted(hollow)] {
        let part = healed(&soup);
        assert!(part.closed);
        assert_eq!(
            [part.record.bodies[0].role, part.record.bodies[1].role],
            [BodyRole::Solid, BodyRole::Void]
        );
        assert!((volume(&part) - 63.0).abs() < 1e-12);
    }
    let turned = healed(&inverted(cube(0.0, 1.0)));
    assert_eq!(repairs(&turned), [(RepairKind::TurnBodies, 1)]);
    assert_eq!(turned.record.defects[0].kind, DefectKind::InsideOutBody);
}

#[test]
fn an_island_in_a_void_is_solid_and_a_solid_in_a_solid_is_reported() {
    let island = [cube(0.0, 9.0), inverted(cube(1.0, 8.0)), cube(3.0, 4.0)].concat();
    let part = healed(&island);
    assert_eq!(part.record.bodies[2].role, BodyRole::Solid);
    assert!(part.record.defects.is_empty());
    let part = healed(&[cube(0.0, 9.0), cube(3.0, 4.0), cube(20.0, 21.0)].concat());
    assert_eq!(part.record.bodies.len(), 2);
    let defect = part.record.defects[0];
    assert_eq!((defect.kind, defect.count, defect.left), (DefectKind::NestedBody, 1, 0));
    assert_eq!(defect.at, Some(Point::new(3.5, 3.5, 3.5)));
    assert_eq!(repairs(&part), [(RepairKind::UniteBodies, 1)]);
    assert!((part.record.repairs[0].volume_mm3.unwrap() - 1.0).abs() < 1e-9);
    assert!((volume(&part) - 730.0).abs() < 1e-9);
}

/// Volumes by inclusion and exclusion of boxes.
#[test]
fn solids_that_overlap_become_one() {
    let slab = |x: [f64; 2], y: [f64; 2], z: [f64; 2]| {
        block([x[0], y[0], z[0]], [x[1], y[1], z[1]])
    };
    let base = slab([0.0, 10.0], [0.0, 10.0], [0.0, 10.0]);
    for (other, volume_mm3, shared_mm3) in [
        // Through a corner, through a face with two sides flush, through and through.
        (slab([5.0, 15.0], [5.0, 15.0], [5.0, 15.0]), 1875.0, 125.0),
        (slab([5.0, 15.0], [2.0, 8.0], [0.0, 10.0]), 1300.0, 300.0),
        (slab([-5.0, 15.0], [4.0, 6.0], [4.0, 6.0]), 1040.0, 40.0),
    ] {
        let part = healed(&[base.clone(), other.clone()].concat());
        assert!(part.closed);
        assert_eq!(part.record.bodies.len(), 1);
        assert!((volume(&part) - volume_mm3).abs() < 1e-6, "{}", volume(&part));
        assert_eq!(repairs(&part), [(RepairKind::UniteBodies, 1)]);
        let twice = part.record.repairs[0].volume_mm3.unwrap();
        assert!((twice - shared_mm3).abs() < 1e-6, "{twice}");
        assert_eq!(part.record.defects[0].kind, DefectKind::OverlappingBody);
        assert_eq!(part.record.defects[0].left, 0);
    }
    // A chain of three, of which the first and the last do not meet, and one far away.
    let chain = [
        slab([0.0, 4.0], [0.0, 2.0], [0.0, 2.0]),
        slab([6.0, 10.0], [0.0, 2.0], [0.0, 2.0]),
        slab([3.0, 7.0], [0.5, 1.5], [0.5, 1.5]),
        slab([30.0, 31.0], [0.0, 1.0], [0.0, 1.0]),
    ];
    let part = healed(&chain.concat());
    assert_eq!(part.record.bodies.len(), 2);
    assert!((volume(&part) - (16.0 + 16.0 + 2.0 + 1.0)).abs() < 1e-9);
}

#[test]
fn solids_that_only_touch_stay_apart() {
    let flush = [cube(0.0, 1.0), block([1.0, 0.25, 0.25], [2.0, 0.75, 0.75])].concat();
    let part = healed(&flush);
    assert_eq!((part.record.bodies.len(), part.record.repairs.len()), (2, 0));
}

/// A bar that reaches into a hollow box fills its own share of the void.
#[test]
fn a_void_stays_where_no_solid_fills_it() {
    let hollow = [cube(0.0, 10.0), inverted(cube(2.0, 8.0))].concat();
    let bar = block([-5.0, 4.0, 4.0], [5.0, 6.0, 6.0]);
    let part = healed(&[hollow, bar].concat());
    // The bar adds 5 mm outside and 3 mm in the void.
    assert!(part.closed);
    assert!((volume(&part) - (1000.0 - 216.0 + 8.0 * 4.0)).abs() < 1e-6);
}

/// Corners on a line of the drawing, rounded to single precision, along which an exporter
/// wrote facets that the surface does not need.
#[test]
fn needles_of_rounded_corners_leave_a_volume() {
    let turn = nalgebra::Rotation3::from_euler_angles(0.3, 0.7, 0.2);
    let mut soup = block([0.0; 3], [20.0, 30.0, 7.0]);
    let sides: Vec<[Point; 2]> =
        soup.iter().flat_map(|&[a, b, c]| [[a, b], [b, c], [c, a]]).collect();
    for (index, [from, to]) in sides.iter().cycle().take(37).enumerate() {
        let share = 0.3 + 0.01 * index as f64;
        soup.push([*from, from + (to - from) * share, *to]);
    }
    for corner in soup.iter_mut().flatten() {
        *corner = (turn * *corner).map(|x| f64::from(x as f32));
    }
    let flat =
        soup[12..].iter().filter(|[a, b, c]| (b - a).cross(&(c - a)) == Vector::zeros());
    assert!(flat.count() < 37, "all of them are flat to the last bit");
    let part = healed(&soup);
    assert!(part.closed, "{:?}", part.record.defects);
    assert!((volume(&part) / 4200.0 - 1.0).abs() < 1e-6);
    assert_eq!(part.record.defects[0].kind, DefectKind::DegenerateFacet);
    assert_eq!(part.record.defects[0].count, 37);
}

#[test]
fn a_wall_without_thickness_between_two_boxes_goes() {
    let soup =
        [block([0.0; 3], [1.0; 3]), inverted_mirror(block([0.0; 3], [1.0; 3]))].concat();
    let part = healed(&soup);
    assert_eq!((part.record.bodies.len(), part.mesh.facets().len()), (1, 20));
    assert!(part.closed && (volume(&part) - 2.0).abs() < 1e-12);
    assert_eq!(repairs(&part), [(RepairKind::DropDuplicateFacets, 4)]);
}

/// The box on the other side of x = 0, with the same diagonals.
fn inverted_mirror(soup: Soup) -> Soup {
    let mirror = |p: Point| Point::new(-p.x, p.y, p.z);
    inverted(soup.into_iter().map(|facet| facet.map(mirror)).collect())
}

#[test]
fn boxes_that_touch_along_an_edge_stay_two_and_closed() {
    let soup =
        [block([0.0; 3], [1.0; 3]), block([1.0, 1.0, 0.0], [2.0, 2.0, 1.0])].concat();
    let part = healed(&soup);
    assert!(part.closed);
    assert_eq!(part.record.bodies.len(), 2);
    assert_eq!(
        (part.record.defects[0].kind, part.record.defects[0].left),
        (DefectKind::NonManifoldEdge, 1)
    );
}

#[test]
fn corners_that_differ_by_rounding_join_and_gaps_do_not() {
    let mut soup = cube(0.0, 10.0);
    soup[0][0].x += 1e-6;
    soup[3][2].z -= 1e-6;
    let part = healed(&soup);
    assert!(part.closed);
    assert_eq!(repairs(&part), [(RepairKind::MergeCorners, 2)]);
    soup[0][0].x += 0.01;
    let part = healed(&soup);
    assert!(!part.closed && !part.record.holes.is_empty());
}

#[test]
fn a_stray_facet_far_away_does_not_melt_the_part() {
    // Seen from the stray facet the open box is smaller than the tolerance for rounding.
    let mut soup = cube(0.0, 1.0);
    soup.remove(0);
    soup.push([[1e6, 0.0, 0.0], [1e6, 1e6, 0.0], [1e6, 0.0, 1e6]].map(Point::from));
    let part = healed(&soup);
    assert_eq!((part.mesh.facets().len(), part.record.holes.len()), (12, 2));
    assert!(part.record.repairs.is_empty());
}

#[test]
fn a_missing_facet_is_a_hole_with_place_and_perimeter() {
    let mut soup = block([0.0; 3], [3.0, 4.0, 10.0]);
    soup.remove(0);
    let part = healed(&soup);
    assert!(!part.closed);
    assert_eq!(part.record.bodies[0].volume_mm3, None);
    assert_eq!((part.record.holes.len(), part.record.holes[0].edges), (1, 3));
    assert!((part.record.holes[0].perimeter_mm - 12.0).abs() < 1e-12);
    assert!(part.record.holes[0].at.z.abs() < 1e-12);
    // Twelve millimeters are not small on a part of eleven.
    let input = heal(&soup, HealSettings { close_holes: true }).unwrap();
    assert!(!input.closed);
}

#[test]
fn small_flat_holes_and_slits_close_where_asked() {
    // A box whose top has one corner cut into a small facet, which is missing.
    let mut soup = cube(0.0, 10.0);
    let top: Vec<usize> =
        (0..soup.len()).filter(|&i| soup[i].iter().all(|p| p.z > 9.0)).collect();
    let [a, b, c] = soup[top[0]];
    let middle = Point::from((a.coords + b.coords + c.coords) / 3.0);
    let near = |p: Point| middle + (p - middle) * 0.05;
    let inner = [a, b, c].map(near);
    let ring = [
        ([a, b], [inner[0], inner[1]]),
        ([b, c], [inner[1], inner[2]]),
        ([c, a], [inner[2], inner[0]]),
    ];
    soup.remove(top[0]);
    for ([from, to], [near_from, near_to]) in ring {
        soup.extend([[from, to, near_to], [from, near_to, near_from]]);
    }
    // And one side is split along an edge that its neighbor knows nothing of.
    let [p, q, r] = soup[0];
    let half = nalgebra::center(&p, &q);
    soup.splice(0..1, [[p, half, r], [half, q, r]]);
    assert_eq!(healed(&soup).record.holes.len(), 2);
    let part = heal(&soup, HealSettings { close_holes: true }).unwrap();
    assert!(part.closed && (volume(&part) - 1000.0).abs() < 1e-9);
    assert_eq!(repairs(&part), [(RepairKind::CloseHoles, 2)]);
}

#[test]
fn flipped_and_doubled_facets_are_mended() {
    let mut soup = cube(0.0, 1.0);
    soup[5].swap(0, 1);
    soup.push(soup[7]);
    soup.push([soup[2][0]; 3]);
    let part = healed(&soup);
    assert!(part.closed && (volume(&part) - 1.0).abs() < 1e-12);
    let done = [
        (RepairKind::DropDegenerateFacets, 1),
        (RepairKind::DropDuplicateFacets, 1),
        (RepairKind::TurnFacets, 1),
    ];
    assert_eq!(repairs(&part), done);
}

#[test]
fn a_part_far_away_heals_the_same() {
    let there = Vector::new(1e5, -2e5, 3e5);
    let soup = [cube(0.0, 4.0), inverted(cube(1.0, 2.0))].concat();
    let far: Soup = soup.iter().map(|facet| facet.map(|p| p + there)).collect();
    assert!((volume(&healed(&far)) - 63.0).abs() < 1e-9);
}
