//! Causes that several symptoms share.

use super::cause::Cause;
use super::change::Change;
use super::numbers::{Numbers, celsius, mpa, seconds};
use crate::fill::pockets::{Air, Pocket};
use crate::units::format::three_digits;
use crate::units::{Quantity, Temperature, Time, in_mm};

/// A temperature that is read or guessed is off by so much, K (as in the band of the filling).
const KELVIN: f64 = 10.0;
/// The wall at a pocket, and how much air stays in it, are known to a factor of three
/// (judgment).
const AIR_DOUBT: f64 = 3.0;
/// Shut-in air is no more certain a cause than this.
const LEAKY: f64 = 0.3;
/// Air at the pressure of the workshop, Pa.
const ATMOSPHERE_PA: f64 = 101_325.0;
/// Times in the heat and times at the press, by how they are counted.
const TIME_DOUBT: f64 = 1.3;
/// What a plastic stands is a maker's round number.
const HEAT_DOUBT: f64 = 1.5;
/// How long a plastic dries hangs on its oven and its bag.
const DRYING_DOUBT: f64 = 1.5;
/// A thick place that sinks or holds a void, by the tables of walls.
const WALL_DOUBT: f64 = 1.25;

/// Kelvins above or below an end of a range, in doubts.
pub(super) fn beyond(at: Temperature, end: Temperature) -> f64 {
    (at.si() - end.si()) / KELVIN
}

/// The melt is hotter than its plastic is molded at.
pub(super) fn hot_melt(numbers: &Numbers<'_>) -> Option<Cause> {
    let (range, was) = (numbers.melt_range()?, numbers.melt_was()?);
    let given = if numbers.shot.melt.is_some() { "" } else { " as the sheet says" };
    let to = if was > range.typical() { range.typical() } else { range.low };
    Some(
        Cause::new("melt_hot", "the melt is too hot")
            .of_strength(beyond(was, range.high))
            .because(format!(
                "it was {}{given}; {} is molded at {} to {}",
                celsius(was),
                numbers.plastic().name,
                celsius(range.low),
                celsius(range.high)
            ))
            .look("hold a thin thermometer into a purged lump: the display of the heater is not the melt")
            .change(format!("lower the melt to {}", celsius(to)), Some(Change::Melt(to))),
    )
}

/// The melt was in the heat longer than its plastic withstands.
pub(super) fn long_heat(numbers: &Numbers<'_>) -> Cause {
    let cause = Cause::new("long_in_heat", "the melt was in the heat too long")
        .look("purge until the strand is clean and clear of dark streaks, with fumes drawn off")
        .change("purge what is old, charge no more than a shot, keep the rhythm", None);
    let limit = numbers.analysis.evaluation.timing.heat_limit;
    let how = if numbers.shot.in_barrel.is_some() { "" } else { ", by shot and cycle" };
    match (numbers.in_heat(), limit) {
        (Some(hot), Some(limit)) => {
            cause.judged(hot.si(), limit.si(), HEAT_DOUBT).because(format!(
                "it was hot for {}{how}; {} withstands {} at this temperature",
                seconds(hot),
                numbers.plastic().name,
                seconds(limit)
            ))
        }
        (Some(hot), None) => cause.because(format!(
            "it was hot for {}{how}; no source says how long {} withstands that",
            seconds(hot),
            numbers.plastic().name
        )),
        (None, _) => {
            cause.because("neither the time in the barrel nor the cycle is known")
        }
    }
}

/// Water in the plastic.
pub(super) fn moisture(numbers: &Numbers<'_>) -> Cause {
    let plastic = numbers.plastic();
    let drying = plastic.drying.value.as_deref();
    let cause = Cause::new("moisture", "the plastic is damp").look(
        "purge slowly into the air: a strand that foams, spits or is milky holds water",
    );
    let Some(drying) = drying else {
        return cause
            .because(format!("how {} is dried is not known", plastic.name))
            .change("dry a handful as its data sheet says and mold it first", None);
    };
    if drying.starts_with("none") {
        return cause
            .excluded()
            .because(format!(
                "{} takes up no water that matters: drying {drying}",
                plastic.name
            ))
            .change("nothing to dry, unless the bag was wet", None);
    }
    let cause = cause.change(format!("dry it: {drying}"), None);
    let wanted = drying_time(drying);
    match (numbers.shot.dried, wanted) {
        (Some(dried), Some(wanted)) => {
            cause.judged(wanted.si(), dried.si(), DRYING_DOUBT).because(format!(
                "it was dried for {} h; {} needs {drying}",
                three_digits(dried.si() / 3600.0),
                plastic.name
            ))
        }
        (Some(dried), None) if dried.si() > 0.0 => {
            cause.because(format!("{} needs {drying}", plastic.name))
        }
        (Some(_), None) => cause
            .judged(1.0, 0.0, DRYING_DOUBT)
            .because(format!("it was not dried; {} needs {drying}", plastic.name)),
        // What has to be dried, and of which nobody says that it was.
        (None, _) => cause.of_strength(-0.1).because(format!(
            "{} needs {drying}; whether it was dried was not said (--dried)",
            plastic.name
        )),
    }
}

/// The least hours in a drying note such as "80 C, 2 to 4 h, below 0.2 % moisture".
fn drying_time(note: &str) -> Option<Time> {
    let (before, _) = note.split_once(" h")?;
    let piece = before.rsplit(',').next()?;
    let mut numbers =
        piece.split_whitespace().filter_map(|word| word.parse::<f64>().ok());
    numbers.next().map(|hours| Time::from_si(hours * 3600.0))
}

/// The most air that is shut in, with the wall there, mm³.
fn worst_pocket<'a>(numbers: &Numbers<'a>) -> Option<(&'a Pocket, f64)> {
    let filled = numbers.analysis.filling.as_ref().ok()?;
    let shut = filled.pockets.iter().filter(|pocket| pocket.air != Air::Vented);
    let worst = shut.max_by(|a, b| a.volume_mm3.total_cmp(&b.volume_mm3))?;
    let wall = filled.cells.wall_mm.get(filled.cells.nearest(&worst.at)).copied()?;
    Some((worst, std::f64::consts::PI / 6.0 * wall.powi(3)))
}

/// Air that the melt shuts in; `place` is where it shows.
pub(super) fn shut_in_air(numbers: &Numbers<'_>, place: &str) -> Cause {
    let cause = Cause::new("air_shut_in", "air is shut in and cannot get out");
    let Some((pocket, ball)) = worst_pocket(numbers) else {
        return cause
            .excluded()
            .because("by the model the front leaves no place away from the parting line")
            .look(format!("whether {place} is always the same"))
            .change("nothing to vent away from the parting line", None);
    };
    let at = crate::units::format::ascii_point(pocket.at);
    let bubble =
        pocket.volume_mm3 * ATMOSPHERE_PA / numbers.pushed.si().max(ATMOSPHERE_PA);
    cause
        .judged(bubble, ball, AIR_DOUBT)
        // Pins and inserts let part of it out, which the model does not follow.
        .at_most(LEAKY)
        .because(format!(
            "{} mm³ of air are shut in at {at}, {} mm³ when pressed; a ball as wide as the wall has {} mm³",
            three_digits(pocket.volume_mm3),
            three_digits(bubble),
            three_digits(ball)
        ))
        .look(format!("whether {place} lies at {at}, shiny, burnt or rounded"))
        .change(format!("let the air out at {at}: an ejector pin or a split insert there"), None)
}

/// Vents that are shut, or too few for the speed.
pub(super) fn vents(numbers: &Numbers<'_>) -> Option<Cause> {
    let evaluation = &numbers.analysis.evaluation;
    let (vent, count) = (evaluation.vent.as_ref().ok()?, evaluation.vent_count()?);
    let [start, most] = [vent.start, vent.most].map(|depth| three_digits(in_mm(depth)));
    // Whether they were cut, and are open, only the molder sees; the faster, the worse.
    let strength = -0.3 + numbers.explains_haste().clamp(-1.0, 1.0) * 0.2;
    Some(
        Cause::new("vents_shut", "the vents are shut, or were not cut")
            .of_strength(strength)
            .because(format!(
                "{count} vents {start} mm deep let the air of this cavity out; whether yours are open was not said"
            ))
            .look("soot or a film of plastic in the vents; light through them with the mold closed")
            .change(format!("clean the vents, then deepen them from {start} mm to {most} mm at most"), None),
    )
}

/// Pressure was held less long than the gate takes to freeze.
pub(super) fn short_hold(numbers: &Numbers<'_>) -> Option<Cause> {
    let hold = numbers.analysis.evaluation.timing.hold.as_ref()?;
    let wanted = seconds(hold.time);
    let cause = Cause::new("hold_short", "pressure was let off before the gate froze")
        .look("weigh parts held longer and longer: the gate is frozen when the weight no longer grows")
        .change(format!("hold for {wanted} from the full mold on"), None)
        .then(format!("the {} is frozen when the pressure goes", hold.by));
    Some(match numbers.shot.held {
        Some(held) => cause.judged(hold.time.si(), held.si(), TIME_DOUBT).because(format!(
            "the {} freezes after {wanted}, pressure was held {}",
            hold.by,
            seconds(held)
        )),
        None => cause.because(format!(
            "the {} freezes after {wanted}; how long pressure was held was not said (--held)",
            hold.by
        )),
    })
}

/// The mold was opened before the part was stiff.
pub(super) fn early_opening(numbers: &Numbers<'_>) -> Option<Cause> {
    let cool = numbers.analysis.evaluation.timing.cool.as_ref()?;
    let wanted = seconds(cool.time);
    let cause = Cause::new("opened_early", "the mold was opened too soon")
        .look("whether the part is soft or glossy-hot where it is thickest when it comes out")
        .change(format!("wait {wanted} from the full mold on"), None)
        .then(format!("the {} is at its ejection temperature when it opens", cool.by));
    Some(match numbers.shot.cooled {
        Some(cooled) => {
            cause.judged(cool.time.si(), cooled.si(), TIME_DOUBT).because(format!(
                "the {} is stiff after {wanted}, it cooled {}",
                cool.by,
                seconds(cooled)
            ))
        }
        None => cause.because(format!(
            "the {} is stiff after {wanted}; how long it cooled was not said (--cooled)",
            cool.by
        )),
    })
}

/// A place thicker than its plastic takes.
pub(super) fn thick_place(numbers: &Numbers<'_>, what: &str) -> Option<Cause> {
    let thickest = numbers.thickest_mm()?;
    let limits = numbers.analysis.walls.limits.as_ref().ok()?;
    let high = in_mm(limits.high);
    // Below what is even for its plastic, the rest of the part is the measure.
    let wall = numbers.analysis.shape.wall.map_or(high, in_mm);
    let even = three_digits(if thickest > high { high } else { wall });
    let at = numbers.analysis.walls.thick.first().map_or_else(String::new, |wall| {
        format!(" at {}", crate::units::format::ascii_point(wall.at))
    });
    Some(
        Cause::new("wall_thick", format!("a place is too thick, {what}"))
            .judged(thickest, high, WALL_DOUBT)
            .because(format!(
                "the thickest place{at} is {} mm, up to {} mm are even",
                three_digits(thickest),
                three_digits(high)
            ))
            .look(format!("whether it shows{at}; saw a part through there"))
            .change(format!("core the part out{at} toward {even} mm"), None),
    )
}

/// More pressure than filling takes.
pub(super) fn too_much_pressure(numbers: &Numbers<'_>, what: &str) -> Cause {
    let takes = numbers.takes();
    let to = takes.expected.min(numbers.pushed);
    Cause::new(
        "pressure_high",
        format!("the press pushes with more than it takes, {what}"),
    )
    .of_strength(numbers.explains_haste())
    .because(format!("it takes {} at worst, {}", mpa(takes.worst), numbers.pushed_with()))
    .look("whether it gets better shot by shot with less pressure")
    .change(format!("lower it to {}", numbers.set_to(to)), Some(Change::Pressure(to)))
}

impl Numbers<'_> {
    /// How far the pressure is beyond what filling takes at worst, in doubts.
    pub(super) fn explains_haste(&self) -> f64 {
        let over = (self.pushed.si() / self.takes().worst.si()).ln() / self.doubt().ln();
        // As much as the sheet says is no haste.
        if over.is_nan() { -1.0 } else { over - 0.5 }
    }
}

#[cfg(test)]
mod tests {
    use super::drying_time;
    use crate::process::plastic::library::Plastics;
    use crate::units::Quantity;

    #[test]
    fn the_least_hours_of_a_note_count() {
        for (note, hours) in [
            ("80 C, 2 to 4 h, below 0.2 % moisture", Some(2.0)),
            ("120 C, 2 to 4 h in dry air, 4 to 12 h in circulating air", Some(2.0)),
            ("80 C, 3 h", Some(3.0)),
            ("in a dryer", None),
        ] {
            assert_eq!(drying_time(note).map(|time| time.si() / 3600.0), hours, "{note}");
        }
    }

    /// Every built-in plastic either needs no drying or says for how long.
    #[test]
    fn every_note_of_the_library_is_understood() {
        for (name, plastic) in Plastics::builtin().unwrap().iter() {
            let Some(note) = plastic.drying.value.as_deref() else { continue };
            assert!(
                note.starts_with("none") || drying_time(note).is_some(),
                "{name}: {note}"
            );
        }
    }
}
