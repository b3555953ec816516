//! What cutters leave of the halves of whole parts: corners and slots whose answer is known,
//! and the same part turned, moved and cut into other facets.

use std::fmt::Write;

use goodshot::geom::{Direction, Point};
use goodshot::mesh::{TriMesh, shapes};
use goodshot::mold::milling::CutterList;
use goodshot::mold::milling::closing::{Profile, closed};
use goodshot::mold::milling::cutter::{Cutter, Kind};
use goodshot::mold::milling::grid::NoHalves;
use goodshot::mold::milling::height_field::Field;
use goodshot::mold::milling::outcome::{self, CellSize, Cure, MillingOutcome};

use goodshot::part::halves::Half;
use goodshot::part::parting::{self, Parting};

use super::common::{Noise, Part, direction, moved, near, prism, turned};

const CELL: f64 = 0.1;

/// A cutter that is long enough for everything here.
fn cutter(kind: Kind, diameter: f64) -> Cutter {
    Cutter {
        name: format!("{diameter} mm {}", kind.name()),
        kind,
        diameter,
        corner: if kind == Kind::Ball { diameter / 2.0 } else { 0.0 },
        taper: 0.0,
        flute: 40.0,
        reach: 60.0,
        shank: diameter,
        stickout: 60.0,
        holder: 20.0,
        feed: None,
    }
}

fn try_milled(
    mesh: &TriMesh,
    list: &[Cutter],
    pull: Direction,
) -> Result<MillingOutcome, NoHalves> {
    let part = Part::new(mesh.clone(), true, 500);
    let parting = parting::find(&part, pull, Half::Minus);
    outcome::simulate(mesh, &parting, pull, list, CellSize::Edge(CELL))
}

fn outcome(mesh: &TriMesh, list: &[Cutter]) -> MillingOutcome {
    try_milled(mesh, list, Direction::Z).unwrap()
}

/// A plate of 30 × 20 × 2 with a rib of `wide` along its middle, 5 high.
fn ribbed(wide: f64) -> TriMesh {
    let y = [0.0, 10.0 - wide / 2.0, 10.0 + wide / 2.0, 20.0];
    shapes::blocks([&[0.0, 30.0], &y, &[0.0, 2.0, 7.0]], |_, j, k| k == 0 || j == 1)
}

/// Four corners of a box, cut with R = 3 from its own half: R (√2 − 1) = 1.24264 mm left,
/// R² (1 − π/4) = 1.93142 mm² in plan, over the whole height of 8.
#[test]
fn corners_of_a_box() {
    let seen = outcome(&shapes::cuboid(30.0, 20.0, 8.0), &[cutter(Kind::Flat, 6.0)]);
    assert_eq!(seen.unreached.len(), 4, "{:?}", seen.unreached);
    for place in &seen.unreached {
        near(place.left, 1.24264, CELL);
        near(place.area, 1.93142, 6.0 * CELL * 0.5);
        near(place.depth, 8.0, 1e-9);
        near(place.volume / place.area, 8.0, 1e-9);
        near(place.wall[0], 8.0, 1e-9);
        near(place.radius, 3.0, 1e-12);
        assert!(!place.on_parting);
        assert!(matches!(place.cure, Cure::Insert | Cure::Narrower { .. }), "{place:?}");
    }
    // What comes out is the box without its four edges.
    near(seen.lost, 4.0 * 1.93142 * 8.0, 4.0 * 8.0 * 0.3);
}

/// A hexagon has corners of 120°: R (1/sin 60° − 1) = 0.1547 R.
#[test]
fn wide_corners_leave_less() {
    let corner = |i: u32| {
        let angle = f64::from(i) * std::f64::consts::FRAC_PI_3 + 0.1;
        [12.0 * angle.cos(), 12.0 * angle.sin()]
    };
    let outline: Vec<[f64; 2]> = (0..6).map(corner).collect();
    let seen = outcome(&prism(&outline, 6.0), &[cutter(Kind::Flat, 8.0)]);
    assert_eq!(seen.unreached.len(), 6);
    for place in &seen.unreached {
        near(place.left, 4.0 * 0.1547, CELL);
    }
}

/// A rib of 1.5 mm is a slot in the metal: 2 mm does not enter it and leaves all of its 5 mm,
/// 1.5 mm does. What would is found.
#[test]
fn a_slot_narrower_than_the_cutter() {
    let two = cutter(Kind::Flat, 2.0);
    let seen = outcome(&ribbed(1.5), std::slice::from_ref(&two));
    let slot = &seen.unreached[0];
    near(slot.left, 5.0, 1e-9);
    // Both ends of the slot are at corners of the plan.
    near(slot.area, 1.5 * 30.0, 30.0 * CELL + 0.1);
    near(slot.wall[0], 7.0, 1e-9);
    near(slot.wall[1], 2.0, 1e-9);
    assert_eq!(slot.half, Half::Plus);
    match slot.cure {
        Cure::Narrower { radius, reach } => {
            assert!(radius <= 0.75 + CELL && radius > 0.5, "{radius}");
            near(reach, slot.depth, 1e-12);
            assert!((5.0..=7.1).contains(&reach), "{reach}");
        }
        ref other => panic!("{other:?}"),
    }
    let seen = outcome(&ribbed(1.5), &[two, cutter(Kind::Flat, 1.5)]);
    assert!(seen.unreached.iter().all(|place| place.left < 0.75), "{:?}", seen.unreached);
    assert!(seen.uses.iter().all(|it| it.needed));
}

/// The same cutter with a shank too thick or a reach too short stays out, and the cure says so.
#[test]
fn a_short_cutter_does_not_reach() {
    let short = Cutter { flute: 3.0, reach: 3.0, shank: 3.0, ..cutter(Kind::Flat, 1.5) };
    let seen = outcome(&ribbed(1.6), &[cutter(Kind::Flat, 4.0), short]);
    let slot = &seen.unreached[0];
    near(slot.left, 2.0, 0.2);
    assert_eq!(slot.cure, Cure::Longer { cutter: 1, reach: slot.depth });
    // A holder that comes down on the plate keeps its tip off the floor by the rest.
    let stub =
        Cutter { stickout: 4.0, reach: 4.0, flute: 4.0, ..cutter(Kind::Flat, 6.0) };
    let seen = outcome(&shapes::cuboid(30.0, 20.0, 8.0), &[stub]);
    // Thickest in a corner of the plan, which is rounded as well: √(4² + 1.24264²).
    near(seen.unreached[0].left, 4.18860, CELL);
}

/// A dome is convex for its half, a cylinder round in plan: nothing is left of either, in any
/// pose.
#[test]
fn what_is_round_is_cut_clean() {
    let cone = shapes::cone(10.0, 8.0, 6.0, 180);
    for angle in [0.0, 7.0, 31.0] {
        let seen =
            outcome(&turned(&cone, Direction::Z, angle), &[cutter(Kind::Flat, 6.0)]);
        assert!(seen.unreached.is_empty(), "{angle}: {:?}", seen.unreached);
        assert!(seen.lost < 1e-9);
    }
    // A ball leaves the sharp foot of the pocket, R (√2 − 1) for upright walls.
    let seen = outcome(&shapes::cone(10.0, 10.0, 6.0, 180), &[cutter(Kind::Ball, 6.0)]);
    near(seen.unreached[0].left, 1.24264, CELL);
}

/// Turned about the pull, moved far away, in other facets and another order, the corners of a
/// box keep their metal within a cell.
#[test]
fn only_the_shape_matters() {
    let block = shapes::cuboid(30.0, 20.0, 8.0);
    let list = [cutter(Kind::Flat, 6.0)];
    let poses = [
        turned(&block, Direction::Z, 17.0),
        turned(&block, Direction::Z, 45.0),
        moved(&block, [1e4, -2e4, 5e3]),
        shapes::shuffle(&shapes::split(&block, 2)),
    ];
    for mesh in poses {
        let seen = outcome(&mesh, &list);
        assert_eq!(seen.unreached.len(), 4, "{:?}", seen.unreached);
        for place in &seen.unreached {
            near(place.left, 1.24264, 1.5 * CELL);
            near(place.depth, 8.0, 1e-3);
        }
    }
    let axis = direction(1.0, 0.0, 0.0);
    let lying = turned(&block, axis, 90.0);
    let seen = try_milled(&lying, &list, direction(0.0, -1.0, 0.0)).unwrap();
    assert_eq!(seen.unreached.len(), 4);
}

/// Without a parting line, or on cells that no memory holds, the answer is a reason.
/// Places of metal with their half and whether they keep the halves apart.
fn left(part: &Part, parting: &Parting, cell: f64) -> MillingOutcome {
    let list = CutterList::builtin().unwrap().cutters;
    let size = CellSize::Edge(cell);
    outcome::simulate(&part.mesh, parting, Direction::Z, &list, size).unwrap()
}

/// What a coarse grid reports is there on one of half the cell: a tray with sharp corners along
/// the grid and askew of it, and narrow ribs.
#[test]
fn what_is_reported_survives_half_the_cell() {
    let askew = nalgebra::Rotation3::from_euler_angles(0.0, 0.0, 17_f64.to_radians());
    let tray = shapes::tray([40.0, 30.0, 12.0], 2.0);
    let turned_tray = tray.map_points(|point| askew * point);
    let mut seen = 0;
    for mesh in [tray, turned_tray, ribbed(0.8)] {
        let part = Part::new(mesh, true, 500);
        let parting = parting::find(&part, Direction::Z, Half::Minus);
        let [coarse, fine] = [0.16, 0.08].map(|cell| left(&part, &parting, cell));
        let area = |outcome: &MillingOutcome, half: Half| outcome.left_in(half);
        for place in &coarse.unreached {
            seen += 1;
            let is_there = |other: &outcome::Unreached| {
                let on = [other.half == place.half, other.on_parting == place.on_parting];
                let near = (other.at - place.at).norm() < 2.0 * place.radius.max(1.0);
                // Along a slot any place may be the worst, and a cell more or less joins or parts
                // what lies there.
                let joined =
                    other.left > place.left - 0.32 && other.area > 0.9 * place.area;
                on == [true; 2] && (near || joined)
            };
            assert!(
                fine.unreached.iter().any(is_there),
                "{place:?} {:?}",
                fine.unreached
            );
        }
        for half in [Half::Plus, Half::Minus] {
            assert!(area(&coarse, half) <= 1.5 * area(&fine, half) + 1.0);
        }
    }
    assert!(seen > 4, "{seen}");
}

#[test]
fn what_cannot_be_known_says_why() {
    let block = shapes::cuboid(30.0, 20.0, 8.0);
    let list = CutterList::builtin().unwrap().cutters;
    let (nothing, size) = (Parting::default(), CellSize::Edge(CELL));
    let error =
        outcome::simulate(&block, &nothing, Direction::Z, &list, size).unwrap_err();
    assert_eq!(error, NoHalves::NoParting);
    let huge = shapes::cuboid(9000.0, 9000.0, 5.0);
    let error = try_milled(&huge, &list, Direction::Z).unwrap_err().to_string();
    assert!(error.contains("--mill-cell"), "{error}");
    // One facet less: the line is open, and yet known.
    let open = TriMesh::new(block.points().to_vec(), block.facets()[1..].to_vec());
    assert!(try_milled(&open, &list, Direction::Z).is_ok());
}

/// Every cell in the projected area is as far apart in both halves as the part is thick there.
#[test]
fn the_gap_between_the_halves_is_the_part() {
    let seen = outcome(&ribbed(2.0), &[cutter(Kind::Flat, 1.0)]);
    let area = CELL * CELL;
    let volume: f64 =
        (0..seen.halves.filled.len()).map(|cell| seen.wall(cell)[0] * area).sum();
    near(volume, 30.0 * 20.0 * 2.0 + 30.0 * 2.0 * 5.0, 1e-6);
    let at = seen.halves.point(Half::Plus, 0, 0.0);
    assert!((at - Point::origin()).norm().is_finite());
}

/// The fields that the outside check closes again, with another library.
#[test]
fn writes_fields_for_another_library() {
    let mut noise = Noise(5);
    let size = [61, 47];
    let values = (0..size[0] * size[1]).map(|_| 3.0 * noise.unit()).collect();
    let field = Field { size, values };
    let bull = Cutter { kind: Kind::Bull, corner: 0.4, ..cutter(Kind::Flat, 1.6) };
    let taper = Cutter {
        kind: Kind::Tapered,
        corner: 0.25,
        taper: 0.12,
        flute: 8.0,
        shank: 4.0,
        ..cutter(Kind::Flat, 0.5)
    };
    let cutters = [cutter(Kind::Flat, 1.5), cutter(Kind::Ball, 1.3), bull, taper];
    let mut text =
        format!("{{\"size\": {size:?}, \"field\": {:?}, \"cutters\": [", field.values);
    for (index, cutter) in cutters.iter().enumerate() {
        let by = Profile::rasterize(cutter, CELL);
        let offsets: Vec<[f64; 3]> = by
            .all()
            .into_iter()
            .map(|([dx, dy], rise)| [f64::from(dx), f64::from(dy), rise])
            .collect();
        let comma = if index > 0 { ", " } else { "" };
        write!(
            text,
            "{comma}{{\"name\": {:?}, \"offsets\": {offsets:?}, \"closed\": {:?}}}",
            cutter.name,
            closed(&field, &by).values
        )
        .unwrap();
    }
    text.push_str("]}");
    let path = concat!(env!("CARGO_TARGET_TMPDIR"), "/milling_fields.json");
    std::fs::write(path, text).unwrap();
}
