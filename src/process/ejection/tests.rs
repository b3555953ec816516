//! Ejection forces against the worked values of the trade's formulas.

use super::{
    Grip, Hot, Keeper, POISSON, Round, closed_cup, draft_factor, hot, keeper, of_part,
    thick_pressure, thick_sleeve, thin_box, thin_sleeve,
};
use crate::process::plastic::library::Plastics;
use crate::process::plastic::shrinkage::band;
use crate::units::{
    Angle, Area, Force, Length, Pressure, Quantity, from_degrees, from_mm, from_mm2,
    in_mpa,
};

fn near(seen: f64, printed: f64, slack: f64) {
    assert!((seen - printed).abs() <= slack, "{seen} is not {printed}");
}

/// 1000 MPa, 1e-4 · 60 K, friction 0.3.
fn stiff() -> Hot {
    Hot { modulus: Pressure::from_si(1e9), strain: 6e-3, friction: 0.3 }
}

/// Diameter 40, wall 2, height 30 mm.
fn cup(draft_deg: f64) -> Round {
    Round {
        diameter: from_mm(40.0),
        wall: from_mm(2.0),
        height: from_mm(30.0),
        draft: from_degrees(draft_deg),
    }
}

/// Worked apart at E 1000 MPa, α 1e-4, 60 K, µ 0.3, ν 0.4, d 40, t 2, L 30 mm: Glanvill and
/// Denton 848.23 N, Menges' sleeve 678.58 N, box 864.00 N, Lamé (20/22 mm) 0.54926 MPa and
/// 621.20 N.
#[test]
fn the_formulas_of_the_trade_agree_with_their_worked_values() {
    near(closed_cup(&cup(0.0), &stiff()).si(), 848.23, 0.01);
    near(thin_sleeve(&cup(0.0), &stiff()).si(), 678.58, 0.01);
    near(thin_box(&cup(0.0), &stiff()).si(), 864.00, 0.01);
    near(in_mpa(thick_pressure(&cup(0.0), &stiff(), POISSON)), 0.549_26, 1e-5);
    near(thick_sleeve(&cup(0.0), &stiff()).si(), 621.20, 0.01);
}

/// Ugural and Fenster, Advanced Strength, Ex. 8.3: steel rings of 0.15, 0.20 and 0.25 m with
/// 0.1 mm of interference press with 12.3 MPa. The outer ring alone on a rigid core is
/// stiffer; with the inner ring's give, (b² + a²)/(b² − a²) − ν, added it is theirs.
#[test]
fn the_shrink_fit_of_a_textbook() {
    let ring = Round {
        diameter: from_mm(400.0),
        wall: from_mm(50.0),
        height: from_mm(1.0),
        draft: from_degrees(0.0),
    };
    let steel =
        Hot { modulus: Pressure::from_si(200e9), strain: 0.1 / 200.0, friction: 0.0 };
    let nu = 0.3;
    let rigid = steel.strain / thick_pressure(&ring, &steel, nu).si();
    let (a, b) = (0.15_f64, 0.20_f64);
    let inner = ((b * b + a * a) / (b * b - a * a) - nu) / 200e9;
    near(steel.strain / (rigid + inner) * 1e-6, 12.305, 1e-3);
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
        near(draft_factor(0.3, from_degrees(deg)), left, 5.1e-5);
    }
    // Shen, Chen and Jiang 1999: the part drops when the tangent of draft is the friction.
    near(draft_factor(0.3, Angle::from_si(0.3_f64.atan() + 1e-9)), 0.0, 0.0);
    assert!(draft_factor(0.3, from_degrees(16.0)) > 0.0);
}

fn grip(draft_deg: f64, closed_mm2: f64) -> Grip {
    let pi = std::f64::consts::PI;
    Grip {
        walls: Area::from_si(pi * 0.04 * 0.03),
        outline: Length::from_si(pi * 0.04),
        cores: 1,
        wall: from_mm(2.0),
        draft: from_degrees(draft_deg),
        closed: from_mm2(closed_mm2),
    }
}

/// The formula for any part is the box's, whatever the outline, and lies above the cup's
/// of Glanvill and Denton; 40 mm of closed end hold 126 N more.
#[test]
fn an_arbitrary_part_is_the_box_and_covers_the_cup() {
    let any = of_part(&grip(0.0, 0.0), &stiff()).unwrap();
    near(any.friction.si(), thin_box(&cup(0.0), &stiff()).si(), 1e-9);
    assert!(any.friction > closed_cup(&cup(0.0), &stiff()));
    // Lamé's wall at its middle presses less than the thin hoop: the safe side.
    assert!(any.friction > thick_sleeve(&cup(0.0), &stiff()));
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
    let force = hot.map(|hot| thin_sleeve(&cup(1.0), &hot).si());
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
        proptest::prop_assert!(thick_sleeve(&cup(deg + more), &hot) <= thick_sleeve(&cup(deg), &hot));
    }
}
