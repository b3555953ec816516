//! Tall cores that are set into their plate, by hand.

use std::f64::consts::{PI, TAU};

use crate::geom::Direction;
use crate::mesh::shapes;
use crate::mold::cut_feature::Kind;
use crate::mold::inserts::Shape;
use crate::mold::layout::Without;
use crate::mold::milled_halves;
use crate::mold::milling::CutterList;
use crate::mold::milling::outcome::CellSize;
use crate::mold::tests::{BARE, More, SCALE, made, near, sound};
use crate::part::halves::Half;

const INSERTS: Without = Without { inserts: false, ..BARE };

/// A cup of 40 mm, 30 high with walls of 2 mm: its core stands 28.56 mm out and is 37.8 mm wide at
/// its foot, its rim 41.9 mm. By hand: round bar of 40 mm runs under the rim, 10 mm deep, and
/// the plate is as thick as if there were no core.
#[test]
fn a_tall_round_core_is_turned_from_bar() {
    let around = 64;
    let cup = shapes::cup(20.0, 30.0, 2.0, 1.0, around);
    let mold = made(&cup, INSERTS, &More::default()).unwrap();
    sound(&mold);
    let [insert] = &mold.inserts[..] else { panic!("{:?}", mold.inserts.len()) };
    let Shape::Round { diameter } = insert.shape else { panic!("{insert:?}") };
    assert!((diameter - 40.0).abs() < 1e-6, "{diameter}");
    assert_eq!((insert.half, insert.screws), (Half::Plus, (2, "M5")));
    near(insert.depth, 10.0);
    near(insert.height, 28.0 * SCALE);
    near(mold.stock(Half::Plus), mold.layout.thickness(Half::Plus));
    let plate = mold.plate(Half::Plus);
    assert_eq!((plate.open_edges(), insert.solid.open_edges()), (0, 0));
    let whole = mold.halves[0].volume();
    assert!(((plate.volume() + insert.solid.volume()) / whole - 1.0).abs() < 1e-6);
    // Foot, core, and two holes for threads of M5, 12 mm deep.
    let polygon = |n: f64, r: f64| n / 2.0 * (TAU / n).sin() * r * r;
    let lean = 1.0_f64.to_radians().tan();
    let [a, b] = [18.0 + 2.0 * lean, 18.0 + 30.0 * lean].map(|it| it * SCALE);
    let mean = (a * a + a * b + b * b) / 3.0;
    let core = polygon(around as f64, 1.0) * mean * 28.0 * SCALE;
    let known = core + polygon(48.0, 20.0) * 10.0 - 2.0 * polygon(48.0, 2.1) * 12.0;
    assert!((insert.solid.volume() / known - 1.0).abs() < 1e-4);
    assert_eq!(mold.insert_names(), ["core_insert"]);
    let screws = mold.layout.cuts.iter().filter(|it| it.kind == Kind::InsertScrew);
    assert_eq!(screws.count(), 2);
}

/// A tray of 60 × 24 mm, 24 high with walls of 4 mm: its core is 16 mm wide, so it is milled
/// from flat bar that runs under the rim.
#[test]
fn a_long_core_is_milled_from_flat_bar() {
    let tray = shapes::tray([60.0, 24.0, 24.0], 4.0);
    let mold = made(&tray, INSERTS, &More::default()).unwrap();
    sound(&mold);
    let insert = &mold.inserts[0];
    let Shape::Bar { edges } = insert.shape else { panic!("{insert:?}") };
    for (edge, [least, most]) in edges.into_iter().zip([[52.0, 60.0], [16.0, 24.0]]) {
        assert!(edge > least * SCALE && edge < most * SCALE, "{edges:?}");
    }
    let both = mold.plate(insert.half).volume() + insert.solid.volume();
    let whole = mold.halves[usize::from(insert.half == Half::Minus)].volume();
    assert!((both / whole - 1.0).abs() < 1e-6);
}

/// Clamped 20 mm deep, a holder of 20 mm does not come down to the parting face beside a core of
/// 28.6 mm. Once the core is set in, its plate is milled without it: what is left is the ring
/// between the foot of the core and the seam.
#[test]
fn a_plate_is_milled_without_its_core() {
    let cup = shapes::cup(20.0, 30.0, 2.0, 1.0, 64);
    let list = CutterList::parse(
        "name = 'one'\nholder = '20 mm'\n[[cutter]]\nkind = 'flat'\ndiameter = '3 mm'\n\
         flute = '15 mm'\nshank = '3 mm'\nstickout = '20 mm'",
    )
    .unwrap();
    let [set_in, milled] = [INSERTS, BARE].map(|without| {
        let mold = made(&cup, without, &More::default()).unwrap();
        let size = CellSize::Edge(0.4);
        let outcome =
            milled_halves::simulate(&mold, Direction::Z, &list.cutters, size).unwrap();
        let parting = outcome.unreached.iter().filter(|it| it.on_parting);
        let rough: f64 = outcome.uses.iter().map(|it| it.rough_min).sum();
        (parting.map(|it| it.area).sum::<f64>(), rough)
    });
    // A ring of 10 mm around the foot, against one of a millimeter.
    let ring = |out: f64, within: f64| PI * (out * out - within * within);
    assert!(milled.0 > 0.7 * ring(28.9, 20.9), "{milled:?}");
    assert!(set_in.0 < ring(20.4, 18.8), "{set_in:?}");
    // Nobody mills 28.6 mm of plate away.
    assert!(set_in.1 < 0.5 * milled.1, "{set_in:?} {milled:?}");
}

/// A core of 9 mm is milled with its plate, and so is any when nobody wants inserts.
#[test]
fn low_cores_stay_with_their_plate() {
    for (height, without) in [(11.0, INSERTS), (30.0, BARE)] {
        let cup = shapes::cup(20.0, height, 2.0, 1.0, 48);
        let mold = made(&cup, without, &More::default()).unwrap();
        assert!(mold.inserts.is_empty() && mold.plates.is_none());
        near(
            mold.stock(Half::Plus) - mold.layout.thickness(Half::Plus),
            (height - 2.0) * SCALE,
        );
    }
}
