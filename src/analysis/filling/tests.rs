//! Does the filling know weak presses from strong ones, and good gates from bad ones.

use super::cures::{Change, Cure};
use crate::analysis;
use crate::analysis::Setup;
use crate::analysis::filling::{FillingStudy, NotFilled};
use crate::fill::cells::Resolution;
use crate::fill::pockets::Air;
use crate::fill::required_pressure::RequiredPressure;
use crate::geom::{Direction, Point};
use crate::mesh::{TriMesh, shapes, stl};
use crate::process::plastic::library::Plastics;
use crate::process::press::Press;
use crate::settings::{FillChoices, Settings};
use crate::units::Quantity;

fn fixture_settings(fill: FillChoices) -> Settings {
    Settings { pull: Some(Direction::Z), samples: 2000, fill, ..Settings::default() }
}

fn coarse() -> FillChoices {
    FillChoices { cells: Resolution::Budget(600), ..FillChoices::default() }
}

/// A press with a round ram of 25 mm and this force.
fn setup(force: &str) -> Setup {
    let plastics = Plastics::builtin().unwrap();
    let text = format!(
        "name = 'p'\ndrive = {{ ram_force = '{force}' }}\n[ram]\ndiameter = '25 mm'\n\
         stroke = '100 mm'"
    );
    Setup {
        press: Press::parse(&text).unwrap(),
        press_given: true,
        plastic: plastics.find("pp").unwrap().clone(),
        plastic_given: true,
        sources: plastics.sources(),
        found: Vec::new(),
    }
}

/// The bytes of an STL.
fn written(mesh: &TriMesh) -> Vec<u8> {
    let mut bytes = Vec::new();
    let facets = (0..mesh.facets().len()).map(|facet| mesh.corners(facet));
    stl::write(facets, &mut bytes).unwrap();
    bytes
}

fn filled(
    mesh: &TriMesh,
    setup: Setup,
    fill: FillChoices,
) -> Result<FillingStudy, NotFilled> {
    analysis::run(written(mesh), setup, &fixture_settings(fill), &|_| {}).unwrap().filling
}

fn strip() -> TriMesh {
    shapes::cuboid(80.0, 20.0, 2.0)
}

#[test]
fn a_third_of_the_least_pressure_is_short_and_twice_of_it_fills() {
    let at =
        |force: f64| filled(&strip(), setup(&format!("{force} N")), coarse()).unwrap();
    let RequiredPressure::Pressure { pa, .. } = at(6000.0).least else {
        panic!("nothing freezes")
    };
    let newtons = pa * std::f64::consts::PI * 0.0125_f64.powi(2);
    let strong = at(2.0 * newtons);
    assert!(strong.run.fills && strong.stuck_at().is_none());
    // A stronger press gets a thinner feed, a weaker one a thicker one.
    let margin = strong.margin(2.0 * pa).unwrap();
    assert!((1.2..3.0).contains(&margin), "{margin} {:?}", strong.least);
    let weak = at(0.35 * newtons);
    assert!(!weak.run.fills && weak.run.filled < 0.95, "{}", weak.run.filled);
    // What got nowhere lies between the gate and the end farthest from it.
    let stuck = weak.stuck_at().unwrap();
    assert!(weak.arrival_s(&stuck).is_some());
    // Hotter melt asks for less.
    let RequiredPressure::Pressure { pa: now, .. } = weak.least else {
        panic!("no pressure")
    };
    let cooler = |cure: &Cure| matches!(cure.change, Change::Melt(_) | Change::Mold(_));
    let heat: Vec<&Cure> = weak.cures.iter().filter(|cure| cooler(cure)).collect();
    assert!(!heat.is_empty(), "{:?}", weak.cures);
    assert!(heat.iter().all(|cure| cure.needs_pa.is_some_and(|pa| pa < now)), "{heat:?}");
}

#[test]
fn a_gate_is_chosen_on_the_parting_line_or_moved_onto_the_part() {
    let chosen = filled(&strip(), setup("6 kN"), coarse()).unwrap();
    // The middle of a long edge is nearest to both ends.
    let off = (chosen.gate.x - 40.0).abs().min(chosen.gate.x.abs());
    assert!(off < 6.0, "{:?}", chosen.gate);
    assert!(chosen.gate_moved.is_none() && chosen.choices.len() > 1);
    let gate = Some(Point::new(-3.0, 0.0, 0.0));
    let given =
        filled(&strip(), setup("6 kN"), FillChoices { gate, ..coarse() }).unwrap();
    assert!(given.gate_moved.unwrap() > 1.0 && given.choices.is_empty());
    assert!(given.gate.x < chosen.gate.x - 10.0);
    let needed = |filled: &FillingStudy| match filled.least {
        RequiredPressure::Pressure { pa, .. } => pa,
        _ => panic!("no least pressure"),
    };
    assert!(needed(&given) > 1.2 * needed(&chosen), "the way is twice as long");
}

#[test]
fn the_parting_line_lets_air_out_and_a_closed_floor_does_not() {
    let at_rim = filled(&strip(), setup("6 kN"), coarse()).unwrap();
    assert!(at_rim.pockets.iter().any(|pocket| pocket.air == Air::Vented));
    // Gated at its rim, a cup fills its floor last, away from the parting line.
    let cup = shapes::cup(12.0, 15.0, 2.0, 2.0, 48);
    let cup = filled(&cup, setup("8 kN"), coarse()).unwrap();
    assert!(cup.run.fills && !cup.pockets.is_empty(), "{}", cup.run.filled);
}

#[test]
fn what_cannot_be_filled_says_why() {
    let skip = FillChoices { skip: true, ..coarse() };
    let why = |result: Result<FillingStudy, NotFilled>| result.err().unwrap();
    assert_eq!(why(filled(&strip(), setup("6 kN"), skip)), NotFilled::Skipped);
    let open = TriMesh::new(strip().points().to_vec(), strip().facets()[1..].to_vec());
    assert_eq!(why(filled(&open, setup("6 kN"), coarse())), NotFilled::Open);
    let mut bare = setup("6 kN");
    bare.plastic.viscosity.value = None;
    let reported = why(filled(&strip(), bare, coarse())).to_string();
    assert!(reported.contains("viscosity"), "{reported}");
}

#[test]
fn the_table_of_losses_is_the_nozzle() {
    use crate::fill::feed_table::FeedTable;
    use crate::process::feed::nozzle;
    use crate::units::VolumeRate;
    let mut setup = setup("6 kN");
    setup.press.nozzle = Press::builtin().unwrap().nozzle;
    let skip = FillChoices { skip: true, ..coarse() };
    let analysis =
        analysis::run(written(&strip()), setup, &fixture_settings(skip), &|_| {})
            .unwrap();
    let feed = &analysis.evaluation.feed_design.as_ref().unwrap().feed;
    let Setup { plastic, press, .. } = &analysis.setup;
    let table = FeedTable::new(feed, plastic, press).unwrap();
    let melt = nozzle::melt(plastic, press).unwrap();
    for flow in [3.1e-9, 2.7e-7, 1e-6, 4.4e-6, 3.3e-5] {
        let lost =
            nozzle::loss(&feed.nozzle_links(), &melt, VolumeRate::from_si(flow)).si();
        let seen = table.at(flow) / lost;
        assert!((seen - 1.0).abs() < 2e-3, "{seen} at {flow}");
    }
    assert!(table.at(0.0) == 0.0 && table.at(1e-16) < table.at(1e-12));
    let at = VolumeRate::from_si(1e-6);
    assert!(nozzle::loss(&feed.links(), &melt, at).si() > 0.0);
}
