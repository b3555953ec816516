//! Ejection forces against the worked values of the trade's formulas.

use super::{Grip, Hot, Keeper, draft_factor, hot, keeper, of_part};
use crate::process::plastic::library::Plastics;
use crate::process::plastic::shrinkage::band;
use crate::units::{Angle, Area, Force, Length, Pressure, Quantity, in_mpa};

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

fn grip(draft_deg: f64, closed_mm2: f64) -> Grip {
    let pi = std::f64::consts::PI;
    Grip {
        walls: Area::from_si(pi * 0.04 * 0.03),
        outline: Length::from_si(pi * 0.04),
        cores: 1,
        wall: length(2.0),
        draft: degrees(draft_deg),
        closed: Area::from_si(closed_mm2 * 1e-6),
    }
}

/// Worked apart at E 1000 MPa, α 1e-4, 60 K, µ 0.3, ν 0.4, d 40, t 2, L 30 mm: the formula
/// for any part is Menges' for a thin box, 864.00 N, whatever the outline, and lies above the
/// cup's of Glanvill and Denton, 848.23 N; 40 mm of closed end hold 126 N more.
#[test]
fn an_arbitrary_part_is_the_box_and_covers_the_cup() {
    let any = of_part(&grip(0.0, 0.0), &stiff()).unwrap();
    near(any.friction.si(), 864.00, 0.01);
    let end = std::f64::consts::PI * 400.0;
    let closed = of_part(&grip(0.0, end), &stiff()).unwrap();
    near(closed.vacuum.si(), 125.66, 0.01);
    near(closed.total.si(), closed.friction.si() + 125.66, 0.01);
    // Two cores with half the outline each grip as two.
    let two = Grip { cores: 2, ..grip(0.0, 0.0) };
    near(of_part(&two, &stiff()).unwrap().friction.si(), 1728.0, 0.01);
    let steep = of_part(&grip(20.0, 0.0), &stiff()).unwrap();
    assert!(steep.releases_itself);
    near(steep.total.si(), 0.0, 0.0);
    let nothing = Grip { outline: Length::default(), ..grip(0.0, 0.0) };
    assert_eq!(of_part(&nothing, &stiff()), None);
}

/// PP of the table by hand: 1500 MPa · 0.15 to 0.35, shrinkage 1.2 to 2.6 %, 0.47 to 0.84.
#[test]
fn a_plastic_grips_with_a_band() {
    let plastics = Plastics::builtin().unwrap();
    let pp = plastics.find("pp").unwrap();
    let packed = band(pp, Pressure::from_si(5e6)).unwrap();
    let hot = hot(pp, &packed).unwrap();
    near(in_mpa(hot.low.modulus), 225.0, 1e-9);
    near(in_mpa(hot.high.modulus), 525.0, 1e-9);
    near(hot.high.strain, 0.026, 1e-12);
    near(hot.typical.friction, 0.5, 1e-12);
    let force = hot.map(|hot| of_part(&grip(1.0, 0.0), &hot).unwrap().total.si());
    assert!(force.low < force.typical && force.typical < force.high);
    let soft = plastics.find("tpu").unwrap();
    assert!(super::hot(soft, &packed).is_err());
}

#[test]
fn the_half_that_holds_more_keeps_the_part() {
    let newtons = Force::from_si;
    assert_eq!(keeper(newtons(300.0), newtons(0.0)), Keeper::Core);
    assert_eq!(keeper(newtons(0.0), newtons(1.0)), Keeper::Cavity);
    assert_eq!(keeper(newtons(120.0), newtons(100.0)), Keeper::Unsure);
    assert_eq!(keeper(newtons(0.0), newtons(0.0)), Keeper::Unsure);
}

proptest::proptest! {
    #[test]
    fn more_draft_never_raises_the_force(
        deg in 0.0..20.0_f64, more in 0.01..5.0_f64, friction in 0.05..1.5_f64
    ) {
        let hot = Hot { friction, ..stiff() };
        let force = |deg| of_part(&grip(deg, 0.0), &hot).unwrap().total;
        let (less, most) = (force(deg + more), force(deg));
        proptest::prop_assert!(less < most || most.si() <= 0.0);
    }
}
