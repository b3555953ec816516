//! Why a part sticks: what holds it on the metal, and what was done to make it hold harder.

use super::cause::Cause;
use super::change::Change;
use super::common;
use super::numbers::{Numbers, celsius, seconds};
use crate::part::undercut;
use crate::process::ejection::{LEAST_N, SURE_RATIO};
use crate::units::format::{ascii_point, three_digits};
use crate::units::{Quantity, in_mm};

/// A trapped depth is known to half of itself, and so is draft.
const DEPTH_DOUBT: f64 = 1.5;
/// A draft below this, degrees, is none.
const NO_DRAFT_DEG: f64 = 0.1;
/// So many times the cooling time a part may sit on its core before it shrinks on much harder
/// (judgment).
const LATE: f64 = 3.0;
/// Loose by as much.
const LATE_DOUBT: f64 = 1.5;
/// Friction is known to such a factor.
const GRIP_DOUBT: f64 = 1.5;

pub(super) fn causes(numbers: &Numbers<'_>) -> Vec<Cause> {
    let all = [
        Some(common::too_much_pressure(numbers, "and packs the part onto the metal")),
        late_opening(numbers),
        common::early_opening(numbers),
        hot_mold(numbers),
        pins(numbers),
        wrong_half(numbers),
        Some(draft(numbers)),
        Some(trapped(numbers)),
    ];
    all.into_iter().flatten().collect()
}

fn late_opening(numbers: &Numbers<'_>) -> Option<Cause> {
    let cool = numbers.analysis.evaluation.timing.cool.as_ref()?;
    let cause = Cause::new(
        "opened_late",
        "the mold was opened so late that the part has shrunk on",
    )
    .look("whether parts that come out sooner let go more easily")
    .change(format!("open {} after the mold is full", seconds(cool.time)), None);
    Some(match numbers.shot.cooled {
        Some(cooled) => {
            cause.judged(cooled.si(), LATE * cool.time.si(), LATE_DOUBT).because(format!(
                "it cooled {}, it is stiff after {}",
                seconds(cooled),
                seconds(cool.time)
            ))
        }
        None => cause.because(format!(
            "it is stiff after {}; how long it cooled was not said (--cooled)",
            seconds(cool.time)
        )),
    })
}

fn hot_mold(numbers: &Numbers<'_>) -> Option<Cause> {
    let (range, was) = (numbers.mold_range()?, numbers.shot.mold?);
    Some(
        Cause::new("mold_hot", "the mold is too hot")
            .of_strength(common::beyond(was, range.high))
            .because(format!(
                "it was {}; {} is molded into {} to {}",
                celsius(was),
                numbers.plastic().name,
                celsius(range.low),
                celsius(range.high)
            ))
            .look("touch the cavity with a thermometer as soon as it is open")
            .change(
                format!("let the mold cool to {}", celsius(range.typical())),
                Some(Change::Mold(range.typical())),
            ),
    )
}

fn pins(numbers: &Numbers<'_>) -> Option<Cause> {
    let ejection = numbers.analysis.evaluation.ejection.as_ref().ok()?;
    let force = ejection.force();
    let grip = three_digits(force.typical.si());
    let cause = Cause::new("pins_few", "too few pins push, or too thin ones")
        .look("white or dented spots where pins push, and whether the part tips")
        .change("add pins near what grips: cores, ribs, corners", None);
    if ejection.is_loose() || force.typical.si() < LEAST_N {
        return Some(
            cause
                .excluded()
                .because(format!("{grip} N hold it on its core: that falls off")),
        );
    }
    let pinned = numbers.analysis.pinned.as_ref()?;
    let Some(wanted) = pinned.pins else {
        return Some(cause.judged(GRIP_DOUBT, 1.0, GRIP_DOUBT).because(format!(
            "{grip} N hold it on its core, more than any number of pins that fits pushes"
        )));
    };
    let found = pinned.pads.list.len();
    let evidence = format!(
        "{grip} N hold it on its core, which takes {} pins of {} mm; {found} find a place",
        wanted.count,
        three_digits(in_mm(wanted.diameter))
    );
    // As many places as wanted is no fault.
    let lacks = (f64::from(wanted.count) / found as f64).ln() / GRIP_DOUBT.ln();
    Some(cause.of_strength(if lacks > 0.0 { lacks } else { -1.0 }).because(evidence))
}

fn wrong_half(numbers: &Numbers<'_>) -> Option<Cause> {
    let ejection = numbers.analysis.evaluation.ejection.as_ref().ok()?;
    let [core, cavity] = [ejection.core, ejection.cavity].map(|half| half.typical.si());
    let cause = Cause::new("wrong_half", "it stays in the half without pins")
        .look("in which half it stays")
        .change("more draft on the cavity side, or a ring of 0.1 mm on the core side that keeps it there", None);
    let evidence = format!(
        "{} N hold it in the cavity, {} N on the core",
        three_digits(cavity),
        three_digits(core)
    );
    Some(if cavity < LEAST_N {
        cause.excluded().because(evidence)
    } else {
        cause.judged(cavity, core.max(LEAST_N), SURE_RATIO).because(evidence)
    })
}

fn draft(numbers: &Numbers<'_>) -> Cause {
    let short = &numbers.analysis.release.short;
    let cause = Cause::new("draft_short", "walls have too little draft");
    // The face that rubs over the largest area for what it lacks.
    let worst = short.iter().max_by(|a, b| {
        let lacks = |face: &crate::part::draft::FaceDraft| {
            (face.required_deg - face.draft_deg).max(0.0) * face.area
        };
        lacks(a).total_cmp(&lacks(b))
    });
    let Some(worst) = worst else {
        return cause
            .excluded()
            .because("every wall has the draft that its height asks for")
            .look("tool marks across the pull; stone them along it")
            .change("nothing to draft", None);
    };
    let at = ascii_point(worst.at);
    cause
        .judged(worst.required_deg, worst.draft_deg.max(NO_DRAFT_DEG), DEPTH_DOUBT)
        .because(format!(
            "{} faces are short of draft, the worst at {at} with {}° of {}°",
            short.len(),
            three_digits(worst.draft_deg.max(0.0)),
            three_digits(worst.required_deg)
        ))
        .look(format!("drag marks along the pull at {at}"))
        .change(
            format!(
                "polish along the pull at {at} first; else draft it to {}°",
                three_digits(worst.required_deg)
            ),
            None,
        )
}

fn trapped(numbers: &Numbers<'_>) -> Cause {
    let release = &numbers.analysis.release;
    let cause = Cause::new("undercut", "an undercut holds it");
    let Some(deepest) = release.undercut.regions.first() else {
        return cause
            .excluded()
            .because("neither half traps any of it")
            .look("burrs at the parting line and at gate and pins")
            .change("nothing to free", None);
    };
    let at = ascii_point(deepest.at);
    let depth = deepest.depth.map_or_else(
        || "so that nothing across the pull frees it".to_owned(),
        |depth| format!("{} mm deep", three_digits(depth)),
    );
    cause
        .judged(
            deepest.depth.unwrap_or(f64::INFINITY),
            undercut::LEAST_DEPTH_MM,
            DEPTH_DOUBT,
        )
        .because(format!("it is trapped at {at}, {depth}"))
        .look(format!("whether it tears or is scraped at {at}"))
        .change(
            format!("free the place at {at} as the check says (goodshot check)"),
            None,
        )
}
