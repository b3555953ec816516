//! Pins on trays, lids and rims whose places are known.

use crate::geom::{Direction, Point, Vector};
use crate::mesh::{TriMesh, shapes};
use crate::part::Part;
use crate::part::core_half;
use crate::part::draft::{Formed, sides};
use crate::part::ejector_pin_sites::{
    KeptOff, METAL_MM, PinSites, Room, SQUARE_DEG, Wanted, gripped,
};
use crate::part::halves::{Half, Side};
use crate::part::undercut::Release;

fn pads(mesh: &TriMesh, pull: Direction, wanted: Wanted) -> (PinSites, Half) {
    let part = Part::new(mesh.clone(), true, 6000);
    let release = Release::along(&part.bvh, &part.samples, pull);
    let core = core_half::find(&part.bvh, &part.samples, &release, pull);
    let sides = sides(&part.samples, &release, pull, core);
    let formed = Formed { pull, core, sides: &sides, parted: None };
    (Room::find(&part, formed, &gripped(&part, formed), &[], &wanted).best(&wanted), core)
}

fn wanted(diameter: f64, count: u32) -> Wanted {
    let (least_metal, most_lean_deg) = (METAL_MM, SQUARE_DEG);
    Wanted { diameter, count, least_wall: 1.0, least_metal, most_lean_deg }
}

/// A tray of 40 × 30 × 12 with walls of 2 mm, open to +z: four pins of 4 mm stand whole
/// on the floor at z = 2, in its corners, with metal between their holes and the flanks of the
/// core, and balance about its middle.
#[test]
fn four_pins_stand_in_the_corners_of_a_tray() {
    let mesh = shapes::tray([40.0, 30.0, 12.0], 2.0);
    let (pads, core) = pads(&mesh, Direction::Z, wanted(4.0, 4));
    assert_eq!(core, Half::Plus);
    assert_eq!(pads.list.len(), 4);
    for pad in &pads.list {
        assert!((pad.at.z - 2.0).abs() < 1e-6 && (pad.wall - 2.0).abs() < 1e-6);
        let room = 2.0 + METAL_MM;
        let [x, y] = [pad.at.x, pad.at.y];
        assert!(x >= 2.0 + room - 0.1 && x <= 38.0 - room + 0.1, "{}", pad.at);
        assert!(y >= 2.0 + room - 0.1 && y <= 28.0 - room + 0.1, "{}", pad.at);
        // Near both walls of a corner.
        assert!((x - 20.0).abs() > 10.0 && (y - 15.0).abs() > 6.0, "{}", pad.at);
        assert!(pad.to_grip.unwrap() < 5.0);
    }
    assert!((pads.middle - Point::new(20.0, 15.0, 7.0)).xy().norm() < 0.5);
    assert!(pads.off.unwrap() < 1.5, "{:?}", pads.off);
}

/// A lid (the tray upside down) has its core on the − side, and the pins push up on the
/// underside; the same part turned on its side gives the same pins.
#[test]
fn a_lid_is_pushed_from_below_and_a_turn_changes_nothing() {
    let tray = shapes::tray([40.0, 30.0, 12.0], 2.0);
    let lid = tray.map_points(|p| Point::new(p.x, 30.0 - p.y, 12.0 - p.z));
    let (found, core) = pads(&lid, Direction::Z, wanted(4.0, 4));
    assert_eq!((core, found.list.len()), (Half::Minus, 4));
    assert!(found.list.iter().all(|pad| (pad.at.z - 10.0).abs() < 1e-6));
    let turned = lid.map_points(|p| Point::new(p.y, p.z, p.x));
    let along = Direction::new(Vector::new(0.0, 1.0, 0.0)).unwrap();
    let (turned, _) = pads(&turned, along, wanted(4.0, 4));
    assert_eq!(turned.list.len(), 4);
    assert!(turned.off.unwrap() < 1.5);
}

/// A drafted cup: three pins near its wall, a third of the way round each, on the floor.
#[test]
fn three_pins_spread_around_a_cup() {
    let mesh = shapes::cup(20.0, 25.0, 2.0, 1.0, 96);
    let (pads, _) = pads(&mesh, Direction::Z, wanted(5.0, 3));
    assert_eq!(pads.list.len(), 3);
    for pad in &pads.list {
        let radius = pad.at.x.hypot(pad.at.y);
        assert!(radius > 10.0 && radius + 2.5 < 18.0 + 1e-6, "{radius}");
        assert!((pad.at.z - 2.0).abs() < 1e-6);
    }
    assert!(pads.off.unwrap() < 2.0, "{:?}", pads.off);
    assert!(pads.middle.xy().coords.norm() < 0.3);
}

/// A floor with a square hole in its middle: a single pin, which would like to stand
/// there, stands whole beside it; a floor thinner than asked for has no place.
#[test]
fn no_pin_over_a_hole_or_on_a_thin_floor() {
    let (x, y) = ([0.0, 2.0, 16.0, 24.0, 38.0, 40.0], [0.0, 2.0, 11.0, 19.0, 28.0, 30.0]);
    let steps: [&[f64]; 3] = [&x, &y, &[0.0, 2.0, 12.0]];
    let mesh = shapes::blocks(steps, |i, j, k| {
        let wall = i == 0 || i == 4 || j == 0 || j == 4;
        wall || (k == 0 && !(i == 2 && j == 2))
    });
    let (found, _) = pads(&mesh, Direction::Z, wanted(3.0, 1));
    let at = found.list[0].at;
    let beside = (at.x - 20.0).abs().max((at.y - 15.0).abs());
    assert!((4.0 + 1.5..7.5).contains(&beside), "{at}");
    let thick = Wanted { least_wall: 2.5, ..wanted(3.0, 4) };
    let (none, _) = pads(&mesh, Direction::Z, thick);
    assert!(none.list.iter().all(|pad| pad.wall >= 2.5));
    // Only the rim at z = 12 is that thick, and 2 mm of rim hold no pin of 3 mm.
    assert_eq!((none.list.len(), none.off), (0, None));
    // Above the rim the plate is whole: the core hangs down from it.
    let (rim, _) = pads(&mesh, Direction::Z, Wanted { diameter: 1.4, ..thick });
    assert!(
        rim.list.len() == 4 && rim.list.iter().all(|pad| (pad.at.z - 12.0).abs() < 1e-6)
    );
}

/// The wall of a slot cut into the core is thin metal: a floor of 40 × 30 at z = 0 to 2 with a rib
/// of 2 mm at x = 19 to 21 that stands 8 mm up. A hole beside it keeps 1 mm off, or 0.2 mm
/// where that is asked for.
#[test]
fn metal_stays_between_a_hole_and_a_rib() {
    let (x, y) = ([0.0, 19.0, 21.0, 40.0], [0.0, 30.0]);
    let steps: [&[f64]; 3] = [&x, &y, &[0.0, 2.0, 10.0]];
    let mesh = shapes::blocks(steps, |i, _, k| k == 0 || i == 1);
    let part = Part::new(mesh, true, 6000);
    let sides = vec![Side::Core; part.samples.len()];
    let formed =
        Formed { pull: Direction::Z, core: Half::Plus, sides: &sides, parted: None };
    let nearest = |least_metal: f64| {
        let wanted = Wanted { least_metal, ..wanted(4.0, 1) };
        let room = Room::find(&part, formed, &[], &[], &wanted);
        let on_floor = room.pads.iter().filter(|pad| pad.at.z < 3.0);
        on_floor.map(|pad| (pad.at.x - 20.0).abs()).fold(f64::INFINITY, f64::min)
    };
    // Middle of the rib to its flank, metal, radius of the pin.
    assert!((4.0..4.6).contains(&nearest(METAL_MM)), "{}", nearest(METAL_MM));
    assert!((3.2..3.8).contains(&nearest(0.2)), "{}", nearest(0.2));
}

/// No hole is drilled beside a thin core: on a plate of 40 × 30 every place keeps the pin's
/// radius and 1 mm of metal off it.
#[test]
fn pins_keep_off_thin_cores() {
    let part = Part::new(shapes::cuboid(40.0, 30.0, 4.0), true, 6000);
    let sides = vec![Side::Core; part.samples.len()];
    let formed =
        Formed { pull: Direction::Z, core: Half::Plus, sides: &sides, parted: None };
    let core = KeptOff { at: Point::new(20.0, 15.0, 4.0), radius: 1.25 };
    let nearest = |kept_off: &[KeptOff]| {
        let room = Room::find(&part, formed, &[], kept_off, &wanted(3.0, 1));
        let far = room.pads.iter().map(|pad| (pad.at.x - 20.0).hypot(pad.at.y - 15.0));
        far.fold(f64::INFINITY, f64::min)
    };
    let least = 1.25 + 1.5 + METAL_MM;
    assert!(nearest(&[]) < least);
    assert!((least..least + 1.5).contains(&nearest(&[core])), "{}", nearest(&[core]));
}

/// A ball has no flat place at all.
#[test]
fn a_ball_has_no_place() {
    let (pads, _) = pads(&shapes::ball(10.0, 48), Direction::Z, wanted(3.0, 3));
    assert_eq!(pads.list.len(), 0);
}
