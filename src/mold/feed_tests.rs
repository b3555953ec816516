//! What each layout of the feed takes of the metal, against volumes by hand.

use super::layout::Without;
use super::tests::{BARE, More, SCALE, feed, made, near, sound};
use crate::geom::Point;
use crate::mesh::shapes;
use crate::mold::build::{Mold, NoMold};
use crate::mold::cut_feature::Kind;
use crate::process::clamping::mold_plates::Mold as Given;
use crate::process::feed::Feed;
use crate::process::feed::layout::FeedLayout;
use crate::process::plastic::library::Plastics;
use crate::process::press::Press;
use crate::units::{in_cm3, in_mm};

/// Area of a polygon of 48 sides in a circle of this diameter.
fn polygon(diameter: f64) -> f64 {
    24.0 * (std::f64::consts::TAU / 48.0).sin() * (diameter / 2.0).powi(2)
}

/// A sprue straight onto the floor of a tray, in a plate of 40 mm: 15 mm of sprue, and a
/// counterbore for the rest down to the floor, 12 mm below the parting plane.
#[test]
fn a_sprue_stands_on_a_face() {
    let press = Press::builtin().unwrap();
    let plastics = Plastics::builtin().unwrap();
    let feed = feed(&press, &plastics, FeedLayout::Direct);
    let part = shapes::tray([40.0, 30.0, 12.0], 2.0);
    let at = Point::new(20.0, 15.0, 0.0);
    let plates: Given = crate::units::from_toml("thickness = '40 mm'").unwrap();
    let mold = |at: Point| {
        let feed = Some((&feed, vec![at]));
        let more = More { plates: plates.clone(), feed, ..More::default() };
        made(&part, Without { feed: false, ..BARE }, &more)
    };
    let sprued = mold(at).unwrap();
    sound(&sprued);
    let [sprue, seat] = [Kind::Sprue, Kind::Seat]
        .map(|kind| sprued.layout.cuts.iter().find(|cut| cut.kind == kind).unwrap());
    assert_eq!(sprued.layout.cuts.len(), 2);
    let deep = 40.0 - 12.0 * SCALE - 15.0;
    near(seat.depth, deep);
    let wide = in_mm(feed.counterbore);
    near(seat.solid.volume(), polygon(wide) * deep);
    near(sprued.holes_mm3, polygon(wide) * deep);
    near(sprue.depth, 15.0);
    // What of the sprue lies in the floor is its opening.
    assert!(
        (sprued.opens_mm3 / (polygon(in_mm(feed.sprue.foot)) * 0.2) - 1.0).abs() < 0.02
    );
    assert!((sprued.feed.volume() / (in_cm3(feed.volume()) * 1e3) - 1.0).abs() < 0.02);
    // On the core side, and in the air, there is no place for it.
    for off in [Point::new(20.0, 15.0, 2.0), Point::new(60.0, 15.0, 0.0)] {
        assert!(matches!(mold(off), Err(NoMold::Feed { .. })), "{off}");
    }
}

/// A block gated in the middle of an edge, in plates of these measures, and its feed.
fn gated_at_its_edge(layout: FeedLayout, plates: &str) -> (Feed, Mold) {
    let press = Press::builtin().unwrap();
    let plastics = Plastics::builtin().unwrap();
    let feed = feed(&press, &plastics, layout);
    let plates = crate::units::from_toml(plates).unwrap();
    let gates = vec![Point::new(30.0, 10.0, 0.0)];
    let more = More { plates, feed: Some((&feed, gates)), ..More::default() };
    let part = shapes::cuboid(30.0, 20.0, 6.0);
    let mold = made(&part, Without { feed: false, ..BARE }, &more).unwrap();
    sound(&mold);
    (feed, mold)
}

/// The nozzle stands in the plate of an edge-gated mold: of 40 mm the sprue is 15 mm.
#[test]
fn a_counterbore_keeps_the_sprue_short() {
    let (feed, mold) = gated_at_its_edge(FeedLayout::Edge, "thickness = '40 mm'");
    let [sprue, seat] = [Kind::Sprue, Kind::Seat]
        .map(|kind| mold.layout.cuts.iter().find(|cut| cut.kind == kind).unwrap());
    near(sprue.depth, 15.0);
    near(seat.depth, 25.0);
    near(seat.width, in_mm(feed.counterbore));
    near(mold.holes_mm3, polygon(seat.width) * 25.0);
}

/// A sprue in the parting line: the pocket for the nozzle leaves 15 mm of it.
#[test]
fn a_sprue_lies_in_the_parting_line() {
    let (feed, mold) = gated_at_its_edge(FeedLayout::Split, "length = '110 mm'");
    let cuts = |kind| mold.layout.cuts.iter().filter(move |cut| cut.kind == kind);
    assert_eq!(
        [Kind::Sprue, Kind::Seat, Kind::Gate].map(|it| cuts(it).count()),
        [1, 2, 1]
    );
    let seat = cuts(Kind::Seat).next().unwrap();
    let sprue = mold.way.unwrap().sprue;
    near(seat.at[0] - sprue[0], 15.0);
    let wall = mold.layout.block[0][1];
    // Both halves of the pocket together.
    let pocket = polygon(in_mm(feed.counterbore)) * (wall - seat.at[0]);
    assert!((mold.holes_mm3 / pocket - 1.0).abs() < 2e-3, "{} {pocket}", mold.holes_mm3);
    assert!(mold.feed.volume() > 0.97 * in_cm3(feed.volume()) * 1e3);
}
