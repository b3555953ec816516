//! What the next change of the press would buy: each change as the whole press after it, so
//! that every answer can be asked of it again.
//!
//! A change is the next step that can be bought or turned, not the best one. More force
//! meets the same ram, seat, spring and clamp: what has to grow with it is asked of
//! [`Change::press`].

use super::drive::{Acts, Gauge};
use super::shelf::{self, BORES, RAMS};
use crate::process::press::Press;
use crate::units::format::four_digits;
use crate::units::{Pressure, Quantity, from_mm, in_bar, in_mm, in_psi};

/// Pressure up to which such cylinders, hoses and fittings are rated: 10 bar (ISO 15552).
pub const MOST_AIR_PA: f64 = 1e6;
/// A smaller ram is worth making from here on: 85 % of the diameter, 38 % more pressure.
const SMALLER: f64 = 0.85;
/// A lever is lengthened by half: what a pipe pushed over it gives.
const LONGER: f64 = 1.5;

/// One change and the press after it.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// What is changed, as "bore 63 → 80 mm".
    pub what: String,
    /// What to see to before.
    pub beware: &'static str,
    /// The press after it.
    pub press: Press,
}

/// The changes that this press allows, in the order of their effort.
pub fn next(press: &Press) -> Vec<Change> {
    let cheap = [other_side(press), more_air(press), longer_lever(press)];
    let dear = [smaller_ram(press), larger_bore(press)];
    cheap.into_iter().chain(dear).flatten().collect()
}

fn other_side(press: &Press) -> Option<Change> {
    let mut after = press.clone();
    let air = after.drive.air.as_mut()?;
    if air.acts == Acts::Push {
        return None;
    }
    air.acts = Acts::Push;
    let what = "cylinders turned round to push".to_owned();
    let beware = "the rod carries it in compression: is it thick enough not to buckle?";
    Some(Change { what, beware, press: after })
}

fn more_air(press: &Press) -> Option<Change> {
    let mut after = press.clone();
    let air = after.drive.air.as_mut()?;
    let most = Pressure::from_si(MOST_AIR_PA);
    // A tenth of a bar is within what a gauge shows.
    if in_bar(most) - in_bar(air.air) < 0.1 {
        return None;
    }
    let (unit, [now, then]) = match air.gauge {
        Gauge::Bar => ("bar", [air.air, most].map(|it| four_digits(in_bar(it)))),
        Gauge::Psi => ("psi", [air.air, most].map(|it| format!("{:.0}", in_psi(it)))),
    };
    let what = format!("air {now} → {then} {unit}");
    air.air = most;
    let beware = "only if compressor, hoses, valves and cylinder are all rated for it";
    Some(Change { what, beware, press: after })
}

fn longer_lever(press: &Press) -> Option<Change> {
    let mut after = press.clone();
    let lever = after.drive.lever.as_mut()?;
    let before = lever.long_arm;
    lever.long_arm = before * LONGER;
    let what = format!("lever {}", shelf::change(in_mm(before), in_mm(lever.long_arm)));
    let beware = "pivot, link and frame carry it too, and the hand moves as much farther";
    Some(Change { what, beware, press: after })
}

fn smaller_ram(press: &Press) -> Option<Change> {
    let mut after = press.clone();
    let before = in_mm(press.ram.diameter);
    let rods = RAMS.sizes_mm(before);
    let next = rods.into_iter().rev().find(|rod| *rod <= SMALLER * before)?;
    after.ram.diameter = from_mm(next);
    let what = format!("ram {}", shelf::change(before, next));
    let beware = "a new barrel with it; a thin ram buckles";
    Some(Change { what, beware, press: after })
}

fn larger_bore(press: &Press) -> Option<Change> {
    let mut after = press.clone();
    let air = after.drive.air.as_mut()?;
    let before = in_mm(air.bore);
    let bores = BORES.sizes_mm(before);
    let next = bores.into_iter().find(|bore| *bore > before * (1.0 + 1e-6))?;
    air.bore = from_mm(next);
    let count = if air.cylinders > 1 { " of each cylinder" } else { "" };
    let what = format!("bore{count} {}", shelf::change(before, next));
    let beware =
        "frame and rod carry it too, and the air that a stroke takes grows alike";
    Some(Change { what, beware, press: after })
}

#[cfg(test)]
mod tests {
    use super::{Change, next};
    use crate::process::press::Press;
    use crate::units::{Quantity, in_cm3};
    use proptest::prelude::proptest;

    /// Melt pressure after over melt pressure before.
    fn gain(change: &Change, before: &Press) -> f64 {
        (change.press.melt_pressure() / before.melt_pressure()).si()
    }

    fn near(seen: f64, wanted: f64) {
        assert!((seen - wanted).abs() < 1e-9 * wanted, "{seen} is not {wanted}");
    }

    /// Hand arithmetic: 10 for 7 bar; (25/20)² of pressure for (20/25)² of shot; (80/63)².
    #[test]
    fn changes_of_an_air_press() {
        let press = Press::builtin().unwrap();
        let changes = next(&press);
        let seen: Vec<&str> = changes.iter().map(|change| change.what.as_str()).collect();
        let wanted =
            ["air 7 → 10 bar", "ram 25 → 20 mm", "bore of each cylinder 63 → 80 mm"];
        assert_eq!(seen, wanted);
        for (change, by) in changes.iter().zip([10.0 / 7.0, 1.5625, 6400.0 / 3969.0]) {
            near(gain(change, &press), by);
            let lift = |press: &Press| press.nozzle_lift().unwrap().si();
            near(lift(&change.press) / lift(&press), by);
        }
        let shot = |press: &Press| in_cm3(press.shot_volume());
        near(shot(&changes[1].press) / shot(&press), 0.64);
    }

    #[test]
    fn changes_of_other_presses() {
        let ram = "[ram]\ndiameter = '10 mm'\nstroke = '60 mm'";
        let lever =
            "lever = { hand = '300 N', long_arm = '900 mm', short_arm = '90 mm' }";
        for (drive, wanted) in [
            (lever, &["lever 900 → 1350 mm"][..]),
            (
                "air = { cylinders = 1, bore = '125 mm', air = '10 bar', acts = 'pull', \
                 rod = '32 mm' }",
                &["cylinders turned round to push"],
            ),
            (
                "air = { cylinders = 1, bore = '2 in', air = '100 psi' }",
                &["air 100 → 145 psi", "bore 2 → 2-1/2 in"],
            ),
            ("ram_force = '900 lbf'", &[]),
            ("air = { cylinders = 1, bore = '125 mm', air = '10 bar' }", &[]),
        ] {
            let text = format!("name = 'p'\n[drive]\n{drive}\n{ram}");
            let changes = next(&Press::parse(&text).unwrap());
            let seen: Vec<&str> = changes.iter().map(|c| c.what.as_str()).collect();
            assert_eq!(seen, wanted);
        }
    }

    proptest! {
        /// Pressure grows with the square of the bore and falls with that of the ram.
        #[test]
        fn pressure_goes_with_the_squares(
            bore in 10.0..150.0_f64,
            ram in 8.0..60.0_f64,
            by in 1.05..3.0_f64,
        ) {
            let press = |bore: f64, ram: f64| {
                let text = format!(
                    "name = 'p'\n[drive.air]\ncylinders = 1\nbore = '{bore} mm'\nair = '1 bar'\n\
                     [ram]\ndiameter = '{ram} mm'\nstroke = '100 mm'"
                );
                Press::parse(&text).unwrap().melt_pressure().si()
            };
            near(press(bore * by, ram) / press(bore, ram), by * by);
            near(press(bore, ram) / press(bore, ram * by), by * by);
        }

        #[test]
        fn every_change_raises_the_pressure(air in 0.5..9.8_f64, bore in 20.0..120.0_f64) {
            let text = format!(
                "name = 'p'\n[drive.air]\ncylinders = 2\nbore = '{bore} mm'\nair = '{air} bar'\n\
                 [ram]\ndiameter = '30 mm'\nstroke = '100 mm'\nloss = '20 %'"
            );
            let press = Press::parse(&text).unwrap();
            for change in next(&press) {
                assert!(gain(&change, &press) > 1.0, "{}", change.what);
            }
        }
    }
}
