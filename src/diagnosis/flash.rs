//! Why a part flashes: more pressure than what holds the halves together.

use super::cause::Cause;
use super::change::Change;
use super::common;
use super::numbers::{Numbers, mpa};
use crate::process::evaluation::pressure_window::{Holder, Limit};
use crate::units::format::three_digits;
use crate::units::{Pressure, Quantity, in_mm};

/// A limit is known to this factor at least.
const LEAST_DOUBT: f64 = 1.1;
/// What cutters leave on the parting is known to half a cell.
const LEFT_DOUBT: f64 = 1.5;
/// So much more than is wanted is tried, so that the next shot decides.
const MORE: f64 = 1.1;

pub(super) fn causes(numbers: &Numbers<'_>) -> Vec<Cause> {
    let all = [
        Some(setting(numbers)),
        common::hot_melt(numbers),
        Some(holder(numbers, Holder::Clamp)),
        Some(parting(numbers)),
        Some(holder(numbers, Holder::Plates)),
        Some(dirt()),
    ];
    all.into_iter().flatten().collect()
}

fn limit<'a>(numbers: &Numbers<'a>, by: Holder) -> Option<&'a Limit> {
    numbers.analysis.evaluation.window.limits.iter().find(|limit| limit.by == by)
}

fn doubt(limit: &Limit) -> f64 {
    (limit.at_most.si() / limit.surely.si()).clamp(LEAST_DOUBT, 2.0)
}

/// The least that clamp and plates hold.
fn held(numbers: &Numbers<'_>) -> Option<Limit> {
    let both = [Holder::Clamp, Holder::Plates].into_iter();
    let known = both.filter_map(|by| limit(numbers, by).copied());
    known.min_by(|a, b| a.surely.si().total_cmp(&b.surely.si()))
}

/// The press pushes with more than filling takes, and more than is held.
fn setting(numbers: &Numbers<'_>) -> Cause {
    let worst = numbers.takes().worst;
    let Some(held) = held(numbers) else {
        return common::too_much_pressure(numbers, "and the halves open");
    };
    // What filling takes at worst has to be held anyway: beyond that the setting is to blame.
    let from = held.surely.max(worst);
    let to = numbers.takes().expected.max(worst.min(held.surely)).min(numbers.pushed);
    Cause::new("pressure_high", "the press pushes with more than it takes")
        .judged(numbers.pushed.si(), from.si(), doubt(&held))
        .because(format!(
            "it takes {} at worst, the halves hold to {} ({}); {}",
            mpa(worst),
            mpa(held.surely),
            held.by.name(),
            numbers.pushed_with()
        ))
        .look("whether the flash gets thinner shot by shot with less pressure")
        .change(format!("lower it to {}", numbers.set_to(to)), Some(Change::Pressure(to)))
}

/// What holds the halves together gives way at a pressure that filling takes.
fn holder(numbers: &Numbers<'_>, by: Holder) -> Cause {
    let needed = numbers.takes().worst.min(numbers.pushed);
    let (id, title, look) = match by {
        Holder::Plates => (
            "plates_bow",
            "the plates bow apart",
            "whether the flash is thickest in the middle of a side, far from bolts or jaws",
        ),
        _ => (
            "clamp_weak",
            "the clamp is too weak",
            "whether the flash runs all around or along the side away from the clamp; check the torque of every bolt",
        ),
    };
    let cause = Cause::new(id, title).look(look);
    let Some(limit) = limit(numbers, by) else {
        return match numbers.analysis.evaluation.clamping.force.holding {
            Some(_) => cause
                .excluded()
                .because("it holds at every pressure that was tried")
                .change("nothing to change", None),
            None => cause
                .because("the press file names no clamp")
                .change("give the clamp in the press file, and ask again", None),
        };
    };
    let cause =
        cause.judged(needed.si(), limit.surely.si(), doubt(limit)).because(format!(
            "it holds to {}, {} at the very most; filling takes up to {}, {}",
            mpa(limit.surely),
            mpa(limit.at_most),
            mpa(numbers.takes().worst),
            numbers.pushed_with()
        ));
    let times = MORE * needed.si() / limit.surely.si();
    if by == Holder::Plates {
        let plates = &numbers.analysis.evaluation.clamping.plates;
        let now = in_mm(plates.thickness);
        // Bow goes with the cube of what is behind the cavity.
        let to = (now * times.max(1.3).cbrt()).ceil().max(now + 1.0);
        let thick = crate::units::from_mm(to);
        return cause.change(
            format!(
                "back the plates with a stiff bar each, or make them {} mm thick instead of {}",
                three_digits(to),
                three_digits(now)
            ),
            Some(Change::Plates(thick)),
        );
    }
    cause.change(clamp_words(numbers, times), Some(Change::Clamp(times.max(1.0))))
}

/// How the clamp is made to hold so many times as much.
fn clamp_words(numbers: &Numbers<'_>, times: f64) -> String {
    let press = &numbers.analysis.setup.press;
    let more = three_digits((times.max(1.0) - 1.0) * 100.0);
    let Some(bolts) = press.bolts() else {
        return format!("clamp {more} % harder, within the rating of the vise or clamp");
    };
    let is_over = || {
        let proof = bolts.thread().ok()?.stress_area() * bolts.strength().ok()?.proof;
        Some(bolts.preload().ok()?.si() * times > PROOF_SHARE * proof.si())
    };
    match bolts.torque {
        Some(torque) if is_over() == Some(false) => format!(
            "tighten the {} bolts to {} N m instead of {}",
            bolts.count,
            three_digits(torque.si() * times.max(1.0)),
            three_digits(torque.si())
        ),
        _ => format!(
            "{more} % more clamp force: the {} bolts have no room for it, take more or larger ones",
            bolts.count
        ),
    }
}

/// A bolt is tightened to three quarters of its proof load (common practice).
const PROOF_SHARE: f64 = 0.75;

/// Metal that the cutters leave between the halves.
fn parting(numbers: &Numbers<'_>) -> Cause {
    let cause = Cause::new("parting_apart", "metal keeps the halves apart")
        .look("blue one parting face and close: the other shows where they touch");
    let stays_in = numbers.plastic().vent_depth.value;
    let cutting = numbers.analysis.cutting.as_ref();
    let (Ok(cutting), Some(stays_in)) = (cutting, stays_in) else {
        return cause
            .because("what the cutters leave on the parting is not known")
            .change("face both halves in one setting", None);
    };
    let Some(worst) = cutting.milled.worst(true) else {
        let seen = cutting.milled.limit;
        let (seen_mm, gap_mm) = (three_digits(seen), three_digits(in_mm(stays_in.high)));
        let cause = cause.because(format!(
            "the cutters leave less than {seen_mm} mm on the parting; {} stays in gaps up to {gap_mm} mm",
            numbers.plastic().name
        ));
        // What is finer than the cells does no better than the hand that wipes it.
        let cause = if seen <= in_mm(stays_in.high) { cause.excluded() } else { cause };
        return cause
            .change("face both halves in one setting; then stone their edges", None);
    };
    cause
        .judged(worst.left, in_mm(stays_in.high), LEFT_DOUBT)
        .because(format!(
            "the cutters leave {} mm on the parting at {}, {} stays in gaps up to {} mm",
            three_digits(worst.left),
            crate::units::format::ascii_point(worst.at),
            numbers.plastic().name,
            three_digits(in_mm(stays_in.high))
        ))
        .change("relieve the other half there, or take a smaller cutter", None)
}

/// What no number knows.
fn dirt() -> Cause {
    Cause::new("parting_dirty", "dirt or a burr lies between the halves")
        .because("no number knows it")
        .look("wipe the parting faces and feel along their edges (mold cold, clamp safe)")
        .change("clean and stone the parting faces", None)
}

/// The pressure that is held where it is less than `pressure`.
pub(super) fn holds(limit: Option<Limit>, pressure: Pressure) -> String {
    match limit {
        Some(limit) if limit.surely < pressure => {
            format!(
                "the halves then hold to {} ({}), less than {}",
                mpa(limit.surely),
                limit.by.name(),
                mpa(pressure)
            )
        }
        Some(limit) => format!(
            "the halves then hold to {} ({}), which is enough for {}",
            mpa(limit.surely),
            limit.by.name(),
            mpa(pressure)
        ),
        None => format!("the halves then hold {}", mpa(pressure)),
    }
}
