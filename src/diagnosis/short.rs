//! Why a part is short: less pressure than it takes, or more taken than the sheet says.

use super::cause::Cause;
use super::change::Change;
use super::common;
use super::numbers::{Numbers, celsius, mpa, seconds};
use crate::analysis::filling::{KELVIN_DOUBT, SUPPLY_DOUBT, viscosity_doubt};
use crate::process::evaluation::pressure_window::Holder;
use crate::process::press::shot::TROUBLE;
use crate::process::thermal::cycle::SOAK_S;
use crate::units::format::{percent, three_digits};
use crate::units::{Pressure, Quantity, in_mm};

/// What takes less than this much more pressure explains nothing.
const LEAST_MORE: f64 = 1.03;
/// Loose by which a charge soaks: ten minutes are a workshop's rule, not a measure.
const SOAK_DOUBT: f64 = 1.3;
/// Granules pack by a tenth more or less (judgment).
const BARREL_DOUBT: f64 = 1.1;
/// A seat leaks between melt on its orifice alone and under all of it; where both are one, a
/// fifth more or less.
const SEAT_DOUBT: f64 = 1.2;

pub(super) fn causes(numbers: &Numbers<'_>) -> Vec<Cause> {
    let all = [
        Some(setting(numbers)),
        Some(soaking(numbers)),
        cold_mold(numbers),
        cold_melt(numbers),
        Some(thick_bag(numbers)),
        barrel(numbers),
        nozzle_seat(numbers),
        Some(common::shut_in_air(numbers, "the last place to fill")),
        gate(numbers),
        thin_walls(numbers),
    ];
    all.into_iter().flatten().collect()
}

/// The press was set for less than the part takes.
fn setting(numbers: &Numbers<'_>) -> Cause {
    let (takes, pushed) = (numbers.takes(), numbers.pushed);
    let sound = numbers.takes_sound();
    let window = &numbers.analysis.evaluation.window;
    let most = window.most();
    let to = if takes.worst > pushed { takes.worst.min(most) } else { most };
    let cause = Cause::new("pressure_low", "the press pushes with too little")
        .judged(sound.si(), pushed.si(), numbers.doubt())
        .because(format!(
            "it takes {} ({} at worst), {}",
            mpa(sound),
            mpa(takes.worst),
            numbers.pushed_with()
        ))
        .look(
            "watch the gauge while the ram moves: air drops in a long hose, a hand tires",
        );
    if to.si() > 1.02 * pushed.si() {
        let to_words = numbers.set_to(to);
        cause.change(
            format!("set it to {to_words}, all else as it was"),
            Some(Change::Pressure(to)),
        )
    } else {
        cause.change(
            format!(
                "no more pressure is there or held than {}: change the next cause",
                mpa(most)
            ),
            None,
        )
    }
}

/// A charge that did not melt through takes pressure.
fn soaking(numbers: &Numbers<'_>) -> Cause {
    let cause = Cause::new("not_soaked", "the charge is not melted through")
        .look("purge a shot into the air: lumps, or a strand that stutters, are granules")
        .change(
            format!(
                "soak the charge for {} before the shot",
                seconds(crate::units::Time::from_si(SOAK_S))
            ),
            None,
        );
    let suspected = numbers.may_explain(SUPPLY_DOUBT);
    let by_band = format!(
        "losses {SUPPLY_DOUBT} times as large take {}, {}",
        mpa(numbers.takes().expected * SUPPLY_DOUBT),
        numbers.pushed_with()
    );
    match numbers.shot.in_barrel {
        Some(soaked) => {
            let seen = cause.clone().judged(SOAK_S, soaked.si(), SOAK_DOUBT).strength;
            let evidence = format!(
                "it was {} in the barrel, a cold charge takes {}; {by_band}",
                seconds(soaked),
                seconds(crate::units::Time::from_si(SOAK_S))
            );
            let strength = if seen < 0.0 { seen.min(suspected) } else { seen };
            cause.of_strength(strength).because(evidence)
        }
        None => cause.of_strength(suspected).because(by_band),
    }
}

fn cold_mold(numbers: &Numbers<'_>) -> Option<Cause> {
    let deviation = numbers.mold.as_ref()?;
    let range = numbers.mold_range()?;
    let (with, without) = (deviation.outcome.takes.expected, numbers.takes().expected);
    let start = numbers.analysis.evaluation.clamping.plates.start;
    let was = numbers.shot.mold.unwrap_or(start);
    let shift = numbers.analysis.evaluation.timing.shift.as_ref();
    let cold = shift.and_then(|shift| shift.shots_below(range.low));
    let cause = Cause::new("mold_cold", "the mold is too cold")
        .look("touch the cavity with a thermometer just before closing")
        .change(
            format!(
                "warm the mold to {} before the first shot",
                celsius(range.typical())
            ),
            Some(Change::Mold(range.typical())),
        );
    let evidence = format!(
        "in a mold of {} it takes {}, at {} {}; {}",
        celsius(was),
        mpa(with),
        celsius(range.typical()),
        mpa(without),
        numbers.pushed_with()
    );
    if with.si() < LEAST_MORE * without.si() {
        return Some(cause.excluded().because(evidence));
    }
    let strength = numbers.explains(with, without);
    if deviation.is_measured {
        return Some(cause.of_strength(strength).because(evidence));
    }
    Some(
        match (numbers.shot.number, cold) {
            (Some(number), Some(count)) if number as usize > count => {
                cause.excluded().because(format!(
                    "{evidence}; it is warm after {count} shots, this was shot {number}"
                ))
            }
            (Some(_), _) => cause.of_strength(strength).because(evidence),
            // Whether it was one of the first shots was not said.
            (None, _) => cause.of_strength(strength.min(0.0) - 0.3).because(evidence),
        }
        .supposing(&deviation.outcome),
    )
}

fn cold_melt(numbers: &Numbers<'_>) -> Option<Cause> {
    let deviation = numbers.melt.as_ref()?;
    let range = numbers.melt_range()?;
    let (with, without) = (deviation.outcome.takes.expected, numbers.takes().expected);
    let usual = celsius(range.typical());
    let cause = Cause::new("melt_cold", "the melt is too cold")
        .look("hold a thin thermometer into a purged lump: the display of the heater is not the melt");
    let (cause, at) = match numbers.shot.melt {
        Some(melt) => (cause, celsius(melt)),
        None => (cause, format!("a melt {KELVIN_DOUBT} K colder than {usual}")),
    };
    let evidence = format!(
        "{at} takes {}, {usual} {}; {}",
        mpa(with),
        mpa(without),
        numbers.pushed_with()
    );
    let hotter = if numbers.shot.melt.is_some_and(|melt| melt < range.typical()) {
        range.typical()
    } else {
        range.high
    };
    let cause = cause.because(evidence).change(
        format!("heat the melt to {}", celsius(hotter)),
        Some(Change::Melt(hotter)),
    );
    let is_more = with.si() >= LEAST_MORE * without.si();
    Some(match (deviation.is_measured, is_more) {
        (true, true) => cause.of_strength(numbers.explains(with, without)),
        (true, false) => cause.excluded(),
        (false, _) => cause
            .of_strength(numbers.may_explain(with.si() / without.si()))
            .supposing(&deviation.outcome),
    })
}

fn thick_bag(numbers: &Numbers<'_>) -> Cause {
    let plastic = numbers.plastic();
    let doubt = viscosity_doubt(plastic);
    Cause::new("thick_melt", "this bag flows worse than its data")
        .of_strength(numbers.may_explain(doubt))
        .because(format!(
            "{} {} times as thick takes {}; {}",
            plastic.name,
            three_digits(doubt),
            mpa(numbers.takes().expected * doubt),
            numbers.pushed_with()
        ))
        .look("the melt flow rate on the data sheet of the bag; regrind and colors differ")
        .change(
            "give the melt flow rate of the bag as mfr in plastics.toml, and ask again; else take a grade that flows better",
            None,
        )
}

fn barrel(numbers: &Numbers<'_>) -> Option<Cause> {
    let share = numbers.barrel_share()?;
    Some(
        Cause::new("barrel_empty", "the barrel holds too little for a shot")
            .judged(share, TROUBLE, BARREL_DOUBT)
            .because(format!(
                "a shot takes {} of a stroke; above {} granules do not fit",
                percent(share),
                percent(TROUBLE)
            ))
            .look("mark the ram: at the end of a good shot some way is left")
            .change(
                "tamp the granules, let them melt, and fill up before the shot",
                None,
            ),
    )
}

fn nozzle_seat(numbers: &Numbers<'_>) -> Option<Cause> {
    let limits = &numbers.analysis.evaluation.window.limits;
    let seat = limits.iter().find(|limit| limit.by == Holder::Nozzle)?;
    let doubt = (seat.at_most.si() / seat.surely.si()).clamp(SEAT_DOUBT, 2.0);
    Some(
        Cause::new("nozzle_leaks", "melt escapes between nozzle and mold")
            .judged(numbers.pushed.si(), seat.surely.si(), doubt)
            .because(format!(
                "the nozzle holds to {}, {}",
                mpa(seat.surely),
                numbers.pushed_with()
            ))
            .look("a ring of plastic around the sprue; whether nozzle and seat meet square (cold, pressure off, face shield on)")
            .change("press the nozzle on harder, or level the mold so that both meet square", None),
    )
}

/// A fault of the mold itself: what it takes, and what it would take without it.
fn fault(numbers: &Numbers<'_>, cause: Cause, without: Pressure) -> Cause {
    let with = numbers.takes().expected;
    let cause = if with.si() < LEAST_MORE * without.si() {
        cause.excluded()
    } else {
        cause.of_strength(numbers.explains(with, without))
    };
    let evidence = format!(
        "{} with {}, {} without; {}",
        mpa(with),
        cause.evidence,
        mpa(without),
        numbers.pushed_with()
    );
    cause.because(evidence)
}

fn gate(numbers: &Numbers<'_>) -> Option<Cause> {
    let sized = numbers.sized_gate.as_ref()?;
    let feed = &numbers.analysis.evaluation.feed_design.as_ref().ok()?.feed;
    let [depth, width] =
        [feed.gate.depth, feed.gate.width].map(|it| three_digits(in_mm(it)));
    let cause = Cause::new("gate_small", "the gate is too small")
        .because(format!("the gate of {depth} × {width} mm"))
        .look("measure the stub of the gate on the runner")
        .change(
            "cut the gate as goodshot mold sizes it (leave --gate-depth and --gate-width out)",
            Some(Change::SizedGate),
        );
    Some(fault(numbers, cause, sized.takes.expected))
}

fn thin_walls(numbers: &Numbers<'_>) -> Option<Cause> {
    let thick = numbers.thick_walls.as_ref()?;
    let low = numbers.analysis.walls.limits.as_ref().ok()?.low;
    let thinnest = numbers.analysis.walls.thin.first()?;
    let low_mm = three_digits(in_mm(low));
    let cause = Cause::new("wall_thin", "a wall is too thin for this press")
        .because(format!("walls down to {} mm", three_digits(thinnest.value)))
        .look("whether the part always ends in the same thin place")
        .change(format!("raise thin walls to {low_mm} mm"), Some(Change::Walls(low)));
    Some(fault(numbers, cause, thick.takes.expected))
}
