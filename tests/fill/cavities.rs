//! Two equal cavities from one sprue: filled both at once, against one of them that has its share
//! of the sprue, which is how a check fills several.

use goodshot::fill::cells::{Cells, Resolution};
use goodshot::fill::drive::Drive;
use goodshot::fill::feed_channels;
use goodshot::fill::front::{self, Filling};
use goodshot::fill::gate::Gate;
use goodshot::fill::prepared::{Case, PreparedCavity};
use goodshot::fill::required_pressure::{self, APART};
use goodshot::geom::Point;
use goodshot::mesh::bvh::Bvh;
use goodshot::mesh::shapes;
use goodshot::process::feed::channel::Channel;
use goodshot::process::feed::nozzle::Link;
use goodshot::units::from_mm;

use super::near;
use super::through_the_gap::pp;

/// Length of one cavity, mm; it is 16 mm wide and 2 mm thick.
const LONG: f64 = 60.0;
const WIDE: f64 = 16.0;
const WALL: f64 = 2.0;
/// cm³/s that the ram moves at the most.
const MOST: f64 = 6e-6;

/// Strips of the whole length, fed across them at `at`, and what pushes: `cavities` of them are
/// filled each by its share of ram and sprue.
fn filled(length: f64, at: f64, cavities: u32) -> (f64, Cells, Filling) {
    let melt = pp(230.0, 50.0, 2000.0);
    let mesh = shapes::cuboid(length, WIDE, WALL);
    let bvh = Bvh::new(&mesh);
    let cells = Cells::new(&mesh, &bvh, Resolution::EdgeMm(1.5)).unwrap();
    let end = |y: f64| Point::new(at, y, 0.5 * WALL);
    let gates = [Gate { from: end(0.0), to: end(WIDE), radius_mm: 1.0 }];
    let case = Case { cells: &cells, mesh: &mesh, bvh: &bvh, gates: &gates, melt: &melt };
    let prepared = PreparedCavity::new(&case).unwrap();
    let sprue = Link {
        name: "sprue",
        size: String::new(),
        channel: Channel::Tube { diameter: from_mm(4.0), length: from_mm(40.0) },
        is_end_correction: false,
        flows: 1.0,
    };
    let channels = feed_channels::segments(&[sprue.shared_by(cavities)]);
    let each = f64::from(cavities);
    // A nozzle of a power law: 1.5 MPa at 4 cm³/s.
    let nozzle = |flow: f64| 1.5e6 * (each * flow / 4e-6).powf(0.36);
    let drive = Drive {
        pressure_pa: 2e7,
        most_m3_s: Some(MOST / each),
        feed: &nozzle,
        channels: &channels,
    };
    let least =
        required_pressure::least_of(&prepared, &melt, &drive, APART).unwrap().unwrap();
    let run = front::fill_again(&prepared, &melt, &drive).unwrap();
    (least, cells, run)
}

#[test]
fn two_cavities_take_what_one_takes_with_its_share() {
    let (both, cells, run) = filled(2.0 * LONG, LONG, 1);
    let (one, _, half) = filled(LONG, 0.0, 2);
    near(one, both, 0.03);
    // Both are full together, and when the one is.
    let arrival = |x: f64| {
        let far = cells.nearest(&Point::new(x, 0.5 * WIDE, 0.5 * WALL));
        run.arrival_s[far].unwrap()
    };
    let [first, second] = [arrival(1.0), arrival(2.0 * LONG - 1.0)];
    near(first, second, 0.05);
    near(half.time_s, run.time_s, 0.05);
    // Alone on the whole ram it would take less: the sprue carries half as much.
    let (alone, ..) = filled(LONG, 0.0, 1);
    assert!(alone < 0.97 * one, "{alone} {one}");
}
