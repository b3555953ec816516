//! Halves whose volumes follow by hand: the block is what its measures say, and on the side
//! that holds all of the part the cavity is the part with its hollows.

use super::layout::Without;
use super::milling::CutterList;
use crate::geom::{Direction, Point};
use crate::mesh::{TriMesh, shapes};
use crate::mold::build::{self, Mold, MoldInput, NoMold};
use crate::mold::core_pins::CorePin;
use crate::mold::cut_feature::Kind;
use crate::mold::milled_halves;
use crate::mold::milling::outcome::CellSize;
use crate::mold::mold_checks::{self, Volumes};
use crate::part::Part;
use crate::part::halves::Half;

use crate::part::parting::{self};
use crate::process::clamping::bolts::Bolts;
use crate::process::clamping::mold_plates::Mold as Given;
use crate::process::feed::layout::FeedLayout;
use crate::process::feed::vents::{self, Vent};
use crate::process::feed::{Feed, FeedChoices, FeedTask, design};
use crate::process::plastic::library::Plastics;
use crate::process::press::Press;
use crate::units::{Mass, Quantity, from_mm, in_mm};

pub(super) const SCALE: f64 = 1.02;

pub(super) const BARE: Without = Without {
    bolts: true,
    dowels: true,
    feed: true,
    pins: true,
    vents: true,
    pry_slots: true,
    inserts: true,
};

/// A gate that finds no room in the notch of a part moves to the next place that has some; the
/// deep notch of 4 mm holds no runner.
#[test]
fn a_gate_moves_to_where_there_is_room() {
    let press = Press::builtin().unwrap();
    let plastics = Plastics::builtin().unwrap();
    let feed = feed(&press, &plastics, FeedLayout::Edge);
    let (x, y) = ([0.0, 13.0, 17.0, 30.0], [0.0, 15.0, 30.0]);
    let part = shapes::blocks([&x, &y, &[0.0, 6.0]], |i, j, _| !(i == 1 && j == 1));
    let [notch, side] = [Point::new(15.0, 15.0, 6.0), Point::new(30.0, 10.0, 6.0)];
    let mold = |gates: Vec<Point>| {
        let more = More { feed: Some((&feed, gates)), ..More::default() };
        made(&part, Without { feed: false, ..BARE }, &more)
    };
    assert!(matches!(mold(vec![notch]), Err(NoMold::Feed { .. })));
    let moved = mold(vec![notch, side]).unwrap();
    let far = moved.way.unwrap().moved / SCALE;
    assert!((far - 15.0_f64.hypot(5.0)).abs() < 1e-6, "{far}");
    sound(&moved);
}

/// What is wanted besides the part.
#[derive(Default)]
pub(super) struct More<'a> {
    pub(super) plates: Given,
    pub(super) bolts: Option<&'a Bolts>,
    pub(super) feed: Option<(&'a Feed, Vec<Point>)>,
    pub(super) pins: Option<(f64, Vec<(Point, f64)>)>,
    pub(super) core_pins: Vec<CorePin>,
    pub(super) vents: Option<(&'a Vent, u32, Vec<Point>)>,
}

/// The mold of `part` along +z with its core on the + side.
pub(super) fn made(
    part: &TriMesh,
    without: Without,
    more: &More<'_>,
) -> Result<Mold, NoMold> {
    of_part(part, Direction::Z, [SCALE; 3], without, more)
}

fn of_part(
    part: &TriMesh,
    pull: Direction,
    scales: [f64; 3],
    without: Without,
    more: &More<'_>,
) -> Result<Mold, NoMold> {
    let part = Part::new(part.clone(), true, 0);
    let (lines, skins) = parting::with_skins(&part, pull, Half::Plus);
    let longest = lines.outer().next().unwrap();
    let height = f64::midpoint(longest.height_low, longest.height_high);
    build::build(&MoldInput {
        skins: &skins,
        pull,
        core: Half::Plus,
        cavities: more.feed.as_ref().map_or(1, |(feed, _)| feed.cavities),
        height,
        scales,
        plates: &more.plates,
        chosen: None,
        bolts: more.bolts,
        feed: more.feed.clone(),
        pins: more.pins.clone(),
        core_pins: more.core_pins.clone(),
        dowel: None,
        vents: more.vents.clone(),
        without,
    })
}

/// The mold of `part` without anything besides it, larger by `scales`.
fn scaled(part: &TriMesh, pull: Direction, scales: [f64; 3]) -> Result<Mold, NoMold> {
    of_part(part, pull, scales, BARE, &More::default())
}

/// Volumes of the + half and of the − half over what the plates alone would have.
fn off_plates(mold: &Mold) -> [f64; 2] {
    let [x, y, z] = mold.layout.block;
    let face = (x[1] - x[0]) * (y[1] - y[0]);
    let [plus, minus] =
        [&mold.halves[0], &mold.halves[1]].map(crate::mesh::solid::Solid::volume);
    [plus - face * z[1], minus + face * z[0]]
}

pub(super) fn near(seen: f64, wanted: f64) {
    assert!(
        (seen - wanted).abs() < 1e-6 * (1.0 + wanted.abs()),
        "{seen} is not {wanted}"
    );
}

/// Every check that has an answer holds.
pub(super) fn sound(mold: &Mold) {
    for check in mold_checks::run(mold, 0.02, false) {
        assert_eq!(check.ok, Some(true), "{check:?}");
    }
}

#[test]
fn a_box_lies_in_one_half() {
    let mold = made(&shapes::cuboid(30.0, 20.0, 10.0), BARE, &More::default()).unwrap();
    let [plus, minus] = off_plates(&mold);
    near(plus, 0.0);
    near(minus, -6000.0 * SCALE.powi(3));
    assert!(mold.surface.is_flat && mold.inner.is_empty());
    sound(&mold);
}

/// A cup of 64 sides: frustums of n/2 sin(2π/n) h/3 (a² + ab + b²) outside and inside.
#[test]
fn a_cup_has_its_inside_on_the_core() {
    let around = 64;
    let mold =
        made(&shapes::cup(20.0, 30.0, 2.0, 1.0, around), BARE, &More::default()).unwrap();
    let lean = 1.0_f64.to_radians().tan();
    let n = around as f64;
    let frustum = |a: f64, b: f64, h: f64| {
        n / 2.0 * (std::f64::consts::TAU / n).sin() * h / 3.0 * (a * a + a * b + b * b)
    };
    let outside = frustum(20.0, 20.0 + 30.0 * lean, 30.0);
    let inside = frustum(18.0 + 2.0 * lean, 18.0 + 30.0 * lean, 28.0);
    let [plus, minus] = off_plates(&mold);
    near(plus, inside * SCALE.powi(3));
    near(minus, -outside * SCALE.powi(3));
    sound(&mold);
}

/// A plate with two square holes: all of it lies in one half, and so do the two pins that
/// shut the holes off against the other half.
#[test]
fn a_lid_with_holes_has_shut_offs() {
    let steps = [0.0, 5.0, 9.0, 20.0, 26.0, 40.0];
    let lid =
        shapes::blocks([&steps, &[0.0, 4.0, 10.0, 20.0], &[0.0, 3.0]], |i, j, _| {
            !(j == 1 && (i == 1 || i == 3))
        });
    let mold = made(&lid, BARE, &More::default()).unwrap();
    let solid = (800.0 - 24.0 - 36.0) * 3.0;
    let [plus, minus] = off_plates(&mold);
    near(plus, 0.0);
    near(minus, -solid * SCALE.powi(3));
    assert_eq!(mold.inner.len(), 2);
    sound(&mold);
}

/// Two slabs at different heights, joined by a wall: half a turn about its middle, across
/// the pull, brings the part onto itself, so both halves hold as much. The ramps between the
/// heights are cut by a grid that is not alike on both sides.
#[test]
fn a_stepped_part_is_shared_evenly() {
    let part = shapes::blocks(
        [&[0.0, 9.0, 11.0, 20.0], &[0.0, 10.0], &[0.0, 2.0, 4.0, 6.0]],
        |i, _, k| i == 1 || (i == 0 && k == 0) || (i == 2 && k == 2),
    );
    let mold = made(&part, BARE, &More::default()).unwrap();
    assert!(!mold.surface.is_flat && (mold.surface.rise / SCALE - 2.0).abs() < 1e-6);
    let volumes = Volumes::measure(&mold);
    near(volumes.part, 480.0 * SCALE.powi(3));
    let [x, y, z] = mold.layout.block;
    near(-z[0], z[1]);
    let half = ((x[1] - x[0]) * (y[1] - y[0]) * (z[1] - z[0]) - volumes.part) / 2.0;
    for solid in &mold.halves {
        assert!((solid.volume() / half - 1.0).abs() < 4e-3, "{} {half}", solid.volume());
    }
    sound(&mold);
}

/// A box that leans along x by 0.3 of its length is parted along a ramp. A vent across the
/// ramp has no level way: it keeps its depth below the surface all along, so it takes width
/// × land × depth, and its relief the same to the wall of the block. The same part, upright,
/// has flat vents of the same volume.
#[test]
fn a_vent_follows_a_ramp() {
    let plastics = Plastics::builtin().unwrap();
    let vent = vents::vent(plastics.find("pp").unwrap()).unwrap();
    let taken = |lean: f64, rises: fn(f64) -> f64| {
        let part =
            shapes::blocks([&[0.0, 20.0, 40.0], &[0.0, 30.0], &[0.0, 6.0]], |_, _, _| {
                true
            })
            .map_points(|at| Point::new(at.x, at.y, at.z + lean * rises(at.x)));
        let wanted = vec![Point::new(20.0, 0.0, lean * rises(20.0))];
        let more = More { vents: Some((&vent, 1, wanted)), ..More::default() };
        let mold = made(&part, Without { vents: false, ..BARE }, &more).unwrap();
        assert_eq!(mold.surface.is_flat, lean < 1e-9);
        sound(&mold);
        let [shallow, deep] = [Kind::Vent, Kind::Relief]
            .map(|kind| mold.layout.cuts.iter().find(|cut| cut.kind == kind).unwrap());
        let blank = &mold.blanks[usize::from(shallow.half == Half::Minus)];
        let [one, other] =
            [shallow, deep].map(|cut| cut.solid.meet(blank).unwrap().volume());
        let end = deep.end.unwrap();
        let out = (end[1] - deep.at[1]).abs();
        let wide = in_mm(vent.width);
        // The booleans snap to a hundred-thousandth of a millimeter, a thousandth of a vent.
        let is = |seen: f64, wanted: f64| {
            assert!((seen / wanted - 1.0).abs() < 4e-3, "{seen} is not {wanted}");
        };
        is(one, wide * in_mm(vent.land) * in_mm(vent.start));
        is(other, wide * out * in_mm(vent.relief));
    };
    taken(0.0, |x| x);
    taken(0.3, |x| x);
    // In a valley none of it may stay shut.
    taken(0.5, |x| (x - 20.0).abs());
}

/// The user's own shrinkage along each axis: a box of 30 × 20 × 10 becomes 30.3 × 20.4 × 10.3.
#[test]
fn a_box_grows_along_each_axis() {
    let scales = [1.01, 1.02, 1.03];
    let part = shapes::cuboid(30.0, 20.0, 10.0);
    let mold = scaled(&part, Direction::Z, scales).unwrap();
    near(mold.part.volume(), 30.3 * 20.4 * 10.3);
    let size = mold.part.bounds().size();
    near(size.x, 30.3);
    near(size.y, 20.4);
    near(size.z, 10.3);
    sound(&mold);
    let askew = Direction::new(crate::geom::Vector::new(0.3, 0.0, 1.0)).unwrap();
    let refused = scaled(&part, askew, scales).unwrap_err();
    assert_eq!(refused, NoMold::Askew);
}

/// Two blanks as a spindle sees them: over a box, its cavity is as deep as the box is high,
/// and the runner as deep as half its diameter.
#[test]
fn cutters_see_cavity_and_runner() {
    let press = Press::builtin().unwrap();
    let plastics = Plastics::builtin().unwrap();
    let feed = feed(&press, &plastics, FeedLayout::Edge);
    let part = shapes::cuboid(30.0, 20.0, 6.0);
    let more = More {
        feed: Some((&feed, vec![Point::new(30.0, 10.0, 0.0)])),
        ..More::default()
    };
    let mold = made(&part, Without { feed: false, ..BARE }, &more).unwrap();
    let list = CutterList::builtin().unwrap().cutters;
    let size = CellSize::Edge(0.1);
    let milled = milled_halves::simulate(&mold, Direction::Z, &list, size).unwrap();
    let grid = &milled.halves.grid;
    let depth = |half: Half, at: [f64; 2]| {
        let cell = grid.cell_at(mold.axes.flat_in_pose(at)).unwrap();
        milled.halves.half(half).values[cell]
    };
    let [x, y, _] = mold.layout.block;
    let face =
        [Half::Plus, Half::Minus].map(|half| depth(half, [x[0] + 1.0, y[0] + 1.0]));
    near(face[0], -face[1]);
    let deepest = [Half::Plus, Half::Minus]
        .map(|half| face[usize::from(half == Half::Minus)] - depth(half, [0.0, 0.0]));
    near(deepest[0] + deepest[1], 6.0 * SCALE);
    let way = mold.way.unwrap();
    let middle = [0, 1].map(|axis| f64::midpoint(way.sprue[axis], way.runner_end[axis]));
    let radius = in_mm(feed.runner.unwrap().diameter) / 2.0;
    for half in [Half::Plus, Half::Minus] {
        let seen = face[usize::from(half == Half::Minus)] - depth(half, middle);
        assert!((seen - radius).abs() < 0.02, "{half:?} {seen} {radius}");
    }
    // Its sharp corners in the plan are all that a round cutter leaves of the box.
    assert!(milled.worst(true).is_none(), "{:?}", milled.worst(true));
}

pub(super) fn feed(press: &Press, plastics: &Plastics, layout: FeedLayout) -> Feed {
    let runner = if layout == FeedLayout::Edge { 15.0 } else { 0.0 };
    let task = FeedTask {
        layout,
        part: Mass::from_si(0.005),
        wall: from_mm(2.0),
        thickest: from_mm(2.0),
        most_gate_depth: from_mm(2.0),
        most_gate_width: from_mm(6.0),
        room: None,
        cavities: 1,
        runner_length: from_mm(runner),
        sprue_length: from_mm(15.0),
        flow: None,
        plastic: plastics.find("pp").unwrap(),
        press,
    };
    design(&task, &FeedChoices::default()).unwrap()
}

/// With everything: the volumes still fill the block, each gate opens, each pin comes
/// through, and the drill table has what the press file asks for.
#[test]
fn a_mold_with_feed_and_hardware_adds_up() {
    let press = Press::builtin().unwrap();
    let plastics = Plastics::builtin().unwrap();
    let vent = vents::vent(plastics.find("pp").unwrap()).unwrap();
    let part = shapes::tray([40.0, 30.0, 12.0], 2.0);
    for layout in [FeedLayout::Edge, FeedLayout::Split] {
        let feed = feed(&press, &plastics, layout);
        let pin = |x: f64| (Point::new(x, 8.0, 2.0), 2.0);
        let places = [[0.0, 15.0], [12.0, 30.0], [28.0, 30.0], [12.0, 0.0], [28.0, 0.0]];
        let wanted = places.map(|[x, y]| Point::new(x, y, 12.0)).to_vec();
        let more = More {
            bolts: press.bolts(),
            feed: Some((&feed, vec![Point::new(40.0, 15.0, 12.0)])),
            pins: Some((3.0, vec![pin(10.0), pin(30.0)])),
            vents: Some((&vent, 1, wanted)),
            ..More::default()
        };
        let mold = made(&part, Without::default(), &more).unwrap();
        sound(&mold);
        let count = |kind| mold.layout.cuts.iter().filter(|cut| cut.kind == kind).count();
        assert_eq!([Kind::Clearance, Kind::Tap].map(count), [4, 4]);
        assert_eq!([Kind::DowelFast, Kind::DowelSlides, Kind::Pin].map(count), [2, 2, 2]);
        assert_eq!(
            [Kind::Vent, Kind::Relief, Kind::Pry, Kind::Gate].map(count),
            [1, 1, 2, 1]
        );
        let split = layout == FeedLayout::Split;
        assert_eq!(count(Kind::Well), usize::from(!split));
        assert_eq!(count(Kind::Seat), if split { 2 } else { 1 });
        let way = mold.way.unwrap();
        assert!(way.moved < 1e-9 && (way.way[0] - 1.0).abs() < 1e-9, "{way:?}");
        // The gate is cut where the wall of the tray is: below the rim.
        assert_eq!(way.half, Half::Minus);
        let depth = in_mm(feed.gate.depth) * in_mm(feed.gate.width);
        assert!(mold.opens_mm3 > 0.3 * depth, "{}", mold.opens_mm3);
    }
}

#[test]
fn a_plate_that_is_too_thin_is_refused() {
    let plates = crate::units::from_toml("thickness = '12 mm'").unwrap();
    let part = shapes::cuboid(30.0, 20.0, 10.0);
    let more = More { plates, ..More::default() };
    let refused = made(&part, BARE, &more).unwrap_err();
    assert!(refused.to_string().contains("[mold]"), "{refused}");
}
