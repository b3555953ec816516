//! From how many parts on the mold pays, with a band, and how many cavities do.

use serde::Serialize;

use super::shop::Shop;
use super::{MoldCost, MoldWork, PartCost, PrintCost, ShotWork, mold, molded, printed};
use crate::process::thermal::cycle::Cycle;
use crate::units::{Quantity, Time, Volume};

/// More cavities nobody mills for a small press.
pub const MOST_CAVITIES: u32 = 8;

/// The part, its mold and its shot.
#[derive(Clone, Debug, PartialEq)]
pub struct Job {
    /// The work at the mold.
    pub mold: MoldWork,
    /// Holes of the mold that each cavity has of its own, such as ejector pins.
    pub holes_each: u32,
    /// A shot of the mold as it was checked, by the part.
    pub shot: ShotWork,
    /// Cavities of the mold as it was checked; `mold` is for one of them.
    pub cavities: u32,
    /// Its steps.
    pub cycle: Cycle,
    /// Volume of the part.
    pub volume: Volume,
    /// Parts at once that the barrel gives.
    pub barrel_gives: f64,
    /// Parts at once that the clamp holds; `None` where that is not known.
    pub clamp_holds: Option<f64>,
}

/// A number with all that is in doubt in its favor, as expected, and against it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Band<T> {
    /// In its favor.
    pub best: T,
    /// As expected.
    pub expected: T,
    /// Against it.
    pub worst: T,
}

/// From how many parts on the mold pays; `None` where it never does.
pub fn break_even(mold: f64, molded: f64, printed: f64) -> Option<f64> {
    let saved = printed - molded;
    (saved > 0.0).then(|| (mold / saved).ceil().max(1.0))
}

/// A number of cavities.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Cavities {
    /// How many.
    pub count: u32,
    /// What the mold costs.
    pub mold: f64,
    /// What a part costs, mold left out.
    pub part: f64,
    /// From shot to shot, s.
    pub cycle_s: f64,
    /// What a part costs of as many as are wanted, mold included.
    pub each: f64,
}

/// All of it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Costs {
    /// The mold.
    pub mold: MoldCost,
    /// A part out of it.
    pub molded: PartCost,
    /// The part, printed.
    pub printed: PrintCost,
    /// What the mold costs, in the currency.
    pub mold_band: Band<f64>,
    /// What a part out of it costs.
    pub molded_band: Band<f64>,
    /// What a printed part costs.
    pub printed_band: Band<f64>,
    /// From how many parts on the mold pays; `null` where it never does.
    pub break_even: Band<Option<f64>>,
    /// How many parts are wanted.
    pub wanted: u32,
    /// Numbers of cavities that barrel and clamp allow.
    pub cavities: Vec<Cavities>,
    /// Of these the cheapest for so many parts.
    pub best_cavities: u32,
    /// What stops more cavities.
    pub bound: &'static str,
}

/// The costs of `job` in `shop` for `wanted` parts.
pub fn costs(job: &Job, shop: &Shop, wanted: u32) -> Costs {
    let work = mold_work(job, job.cavities);
    let of_mold = |times: f64| mold(&work, &shop.mold, times);
    let of_part = |times: f64| molded(&job.shot, &shop.molding, times);
    let of_print = |times: f64| printed(job.volume, &shop.printing, times);
    let [made, cast, print] = [shop.mold.doubt, shop.molding.doubt, shop.printing.doubt];
    let band = |of: &dyn Fn(f64) -> f64, doubt: f64| Band {
        best: of(doubt.recip()),
        expected: of(1.0),
        worst: of(doubt),
    };
    let mold_band = band(&|times| of_mold(times).total, made);
    let molded_band = band(&|times| of_part(times).total, cast);
    let printed_band = band(&|times| of_print(times).total, print);
    // What speaks for the mold is a printer that is slow.
    let break_even = Band {
        best: break_even(mold_band.best, molded_band.best, printed_band.worst),
        expected: break_even(
            mold_band.expected,
            molded_band.expected,
            printed_band.expected,
        ),
        worst: break_even(mold_band.worst, molded_band.worst, printed_band.best),
    };
    let (cavities, bound) = cavities(job, shop, wanted);
    let cheapest = cavities.iter().min_by(|a, b| a.each.total_cmp(&b.each));
    let best_cavities = cheapest.map_or(1, |cheapest| cheapest.count);
    Costs {
        mold: of_mold(1.0),
        molded: of_part(1.0),
        printed: of_print(1.0),
        mold_band,
        molded_band,
        printed_band,
        break_even,
        wanted,
        cavities,
        best_cavities,
        bound,
    }
}

/// The numbers of cavities that barrel and clamp allow, and what stops more.
fn cavities(job: &Job, shop: &Shop, wanted: u32) -> (Vec<Cavities>, &'static str) {
    let mut all = Vec::new();
    for count in 1..=MOST_CAVITIES {
        let parts = f64::from(count);
        if count > 1 && parts > job.barrel_gives {
            return (all, "the barrel gives no larger shot");
        }
        if count > 1 && job.clamp_holds.is_some_and(|holds| parts > holds) {
            return (all, "the clamp holds no more");
        }
        all.push(with_cavities(job, shop, wanted, count));
    }
    (all, "no more were looked at")
}

/// Each cavity is milled alone and takes as much block, which is more than it will; the mold opens and
/// cools once for all, while the barrel loads and soaks for each.
fn with_cavities(job: &Job, shop: &Shop, wanted: u32, count: u32) -> Cavities {
    let work = mold_work(job, count);
    let mut shot = ShotWork { parts: count, ..job.shot };
    if count != job.cavities {
        shot.cycle = cycle_of(&job.cycle, f64::from(count) / f64::from(job.cavities));
    }
    let mold = mold(&work, &shop.mold, 1.0).total;
    let part = molded(&shot, &shop.molding, 1.0).total;
    let each = part + mold / f64::from(wanted.max(1));
    Cavities { count, mold, part, cycle_s: shot.cycle.si(), each }
}

/// The work at a mold with so many cavities.
fn mold_work(job: &Job, count: u32) -> MoldWork {
    let parts = f64::from(count);
    MoldWork {
        milling: job.mold.milling * parts,
        holes: job.mold.holes + job.holes_each * (count - 1),
        aluminum: job.mold.aluminum * parts,
        ..job.mold
    }
}

/// The cycle when a shot takes `parts` times the melt: what only the barrel waits for goes with it.
fn cycle_of(cycle: &Cycle, parts: f64) -> Time {
    let of = |step: &crate::process::thermal::cycle::Step| {
        if step.mold { step.time.si() } else { step.time.si() * parts }
    };
    let sum = |waits: fn(&crate::process::thermal::cycle::Step) -> bool| {
        cycle.steps.iter().filter(|step| waits(step)).map(of).sum::<f64>()
    };
    Time::from_si(sum(|step| step.mold).max(sum(|step| step.barrel)))
}

#[cfg(test)]
mod tests {
    use super::{Job, break_even, costs};
    use crate::process::cost::shop::Shop;
    use crate::process::cost::{MoldWork, ShotWork};
    use crate::process::thermal::cycle::{Bench, Shooting, cycle};
    use crate::units::{Quantity, Time, from_grams, read};

    /// By hand: a mold of 306.33 against 2.4096 − 0.98623 saved a part pays from 216 parts on;
    /// against a part that costs as much as printed it never does.
    #[test]
    fn a_mold_pays_from_the_part_on_that_pays_the_rest_of_it() {
        let pays = break_even(306.333_333, 0.986_231, 2.709_588);
        assert_eq!(pays, Some(178.0));
        assert_eq!(break_even(300.0, 1.0, 3.0), Some(150.0));
        assert_eq!(break_even(300.1, 1.0, 3.0), Some(151.0));
        assert_eq!(break_even(300.0, 3.0, 3.0), None);
    }

    fn job() -> Job {
        let [fill, hold, cool] = [3.0, 2.0, 45.0].map(Time::from_si);
        let shooting = Shooting { fill, hold, cool, shots_per_charge: 20.0 };
        let cycle = cycle(&shooting, &Bench::of_bolts(1));
        let shot = ShotWork {
            part: from_grams(10.0),
            feed: from_grams(5.0),
            parts: 1,
            cycle: cycle.total,
        };
        let mold = MoldWork {
            milling: Time::from_si(4.0 * 3600.0),
            tool_changes: 15,
            holes: 30,
            aluminum: from_grams(2500.0),
        };
        Job {
            mold,
            holes_each: 3,
            shot,
            cavities: 1,
            cycle,
            volume: read("12 cm3").unwrap(),
            barrel_gives: 5.2,
            clamp_holds: Some(3.1),
        }
    }

    /// By hand, to the cent: the mold clock is 10 + 3 + 2 + 43 + 10 + 15 = 83 s, the barrel's
    /// 3 + 2 + 1 + 30 = 36 s. So a part is (0.044 + 83/3600 × 28 + 0.16333)/0.92 = 0.93 and
    /// printed (0.16368 + 0.30 + 2.08333)/0.94 = 2.71. 306.33/(2.7096 − 0.9271) = 171.9.
    #[test]
    fn break_even_by_hand_to_the_cent() {
        let costs = costs(&job(), &Shop::default(), 500);
        let cents = |money: f64| (money * 100.0).round() as i64;
        assert_eq!(cents(costs.mold.total), 30_633);
        assert_eq!(cents(costs.molded.total), 93);
        assert_eq!(cents(costs.printed.total), 271);
        let by_hand_part: f64 =
            (0.044 + 83.0 / 3600.0 * 28.0 + 28.0 * 35.0 / 6000.0) / 0.92;
        let by_hand_print: f64 = (0.16368 + 0.3 + 25.0 / 12.0) / 0.94;
        let saved = by_hand_print - by_hand_part;
        let wanted = ((306.0 + 1.0 / 3.0) / saved).ceil();
        assert_eq!(costs.break_even.expected, Some(wanted));
        assert_eq!(wanted as i64, 172);
        // At that many parts the mold has paid, at one less it has not.
        let gain = |parts: f64| parts * saved - costs.mold.total;
        assert!(gain(wanted) >= 0.0 && gain(wanted - 1.0) < 0.0);
        let band = costs.break_even;
        assert!(band.best < band.expected && band.expected < band.worst);
    }

    /// The clamp holds three: two take the mold clock once for two parts, and with many parts
    /// wanted that pays for the second cavity; with few it does not.
    #[test]
    fn cavities_pay_where_there_are_many_parts() {
        let many = costs(&job(), &Shop::default(), 5000);
        assert_eq!(many.cavities.len(), 3);
        assert_eq!(many.bound, "the clamp holds no more");
        assert_eq!(many.best_cavities, 3);
        assert_eq!(costs(&job(), &Shop::default(), 50).best_cavities, 1);
        // Mold 83 s once; the barrel 5 + 3 × 31 = 98 s is slower with three.
        let cycles: Vec<f64> =
            many.cavities.iter().map(|it| it.cycle_s.round()).collect();
        assert_eq!(cycles, [83.0, 83.0, 98.0]);
        let barrel = Job { barrel_gives: 1.9, ..job() };
        let one = costs(&barrel, &Shop::default(), 5000);
        assert_eq!(
            (one.cavities.len(), one.bound),
            (1, "the barrel gives no larger shot")
        );
    }
}
