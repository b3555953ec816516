//! Why a nozzle drools, and why a cold slug gets into the part.

use super::cause::Cause;
use super::change::Change;
use super::common;
use super::numbers::{Numbers, celsius, seconds};
use crate::process::feed::nozzle;
use crate::process::press::circle;
use crate::units::format::three_digits;
use crate::units::{Quantity, Time, in_mm};

/// A cause that seldom is one.
const SELDOM: f64 = -0.5;
/// Melt that runs out by its own weight between two shots is seen from a tenth of a gram on
/// (judgment).
const SEEN_G: f64 = 0.1;
/// What runs out goes with the fourth power of the bore and the viscosity at rest.
const RUN_DOUBT: f64 = 3.0;
/// Rate at which the viscosity of melt that hardly moves is taken, 1/s.
const REST_RATE: f64 = 1.0;
/// Gravity, m/s².
const GRAVITY: f64 = 9.806_65;
/// The plug in the nozzle is known to half of itself.
const PLUG_DOUBT: f64 = 1.5;
/// A tip is warmer than the mold that it stands on, and stays open so much longer (judgment).
const WARM_TIP: f64 = 3.0;
/// Loose by as much.
const FREEZE_DOUBT: f64 = 2.0;

/// Melt that runs out of the nozzle.
pub(super) fn drool(numbers: &Numbers<'_>) -> Vec<Cause> {
    let all = [
        Some(pressure_left()),
        common::hot_melt(numbers),
        // Wet nylon drools; others seldom.
        Some(common::moisture(numbers).at_most(SELDOM)),
        runs_out(numbers),
        Some(common::long_heat(numbers)),
    ];
    all.into_iter().flatten().collect()
}

/// A cold lump.
pub(super) fn cold_slug(numbers: &Numbers<'_>) -> Vec<Cause> {
    let all =
        [stands_on_mold(numbers), cold_melt(numbers), cold_mold(numbers), well(numbers)];
    all.into_iter().flatten().collect()
}

fn pressure_left() -> Cause {
    Cause::new("pressure_left", "pressure is left on the ram when the mold is taken away")
        .because("no number knows it")
        .look("the gauge, or whether the ram moves back when it is let go")
        .change("let the pressure off, then draw the ram back by a few millimeters before the mold comes off", None)
}

/// By its own weight, in the time in which the nozzle is open: Q = π d⁴ ρ g H / (128 η L).
fn runs_out(numbers: &Numbers<'_>) -> Option<Cause> {
    let (press, plastic) = (&numbers.analysis.setup.press, numbers.plastic());
    let nozzle = press.nozzle.as_ref()?;
    let (viscosity, density) = (plastic.viscosity.value?, plastic.melt_density.value?);
    let at = numbers.melt_was()?;
    let thick = viscosity.pa_s(REST_RATE, at, crate::units::Pressure::default());
    let cycle = numbers.analysis.evaluation.timing.cycle.as_ref()?;
    let open: f64 =
        cycle.steps.iter().filter(|step| !step.barrel).map(|step| step.time.si()).sum();
    let head = density.si() * GRAVITY * press.ram.stroke.si();
    let flow = std::f64::consts::PI * nozzle.orifice.si().powi(4) * head
        / (128.0 * thick * nozzle.land.si());
    let grams = flow * open * density.si() * 1e3;
    let bore = three_digits(in_mm(nozzle.orifice));
    Some(
        Cause::new("nozzle_wide", "the bore of the nozzle is too wide for a melt this thin")
            .judged(grams, SEEN_G, RUN_DOUBT)
            .because(format!(
                "by its own weight {} g run out of {bore} mm in the {} between two shots ({} at {})",
                three_digits(grams),
                seconds(Time::from_si(open)),
                plastic.name,
                celsius(at)
            ))
            .look("whether it runs with the ram drawn back: then it is its own weight")
            .change(format!("a longer or narrower bore than {bore} mm, or shut it with a plate between shots"), None),
    )
}

/// The nozzle stands on the cold mold until its melt is stiff.
fn stands_on_mold(numbers: &Numbers<'_>) -> Option<Cause> {
    let (press, plastic) = (&numbers.analysis.setup.press, numbers.plastic());
    let nozzle = press.nozzle.as_ref()?;
    let freezes = nozzle::freeze_time(nozzle, plastic).ok()??;
    let timing = &numbers.analysis.evaluation.timing;
    let stands = numbers.shot.cooled.or(timing.cool.as_ref().map(|cool| cool.time))?;
    let limit = freezes * WARM_TIP;
    let cause = Cause::new("nozzle_cold", "the nozzle touches the cold mold too long")
        .judged(stands.si(), limit.si(), FREEZE_DOUBT);
    // What froze in the nozzle of a good shot lies in the well.
    let [plug, room] = plug_and_room(numbers)?;
    let cause = if plug < room { cause.at_most(-0.1) } else { cause };
    Some(
        cause
            .because(format!(
                "its bore of {} mm freezes in {} on bare metal, in about {} as warm as a tip is; it stands there for {}",
                three_digits(in_mm(nozzle.orifice)),
                seconds(freezes),
                seconds(limit),
                seconds(stands)
            ))
            .look("whether the lump is as wide as the bore of the nozzle")
            .change("take the nozzle off the mold once the gate is frozen, or lay card between them", None),
    )
}

fn cold_melt(numbers: &Numbers<'_>) -> Option<Cause> {
    let (range, was) = (numbers.melt_range()?, numbers.melt_was()?);
    let given = if numbers.shot.melt.is_some() { "" } else { " as the sheet says" };
    let to = if was < range.typical() { range.typical() } else { range.high };
    Some(
        Cause::new("melt_cold", "the melt is too cold")
            .of_strength(-common::beyond(was, range.low))
            .because(format!(
                "it was {}{given}; {} is molded at {} and above",
                celsius(was),
                numbers.plastic().name,
                celsius(range.low)
            ))
            .look("hold a thin thermometer into a purged lump")
            .change(format!("heat the melt to {}", celsius(to)), Some(Change::Melt(to))),
    )
}

fn cold_mold(numbers: &Numbers<'_>) -> Option<Cause> {
    let range = numbers.mold_range()?;
    let was = numbers.shot.mold?;
    Some(
        Cause::new("mold_cold", "the mold is too cold")
            .of_strength(-common::beyond(was, range.low))
            .because(format!(
                "it was {}; {} is molded into {} and above",
                celsius(was),
                numbers.plastic().name,
                celsius(range.low)
            ))
            .look("touch the sprue with a thermometer just before closing")
            .change(
                format!("warm the mold to {}", celsius(range.typical())),
                Some(Change::Mold(range.typical())),
            ),
    )
}

/// Volume of what freezes in the nozzle, and of the well, mm³.
fn plug_and_room(numbers: &Numbers<'_>) -> Option<[f64; 2]> {
    let nozzle = numbers.analysis.setup.press.nozzle.as_ref()?;
    let feed = &numbers.analysis.evaluation.feed_design.as_ref().ok()?.feed;
    let plug = circle(nozzle.orifice) * nozzle.land;
    let room = circle(feed.well.diameter) * feed.well.length;
    Some([plug, room].map(|volume| volume.si() * 1e9))
}

/// The well does not hold what froze in the nozzle.
fn well(numbers: &Numbers<'_>) -> Option<Cause> {
    let [plug, room] = plug_and_room(numbers)?;
    Some(
        Cause::new("well_small", "the cold-slug well is too small")
            .judged(plug, room, PLUG_DOUBT)
            .because(format!(
                "the plug of the nozzle has {} mm³, the well {} mm³",
                three_digits(plug),
                three_digits(room)
            ))
            .look("whether the well on the runner is full of the cold lump")
            .change(
                "a well opposite the sprue as wide as its foot and as deep (--well-diameter, --well-length)",
                None,
            ),
    )
}
