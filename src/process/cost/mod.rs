//! Hours and money: what the mold costs, what a part costs out of it, what the same part costs
//! printed, and from how many parts on the mold pays.
//!
//! | question | file |
//! |---|---|
//! | what do things cost in this shop | [`shop`] |
//! | from how many parts on does the mold pay, how many cavities | [`break_even`] |
//!
//! ```text
//! mold   = hours at the router × rate + hours of a person × rate
//!          + aluminum + cutters worn + hardware
//! molded = (plastic + cycle × rates + heating up / parts of a session) / (1 − scrap)
//! printed = (material + hours × rate + a person's time) / (1 − failed)
//! break-even = mold / (printed − molded)
//! ```

pub mod shop;
pub mod break_even;

use serde::Serialize;

use crate::units::{Mass, Quantity, Time, Volume};
use shop::{MoldRates, MoldingRates, PrintingRates};

/// The work at a mold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MoldWork {
    /// Time of the cutters in the metal of both halves.
    pub milling: Time,
    /// Cutters in halves: each is changed and zeroed.
    pub tool_changes: u32,
    /// Holes in both halves.
    pub holes: u32,
    /// The blanks.
    pub aluminum: Mass,
}

/// What a mold costs, in the currency of the shop.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct MoldCost {
    /// Hours of the router.
    pub router_h: f64,
    /// Hours of a person.
    pub hand_h: f64,
    /// The router.
    pub router: f64,
    /// The person.
    pub hand: f64,
    /// Both blanks.
    pub aluminum: f64,
    /// Cutters worn.
    pub cutters: f64,
    /// Bolts, dowels, pins.
    pub hardware: f64,
    /// All of it.
    pub total: f64,
}

const HOUR_S: f64 = 3600.0;

/// What a mold costs when all hours take `times` as long as worked out.
pub fn mold(work: &MoldWork, rates: &MoldRates, times: f64) -> MoldCost {
    let router_h = work.milling.si() / HOUR_S * times;
    let by_hand = rates.setting_up
        + rates.hole * f64::from(work.holes)
        + rates.tool_change * f64::from(work.tool_changes);
    let hand_h = by_hand.si() / HOUR_S * times + router_h * rates.attended.si();
    let router = router_h * rates.router_per_hour;
    let hand = hand_h * rates.hand_per_hour;
    let aluminum = work.aluminum.si() * rates.aluminum_per_kg;
    let cutters = router_h * HOUR_S / rates.cutter_life.si() * rates.cutter;
    let hardware = rates.hardware;
    let total = router + hand + aluminum + cutters + hardware;
    MoldCost { router_h, hand_h, router, hand, aluminum, cutters, hardware, total }
}

/// What a shot takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShotWork {
    /// Mass of one part.
    pub part: Mass,
    /// Mass of its sprue, runner and gate.
    pub feed: Mass,
    /// Parts of a shot.
    pub parts: u32,
    /// From shot to shot.
    pub cycle: Time,
}

/// What a molded part costs, mold left out.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct PartCost {
    /// Good parts in an hour of work at the press.
    pub parts_per_hour: f64,
    /// Plastic.
    pub plastic: f64,
    /// The press.
    pub press: f64,
    /// The person.
    pub hand: f64,
    /// Heating up, of both.
    pub heating_up: f64,
    /// What thrown away parts add.
    pub scrap: f64,
    /// All of it.
    pub total: f64,
}

/// What a part costs when the cycle takes `times` as long as worked out.
pub fn molded(work: &ShotWork, rates: &MoldingRates, times: f64) -> PartCost {
    let parts = f64::from(work.parts.max(1));
    let grams = work.part + work.feed * (1.0 - rates.regrind.si());
    let plastic = grams.si() * rates.plastic_per_kg;
    let hours = work.cycle.si() * times / HOUR_S / parts;
    let press = hours * rates.press_per_hour;
    let hand = hours * rates.attended.si() * rates.hand_per_hour;
    let session =
        rates.heating_up.si() / HOUR_S / f64::from(rates.parts_per_session.max(1));
    let heating_up = session * (rates.press_per_hour + rates.hand_per_hour);
    let good = 1.0 - rates.scrap.si();
    let total = (plastic + press + hand + heating_up) / good;
    PartCost {
        parts_per_hour: good / hours,
        plastic,
        press,
        hand,
        heating_up,
        scrap: total - (plastic + press + hand + heating_up),
        total,
    }
}

/// What a printed part costs.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct PrintCost {
    /// Hours of the printer.
    pub hours: f64,
    /// Filament, g.
    pub grams: f64,
    /// Filament.
    pub material: f64,
    /// The printer.
    pub printer: f64,
    /// The person.
    pub hand: f64,
    /// What failed prints add.
    pub failed: f64,
    /// All of it.
    pub total: f64,
}

/// What a part of this volume costs printed, when it takes `times` as long as its flow says.
pub fn printed(volume: Volume, rates: &PrintingRates, times: f64) -> PrintCost {
    let laid = volume * rates.solid.si();
    let hours = (laid / rates.flow).si() / HOUR_S * times;
    let kilograms = (laid * rates.density).si();
    let material = kilograms * rates.material_per_kg;
    let printer = hours * rates.printer_per_hour;
    let hand = rates.hand.si() / HOUR_S * rates.hand_per_hour;
    let total = (material + printer + hand) / (1.0 - rates.failed.si());
    let failed = total - (material + printer + hand);
    PrintCost { hours, grams: kilograms * 1e3, material, printer, hand, failed, total }
}

#[cfg(test)]
mod tests {
    use super::shop::{MoldRates, MoldingRates, PrintingRates};
    use super::{MoldWork, ShotWork, mold, molded, printed};
    use crate::units::{Quantity, Ratio, Time, from_grams, read};

    fn near(seen: f64, by_hand: f64) {
        assert!((seen - by_hand).abs() < 1e-9, "{seen} is not {by_hand}");
    }

    /// By hand: 4 h of cutters at 12 are 48; a person for 2 h of milling (half of it), 3 h of
    /// setting up, 30 holes and 15 changes of 4 min (3 h) is there 8 h at 25, 200; 2.5 kg at 10
    /// are 25; 4 of 6 h of a cutter of 20 are 13.33; hardware 20: 306.33 in all. Half as long
    /// again: router 72, person 12 h, 300, cutters 20: 437.
    #[test]
    fn a_mold_by_hand() {
        let work = MoldWork {
            milling: Time::from_si(4.0 * 3600.0),
            tool_changes: 15,
            holes: 30,
            aluminum: from_grams(2500.0),
        };
        let cost = mold(&work, &MoldRates::default(), 1.0);
        near(cost.router, 48.0);
        near(cost.hand_h, 8.0);
        near(cost.hand, 200.0);
        near(cost.aluminum, 25.0);
        near(cost.cutters, 40.0 / 3.0);
        near(cost.total, 306.0 + 1.0 / 3.0);
        near(mold(&work, &MoldRates::default(), 1.5).total, 437.0);
    }

    /// By hand: 10 g and a fifth of 5 g of feed at 4 a kilogram are 0.044; 90 s at 3 and 25 an
    /// hour are 0.70; 35 min at 28 an hour over 100 parts are 0.16333; 0.90733 in all, over
    /// 0.92 are 0.98623. 40 cycles an hour are 36.8 good parts. Two parts of a shot halve the time.
    #[test]
    fn a_molded_part_by_hand() {
        let work = ShotWork {
            part: from_grams(10.0),
            feed: from_grams(5.0),
            parts: 1,
            cycle: Time::from_si(90.0),
        };
        let cost = molded(&work, &MoldingRates::default(), 1.0);
        near(cost.plastic, 0.044);
        near(cost.press + cost.hand, 0.7);
        near(cost.heating_up, 28.0 * 35.0 / 60.0 / 100.0);
        near(cost.total, (0.744 + 28.0 * 35.0 / 6000.0) / 0.92);
        near(cost.parts_per_hour, 36.8);
        let two = molded(&ShotWork { parts: 2, ..work }, &MoldingRates::default(), 1.0);
        near(two.press + two.hand, 0.35);
        near(two.parts_per_hour, 73.6);
    }

    /// By hand: half of 12 cm³ at 10 cm³/h takes 0.6 h, 0.30 at 0.5 an hour; 7.44 g at 22 a
    /// kilogram are 0.16368; 5 min at 25 an hour are 2.08333; over 0.94.
    #[test]
    fn a_printed_part_by_hand() {
        let rates =
            PrintingRates { solid: Ratio::from_si(0.5), ..PrintingRates::default() };
        let cost = printed(read("12 cm3").unwrap(), &rates, 1.0);
        near(cost.hours, 0.6);
        near(cost.grams, 7.44);
        near(cost.material, 0.16368);
        near(cost.printer, 0.3);
        near(cost.total, (0.46368 + 25.0 / 12.0) / 0.94);
    }
}
