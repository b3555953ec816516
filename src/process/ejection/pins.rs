//! How many ejector pins of which diameter, so that they neither punch through the part nor
//! buckle, and how far they go.
//!
//! Three rules, and the pin has to obey all: **push-through** (shear in the wall around the
//! pin stays below half the yield stress when hot), **bearing** (a square inch of pin face for
//! 80 square inches of side wall), **buckling** (Euler, then half as thick again).

use crate::process::ejection::Hot;
use crate::units::{Area, Force, Length, Pressure, Quantity, in_mm};

/// Pin diameters on the shelf, mm (common practice).
pub const DIAMETERS_MM: [f64; 7] = [2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0];

/// Share of the hot yield stress that shear around a pin may reach: a half (shear yields at
/// 0.58; common practice).
pub const SHEAR_SHARE: f64 = 0.5;
/// Area of side wall for each area of pin face: 80 to 100 (a tooling lecture of GE Plastics);
/// the safe end.
pub const WALL_PER_FACE: f64 = 80.0;
/// Effective over free length of a pin that is held at its head and guided at its end: 0.7.
pub const FIXITY: f64 = 0.7;
/// How much thicker than Euler a pin is made: by half (Kazmer, Injection Mold Design
/// Engineering).
pub const THICKER: f64 = 1.5;
/// How far pins go beyond the height of the part in the core, mm (Pye, Injection Mould
/// Design).
pub const BEYOND_MM: f64 = 5.0;
/// Fewer pins tip the part over.
pub const FEWEST: u32 = 2;
/// Young's modulus of a steel pin, kN/mm² (handbook value).
pub const STEEL_GPA: f64 = 205.0;
/// Depth of a slot at a corner of the parting line to pry the halves apart, mm: 3 to 5
/// (common practice).
pub const PRY_SLOT_MM: [f64; 2] = [3.0, 5.0];

/// Yield over modulus of a plastic, for a rough yield stress when hot: 0.02, the low side of
/// data sheets at 23 °C (ABS 0.020, PP 0.022, HDPE 0.023, POM 0.023, PC 0.026; from memory).
pub const YIELD_STRAIN: f64 = 0.02;

/// Rough yield stress at ejection: [`YIELD_STRAIN`] of the modulus there.
pub fn hot_yield(hot: &Hot) -> Pressure {
    hot.modulus * YIELD_STRAIN
}

/// What pins have to do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Push {
    /// Force that holds the part.
    pub force: Force,
    /// Thickness of the part where they push.
    pub wall: Length,
    /// Yield stress of the plastic at ejection.
    pub yields: Pressure,
    /// Area of the side walls that rub.
    pub side_walls: Area,
    /// Free length of a pin.
    pub length: Length,
}

/// The rule that asks for most.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rule {
    /// Two at least.
    Fewest,
    /// Push-through.
    Shear,
    /// Bearing.
    Bearing,
    /// Buckling.
    Buckling,
}

/// So many pins of one diameter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pins {
    /// Of each.
    pub diameter: Length,
    /// How many, at least.
    pub count: u32,
    /// Which rule asked for that many.
    pub rule: Rule,
}

/// The least number of pins of this diameter.
pub fn pins(push: &Push, diameter: Length) -> Option<Pins> {
    let each_shear = push.yields * SHEAR_SHARE * (rim(diameter) * push.wall);
    let shear = number(push.force.si() / each_shear.si())?;
    let bearing = number(bearing_face(push.side_walls).si() / face(diameter).si())?;
    let slim = euler(diameter / THICKER, push.length, FIXITY);
    let buckling = number(push.force.si() / slim.si())?;
    [
        (FEWEST, Rule::Fewest),
        (shear, Rule::Shear),
        (bearing, Rule::Bearing),
        (buckling, Rule::Buckling),
    ]
    .into_iter()
    // Of equal numbers the first rule is named.
    .rev()
    .max_by_key(|(count, _)| *count)
    .map(|(count, rule)| Pins { diameter, count, rule })
}

/// Shear in the wall around pins that push with this force.
pub fn push_through(force: Force, pins: &Pins, wall: Length) -> Pressure {
    force / (rim(pins.diameter) * wall * f64::from(pins.count))
}

/// Pin face that a side wall of this area asks for.
pub fn bearing_face(side_walls: Area) -> Area {
    side_walls / WALL_PER_FACE
}

/// Force at which a round steel pin buckles, π² E I / (K l)², for an effective length of K
/// times the free one.
pub fn euler(diameter: Length, free: Length, fixity: f64) -> Force {
    let inertia = std::f64::consts::PI * diameter.si().powi(4) / 64.0;
    let length = fixity * free.si();
    let stiff = std::f64::consts::PI.powi(2) * STEEL_GPA * 1e9 * inertia;
    Force::from_si(stiff / (length * length))
}

/// How far pins have to go: the height of the part in the core and [`BEYOND_MM`].
pub fn stroke(height_in_core: Length) -> Length {
    Length::from_si((in_mm(height_in_core) + BEYOND_MM) * 1e-3)
}

fn rim(diameter: Length) -> Length {
    diameter * std::f64::consts::PI
}

fn face(diameter: Length) -> Area {
    diameter * diameter * std::f64::consts::FRAC_PI_4
}

/// Rounded up; `None` when it is no number that a mold could hold.
fn number(pins: f64) -> Option<u32> {
    (0.0..1e6).contains(&pins).then(|| (pins - 1e-9).ceil().max(0.0) as u32)
}

#[cfg(test)]
mod tests {
    use super::{
        DIAMETERS_MM, FIXITY, Pins, Push, Rule, STEEL_GPA, euler, pins, push_through,
        stroke,
    };
    use crate::units::{Area, Force, Length, Pressure, Quantity, in_mm, in_mpa, read};

    fn length(mm: f64) -> Length {
        Length::from_si(mm * 1e-3)
    }

    fn near(seen: f64, printed: f64, slack: f64) {
        assert!((seen - printed).abs() <= slack, "{seen} is not {printed}");
    }

    /// The least number of pins for each diameter on the shelf, thinnest first.
    fn choices(push: &Push) -> Vec<Pins> {
        DIAMETERS_MM.iter().filter_map(|&mm| pins(push, length(mm))).collect()
    }

    fn push(force: f64) -> Push {
        Push {
            force: Force::from_si(force),
            wall: length(2.0),
            yields: Pressure::from_si(10e6),
            side_walls: read("40 cm2").unwrap(),
            length: length(60.0),
        }
    }

    /// Popov, Engineering Mechanics of Solids, Ex. 11.2: a bar of 60 × 100 mm at 200 kN/mm²
    /// yields (250 MPa) before it buckles up to 1539 mm. The same slenderness l/r of a round
    /// bar, r = d/4, gives the same stress.
    #[test]
    fn euler_meets_a_textbook_column() {
        let slender = 1539.06 / (60.0 / 12_f64.sqrt());
        let d = length(10.0);
        let force = euler(d, d / 4.0 * slender, 1.0) * (200.0 / STEEL_GPA);
        near(in_mpa(force / super::face(d)), 250.0, 0.01);
        let radius = length(1.384);
        let force = euler(radius * 2.0, length(200.0), FIXITY) * (200.0 / STEEL_GPA);
        near(force.si(), 290.0, 0.5);
    }

    /// GE Plastics, tooling lecture: 80 to 100 in² of side wall need one in² of pin face: 82,
    /// 20 and 9 pins of 1/8, 1/4 and 3/8 in (81.5, 20.4, 9.05 before rounding).
    #[test]
    fn bearing_of_a_tooling_lecture() {
        let side_walls: Area = read("80 in2").unwrap();
        let none = Push { side_walls, force: Force::default(), ..push(0.0) };
        for (inch, exact, printed) in
            [(0.125, 81.5, 82), (0.25, 20.4, 20), (0.375, 9.05, 9)]
        {
            let diameter = Length::from_si(inch * 0.0254);
            let faces = super::bearing_face(side_walls) / super::face(diameter);
            near(faces.si(), exact, 0.05);
            let seen = pins(&none, diameter).unwrap();
            assert!(seen.rule == Rule::Bearing && seen.count.abs_diff(printed) <= 1);
        }
    }

    /// By hand: a pin of 4 mm on a wall of 2 mm at 10 MPa shears with π · 4 · 2 · 5 = 125.7 N.
    #[test]
    fn push_through_by_hand() {
        let four = pins(&push(500.0), length(4.0)).unwrap();
        assert_eq!((four.count, four.rule), (4, Rule::Shear));
        near(
            in_mpa(push_through(Force::from_si(500.0), &four, length(2.0))),
            4.974,
            1e-3,
        );
        let soft = pins(&push(0.0), length(8.0)).unwrap();
        assert_eq!((soft.count, soft.rule), (2, Rule::Fewest));
        let long = Push { length: length(600.0), ..push(60.0) };
        assert_eq!(pins(&long, length(2.0)).unwrap().rule, Rule::Buckling);
    }

    #[test]
    fn pins_of_the_shelf() {
        let found = choices(&push(500.0));
        let few = found.iter().find(|pins| pins.count <= 4).unwrap();
        near(in_mm(few.diameter), 4.0, 1e-9);
        assert!(choices(&push(5000.0)).iter().all(|pins| pins.count > 4));
        let nothing = Push { wall: Length::default(), ..push(500.0) };
        assert_eq!(choices(&nothing), Vec::<Pins>::new());
        near(in_mm(stroke(length(25.0))), 30.0, 1e-9);
    }

    proptest::proptest! {
        #[test]
        fn thicker_pins_are_never_more(force in 1.0..5000.0_f64) {
            let counts: Vec<u32> = choices(&push(force)).iter().map(|p| p.count).collect();
            proptest::prop_assert!(counts.windows(2).all(|pair| pair[1] <= pair[0]));
        }
        #[test]
        fn enough_pins_stay_below_half_the_yield(force in 1.0..5000.0_f64) {
            for pins in choices(&push(force)) {
                let stress = push_through(Force::from_si(force), &pins, length(2.0));
                proptest::prop_assert!(in_mpa(stress) <= 5.0 + 1e-6);
            }
        }
    }
}
