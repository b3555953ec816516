//! How long one shot takes, hands included, and which step rules it.
//!
//! Two clocks run side by side: the **mold** (closing, filling, cooling, opening, taking the
//! part out) and the **barrel** (filling, holding, charging, soaking until the granules are
//! melt). The slower one sets the cycle; on a small press that is often the barrel.

use super::cooling::{self, Conditions, Section};
use crate::units::{Length, Mass, Quantity, Time};

/// One piece of the way from nozzle to last corner, or one wall.
#[derive(Clone, Debug, PartialEq)]
pub struct Link {
    /// What it is called, such as "gate".
    pub name: String,
    /// Its shape.
    pub section: Section,
    /// Thickness of a plate, diameter of a rod.
    pub measure: Length,
}

/// A time and the link that sets it.
#[derive(Clone, Debug, PartialEq)]
pub struct Ruled {
    /// How long.
    pub time: Time,
    /// Name of the link.
    pub by: String,
}

/// How long to hold: until the first link on the way freezes shut, since no pressure gets
/// past it after that. `to_freeze` are the conditions down to the no-flow temperature.
/// `None` without links, or when one never freezes and none other does.
pub fn hold(way: &[Link], to_freeze: &Conditions) -> Option<Ruled> {
    let times = way.iter().filter_map(|link| ruled(link, to_freeze));
    times.min_by(|a, b| a.time.si().total_cmp(&b.time.si()))
}

/// How long to cool: until the middle of the last link is stiff. `to_ejection` are the
/// conditions down to the ejection temperature. `None` without links, or when one never gets
/// stiff.
pub fn cool(all: &[Link], to_ejection: &Conditions) -> Option<Ruled> {
    let times: Option<Vec<Ruled>> =
        all.iter().map(|link| ruled(link, to_ejection)).collect();
    times?.into_iter().max_by(|a, b| a.time.si().total_cmp(&b.time.si()))
}

fn ruled(link: &Link, conditions: &Conditions) -> Option<Ruled> {
    let time = cooling::time(link.section, link.measure, conditions)?;
    Some(Ruled { time, by: link.name.clone() })
}

/// What hands and barrel take; every value a default that a stopwatch should replace.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bench {
    /// Closing and clamping.
    pub close: Time,
    /// Unclamping and opening.
    pub open: Time,
    /// Taking the part out and cleaning the mold.
    pub remove: Time,
    /// Filling granules into the barrel.
    pub load: Time,
    /// Soaking a cold charge until it is melt.
    pub soak: Time,
}

/// Seconds for one bolt, put in or taken out with a hand tool (from memory).
pub const BOLT_S: f64 = 10.0;
/// Seconds for closing or opening a vise or toggle (from memory).
pub const VISE_S: f64 = 10.0;
/// Seconds for taking out a part (from memory).
pub const REMOVE_S: f64 = 15.0;
/// Seconds for filling the barrel (from memory).
pub const LOAD_S: f64 = 20.0;
/// Seconds that a cold charge soaks: at least ten minutes (a community workshop's manual
/// press; 20 min of heating and 15 min of soaking before the first).
pub const SOAK_S: f64 = 600.0;

impl Bench {
    /// The defaults for so many bolts; for a vise or toggle, none.
    pub fn of_bolts(count: u32) -> Self {
        let clamp = if count == 0 { VISE_S } else { BOLT_S * f64::from(count) };
        let [close, open, remove, load, soak] =
            [clamp, clamp, REMOVE_S, LOAD_S, SOAK_S].map(Time::from_si);
        Self { close, open, remove, load, soak }
    }
}

/// What the shot itself takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shooting {
    /// Filling the cavity.
    pub fill: Time,
    /// Holding.
    pub hold: Time,
    /// Cooling, from the end of filling.
    pub cool: Time,
    /// Shots that one charge of the barrel gives; below one where a shot takes several.
    pub shots_per_charge: f64,
}

/// Shots that one charge of granules gives: a share of one where a shot takes more than a
/// charge. Not rounded: what a shot leaves in the barrel is soaked already, and what it
/// takes on top of a charge is loaded with the next, so loading and soaking go with the
/// mass that a shot takes out. `None` without a shot or a charge.
pub fn shots_per_charge(charge: Mass, shot: Mass) -> Option<f64> {
    let ratio = charge.si() / shot.si();
    (ratio.is_finite() && ratio > 0.0).then_some(ratio)
}

/// One step of the cycle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// What is done.
    pub what: &'static str,
    /// How long.
    pub time: Time,
    /// Whether the mold waits for it.
    pub mold: bool,
    /// Whether the barrel waits for it.
    pub barrel: bool,
}

/// One cycle.
#[derive(Clone, Debug, PartialEq)]
pub struct Cycle {
    /// The steps, in order.
    pub steps: Vec<Step>,
    /// All that the mold waits for.
    pub mold: Time,
    /// All that the barrel waits for.
    pub barrel: Time,
    /// The longer of the two.
    pub total: Time,
    /// The longest step of the slower clock.
    pub rules: &'static str,
}

impl Cycle {
    /// Parts in an hour from a mold of so many cavities.
    pub fn parts_per_hour(&self, cavities: u32) -> f64 {
        f64::from(cavities) * 3600.0 / self.total.si()
    }
}

/// The cycle of one shot on this bench.
pub fn cycle(shooting: &Shooting, bench: &Bench) -> Cycle {
    let charges = shooting.shots_per_charge.max(f64::MIN_POSITIVE).recip();
    let after_hold = (shooting.cool - shooting.hold).max(Time::default());
    let step = |what, time, mold, barrel| Step { what, time, mold, barrel };
    let steps = vec![
        step("close the mold", bench.close, true, false),
        step("fill", shooting.fill, true, true),
        step("hold", shooting.hold, true, true),
        step("cool after holding", after_hold, true, false),
        step("open the mold", bench.open, true, false),
        step("take the part out", bench.remove, true, false),
        step("load granules", bench.load * charges, false, true),
        step("soak the charge", bench.soak * charges, false, true),
    ];
    let of = |waits: fn(&Step) -> bool| {
        Time::from_si(steps.iter().filter(|s| waits(s)).map(|s| s.time.si()).sum())
    };
    let (mold, barrel) = (of(|step| step.mold), of(|step| step.barrel));
    let slower = |step: &&Step| if mold >= barrel { step.mold } else { step.barrel };
    let longest = steps
        .iter()
        .filter(slower)
        .max_by(|a, b| a.time.si().total_cmp(&b.time.si()))
        .map_or("", |step| step.what);
    Cycle { mold, barrel, total: mold.max(barrel), rules: longest, steps }
}

#[cfg(test)]
mod tests {
    use super::{Bench, Link, Shooting, cool, cycle, hold, shots_per_charge};
    use crate::process::thermal::cooling::{Conditions, Section};
    use crate::units::{
        DiffusionCoefficient, Mass, Quantity, Time, from_celsius, from_mm, read,
    };

    fn heat(diffusivity: f64, melt: f64, mold: f64, target: f64) -> Conditions {
        Conditions {
            diffusivity: DiffusionCoefficient::from_si(diffusivity),
            melt: from_celsius(melt),
            mold: from_celsius(mold),
            target: from_celsius(target),
        }
    }

    fn link(name: &str, section: Section, mm: f64) -> Link {
        Link { name: name.to_owned(), section, measure: from_mm(mm) }
    }

    fn near(seen: f64, printed: f64, slack: f64) {
        assert!((seen - printed).abs() <= slack, "{seen} is not {printed}");
    }

    /// Worked apart with one term: 0.8e-7 m²/s, 220/40 °C down to 130 °C: a land of 1 mm freezes in
    /// 1.1838 s, a pin gate of 1 mm in 0.6292 s; the runner behind stays open longer.
    #[test]
    fn pressure_is_held_until_the_first_link_freezes() {
        let freeze = heat(0.8e-7, 220.0, 40.0, 130.0);
        let runner = link("runner", Section::Rod, 4.0);
        let land = [runner.clone(), link("gate", Section::Plate, 1.0)];
        let seen = hold(&land, &freeze).unwrap();
        assert_eq!(seen.by, "gate");
        near(seen.time.si(), 1.1838, 2e-3);
        let pin = [runner, link("pin gate", Section::Rod, 1.0)];
        near(hold(&pin, &freeze).unwrap().time.si(), 0.6292, 3e-3);
        assert_eq!(hold(&[], &freeze), None);
    }

    /// Imperial College ME4, Problem 5.1: a sprue foot of 5.59 mm at 1e-7 m²/s, 240/60/105 °C
    /// takes 25.09 s (exact middle); a wall of 3 mm there is long stiff: thick sprues rule.
    #[test]
    fn the_thickest_link_sets_the_cooling() {
        let eject = heat(1e-7, 240.0, 60.0, 105.0);
        let both =
            [link("wall", Section::Plate, 3.0), link("sprue foot", Section::Rod, 5.59)];
        let seen = cool(&both, &eject).unwrap();
        assert_eq!(seen.by, "sprue foot");
        near(seen.time.si(), 25.09, 0.02);
        // A mold as warm as the ejection temperature never makes it stiff.
        assert_eq!(cool(&both, &heat(1e-7, 240.0, 110.0, 105.0)), None);
    }

    fn shooting(cool: f64, shots_per_charge: f64) -> Shooting {
        let [fill, hold, cool] = [3.0, 2.0, cool].map(Time::from_si);
        Shooting { fill, hold, cool, shots_per_charge }
    }

    /// By hand: 40 + 3 + 2 + 13 + 40 + 15 s at the mold, 3 + 2 + (20 + 600)/5 s at the barrel.
    #[test]
    fn two_clocks_by_hand() {
        let seen = cycle(&shooting(15.0, 5.0), &Bench::of_bolts(4));
        near(seen.mold.si(), 113.0, 1e-9);
        near(seen.barrel.si(), 129.0, 1e-9);
        near(seen.parts_per_hour(2), 2.0 * 3600.0 / 129.0, 1e-9);
        assert_eq!(seen.rules, "soak the charge");
        let thick = cycle(&shooting(180.0, 5.0), &Bench::of_bolts(4));
        assert_eq!(thick.rules, "cool after holding");
    }

    /// Community workshops quote 10 to 30 shots an hour and 2 to 5 minutes each.
    #[test]
    fn a_small_press_makes_as_many_as_workshops_say() {
        for shots in [2.0, 3.0, 5.0] {
            let seen = cycle(&shooting(20.0, shots), &Bench::of_bolts(4));
            assert!((10.0..=30.0).contains(&seen.parts_per_hour(1)), "{shots}");
        }
    }

    #[test]
    fn a_charge_gives_shots_in_proportion() {
        let grams = |text| read::<Mass>(text).unwrap();
        near(shots_per_charge(grams("27 g"), grams("10 g")).unwrap(), 2.7, 1e-12);
        near(shots_per_charge(grams("27 g"), grams("40 g")).unwrap(), 0.675, 1e-12);
        assert_eq!(shots_per_charge(grams("27 g"), grams("0 g")), None);
        assert_eq!(shots_per_charge(grams("0 g"), grams("9 g")), None);
    }

    /// By hand: of a charge of 26.8 g a shot of 13.2 g soaks 620 · 13.2 / 26.8 = 305.4 s,
    /// one of 13.6 g 314.6 s: 3 % more plastic takes 3 % more time, although the charge
    /// gives two whole shots of the first and one of the other.
    #[test]
    fn a_little_more_plastic_takes_a_little_more_time() {
        let grams = |grams: f64| Mass::from_si(grams * 1e-3);
        let barrel = |shot: f64| {
            let shots = shots_per_charge(grams(26.8), grams(shot)).unwrap();
            cycle(&shooting(15.0, shots), &Bench::of_bolts(4)).barrel.si()
        };
        near(barrel(13.2), 5.0 + 620.0 * 13.2 / 26.8, 1e-9);
        near(barrel(13.6), 5.0 + 620.0 * 13.6 / 26.8, 1e-9);
        // Across a whole charge too.
        near(barrel(27.0) / barrel(26.6), 27.0 / 26.6, 1e-3);
    }

    proptest::proptest! {
        #[test]
        fn cooling_grows_with_the_square_of_the_wall(mm in 0.5..8.0_f64, by in 1.1..3.0_f64) {
            let eject = heat(1e-7, 220.0, 40.0, 90.0);
            for section in [Section::Plate, Section::Rod] {
                let at = |mm| cool(&[link("wall", section, mm)], &eject).unwrap().time.si();
                near(at(mm * by) / at(mm), by * by, 1e-9);
            }
        }
    }
}
