//! Ejection forces against the worked values of the trade's formulas.

use super::{
    Hot, Keeper, Keeping, Pocket, Ring, StandingWall, draft_factor, hot, ring, shrunk,
    standing_wall,
};
use crate::process::plastic::library::Plastics;
use crate::process::plastic::shrinkage::band;
use crate::units::{Angle, Area, Force, Length, Pressure, Quantity, from_mm2, in_mpa};

fn near(seen: f64, printed: f64, slack: f64) {
    assert!((seen - printed).abs() <= slack, "{seen} is not {printed}");
}

fn length(mm: f64) -> Length {
    Length::from_si(mm * 1e-3)
}

fn degrees(deg: f64) -> Angle {
    Angle::from_si(deg.to_radians())
}

/// 1000 MPa, 1e-4 · 60 K, friction 0.3.
fn stiff() -> Hot {
    Hot { modulus: Pressure::from_si(1e9), strain: 6e-3, friction: 0.3 }
}

/// Worked apart for µ 0.3: what draft leaves of friction.
#[test]
fn draft_lowers_friction() {
    for (deg, left) in [
        (0.0, 0.3),
        (0.25, 0.2952),
        (0.5, 0.2905),
        (1.0, 0.2810),
        (2.0, 0.2622),
        (3.0, 0.2434),
        (5.0, 0.2063),
    ] {
        near(draft_factor(0.3, degrees(deg)), left, 5.1e-5);
    }
    // Shen, Chen and Jiang 1999: the part drops when the tangent of draft is the friction.
    near(draft_factor(0.3, Angle::from_si(0.3_f64.atan() + 1e-9)), 0.0, 0.0);
    assert!(draft_factor(0.3, degrees(16.0)) > 0.0);
}

const PI: f64 = std::f64::consts::PI;

/// A sleeve of 40 mm inside, walls of 2 mm, 30 mm high.
fn sleeve(draft_deg: f64) -> Ring {
    Ring {
        walls: Area::from_si(PI * 0.04 * 0.03),
        outline: length(40.0 * PI),
        corners: 0.0,
        wall: length(2.0),
        draft: degrees(draft_deg),
        closed: Area::default(),
    }
}

fn newtons(ring_: &Ring) -> f64 {
    ring(ring_, &stiff()).unwrap().friction.si()
}

/// Worked apart at E 1000 MPa, α 1e-4, 60 K, µ 0.3, ν 0.4, d 40, t 2, L 30 mm: Lamé 0.54926
/// MPa and 621.20 N. With a wall so thin that the diameter does not matter, Menges' sleeve
/// 678.58 N, his box 864.00 N, the cup of Glanvill and Denton 848.23 N; 40 mm of closed end
/// hold 126 N more.
#[test]
fn rings_of_the_handbooks() {
    let thick = ring(&sleeve(0.0), &stiff()).unwrap();
    near(in_mpa(thick.pressure), 0.54926, 5e-6);
    near(thick.friction.si(), 621.20, 0.01);
    // A hundred times as wide, and so with a hundredth of the height on the same area.
    let wide = Ring { outline: length(4000.0 * PI), ..sleeve(0.0) };
    let wide = Ring { walls: wide.walls * 100.0, ..wide };
    near(newtons(&wide), 678.58, 2.0);
    near(newtons(&Ring { corners: 1.0, ..wide }), 864.0, 2.0);
    let cup = Ring { closed: Area::from_si(PI * 4e-4), ..wide };
    near(newtons(&cup), 848.23, 2.0);
    near(ring(&cup, &stiff()).unwrap().vacuum.si(), 125.66, 0.01);
    assert!(ring(&sleeve(20.0), &stiff()).unwrap().releases_itself);
    near(newtons(&sleeve(20.0)), 0.0, 0.0);
}

/// Force for each unit of height over E ε, mm, by finite elements: bilinear squares of 0.25 to
/// 0.5 mm in plane stress, ν 0.4, a rigid core without friction that is let go where it pulls. A
/// round ring of radius 10 to 15 came out as 21.0 (Lamé 20.9). A hole of 30 × 16 mm with corners
/// of 6 mm in a wall of 6 mm: 25.8; with sharp corners 26.6; a square of 20 mm in a wall of 2
/// mm: 11.2.
#[test]
fn rings_by_finite_elements() {
    let force = |outline: f64, wall: f64, corners: f64| {
        let ring_ =
            Ring { outline: length(outline), wall: length(wall), corners, ..sleeve(0.0) };
        in_mpa(ring(&ring_, &stiff()).unwrap().pressure) / 6.0 * outline
    };
    near(force(20.0 * PI, 5.0, 0.0), 21.0, 0.1);
    near(force(44.0 + 12.0 * PI, 6.0, 0.0), 25.8, 0.3);
    // A sharp box counts as 8 in place of 2π, which is the safe side.
    for (outline, wall, known) in [(92.0, 6.0, 26.6), (80.0, 2.0, 11.2)] {
        let over = force(outline, wall, 1.0) / known;
        assert!((1.2..1.3).contains(&over), "{over}");
    }
}

/// Endless plastic presses with E ε/(1 + ν), none not at all, and nothing is not a number.
#[test]
fn a_ring_of_any_thickness_is_finite() {
    let thick = |mm: f64| {
        in_mpa(
            ring(&Ring { wall: length(mm), ..sleeve(0.0) }, &stiff()).unwrap().pressure,
        )
    };
    near(thick(1e9), 6.0 / 1.4, 1e-6);
    near(thick(f64::INFINITY), 6.0 / 1.4, 1e-6);
    near(thick(0.0), 0.0, 0.0);
    assert!(thick(1.0) < thick(2.0) && thick(2.0) < thick(20.0));
    assert_eq!(ring(&Ring { outline: Length::default(), ..sleeve(0.0) }, &stiff()), None);
    let flat = Ring { walls: Area::default(), ..sleeve(0.0) };
    near(newtons(&flat), 0.0, 0.0);
}

fn rib(height: f64) -> StandingWall {
    StandingWall {
        face: Area::from_si(60e-3 * height * 1e-3),
        height: length(height),
        thickness: length(2.0),
        breadth: length(60.0),
        distance: length(10.0),
        root: length(2.0),
        root_breadth: length(60.0),
        draft: degrees(0.0),
    }
}

/// Two ribs 20 mm apart, 60 mm long, on a plate of 2 mm. By hand, at E 1000 MPa and a strain of
/// 0.006 over 10 mm: as low ribs they pull with the whole plate, E ε 2 · 60 = 720 N each. High
/// ones bend: 63 E I/h³ · 0.06 mm = 18.9 N at 20 mm height with I = 40 mm⁴; with shear, the
/// turn of the root and the plate 16.3 N.
#[test]
fn a_standing_wall_is_a_cantilever() {
    let force = |height: f64| {
        let hold = standing_wall(&rib(height), &stiff()).unwrap();
        hold.friction.si() / 0.3
    };
    near(force(1e-6), 720.0, 0.01);
    let bending = 1e3 * 40.0 / 8000.0 * 63.0 * 0.06;
    near(bending, 18.9, 0.01);
    // 1/63 · 8000/40 = 3.1746; 0.4951 · 100/60 = 0.8251; 0.672 · 10/60 = 0.1120; 10/120.
    near(force(20.0), 60.0 / (3.1746 + 0.8252 + 0.1120 + 0.0833), 0.01);
    assert!(force(100.0) < 0.2 && force(5.0) > force(10.0));
    let nothing =
        StandingWall { height: Length::default(), face: Area::default(), ..rib(1.0) };
    assert_eq!(standing_wall(&nothing, &stiff()), None);
}

/// PP of the table by hand: 1500 MPa · 0.15 to 0.35, shrinkage 1.2 to 2.6 %, 0.47 to 0.84;
/// of it (130 − 90)/(130 − 23) until it is pushed off.
#[test]
fn a_plastic_grips_with_a_band() {
    let plastics = Plastics::builtin().unwrap();
    let pp = plastics.find("pp").unwrap();
    let packed = band(pp, Pressure::from_si(5e6)).unwrap();
    let hot = hot(pp, &packed).unwrap();
    near(in_mpa(hot.low.modulus), 225.0, 1e-9);
    near(in_mpa(hot.high.modulus), 525.0, 1e-9);
    near(shrunk(pp).unwrap(), 40.0 / 107.0, 1e-12);
    near(hot.high.strain, 0.026 * 40.0 / 107.0, 1e-12);
    near(hot.typical.friction, 0.5, 1e-12);
    let force = hot.map(|hot| ring(&sleeve(1.0), &hot).unwrap().total.si());
    assert!(force.low < force.typical && force.typical < force.high);
    let soft = plastics.find("tpu").unwrap();
    assert!(super::hot(soft, &packed).is_err());
}

#[test]
fn the_half_that_holds_more_keeps_the_part() {
    let keeps = |core: f64, cavity: f64| {
        let [core, cavity] = [core, cavity].map(Force::from_si);
        Keeping { core, cavity }
    };
    assert_eq!(keeps(300.0, 0.0).keeper(), Keeper::Core);
    assert_eq!(keeps(0.0, 6.0).keeper(), Keeper::Cavity);
    assert_eq!(keeps(0.0, 4.0).keeper(), Keeper::Unsure);
    assert_eq!(keeps(120.0, 100.0).keeper(), Keeper::Unsure);
    assert_eq!(keeps(0.0, 0.0).keeper(), Keeper::Unsure);
    let alike = keeps(0.0, 0.0);
    assert!((alike.ratio() - 1.0).abs() < 1e-12);
}

/// 2 N for each cm², and of that (µ cos φ − sin φ) / (1 + µ sin φ cos φ) / µ by hand, of 100 mm²:
/// all of it upright, 0.9137 of it at 2°, nothing beyond tan φ = µ.
#[test]
fn a_drafted_pocket_holds_less() {
    let pocket = |deg: f64| Pocket {
        walls: from_mm2(100.0),
        height: Length::default(),
        draft: degrees(deg),
    };
    near(pocket(0.0).sticking(0.5).si(), 2.0, 1e-9);
    near(pocket(2.0).sticking(0.5).si(), 2.0 * 0.913_658, 1e-5);
    near(pocket(27.0).sticking(0.5).si(), 0.0, 1e-12);
}

proptest::proptest! {
    #[test]
    fn more_draft_never_raises_the_force(
        deg in 0.0..20.0_f64, more in 0.01..5.0_f64, friction in 0.05..1.5_f64
    ) {
        let hot = Hot { friction, ..stiff() };
        let force = |deg| ring(&sleeve(deg), &hot).unwrap().total;
        let (less, most) = (force(deg + more), force(deg));
        proptest::prop_assert!(less < most || most.si() <= 0.0);
    }
}
