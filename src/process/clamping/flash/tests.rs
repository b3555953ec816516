//! The parting line under load, against beams, statics and the workshop's numbers.

use super::{
    Flash, Held, Opening, Overload, ShutError, Sprue, flashes, land, nozzle_push, shut,
    squeeze_margin, squeezed,
};
use crate::process::clamping::alloys::Alloy;
use crate::process::clamping::bolts::Bolts;
use crate::process::clamping::mold_plates::{Mold, Plates};
use crate::process::clamping::plate_bow::{PlateHalf, VISE_N_M};
use crate::process::plastic::library::Plastics;
use crate::units::{Area, Force, Length, Quantity, Torque, in_mm, in_mpa, read};

fn length(mm: f64) -> Length {
    Length::from_si(mm * 1e-3)
}

fn near(seen: f64, printed: f64, share: f64) {
    assert!((seen / printed - 1.0).abs() <= share, "{seen} is not {printed}");
}

fn plates(thickness: f64) -> Plates {
    let mold = Mold {
        thickness: Some(length(thickness)),
        length: Some(length(120.0)),
        width: Some(length(90.0)),
        bolt_spacing: Some([length(90.0), length(60.0)]),
        ..Mold::default()
    };
    mold.plates([length(40.0), length(30.0)], None)
}

fn bolts(count: u32) -> Bolts {
    let torque = Some(Torque::from_si(24.0));
    let (size, class) = ("M8".to_owned(), "8.8".to_owned());
    Bolts { count, size, class, torque, preload: None, scatter: None }
}

fn opening(mpa: &str, off: f64) -> Opening {
    Opening {
        pressure: read(mpa).unwrap(),
        area: read("12 cm2").unwrap(),
        extents: [length(40.0), length(30.0)],
        middle: [length(off), Length::default()],
        nozzle: Force::default(),
    }
}

fn solid(thickness: Length) -> PlateHalf {
    PlateHalf { thickness, pocket: Length::default() }
}

fn held<'a>(plates: &'a Plates, bolts: &'a Bolts) -> Held<'a> {
    Held { plates, halves: [solid(plates.thickness); 2], bolts }
}

/// By hand: 12 cm² at 10 MPa open with 12 kN; four M8 at 24 N m hold 10.5 kN each at the
/// low end, so each at 3 kN has 3.5 of margin; a middle 22.5 mm off puts half more on two.
#[test]
fn a_small_part_between_four_bolts() {
    let (plates, bolts) = (plates(25.0), bolts(4));
    let mid = shut(&opening("10 MPa", 0.0), &held(&plates, &bolts)).unwrap();
    near(mid.opening.si(), 12_000.0, 1e-9);
    near(mid.margin.unwrap(), 3.5, 1e-9);
    assert!(mid.stretch.si().abs() < 1e-15 && mid.opens_at.unwrap().si() > 42_000.0);
    let off = shut(&opening("10 MPa", 22.5), &held(&plates, &bolts)).unwrap();
    near(off.loads.worst.si(), 4500.0, 1e-9);
    near(off.margin.unwrap(), 10.5 / 4.5, 1e-9);
    near(off.loads.yaw.si(), 270.0, 1e-9);
}

/// M8 of class 8.8 stands 580 MPa on 36.6 mm², 21.2 kN (ISO 898-1). Far beyond the preload the
/// bolts carry all that opens: 120 kN on four are 30 kN each, which none stands. A thin plate
/// yields first: as a beam on the bolts alone, 12 kN over 40 of 90 mm bend 10 mm of 90 mm width
/// with 12 kN (90 / 4 - 40 / 8) mm = 210 N m, 140 MPa, both ways at 20 MPa and at 5 mm far above
/// 270 MPa.
#[test]
fn no_gap_is_given_beyond_what_bolts_and_plates_stand() {
    let bolts = bolts(4);
    let thick = plates(60.0);
    let whole = |mpa: &str, plates: &Plates| {
        shut(&opening(mpa, 0.0), &held(plates, &bolts)).unwrap()
    };
    assert_eq!(whole("10 MPa", &thick).overload, None);
    let Some(Overload::Bolt { carries, stands }) = whole("100 MPa", &thick).overload
    else {
        panic!("the bolts hold")
    };
    near(stands.si(), 580.0 * 36.6, 1e-3);
    assert!((30e3..60e3).contains(&carries.si()), "{carries:?}");
    let thin = whole("20 MPa", &plates(5.0)).overload;
    assert!(thin.is_some(), "{thin:?}");
}

/// Statics: a vise that presses on the whole mold with 20 kN keeps it shut against 12 kN and
/// gives way by what is beyond 20 kN over its stiffness.
#[test]
fn a_vise_gives_way_where_the_melt_pushes_harder() {
    let plates = plates(40.0);
    let gap = |mpa: &str| {
        let halves = [solid(plates.thickness); 2];
        let force = Force::from_si(20e3);
        let opening = opening(mpa, 0.0);
        squeezed(&opening, &plates, halves, plates.edges[0], force).unwrap().gap
    };
    assert!(in_mm(gap("10 MPa")) < 0.006, "{:?}", gap("10 MPa"));
    near(gap("30 MPa").si(), 16e3 / VISE_N_M, 0.1);
}

/// The vent tables: PP stays in 0.013 mm and flashes through 0.03 mm, PC stays in 0.038.
#[test]
fn the_plastic_decides_whether_a_gap_flashes() {
    let plastics = Plastics::builtin().unwrap();
    let vents = |name: &str| plastics.find(name).unwrap().vent_depth.value.unwrap();
    assert_eq!(flashes(length(0.012), &vents("pp")), Flash::None);
    assert_eq!(flashes(length(0.02), &vents("pp")), Flash::Likely);
    assert_eq!(flashes(length(0.035), &vents("pp")), Flash::Sure);
    assert_eq!(flashes(length(0.035), &vents("pc")), Flash::None);
}

/// Statics: a nozzle on a flat seat across the parting does not open it; a
/// nozzle on one half closes, and is not counted against the melt.
#[test]
fn the_sign_of_the_nozzle() {
    let contact = Force::from_si(1500.0);
    assert_eq!(nozzle_push(contact, Sprue::SplitFlat), Force::default());
    let clamping = nozzle_push(contact, Sprue::ThroughOneHalf);
    near(clamping.si(), -1500.0, 1e-12);
    let mut with = opening("10 MPa", 0.0);
    with.nozzle = clamping;
    near(with.force().si(), 12_000.0, 1e-12);
}

/// Common practice: a land may carry a third of 270 MPa.
#[test]
fn land_stress() {
    let seen = land(Force::from_si(60e3), read("10 cm2").unwrap(), Alloy::Wrought6061);
    let seen = seen.unwrap();
    near(in_mpa(seen.stress), 60.0, 1e-9);
    near(in_mpa(seen.allowed), 90.0, 1e-9);
    near(seen.used.si(), 2.0 / 3.0, 1e-9);
    assert_eq!(land(Force::from_si(1.0), Area::default(), Alloy::Cast5083), None);
}

/// Statics: the edge stress of a rectangle, N/A (1 + 3 e/b) with half length b, is nothing
/// at e = b/3 (the middle third): there a vise has to squeeze with twice the force.
#[test]
fn a_vise_has_to_squeeze_harder_beside_its_middle() {
    let [hold, open] = [20e3, 8e3].map(Force::from_si);
    let half = [length(60.0), length(30.0)];
    let margin =
        |off: [f64; 2]| squeeze_margin(hold, open, off.map(length), half).unwrap();
    near(margin([0.0, 0.0]), 2.5, 1e-12);
    near(margin([20.0, 0.0]), 1.25, 1e-12);
    near(margin([0.0, -10.0]), 1.25, 1e-12);
    // The corner of a rectangle lifts at e₁/b₁ + e₂/b₂ = 1/3 (the kern is a rhombus).
    near(margin([10.0, 5.0]), 1.25, 1e-12);
    let middle = [Length::default(); 2];
    assert_eq!(squeeze_margin(hold, Force::default(), middle, half), None);
    assert_eq!(squeeze_margin(hold, open, middle, middle), None);
}

#[test]
fn what_cannot_be_held_says_why() {
    let plates = plates(25.0);
    let two = bolts(2);
    let mut beside = opening("10 MPa", 0.0);
    beside.middle = [Length::default(), length(5.0)];
    assert_eq!(shut(&beside, &held(&plates, &two)), Err(ShutError::OneLine));
    let none = bolts(0);
    assert!(shut(&opening("10 MPa", 0.0), &held(&plates, &none)).is_err());
    let four = bolts(4);
    let through = PlateHalf { thickness: plates.thickness, pocket: plates.thickness };
    let thin = Held { halves: [through; 2], ..held(&plates, &four) };
    assert_eq!(shut(&opening("10 MPa", 0.0), &thin), Err(ShutError::NoMetal));
}

proptest::proptest! {
    #[test]
    fn thicker_plates_and_more_bolts_help(h in 8.0..40.0_f64, off in -20.0..20.0_f64) {
        let of = |h: f64, count| {
            let (plates, bolts) = (plates(h), bolts(count));
            shut(&opening("20 MPa", off), &held(&plates, &bolts)).unwrap()
        };
        proptest::prop_assert!(of(h + 1.0, 4).bow <= of(h, 4).bow);
        proptest::prop_assert!(of(h + 1.0, 4).gap <= of(h, 4).gap);
        proptest::prop_assert!(of(h, 6).margin > of(h, 4).margin);
        proptest::prop_assert!(of(h, 8).margin > of(h, 6).margin);
    }
}
