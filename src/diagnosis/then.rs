//! What the model says of a change, in words: by the number that the symptom hangs on.

use super::bench::Outcome;
use super::change::Change;
use super::flash;
use super::numbers::{mpa, seconds};
use super::symptom::Symptom;
use crate::units::format::{percent, three_digits};
use crate::units::{Pressure, Quantity};

/// Where the model follows nothing of a change.
pub(super) const NOT_MODELED: &str =
    "the model has no number for this change: the part shows";

/// What comes of `change`: `now` and `after` it, pushed with `pushed` where the change says
/// nothing else.
pub(super) fn in_words(
    seen: Symptom,
    change: Change,
    now: &Outcome,
    after: &Outcome,
    pushed: Pressure,
) -> String {
    let pushed = if let Change::Pressure(set) = change { set } else { pushed };
    match seen {
        Symptom::Short => match change {
            Change::Pressure(_) => format!("by the model {}", fills(after, pushed)),
            _ => format!("{}: {}", takes(now, after), fills(after, pushed)),
        },
        Symptom::Flash => match change {
            Change::Melt(_) => takes(now, after),
            _ => flash::holds(after.limit, pushed),
        },
        Symptom::Weld => welds(now, after),
        Symptom::Sink | Symptom::Warps if matches!(change, Change::Melt(_)) => {
            takes(now, after)
        }
        Symptom::Sink | Symptom::Warps | Symptom::Sticks | Symptom::ColdSlug => {
            times(now, after)
        }
        Symptom::Burn | Symptom::Bubbles | Symptom::Drool => takes(now, after),
    }
}

fn fills(after: &Outcome, pushed: Pressure) -> String {
    if after.fills {
        format!("it fills at {}", mpa(pushed))
    } else {
        format!("{} of it fills at {}", percent(after.filled), mpa(pushed))
    }
}

/// Pressures nearer than this are the same for the model.
const APART: f64 = 1.03;

fn takes(now: &Outcome, after: &Outcome) -> String {
    let both = [now, after].map(|outcome| outcome.takes.expected);
    let [before, then] = both.map(mpa);
    let ratio = (both[0] / both[1]).si();
    if before == then || (APART.recip()..=APART).contains(&ratio) {
        format!("by the model filling then takes {then} as before")
    } else {
        format!("by the model filling then takes {then} instead of {before}")
    }
}

fn welds(now: &Outcome, after: &Outcome) -> String {
    match (now.weld_frozen, after.weld_frozen) {
        (Some(before), Some(then)) => format!(
            "by the model {} of the wall is then frozen where the fronts meet, instead of {}",
            percent(then),
            percent(before)
        ),
        (_, None) => "by the model no two fronts then meet".to_owned(),
        (None, Some(then)) => format!(
            "by the model {} of the wall is then frozen where the fronts meet",
            percent(then)
        ),
    }
}

/// What packs, cools and grips, as far as the change reaches it.
fn times(now: &Outcome, after: &Outcome) -> String {
    let of_force = |outcome: &Outcome| {
        outcome.grip.map(|force| format!("{} N", three_digits(force.si())))
    };
    let numbers = [
        ("the gate freezes after", now.hold.map(seconds), after.hold.map(seconds)),
        ("the part is stiff after", now.cool.map(seconds), after.cool.map(seconds)),
        ("its core holds it with", of_force(now), of_force(after)),
    ];
    let changed: Vec<String> = numbers
        .into_iter()
        .filter_map(|(what, before, then)| Some((what, before?, then?)))
        .filter(|(_, before, then)| before != then)
        .map(|(what, before, then)| format!("{what} {then} instead of {before}"))
        .collect();
    if changed.is_empty() {
        "by the model no time and no force changes with it: the part shows".to_owned()
    } else {
        format!("by the model {}", changed.join(", "))
    }
}
